//! What the floor does, step by step: the data of job cards as a fold over the route.
//!
//! A step's own cautions stand in full beside it. The card as a whole carries each class of caution once, in the words
//! of the first step that brings it, and the hazards of the dyes.

use crate::baths::{Drawn, drawn};
use crate::{Ask, Caution, Design, Instructions, LotShape, Part, Stuff, Work, Workshop, along};
use colour::dye::Hazard;
use units::Span;
use words::{Term, Text};

/// One step of a job card.
#[derive(Clone, Debug)]
pub struct StepCard {
    /// The step's permanent id.
    pub step: String,
    /// Number that people call the step by, from 1.
    pub number: u32,
    /// What is done.
    pub term: &'static Term,
    /// Lines, and how one sees that it is done.
    pub instructions: Instructions,
    /// How it can hurt, and what to do about it.
    pub cautions: &'static [Caution],
    /// Hazards of the dyes that this step handles.
    pub hazards: Vec<&'static Hazard>,
    /// What the floor writes down.
    pub asks: &'static [Ask],
    /// What one bolt takes; for a bath its top-up (the batch sheet has the rest).
    pub takes: Vec<Drawn>,
    /// Time of the work for one bolt, or for one load where several go in at once; the wait afterwards apart.
    pub work: Work,
}

/// Stands at the end of every list of cautions.
pub static DEFER: Text = Text::new(
    "These are the usual cautions. Local rules, labels and licensed persons come first.",
    "Ini kehati-hatian umum. Aturan setempat, label, dan petugas berizin diutamakan.",
);

/// The card of a whole route.
pub fn card(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<StepCard> {
    along(design, lot, shop)
        .into_iter()
        .map(|part| step_card(&part, design, lot, shop))
        .collect()
}

fn step_card(part: &Part, design: &Design, lot: &LotShape, shop: &Workshop) -> StepCard {
    let operation = &part.step.operation;
    let kind = operation.kind();
    let tasks = operation.occupies(&part.before, design, lot, shop);
    let sum = |of: fn(&Work) -> Span| tasks.iter().fold(Span(0.0), |sum, task| sum + of(&task.work));
    StepCard {
        step: part.step.id.clone(),
        number: part.number,
        term: &kind.term,
        instructions: operation.instructs(&part.takes, design, lot, shop),
        cautions: kind.cautions,
        hazards: handled(part, design),
        asks: kind.asks,
        takes: part
            .takes
            .per_bolt
            .iter()
            .map(|dose| drawn(dose, design))
            .collect(),
        work: Work {
            least: sum(|w| w.least),
            likely: sum(|w| w.likely),
            most: sum(|w| w.most),
        },
    }
}

/// Hazards of the dyes that a step draws, each once.
fn handled(part: &Part, design: &Design) -> Vec<&'static Hazard> {
    let charge = part.takes.bath.iter().flat_map(|bath| &bath.charge);
    let dyes = part
        .takes
        .per_bolt
        .iter()
        .chain(charge)
        .filter_map(|dose| match dose.stuff {
            Stuff::Dye(at) => design.dyes.get(at),
            Stuff::Material(_) => None,
        });
    each_once(dyes.flat_map(|card| card.hazards.iter().copied()), |hazard| {
        hazard.key
    })
}

/// Cautions of a route, one of each class in the order in which the floor meets them, in the words of the first step.
/// [`DEFER`] belongs under them.
pub fn cautions(design: &Design) -> Vec<&'static Caution> {
    each_once(
        design
            .steps
            .iter()
            .flat_map(|step| step.operation.kind().cautions),
        |caution| caution.code,
    )
}

/// Hazards of a design's dyes, each once.
pub fn hazards(design: &Design) -> Vec<&'static Hazard> {
    each_once(
        design.dyes.iter().flat_map(|card| card.hazards.iter().copied()),
        |hazard| hazard.key,
    )
}

/// The first of each key, in order.
fn each_once<T>(all: impl Iterator<Item = &'static T>, key: fn(&T) -> &'static str) -> Vec<&'static T> {
    let mut found: Vec<&'static T> = Vec::new();
    for one in all {
        if found.iter().all(|other| key(other) != key(one)) {
            found.push(one);
        }
    }
    found
}
