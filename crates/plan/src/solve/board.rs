//! The board on which operations are placed and lifted again.

use super::room::Room;
use super::shop::{Choice, Hold, Kind, Shop};
use crate::Minute;

/// Where something can go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Slot {
    pub start: Minute,
    pub end: Minute,
    pub choice: usize,
}

/// What a plan to start from asks of a task.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Wish {
    /// Only this one of [`Kind::choices`].
    pub choice: Option<usize>,
    /// Not before this minute.
    pub not_before: Minute,
}

pub(crate) struct Board<'s, 'p> {
    pub shop: &'s Shop<'p>,
    room: Room,
    /// By task; `None` where it is not placed.
    pub slots: Vec<Option<Slot>>,
    /// Work on each resource with set-ups: start, end, class; in order.
    set_ups: Vec<Vec<(Minute, Minute, usize)>>,
    /// Starts of batches in each vessel that holds several batches at once.
    batch_starts: Vec<Vec<Minute>>,
    /// A task that must not start before a minute, for questions of the kind "what if".
    pub floor: Option<(u32, Minute)>,
    /// By task.
    pub wish: Vec<Wish>,
}

impl<'s, 'p> Board<'s, 'p> {
    pub(crate) fn new(shop: &'s Shop<'p>) -> Self {
        Self {
            shop,
            room: Room::new(&shop.capacities, shop.horizon),
            slots: vec![None; shop.kind.len()],
            set_ups: vec![Vec::new(); shop.capacities.len()],
            batch_starts: vec![Vec::new(); shop.vessels.len()],
            floor: None,
            wish: vec![Wish::default(); shop.kind.len()],
        }
    }

