//! Colours for the finished cloth: which dyes, how deep, and how long the bleach, so that every region of the finished
//! cloth comes as near to its colour as the route lets it.
//!
//! [`colour::recipe::through`] solves a linear picture of the route; this module reads that picture off the route
//! ([`solve`]), puts the answer back into the design, develops cloth with it and looks. What the picture got wrong is
//! added to the targets, and it is solved again: the colours that are reported are those of developed cloth.

mod bleach;
mod places;
mod pots;
mod traced;
mod works;

pub use pots::{Pot, pots};

use crate::Bolt;
use colour::gamut::Gamut;
use colour::palette::{Ground, Palette};
use colour::recipe::through::{Answer, Settings};
use colour::{DyeCard, Lab, Viewing, de2000, lab};
use places::{Samples, samples};
use route::{DYES, Design, LotShape, Workshop};
use std::sync::Arc;
use units::{Measure, Typed};
use words::{Arg, Finding, Place, Voice, Weight, say};
use works::{FEWEST, Read, read, settled};

/// A region of the finished cloth and the colour that is wanted there. Steps are places in the route.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// What people call it.
    pub name: String,
    /// Steps whose wax covered it.
    pub waxed: Vec<usize>,
    /// Steps whose wax left it bare.
    pub bare: Vec<usize>,
    /// Where this dye of this step (from 0) is most of what the step left.
    pub leads: Option<(usize, usize)>,
    /// The colour (D65, 10 degrees); none if any will do.
    pub target: Option<Lab>,
    /// How much its squared distance counts.
    pub weight: f64,
    /// CIEDE2000 within which it counts as reached.
    pub tolerance: f64,
}

/// What may be changed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Aimed {
    /// Only depths and times; every step keeps its dyes.
    pub keep_dyes: bool,
    /// The dyes that may be used, by their places in the store; all if none is said.
    pub choice: Option<Vec<usize>>,
    /// Leave out why a region misses.
    pub quick: bool,
}

/// A change of one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Permanent id of the step.
    pub step: String,
    /// Key of the setting.
    pub key: &'static str,
    /// What it is set to.
    pub to: Set,
}

/// What a setting is set to.
#[derive(Clone, Debug, PartialEq)]
pub enum Set {
    /// Dyes by id, each with its depth as it is to be written.
    Dyes(Vec<(String, Typed)>),
    /// A time.
    Time(Typed),
}

/// A region of the finished cloth.
#[derive(Clone, Debug)]
pub struct Seen {
    /// What people call it.
    pub name: String,
    /// The colour that was wanted.
    pub target: Option<Lab>,
    /// Mean colour of developed cloth, mixed as light.
    pub lab: Lab,
    /// CIEDE2000 between the two.
    pub difference: Option<f64>,
    /// CIEDE2000 within which it counts as reached.
    pub tolerance: f64,
    /// Its colours with their shares.
    pub palette: Option<Palette>,
    /// Mean distance of its palette from the target by transport: what mottle adds to the difference is in it.
    pub palette_distance: Option<f64>,
    /// Share of the cloth.
    pub share: f64,
    /// The nearest that the route could bring it if no other region had a target; only where it misses.
    pub nearest: Option<(Lab, f64)>,
}

/// A route whose recipes were sought.
pub struct Solved {
    /// The design with the recipes in it.
    pub design: Arc<Design>,
    /// What differs from the design as it was.
    pub changes: Vec<Change>,
    /// Regions, in the order they were asked.
    pub regions: Vec<Seen>,
    /// About regions that miss: by how much, the nearest there is, and which step limits it.
    pub findings: Vec<Finding>,
    /// What each region can reach with the store, the other regions as solved.
    pub reach: Vec<Gamut>,
}

/// Times that the answer is put into the design, looked at and corrected.
const ROUNDS: usize = 3;
/// Half a minute: no floor keeps time closer.
const CLOCK_S: f64 = 30.0;
/// Swatches of a region's palette.
const SWATCHES: usize = 24;

