//! How the stamp repeats, and what a slip of the hand does: seen at the join where it shows first.

use super::drawing::path;
use super::{Held, count, length};
use crate::facts::building::Repeat;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use maud::{Markup, PreEscaped, html};
use stamp::{Bounds, HandError, Lattice, Opened, Slip, Tolerance, Visible};
use words::{Arg, Voice, say, text};

/// Impressions tried for the share: it is then known to 1 % or better.
const TRIED: u32 = 4000;
/// Farthest that the sliders go.
const MOST_MM: f64 = 5.0;
const MOST_DEGREES: f64 = 3.0;
/// Cloth in a close-up, mm across.
const CLOSE: f64 = 36.0;
/// The impression that slips.
const MIDDLE: (i32, i32) = (2, 2);

/// The piece: `?mm=&degrees=`, at first as the workshop's hand does it.
pub fn piece(held: &Held, repeat: &Repeat, reader: &Reader) -> Markup {
    let voice = held.voice;
    let given = |key: &str, usual: f64, most: f64| {
        let typed = reader
            .get(key)
            .and_then(|v| v.parse().ok())
            .filter(|v: &f64| v.is_finite());
        typed.unwrap_or(usual).clamp(0.0, most)
    };
    let mm = given("mm", repeat.hand.x_mm, MOST_MM);
    let degrees = given("degrees", repeat.hand.angle.to_degrees(), MOST_DEGREES);
    let lattice = held.used.repeat();
    let slip = Slip {
        x_mm: mm,
        y_mm: mm,
        angle: degrees.to_radians(),
    };
    let hand = HandError {
        x_mm: mm,
        y_mm: mm,
        angle: degrees.to_radians(),
        pressure: 0.0,
    };
    let unit = |i: i32, j: i32, k: u32| field::unit(field::hash2(i, j, k.wrapping_mul(0x9E37_79B1)));
    let slips = lattice.slips(&repeat.seams, &hand, &Visible::default(), TRIED, unit);
    html! {
        div.mori.slip data-slip=(held.href("slip", "")) {
            h2 { (t(text!("What does a slip of the hand do?", "Apa akibat tangan yang meleset?"), voice)) }
            @if repeat.seams.joins.is_empty() {
                p.say { (t(text!(
                    "Nothing: no line crosses from one impression to the next.",
                    "Tidak ada: tidak ada garis yang menyeberang dari satu cap ke cap berikutnya."
                ), voice)) }
            } @else {
                p.say role="status" { (say!(
                    "{n} of 100 impressions then show a break at arm's length (± {e}).",
                    "{n} dari 100 kali cap tampak putus dari jarak lengan (± {e}).",
                    n = Arg::Number(100.0 * slips.share(), 0),
                    e = Arg::Number(100.0 * slips.error(), 1)
                ).say(voice)) }
                form.slide data-slide="" {
                    (slider("mm", text!("Two of three impressions land within", "Dua dari tiga cap mendarat dalam"), mm, MOST_MM, 0.1, &length(mm, voice), voice))
                    (slider("degrees", text!("and are turned by less than", "dan terputar kurang dari"), degrees, MOST_DEGREES, 0.1, &say!("{a}°", "{a}°", a = Arg::Number(degrees, 1)).say(voice), voice))
                }
                (closeups(held, &lattice, repeat, &slip))
                p.small { (say!(
                    "{tried} impressions were tried, each with neighbours set by the same hand. A break is seen from a leap of {leap} or a gap of {gap} on (own estimate).",
                    "{tried} kali cap dicoba, masing-masing dengan tetangga dari tangan yang sama. Putus tampak mulai loncatan {leap} atau celah {gap} (perkiraan sendiri).",
                    tried = Arg::Number(f64::from(TRIED), 0),
                    leap = Arg::Name(length(Visible::default().leap_mm, voice)),
                    gap = Arg::Name(length(Visible::default().gap_mm, voice))
                ).say(voice)) }
            }
            (joins(held, repeat, voice))
        }
    }
}

fn slider(
    key: &str,
    label: &'static words::Text,
    now: f64,
    most: f64,
    step: f64,
    said: &str,
    voice: Voice,
) -> Markup {
    html! {
        label for=(format!("slip-{key}")) { (t(label, voice)) " " output { (said) } }
        input id=(format!("slip-{key}")) name=(key) type="range" min="0" max=(most) step=(step) value=(format!("{now:.1}")) aria-valuetext=(said);
    }
}

/// The join that shows it most: as set right, with this slip, and with twice as much.
fn closeups(held: &Held, lattice: &Lattice, repeat: &Repeat, slip: &Slip) -> Markup {
    let voice = held.voice;
    // Where nothing slips yet, the join that would show a small turn first.
    let look = if slip.x_mm + slip.angle > 0.0 {
        *slip
    } else {
        Slip {
            x_mm: 1.0,
            y_mm: 1.0,
            angle: 0.01,
        }
    };
    let worse =
        |o: &Opened| (o.leap_mm.abs() / Visible::default().leap_mm).max(o.gap_mm / Visible::default().gap_mm);
    let all = lattice.slipped(&repeat.seams, MIDDLE, &look);
    let Some((at, _)) = all
        .iter()
        .enumerate()
        .max_by(|a, b| worse(a.1).total_cmp(&worse(b.1)))
    else {
        return html! {};
    };
    let twice = Slip {
        x_mm: 2.0 * slip.x_mm,
        y_mm: 2.0 * slip.y_mm,
        angle: 2.0 * slip.angle,
    };
    let frames = [
        (Slip::default(), text!("set right", "tepat")),
        (*slip, text!("this slip", "meleset segini")),
        (twice, text!("twice as much", "dua kalinya")),
    ];
    html! {
        div.closeups {
            @for (slip, name) in frames {
                @if let Some(opened) = lattice.slipped(&repeat.seams, MIDDLE, &slip).get(at) {
                    figure {
                        (closeup(held, lattice, opened, &slip))
                        figcaption.small { b { (t(name, voice)) } ": " (seen(opened, voice)) }
                    }
                }
            }
        }
    }
}

