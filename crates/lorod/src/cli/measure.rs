//! `lorod measure`: what a file of measurements holds, as colours.

use super::drawing::Answer;
use super::given::Given;
use super::table::Table;
use super::{End, drawing, tell, wire};

use crate::facts::measured::{Sheet, band_name, heading, rating, seen};
use clap::{Args, ValueEnum};
use colour::measured::{Basis, Sample, Scale, Stated};
use colour::sorting::{Band, Tolerance};
use colour::{Illuminant, Lab, Observer, Viewing, lch};
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Finding, Place, Voice, Weight, say, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod measure readings.txt
  lorod measure readings.csv --as percent --illuminant F11 -o sheet.png
  lorod measure bolts.txt --bands 1.0 --by cmc -o bands.svg

Reads CGATS.17 / ISO 28178 text and CSV (a sample a row, or a wavelength a row): reflectance of any range and step,
XYZ or Lab values, or screen colours as #rrggbb. Reflectance that is recovered from a colour says so.")]
pub struct Ask {
    /// File of measurements
    pub file: PathBuf,
    /// Light to look under
    #[arg(long, value_enum, default_value_t = Light::D65)]
    pub illuminant: Light,
    /// Field of view of the observer, degrees
    #[arg(long, value_enum, default_value_t = Eyes::Ten)]
    pub observer: Eyes,
    /// How reflectance is written, where the file does not say: never guessed
    #[arg(long = "as", value_enum, value_name = "SCALE")]
    pub scale: Option<Written>,
    /// For which light and observer the file's Lab or XYZ values hold, where it does not say, like D65/2
    #[arg(long, value_name = "LIGHT/DEGREES")]
    pub values: Option<String>,
    /// Group the samples into shade bands in which no two lie further apart than this
    #[arg(long, value_name = "DIFFERENCE")]
    pub bands: Option<f64>,
    /// How differences are taken
    #[arg(long, value_enum, default_value_t = By::De00)]
    pub by: By,
    /// Rate every sample against this one instead of the standard of its band
    #[arg(long, value_name = "SAMPLE")]
    pub standard: Option<String>,
    #[command(flatten)]
    pub answer: Answer,
}

/// A light.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Light {
    /// Average daylight
    #[value(name = "D65")]
    D65,
    /// Incandescent lamp
    #[value(name = "A")]
    A,
    /// Shop lamp with three bands
    #[value(name = "F11")]
    F11,
}

/// An observer.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Eyes {
    /// CIE 1931
    #[value(name = "2")]
    Two,
    /// CIE 1964, as for textiles
    #[value(name = "10")]
    Ten,
}

/// How reflectance is written.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Written {
    /// The perfect white is 1
    Fraction,
    /// The perfect white is 100
    Percent,
}

/// A colour difference.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum By {
    /// CIEDE2000
    #[value(name = "dE00")]
    De00,
    /// CMC(2:1), the larger of both directions
    #[value(name = "cmc")]
    Cmc,
}

impl Written {
    /// As the reader of measurements knows it.
    pub const fn scale(self) -> Scale {
        match self {
            Self::Fraction => Scale::Fraction,
            Self::Percent => Scale::Percent,
        }
    }
}

impl By {
    const fn tolerance(self) -> Tolerance {
        match self {
            Self::De00 => Tolerance::Ciede2000,
            Self::Cmc => Tolerance::Cmc,
        }
    }
}

