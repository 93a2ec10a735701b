//! Small changes of what is decided: the order of pieces, and who goes with whom.

use super::board::Wish;
use super::pieces::Pieces;
use super::shop::Shop;
use crate::Minute;
use std::rc::Rc;

/// What the search decides.
#[derive(Clone)]
pub(super) struct Decision {
    /// By task: the smaller, the earlier its piece is placed. Roughly minutes of the plan.
    pub keys: Vec<Minute>,
    /// Tasks that go together.
    pub batches: Vec<Vec<u32>>,
    /// The pieces of these batches.
    pub pieces: Rc<Pieces>,
    /// By task: what it keeps of the plan that the search started from.
    pub wishes: Rc<Vec<Wish>>,
}

/// Reaches of a shift, minutes: from within a shift to two weeks.
const REACHES: [f64; 6] = [30.0, 120.0, 500.0, 1_500.0, 5_000.0, 15_000.0];

/// Changes a decision at random; `false` if this change is not possible. `starts` are those of the present plan.
pub(super) fn change(shop: &Shop, rng: &mut Rng, d: &mut Decision, starts: &[Minute]) -> bool {
    if shop.bolts.is_empty() {
        return false;
    }
    let reach = REACHES[rng.below(REACHES.len())];
    let shift = ((rng.unit() * 2.0 - 1.0) * reach) as Minute;
    let bolts = shop.bolts.len();
    match rng.below(10) {
        // A stretch of one bolt's route.
        0..=2 => {
            let b = shop.bolts[rng.below(bolts)];
            let n = (b.last - b.first + 1) as usize;
            let (x, y) = (rng.below(n) as u32, rng.below(n) as u32);
            move_by(d, b.first + x.min(y)..b.first + x.max(y) + 1, shift);
        }
        // A whole lot.
        3 => {
            let lot = rng.below(shop.problem.lots.len());
            for b in shop.bolts.iter().filter(|b| b.lot == lot) {
                move_by(d, b.first..b.last + 1, shift);
            }
        }
        // One piece.
        4 | 5 => {
            let p = rng.below(d.pieces.count()) as u32;
            for t in d.pieces.tasks(p) {
                d.keys[*t as usize] += shift;
            }
        }
        // Two bolts change places.
        6 => {
            let (a, b) = (shop.bolts[rng.below(bolts)], shop.bolts[rng.below(bolts)]);
            if a.first == b.first || a.last - a.first != b.last - b.first {
                return false;
            }
            for i in 0..=a.last - a.first {
                d.keys.swap((a.first + i) as usize, (b.first + i) as usize);
            }
        }
        // All bolts of one batch, with everything else they go through.
        7 => {
            if d.batches.is_empty() {
                return false;
            }
            let g = rng.below(d.batches.len());
            for i in 0..d.batches[g].len() {
                let Some(b) = shop.bolt[d.batches[g][i] as usize].map(|b| shop.bolts[b as usize]) else {
                    continue;
                };
                move_by(d, b.first..b.last + 1, shift);
            }
        }
        _ => return regroup(shop, rng, d, starts),
    }
    true
}

fn move_by(d: &mut Decision, tasks: std::ops::Range<u32>, shift: Minute) {
    for key in &mut d.keys[tasks.start as usize..tasks.end as usize] {
        *key += shift;
    }
}

/// A stretch of one bolt's route gives up its wishes, or takes them up again as they were `at_first`.
pub(super) fn wish(shop: &Shop, rng: &mut Rng, d: &mut Decision, at_first: &[Wish]) {
    let b = shop.bolts[rng.below(shop.bolts.len())];
    let n = (b.last - b.first + 1) as usize;
    let (x, y) = (rng.below(n), rng.below(n));
    let again = rng.below(3) == 0;
    let wishes = Rc::make_mut(&mut d.wishes);
    for t in b.first as usize + x.min(y)..=b.first as usize + x.max(y) {
        wishes[t] = if again { at_first[t] } else { Wish::default() };
    }
}

/// Splits a batch, merges two, moves a bolt over, or exchanges two bolts, between batches that are near each
/// other in time.
fn regroup(shop: &Shop, rng: &mut Rng, d: &mut Decision, starts: &[Minute]) -> bool {
    if d.batches.is_empty() {
        return false;
    }
    let batch = |t: u32| shop.kinds[shop.kind[t as usize] as usize].batch;
    let begun = |b: &[u32]| shop.pinned[b[0] as usize].is_some();
    let g = rng.below(d.batches.len());
    let Some((vessel, capacity, family)) = batch(d.batches[g][0]) else {
        return false;
    };
    if begun(&d.batches[g]) {
        return false;
    }
    let at = starts[d.batches[g][0] as usize];
    let fits = |b: &[u32]| batch(b[0]).is_some_and(|(v, _, f)| v == vessel && f == family) && !begun(b);
    let mut near: Vec<(Minute, usize)> = d
        .batches
        .iter()
        .enumerate()
        .filter(|(i, b)| *i != g && fits(b))
        .map(|(i, b)| ((starts[b[0] as usize] - at).abs(), i))
        .collect();
    near.sort_unstable();
    near.truncate(6);
    let way = rng.below(4);
    let i = rng.below(d.batches[g].len());
    if way == 0 || near.is_empty() {
        if d.batches[g].len() < 2 {
            return false;
        }
        let task = d.batches[g].remove(i);
        d.batches.push(vec![task]);
    } else {
        let h = near[rng.below(near.len())].1;
        let room = (capacity as usize).saturating_sub(d.batches[h].len());
        if way == 1 && room >= d.batches[g].len() {
            let all = std::mem::take(&mut d.batches[g]);
            d.batches[h].extend(all);
        } else if way < 3 && room > 0 {
            let task = d.batches[g].remove(i);
            d.batches[h].push(task);
        } else {
            let j = rng.below(d.batches[h].len());
            let (x, y) = (d.batches[g][i], d.batches[h][j]);
            d.batches[g][i] = y;
            d.batches[h][j] = x;
        }
    }
    d.batches.retain(|b| !b.is_empty());
    for b in &mut d.batches {
        b.sort_unstable();
    }
    let Some(pieces) = Pieces::new(shop, &d.batches) else {
        return false;
    };
    d.pieces = Rc::new(pieces);
    true
}

/// SplitMix64 (Steele, Lea, Flood, OOPSLA 2014): small, seeded, the same everywhere.
pub(super) struct Rng(pub u64);

impl Rng {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// A number below `n`; 0 where `n` is 0.
    pub(super) fn below(&mut self, n: usize) -> usize {
        ((u128::from(self.next()) * n as u128) >> 64) as usize
    }
    /// A number in 0..1.
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
}
