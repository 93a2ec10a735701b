//! A plan as people use it: drawn by station or by lot, as load, as run sheets, as a calendar feed, as a table, as a
//! short text for a chat. All of them read [`View::pieces`]: what is done where, from when to when, on which bolts.

pub mod chart;
pub mod chat;
pub mod csv;
pub mod feed;
pub mod load;
mod places;
pub mod sheets;
pub(super) mod svg;

pub use places::{place_name, stamp, term};

use super::plan::Planned;
use ::plan::{Minute, Problem, ResourceId, Use};
use route::{Design, Workshop};
use sky::Date;
use std::collections::BTreeMap;
use std::sync::Arc;
use words::{Arg, Term, Voice, say, text};
use workspace::Workspace;

/// A plan and the workspace that it was made of.
#[derive(Clone, Copy)]
pub struct View<'a> {
    /// The workspace.
    pub workspace: &'a Workspace,
    /// Its workshop.
    pub shop: &'a Workshop,
    /// The plan.
    pub planned: &'a Planned,
}

/// Whole days of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Days {
    /// First day.
    pub first: Date,
    /// Last day, included.
    pub last: Date,
}

impl Days {
    /// One day.
    pub const fn one(day: Date) -> Self {
        Self {
            first: day,
            last: day,
        }
    }
    /// Is a day one of them?
    pub fn has(self, day: Date) -> bool {
        (self.first..=self.last).contains(&day)
    }
}

/// An operation of a bolt, or of all bolts of one load.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// First minute of the plan.
    pub start: Minute,
    /// First minute after, breaks included.
    pub end: Minute,
    /// The station it is done at: the first that it holds; else the first of whatever it holds.
    pub place: Option<ResourceId>,
    /// Everything that is held, each with its units, first minute, and first minute after.
    pub holds: Vec<(ResourceId, u32, Minute, Minute)>,
    /// Lot of the first bolt.
    pub lot: usize,
    /// Place of the operation in that lot's route; `None` for an approval.
    pub operation: Option<usize>,
    /// Bolts, as (lot, number from 0).
    pub bolts: Vec<(usize, u32)>,
}

impl<'a> View<'a> {
    /// A view; `None` without a workshop.
    pub fn new(workspace: &'a Workspace, planned: &'a Planned) -> Option<Self> {
        Some(Self {
            workspace,
            shop: workspace.workshop.as_ref()?,
            planned,
        })
    }

