//! A stamp on the page: its wax, its repeat, a ruler, and places with numbered flags. Millimetres.

use super::length;
use crate::studio::say::t;
use maud::{Markup, html};
use route::StampUse;
use stamp::{Area, Bounds, Point};
use std::fmt::Write as _;
use units::System;
use words::{Voice, Weight, text};

/// What a mark says.
pub struct Mark<'a> {
    /// Its number in the list.
    pub number: usize,
    /// `stop`, `look`, `note` or `good`.
    pub class: &'static str,
    /// Id of the line about it.
    pub to: &'a str,
    /// In words.
    pub title: &'a str,
}

/// The sheet that a stamp is drawn on: the repeat, and what reaches over it.
pub struct Sheet {
    page: Bounds,
    repeat: [f64; 2],
    /// Height of a letter, mm.
    letter: f64,
    taken: Vec<Bounds>,
}

impl Sheet {
    /// For a drawing with so many flags: few may be large.
    pub fn new(area: &Area, repeat: [f64; 2], flags: usize) -> Self {
        let frame = Bounds::sized(repeat[0], repeat[1]);
        let around = area.bounds().map_or(frame, |b| b.with(&frame));
        let side = around.width().max(around.height());
        let mut page = around.grown(side * 0.035);
        let letter = side / if flags > 24 { 50.0 } else { 36.0 };
        page.high[1] += 3.2 * letter;
        Self {
            page,
            repeat,
            letter,
            taken: Vec::new(),
        }
    }

    /// Keeps places free of flags: rings that are drawn around them.
    pub fn keep_clear(&mut self, places: impl Iterator<Item = (Point, f64)>) {
        let ring = |(at, reach): (Point, f64)| {
            // Half of a ring may lie under a flag; its middle may not.
            let r = self.radius(reach) * 0.7;
            Bounds {
                low: [at[0] - r, at[1] - r],
                high: [at[0] + r, at[1] + r],
            }
        };
        let rings: Vec<Bounds> = places.map(ring).collect();
        self.taken.extend(rings);
    }

    /// Radius of the ring around a place that reaches so far.
    fn radius(&self, reach: f64) -> f64 {
        (reach + 0.3 * self.letter).clamp(0.75 * self.letter, 4.0 * self.letter)
    }

    /// Left, top, width and height, as an SVG says it.
    pub fn view(&self) -> String {
        let [x, y] = self.page.low;
        format!("{x:.2} {y:.2} {:.2} {:.2}", self.page.width(), self.page.height())
    }

    /// Height of the drawing for its width.
    pub fn tall(&self) -> f64 {
        self.page.height() / self.page.width()
    }

    /// The drawing with what stands on it.
    pub fn draw(&self, label: &str, inside: &Markup, voice: Voice) -> Markup {
        html! {
            svg.stamp viewBox=(self.view()) width="1000" height=(format!("{:.0}", 1000.0 * self.tall())) role="group" aria-label=(label) {
                (inside)
                rect.repeat width=(n(self.repeat[0])) height=(n(self.repeat[1])) stroke-width=(n(self.letter * 0.07)) stroke-dasharray=(n(self.letter * 0.4)) {}
                (self.ruler(voice))
            }
        }
    }

    /// A length to measure by eye, under the drawing.
    fn ruler(&self, voice: Voice) -> Markup {
        let unit = if voice.system == System::Imperial {
            25.4
        } else {
            10.0
        };
        let long = [10.0, 5.0, 2.0, 1.0]
            .map(|k| k * unit)
            .into_iter()
            .find(|mm| *mm < 0.6 * self.page.width())
            .unwrap_or(unit);
        let (x, y, l) = (0.0, self.page.high[1] - 1.5 * self.letter, self.letter);
        html! {
            g.ruler stroke-width=(n(l * 0.1)) {
                path d=(format!("M{x:.2} {:.2}V{:.2}M{x:.2} {y:.2}H{:.2}M{:.2} {:.2}V{:.2}", y - l * 0.5, y + l * 0.5, x + long, x + long, y - l * 0.5, y + l * 0.5)) {}
                text x=(n(x + long + 0.6 * l)) y=(n(y + 0.38 * l)) font-size=(n(l * 1.05)) { (length(long, voice)) }
            }
        }
    }