/// Finds recipes for the spots. `store` are the dyes that may be used (their places are what [`Aimed::choice`] counts).
/// `keep_going` hears the share done, now and then; if it answers no, the work ends there.
///
/// # Errors
/// Findings if a spot is not to be found on the cloth, or nothing can be solved; none at all if it was ended.
#[allow(
    clippy::too_many_arguments,
    reason = "what is asked, of what, and who listens"
)]
pub fn solve(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    store: &[Arc<DyeCard>],
    spots: &[Spot],
    aimed: &Aimed,
    voice: Voice,
    keep_going: &dyn Fn(f64) -> bool,
) -> Result<Solved, Vec<Finding>> {
    let cards: Vec<&DyeCard> = store.iter().map(|c| &**c).collect();
    let mut aimed = aimed.clone();
    let mut wanted: Vec<Spot> = spots.to_vec();
    let mut now = design.clone();
    let mut best: Option<(f64, Arc<Design>, Answer)> = None;
    let mut times: Option<Vec<f64>> = None;
    // Reading, solving and looking take about as long as each other.
    let parts = (3 * ROUNDS + 2) as f64;
    let go_on = |done: usize| match keep_going(done as f64 / parts) {
        true => Ok(()),
        false => Err(Vec::new()),
    };
    for round in 0..ROUNDS {
        go_on(3 * round)?;
        let mut read = read(&now, lot, shop, &cards, &wanted, &aimed, voice).ok_or_else(no_dyes)?;
        found(&read, spots)?;
        go_on(3 * round + 1)?;
        if let Some(times) = &times {
            for ((bleach, timed), seconds) in read.works.bleaches.iter_mut().zip(&read.timed).zip(times) {
                bleach.least = timed.after(*seconds);
                bleach.most = bleach.least + 1e-6;
            }
        }
        let answer = distinct(&mut read, &mut aimed)?;
        go_on(3 * round + 2)?;
        let clock: Vec<f64> = read
            .timed
            .iter()
            .zip(&answer.settings.doses)
            .map(|(t, dose)| ((t.seconds(*dose) / CLOCK_S).round() * CLOCK_S).clamp(t.range.0, t.range.1))
            .collect();
        let next = settled(&read, &now, &answer.settings.amounts, &clock, store).ok_or_else(no_dyes)?;
        let next = Arc::new(written(next));
        let real = samples(&Bolt::prepare(&next, lot, shop, None));
        let mut off = 0.0;
        for ((spot, chosen), (aim, model)) in spots
            .iter()
            .zip(&read.chosen)
            .zip(wanted.iter_mut().zip(&answer.regions))
        {
            let Some(target) = spot.target else { continue };
            let here = mean(&real, chosen);
            off += spot.weight * de2000(target, here).powi(2);
            // What the picture got wrong is added to the target.
            aim.target = Some(Lab::new(
                target.l + model.lab.l - here.l,
                target.a + model.lab.a - here.a,
                target.b + model.lab.b - here.b,
            ));
        }
        if best.as_ref().is_none_or(|(least, ..)| off < *least) {
            best = Some((off, next.clone(), answer));
        }
        times = Some(clock);
        aimed.keep_dyes = true;
        now = next;
    }
    go_on(3 * ROUNDS)?;
    let Some((_, solved, _)) = best else {
        return Err(no_dyes());
    };
    report(design, solved, lot, shop, store, spots, &aimed, voice)
}

/// What the regions of a design are now, without solving anything.
///
/// # Errors
/// As [`solve`].
pub fn look(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    spots: &[Spot],
) -> Result<Vec<Seen>, Vec<Finding>> {
    let cards: Vec<&DyeCard> = design.dyes.iter().map(|c| &**c).collect();
    let aimed = Aimed {
        keep_dyes: true,
        ..Aimed::default()
    };
    let read = read(design, lot, shop, &cards, spots, &aimed, Voice::default()).ok_or_else(no_dyes)?;
    found(&read, spots)?;
    Ok(seen(&read, spots))
}

#[allow(clippy::too_many_arguments, reason = "the end of one function")]
fn report(
    before: &Arc<Design>,
    solved: Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    store: &[Arc<DyeCard>],
    spots: &[Spot],
    aimed: &Aimed,
    voice: Voice,
) -> Result<Solved, Vec<Finding>> {
    let cards: Vec<&DyeCard> = store.iter().map(|c| &**c).collect();
    // Why a region misses is asked of the route as solved, all dyes of the store open again.
    let open = Aimed {
        keep_dyes: false,
        ..aimed.clone()
    };
    let read = read(&solved, lot, shop, &cards, spots, &open, voice).ok_or_else(no_dyes)?;
    let mut regions = seen(&read, spots);
    let settings = as_settings(&read, &solved, store);
    let mut findings = Vec::new();
    let missed: Vec<bool> = regions
        .iter()
        .map(|r| r.difference.is_some_and(|d| d > r.tolerance))
        .collect();
    if missed.iter().any(|m| *m) && !aimed.quick {
        let mut answer = read.works.explain(&settings, &missed)?;
        for (region, reached) in regions.iter_mut().zip(&mut answer.regions) {
            region.nearest = reached.nearest;
            // What is told is developed cloth, not the picture of it.
            reached.difference = region.difference;
        }
        findings = read.works.findings(&answer);
    }
    let reach = match aimed.quick {
        true => Vec::new(),
        false => (0..spots.len())
            .map(|at| read.works.reach(at, &settings))
            .collect(),
    };
    Ok(Solved {
        changes: changes(before, &solved),
        design: solved,
        regions,
        findings,
        reach,
    })
}

