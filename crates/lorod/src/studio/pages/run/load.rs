//! How full each place is, the fullest first.

use crate::facts::views::View;
use crate::facts::views::load::Load;
use crate::studio::say::span;
use maud::{Markup, html};
use words::{Arg, Voice, say};

/// What the fullest could still take.
pub fn hours(view: &View, loads: &[Load], voice: Voice) -> String {
    let Some(first) = loads.first() else {
        return String::new();
    };
    say!(
        "{place} could take {left} more before the plan would have to grow.",
        "{place} masih dapat menerima {left} sebelum rencana harus bertambah.",
        place = Arg::Name(view.place(first.resource, voice)),
        left = Arg::Name(span((first.open - first.busy).max(0) as f64 * 60.0, voice))
    )
    .say(voice)
}

/// A line for each place; only the narrow one's is whole.
pub fn bars(view: &View, loads: &[Load], voice: Voice) -> Markup {
    html! {
        ul.loads {
            @for (at, load) in loads.iter().enumerate() {
                li {
                    span.station { (view.place(load.resource, voice)) @if view.problem().capacity(load.resource) > 1 { " × " (view.problem().capacity(load.resource)) } }
                    svg.bar viewBox="0 0 1000 14" preserveAspectRatio="none" aria-hidden="true" {
                        rect.thread y="5" width="1000" height="4" {}
                        @if at == 0 { rect.narrow-place width=(width(load)) height="14" {} }
                        @else { rect.yarn y="3" width=(width(load)) height="8" {} }
                    }
                    b { (voice.number(100.0 * load.share, 0)) " %" }
                    span.small { (say!("{busy} of {open}", "{busy} dari {open}", busy = Arg::Name(span(load.busy as f64 * 60.0, voice)), open = Arg::Name(span(load.open as f64 * 60.0, voice))).say(voice)) }
                }
            }
        }
    }
}

fn width(load: &Load) -> String {
    format!("{:.0}", 1000.0 * load.share.min(1.0))
}
