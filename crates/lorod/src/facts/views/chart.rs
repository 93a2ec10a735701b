//! The plan as bars over time: by lot, a lane for each bolt, or by station. A bar is cut from the lot's cloth.

use super::load::loads;
use super::svg::{Axis, DAUN, EDGE, INK, INK2, LEFT, MENGKUDU, MORI, ROOMY, SOGA, THREAD, TOP, open};
use super::{Days, Piece, View, clock, day_name};
use crate::facts::pictures::Roll;
use ::plan::Minute;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::atomic::AtomicBool;
use words::{Arg, Voice, say, text};

/// What a row stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rows {
    /// A lot; a lane for each of its bolts.
    Lots,
    /// A station; as many lanes as are used at once.
    Stations,
}

/// Cloth of each design, as an address an SVG may show.
pub type Cloths = BTreeMap<String, String>;

/// Height of a lane where there is room for words, and where there is none; between rows.
const LANE: (f64, f64) = (17.0, 9.0);
const GAP: f64 = 12.0;
/// Least height of a row: its name and what it is.
const ROW: f64 = 34.0;
/// Pixels of a piece of cloth.
const CLOTH: (u32, u32) = (240, 60);
/// Nobody stops so small a picture.
static NEVER: AtomicBool = AtomicBool::new(false);

/// A piece of the finished cloth of each planned design, as the file itself. A design whose cloth cannot be made is not
/// in it: its bars are yarn.
pub fn cloths(view: &View) -> Cloths {
    let mut all = Cloths::new();
    for lot in &view.planned.mapped.lots {
        let Some(design) = view.workspace.design(&lot.design) else {
            continue;
        };
        if all.contains_key(&design.id) {
            continue;
        }
        let piece = Roll::of(design, view.shop).piece(design.steps.len(), CLOTH, &NEVER);
        if let Some(png) = piece.ok().and_then(|picture| cloth::png(&picture, 96.0).ok()) {
            let address = format!("data:image/png;base64,{}", BASE64_STANDARD.encode(png));
            all.insert(design.id.clone(), address);
        }
    }
    all
}

struct Bar {
    start: Minute,
    end: Minute,
    lot: usize,
    label: String,
    title: String,
}

struct Row {
    name: String,
    about: String,
    lanes: Vec<Vec<Bar>>,
    /// Promise of the lot, and whether it is broken.
    due: Option<(Minute, bool)>,
}

/// The drawing, SVG.
pub fn chart(view: &View, rows: Rows, days: Days, cloths: &Cloths, voice: Voice) -> String {
    let mut pieces = view.pieces();
    let end = view.midnight(days.last) + 1440;
    pieces.retain(|piece| piece.start < end && piece.end > view.midnight(days.first));
    let spans: Vec<(Minute, Minute)> = pieces.iter().map(|piece| (piece.start, piece.end)).collect();
    let axis = Axis::new(view, days, &spans);
    let rows_drawn = match rows {
        Rows::Lots => lots(view, &pieces, voice),
        Rows::Stations => stations(view, &pieces, voice),
    };
    let lane = if axis.day >= ROOMY { LANE.0 } else { LANE.1 };
    let high = |row: &Row| (row.lanes.len() as f64 * lane).max(ROW) + GAP;
    let bottom = TOP + rows_drawn.iter().map(high).sum::<f64>();
    let (question, answer) = match rows {
        Rows::Lots => (
            text!(
                "Where is each lot, and when is it ready?",
                "Di mana tiap partai, dan kapan selesai?"
            ),
            view.kept(voice),
        ),
        Rows::Stations => (
            text!(
                "What is done where, and when?",
                "Apa dikerjakan di mana, dan kapan?"
            ),
            narrow(view, days, voice),
        ),
    };
    let mut svg = open(
        axis.end().max(LEFT + 420.0) + 16.0,
        bottom + 34.0,
        question.raw(voice.language),
        &answer,
    );
    patterns(&mut svg, view, cloths);
    axis.draw(&mut svg, bottom, voice);
    let mut top = TOP;
    for row in &rows_drawn {
        draw(&mut svg, row, top, lane, &axis, voice);
        top += high(row);
        let _ = writeln!(
            svg,
            "<path d=\"M16 {y:.1}H{:.1}\" stroke=\"{EDGE}\" stroke-width=\"0.6\"/>",
            axis.end(),
            y = top - GAP / 2.0
        );
    }
    let foot = match rows {
        Rows::Lots => text!(
            "A lane is a bolt; numbers are steps of the route; a dashed thread is rest or waiting; closed days are left out.",
            "Satu jalur satu gulung; angka adalah langkah alur; benang putus-putus adalah istirahat atau menunggu; hari tutup tidak digambar."
        ),
        Rows::Stations => text!(
            "Names are lots. What lies over a night waits where it is. Closed days are left out.",
            "Nama adalah partai. Yang melewati malam menunggu di tempatnya. Hari tutup tidak digambar."
        ),
    };
    let _ = writeln!(
        svg,
        "<text x=\"16\" y=\"{:.0}\" font-size=\"12\" fill=\"{INK2}\">{}</text>\n</svg>",
        bottom + 18.0,
        words::xml_text(foot.raw(voice.language))
    );
    svg
}

