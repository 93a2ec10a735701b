//! Lines and findings as HTML, and pages that say that something is wrong.

use super::frame::{Here, page};
use super::reader::Reader;
use super::Studio;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use words::{Arg, Finding, Line, Origin, Text, Voice, Weight, say, text};

/// A text in the reader's language.
pub fn t(text: &Text, voice: Voice) -> &'static str {
    text.raw(voice.language)
}

/// A line with its quantities and names set apart, so that the eye finds them.
pub fn line(line: &Line, voice: Voice) -> Markup {
    let mut rest = line.text.raw(voice.language);
    let mut parts = Vec::new();
    while let Some((before, after)) = rest.split_once('{') {
        let Some((name, after)) = after.split_once('}') else { break };
        parts.push(html! { (before) });
        match line.args.iter().find(|(key, _)| *key == name) {
            Some((_, arg)) => parts.push(argument(arg, voice)),
            None => parts.push(html! { "{" (name) "}" }),
        }
        rest = after;
    }
    parts.push(html! { (rest) });
    html! { @for part in &parts { (part) } }
}

fn argument(arg: &Arg, voice: Voice) -> Markup {
    let said = Line::new(text!("{x}", "{x}"), vec![("x", arg.clone())]).say(voice);
    match arg {
        Arg::Quantity(_) | Arg::Spelled(_) | Arg::Number(..) => match said.split_once(' ') {
            Some((number, unit)) => html! { span.q { b { (number) } " " (unit) } },
            None => html! { span.q { b { (said) } } },
        },
        Arg::Name(_) | Arg::Term(_) | Arg::Text(_) => html! { (said) },
    }
}

/// Class and first word of a finding.
pub fn stitch(weight: Weight) -> (&'static str, &'static Text) {
    match weight {
        Weight::Wrong => ("stop", text!("Stop.", "Berhenti.")),
        Weight::Doubtful => ("look", text!("Look.", "Periksa.")),
        Weight::Note => ("note", text!("Note.", "Catatan.")),
    }
}

/// A finding with its stitched margin. `about` stands before it: a design, a step.
pub fn finding(finding: &Finding, about: Option<Markup>, voice: Voice) -> Markup {
    let (class, word) = stitch(finding.weight);
    html! {
        div class=(format!("find {class}")) {
            p {
                b.w { (t(word, voice)) } " "
                @if let Some(about) = about { (about) ": " }
                (capital(&finding.found.say(voice), finding.weight)) "."
            }
            @if let Some(allowed) = &finding.allowed {
                p.small { (t(text!("Allowed", "Boleh"), voice)) ": " (allowed.say(voice)) "." }
            }
            @if let Some(remedy) = &finding.remedy {
                p.do { (remedy.say(voice)) }
            }
        }
    }
}

/// Findings begin small; after the first word of the margin they read as sentences.
fn capital(text: &str, _: Weight) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Where a number comes from, in a few words.
pub fn origin(origin: &Origin, voice: Voice) -> String {
    match origin {
        Origin::Assumed { factor, source } => say!(
            "assumed, good to a factor {factor} ({source})",
            "perkiraan, bisa meleset {factor} kali ({source})",
            factor = Arg::Number(*factor, 1),
            source = Arg::Name(source.clone())
        ),
        Origin::Yours => say!("yours", "dari bengkel"),
        Origin::Measured { date, n } => say!(
            "measured here {date}, n = {n}",
            "diukur di sini {date}, n = {n}",
            date = Arg::Name(date.clone()),
            n = Arg::Number(f64::from(*n), 0)
        ),
    }
    .say(voice)
}

/// Minutes as people say a duration: never like a clock.
pub fn duration(minutes: f64, voice: Voice) -> String {
    voice.quantity(units::Quantity::new(minutes * 60.0, units::Measure::Span))
}

/// A page with findings and nothing else.
pub fn trouble(
    studio: &Studio,
    reader: &Reader,
    status: StatusCode,
    title: &'static Text,
    findings: &[Finding],
) -> Response {
    let body = html! {
        section.wrap.trouble {
            h1 { (t(title, reader.voice)) }
            div.mori { @for f in findings { (finding(f, None, reader.voice)) } }
            p { a.btn href="/" { (t(text!("Back to the line", "Kembali ke jemuran"), reader.voice)) } }
        }
    };
    let mut answer = page(studio, reader, &Here::plain(t(title, reader.voice)), body);
    *answer.status_mut() = status;
    answer
}

/// 404 for what is no page.
pub fn not_found(_: &Studio, _: &HeaderMap) -> impl IntoResponse {
    (StatusCode::NOT_FOUND, "there is nothing here\n")
}