fn no_dyes() -> Vec<Finding> {
    let found = say!(
        "this route has no step whose dyes could be sought",
        "alur ini tidak punya langkah pewarnaan yang bisa dicari"
    );
    vec![Finding::new("no-dyeing", Weight::Wrong, Place::Request, found)]
}

/// Every spot must be somewhere on the cloth.
fn found(read: &Read, spots: &[Spot]) -> Result<(), Vec<Finding>> {
    let empty = spots
        .iter()
        .zip(&read.chosen)
        .filter(|(_, chosen)| chosen.len() < FEWEST);
    let missing: Vec<Finding> = empty
        .map(|(spot, _)| {
            let found = say!(
                "{region} is nowhere on the cloth, or on too little of it",
                "{region} tidak ada di kain, atau terlalu sedikit",
                region = Arg::Name(spot.name.clone())
            );
            Finding::new("region-not-found", Weight::Wrong, Place::Request, found).remedy(say!(
                "look at which wax covers it and which dye leads there",
                "periksa malam yang menutupinya dan pewarna yang menonjol di sana"
            ))
        })
        .collect();
    if missing.is_empty() { Ok(()) } else { Err(missing) }
}

/// Solves; a step names a dye once, and a design has at most [`DYES`]: what breaks that is taken from the choice.
fn distinct(read: &mut Read, aimed: &mut Aimed) -> Result<Answer, Vec<Finding>> {
    loop {
        let answer = read.works.search()?;
        let mut taken = None;
        for (one, liquor) in read.liquors.iter().enumerate() {
            for other in one + 1..read.liquors.len() {
                let same_step = read.pots[liquor.pots[0]].step == read.pots[read.liquors[other].pots[0]].step;
                let dyes = &answer.settings.amounts;
                let both = dyes[other]
                    .iter()
                    .map(|d| d.0)
                    .find(|c| dyes[one].iter().any(|d| d.0 == *c));
                // A pot that stays as it is keeps its dye: the other one gives way.
                let moves = |at: usize| read.works.dyeings[at].fixed.is_empty();
                let gives = if moves(other) { other } else { one };
                if let (true, Some(card)) = (same_step, both)
                    && moves(gives)
                    && read.works.dyeings[gives].choice.len() > 1
                {
                    taken = Some((gives, card));
                }
            }
        }
        if let Some((dyeing, card)) = taken {
            read.works.dyeings[dyeing].choice.retain(|c| *c != card);
            continue;
        }
        let mut used: Vec<(usize, f64)> = Vec::new();
        for (card, amount) in answer.settings.amounts.iter().flatten() {
            match used.iter_mut().find(|u| u.0 == *card) {
                Some(held) => held.1 += amount,
                None => used.push((*card, *amount)),
            }
        }
        if used.len() <= DYES || aimed.keep_dyes {
            return Ok(answer);
        }
        // Pots that stay as they are keep their dyes: without them in the choice it would come back too long for ever.
        let fixed = |card: usize| {
            read.works
                .dyeings
                .iter()
                .flat_map(|d| &d.fixed)
                .any(|f| f.0 == card)
        };
        used.sort_by(|a, b| fixed(b.0).cmp(&fixed(a.0)).then(b.1.total_cmp(&a.1)));
        let choice: Vec<usize> = used.iter().take(DYES).map(|u| u.0).collect();
        for dyeing in &mut read.works.dyeings {
            dyeing.choice.retain(|c| choice.contains(c));
            if dyeing.choice.is_empty() {
                dyeing.choice = choice.clone();
            }
            dyeing.dyes = dyeing.dyes.min(dyeing.choice.len());
        }
        aimed.choice = Some(choice);
    }
}

