//! A week of the plan as a drawing: bars cut from the lot's cloth, nights as double lines.

use crate::facts::views::day_name;
use maud::{Markup, PreEscaped, html};
use plan::{Bar, Gantt, Row};
use sky::Date;
use std::ops::Range;
use words::{Arg, Voice, say};

/// Width of the drawing, in units that are pixels on a wide screen.
const WIDE: f64 = 1132.0;
/// Height of the heading, of a lane, and between rows.
const HEAD: f64 = 46.0;
const LANE: f64 = 17.0;
const GAP: f64 = 14.0;
/// Ordinary working hours; a day is drawn wider if something happens outside of them.
const DAY: Range<i64> = 7 * 60..17 * 60;
/// Least height of a row, so that its label beside it has room.
const ROW: f64 = 34.0;

/// Chance of rain in an hour of a day, if it is known.
pub type Rain<'a> = dyn Fn(Date, i64) -> Option<f64> + 'a;

/// Chance from which an hour is drawn as a wet one (a choice of the house, assumed).
const WET: f64 = 0.3;

/// What a bar shows beside its cloth.
pub trait Labels {
    /// Short label on the bar: a step's number, a lot's name.
    fn label(&self, bar: &Bar) -> String;
    /// All of it in words, for whoever points at it.
    fn title(&self, bar: &Bar) -> String;
    /// Are the bars of a lane one piece of cloth that rests or waits between them?
    fn threads(&self) -> bool;
}

/// The time axis of some days: nights are left out.
pub struct Axis {
    /// Midnight of the day, and the minutes of it that are drawn.
    days: Vec<(i64, Range<i64>)>,
    scale: f64,
}

impl Axis {
    /// The axis of some days of a plan.
    pub fn new(gantt: &Gantt, days: Range<usize>) -> Self {
        let bars = || gantt.by_lot.iter().flat_map(|row| &row.lanes).flatten();
        let days: Vec<(i64, Range<i64>)> = gantt
            .days
            .get(days)
            .unwrap_or(&[])
            .iter()
            // A day on which nothing begins or ends is a night: Sunday, while wax waits on the table.
            .filter(|(_, _, midnight)| {
                let today = |minute: i64| (*midnight..midnight + 1440).contains(&minute);
                bars().any(|bar| today(bar.start) || today(bar.end))
            })
            .map(|(_, _, midnight)| {
                let here = |minute: &i64| (0..1440).contains(minute);
                let first = bars()
                    .map(|b| b.start - midnight)
                    .filter(here)
                    .min()
                    .unwrap_or(DAY.start);
                let last = bars()
                    .filter(|b| here(&(b.start - midnight)) && b.end - midnight <= 1440)
                    .map(|b| b.end - midnight)
                    .max()
                    .unwrap_or(DAY.end);
                let hour = |m: i64| m.div_euclid(60) * 60;
                (
                    *midnight,
                    hour(first.min(DAY.start))..hour(last.max(DAY.end) + 59),
                )
            })
            .collect();
        let minutes: i64 = days.iter().map(|(_, r)| r.end - r.start).sum();
        Self {
            days,
            scale: WIDE / minutes.max(1) as f64,
        }
    }

    /// Minutes that are drawn.
    pub fn span(&self) -> Range<i64> {
        let first = self.days.first().map_or(0, |(midnight, r)| midnight + r.start);
        let last = self.days.last().map_or(0, |(midnight, r)| midnight + r.end);
        first..last
    }

    fn x(&self, minute: i64) -> f64 {
        let mut x = 0.0;
        for (midnight, r) in &self.days {
            let inside = (minute - midnight).clamp(r.start, r.end) - r.start;
            x += inside as f64 * self.scale;
        }
        x
    }
}

/// What a row is called.
pub struct Name {
    /// Its name.
    pub label: String,
    /// What is said under it.
    pub about: String,
    /// Where that leads.
    pub href: Option<String>,
    /// Is it the narrow place?
    pub narrow: bool,
}

