//! The plan as work to be done: one node for each operation or load, what it holds, and what it waits for.

use super::pieces::{Ahead, Piece};
use crate::{Attendance, Minute, Problem, ResourceId, Schedule, Spot, Use};
use std::collections::BTreeMap;

/// One operation of the bolts that share it, or an approval.
pub(super) struct Node {
    /// Minute it is planned for.
    pub planned: Minute,
    /// Minute it is planned to end.
    pub end: Minute,
    /// It never begins before: the planned minute, or less where its lots have time in hand.
    pub earliest: Minute,
    /// The bolts' operations that it is; an approval is none.
    pub spots: Vec<Spot>,
    /// The lot that it approves.
    pub approves: Option<usize>,
    /// How it is done.
    pub mode: Option<usize>,
    /// As planned.
    pub duration: Minute,
    /// The most that a place is looked for: what must run through in one window finds none longer than the longest one.
    pub most: Minute,
    /// Place of its calendar.
    pub calendar: usize,
    pub pausable: bool,
    pub attend: Option<Attendance>,
    /// What it holds, in minutes of its planned duration.
    pub uses: Vec<Use>,
    /// Resource and class of its set-up.
    pub set_up: Option<(usize, usize)>,
}

/// `to` starts at least `least` and at most `most` after `from`'s end.
pub(super) struct Arc {
    pub from: usize,
    pub to: usize,
    pub least: Minute,
    pub most: Option<Minute>,
}

/// Everything that is done.
pub(crate) struct Net {
    pub(super) nodes: Vec<Node>,
    /// In the order of the node that waits.
    pub(super) arcs: Vec<Arc>,
    /// For each node its first arc in `arcs`, and one more.
    into: Vec<usize>,
    /// For each lot the nodes that end its bolts.
    pub(super) last: Vec<Vec<usize>>,
    /// What is done together, in the order of the plan.
    pub(super) pieces: Vec<Piece>,
    /// For each node what is looked at before it begins; `None` where nothing after it is in a hurry.
    pub(super) ahead: Vec<Option<Ahead>>,
}

impl Net {
    /// `None` if the plan is incomplete, or the work waits for itself.
    pub(crate) fn new(problem: &Problem, schedule: &Schedule) -> Option<Self> {
        let mut net = Self {
            nodes: Vec::new(),
            arcs: Vec::new(),
            into: Vec::new(),
            last: vec![Vec::new(); problem.lots.len()],
            pieces: Vec::new(),
            ahead: Vec::new(),
        };
        let node_of = net.operations(problem, schedule)?;
        net.lags(problem, &node_of);
        net.loads(problem, schedule, &node_of);
        net.approvals(problem, schedule, &node_of)?;
        net.arcs.sort_by_key(|arc| arc.to);
        net.into = (0..=net.nodes.len())
            .map(|node| net.arcs.partition_point(|arc| arc.to < node))
            .collect();
        net.put_together()?;
        Some(net)
    }

    /// A node for each operation. Bolts of one batch share theirs.
    fn operations(&mut self, problem: &Problem, schedule: &Schedule) -> Option<BTreeMap<Spot, usize>> {
        let mut node_of = BTreeMap::new();
        let mut batches = BTreeMap::new();
        for (lot, l) in problem.lots.iter().enumerate() {
            for bolt in 0..l.bolts {
                for (place, operation) in l.route.iter().enumerate() {
                    let spot = Spot {
                        lot,
                        bolt,
                        operation: place,
                    };
                    let placed = schedule.placed.get(&spot)?;
                    let load = operation
                        .batch
                        .as_ref()
                        .map(|b| (operation.key.as_str(), b.vessel, placed.start));
                    let known = load.and_then(|load| batches.get(&load).copied());
                    let node = known.unwrap_or(self.nodes.len());
                    node_of.insert(spot, node);
                    if place + 1 == l.route.len() {
                        self.last[lot].push(node);
                    }
                    if let Some(known) = known {
                        self.nodes[known].spots.push(spot);
                        continue;
                    }
                    if let Some(load) = load {
                        batches.insert(load, node);
                    }
                    let mode = placed.mode.and_then(|m| operation.modes.get(m));
                    let windows = problem.windows(operation.calendar);
                    let longest = windows.iter().map(|w| w.length()).max();
                    let duration = mode.map_or_else(|| operation.minutes(bolt), |m| m.duration);
                    let whole = |resource: ResourceId| Use {
                        resource,
                        quantity: 1,
                        from: 0,
                        to: None,
                    };
                    let own = mode.map(|mode| whole(mode.resource));
                    self.nodes.push(Node {
                        planned: placed.start,
                        end: placed.end,
                        earliest: placed.start,
                        spots: vec![spot],
                        approves: None,
                        mode: placed.mode,
                        duration,
                        most: match longest {
                            Some(longest) if !operation.pausable => longest.max(duration),
                            _ => Minute::MAX,
                        },
                        calendar: operation.calendar.0,
                        pausable: operation.pausable,
                        attend: operation.attend,
                        uses: operation.uses.iter().copied().chain(own).collect(),
                        set_up: operation.set_up.map(|s| (s.resource.0, s.class)),
                    });
                }
            }
        }
        Some(node_of)
    }

