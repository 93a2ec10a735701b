//! The film strip: a piece of cloth after every step, on a rope.

use crate::studio::Studio;
use crate::studio::design::Along;
use crate::studio::picture::{Cut, frame};
use crate::studio::reader::Reader;
use crate::studio::say::{said, stitch, t};
use maud::{Markup, html};
use route::Design;
use words::{Arg, Term, Weight, say, text};

/// Pixels of a frame, and its height for its width.
const WIDE: f64 = 120.0;
const TALL: f64 = 1.42;
/// Width of the piece that is followed, mm, and where it lies along the bolt.
const PIECE: f64 = 150.0;
const ALONG: f64 = 1000.0;

/// Frames on one rope; a longer route takes more ropes, so that names stay whole.
const MOST_ON_A_ROPE: usize = 16;

/// The strip with one step chosen (its place in the route).
pub fn strip(
    studio: &Studio,
    design: &Design,
    along: &Along,
    chosen: usize,
    bolt: u32,
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    let across = reader.get("frames") == Some("across");
    let n = design.steps.len().max(1);
    let width = design.cloth.width.to_mm();
    let y = ALONG.min((design.cloth.length.to_mm() - width).max(0.0));
    let cut = |at: usize| {
        if across {
            let w = width / n as f64;
            Cut::wide(w * at as f64, y, w, w * TALL, WIDE)
        } else {
            let w = PIECE.min(width);
            Cut::wide(
                (width - w) / 2.0,
                y,
                w,
                (w * TALL).min(design.cloth.length.to_mm() - y),
                WIDE,
            )
        }
    };
    let ropes = n.div_ceil(MOST_ON_A_ROPE);
    let on_one = n.div_ceil(ropes);
    html! {
        nav.route #route aria-label=(t(text!("Route of the cloth, step by step", "Alur kain, langkah demi langkah"), voice)) {
            @for (rope, steps) in design.steps.chunks(on_one).enumerate() {
                div.rope-row {
                    svg.rope viewBox="0 0 1000 34" preserveAspectRatio="none" aria-hidden="true" {
                        path d="M0 6 Q500 34 1000 6" {}
                    }
                    ol start=(rope * on_one + 1) {
                        @for (along_rope, step) in steps.iter().enumerate() {
                            @let at = rope * on_one + along_rope;
                            @let cut = cut(at);
                            @let (wide, high) = cut.size();
                            @let src = if across { cut.href(studio, design, &step.id, bolt) } else { frame(&cut, studio, design, &step.id, bolt) };
                            li aria-current=[(at == chosen).then_some("step")] class=(format!("dip-{}", dip(along_rope, on_one))) {
                                span.peg {}
                                (flag(along, at, reader))
                                a href=(reader.here(&[("step", &step.id)])) data-step=(at) data-lay="" {
                                    // A browser speaks to one place over six lines at most: frames that wait on all of them would
                                    // keep the large cloth waiting. The script asks for them when that is there.
                                    img.hang data-frame=(step.id) data-next=(src) width=(wide) height=(high) alt="";
                                    noscript { img.hang src=(src) width=(wide) height=(high) alt="" loading="lazy"; }
                                    span.op { (name(&step.operation.kind().term, voice)) i { (at + 1) } }
                                }
                            }
                        }
                        // A rope that is not full keeps the width of its frames.
                        @for _ in steps.len()..on_one { li.free aria-hidden="true" {} }
                    }
                }
            }
        }
        div.route-foot.row {
            p.small {
                @if across {
                    (t(text!(
                        "One width of the bolt, selvedge to selvedge: every seam is a before and after.",
                        "Satu lebar gulungan, tepi ke tepi: tiap sambungan adalah sebelum dan sesudah."
                    ), voice))
                } @else {
                    (said(&say!(
                        "The same {w} of cloth in every frame. Arrow keys walk along.",
                        "Kain {w} yang sama di tiap bingkai. Tombol panah untuk berjalan.",
                        w = Arg::Quantity(units::Quantity::new(PIECE.min(width) / 1000.0, units::Measure::Length))
                    ), voice))
                }
            }
            div.seg.thin role="group" aria-label=(t(text!("Frames", "Bingkai"), voice)) {
                a href=(reader.here(&[("frames", "")])) data-lay="" aria-current=[(!across).then_some("true")] { (t(text!("same place", "tempat sama"), voice)) }
                a href=(reader.here(&[("frames", "across")])) data-lay="" aria-current=[across.then_some("true")] { (t(text!("one width", "satu lebar"), voice)) }
            }
        }
    }
}

/// A step's short name under its frame.
fn name(term: &Term, voice: words::Voice) -> String {
    t(&term.text, voice).to_lowercase()
}

/// How deep the rope hangs over a frame.
fn dip(at: usize, n: usize) -> u32 {
    let along = (at as f64 + 0.5) / n as f64;
    (6.0 + 56.0 * along * (1.0 - along)).round() as u32
}

fn flag(along: &Along, at: usize, reader: &Reader) -> Markup {
    let found = along.at(at);
    let count = |weight: Weight| found.iter().filter(|f| f.weight == weight).count();
    let worst = [Weight::Wrong, Weight::Doubtful]
        .into_iter()
        .find(|w| count(*w) > 0);
    html! {
        @if let Some(weight) = worst {
            @let (class, word) = stitch(weight);
            span class=(format!("flag {class}")) {
                (count(weight)) " " (t(word, reader.voice).trim_end_matches('.').to_lowercase())
            }
        }
    }
}
