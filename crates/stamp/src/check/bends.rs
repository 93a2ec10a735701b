//! Bends too tight for strip. A sharp corner is none: there the strip is cut and soldered.

use super::{BuildRule, Fault, Told};
use crate::area::{Area, Point, Ring, ring_mm2};
use crate::limits::{Limit, Limits};
use crate::medial::{Disc, Medial, Stretch};

/// A stretch of outline shorter than this that does most of a turn is a corner, in least radii.
const CORNER: f64 = 0.35;
/// Share of a turn that makes it a corner.
const MOST: f64 = 0.7;
/// Least turn that needs bending at all, rad.
const TURN: f64 = 1.05;
/// Turn above which the strip is not bent but cut, mitred and soldered, rad.
const MITRE: f64 = 1.75;

/// Faults of bends along the strip: the outline of wide parts, the middle of lines that one strip prints.
pub(super) fn tight(area: &Area, wax: &Medial, limits: &Limits, faults: &mut Vec<Fault>) {
    let (least, single) = (limits.mm(Limit::Bend), limits.single_mm());
    let mut told = Told::apart(2.0 * least);
    let mut ring_number = 0;
    for shape in area.shapes() {
        let hand = shape.first().map_or(1.0, |outer| ring_mm2(outer).signum());
        for ring in shape {
            let discs = wax.ring(ring_number);
            ring_number += 1;
            // A dot is a pin, or one short strip.
            if !discs.iter().any(|d| d.mm() > single) && shape.len() == 1 && round(discs) {
                continue;
            }
            for bend in bends(ring, hand, least) {
                let Some(radius) = strip_radius(&bend, discs, wax.ring_mm(ring_number - 1), single, least)
                else {
                    continue;
                };
                if radius < least && told.new_place(bend.at) {
                    let here = Stretch {
                        ring: ring_number - 1,
                        from: next(discs, wax.ring_mm(ring_number - 1), bend.run),
                        count: 1,
                        whole: false,
                    };
                    let fault = Fault::new(BuildRule::TightBend, bend.at, radius, least);
                    faults.push(fault.along(bend.trace).on(here));
                }
            }
        }
    }
}

/// Whether a ring is a dot: nowhere longer than twice its width.
fn round(discs: &[Disc]) -> bool {
    let widest = discs.iter().map(Disc::mm).fold(0.0, f64::max);
    let ends = discs.iter().map(|d| d.at);
    let (low, high) = ends.fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), |(low, high), p| {
        (
            [low[0].min(p[0]), low[1].min(p[1])],
            [high[0].max(p[0]), high[1].max(p[1])],
        )
    });
    (high[0] - low[0]).max(high[1] - low[1]) < 2.0 * widest
}

/// A turn of the outline.
struct Bend {
    at: Point,
    run: f64,
    /// Mean radius of the outline over the turn, mm.
    radius: f64,
    /// Whether its middle lies in the wax.
    convex: bool,
    trace: Vec<Point>,
}

/// Turns sharper than `least` mm over that length, corners left out.
fn bends(ring: &Ring, hand: f64, least: f64) -> Vec<Bend> {
    let n = ring.len();
    let side = |k: usize| {
        let (a, b) = (ring[k % n], ring[(k + 1) % n]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let length = |k: usize| side(k)[0].hypot(side(k)[1]);
    // Turn at the corner that ends edge k.
    let turn = |k: usize| {
        let (d, e) = (side(k), side(k + 1));
        (d[0] * e[1] - d[1] * e[0]).atan2(d[0] * e[0] + d[1] * e[1]) * hand
    };
    let (turns, lengths): (Vec<f64>, Vec<f64>) = ((0..n).map(turn).collect(), (0..n).map(length).collect());
    let mut all = Vec::new();
    let (mut k, mut run) = (0, 0.0);
    while k < n {
        run += lengths[k];
        // From this corner on, as far as one least radius.
        let (mut total, mut long, mut most, mut count) = (turns[k], 0.0, turns[k].abs(), 0);
        let mut inner = (turns[k], 0.0, 0);
        while count + 1 < n && long + lengths[(k + count + 1) % n] <= least {
            count += 1;
            long += lengths[(k + count) % n];
            let t = turns[(k + count) % n];
            total += t;
            inner = (inner.0 + t, inner.1 + lengths[(k + count) % n], inner.2);
            while inner.1 > CORNER * least {
                inner = (
                    inner.0 - turns[(k + inner.2) % n],
                    inner.1 - lengths[(k + inner.2 + 1) % n],
                    inner.2 + 1,
                );
            }
            most = f64::max(most, inner.0.abs());
        }
        if total.abs() < TURN || most > MOST * total.abs() || long <= 0.0 {
            k += 1;
            continue;
        }
        let middle = (k + 1 + count / 2) % n;
        // The whole turn, with what comes within a radius on either side.
        let beyond = |back: bool| {
            let (mut sum, mut long, mut c) = (0.0, 0.0, 1);
            while long < least && c < n {
                let at = if back {
                    (k + n * 2 - c) % n
                } else {
                    (k + count + c) % n
                };
                long += lengths[if back { (at + 1) % n } else { at }];
                sum += turns[at];
                c += 1;
            }
            sum
        };
        let whole = total + beyond(true) + beyond(false);
        if whole.abs() > MITRE {
            run += (1..=count).map(|c| lengths[(k + c) % n]).sum::<f64>();
            k += count + 1;
            continue;
        }
        all.push(Bend {
            at: ring[middle],
            run: run + long / 2.0,
            // One edge more than lies between the first corner and the last: each corner turns for half of both its edges.
            radius: long * (count as f64 + 1.0) / (count as f64).max(1.0) / total.abs(),
            convex: total > 0.0,
            trace: (0..=count).map(|c| ring[(k + 1 + c) % n]).collect(),
        });
        run += (1..=count).map(|c| lengths[(k + c) % n]).sum::<f64>();
        k += count + 1;
    }
    all
}

/// Number of the first disc at or after a way along a ring that is `around` mm long.
fn next(discs: &[Disc], around: f64, run: f64) -> usize {
    let run = run.rem_euclid(around.max(f64::MIN_POSITIVE));
    let next = discs.partition_point(|d| d.run < run);
    if next < discs.len() { next } else { 0 }
}

/// Radius of the strip that makes a bend of the outline; none where no strip goes round it.
fn strip_radius(bend: &Bend, discs: &[Disc], around: f64, single: f64, least: f64) -> Option<f64> {
    let near = |run: f64| discs.get(next(discs, around, run));
    if bend.convex {
        // Of a line that one strip prints the outer side follows the inner, and at its end the strip just ends; so
        // does the round end of any line that is narrower than two of the least radii.
        let wide = f64::max(single, 2.3 * least);
        let (before, after) = (near(bend.run - wide)?, near(bend.run + wide)?);
        (before.mm() > wide && after.mm() > wide).then_some(bend.radius)
    } else {
        let width = near(bend.run)?.mm();
        Some(if width > single {
            bend.radius
        } else {
            bend.radius + width / 2.0
        })
    }
}
