//! For each fault the change that moves the least surface.

use super::parts::Parts;
use super::shapes::{around, beads, dot, line, near};
use super::{Change, Cure, Step};
use crate::area::{Area, Bounds, Point, Shape, shape_mm2};
use crate::check::{BuildRule, Fault, Report, middle};
use crate::limits::{Limit, Limits};
use crate::medial::{Disc, Medial};
use rayon::prelude::*;
use std::f64::consts::FRAC_PI_4;

/// How much wider than asked a line or gap is made, mm: well under what a file takes off.
const ROOM: f64 = 0.03;
/// Centres farther apart than this belong to different lines, mm.
const LEAP: f64 = 1.5;
/// How far a brush reaches over what it touches, mm: more than rounding, less than anybody sees.
const OVER: f64 = 0.01;
/// Two changes nearer than this are at one place, mm.
const SAME: f64 = 2.5;

/// Changes for every fault of the drawing itself.
pub(super) fn round(report: &Report, limits: &Limits, before: &[Change]) -> Vec<Change> {
    let faults = report.faults.par_iter().filter(|f| f.rule.drawn());
    let parts = Parts::of(&report.area);
    faults
        .filter_map(|fault| cure(report, &parts, limits, before, fault))
        .collect()
}

fn cure(report: &Report, parts: &Parts, limits: &Limits, before: &[Change], fault: &Fault) -> Option<Change> {
    // How often this place was changed already.
    let tried = |cure: Option<Cure>| {
        let here = |c: &&Change| {
            cure.is_none_or(|k| c.cure == k) && (c.at[0] - fault.at[0]).hypot(c.at[1] - fault.at[1]) < SAME
        };
        before.iter().filter(here).count()
    };
    // Each time a little more, so that rounding never leaves it a hair short; never so much that it is seen.
    let room = ROOM * (1 + tried(None).min(3)) as f64;
    let least_line = limits.line_mm().max(limits.line_bleached_mm()) + room;
    let least_gap = limits.mm(Limit::Gap) + room;
    let (cure, added, removed) = match fault.rule {
        BuildRule::ThinLine | BuildRule::LostLine | BuildRule::LongPoint => {
            let discs: Vec<&Disc> = report.wax.along(fault.stretch.as_ref()?).collect();
            (
                Cure::Thicken,
                line(&axis(&discs), least_line, LEAP),
                Area::empty(),
            )
        }
        BuildRule::NarrowGap | BuildRule::LongNotch => {
            let discs: Vec<&Disc> = report.bare.along(fault.stretch.as_ref()?).collect();
            let here = local(parts, &discs, least_gap);
            let (open, close) = (line(&axis(&discs), least_gap, LEAP), filled(&discs));
            let in_vain = tried(Some(Cure::Open)) > 0;
            let (opens, closes) = (open.common(&here).mm2(), close.without(&here).mm2());
            if (in_vain || closes < opens || !spares(&report.wax, &discs, least_gap, least_line))
                && closes > 0.0
            {
                // A neck as thin as the gap was long would be the next fault.
                let neck = line(
                    &axis(&discs),
                    least_line.min(2.0 * discs_widest(&discs) + least_line),
                    LEAP,
                );
                let closed = if in_vain { close.union(&neck) } else { close };
                (Cure::Close, closed, Area::empty())
            } else {
                (Cure::Open, Area::empty(), open)
            }
        }
        BuildRule::Speck => {
            let pin = limits.mm(Limit::Pin) + room;
            let grown = (pin * pin - fault.measured * fault.measured) * FRAC_PI_4;
            let own = fault.measured * fault.measured * FRAC_PI_4;
            if own <= grown {
                (
                    Cure::Drop,
                    Area::empty(),
                    at_shape(&report.area, fault.at)?.grown(OVER),
                )
            } else {
                (Cure::Grow, dot(fault.at, pin * 1.01), Area::empty())
            }
        }
        BuildRule::TightBend => {
            let (added, removed) = rounded(
                report,
                parts,
                limits,
                fault,
                1.0 + 0.08 * (1 + tried(None)) as f64,
            );
            (Cure::Round, added.grown(OVER), removed.grown(OVER))
        }
        BuildRule::ShortPiece => {
            let shape = at_shape(&report.area, fault.at)?;
            (
                Cure::Lengthen,
                lengthened(&shape, limits.mm(Limit::Piece) + 4.0 * room),
                Area::empty(),
            )
        }
        BuildRule::LonePiece => (Cure::Bridge, bridge(report, fault, least_line)?, Area::empty()),
        BuildRule::CrowdedJoints => {
            let width = 1.35 * limits.single_mm() + room;
            (
                Cure::Join,
                line(&fault.trace, width, f64::INFINITY),
                Area::empty(),
            )
        }
        _ => return None,
    };
    Some(Change {
        id: 0,
        cure,
        rule: fault.rule,
        at: fault.at,
        measured: [fault.measured, fault.limit],
        added: added.without(&around_of(parts, &added)),
        removed: removed.common(&around_of(parts, &removed)),
        steps: vec![Step {
            brush: [added, removed],
            round: 0,
        }],
        kept: true,
    })
}

