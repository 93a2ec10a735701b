//! The plot of a ladder: K/S against depth, the spectrum with its doubt, and what is left over at each rung.

use super::paper::{
    ANSWER, EDGE, HAIR, Hold, INK, PAPER, Paper, Style, WASH, hex, lightness, spelled, ticks,
};
use crate::fit::ladder::LadderFit;
use crate::kubelka_munk::saturated;
use crate::spectrum::{BANDS, nanometres};
use words::{Arg, Line, Origin, Voice, say};

/// What a ladder's plot shows, as plain numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderSeries {
    /// Wavelength of the peak, nm.
    pub peak_nm: u32,
    /// Fitted (depth in % owf put on, K/S of the dye at the peak), to a third beyond the deepest rung.
    pub curve: Vec<(f64, f64)>,
    /// Two standard errors of the unit below and above the curve: (depth, least, most).
    pub doubt: Vec<(f64, f64, f64)>,
    /// Without levelling off: (depth, K/S).
    pub straight: Vec<(f64, f64)>,
    /// Dyed rungs as read: (depth, K/S of the dye at the peak).
    pub rungs: Vec<(f64, f64)>,
    /// (depth, CIEDE2000 between rung and fit).
    pub residuals: Vec<(f64, f64)>,
    /// (nm, unit K/S less two standard errors, unit K/S, more).
    pub unit: Vec<(u32, f64, f64, f64)>,
}

/// The numbers behind [`ladder_svg`].
pub fn ladder_series(fit: &LadderFit) -> LadderSeries {
    const POINTS: usize = 81;
    let depths: Vec<f64> = (0..POINTS)
        .map(|i| fit.deepest * BEYOND * i as f64 / (POINTS - 1) as f64)
        .collect();
    // An error that could not be told is drawn as all of the value.
    let known = |error: f64, unit: f64| if error.is_finite() { error } else { unit };
    let unit = fit.unit_ks[fit.peak];
    let error = known(fit.unit_error[fit.peak], unit);
    let grams = 10.0 * fit.fixed_share.value;
    let at = |depth: f64, unit: f64| saturated(depth * grams * unit.max(0.0), fit.k_max.value);
    LadderSeries {
        peak_nm: nanometres(fit.peak),
        curve: depths.iter().map(|d| (*d, at(*d, unit))).collect(),
        doubt: depths
            .iter()
            .map(|d| (*d, at(*d, unit - 2.0 * error), at(*d, unit + 2.0 * error)))
            .collect(),
        straight: depths.iter().map(|d| (*d, d * grams * unit)).collect(),
        rungs: fit
            .rungs
            .iter()
            .filter(|r| r.depth > 0.0)
            .map(|r| (r.depth, r.ks_read))
            .collect(),
        residuals: fit.rungs.iter().map(|r| (r.depth, r.off)).collect(),
        unit: (0..BANDS)
            .map(|b| {
                let u = fit.unit_ks[b];
                let e = 2.0 * known(fit.unit_error[b], u);
                (nanometres(b), (u - e).max(0.0), u, u + e)
            })
            .collect(),
    }
}

/// How far beyond the deepest rung the plot goes: there the dye is not known, and it is hatched.
const BEYOND: f64 = 4.0 / 3.0;

const WIDTH: f64 = 980.0;
const HEIGHT: f64 = 620.0;

/// The plot of a ladder, for a dye of this name. An SVG document.
pub fn ladder_svg(fit: &LadderFit, name: &str, voice: Voice) -> String {
    let title = say!(
        "How much {dye} for how much colour?",
        "Berapa banyak {dye} untuk warna sepekat apa?",
        dye = Arg::Name(name.to_string())
    );
    let mut paper = Paper::new(WIDTH, HEIGHT, &title, voice);
    paper.say((32.0, 52.0), Hold::Start, Style::Title, &title);
    let answer = answer(fit).say(voice);
    paper.paragraph((32.0, 82.0), WIDTH - 64.0, Style::Answer, 24.0, &answer);
    let series = ladder_series(fit);
    depths(&mut paper, fit, &series);
    spectrum(&mut paper, fit, &series);
    residuals(&mut paper, &series);
    let rests = rests(fit).say(voice);
    paper.paragraph((32.0, HEIGHT - 32.0), WIDTH - 64.0, Style::Small, 17.0, &rests);
    paper.finish()
}

