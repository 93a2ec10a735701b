//! Papers of a workspace: from what the route says to what is printed.
//!
//! An order is one job card in parts, cut where cloth goes into wax and where it comes out of it: that is where it
//! changes hands. A part shows the cloth before it, after it, and finished. Each bath has its sheet. A tank of bleach
//! is emptied by a card of its own: the dose for a tank and the dose for cloth never share a paper.

use super::building;
use super::led::{Led, led};
use super::moment;
use super::pictures::Roll;
use super::plan::Planned;
use crate::studio::Paper;
use papers::{Ask, BatchSheet, Blank, CardStep, Dose, JobCard, Picture, Pictures, QuantityCell, Sheet};
use route::{BatchSheetData, Design, Drawn, DumpSheet, LotShape, StepCard, Stuff, Vessel, Workshop, store};
use sky::Date;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, PoisonError};
use units::Measure;
use words::{Arg, Finding, Line, Place, Term, Text, Voice, Weight, say};
use workspace::Workspace;

/// Pixels of a picture on a card: three in a row on A4 at about 200 dpi.
const PICTURE: (u32, u32) = (480, 300);
/// Nobody stops the printing of a card.
static NEVER: AtomicBool = AtomicBool::new(false);

/// How papers are printed.
#[derive(Clone, Copy)]
pub struct Printed<'p> {
    /// Size of paper.
    pub sheet: Sheet,
    /// The reader.
    pub voice: Voice,
    /// Times, if there is a plan.
    pub planned: Option<&'p Planned>,
}

/// What can be printed of a workspace.
pub fn list(workspace: &Workspace) -> Vec<Paper> {
    if workspace.workshop.is_none() {
        return Vec::new();
    }
    let mut all = Vec::new();
    for order in &workspace.orders {
        let Some(design) = workspace.design(&order.design) else {
            continue;
        };
        all.push(Paper {
            key: format!("order-{}", order.id),
            group: say!("Job cards and batch sheets", "Kartu kerja dan lembar takaran"),
            name: say!(
                "{order}: {design}, {n} bolts",
                "{order}: {design}, {n} gulung",
                order = Arg::Name(order.id.clone()),
                design = Arg::Name(design.name.clone()),
                n = Arg::Number(f64::from(order.bolts), 0)
            ),
            design: Some(design.id.clone()),
        });
    }
    for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
        for used in &design.stamps {
            all.push(Paper {
                key: format!("stamp-{}-{}", design.id, used.id),
                group: say!("Stamps at full size", "Pola cap, ukuran penuh"),
                name: say!(
                    "{design}: {stamp}",
                    "{design}: {stamp}",
                    design = Arg::Name(design.name.clone()),
                    stamp = Arg::Name(used.id.clone())
                ),
                design: Some(design.id.clone()),
            });
        }
    }
    all
}

/// Prints one of [`list`].
///
/// # Errors
/// If there is no such paper, or it cannot be printed.
pub fn print(workspace: &Workspace, key: &str, asked: &Printed) -> Result<Vec<u8>, Vec<Finding>> {
    if let Some(order) = key.strip_prefix("order-") {
        return orders(workspace, &[order], asked);
    }
    let Some(shop) = &workspace.workshop else {
        return Err(vec![nothing(key)]);
    };
    for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
        for used in &design.stamps {
            if key == format!("stamp-{}-{}", design.id, used.id) {
                let limits = workspace.stamp_limits();
                return building::paper(design, used, shop, &limits, asked.sheet, asked.voice);
            }
        }
    }
    Err(vec![nothing(key)])
}

fn nothing(key: &str) -> Finding {
    let found = say!(
        "there is no paper {key}",
        "tidak ada lembar {key}",
        key = Arg::Name(key.chars().take(60).collect())
    );
    Finding::new("no-such-paper", Weight::Wrong, Place::Request, found)
}

/// A lot to be printed.
pub struct Lotted<'w> {
    /// Its id.
    pub id: String,
    /// What it is made of.
    pub design: &'w Arc<Design>,
    /// How many.
    pub bolts: u32,
    /// When it was promised for, if it was.
    pub due: Option<Date>,
}

