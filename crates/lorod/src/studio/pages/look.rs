//! The large picture of a step beside the finished cloth: how near one looks, where, and the seam between them.

use crate::studio::Studio;
use crate::studio::design::Along;
use crate::studio::picture::Cut;
use crate::studio::reader::Reader;
use crate::studio::say::{said, t};
use maud::{Markup, html};
use route::Design;
use units::{Measure, Quantity};
use words::{Arg, Text, say, text};

/// Pixels of the large picture, and its height for its width.
const WIDE: f64 = 960.0;
const TALL: f64 = 0.66;

/// How near one looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Scale {
    Bolt,
    Yard,
    Repeat,
    Thread,
}

impl Scale {
    const ALL: [(Self, &'static str); 4] = [
        (Self::Bolt, "bolt"),
        (Self::Yard, "yard"),
        (Self::Repeat, "repeat"),
        (Self::Thread, "thread"),
    ];

    fn of(reader: &Reader) -> Self {
        let asked = reader.get("scale").unwrap_or("yard");
        Self::ALL
            .into_iter()
            .find(|(_, key)| *key == asked)
            .map_or(Self::Yard, |(scale, _)| scale)
    }
    const fn text(self) -> &'static Text {
        match self {
            Self::Bolt => text!("bolt", "gulung"),
            Self::Yard => text!("yard", "yard"),
            Self::Repeat => text!("repeat", "ulangan"),
            Self::Thread => text!("thread", "benang"),
        }
    }
}

/// What the address chooses.
pub struct Chosen {
    at: usize,
    scale: Scale,
    /// Which bolt, from 0.
    pub bolt: u32,
    x: f64,
    y: f64,
    w: f64,
    h: f64,
}

impl Chosen {
    /// Reads the address.
    pub fn of(design: &Design, at: usize, reader: &Reader) -> Self {
        let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
        let scale = Scale::of(reader);
        let repeat = design
            .stamps
            .first()
            .map_or(200.0, |used| used.stamp.repeat_mm()[0]);
        let w = match scale {
            Scale::Bolt => width,
            Scale::Yard => 914.4,
            Scale::Repeat => repeat * 1.6,
            Scale::Thread => 36.0,
        }
        .min(width);
        let h = if scale == Scale::Bolt {
            length
        } else {
            (w * TALL).min(length)
        };
        let number = |key: &str, otherwise: f64, most: f64| {
            let given = reader
                .get(key)
                .and_then(|v| v.parse::<f64>().ok())
                .filter(|v| v.is_finite());
            given.unwrap_or(otherwise).clamp(0.0, most.max(0.0))
        };
        let bolt = reader
            .get("bolt")
            .and_then(|v| v.parse().ok())
            .filter(|b| *b < 10_000)
            .unwrap_or(0);
        Self {
            at,
            scale,
            bolt,
            x: number("x", (width - w) / 2.0, width - w),
            y: number("y", 900.0, length - h),
            w,
            h,
        }
    }

    /// Pieces side by side: the whole bolt lies in four lengths, everything else in one.
    fn cuts(&self) -> Vec<Cut> {
        if self.scale != Scale::Bolt {
            return vec![Cut::wide(self.x, self.y, self.w, self.h, WIDE)];
        }
        let piece = self.h / 4.0;
        (0..4)
            .map(|k| Cut::wide(0.0, piece * f64::from(k), self.w, piece, WIDE / 4.0))
            .collect()
    }
}

