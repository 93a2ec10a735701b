//! Writing dye cards: a fitted spectrum put into the text of a card, everything else left as a person wrote it.

use crate::Source;
use crate::dye;
use colour::dye::{Chemistry, Ladder, Price};
use colour::{DyeCard, Spectrum};
use std::fmt::Write as _;
use std::ops::Range;
use toml::de::DeTable;
use words::{Arg, Finding, Origin, Place, Weight, say};

/// Reads a dye card outside a workspace: the card, unless something in it is wrong, and what was found.
pub fn read_card(source: &Source) -> (Option<DyeCard>, Vec<Finding>) {
    let file = dye::read(source);
    (file.card, file.findings)
}

/// What names a new card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardHead {
    /// Permanent id, kebab-case.
    pub id: String,
    /// The workshop's name for it.
    pub name: String,
    /// What it costs.
    pub price: Price,
}

/// The text of a card with another id, name and price, to begin a new card from one that is alike.
///
/// # Errors
/// A finding if the text is not laid out as a card.
pub fn renamed(text: &str, path: &str, head: &CardHead) -> Result<String, Finding> {
    let price = format!("{} {}/kg", head.price.decimal(), head.price.currency);
    let mut out = text.to_string();
    for (key, value) in [("id", &head.id), ("name", &head.name), ("price", &price)] {
        let span = value_span(&out, key).ok_or_else(|| unlike_a_card(path, key))?;
        out.replace_range(span, &quoted(value));
    }
    Ok(out)
}

/// The text of a card with the spectrum, its origin, K_max and the ladder of `card`. All else, comments too, stays.
///
/// # Errors
/// A finding if the text is not laid out as a card: `k_max` a value of the file, `[spectrum]` a heading.
pub fn refitted(text: &str, path: &str, card: &DyeCard) -> Result<String, Finding> {
    let mut out = text.to_string();
    let span = value_span(&out, "k_max").ok_or_else(|| unlike_a_card(path, "k_max"))?;
    let value = format!(
        "{{ value = \"{:.1}\", {} }}",
        card.k_max.value,
        origin(&card.k_max.origin, ", ")
    );
    out.replace_range(span, &value);
    if let Some(span) = table_span(&out, "ladder") {
        out.replace_range(span, "");
    }
    let span = table_span(&out, "spectrum").ok_or_else(|| unlike_a_card(path, "[spectrum]"))?;
    let last = out[span.end..].trim().is_empty();
    let mut tables = spectrum(card);
    if let Some(ladder) = &card.ladder {
        tables.push('\n');
        tables.push_str(&ladder_table(ladder));
    }
    if !last {
        tables.push('\n');
    }
    out.replace_range(span, &tables);
    Ok(out)
}

fn spectrum(card: &DyeCard) -> String {
    format!(
        "[spectrum]\n# K/S that 1 g of fixed dye per kg of cloth adds, at 400, 410, ... 700 nm; 1 % owf is 10 g/kg.\n{}\n\
         unit_ks = {}",
        origin(&card.spectrum, "\n"),
        numbers(&card.unit_ks, 5)
    )
}

fn ladder_table(ladder: &Ladder) -> String {
    format!(
        "[ladder]\n# What the spectrum was fitted to. Shades deeper than the deepest rung (dye put on) are extrapolated.\n\
         deepest = \"{} % owf\"\n# Share of the dye put on that was taken as bound.\nfixed_share = \"{} %\"\n\
         # Standard error of the spectrum's height.\nerror = \"{:.2} %\"\n\
         # Reflectance of the undyed cloth, at the same wavelengths.\nwhite = {}",
        plain(ladder.deepest),
        plain(ladder.fixed_share * 100.0),
        ladder.error * 100.0,
        numbers(&ladder.white, 4)
    )
}

/// An origin as keys; `between` parts them.
fn origin(origin: &Origin, between: &str) -> String {
    match origin {
        // Read back, a factor lies between 1 and 1000.
        Origin::Assumed { factor, source } => format!(
            "factor = {}{between}source = {}",
            plain(factor.clamp(1.0, 1000.0)),
            quoted(source)
        ),
        Origin::Yours => "yours = true".to_string(),
        Origin::Measured { date, n } => format!("measured = {}{between}n = {n}", quoted(date)),
    }
}

