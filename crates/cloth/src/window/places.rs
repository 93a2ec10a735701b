//! Small patches from many places of a bolt, kept as they are before a step; only the rest of the route is run on
//! them, again and again.
//!
//! What comes after the step is the same for every run, and each operation moves dye in proportion to what is there and
//! adds its own: the dye that is seen at the end is `a loose + b spent + c fast + d`, sample by sample, with what is in
//! the cloth just after the step. Four runs of the rest of the route find a, b, c and d. That it is so is a property of
//! the operations and not assumed: [`Response`](super::Response) compares with full runs and says by how much it is off.

use super::shade::{Sums, ToLab};
use super::sweep::{Sweep, Way, with_creep};
use crate::places::spread;
use crate::{Appearance, Bolt, Tiling, develop};
use colour::Lab;
use field::{Grid, Lattice, Plane, Rect, Tile, lanes};
use rayon::prelude::*;
use route::{Before, DYES, Hand, Look, Patch, Reach, Workshop};
use std::borrow::Cow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Places of the bolt that are looked at.
pub(crate) const PLACES: usize = 64;
/// Side of a place, samples.
const SIDE: u32 = 24;
/// Distance of samples, mm: each stands for cloth that is not drawn, so it need not resolve a wax edge to be fair.
const PITCH: f64 = 1.0;

/// Everything that the runs share.
pub(crate) struct Runs<'a> {
    pub bolt: &'a Bolt,
    pub shop: &'a Workshop,
    pub step: usize,
    pub sweep: Sweep,
    pub appearance: Appearance,
    pub to_lab: ToLab,
}

/// One place, before the step.
pub(crate) struct Place {
    patch: Patch,
    /// Waxed samples.
    motif: Vec<bool>,
}

/// How the rest of the route treats one place: per dye what is seen of loose, spent and fast dye, and what is added.
/// What is added depends on the creep (a later bath creeps under the same wax), so there is one for each node of it.
pub(crate) struct Rest {
    seen: Vec<[Option<Vec<f32>>; 3]>,
    added: Vec<Vec<Option<Vec<f32>>>>,
    finished: Patch,
}

