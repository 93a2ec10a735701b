//! The pass hill.

use super::svg::{ANSWER, Hold, INK, INK2, ROPE, Style, Svg, WASH};
use super::{say, swatches, timed};
use crate::window::advice::{Advice, Window};
use crate::window::clock::clock;
use crate::window::hill::{Point, Target};
use units::Span;
use words::{Text, text};

/// Where the hill stands, px.
pub struct Room {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub foot: f64,
    /// Size of a swatch.
    pub swatch: (f64, f64),
    pub swatches: usize,
}

/// Scales of the plot.
pub struct Scale<'a> {
    pub room: &'a Room,
    pub longest: f64,
}

impl Scale<'_> {
    pub fn x(&self, time: Span) -> f64 {
        self.room.left + (time.0 / self.longest).min(1.0) * (self.room.right - self.room.left)
    }
    fn y(&self, share: f64) -> f64 {
        self.room.foot - share * (self.room.foot - self.room.top)
    }
}

/// Ground narrower than this has no label, px: the swatches below say it.
const LEAST_LABEL: f64 = 66.0;

/// Draws it.
pub fn draw(svg: &mut Svg, window: &Window, room: &Room) {
    let scale = Scale {
        room,
        longest: longest_shown(window),
    };
    if window.advice == Advice::Indifferent {
        // Every bolt passes at every time: a hill would be a box. The cloth hangs on its line.
        svg.line(
            (room.left - 6.0, room.foot),
            (room.right, room.foot),
            ROPE,
            3.0,
            "",
        );
    } else if timed(window) {
        grounds(svg, window, &scale);
        slope(svg, window, &scale);
        marks(svg, window, &scale);
        axis(svg, &scale);
    }
    swatches::draw(svg, window, &scale);
}

/// The right edge of the plot, s: well beyond what matters.
fn longest_shown(window: &Window) -> f64 {
    let last = window.hill.points.last().map_or(1.0, |p| p.time.0);
    let matters = match &window.advice {
        Advice::Pull { best, latest, .. } => latest.map_or(best.0 * 1.6, |t| t.0),
        Advice::Closed { best, .. } => best.0 * 1.5,
        _ => window.designed.0 * 1.3,
    };
    (1.7 * matters).min(last).max(1.0)
}

/// Too short, the window, too long: hatched, white, dotted.
fn grounds(svg: &mut Svg, window: &Window, scale: &Scale) {
    let room = scale.room;
    let height = room.foot - room.top;
    let (from, to) = match &window.advice {
        Advice::Pull { earliest, latest, .. } => (*earliest, *latest),
        Advice::Closed { .. } => {
            // No white: where both lie on each other, neither ground nor motif is as it should be.
            let (there, lost) = window.hill.sides(window.limits.pass);
            (
                Some(there.unwrap_or(Span(scale.longest))),
                Some(lost.unwrap_or(Span(0.0))),
            )
        }
        _ => (None, None),
    };
    let voice = svg.voice;
    let target = &window.target;
    let middle = |a: f64, b: f64| f64::midpoint(a, b);
    // Labels stand where only one of the two holds.
    let (short_end, long_start) = match (from, to) {
        (Some(a), Some(b)) => (scale.x(a).min(scale.x(b)), scale.x(a).max(scale.x(b))),
        (a, b) => (
            a.map_or(room.left, |a| scale.x(a)),
            b.map_or(room.right, |b| scale.x(b)),
        ),
    };
    if let Some(x) = from.map(|t| scale.x(t)) {
        svg.rect(
            (room.left, room.top),
            (x - room.left, height),
            "url(#short)",
            r#"opacity=".55""#,
        );
        let why = match target {
            Target::Apart => text!("ground still tinted", "latar masih berwarna"),
            Target::AsDesigned => text!("not as designed yet", "belum seperti rancangan"),
            Target::Approved(..) => text!("not as approved yet", "belum seperti contoh acc"),
        };
        let wide = short_end - room.left - 12.0;
        if wide > LEAST_LABEL {
            let strong = say(text!("Too short", "Terlalu singkat"), voice);
            svg.label(
                middle(room.left, short_end),
                room.top + 26.0,
                wide,
                strong,
                say(why, voice),
            );
        }
    }
    if let Some(x) = to.map(|t| scale.x(t)) {
        svg.rect(
            (x, room.top),
            (room.right - x, height),
            "url(#long)",
            r#"opacity=".8""#,
        );
        let why = match target {
            Target::Apart => text!("wax lines eaten", "garis malam terkikis"),
            Target::AsDesigned => text!("no longer as designed", "tidak lagi seperti rancangan"),
            Target::Approved(..) => text!("no longer as approved", "tidak lagi seperti contoh acc"),
        };
        let wide = room.right - long_start - 12.0;
        if wide > LEAST_LABEL {
            let strong = say(text!("Too long", "Terlalu lama"), voice);
            svg.label(
                middle(long_start, room.right),
                room.top + 26.0,
                wide,
                strong,
                say(why, voice),
            );
        }
    }
}

