//! Lines too thin for copper or for the bleach, gaps that wax fills.

use super::{BuildRule, Fault, Told};
use crate::limits::{Limit, Limits};
use crate::medial::{Disc, Medial, Stretch, WIDEST_DISC};
use std::collections::{HashMap, HashSet};
use std::f64::consts::FRAC_PI_2;

/// A point or notch may be this many least widths long before its thinness counts.
pub(super) const END: f64 = 4.0;

/// Faults of lines; answers the thinnest.
pub(super) fn lines(
    wax: &Medial,
    limits: &Limits,
    specks: &HashSet<usize>,
    faults: &mut Vec<Fault>,
) -> Option<f64> {
    let (copper, bleach) = (limits.line_mm(), limits.line_bleached_mm());
    let least = copper.max(bleach);
    let mut sides = Sides::default();
    for stretch in wax.narrower(least) {
        if specks.contains(&stretch.ring) {
            continue;
        }
        let Some((disc, ends)) = worst(wax, &stretch) else {
            continue;
        };
        let fault = if ends {
            let long = wax.length(&stretch) / 2.0;
            if long <= END * least {
                continue;
            }
            Fault::new(BuildRule::LongPoint, disc.centre, long, END * least)
        } else if disc.mm() < copper {
            Fault::new(BuildRule::ThinLine, disc.centre, disc.mm(), copper)
        } else {
            Fault::new(BuildRule::LostLine, disc.centre, disc.mm(), bleach)
        };
        if sides.first(wax, &stretch, disc) {
            faults.push(fault.along(wax.along(&stretch).map(|d| d.centre)).on(stretch));
        }
    }
    narrowest(wax, least)
}

/// Faults of gaps; answers the narrowest.
pub(super) fn gaps(bare: &Medial, limits: &Limits, faults: &mut Vec<Fault>) -> Option<f64> {
    let least = limits.mm(Limit::Gap);
    let mut sides = Sides::default();
    for stretch in bare.narrower(least) {
        let Some((disc, ends)) = worst(bare, &stretch) else {
            continue;
        };
        let fault = if ends {
            let long = bare.length(&stretch) / 2.0;
            if long <= END * least {
                continue;
            }
            Fault::new(BuildRule::LongNotch, disc.centre, long, END * least)
        } else {
            Fault::new(BuildRule::NarrowGap, disc.centre, disc.mm(), least)
        };
        if sides.first(bare, &stretch, disc) {
            faults.push(fault.along(bare.along(&stretch).map(|d| d.centre)).on(stretch));
        }
    }
    narrowest(bare, least)
}

/// Stretches told already, by ring, as the way along it where they begin and their length: the two sides of a
/// line or a gap are one fault.
#[derive(Default)]
struct Sides(HashMap<usize, Vec<(f64, f64)>>);

impl Sides {
    /// Whether what stands opposite a stretch at its worst place was not told yet; remembers the stretch if so.
    fn first(&mut self, medial: &Medial, stretch: &Stretch, disc: &Disc) -> bool {
        let known = disc.opposite.is_some_and(|(_, ring, run)| {
            let around = medial.ring_mm(ring).max(f64::MIN_POSITIVE);
            // The last disc of a stretch stands up to a step before its end.
            let told = |(from, long): &(f64, f64)| (run - from + 0.5).rem_euclid(around) <= long + 1.0;
            self.0.get(&ring).is_some_and(|all| all.iter().any(told))
        });
        if !known {
            let from = medial.along(stretch).next().map_or(0.0, |d| d.run);
            self.0
                .entry(stretch.ring)
                .or_default()
                .push((from, medial.length(stretch)));
        }
        !known
    }
}

/// The disc to tell of a narrow stretch, and whether the stretch is only the end of something: for an end its
/// tip, for a small round thing the widest it gets, else the narrowest place between two sides.
fn worst<'m>(medial: &'m Medial, stretch: &Stretch) -> Option<(&'m Disc, bool)> {
    let discs = medial.along(stretch);
    let least = |a: &&Disc, b: &&Disc| a.radius.total_cmp(&b.radius);
    if medial.is_end(stretch) {
        return discs.min_by(least).map(|d| (d, true));
    }
    let own = |d: &&Disc| d.opposite.is_some_and(|(_, ring, _)| ring == stretch.ring);
    if stretch.whole && discs.clone().all(|d| own(&d)) {
        return discs.max_by(least).map(|d| (d, false));
    }
    let facing = discs.clone().filter(|d| d.spread() > FRAC_PI_2);
    facing
        .min_by(least)
        .or_else(|| discs.min_by(least))
        .map(|d| (d, false))
}

