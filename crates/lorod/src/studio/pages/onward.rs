//! What is left of a design before its pack, along the lower edge of every page about it: each part of the work with how
//! it stands, and the next one to go to. It is read off the workspace; which pages were looked at is not remembered.

use super::{cloth, pack, papers, run, shades, stamp, windows};
use crate::facts::left::{Known, Left, Part, Stand, left};
use crate::facts::window::steps;
use crate::studio::Studio;
use crate::studio::page::Page;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{said, sentence, t};
use crate::studio::work::teller;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use std::sync::Arc;
use words::{Voice, text};
use workspace::Workspace;

/// Where a part is worked on.
const fn page_of(part: Part) -> &'static Page {
    match part {
        Part::Route => &cloth::PAGE,
        Part::Drawing => &stamp::PAGE,
        Part::Colours => &shades::PAGE,
        Part::Window => &windows::PAGE,
        Part::Orders => &run::PAGE,
        Part::Pack => &papers::PAGE,
    }
}

/// The edge of a page about a design: links at once, how each part stands as soon as that is known.
pub fn edge(design: &str, page: Option<&Page>, voice: Voice) -> Markup {
    let at = page.map_or("", |page| page.path);
    let from = format!("/onward?design={}&at={}", escape(design), escape(at));
    html! {
        nav.onward data-job=(from) data-follows="" aria-busy="true" aria-label=(t(text!("Before the pack", "Sebelum paket"), voice)) {
            ol.knots {
                @for part in Part::ALL {
                    @let page = page_of(part);
                    li.waiting { a href=(href(part, design, None)) aria-current=[(page.path == at).then_some("step")] { b { (t(page.word, voice)) } span.stands {} } }
                }
            }
        }
    }
}

/// The same with how everything stands.
pub async fn piece(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    let kiln = studio.kiln().clone();
    let work = move |_: crate::studio::kiln::KeepGoing| {
        let workspace = studio.workspace();
        stands(&studio, &workspace, &reader)
    };
    match kiln.long(teller(), work).await {
        Ok(Some(piece)) => piece.into_response(),
        Ok(None) => StatusCode::NOT_FOUND.into_response(),
        Err(_) => StatusCode::SERVICE_UNAVAILABLE.into_response(),
    }
}

fn stands(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Option<Markup> {
    let design = workspace.design(reader.get("design")?)?;
    let first = steps(design).into_iter().next();
    let window = first.and_then(|step| studio.known_window(workspace, design, Some(&step.id), None));
    let regions = studio.known_regions(workspace, &design.id);
    let known = Known {
        window: window.as_ref().map(|found| &found.window),
        regions: regions.as_deref().map(Vec::as_slice),
        packed: pack::is_made(studio, workspace, &design.id, reader.voice),
    };
    let all = left(workspace, design, known);
    let at = reader.get("at");
    let at = Part::ALL.into_iter().find(|part| Some(page_of(*part).path) == at);
    Some(drawn(&all, at, &design.id, reader.voice))
}

fn drawn(all: &[Left], at: Option<Part>, design: &str, voice: Voice) -> Markup {
    let next = next(all, at);
    let is_next = |one: &Left| next.is_some_and(|next| next.part == one.part);
    // Where something on this page wants eyes, that is said first.
    let here = all
        .iter()
        .find(|one| Some(one.part) == at && one.stand >= Stand::Look);
    let here = here.and_then(|one| one.act.as_ref());
    html! {
        ol.knots {
            @for one in all {
                li class=(format!("{}{}", class(one.stand), if is_next(one) { " comes" } else { "" })) {
                    a href=(href(one.part, design, one.step.as_deref())) aria-current=[(Some(one.part) == at).then_some("step")] {
                        b { (t(page_of(one.part).word, voice)) }
                        span.stands { (said(&one.said, voice)) }
                    }
                }
            }
        }
        @if let Some(one) = next {
            p.next {
                span.why {
                    @if let Some(act) = here { b { (t(text!("Here:", "Di sini:"), voice)) } " " (sentence(act, voice)) }
                    @else if let Some(act) = &one.act { (sentence(act, voice)) }
                }
                a.btn.go href=(href(one.part, design, one.step.as_deref())) {
                    (t(text!("Next:", "Lanjut:"), voice)) " " (t(page_of(one.part).word, voice))
                }
            }
        }
    }
}

/// What comes next for somebody at this part: what keeps the cloth from being made; then the first part after this one that
/// is not done; the pack at last. What stays as it is leads nobody in a circle.
fn next(all: &[Left], at: Option<Part>) -> Option<&Left> {
    let stop = |one: &&Left| one.stand == Stand::Stop && Some(one.part) != at;
    let after = |one: &&Left| one.stand > Stand::Good && at.is_none_or(|at| one.part > at);
    all.iter().find(stop).or_else(|| all.iter().find(after))
}

const fn class(stand: Stand) -> &'static str {
    match stand {
        Stand::Good => "good",
        Stand::Open => "note",
        Stand::Look => "look",
        Stand::Stop => "stop",
    }
}

fn href(part: Part, design: &str, step: Option<&str>) -> String {
    let id = escape(design);
    let step = |join: char| step.map_or_else(String::new, |step| format!("{join}step={}", escape(step)));
    match part {
        Part::Drawing => format!("{}?design={id}", stamp::PAGE.path),
        Part::Route => format!("/design/{id}{}", step('?')),
        Part::Colours => format!("{}?design={id}", shades::PAGE.path),
        Part::Window => format!("{}?design={id}{}", windows::PAGE.path, step('&')),
        Part::Orders => format!("{}?design={id}", run::PAGE.path),
        Part::Pack => format!("{}?design={id}", papers::PAGE.path),
    }
}

#[cfg(test)]
mod tests {
    use super::next;
    use crate::facts::left::{Left, Part, Stand};
    use words::say;

    fn all(stands: [Stand; 6]) -> Vec<Left> {
        let parts = Part::ALL.into_iter().zip(stands);
        parts
            .map(|(part, stand)| Left {
                part,
                stand,
                said: say!("so", "begitu"),
                act: None,
                step: None,
            })
            .collect()
    }

    /// From the first page on, whoever goes where it says comes to the pack, and passes nothing twice that only waits.
    #[test]
    fn whoever_goes_on_comes_to_the_pack() {
        use Stand::{Good, Look, Open};
        for drawing in [Good, Look] {
            let parts = all([Look, drawing, Open, Look, Open, Open]);
            let mut at = Part::Route;
            let mut walked = vec![at];
            while at != Part::Pack {
                at = next(&parts, Some(at)).expect("there is more to do").part;
                walked.push(at);
                assert!(walked.len() < 12, "{walked:?}");
            }
            assert_eq!(walked.contains(&Part::Drawing), drawing == Look, "{walked:?}");
            assert!(walked.contains(&Part::Window) && walked.contains(&Part::Orders));
        }
    }

    #[test]
    fn what_keeps_the_cloth_from_being_made_comes_first() {
        use Stand::{Good, Look, Open, Stop};
        let parts = all([Good, Look, Open, Stop, Open, Open]);
        for at in [None, Some(Part::Route), Some(Part::Pack)] {
            assert_eq!(next(&parts, at).map(|one| one.part), Some(Part::Window));
        }
        assert_eq!(
            next(&parts, Some(Part::Window)).map(|one| one.part),
            Some(Part::Orders)
        );
    }
}
