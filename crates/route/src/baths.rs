//! What goes into each bath, bolt after bolt: batch sheets as a fold over the route.
//!
//! A bath is filled, takes its bolts load by load, and is topped up after each load but its last; after so many bolts
//! it is made anew. What is dosed for a bolt and is also in the charge is a top-up and follows the load; what is not
//! goes in before. A vessel without a charge of its own is filled for every load, and what a step says it takes per
//! bolt is then that bolt's part of a full load: seven bolts in a cauldron for three are three full cauldrons.
//!
//! Antichlor for cloth and antichlor for a tank that is emptied never share a sheet: see [`dumps`].

use crate::operations::neutralise::{antichlor_for_dump, antichlor_origin};
use crate::{Bath, Caution, Design, Dose, LotShape, Part, Stuff, Takes, Workshop, along, store};
use units::{Length, Measure, Quantity};
use words::{Arg, Line, Origin, Term, Text, say};

/// An amount of something from the store.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// What.
    pub stuff: Stuff,
    /// Its name: the dye's own, or the material's in the reader's language.
    pub name: Line,
    /// How much: a mass or a volume.
    pub amount: Quantity,
    /// The weakest origin that the amount rests on; `None` if it rests on settings and arithmetic alone.
    pub origin: Option<Origin>,
}

/// Where a sheet is used.
#[derive(Clone, Debug, PartialEq)]
pub enum Vessel {
    /// A bath that takes several bolts.
    Bath {
        /// Key of the workshop's vessel.
        key: &'static str,
        /// Liquor of a full bath.
        volume: Quantity,
        /// Cloth that goes in at once.
        bolts_a_load: u32,
        /// Bolts until it is made anew.
        bolts_a_bath: u32,
        /// Words about its use and its end.
        care: Text,
    },
    /// Weighed out at the table for each bolt.
    Table,
}

/// One bolt of a batch sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchRow {
    /// The bolt, from 1.
    pub bolt: u32,
    /// Which bath it goes into, from 1; 1 at the table.
    pub bath: u32,
    /// Which load it is part of, from 1 over the whole lot.
    pub load: u32,
    /// Is the bath made anew before this bolt?
    pub fresh: bool,
    /// Weighed out for this bolt.
    pub materials: Vec<Drawn>,
    /// Added after its load, to keep shade or strength; empty inside a load and after a bath's last.
    pub top_ups: Vec<Drawn>,
    /// Everything drawn so far, charges and this row's top-ups counted.
    pub so_far: Vec<Drawn>,
}

/// The data of a batch sheet: one step of the route for the whole lot.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchSheetData {
    /// The step's permanent id.
    pub step: String,
    /// Number that people call the step by.
    pub number: u32,
    /// What is done.
    pub term: &'static Term,
    /// Where.
    pub vessel: Vessel,
    /// What one fresh bath is filled with; empty at the table.
    pub charge: Vec<Drawn>,
    /// How many baths are made for the lot; none at the table.
    pub baths: u32,
    /// How many loads go in; at the table one a bolt.
    pub loads: u32,
    /// One row a bolt.
    pub rows: Vec<BatchRow>,
    /// What the whole lot takes.
    pub totals: Vec<Drawn>,
    /// How it can hurt.
    pub cautions: &'static [Caution],
}

/// A tank of bleach at the end of its life. A sheet of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct DumpSheet {
    /// The step's permanent id.
    pub step: String,
    /// Number that people call the step by.
    pub number: u32,
    /// What the tank was for.
    pub term: &'static Term,
    /// Key of the vessel.
    pub vessel: &'static str,
    /// Its liquor.
    pub volume: Quantity,
    /// Strength for which the dose holds: as it was made, or as titrated. Titrate; the dose goes with the strength of the day.
    pub strength: Quantity,
    /// Antichlor for the whole tank.
    pub antichlor: Drawn,
    /// What to do, line by line.
    pub lines: Vec<Line>,
    /// How it can hurt.
    pub cautions: Vec<Caution>,
}

