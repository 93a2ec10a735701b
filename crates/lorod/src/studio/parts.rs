//! The pieces that pages are made of. What a page shows again and again looks, reads and behaves the same everywhere:
//!
//! - [`swatch`]: a piece of rendered cloth that hangs from a peg;
//! - [`finding`], [`brief`]: something to tell, with its stitched margin (word, shape, then colour);
//! - [`plot`]: a question as title, the answer as first line, the picture, then what was assumed;
//! - [`number`]: a number that wears its origin;
//! - [`sentence`] and [`Field`]: settings as a sentence with quantities to type in;
//! - [`dot`]: a numbered dye;
//! - [`plate`]: a plot that brings its own question and answer;
//! - [`halves`]: two colours side by side, what is wanted and what is;
//! - [`work`]: a place for an answer that takes seconds;
//! - [`table`]: rows under heads.
//!
//! Pages build on these and on `assets/shed.css`; none writes its own.

pub use super::say::{brief, finding};

use super::Studio;
use super::names::{hash, ink_on};
use super::picture::Cut;
use super::say::{amount, origin, t};
use maud::{Markup, PreEscaped, html};
use route::Design;
use units::Quantity;
use words::{Origin, Text, Voice, text};

/// A piece of cloth after a step (its id; empty: white), hanging from a peg. `wide` is its width in CSS pixels.
pub fn swatch(studio: &Studio, design: &Design, step: &str, cut: Cut, alt: &str) -> Markup {
    let (wide, high) = cut.size();
    html! {
        span.peg {}
        img.hang.pinked src=(cut.href(studio, design, step, 0)) width=(wide) height=(high) alt=(alt) loading="lazy";
    }
}

/// A numbered dot in the colour of a dye. The name is spoken and shown as a tip; lists below name every dye.
pub fn dot(number: usize, name: &str, colour: [u8; 3]) -> Markup {
    html! {
        svg.dot viewBox="0 0 26 26" width="26" height="26" role="img" aria-label=(format!("{number} {name}")) {
            title { (format!("{number} {name}")) }
            circle cx="13" cy="13" r="12" fill=(hash(colour)) {}
            text x="13" y="17.4" text-anchor="middle" fill=(ink_on(colour)) { (number) }
        }
    }
}

/// A plot in its frame. The phone has a drawing of its own where there is one, not a smaller copy. `key` names the
/// plot on its page.
pub struct Plot<'a> {
    /// Unlike any other on the page; letters and `-`.
    pub key: &'a str,
    /// The question that the plot answers.
    pub question: &'a str,
    /// The answer, in one line.
    pub answer: Markup,
    /// The picture.
    pub wide: Markup,
    /// The picture for a phone.
    pub narrow: Option<Markup>,
    /// What was assumed, and where the numbers come from.
    pub assumed: Option<Markup>,
}

/// Draws it.
pub fn plot(plot: &Plot) -> Markup {
    let both = plot.narrow.is_some();
    html! {
        figure.plot.mori aria-labelledby=(format!("{}-q", plot.key)) {
            h2 id=(format!("{}-q", plot.key)) { (plot.question) }
            p.say { (plot.answer) }
            div class=(if both { "wide" } else { "both" }) { (plot.wide) }
            @if let Some(narrow) = &plot.narrow { div.narrow { (narrow) } }
            @if let Some(assumed) = &plot.assumed { figcaption.small { (assumed) } }
        }
    }
}

/// A plot that carries its question and its answer itself, in the house's letters and colours. `narrow` is the drawing
/// for a phone; `key` names it on its page.
pub fn plate(key: &str, wide: &str, narrow: &str, below: &Markup) -> Markup {
    html! {
        figure.plot.plate.mori {
            div.wide { (PreEscaped(in_house(wide, key))) }
            div.narrow { (PreEscaped(in_house(narrow, &format!("{key}-n")))) }
            figcaption.small { (below) }
        }
    }
}

