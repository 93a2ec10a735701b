//! The pass hill and the swatches below it.

use super::svg::{ANSWER, EDGE, Hold, INK, INK2, PAPER, ROPE, Style, Svg, WASH, hex};
use super::{say, timed};
use crate::window::advice::{Advice, Window};
use crate::window::clock::clock;
use crate::window::hill::{Point, Target};
use units::Span;
use words::text;

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
struct Scale<'a> {
    room: &'a Room,
    longest: f64,
}

impl Scale<'_> {
    fn x(&self, time: Span) -> f64 {
        self.room.left + (time.0 / self.longest).min(1.0) * (self.room.right - self.room.left)
    }
    fn y(&self, share: f64) -> f64 {
        self.room.foot - share * (self.room.foot - self.room.top)
    }
}

/// Draws it.
pub fn draw(svg: &mut Svg, window: &Window, room: &Room) {
    let scale = Scale {
        room,
        longest: longest_shown(window),
    };
    if timed(window) {
        grounds(svg, window, &scale);
        slope(svg, window, &scale);
        marks(svg, window, &scale);
        axis(svg, &scale);
    }
    swatches(svg, window, &scale);
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
            // No white: hatching meets dots where as many fail by one as by the other.
            let turn = window
                .hill
                .points
                .iter()
                .find(|p| p.motif_fails >= p.ground_fails);
            let turn = turn.map_or(Span(scale.longest), |p| p.time);
            (Some(turn), Some(turn))
        }
        _ => (None, None),
    };
    let voice = svg.voice;
    let apart = matches!(window.target, Target::Apart);
    let middle = |a: f64, b: f64| f64::midpoint(a, b);
    if let Some(x) = from.map(|t| scale.x(t)) {
        svg.rect(
            (room.left, room.top),
            (x - room.left, height),
            "url(#short)",
            r#"opacity=".55""#,
        );
        let why = match apart {
            true => text!("ground still tinted", "latar masih berwarna"),
            false => text!("not as designed yet", "belum seperti rancangan"),
        };
        if x - room.left > 96.0 {
            let strong = say(text!("Too short", "Terlalu singkat"), voice);
            svg.label(middle(room.left, x), room.top + 26.0, strong, say(why, voice));
        }
    }
    if let Some(x) = to.map(|t| scale.x(t)) {
        svg.rect(
            (x, room.top),
            (room.right - x, height),
            "url(#long)",
            r#"opacity=".8""#,
        );
        let why = match apart {
            true => text!("wax lines eaten", "garis malam terkikis"),
            false => text!("no longer as designed", "tidak lagi seperti rancangan"),
        };
        if room.right - x > 96.0 {
            let strong = say(text!("Too long", "Terlalu lama"), voice);
            svg.label(middle(x, room.right), room.top + 26.0, strong, say(why, voice));
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
        let half = label.chars().count() as f64 * Style::Strong.letter() / 2.0;
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
            let said = |word: &str, t: Span| format!("{word} {}", clock(t, voice));
            if let Some(t) = earliest {
                let label = said(say(text!("earliest", "paling cepat"), voice), *t);
                let wide = label.chars().count() as f64 * Style::Plain.letter();
                let x = bar(svg, *t);
                svg.text(
                    (x - 6.0).max(room.left - 30.0 + wide),
                    top - 34.0,
                    Hold::End,
                    Style::Plain,
                    &label,
                );
            }
            if let Some(t) = latest {
                let label = said(say(text!("latest", "paling lambat"), voice), *t);
                let wide = label.chars().count() as f64 * Style::Plain.letter();
                let x = bar(svg, *t);
                svg.text(
                    (x + 6.0).min(room.right - wide),
                    top - 34.0,
                    Hold::Start,
                    Style::Plain,
                    &label,
                );
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
        room.top - 54.0,
        Hold::Start,
        Style::Small,
        caption,
    );
}

/// What a swatch is called.
fn verdict(window: &Window, point: &Point) -> &'static words::Text {
    let limits = &window.limits;
    let apart = matches!(window.target, Target::Apart);
    let thin = point.line.is_some_and(|left| left < limits.keep);
    let lost = point.motif.is_some_and(|m| m > limits.motif);
    match () {
        () if point.line.is_some_and(|left| left <= 0.05) => text!("line gone", "garis habis"),
        () if thin || (lost && apart) => text!("eaten", "terkikis"),
        () if point.ground > 1.5 * limits.ground && apart => text!("tinted", "berwarna"),
        () if point.ground > limits.ground && apart => text!("nearly", "hampir"),
        () if point.ground > limits.ground || lost => text!("off", "meleset"),
        () => text!("right", "pas"),
    }
}

/// Finished cloth at some durations: the ground, a petal of motif, and the thinnest line as far as it stands.
fn swatches(svg: &mut Svg, window: &Window, scale: &Scale) {
    let (room, voice) = (scale.room, svg.voice);
    let (w, h) = room.swatch;
    let span = room.right - room.left - w;
    let known = timed(window);
    for n in 0..room.swatches {
        // Evenly along the axis, so that no two meet; the time is that of its place.
        let x = room.left + span * (n as f64 + 0.35) / (room.swatches as f64 - 0.3);
        let time = (x + w / 2.0 - room.left) / (room.right - room.left) * scale.longest;
        let Some(point) = window
            .hill
            .points
            .iter()
            .min_by(|a, b| (a.time.0 - time).abs().total_cmp(&(b.time.0 - time).abs()))
        else {
            return;
        };
        let y = room.foot + 14.0;
        let peg = (x + w / 2.0 - 4.0, room.foot - 10.0);
        if known {
            svg.rect(peg, (8.0, 22.0), "#b8955f", r##"stroke="#6a5637""##);
        }
        let ground = point.shades[0].map_or(PAPER.to_string(), |s| hex(s.mean));
        svg.rect(
            (x, y),
            (w, h),
            &ground,
            &format!(r#"stroke="{EDGE}" stroke-width=".8""#),
        );
        if let Some(motif) = point.shades[1] {
            let (cx, cy) = (x + w / 2.0, y + h * 0.33);
            let fill = hex(motif.mean);
            svg.raw(&format!(
                r#"<ellipse cx="{cx:.1}" cy="{cy:.1}" rx="{:.1}" ry="{:.1}" fill="{fill}"/>"#,
                w * 0.27,
                h * 0.25
            ));
            let wide = 6.0 * point.line.unwrap_or(1.0);
            svg.rect((cx - wide / 2.0, y + h * 0.56), (wide, h * 0.4), &fill, "");
        }
        let middle = x + w / 2.0;
        if known {
            let minutes = Span((point.time.0 / 60.0).round() * 60.0);
            let shown = if minutes.0 < 60.0 { point.time } else { minutes };
            svg.text(
                middle,
                y + h + 18.0,
                Hold::Middle,
                Style::Strong,
                &clock(shown, voice),
            );
            svg.text(
                middle,
                y + h + 35.0,
                Hold::Middle,
                Style::Small,
                say(verdict(window, point), voice),
            );
        }
    }
    if !known {
        let caption = text!(
            "finished cloth, the longer the farther right; minutes only after the strip",
            "kain jadi, makin ke kanan makin lama; menit baru ada setelah uji"
        );
        let y = room.foot + h + 36.0;
        svg.paragraph(
            room.left,
            y,
            room.right - room.left,
            Style::Small,
            17.0,
            say(caption, voice),
        );
    }
}