/// The narrow place of some days, in a sentence.
fn narrow(view: &View, days: Days, voice: Voice) -> String {
    match loads(view, days).first() {
        None => text!(
            "Nothing is done on these days.",
            "Tidak ada pekerjaan pada hari-hari ini."
        )
        .raw(voice.language)
        .to_string(),
        Some(load) => say!(
            "The narrow place is {place}: busy {share} % of the hours in which it can be used.",
            "Tempat tersempit adalah {place}: terpakai {share} % dari jam yang tersedia.",
            place = Arg::Name(view.place(load.resource, voice)),
            share = Arg::Number(load.share * 100.0, 0)
        )
        .say(voice),
    }
}

impl View<'_> {
    /// How many promises the plan keeps, in a sentence.
    pub fn kept(&self, voice: Voice) -> String {
        let lots = &self.problem().lots;
        let late = |at: &usize| self.planned.late(*at).is_none_or(|late| late > 0);
        let promised: Vec<usize> = (0..lots.len()).filter(|at| lots[*at].weight > 0).collect();
        let late: Vec<&str> = promised
            .iter()
            .copied()
            .filter(late)
            .map(|at| self.lot(at))
            .collect();
        let n = Arg::Number(promised.len() as f64, 0);
        if late.is_empty() && promised.len() == 1 {
            return say!(
                "The order is ready by its promise, if your minutes are right.",
                "Pesanan selesai sebelum janji, bila menit kerja Anda benar."
            )
            .say(voice);
        }
        if late.is_empty() {
            return say!(
                "All {n} orders are ready by their promise, if your minutes are right.",
                "Semua {n} pesanan selesai sebelum janji, bila menit kerja Anda benar.",
                n = n
            )
            .say(voice);
        }
        say!(
            "{late} of {n} orders are late: {names}.",
            "{late} dari {n} pesanan terlambat: {names}.",
            late = Arg::Number(late.len() as f64, 0),
            n = n,
            names = Arg::Name(late.join(", "))
        )
        .say(voice)
    }

    /// What a bar is, for whoever points at it.
    fn title(&self, piece: &Piece, voice: Voice) -> String {
        let number = piece
            .operation
            .and_then(|operation| self.step(piece.lot, operation));
        let number = number.map_or_else(String::new, |(number, _)| format!("{number} "));
        let bolts = if piece.bolts.is_empty() {
            self.lot(piece.lot).to_string()
        } else {
            self.bolts(&piece.bolts)
        };
        let moment = |minute: Minute| format!("{} {}", day_name(self.date(minute), voice), clock(minute));
        format!(
            "{bolts}: {number}{}, {} - {}",
            self.what(piece, voice),
            moment(piece.start),
            moment(piece.end)
        )
    }
}

fn lots(view: &View, pieces: &[Piece], voice: Voice) -> Vec<Row> {
    let mut lanes: BTreeMap<usize, BTreeMap<u32, Vec<Bar>>> = BTreeMap::new();
    for piece in pieces {
        let first = [(piece.lot, 0)];
        for (lot, bolt) in if piece.bolts.is_empty() {
            &first[..]
        } else {
            &piece.bolts
        } {
            let number = view
                .operation_in(piece, *lot)
                .and_then(|operation| view.step(*lot, operation));
            let label = number.map_or_else(String::new, |(number, _)| number.to_string());
            lanes
                .entry(*lot)
                .or_default()
                .entry(*bolt)
                .or_default()
                .push(Bar {
                    start: piece.start,
                    end: piece.end,
                    lot: *lot,
                    label,
                    title: view.title(piece, voice),
                });
        }
    }
    let row = |(lot, lanes): (usize, BTreeMap<u32, Vec<Bar>>)| Row {
        name: view.called(lot, voice),
        about: view
            .design(lot)
            .map_or_else(String::new, |design| design.name.clone()),
        lanes: lanes.into_values().collect(),
        due: view
            .problem()
            .lots
            .get(lot)
            .filter(|l| l.weight > 0)
            .map(|l| (l.due, view.planned.late(lot).is_none_or(|late| late > 0))),
    };
    lanes.into_iter().map(row).collect()
}

fn stations(view: &View, pieces: &[Piece], voice: Voice) -> Vec<Row> {
    let mut rows: BTreeMap<usize, Vec<Vec<Bar>>> = BTreeMap::new();
    for piece in pieces {
        for (resource, _, start, end) in &piece.holds {
            let designer = piece.operation.is_none();
            if !designer && !view.is_station(*resource) {
                continue;
            }
            let bar = Bar {
                start: *start,
                end: *end,
                lot: piece.lot,
                label: view.lot(piece.lot).to_string(),
                title: view.title(piece, voice),
            };
            let lanes = rows.entry(resource.0).or_default();
            match lanes
                .iter_mut()
                .find(|lane| lane.last().is_none_or(|last| last.end <= *start))
            {
                Some(lane) => lane.push(bar),
                None => lanes.push(vec![bar]),
            }
        }
    }
    let row = |(resource, lanes): (usize, Vec<Vec<Bar>>)| {
        let at = ::plan::ResourceId(resource);
        let places = view.problem().capacity(at);
        Row {
            name: view.place(at, voice),
            about: if places > 1 {
                say!("{n} places", "{n} tempat", n = Arg::Number(f64::from(places), 0)).say(voice)
            } else {
                String::new()
            },
            lanes,
            due: None,
        }
    };
    rows.into_iter().map(row).collect()
}

