//! The plot of measured samples: what each reflects, and how it looks in daylight and under two lamps.

use super::paper::{EDGE, HAIR, Hold, INK, Paper, Style, hex, lightness};
use crate::screen;
use crate::spaces::lab;
use crate::spectrum::{BANDS, Spectrum, nanometres};
use crate::viewing::{Illuminant, Viewing, xyz};
use words::{Arg, Line, Voice, say};

/// One sample of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// Its name.
    pub name: String,
    /// Mean reflectance.
    pub reflectance: Spectrum,
    /// Standard deviation of a reading, band by band; 0 for a single one.
    pub deviation: Spectrum,
    /// The reflectance was recovered from a colour: drawn dashed, and shown in daylight only.
    pub recovered: bool,
    /// A second line under its name, if there is something to say.
    pub note: String,
}

/// Samples under one heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The heading; empty for none.
    pub heading: String,
    /// Places of its samples.
    pub samples: Vec<usize>,
}

const WIDTH: f64 = 980.0;
/// Swatches side by side, their width, and what one takes with its letters.
const ACROSS: usize = 6;
const SWATCH: (f64, f64) = (136.0, 74.0);
const STEP: (f64, f64) = (156.0, 128.0);
/// Samples that are drawn at most; a sheet of more cannot be read.
const MOST: usize = 48;

/// The plot of samples. `answer` is what they say in a sentence. An SVG document.
pub fn spectra_svg(
    title: &Line,
    answer: &Line,
    samples: &[Shown],
    groups: &[Group],
    viewing: Viewing,
    voice: Voice,
) -> String {
    let places = places(groups, samples.len());
    let bottom = places.last().map_or(TOP_OF_SWATCHES, |p| p.y) + STEP.1;
    let height = bottom + 66.0;
    let mut paper = Paper::new(WIDTH, height, title, voice);
    paper.say((32.0, 52.0), Hold::Start, Style::Title, title);
    paper.paragraph(
        (32.0, 82.0),
        WIDTH - 64.0,
        Style::Answer,
        24.0,
        &answer.say(voice),
    );
    let drawn: Vec<&Shown> = places.iter().filter_map(|p| samples.get(p.sample)).collect();
    curves(&mut paper, &drawn);
    for place in &places {
        if let Some(heading) = &place.heading {
            paper.text((32.0, place.y - 12.0), Hold::Start, Style::Strong, heading);
        }
        if let Some(sample) = samples.get(place.sample) {
            swatch(&mut paper, (place.x, place.y), sample, viewing);
        }
    }
    let rests = rests(samples, drawn.len(), viewing).say(voice);
    paper.paragraph((32.0, height - 42.0), WIDTH - 64.0, Style::Small, 17.0, &rests);
    paper.finish()
}

const TOP_OF_SWATCHES: f64 = 466.0;

/// Where a swatch stands; the first of a group carries its heading.
struct Spot {
    sample: usize,
    x: f64,
    y: f64,
    heading: Option<String>,
}

fn places(groups: &[Group], count: usize) -> Vec<Spot> {
    let mut out = Vec::new();
    let mut top = TOP_OF_SWATCHES;
    for group in groups {
        if out.len() == MOST {
            break;
        }
        let named = !group.heading.is_empty();
        if named {
            top += 26.0;
        }
        let known = group.samples.iter().filter(|s| **s < count);
        let mut rows = 0;
        for (n, sample) in known.take(MOST - out.len()).enumerate() {
            rows = n / ACROSS + 1;
            out.push(Spot {
                sample: *sample,
                x: 32.0 + STEP.0 * (n % ACROSS) as f64,
                y: top + STEP.1 * (n / ACROSS) as f64,
                heading: (named && n == 0).then(|| group.heading.clone()),
            });
        }
        top += STEP.1 * rows as f64;
    }
    out
}

const LEFT: f64 = 74.0;
const RIGHT: f64 = WIDTH - 32.0;
const TOP: f64 = 152.0;
const FOOT: f64 = 400.0;

