//! A finding as plain text for a terminal: the sentence, the place with a caret under it, what is allowed and
//! what to do.

use crate::{Arg, Line, Text};
use crate::{Finding, Place, Voice, Weight, say, text};
use std::ops::Range;

/// Longest piece of a source line that is shown, in characters.
const WIDTH: usize = 100;

/// The finding as text of several lines, ending in a newline. `source` is the text of the file that the place
/// names; without it (or if the place is no file) there is no excerpt. Columns count characters from 1; a
/// character wider than one cell shifts the caret on a terminal, not the number. Control characters, in the
/// source or in quoted input, are shown as `\u{FFFD}`, so that a file cannot steer the terminal.
pub fn show(finding: &Finding, source: Option<&str>, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let mut out = format!(
        "{}: {} [{}]\n",
        raw(finding.weight.text()),
        clean(&finding.found.say(voice)),
        finding.code
    );
    match (&finding.place, source) {
        (Place::File { path, span }, Some(source)) => {
            let (line, column) = line_and_column(source, span.start);
            let place = say!(
                "at {path}, line {line}, column {column}",
                "di {path}, baris {line}, kolom {column}",
                path = Arg::Name(path.clone()),
                line = Arg::Number(line as f64, 0),
                column = Arg::Number(column as f64, 0),
            );
            out.push_str(&format!("  {}\n", clean(&place.say(voice))));
            out.push_str(&excerpt(source, span, line));
        }
        (place, _) => {
            if let Some(place) = place.line() {
                out.push_str(&format!("  {}\n", clean(&place.say(voice))));
            }
        }
    }
    if let Some(allowed) = &finding.allowed {
        out.push_str(&format!(
            "  {}: {}\n",
            raw(text!("allowed", "boleh")),
            clean(&allowed.say(voice))
        ));
    }
    if let Some(remedy) = &finding.remedy {
        out.push_str(&format!(
            "  {}: {}\n",
            raw(text!("to do", "tindakan")),
            clean(&remedy.say(voice))
        ));
    }
    out
}

/// Line and column, both from 1, of a byte of `source`; the column counts characters. A byte past the end, or
/// inside a character, is taken back to the nearest place before it.
pub fn line_and_column(source: &str, byte: usize) -> (usize, usize) {
    let before = &source[..boundary(source, byte)];
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    (
        before.matches('\n').count() + 1,
        before[start..].chars().count() + 1,
    )
}

impl Weight {
    /// The word that a finding of this weight begins with.
    pub const fn text(self) -> &'static Text {
        match self {
            Self::Note => text!("note", "catatan"),
            Self::Doubtful => text!("doubtful", "meragukan"),
            Self::Wrong => text!("wrong", "salah"),
        }
    }
}

impl Place {
    /// The place in words; nothing for the request itself, which needs no pointing at.
    pub fn line(&self) -> Option<Line> {
        match self {
            Self::File { path, .. } => {
                Some(say!("in {path}", "dalam {path}", path = Arg::Name(path.clone())))
            }
            Self::Step { id, setting: None } => Some(say!(
                "at step {id}",
                "pada langkah {id}",
                id = Arg::Name(id.clone())
            )),
            Self::Step {
                id,
                setting: Some(setting),
            } => Some(say!(
                "at step {id}, setting {setting}",
                "pada langkah {id}, pengaturan {setting}",
                id = Arg::Name(id.clone()),
                setting = Arg::Name((*setting).to_string()),
            )),
            Self::Drawing { x_um, y_um } => Some(say!(
                "in the drawing, {x} mm from the left and {y} mm from the top",
                "pada gambar, {x} mm dari kiri dan {y} mm dari atas",
                x = Arg::Number(*x_um as f64 / 1000.0, 1),
                y = Arg::Number(*y_um as f64 / 1000.0, 1),
            )),
            Self::Request => None,
        }
    }
}

/// The line of the source that holds the start of the span, and carets under the part of the span on it.
fn excerpt(source: &str, span: &Range<usize>, line: usize) -> String {
    let start = boundary(source, span.start);
    let line_start = source[..start].rfind('\n').map_or(0, |at| at + 1);
    let line_end = source[start..].find('\n').map_or(source.len(), |at| start + at);
    let end = boundary(source, span.end).clamp(start, line_end);
    let whole = source[line_start..line_end].trim_end_matches('\r');

    let lead = source[line_start..start].chars().count();
    let marked = source[start..end].trim_end_matches('\r').chars().count().max(1);
    // A long line is shown from a little before the span.
    let skip = if whole.chars().count() > WIDTH {
        lead.saturating_sub(WIDTH / 4)
    } else {
        0
    };
    let more = whole.chars().skip(skip).count() > WIDTH;
    let shown: String = whole.chars().skip(skip).take(WIDTH).collect();
    let (before, after) = (if skip > 0 { "…" } else { "" }, if more { "…" } else { "" });

    let number = line.to_string();
    let margin = " ".repeat(number.len());
    let indent = " ".repeat(before.chars().count() + lead - skip);
    let carets = "^".repeat(marked.min(WIDTH.saturating_sub(lead - skip)).max(1));
    format!(
        "  {number} | {before}{}{after}\n  {margin} | {indent}{carets}\n",
        clean(&shown)
    )
}

/// The nearest boundary between characters at or before `byte`.
fn boundary(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// One cell per character, and nothing that moves the cursor or turns the direction of writing.
fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' => ' ',
            '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' => '\u{FFFD}',
            c if c.is_control() => '\u{FFFD}',
            c => c,
        })
        .collect()
}
