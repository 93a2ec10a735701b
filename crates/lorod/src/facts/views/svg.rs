//! Parts of the drawings of a plan: colours of the house on white cloth, words, and the time axis without its nights.

use super::{Days, View, day_name};
use ::plan::Minute;
use sky::{Date, Weekday};
use std::fmt::Write as _;
use std::ops::Range;
use words::Voice;

/// Colours of `tokens.css`, light.
pub const MORI: &str = "#fbfbfa";
pub const INK: &str = "#1a2030";
pub const INK2: &str = "#474e5f";
pub const HAIR: &str = "#b9bcbd";
pub const EDGE: &str = "#747a83";
pub const NILA: &str = "#27397f";
pub const SOGA: &str = "#73430a";
pub const MENGKUDU: &str = "#94182c";
pub const DAUN: &str = "#1d5a43";
pub const THREAD: &str = "#5c6170";

/// Ordinary working hours; a day is drawn wider if something happens outside of them.
const DAY: Range<Minute> = 7 * 60..17 * 60;
/// Room for the names of rows.
pub const LEFT: f64 = 190.0;
/// Room for the heading.
pub const TOP: f64 = 108.0;
/// What all days share, unless they need more.
const WIDE: f64 = 1120.0;
/// Least and most width of a day.
const DAY_WIDE: (f64, f64) = (26.0, 420.0);
/// A day that wide shows its hours.
pub const ROOMY: f64 = 90.0;

/// Opens a drawing: white cloth, a question as its title, the answer under it.
pub fn open(wide: f64, high: f64, question: &str, answer: &str) -> String {
    let (question, answer) = (words::xml_text(question), words::xml_text(answer));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide:.0} {high:.0}\" width=\"{wide:.0}\" \
         height=\"{high:.0}\" font-family=\"'Noto Sans', system-ui, sans-serif\" role=\"img\" aria-label=\"{question} {answer}\">\n\
         <title>{question}</title>\n<desc>{answer}</desc>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"{MORI}\"/>\n\
         <text x=\"16\" y=\"32\" font-size=\"20\" font-weight=\"700\" fill=\"{INK}\">{question}</text>\n\
         <text x=\"16\" y=\"54\" font-size=\"14\" fill=\"{INK2}\">{answer}</text>\n"
    )
}

/// Days side by side, nights and closed days left out.
pub struct Axis {
    /// Each drawn day: itself, its 00:00, its minutes, its left end.
    pub days: Vec<(Date, Minute, Range<Minute>, f64)>,
    /// Width of a day.
    pub day: f64,
}

impl Axis {
    /// The axis of some days, of those with something that begins or ends on them.
    pub fn new(view: &View, days: Days, spans: &[(Minute, Minute)]) -> Self {
        let mut drawn = Vec::new();
        let mut hours = DAY;
        for date in (days.first.days..=days.last.days).map(|days| Date { days }) {
            let midnight = view.midnight(date);
            let today = |m: Minute| (midnight..=midnight + 1440).contains(&m);
            let mut of_day = spans
                .iter()
                .flat_map(|(start, end)| [*start, *end])
                .filter(|m| today(*m))
                .map(|m| m - midnight)
                .peekable();
            if of_day.peek().is_none() {
                continue;
            }
            for minute in of_day {
                // What lasts over midnight does not widen every day.
                if minute > 0 && minute < 1440 {
                    hours.start = hours.start.min(minute / 60 * 60);
                    hours.end = hours.end.max((minute + 59) / 60 * 60);
                }
            }
            drawn.push((date, midnight));
        }
        let day = (WIDE / drawn.len().max(1) as f64).clamp(DAY_WIDE.0, DAY_WIDE.1);
        let place = |(at, (date, midnight)): (usize, (Date, Minute))| {
            (date, midnight, hours.clone(), LEFT + day * at as f64)
        };
        Self {
            days: drawn.into_iter().enumerate().map(place).collect(),
            day,
        }
    }

    /// Where a minute is drawn; what is left out lies at the end of what is before it.
    pub fn x(&self, minute: Minute) -> f64 {
        let mut x = LEFT;
        for (_, midnight, hours, left) in &self.days {
            if minute < midnight + hours.start {
                break;
            }
            let inside = (minute - midnight).min(hours.end) - hours.start;
            x = left + self.day * inside as f64 / (hours.end - hours.start) as f64;
        }
        x
    }

    /// Right end.
    pub fn end(&self) -> f64 {
        self.days.last().map_or(LEFT, |(.., left)| left + self.day)
    }

    /// Is anything of a span drawn?
    pub fn shows(&self, start: Minute, end: Minute) -> bool {
        let first = self
            .days
            .first()
            .map_or(0, |(_, midnight, hours, _)| midnight + hours.start);
        let last = self
            .days
            .last()
            .map_or(0, |(_, midnight, hours, _)| midnight + hours.end);
        start < last && end > first
    }

    /// Names of the days, hours where there is room, double lines for nights.
    pub fn draw(&self, svg: &mut String, bottom: f64, voice: Voice) {
        let mut free = f64::MIN;
        for (at, (date, midnight, hours, left)) in self.days.iter().enumerate() {
            let monday = date.weekday() == Weekday::Monday;
            // Where days are narrow, weeks are named.
            let named = self.day >= ROOMY || monday || at == 0;
            if named && *left >= free {
                let name = day_name(*date, voice);
                let _ = writeln!(
                    svg,
                    "<text x=\"{:.1}\" y=\"{:.0}\" font-size=\"13\" font-weight=\"700\" fill=\"{INK}\">{}</text>",
                    left + 5.0,
                    TOP - 26.0,
                    words::xml_text(&name)
                );
                free = left + 84.0;
            }
            if at > 0 {
                for x in if self.day >= ROOMY {
                    vec![-1.5, 1.5]
                } else {
                    vec![0.0]
                } {
                    let colour = if monday || self.day >= ROOMY { EDGE } else { HAIR };
                    let _ = writeln!(
                        svg,
                        "<path d=\"M{:.1} {:.0}V{bottom:.0}\" stroke=\"{colour}\" stroke-width=\"0.8\" fill=\"none\"/>",
                        left + x,
                        TOP - 38.0
                    );
                }
            }
            if self.day < ROOMY {
                continue;
            }
            let every = if self.day >= 260.0 { 1 } else { 2 };
            for hour in (hours.start / 60 + 1)..(hours.end / 60) {
                if hour % every == 0 {
                    let x = self.x(midnight + hour * 60);
                    let _ = writeln!(
                        svg,
                        "<path d=\"M{x:.1} {:.0}V{bottom:.0}\" stroke=\"{HAIR}\" stroke-width=\"0.6\"/>\
                         <text x=\"{x:.1}\" y=\"{:.0}\" font-size=\"11\" text-anchor=\"middle\" fill=\"{INK2}\">{hour}</text>",
                        TOP - 4.0,
                        TOP - 8.0
                    );
                }
            }
        }
    }
}
