//! Shade sorting: bolts that may be sewn together.

use crate::difference::{cmc, de2000};
use crate::spaces::Lab;

/// How the distance of two bolts is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tolerance {
    /// CIEDE2000.
    Ciede2000,
    /// CMC(2:1), the larger of the two directions: in a band any bolt may lie beside any other, and neither of
    /// them is the standard.
    Cmc,
}

impl Tolerance {
    /// Distance of two bolts; symmetric.
    pub fn distance(self, one: Lab, other: Lab) -> f64 {
        match self {
            Self::Ciede2000 => de2000(one, other),
            Self::Cmc => cmc(one, other, 2.0, 1.0).max(cmc(other, one, 2.0, 1.0)),
        }
    }
}

/// Bolts that match each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Places of the bolts in the list that was sorted, ascending.
    pub bolts: Vec<usize>,
    /// Largest distance between two of them.
    pub spread: f64,
    /// The bolt whose farthest neighbour is nearest: what to pin up as the band's standard.
    pub standard: usize,
}

/// Groups colours into bands in which no two lie further apart than `most`.
pub fn sort(colours: &[Lab], tolerance: Tolerance, most: f64) -> Vec<Band> {
    complete_linkage(
        colours.len(),
        |i, j| tolerance.distance(colours[i], colours[j]),
        most,
    )
}

/// Groups `count` things into bands in which no two lie further apart than `most`: agglomerative clustering with
/// complete linkage (Sorensen 1948). Mottled bolts are sorted by handing in the distance of their palettes.
///
/// The two bands whose union spreads least are joined first, on a tie those that hold the lowest place. Bands come
/// largest first, then by their first bolt. A distance that is not a number joins nothing. `distance` is asked once for
/// each pair i < j.
pub fn complete_linkage(count: usize, distance: impl Fn(usize, usize) -> f64, most: f64) -> Vec<Band> {
    let mut apart = vec![0.0; count * count];
    for i in 0..count {
        for j in i + 1..count {
            let d = distance(i, j);
            // A distance of nothing sensible must never bring bolts together.
            let d = if d.is_nan() { f64::INFINITY } else { d };
            apart[i * count + j] = d;
            apart[j * count + i] = d;
        }
    }
    let mut joined = apart.clone();
    let mut members: Vec<Vec<usize>> = (0..count).map(|i| vec![i]).collect();
    let mut alive: Vec<usize> = (0..count).collect();
    while let Some((one, other)) = nearest(&alive, &joined, count, most) {
        alive.retain(|k| *k != other);
        let moved = std::mem::take(&mut members[other]);
        members[one].extend(moved);
        for k in &alive {
            let far = joined[one * count + k].max(joined[other * count + k]);
            joined[one * count + k] = far;
            joined[k * count + one] = far;
        }
    }
    let mut bands: Vec<Band> = alive
        .into_iter()
        .map(|k| band(std::mem::take(&mut members[k]), &apart, count))
        .collect();
    bands.sort_by_key(|b| (std::cmp::Reverse(b.bolts.len()), b.bolts.first().copied()));
    bands
}

/// The pair of living bands with the least union, if it is within `most`.
fn nearest(alive: &[usize], joined: &[f64], count: usize, most: f64) -> Option<(usize, usize)> {
    let mut best = None;
    let mut least = f64::INFINITY;
    for (at, one) in alive.iter().enumerate() {
        for other in &alive[at + 1..] {
            let d = joined[one * count + other];
            if d <= most && d < least {
                least = d;
                best = Some((*one, *other));
            }
        }
    }
    best
}

fn band(mut bolts: Vec<usize>, apart: &[f64], count: usize) -> Band {
    bolts.sort_unstable();
    let reach = |i: usize| bolts.iter().map(|j| apart[i * count + j]).fold(0.0, f64::max);
    let mut standard = bolts.first().copied().unwrap_or_default();
    let mut spread: f64 = 0.0;
    for bolt in &bolts {
        let far = reach(*bolt);
        spread = spread.max(far);
        if far < reach(standard) {
            standard = *bolt;
        }
    }
    Band {
        bolts,
        spread,
        standard,
    }
}
