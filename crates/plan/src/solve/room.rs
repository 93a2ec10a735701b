//! What is free, minute by minute, as bits.
//!
//! Plane `k` of a resource has a bit per minute: at least `k` units are free. Taking `q` units over some
//! minutes moves plane `k + q` into plane `k` there; giving them back moves it up again. So the question
//! "from which of these 64 minutes are `q` units free for `d` minutes on end" is a few shifts and ands.

use crate::Minute;

pub(crate) struct Room {
    words: usize,
    /// First plane and number of planes of each resource.
    planes: Vec<(usize, usize)>,
    bits: Vec<u64>,
}

impl Room {
    /// All free. `capacities` are clipped by the caller to what can be asked for at once.
    pub(crate) fn new(capacities: &[u32], horizon: Minute) -> Self {
        // Two words of slack, so that a run that begins at the horizon may be asked for.
        let words = horizon.max(0) as usize / 64 + 3;
        let mut planes = Vec::new();
        let mut next = 0;
        for c in capacities {
            planes.push((next, *c as usize));
            next += *c as usize;
        }
        Self {
            words,
            planes,
            bits: vec![!0; next * words],
        }
    }

    fn plane(&self, resource: usize, quantity: u32) -> &[u64] {
        let (first, count) = self.planes[resource];
        if quantity as usize > count {
            return &[];
        }
        let at = (first + quantity as usize - 1) * self.words;
        &self.bits[at..at + self.words]
    }

    /// Takes units over `from..to`; they must be free.
    pub(crate) fn take(&mut self, resource: usize, quantity: u32, from: Minute, to: Minute) {
        let (first, count) = self.planes[resource];
        let q = quantity as usize;
        self.each_word(from, to, |bits, words, w, mask| {
            for k in 0..count {
                let at = (first + k) * words + w;
                let above = if k + q < count { bits[at + q * words] } else { 0 };
                bits[at] = (bits[at] & !mask) | (above & mask);
            }
        });
    }

    /// Gives units back that were taken over the same minutes.
    pub(crate) fn give(&mut self, resource: usize, quantity: u32, from: Minute, to: Minute) {
        let (first, count) = self.planes[resource];
        let q = quantity as usize;
        self.each_word(from, to, |bits, words, w, mask| {
            for k in (0..count).rev() {
                let at = (first + k) * words + w;
                let below = if k >= q { bits[at - q * words] } else { !0 };
                bits[at] = (bits[at] & !mask) | (below & mask);
            }
        });
    }

    fn each_word(&mut self, from: Minute, to: Minute, mut change: impl FnMut(&mut [u64], usize, usize, u64)) {
        let end = (self.words * 64) as Minute;
        let (from, to) = (from.clamp(0, end) as usize, to.clamp(0, end) as usize);
        if from >= to {
            return;
        }
        let (first, last) = (from / 64, (to - 1) / 64);
        for w in first..=last {
            let mut mask = !0u64;
            if w == first {
                mask &= !0 << (from % 64);
            }
            if w == last {
                mask &= !0 >> (63 - (to - 1) % 64);
            }
            change(&mut self.bits, self.words, w, mask);
        }
    }

    /// Bit `i` is set if `quantity` units are free from minute `at + i` for `length` minutes.
    #[inline]
    pub(crate) fn runs(&self, resource: usize, quantity: u32, at: Minute, length: Minute) -> u64 {
        let plane = self.plane(resource, quantity);
        let (mut at, mut left, mut all) = (at as usize, length as usize, !0u64);
        while left > 0 {
            let piece = left.min(64);
            let mut x = load(plane, at);
            let mut have = 1;
            while have * 2 <= piece {
                x &= x >> have;
                have *= 2;
            }
            if have < piece {
                x &= x >> (piece - have);
            }
            all &= x as u64;
            if all == 0 {
                break;
            }
            at += piece;
            left -= piece;
        }
        all
    }

    /// The last minute of `from..to` at which fewer than `quantity` units are free.
    pub(crate) fn last_busy(
        &self,
        resource: usize,
        quantity: u32,
        from: Minute,
        to: Minute,
    ) -> Option<Minute> {
        let plane = self.plane(resource, quantity);
        let (from, to) = (from.max(0) as usize, to.max(0) as usize);
        if from >= to {
            return None;
        }
        let (first, last) = (from / 64, (to - 1) / 64);
        for w in (first..=last).rev() {
            let mut busy = !plane.get(w).copied().unwrap_or(0);
            if w == last {
                busy &= !0 >> (63 - (to - 1) % 64);
            }
            if w == first {
                busy &= !0 << (from % 64);
            }
            if busy != 0 {
                return Some((w * 64 + 63 - busy.leading_zeros() as usize) as Minute);
            }
        }
        None
    }