/// The narrowest place between two sides: a waist, or else the widest that a ring gets. The tips of points and
/// notches, as far as [`END`] allows them, are left out.
fn narrowest(medial: &Medial, limit: f64) -> Option<f64> {
    let facing = |d: &&Disc| d.opposite.is_some() && d.spread() > 0.9 * std::f64::consts::PI;
    let ends: Vec<Stretch> = medial.narrower(limit);
    let mut least = f64::INFINITY;
    for ring in 0..medial.rings() {
        let discs = medial.ring(ring);
        let n = discs.len();
        let waist = |k: &usize| {
            let at = |d: usize| discs[(k + d) % n].radius;
            at(0) <= at(1) && at(0) <= at(n - 1)
        };
        let tip = |d: &Disc| {
            ends.iter()
                .filter(|s| s.ring == ring)
                .any(|s| in_tip(medial, s, d, limit))
        };
        let waists = (0..n).filter(waist).map(|k| &discs[k]);
        let widest = discs.iter().max_by(|a, b| a.radius.total_cmp(&b.radius));
        for disc in waists
            .filter(facing)
            .filter(|d| !tip(d))
            .chain(widest.filter(facing))
        {
            least = least.min(disc.mm());
        }
    }
    (least < 2.0 * WIDEST_DISC).then_some(least)
}

/// Whether a disc of a narrow stretch stands in its tip: what is opposite is the same stretch, a short way on.
fn in_tip(medial: &Medial, stretch: &Stretch, disc: &Disc, limit: f64) -> bool {
    let around = medial.ring_mm(stretch.ring);
    let (Some(first), Some((_, ring, run))) = (medial.along(stretch).next(), disc.opposite) else {
        return false;
    };
    // What the last disc may see beyond its stretch.
    const ROOM: f64 = 0.8;
    let way = |run: f64| (run - first.run + ROOM).rem_euclid(around);
    let long = medial.length(stretch) + 2.0 * ROOM;
    let apart = (way(run) - way(disc.run)).abs();
    let apart = if stretch.whole {
        apart.min(around - apart)
    } else {
        apart
    };
    ring == stretch.ring && way(run) <= long && way(disc.run) <= long && apart <= 2.0 * END * limit
}

/// Lines too wide for one strip whose two strips would leave no room between them.
pub(super) fn between_strips(wax: &Medial, limits: &Limits, faults: &mut Vec<Fault>) {
    let (one, two) = (
        limits.single_mm(),
        2.0 * limits.mm(Limit::Strip) + limits.mm(Limit::Spacing),
    );
    let between = |d: &Disc| d.mm() > one && d.mm() < two && d.spread() > 0.9 * std::f64::consts::PI;
    let mut told = Told::apart(2.0 * two);
    for ring in 0..wax.rings() {
        let mut run: Vec<&Disc> = Vec::new();
        for disc in wax.ring(ring) {
            if between(disc) {
                run.push(disc);
                continue;
            }
            told_between(&mut run, two, limits, &mut told, faults);
        }
        told_between(&mut run, two, limits, &mut told, faults);
    }
}

fn told_between(run: &mut Vec<&Disc>, two: f64, limits: &Limits, told: &mut Told, faults: &mut Vec<Fault>) {
    let long = run.first().zip(run.last()).map_or(0.0, |(a, b)| b.run - a.run);
    if long >= limits.mm(Limit::Piece)
        && let Some(disc) = run.get(run.len() / 2)
        && told.new_place(disc.centre)
    {
        let room = disc.mm() - 2.0 * limits.mm(Limit::Strip);
        let least = two - 2.0 * limits.mm(Limit::Strip);
        let fault = Fault::new(BuildRule::BetweenStrips, disc.centre, room, least);
        faults.push(fault.along(run.iter().map(|d| d.centre)));
    }
    run.clear();
}
