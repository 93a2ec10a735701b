//! Rules that every text keeps, checked while compiling: no language forgotten, the same arguments in both, and
//! no number in a text that its reader would take for another.

use crate::Text;

/// What is wrong with a pair of texts, if anything. `const`, so that [`Text::new`] can refuse to compile it.
pub(crate) const fn fault(en: &str, id: &str) -> Option<&'static str> {
    let (en, id) = (en.as_bytes(), id.as_bytes());
    if blank(en) || blank(id) {
        return Some("a language is empty");
    }
    if !braces_close(en) || !braces_close(id) {
        return Some("a brace is not closed");
    }
    if !holds_all(en, id) || !holds_all(id, en) {
        return Some("placeholders differ");
    }
    if thousands(en, b',') {
        return Some("a thousands mark in English: write 1250");
    }
    if point_between_digits(id) {
        return Some("a point between digits in Bahasa Indonesia reads as thousands: write a comma");
    }
    None
}

/// What is wrong with a text, if anything: an empty language, an open brace, placeholders that differ, or a
/// number that can be misread. [`Text::new`] already refuses these; this is for texts built field by field.
pub fn check_text(text: &Text) -> Option<String> {
    let fault = fault(text.en, text.id)?;
    Some(format!("{fault}: {:?} and {:?}", text.en, text.id))
}

/// The placeholder names of a text in one language, sorted, each once.
pub fn named_placeholders(text: &str) -> Vec<&str> {
    let mut names: Vec<&str> = text
        .split('{')
        .skip(1)
        .filter_map(|part| part.split_once('}').map(|(name, _)| name))
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Refuses to compile a line whose arguments are not the placeholders of its text; the work of
/// [`line!`](crate::line).
///
/// # Panics
/// If a name is no placeholder, or a placeholder has no name.
#[doc(hidden)]
pub const fn must_take(text: &str, names: &[&str]) {
    let text = text.as_bytes();
    let mut place = next_placeholder(text, 0);
    while let Some((open, close)) = place {
        let mut known = false;
        let mut at = 0;
        while at < names.len() {
            known |= same(text, open, close, names[at].as_bytes(), 0, names[at].len());
            at += 1;
        }
        assert!(known, "a placeholder has no argument");
        place = next_placeholder(text, close);
    }
    let mut at = 0;
    while at < names.len() {
        assert!(
            holds(text, names[at].as_bytes(), 0, names[at].len()),
            "an argument has no placeholder"
        );
        at += 1;
    }
}

const fn blank(text: &[u8]) -> bool {
    let mut at = 0;
    while at < text.len() {
        if !text[at].is_ascii_whitespace() {
            return false;
        }
        at += 1;
    }
    true
}

/// Braces come in pairs, none inside another.
const fn braces_close(text: &[u8]) -> bool {
    let mut open = false;
    let mut at = 0;
    while at < text.len() {
        match (text[at], open) {
            (b'{', false) => open = true,
            (b'}', true) => open = false,
            (b'{' | b'}', _) => return false,
            _ => {}
        }
        at += 1;
    }
    !open
}

/// The bytes between the next braces at or after `from`.
const fn next_placeholder(text: &[u8], from: usize) -> Option<(usize, usize)> {
    let mut at = from;
    while at < text.len() {
        if text[at] == b'{' {
            let open = at + 1;
            while at < text.len() && text[at] != b'}' {
                at += 1;
            }
            return if at < text.len() { Some((open, at)) } else { None };
        }
        at += 1;
    }
    None
}

/// Every placeholder of `ours` is one of `theirs`.
const fn holds_all(ours: &[u8], theirs: &[u8]) -> bool {
    let mut place = next_placeholder(ours, 0);
    while let Some((open, close)) = place {
        if !holds(theirs, ours, open, close) {
            return false;
        }
        place = next_placeholder(ours, close);
    }
    true
}

/// `name[from..to]` is a placeholder of `text`.
const fn holds(text: &[u8], name: &[u8], from: usize, to: usize) -> bool {
    let mut place = next_placeholder(text, 0);
    while let Some((open, close)) = place {
        if same(text, open, close, name, from, to) {
            return true;
        }
        place = next_placeholder(text, close);
    }
    false
}

const fn same(a: &[u8], a_from: usize, a_to: usize, b: &[u8], b_from: usize, b_to: usize) -> bool {
    if a_to - a_from != b_to - b_from {
        return false;
    }
    let mut at = 0;
    while at < a_to - a_from {
        if a[a_from + at] != b[b_from + at] {
            return false;
        }
        at += 1;
    }
    true
}

const fn digit(text: &[u8], at: usize) -> bool {
    at < text.len() && text[at].is_ascii_digit()
}

const fn point_between_digits(text: &[u8]) -> bool {
    let mut at = 1;
    while at < text.len() {
        if text[at] == b'.' && digit(text, at - 1) && digit(text, at + 1) {
            return true;
        }
        at += 1;
    }
    false
}

/// `mark` between a digit and a group of exactly three.
const fn thousands(text: &[u8], mark: u8) -> bool {
    let mut at = 1;
    while at < text.len() {
        let group = digit(text, at + 1) && digit(text, at + 2) && digit(text, at + 3) && !digit(text, at + 4);
        if text[at] == mark && digit(text, at - 1) && group {
            return true;
        }
        at += 1;
    }
    false
}