/// The orders of a design; one bolt on trial of one that nobody ordered.
pub fn lots_of<'w>(workspace: &'w Workspace, design: &'w Arc<Design>) -> Vec<Lotted<'w>> {
    let ordered = workspace.orders.iter().filter(|order| order.design == design.id);
    let lots: Vec<Lotted> = ordered
        .map(|order| Lotted {
            id: order.id.clone(),
            design,
            bolts: order.bolts,
            due: Some(order.due),
        })
        .collect();
    if !lots.is_empty() {
        return lots;
    }
    vec![Lotted {
        id: design.id.clone(),
        design,
        bolts: 1,
        due: None,
    }]
}

/// Job cards and batch sheets of orders, in one document.
///
/// # Errors
/// If an order or its design is not there, or something cannot be printed.
pub fn orders(workspace: &Workspace, ids: &[&str], asked: &Printed) -> Result<Vec<u8>, Vec<Finding>> {
    let lot = |id: &&str| {
        let order = workspace.orders.iter().find(|order| order.id == *id)?;
        Some(Lotted {
            id: order.id.clone(),
            design: workspace.design(&order.design)?,
            bolts: order.bolts,
            due: Some(order.due),
        })
    };
    let lots: Result<Vec<Lotted>, _> = ids
        .iter()
        .map(|id| lot(id).ok_or_else(|| vec![nothing(id)]))
        .collect();
    let (cards, sheets) = set(workspace, &lots?, asked)?;
    papers::cards(&cards, &sheets, asked.sheet, asked.voice).map_err(refused)
}

/// Job cards and batch sheets of lots, to be printed.
///
/// # Errors
/// If there is no workshop, or a picture cannot be made.
pub fn set(
    workspace: &Workspace,
    lots: &[Lotted],
    asked: &Printed,
) -> Result<(Vec<JobCard>, Vec<BatchSheet>), Vec<Finding>> {
    let mut rolls: BTreeMap<String, (Roll, BTreeMap<usize, Picture>)> = BTreeMap::new();
    let (mut cards, mut sheets) = (Vec::new(), Vec::new());
    for order in lots {
        let design = order.design;
        let Some(shop) = &workspace.workshop else {
            return Err(vec![nothing(&order.id)]);
        };
        let (roll, seen) = rolls
            .entry(design.id.clone())
            .or_insert_with(|| (Roll::of(design, shop), BTreeMap::new()));
        let lot = Lot {
            workspace,
            order,
            design,
            shop,
            shape: LotShape::new(&order.id, order.bolts, 0, design.cloth),
            planned: asked.planned,
            led: led(design, shop),
        };
        cards.extend(lot.cards(&mut |steps| picture(roll, seen, steps))?);
        sheets.extend(
            route::baths(design, &lot.shape, shop)
                .iter()
                .filter_map(|data| lot.sheet(data)),
        );
    }
    Ok((cards, sheets))
}

/// The same pictures serve every order of a design.
fn picture(roll: &Roll, seen: &mut BTreeMap<usize, Picture>, steps: usize) -> Result<Picture, Vec<Finding>> {
    if let Some(picture) = seen.get(&steps) {
        return Ok(picture.clone());
    }
    let taken = roll.piece(steps, PICTURE, &NEVER).map_err(|refused| {
        let found = say!(
            "a picture for the card could not be made: {why}",
            "gambar untuk kartu gagal dibuat: {why}",
            why = Arg::Name(format!("{refused:?}"))
        );
        vec![Finding::new("no-picture", Weight::Wrong, Place::Request, found)]
    })?;
    let picture = Picture {
        width: taken.width,
        height: taken.height,
        rgb: taken.rgb,
    };
    seen.insert(steps, picture.clone());
    Ok(picture)
}

/// What papers say when they are refused.
pub(crate) fn refused(error: papers::Error) -> Vec<Finding> {
    match error {
        papers::Error::Refused(findings) => findings,
        other => {
            let found = say!(
                "the paper could not be made: {why}",
                "lembar gagal dibuat: {why}",
                why = Arg::Name(other.to_string())
            );
            vec![Finding::new(
                "paper-not-made",
                Weight::Wrong,
                Place::Request,
                found,
            )]
        }
    }
}