/// Names of the rows, as high as the rows: a drawing of its own, so that it stands still while the hours scroll.
pub fn names(rows: &[Row], name: impl Fn(&Row) -> Name) -> Markup {
    let high = HEAD + rows.iter().map(row_height).sum::<f64>();
    html! {
        svg.row-names viewBox=(format!("0 0 172 {high:.0}")) width="172" height=(format!("{high:.0}")) {
            @for (at, row) in rows.iter().enumerate() {
                @let top = HEAD + rows.iter().take(at).map(row_height).sum::<f64>();
                @let name = name(row);
                text.row x="0" y=(format!("{:.1}", top + 12.0)) { (name.label) }
                @if let Some(href) = &name.href {
                    a href=(href) { text x="0" y=(format!("{:.1}", top + 29.0)) { (name.about) } }
                } @else {
                    text x="0" y=(format!("{:.1}", top + 29.0)) { (name.about) }
                }
                @if name.narrow { line.narrow-place x1="0" x2="160" y1=(format!("{:.1}", top + 35.0)) y2=(format!("{:.1}", top + 35.0)) {} }
            }
        }
    }
}

/// Pixels of a row: its lanes, or the least.
fn row_height(row: &Row) -> f64 {
    (row.lanes.len() as f64 * LANE).max(ROW) + GAP
}

/// What all drawings of a page share.
pub struct Hours<'a> {
    /// The plan.
    pub gantt: &'a Gantt,
    /// Its days that are drawn.
    pub axis: &'a Axis,
    /// The address of each lot's cloth.
    pub cloth: &'a [String],
    /// Rain by the hour.
    pub rain: &'a Rain<'a>,
    /// The reader.
    pub voice: Voice,
}

/// The drawing; `name` tells the drawings of a page apart.
pub fn drawing(hours: &Hours, rows: &[Row], name: &str, labels: &dyn Labels) -> Markup {
    let Hours {
        gantt,
        axis,
        cloth,
        rain,
        voice,
    } = *hours;
    let high = HEAD + rows.iter().map(row_height).sum::<f64>();
    html! {
        svg.gantt viewBox=(format!("0 0 {WIDE} {high:.0}")) width=(WIDE) height=(format!("{high:.0}")) aria-hidden="true" {
            defs {
                @for (at, href) in cloth.iter().enumerate() {
                    pattern id=(format!("{name}-{at}")) patternUnits="userSpaceOnUse" width="240" height="48" {
                        image href=(href) width="240" height="48" preserveAspectRatio="xMidYMid slice" {}
                    }
                }
                pattern id=(format!("{name}-rain")) patternUnits="userSpaceOnUse" width="9" height="9" { path.rain d="M2 8L6 1" {} }
            }
            (wet(gantt, axis, (name, high), rain, voice))
            (heading(gantt, axis, high, voice))
            @for (at, row) in rows.iter().enumerate() {
                @let top = HEAD + rows.iter().take(at).map(row_height).sum::<f64>();
                line.base x1="0" x2=(WIDE) y1=(format!("{:.1}", top + row_height(row) - GAP / 2.0)) y2=(format!("{:.1}", top + row_height(row) - GAP / 2.0)) {}
                @for (lane, bars) in row.lanes.iter().enumerate() {
                    @if labels.threads() { (thread(bars, axis, top + lane as f64 * LANE + (LANE - 2.0) / 2.0)) }
                    @for bar in bars.iter().filter(|bar| axis.shows(bar)) {
                        (one(bar, axis, top + lane as f64 * LANE, name, labels))
                    }
                }
            }
        }
    }
}

impl Axis {
    /// Is anything of the bar on the axis?
    pub fn shows(&self, bar: &Bar) -> bool {
        let span = self.span();
        bar.start < span.end && bar.end > span.start
    }
}

/// Rest and waiting between the bars of one lane.
fn thread(bars: &[Bar], axis: &Axis, y: f64) -> Markup {
    let start = bars.iter().map(|bar| bar.start).min().unwrap_or(0);
    let end = bars.iter().map(|bar| bar.end).max().unwrap_or(0);
    let (left, right) = (axis.x(start), axis.x(end));
    html! { @if right > left { line.rests x1=(format!("{left:.1}")) x2=(format!("{right:.1}")) y1=(format!("{y:.1}")) y2=(format!("{y:.1}")) {} } }
}