/// A drawing of ours as it stands inside a page: without its style sheet, which the policy forbids and `cloth.css`
/// replaces; its inks are those of the theme, and its patterns have names of their own.
pub fn in_house(svg: &str, key: &str) -> String {
    const INKS: [(&str, &str); 14] = [
        ("#1a2030", "var(--ink)"),
        ("#474e5f", "var(--ink-2)"),
        ("#747a83", "var(--edge)"),
        ("#c9cbcc", "var(--hair)"),
        ("#b9bcbd", "var(--hair)"),
        ("#73430a", "var(--soga)"),
        ("#94182c", "var(--mengkudu)"),
        ("#5c6170", "var(--thread)"),
        ("#fbfbfa", "var(--mori)"),
        ("#27397f", "var(--nila)"),
        ("#dfe3f1", "var(--wash)"),
        ("#7b7160", "var(--rope)"),
        ("#1d5a43", "var(--daun)"),
        ("#dcebe3", "var(--daun-wash)"),
    ];
    let bare = match (svg.split_once("<style>"), svg.split_once("</style>")) {
        (Some((before, _)), Some((_, after))) => format!("{before}{after}"),
        _ => svg.to_string(),
    };
    // Inside a page the drawing needs no name of its kind.
    let bare = bare.replace(" xmlns=\"http://www.w3.org/2000/svg\"", "");
    INKS.iter()
        .fold(bare, |svg, (ink, of_theme)| {
            svg.replace(&format!("\"{ink}\""), &format!("\"{of_theme}\""))
        })
        .replace(" id=\"", &format!(" id=\"{key}-"))
        .replace("url(#", &format!("url(#{key}-"))
}

/// Two colours side by side: what is wanted, and what is (nothing where that is not known yet).
pub fn halves(wanted: [u8; 3], is: Option<[u8; 3]>, alt: &str) -> Markup {
    html! {
        svg.halves viewBox="0 0 100 56" preserveAspectRatio="none" role="img" aria-label=(alt) {
            rect width="100" height="56" fill=(hash(wanted)) {}
            @match is {
                Some(is) => rect x="50" width="50" height="56" fill=(hash(is)) {},
                None => rect.unknown x="50" width="50" height="56" {},
            }
        }
    }
}

/// A place for an answer that takes seconds. A script asks `from` for it (at once, or when `button` is pressed), tells
/// how far it is and lays the answer in the page; without one a link waits for it.
pub fn work(from: &str, doing: &str, button: Option<&str>, waits: &str, voice: Voice) -> Markup {
    html! {
        div.job.work data-job=(from) aria-busy=[button.is_none().then_some("true")] {
            @if let Some(button) = button { button.btn.go type="button" data-begins="" { (button) } }
            div.waits role="status" hidden[button.is_some()] {
                p.none { (doing) " …" }
                progress max="1" aria-label=(doing) {}
                p.told hidden { (t(text!("This could not be worked out.", "Ini tidak dapat dihitung."), voice)) }
            }
            noscript { p { a href=(waits) { (t(text!("Work it out now; the page waits", "Hitung sekarang; halaman menunggu"), voice)) } } }
        }
    }
}

