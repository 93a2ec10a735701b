//! What leaves the printer: job cards, batch sheets, run sheets and full-size stamp sheets, as PDF.
//!
//! The floor reads Bahasa Indonesia, the designer English: both stand on every paper, the first language
//! large. Numbers of the Indonesian side are written as the floor reads them ([`floor_quantity`]), a number
//! that is only assumed says so beside it, and no step is split over two pages. The same input gives the
//! same bytes.
//!
//! This crate knows nothing of routes, plans or files: it prints what it is handed. It is set in Noto Sans
//! (SIL Open Font License), which comes with the `notosans` crate.

mod batch_sheet;
mod date;
mod examine;
mod floor;
mod head;
mod job_card;
mod line_sheet;
mod listing;
mod model;
mod page;
mod parts;
mod pdf;
mod run_sheet;
mod setting;
mod spec_sheet;
mod stamp_sheet;
mod svg;
#[cfg(test)]
mod tests;
mod tiles;
mod wording;

pub use date::{Day, Moment};
pub use examine::examine;
pub use floor::{floor_line, floor_quantity};
pub use listing::{List, Listing, listing};
pub use model::{
    Ask, BatchRow, BatchSheet, Blank, CardStep, Colour, Colours, Dose, JobCard, LineSheet, Offer, Picture,
    Pictures, QuantityCell, SpecSheet, SpecStep,
};
pub use page::Sheet;
pub use run_sheet::{RunRow, RunSheet, examine_run_sheets, run_sheets};
pub use stamp_sheet::{
    StampLine, StampNumber, StampSheet, StampSide, stamp_drawing, stamp_drawings, stamp_sheet,
};

use page::Leaf;
use parts::Bench;
use setting::Setter;
use words::{Finding, Voice, Weight};

/// Why nothing was printed.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// What was handed in cannot be printed; the findings say why.
    #[error("{} finding(s) stand against printing", .0.len())]
    Refused(Vec<Finding>),
    /// The fonts could not be read.
    #[error("the fonts could not be read")]
    Font,
    /// A code could not be made.
    #[error("the code could not be made")]
    Code,
    /// A length is not a finite positive number.
    #[error("a length on paper is not a finite positive number")]
    Geometry,
    /// The PDF could not be written.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
}

/// Prints job cards, then batch sheets, each from a page of its own on and numbered by itself.
///
/// `voice` is the reader's: its language is printed first and large, its units are those of the English
/// side. The Indonesian side is metric.
///
/// # Errors
/// [`Error::Refused`] with what [`examine`] found wrong, or with the step that is longer than a page.
pub fn cards(cards: &[JobCard], sheets: &[BatchSheet], sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    refuse(cards, sheets)?;
    let setter = Setter::new()?;
    let leaves = lay_out(
        &Bench {
            setter: &setter,
            voice,
            sheet,
        },
        cards,
        sheets,
    )?;
    pdf::write(&title(cards, sheets), &setter, &leaves)
}

fn refuse(cards: &[JobCard], sheets: &[BatchSheet]) -> Result<(), Error> {
    let refused: Vec<Finding> = examine(cards, sheets)?
        .into_iter()
        .filter(|finding| finding.weight == Weight::Wrong)
        .collect();
    if refused.is_empty() {
        Ok(())
    } else {
        Err(Error::Refused(refused))
    }
}

/// What a workshop needs to make a cloth, as one document.
#[derive(Clone, Debug, Default)]
pub struct Pack {
    /// Its name.
    pub title: String,
    /// What the cloths are.
    pub specs: Vec<SpecSheet>,
    /// Their stamps at full size.
    pub stamps: Vec<StampSheet>,
    /// Job cards of their lots.
    pub cards: Vec<JobCard>,
    /// Sheets of their baths.
    pub sheets: Vec<BatchSheet>,
}

/// Prints a pack: specifications, stamps, job cards, batch sheets, each from a page of its own on and numbered by
/// itself.
///
/// # Errors
/// As [`cards`] and [`stamp_sheet`].
pub fn pack(pack: &Pack, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    refuse(&pack.cards, &pack.sheets)?;
    let setter = Setter::new()?;
    let bench = Bench {
        setter: &setter,
        voice,
        sheet,
    };
    let mut leaves = Vec::new();
    for spec in &pack.specs {
        leaves.extend(spec_sheet::set_spec(&bench, spec)?);
    }
    for stamp in &pack.stamps {
        leaves.extend(stamp_sheet::lay_out_stamp(&bench, stamp)?);
    }
    leaves.extend(lay_out(&bench, &pack.cards, &pack.sheets)?);
    pdf::write(&pack.title, &setter, &leaves)
}

/// Prints what buyers look at: the whole line on the first page, then a page for each cloth. In the reader's language
/// alone.
///
/// # Errors
/// [`Error::Refused`] if what is said of a cloth is longer than a page.
pub fn line_sheet(line: &LineSheet, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    let setter = Setter::new()?;
    let bench = Bench {
        setter: &setter,
        voice,
        sheet,
    };
    pdf::write(&line.collection, &setter, &line_sheet::set_line(&bench, line)?)
}

fn lay_out<'a>(
    bench: &Bench<'_>,
    cards: &'a [JobCard],
    sheets: &'a [BatchSheet],
) -> Result<Vec<Leaf<'a>>, Error> {
    let mut leaves = Vec::new();
    for card in cards {
        let laid = job_card::set_card(bench, card)?;
        leaves.extend(laid.map_err(|at| Error::Refused(vec![examine::too_tall_step(card, at)]))?);
    }
    for sheet in sheets {
        let laid = batch_sheet::set_sheet(bench, sheet)?;
        leaves.extend(laid.map_err(|_| Error::Refused(vec![examine::too_tall_sheet(sheet)]))?);
    }
    Ok(leaves)
}

fn title(cards: &[JobCard], sheets: &[BatchSheet]) -> String {
    let mut lots: Vec<&str> = cards.iter().map(|card| card.lot.as_str()).collect();
    lots.extend(sheets.iter().flat_map(|sheet| &sheet.lots).map(String::as_str));
    let mut seen = Vec::new();
    for lot in lots {
        if !seen.contains(&lot) {
            seen.push(lot);
        }
    }
    seen.join(", ")
}
