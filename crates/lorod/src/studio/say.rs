//! Lines and findings as HTML, and pages that say that something is wrong.

use super::Studio;
use super::frame::{Here, bare};
use super::reader::Reader;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use units::{Measure, Quantity};
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
        let Some((name, after)) = after.split_once('}') else {
            break;
        };
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

/// A line as plain words, with the signs that paper would use.
pub fn said(line: &Line, voice: Voice) -> String {
    let args = line.args.iter().map(|(name, arg)| match arg {
        Arg::Quantity(quantity) => (*name, Arg::Name(amount(*quantity, voice))),
        other => (*name, other.clone()),
    });
    Line::new(line.text, args.collect()).say(voice)
}

/// A quantity as one reads it: signs instead of the letters that a keyboard has.
pub fn amount(quantity: Quantity, voice: Voice) -> String {
    if quantity.measure == Measure::Span {
        return span(quantity.si, voice);
    }
    let said = voice.quantity(quantity);
    let Some((number, unit)) = said.split_once(' ') else {
        return said;
    };
    let sign = match unit {
        "C" => "°C".to_string(),
        "F" => "°F".to_string(),
        "degBe" => "°Bé".to_string(),
        "deg" => "°".to_string(),
        unit => unit.replace("m2", "m²").replace("yd2", "yd²").replace("um", "µm"),
    };
    format!("{}\u{a0}{sign}", powers(number))
}

/// `1.37e-10` as one writes it by hand: 1.37 × 10⁻¹⁰. A line never ends inside it.
fn powers(number: &str) -> String {
    let Some((of, power)) = number.split_once('e') else {
        return number.to_string();
    };
    let raised = power.chars().map(|c| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        // Superscripts four to nine, and nought, stand together.
        '0' | '4'..='9' => char::from_u32(0x2070 + u32::from(c) - u32::from('0')).unwrap_or(c),
        _ => c,
    });
    format!("{of}\u{a0}×\u{a0}10{}", raised.collect::<String>())
}

/// A duration as people say it, never like a clock: `45 s`, `13 min 40 s`, `2 h 15 min`, `16 h`.
pub fn span(seconds: f64, voice: Voice) -> String {
    let (hour, second) = match voice.language {
        words::Language::En => ("h", "s"),
        words::Language::Id => ("jam", "detik"),
    };
    let minute = if hour == "h" { "min" } else { "menit" };
    let whole = |v: f64| format!("{v:.0}");
    let two = |big: f64, big_unit: &str, small: f64, small_unit: &str| {
        if small > 0.0 {
            format!("{big:.0}\u{a0}{big_unit} {small:.0}\u{a0}{small_unit}")
        } else {
            format!("{big:.0}\u{a0}{big_unit}")
        }
    };
    match seconds {
        s if !s.is_finite() || s >= 72.0 * 3600.0 => voice.quantity(Quantity::new(s, Measure::Span)),
        s if s < 119.5 => format!("{}\u{a0}{second}", whole(s)),
        s if s < 1800.0 => {
            // To the nearest five seconds: nobody on the floor is more exact.
            let s = (s / 5.0).round() * 5.0;
            two((s / 60.0).floor(), minute, s % 60.0, second)
        }
        s if s < 7200.0 => format!("{}\u{a0}{minute}", whole(s / 60.0)),
        s => {
            let m = (s / 60.0).round();
            two((m / 60.0).floor(), hour, m % 60.0, minute)
        }
    }
}

