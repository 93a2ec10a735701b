//! The bleach at its tank: from what was seen there to times for this load and the next, as the bath weakens.
//!
//! Two things may be known of a bath: its strength, by titration, and a time at which it clears. The time comes from a
//! witness strip that hangs in this very bath, or from the design's own time where the rates of its dyes were measured
//! here. Otherwise there is none, and the sheet says which strip to do.
//!
//! Three sheets, never one: the tank's, the tub's with antichlor for the cloth, and the one for emptying the tank.

use super::tub::Tub;
use cloth::averages;
use cloth::window::{Batch, Bath, Limits, Lines, Plan, Strip, StripReading, lines, timed};
use route::operations::bleach::{carried, used_by_dye, used_by_load};
use route::{
    Caution, Design, DumpSheet, Fate, LotShape, Means, Step, Workshop, dumps_at, kinetics, line_left,
};
use std::sync::Arc;
use units::{Celsius, Length, Mass, Span};
use words::{Arg, Finding, Origin, Place, Term, Weight, say};

/// Tint of the printed card that a witness strip is held against, and the tint that counts as clear, of the strip's own
/// K/S before.
pub const TINTS: (f64, f64) = (0.10, 0.02);
/// Assumed rates better than this need no strip first.
const GOOD: f64 = 1.3;

/// A tank of bleach as a design and a workshop have it.
#[derive(Clone)]
pub struct Tank {
    /// Whose.
    pub design: Arc<Design>,
    /// Place of the step in the route.
    pub at: usize,
    /// Its permanent id.
    pub id: String,
    /// What it is.
    pub term: &'static Term,
    /// How it can hurt.
    pub cautions: &'static [Caution],
    /// Liquor, L.
    pub litres: f64,
    /// Bolts that go in at once.
    pub bolts: u32,
    /// Loads until the tank is emptied.
    pub loads: u32,
    /// Strength, temperature and lag of the design, and what a load uses.
    pub designed: Bath,
    /// Time of the design.
    pub time: Span,
    /// The dye on the cloth that clears slowest.
    pub slowest: Option<Slowest>,
    /// Wax lines, where there are any.
    pub lines: Option<Lines>,
    /// Where the creep under their edges comes from.
    pub creep: Option<Origin>,
    /// Liquor that drained cloth carries, L/kg.
    pub carried: f64,
    /// Dry cloth of a load.
    pub cloth: Mass,
}

/// The dye that decides.
#[derive(Clone, Debug)]
pub struct Slowest {
    /// Its name.
    pub name: String,
    /// Activation energy, J/mol.
    pub energy: f64,
    /// Share of its K/S that never clears.
    pub residue: f64,
    /// Are the rates of all dyes on the cloth known well enough for times?
    pub known: bool,
}

/// What is known at the tank.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Seen {
    /// Available chlorine as titrated, g/L.
    pub chlorine: Option<f64>,
    /// Temperature of the bath.
    pub temperature: Option<Celsius>,
    /// When the witness strip had reached the printed tint.
    pub strip: Option<Span>,
    /// From lifting to antichlor, if not as designed.
    pub lag: Option<Span>,
    /// Available chlorine of the stock as titrated, g/L.
    pub stock: Option<f64>,
    /// Loads that have been in this bath.
    pub done: u32,
}

/// Where the times come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// A strip in this bath.
    ByStrip,
    /// The design's time at the design's strength; rates were measured here.
    ByRates,
    /// From nowhere: a strip must be done.
    Not,
}

/// What the sheets say.
#[derive(Clone)]
pub struct Sheets {
    /// The tank.
    pub tank: Tank,
    /// The bath now; strength and temperature as seen, else as designed.
    pub now: Bath,
    /// Was the strength titrated?
    pub titrated: bool,
    /// Where times come from.
    pub known: Known,
    /// What the strip says.
    pub strip: Option<StripReading>,
    /// This load and the next, until the tank is emptied; empty where no time is known.
    pub batches: Vec<Batch>,
    /// Longest time that the thinnest line stands.
    pub longest: Option<Span>,
    /// Stock that brings the bath to the design's strength, L; `None` if no stock can, or none was titrated.
    pub strengthen: Option<f64>,
    /// Antichlor for the cloth of this load.
    pub tub: Tub,
    /// Loads that could still go in before the tank is emptied.
    pub left: u32,
}

