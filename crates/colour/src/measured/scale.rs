//! Fractions or percent: stated by the file or by the person, never guessed.

use super::Scale;
use super::columns::Role;
use super::table::Table;
use super::values::number;
use words::{Arg, Finding, Place, Text, Weight, say, text};

/// Highest reflectance that is read: brightened whites pass 1, nothing that is cloth passes this.
pub(super) const MOST: f64 = 1.2;

/// Header keyword by which a file may state it: `REFLECTANCE_SCALE "percent"`.
pub(super) const KEYWORD: &str = "REFLECTANCE_SCALE";

/// How this table's reflectances are written. Nothing if that is not stated, or contradicts the numbers; then a
/// finding says so.
pub(super) fn of(
    table: &Table,
    roles: &[Role],
    stated: Option<Scale>,
    path: &str,
    findings: &mut Vec<Finding>,
) -> Option<Scale> {
    let named: Vec<Scale> = roles
        .iter()
        .filter_map(|r| match r {
            Role::Reflectance(_, scale) => *scale,
            Role::PairValue(scale) => Some(*scale),
            _ => None,
        })
        .collect();
    let first = roles
        .iter()
        .position(|r| matches!(r, Role::Reflectance(..) | Role::PairValue(_)))?;
    let place = table
        .columns
        .get(first)
        .map_or(Place::Request, |cell| cell.place(path));
    if named.windows(2).any(|w| w[0] != w[1]) {
        findings.push(both(place));
        return None;
    }
    let in_header = table
        .header
        .iter()
        .rev()
        .find(|(key, _)| key.text.eq_ignore_ascii_case(KEYWORD))
        .and_then(|(_, value)| from_word(value.text));
    let scale = named.first().copied().or(in_header).or(stated);
    let highest = highest(table, roles, path);
    match (scale, highest) {
        (None, Some(highest)) => {
            findings.push(ask(highest, place));
            None
        }
        (Some(Scale::Fraction), Some(highest)) if highest > 10.0 * MOST => {
            findings.push(contradiction(
                text!("fractions", "pecahan"),
                highest,
                place,
                Weight::Wrong,
            ));
            None
        }
        (Some(Scale::Percent), Some(highest)) if highest <= MOST => {
            findings.push(contradiction(
                text!("percent", "persen"),
                highest,
                place,
                Weight::Doubtful,
            ));
            scale
        }
        _ => scale,
    }
}

fn from_word(word: &str) -> Option<Scale> {
    match word.to_ascii_lowercase().as_str() {
        "fraction" | "fractions" | "factor" => Some(Scale::Fraction),
        "percent" | "%" => Some(Scale::Percent),
        _ => None,
    }
}

/// The highest reflectance as written; cells that are no numbers are told of elsewhere.
fn highest(table: &Table, roles: &[Role], path: &str) -> Option<f64> {
    table
        .rows
        .iter()
        .flat_map(|row| row.iter().zip(roles))
        .filter(|(_, role)| matches!(role, Role::Reflectance(..) | Role::PairValue(_)))
        .filter_map(|(cell, _)| number(cell, table.decimal_comma, path).ok())
        .max_by(f64::total_cmp)
}

fn ask(highest: f64, place: Place) -> Finding {
    let looks = if highest > MOST {
        text!("percent", "persen")
    } else {
        text!("fractions of 1", "pecahan dari 1")
    };
    Finding::new(
        "measured-scale-unstated",
        Weight::Wrong,
        place,
        say!(
            "The file does not say whether reflectance is a fraction or percent. Its highest value is {highest}: \
             it looks like {looks}.",
            "Berkas tidak menyatakan apakah reflektansi ditulis sebagai pecahan atau persen. Nilai tertingginya \
             {highest}: tampaknya {looks}.",
            highest = Arg::Number(highest, 3),
            looks = Arg::Text(looks)
        ),
    )
    .allow(say!(
        "The perfect white is 1 (fraction) or 100 (percent).",
        "Putih sempurna bernilai 1 (pecahan) atau 100 (persen)."
    ))
    .remedy(say!(
        "Say which it is: fraction or percent; or write a header line {line} into the file.",
        "Nyatakan yang mana: fraction atau percent; atau tulis baris kepala {line} di berkas.",
        line = Arg::Name(format!("{KEYWORD} \"percent\""))
    ))
}

fn contradiction(stated: &'static Text, highest: f64, place: Place, weight: Weight) -> Finding {
    Finding::new(
        "measured-scale-contradicted",
        weight,
        place,
        say!(
            "Reflectance is stated as {stated}, but the highest value is {highest}.",
            "Reflektansi dinyatakan sebagai {stated}, tetapi nilai tertingginya {highest}.",
            stated = Arg::Text(stated),
            highest = Arg::Number(highest, 3)
        ),
    )
    .allow(say!(
        "Cloth reflects between 1 % and 120 %.",
        "Kain memantulkan antara 1 % dan 120 %."
    ))
    .remedy(say!(
        "Look at one white sample in the file, and state the other if that is what it is.",
        "Lihat satu contoh putih di berkas, dan nyatakan yang lain bila memang begitu."
    ))
}

fn both(place: Place) -> Finding {
    Finding::new(
        "measured-scale-mixed",
        Weight::Wrong,
        place,
        say!(
            "Some columns are named as percent and some as fractions.",
            "Sebagian kolom dinamai persen dan sebagian pecahan."
        ),
    )
    .remedy(say!(
        "Export the file with one of the two.",
        "Ekspor berkas dengan salah satunya saja."
    ))
}