    /// What was planned.
    pub const fn problem(&self) -> &'a Problem {
        &self.planned.mapped.problem
    }

    /// Everything that is planned, in order of time.
    pub fn pieces(&self) -> Vec<Piece> {
        let problem = self.problem();
        let mut all: Vec<Piece> = Vec::new();
        // Loads: the same vessel, operation and minute.
        let mut loads: BTreeMap<(usize, &str, Minute), usize> = BTreeMap::new();
        for (spot, placed) in &self.planned.schedule.placed {
            let Some(operation) = problem
                .lots
                .get(spot.lot)
                .and_then(|lot| lot.route.get(spot.operation))
            else {
                continue;
            };
            let bolt = (spot.lot, spot.bolt);
            if let Some(batch) = &operation.batch {
                let key = (batch.vessel.0, operation.key.as_str(), placed.start);
                if let Some(load) = loads.get(&key).and_then(|at| all.get_mut(*at)) {
                    load.bolts.push(bolt);
                    continue;
                }
                loads.insert(key, all.len());
            }
            let mode = placed.mode.and_then(|mode| operation.modes.get(mode));
            let mode = mode.map(|mode| Use {
                resource: mode.resource,
                quantity: 1,
                from: 0,
                to: None,
            });
            let holds: Vec<_> = mode
                .iter()
                .chain(&operation.uses)
                .map(|held| {
                    let end = held.to.map_or(placed.end, |to| placed.start + to);
                    (held.resource, held.quantity, placed.start + held.from, end)
                })
                .collect();
            let first = holds.first().map(|(resource, ..)| *resource);
            let station = holds.iter().map(|(resource, ..)| *resource);
            all.push(Piece {
                start: placed.start,
                end: placed.end,
                place: station.into_iter().find(|at| self.is_station(*at)).or(first),
                holds,
                lot: spot.lot,
                operation: Some(spot.operation),
                bolts: vec![bolt],
            });
        }
        for (lot, window) in &self.planned.schedule.approvals {
            let Some(approval) = problem.lots.get(*lot).and_then(|lot| lot.approval) else {
                continue;
            };
            all.push(Piece {
                start: window.start,
                end: window.end,
                place: Some(approval.resource),
                holds: vec![(approval.resource, 1, window.start, window.end)],
                lot: *lot,
                operation: None,
                bolts: Vec::new(),
            });
        }
        all.sort_by(|a, b| {
            let key = |p: &Piece| {
                (
                    p.start,
                    p.place.map(|place| place.0),
                    p.lot,
                    p.bolts.first().copied(),
                )
            };
            key(a).cmp(&key(b))
        });
        all
    }

    /// Pieces that begin on some days.
    pub fn pieces_on(&self, days: Days) -> Vec<Piece> {
        let mut all = self.pieces();
        all.retain(|piece| days.has(self.date(piece.start)));
        all
    }

    /// Days on which something begins or ends; the plan's first day where nothing is planned.
    pub fn whole(&self) -> Days {
        let placed = &self.planned.schedule.placed;
        let first = placed.values().map(|p| p.start).min().unwrap_or(0);
        let last = placed.values().map(|p| p.end - 1).max().unwrap_or(0);
        Days {
            first: self.date(first),
            last: self.date(last.max(first)),
        }
    }

    /// The same, to the last promise at least.
    pub fn to_last_promise(&self) -> Days {
        let whole = self.whole();
        let due = self.problem().lots.iter().map(|lot| self.date(lot.due - 1)).max();
        Days {
            last: due.map_or(whole.last, |due| due.max(whole.last)),
            ..whole
        }
    }

    /// The day of a minute.
    pub fn date(&self, minute: Minute) -> Date {
        self.problem().first_day.plus(minute.div_euclid(1440) as i32)
    }

    /// Minute of a day's 00:00.
    pub fn midnight(&self, day: Date) -> Minute {
        (Minute::from(day.days) - Minute::from(self.problem().first_day.days)) * 1440
    }

    /// Design of a lot.
    pub fn design(&self, lot: usize) -> Option<&'a Arc<Design>> {
        self.workspace.design(&self.planned.mapped.lots.get(lot)?.design)
    }

    /// Number of a lot's operation's step as people call it, and its name; `None` for what is no step, such as a courier.
    pub fn step(&self, lot: usize, operation: usize) -> Option<(usize, &'static Term)> {
        let at = *self.planned.mapped.lots.get(lot)?.steps.get(operation)?;
        let step = self.design(lot)?.steps.get(at)?;
        Some((at + 1, &step.operation.kind().term))
    }

    /// Place of a piece's operation in the route of one of its lots: a load may hold bolts of several routes.
    pub fn operation_in(&self, piece: &Piece, lot: usize) -> Option<usize> {
        let lots = &self.problem().lots;
        let key = &lots.get(piece.lot)?.route.get(piece.operation?)?.key;
        lots.get(lot)?
            .route
            .iter()
            .position(|operation| operation.key == *key)
    }

    /// What a piece is, in words.
    pub fn what(&self, piece: &Piece, voice: Voice) -> String {
        let raw = |text: &words::Text| text.raw(voice.language).to_string();
        let Some(operation) = piece.operation else {
            return raw(text!("approval", "acc"));
        };
        match self.step(piece.lot, operation) {
            Some((_, term)) => raw(&term.text),
            None => raw(text!("courier", "kurir")),
        }
    }

    /// Name of a lot.
    pub fn lot(&self, lot: usize) -> &'a str {
        self.problem().lots.get(lot).map_or("?", |lot| lot.name.as_str())
    }

    /// Bolts as people write them: `o-101 1-3, 5; o-103 2`.
    pub fn bolts(&self, bolts: &[(usize, u32)]) -> String {
        let mut by_lot: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
        for (lot, bolt) in bolts {
            by_lot.entry(*lot).or_default().push(bolt + 1);
        }
        let one = |(lot, numbers): (&usize, &Vec<u32>)| format!("{} {}", self.lot(*lot), runs(numbers));
        by_lot.iter().map(one).collect::<Vec<_>>().join("; ")
    }

    /// What people call a lot: an order by its id; a strike-off by its design, with its number where there are several.
    pub fn called(&self, lot: usize, voice: Voice) -> String {
        let lots = &self.problem().lots;
        let (Some(design), true) = (self.design(lot), lots.get(lot).is_some_and(|lot| lot.weight == 0))
        else {
            return self.lot(lot).to_string();
        };
        let own = |at: &usize| lots[*at].weight == 0 && self.design(*at).is_some_and(|d| d.id == design.id);
        let rounds: Vec<usize> = (0..lots.len()).filter(own).collect();
        let name = Arg::Name(design.name.clone());
        if rounds.len() == 1 {
            return say!("{design} strike-off", "contoh {design}", design = name).say(voice);
        }
        let n = rounds.iter().position(|at| *at == lot).unwrap_or(0) + 1;
        let n = Arg::Number(n as f64, 0);
        say!(
            "{design} strike-off {n}",
            "contoh {design} ke-{n}",
            design = name,
            n = n
        )
        .say(voice)
    }

    /// Name of a resource in the reader's language.
    pub fn place(&self, resource: ResourceId, voice: Voice) -> String {
        place_name(self.problem().resource_name(resource), self.workspace, voice)
    }

    /// Is it a station of the workshop?
    pub fn is_station(&self, resource: ResourceId) -> bool {
        let name = self.problem().resource_name(resource);
        self.shop.station(places::key(name)).is_some()
    }
}