    /// A ring around a place, and its number on a flag if there is room for one. It leads to the line about it.
    pub fn mark(&mut self, at: Point, reach: f64, mark: &Mark) -> Markup {
        let Mark {
            number,
            class,
            to,
            title,
        } = mark;
        let class = *class;
        let r = self.radius(reach);
        // What there is only to know gets no flag: it would hide what must change.
        let flag = if class == "note" {
            None
        } else {
            self.flag(at, r, *number)
        };
        let l = self.letter;
        html! {
            a.mark.(class) href=(format!("#{to}")) id=(format!("at-{to}")) {
                title { (title) }
                circle.halo cx=(n(at[0])) cy=(n(at[1])) r=(n(r)) stroke-width=(n(l * 0.34)) {}
                circle.ring cx=(n(at[0])) cy=(n(at[1])) r=(n(r)) stroke-width=(n(l * 0.16)) stroke-dasharray=[dashes(class, l)] {}
                @if let Some(b) = flag {
                    @let (x, y) = ((b.low[0] + b.high[0]) / 2.0, (b.low[1] + b.high[1]) / 2.0);
                    @let away = ((x - at[0]).powi(2) + (y - at[1]).powi(2)).sqrt().max(1e-6);
                    path.pole d=(format!("M{:.2} {:.2}L{x:.2} {y:.2}", at[0] + (x - at[0]) * r / away, at[1] + (y - at[1]) * r / away)) stroke-width=(n(l * 0.1)) {}
                    rect.flag x=(n(b.low[0])) y=(n(b.low[1])) width=(n(b.width())) height=(n(b.height())) {}
                    text.number x=(n(x)) y=(n(y + 0.36 * l)) font-size=(n(l)) text-anchor="middle" { (number) }
                }
            }
        }
    }

    /// A free place for a flag near a ring.
    fn flag(&mut self, at: Point, r: f64, number: usize) -> Option<Bounds> {
        let l = self.letter;
        let half = [l * (0.34 + 0.32 * number.to_string().len() as f64), l * 0.72];
        let spots = (0..3)
            .flat_map(|far| (0..8).map(move |way| (far, way)))
            .map(|(far, way)| {
                let angle = -0.8 - f64::from(way) * std::f64::consts::FRAC_PI_4;
                let d = r + l * (1.1 + 1.3 * f64::from(far));
                let [x, y] = [at[0] + d * angle.cos(), at[1] + d * angle.sin()];
                Bounds {
                    low: [x - half[0], y - half[1]],
                    high: [x + half[0], y + half[1]],
                }
            });
        let inside =
            |b: &Bounds| (0..2).all(|k| b.low[k] >= self.page.low[k] && b.high[k] <= self.page.high[k]);
        let free = spots
            .into_iter()
            .find(|b| inside(b) && !self.taken.iter().any(|t| t.meets(b)))?;
        self.taken.push(free);
        Some(free)
    }
}

/// Rings say the weight by their stroke: whole, dashed, dotted.
fn dashes(class: &str, letter: f64) -> Option<String> {
    let of = |on: f64, off: f64| Some(format!("{:.2} {:.2}", letter * on, letter * off));
    match class {
        "look" => of(0.5, 0.28),
        "note" => of(0.16, 0.24),
        _ => None,
    }
}

/// Class of a mark of this weight.
pub const fn class(weight: Weight) -> &'static str {
    match weight {
        Weight::Wrong => "stop",
        Weight::Doubtful => "look",
        Weight::Note => "note",
    }
}

/// The rings of an area as path data, hundredths of a millimetre.
pub fn path(area: &Area) -> String {
    let mut d = String::new();
    for ring in area.rings() {
        for (k, p) in ring.iter().enumerate() {
            // Writing to a string does not fail.
            let _ = write!(d, "{}{:.2} {:.2}", if k == 0 { "M" } else { "L" }, p[0], p[1]);
        }
        d.push('Z');
    }
    d
}

/// The drawing alone, while it is looked at.
pub fn plain(used: &StampUse, voice: Voice) -> Markup {
    let sheet = Sheet::new(used.stamp.area(), used.stamp.repeat_mm(), 0);
    let wax = html! { path.wax fill-rule="evenodd" d=(path(used.stamp.area())) {} };
    html! { div.mori.paper { (sheet.draw(t(text!("The stamp as drawn", "Cap seperti digambar"), voice), &wax, voice)) } }
}

/// A number in a drawing.
pub fn n(v: f64) -> String {
    format!("{v:.2}")
}
