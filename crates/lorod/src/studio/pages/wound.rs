//! The palette of a step as yarn wound on a card.

use crate::studio::names::{hash, say as colour_name};
use crate::studio::winding::Winding;
use cloth::Region;
use maud::{Markup, html};
use words::{Arg, Voice, say};

/// Yarn wound on a card: width of a colour is its share of the region.
pub fn wound(winding: &Winding, voice: Voice) -> Markup {
    html! {
        div.windings {
            @for region in winding {
                @let percent = Arg::Number(region.share * 100.0, 0);
                @let title = match region.region {
                    Region::Ground => say!("Ground, {n} % of the cloth", "Latar, {n} % dari kain", n = percent),
                    Region::Motif => say!("Motif, {n} % of the cloth", "Motif, {n} % dari kain", n = percent),
                };
                section {
                    h3 { (title.say(voice)) }
                    svg.winding viewBox="0 0 1000 46" preserveAspectRatio="none" aria-hidden="true" {
                        @for (at, yarn) in region.yarns.iter().enumerate() {
                            @let from: f64 = region.yarns.iter().take(at).map(|y| y.share * 1000.0).sum();
                            rect x=(format!("{from:.1}")) y="0" width=(format!("{:.1}", yarn.share * 1000.0)) height="46" fill=(hash(yarn.bytes)) {}
                        }
                        @for turn in 1..200 {
                            line x1=(turn * 5) x2=(turn * 5) y1="0" y2="46" {}
                        }
                    }
                    ul.yarns {
                        @for yarn in &region.yarns {
                            li {
                                svg.chip viewBox="0 0 10 10" width="14" height="14" aria-hidden="true" { rect width="10" height="10" fill=(hash(yarn.bytes)) {} }
                                b { (voice.number(yarn.share * 100.0, 0)) " %" } " " (colour_name(yarn.lab, voice))
                                span.code { (hash(yarn.bytes)) " · L " (voice.number(yarn.lab.l, 0)) " a " (voice.number(yarn.lab.a, 0)) " b " (voice.number(yarn.lab.b, 0)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