fn curves(paper: &mut Paper, samples: &[&Shown]) {
    let highest = samples
        .iter()
        .flat_map(|s| s.reflectance)
        .filter(|r| r.is_finite())
        .fold(0.0, f64::max);
    // Whole tens of per cent, so that two sheets of pale cloth compare.
    let most = ((highest * 10.0 + 0.2).ceil() / 10.0).clamp(0.2, 1.3);
    let at = |band: usize, r: f64| {
        let right = band as f64 / (BANDS - 1) as f64;
        let up = (r / most).clamp(0.0, 1.02);
        (LEFT + (RIGHT - LEFT) * right, FOOT - (FOOT - TOP) * up)
    };
    let step = if most > 0.6 { 20 } else { 10 };
    for percent in (0..=(most * 100.0) as usize).step_by(step) {
        let (_, y) = at(0, percent as f64 / 100.0);
        if percent > 0 {
            paper.line((LEFT, y), (RIGHT, y), HAIR, 0.8, "");
        }
        let text = format!("{} %", paper.voice.number(percent as f64, 0));
        paper.text((LEFT - 10.0, y + 4.0), Hold::End, Style::Small, &text);
    }
    paper.line((LEFT, FOOT), (RIGHT, FOOT), INK, 1.2, "");
    for band in (0..BANDS).step_by(5) {
        let (x, _) = at(band, 0.0);
        paper.line((x, FOOT), (x, FOOT + 6.0), INK, 1.0, "");
        let nm = nanometres(band).to_string();
        let text = if band == BANDS - 1 { format!("{nm} nm") } else { nm };
        let hold = if band == BANDS - 1 {
            Hold::End
        } else {
            Hold::Middle
        };
        paper.text((x, FOOT + 23.0), hold, Style::Small, &text);
    }
    let name = say!("share of the light reflected", "bagian cahaya yang dipantulkan");
    paper.say((LEFT - 42.0, TOP - 16.0), Hold::Start, Style::Strong, &name);
    for sample in samples {
        let scattered = sample.deviation.iter().any(|d| *d > 0.0);
        let edge = |sign: f64| {
            (0..BANDS).map(move |b| (b, sample.reflectance[b] + sign * 2.0 * sample.deviation[b]))
        };
        if scattered {
            let run: Vec<(f64, f64)> = edge(1.0).chain(edge(-1.0).rev()).map(|(b, r)| at(b, r)).collect();
            paper.run(&run, &hex(&sample.reflectance), "none", 0.0, "opacity=\"0.22\"");
        }
    }
    // The first lies on top: where two curves run together, it is the one that was asked about.
    for sample in samples.iter().rev() {
        let run: Vec<(f64, f64)> = (0..BANDS).map(|b| at(b, sample.reflectance[b])).collect();
        let dashed = if sample.recovered {
            "stroke-dasharray=\"7 4\""
        } else {
            ""
        };
        // A pale curve on white paper needs an edge to be seen.
        if lightness(&sample.reflectance) > 78.0 {
            paper.run(&run, "none", EDGE, 3.4, dashed);
        }
        paper.run(&run, "none", &hex(&sample.reflectance), 2.3, dashed);
    }
}

/// A sample as it looks under the light asked for; beside it, narrow, under the two others.
fn swatch(paper: &mut Paper, (x, y): (f64, f64), sample: &Shown, viewing: Viewing) {
    let (wide, high) = SWATCH;
    if sample.recovered {
        paper.rect((x, y), (wide, high), &under(&sample.reflectance, viewing));
    } else {
        let others = Illuminant::ALL.into_iter().filter(|i| *i != viewing.illuminant);
        let strip = 22.0;
        paper.rect(
            (x, y),
            (wide - 2.0 * strip, high),
            &under(&sample.reflectance, viewing),
        );
        for (n, illuminant) in others.enumerate() {
            let colour = under(
                &sample.reflectance,
                Viewing {
                    illuminant,
                    ..viewing
                },
            );
            let left = x + wide - (2 - n) as f64 * strip;
            paper.rect((left, y), (strip, high), &colour);
        }
    }
    if lightness(&sample.reflectance) > 88.0 {
        let (r, b) = (x + wide, y + high);
        paper.run(&[(x, y), (r, y), (r, b), (x, b), (x, y)], "none", HAIR, 1.0, "");
    }
    let name = fitting(&sample.name, Style::Strong, STEP.0 - 10.0);
    paper.text((x, y + high + 19.0), Hold::Start, Style::Strong, &name);
    let note = fitting(&sample.note, Style::Small, STEP.0 - 6.0);
    paper.text((x, y + high + 36.0), Hold::Start, Style::Small, &note);
}

/// A text cut to a width.
fn fitting(text: &str, style: Style, width: f64) -> String {
    let most = (width / style.width("n")) as usize;
    if text.chars().count() <= most {
        return text.to_string();
    }
    let mut out: String = text.chars().take(most.saturating_sub(1)).collect();
    out.push('\u{2026}');
    out
}

