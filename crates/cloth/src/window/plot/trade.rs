//! The trade-off: how far the ground is from its target against what the motif has lost.

use super::svg::{EDGE, Hold, INK, LEAF, PAPER, Style, Svg};
use super::{say, timed};
use crate::window::advice::{Advice, Window};
use crate::window::clock::clock;
use crate::window::hill::{Point, Target};
use words::{Text, text};

/// Where it stands, px.
pub struct Room {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub foot: f64,
    pub heading: f64,
}

/// Right edge of the paper, px.
const RIGHT: f64 = 1155.0;

/// There is a trade-off to show: a motif, and a target that is not simply the design's own time.
pub fn drawn(window: &Window) -> bool {
    let motif = window.hill.points.iter().any(|p| p.motif.is_some());
    motif && !matches!(window.target, Target::AsDesigned)
}

/// Draws it.
pub fn draw(svg: &mut Svg, window: &Window, room: &Room) {
    let voice = svg.voice;
    let points: Vec<(&Point, f64)> = window
        .hill
        .points
        .iter()
        .filter_map(|p| Some((p, p.motif?)))
        .collect();
    if points.is_empty() {
        return;
    }
    let heading = say(
        text!(
            "Can ground and motif both be kept?",
            "Bisakah latar dan motif sama-sama terjaga?"
        ),
        voice,
    );
    let width = room.right - room.left + 60.0;
    let y = svg.paragraph(
        room.left - 50.0,
        room.heading,
        width,
        Style::Answer,
        23.0,
        heading,
    );
    svg.paragraph(
        room.left - 50.0,
        y + 22.0,
        width,
        Style::Small,
        17.0,
        say(verdict(window, &points), voice),
    );
    let limits = &window.limits;
    let across = (2.6 * limits.ground).max(1.0);
    let up = (points.iter().map(|(_, m)| *m).fold(0.0, f64::max) * 1.08).max(1.6 * limits.motif);
    let x = |ground: f64| room.left + ground / across * (room.right - room.left);
    let y = |motif: f64| room.foot - motif / up * (room.foot - room.top);
    let (bx, by) = (x(limits.ground), y(limits.motif));
    svg.rect(
        (room.left, by),
        (bx - room.left, room.foot - by),
        "#dcebe3",
        &format!(r#"stroke="{LEAF}" stroke-dasharray="6 4""#),
    );
    svg.text(
        bx - 8.0,
        room.foot - 9.0,
        Hold::End,
        Style::Small,
        say(text!("both kept", "terjaga"), voice),
    );
    let curve: Vec<(f64, f64)> = points
        .iter()
        .filter(|(p, _)| p.ground <= across)
        .map(|(p, m)| (x(p.ground), y(*m)))
        .collect();
    svg.path(&curve, "none", INK, 2.5);
    if timed(window) {
        beads(svg, window, &points, &x, &y, across);
    }
    svg.path(
        &[
            (room.left, room.top),
            (room.left, room.foot),
            (room.right, room.foot),
        ],
        "none",
        EDGE,
        1.2,
    );
    for (value, hold) in [
        (0.0, Hold::Middle),
        (limits.ground, Hold::Middle),
        (2.0 * limits.ground, Hold::Middle),
    ] {
        svg.text(
            x(value),
            room.foot + 17.0,
            hold,
            Style::Small,
            &voice.number(value, 0),
        );
    }
    for value in [limits.motif, 2.0 * limits.motif] {
        if value <= up {
            svg.text(
                room.left - 6.0,
                y(value) + 4.0,
                Hold::End,
                Style::Small,
                &voice.number(value, 0),
            );
        }
    }
    let ground = say(
        text!(
            "ground: distance from its target, dE00",
            "latar: jarak dari sasaran, dE00"
        ),
        voice,
    );
    svg.text(room.left, room.foot + 37.0, Hold::Start, Style::Small, ground);
    let motif = match window.target {
        Target::Approved(..) => text!(
            "motif: distance from its target, dE00",
            "motif: jarak dari sasaran, dE00"
        ),
        _ => text!("motif: colour lost, dE00", "motif: warna hilang, dE00"),
    };
    let motif = say(motif, voice);
    svg.text(
        room.left - 30.0,
        room.top - 10.0,
        Hold::Start,
        Style::Small,
        motif,
    );
}

fn verdict(window: &Window, points: &[(&Point, f64)]) -> &'static Text {
    let limits = &window.limits;
    let kept = points
        .iter()
        .any(|(p, m)| p.ground <= limits.ground && *m <= limits.motif);
    let with_line = points.iter().any(|(p, m)| {
        p.ground <= limits.ground && *m <= limits.motif && p.line.is_none_or(|l| l >= limits.keep)
    });
    match (kept, with_line) {
        (true, true) => text!(
            "Yes, if nothing strays. Time runs along the curve.",
            "Bisa, bila semua tepat. Waktu berjalan di sepanjang garis."
        ),
        (true, false) => text!(
            "Colours yes, but not the thinnest line.",
            "Warna bisa, tetapi garis tertipis tidak."
        ),
        _ => text!(
            "No: the curve does not enter the box.",
            "Tidak: garis tidak masuk kotak."
        ),
    }
}

/// The best time and a few others on the curve, far enough apart to be read.
fn beads(
    svg: &mut Svg,
    window: &Window,
    points: &[(&Point, f64)],
    x: &dyn Fn(f64) -> f64,
    y: &dyn Fn(f64) -> f64,
    across: f64,
) {
    let voice = svg.voice;
    let best = match &window.advice {
        Advice::Pull { best, .. } | Advice::Closed { best, .. } => best.0,
        _ => window.designed.0,
    };
    let mut taken: Vec<f64> = Vec::new();
    for (n, wanted) in [best, best * 0.6, best * 1.8, best * 0.35, best * 3.0]
        .into_iter()
        .enumerate()
    {
        let near = points.iter().min_by(|a, b| {
            (a.0.time.0 - wanted)
                .abs()
                .total_cmp(&(b.0.time.0 - wanted).abs())
        });
        let Some((point, motif)) = near.filter(|(p, _)| p.ground <= across * 0.98) else {
            continue;
        };
        let (px, py) = (x(point.ground), y(*motif));
        if taken.iter().any(|other| (other - py).abs() < 19.0) {
            continue;
        }
        taken.push(py);
        svg.raw(&format!(
            r#"<circle cx="{px:.1}" cy="{py:.1}" r="5" fill="{PAPER}" stroke="{INK}" stroke-width="2.5"/>"#
        ));
        let shown = units::Span((wanted / 60.0).round().max(1.0) * 60.0);
        let mut label = clock(if n == 0 { units::Span(best) } else { shown }, voice);
        if n == 0 {
            let word = match window.advice {
                Advice::Closed { .. } => text!(", least bad", ", paling mendingan"),
                _ => text!(", best", ", terbaik"),
            };
            let (word, room) = (say(word, voice), RIGHT - px - 10.0);
            // Pushed to the left it would lie on the curve: the time alone is enough, the plot beside says the rest.
            if Style::Strong.width(&label) + Style::Strong.width(word) <= room {
                label.push_str(word);
            }
        }
        let style = if n == 0 { Style::Strong } else { Style::Plain };
        // Labels stand to the right of their bead, but inside the plot.
        let left = (px + 10.0).min(RIGHT - style.width(&label));
        svg.text(left, py - 9.0, Hold::Start, style, &label);
    }
}
