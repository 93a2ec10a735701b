//! Lateness that no plan avoids, where lots share a resource: by how they queue for it (`queue.rs`), and by what its hours
//! are worth to them (`prices.rs`).

use crate::bound::{Load, Lone, loads};
use crate::calendar::union;
use crate::prices::{self, Buyer};
use crate::queue::{self, Part, Promise};
use crate::solve::Shop;
use crate::{Lot, Minute, Window};
use std::collections::{BTreeMap, BTreeSet};

/// Slots that the hours of a resource are cut into.
const SLOTS: usize = 300;
/// Resources that are looked at again with what follows them walked through the calendars.
const AGAIN: usize = 3;

/// A resource, or alternatives together, and the lots that share it.
struct Shared<'l> {
    units: Minute,
    windows: Vec<Window>,
    /// Earliest start of any work.
    head: Minute,
    lots: Vec<Sharing<'l>>,
}

/// A lot's part in it.
struct Sharing<'l> {
    lot: usize,
    work: Minute,
    /// Earliest start of its own work.
    head: Minute,
    /// Units it can use at the same time.
    units: Minute,
    /// Least minutes from the end of its work to its completion.
    rest: Minute,
    loads: Vec<&'l Load>,
}

/// Least weighted lateness of all lots: each for itself, or where they share the resource that makes most of it late.
pub(crate) fn lateness(shop: &Shop, lone: &Lone, first: &[u32], promises: &[Promise]) -> Minute {
    let alone = |lot: usize| promises[lot].late(Minute::MIN);
    let whole: Minute = (0..promises.len()).map(alone).sum();
    let of_lots: Vec<BTreeMap<Vec<usize>, Load>> = (0..promises.len())
        .map(|lot| loads(shop, lone, first, &[lot]))
        .collect();
    let keys: BTreeSet<&Vec<usize>> = of_lots.iter().flat_map(BTreeMap::keys).collect();
    let mut most = whole;
    let mut found: Vec<(Minute, Shared)> = Vec::new();
    for key in keys {
        let Some(shared) = Shared::of(shop, key, &of_lots) else {
            continue;
        };
        let here = shared.lots.iter().map(|of| alone(of.lot)).sum::<Minute>();
        let elsewhere = whole - here;
        let late = shared.queued(promises).max(shared.priced(shop, None, promises));
        most = most.max(elsewhere + late);
        found.push((elsewhere + late, shared));
    }
    found.sort_by_key(|(late, _)| std::cmp::Reverse(*late));
    for (_, shared) in found.into_iter().take(AGAIN).filter(|(late, _)| *late > whole) {
        let elsewhere = whole - shared.lots.iter().map(|of| alone(of.lot)).sum::<Minute>();
        most = most.max(elsewhere + shared.priced(shop, Some(lone), promises));
    }
    most
}

impl<'l> Shared<'l> {
    /// What loads these resources. Work that can only go to three of six tables also loads the six.
    fn of(shop: &Shop, key: &[usize], of_lots: &'l [BTreeMap<Vec<usize>, Load>]) -> Option<Self> {
        let mut shared = Self {
            units: 0,
            windows: Vec::new(),
            head: Minute::MAX,
            lots: Vec::new(),
        };
        for (lot, own) in of_lots.iter().enumerate() {
            let mut of = Sharing {
                lot,
                work: 0,
                head: Minute::MAX,
                units: 0,
                rest: Minute::MAX,
                loads: Vec::new(),
            };
            let own = own
                .iter()
                .filter(|(k, load)| load.work > 0 && k.iter().all(|r| key.contains(r)));
            for (k, load) in own {
                of.work += load.work;
                of.head = of.head.min(load.head);
                of.units += load.units;
                of.loads.push(load);
                shared.windows = union(&shared.windows, &load.windows);
                if k == key {
                    shared.units = load.units;
                }
                let after = |(first, _, task): &(u32, usize, u32)| {
                    least_after(&shop.problem.lots[lot], (task - first) as usize)
                };
                of.rest = of.rest.min(load.tails.iter().map(after).min().unwrap_or(0));
            }
            if of.work > 0 {
                shared.head = shared.head.min(of.head);
                shared.lots.push(of);
            }
        }
        (shared.units > 0).then_some(shared)
    }

    /// Lateness by how lots queue.
    fn queued(&self, promises: &[Promise]) -> Minute {
        let part = |of: &Sharing| Part {
            lot: of.lot,
            work: of.work,
            rest: of.rest,
        };
        let parts: Vec<Part> = self.lots.iter().map(part).collect();
        let walk = |work: Minute| Shop::walk(&self.windows, self.head, work);
        queue::lateness(&parts, self.units, promises, &walk).unwrap_or(0)
    }

    /// Lateness by what hours are worth. What follows takes its least minutes, or with `lone` what it takes a bolt by
    /// itself from the beginning of that day's hours on.
    fn priced(&self, shop: &Shop, lone: Option<&Lone>, promises: &[Promise]) -> Minute {
        let total: Minute = self.lots.iter().map(|of| of.work).sum();
        let Some(last) = self.lots.iter().map(|of| of.head).max() else {
            return 0;
        };
        // Twice what all of it takes after the last can begin: later slots are not worth anything to anybody.
        let within = |w: &Window| w.end.min(last) - w.start.max(self.head);
        let before: Minute = self.windows.iter().map(|w| within(w).max(0)).sum();
        let span = before + 2 * total / self.units;
        let length = (span / SLOTS as Minute + 1).max(5);
        let starts: Vec<Minute> = (0..=SLOTS as Minute)
            .map_while(|slot| Shop::walk(&self.windows, self.head, slot * length))
            .collect();
        if starts.len() < 2 {
            return 0;
        }
        let buyers: Vec<Buyer> = self
            .lots
            .iter()
            .map(|of| {
                let mut day = (Minute::MIN, Minute::MIN);
                let done = |start: &Minute| {
                    // Its last minute ends after the slot's start, at the earliest.
                    let end = (start + 1).max(of.head + 1);
                    if let Some(lone) = lone
                        && day.0 != start.div_euclid(1440)
                    {
                        let walked = of
                            .loads
                            .iter()
                            .filter_map(|load| load.completion(shop, lone, end))
                            .min();
                        day = (start.div_euclid(1440), walked.unwrap_or(Minute::MIN));
                    }
                    promises[of.lot].late((end + of.rest).max(day.1))
                };
                Buyer {
                    work: of.work,
                    units: of.units.min(self.units),
                    from: starts[1..].partition_point(|end| *end <= of.head),
                    late: starts.iter().map(done).collect(),
                }
            })
            .collect();
        prices::lateness(&buyers, length, self.units).floor() as Minute
    }
}

/// Least minutes from the end of an operation of a route to the end of the last.
fn least_after(lot: &Lot, operation: usize) -> Minute {
    let after = &lot.route[operation + 1..];
    let work = after.iter().map(|o| o.least());
    let waits = |from: usize| {
        let lags = lot
            .lags
            .iter()
            .filter(|lag| lag.from == from && lag.to == from + 1);
        lags.map(|lag| lag.least).max().unwrap_or(0).max(0)
    };
    work.sum::<Minute>() + (operation..lot.route.len() - 1).map(waits).sum::<Minute>()
}
