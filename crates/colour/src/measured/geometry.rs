//! Geometry of the instrument: readings of different geometries do not compare, because gloss and the hairs of
//! the cloth are seen by one and not by the other.

use super::Measured;
use words::{Arg, Finding, Place, Weight, say};

/// One spelling for what instruments write in many: "0°:45°" and "45/0" are the same for opaque cloth (Helmholtz),
/// and so are "d/8 SPIN", "di:8" (gloss included), or "d/8 SPEX", "de:8" (gloss excluded).
pub(super) fn normal(written: &str) -> String {
    let plain: String = written
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '°' | '-' | '_'))
        .map(|c| if c == ':' { '/' } else { c.to_ascii_lowercase() })
        .collect();
    match plain.as_str() {
        "0/45" | "45/0" | "0/45c" | "45c/0" | "45a/0" | "0/45a" => "45/0".into(),
        "di/8" | "d/8sci" | "d/8spin" | "d/8/i" => "di/8".into(),
        "de/8" | "d/8sce" | "d/8spex" | "d/8/e" => "de/8".into(),
        _ => plain,
    }
}

/// The finding where readings of several geometries would be used together: within a file, or over several.
/// Readings without a stated geometry are not compared.
pub fn geometries(files: &[&Measured]) -> Option<Finding> {
    let mut stated = files
        .iter()
        .flat_map(|f| &f.readings)
        .filter_map(|r| Some((r.geometry.as_deref()?, &r.place)));
    let (first, _) = stated.next()?;
    let (other, place) = stated.find(|(g, _)| *g != first)?;
    Some(mixed(first, other, place.clone()))
}

fn mixed(first: &str, other: &str, place: Place) -> Finding {
    Finding::new(
        "measured-geometries",
        Weight::Wrong,
        place,
        say!(
            "This reading was made at {other}, others at {first}.",
            "Pembacaan ini memakai geometri {other}, yang lain {first}.",
            other = Arg::Name(other.to_string()),
            first = Arg::Name(first.to_string())
        ),
    )
    .allow(say!(
        "Readings that are compared or joined have one geometry.",
        "Pembacaan yang dibandingkan atau digabung memakai satu geometri."
    ))
    .remedy(say!(
        "Read all samples with the same instrument and setting.",
        "Baca semua contoh dengan alat dan pengaturan yang sama."
    ))
}

#[cfg(test)]
mod tests {
    use super::normal;

    #[test]
    fn spellings() {
        assert_eq!(normal("0°:45°"), normal("45/0"));
        assert_eq!(normal("d/8 SPIN"), normal("di:8"));
        assert_ne!(normal("di:8"), normal("de:8"));
        assert_ne!(normal("45/0"), normal("d/8"));
    }
}
