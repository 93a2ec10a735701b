//! The season as a drawing: a row for each strike-off round and order, weeks side by side, visits as bands.

use super::{DesignSeason, Season};
use crate::facts::views::chart::Cloths;
use crate::facts::views::svg::{DAUN, EDGE, HAIR, INK, INK2, MENGKUDU, MORI, NILA, SOGA, THREAD, open};
use crate::facts::views::{View, day_name};
use sky::{Date, Weekday};
use std::fmt::Write as _;
use words::{Arg, Text, Voice, say, text};

/// Room for names, for the heading; height of a row; space between designs.
const LEFT: f64 = 210.0;
const TOP: f64 = 112.0;
const ROW: f64 = 24.0;
const GAP: f64 = 16.0;
/// Least width of a round with its number; room for a flag and its day.
const NUMBER: f64 = 12.0;
const FLAG: f64 = 90.0;
/// Width of all days.
const WIDE: f64 = 1120.0;

struct Axis {
    first: Date,
    day: f64,
}

impl Axis {
    fn x(&self, day: Date) -> f64 {
        LEFT + self.day * f64::from(day.days - self.first.days)
    }
}

/// The drawing, SVG.
pub fn picture(view: &View, season: &Season, cloths: &Cloths, voice: Voice) -> String {
    let raw = |text: &'static Text| words::xml_text(text.raw(voice.language));
    let early = season.designs.iter().flat_map(|d| [d.artwork, d.stamp]).flatten();
    let first = early.chain([view.problem().first_day]).min().unwrap_or_default();
    let ends = season
        .designs
        .iter()
        .flat_map(|d| &d.orders)
        .map(|o| o.ships.max(o.ready));
    let last = ends.max().unwrap_or(first).plus(7);
    let axis = Axis {
        first,
        day: WIDE / f64::from((last.days - first.days).max(7)),
    };
    let high =
        |design: &DesignSeason| ROW * (1 + design.rounds.len().min(1) + design.orders.len()) as f64 + GAP;
    let bottom = TOP + season.designs.iter().map(high).sum::<f64>();
    let answer = {
        let kept = view.kept(voice);
        let visits = say!(
            "{n} visits fall into it.",
            "{n} kunjungan di dalamnya.",
            n = Arg::Number(season.visits.len() as f64, 0)
        );
        format!("{kept} {}", visits.say(voice))
    };
    let mut svg = open(
        LEFT + WIDE + 24.0,
        bottom + 50.0,
        text!(
            "When is what due, from artwork to ship?",
            "Kapan apa harus selesai, dari gambar sampai kirim?"
        )
        .raw(voice.language),
        &answer,
    );
    svg.push_str("<defs>\n");
    for (id, cloth) in cloths {
        let _ = writeln!(
            svg,
            "<pattern id=\"cloth-{}\" patternUnits=\"userSpaceOnUse\" width=\"120\" height=\"30\">\
             <image href=\"{cloth}\" width=\"120\" height=\"30\"/></pattern>",
            words::xml_text(id)
        );
    }
    svg.push_str("</defs>\n");
    for (from, to) in &season.visits {
        let x = axis.x(*from);
        let _ = writeln!(
            svg,
            "<rect x=\"{x:.1}\" y=\"{:.0}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{NILA}\" fill-opacity=\"0.12\"/>\
             <text x=\"{x:.1}\" y=\"{:.0}\" font-size=\"12\" font-weight=\"700\" fill=\"{NILA}\">{}</text>",
            TOP - 22.0,
            axis.x(to.plus(1)) - x,
            bottom - TOP + 22.0,
            TOP - 26.0,
            raw(text!("visit", "kunjungan"))
        );
    }
    weeks(&mut svg, &axis, last, bottom, voice);
    let mut top = TOP;
    for design in &season.designs {
        draw(&mut svg, view, design, &axis, top, voice);
        top += high(design);
        let _ = writeln!(
            svg,
            "<path d=\"M16 {y:.1}H{:.1}\" stroke=\"{EDGE}\" stroke-width=\"0.6\"/>",
            LEFT + WIDE,
            y = top - GAP / 2.0
        );
    }
    let _ = writeln!(
        svg,
        "<text x=\"16\" y=\"{:.0}\" font-size=\"12\" fill=\"{INK2}\">{}</text>\n</svg>",
        bottom + 24.0,
        raw(text!(
            "Square: drawing finished. Triangle: stamp ordered. White bar: strike-off. Ring: approved. Cloth: bulk, framed where it is inspected and packed. Flag: ships.",
            "Kotak: gambar selesai. Segitiga: cap dipesan. Batang putih: contoh. Cincin: acc. Kain: produksi, berbingkai saat inspeksi dan kemas. Bendera: kirim."
        ))
    );
    svg
}

