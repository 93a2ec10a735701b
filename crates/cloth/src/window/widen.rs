//! What would widen a window, or bring a closed one nearer to opening, in words, most first.

use super::clock::{clock, down};
use super::hill::{Hill, Judge};
use super::response::Response;
use super::spreads::Spreads;
use super::sweep::Strength;
use units::{Measure, Quantity, Span};
use words::{Arg, Line, Origin, Text, Voice, say, text};

/// One thing to do better, and what it brings.
#[derive(Clone, Debug, PartialEq)]
pub struct Widening {
    /// What to do.
    pub what: Line,
    /// By how much the window grows, in steps of 30 s. A closed window lacks time between the ground that is there and the
    /// motif that is lost; then by how much less it lacks.
    pub gain: Span,
    /// Whether there is a window with it.
    pub opens: bool,
    /// Was there one without it?
    pub open: bool,
}

/// Gains are told in these steps.
const STEP: f64 = 30.0;

impl Widening {
    /// As one sentence.
    pub fn say(&self, voice: Voice) -> String {
        let (what, gain) = (
            Arg::Name(self.what.say(voice)),
            Arg::Name(clock(self.gain, voice)),
        );
        match (self.open, self.opens) {
            (true, _) => say!(
                "{what}: the window grows by about {gain}",
                "{what}: jendela bertambah kira-kira {gain}",
                what = what,
                gain = gain
            ),
            (false, true) => say!(
                "{what}: that opens the window, for it gains about {gain}",
                "{what}: jendela terbuka, karena bertambah kira-kira {gain}",
                what = what,
                gain = gain
            ),
            (false, false) => say!(
                "{what}: about {gain} less is lacking, and the window stays closed",
                "{what}: kekurangannya berkurang kira-kira {gain}, tetapi jendela masih tertutup",
                what = what,
                gain = gain
            ),
        }
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
    let by = |text: &'static Text| Arg::Text(text);
    let origin = |which: usize| {
        by(response.origins[which]
            .as_ref()
            .map_or(text!("own estimate", "taksiran sendiri"), Origin::mark))
    };
    let mut list = Vec::new();
    if base.strength > 0.0 && matches!(response.sweep.strength, Strength::Setting(_)) {
        let to = 0.5 * base.strength;
        list.push((
            say!(
                "Hold the strength of the bath within {to} instead of {from} ({origin})",
                "Jaga kekuatan bak dalam {to}, bukan {from} ({origin})",
                to = percent(to),
                from = percent(base.strength),
                origin = by(base.said_by(0))
            ),
            Spreads { strength: to, ..base },
            1.0,
        ));
    }
    if base.temperature > 0.0 && response.sweep.temperature.is_some() {
        let to = 0.5 * base.temperature;
        list.push((
            say!(
                "Hold the bath within {to} instead of {from} ({origin})",
                "Jaga suhu bak dalam {to}, bukan {from} ({origin})",
                to = kelvins(to),
                from = kelvins(base.temperature),
                origin = by(base.said_by(1))
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
                "Start and stop within {to} instead of {from} ({origin})",
                "Mulai dan angkat dalam {to}, bukan {from} ({origin})",
                to = seconds(to),
                from = seconds(base.handling.0),
                origin = by(base.said_by(2))
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
                "Test the rate four times as often, so that it is known to a factor of {to} instead of {from} ({origin})",
                "Uji laju empat kali lebih sering, agar diketahui dalam faktor {to}, bukan {from} ({origin})",
                to = factor(to),
                from = factor(base.rate),
                origin = origin(0)
            ),
            Spreads { rate: to, ..base },
            1.0,
        ));
    }
    if base.creep > 1.0 && response.lines.is_some() {
        let to = base.creep.sqrt();
        list.push((
            say!(
                "Measure line wedges and keep the wax even, so that the creep is known to a factor of {to} instead of {from} ({origin})",
                "Ukur baji garis dan jaga malam merata, agar rambatan diketahui dalam faktor {to}, bukan {from} ({origin})",
                to = factor(to),
                from = factor(base.creep),
                origin = origin(1)
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

/// Every remedy at once.
fn together(remedies: &[(Line, Spreads, f64)]) -> Option<(Line, Spreads, f64)> {
    let (_, first, _) = remedies.first()?;
    let each = |of: fn(&Spreads) -> f64| {
        remedies
            .iter()
            .map(|(_, s, _)| of(s))
            .fold(f64::INFINITY, f64::min)
    };
    let all = Spreads {
        strength: each(|s| s.strength),
        temperature: each(|s| s.temperature),
        handling: Span(each(|s| s.handling.0)),
        rate: each(|s| s.rate),
        creep: each(|s| s.creep),
        ends: Span(each(|s| s.ends.0)),
        ..*first
    };
    let faster = remedies.iter().map(|(_, _, faster)| *faster).fold(1.0, f64::min);
    Some((
        say!(
            "Everything that was tried, together",
            "Semua cara yang dicoba, sekaligus"
        ),
        all,
        faster,
    ))
}

fn width(hill: &Hill) -> f64 {
    let (first, last) = (hill.points.first(), hill.points.last());
    let ends = first.zip(last).map_or((0.0, 0.0), |(a, b)| (a.time.0, b.time.0));
    hill.open.map_or(0.0, |open| {
        open.latest.map_or(ends.1, |t| t.0) - open.earliest.map_or(ends.0, |t| t.0)
    })
}

/// The remedies that bring more than hands can tell, most first. Those of a closed window are ranked by how much nearer
/// they bring the two sides; where none opens it alone, all of them together stand at the end.
pub(crate) fn widenings(response: &Response, judge: &Judge, hill: &Hill, draws: u32) -> Vec<Widening> {
    let pass = judge.pass();
    let open = hill.open.is_some();
    let size = |hill: &Hill| if open { width(hill) } else { hill.room(pass) };
    let now = size(hill);
    let least = STEP.max(response.spreads.handling.0);
    let tried = |(what, spreads, faster): (Line, Spreads, f64)| {
        let then = judge.hill(&spreads, draws, response.seed, faster);
        Widening {
            what,
            gain: down(Span(size(&then) - now), STEP),
            opens: then.open.is_some(),
            open,
        }
    };
    let remedies = remedies(response);
    let together = together(&remedies).filter(|_| remedies.len() > 1);
    let mut list: Vec<Widening> = remedies
        .into_iter()
        .map(tried)
        .filter(|w| w.gain.0 >= least)
        .collect();
    list.sort_by(|a, b| b.opens.cmp(&a.opens).then(b.gain.0.total_cmp(&a.gain.0)));
    if !open && !list.iter().any(|one| one.opens) {
        list.extend(together.map(tried).filter(|w| w.gain.0 >= least));
    }
    list
}
