//! What a store reaches, in a*b* and in L*C*, with the colours that are wanted on it.

use super::names::Names;
use super::paper::{EDGE, HAIR, Hold, INK, PAPER, Paper, Style, seen_hex};
use crate::gamut::Gamut;
use crate::spaces::{Lab, lch};
use std::collections::{BTreeMap, BTreeSet};
use words::{Arg, Line, Voice, say};

/// A sheet: its width and height, the frames of the two charts (left, top, width, height), and its margin.
struct Sheet {
    size: (f64, f64),
    ab: [f64; 4],
    lc: [f64; 4],
    margin: f64,
}

/// For a page or paper: the charts beside each other.
const WIDE: Sheet = Sheet {
    size: (1120.0, 700.0),
    ab: [84.0, 138.0, 452.0, 452.0],
    lc: [636.0, 138.0, 452.0, 452.0],
    margin: 32.0,
};
/// For a phone: one above the other.
const NARROW: Sheet = Sheet {
    size: (340.0, 930.0),
    ab: [44.0, 180.0, 286.0, 286.0],
    lc: [44.0, 560.0, 286.0, 286.0],
    margin: 10.0,
};
/// Radius of a target's ring.
const RING: f64 = 8.6;
/// Side of a cell, CIELAB units: small enough to look smooth.
const CELL: f64 = 2.5;
/// A cell with so many of its eight neighbours inside is inside.
const ENCLOSED: usize = 5;
/// Middles of the hue families of the L*C* chart, degrees: red, yellow, green, blue-green, blue, violet.
const HUES: [f64; 6] = [30.0, 90.0, 145.0, 205.0, 265.0, 325.0];

/// A colour that is wanted, on the plot of a [`Gamut`].
#[derive(Clone, Debug, PartialEq)]
pub struct GamutTarget {
    /// What it is called.
    pub name: String,
    /// The colour (D65, 10 degrees).
    pub lab: Lab,
    /// The nearest colour that is reached if nothing else is asked for, and its CIEDE2000 distance, as whoever solved for
    /// it found.
    pub nearest: (Lab, f64),
    /// What it comes to when all targets are asked for together; nothing if each is made by itself.
    pub together: Option<(Lab, f64)>,
    /// CIEDE2000 within which it counts as reached.
    pub tolerance: f64,
}

impl GamutTarget {
    /// The colour that will be had, and its CIEDE2000 distance.
    fn had(&self) -> (Lab, f64) {
        self.together.unwrap_or(self.nearest)
    }
}

/// Draws a gamut. `whose` says what reaches it: a store, or a region of a design.
pub fn gamut_svg(whose: &str, gamut: &Gamut, targets: &[GamutTarget], voice: Voice) -> String {
    on(&WIDE, whose, gamut, targets, voice)
}

/// The same for a phone, 340 px wide: the charts one above the other.
pub fn gamut_svg_narrow(whose: &str, gamut: &Gamut, targets: &[GamutTarget], voice: Voice) -> String {
    on(&NARROW, whose, gamut, targets, voice)
}

fn on(sheet: &Sheet, whose: &str, gamut: &Gamut, targets: &[GamutTarget], voice: Voice) -> String {
    let ((width, height), margin) = (sheet.size, sheet.margin);
    let room = width - 2.0 * margin;
    let title = say!(
        "Which colours can {whose} reach?",
        "Warna apa yang dapat dicapai {whose}?",
        whose = Arg::Name(whose.to_string())
    );
    let mut paper = Paper::new(width, height, &title, voice);
    let first = margin + 14.0;
    let y = paper.paragraph((margin, first), room, Style::Title, 31.0, &title.say(voice));
    let answer = answer(targets).say(voice);
    paper.paragraph((margin, y + 34.0), room, Style::Answer, 24.0, &answer);
    ab(&mut paper, sheet.ab, gamut, targets);
    lc(&mut paper, sheet.lc, gamut, targets);
    let note = say!(
        "Finished cloth in daylight (D65, 10 degrees), each cell as it looks. Ring: target; a thread leads to the colour that it comes to.",
        "Kain jadi di cahaya siang (D65, 10 derajat), tiap petak seperti rupanya. Cincin: sasaran; benang menuju warna yang didapat."
    );
    let foot = sheet.lc[1] + sheet.lc[3] + 76.0;
    paper.paragraph((margin, foot), room, Style::Small, 17.0, &note.say(voice));
    paper.finish()
}