/// An order as it is made.
struct Lot<'a> {
    workspace: &'a Workspace,
    order: &'a Lotted<'a>,
    design: &'a Arc<Design>,
    shop: &'a Workshop,
    shape: LotShape,
    planned: Option<&'a Planned>,
    led: Vec<Led>,
}

type Seen<'a> = &'a mut dyn FnMut(usize) -> Result<Picture, Vec<Finding>>;

impl Lot<'_> {
    /// When a step begins on a bolt (from 0).
    fn when(&self, bolt: u32, step: usize) -> Option<papers::Moment> {
        let planned = self.planned?;
        let begins = planned.begins(planned.lot(&self.order.id)?, bolt, step)?;
        moment(&planned.mapped.problem, begins)
    }

    fn revision(&self) -> Option<String> {
        let hash = self.workspace.design_file(&self.design.id)?.revision?;
        Some(hash.iter().take(4).map(|byte| format!("{byte:02x}")).collect())
    }

    fn cards(&self, picture: Seen) -> Result<Vec<JobCard>, Vec<Finding>> {
        let steps = route::card(self.design, &self.shape, self.shop);
        let parts = parts(self.design, &self.shape, self.shop);
        let mut cards = Vec::new();
        for (n, part) in parts.iter().enumerate() {
            let Some(own) = steps.get(part.clone()).filter(|own| !own.is_empty()) else {
                continue;
            };
            let pictures = Pictures {
                before: Some(picture(part.start)?),
                after: Some(picture(part.end)?),
                finished: Some(picture(self.design.steps.len())?),
            };
            cards.push(self.card(own, part, (n, parts.len()), pictures));
        }
        for dump in route::dumps(self.design, &self.shape, self.shop) {
            cards.push(self.emptying(&dump));
        }
        Ok(cards)
    }

    fn card(
        &self,
        own: &[StepCard],
        part: &Range<usize>,
        (n, of): (usize, usize),
        pictures: Pictures,
    ) -> JobCard {
        let count = |n: usize| Arg::Number(n as f64, 0);
        let (first, last) = (own.first().map(|s| s.term), own.last().map(|s| s.term));
        let name = match (of, first, last) {
            (0 | 1, ..) | (_, None, _) | (_, _, None) => None,
            (_, Some(first), Some(last)) => Some(say!(
                "Part {n} of {of}: {first} to {last}",
                "Bagian {n} dari {of}: {first} sampai {last}",
                n = count(n + 1),
                of = count(of),
                first = Arg::Term(first),
                last = Arg::Term(last)
            )),
        };
        JobCard {
            part: name,
            pictures,
            steps: own
                .iter()
                .zip(part.clone())
                .map(|(step, at)| self.step(step, at))
                .collect(),
            cautions: cautions(own),
            starts: self.when(0, part.start),
            ..self.empty_card(format!("{}/{}", self.order.id, n + 1))
        }
    }

    /// A card without steps.
    fn empty_card(&self, qr: String) -> JobCard {
        JobCard {
            workshop: self.shop.name.clone(),
            collection: Some(self.workspace.collection.name.clone()).filter(|name| !name.is_empty()),
            lot: self.order.id.clone(),
            design: self.design.name.clone(),
            part: None,
            bolts: self.order.bolts,
            revision: self.revision(),
            starts: None,
            promise: self.order.due.and_then(super::day_on_paper),
            pictures: Pictures::default(),
            steps: Vec::new(),
            cautions: Vec::new(),
            asks: vec![
                Ask::new(say!("Name", "Nama"), Blank::Words),
                Ask::new(say!("Begun", "Mulai"), Blank::Clock),
                Ask::new(say!("Done", "Selesai"), Blank::Clock),
            ],
            qr,
        }
    }

    /// What each load takes where a step's bath weakens from load to load.
    fn loads(&self, at: usize) -> Vec<Line> {
        let own = self.led.iter().find(|led| led.at == at);
        own.map_or_else(Vec::new, |led| led.lines(self.order.bolts))
    }

    fn step(&self, step: &StepCard, at: usize) -> CardStep {
        CardStep {
            lines: [step.instructions.lines.clone(), self.loads(at)].concat(),
            done_when: Some(step.instructions.done_when.clone()),
            quantities: cells(&step.takes, None),
            when: self.when(0, at),
            takes: Some(step.work.likely.0),
            cautions: step
                .cautions
                .iter()
                .map(|caution| Line::plain(&caution.text))
                .chain(step.hazards.iter().map(|hazard| Line::plain(&hazard.text)))
                .collect(),
            asks: step.asks.iter().map(ask).collect(),
            ..CardStep::new(&step.step, step.number, term(step.term))
        }
    }

    /// The card for emptying a tank of bleach.
    fn emptying(&self, dump: &DumpSheet) -> JobCard {
        let title = say!(
            "Empty the {vessel}: {volume} at {strength}",
            "Buang isi {vessel}: {volume} pada {strength}",
            vessel = Arg::Name(dump.vessel.to_string()),
            volume = Arg::Quantity(dump.volume),
            strength = Arg::Quantity(dump.strength)
        );
        let step = CardStep {
            lines: dump.lines.clone(),
            quantities: cells(
                std::slice::from_ref(&dump.antichlor),
                Some(Dose::AntichlorForTank),
            ),
            asks: vec![
                Ask::new(
                    say!("Strength found", "Kekuatan terukur"),
                    Blank::Number(say!("g/L", "gram per liter")),
                ),
                Ask::new(say!("pH at the end", "pH akhir"), Blank::Number(say!("pH", "pH"))),
            ],
            ..CardStep::new(&dump.step, dump.number, title)
        };
        JobCard {
            part: Some(say!("Emptying the bleach tank", "Membuang isi bak pemutih")),
            // A tank is emptied when it is done, whatever was promised.
            promise: None,
            steps: vec![step],
            cautions: dump
                .cautions
                .iter()
                .map(|caution| Line::plain(kept(caution.text)))
                .collect(),
            ..self.empty_card(format!("{}/{}/empty", self.order.id, dump.step))
        }
    }

    /// The sheet of a bath; `None` for what is weighed at the table, which the job card says.
    fn sheet(&self, data: &BatchSheetData) -> Option<BatchSheet> {
        let Vessel::Bath { key, care, .. } = &data.vessel else {
            return None;
        };
        let at = (data.number as usize).checked_sub(1)?;
        let rows = data.rows.iter().map(|row| {
            let mut materials = cells(&row.materials, None);
            if row.fresh && row.bolt > 1 {
                materials.extend(data.charge.iter().map(anew));
            }
            papers::BatchRow {
                bolt: format!("{}-{}", self.order.id, row.bolt),
                when: self.when(row.bolt - 1, at),
                materials,
                top_ups: cells(&row.top_ups, None),
            }
        });
        let cautions = data.cautions.iter().map(|caution| Line::plain(&caution.text));
        let hazards = route::card(self.design, &self.shape, self.shop);
        let hazards = hazards
            .iter()
            .filter(|step| step.step == data.step)
            .flat_map(|step| step.hazards.clone());
        Some(BatchSheet {
            workshop: self.shop.name.clone(),
            bath: say!(
                "{number}. {what} ({vessel})",
                "{number}. {what} ({vessel})",
                number = Arg::Number(f64::from(data.number), 0),
                what = Arg::Term(data.term),
                vessel = Arg::Name((*key).to_string())
            ),
            lots: vec![self.order.id.clone()],
            bolts: self.order.bolts,
            starts: self.when(0, at),
            fill: cells(&data.charge, None),
            rows: rows.collect(),
            totals: cells(&data.totals, None),
            cautions: std::iter::once(Line::plain(kept(*care)))
                .chain(cautions)
                .collect(),
            hazards: hazards.map(|hazard| Line::plain(&hazard.gloss)).collect(),
            asks: vec![
                Ask::new(say!("Name", "Nama"), Blank::Words),
                Ask::new(say!("Made up", "Dibuat"), Blank::Clock),
            ],
            qr: format!("{}/{}", self.order.id, data.step),
        })
    }
}