/// Depths and times as their spelling says them.
fn written(mut design: Design) -> Design {
    let all = pots(&design);
    let doses = |step: usize, key: &'static str| {
        let mine: Vec<(usize, f64)> = all
            .iter()
            .filter(|p| p.step == step && p.key == key)
            .map(|p| {
                (
                    p.dye,
                    pots::as_written(&pots::spelled(p.depth, p.measure)).quantity.si,
                )
            })
            .collect();
        (!mine.is_empty()).then_some(mine)
    };
    let dyes = design.dyes.clone();
    if let Some(new) = pots::with_doses(&design, dyes, doses) {
        design = new;
    }
    design
}

/// What a solved design differs in.
fn changes(before: &Design, after: &Design) -> Vec<Change> {
    let mut changes = Vec::new();
    let (old, new) = (pots(before), pots(after));
    let mut lists: Vec<(usize, &'static str)> = new.iter().map(|p| (p.step, p.key)).collect();
    lists.dedup();
    for (step, key) in lists {
        let of = |all: &[Pot], design: &Design| -> Vec<(String, Typed)> {
            let mine = all.iter().filter(|p| p.step == step && p.key == key);
            mine.map(|p| (design.dyes[p.dye].id.clone(), pots::spelled(p.depth, p.measure)))
                .collect()
        };
        let (was, is) = (of(&old, before), of(&new, after));
        let same = was.len() == is.len()
            && was.iter().zip(&is).all(|(a, b)| {
                a.0 == b.0
                    && (a.1.quantity.si - b.1.quantity.si).abs() <= 1e-9 * a.1.quantity.si.abs().max(1e-12)
            });
        if !same {
            changes.push(Change {
                step: after.steps[step].id.clone(),
                key,
                to: Set::Dyes(is),
            });
        }
    }
    for (was, is) in before.steps.iter().zip(&after.steps) {
        let Some(key) = is.operation.kind().timed else {
            continue;
        };
        let (old, new) = (was.operation.values().si(key), is.operation.values().si(key));
        if old != new {
            changes.push(Change {
                step: is.id.clone(),
                key,
                to: Set::Time(pots::spelled(new, Measure::Span)),
            });
        }
    }
    changes
}

/// The design's own depths and times, as amounts and doses of the model.
fn as_settings(read: &Read, design: &Design, store: &[Arc<DyeCard>]) -> Settings {
    let card = |pot: &Pot| store.iter().position(|c| c.id == design.dyes[pot.dye].id);
    let amounts = read.liquors.iter().map(|liquor| {
        let pots = liquor.pots.iter().map(|p| &read.pots[*p]);
        pots.filter_map(|p| Some((card(p)?, p.depth * liquor.per_depth)))
            .collect()
    });
    Settings {
        amounts: amounts.collect(),
        doses: read.timed.iter().map(|t| t.dose).collect(),
    }
}

fn seen(read: &Read, spots: &[Spot]) -> Vec<Seen> {
    let whole = read.real.len().max(1) as f64;
    let one = |(spot, chosen): (&Spot, &Vec<usize>)| {
        let here = mean(&read.real, chosen);
        let colours = chosen.iter().map(|at| (colour_at(&read.real, *at), 1.0));
        let palette = Palette::of(colours, SWATCHES).ok();
        let point = |lab: Lab| Palette::of([(lab, 1.0)], 1).ok();
        let distance = spot.target.and_then(point).zip(palette.as_ref());
        Seen {
            name: spot.name.clone(),
            target: spot.target,
            lab: here,
            difference: spot.target.map(|t| de2000(t, here)),
            tolerance: spot.tolerance,
            palette_distance: distance.map(|(target, palette)| palette.distance(&target, Ground::Ciede2000)),
            palette,
            share: chosen.len() as f64 / whole,
            nearest: None,
        }
    };
    spots.iter().zip(&read.chosen).map(one).collect()
}

/// Mean colour of samples, mixed as light.
fn mean(real: &Samples, chosen: &[usize]) -> Lab {
    let n = chosen.len().max(1) as f64;
    let linear =
        [0, 1, 2].map(|c: usize| chosen.iter().map(|at| f64::from(real.light[c][*at])).sum::<f64>() / n);
    of_screen(linear)
}

fn colour_at(real: &Samples, at: usize) -> Lab {
    of_screen([0, 1, 2].map(|c: usize| f64::from(real.light[c][at])))
}

/// CIELAB (D65, 10 degrees) of linear screen light that was adapted from there.
fn of_screen(linear: [f64; 3]) -> Lab {
    let white = Viewing::DAYLIGHT.white();
    let seen = colour::screen::xyz_from_linear(linear).to_array();
    let adapted = colour::screen::apply(&colour::screen::bradford(colour::screen::WHITE, white), seen);
    lab(colour::Xyz::from_array(adapted), white)
}
