//! What must be right before anything is printed.

use crate::page::TooTall;
use crate::parts::modules;
use crate::setting::Setter;
use crate::{BatchSheet, Dose, Error, JobCard, Picture, QuantityCell};
use words::{Arg, Finding, Line, Place, Weight, say};

/// Findings about cards and sheets, the gravest first. [`crate::cards`] refuses to print while one of them is
/// [`Weight::Wrong`].
///
/// # Errors
/// [`Error::Font`] if the fonts cannot be read.
pub fn examine(cards: &[JobCard], sheets: &[BatchSheet]) -> Result<Vec<Finding>, Error> {
    let setter = Setter::new()?;
    let mut findings = Vec::new();
    if cards.is_empty() && sheets.is_empty() {
        findings.push(Finding::new(
            "nothing-to-print",
            Weight::Wrong,
            Place::Request,
            say!(
                "No card and no sheet was asked for.",
                "Tidak ada kartu atau lembar yang diminta."
            ),
        ));
    }
    for card in cards {
        findings.extend(lot(&[&card.lot]));
        findings.extend(antichlor(&card.lot, card.cells()));
        findings.extend(code(&card.lot, &card.qr));
        for picture in [
            &card.pictures.before,
            &card.pictures.after,
            &card.pictures.finished,
        ]
        .into_iter()
        .flatten()
        {
            findings.extend(picture_finding(&card.lot, picture));
        }
        let collection = card.collection.as_deref().unwrap_or_default();
        let names = [&card.workshop, &card.lot, &card.design, collection];
        findings.extend(letters(
            &setter,
            &card.lot,
            names.into_iter().chain(lines_of_card(card).flat_map(names_in)),
        ));
    }
    for sheet in sheets {
        findings.extend(lot(&sheet.lots));
        let lots = sheet.lots.join(", ");
        findings.extend(antichlor(&lots, sheet.cells()));
        findings.extend(code(&lots, &sheet.qr));
        let cells = sheet
            .cells()
            .flat_map(|cell| names_in(&cell.name).chain(names_in(&cell.text)));
        let bolts = sheet.rows.iter().map(|row| row.bolt.as_str());
        let names = [sheet.workshop.as_str(), &lots]
            .into_iter()
            .chain(names_in(&sheet.bath));
        findings.extend(letters(&setter, &lots, names.chain(cells).chain(bolts)));
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
    Ok(findings)
}

fn name(text: &str) -> Arg {
    Arg::Name(text.to_string())
}

/// A paper that does not say whose it is will lie beside the wrong cloth.
fn lot(lots: &[impl AsRef<str>]) -> Option<Finding> {
    let named = !lots.is_empty() && lots.iter().all(|lot| !lot.as_ref().trim().is_empty());
    (!named).then(|| {
        Finding::new(
            "paper-without-lot",
            Weight::Wrong,
            Place::Request,
            say!(
                "A card or sheet names no lot.",
                "Ada kartu atau lembar tanpa nomor partai."
            ),
        )
    })
}

/// The dose for a tank is many times the dose for cloth; side by side, one is taken for the other.
fn antichlor<'c>(what: &str, cells: impl Iterator<Item = &'c QuantityCell>) -> Option<Finding> {
    let (mut cloth, mut tank) = (false, false);
    for cell in cells {
        cloth |= cell.dose == Dose::AntichlorForCloth;
        tank |= cell.dose == Dose::AntichlorForTank;
    }
    (cloth && tank).then(|| {
        Finding::new(
            "antichlor-doses-together",
            Weight::Wrong,
            Place::Request,
            say!("{what}: the antichlor for the cloth and the antichlor for emptying the tank are on one paper.",
                "{what}: penetral klorin untuk kain dan untuk membuang isi bak ada di satu kertas.",
                what = name(what)),
        )
        .remedy(say!("Give the emptying of the tank a sheet of its own.",
            "Buat lembar sendiri untuk membuang isi bak."))
    })
}

fn code(what: &str, qr: &str) -> Option<Finding> {
    let found = if qr.is_empty() {
        say!(
            "{what}: the code has no content.",
            "{what}: isi kode kosong.",
            what = name(what)
        )
    } else if modules(qr).is_none() {
        say!(
            "{what}: {n} bytes do not fit a code.",
            "{what}: {n} bita tidak muat dalam kode.",
            what = name(what),
            n = Arg::Number(qr.len() as f64, 0)
        )
    } else {
        return None;
    };
    // ISO/IEC 18004: version 40, level Q holds 1663 bytes.
    let allowed = say!(
        "1 to 1663 bytes; a short one is easier to scan.",
        "1 sampai 1663 bita; yang pendek lebih mudah dipindai."
    );
    Some(Finding::new("code-content", Weight::Wrong, Place::Request, found).allow(allowed))
}