impl Ask {
    const fn viewing(&self) -> Viewing {
        Viewing {
            illuminant: match self.illuminant {
                Light::D65 => Illuminant::D65,
                Light::A => Illuminant::A,
                Light::F11 => Illuminant::F11,
            },
            observer: match self.observer {
                Eyes::Two => Observer::TwoDegrees,
                Eyes::Ten => Observer::TenDegrees,
            },
        }
    }
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Light looked under.
    illuminant: &'static str,
    /// Observer, degrees.
    observer: u32,
    /// Readings in the file.
    readings: usize,
    /// Samples in the order of the file.
    samples: Vec<SampleOut>,
    /// Shade bands, if they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    bands: Option<Vec<BandOut>>,
    /// Everything to tell about the file.
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct SampleOut {
    name: String,
    /// `measured`, `resampled` or `recovered`.
    basis: &'static str,
    /// Recovered: CIEDE2000 from the colour that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    recovered_off: Option<f64>,
    /// Readings in the mean.
    n: usize,
    /// Mean CIEDE2000 of the readings from their mean (D65, 10 degrees).
    spread: f64,
    /// Numbers or lines of readings that stand apart and were left out.
    apart: Vec<String>,
    xyz: [f64; 3],
    lab: [f64; 3],
    /// Chroma and hue in degrees.
    chroma_hue: [f64; 2],
    hex: String,
    /// The screen cannot show it: the hex is the nearest it can.
    out_of_screen: bool,
    /// 400 to 700 nm in steps of 10 nm.
    reflectance: Vec<f64>,
    deviation: Vec<f64>,
    /// Against the standard: name, difference, grade of ISO 105-A05.
    #[serde(skip_serializing_if = "Option::is_none")]
    rated: Option<RatedOut>,
}

#[derive(Serialize)]
struct RatedOut {
    standard: String,
    /// As asked for with `--by`.
    difference: f64,
    /// Step of the grey scale, "4-5".
    grey_scale: String,
    /// dE_F of ISO 105-A05.
    de_f: f64,
}

#[derive(Serialize)]
struct BandOut {
    name: String,
    samples: Vec<String>,
    standard: String,
    spread: f64,
}

/// Runs it.
///
/// # Errors
/// If the file cannot be read, or something in it is wrong.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let stated = Stated {
        scale: ask.scale.map(Written::scale),
        viewing: ask.values.as_deref().map(values).transpose()?,
    };
    if let Some(most) = ask.bands
        && !(most > 0.0 && most.is_finite())
    {
        let found = say!("bands of {n}", "kelompok {n}", n = Arg::Number(most, 2));
        let finding = Finding::new("bands", Weight::Wrong, Place::Request, found);
        return Err(End::usage(
            finding.allow(say!("a difference above 0", "selisih lebih dari 0")),
        ));
    }
    let given = Given::read(&ask.file)?;
    let sheet = Sheet::read(&given.source.text, &given.source.path, stated);
    if sheet.samples.is_empty() {
        return Err(given.refused(sheet.findings));
    }
    let viewing = ask.viewing();
    let bands = ask
        .bands
        .map(|most| sheet.bands(viewing, ask.by.tolerance(), most));
    let rated = rated(ask, &sheet, bands.as_deref())?;
    if let Some(path) = &ask.answer.output {
        drawing::write(path, &sheet.svg(viewing, bands.as_deref(), voice))?;
    }
    if ask.answer.json {
        wire::print(&as_json(&sheet, viewing, bands.as_deref(), &rated, &given, voice));
    } else {
        tell(&as_text(&sheet, viewing, bands.as_deref(), &rated, voice));
        given.aside(&sheet.findings, voice);
        if let Some(path) = &ask.answer.output {
            tell(&format!("{}\n", path.display()));
        }
    }
    // What could be read has been shown; what could not is still wrong.
    if sheet.is_wrong() {
        return Err(End::said(super::end::REFUSED));
    }
    Ok(())
}

fn values(typed: &str) -> Result<Viewing, End> {
    let (light, degrees) = typed.split_once('/').unwrap_or((typed, "10"));
    let illuminant = Illuminant::ALL
        .into_iter()
        .find(|i| i.key().eq_ignore_ascii_case(light));
    let observer = Observer::ALL
        .into_iter()
        .find(|o| o.degrees().to_string() == degrees);
    match (illuminant, observer) {
        (Some(illuminant), Some(observer)) => Ok(Viewing { illuminant, observer }),
        _ => {
            let found = say!(
                "\"{typed}\" is no light and observer known here",
                "\"{typed}\" bukan cahaya dan pengamat yang dikenal di sini",
                typed = Arg::Name(super::end::short(typed))
            );
            let finding = Finding::new("viewing", Weight::Wrong, Place::Request, found);
            Err(End::usage(finding.allow(say!(
                "{list}",
                "{list}",
                list = Arg::Name("D65/10, D65/2, A/10, A/2, F11/10, F11/2".into())
            ))))
        }
    }
}

/// For each sample the place of its standard and the difference, where there is one.
type Rated = Vec<Option<(usize, f64, colour::grey_scale::Rating)>>;

fn rated(ask: &Ask, sheet: &Sheet, bands: Option<&[Band]>) -> Result<Rated, End> {
    let colours = sheet.colours(ask.viewing());
    let mut standards: Vec<Option<usize>> = vec![None; colours.len()];
    for band in bands.unwrap_or_default() {
        for bolt in &band.bolts {
            standards[*bolt] = Some(band.standard);
        }
    }
    if let Some(name) = &ask.standard {
        let known = || sheet.samples.iter().map(|s| s.name.as_str());
        let Some(at) = known().position(|k| k == name) else {
            let found = say!(
                "there is no sample {name}",
                "tidak ada contoh {name}",
                name = Arg::Name(super::end::short(name))
            );
            let finding = super::end::no_such("no-such-sample", found, name, known());
            return Err(End::refused(vec![finding]));
        };
        standards = vec![Some(at); colours.len()];
    }
    let one = |(at, standard): (usize, &Option<usize>)| {
        let standard = (*standard)?;
        let (a, b): (Lab, Lab) = (colours[standard], colours[at]);
        Some((standard, ask.by.tolerance().distance(a, b), rating(a, b)))
    };
    Ok(standards.iter().enumerate().map(one).collect())
}

