//! First orders: which lot goes before which, and which of its bolts go together.

use super::shop::Shop;
use crate::Minute;
use std::collections::HashMap;

/// Bolts of one lot fill each batch up to `most` bolts, in the order of their numbers. What has begun together stays
/// together and alone.
pub(super) fn batches(shop: &Shop, most: u32) -> Vec<Vec<u32>> {
    let mut out: Vec<Vec<u32>> = Vec::new();
    let mut open: HashMap<u32, usize> = HashMap::new();
    let mut begun: HashMap<(usize, Minute), usize> = HashMap::new();
    for task in 0..shop.kind.len() as u32 {
        let kind = shop.kind[task as usize];
        let Some((vessel, capacity, _)) = shop.kinds[kind as usize].batch else {
            continue;
        };
        let slot = match shop.pinned[task as usize] {
            Some(p) => begun.get(&(vessel, p.start)).copied(),
            None => open
                .get(&kind)
                .copied()
                .filter(|g| out[*g].len() < capacity.min(most) as usize),
        };
        if let Some(group) = slot {
            out[group].push(task);
            continue;
        }
        match shop.pinned[task as usize] {
            Some(p) => begun.insert((vessel, p.start), out.len()),
            None => open.insert(kind, out.len()),
        };
        out.push(vec![task]);
    }
    out
}

/// The batches of a plan, as far as they are still possible; what it does not have goes together as in [`batches`].
pub(super) fn batches_of(shop: &Shop, starts: &[Option<Minute>]) -> Vec<Vec<u32>> {
    let mut out: Vec<Vec<u32>> = Vec::new();
    let mut at: HashMap<(usize, u32, Minute, bool), usize> = HashMap::new();
    for fresh in batches(shop, u32::MAX) {
        let mut rest = Vec::new();
        for task in fresh {
            let Some((vessel, capacity, family)) = shop.kinds[shop.kind[task as usize] as usize].batch else {
                continue;
            };
            let pinned = shop.pinned[task as usize];
            let start = pinned.map(|p| p.start).or(starts[task as usize]);
            let Some(start) = start else {
                rest.push(task);
                continue;
            };
            let key = (vessel, family, start, pinned.is_some());
            match at.get(&key).filter(|g| out[**g].len() < capacity as usize) {
                Some(g) => out[*g].push(task),
                None => {
                    at.insert(key, out.len());
                    out.push(vec![task]);
                }
            }
        }
        if !rest.is_empty() {
            out.push(rest);
        }
    }
    out
}

/// Orders of lots worth a first look: by promise, by work for its weight, by slack, as they may begin.
pub(super) fn lots(shop: &Shop) -> Vec<Vec<usize>> {
    let lots = &shop.problem.lots;
    let work =
        |l: usize| lots[l].route.iter().map(|o| o.duration).sum::<Minute>() * Minute::from(lots[l].bolts);
    let by = |key: &dyn Fn(usize) -> (Minute, Minute)| {
        let mut order: Vec<usize> = (0..lots.len()).collect();
        order.sort_by_key(|l| key(*l));
        order
    };
    vec![
        by(&|l| (lots[l].due, -Minute::from(lots[l].weight))),
        by(&|l| (work(l) / Minute::from(lots[l].weight.max(1)), lots[l].due)),
        by(&|l| (lots[l].due - work(l), -Minute::from(lots[l].weight))),
        by(&|l| (lots[l].release, lots[l].due)),
    ]
}

/// Keys by which lots come in this order, each lot batch by batch, each batch operation by operation.
pub(super) fn keys(shop: &Shop, order: &[usize]) -> Vec<Minute> {
    let mut rank = vec![0; order.len()];
    for (i, l) in order.iter().enumerate() {
        rank[*l] = i as Minute;
    }
    let together: Vec<u32> = shop
        .problem
        .lots
        .iter()
        .map(|l| {
            l.route
                .iter()
                .filter_map(|o| o.batch.as_ref())
                .map(|b| b.capacity.max(1))
                .max()
                .unwrap_or(1)
        })
        .collect();
    let mut keys = vec![0; shop.kind.len()];
    for b in &shop.bolts {
        for task in b.first..=b.last {
            // Room for a thousand operations and a million batches a lot.
            keys[task as usize] = (rank[b.lot] * 1_000_000 + Minute::from(b.number / together[b.lot])) * 1000
                + Minute::from(task - b.first);
        }
    }
    for (l, approval) in shop.approval.iter().enumerate() {
        if let Some(task) = approval {
            keys[*task as usize] = rank[l] * 1_000_000_000 - 1;
        }
    }
    keys
}
