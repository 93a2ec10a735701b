//! Lateness that no way of sharing one resource avoids.
//!
//! The resource's working time is cut into slots. Every lot needs its minutes in slots between its earliest start there and
//! its last work there, from which its completion follows. If each slot's minutes have a price, and each lot buys what it
//! needs where that and its lateness are cheapest, then what all pay, less what all slots are worth, is no more than the
//! lateness of any plan: one that fits pays at most what the slots are worth (Lagrangian relaxation of the capacities; Held
//! and Karp, Operations Research 18, 1970; Fisher, Management Science 27, 1981). Any prices give a bound. They are raised
//! where too much is bought and lowered where too little, as long as that helps.

use crate::Minute;

/// Rounds of prices. More gain little: what the last hundred add is under a hundredth on the workshops of the tests.
const ROUNDS: usize = 300;
/// Rounds without a better bound after which steps are halved.
const PATIENCE: usize = 12;
/// Rounds after which prices that gained nothing are given up.
const TRIED: usize = 30;

/// A lot at the resource.
#[derive(Clone, Debug)]
pub(crate) struct Buyer {
    /// Minutes it needs, on all units together.
    pub work: Minute,
    /// Units it can use at the same time, at most.
    pub units: Minute,
    /// The first slot in which any of it can be done.
    pub from: usize,
    /// Weighted lateness if its last work is done in a slot, by slot; it never falls. One more than there are slots: the
    /// last is for work after all of them.
    pub late: Vec<Minute>,
}

/// Least weighted lateness of all buyers, who share slots of so many minutes on all units together.
pub(crate) fn lateness(buyers: &[Buyer], length: Minute, units: Minute) -> f64 {
    let slots = buyers.iter().map(|buyer| buyer.late.len() - 1).min().unwrap_or(0);
    let room = (length * units) as f64;
    let mut prices = vec![0.0; slots];
    let (mut best, mut best_prices) = (f64::NEG_INFINITY, prices.clone());
    let (mut pace, mut since) = (1.0, 0);
    let mut used = vec![0.0; slots];
    let mut heap = Vec::new();
    let most = shared(buyers, room, length as f64, slots);
    let mut free = 0.0;
    for round in 0..ROUNDS {
        used.fill(0.0);
        let mut value = -room * prices.iter().sum::<f64>();
        for buyer in buyers {
            value += buyer.buy(&prices, length as f64, &mut used, &mut heap);
        }
        if round == 0 {
            free = value;
        }
        if round == TRIED && best <= free + 1e-6 {
            break;
        }
        if value > best * (1.0 + 1e-4) + 1e-6 || best == f64::NEG_INFINITY {
            since = 0;
        } else {
            since += 1;
        }
        if value > best {
            best = value;
            best_prices.copy_from_slice(&prices);
        }
        if best >= most - 1e-6 {
            break;
        }
        if since >= PATIENCE {
            (pace, since) = (pace / 2.0, 0);
            prices.copy_from_slice(&best_prices);
            if pace < 0.01 {
                break;
            }
            continue;
        }
        // A step towards what some way of sharing costs (Polyak's). Prices that are nothing cannot fall.
        let over = |(used, price): (&f64, &f64)| {
            if *price > 0.0 {
                used - room
            } else {
                (used - room).max(0.0)
            }
        };
        let size: f64 = used.iter().zip(&prices).map(over).map(|over| over * over).sum();
        if size <= 0.0 {
            break;
        }
        let step = pace * (most - value).max(0.0) / size;
        for (price, used) in prices.iter_mut().zip(&used) {
            *price = (*price + step * (used - room)).max(0.0);
        }
    }
    best.max(0.0)
}

/// What two ways of sharing cost, the cheaper one: whoever is late first goes first, or whoever would pay most for each
/// minute of work.
fn shared(buyers: &[Buyer], room: f64, length: f64, slots: usize) -> f64 {
    let due = |buyer: &Buyer| buyer.late.partition_point(|late| *late <= buyer.late[0]) as f64;
    let worth = |buyer: &Buyer| -(buyer.late[slots] as f64) / buyer.work.max(1) as f64;
    let of = |key: &dyn Fn(&Buyer) -> f64| {
        let mut order: Vec<&Buyer> = buyers.iter().collect();
        order.sort_by(|a, b| key(a).total_cmp(&key(b)));
        let mut left = vec![room; slots];
        let costs = order.into_iter().map(|buyer| {
            let mut work = buyer.work as f64;
            for (at, left) in left.iter_mut().enumerate().skip(buyer.from) {
                let done = work.min(*left).min(length * buyer.units as f64);
                (work, *left) = (work - done, *left - done);
                if work <= 0.0 {
                    return buyer.late[at];
                }
            }
            buyer.late[slots]
        });
        costs.sum::<Minute>() as f64
    };
    of(&due).min(of(&worth))
}

