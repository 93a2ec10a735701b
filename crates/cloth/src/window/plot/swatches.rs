//! Swatches of finished cloth, hung by duration, or the test that must come before any duration.

use super::hill::{Room, Scale};
use super::svg::{EDGE, Hold, PAPER, ROPE, Style, Svg, hex};
use super::{say, timed};
use crate::window::advice::{Advice, Window};
use crate::window::clock::clock;
use crate::window::doubt::Cure;
use crate::window::hill::{Point, Target};
use units::Span;
use words::{Text, text};

const PEG: &str = "#b8955f";
const PEG_EDGE: &str = r##"stroke="#6a5637""##;

/// Draws them.
pub fn draw(svg: &mut Svg, window: &Window, scale: &Scale) {
    if timed(window) {
        by_minutes(svg, window, scale);
        return;
    }
    let room = scale.room;
    for (point, at) in hung(window, scale) {
        cloth(svg, point, scale.x(at) - room.swatch.0 / 2.0, room);
    }
    let caption = text!(
        "finished cloth, the longer the farther right; minutes only after the test",
        "kain jadi, makin ke kanan makin lama; menit baru ada setelah uji"
    );
    let (y, width) = (room.foot + room.swatch.1 + 36.0, room.right - room.left);
    let caption = say(caption, svg.voice);
    svg.paragraph(room.left, y, width, Style::Small, 17.0, caption);
    if let Advice::DoThisStrip {
        cure: Cure::Strip, ..
    } = window.advice
    {
        strip(svg, room);
    }
}

/// Durations in round numbers, spread over the axis, each hung at its own place: what is written is what is shown.
fn hung<'w>(window: &'w Window, scale: &Scale) -> Vec<(&'w Point, Span)> {
    let room = scale.room;
    let n = room.swatches as f64;
    let edge = room.swatch.0 / 2.0 / (room.right - room.left);
    let step = match scale.longest {
        long if long > 6.0 * 3600.0 => 3600.0,
        long if long > 8.0 * 60.0 => 60.0,
        _ => 10.0,
    };
    let mut list: Vec<(&Point, Span)> = Vec::new();
    for k in 0..room.swatches {
        let share = edge + (1.0 - 2.0 * edge) * (k as f64 + 0.3) / (n - 0.4);
        let time = Span((share * scale.longest / step).round().max(1.0) * step);
        let away = |p: &&Point| (p.time.0 - time.0).abs();
        let near = window
            .hill
            .points
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)));
        let clear = list
            .last()
            .is_none_or(|(_, other)| scale.x(time) - scale.x(*other) > room.swatch.0 + 4.0);
        let inside = scale.x(time) + room.swatch.0 / 2.0 <= room.right + 1.0;
        // Beyond what was run there is no cloth to show.
        let run = |p: &&Point| away(p) <= step.max(0.1 * p.time.0);
        if let Some(point) = near.filter(run).filter(|_| clear && inside) {
            list.push((point, time));
        }
    }
    list
}

/// Each under its peg, with its time and what it is.
fn by_minutes(svg: &mut Svg, window: &Window, scale: &Scale) {
    let (room, voice) = (scale.room, svg.voice);
    let y = room.foot + 14.0 + room.swatch.1;
    let list = hung(window, scale);
    // Where swatches hang close, the unit stands once at the left.
    let close = list
        .windows(2)
        .any(|pair| scale.x(pair[1].1) - scale.x(pair[0].1) < 76.0);
    for (point, at) in &list {
        let middle = scale.x(*at);
        svg.rect((middle - 4.0, room.foot - 10.0), (8.0, 22.0), PEG, PEG_EDGE);
        cloth(svg, point, middle - room.swatch.0 / 2.0, room);
        let told = clock(*at, voice);
        let told = match told.split_once(' ') {
            Some((number, unit)) if close && !unit.contains(' ') => number,
            _ => &told,
        };
        svg.text(middle, y + 18.0, Hold::Middle, Style::Strong, told);
        if window.advice != Advice::Indifferent {
            let what = say(verdict(window, point), voice);
            svg.text(middle, y + 35.0, Hold::Middle, Style::Small, what);
        }
    }
    if close && let Some((_, at)) = list.first() {
        let told = clock(*at, voice);
        let unit = told.split_once(' ').map_or("", |(_, unit)| unit);
        svg.text(
            (room.left - 30.0).max(4.0),
            y + 18.0,
            Hold::Start,
            Style::Small,
            unit,
        );
    }
}

/// What a swatch is called: what most bolts of that duration are.
fn verdict(window: &Window, point: &Point) -> &'static Text {
    let limits = &window.limits;
    let apart = matches!(window.target, Target::Apart);
    let nominal = point.ground <= limits.ground
        && point.motif.is_none_or(|m| m <= limits.motif)
        && point.line.is_none_or(|left| left >= limits.keep);
    match () {
        () if point.pass >= limits.pass => text!("right", "pas"),
        () if point.line.is_some_and(|left| left <= 0.05) => text!("line gone", "garis habis"),
        () if nominal => text!("risky", "berisiko"),
        () if !apart => text!("off", "meleset"),
        () if point.motif_fails > point.ground_fails => text!("eaten", "terkikis"),
        () if point.ground > 1.5 * limits.ground => text!("tinted", "berwarna"),
        () => text!("nearly", "hampir"),
    }
}

/// Finished cloth: the ground, a petal of motif, and the thinnest line as far as it stands.
fn cloth(svg: &mut Svg, point: &Point, x: f64, room: &Room) {
    let ((w, h), y) = (room.swatch, room.foot + 14.0);
    let ground = point.shades[0].map_or(PAPER.to_string(), |s| hex(s.mean));
    let edge = format!(r#"stroke="{EDGE}" stroke-width=".8""#);
    svg.rect((x, y), (w, h), &ground, &edge);
    let Some(motif) = point.shades[1] else { return };
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

/// The test that gives the answer, drawn: a strip at the start, at the printed tint, clear. Without colours: what the
/// tints look like is what the strip will show.
fn strip(svg: &mut Svg, room: &Room) {
    let voice = svg.voice;
    let span = (room.right - room.left - 60.0) / 1.7;
    let (y, w, h) = (room.top, 34.0, 70.0);
    svg.line((room.left, y), (room.right, y), ROPE, 3.0, "");
    let edge = format!(r#"stroke="{EDGE}" stroke-width=".8""#);
    let stops = [
        (
            0.0,
            text!("in", "masuk"),
            text!("strip goes in", "potong uji masuk"),
        ),
        (
            1.0,
            text!("t", "t"),
            text!("10 % tint: note it", "warna 10 %: catat"),
        ),
        (1.7, text!("1.7 t", "1,7 t"), text!("clear", "bersih")),
    ];
    for (at, strong, plain) in stops {
        let x = room.left + 26.0 + at * span;
        svg.rect((x - w / 2.0, y), (w, h), PAPER, &edge);
        svg.rect((x - 4.0, y - 12.0), (8.0, 20.0), PEG, PEG_EDGE);
        svg.text(x, y + h + 18.0, Hold::Middle, Style::Strong, say(strong, voice));
        let width = (0.7 * span).min(140.0);
        svg.lines(
            (x, y + h + 35.0),
            width,
            Hold::Middle,
            Style::Small,
            16.0,
            say(plain, voice),
        );
    }
}