fn answer(fit: &LadderFit) -> Line {
    let share = 2.0 * fit.unit_error[fit.peak] / fit.unit_ks[fit.peak].max(f64::MIN_POSITIVE);
    let worst = fit.rungs.iter().map(|r| r.off).fold(0.0, f64::max);
    let (one, share) = (Arg::Number(fit.ks_at(1.0), 1), Arg::Number(100.0 * share, 1));
    let nm = Arg::Number(f64::from(nanometres(fit.peak)), 0);
    let (deepest, worst) = (Arg::Number(fit.deepest, 1), Arg::Number(worst, 1));
    say!(
        "1 % gives a K/S of {one} at {nm} nm, known within {share} %. Up to {deepest} % every rung lies within {worst} \
         dE00 of this curve.",
        "1 % memberi K/S {one} pada {nm} nm, ketelitian {share} %. Sampai {deepest} % setiap anak tangga berjarak paling \
         jauh {worst} dE00 dari kurva ini.",
        one = one,
        nm = nm,
        share = share,
        deepest = deepest,
        worst = worst
    )
}

fn rests(fit: &LadderFit) -> Line {
    let (k_max, bound) = (
        Arg::Number(fit.k_max.value, 0),
        Arg::Number(100.0 * fit.fixed_share.value, 0),
    );
    match &fit.spectrum {
        Origin::Measured { date, n } => say!(
            "Measured {date}, {n} readings; {bound} % of the dye put on is taken as bound. K/S levels off at {k_max} \
             ({mark}). Band: two standard errors. Dashed: without levelling off. dE00: CIEDE2000, D65, 10 degrees.",
            "Diukur {date}, {n} pembacaan; {bound} % pewarna dianggap terikat. K/S mendatar di {k_max} ({mark}). Pita: \
             dua galat baku. Putus-putus: tanpa mendatar. dE00: CIEDE2000, D65, 10 derajat.",
            date = Arg::Name(date.clone()),
            n = Arg::Number(f64::from(*n), 0),
            bound = bound,
            k_max = k_max,
            mark = Arg::Text(fit.k_max.origin.mark())
        ),
        Origin::Assumed { factor, .. } => say!(
            "Recovered from colours, no metamerism statement: within a factor of {factor}. {bound} % of the dye put on is \
             taken as bound. K/S levels off at {k_max} ({mark}). Band: two standard errors. dE00: CIEDE2000, D65, 10 \
             degrees.",
            "Dipulihkan dari warna, tanpa pernyataan metamerisme: dalam faktor {factor}. {bound} % pewarna dianggap \
             terikat. K/S mendatar di {k_max} ({mark}). Pita: dua galat baku. dE00: CIEDE2000, D65, 10 derajat.",
            factor = Arg::Number(*factor, 1),
            bound = bound,
            k_max = k_max,
            mark = Arg::Text(fit.k_max.origin.mark())
        ),
        Origin::Yours => say!(
            "{bound} % of the dye put on is taken as bound. K/S levels off at {k_max}.",
            "{bound} % pewarna dianggap terikat. K/S mendatar di {k_max}.",
            bound = bound,
            k_max = k_max
        ),
    }
}

/// A frame with the scales of its two axes.
struct Frame {
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    x: (f64, f64),
    y_most: f64,
}