fn answer(targets: &[GamutTarget]) -> Line {
    /// How many miss, and the one that misses most.
    fn missing(targets: &[GamutTarget], off: fn(&GamutTarget) -> f64) -> Option<(Arg, &GamutTarget)> {
        let miss = || targets.iter().filter(|t| off(t) > t.tolerance);
        let most = miss().max_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some((Arg::Number(miss().count() as f64, 0), most))
    }
    let n = || Arg::Number(targets.len() as f64, 0);
    let jointly = targets.len() > 1 && targets.iter().any(|t| t.together.is_some());
    if targets.is_empty() {
        return say!(
            "Everything inside the outlines; the paler the further in, the darker the lower.",
            "Semua di dalam garis; makin ke tengah makin pucat, makin ke bawah makin gelap."
        );
    }
    if let Some((out, far)) = missing(targets, |t| t.nearest.1) {
        return say!(
            "{out} of {n} targets are out of reach; the farthest is {name}, {off} CIEDE2000 from the nearest colour.",
            "{out} dari {n} sasaran di luar jangkauan; yang terjauh {name}, {off} CIEDE2000 dari warna terdekat.",
            out = out,
            n = n(),
            name = Arg::Name(far.name.clone()),
            off = Arg::Number(far.nearest.1, 1)
        );
    }
    if let Some((out, far)) = missing(targets, |t| t.had().1) {
        return say!(
            "Each target is within reach by itself, but not all {n} together: {out} miss, {name} most, by {off} CIEDE2000.",
            "Tiap sasaran terjangkau sendiri-sendiri, tetapi tidak semua {n} bersama: {out} meleset, terjauh {name}, {off} CIEDE2000.",
            n = n(),
            out = out,
            name = Arg::Name(far.name.clone()),
            off = Arg::Number(far.had().1, 1)
        );
    }
    match targets.len() {
        1 => say!("The target is within reach.", "Sasarannya terjangkau."),
        _ if jointly => say!(
            "All {n} targets are reached together.",
            "Semua {n} sasaran tercapai bersama.",
            n = n()
        ),
        _ => say!(
            "All {n} targets are within reach, each by itself.",
            "Semua {n} sasaran terjangkau, masing-masing sendiri.",
            n = n()
        ),
    }
}

/// A chart: its frame, and what stands at its edges.
struct Chart {
    frame: [f64; 4],
    x: (f64, f64),
    y: (f64, f64),
}

impl Chart {
    fn at(&self, x: f64, y: f64) -> (f64, f64) {
        let [left, top, w, h] = self.frame;
        (
            left + w * (x - self.x.0) / (self.x.1 - self.x.0),
            top + h * (self.y.1 - y) / (self.y.1 - self.y.0),
        )
    }

    /// Cells of colours, each in the mean colour of what falls into it.
    fn cells(&self, paper: &mut Paper, points: &[Lab], place: impl Fn(&Lab) -> (f64, f64)) {
        let mut cells: BTreeMap<(i32, i32), ([f64; 3], f64)> = BTreeMap::new();
        for p in points {
            let (x, y) = place(p);
            let (sum, n) = cells
                .entry(((x / CELL).floor() as i32, (y / CELL).floor() as i32))
                .or_default();
            sum[0] += p.l;
            sum[1] += p.a;
            sum[2] += p.b;
            *n += 1.0;
        }
        // A sample has gaps where mixtures have none: a cell that is all but enclosed takes the mean of its neighbours.
        for _ in 0..2 {
            let around = |i: i32, j: i32| (-1..=1).flat_map(move |x| (-1..=1).map(move |y| (i + x, j + y)));
            let empty: BTreeSet<(i32, i32)> = cells
                .keys()
                .flat_map(|(i, j)| around(*i, *j))
                .filter(|at| !cells.contains_key(at))
                .collect();
            let filled: Vec<_> = empty
                .into_iter()
                .filter_map(|(i, j)| {
                    let near: Vec<&([f64; 3], f64)> = around(i, j).filter_map(|at| cells.get(&at)).collect();
                    let mean =
                        |c: usize| near.iter().map(|(sum, n)| sum[c] / n).sum::<f64>() / near.len() as f64;
                    (near.len() >= ENCLOSED).then(|| ((i, j), ([mean(0), mean(1), mean(2)], 1.0)))
                })
                .collect();
            cells.extend(filled);
        }
        for ((i, j), ([l, a, b], n)) in cells {
            let from = self.at(f64::from(i) * CELL, f64::from(j + 1) * CELL);
            let to = self.at(f64::from(i + 1) * CELL, f64::from(j) * CELL);
            // A hair over the edge, so that no paper shows between cells.
            let size = (to.0 - from.0 + 0.4, to.1 - from.1 + 0.4);
            paper.rect(from, size, &seen_hex(Lab::new(l / n, a / n, b / n)));
        }
    }

