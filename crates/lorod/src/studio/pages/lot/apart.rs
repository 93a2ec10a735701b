//! How far each bolt lies from the design, region by region, beside what is usual for hand work.

use super::{called, region};
use crate::facts::lot::{Lot, USUAL};
use crate::studio::say::t;
use maud::{Markup, html};
use words::{Voice, text};

/// How much room there is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// Names stand beside the bars.
    Wide,
    /// Names stand above them.
    Narrow,
}

/// The drawing: a bar for each region of each bolt.
pub fn drawing(lot: &Lot, room: Room, voice: Voice) -> Markup {
    let (left, right, row, down) = match room {
        Room::Wide => (250.0, 880.0, 30.0, 8.0),
        Room::Narrow => (6.0, 340.0, 46.0, 24.0),
    };
    let rows: Vec<(String, f64)> = lot
        .bolts
        .iter()
        .flat_map(|one| {
            one.from_design
                .iter()
                .map(move |(waxing, d)| (format!("{}, {}", called(one, voice), region(*waxing, voice)), *d))
        })
        .collect();
    let most = (1.15 * lot.worst().max(USUAL)).ceil();
    let x = |value: f64| left + (right - left) * (value / most).min(1.0);
    let foot = 26.0 + row * rows.len() as f64;
    let (wide, tall) = (right + 40.0, foot + 44.0);
    let px = |v: f64| format!("{v:.1}");
    let tick = if most > 8.0 { 2.0 } else { 1.0 };
    let said = t(
        text!(
            "Distance of each bolt from the design; the table below says the same",
            "Jarak tiap gulung dari desain; tabel di bawah isinya sama"
        ),
        voice,
    );
    html! {
        svg.wear viewBox=(format!("0 0 {wide:.0} {tall:.0}")) width=(format!("{wide:.0}")) height=(format!("{tall:.0}")) role="img" aria-label=(said) {
            @for k in 0..=((most / tick) as u32) {
                @let at = x(f64::from(k) * tick);
                line.tick x1=(px(at)) x2=(px(at)) y1=(px(foot)) y2=(px(foot + 5.0)) {}
                text.scale x=(px(at)) y=(px(foot + 19.0)) text-anchor=(if room == Room::Narrow && k == 0 { "start" } else { "middle" }) { (voice.number(f64::from(k) * tick, 0)) }
            }
            line.axis x1=(px(left)) x2=(px(right)) y1=(px(foot)) y2=(px(foot)) {}
            text.scale x=(px(right)) y=(px(foot + 36.0)) text-anchor="end" { (t(text!("dE00 from the design", "dE00 dari desain"), voice)) }
            line.limit x1=(px(x(USUAL))) x2=(px(x(USUAL))) y1="20" y2=(px(foot)) {}
            text.scale x=(px(x(USUAL))) y="13" text-anchor=(if room == Room::Narrow { "end" } else { "middle" }) { (t(text!("usual for hand work", "biasa untuk kerja tangan"), voice)) }
            @for (at, (name, distance)) in rows.iter().enumerate() {
                @let top = 26.0 + row * at as f64;
                @if room == Room::Wide { text.who x=(px(left - 12.0)) y=(px(top + down + 11.0)) text-anchor="end" { (name) } }
                @else { text.who x=(px(left)) y=(px(top + 16.0)) { (name) } }
                rect.worn x=(px(left)) y=(px(top + down)) width=(px((x(*distance) - left).max(1.0))) height="14" {}
                text.much x=(px(x(*distance) + 6.0)) y=(px(top + down + 11.5)) { (voice.number(*distance, 1)) }
            }
        }
    }
}
