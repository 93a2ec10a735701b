//! What a card and a batch sheet hold. Whoever knows the route fills these in; paper knows nothing of it.
//!
//! Everything that people read is a [`Line`], so both languages are always there.

use crate::{Day, Moment};
use units::{Measure, Quantity};
use words::{Arg, Line, Origin, say};

/// An sRGB picture, rows from the top, three bytes a pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// `3 * width * height` bytes.
    pub rgb: Vec<u8>,
}

/// The cloth before and after this card's work, and as it will leave the workshop.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pictures {
    /// Before the first step of the card.
    pub before: Option<Picture>,
    /// After its last.
    pub after: Option<Picture>,
    /// The finished cloth.
    pub finished: Option<Picture>,
}

/// What a dose is for, where a mix-up would be dangerous or dear.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dose {
    /// Any other amount.
    #[default]
    Plain,
    /// Antichlor against the chlorine that the cloth carries.
    AntichlorForCloth,
    /// Antichlor against all chlorine of a tank before it is emptied; many times the dose for cloth. The two
    /// never share a card or a sheet.
    AntichlorForTank,
}

/// A named amount with the origin of its number.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityCell {
    /// What it is an amount of.
    pub name: Line,
    /// The amount.
    pub text: Line,
    /// Where the number comes from; printed beside it.
    pub origin: Option<Origin>,
    /// What the dose is for.
    pub dose: Dose,
}

impl QuantityCell {
    /// An amount of `name`.
    pub fn new(name: Line, amount: Quantity) -> Self {
        Self {
            name,
            text: say!("{q}", "{q}", q = Arg::Quantity(amount)),
            origin: None,
            dose: Dose::Plain,
        }
    }
    /// The same, with the origin of its number.
    #[must_use]
    pub fn from(mut self, origin: Origin) -> Self {
        self.origin = Some(origin);
        self
    }
    /// The same, marked as a dose of antichlor.
    #[must_use]
    pub const fn dose(mut self, dose: Dose) -> Self {
        self.dose = dose;
        self
    }
}

/// What kind of place is left for the floor to write in.
#[derive(Clone, Debug, PartialEq)]
pub enum Blank {
    /// A clock time: `__ : __`.
    Clock,
    /// A number, with its unit printed after the place.
    Number(Line),
    /// Words.
    Words,
}

/// Something that the floor writes down.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// What is asked.
    pub what: Line,
    /// The place to write.
    pub blank: Blank,
}

impl Ask {
    /// A place for `blank` under the name `what`.
    pub const fn new(what: Line, blank: Blank) -> Self {
        Self { what, blank }
    }
}

/// One step of a card. It is printed on one page, whole.
#[derive(Clone, Debug, PartialEq)]
pub struct CardStep {
    /// The step's permanent id, for findings.
    pub id: String,
    /// The number that people call it by.
    pub number: u32,
    /// What is done.
    pub title: Line,
    /// How, one instruction a line.
    pub lines: Vec<Line>,
    /// How one sees that it is done.
    pub done_when: Option<Line>,
    /// What goes in.
    pub quantities: Vec<QuantityCell>,
    /// When it is planned.
    pub when: Option<Moment>,
    /// How long it takes, s.
    pub takes: Option<f64>,
    /// Cautions that belong to this step.
    pub cautions: Vec<Line>,
    /// What is written down at this step.
    pub asks: Vec<Ask>,
}

impl CardStep {
    /// A step with a title only.
    pub fn new(id: &str, number: u32, title: Line) -> Self {
        Self {
            id: id.to_string(),
            number,
            title,
            lines: Vec::new(),
            done_when: None,
            quantities: Vec::new(),
            when: None,
            takes: None,
            cautions: Vec::new(),
            asks: Vec::new(),
        }
    }
    pub(crate) fn duration(&self) -> Option<Quantity> {
        self.takes.map(|s| Quantity::new(s, Measure::Span))
    }
}

/// A lot's job card: a whole route, or the part of it that one person does.
#[derive(Clone, Debug, PartialEq)]
pub struct JobCard {
    /// Name of the workshop.
    pub workshop: String,
    /// Name of the collection, if the design is in one.
    pub collection: Option<String>,
    /// The lot, as people say it; on every page.
    pub lot: String,
    /// Name of the design.
    pub design: String,
    /// The part of the route, if the card is not the whole of it.
    pub part: Option<Line>,
    /// Number of bolts.
    pub bolts: u32,
    /// The revision of the design that the lot froze.
    pub revision: Option<String>,
    /// When work starts.
    pub starts: Option<Moment>,
    /// When the cloth is promised.
    pub promise: Option<Day>,
    /// The cloth.
    pub pictures: Pictures,
    /// The steps, in order.
    pub steps: Vec<CardStep>,
    /// Cautions for the whole card.
    pub cautions: Vec<Line>,
    /// What is written down at the end.
    pub asks: Vec<Ask>,
    /// What the code says to a phone.
    pub qr: String,
}

/// What one bolt takes from a bath, and what goes in after it.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchRow {
    /// The bolt, as people say it ("31-2").
    pub bolt: String,
    /// When it goes in.
    pub when: Option<Moment>,
    /// What is weighed out for this bolt.
    pub materials: Vec<QuantityCell>,
    /// What is added to the bath after it, to keep the shade or the strength.
    pub top_ups: Vec<QuantityCell>,
}