/// Numbers as people write them: 1-3, 5.
pub fn runs(numbers: &[u32]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in sorted {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == n => *last = n,
            _ => runs.push((n, n)),
        }
    }
    let one = |(first, last): &(u32, u32)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first}-{last}"),
    };
    runs.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// `14:20`: a clock, never a duration.
pub fn clock(minute: Minute) -> String {
    let of_day = minute.rem_euclid(1440);
    format!("{:02}:{:02}", of_day / 60, of_day % 60)
}

/// A day as people say it: `Fri 18 Dec`, `Jum 18 Des`.
pub fn day_name(date: Date, voice: Voice) -> String {
    let Some(day) = super::day_on_paper(date) else {
        return date.to_string();
    };
    let long = day.say(voice.language);
    let mut words = long.split(' ');
    let weekday: String = words.next().unwrap_or("").chars().take(3).collect();
    let rest: Vec<&str> = words.take(2).collect();
    format!("{weekday} {}", rest.join(" "))
}

#[cfg(test)]
mod tests {
    use super::{clock, day_name, runs};
    use sky::Date;
    use words::{Language, Voice};

    #[test]
    fn bolts_and_days_read_as_people_write_them() {
        assert_eq!(runs(&[3, 1, 2, 5]), "1-3, 5");
        assert_eq!(runs(&[4, 5]), "4, 5");
        assert_eq!(clock(1440 + 860), "14:20");
        // 18 December 2026 is a Friday: 1 December 2026 is a Tuesday (calendar).
        let day = Date::new(2026, 12, 18).expect("a day");
        let id = Voice {
            language: Language::Id,
            ..Voice::default()
        };
        assert_eq!(day_name(day, Voice::default()), "Fri 18 Dec");
        assert_eq!(day_name(day, id), "Jum 18 Des");
    }
}
