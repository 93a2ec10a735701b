//! Measured samples as people look at them: colours under a light, shade bands, grey scale ratings, and the sheet.

use colour::grey_scale::{self, Rating};
use colour::measured::{Measured, Sample, Stated, read, samples};
use colour::plot::{Group, Shown, lab_note, spectra_svg};
use colour::sorting::{Band, Tolerance, sort};
use colour::{Lab, Viewing, Xyz, lab, screen, xyz};
use words::{Arg, Finding, Line, Voice, Weight, say};

/// A file of measurements, its readings joined by sample.
pub struct Sheet {
    /// The file.
    pub measured: Measured,
    /// Its samples in the order of the file.
    pub samples: Vec<Sample>,
    /// Everything to tell about the file and its readings.
    pub findings: Vec<Finding>,
}

impl Sheet {
    /// Reads a file; `path` is what findings call it.
    pub fn read(text: &str, path: &str, stated: Stated) -> Self {
        let measured = read(text, path, stated);
        let (samples, apart) = samples(&measured.readings);
        let mut findings = measured.findings.clone();
        findings.extend(apart);
        Self {
            measured,
            samples,
            findings,
        }
    }

    /// Something in the file is wrong: part of it was not read.
    pub fn is_wrong(&self) -> bool {
        self.findings.iter().any(|f| f.weight == Weight::Wrong)
    }

    /// The colours of all samples.
    pub fn colours(&self, viewing: Viewing) -> Vec<Lab> {
        self.samples.iter().map(|s| seen(s, viewing).lab).collect()
    }

    /// Bands in which no two samples lie further apart than `most`.
    pub fn bands(&self, viewing: Viewing, tolerance: Tolerance, most: f64) -> Vec<Band> {
        sort(&self.colours(viewing), tolerance, most)
    }

    /// The sheet as a plot; with bands, under one heading each.
    pub fn svg(&self, viewing: Viewing, bands: Option<&[Band]>, voice: Voice) -> String {
        let shown: Vec<Shown> = self.samples.iter().map(|s| shown(s, viewing, voice)).collect();
        let groups: Vec<Group> = match bands {
            None => vec![Group {
                heading: String::new(),
                samples: (0..shown.len()).collect(),
            }],
            Some(bands) => bands
                .iter()
                .enumerate()
                .map(|(n, band)| Group {
                    heading: heading(n, band, &self.samples).say(voice),
                    samples: band.bolts.clone(),
                })
                .collect(),
        };
        let count = |n: usize| Arg::Number(n as f64, 0);
        let (title, answer) = match bands {
            Some(bands) => (
                say!(
                    "Which bolts may be sewn together?",
                    "Gulung mana yang boleh dijahit bersama?"
                ),
                say!(
                    "{n} bolts in {bands} bands; within a band any may lie beside any other.",
                    "{n} gulung dalam {bands} kelompok; di dalam satu kelompok semua boleh berdampingan.",
                    n = count(self.samples.len()),
                    bands = count(bands.len())
                ),
            ),
            None => (say!("What did we measure?", "Apa yang kita ukur?"), self.answer()),
        };
        spectra_svg(&title, &answer, &shown, &groups, viewing, voice)
    }

    fn answer(&self) -> Line {
        let count = |n: usize| Arg::Number(n as f64, 0);
        let repeated = self.samples.iter().filter(|s| s.n > 1);
        let worst = repeated.max_by(|a, b| a.spread.total_cmp(&b.spread));
        let (samples, readings) = (count(self.samples.len()), count(self.measured.readings.len()));
        match worst {
            Some(worst) => say!(
                "{samples} samples, {readings} readings. Readings scatter most on {name}: {spread} dE00 from their mean.",
                "{samples} contoh, {readings} pembacaan. Paling tersebar pada {name}: {spread} dE00 dari rata-ratanya.",
                samples = samples,
                readings = readings,
                name = Arg::Name(worst.name.clone()),
                spread = Arg::Number(worst.spread, 2)
            ),
            None => say!(
                "{samples} samples, each read once: how far readings scatter is not known.",
                "{samples} contoh, masing-masing dibaca sekali: sebaran pembacaan belum diketahui.",
                samples = samples
            ),
        }
    }
}

/// A sample under a light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Tristimulus values, the perfect white at Y = 100.
    pub xyz: Xyz,
    /// CIELAB under the light's white.
    pub lab: Lab,
    /// As a screen shows it, adapted to its own white.
    pub rgb: [u8; 3],
    /// It had to be brought into the screen's range.
    pub clipped: bool,
}

/// How a sample looks.
pub fn seen(sample: &Sample, viewing: Viewing) -> Seen {
    let colour = xyz(&sample.mean, viewing);
    let (linear, clipped) = screen::clip(screen::linear_under(colour, viewing.white()));
    Seen {
        xyz: colour,
        lab: lab(colour, viewing.white()),
        rgb: screen::bytes(linear),
        clipped,
    }
}

/// Difference from a standard and the grey scale step of ISO 105-A05.
pub fn rating(standard: Lab, sample: Lab) -> Rating {
    grey_scale::rate(standard, sample)
}

/// The name of a band: A, B ... Z, then A2 and so on.
pub fn band_name(n: usize) -> String {
    let letter = char::from(b'A' + (n % 26) as u8);
    match n / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

/// What is said of a band, the one of this number.
pub fn heading(n: usize, band: &Band, samples: &[Sample]) -> Line {
    let standard = samples
        .get(band.standard)
        .map_or_else(String::new, |s| s.name.clone());
    let (name, standard) = (Arg::Name(band_name(n)), Arg::Name(standard));
    if band.bolts.len() < 2 {
        return say!(
            "{name}: {standard} stands alone",
            "{name}: {standard} sendirian",
            name = name,
            standard = standard
        );
    }
    say!(
        "{name}: {bolts} bolts, {spread} apart at most; standard {standard}",
        "{name}: {bolts} gulung, selisih paling besar {spread}; acuan {standard}",
        name = name,
        bolts = Arg::Number(band.bolts.len() as f64, 0),
        spread = Arg::Number(band.spread, 2),
        standard = standard
    )
}

/// A sample for a plot.
pub fn shown(sample: &Sample, viewing: Viewing, voice: Voice) -> Shown {
    Shown {
        name: sample.name.clone(),
        reflectance: sample.mean,
        deviation: sample.deviation,
        recovered: !sample.basis.knows_metamerism(),
        note: lab_note(&sample.mean, viewing, voice),
    }
}

#[cfg(test)]
mod tests {
    use super::band_name;

    #[test]
    fn bands_have_names_of_their_own() {
        let names: std::collections::HashSet<String> = (0..100).map(band_name).collect();
        assert_eq!(names.len(), 100);
        assert_eq!((band_name(0), band_name(26)), ("A".to_string(), "A2".to_string()));
    }
}
