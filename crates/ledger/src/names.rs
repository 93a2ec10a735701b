//! Names in events: short, visible, the same for the eye and for the machine.

use words::{Arg, Finding, Line, Place, Text, Weight, say};

/// Longest name of a lot, step, place, device or person, characters.
pub(crate) const NAME: usize = 120;
/// Longest answer that the floor wrote down, characters.
pub(crate) const ANSWER: usize = 1000;

/// A finding that refuses.
pub(crate) fn wrong(code: &'static str, found: Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

/// Refuses a name that is empty, longer than `most` characters, begins or ends with a space, or holds control
/// characters: " shelf" and "shelf" would be two shelves that look alike.
pub(crate) fn name(what: &'static Text, text: &str, most: usize) -> Result<(), Finding> {
    let length = text.chars().count();
    if text.is_empty() {
        let found = say!("{what} is empty", "{what} kosong", what = Arg::Text(what));
        return Err(wrong("name-empty", found));
    }
    if length > most {
        let found = say!(
            "{what} has {n} characters",
            "{what} terdiri dari {n} huruf",
            what = Arg::Text(what),
            n = Arg::Number(length as f64, 0)
        );
        let allowed = say!(
            "up to {most} characters",
            "sampai {most} huruf",
            most = Arg::Number(most as f64, 0)
        );
        return Err(wrong("name-too-long", found).allow(allowed));
    }
    if text.trim() != text || text.contains(char::is_control) {
        let found = say!(
            "{what} begins or ends with a space, or holds characters that cannot be seen",
            "{what} diawali atau diakhiri spasi, atau memuat huruf yang tak terlihat",
            what = Arg::Text(what)
        );
        return Err(wrong("name-not-plain", found).remedy(say!("type it again", "ketik ulang")));
    }
    Ok(())
}