/// Batch sheets of a lot, in the order of the route: one for each step that keeps a bath or draws anything but water.
pub fn baths(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<BatchSheetData> {
    along(design, lot, shop)
        .iter()
        .map(|part| sheet(part, design, lot))
        .filter(BatchSheetData::worth_a_page)
        .collect()
}

/// What the whole lot takes from the store over the whole route, water included.
pub fn totals(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Drawn> {
    let mut sum = Vec::new();
    for part in along(design, lot, shop) {
        sheet(&part, design, lot)
            .totals
            .iter()
            .for_each(|drawn| add(&mut sum, drawn, 1.0));
    }
    sum
}

/// The sheet of one step.
pub fn sheet(part: &Part, design: &Design, lot: &LotShape) -> BatchSheetData {
    let course = Course::of(&part.takes, design, lot);
    let (rows, totals) = course.run(lot.bolts);
    let last = rows.last();
    BatchSheetData {
        step: part.step.id.clone(),
        number: part.number,
        term: &part.step.operation.kind().term,
        baths: if course.vessel == Vessel::Table {
            0
        } else {
            last.map_or(0, |row| row.bath)
        },
        loads: last.map_or(0, |row| row.load),
        vessel: course.vessel,
        charge: course.charge,
        rows,
        totals,
        cautions: part.step.operation.kind().cautions,
    }
}

/// Sheets for emptying the tanks of bleach that this lot needs, at the strength they were made with.
pub fn dumps(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<DumpSheet> {
    dumps_at(design, lot, shop, None)
}

/// The same at a strength that was titrated, kg/m3.
pub fn dumps_at(design: &Design, lot: &LotShape, shop: &Workshop, titrated: Option<f64>) -> Vec<DumpSheet> {
    let is_bleach = |dose: &&Dose| dose.stuff == Stuff::Material(&store::HYPOCHLORITE);
    let course = along(design, lot, shop);
    let with_bath = course
        .iter()
        .filter_map(|part| Some((part, part.takes.bath.as_ref()?)));
    with_bath
        .filter_map(|(part, bath)| {
            let chlorine: f64 = bath
                .charge
                .iter()
                .filter(is_bleach)
                .map(|dose| dose.amount.si)
                .sum();
            let made = chlorine / bath.volume;
            (chlorine > 0.0 && bath.volume > 0.0).then(|| dump(part, bath, titrated.unwrap_or(made), shop))
        })
        .collect()
}

fn dump(part: &Part, bath: &Bath, strength: f64, shop: &Workshop) -> DumpSheet {
    let mass = antichlor_for_dump(bath.volume, strength, &shop.constants);
    let per_strength = antichlor_for_dump(bath.volume, 1.0, &shop.constants);
    let kind = part.step.operation.kind();
    let (volume, strength) = (
        Quantity::new(bath.volume, Measure::Volume),
        Quantity::new(strength, Measure::PerVolume),
    );
    let neutralise = crate::operations::neutralise::KIND.cautions;
    let mut cautions: Vec<Caution> = kind.cautions.to_vec();
    cautions.extend(
        neutralise
            .iter()
            .filter(|c| kind.cautions.iter().all(|k| k.code != c.code)),
    );
    DumpSheet {
        step: part.step.id.clone(),
        number: part.number,
        term: &kind.term,
        vessel: bath.vessel,
        volume,
        strength,
        antichlor: Drawn {
            stuff: Stuff::Material(&store::METABISULFITE),
            name: material_name(&store::METABISULFITE),
            amount: Quantity::new(mass.0, Measure::Mass),
            origin: Some(antichlor_origin(&shop.constants)),
        },
        lines: vec![
            say!(
                "Titrate. The dose on this sheet is for {volume} at {strength}; if you find another, take {per} for each {unit} of it.",
                "Titrasi. Takaran di lembar ini untuk {volume} pada {strength}; bila hasilnya lain, pakai {per} untuk tiap {unit}.",
                volume = Arg::Quantity(volume),
                strength = Arg::Quantity(strength),
                per = Arg::Quantity(Quantity::new(per_strength.0, Measure::Mass)),
                unit = Arg::Quantity(Quantity::new(1.0, Measure::PerVolume))
            ),
            say!(
                "Dissolve the dose in much water and pour it in slowly, standing upwind; the bath must still be alkaline.",
                "Larutkan takaran dalam banyak air dan tuang perlahan, membelakangi angin; bak harus masih basa."
            ),
            say!(
                "Stir 10 minutes; empty only when starch-iodide paper stays white and pH is 6 to 9. Acid, if any, comes last.",
                "Aduk 10 menit; buang hanya bila kertas kanji-iodida tetap putih dan pH 6 sampai 9. Asam, bila perlu, paling akhir."
            ),
        ],
        cautions,
    }
}

impl BatchSheetData {
    fn worth_a_page(&self) -> bool {
        let more_than_water =
            |drawn: &Drawn| drawn.stuff != Stuff::Material(&store::WATER) && drawn.amount.si > 0.0;
        matches!(self.vessel, Vessel::Bath { .. }) || self.totals.iter().any(more_than_water)
    }
}

fn material_name(material: &'static crate::Material) -> Line {
    say!("{what}", "{what}", what = Arg::Term(&material.term))
}

/// A dose with its name. A dye that the design lacks is a fault that reading a design refuses; here it keeps its number.
pub(crate) fn drawn(dose: &Dose, design: &Design) -> Drawn {
    let name = match &dose.stuff {
        Stuff::Material(material) => material_name(material),
        Stuff::Dye(at) => {
            let name = design
                .dyes
                .get(*at)
                .map_or_else(|| format!("#{}", at + 1), |card| card.name.clone());
            say!("{what}", "{what}", what = Arg::Name(name))
        }
    };
    Drawn {
        stuff: dose.stuff.clone(),
        name,
        amount: dose.amount,
        origin: dose.origin.clone(),
    }
}

/// Adds `times` an amount to a list, each stuff once, keeping the weakest origin.
fn add(list: &mut Vec<Drawn>, drawn: &Drawn, times: f64) {
    let same = |d: &&mut Drawn| d.stuff == drawn.stuff && d.amount.measure == drawn.amount.measure;
    match list.iter_mut().find(same) {
        Some(found) => {
            found.amount.si += drawn.amount.si * times;
            found.origin = weakest(found.origin.take(), drawn.origin.as_ref());
        }
        None => list.push(scaled(drawn, times)),
    }
}

fn weakest(a: Option<Origin>, b: Option<&Origin>) -> Option<Origin> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.weaker(b).clone()),
        (a, b) => a.or_else(|| b.cloned()),
    }
}