impl Frame {
    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let right = (x - self.x.0) / (self.x.1 - self.x.0);
        (
            self.left + self.width * right,
            self.top + self.height * (1.0 - (y / self.y_most).clamp(-0.02, 1.02)),
        )
    }

    fn base(&self, paper: &mut Paper) {
        let bottom = self.top + self.height;
        paper.line(
            (self.left, bottom),
            (self.left + self.width, bottom),
            INK,
            1.2,
            "",
        );
    }

    fn heights(&self, paper: &mut Paper, name: &Line) {
        let (marks, decimals) = ticks(self.y_most);
        for mark in marks {
            let (_, y) = self.at((self.x.0, mark));
            if mark > 0.0 {
                paper.line((self.left, y), (self.left + self.width, y), HAIR, 0.8, "");
            }
            let text = paper.voice.number(mark, decimals);
            paper.text((self.left - 8.0, y + 4.0), Hold::End, Style::Small, &text);
        }
        paper.say(
            (self.left - 30.0, self.top - 14.0),
            Hold::Start,
            Style::Strong,
            name,
        );
    }
}

fn depths(paper: &mut Paper, fit: &LadderFit, series: &LadderSeries) {
    let most = series
        .curve
        .iter()
        .chain(&series.rungs)
        .map(|p| p.1)
        .fold(1e-6, f64::max);
    let frame = Frame {
        left: 70.0,
        top: 166.0,
        width: 500.0,
        height: 286.0,
        x: (0.0, (fit.deepest * BEYOND).max(1e-6)),
        y_most: most * 1.12,
    };
    let (right, bottom) = (frame.left + frame.width, frame.top + frame.height);
    let (edge, _) = frame.at((fit.deepest, 0.0));
    paper.rect((edge, frame.top), (right - edge, frame.height), "url(#unknown)");
    frame.heights(
        paper,
        &say!("K/S of the dye at its peak", "K/S pewarna di puncaknya"),
    );
    let band: Vec<(f64, f64)> = series
        .doubt
        .iter()
        .map(|d| frame.at((d.0, d.2)))
        .chain(series.doubt.iter().rev().map(|d| frame.at((d.0, d.1))))
        .collect();
    paper.run(&band, WASH, "none", 0.0, "opacity=\"0.85\"");
    let straight: Vec<(f64, f64)> = series
        .straight
        .iter()
        .filter(|p| p.1 <= frame.y_most)
        .map(|p| frame.at(*p))
        .collect();
    paper.run(&straight, "none", EDGE, 1.2, "stroke-dasharray=\"3 4\"");
    let inside = |p: &&(f64, f64)| p.0 <= fit.deepest;
    let known: Vec<(f64, f64)> = series.curve.iter().filter(inside).map(|p| frame.at(*p)).collect();
    paper.run(&known, "none", ANSWER, 2.2, "");
    let beyond: Vec<(f64, f64)> = series
        .curve
        .iter()
        .filter(|p| p.0 >= fit.deepest * 0.98)
        .map(|p| frame.at(*p))
        .collect();
    paper.run(&beyond, "none", ANSWER, 1.6, "stroke-dasharray=\"6 4\"");
    frame.base(paper);
    for (depth, ks) in &series.rungs {
        let fill = hex(&fit.at(*depth));
        paper.dot(frame.at((*depth, *ks)), 6.5, &fill, INK, 1.6);
    }
    let note = say!("no rung here", "tanpa anak tangga");
    let wide = Style::Small.width(&note.say(paper.voice)) + 14.0;
    let middle = f64::midpoint(edge, right);
    paper.rect((middle - wide / 2.0, bottom - 40.0), (wide, 22.0), PAPER);
    paper.say((middle, bottom - 25.0), Hold::Middle, Style::Small, &note);
    cloth(paper, fit, &frame);
    let name = say!(
        "dye put on, % of the cloth's weight",
        "pewarna yang diberikan, % dari berat kain"
    );
    paper.say((frame.left, bottom + 92.0), Hold::Start, Style::Small, &name);
}