fn picture_finding(what: &str, picture: &Picture) -> Option<Finding> {
    let wanted = u64::from(picture.width) * u64::from(picture.height) * 3;
    if wanted > 0 && wanted == picture.rgb.len() as u64 && wanted <= 64 << 20 {
        return None;
    }
    let found = say!(
        "{what}: a picture of {w} x {h} pixels came with {n} bytes.",
        "{what}: gambar {w} x {h} piksel datang dengan {n} bita.",
        what = name(what),
        w = Arg::Number(f64::from(picture.width), 0),
        h = Arg::Number(f64::from(picture.height), 0),
        n = Arg::Number(picture.rgb.len() as f64, 0)
    );
    let allowed = say!(
        "Three bytes a pixel, at least one pixel, at most 64 MiB.",
        "Tiga bita per piksel, sedikitnya satu piksel, paling banyak 64 MiB."
    );
    Some(Finding::new("picture-bytes", Weight::Wrong, Place::Request, found).allow(allowed))
}

/// Characters that the family lacks are printed as an empty box; the reader must know.
pub(crate) fn letters<'t>(
    setter: &Setter,
    what: &str,
    texts: impl Iterator<Item = &'t str>,
) -> Option<Finding> {
    let mut missing: Vec<char> = texts
        .flat_map(str::chars)
        .filter(|c| !setter.prints(*c))
        .collect();
    missing.sort_unstable();
    missing.dedup();
    if missing.is_empty() {
        return None;
    }
    let list: Vec<String> = missing
        .iter()
        .take(8)
        .map(|c| format!("{c} (U+{:04X})", u32::from(*c)))
        .collect();
    Some(
        Finding::new(
            "letters-not-printable",
            Weight::Doubtful,
            Place::Request,
            say!(
                "{what}: these letters print as an empty box: {list}.",
                "{what}: huruf ini tercetak sebagai kotak kosong: {list}.",
                what = name(what),
                list = name(&list.join(", "))
            ),
        )
        .allow(say!(
            "Latin, Greek and Cyrillic letters.",
            "Huruf Latin, Yunani, dan Kiril."
        )),
    )
}

fn lines_of_card(card: &JobCard) -> impl Iterator<Item = &Line> {
    let steps = card.steps.iter().flat_map(|step| {
        let cells = step.quantities.iter().flat_map(|cell| [&cell.name, &cell.text]);
        let asks = step.asks.iter().map(|ask| &ask.what);
        let texts = step.lines.iter().chain(&step.done_when).chain(&step.cautions);
        std::iter::once(&step.title).chain(texts).chain(cells).chain(asks)
    });
    card.part
        .iter()
        .chain(&card.cautions)
        .chain(card.asks.iter().map(|ask| &ask.what))
        .chain(steps)
}

/// The words in a line that its author typed; the texts themselves are ours.
pub(crate) fn names_in(line: &Line) -> impl Iterator<Item = &str> {
    line.args.iter().filter_map(|(_, arg)| match arg {
        Arg::Name(text) | Arg::Spelled(text) => Some(text.as_str()),
        _ => None,
    })
}

/// A step that no page can hold.
pub(crate) fn too_tall_step(card: &JobCard, at: TooTall) -> Finding {
    let step = (at.section == 1).then(|| card.steps.get(at.block)).flatten();
    let place = step.map_or(Place::Request, |step| Place::Step {
        id: step.id.clone(),
        setting: None,
    });
    let number = step.map_or(0.0, |step| f64::from(step.number));
    let found = if step.is_some() {
        say!(
            "Step {n} of {what} is longer than a page.",
            "Langkah {n} dari {what} lebih panjang dari satu halaman.",
            n = Arg::Number(number, 0),
            what = name(&card.lot)
        )
    } else {
        say!(
            "A part of the card of {what} is longer than a page.",
            "Satu bagian kartu {what} lebih panjang dari satu halaman.",
            what = name(&card.lot)
        )
    };
    too_tall(place, found)
}

/// A part of a sheet that no page can hold.
pub(crate) fn too_tall_sheet(sheet: &BatchSheet) -> Finding {
    too_tall(
        Place::Request,
        say!(
            "A part of the sheet of {what} is longer than a page.",
            "Satu bagian lembar {what} lebih panjang dari satu halaman.",
            what = name(&sheet.lots.join(", "))
        ),
    )
}

/// What is said of a cloth that no page can hold.
pub(crate) fn too_tall_cloth(design: &str) -> Finding {
    too_tall(
        Place::Request,
        say!(
            "What is said of {what} is longer than a page.",
            "Keterangan {what} lebih panjang dari satu halaman.",
            what = name(design)
        ),
    )
}

fn too_tall(place: Place, found: Line) -> Finding {
    Finding::new("longer-than-a-page", Weight::Wrong, place, found)
        .allow(say!(
            "A step is printed whole, on one page.",
            "Satu langkah dicetak utuh di satu halaman."
        ))
        .remedy(say!(
            "Say it shorter or make two steps of it.",
            "Persingkat atau bagi menjadi dua langkah."
        ))
}
