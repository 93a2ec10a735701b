//! Lateness that no order of lots avoids at one resource.
//!
//! Lots that share a resource finish on it one after the other. When the k-th of them has, k lots' work is done, so it is
//! no earlier than the k lightest lots' work takes on all units, walked through the calendar. Which lot is k-th is open:
//! the cheapest of all assignments of lots to places bounds the weighted lateness of any plan (the Hungarian method; Kuhn,
//! Naval Research Logistics Quarterly 2, 1955).

use crate::Minute;

/// A lot's part in the work on a resource.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    /// The lot.
    pub lot: usize,
    /// Minutes on the resource, all bolts.
    pub work: Minute,
    /// Least minutes from the end of that work to the lot's completion.
    pub rest: Minute,
}

/// A lot's promise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Promise {
    /// Earliest completion, as if it had the workshop to itself.
    pub done: Minute,
    pub due: Minute,
    pub weight: Minute,
}

impl Promise {
    /// Weighted minutes late if completed then, or as early as it can be.
    pub(crate) fn late(&self, completed: Minute) -> Minute {
        self.weight * (completed.max(self.done) - self.due).max(0)
    }
}

/// Least weighted lateness of these lots, which share a resource of so many units. `walk` says when work of so many
/// minutes that begins as early as any of it can is done; `None` where the calendars end before.
pub(crate) fn lateness(
    parts: &[Part],
    units: Minute,
    promises: &[Promise],
    walk: &dyn Fn(Minute) -> Option<Minute>,
) -> Option<Minute> {
    let mut works: Vec<Minute> = parts.iter().map(|part| part.work).collect();
    works.sort_unstable();
    let mut sum = 0;
    let mut ends = Vec::with_capacity(works.len());
    for work in works {
        sum += work;
        ends.push(walk((sum + units - 1) / units)?);
    }
    let cost = |part: &Part, end: &Minute| Some(promises.get(part.lot)?.late(end + part.rest));
    let costs: Option<Vec<Vec<Minute>>> = parts
        .iter()
        .map(|part| ends.iter().map(|end| cost(part, end)).collect())
        .collect();
    Some(assigned(&costs?))
}

/// The least sum of one entry of each row, each in another column: shortest augmenting paths with potentials.
fn assigned(costs: &[Vec<Minute>]) -> Minute {
    let n = costs.len();
    // Row of each column, and the potentials; column 0 stands for none.
    let (mut row_of, mut rows, mut columns) = (vec![0; n + 1], vec![0; n + 1], vec![0; n + 1]);
    for row in 1..=n {
        row_of[0] = row;
        let mut at = 0;
        let mut least = vec![Minute::MAX; n + 1];
        let mut came = vec![0; n + 1];
        let mut seen = vec![false; n + 1];
        loop {
            seen[at] = true;
            let here = row_of[at];
            let (mut step, mut next) = (Minute::MAX, 0);
            for column in 1..=n {
                if seen[column] {
                    continue;
                }
                let reduced = costs[here - 1][column - 1] - rows[here] - columns[column];
                if reduced < least[column] {
                    (least[column], came[column]) = (reduced, at);
                }
                if least[column] < step {
                    (step, next) = (least[column], column);
                }
            }
            for column in 0..=n {
                if seen[column] {
                    rows[row_of[column]] += step;
                    columns[column] -= step;
                } else if column > 0 {
                    least[column] -= step;
                }
            }
            at = next;
            if row_of[at] == 0 {
                break;
            }
        }
        while at != 0 {
            row_of[at] = row_of[came[at]];
            at = came[at];
        }
    }
    (1..=n).map(|column| costs[row_of[column] - 1][column - 1]).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All 120 assignments of five rows, written out by swapping.
    fn least(costs: &[Vec<Minute>], row: usize, free: &mut Vec<usize>) -> Minute {
        if row == costs.len() {
            return 0;
        }
        let mut best = Minute::MAX;
        for at in 0..free.len() {
            let column = free.swap_remove(at);
            best = best.min(costs[row][column] + least(costs, row + 1, free));
            free.push(column);
            let last = free.len() - 1;
            free.swap(at, last);
        }
        best
    }

    #[test]
    fn the_cheapest_of_all_assignments() {
        let mut seed = 7u64;
        for _ in 0..200 {
            let mut draw = || {
                seed = seed
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                (seed >> 33) as Minute % 50
            };
            let costs: Vec<Vec<Minute>> = (0..5).map(|_| (0..5).map(|_| draw()).collect()).collect();
            assert_eq!(assigned(&costs), least(&costs, 0, &mut (0..5).collect()));
        }
    }

    /// By hand: works of 10 and 30 on one unit. Whoever is first is done at 10 at the earliest, the second at 40; lots due
    /// at 20 with weights 1 and 3 are late by 20 at least, and it is the light one that should be.
    #[test]
    fn two_lots_by_hand() {
        let part = |lot, work| Part { lot, work, rest: 0 };
        let promise = |weight| Promise {
            done: 0,
            due: 20,
            weight,
        };
        let parts = [part(0, 10), part(1, 30)];
        assert_eq!(
            lateness(&parts, 1, &[promise(1), promise(3)], &|work| Some(work)),
            Some(20)
        );
        assert_eq!(
            lateness(&parts, 2, &[promise(1), promise(3)], &|work| Some(work)),
            Some(0)
        );
        assert_eq!(lateness(&parts, 1, &[promise(1), promise(3)], &|_| None), None);
    }
}