    fn kind(&self, task: u32) -> &'s Kind {
        &self.shop.kinds[self.shop.kind[task as usize] as usize]
    }

    /// The ways to do a task, or the one that is wished for.
    fn choices(&self, task: u32) -> impl Iterator<Item = (usize, &'s Choice)> + use<'s, 'p> {
        let wish = self.wish[task as usize].choice;
        let all = self.kind(task).choices.iter().enumerate();
        all.filter(move |(i, _)| wish.is_none_or(|w| w == *i))
    }

    /// Puts the members of one batch (or a single task) on the board.
    pub(crate) fn put(&mut self, members: &[u32], slot: Slot) {
        let kind = self.kind(members[0]);
        for h in &kind.choices[slot.choice].holds {
            let (from, to) = span(h, slot.start, slot.end);
            self.room.take(h.resource, h.quantity, from, to);
        }
        if let Some((resource, class)) = kind.set_up {
            let list = &mut self.set_ups[resource];
            let at = list.partition_point(|x| x.0 < slot.start);
            list.insert(at, (slot.start, slot.end, class));
        }
        if let Some((vessel, _, _)) = kind.batch
            && self.shop.vessels[vessel]
        {
            self.batch_starts[vessel].push(slot.start);
        }
        for m in members {
            self.slots[*m as usize] = Some(slot);
        }
    }

    /// Lifts what [`Self::put`] put.
    pub(crate) fn lift(&mut self, members: &[u32]) {
        let Some(slot) = self.slots[members[0] as usize] else {
            return;
        };
        let kind = self.kind(members[0]);
        for h in &kind.choices[slot.choice].holds {
            let (from, to) = span(h, slot.start, slot.end);
            self.room.give(h.resource, h.quantity, from, to);
        }
        if let Some((resource, _)) = kind.set_up {
            let list = &mut self.set_ups[resource];
            let at = list.partition_point(|x| x.0 < slot.start);
            list.remove(at);
        }
        if let Some((vessel, _, _)) = kind.batch
            && self.shop.vessels[vessel]
        {
            let list = &mut self.batch_starts[vessel];
            if let Some(at) = list.iter().position(|s| *s == slot.start) {
                list.swap_remove(at);
            }
        }
        for m in members {
            self.slots[*m as usize] = None;
        }
    }

    /// The slot at or after `from` that ends first. `None`: not before the calendars end.
    pub(crate) fn earliest(&self, task: u32, from: Minute) -> Option<Slot> {
        let kind = self.kind(task);
        let mut from = from.max(kind.earliest);
        if let Some((held, minute)) = self.floor
            && held == task
        {
            from = from.max(minute);
        }
        let mut best: Option<Slot> = None;
        for (i, choice) in self.choices(task) {
            let limit = best.map_or(self.shop.horizon, |b| b.end - choice.duration - 1);
            if let Some((start, end)) = self.earliest_of(kind, choice, from, limit)
                && best.is_none_or(|b| end < b.end)
            {
                best = Some(Slot {
                    start,
                    end,
                    choice: i,
                });
            }
        }
        best
    }

    fn earliest_of(
        &self,
        kind: &Kind,
        choice: &Choice,
        from: Minute,
        limit: Minute,
    ) -> Option<(Minute, Minute)> {
        let mut at = from;
        loop {
            let (start, end) = match &kind.walk {
                None => {
                    let start = self.next_start(choice, at, limit)?;
                    (start, start + choice.duration)
                }
                Some(windows) => {
                    let start = self.shop.starts[choice.starts].next(at)?;
                    if start > limit {
                        return None;
                    }
                    let end = Shop::walk(windows, start, choice.duration)?;
                    let busy = choice.holds.iter().filter_map(|h| {
                        let (a, b) = span(h, start, end);
                        let last = self.room.last_busy(h.resource, h.quantity, a, b)?;
                        Some(last + 1 - h.from)
                    });
                    if let Some(next) = busy.max() {
                        at = next.max(start + 1);
                        continue;
                    }
                    (start, end)
                }
            };
            match self.too_early(kind, start, end) {
                None => return Some((start, end)),
                Some(next) => at = next,
            }
        }
    }

    /// The first start in `at..=limit` at which everything is free, for work that runs through.
    fn next_start(&self, choice: &Choice, at: Minute, limit: Minute) -> Option<Minute> {
        let starts = &self.shop.starts[choice.starts];
        let mut mask = !0u64 << (at % 64);
        for w in at as usize / 64..starts.words() {
            let base = (w * 64) as Minute;
            if base > limit {
                return None;
            }
            let mut can = starts.word(w) & mask;
            mask = !0;
            for h in &choice.holds {
                if can == 0 {
                    break;
                }
                let length = h.to.unwrap_or(choice.duration) - h.from;
                can &= self.room.runs(h.resource, h.quantity, base + h.from, length);
            }
            if can != 0 {
                return Some(base + Minute::from(can.trailing_zeros()));
            }
        }
        None
    }

    /// The next minute worth trying where set-ups or the vessel forbid this start.
    fn too_early(&self, kind: &Kind, start: Minute, end: Minute) -> Option<Minute> {
        if let Some((resource, class)) = kind.set_up {
            let (list, matrix) = (&self.set_ups[resource], &self.shop.set_up[resource]);
            let at = list.partition_point(|x| x.0 <= start);
            if at > 0 {
                let (_, e, c) = list[at - 1];
                let ready = e + minutes(matrix, c, class);
                if ready > start {
                    return Some(ready);
                }
            }
            if let Some((s, e, c)) = list.get(at)
                && end + minutes(matrix, class, *c) > *s
            {
                return Some((*e).max(start + 1));
            }
        }
        if let Some((vessel, _, _)) = kind.batch
            && self.shop.vessels[vessel]
            && self.batch_starts[vessel].contains(&start)
        {
            return Some(start + 1);
        }
        None
    }

    /// The slot that starts last, from `from` on, and ends at or before `until`.
    pub(crate) fn latest(&self, task: u32, from: Minute, until: Minute, last_start: Minute) -> Option<Slot> {
        let kind = self.kind(task);
        let mut best: Option<Slot> = None;
        for (i, choice) in self.choices(task) {
            let floor = best.map_or(from, |b| b.start + 1).max(kind.earliest);
            if let Some((start, end)) = self.latest_of(kind, choice, floor, until, last_start) {
                best = Some(Slot {
                    start,
                    end,
                    choice: i,
                });
            }
        }
        best
    }

    fn latest_of(
        &self,
        kind: &Kind,
        choice: &Choice,
        floor: Minute,
        until: Minute,
        last_start: Minute,
    ) -> Option<(Minute, Minute)> {
        let starts = &self.shop.starts[choice.starts];
        let mut at = last_start.min(until - choice.duration);
        loop {
            let (start, end) = match &kind.walk {
                None => {
                    let start = self.previous_start(choice, at, floor)?;
                    (start, start + choice.duration)
                }
                Some(windows) => {
                    let back = Shop::walk_back(windows, until, choice.duration)?;
                    let start = starts.previous(at.min(back))?;
                    if start < floor {
                        return None;
                    }
                    let end = Shop::walk(windows, start, choice.duration)?;
                    let mut next = if end > until { Some(start - 1) } else { None };
                    for h in &choice.holds {
                        let (a, b) = span(h, start, end);
                        if let Some(busy) = self.room.first_busy(h.resource, h.quantity, a, b) {
                            // The hold must be over when the busy minute begins.
                            let back = match h.to {
                                Some(t) => busy - t,
                                None => Shop::walk_back(windows, busy, choice.duration)?,
                            };
                            next = Some(next.map_or(back, |n| n.min(back)).min(start - 1));
                        }
                    }
                    if let Some(n) = next {
                        at = n;
                        continue;
                    }
                    (start, end)
                }
            };
            if self.too_early(kind, start, end).is_none() {
                return Some((start, end));
            }
            at = start - 1;
        }
    }

    fn previous_start(&self, choice: &Choice, at: Minute, floor: Minute) -> Option<Minute> {
        if at < floor || at < 0 {
            return None;
        }
        let starts = &self.shop.starts[choice.starts];
        let top = (at as usize / 64).min(starts.words().checked_sub(1)?);
        for w in (floor.max(0) as usize / 64..=top).rev() {
            let base = (w * 64) as Minute;
            let mut can = starts.word(w);
            if at - base < 63 {
                can &= !0 >> (63 - (at - base));
            }
            for h in &choice.holds {
                if can == 0 {
                    break;
                }
                let length = h.to.unwrap_or(choice.duration) - h.from;
                can &= self.room.runs(h.resource, h.quantity, base + h.from, length);
            }
            if can != 0 {
                let start = base + 63 - Minute::from(can.leading_zeros());
                return (start >= floor).then_some(start);
            }
        }
        None
    }
}

fn span(h: &Hold, start: Minute, end: Minute) -> (Minute, Minute) {
    (start + h.from, h.to.map_or(end, |t| start + t))
}

fn minutes(matrix: &[Vec<Minute>], before: usize, after: usize) -> Minute {
    matrix
        .get(before)
        .and_then(|row| row.get(after))
        .copied()
        .unwrap_or(0)
}