fn scaled(drawn: &Drawn, times: f64) -> Drawn {
    Drawn {
        amount: Quantity::new(drawn.amount.si * times, drawn.amount.measure),
        ..drawn.clone()
    }
}

/// How a step's doses fall on a lot.
struct Course {
    vessel: Vessel,
    charge: Vec<Drawn>,
    /// Before each bolt.
    before: Vec<Drawn>,
    /// For each bolt, after its load.
    after: Vec<Drawn>,
}

/// Whole bolts of this length in a load: at least one, because a vessel that is too small is a finding of its step.
pub(crate) fn bolts_in(load: Length, bolt: Length) -> u32 {
    let bolts = (load.0 / bolt.0 + 1e-9).floor();
    if bolts >= 1.0 { bolts.min(1e6) as u32 } else { 1 }
}

impl Course {
    fn of(takes: &Takes, design: &Design, lot: &LotShape) -> Self {
        let named = |doses: &[Dose]| doses.iter().map(|dose| drawn(dose, design)).collect::<Vec<_>>();
        let per_bolt = named(&takes.per_bolt);
        let Some(bath) = &takes.bath else {
            return Self {
                vessel: Vessel::Table,
                charge: Vec::new(),
                before: per_bolt,
                after: Vec::new(),
            };
        };
        let bolts_a_load = bolts_in(bath.load, lot.cloth.length);
        let vessel = |bolts_a_bath: u32| Vessel::Bath {
            key: bath.vessel,
            volume: Quantity::new(bath.volume, Measure::Volume),
            bolts_a_load: bolts_a_load.min(bolts_a_bath),
            bolts_a_bath,
            care: bath.care,
        };
        let lasts = bath.lasts_bolts.max(1);
        if bath.charge.is_empty() {
            let charge = per_bolt
                .iter()
                .map(|drawn| scaled(drawn, f64::from(lasts)))
                .collect();
            return Self {
                vessel: vessel(lasts),
                charge,
                before: Vec::new(),
                after: Vec::new(),
            };
        }
        let charge = named(&bath.charge);
        let (after, before) = per_bolt
            .into_iter()
            .partition(|drawn| charge.iter().any(|c| c.stuff == drawn.stuff));
        Self {
            vessel: vessel(lasts),
            charge,
            before,
            after,
        }
    }

    /// The rows of a lot, and all of it together.
    fn run(&self, bolts: u32) -> (Vec<BatchRow>, Vec<Drawn>) {
        let (a_load, a_bath) = match self.vessel {
            Vessel::Bath {
                bolts_a_load,
                bolts_a_bath,
                ..
            } => (bolts_a_load, bolts_a_bath),
            Vessel::Table => (1, u32::MAX),
        };
        let (mut rows, mut sum) = (Vec::new(), Vec::new());
        let (mut load, mut in_load) = (0, 0);
        for bolt in 0..bolts {
            let in_bath = bolt % a_bath;
            let fresh = in_bath == 0 && self.vessel != Vessel::Table;
            if fresh {
                self.charge.iter().for_each(|drawn| add(&mut sum, drawn, 1.0));
            }
            if in_bath % a_load == 0 {
                load += 1;
                in_load = 0;
            }
            in_load += 1;
            self.before.iter().for_each(|drawn| add(&mut sum, drawn, 1.0));
            let bath_ends = in_bath + 1 == a_bath || bolt + 1 == bolts;
            let load_ends = (in_bath + 1) % a_load == 0;
            let mut top_ups = Vec::new();
            if load_ends && !bath_ends {
                top_ups = self
                    .after
                    .iter()
                    .map(|drawn| scaled(drawn, f64::from(in_load)))
                    .collect();
                top_ups.iter().for_each(|drawn| add(&mut sum, drawn, 1.0));
            }
            rows.push(BatchRow {
                bolt: bolt + 1,
                bath: bolt / a_bath + 1,
                load,
                fresh,
                materials: self.before.clone(),
                top_ups,
                so_far: sum.clone(),
            });
        }
        (rows, sum)
    }
}
