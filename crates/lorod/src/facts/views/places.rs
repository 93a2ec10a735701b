//! What stations and people are called on the floor. A key that is not here is a workshop's own word and stays as it is.

use words::{Text, Voice, text};
use workspace::Workspace;

/// The key of a resource: `barrel` of `barrel 2`, the second of several alike.
pub(super) fn key(resource: &str) -> &str {
    match resource.rsplit_once(' ') {
        Some((key, number)) if number.bytes().all(|b| b.is_ascii_digit()) => key,
        _ => resource,
    }
}

/// A resource of the plan in the reader's language: `barrel 2`, `tong celup 2`; of a stamp as [`stamp`] calls it.
pub fn place_name(resource: &str, workspace: &Workspace, voice: Voice) -> String {
    if let Some(stamp) = stamp(resource, workspace) {
        let word = text!("stamp", "cap").raw(voice.language);
        return format!("{word} {stamp}");
    }
    let key = key(resource);
    match name(key) {
        Some(name) => format!("{}{}", name.raw(voice.language), &resource[key.len()..]),
        None => resource.to_string(),
    }
}

/// What people call a stamp of the plan, by the resource `stamp:<design>/<id>`: its design's name, with its own where the
/// design has several.
pub fn stamp(resource: &str, workspace: &Workspace) -> Option<String> {
    let named = resource.strip_prefix("stamp:")?;
    let known = named.split_once('/').and_then(|(design, own)| {
        let design = workspace.design(design)?;
        Some(match design.stamps.len() {
            0 | 1 => design.name.clone(),
            _ => format!("{} ({own})", design.name),
        })
    });
    Some(known.unwrap_or_else(|| named.to_string()))
}

/// The word for a resource, without its number; `None` for stamps and a workshop's own words.
pub fn term(resource: &str) -> Option<&'static Text> {
    name(key(resource))
}

fn name(key: &str) -> Option<&'static Text> {
    Some(match key {
        "trough" => text!("trough", "bak cuci"),
        "floor" => text!("floor", "lantai"),
        "yard" => text!("yard", "halaman jemur"),
        "bench" => text!("bench", "bangku"),
        "spray" => text!("spray", "tempat semprot"),
        "jig" => text!("jig", "jigger"),
        "line" => text!("drying line", "tali jemuran"),
        "table" => text!("stamping table", "meja cap"),
        "tank" => text!("bleach tank", "bak pemutih"),
        "tub" => text!("rinsing tub", "bak bilas"),
        "barrel" => text!("dye barrel", "tong celup"),
        "cauldron" => text!("cauldron", "kuali lorod"),
        "foreman" => text!("foreman", "mandor"),
        "stamper" => text!("stampers", "tukang cap"),
        "sponger" => text!("spongers", "tukang colet"),
        "helper" => text!("helpers", "pembantu"),
        "designer" => text!("designer", "desainer"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::{key, place_name};
    use std::path::Path;
    use words::{Language, Voice};
    use workspace::Workspace;

    #[test]
    fn places_are_named_in_the_readers_language() {
        let id = Voice {
            language: Language::Id,
            ..Voice::default()
        };
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
        let workspace = Workspace::open(&folder).expect("the demonstration opens");
        let name = |resource: &str, voice| place_name(resource, &workspace, voice);
        assert_eq!(name("barrel 2", id), "tong celup 2");
        assert_eq!(name("stamp:sea-fan/fan", Voice::default()), "stamp Sea fan");
        assert_eq!(name("stamp:tide-pool/ripples", id), "cap Tide pool (ripples)");
        assert_eq!(name("stamp:gone/own", Voice::default()), "stamp gone/own");
        assert_eq!(name("our shed", id), "our shed");
        assert_eq!(key("table 11"), "table");
        assert_eq!(key("our shed"), "our shed");
    }
}