impl Runs<'_> {
    /// All places, developed up to the step. Spread over the bolt, clear of its edges.
    pub fn places(&self) -> Vec<Place> {
        spread(self.bolt, PLACES, SIDE, PITCH)
            .into_par_iter()
            .map(|core| {
                let patch = develop(self.bolt, Tile::new(PITCH, core), self.step, &Tiling::default());
                let motif = inside(&patch);
                Place { patch, motif }
            })
            .collect()
    }

    /// The hand of the step done `way`.
    pub fn hand(&self, way: &Way) -> Option<Arc<dyn Hand>> {
        self.first_hands(way, 1).pop()
    }

    /// The hands of the step done `way`, and of all that follow it.
    pub fn hands(&self, way: &Way) -> Vec<Arc<dyn Hand>> {
        self.first_hands(way, usize::MAX)
    }

    fn first_hands(&self, way: &Way, count: usize) -> Vec<Arc<dyn Hand>> {
        let bolt = self.bolt;
        let mut means = with_creep(&bolt.means[self.step], way.creep);
        let mut hands = Vec::new();
        for (at, step) in bolt.design.steps.iter().enumerate().skip(self.step).take(count) {
            let operation = if at == self.step {
                self.sweep.operation(step, way)
            } else {
                step.operation.clone()
            };
            let look = NotLooked::default();
            let hand = operation.hand(&Before {
                design: &bolt.design,
                at,
                means: &means,
                lot: &bolt.lot,
                shop: self.shop,
                seed: bolt.lot.seed().child(&step.id),
                package: bolt.packages.get(at).and_then(Option::as_ref),
                look: &look,
            });
            // A step that looks at the whole bolt does as it does on the cloth as designed.
            let kept = bolt.hands.get(at).filter(|_| look.asked.load(Ordering::Relaxed));
            hands.push(kept.cloned().unwrap_or(hand));
            operation.tally(&mut means, &bolt.design, &bolt.lot, self.shop);
        }
        hands
    }

    /// Sums over ground and motif of one place, with every step run.
    pub fn direct(&self, place: &Place, hands: &[Arc<dyn Hand>]) -> [Sums; 2] {
        let mut patch = copy(&place.patch);
        self.run(&mut patch, self.step, hands);
        self.look(&patch, place, &patch)
    }

    /// The same with the step done by another hand, or left out.
    pub fn slow(&self, place: &Place, hand: Option<&Arc<dyn Hand>>, rest: &[Arc<dyn Hand>]) -> [Sums; 2] {
        let patch = self.finished(place, hand, rest);
        self.look(&patch, place, &patch)
    }

    /// Colours of every sample of ground and motif of one place, every step run.
    pub fn colours(
        &self,
        place: &Place,
        hand: Option<&Arc<dyn Hand>>,
        rest: &[Arc<dyn Hand>],
    ) -> [Vec<Lab>; 2] {
        let patch = self.finished(place, hand, rest);
        let [l, a, b] = self.to_lab.colours(&self.appearance.light(&patch));
        let mut out = [Vec::new(), Vec::new()];
        for (i, inside) in self.motif(place, &patch).iter().enumerate() {
            out[usize::from(*inside)].push(Lab::new(f64::from(l[i]), f64::from(a[i]), f64::from(b[i])));
        }
        out
    }

    fn finished(&self, place: &Place, hand: Option<&Arc<dyn Hand>>, rest: &[Arc<dyn Hand>]) -> Patch {
        let mut patch = copy(&place.patch);
        if let Some(hand) = hand {
            self.prepare(&mut patch, &**hand, self.step);
            hand.act(&mut patch);
        }
        self.run(&mut patch, self.step + 1, rest);
        patch
    }

    /// Key of the step's kind.
    pub fn key(&self) -> &'static str {
        self.bolt
            .design
            .steps
            .get(self.step)
            .map_or("", |s| s.operation.kind().key)
    }

    /// What the rest of the route does to a place. `hands` are those of [`Runs::hands`] as designed, and one list for
    /// each node of the creep.
    pub fn rest(&self, place: &Place, hands: &[Arc<dyn Hand>], by_creep: &[Vec<Arc<dyn Hand>>]) -> Rest {
        let dyes = self.bolt.design.dyes.len().min(DYES);
        let mut after = copy(&place.patch);
        self.run(&mut after, self.step, &hands[..1]);
        let total = |state: Option<usize>, hands: &[Arc<dyn Hand>]| {
            let mut patch = copy(&after);
            for dye in 0..DYES {
                let one = |this| {
                    if state == Some(this) && dye < dyes {
                        Plane::Flat(1.0)
                    } else {
                        Plane::Zero
                    }
                };
                (patch.loose[dye], patch.spent[dye], patch.fast[dye]) = (one(0), one(1), one(2));
            }
            self.run(&mut patch, self.step + 1, &hands[1..]);
            (0..dyes).map(|dye| seen(&patch, dye)).collect::<Vec<_>>()
        };
        let base = total(None, hands);
        let mut units: Vec<_> = (0..3)
            .map(|state| total(Some(state), hands).into_iter())
            .collect();
        let seen = base
            .iter()
            .map(|base| [0, 1, 2].map(|state: usize| minus(units[state].next().flatten(), base.as_deref())))
            .collect();
        let added = by_creep.iter().map(|hands| total(None, hands)).collect();
        self.run(&mut after, self.step + 1, &hands[1..]);
        Rest {
            seen,
            added,
            finished: after,
        }
    }

    /// Sums over ground and motif of one place; the step is run, the rest is known.
    pub fn quick(&self, place: &Place, rest: &Rest, hand: Option<&dyn Hand>, creep: usize) -> [Sums; 2] {
        let mut patch = copy(&place.patch);
        if let Some(hand) = hand {
            self.prepare(&mut patch, hand, self.step);
            hand.act(&mut patch);
        }
        let (lattice, core) = patch.fine();
        let mut finished = bare(&rest.finished);
        for (dye, seen) in rest.seen.iter().enumerate() {
            let mut total = rest.added[creep][dye].clone();
            let states = [&patch.loose[dye], &patch.spent[dye], &patch.fast[dye]];
            for (plane, share) in states.into_iter().zip(seen) {
                let Some(share) = share else { continue };
                if plane.is_zero() {
                    continue;
                }
                let total = total.get_or_insert_with(|| vec![0.0; core.area()]);
                match plane {
                    Plane::Flat(v) => add_share(share, *v, total),
                    _ => add_product(&plane.at_detail(lattice, core).data, share, total),
                }
            }
            if let Some(data) = total {
                finished.fast[dye] = Plane::Grid(Grid {
                    lattice,
                    rect: core,
                    data,
                });
            }
        }
        self.look(&finished, place, &rest.finished)
    }

    fn run(&self, patch: &mut Patch, from: usize, hands: &[Arc<dyn Hand>]) {
        for (at, hand) in (from..).zip(hands) {
            self.prepare(patch, &**hand, at);
            hand.act(patch);
        }
    }

    fn prepare(&self, patch: &mut Patch, hand: &dyn Hand, at: usize) {
        let (need, tile) = (patch.need, patch.tile);
        patch.before = match hand.reach(tile.milli) {
            Reach::Point => need,
            Reach::Spread { rx, ry } => need.before_spread(rx, ry, &tile),
        };
        patch.package = self.bolt.packages.get(at).cloned().flatten();
    }

    fn look(&self, patch: &Patch, place: &Place, finished: &Patch) -> [Sums; 2] {
        let light = self.appearance.light(patch);
        self.to_lab.sums(&light, &self.motif(place, finished))
    }

    /// Regions are those of the wax at the step; where there was none, of the wax that came later.
    fn motif<'p>(&self, place: &'p Place, finished: &Patch) -> Cow<'p, [bool]> {
        if self.bolt.means[self.step].waxed() {
            Cow::Borrowed(&place.motif)
        } else {
            Cow::Owned(inside(finished))
        }
    }
}