/// At most three decimals, and none for nothing.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// A list over several lines, ten in each.
fn numbers(values: &Spectrum, decimals: usize) -> String {
    let mut out = String::from("[\n");
    for line in values.chunks(10) {
        out.push_str("   ");
        for value in line {
            let _ = write!(out, " {value:.decimals$},");
        }
        out.push('\n');
    }
    out.push_str("]\n");
    out
}

/// Where the value of a key of the document stands.
fn value_span(text: &str, key: &str) -> Option<Range<usize>> {
    let (document, errors) = DeTable::parse_recoverable(text);
    let span = document.get_ref().get(key)?.span();
    (errors.is_empty() && text.get(span.clone()).is_some()).then_some(span)
}

/// Where a table with a heading stands: from its heading to the next one, without the comments before that.
fn table_span(text: &str, name: &str) -> Option<Range<usize>> {
    let heading = format!("[{name}]");
    let mut start = None;
    let mut end = 0;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let bare = line.split('#').next().unwrap_or_default().trim();
        match start {
            None if bare == heading => start = Some(at),
            Some(_) if line.starts_with('[') => break,
            _ => {}
        }
        at += line.len();
        if start.is_some() && !bare.is_empty() {
            end = at;
        }
    }
    start.map(|start| {
        // The empty line after it goes with it; what is written there ends with one of its own.
        let rest = &text[end..];
        let blank = rest.len() - rest.trim_start_matches(['\n', '\r']).len();
        start..end + blank
    })
}

/// A basic string of TOML.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars().filter(|c| !c.is_control()) {
        if matches!(c, '"' | '\\') {
            out.push('\\');
        }
        out.push(c);
    }
    out.push('"');
    out
}

fn unlike_a_card(path: &str, key: &str) -> Finding {
    Finding::new(
        "card-not-laid-out",
        Weight::Wrong,
        Place::File {
            path: path.to_string(),
            span: 0..0,
        },
        say!(
            "{key} does not stand in this card where it can be replaced",
            "{key} tidak ada di kartu ini di tempat yang dapat diganti",
            key = Arg::Name(key.to_string())
        ),
    )
    .remedy(say!(
        "write {k_max} on a line of its own and {spectrum} as a heading, or fit into a new file",
        "tulis {k_max} di baris tersendiri dan {spectrum} sebagai judul, atau simpan ke berkas baru",
        k_max = Arg::Name("k_max = { ... }".into()),
        spectrum = Arg::Name("[spectrum]".into())
    ))
}

/// The text of a first card for a dye of which only the chemistry is known: every constant assumed, with the factor and
/// source that hold for its class; a flat spectrum holds the place of the dye's own.
pub fn first_card(chemistry: Chemistry, head: &CardHead) -> String {
    let class = match chemistry {
        Chemistry::VinylSulfone => VINYL_SULFONE,
        Chemistry::Dichlorotriazine => DICHLOROTRIAZINE,
        Chemistry::Monochlorotriazine => MONOCHLOROTRIAZINE,
    };
    let Class {
        rate,
        ph,
        energy,
        share,
        bleach,
    } = class;
    let price = format!("{} {}/kg", head.price.decimal(), head.price.currency);
    format!(
        "# Begun from what is usual for the class; put your own measurements in its place.\n\
         id = {id}\nname = {name}\nchemistry = {chemistry}\nprice = {price}\n\
         # The supplier's safety sheet decides; add \"copper\" for a metal complex.\n\
         hazards = [\"powder\", \"skin\", \"alkali\"]\n\n\
         # K/S that no depth exceeds.\n\
         k_max = {{ value = \"41\", factor = 1.2, source = \"limit of K/S near 22 on dyed cloth, brought to this form at K = 10\" }}\n\
         # Unbound dye in a rinse: per kg of cloth over per litre of liquor.\n\
         affinity = {{ value = \"6 L/kg\", factor = 2, source = \"common practice, no source\" }}\n\
         # Share that leaves a cold bath of 20 L/kg for the cloth.\n\
         exhaustion = {{ value = \"35 %\", factor = 1.5, source = \"common practice, no source: cold, 50 g/L salt\" }}\n\
         blue_wool = {{ value = \"4\", factor = 1.3, source = \"common practice, no source\" }}\n\n\
         [fixation]\n# Loose dye that reacts, bound and hydrolysed together.\n\
         rate = {rate}\nat = \"30 C\"\nph = {ph}\nenergy = {energy}\nfinal_share = {share}\n\n\
         [bleaching]\n\
         rate = {bleach}\nat = \"30 C\"\nph = \"10\"\nph_least = \"9.5\"\nph_most = \"10.5\"\n\
         energy = {{ value = \"45 kJ/mol\", factor = 1.3, source = \"rates of two dyes in solution, 35.5 and 56.2 kJ/mol\" }}\n\
         residue = {{ value = \"2 %\", factor = 2.5, source = \"common practice, no source\" }}\n\n\
         # No ladder yet: a flat spectrum holds the place.\n[spectrum]\nyours = true\nunit_ks = {flat}",
        flat = numbers(&[0.3; colour::BANDS], 5),
        id = quoted(&head.id),
        name = quoted(&head.name),
        chemistry = quoted(chemistry.term().key),
        price = quoted(&price),
    )
}

