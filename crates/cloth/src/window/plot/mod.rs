//! The window as a plot that is read at a glance: the title asks, the first line answers; hatching is too short, dots
//! are too long, white is the window; swatches of the finished cloth hang below. Beside it the trade-off: what the
//! motif loses against how far the ground still is, time as parameter, and no limit needed.

mod calibration;
mod hill;
mod svg;
mod swatches;
mod trade;

pub use calibration::{calibration_svg, calibration_svg_narrow};

use super::advice::{Advice, Window};
use super::doubt::Cure;
use svg::{Style, Svg};
use words::{Text, Voice, text};

/// The plot for a page, 1160 px wide.
pub fn plot_svg(window: &Window, voice: Voice) -> String {
    let mut svg = Svg::new(1160.0, &description(window, voice), voice);
    let title = say(question(window), voice);
    svg.text(20.0, 38.0, svg::Hold::Start, Style::Title, title);
    let traded = trade::drawn(window);
    let right = if traded { 740.0 } else { 1130.0 };
    let y = svg.paragraph(
        20.0,
        68.0,
        right - 20.0,
        Style::Answer,
        24.0,
        &window.answer(voice),
    );
    let (top, foot) = room_for(window, y, 376.0);
    let room = hill::Room {
        left: 70.0,
        right,
        top,
        foot,
        swatch: (58.0, 92.0),
        swatches: if traded { 7 } else { 11 },
    };
    hill::draw(&mut svg, window, &room);
    let mut height: f64 = foot + 170.0;
    if traded {
        let room = trade::Room {
            left: 850.0,
            right: 1130.0,
            top: 150.0,
            foot: 420.0,
            heading: 38.0,
        };
        trade::draw(&mut svg, window, &room);
        height = height.max(480.0);
    }
    svg.finish(height)
}

/// The plot for a phone, 340 px wide: the hill alone.
pub fn plot_svg_narrow(window: &Window, voice: Voice) -> String {
    let mut svg = Svg::new(340.0, &description(window, voice), voice);
    let title = say(question(window), voice);
    let y = svg.paragraph(10.0, 30.0, 330.0, Style::Title, 31.0, title);
    let y = svg.paragraph(10.0, y + 32.0, 325.0, Style::Answer, 24.0, &window.answer(voice));
    let (top, foot) = room_for(window, y, 510.0);
    let room = hill::Room {
        left: 36.0,
        right: 326.0,
        top,
        foot,
        swatch: (46.0, 80.0),
        swatches: 4,
    };
    hill::draw(&mut svg, window, &room);
    svg.finish(foot + 170.0)
}

/// Top and foot of what stands below an answer that ends at `y`: a hill needs room for its labels, a strip less, and
/// swatches alone none.
fn room_for(window: &Window, y: f64, foot: f64) -> (f64, f64) {
    match &window.advice {
        Advice::DoThisStrip {
            cure: Cure::Strip, ..
        } => (y + 40.0, y + 190.0),
        Advice::DoThisStrip { .. } => (y + 10.0, y + 10.0),
        Advice::Indifferent => (y + 30.0, y + 30.0),
        _ => (y + 100.0, foot.max(y + 240.0)),
    }
}

fn say(text: &'static Text, voice: Voice) -> &'static str {
    text.raw(voice.language)
}

fn description(window: &Window, voice: Voice) -> String {
    format!("{} {}", say(question(window), voice), window.answer(voice))
}

/// The question that the plot answers.
fn question(window: &Window) -> &'static Text {
    match window.term.key {
        "bleach" => text!(
            "How long may the cloth stay in the bleach?",
            "Berapa lama kain di pemutih?"
        ),
        "dip" => text!(
            "How long may the cloth stay in the dye bath?",
            "Berapa lama kain di bak celup?"
        ),
        "fix" => text!("How long must the cloth rest?", "Berapa lama kain didiamkan?"),
        "sun" => text!(
            "How long may the cloth lie in the sun?",
            "Berapa lama kain dijemur?"
        ),
        "boil_off" => text!("How long may the cloth boil?", "Berapa lama kain direbus?"),
        _ => text!("How long may this step last?", "Berapa lama langkah ini?"),
    }
}

/// Times are only told where they do not rest on assumed rates.
fn timed(window: &Window) -> bool {
    !matches!(window.advice, Advice::DoThisStrip { .. })
}