/// Stands for a look at the whole bolt and remembers that it was wanted.
#[derive(Default)]
struct NotLooked {
    asked: AtomicBool,
}

impl Look for NotLooked {
    fn dye(&self, cell_mm: f64) -> Grid {
        self.asked.store(true, Ordering::Relaxed);
        let rect = Rect {
            x0: 0,
            y0: 0,
            nx: 1,
            ny: 1,
        };
        Grid::flat(Lattice { pitch: cell_mm }, rect, 0.0)
    }
}

fn inside(patch: &Patch) -> Vec<bool> {
    let (lattice, core) = patch.fine();
    let rim = patch.rim.at_detail(lattice, core);
    rim.data.iter().map(|r| *r > 0.0).collect()
}

/// The same cloth once more.
fn copy(from: &Patch) -> Patch {
    let mut patch = bare(from);
    patch.loose = from.loose.clone();
    patch.spent = from.spent.clone();
    patch.fast = from.fast.clone();
    patch.soda = from.soda.clone();
    patch.rim = from.rim.clone();
    patch.leak = from.leak.clone();
    patch.wear = from.wear.clone();
    patch
}

/// The same cloth without its dye: what darkens it.
fn bare(from: &Patch) -> Patch {
    let mut patch = Patch::white(from.tile, from.need);
    patch.water = from.water.clone();
    patch.wax = from.wax.clone();
    patch
}

/// Dye of one kind in any state on the samples; `None` if there is none.
fn seen(patch: &Patch, dye: usize) -> Option<Vec<f32>> {
    let (lattice, core) = patch.fine();
    let mut total: Option<Vec<f32>> = None;
    for plane in patch.seen(dye).into_iter().filter(|p| !p.is_zero()) {
        let grid = plane.at_detail(lattice, core);
        match &mut total {
            Some(total) => add_share(&grid.data, 1.0, total),
            None => total = Some(grid.into_owned().data),
        }
    }
    total
}

fn minus(from: Option<Vec<f32>>, what: Option<&[f32]>) -> Option<Vec<f32>> {
    let mut left = from?;
    if let Some(what) = what {
        add_share(what, -1.0, &mut left);
    }
    left.iter().any(|v| *v != 0.0).then_some(left)
}

lanes! {
    fn add_share(what: &[f32], share: f32, to: &mut [f32]) {
        for (t, w) in to.iter_mut().zip(what) {
            *t += share * *w;
        }
    }
    fn add_product(a: &[f32], b: &[f32], to: &mut [f32]) {
        for ((t, a), b) in to.iter_mut().zip(a).zip(b) {
            *t += *a * *b;
        }
    }
}