/// The tank of a design's bleach: of the named step, else of its first.
///
/// # Errors
/// If the design has no such step, or none that bleaches.
// A finding is a whole answer to a person, made once.
#[allow(clippy::result_large_err)]
pub fn tank(design: &Arc<Design>, shop: &Workshop, step: Option<&str>) -> Result<Tank, Finding> {
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let (means, takes) = averages(design, &lot, shop);
    let dumps = dumps_at(design, &lot, shop, None);
    let all: Vec<(usize, &Step, &DumpSheet)> = timed(design)
        .into_iter()
        .filter_map(|at| {
            let step = design.steps.get(at)?;
            Some((at, step, dumps.iter().find(|dump| dump.step == step.id)?))
        })
        .collect();
    let wanted = all
        .iter()
        .find(|(at, found, _)| step.is_none_or(|s| s == found.id || s == (at + 1).to_string()));
    let Some((at, found, dump)) = wanted else {
        return Err(no_tank(design, step, &all));
    };
    let (values, kind) = (found.operation.values(), found.operation.kind());
    let bath = takes.get(*at).and_then(|takes| takes.bath.as_ref());
    let load = bath.map_or(design.cloth.length, |bath| bath.load);
    let bolts = (load.0 / design.cloth.length.0 + 1e-3).floor().max(1.0) as u32;
    let lost = takes.get(*at).map_or(&[][..], |takes| &takes.lost);
    let cleared = lost.iter().filter(|(_, fate, _)| *fate == Fate::Bleached);
    let designed = Bath {
        chlorine: dump.strength.si,
        temperature: Celsius(values.si("temperature")),
        used: used_by_load(&design.cloth, shop),
        dye: used_by_dye(cleared.map(|(_, _, gone)| gone).sum(), &lot, shop),
        lag: Span(values.si("lag")),
    };
    Ok(Tank {
        design: design.clone(),
        at: *at,
        id: found.id.clone(),
        term: &kind.term,
        cautions: kind.cautions,
        litres: dump.volume.si * 1000.0,
        bolts,
        loads: bath.map_or(1, |bath| bath.lasts_bolts / bolts).max(1),
        designed,
        time: Span(kind.timed.map_or(0.0, |key| values.si(key))),
        slowest: means
            .get(*at)
            .and_then(|before| slowest(design, before, designed.temperature, values.si("ph"))),
        lines: lines(design, &means, *at),
        creep: creep_origin(design, shop, *at),
        carried: carried(shop),
        cloth: lot.mass() * f64::from(bolts),
    })
}

/// Where the creep of the last waxing before a step comes from.
fn creep_origin(design: &Design, shop: &Workshop, at: usize) -> Option<Origin> {
    let before = design.steps.iter().take(at).rev();
    let mut constants = before.flat_map(|step| step.operation.kind().constants);
    let creep = constants.find(|constant| constant.key == "wax.creep")?;
    Some(shop.constants.known(creep).origin)
}

fn slowest(design: &Design, before: &Means, bath: Celsius, ph: f64) -> Option<Slowest> {
    let on_cloth = design
        .dyes
        .iter()
        .enumerate()
        .filter(|(at, _)| before.dye(*at) >= kinetics::UNBOUND_LIMIT);
    let on_cloth: Vec<_> = on_cloth.map(|(_, dye)| dye).collect();
    let doubtful = |origin: &Origin| matches!(origin, Origin::Assumed { factor, .. } if *factor > GOOD);
    let known = on_cloth
        .iter()
        .all(|dye| dye.bleach_rate(bath, ph).is_ok() && !doubtful(dye.bleaching.origin(bath)));
    let rate = |dye: &&&Arc<colour::DyeCard>| dye.bleach_rate(bath, ph).unwrap_or(0.0);
    let last = on_cloth.iter().min_by(|a, b| rate(a).total_cmp(&rate(b)))?;
    Some(Slowest {
        name: last.name.clone(),
        energy: last.bleaching.energy.value,
        residue: last.bleaching.residue.value,
        known,
    })
}

fn no_tank(design: &Design, step: Option<&str>, all: &[(usize, &Step, &DumpSheet)]) -> Finding {
    let name = Arg::Name(design.name.clone());
    let found = match step {
        Some(step) => say!(
            "{step} is no bleach of {design}",
            "{step} bukan langkah cabut warna {design}",
            step = Arg::Name(step.chars().filter(|c| !c.is_control()).take(60).collect()),
            design = name
        ),
        None => say!(
            "{design} is not bleached: there is no tank",
            "{design} tidak dicabut warnanya: tidak ada bak pemutih",
            design = name
        ),
    };
    let finding = Finding::new("no-tank", Weight::Wrong, Place::Request, found);
    if all.is_empty() {
        return finding;
    }
    let ids: Vec<&str> = all.iter().map(|(_, step, _)| step.id.as_str()).collect();
    finding.allow(say!("{list}", "{list}", list = Arg::Name(ids.join(", "))))
}

