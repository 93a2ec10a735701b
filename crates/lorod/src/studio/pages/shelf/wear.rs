//! Cloth printed since the last filing, against what a stamp is believed to stand.

use super::called;
use crate::facts::shelf::{Due, Life, Lives};
use crate::studio::say::t;
use maud::{Markup, html};
use units::System;
use words::{Origin, Voice, text};

/// How much room there is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// Names stand beside the bars.
    Wide,
    /// Names stand above them.
    Narrow,
}

/// Metres as cloth is counted here: unit, and the number.
pub fn unit(voice: Voice, metres: f64) -> (&'static str, f64) {
    match voice.system {
        System::Metric => ("m", metres),
        System::Imperial => ("yd", metres / 0.9144),
    }
}

/// Where things stand, in units of the drawing.
struct Frame {
    left: f64,
    right: f64,
    row: f64,
    bar: f64,
    /// At the right end, in the reader's unit.
    most: f64,
}

impl Frame {
    fn x(&self, value: f64) -> f64 {
        self.left + (self.right - self.left) * (value / self.most).min(1.0)
    }
}

/// The drawing.
pub fn drawing(lives: &Lives, room: Room, voice: Voice) -> Markup {
    let shown: Vec<&Life> = lives
        .copies
        .iter()
        .filter(|life| life.retired.is_none())
        .collect();
    let factor = match &lives.refile_every.origin {
        Origin::Assumed { factor, .. } => *factor,
        Origin::Yours | Origin::Measured { .. } => 1.0,
    };
    let (name, limit) = unit(voice, lives.refile_every.value);
    let printed = |life: &Life| unit(voice, life.since.metres).1;
    let most = shown
        .iter()
        .map(|life| printed(life))
        .fold(limit * factor, f64::max);
    // A tick every hundred; more apart where more is drawn.
    let tick = 100.0 * (most / 600.0).ceil().max(1.0);
    let frame = match room {
        Room::Wide => Frame {
            left: 250.0,
            right: 880.0,
            row: 34.0,
            bar: 8.0,
            most: (most / tick).ceil() * tick,
        },
        Room::Narrow => Frame {
            left: 6.0,
            right: 340.0,
            row: 52.0,
            bar: 26.0,
            most: (most / tick).ceil() * tick,
        },
    };
    let width = frame.right + 20.0;
    let foot = 12.0 + frame.row * shown.len() as f64;
    let tall = foot + 44.0;
    let px = |v: f64| format!("{v:.1}");
    let said = t(
        text!(
            "Cloth printed by each copy since it was filed; the table below says the same",
            "Kain yang dicetak tiap salinan sejak dikikir; tabel di bawah isinya sama"
        ),
        voice,
    );
    html! {
        svg.wear viewBox=(format!("0 0 {width:.0} {tall:.0}")) width=(format!("{width:.0}")) height=(format!("{tall:.0}")) role="img" aria-label=(said) {
            @if factor > 1.0 {
                rect.band x=(px(frame.x(limit / factor))) y="6" width=(px(frame.x(limit * factor) - frame.x(limit / factor))) height=(px(foot - 6.0)) {}
            }
            @for k in 0..=((frame.most / tick) as u32) {
                @let at = frame.x(f64::from(k) * tick);
                line.tick x1=(px(at)) x2=(px(at)) y1=(px(foot)) y2=(px(foot + 5.0)) {}
                text.scale x=(px(at)) y=(px(foot + 19.0)) text-anchor=(if room == Room::Narrow && k == 0 { "start" } else { "middle" }) { (voice.number(f64::from(k) * tick, 0)) }
            }
            line.axis x1=(px(frame.left)) x2=(px(frame.right)) y1=(px(foot)) y2=(px(foot)) {}
            text.scale x=(px(frame.right)) y=(px(foot + 36.0)) text-anchor="end" { (t(text!("cloth since it was filed", "kain sejak dikikir"), voice)) ", " (name) }
            line.limit x1=(px(frame.x(limit))) x2=(px(frame.x(limit))) y1="6" y2=(px(foot)) {}
            @for (at, life) in shown.iter().enumerate() {
                @let top = 12.0 + frame.row * at as f64;
                @let end = frame.x(printed(life));
                @if room == Room::Wide { text.who x=(px(frame.left - 12.0)) y=(px(top + frame.bar + 11.0)) text-anchor="end" { (called(&life.stamp, &life.copy.id, voice)) } }
                @else { text.who x=(px(frame.left)) y=(px(top + 16.0)) { (called(&life.stamp, &life.copy.id, voice)) } }
                rect.worn x=(px(frame.left)) y=(px(top + frame.bar)) width=(px((end - frame.left).max(1.0))) height="14" {}
                text.much x=(px(end + 6.0)) y=(px(top + frame.bar + 11.5)) { (voice.number(printed(life), 0)) @if let Some(Due::OffLevel(_)) = life.due { " · " (t(text!("off level", "tidak rata"), voice)) } }
            }
        }
    }
}