/// The centres of discs that stand between two sides; of all, if none does.
fn axis(discs: &[&Disc]) -> Vec<Point> {
    let between = discs
        .iter()
        .filter(|d| d.spread() > 1.2)
        .map(|d| d.centre)
        .collect::<Vec<_>>();
    if between.is_empty() {
        discs.iter().map(|d| d.centre).collect()
    } else {
        between
    }
}

fn discs_widest(discs: &[&Disc]) -> f64 {
    discs.iter().map(|d| d.radius).fold(0.0, f64::max)
}

/// What the discs and the room between neighbouring ones cover: the narrow part itself.
fn filled(discs: &[&Disc]) -> Area {
    let course: Vec<(Point, f64)> = discs.iter().map(|d| (d.centre, d.radius + ROOM)).collect();
    beads(&course, LEAP)
}

/// Whether the lines on both sides of a gap stay wide enough when it is opened.
fn spares(wax: &Medial, discs: &[&Disc], gap: f64, line: f64) -> bool {
    let Some(narrowest) = discs.iter().min_by(|a, b| a.radius.total_cmp(&b.radius)) else {
        return false;
    };
    let each = gap / 2.0 - narrowest.radius;
    // Beside a corner a line looks thinner than it is: the widest near the place counts.
    const NEAR: f64 = 1.5;
    let width = |ring: usize, run: f64| {
        let along = wax.ring(ring);
        let from = along.partition_point(|d| d.run < run - NEAR);
        let near = along[from..].iter().take_while(|d| d.run <= run + NEAR);
        near.map(Disc::mm).fold(0.0, f64::max)
    };
    let mine = width(narrowest.ring, narrowest.run);
    let other = narrowest.opposite.map_or(mine, |(_, ring, run)| width(ring, run));
    mine.min(other) - each > line
}

/// The part of an area around discs.
fn local(parts: &Parts, discs: &[&Disc], reach: f64) -> Area {
    let boxes = discs.iter().map(|d| Bounds {
        low: d.centre,
        high: d.centre,
    });
    match boxes.reduce(|a, b| a.with(&b)) {
        Some(b) => parts.clipped(&b.grown(2.0 * reach + discs_widest(discs))),
        None => Area::empty(),
    }
}

fn around_of(parts: &Parts, part: &Area) -> Area {
    match part.bounds() {
        Some(b) => parts.clipped(&b.grown(0.5)),
        None => Area::empty(),
    }
}

/// The shape whose middle is nearest to a point.
fn at_shape(area: &Area, p: Point) -> Option<Area> {
    let far = |s: &Shape| {
        let m = middle(s);
        (m[0] - p[0]).hypot(m[1] - p[1])
    };
    let shape = area.shapes().iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
    Some(Area::filled(shape, crate::area::Rule::EvenOdd))
}

