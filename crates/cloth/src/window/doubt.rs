//! Which constants an answer rests on that are only assumed, and how much they may be off.

use crate::Bolt;
use route::{Workshop, kinetics};
use units::Celsius;
use words::Origin;

/// An assumed constant that decides when a step is done, good only to a factor.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// Name of the dye, or key of the constant.
    pub of: String,
    /// True within this factor, up or down.
    pub factor: f64,
    /// How it would be measured here.
    pub cure: Cure,
}

/// The test that would replace an assumed constant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cure {
    /// An unwaxed strip in the bath: see [`Strip`](super::Strip).
    Strip,
    /// A piece of this cloth, looked at while it is done.
    Piece,
    /// A wedge of lines on a strike-off: see [`creep_of_wedge`](super::creep_of_wedge).
    Wedge,
}

/// Assumed constants that are better than this are not doubted.
const GOOD: f64 = 1.3;
/// A strip test by eye or card repeats to this factor (own estimate).
const ONE_READING: f64 = 1.2;
/// What is typed in without a date is believed to this factor (own estimate).
const TYPED: f64 = 1.3;

/// The factor that an origin is good to, in 95 of 100 cases.
pub fn good_to(origin: &Origin) -> f64 {
    match origin {
        Origin::Assumed { factor, .. } => factor.max(1.0),
        Origin::Yours => TYPED,
        Origin::Measured { n, .. } => (ONE_READING.ln() / f64::from((*n).max(1)).sqrt()).exp(),
    }
}

/// Name, origin and cure of everything that decides how fast the step works.
fn rates(bolt: &Bolt, shop: &Workshop, step: usize) -> Vec<(String, Origin, Cure)> {
    let Some(this) = bolt.design.steps.get(step) else {
        return Vec::new();
    };
    let (kind, values, before) = (this.operation.kind(), this.operation.values(), &bolt.means[step]);
    let present = |dye: &usize| before.dye(*dye) >= kinetics::UNBOUND_LIMIT;
    let dyes = bolt.design.dyes.iter().enumerate();
    match kind.key {
        "bleach" => {
            let bath = Celsius(values.si("temperature"));
            dyes.filter(|(at, _)| present(at))
                .map(|(_, dye)| (dye.name.clone(), dye.bleaching.origin(bath).clone(), Cure::Strip))
                .collect()
        }
        "fix" => dyes
            .filter(|(at, _)| before.mean(|z| z.loose[*at]) >= kinetics::UNBOUND_LIMIT)
            .map(|(_, dye)| (dye.name.clone(), dye.fixation.rate.origin.clone(), Cure::Piece))
            .collect(),
        "dip" => {
            let dipped: Vec<usize> = values.dyes("dyes").iter().map(|dose| dose.dye).collect();
            dyes.filter(|(at, _)| dipped.contains(at))
                .map(|(_, dye)| (dye.name.clone(), dye.fixation.rate.origin.clone(), Cure::Piece))
                .collect()
        }
        // What else a kind of step states about itself: only what time has to do with.
        _ => kind
            .constants
            .iter()
            .filter(|c| ["sun.layer-couple", "boil_off.affinity"].contains(&c.key))
            .map(|c| (c.key.to_string(), shop.constants.known(c).origin, Cure::Piece))
            .collect(),
    }
}

/// How fast a bath creeps under the last waxing, and how well that is known.
fn creep(bolt: &Bolt, shop: &Workshop, step: usize) -> Option<(String, Origin, Cure)> {
    let creeps = ["bleach", "dip"].contains(&bolt.design.steps.get(step)?.operation.kind().key);
    if !(creeps && bolt.means.get(step)?.waxed()) {
        return None;
    }
    let mut constants = bolt
        .design
        .steps
        .iter()
        .take(step)
        .rev()
        .flat_map(|s| s.operation.kind().constants);
    let creep = constants.find(|c| c.key == "wax.creep")?;
    Some((
        creep.key.to_string(),
        shop.constants.known(creep).origin,
        Cure::Wedge,
    ))
}

/// All that is in doubt, worst first; what the wax does stands last, because it is another test.
pub(crate) fn doubts(bolt: &Bolt, shop: &Workshop, step: usize) -> Vec<Doubt> {
    let mut list: Vec<Doubt> = rates(bolt, shop, step).into_iter().filter_map(doubt).collect();
    list.sort_by(|a, b| b.factor.total_cmp(&a.factor));
    list.extend(creep(bolt, shop, step).and_then(doubt));
    list
}

fn doubt((of, origin, cure): (String, Origin, Cure)) -> Option<Doubt> {
    let Origin::Assumed { factor, .. } = origin else {
        return None;
    };
    (factor > GOOD).then_some(Doubt { of, factor, cure })
}

/// How well the rate of a step is known: the worst of its constants.
pub(crate) fn rate_factor(bolt: &Bolt, shop: &Workshop, step: usize) -> f64 {
    rate_origin(bolt, shop, step).map_or(1.0, |origin| good_to(&origin))
}

/// Where that constant comes from.
pub(crate) fn rate_origin(bolt: &Bolt, shop: &Workshop, step: usize) -> Option<Origin> {
    let all = rates(bolt, shop, step).into_iter().map(|(_, origin, _)| origin);
    all.max_by(|a, b| good_to(a).total_cmp(&good_to(b)))
}

/// Where the creep comes from.
pub(crate) fn creep_origin(bolt: &Bolt, shop: &Workshop, step: usize) -> Option<Origin> {
    creep(bolt, shop, step).map(|(_, origin, _)| origin)
}

/// How well the creep is known, and how evenly wax takes from one table to the next: never better than 1.2 (own
/// estimate).
pub(crate) fn creep_factor(bolt: &Bolt, shop: &Workshop, step: usize) -> f64 {
    creep(bolt, shop, step).map_or(1.0, |(_, origin, _)| good_to(&origin).max(1.2))
}

/// Creep under wax that was stamped 5 K hotter, over the creep as it is.
pub(crate) fn hotter_wax(bolt: &Bolt, shop: &Workshop, step: usize) -> Option<f64> {
    bolt.means.get(step).filter(|m| m.waxed())?;
    bolt.design
        .steps
        .get(step)
        .filter(|s| s.operation.kind().key == "bleach")?;
    let mut constants = bolt
        .design
        .steps
        .iter()
        .take(step)
        .rev()
        .flat_map(|s| s.operation.kind().constants);
    let tenfold = constants.find(|c| c.key == "wax.colder")?;
    Some(10f64.powf(-5.0 / shop.constants.get(tenfold)))
}
