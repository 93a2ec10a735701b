//! Before and after in one picture, and the proposed drawing as artwork.

use super::{Change, Cure, Proposal};
use crate::area::{Area, Bounds};
use crate::check::{Labels, path_data};
use crate::drawing::drawing;
use std::fmt::Write as _;
use words::{Arg, Voice, say};

/// Kept wax, added wax, removed wax.
const WAX: &str = "#d3cdbd";
const ADDED: &str = "#1d5a43";
const REMOVED: &str = "#c2273f";

impl Proposal {
    /// The drawing with what is added in green and what is taken away in red, each change with its number;
    /// refused ones are only outlined. Below it what was done, and whether the result can be built.
    pub fn picture(&self, voice: Voice) -> String {
        let [w, h] = self.before.repeat_mm;
        let frame = Bounds::sized(w, h);
        let around = self.before.area.bounds().map_or(frame, |b| b.with(&frame));
        let side = around.width().max(around.height());
        let (room, letter) = (side * 0.04, side / 62.0);
        let page = around.grown(room);
        let rows = self.rows(voice);
        let height = page.height() + letter * (5.5 + 1.7 * rows.len() as f64);
        let question = say!(
            "What must change before copper can be bent to it?",
            "Apa yang harus diubah sebelum bisa dibuat dari tembaga?"
        )
        .say(voice);
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{pw:.2}mm\" height=\"{height:.2}mm\" viewBox=\"{x0:.2} {y0:.2} {pw:.2} {height:.2}\" font-family=\"Work, Noto Sans, sans-serif\" fill=\"#1a2030\">\n\
             <title>{t}</title>\n\
             <rect x=\"{x0:.2}\" y=\"{y0:.2}\" width=\"{pw:.2}\" height=\"{height:.2}\" fill=\"#fbfbfa\"/>\n\
             <path fill=\"{WAX}\" fill-rule=\"evenodd\" d=\"{d}\"/>\n\
             <rect width=\"{w:.2}\" height=\"{h:.2}\" fill=\"none\" stroke=\"#747a83\" stroke-width=\"{s:.2}\" stroke-dasharray=\"{dash:.2}\"/>\n",
            pw = page.width(),
            x0 = page.low[0],
            y0 = page.low[1],
            t = words::xml_text(&question),
            d = path_data(&self.before.area, |p| p),
            s = letter / 16.0,
            dash = letter / 2.0,
        );
        for change in &self.changes {
            paint(&mut svg, &change.added, ADDED, change.kept, letter);
            paint(&mut svg, &change.removed, REMOVED, change.kept, letter);
        }
        let mut labels = Labels::new(page, letter);
        for change in &self.changes {
            labels.put(&mut svg, change.at, change.id, colour(change));
        }
        let x = around.low[0];
        let mut y = page.high[1] + letter * 1.6;
        let _ = writeln!(
            svg,
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{:.2}\" font-weight=\"700\">{}</text>",
            letter * 1.5,
            words::xml_text(&question)
        );
        y += letter * 2.2;
        for (colour, text) in rows {
            let _ = writeln!(
                svg,
                "<rect x=\"{x:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"{letter:.2}\" fill=\"{colour}\"/><text x=\"{:.2}\" y=\"{y:.2}\" font-size=\"{letter:.2}\">{}</text>",
                y - letter * 0.85,
                letter,
                x + letter * 1.6,
                words::xml_text(&text)
            );
            y += letter * 1.7;
        }
        svg.push_str("</svg>\n");
        svg
    }

    /// What was done, by kind, with the numbers of the changes.
    fn rows(&self, voice: Voice) -> Vec<(&'static str, String)> {
        let mut kinds: Vec<Cure> = self.changes.iter().map(|c| c.cure).collect();
        kinds.sort();
        kinds.dedup();
        let mut rows: Vec<(&'static str, String)> = kinds
            .into_iter()
            .map(|cure| {
                let all: Vec<&Change> = self.changes.iter().filter(|c| c.cure == cure).collect();
                let mm2: f64 = all.iter().filter(|c| c.kept).map(|c| c.mm2()).sum();
                let numbers: Vec<String> = all.iter().take(24).map(|c| c.id.to_string()).collect();
                let more = if all.len() > 24 { ", \u{2026}" } else { "" };
                let text = say!(
                    "{cure}: {ids} ({area} mm2)",
                    "{cure}: {ids} ({area} mm2)",
                    cure = Arg::Text(cure.text()),
                    ids = Arg::Name(format!("{}{more}", numbers.join(", "))),
                    area = Arg::Number(mm2, 1)
                );
                (
                    all.first()
                        .map_or(WAX, |c| if c.removed.is_empty() { ADDED } else { REMOVED }),
                    text.say(voice),
                )
            })
            .collect();
        let sum = self.sum().map(|line| line.say(voice)).join(" ");
        rows.push(("#1a2030", sum));
        rows
    }

    /// The result as [`drawing()`].
    pub fn drawing(&self) -> String {
        drawing(self.area(), self.before.repeat_mm)
    }
}

fn colour(change: &Change) -> &'static str {
    match (change.kept, change.removed.is_empty()) {
        (false, _) => "#747a83",
        (true, true) => ADDED,
        (true, false) => REMOVED,
    }
}

fn paint(svg: &mut String, area: &Area, colour: &str, kept: bool, letter: f64) {
    if area.is_empty() {
        return;
    }
    let d = path_data(area, |p| p);
    let how = if kept {
        format!("fill=\"{colour}\" fill-rule=\"evenodd\"")
    } else {
        format!(
            "fill=\"none\" stroke=\"#747a83\" stroke-width=\"{:.2}\" stroke-dasharray=\"{:.2}\"",
            letter * 0.1,
            letter * 0.25
        )
    };
    let _ = writeln!(svg, "<path d=\"{d}\" {how}/>");
}