fn mark(sample: &Sample) -> &'static str {
    match sample.basis {
        Basis::Measured => "measured",
        Basis::Resampled { .. } => "resampled",
        Basis::Recovered { .. } => "recovered",
    }
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn as_text(sheet: &Sheet, viewing: Viewing, bands: Option<&[Band]>, rated: &Rated, voice: Voice) -> String {
    let raw = |t: &'static words::Text| t.raw(voice.language).to_string();
    let rates = rated.iter().any(Option::is_some);
    let mut head = vec![
        raw(text!("sample", "contoh")),
        "n".into(),
        raw(text!("spread", "sebaran")),
        "X".into(),
        "Y".into(),
        "Z".into(),
        "L*".into(),
        "a*".into(),
        "b*".into(),
        raw(text!("screen", "layar")),
    ];
    if rates {
        head.extend([
            raw(text!("off", "selisih")),
            raw(text!("grey scale", "skala abu-abu")),
        ]);
    }
    head.push(raw(text!("rests on", "berdasarkan")));
    let row = |at: usize| {
        let sample = &sheet.samples[at];
        let seen = seen(sample, viewing);
        let n = |v: f64, decimals| voice.number(v, decimals);
        let mut cells = vec![sample.name.clone(), n(sample.n as f64, 0)];
        cells.push(if sample.n > 1 {
            n(sample.spread, 2)
        } else {
            "-".into()
        });
        cells.extend(seen.xyz.to_array().map(|v| n(v, 2)));
        cells.extend([seen.lab.l, seen.lab.a, seen.lab.b].map(|v| n(v, 2)));
        cells.push(hex(seen.rgb));
        if rates {
            cells.extend(match &rated[at] {
                Some((_, off, rating)) => [n(*off, 2), rating.step.name()],
                None => [String::new(), String::new()],
            });
        }
        cells.push(raw(sample.basis.mark()));
        cells
    };
    let right = [false, true, true, true, true, true, true, true, true, false];
    let mut out = format!(
        "{}, {}\u{b0}\n",
        viewing.illuminant.key(),
        viewing.observer.degrees()
    );
    match bands {
        None => {
            let mut table = Table::new(&right);
            table.row(head);
            for at in 0..sheet.samples.len() {
                table.row(row(at));
            }
            out += &table.text();
        }
        Some(bands) => {
            for (n, band) in bands.iter().enumerate() {
                let line = heading(n, band, &sheet.samples);
                out += &format!("{}\n", line.say(voice));
                let mut table = Table::new(&right);
                table.row(head.clone());
                for at in &band.bolts {
                    table.row(row(*at));
                }
                out += &table.text();
            }
        }
    }
    out
}

fn as_json(
    sheet: &Sheet,
    viewing: Viewing,
    bands: Option<&[Band]>,
    rated: &Rated,
    given: &Given,
    voice: Voice,
) -> Out {
    let name = |at: usize| sheet.samples[at].name.clone();
    let samples = sheet.samples.iter().zip(rated).map(|(sample, rated)| {
        let seen = seen(sample, viewing);
        let polar = lch(seen.lab);
        let readings = &sheet.measured.readings;
        SampleOut {
            name: sample.name.clone(),
            basis: mark(sample),
            recovered_off: match sample.basis {
                Basis::Recovered { off } => Some(off),
                _ => None,
            },
            n: sample.n,
            spread: sample.spread,
            apart: sample
                .apart
                .iter()
                .map(|at| readings[*at].number.clone())
                .collect(),
            xyz: seen.xyz.to_array(),
            lab: [seen.lab.l, seen.lab.a, seen.lab.b],
            chroma_hue: [polar.c, polar.h],
            hex: hex(seen.rgb),
            out_of_screen: seen.clipped,
            reflectance: sample.mean.to_vec(),
            deviation: sample.deviation.to_vec(),
            rated: rated.as_ref().map(|(standard, difference, rating)| RatedOut {
                standard: name(*standard),
                difference: *difference,
                grey_scale: rating.step.name(),
                de_f: rating.difference,
            }),
        }
    });
    Out {
        illuminant: viewing.illuminant.key(),
        observer: viewing.observer.degrees(),
        readings: sheet.measured.readings.len(),
        samples: samples.collect(),
        bands: bands.map(|bands| {
            let one = |(n, band): (usize, &Band)| BandOut {
                name: band_name(n),
                samples: band.bolts.iter().map(|at| name(*at)).collect(),
                standard: name(band.standard),
                spread: band.spread,
            };
            bands.iter().enumerate().map(one).collect()
        }),
        findings: wire::findings(
            &sheet.findings,
            |path| (path == given.source.path).then_some(&given.source),
            voice,
        ),
    }
}