    fn lags(&mut self, problem: &Problem, node_of: &BTreeMap<Spot, usize>) {
        for (spot, node) in node_of {
            let lags = problem.lots[spot.lot].all_lags();
            for lag in lags.filter(|lag| lag.from == spot.operation) {
                let to = Spot {
                    operation: lag.to,
                    ..*spot
                };
                if let Some(to) = node_of.get(&to) {
                    self.arcs.push(Arc {
                        from: *node,
                        to: *to,
                        least: lag.least,
                        most: lag.most,
                    });
                }
            }
        }
    }

    /// A load waits for the one before in a bath that weakens, unless the plan has already begun otherwise.
    fn loads(&mut self, problem: &Problem, schedule: &Schedule, node_of: &BTreeMap<Spot, usize>) {
        for (lot, l) in problem.lots.iter().enumerate() {
            for (operation, o) in l.route.iter().enumerate() {
                for pair in o.loads().windows(2) {
                    let both = pair[0]
                        .clone()
                        .flat_map(|before| pair[1].clone().map(move |after| (before, after)));
                    for (before, after) in both {
                        let at = |bolt| Spot { lot, bolt, operation };
                        let placed = |bolt| schedule.get(lot, bolt, operation);
                        let in_order = placed(before)
                            .zip(placed(after))
                            .is_some_and(|(before, after)| before.end <= after.start);
                        if let (true, Some(from), Some(to)) =
                            (in_order, node_of.get(&at(before)), node_of.get(&at(after)))
                        {
                            self.arcs.push(Arc {
                                from: *from,
                                to: *to,
                                least: 0,
                                most: None,
                            });
                        }
                    }
                }
            }
        }
    }

    fn approvals(
        &mut self,
        problem: &Problem,
        schedule: &Schedule,
        node_of: &BTreeMap<Spot, usize>,
    ) -> Option<()> {
        for (lot, l) in problem.lots.iter().enumerate() {
            let Some(approval) = l.approval else { continue };
            let window = schedule.approvals.get(&lot)?;
            let node = self.nodes.len();
            self.nodes.push(Node {
                planned: window.start,
                end: window.end,
                earliest: window.start,
                spots: Vec::new(),
                approves: Some(lot),
                mode: None,
                duration: approval.duration,
                most: approval.duration,
                calendar: approval.calendar.0,
                pausable: false,
                attend: None,
                uses: vec![Use {
                    resource: approval.resource,
                    quantity: 1,
                    from: 0,
                    to: None,
                }],
                set_up: None,
            });
            let made = approval.after_lot.and_then(|of| self.last.get(of));
            let first = (0..l.bolts).filter_map(|bolt| {
                node_of.get(&Spot {
                    lot,
                    bolt,
                    operation: 0,
                })
            });
            let before = made.into_iter().flatten().map(|from| (*from, node));
            let arcs = before.chain(first.map(|to| (node, *to)));
            let arcs = arcs.map(|(from, to)| Arc {
                from,
                to,
                least: 0,
                most: None,
            });
            self.arcs.extend(arcs);
        }
        Some(())
    }

    /// What a node waits for, as places in `arcs`.
    pub(super) fn arcs_into(&self, node: usize) -> std::ops::Range<usize> {
        self.into[node]..self.into[node + 1]
    }

    /// Lets the work of each lot begin so many minutes before it is planned, but not before its release.
    pub(crate) fn lead(&mut self, problem: &Problem, lead: &[Minute]) {
        for node in &mut self.nodes {
            let lots = node.spots.iter().map(|spot| spot.lot).chain(node.approves);
            let mut released = Minute::MIN;
            let mut most = 0;
            for lot in lots {
                released = released.max(problem.lots.get(lot).map_or(0, |lot| lot.release).max(0));
                most = most.max(lead.get(lot).copied().unwrap_or(0));
            }
            node.earliest = (node.planned - most).max(released.min(node.planned));
        }
    }
}