/// The picture, with the seam where there is something to compare.
pub fn table(studio: &Studio, design: &Design, along: &Along, chosen: &Chosen, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let last = design.steps.len().saturating_sub(1);
    let layer = |at: usize, class: &'static str, alt: String| {
        let step = design.steps.get(at).map_or("", |s| s.id.as_str());
        let cuts = chosen.cuts();
        html! {
            div class=(format!("layer {class}")) role="img" aria-label=(alt) {
                @for cut in &cuts {
                    @let (wide, high) = cut.size();
                    img src=(cut.href(studio, design, step, chosen.bolt)) width=(wide) height=(high) alt="";
                }
            }
        }
    };
    let name = |at: usize| {
        design
            .steps
            .get(at)
            .map_or("", |s| t(&s.operation.kind().term.text, voice))
    };
    let conditions: Vec<&str> = along
        .condition(chosen.at + 1)
        .into_iter()
        .map(|text| t(text, voice))
        .collect();
    let after = say!(
        "after {n} {step}: {how}",
        "setelah {n} {step}: {how}",
        n = Arg::Number(chosen.at as f64 + 1.0, 0),
        step = Arg::Name(name(chosen.at).to_lowercase()),
        how = Arg::Name(conditions.join(", "))
    )
    .say(voice);
    let finished = t(text!("finished", "jadi"), voice);
    let alone = chosen.at == last;
    html! {
        div class=(format!("table{}", if chosen.scale == Scale::Bolt { " lengths" } else { "" })) data-seam=[(!alone).then_some("")] {
            p.wait aria-hidden="true" { (t(text!("developing", "sedang digambar"), voice)) }
            @if alone {
                (layer(last, "whole", format!("{}, {finished}", design.name)))
                p.cap.right { (finished) }
            } @else {
                (layer(last, "below", format!("{}, {finished}", design.name)))
                (layer(chosen.at, "over", format!("{}, {after}", design.name)))
                input.pull type="range" min="0" max="100" value="54" hidden
                    aria-label=(t(text!("Pull the seam to compare", "Tarik sambungan untuk membandingkan"), voice));
                div.seam aria-hidden="true" { span { "↔" } }
                p.cap.left { (after) }
                p.cap.right { (finished) }
            }
        }
    }
}

/// What the picture shows, how near one looks, and ways along the bolt.
pub fn under(design: &Design, chosen: &Chosen, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let length = |mm: f64| Arg::Quantity(Quantity::new(mm / 1000.0, Measure::Length));
    let words = if chosen.scale == Scale::Bolt {
        say!(
            "Bolt {bolt}, all of it: four lengths side by side, read from the left.",
            "Gulung {bolt}, seluruhnya: empat potong berdampingan, dibaca dari kiri.",
            bolt = Arg::Number(f64::from(chosen.bolt) + 1.0, 0)
        )
    } else {
        say!(
            "Bolt {bolt}, {y} from its start and {x} from the selvedge; {w} wide.",
            "Gulung {bolt}, {y} dari awal dan {x} dari tepi kain; lebar {w}.",
            bolt = Arg::Number(f64::from(chosen.bolt) + 1.0, 0),
            y = length(chosen.y),
            x = length(chosen.x),
            w = length(chosen.w)
        )
    };
    let (most_x, most_y) = (
        design.cloth.width.to_mm() - chosen.w,
        design.cloth.length.to_mm() - chosen.h,
    );
    let to = |key: &str, from: f64, by: f64, most: f64| {
        let value = (from + by).clamp(0.0, most.max(0.0));
        ((value - from).abs() > 0.5).then(|| reader.here(&[(key, &format!("{value:.0}"))]))
    };
    let ways = [
        (
            "←",
            text!("left", "kiri"),
            to("x", chosen.x, -0.8 * chosen.w, most_x),
        ),
        (
            "→",
            text!("right", "kanan"),
            to("x", chosen.x, 0.8 * chosen.w, most_x),
        ),
        (
            "↑",
            text!("back along the bolt", "mundur di gulungan"),
            to("y", chosen.y, -0.8 * chosen.h, most_y),
        ),
        (
            "↓",
            text!("on along the bolt", "maju di gulungan"),
            to("y", chosen.y, 0.8 * chosen.h, most_y),
        ),
    ];
    let next = reader.here(&[("bolt", &(chosen.bolt + 1).to_string())]);
    let previous = chosen
        .bolt
        .checked_sub(1)
        .map(|b| reader.here(&[("bolt", &b.to_string())]));
    html! {
        div.under {
            p.small { (said(&words, voice)) }
            div.seg role="group" aria-label=(t(text!("How near", "Seberapa dekat"), voice)) {
                @for (scale, key) in Scale::ALL {
                    a href=(reader.here(&[("scale", key), ("x", ""), ("y", "")])) aria-current=[(scale == chosen.scale).then_some("true")] {
                        (t(scale.text(), voice))
                    }
                }
            }
            div.ways role="group" aria-label=(t(text!("Where", "Di mana"), voice)) {
                @if chosen.scale != Scale::Bolt {
                    @for (sign, word, href) in &ways {
                        @if let Some(href) = href { a href=(href) aria-label=(t(word, voice)) { (sign) } }
                    }
                }
                @if let Some(href) = previous { a href=(href) { (t(text!("bolt before", "gulung sebelumnya"), voice)) } }
                a href=(next) { (t(text!("next bolt", "gulung berikutnya"), voice)) }
            }
        }
    }
}
