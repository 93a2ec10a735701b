//! The cheapest way to carry one heap onto another: the transportation problem, solved exactly.

use std::fmt;

/// Why a problem has no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// The list of costs is not as long as supplies times demands.
    Shape,
    /// A supply or demand is negative or no number, or all of one side are 0.
    Mass,
    /// A cost is negative or no number.
    Cost,
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Shape => "costs are not one for each supply and demand",
            Self::Mass => "supplies and demands are not finite, non-negative and somewhere positive",
            Self::Cost => "costs are not finite and non-negative",
        })
    }
}

impl std::error::Error for Unfit {}

/// The cheapest plan, and the proof that none is cheaper.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What the plan costs, per unit of mass carried.
    pub cost: f64,
    /// Share of the whole mass that goes from supply i to demand j, at `i * demands + j`.
    pub flow: Vec<f64>,
    /// Dual price of each supply.
    pub supply_price: Vec<f64>,
    /// Dual price of each demand. Nowhere do the two prices together exceed the cost, and where mass flows they are
    /// equal to it (to rounding): so the plan is optimal.
    pub demand_price: Vec<f64>,
}

/// Solves it: supplies and demands are each taken as shares of their sum; `cost` is row-major, one row a supply.
///
/// Successive shortest augmenting paths with node potentials (Edmonds and Karp 1972; Ahuja, Magnanti and Orlin,
/// Network Flows, 1993, 9.7), Dijkstra on the dense graph. Equal lengths are decided by fewer arcs, which bounds
/// the number of augmentations whatever the masses.
///
/// # Errors
/// [`Unfit`] if the input is not such a problem.
pub fn transport(supply: &[f64], demand: &[f64], cost: &[f64]) -> Result<Plan, Unfit> {
    if cost.len() != supply.len() * demand.len() {
        return Err(Unfit::Shape);
    }
    if cost.iter().any(|c| !c.is_finite() || *c < 0.0) {
        return Err(Unfit::Cost);
    }
    let mut network = Network {
        left: shares(supply)?,
        open: shares(demand)?,
        flow: vec![0.0; cost.len()],
        price: vec![0.0; supply.len() + demand.len()],
        cost,
    };
    while let Some(path) = network.shortest_path() {
        network.augment(&path);
    }
    let (sources, sinks) = network.price.split_at(supply.len());
    Ok(Plan {
        cost: network.flow.iter().zip(cost).map(|(f, c)| f * c).sum(),
        supply_price: sources.iter().map(|p| -p).collect(),
        demand_price: sinks.to_vec(),
        flow: network.flow,
    })
}

fn shares(mass: &[f64]) -> Result<Vec<f64>, Unfit> {
    let total: f64 = mass.iter().sum();
    if mass.iter().any(|m| *m < 0.0) || !total.is_finite() || total <= 0.0 {
        return Err(Unfit::Mass);
    }
    Ok(mass.iter().map(|m| m / total).collect())
}

/// Nodes are the supplies, then the demands.
struct Network<'a> {
    /// What each supply still has.
    left: Vec<f64>,
    /// What each demand still wants.
    open: Vec<f64>,
    flow: Vec<f64>,
    price: Vec<f64>,
    cost: &'a [f64],
}

/// Length of a path: sum of reduced costs, then number of arcs.
type Length = (f64, u32);

const FAR: Length = (f64::INFINITY, u32::MAX);

impl Network<'_> {
    /// Nodes of the shortest path from a supply that has something left to a demand that is open, backwards; none
    /// if all is carried (rounding may leave crumbs on one side). Prices are moved so that every arc of it is free.
    fn shortest_path(&mut self) -> Option<Vec<usize>> {
        let (sources, sinks) = (self.left.len(), self.open.len());
        let mut length: Vec<Length> = vec![FAR; sources + sinks];
        let mut before = vec![usize::MAX; sources + sinks];
        let mut done = vec![false; sources + sinks];
        for (l, left) in length.iter_mut().zip(&self.left) {
            if *left > 0.0 {
                *l = (0.0, 0);
            }
        }
        let goal = loop {
            let node = (0..length.len())
                .filter(|n| !done[*n] && length[*n].0 < f64::INFINITY)
                .min_by(|a, b| {
                    length[*a]
                        .0
                        .total_cmp(&length[*b].0)
                        .then(length[*a].1.cmp(&length[*b].1))
                })?;
            done[node] = true;
            if node >= sources && self.open[node - sources] > 0.0 {
                break node;
            }
            let (reached, arcs) = length[node];
            let mut relax = |to: usize, reduced: f64| {
                // Rounding may leave a free arc slightly below 0.
                let longer = (reached + reduced.max(0.0), arcs + 1);
                if !done[to] && longer < length[to] {
                    length[to] = longer;
                    before[to] = node;
                }
            };
            if node < sources {
                for j in 0..sinks {
                    let reduced = self.cost[node * sinks + j] + self.price[node] - self.price[sources + j];
                    relax(sources + j, reduced);
                }
            } else {
                for i in (0..sources).filter(|i| self.flow[i * sinks + node - sources] > 0.0) {
                    let reduced = self.price[node] - self.price[i] - self.cost[i * sinks + node - sources];
                    relax(i, reduced);
                }
            }
        };
        let whole = length[goal].0;
        for (price, (l, _)) in self.price.iter_mut().zip(&length) {
            *price += l.min(whole);
        }
        let mut path = vec![goal];
        let mut node = goal;
        while before[node] != usize::MAX {
            node = before[node];
            path.push(node);
        }
        Some(path)
    }

    /// Sends as much as fits along a path of nodes, goal first.
    fn augment(&mut self, path: &[usize]) {
        let (sources, sinks) = (self.left.len(), self.open.len());
        let (goal, start) = (path[0] - sources, path[path.len() - 1]);
        let arc = |to: usize, from: usize| {
            if from < sources {
                (from * sinks + to - sources, true)
            } else {
                (to * sinks + from - sources, false)
            }
        };
        let mut amount = self.left[start].min(self.open[goal]);
        for pair in path.windows(2) {
            if let (at, false) = arc(pair[0], pair[1]) {
                amount = amount.min(self.flow[at]);
            }
        }
        self.left[start] -= amount;
        self.open[goal] -= amount;
        for pair in path.windows(2) {
            match arc(pair[0], pair[1]) {
                (at, true) => self.flow[at] += amount,
                (at, false) => self.flow[at] -= amount,
            }
        }
    }
}