/// How a screen shows a reflectance under a light to which the eye has adapted.
fn under(reflectance: &Spectrum, viewing: Viewing) -> String {
    let linear = screen::linear_under(xyz(reflectance, viewing), viewing.white());
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// L*, a*, b* in one line, for a note.
pub fn lab_note(reflectance: &Spectrum, viewing: Viewing, voice: Voice) -> String {
    let seen = lab(xyz(reflectance, viewing), viewing.white());
    let n = |v: f64| voice.number(v, 1);
    format!("{} \u{b7} {} \u{b7} {}", n(seen.l), n(seen.a), n(seen.b))
}

fn rests(samples: &[Shown], drawn: usize, viewing: Viewing) -> Line {
    let recovered = samples.iter().filter(|s| s.recovered).count();
    let left = samples.len().saturating_sub(drawn);
    let (light, degrees) = (
        Arg::Name(viewing.illuminant.key().to_string()),
        Arg::Number(f64::from(viewing.observer.degrees()), 0),
    );
    let others: Vec<&str> = Illuminant::ALL
        .into_iter()
        .filter(|i| *i != viewing.illuminant)
        .map(Illuminant::key)
        .collect();
    let others = Arg::Name(others.join(", "));
    let scattered = samples.iter().any(|s| s.deviation.iter().any(|d| *d > 0.0));
    let (recovered_n, left_n) = (Arg::Number(recovered as f64, 0), Arg::Number(left as f64, 0));
    match (recovered > 0, left > 0) {
        (false, false) if !scattered => say!(
            "Numbers: L*, a*, b* under {light}, {degrees} degrees. Large: that light; narrow: {others}, the eye \
             adapted to each.",
            "Angka: L*, a*, b* di bawah {light}, {degrees} derajat. Lebar: cahaya itu; sempit: {others}, mata sudah \
             menyesuaikan diri.",
            light = light,
            degrees = degrees,
            others = others
        ),
        (false, false) => say!(
            "Numbers: L*, a*, b* under {light}, {degrees} degrees. Large: that light; narrow: {others}, the eye \
             adapted to each. Band: two standard deviations of a reading.",
            "Angka: L*, a*, b* di bawah {light}, {degrees} derajat. Lebar: cahaya itu; sempit: {others}, mata sudah \
             menyesuaikan diri. Pita: dua simpangan baku satu pembacaan.",
            light = light,
            degrees = degrees,
            others = others
        ),
        (true, false) => say!(
            "Numbers: L*, a*, b* under {light}, {degrees} degrees. Large: that light; narrow: {others}. Dashed: {n} \
             recovered from colours, no metamerism statement. Band: two standard deviations of a reading.",
            "Angka: L*, a*, b* di bawah {light}, {degrees} derajat. Lebar: cahaya itu; sempit: {others}. \
             Putus-putus: {n} dipulihkan dari warna, tanpa pernyataan metamerisme. Pita: dua simpangan baku satu \
             pembacaan.",
            light = light,
            degrees = degrees,
            others = others,
            n = recovered_n
        ),
        (_, true) => say!(
            "Numbers: L*, a*, b* under {light}, {degrees} degrees. Large: that light; narrow: {others}. {n} \
             recovered from colours, dashed, no metamerism statement. {left} more samples are not drawn.",
            "Angka: L*, a*, b* di bawah {light}, {degrees} derajat. Lebar: cahaya itu; sempit: {others}. {n} \
             dipulihkan dari warna, putus-putus, tanpa pernyataan metamerisme. {left} contoh lain tidak digambar.",
            light = light,
            degrees = degrees,
            others = others,
            n = recovered_n,
            left = left_n
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swatches_stand_apart_and_none_twice() {
        let groups = [
            Group {
                heading: "A".into(),
                samples: (0..8).collect(),
            },
            Group {
                heading: "B".into(),
                samples: vec![8, 99],
            },
        ];
        let spots = places(&groups, 9);
        assert_eq!(
            spots.iter().map(|s| s.sample).collect::<Vec<_>>(),
            (0..9).collect::<Vec<_>>()
        );
        for (i, a) in spots.iter().enumerate() {
            for b in &spots[..i] {
                assert!((a.x - b.x).abs() >= STEP.0 - 1e-9 || (a.y - b.y).abs() >= STEP.1 - 1e-9);
            }
        }
        assert_eq!(spots.iter().filter(|s| s.heading.is_some()).count(), 2);
        let many = [Group {
            heading: String::new(),
            samples: (0..100).collect(),
        }];
        assert_eq!(places(&many, 100).len(), MOST);
    }
}