/// Pass probability.
fn slope(svg: &mut Svg, window: &Window, scale: &Scale) {
    let shown: Vec<&Point> = window
        .hill
        .points
        .iter()
        .filter(|p| p.time.0 <= scale.longest)
        .collect();
    let line: Vec<(f64, f64)> = shown.iter().map(|p| (scale.x(p.time), scale.y(p.pass))).collect();
    let (Some(first), Some(last)) = (line.first(), line.last()) else {
        return;
    };
    let mut area = vec![(first.0, scale.room.foot)];
    area.extend(&line);
    area.push((last.0, scale.room.foot));
    svg.raw(r#"<g fill-opacity=".85">"#);
    svg.path(&area, WASH, "none", 0.0);
    svg.raw("</g>");
    svg.path(&line, "none", ANSWER, 3.0);
}

/// Earliest, best, latest.
fn marks(svg: &mut Svg, window: &Window, scale: &Scale) {
    let (room, voice) = (scale.room, svg.voice);
    let top = room.top;
    let bar = |svg: &mut Svg, at: Span| {
        let x = scale.x(at);
        svg.line((x, top - 8.0), (x, room.foot), INK, 2.0, "");
        x
    };
    let dotted = |svg: &mut Svg, best: Span, word: &str| {
        let x = scale.x(best);
        svg.line(
            (x, top - 4.0),
            (x, room.foot),
            ANSWER,
            2.0,
            r#"stroke-dasharray="2 5""#,
        );
        let label = format!("{word} {}", clock(best, voice));
        let half = Style::Strong.width(&label) / 2.0;
        let x = x.max(room.left + half - 30.0).min(room.right - half);
        svg.text(x, top - 14.0, Hold::Middle, Style::Strong, &label);
    };
    match &window.advice {
        Advice::Pull {
            earliest,
            best,
            latest,
            ..
        } => {
            let said = |word: &'static Text, t: &Span| format!("{} {}", say(word, voice), clock(*t, voice));
            let first = earliest
                .as_ref()
                .map(|t| said(text!("earliest", "paling cepat"), t));
            let last = latest.as_ref().map(|t| said(text!("latest", "paling lambat"), t));
            let wide = |label: &Option<String>| label.as_deref().map_or(0.0, |l| Style::Plain.width(l));
            // One row if both fit beside each other, else two.
            let both = wide(&first) + wide(&last) + 20.0;
            let row = if both < room.right - room.left { 34.0 } else { 52.0 };
            if let (Some(t), Some(label)) = (earliest, &first) {
                let x = (bar(svg, *t) - 6.0).max(room.left - 30.0 + wide(&first));
                svg.text(x, top - row, Hold::End, Style::Plain, label);
            }
            if let (Some(t), Some(label)) = (latest, &last) {
                let x = (bar(svg, *t) + 6.0).min(room.right - wide(&last));
                svg.text(x, top - 34.0, Hold::Start, Style::Plain, label);
            }
            dotted(svg, *best, say(text!("best", "terbaik"), voice));
        }
        Advice::Closed { best, .. } => dotted(svg, *best, say(text!("least bad", "paling mendingan"), voice)),
        _ => {}
    }
}

fn axis(svg: &mut Svg, scale: &Scale) {
    let (room, voice) = (scale.room, svg.voice);
    svg.line(
        (room.left - 8.0, room.foot),
        (room.right, room.foot),
        ROPE,
        3.0,
        "",
    );
    for share in [0.0, 0.5, 1.0] {
        let y = scale.y(share);
        svg.line((room.left - 6.0, y), (room.left, y), INK2, 1.0, "");
        let label = format!("{:.0}", 100.0 * share);
        svg.text(room.left - 10.0, y + 4.0, Hold::End, Style::Small, &label);
    }
    let caption = say(
        text!("bolts that pass, in 100", "gulung yang lulus, dari 100"),
        voice,
    );
    svg.text(
        room.left - 30.0,
        room.top - 74.0,
        Hold::Start,
        Style::Small,
        caption,
    );
}
