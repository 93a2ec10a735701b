//! Writes the demonstration's invented ladders: CGATS text with three readings of seven depths for every dye card,
//! with the scatter of real dyeing and reading. The same files on every run.
//!
//! `cargo run -p colour --example ladders -- crates/lorod/demo/measured`

#[path = "../tests/common/card_file.rs"]
mod card_file;
#[path = "../tests/common/invented.rs"]
mod invented;

use colour::{BANDS, DyeCard, nanometres};
use invented::{Chance, DEPTHS, readings};
use std::fmt::Write;

/// One reading has a stain, so that the demonstration shows a reading that stands apart: dye, depth, reading, and
/// what is left of its reflectance.
const STAIN: (&str, f64, usize, f64) = ("rust-vs", 1.0, 3, 0.88);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "crates/lorod/demo/measured".to_string());
    std::fs::create_dir_all(&folder)?;
    for (index, card) in card_file::planted_cards().iter().enumerate() {
        let path = format!("{folder}/{}.txt", card.id);
        std::fs::write(&path, ladder(card, index)?)?;
        println!("{path}");
    }
    Ok(())
}

fn ladder(card: &DyeCard, index: usize) -> Result<String, std::fmt::Error> {
    let mut chance = Chance::named(&card.id);
    let share = card.fixation.final_share.value;
    let fields = ["SAMPLE_ID", "SAMPLE_NAME", "READING", "OWF_PCT"]
        .into_iter()
        .map(str::to_string)
        .chain((0..BANDS).map(|band| format!("SPECTRAL_DEC{}", nanometres(band))));
    let fields: Vec<String> = fields.collect();
    let mut out = String::from("CGATS.17\n");
    let name = &card.name;
    writeln!(
        out,
        "# An invented ladder of the demonstration: no real product, and nothing here was measured."
    )?;
    writeln!(out, "ORIGINATOR \"Sirih Works\"")?;
    writeln!(
        out,
        "FILE_DESCRIPTOR \"ladder of {name}, salt and soda overnight, rinsed and soaped\""
    )?;
    writeln!(out, "CREATED \"2026-04-{:02}\"", 20 + index / 4)?;
    writeln!(
        out,
        "INSTRUMENTATION \"sphere, 25 mm, gloss included, cloth in four layers\""
    )?;
    writeln!(
        out,
        "KEYWORD \"MEASUREMENT_GEOMETRY\"\nMEASUREMENT_GEOMETRY \"di:8\""
    )?;
    writeln!(out, "KEYWORD \"FIXED_SHARE\"\nFIXED_SHARE \"{share}\"")?;
    for word in &fields[1..] {
        writeln!(out, "KEYWORD \"{word}\"")?;
    }
    writeln!(out, "NUMBER_OF_FIELDS {}", fields.len())?;
    writeln!(out, "BEGIN_DATA_FORMAT\n{}\nEND_DATA_FORMAT", fields.join(" "))?;
    writeln!(
        out,
        "NUMBER_OF_SETS {}\nBEGIN_DATA",
        DEPTHS.len() * invented::READINGS
    )?;
    let mut id = 0;
    for depth in DEPTHS {
        for (reading, spectrum) in readings(card, depth, share, &mut chance).iter().enumerate() {
            id += 1;
            let stained = STAIN.0 == card.id && (STAIN.1, STAIN.2) == (depth, reading + 1);
            let left = if stained { STAIN.3 } else { 1.0 };
            write!(out, "{id} \"{name} {depth} %\" {} {depth}", reading + 1)?;
            for r in spectrum {
                write!(out, " {:.4}", r * left)?;
            }
            writeln!(out)?;
        }
    }
    writeln!(out, "END_DATA")?;
    Ok(out)
}
