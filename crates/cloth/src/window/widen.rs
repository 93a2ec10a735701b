//! What would widen a window, in words, most first.

use super::clock::{clock, down};
use super::hill::{Hill, Judge};
use super::response::Response;
use super::spreads::Spreads;
use super::sweep::Strength;
use units::{Measure, Quantity, Span};
use words::{Arg, Line, Voice, say};

/// One thing to do better, and what it brings.
#[derive(Clone, Debug, PartialEq)]
pub struct Widening {
    /// What to do.
    pub what: Line,
    /// By how much the window grows, in steps of 30 s.
    pub gain: Span,
}

/// Gains are told in these steps.
const STEP: f64 = 30.0;

impl Widening {
    /// As one sentence.
    pub fn say(&self, voice: Voice) -> String {
        say!(
            "{what}: the window grows by about {gain}",
            "{what}: jendela bertambah kira-kira {gain}",
            what = Arg::Name(self.what.say(voice)),
            gain = Arg::Name(clock(self.gain, voice))
        )
        .say(voice)
    }
}

/// Everything that can be done, each alone, with what it changes.
fn remedies(response: &Response) -> Vec<(Line, Spreads, f64)> {
    let base = response.spreads;
    let percent = |share: f64| Arg::Quantity(Quantity::new(share, Measure::Share));
    let kelvins = |k: f64| Arg::Quantity(Quantity::new(k, Measure::TemperatureDifference));
    let seconds = |s: f64| Arg::Quantity(Quantity::new(s, Measure::Span));
    let factor = |f: f64| Arg::Number(f, 2);
    let mut list = Vec::new();
    if base.strength > 0.0 && matches!(response.sweep.strength, Strength::Setting(_)) {
        let to = 0.5 * base.strength;
        list.push((
            say!(
                "Hold the strength of the bath within {to} instead of {from}",
                "Jaga kekuatan bak dalam {to}, bukan {from}",
                to = percent(to),
                from = percent(base.strength)
            ),
            Spreads { strength: to, ..base },
            1.0,
        ));
    }
    if base.temperature > 0.0 && response.sweep.temperature.is_some() {
        let to = 0.5 * base.temperature;
        list.push((
            say!(
                "Hold the bath within {to} instead of {from}",
                "Jaga suhu bak dalam {to}, bukan {from}",
                to = kelvins(to),
                from = kelvins(base.temperature)
            ),
            Spreads {
                temperature: to,
                ..base
            },
            1.0,
        ));
    }
    if base.handling.0 > 0.0 {
        let to = 0.5 * base.handling.0;
        list.push((
            say!(
                "Start and stop within {to} instead of {from}",
                "Mulai dan angkat dalam {to}, bukan {from}",
                to = seconds(to),
                from = seconds(base.handling.0)
            ),
            Spreads {
                handling: Span(to),
                ..base
            },
            1.0,
        ));
    }
    if base.rate > 1.0 {
        let to = base.rate.sqrt();
        list.push((
            say!(
                "Test the rate four times as often, so that it is known to a factor of {to} instead of {from}",
                "Uji laju empat kali lebih sering, agar diketahui dalam faktor {to}, bukan {from}",
                to = factor(to),
                from = factor(base.rate)
            ),
            Spreads { rate: to, ..base },
            1.0,
        ));
    }
    if base.creep > 1.0 && response.lines.is_some() {
        let to = base.creep.sqrt();
        list.push((
            say!(
                "Measure line wedges and keep the wax even, so that the creep is known to a factor of {to} instead of {from}",
                "Ukur baji garis dan jaga malam merata, agar rambatan diketahui dalam faktor {to}, bukan {from}",
                to = factor(to),
                from = factor(base.creep)
            ),
            Spreads { creep: to, ..base },
            1.0,
        ));
    }
    if let Some(hotter) = response.hotter {
        list.push((
            say!(
                "Wax 5 K hotter, so that it strikes through (never above 115 C)",
                "Malam 5 K lebih panas, agar tembus (jangan di atas 115 C)"
            ),
            base,
            hotter,
        ));
    }
    if base.ends.0 > 0.0 {
        list.push((
            say!(
                "Take out first the end that went in first",
                "Angkat dulu ujung yang masuk dulu"
            ),
            Spreads {
                ends: Span(0.0),
                ..base
            },
            1.0,
        ));
    }
    list
}

fn width(hill: &Hill) -> f64 {
    let (first, last) = (hill.points.first(), hill.points.last());
    let ends = first.zip(last).map_or((0.0, 0.0), |(a, b)| (a.time.0, b.time.0));
    hill.open.map_or(0.0, |open| {
        open.latest.map_or(ends.1, |t| t.0) - open.earliest.map_or(ends.0, |t| t.0)
    })
}

/// The remedies that bring more than hands can tell, most first.
pub(crate) fn widenings(response: &Response, judge: &Judge, hill: &Hill, draws: u32) -> Vec<Widening> {
    let now = width(hill);
    let least = STEP.max(response.spreads.handling.0);
    let mut list: Vec<Widening> = remedies(response)
        .into_iter()
        .map(|(what, spreads, faster)| {
            let then = judge.hill(&spreads, draws, response.seed, faster);
            Widening {
                what,
                gain: down(Span(width(&then) - now), STEP),
            }
        })
        .filter(|w| w.gain.0 >= least)
        .collect();
    list.sort_by(|a, b| b.gain.0.total_cmp(&a.gain.0));
    list
}