/// Each class of caution of some steps once, in the words of the first step that brings it. What the dyes do stands once
/// in full; at the steps stands which of it.
pub(super) fn cautions(steps: &[StepCard]) -> Vec<Line> {
    let mut codes = Vec::new();
    let mut cautions = Vec::new();
    for caution in steps.iter().flat_map(|step| step.cautions) {
        if !codes.contains(&caution.code) {
            codes.push(caution.code);
            cautions.push(Line::plain(&caution.text));
        }
    }
    for hazard in steps.iter().flat_map(|step| step.hazards.iter()) {
        if !codes.contains(&hazard.key) {
            codes.push(hazard.key);
            cautions.push(Line::plain(&hazard.gloss));
        }
    }
    cautions
}

/// The parts of a route: cut where cloth goes into wax and where it comes out. A route without wax is one part.
fn parts(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Range<usize>> {
    let waxed: Vec<bool> = route::along(design, lot, shop)
        .iter()
        .map(|part| part.before.waxed() || part.after.waxed())
        .collect();
    let mut parts = Vec::new();
    let mut from = 0;
    for at in 1..=waxed.len() {
        if at == waxed.len() || waxed[at] != waxed[at - 1] {
            parts.push(from..at);
            from = at;
        }
    }
    parts
}

/// A text for as long as the program runs, as lines want it. Texts are constants of the program, so there are few.
fn kept(text: Text) -> &'static Text {
    static KEPT: Mutex<Vec<&'static Text>> = Mutex::new(Vec::new());
    let mut all = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = all.iter().find(|known| ***known == text) {
        return known;
    }
    let known: &'static Text = Box::leak(Box::new(text));
    all.push(known);
    known
}