/// The head of a column.
#[derive(Clone, Copy)]
pub enum Head {
    /// Over words.
    Words(&'static Text),
    /// Over numbers, which stand under one another.
    Numbers(&'static Text),
}

/// A table of this class (none where it is empty) under these heads.
pub fn table(class: &str, heads: &[Head], rows: &Markup, voice: Voice) -> Markup {
    html! {
        table class=[(!class.is_empty()).then_some(class)] {
            thead { tr { @for head in heads { @match head {
                Head::Words(text) => th scope="col" { (t(text, voice)) },
                Head::Numbers(text) => th.n scope="col" { (t(text, voice)) },
            } } } }
            tbody { (rows) }
        }
    }
}

/// A number with where it comes from under it.
pub fn number(quantity: Quantity, from: &Origin, voice: Voice) -> Markup {
    let class = if matches!(from, Origin::Assumed { .. }) {
        "assumed"
    } else {
        "small"
    };
    html! {
        span.number { b { (amount(quantity, voice)) } " " small class=(class) { (origin(from, voice)) } }
    }
}

/// A place in a sentence where something can be typed or chosen.
pub struct Field {
    /// Unlike any other on the page.
    pub id: String,
    /// Its word in the sentence.
    pub label: String,
    /// What stands in it.
    pub control: Control,
    /// What it means, what is allowed, what is usual and why: shown while the field is used.
    pub help: Markup,
    /// The change that it makes, as the page's script sends it: JSON of `/api/design/{id}/change` without the value.
    pub change: String,
}

/// What a field holds.
pub enum Control {
    /// A quantity or a text as typed. `also` is the same in the reader's other units.
    Typed {
        /// As it stands.
        text: String,
        /// In the reader's units, where those are others.
        also: Option<String>,
    },
    /// One of several: (value, its name), and the one that holds.
    Chosen {
        /// Value and name.
        of: Vec<(String, String)>,
        /// The value that holds.
        now: String,
    },
    /// Dyes and depths.
    Dyes {
        /// Id, name and depth as typed.
        doses: Vec<(String, String, String)>,
        /// Dyes of the store: id and name.
        store: Vec<(String, String)>,
        /// May there be one more?
        more: bool,
    },
}

/// Settings as a sentence: `begin`, then every field with its word.
pub fn sentence(begin: &str, fields: &[Field], voice: Voice) -> Markup {
    html! {
        form.sentence data-form="" autocomplete="off" {
            p.fields {
                b.verb { (begin) }
                @for (at, one) in fields.iter().enumerate() {
                    (joint(at, fields))
                    (field(one, voice))
                }
                "."
            }
            @for one in fields {
                div.help id=(format!("{}-help", one.id)) data-help=(one.id) { (one.help) }
                div.said id=(format!("{}-said", one.id)) role="status" {}
            }
        }
    }
}

/// What stands before a field. Dyes stand on lines of their own, and no comma follows them.
fn joint(at: usize, fields: &[Field]) -> &'static str {
    match at.checked_sub(1).and_then(|before| fields.get(before)) {
        None => ": ",
        Some(Field {
            control: Control::Dyes { .. },
            ..
        }) => " ",
        Some(_) => ", ",
    }
}

fn field(field: &Field, voice: Voice) -> Markup {
    let about = format!("{}-help {}-said", field.id, field.id);
    let id = &field.id;
    match &field.control {
        Control::Typed { text, also } => html! {
            span.q.field data-change=(field.change) {
                label for=(id) { (field.label) } " "
                input id=(id) type="text" value=(text) size=(text.chars().count().clamp(3, 32)) aria-describedby=(about) spellcheck="false";
                @if let Some(also) = also { span.also { "= " (also) } }
            }
        },
        Control::Chosen { of, now } => html! {
            span.q.field data-change=(field.change) {
                label for=(id) { (field.label) } " "
                select id=(id) aria-describedby=(about) {
                    @for (value, name) in of { option value=(value) selected[value == now] { (name) } }
                }
            }
        },
        Control::Dyes { doses, store, more } => html! {
            span.field.doses role="group" aria-label=(field.label) data-change=(field.change) data-doses="" {
                span.k { (field.label) } " "
                @for (at, (dye, name, depth)) in doses.iter().enumerate() {
                    span.q.dose {
                        select id=(format!("{id}-{at}-dye")) aria-label=(format!("{} {}", field.label, at + 1)) data-dye="" aria-describedby=(about) {
                            @for (value, shown) in store { option value=(value) selected[value == dye] { (shown) } }
                        }
                        input id=(if at == 0 { id.clone() } else { format!("{id}-{at}") }) type="text" value=(depth) size=(depth.chars().count().clamp(4, 12)) aria-label=(format!("{name}: {}", t(text!("depth", "kadar"), voice))) aria-describedby=(about) data-depth="" spellcheck="false";
                        @if doses.len() > 1 {
                            button.drop type="button" data-drop="" aria-label=(format!("{} {name}", t(text!("Leave out", "Hapus"), voice))) { "×" }
                        }
                    } " "
                }
                @if *more {
                    button.more-dye type="button" data-more="" { (t(text!("one dye more", "tambah pewarna"), voice)) }
                }
            }
        },
    }
}