fn seen(opened: &Opened, voice: Voice) -> String {
    let (leap, gap) = (
        Arg::Name(length(opened.leap_mm.abs(), voice)),
        Arg::Name(length(opened.gap_mm.abs(), voice)),
    );
    match (opened.seen(&Visible::default()), opened.gap_mm > 0.05) {
        (false, _) => say!(
            "the line leaps {leap}, not seen",
            "garis meloncat {leap}, tidak tampak",
            leap = leap
        ),
        (true, false) => say!(
            "the line leaps {leap}: seen",
            "garis meloncat {leap}: tampak",
            leap = leap
        ),
        (true, true) => say!(
            "leaps {leap}, parts {gap}: seen",
            "meloncat {leap}, renggang {gap}: tampak",
            leap = leap,
            gap = gap
        ),
    }
    .say(voice)
}

fn closeup(held: &Held, lattice: &Lattice, opened: &Opened, slip: &Slip) -> Markup {
    let at = opened.join.at;
    let half = CLOSE / 2.0;
    let window = Bounds {
        low: [at[0] - half, at[1] - half],
        high: [at[0] + half, at[1] + half],
    };
    let reach = window.grown(3.0 * MOST_MM + 10.0);
    let area = held.used.stamp.area();
    let around = (-1..=1).flat_map(|j| (-1..=1).map(move |i| (MIDDLE.0 + i, MIDDLE.1 + j)));
    let corner = lattice.corner(MIDDLE.0, MIDDLE.1);
    let middle = [0, 1].map(|k| corner[k] + lattice.repeat_mm[k] / 2.0);
    let turn = format!(
        "translate({:.3} {:.3}) rotate({:.4} {:.3} {:.3})",
        slip.x_mm,
        slip.y_mm,
        slip.angle.to_degrees(),
        middle[0],
        middle[1]
    );
    html! {
        svg.closeup viewBox=(format!("{:.2} {:.2} {CLOSE} {CLOSE}", window.low[0], window.low[1])) width="320" height="320" aria-hidden="true" {
            @for (i, j) in around {
                @let wax = lattice.printed(i, j, area).clipped(&reach);
                @if !wax.is_empty() {
                    path.wax fill-rule="evenodd" transform=[((i, j) == MIDDLE).then_some(turn.as_str())] d=(path(&wax)) {}
                }
            }
            path.border d=(PreEscaped(match opened.join.border {
                stamp::Border::Columns => format!("M{:.2} {:.2}V{:.2}", at[0], window.low[1], window.high[1]),
                stamp::Border::Rows => format!("M{:.2} {:.2}H{:.2}", window.low[0], at[1], window.high[0]),
            })) stroke-width="0.3" stroke-dasharray="1.2 0.9" {}
        }
    }
}

/// Whether the repeat joins as drawn.
fn joins(held: &Held, repeat: &Repeat, voice: Voice) -> Markup {
    html! {
        h3 { (t(text!("Does the repeat join as drawn?", "Apakah ulangan menyambung seperti digambar?"), voice)) }
        @let seams = &repeat.seams;
        @if seams.joins.is_empty() && seams.over == 0 && seams.breaks.is_empty() { p { (t(text!("Nothing reaches its edge: each impression stands by itself.", "Tidak ada yang sampai ke tepi: tiap cap berdiri sendiri."), voice)) } }
        @else { p { (say!(
            "{joins} lines go on from one impression to the next, {over} shapes reach over by themselves, {breaks} break.",
            "{joins} garis berlanjut dari cap ke cap, {over} bentuk melewati tepi sendiri, {breaks} putus.",
            joins = count(repeat.seams.joins.len()),
            over = count(repeat.seams.over),
            breaks = count(repeat.seams.breaks.len())
        ).say(voice)) } }
        @if !repeat.seams.breaks.is_empty() {
            ol.where {
                @for (at, one) in repeat.seams.breaks.iter().enumerate().take(12) {
                    li { b { (at + 1) } " " (one.wrong.line().say(voice)) " (" (length(one.at[0], voice)) ", " (length(one.at[1], voice)) ")" }
                }
            }
            p.small { (say!(
                "Moving the ends together would leave {n} breaks and change {share} % of the wax (lines within {mm} count as joined).",
                "Bila ujungnya dipertemukan, tersisa {n} putus dan {share} % malam berubah (garis dalam {mm} dianggap menyambung).",
                n = count(repeat.closed_breaks),
                share = Arg::Number(100.0 * repeat.changed_mm2 / held.used.stamp.area().mm2().max(f64::MIN_POSITIVE), 1),
                mm = Arg::Name(length(Tolerance::default().leap_mm, voice))
            ).say(voice)) }
        }
        p.row.small {
            a href=(held.href("joins.svg", "")) { (t(text!("Picture of the joins", "Gambar sambungan"), voice)) }
            @if !repeat.seams.breaks.is_empty() { a href=(held.href("closed.svg", "")) { (t(text!("The same with the breaks closed", "Yang sama, putusnya ditutup"), voice)) } }
            a href=(held.href("bolt.svg", "")) { (t(text!("All impressions on a bolt", "Semua cap di satu gulung"), voice)) }
        }
    }
}
