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
mod cover;
mod date;
mod examine;
mod floor;
mod head;
mod job_card;
mod line_sheet;
mod listing;
mod model;
mod numbers;
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
    Ask, BatchRow, BatchSheet, Blank, CardStep, Colour, Colours, Cover, Dose, Doubts, First, JobCard,
    LineSheet, Offer, Papers, Picture, Pictures, QuantityCell, SpecSheet, SpecStep,
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
            tight: false,
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
    /// Its first page. How many papers of each kind belong to the first cloth, the second, ...: they lie in that order.
    pub cover: Option<(Cover, Vec<Papers>)>,
    /// What the cloths are.
    pub specs: Vec<SpecSheet>,
    /// Their stamps at full size.
    pub stamps: Vec<StampSheet>,
    /// Job cards of their lots.
    pub cards: Vec<JobCard>,
    /// Sheets of their baths.
    pub sheets: Vec<BatchSheet>,
}

/// Prints a pack: its cover, then specifications, stamps, job cards, batch sheets, each from a page of its own on and
/// numbered by itself. With a cover the pages of the whole pack are numbered as well, and the cover says which is where.
///
/// # Errors
/// As [`cards`] and [`stamp_sheet`].
pub fn pack(pack: &Pack, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    refuse(&pack.cards, &pack.sheets)?;
    let setter = Setter::new()?;
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice,
        sheet,
    };
    pdf::write(&pack.title, &setter, &lay_out_pack(&bench, pack)?)
}

fn lay_out_pack<'a>(bench: &Bench<'_>, pack: &'a Pack) -> Result<Vec<Leaf<'a>>, Error> {
    let mut kinds: [Vec<Vec<Leaf<'a>>>; 4] = Default::default();
    for spec in &pack.specs {
        kinds[0].push(spec_sheet::set_spec(bench, spec)?);
    }
    for stamp in &pack.stamps {
        kinds[1].push(stamp_sheet::lay_out_stamp(bench, stamp)?);
    }
    for card in &pack.cards {
        kinds[2].push(lay_out(bench, std::slice::from_ref(card), &[])?);
    }
    for sheet in &pack.sheets {
        kinds[3].push(lay_out(bench, &[], std::slice::from_ref(sheet))?);
    }
    let mut leaves = Vec::new();
    if let Some((cover, papers)) = &pack.cover {
        // The pages of the cover itself come first: it is set again once it is known how many they are.
        let set = |before| cover::set_cover(bench, cover, &pack.specs, &places(&kinds, papers, before));
        leaves = set(0)?;
        leaves = set(leaves.len())?;
    }
    leaves.extend(kinds.into_iter().flatten().flatten());
    if pack.cover.is_some() {
        cover::count(bench, &mut leaves);
    }
    Ok(leaves)
}

/// For each cloth the pages of its papers, if so many pages come before all of them.
fn places(kinds: &[Vec<Vec<Leaf<'_>>>; 4], papers: &[Papers], before: usize) -> Vec<cover::Places> {
    const WHAT: [&words::Text; 4] = [
        wording::THE_CLOTH,
        wording::ITS_STAMPS,
        wording::ITS_CARDS,
        wording::ITS_SHEETS,
    ];
    let mut page = before + 1;
    let mut all: Vec<cover::Places> = papers.iter().map(|_| Vec::new()).collect();
    for (what, (kind, at)) in WHAT.into_iter().zip(kinds.iter().zip(0..)) {
        let mut rest = kind.iter();
        for (own, papers) in all.iter_mut().zip(papers) {
            let of_kind = [1, papers.stamps, papers.cards, papers.sheets][at];
            let pages: usize = rest.by_ref().take(of_kind).map(Vec::len).sum();
            if pages > 0 {
                own.push((what, (page, page + pages - 1)));
            }
            page += pages;
        }
    }
    all
}

/// Prints what buyers look at: the whole line on the first page, then a page for each cloth. In the reader's language
/// alone.
///
/// # Errors
/// [`Error::Refused`] if what is said of a cloth is longer than a page.
pub fn line_sheet(line: &LineSheet, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    let setter = Setter::new()?;
    let bench = Bench {
        tight: false,
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