/// Hours with a chance of rain that is worth drawing, and for each day the largest.
fn wet(gantt: &Gantt, axis: &Axis, (name, high): (&str, f64), rain: &Rain, voice: Voice) -> Markup {
    let days = axis.days.iter().filter_map(|(midnight, hours)| {
        let date = gantt.days.iter().find(|(_, _, m)| m == midnight)?.0;
        let chances = (hours.start / 60..hours.end / 60).filter_map(|hour| Some((hour, rain(date, hour)?)));
        let chances: Vec<(i64, f64)> = chances.collect();
        let most = chances.iter().map(|(_, chance)| *chance).reduce(f64::max)?;
        Some((*midnight, hours.clone(), chances, most))
    });
    html! {
        @for (midnight, hours, chances, most) in days {
            @for (hour, _) in chances.iter().filter(|(_, chance)| *chance >= WET) {
                @let (left, right) = (axis.x(midnight + hour * 60), axis.x(midnight + hour * 60 + 60));
                rect x=(format!("{left:.1}")) y="36" width=(format!("{:.1}", right - left)) height=(format!("{:.0}", high - 36.0)) fill=(format!("url(#{name}-rain)")) {}
            }
            @if axis.scale * (hours.end - hours.start) as f64 > 170.0 {
                text.hours x=(format!("{:.1}", axis.x(midnight + hours.end) - 4.0)) y="15" text-anchor="end" {
                    (say!("rain {n} in 10", "hujan {n} dari 10", n = Arg::Number(most * 10.0, 0)).say(voice))
                }
            }
        }
    }
}

fn heading(gantt: &Gantt, axis: &Axis, high: f64, voice: Voice) -> Markup {
    html! {
        @for (at, (midnight, hours)) in axis.days.iter().enumerate() {
            @let left = axis.x(midnight + hours.start);
            @let date = gantt.days.iter().find(|(_, _, m)| m == midnight).map(|(date, _, _)| *date);
            @if let Some(date) = date { text.day x=(format!("{:.1}", left + 4.0)) y="15" { (day_name(date, voice)) } }
            @if at > 0 {
                line.night x1=(format!("{:.1}", left - 1.5)) x2=(format!("{:.1}", left - 1.5)) y1="0" y2=(format!("{high:.0}")) {}
                line.night x1=(format!("{:.1}", left + 1.5)) x2=(format!("{:.1}", left + 1.5)) y1="0" y2=(format!("{high:.0}")) {}
            }
            @for hour in (hours.start / 60 + 1)..(hours.end / 60) {
                @let x = axis.x(midnight + hour * 60);
                @if hour % 2 == 0 {
                    line.hour x1=(format!("{x:.1}")) x2=(format!("{x:.1}")) y1="36" y2=(format!("{high:.0}")) {}
                    text.hours x=(format!("{x:.1}")) y="32" text-anchor="middle" { (hour) }
                }
            }
        }
    }
}

/// A stretch of cloth with a white tab. Narrow ones keep the cloth and lose the tab; the table has them all.
fn one(bar: &Bar, axis: &Axis, y: f64, name: &str, labels: &dyn Labels) -> Markup {
    let (left, right) = (axis.x(bar.start), axis.x(bar.end));
    let wide = (right - left).max(2.0);
    let label = labels.label(bar);
    let tab = 5.0 + 6.6 * label.chars().count() as f64;
    let n = |v: f64| PreEscaped(format!("{v:.1}"));
    html! {
        g class=[bar.late.then_some("late")] {
            title { (labels.title(bar)) }
            rect.cut x=(n(left)) y=(n(y)) width=(n(wide)) height=(n(LANE - 2.0)) fill=(format!("url(#{name}-{})", bar.lot)) {}
            @if tab <= wide {
                rect.tab x=(n(left)) y=(n(y)) width=(n(tab)) height=(n(LANE - 2.0)) {}
                text.tab x=(n(left + tab / 2.0)) y=(n(y + 11.5)) text-anchor="middle" { (label) }
            }
        }
    }
}