fn argument(arg: &Arg, voice: Voice) -> Markup {
    let line = Line::new(text!("{x}", "{x}"), vec![("x", arg.clone())]);
    let said = said(&line, voice).replace('\u{a0}', " ");
    match arg {
        Arg::Quantity(_) | Arg::Spelled(_) | Arg::Number(..) => match said.split_once(' ') {
            // "pH 10.2" begins with its unit.
            Some((unit, number)) if !unit.contains(|c: char| c.is_ascii_digit()) => {
                html! { span.q { (unit) " " b { (number) } } }
            }
            Some((number, unit)) => html! { span.q { b { (number) } " " (unit) } },
            None => html! { span.q { b { (said) } } },
        },
        Arg::Name(_) | Arg::Term(_) | Arg::Text(_) | Arg::Called(..) => html! { (said) },
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
            p { b.w { (t(word, voice)) } " " @if let Some(about) = about { (about) ": " } (sentence(&finding.found, voice)) }
            @if let Some(allowed) = &finding.allowed {
                p.small { (t(text!("Allowed", "Boleh"), voice)) ": " (full_stop(said(allowed, voice))) }
            }
            @if let Some(remedy) = &finding.remedy { p.do { (sentence(remedy, voice)) } }
        }
    }
}

/// Only its first line, where there is little room.
pub fn brief(finding: &Finding, voice: Voice) -> Markup {
    let (class, word) = stitch(finding.weight);
    html! { div class=(format!("find {class}")) { p { b.w { (t(word, voice)) } " " (sentence(&finding.found, voice)) } } }
}

/// Findings begin small; after the first word of the margin they read as sentences.
pub fn sentence(line: &Line, voice: Voice) -> String {
    let said = said(line, voice);
    let mut letters = said.chars();
    full_stop(
        letters
            .next()
            .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect()),
    )
}

fn full_stop(mut text: String) -> String {
    if !text.ends_with(['.', '!', '?']) {
        text.push('.');
    }
    text
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

/// A page with findings and nothing else.
pub fn trouble(
    studio: &Studio,
    reader: &Reader,
    status: StatusCode,
    title: &'static Text,
    findings: &[Finding],
) -> Response {
    trouble_at(
        studio,
        reader,
        status,
        &Here::plain(t(title, reader.voice)),
        title,
        findings,
    )
}

/// The same inside a page of the workspace.
pub fn trouble_at(
    studio: &Studio,
    reader: &Reader,
    status: StatusCode,
    here: &Here,
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
    let mut answer = bare(studio, reader, here, body);
    *answer.status_mut() = status;
    answer
}

/// 404 for what is no page.
pub fn not_found(_: &Studio, _: &HeaderMap) -> impl IntoResponse {
    (StatusCode::NOT_FOUND, "there is nothing here\n")
}

#[cfg(test)]
mod tests {
    use super::{amount, span};
    use units::{Measure, Quantity, System};
    use words::{Language, Voice};

    #[test]
    fn durations_never_look_like_a_clock() {
        let voice = Voice::default();
        let said = |s| span(s, voice).replace('\u{a0}', " ");
        for (seconds, expected) in [
            (45.0, "45 s"),
            (119.0, "119 s"),
            (120.0, "2 min"),
            (820.0, "13 min 40 s"),
            (823.0, "13 min 45 s"),
            (1800.0, "30 min"),
            (7200.0, "2 h"),
            (8100.0, "2 h 15 min"),
            (57600.0, "16 h"),
        ] {
            assert_eq!(said(seconds), expected);
            assert!(!said(seconds).contains(':'));
        }
        let floor = Voice {
            language: Language::Id,
            system: System::Metric,
        };
        assert_eq!(span(820.0, floor).replace('\u{a0}', " "), "13 menit 40 detik");
    }

    #[test]
    fn quantities_wear_their_signs() {
        let said = |si, measure| amount(Quantity::new(si, measure), Voice::default()).replace('\u{a0}', " ");
        assert_eq!(said(28.0, Measure::Temperature), "28 °C");
        assert_eq!(said(0.2, Measure::PerArea), "200 g/m²");
        assert_eq!(said(38.0, Measure::Baume), "38 °Bé");
        assert_eq!(said(10.2, Measure::Acidity), "pH 10.2");
        // Powers of ten as the SI brochure (9th edition, 5.4.6) writes them.
        assert_eq!(said(1.37e-10, Measure::Diffusivity), "1.37 × 10⁻¹⁰ m²/s");
        assert_eq!(super::powers("4.5e6789"), "4.5\u{a0}×\u{a0}10⁶⁷⁸⁹");
    }
}
