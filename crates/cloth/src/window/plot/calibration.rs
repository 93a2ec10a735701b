//! Do forecasts hold? Each as a bar of its 90 % interval with a dot for what came; beside it, how often what was said
//! came true.

use super::say;
use super::svg::{ANSWER, EDGE, Hold, INK, LEAF, PAPER, ROPE, Style, Svg, WASH};
use crate::window::calibrate::{Outcome, Replay};
use words::{Arg, Text, Voice, say as line, text};

/// Most forecasts that are drawn one by one; of more, the latest.
const MOST: usize = 24;

/// The plot, 1160 px wide. `names` stand beside the forecasts, in their order.
pub fn calibration_svg(outcomes: &[Outcome], names: &[String], replay: &Replay, voice: Voice) -> String {
    let title = say(TITLE, voice);
    let answer = answer(replay, voice);
    let mut svg = Svg::new(1160.0, &format!("{title} {answer}"), voice);
    svg.text(20.0, 38.0, Hold::Start, Style::Title, title);
    svg.paragraph(20.0, 68.0, 1120.0, Style::Answer, 24.0, &answer);
    let beside = Room {
        left: 250.0,
        right: 690.0,
        top: 150.0,
        row: 21.0,
        above: false,
    };
    let foot = bars(&mut svg, outcomes, names, &beside);
    said_and_came(&mut svg, replay, (790.0, 1120.0), (150.0, 480.0));
    svg.finish(foot.max(560.0))
}

/// The same for a phone, 340 px wide: names stand above their bars, and what came below them.
pub fn calibration_svg_narrow(
    outcomes: &[Outcome],
    names: &[String],
    replay: &Replay,
    voice: Voice,
) -> String {
    let (title, answer) = (say(TITLE, voice), answer(replay, voice));
    let mut svg = Svg::new(340.0, &format!("{title} {answer}"), voice);
    let y = svg.paragraph(10.0, 30.0, 320.0, Style::Title, 31.0, title);
    let y = svg.paragraph(10.0, y + 32.0, 320.0, Style::Answer, 24.0, &answer);
    let above = Room {
        left: 10.0,
        right: 330.0,
        top: y + 30.0,
        row: 40.0,
        above: true,
    };
    let foot = bars(&mut svg, outcomes, names, &above);
    let top = foot + 30.0;
    said_and_came(&mut svg, replay, (60.0, 318.0), (top, top + 258.0));
    svg.finish(top + 320.0)
}

/// The question.
const TITLE: &Text = text!(
    "Do forecasts hold as often as they say?",
    "Apakah ramalan benar sesering yang dijanjikan?"
);

/// Where the bars stand, and whether their names stand above them.
struct Room {
    left: f64,
    right: f64,
    top: f64,
    row: f64,
    above: bool,
}

fn answer(replay: &Replay, voice: Voice) -> String {
    let number = |n: f64, decimals| Arg::Number(n, decimals);
    let said = line!(
        "Of {n} outcomes {inside} % lie in their 90 % interval; on average they came out {bias} times the forecast.",
        "Dari {n} hasil, {inside} % ada dalam selang 90 %; rata-rata hasilnya {bias} kali ramalan.",
        n = number(f64::from(replay.n), 0),
        inside = number(100.0 * replay.inside, 0),
        bias = number(replay.bias, 2)
    );
    let verdict = if replay.n < 10 {
        text!(
            "Too few to judge: ten or more are needed.",
            "Masih terlalu sedikit untuk dinilai: perlu sepuluh atau lebih."
        )
    } else if replay.holds() {
        text!(
            "That is what chance allows: the intervals may be believed.",
            "Itu masih wajar menurut peluang: selangnya dapat dipercaya."
        )
    } else {
        text!(
            "Chance does not explain that: measure the constants again.",
            "Itu bukan kebetulan: ukur lagi konstantanya."
        )
    };
    format!("{} {}", said.say(voice), say(verdict, voice))
}

