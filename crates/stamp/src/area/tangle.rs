//! How often edges might cross, before it is tried: a scribble of a thousand strokes has a million crossings.

use super::{Bounds, Ring, Tangled};

/// Pairs of edges that may share a bin in one operation.
const MOST_PAIRS: usize = 4_000_000;
/// Fewer edges than this are never too many.
const FEW: usize = 1_000;

/// Lays the edges on a grid about twice as fine as there are edges and counts pairs that meet in a bin.
/// Crossing edges always share one; a clean drawing has a handful of pairs per edge.
pub(super) fn check<'r>(rings: impl Iterator<Item = &'r Ring> + Clone) -> Result<(), Tangled> {
    let edges: usize = rings.clone().map(Vec::len).sum();
    let Some(around) = Bounds::of(rings.clone().flatten().copied()).filter(|_| edges > FEW) else {
        return Ok(());
    };
    let side = (2.0 * (edges as f64).sqrt()).clamp(16.0, 512.0);
    let bin = [around.width() / side, around.height() / side].map(|b| b.max(f64::MIN_POSITIVE));
    let columns = side as usize + 1;
    let mut count = vec![0u32; columns * columns];
    let mut pairs = 0usize;
    for ring in rings {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let at = |p: [f64; 2]| [0, 1].map(|k| (p[k] - around.low[k]) / bin[k]);
            let (p, q) = (at(*a), at(*b));
            let steps = (q[0] - p[0])
                .abs()
                .max((q[1] - p[1]).abs())
                .ceil()
                .clamp(1.0, 2.0 * side);
            let mut last = usize::MAX;
            for k in 0..=steps as usize {
                let t = k as f64 / steps;
                let cell = |k: usize| ((p[k] + t * (q[k] - p[k])) as usize).min(columns - 1);
                let number = cell(1) * columns + cell(0);
                if number != last {
                    pairs += count[number] as usize;
                    count[number] += 1;
                    last = number;
                }
            }
            if pairs > MOST_PAIRS {
                return Err(Tangled);
            }
        }
    }
    Ok(())
}