impl Buyer {
    /// What it pays at these prices, lateness and slots, where that is least. Adds what it buys to `used`.
    fn buy(&self, prices: &[f64], length: f64, used: &mut [f64], heap: &mut Vec<f64>) -> f64 {
        let each = length * self.units as f64;
        // Whole slots only: what is left of its work costs something, or nothing.
        let needs = (self.work as f64 / each).floor() as usize;
        let end = prices.len();
        let mut pays = (self.late[end] as f64, end);
        if needs == 0 {
            pays = (self.late[self.from.min(end)] as f64, self.from.min(end));
        } else {
            // The cheapest so many slots up to each; the dearest of them on top.
            heap.clear();
            let mut sum = 0.0;
            for (at, price) in prices.iter().enumerate().skip(self.from) {
                let place = heap.partition_point(|held| held > price);
                heap.insert(place, *price);
                sum += price;
                if heap.len() > needs {
                    sum -= heap.remove(0);
                }
                let paid = self.late[at] as f64 + sum * each;
                if heap.len() == needs && paid < pays.0 {
                    pays = (paid, at);
                }
            }
        }
        let mut bought: Vec<usize> = (self.from..end.min(pays.1 + 1)).collect();
        if pays.1 < end {
            bought.sort_by(|a, b| prices[*a].total_cmp(&prices[*b]).then(a.cmp(b)));
            for at in bought.into_iter().take(needs) {
                used[at] += each;
            }
        }
        pays.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Jobs on one machine: (work, release, due, weight).
    type Jobs = Vec<(Minute, usize, Minute, Minute)>;

    fn buyers(jobs: &Jobs, slots: usize) -> Vec<Buyer> {
        let one = |(work, from, due, weight): &(Minute, usize, Minute, Minute)| Buyer {
            work: *work,
            units: 1,
            from: *from,
            late: (0..=slots)
                .map(|at| weight * (at as Minute + 1 - due).max(0))
                .collect(),
        };
        jobs.iter().map(one).collect()
    }

    /// The least weighted lateness of all orders in which each job begins as soon as it can.
    fn least(jobs: &Jobs) -> Minute {
        fn go(jobs: &Jobs, left: &mut Vec<usize>, now: Minute) -> Minute {
            if left.is_empty() {
                return 0;
            }
            let mut best = Minute::MAX;
            for at in 0..left.len() {
                let job = left.remove(at);
                let (work, from, due, weight) = jobs[job];
                let end = now.max(from as Minute) + work;
                best = best.min(weight * (end - due).max(0) + go(jobs, left, end));
                left.insert(at, job);
            }
            best
        }
        go(jobs, &mut (0..jobs.len()).collect(), 0)
    }

    #[test]
    fn never_above_the_best_order_and_often_near_it() {
        let mut seed = 11u64;
        let mut draw = |below: i64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as i64 % below
        };
        let (mut bounds, mut bests) = (0.0, 0.0);
        for case in 0..300 {
            let count = 2 + draw(4);
            let jobs: Jobs = (0..count)
                .map(|_| (1 + draw(6), draw(8) as usize, 1 + draw(14), 1 + draw(5)))
                .collect();
            let bound = lateness(&buyers(&jobs, 40), 1, 1);
            let best = least(&jobs) as f64;
            assert!(
                bound <= best + 1e-6,
                "case {case}: {bound} above {best}: {jobs:?}"
            );
            bounds += bound;
            bests += best;
        }
        assert!(bounds > 0.8 * bests, "{bounds} of {bests}");
    }

    /// By hand: three jobs of 2 and weight 1, all due at 2: done at 2, 4 and 6, late by 0 + 2 + 4. With two units and two
    /// jobs that use one each, nobody is late.
    #[test]
    fn by_hand() {
        let three = vec![(2, 0, 2, 1); 3];
        let found = lateness(&buyers(&three, 20), 1, 1);
        assert!(found > 5.0 && found <= 6.0 + 1e-9, "{found}");
        assert_eq!(lateness(&buyers(&three[..2].to_vec(), 20), 1, 2), 0.0);
        assert_eq!(lateness(&[], 10, 1), 0.0);
    }
}