pub(super) fn term(term: &'static Term) -> Line {
    say!("{what}", "{what}", what = Arg::Term(term))
}

/// Amounts. Antichlor is always marked for what it is; unless said otherwise it is the dose for cloth.
fn cells(all: &[Drawn], dose: Option<Dose>) -> Vec<QuantityCell> {
    let antichlor = |drawn: &Drawn| drawn.stuff == Stuff::Material(&store::METABISULFITE);
    all.iter()
        .map(|drawn| {
            let mut cell = QuantityCell::new(drawn.name.clone(), drawn.amount);
            cell.origin = drawn.origin.clone();
            match dose {
                Some(dose) => cell.dose(dose),
                None if antichlor(drawn) => cell.dose(Dose::AntichlorForCloth),
                None => cell,
            }
        })
        .collect()
}

/// A material of a bath that is made anew in the middle of a lot.
fn anew(drawn: &Drawn) -> QuantityCell {
    let mut cells = cells(std::slice::from_ref(drawn), None);
    let mut cell = cells.remove(0);
    if let Some((_, what)) = drawn.name.args.first() {
        cell.name = say!("new bath: {what}", "bak baru: {what}", what = what.clone());
    }
    cell
}

/// What the floor writes down, with a place that fits what is measured.
fn ask(ask: &'static route::Ask) -> Ask {
    let what = say!("{what}", "{what}", what = Arg::Term(&ask.term));
    let number = |unit: Line| Blank::Number(unit);
    let blank = match ask.measure {
        Measure::Span => number(say!("min", "menit")),
        Measure::Mass => number(say!("g", "gram")),
        Measure::Volume => number(say!("L", "liter")),
        Measure::Temperature => number(say!("°C", "derajat C")),
        Measure::Length => number(say!("cm", "sentimeter")),
        Measure::Share => number(say!("%", "persen")),
        Measure::PerVolume => number(say!("g/L", "gram per liter")),
        Measure::Baume => number(say!("°Bé", "derajat Be")),
        Measure::Acidity => number(say!("pH", "pH")),
        Measure::Count => number(say!("pieces", "buah")),
        _ => Blank::Words,
    };
    Ask::new(what, blank)
}
