//! The plot of two palettes: how much of each colour, and the cheapest way from one to the other.

use super::paper::{EDGE, HAIR, Hold, Paper, Style, WASH};
use crate::palette::{Ground, Palette};
use crate::screen;
use crate::spaces::Lab;
use crate::transport::Plan;
use words::{Arg, Line, Voice, say};

const WIDTH: f64 = 980.0;
const HEIGHT: f64 = 600.0;
const LEFT: f64 = 32.0;
const BAR: f64 = WIDTH - 2.0 * LEFT;
const TOP: (f64, f64) = (186.0, 84.0);
const FOOT: (f64, f64) = (396.0, 84.0);
/// Ribbons thinner than this share of the area are not drawn.
const LEAST: f64 = 0.002;

/// The plot of two palettes of pictures with these names; their colours are CIELAB under the screen's white (D65, 2
/// degrees). An SVG document.
pub fn palettes_svg(pair: [(&str, &Palette); 2], voice: Voice) -> String {
    let [(one_name, one), (other_name, other)] = pair;
    let title = say!(
        "How far apart are these two cloths?",
        "Seberapa jauh kedua kain ini?"
    );
    let mut paper = Paper::new(WIDTH, HEIGHT, &title, voice);
    paper.say((LEFT, 52.0), Hold::Start, Style::Title, &title);
    let plan = one.plan(other, Ground::Euclidean);
    let eye = one.distance(other, Ground::Ciede2000);
    let answer = answer(plan.as_ref(), eye).say(voice);
    paper.paragraph((LEFT, 82.0), BAR, Style::Answer, 24.0, &answer);
    paper.text((LEFT, TOP.0 - 32.0), Hold::Start, Style::Strong, one_name);
    paper.text(
        (LEFT, FOOT.0 + FOOT.1 + 44.0),
        Hold::Start,
        Style::Strong,
        other_name,
    );
    // By lightness, so that the same colour stands at the same place in both.
    let (first, second) = (by_lightness(one), by_lightness(other));
    if let Some(plan) = &plan {
        ribbons(&mut paper, (one, &first), (other, &second), plan);
    }
    bar(&mut paper, TOP, (one, &first), Side::Above);
    bar(&mut paper, FOOT, (other, &second), Side::Below);
    let rests = rests().say(voice);
    paper.paragraph((LEFT, HEIGHT - 30.0), BAR, Style::Small, 17.0, &rests);
    paper.finish()
}

/// In words how far that is. Limits by judgement: below 1 two plain colours pass for one; a mottled cloth hides 3.
fn answer(plan: Option<&Plan>, eye: f64) -> Line {
    let Some(plan) = plan else {
        return say!(
            "These palettes cannot be compared.",
            "Palet ini tidak dapat dibandingkan."
        );
    };
    let (lab, eye_n) = (Arg::Number(plan.cost, 1), Arg::Number(eye, 1));
    if eye < 1.0 {
        say!(
            "{eye} dE00: nobody would tell them apart. ({lab} in CIELAB.)",
            "{eye} dE00: tidak akan terlihat berbeda. ({lab} dalam CIELAB.)",
            eye = eye_n,
            lab = lab
        )
    } else if eye < 3.0 {
        say!(
            "{eye} dE00: side by side a keen eye sees it, on mottled cloth few will. ({lab} in CIELAB.)",
            "{eye} dE00: berdampingan mata terlatih melihatnya, pada kain bercorak jarang terlihat. ({lab} dalam CIELAB.)",
            eye = eye_n,
            lab = lab
        )
    } else if eye < 8.0 {
        say!(
            "{eye} dE00: sisters, not twins; anybody sees the difference side by side. ({lab} in CIELAB.)",
            "{eye} dE00: serumpun, tetapi tidak sama; siapa pun melihat bedanya bila berdampingan. ({lab} dalam CIELAB.)",
            eye = eye_n,
            lab = lab
        )
    } else {
        say!(
            "{eye} dE00: two different cloths. ({lab} in CIELAB.)",
            "{eye} dE00: dua kain yang berbeda. ({lab} dalam CIELAB.)",
            eye = eye_n,
            lab = lab
        )
    }
}

fn by_lightness(palette: &Palette) -> Vec<usize> {
    let swatches = palette.swatches();
    let mut order: Vec<usize> = (0..swatches.len()).collect();
    order.sort_by(|a, b| swatches[*a].lab.l.total_cmp(&swatches[*b].lab.l));
    order
}

enum Side {
    Above,
    Below,
}

fn bar(paper: &mut Paper, (top, height): (f64, f64), (palette, order): (&Palette, &[usize]), side: Side) {
    let mut x = LEFT;
    for at in order {
        let swatch = palette.swatches()[*at];
        let wide = BAR * swatch.share;
        paper.rect((x, top), (wide + 0.3, height), &hex(swatch.lab));
        let text = format!("{} %", paper.voice.number(100.0 * swatch.share, 0));
        if wide > Style::Small.width(&text) + 4.0 {
            let y = match side {
                Side::Above => top - 8.0,
                Side::Below => top + height + 18.0,
            };
            paper.text((x + wide / 2.0, y), Hold::Middle, Style::Small, &text);
        }
        x += wide;
    }
    let (right, bottom) = (LEFT + BAR, top + height);
    paper.run(
        &[
            (LEFT, top),
            (right, top),
            (right, bottom),
            (LEFT, bottom),
            (LEFT, top),
        ],
        "none",
        HAIR,
        1.0,
        "",
    );
}

/// What goes where: each ribbon as wide as its area, in the colour that it leaves.
fn ribbons(
    paper: &mut Paper,
    (one, first): (&Palette, &[usize]),
    (other, second): (&Palette, &[usize]),
    plan: &Plan,
) {
    let columns = other.swatches().len();
    let starts = |palette: &Palette, order: &[usize]| {
        let mut x = LEFT;
        let mut out = vec![0.0; order.len()];
        for at in order {
            out[*at] = x;
            x += BAR * palette.swatches()[*at].share;
        }
        out
    };
    let (mut from, mut to) = (starts(one, first), starts(other, second));
    let (high, low) = (TOP.0 + TOP.1, FOOT.0);
    paper.rect((LEFT, high), (BAR, low - high), WASH);
    for i in first {
        for j in second {
            let flow = plan.flow[i * columns + j];
            let wide = BAR * flow;
            let (a, b) = (from[*i], to[*j]);
            from[*i] += wide;
            to[*j] += wide;
            if flow < LEAST {
                continue;
            }
            let fill = hex(one.swatches()[*i].lab);
            paper.ribbon(((a, high), (b, low)), wide, &fill, EDGE);
        }
    }
}

fn hex(lab: Lab) -> String {
    let linear = screen::linear_from_xyz(lab.xyz(screen::WHITE));
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn rests() -> Line {
    say!(
        "Width: share of the area. Ribbons: the cheapest way to turn one palette into the other (earth mover's distance, \
         exact); the mean colour change along them is the distance. Colours as on a screen: D65, 2 degrees.",
        "Lebar: bagian luas. Pita: cara termurah mengubah satu palet menjadi yang lain (earth mover's distance, eksak); \
         rata-rata perubahan warna sepanjang pita adalah jaraknya. Warna seperti di layar: D65, 2 derajat."
    )
}
