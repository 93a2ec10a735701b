//! What the cloth shows, in numbers: colours of its regions, pooled over places of the bolt, and whether the motif still
//! reads from two metres.
//!
//! A route may wax twice, and a second wax keeps another colour than the first: counting the union of both as motif
//! would mix them. Every point belongs to the *first* wax that covered it: what that wax kept stays its own whatever a
//! later wax does. What no wax covered is ground.

use crate::develop::act;
use crate::window::ToLab;
use crate::{Appearance, Bolt, Tiling};
use colour::{Lab, Palette};
use field::{Rect, Tile};
use rayon::prelude::*;
use route::{Patch, Value};

/// Swatches of a palette: enough for mottled cloth, few enough to compare exactly.
const SWATCHES: usize = 24;
/// Places that are pooled: one repeat is not a sample, and a sponge's colour covers a hand's breadth.
const PLACES: usize = 200;
/// Side of a place, samples of 1 mm.
const SIDE: u32 = 16;
/// Cloth left out along the edges of the bolt, mm.
const MARGIN: f64 = 30.0;

/// A region of the finished cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Place in the route of the waxing that first covered it; `None` for ground.
    pub waxing: Option<usize>,
    /// Share of the cloth looked at, 0..1.
    pub share: f64,
    /// Its colours.
    pub palette: Palette,
}

/// Reads the regions of a bolt after `steps` steps, pooled over places spread evenly over it. Ground first, then the
/// waxings in the order of the route.
pub fn read_regions(bolt: &Bolt, steps: usize) -> Vec<Reading> {
    read_places(bolt, steps, 0..PLACES)
}

/// The same from two halves of the places: how far two readings of one bolt lie apart because it was not all looked at.
pub fn read_halves(bolt: &Bolt, steps: usize) -> [Vec<Reading>; 2] {
    // Places follow a sequence whose every stretch is spread evenly.
    [
        read_places(bolt, steps, 0..PLACES / 2),
        read_places(bolt, steps, PLACES / 2..PLACES),
    ]
}

fn read_places(bolt: &Bolt, steps: usize, places: std::ops::Range<usize>) -> Vec<Reading> {
    let (appearance, to_lab) = (Appearance::new(&bolt.design), ToLab::new());
    let cloth = bolt.lot.cloth;
    let room = |length: f64| (length * 1000.0 - 2.0 * MARGIN - f64::from(SIDE)).max(0.0);
    let at = |k: usize, step: f64, room: f64| (MARGIN + (k as f64 * step + 0.5).fract() * room) as i32;
    let seen: Vec<Vec<(Option<usize>, Lab)>> = places
        .into_par_iter()
        .map(|k| {
            // Powers of the plastic number: the most even spread of any number of points in a rectangle.
            let core = Rect {
                x0: at(k, 0.754_877_666_246_693, room(cloth.width.0)),
                y0: at(k, 0.569_840_290_998_053, room(cloth.length.0)),
                nx: SIDE,
                ny: SIDE,
            };
            let (patch, owner) = owned(bolt, Tile::new(1.0, core), steps);
            let [l, a, b] = to_lab.colours(&appearance.light(&patch));
            let lab = l.iter().zip(&a).zip(&b);
            lab.zip(owner)
                .map(|(((l, a), b), owner)| (owner, Lab::new(f64::from(*l), f64::from(*a), f64::from(*b))))
                .collect()
        })
        .collect();
    regions(&seen.concat())
}

/// Colours sorted by region, as palettes.
pub(crate) fn regions(seen: &[(Option<usize>, Lab)]) -> Vec<Reading> {
    let mut waxings: Vec<Option<usize>> = seen.iter().map(|(owner, _)| *owner).collect();
    waxings.sort_unstable();
    waxings.dedup();
    waxings
        .into_iter()
        .filter_map(|waxing| {
            let own = || seen.iter().filter(|(owner, _)| *owner == waxing);
            let palette = Palette::of(own().map(|(_, lab)| (*lab, 1.0)), SWATCHES).ok()?;
            Some(Reading {
                waxing,
                share: own().count() as f64 / seen.len() as f64,
                palette,
            })
        })
        .collect()
}

/// The cloth under a tile after some steps, and for each sample the waxing that first covered it.
pub(crate) fn owned(bolt: &Bolt, tile: Tile, steps: usize) -> (Patch, Vec<Option<usize>>) {
    let tiling = Tiling::default();
    let mut patch = Patch::white(tile, tile.need());
    let mut owner: Vec<Option<usize>> = vec![None; tile.core.nx as usize * tile.core.ny as usize];
    for at in 0..steps.min(bolt.hands.len()) {
        act(bolt, at, &mut patch, &tiling);
        let waxes = |(_, value): &(&str, Value)| matches!(value, Value::Stamp(_));
        if bolt.design.steps[at].operation.values().iter().any(waxes) {
            let rim = patch.rim.at_detail(tile.samples, tile.core);
            for (owner, rim) in owner.iter_mut().zip(&rim.data) {
                if owner.is_none() && *rim > 0.0 {
                    *owner = Some(at);
                }
            }
        }
    }
    (patch, owner)
}
