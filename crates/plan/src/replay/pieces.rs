//! What must be thought of together: work tied by greatest lags, with the loads it shares.

use super::net::Net;
use crate::Minute;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Nodes tied by greatest lags, each after those it waits for.
pub(super) type Piece = Vec<usize>;

/// What is looked at before a node begins.
pub(super) struct Ahead {
    /// The nodes of its piece that are played after it, in that order.
    pub nodes: Vec<usize>,
    /// Arcs with a greatest lag into these.
    pub waits: Vec<usize>,
}

impl Net {
    /// Finds the pieces, in the order in which they are played: as planned, but each after those it waits for. `None` if
    /// something waits for itself.
    pub(super) fn put_together(&mut self) -> Option<()> {
        let every: Vec<(usize, usize)> = self.arcs.iter().map(|arc| (arc.from, arc.to)).collect();
        let planned: Vec<Minute> = self.nodes.iter().map(|node| node.planned).collect();
        let order = sorted(&planned, &every)?;
        // A greatest lag ties both ways; so does whatever stands between two that are tied.
        let tied = self.arcs.iter().filter(|arc| arc.most.is_some());
        let both: Vec<(usize, usize)> = tied.map(|arc| (arc.to, arc.from)).chain(every.clone()).collect();
        let piece_of = knots(self.nodes.len(), &both);
        let count = piece_of.iter().max().map_or(0, |last| last + 1);
        let mut pieces: Vec<Piece> = vec![Vec::new(); count];
        for node in order {
            pieces[piece_of[node]].push(node);
        }
        let between: Vec<(usize, usize)> = every
            .iter()
            .map(|(from, to)| (piece_of[*from], piece_of[*to]))
            .filter(|(from, to)| from != to)
            .collect();
        // Of two that begin together, the one that goes on first.
        let times = |piece: &Piece| {
            let mut times: Vec<Minute> = piece.iter().map(|node| planned[*node]).collect();
            times.sort_unstable();
            times
        };
        let times: Vec<Vec<Minute>> = pieces.iter().map(times).collect();
        let times: Vec<&[Minute]> = times.iter().map(Vec::as_slice).collect();
        for at in sorted(&times, &between)? {
            self.pieces.push(std::mem::take(&mut pieces[at]));
        }
        self.ahead = (0..self.nodes.len()).map(|_| None).collect();
        for piece in &self.pieces {
            for (at, node) in piece.iter().enumerate() {
                let nodes = piece[at + 1..].to_vec();
                let into = nodes.iter().flat_map(|to| self.arcs_into(*to));
                let waits: Vec<usize> = into.filter(|arc| self.arcs[*arc].most.is_some()).collect();
                let open = |arc: &usize| piece[at..].contains(&self.arcs[*arc].from);
                if waits.iter().any(open) {
                    self.ahead[*node] = Some(Ahead { nodes, waits });
                }
            }
        }
        Some(())
    }
}

/// Everything after what it waits for, else by key. `None` where that goes in a circle.
fn sorted<K: Ord + Copy>(keys: &[K], arcs: &[(usize, usize)]) -> Option<Vec<usize>> {
    let mut waits = vec![0; keys.len()];
    let mut after = vec![Vec::new(); keys.len()];
    for (from, to) in arcs {
        waits[*to] += 1;
        after[*from].push(*to);
    }
    let free = (0..keys.len()).filter(|at| waits[*at] == 0);
    let mut heap: BinaryHeap<_> = free.map(|at| Reverse((keys[at], at))).collect();
    let mut order = Vec::with_capacity(keys.len());
    while let Some(Reverse((_, at))) = heap.pop() {
        order.push(at);
        for next in &after[at] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                heap.push(Reverse((keys[*next], *next)));
            }
        }
    }
    (order.len() == keys.len()).then_some(order)
}

/// The number of the knot that each lies in: two lie in one if each can be reached from the other (Kosaraju's two
/// passes; Sharir, Computers & Mathematics with Applications 7, 1981).
fn knots(count: usize, arcs: &[(usize, usize)]) -> Vec<usize> {
    let (mut out, mut back) = (vec![Vec::new(); count], vec![Vec::new(); count]);
    for (from, to) in arcs {
        out[*from].push(*to);
        back[*to].push(*from);
    }
    let mut seen = vec![false; count];
    let mut left = Vec::with_capacity(count);
    for root in 0..count {
        let mut stack = Vec::new();
        if !std::mem::replace(&mut seen[root], true) {
            stack.push((root, 0));
        }
        while let Some((at, next)) = stack.last_mut() {
            match out[*at].get(*next) {
                Some(to) => {
                    *next += 1;
                    if !std::mem::replace(&mut seen[*to], true) {
                        stack.push((*to, 0));
                    }
                }
                None => {
                    left.push(*at);
                    stack.pop();
                }
            }
        }
    }
    let mut knot = vec![usize::MAX; count];
    let mut found = 0;
    for root in left.into_iter().rev() {
        if knot[root] != usize::MAX {
            continue;
        }
        let mut stack = vec![root];
        while let Some(at) = stack.pop() {
            if knot[at] == usize::MAX {
                knot[at] = found;
                stack.extend(&back[at]);
            }
        }
        found += 1;
    }
    knot
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knots_and_orders_by_hand() {
        // 0 -> 1 <-> 2 -> 3, and 4 by itself.
        let knot = knots(5, &[(0, 1), (1, 2), (2, 1), (2, 3)]);
        assert_eq!(knot[1], knot[2]);
        let mut others = vec![knot[0], knot[1], knot[3], knot[4]];
        others.sort_unstable();
        assert_eq!(others, [0, 1, 2, 3]);
        assert_eq!(sorted(&[5, 1, 9, 0], &[(0, 1), (2, 3)]), Some(vec![0, 1, 2, 3]));
        assert_eq!(sorted(&[0, 0], &[(0, 1), (1, 0)]), None);
    }
}