/// What rounding a bend adds and takes away: wax rolled by a disc of the least radius from inside or outside.
fn rounded(report: &Report, parts: &Parts, limits: &Limits, fault: &Fault, more: f64) -> (Area, Area) {
    let least = limits.mm(Limit::Bend) * more;
    // Offsets take their time for each point; a hundredth of a millimetre is not seen.
    let window = Bounds {
        low: fault.at,
        high: fault.at,
    }
    .grown(5.0 * least);
    let part = parts.clipped(&window).thinned();
    let reach = 0.6 * least;
    // Each shape is rolled by itself from inside, so that only those at the place count; a gap is filled between
    // shapes, so that those across it count, too.
    let own = near(part.clone(), fault.at, reach);
    let outer = own.grown(-least).grown(least);
    let core = around(&own, fault.at, 3.0 * least);
    let cut = near(core.without(&outer), fault.at, reach);
    // Of a line that one strip prints, the strip lies half a line outside the inner side.
    let width = 2.0 * (fault.measured - inner_radius(report, fault)).max(0.0);
    let inner = (least - width / 2.0).max(0.2);
    let beside = near(part.clone(), fault.at, reach + 2.0 * inner);
    let filling = beside.grown(inner).grown(-inner);
    let filled = near(
        around(&filling, fault.at, 3.0 * least).without(&part),
        fault.at,
        reach,
    );
    let thin = 1e-3;
    match (cut.mm2() > thin, filled.mm2() > thin) {
        (true, false) => (Area::empty(), cut),
        (false, true) => (filled, Area::empty()),
        (true, true) if cut.mm2() < filled.mm2() => (Area::empty(), cut),
        (true, true) => (filled, Area::empty()),
        _ => (Area::empty(), Area::empty()),
    }
}

/// Radius of the outline at a bend: what was measured, less half the line if it is one strip's.
fn inner_radius(report: &Report, fault: &Fault) -> f64 {
    let disc = fault.stretch.as_ref().and_then(|s| report.wax.along(s).next());
    let width = disc.map_or(0.0, Disc::mm);
    if width <= report.limits.single_mm() {
        (fault.measured - width / 2.0).max(0.0)
    } else {
        fault.measured
    }
}

/// What makes a short strip long enough: the same strip, drawn out both ways.
fn lengthened(shape: &Area, length: f64) -> Area {
    let points: Vec<Point> = shape.rings().flatten().copied().collect();
    let n = points.len().max(1) as f64;
    let mean = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let moment = |a: usize, b: usize| {
        points
            .iter()
            .map(|p| (p[a] - mean[a]) * (p[b] - mean[b]))
            .sum::<f64>()
    };
    let turn = (2.0 * moment(0, 1)).atan2(moment(0, 0) - moment(1, 1)) / 2.0;
    let way = [turn.cos(), turn.sin()];
    let across = |p: &Point| (p[1] - mean[1]) * way[0] - (p[0] - mean[0]) * way[1];
    let width = points.iter().map(across).fold(0.0, f64::max) - points.iter().map(across).fold(0.0, f64::min);
    // Half the outline counts as the strip's length: a round end gives less of it than a square one.
    let half = (length - (std::f64::consts::FRAC_PI_2 - 1.0) * width - width).max(0.1) / 2.0 + width / 2.0;
    let end = |s: f64| [mean[0] + s * half * way[0], mean[1] + s * half * way[1]];
    line(&[end(-1.0), end(1.0)], width, f64::INFINITY)
}

/// A bar from a piece to the nearest point of another.
fn bridge(report: &Report, fault: &Fault, width: f64) -> Option<Area> {
    let own = at_shape(&report.area, fault.at)?;
    let mm2 = own.mm2();
    let around = own.bounds()?;
    let others = report.area.shapes().iter().filter(|s| {
        (shape_mm2(s) - mm2).abs() > 1e-9 || {
            let m = middle(s);
            (m[0] - fault.at[0]).hypot(m[1] - fault.at[1]) > 1e-6
        }
    });
    let start = [
        (around.low[0] + around.high[0]) / 2.0,
        (around.low[1] + around.high[1]) / 2.0,
    ];
    let ends = others
        .flatten()
        .flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    let foot = |(a, b): (&Point, &Point)| {
        let d = [b[0] - a[0], b[1] - a[1]];
        let len2 = d[0] * d[0] + d[1] * d[1];
        let t = if len2 > 0.0 {
            (((start[0] - a[0]) * d[0] + (start[1] - a[1]) * d[1]) / len2).clamp(0.0, 1.0)
        } else {
            0.0
        };
        [a[0] + t * d[0], a[1] + t * d[1]]
    };
    let far = |p: &Point| (p[0] - start[0]).hypot(p[1] - start[1]);
    let end = ends.map(foot).min_by(|a, b| far(a).total_cmp(&far(b)))?;
    // A little into the neighbour, so that they are one.
    let long = far(&end).max(1e-9);
    let into = [
        end[0] + (end[0] - start[0]) / long * width / 2.0,
        end[1] + (end[1] - start[1]) / long * width / 2.0,
    ];
    Some(line(&[start, into], width, f64::INFINITY))
}