/// Forecasts one under the other, on a scale of outcome over forecast; answers the foot.
fn bars(svg: &mut Svg, outcomes: &[Outcome], names: &[String], room: &Room) -> f64 {
    let from = outcomes.len().saturating_sub(MOST);
    let (outcomes, names) = (&outcomes[from..], names.get(from..).unwrap_or_default());
    let &Room {
        left,
        right,
        top,
        row,
        above,
    } = room;
    let far = outcomes
        .iter()
        .map(|o| o.factor.ln().max((o.actual / o.forecast).ln().abs()))
        .fold(2f64.ln(), f64::max)
        * 1.08;
    let x = |ratio: f64| left + (ratio.ln() / far + 1.0) / 2.0 * (right - left);
    let foot = top + row * outcomes.len() as f64;
    svg.line((x(1.0), top - 8.0), (x(1.0), foot), EDGE, 1.2, "");
    for (at, outcome) in outcomes.iter().enumerate() {
        let y = top + row * (at as f64 + if above { 0.75 } else { 0.5 });
        let (low, high) = (x(1.0 / outcome.factor), x(outcome.factor));
        svg.rect(
            (low, y - 6.0),
            (high - low, 12.0),
            WASH,
            &format!(r#"stroke="{ANSWER}" stroke-width="0.8""#),
        );
        let ratio = outcome.actual / outcome.forecast;
        let inside = ratio.ln().abs() <= outcome.factor.ln();
        // Shape as well as colour: a dot inside, a cross outside.
        let at_x = x(ratio);
        if inside {
            svg.raw(&format!(
                r#"<circle cx="{at_x:.1}" cy="{y:.1}" r="4.5" fill="{INK}"/>"#
            ));
        } else {
            svg.line((at_x - 5.0, y - 5.0), (at_x + 5.0, y + 5.0), ROPE, 2.6, "");
            svg.line((at_x - 5.0, y + 5.0), (at_x + 5.0, y - 5.0), ROPE, 2.6, "");
        }
        let name: String = names
            .get(at)
            .map_or_else(String::new, |n| n.chars().take(34).collect());
        if above {
            svg.text(left, y - 12.0, Hold::Start, Style::Small, &name);
        } else {
            svg.text(left - 12.0, y + 4.0, Hold::End, Style::Small, &name);
        }
    }
    let voice = svg.voice;
    for ratio in [0.25, 0.5, 1.0, 2.0, 4.0] {
        if (left..=right).contains(&x(ratio)) {
            svg.text(
                x(ratio),
                foot + 20.0,
                Hold::Middle,
                Style::Small,
                &voice.number(ratio, 2),
            );
        }
    }
    let told = say(
        text!(
            "what came, over the forecast; bar: said to hold 90 of 100",
            "hasil dibagi ramalan; batang: dijanjikan memuat 90 dari 100"
        ),
        voice,
    );
    if above {
        return svg.paragraph(left, foot + 44.0, right - left, Style::Plain, 19.0, told) + 28.0;
    }
    svg.text(
        0.5 * (left + right),
        foot + 42.0,
        Hold::Middle,
        Style::Plain,
        told,
    );
    foot + 70.0
}

/// Probability said against share that came, with what chance allows.
fn said_and_came(svg: &mut Svg, replay: &Replay, (left, right): (f64, f64), (top, foot): (f64, f64)) {
    let voice = svg.voice;
    let x = |share: f64| left + share * (right - left);
    let y = |share: f64| foot - share * (foot - top);
    let n = f64::from(replay.n.max(1));
    // Two standard errors of a share.
    let band = |p: f64| 2.0 * (p * (1.0 - p) / n).sqrt();
    let steps = (0..=40).map(|i| f64::from(i) / 40.0);
    let edge = |sign: f64| {
        steps
            .clone()
            .map(|p| (x(p), y((p + sign * band(p)).clamp(0.0, 1.0))))
            .collect::<Vec<_>>()
    };
    let mut around = edge(1.0);
    around.extend(edge(-1.0).into_iter().rev());
    svg.path(&around, "#dcebe3", LEAF, 0.6);
    svg.line(
        (x(0.0), y(0.0)),
        (x(1.0), y(1.0)),
        EDGE,
        1.2,
        r#"stroke-dasharray="5 4""#,
    );
    let points: Vec<(f64, f64)> = replay
        .below
        .iter()
        .map(|(said, came)| (x(*said), y(*came)))
        .collect();
    svg.path(&points, "none", INK, 2.0);
    for (px, py) in &points {
        svg.raw(&format!(
            r#"<circle cx="{px:.1}" cy="{py:.1}" r="5" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>"#
        ));
    }
    svg.path(&[(left, top), (left, foot), (right, foot)], "none", EDGE, 1.2);
    for share in [0.0, 0.5, 1.0] {
        let label = format!("{} %", voice.number(100.0 * share, 0));
        svg.text(x(share), foot + 18.0, Hold::Middle, Style::Small, &label);
        svg.text(left - 8.0, y(share) + 4.0, Hold::End, Style::Small, &label);
    }
    svg.text(
        0.5 * (left + right),
        foot + 40.0,
        Hold::Middle,
        Style::Plain,
        say(text!("said to stay below", "dijanjikan di bawah batas"), voice),
    );
    svg.text(
        left,
        top - 14.0,
        Hold::Start,
        Style::Plain,
        say(
            text!(
                "came out below (green: chance allows)",
                "ternyata di bawah batas (hijau: wajar)"
            ),
            voice,
        ),
    );
}