fn weeks(svg: &mut String, axis: &Axis, last: Date, bottom: f64, voice: Voice) {
    let mut free = f64::MIN;
    for day in (axis.first.days..=last.days).map(|days| Date { days }) {
        if day.weekday() != Weekday::Monday {
            continue;
        }
        let x = axis.x(day);
        let _ = writeln!(
            svg,
            "<path d=\"M{x:.1} {:.0}V{bottom:.0}\" stroke=\"{HAIR}\" stroke-width=\"0.7\"/>",
            TOP - 6.0
        );
        if x >= free {
            free = x + 56.0;
            // `Mon 7 Dec` without its weekday: all of them are Mondays.
            let name = day_name(day, voice);
            let name = name.split_once(' ').map_or(name.as_str(), |(_, rest)| rest);
            let _ = writeln!(
                svg,
                "<text x=\"{:.1}\" y=\"{:.0}\" font-size=\"11\" fill=\"{INK2}\">{}</text>",
                x + 2.0,
                TOP - 9.0,
                words::xml_text(name)
            );
        }
    }
}

fn draw(svg: &mut String, view: &View, design: &DesignSeason, axis: &Axis, top: f64, voice: Voice) {
    let label = |svg: &mut String, y: f64, text: &str, bold: bool| {
        let (weight, colour, size) = if bold { (700, INK, 14) } else { (400, INK2, 12) };
        let _ = writeln!(
            svg,
            "<text x=\"16\" y=\"{:.1}\" font-size=\"{size}\" font-weight=\"{weight}\" fill=\"{colour}\">{}</text>",
            y + 15.0,
            words::xml_text(text)
        );
    };
    label(svg, top, &design.name, true);
    let m = top + ROW / 2.0;
    if let (Some(artwork), Some(stamp)) = (design.artwork, design.stamp) {
        let (a, s) = (axis.x(artwork), axis.x(stamp));
        let _ = writeln!(
            svg,
            "<path d=\"M{a:.1} {m:.1}H{s:.1}\" stroke=\"{THREAD}\" stroke-dasharray=\"3 3\"/>\
             <rect x=\"{:.1}\" y=\"{:.1}\" width=\"10\" height=\"10\" fill=\"{SOGA}\"><title>{}</title></rect>",
            a - 5.0,
            m - 5.0,
            words::xml_text(&day_name(artwork, voice))
        );
    }
    if let Some(stamp) = design.stamp {
        let x = axis.x(stamp);
        let _ = writeln!(
            svg,
            "<path d=\"M{x:.1} {:.1}l7 12h-14z\" fill=\"{SOGA}\"><title>{}</title></path>\
             <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" fill=\"{INK2}\">{}</text>",
            m - 7.0,
            words::xml_text(&day_name(stamp, voice)),
            x + 10.0,
            m + 4.0,
            words::xml_text(
                &say!(
                    "stamp by {day}",
                    "cap {day}",
                    day = Arg::Name(day_name(stamp, voice))
                )
                .say(voice)
            )
        );
    }
    let mut y = top + ROW;
    if !design.rounds.is_empty() {
        label(svg, y, text!("strike-off", "contoh").raw(voice.language), false);
        for (n, (lot, from, to, approved)) in design.rounds.iter().enumerate() {
            let (x, end) = (axis.x(*from), axis.x(to.plus(1)));
            let _ = writeln!(
                svg,
                "<rect x=\"{x:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"15\" fill=\"{MORI}\" stroke=\"{INK}\">\
                 <title>{}</title></rect>\
                 <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" text-anchor=\"middle\" fill=\"{INK}\">{}</text>",
                y + 4.0,
                (end - x).max(NUMBER),
                words::xml_text(&format!(
                    "{}: {} - {}",
                    view.called(*lot, voice),
                    day_name(*from, voice),
                    day_name(*to, voice)
                )),
                x + (end - x).max(NUMBER) / 2.0,
                y + 15.0,
                n + 1
            );
            if let Some(day) = approved {
                // Beside its round, also where it is approved on the day it is done.
                let x = (axis.x(*day) + axis.day / 2.0).max(x + (end - x).max(NUMBER) + 9.0);
                let _ = writeln!(
                    svg,
                    "<circle cx=\"{x:.1}\" cy=\"{:.1}\" r=\"6\" fill=\"none\" stroke=\"{DAUN}\" stroke-width=\"3\">\
                     <title>{}</title></circle>",
                    y + 11.5,
                    words::xml_text(&day_name(*day, voice))
                );
            }
        }
        y += ROW;
    }
    for order in &design.orders {
        let bolts = view.problem().lots.get(order.lot).map_or(0, |lot| lot.bolts);
        let name = say!(
            "{lot}, {n} bolts",
            "{lot}, {n} gulung",
            lot = Arg::Name(view.lot(order.lot).to_string()),
            n = Arg::Number(f64::from(bolts), 0)
        );
        label(svg, y, &name.say(voice), false);
        let (x, inspected, end) = (
            axis.x(order.starts),
            axis.x(order.inspected),
            axis.x(order.ready.plus(1)),
        );
        let _ = writeln!(
            svg,
            "<g><title>{}</title><rect x=\"{x:.1}\" y=\"{t:.1}\" width=\"{w:.1}\" height=\"15\" fill=\"{THREAD}\"/>\
             <rect x=\"{x:.1}\" y=\"{t:.1}\" width=\"{w:.1}\" height=\"15\" fill=\"url(#cloth-{})\" stroke=\"{INK}\" \
             stroke-width=\"0.5\"/><rect x=\"{inspected:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"19\" fill=\"none\" \
             stroke=\"{INK}\" stroke-width=\"1.6\"/></g>",
            words::xml_text(&format!(
                "{}: {} - {}",
                view.lot(order.lot),
                day_name(order.starts, voice),
                day_name(order.ready, voice)
            )),
            words::xml_text(&design.id),
            y + 2.0,
            (end - inspected).max(3.0),
            t = y + 4.0,
            w = (end - x).max(4.0)
        );
        let (colour, ships) = (
            if order.late { MENGKUDU } else { DAUN },
            axis.x(order.ships.plus(1)),
        );
        // Where there is no room to the right, the day stands before its flag.
        let anchor = if ships + FLAG > LEFT + WIDE {
            "end"
        } else {
            "start"
        };
        let word = if order.late {
            say!(
                "late, {day}",
                "terlambat, {day}",
                day = Arg::Name(day_name(order.ships, voice))
            )
        } else {
            say!("{day}", "{day}", day = Arg::Name(day_name(order.ships, voice)))
        };
        let _ = writeln!(
            svg,
            "<path d=\"M{ships:.1} {:.1}v18M{ships:.1} {:.1}h11l-3 4l3 4h-11\" stroke=\"{colour}\" stroke-width=\"1.6\" \
             fill=\"{colour}\"/><text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" text-anchor=\"{anchor}\" fill=\"{colour}\" \
             stroke=\"{MORI}\" stroke-width=\"3\" paint-order=\"stroke\">{}</text>",
            y + 3.0,
            y + 3.0,
            if anchor == "end" {
                ships - 4.0
            } else {
                ships + 14.0
            },
            y + 15.0,
            words::xml_text(&word.say(voice))
        );
        y += ROW;
    }
}