    fn grid(&self, paper: &mut Paper, every: (f64, f64), names: (&str, &str)) {
        let [left, top, w, h] = self.frame;
        let ticks = |(from, to): (f64, f64), every: f64| {
            let first = (from / every).ceil() as i32;
            let last = (to / every).floor() as i32;
            (first..=last).map(move |n| f64::from(n) * every)
        };
        let voice = paper.voice;
        for x in ticks(self.x, every.0) {
            let (px, _) = self.at(x, self.y.0);
            let ink = if x == 0.0 { EDGE } else { HAIR };
            paper.line((px, top), (px, top + h), ink, 0.7, "stroke-opacity=\"0.7\"");
            paper.text(
                (px, top + h + 20.0),
                Hold::Middle,
                Style::Small,
                &voice.number(x, 0),
            );
        }
        for y in ticks(self.y, every.1) {
            let (_, py) = self.at(self.x.0, y);
            let ink = if y == 0.0 { EDGE } else { HAIR };
            paper.line((left, py), (left + w, py), ink, 0.7, "stroke-opacity=\"0.7\"");
            paper.text(
                (left - 10.0, py + 4.0),
                Hold::End,
                Style::Small,
                &voice.number(y, 0),
            );
        }
        paper.text((left + w, top + h + 42.0), Hold::End, Style::Strong, names.0);
        paper.text((left - 10.0, top - 14.0), Hold::Start, Style::Strong, names.1);
    }

    fn targets(&self, paper: &mut Paper, targets: &[GamutTarget], place: impl Fn(&Lab) -> (f64, f64)) {
        let spot = |lab: &Lab| {
            let (x, y) = place(lab);
            self.at(x, y)
        };
        for t in targets {
            let (from, (had, off)) = (spot(&t.lab), t.had());
            if off > t.tolerance {
                let to = spot(&had);
                paper.line(from, to, PAPER, 4.0, "stroke-linecap=\"round\"");
                paper.line(from, to, INK, 1.6, "stroke-linecap=\"round\"");
                paper.dot(to, 4.5, &seen_hex(had), INK, 1.4);
            }
        }
        let [left, top, w, h] = self.frame;
        let marks = targets.iter().map(|t| spot(&t.lab)).collect();
        let mut names = Names::new(marks, RING, [left, top, left + w + 24.0, top + h]);
        for t in targets {
            names.place(paper, spot(&t.lab), Style::Small, &t.name);
        }
        for t in targets {
            paper.dot(spot(&t.lab), RING, &seen_hex(t.lab), PAPER, 4.2);
            paper.dot(spot(&t.lab), RING, &seen_hex(t.lab), INK, 1.5);
        }
        names.write(paper);
    }
}

fn ab(paper: &mut Paper, frame: [f64; 4], gamut: &Gamut, targets: &[GamutTarget]) {
    let reach = gamut
        .points()
        .iter()
        .chain(targets.iter().map(|t| &t.lab))
        .flat_map(|p| [p.a.abs(), p.b.abs()])
        .fold(20.0, f64::max);
    let most = (reach / 10.0).ceil() * 10.0;
    let chart = Chart {
        frame,
        x: (-most, most),
        y: (-most, most),
    };
    let place = |p: &Lab| (p.a, p.b);
    chart.grid(paper, (20.0, 20.0), ("a*", "b*"));
    chart.cells(paper, gamut.points(), place);
    let hull: Vec<(f64, f64)> = gamut.hull().iter().map(|[a, b]| chart.at(*a, *b)).collect();
    paper.run(
        &hull,
        "none",
        INK,
        1.1,
        "stroke-dasharray=\"1 4\" stroke-linecap=\"round\"",
    );
    chart.targets(paper, targets, place);
}

fn lc(paper: &mut Paper, frame: [f64; 4], gamut: &Gamut, targets: &[GamutTarget]) {
    let reach = gamut
        .points()
        .iter()
        .chain(targets.iter().map(|t| &t.lab))
        .map(|p| p.chroma())
        .fold(20.0, f64::max);
    let chart = Chart {
        frame,
        x: (0.0, (reach / 10.0).ceil() * 10.0),
        y: (0.0, 100.0),
    };
    chart.grid(paper, (20.0, 20.0), ("C*", "L*"));
    chart.cells(paper, gamut.points(), |p| (p.chroma(), p.l));
    // The outline of each hue family in a colour of its own.
    for hue in HUES {
        let rim = gamut.rim_by_lightness(25, hue, 30.0);
        let Some(vivid) = rim
            .iter()
            .max_by(|a, b| a.lab.chroma().total_cmp(&b.lab.chroma()))
        else {
            continue;
        };
        let line: Vec<(f64, f64)> = rim.iter().map(|r| chart.at(r.lab.chroma(), r.lab.l)).collect();
        let colour = seen_hex(vivid.lab);
        paper.run(&line, "none", PAPER, 4.6, "stroke-linecap=\"round\"");
        paper.run(&line, "none", &colour, 2.6, "stroke-linecap=\"round\"");
        let (x, y) = chart.at(vivid.lab.chroma(), vivid.lab.l);
        let name = say!("{h}°", "{h}°", h = Arg::Number(lch(vivid.lab).h, 0)).say(paper.voice);
        paper.haloed((x + 7.0, y + 4.0), Hold::Start, Style::Small, &name);
    }
    chart.targets(paper, targets, |p| (p.chroma(), p.l));
}