/// The rungs as cloth under the axis, each at its depth, pushed apart where they would overlap.
fn cloth(paper: &mut Paper, fit: &LadderFit, frame: &Frame) {
    const SIDE: f64 = 42.0;
    let bottom = frame.top + frame.height;
    let mut left = f64::NEG_INFINITY;
    for rung in &fit.rungs {
        let (x, _) = frame.at((rung.depth, 0.0));
        let centre = x.max(left + SIDE + 4.0);
        left = centre;
        let shade = fit.at(rung.depth);
        paper.line((x, bottom), (centre, bottom + 12.0), EDGE, 1.0, "");
        paper.rect((centre - SIDE / 2.0, bottom + 12.0), (SIDE, SIDE), &hex(&shade));
        if lightness(&shade) > 88.0 {
            let (l, r, t, b) = (
                centre - SIDE / 2.0,
                centre + SIDE / 2.0,
                bottom + 12.0,
                bottom + 12.0 + SIDE,
            );
            paper.run(&[(l, t), (r, t), (r, b), (l, b), (l, t)], "none", HAIR, 1.0, "");
        }
        let text = spelled(paper.voice, rung.depth);
        paper.text(
            (centre, bottom + 12.0 + SIDE + 17.0),
            Hold::Middle,
            Style::Small,
            &text,
        );
    }
}

fn spectrum(paper: &mut Paper, fit: &LadderFit, series: &LadderSeries) {
    let most = series
        .unit
        .iter()
        .map(|u| u.3)
        .filter(|v| v.is_finite())
        .fold(1e-9, f64::max);
    let frame = Frame {
        left: 668.0,
        top: 166.0,
        width: 280.0,
        height: 132.0,
        x: (400.0, 700.0),
        y_most: most * 1.08,
    };
    frame.heights(paper, &say!("K/S per g bound per kg", "K/S per g terikat per kg"));
    let point = |nm: u32, y: f64| frame.at((f64::from(nm), y));
    let band: Vec<(f64, f64)> = series
        .unit
        .iter()
        .map(|u| point(u.0, u.3))
        .chain(series.unit.iter().rev().map(|u| point(u.0, u.1)))
        .collect();
    paper.run(&band, WASH, "none", 0.0, "");
    let middle: Vec<(f64, f64)> = series.unit.iter().map(|u| point(u.0, u.2)).collect();
    paper.run(&middle, "none", ANSWER, 2.0, "");
    let peak = frame.at((f64::from(series.peak_nm), fit.unit_ks[fit.peak]));
    paper.dot(peak, 4.5, ANSWER, PAPER, 1.5);
    frame.base(paper);
    for nm in [400_u32, 500, 600, 700] {
        let (x, _) = point(nm, 0.0);
        paper.text(
            (x, frame.top + frame.height + 18.0),
            Hold::Middle,
            Style::Small,
            &nm.to_string(),
        );
    }
    paper.text(
        (frame.left + frame.width, frame.top - 14.0),
        Hold::End,
        Style::Small,
        &format!("{} nm", series.peak_nm),
    );
}

fn residuals(paper: &mut Paper, series: &LadderSeries) {
    let most = series
        .residuals
        .iter()
        .map(|r| r.1)
        .filter(|v| v.is_finite())
        .fold(1.0, f64::max);
    let count = series.residuals.len().max(1) as f64;
    let frame = Frame {
        left: 668.0,
        top: 372.0,
        width: 280.0,
        height: 80.0,
        x: (-0.5, count - 0.5),
        y_most: most * 1.2,
    };
    frame.heights(
        paper,
        &say!("rung against curve, dE00", "anak tangga terhadap kurva, dE00"),
    );
    for (n, (depth, off)) in series.residuals.iter().enumerate() {
        let (x, y) = frame.at((n as f64, *off));
        let (_, zero) = frame.at((n as f64, 0.0));
        paper.line((x, zero), (x, y), INK, 3.0, "");
        paper.dot((x, y), 3.2, INK, INK, 0.0);
        let text = spelled(paper.voice, *depth);
        paper.text((x, zero + 18.0), Hold::Middle, Style::Small, &text);
    }
    frame.base(paper);
}