impl Tank {
    /// Longest time in the bath that leaves the thinnest line what [`Limits`] asks for, whatever the strength, if the bleach
    /// works on for `lag` after it.
    pub fn longest(&self, limits: &Limits, lag: Span) -> Option<Span> {
        let lines = self.lines?;
        let width = limits.line.or(lines.thinnest)?;
        let depth = 0.5 * width.0 * (1.0 - limits.keep).max(0.0);
        Some(Span((depth * depth / (2.0 * lines.creep) - lag.0).max(0.0)))
    }

    /// The line that stands shortest.
    pub fn line(&self) -> Option<Length> {
        self.lines?.thinnest
    }

    /// What the sheets say.
    pub fn sheets(&self, seen: &Seen, shop: &Workshop) -> Sheets {
        let now = Bath {
            chlorine: seen.chlorine.unwrap_or(self.designed.chlorine),
            temperature: seen.temperature.unwrap_or(self.designed.temperature),
            lag: seen.lag.unwrap_or(self.designed.lag),
            ..self.designed
        };
        let longest = self.longest(&Limits::default(), now.lag);
        let strip = seen.strip.and_then(|reached| self.strip(reached, now.lag));
        let rates = self.slowest.as_ref().is_some_and(|dye| dye.known);
        let (known, time, bath) = match (&strip, rates) {
            (Some(read), _) => (Known::ByStrip, read.lift, now),
            (None, true) => (Known::ByRates, self.time, self.designed),
            (None, false) => (Known::Not, Span(0.0), now),
        };
        let plan = self.plan(bath, time, longest, seen.stock);
        let strengthen = Plan {
            known: self.designed,
            ..plan
        };
        let batches = match known {
            Known::Not => Vec::new(),
            _ => plan.batches(&now, seen.done),
        };
        let tub = Tub::of(self, &now, seen, batches.first(), shop);
        Sheets {
            tank: self.clone(),
            now,
            titrated: seen.chlorine.is_some(),
            known,
            strip,
            batches,
            longest,
            strengthen: strengthen.strengthening(now.chlorine),
            tub,
            left: self.loads.saturating_sub(seen.done),
        }
    }

    fn plan(&self, known: Bath, time: Span, longest: Option<Span>, stock: Option<f64>) -> Plan {
        Plan {
            known,
            time,
            // Without lines to watch the wax stands: then the longest that the setting allows. A time that is longer by
            // itself was chosen so: the sheet says what it costs, and no load is longer.
            longest: Span(longest.map_or(7200.0, |t| t.0.max(time.0))),
            energy: self.slowest.as_ref().map_or(0.0, |dye| dye.energy),
            volume: self.litres,
            stock: stock.unwrap_or(0.0),
            loads: self.loads,
        }
    }

    /// A strip in this bath, with the error of a bath that weakens while it hangs there and of what never clears.
    fn strip(&self, reached: Span, lag: Span) -> Option<StripReading> {
        let strip = Strip {
            tint: TINTS.0,
            clear: TINTS.1,
            // As fast as a load makes it weaken in the design's time.
            weakens: -(1.0 - self.designed.weakens()).ln() / self.time.0.max(60.0),
            residue: self.slowest.as_ref().map_or(0.0, |dye| dye.residue),
            ..Strip::usual(reached, lag)
        };
        strip.read()
    }

    /// Times of the loads of one bath that starts as designed and is left to weaken until the wax would not stand it,
    /// when it is strengthened: what the plan must allow for. The design's time where nothing is to be said.
    pub fn led(&self) -> Vec<Span> {
        // A stock strong enough for any top-up: its volume does not matter here.
        let plan = self.plan(
            self.designed,
            self.time,
            self.longest(&Limits::default(), self.designed.lag),
            Some(f64::MAX),
        );
        let times: Vec<Span> = plan
            .batches(&self.designed, 0)
            .into_iter()
            .map(|batch| batch.strengthened_time)
            .collect();
        if times.is_empty() { vec![self.time] } else { times }
    }
}

impl Sheets {
    /// What is left of the thinnest line when a load comes out of the antichlor, and as a share of its width.
    pub fn line_left(&self, time: Span) -> Option<(Length, f64)> {
        let lines = self.tank.lines?;
        let width = lines.thinnest?;
        let left = line_left(width.0, lines.creep, time.0 + self.now.lag.0);
        Some((Length(left), left / width.0))
    }
}