    /// The first minute of `from..to` at which fewer than `quantity` units are free.
    pub(crate) fn first_busy(
        &self,
        resource: usize,
        quantity: u32,
        from: Minute,
        to: Minute,
    ) -> Option<Minute> {
        let plane = self.plane(resource, quantity);
        let (from, to) = (from.max(0) as usize, to.max(0) as usize);
        if from >= to {
            return None;
        }
        let (first, last) = (from / 64, (to - 1) / 64);
        for w in first..=last {
            let mut busy = !plane.get(w).copied().unwrap_or(0);
            if w == first {
                busy &= !0 << (from % 64);
            }
            if w == last {
                busy &= !0 >> (63 - (to - 1) % 64);
            }
            if busy != 0 {
                return Some((w * 64 + busy.trailing_zeros() as usize) as Minute);
            }
        }
        None
    }
}

/// 128 bits from a bit position; what lies beyond the plane is busy.
#[inline]
fn load(plane: &[u64], at: usize) -> u128 {
    let (w, shift) = (at / 64, at % 64);
    let word = |i: usize| u128::from(plane.get(i).copied().unwrap_or(0));
    let low = word(w) | word(w + 1) << 64;
    if shift == 0 {
        low
    } else {
        low >> shift | word(w + 2) << (128 - shift)
    }
}

/// A set of minutes: those at which an operation may start as far as calendars are concerned.
pub(crate) struct Minutes {
    bits: Vec<u64>,
}

impl Minutes {
    pub(crate) fn new(horizon: Minute) -> Self {
        Self {
            bits: vec![0; horizon.max(0) as usize / 64 + 1],
        }
    }
    /// Adds `from..to`.
    pub(crate) fn add(&mut self, from: Minute, to: Minute) {
        for m in from.max(0)..to {
            if let Some(w) = self.bits.get_mut(m as usize / 64) {
                *w |= 1 << (m % 64);
            }
        }
    }
    /// Keeps what both have.
    pub(crate) fn keep(&mut self, other: &Self) {
        for (a, b) in self.bits.iter_mut().zip(&other.bits) {
            *a &= b;
        }
    }
    #[inline]
    pub(crate) fn word(&self, w: usize) -> u64 {
        self.bits.get(w).copied().unwrap_or(0)
    }
    pub(crate) fn words(&self) -> usize {
        self.bits.len()
    }
    /// The first member at or after `from`.
    pub(crate) fn next(&self, from: Minute) -> Option<Minute> {
        let from = from.max(0) as usize;
        let mut mask = !0u64 << (from % 64);
        for w in from / 64..self.bits.len() {
            let c = self.bits[w] & mask;
            if c != 0 {
                return Some((w * 64 + c.trailing_zeros() as usize) as Minute);
            }
            mask = !0;
        }
        None
    }
    /// The last member at or before `to`.
    pub(crate) fn previous(&self, to: Minute) -> Option<Minute> {
        if to < 0 {
            return None;
        }
        let to = (to as usize).min(self.bits.len() * 64 - 1);
        let mut mask = !0u64 >> (63 - to % 64);
        for w in (0..=to / 64).rev() {
            let c = self.bits[w] & mask;
            if c != 0 {
                return Some((w * 64 + 63 - c.leading_zeros() as usize) as Minute);
            }
            mask = !0;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_taken_and_given_count_like_a_list_of_numbers() {
        let horizon = 400;
        let mut room = Room::new(&[1, 3], horizon);
        let mut free = vec![3i32; 400];
        let mut taken = Vec::new();
        let mut seed = 7u64;
        let mut next = |n: u64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % n
        };
        for round in 0..2000 {
            let (from, length, q) = (next(300) as i64, 1 + next(90) as i64, 1 + next(3) as u32);
            let span = from as usize..(from + length) as usize;
            let can = free[span.clone()].iter().all(|f| *f >= q as i32);
            assert_eq!(room.runs(1, q, from, length) & 1 == 1, can, "round {round}");
            assert_eq!(room.last_busy(1, q, from, from + length).is_none(), can);
            let first = span.clone().find(|m| free[*m] < q as i32).map(|m| m as i64);
            let last = span.clone().rev().find(|m| free[*m] < q as i32).map(|m| m as i64);
            assert_eq!(room.first_busy(1, q, from, from + length), first);
            assert_eq!(room.last_busy(1, q, from, from + length), last);
            if can {
                room.take(1, q, from, from + length);
                free[span].iter_mut().for_each(|f| *f -= q as i32);
                taken.push((q, from, length));
            } else if !taken.is_empty() {
                let (q, from, length) = taken.swap_remove(next(taken.len() as u64) as usize);
                room.give(1, q, from, from + length);
                free[from as usize..(from + length) as usize]
                    .iter_mut()
                    .for_each(|f| *f += q as i32);
            }
        }
        assert!(taken.len() > 3);
    }
}
