//! What the last completion and the late ones waited for: chains of work, and in them blocks of work that waited
//! for one resource. Only a change at a block can end the chain sooner (Grabowski, Nowicki and Zdrzalka, European
//! Journal of Operational Research 26, 1986, for one machine; here it is a rule of thumb).

use super::board::Slot;
use super::moves::{Decision, Rng};
use super::shop::Shop;
use crate::Minute;

/// Tasks that follow each other on one resource without room between them.
pub(super) type Block = Vec<u32>;

/// The blocks of the chain that ends last and of those of late lots.
pub(super) fn blocks(shop: &Shop, slots: &[Option<Slot>]) -> Vec<Block> {
    let mut holds: Vec<Vec<(Minute, u32)>> = vec![Vec::new(); shop.capacities.len()];
    for (task, slot) in slots.iter().enumerate() {
        let Some(slot) = slot else { continue };
        for h in &shop.kinds[shop.kind[task] as usize].choices[slot.choice].holds {
            let to = h.to.map_or(slot.end, |to| slot.start + to);
            holds[h.resource].push((to, task as u32));
        }
    }
    for list in &mut holds {
        list.sort_unstable();
    }
    let mut seen = vec![false; slots.len()];
    let mut out = Vec::new();
    for end in ends(shop, slots) {
        chain(shop, slots, &holds, end, &mut seen, &mut out);
    }
    out
}

/// The last task of all, and that of each late lot.
fn ends(shop: &Shop, slots: &[Option<Slot>]) -> Vec<u32> {
    let end = |task: u32| slots[task as usize].map_or(0, |s| s.end);
    let mut last: Vec<Option<u32>> = vec![None; shop.problem.lots.len()];
    for b in &shop.bolts {
        if last[b.lot].is_none_or(|t| end(t) < end(b.last)) {
            last[b.lot] = Some(b.last);
        }
    }
    let all = last.iter().flatten().copied().max_by_key(|t| end(*t));
    let late = last.iter().zip(&shop.problem.lots);
    let late = late.filter_map(|(t, lot)| t.filter(|t| end(*t) > lot.due && lot.weight > 0));
    all.into_iter().chain(late).collect()
}

/// Walks from a task to what it waited for, and on, until something that was walked before.
fn chain(
    shop: &Shop,
    slots: &[Option<Slot>],
    holds: &[Vec<(Minute, u32)>],
    from: u32,
    seen: &mut [bool],
    out: &mut Vec<Block>,
) {
    let mut at = from;
    let mut block: Option<(usize, Block)> = None;
    while !seen[at as usize] {
        seen[at as usize] = true;
        let Some(slot) = slots[at as usize] else { break };
        // (from when on, who, by which resource)
        let mut cause: Option<(Minute, u32, Option<usize>)> = None;
        for l in &shop.before[at as usize] {
            if let Some(p) = slots[l.task as usize]
                && cause.is_none_or(|c| c.0 < p.end + l.least)
            {
                cause = Some((p.end + l.least, l.task, None));
            }
        }
        for h in &shop.kinds[shop.kind[at as usize] as usize].choices[slot.choice].holds {
            let list = &holds[h.resource];
            let before = list.partition_point(|(to, _)| *to <= slot.start + h.from);
            let Some((to, task)) = list[..before].last() else {
                continue;
            };
            if *task != at && cause.is_none_or(|c| c.0 <= to - h.from) {
                cause = Some((to - h.from, *task, Some(h.resource)));
            }
        }
        let Some((_, next, by)) = cause else { break };
        match (&mut block, by) {
            (Some((resource, tasks)), Some(r)) if *resource == r => tasks.push(next),
            (_, by) => {
                out.extend(block.take().map(|(_, tasks)| tasks));
                block = by.map(|r| (r, vec![at, next]));
            }
        }
        at = next;
    }
    out.extend(block.map(|(_, tasks)| tasks));
}

/// Moves a task of a block before another, in the order in which things now start; `false` if there is no block.
/// Blocks are in backward order.
pub(super) fn change(rng: &mut Rng, d: &mut Decision, blocks: &[Block], starts: Vec<Minute>) -> bool {
    if blocks.is_empty() {
        return false;
    }
    let block = &blocks[rng.below(blocks.len())];
    let last = block.len() - 1;
    let (later, earlier) = match rng.below(4) {
        0 => (0, 1),
        1 => (last - 1, last),
        2 => (rng.below(last), last),
        _ => (0, 1 + rng.below(last)),
    };
    let by_front = rng.below(2) == 0;
    d.keys = starts;
    let (a, b) = (block[earlier], block[later]);
    if by_front {
        // The later one goes before the earlier.
        let key = d.keys[a as usize] - 1;
        for t in d.pieces.tasks(d.pieces.of[b as usize]) {
            d.keys[*t as usize] = d.keys[*t as usize].min(key);
        }
    } else {
        // The earlier one goes after the later.
        let key = d.keys[b as usize] + 1;
        for t in d.pieces.tasks(d.pieces.of[a as usize]) {
            d.keys[*t as usize] = d.keys[*t as usize].max(key);
        }
    }
    true
}