/// The sheet of one bath.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchSheet {
    /// Name of the workshop.
    pub workshop: String,
    /// The bath.
    pub bath: Line,
    /// The lots that use it, as people say them; on every page.
    pub lots: Vec<String>,
    /// Number of bolts.
    pub bolts: u32,
    /// When it is made up.
    pub starts: Option<Moment>,
    /// What the bath is filled with at first.
    pub fill: Vec<QuantityCell>,
    /// One row a bolt, in the order in which they go in.
    pub rows: Vec<BatchRow>,
    /// What all of it takes from the store.
    pub totals: Vec<QuantityCell>,
    /// What to take care of.
    pub cautions: Vec<Line>,
    /// What the materials are.
    pub hazards: Vec<Line>,
    /// What is written down.
    pub asks: Vec<Ask>,
    /// What the code says to a phone.
    pub qr: String,
}

impl JobCard {
    pub(crate) fn cells(&self) -> impl Iterator<Item = &QuantityCell> {
        self.steps.iter().flat_map(|step| &step.quantities)
    }
}

impl BatchSheet {
    pub(crate) fn cells(&self) -> impl Iterator<Item = &QuantityCell> {
        let rows = self
            .rows
            .iter()
            .flat_map(|row| row.materials.iter().chain(&row.top_ups));
        self.fill.iter().chain(rows).chain(&self.totals)
    }
}

/// A colour of the cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Colour {
    /// What it is called.
    pub name: Line,
    /// How it is written elsewhere: hexadecimal, CIELAB.
    pub code: String,
    /// Share of its region, 0..1.
    pub share: f64,
    /// On a screen, sRGB.
    pub rgb: [u8; 3],
}

/// The colours of a region of the cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Colours {
    /// Whether it is the motif, which wax kept, or the ground.
    pub motif: bool,
    /// Share of the cloth, 0..1.
    pub share: f64,
    /// Most first.
    pub colours: Vec<Colour>,
}

/// A step of a route, as a specification lists it.
#[derive(Clone, Debug, PartialEq)]
pub struct SpecStep {
    /// Its number, from 1.
    pub number: u32,
    /// What is done.
    pub name: Line,
    /// Its settings: name and value.
    pub settings: Vec<(Line, Line)>,
    /// The cloth after it.
    pub after: Picture,
}

/// What a cloth is, for whoever makes it.
#[derive(Clone, Debug, PartialEq)]
pub struct SpecSheet {
    /// Name of the workshop.
    pub workshop: String,
    /// Name of the collection.
    pub collection: String,
    /// Name of the design.
    pub design: String,
    /// What its colours are called.
    pub colourway: String,
    /// One sentence about it.
    pub note: String,
    /// First letters of the hash of its file.
    pub revision: Option<String>,
    /// A large piece of the finished cloth.
    pub cloth: Picture,
    /// A piece of it to be printed at full size: width and height, mm.
    pub close: (Picture, [f64; 2]),
    /// Its colours.
    pub colours: Vec<Colours>,
    /// Name and value: cloth, stamps, orders, what else is in the pack.
    pub facts: Vec<(Line, Line)>,
    /// The route.
    pub steps: Vec<SpecStep>,
    /// Each class of caution of the route once.
    pub cautions: Vec<Line>,
}

/// One cloth as buyers see it.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Name of the design.
    pub design: String,
    /// What its colours are called.
    pub colourway: String,
    /// One sentence about it.
    pub note: String,
    /// A large piece of the finished cloth.
    pub cloth: Picture,
    /// A piece of it to be printed at full size: width and height, mm.
    pub close: (Picture, [f64; 2]),
    /// Its colours.
    pub colours: Vec<Colours>,
    /// Name and value: width, length of a bolt, weight.
    pub facts: Vec<(Line, Line)>,
}

/// A collection as buyers see it.
#[derive(Clone, Debug, PartialEq)]
pub struct LineSheet {
    /// Name of the collection.
    pub collection: String,
    /// Who designed it, and where.
    pub by: String,
    /// One sentence about it.
    pub note: String,
    /// Its cloths.
    pub offers: Vec<Offer>,
}

/// The first page of a pack.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cover {
    /// Name of the workshop that it goes to.
    pub workshop: String,
    /// Name of the collection.
    pub collection: String,
    /// Who hands it over, and where from; empty if nobody has signed.
    pub by: String,
    /// One sentence about the collection.
    pub note: String,
    /// What to read first.
    pub first: Vec<First>,
    /// What is not certain yet.
    pub doubts: Vec<Doubts>,
}

/// Something to read first.
#[derive(Clone, Debug, PartialEq)]
pub struct First {
    /// The cloth, or nothing where it is about all of them.
    pub about: String,
    /// A sentence or two.
    pub said: Line,
    /// Whether it is about danger.
    pub danger: bool,
}

/// What is not certain about one thing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubts {
    /// The cloth, or nothing where it is about all of them.
    pub about: String,
    /// A few words each, without a full stop.
    pub said: Vec<Line>,
}

/// How many papers of a pack belong to a cloth, besides its specification.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Papers {
    /// Stamp sheets.
    pub stamps: usize,
    /// Job cards.
    pub cards: usize,
    /// Batch sheets.
    pub sheets: usize,
}