/// Cloth to cut bars from; yarn where there is none.
fn patterns(svg: &mut String, view: &View, cloths: &Cloths) {
    svg.push_str("<defs>\n");
    for (at, lot) in view.planned.mapped.lots.iter().enumerate() {
        if let Some(cloth) = cloths.get(&lot.design) {
            let _ = writeln!(
                svg,
                "<pattern id=\"lot-{at}\" patternUnits=\"userSpaceOnUse\" width=\"120\" height=\"30\">\
                 <image href=\"{cloth}\" width=\"120\" height=\"30\"/></pattern>"
            );
        }
    }
    svg.push_str("</defs>\n");
}

fn draw(svg: &mut String, row: &Row, top: f64, lane: f64, axis: &Axis, voice: Voice) {
    let _ = writeln!(
        svg,
        "<text x=\"16\" y=\"{:.1}\" font-size=\"14\" font-weight=\"700\" fill=\"{INK}\">{}</text>\
         <text x=\"16\" y=\"{:.1}\" font-size=\"12\" fill=\"{INK2}\">{}</text>",
        top + 13.0,
        words::xml_text(&row.name),
        top + 29.0,
        words::xml_text(&row.about)
    );
    let bottom = top + row.lanes.len() as f64 * lane;
    for (at, bars) in row.lanes.iter().enumerate() {
        let y = top + at as f64 * lane;
        let ends = bars
            .iter()
            .map(|bar| bar.start)
            .min()
            .zip(bars.iter().map(|bar| bar.end).max());
        if let Some((start, end)) = ends.filter(|_| row.due.is_some()) {
            let _ = writeln!(
                svg,
                "<path d=\"M{:.1} {m:.1}H{:.1}\" stroke=\"{THREAD}\" stroke-width=\"1\" stroke-dasharray=\"3 3\"/>",
                axis.x(start),
                axis.x(end),
                m = y + lane / 2.0
            );
        }
        for bar in bars.iter().filter(|bar| axis.shows(bar.start, bar.end)) {
            one(svg, bar, y, lane - 2.0, axis);
        }
    }
    if let Some((due, broken)) = row.due.filter(|(due, _)| axis.shows(due - 1, due + 1)) {
        let (colour, word) = if broken {
            (MENGKUDU, text!("promised, late", "janji, terlambat"))
        } else {
            (DAUN, text!("promised", "janji"))
        };
        let x = axis.x(due);
        let _ = writeln!(
            svg,
            "<path d=\"M{x:.1} {:.1}V{:.1}\" stroke=\"{colour}\" stroke-width=\"2.5\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" text-anchor=\"end\" fill=\"{colour}\" stroke=\"{MORI}\" \
             stroke-width=\"3\" paint-order=\"stroke\">{}</text>",
            top - 3.0,
            bottom.max(top + ROW) + 2.0,
            x - 4.0,
            bottom.max(top + ROW) + 1.0,
            words::xml_text(word.raw(voice.language))
        );
    }
}

fn one(svg: &mut String, bar: &Bar, y: f64, high: f64, axis: &Axis) {
    let (left, right) = (axis.x(bar.start), axis.x(bar.end));
    let wide = (right - left).max(1.5);
    let tab = 6.0 + 6.4 * bar.label.chars().count() as f64;
    let fill = format!("fill=\"{THREAD}\"");
    let _ = write!(
        svg,
        "<g><title>{}</title><rect x=\"{left:.1}\" y=\"{y:.1}\" width=\"{wide:.1}\" height=\"{high:.1}\" {fill}/>\
         <rect x=\"{left:.1}\" y=\"{y:.1}\" width=\"{wide:.1}\" height=\"{high:.1}\" fill=\"url(#lot-{})\" \
         stroke=\"{INK}\" stroke-width=\"0.5\"/>",
        words::xml_text(&bar.title),
        bar.lot
    );
    if tab <= wide && high >= 12.0 && !bar.label.is_empty() {
        let _ = write!(
            svg,
            "<rect x=\"{left:.1}\" y=\"{y:.1}\" width=\"{tab:.1}\" height=\"{high:.1}\" fill=\"{MORI}\" stroke=\"{SOGA}\" \
             stroke-width=\"0.5\"/><text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" text-anchor=\"middle\" \
             fill=\"{INK}\">{}</text>",
            left + tab / 2.0,
            y + 11.5,
            words::xml_text(&bar.label)
        );
    }
    svg.push_str("</g>\n");
}
