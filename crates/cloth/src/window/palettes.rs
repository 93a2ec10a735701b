//! Palettes of the finished cloth: what a shade sums up, in full.

use super::response::{REGIONS, Response, runs};
use super::sweep::Way;
use crate::Bolt;
use colour::Palette;
use rayon::prelude::*;
use route::Workshop;

impl Response {
    /// Palettes of ground and motif, pooled over all places, of `size` swatches or fewer, for each way of doing the
    /// step; `None` leaves it out. Every step is run: for the few ways that are looked at closely, and to hold a
    /// [`Shade`](super::Shade)'s distance against the exact distance of palettes. `bolt` and `shop` are those of
    /// [`Response::new`].
    pub fn palettes(
        &self,
        bolt: &Bolt,
        shop: &Workshop,
        ways: &[Option<Way>],
        size: usize,
    ) -> Vec<[Option<Palette>; REGIONS]> {
        let Ok(runs) = runs(bolt, shop, self.step) else {
            return Vec::new();
        };
        let places = runs.places();
        ways.iter()
            .map(|way| {
                let hands = runs.hands(&way.unwrap_or(Way::lasting(self.designed.0)));
                let first = hands.first().filter(|_| way.is_some());
                let rest = hands.get(1..).unwrap_or_default();
                let colours: Vec<_> = places
                    .par_iter()
                    .map(|place| runs.colours(place, first, rest))
                    .collect();
                [0, 1].map(|region: usize| {
                    let pooled = colours
                        .iter()
                        .flat_map(|c| c[region].iter().map(|lab| (*lab, 1.0)));
                    Palette::of(pooled, size).ok()
                })
            })
            .collect()
    }
}