/// What differs between the classes, as values of the file.
struct Class {
    rate: &'static str,
    ph: &'static str,
    energy: &'static str,
    share: &'static str,
    bleach: &'static str,
}

const VINYL_SULFONE: Class = Class {
    rate: "{ value = \"0.008 /min\", factor = 2, source = \"published cold pad-batch times of 8 to 24 h at 25 to 30 C\" }",
    ph: "\"11.5\"",
    energy: "{ value = \"80 kJ/mol\", factor = 1.15, source = \"alkaline hydrolysis of halo-triazine dyes, 75 to 92 kJ/mol\" }",
    share: "{ value = \"75 %\", factor = 1.1, source = \"cold silicate batch with little free liquor; handbooks give 50 to 85 %\" }",
    bleach: "{ value = \"0.11 /M/s\", factor = 2.5, source = \"estimate from chlorinated-water fastness; no published rate on the fibre\" }",
};

const DICHLOROTRIAZINE: Class = Class {
    rate: "{ value = \"0.032 /min\", factor = 2.5, source = \"hand-dyeing references: done in about two hours at 35 C, not at 15 C\" }",
    ph: "\"11\"",
    energy: "{ value = \"84 kJ/mol\", factor = 1.15, source = \"alkaline hydrolysis of halo-triazine dyes, 75 to 92 kJ/mol\" }",
    share: "{ value = \"75 %\", factor = 1.1, source = \"cold silicate batch with little free liquor; handbooks give 50 to 85 %\" }",
    bleach: "{ value = \"0.03 /M/s\", factor = 3, source = \"many of the class resist chlorine: common practice, no source\" }",
};

/// Its cold rate is that of hot dyeing (done in about an hour at 80 C) taken down to 30 C with the energy of the class.
const MONOCHLOROTRIAZINE: Class = Class {
    rate: "{ value = \"0.0005 /min\", factor = 3, source = \"done in about an hour at 80 C (common practice, no source), brought to 30 C by the energy below\" }",
    ph: "\"11\"",
    energy: "{ value = \"84 kJ/mol\", factor = 1.15, source = \"alkaline hydrolysis of halo-triazine dyes, 75 to 92 kJ/mol\" }",
    share: "{ value = \"60 %\", factor = 1.3, source = \"handbooks give 50 to 85 % for the class when dyed hot\" }",
    bleach: "{ value = \"0.05 /M/s\", factor = 3, source = \"common practice, no source\" }",
};

#[cfg(test)]
mod tests {
    #[test]
    fn a_name_is_a_toml_string() {
        assert_eq!(super::quoted("a \"b\" \\ \u{7}c"), "\"a \\\"b\\\" \\\\ c\"");
    }
}
