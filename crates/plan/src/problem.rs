//! What there is to plan: lots, operations, resources, calendars.
//!
//! Times are whole minutes from 00:00 of the plan's first day, local wall time; a duration is minutes too.

use std::ops::Range;

/// Minutes from 00:00 of the plan's first day.
pub type Minute = i64;

/// A stretch of time: from `start` up to, not including, `end`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Window {
    /// First minute.
    pub start: Minute,
    /// First minute after.
    pub end: Minute,
}

impl Window {
    /// A window from its ends.
    pub const fn new(start: Minute, end: Minute) -> Self {
        Self { start, end }
    }
    /// Length in minutes.
    pub const fn length(self) -> Minute {
        self.end - self.start
    }
}

/// Place of a calendar in [`Problem::calendars`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CalendarId(pub usize);

/// Place of a resource in [`Problem::resources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ResourceId(pub usize);

/// When something may happen: disjoint windows in rising order. What is not in a window is closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Calendar {
    /// Name, as people call it.
    pub name: String,
    /// Disjoint, rising, not touching.
    pub windows: Vec<Window>,
}

/// A station, a pool of places, people with one skill, or copies of a tool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resource {
    /// Name.
    pub name: String,
    /// How many units there are.
    pub capacity: u32,
    /// Set-up minutes `[before][after]` between classes of work (light to dark); empty: none. Counted on the
    /// wall clock: a clean-out may fall into the break. The resource is clean when the plan begins.
    pub set_up: Vec<Vec<Minute>>,
}

/// One hold of a resource during an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// The resource.
    pub resource: ResourceId,
    /// Units held.
    pub quantity: u32,
    /// Minutes after the operation's start.
    pub from: Minute,
    /// Minutes after the operation's start; `None`: to its end.
    pub to: Option<Minute>,
}

/// One of several resources that can do the work, and how long it takes there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mode {
    /// Held for the whole operation, one unit.
    pub resource: ResourceId,
    /// Minutes of work.
    pub duration: Minute,
}

/// Minutes of an operation at which somebody must be there: they lie in one window of a second calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Attendance {
    /// Minutes after the start.
    pub from: Minute,
    /// Minutes after the start.
    pub to: Minute,
    /// The calendar of whoever attends.
    pub calendar: CalendarId,
}

/// Bolts that go through one vessel together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Batch {
    /// The vessel. Bolts at the same operation in the same vessel from the same minute are one batch; its
    /// uses count once.
    pub vessel: ResourceId,
    /// Most bolts together.
    pub capacity: u32,
    /// Only bolts of one family go together.
    pub family: String,
}

/// The class of work that a resource with set-ups sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SetUp {
    /// The resource with the matrix.
    pub resource: ResourceId,
    /// Row and column of this work in the matrix.
    pub class: usize,
}

/// One operation of a lot's route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Operation {
    /// Permanent id of the step; also its name in messages.
    pub key: String,
    /// Minutes of work; ignored where there are modes.
    pub duration: Minute,
    /// Minutes of each bolt, where they differ as the loads of a bath that weakens do; empty: [`Operation::duration`]
    /// for all. Only where there are no modes. Bolts with different minutes do not go together, and what has a lower number
    /// is out of the bath before: see [`Operation::loads`].
    pub of_bolts: Vec<Minute>,
    /// When it may run.
    pub calendar: CalendarId,
    /// May rest over breaks, nights and Sundays: the work inside the calendar counts, and everything it uses
    /// stays held meanwhile. Others lie in one window.
    pub pausable: bool,
    /// What it holds.
    pub uses: Vec<Use>,
    /// When somebody must be there.
    pub attend: Option<Attendance>,
    /// Batch, if bolts go together.
    pub batch: Option<Batch>,
    /// Class of work, if the resource needs set-ups.
    pub set_up: Option<SetUp>,
    /// Alternatives; empty: none. One of them is chosen.
    pub modes: Vec<Mode>,
}

/// Time between the end of one operation and the start of a later one of the same bolt, on the wall clock:
/// nights count. Neighbours of a route follow each other even where no lag says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lag {
    /// Place of the earlier operation in the route.
    pub from: usize,
    /// Place of the later operation in the route.
    pub to: usize,
    /// Least minutes.
    pub least: Minute,
    /// Most minutes; `None`: no limit.
    pub most: Option<Minute>,
}

/// Somebody must have approved before the lot begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Approval {
    /// Minutes it takes.
    pub duration: Minute,
    /// When the person is there.
    pub calendar: CalendarId,
    /// The person, one unit held.
    pub resource: ResourceId,
    /// The strike-off: a lot that must be finished before.
    pub after_lot: Option<usize>,
}

/// Bolts that are made alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lot {
    /// Name.
    pub name: String,
    /// How many bolts.
    pub bolts: u32,
    /// Nothing of it starts before.
    pub release: Minute,
    /// Promised: the last bolt is packed by then.
    pub due: Minute,
    /// How much a minute late counts against other lots.
    pub weight: u32,
    /// Approval before the first operation.
    pub approval: Option<Approval>,
    /// Operations in order, the same for every bolt.
    pub route: Vec<Operation>,
    /// Time limits between operations.
    pub lags: Vec<Lag>,
}

/// What a minute of each evil costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weights {
    /// A weighted minute of a lot after its promise.
    pub tardiness: u32,
    /// A minute of the last lot's completion after [`Weights::origin`].
    pub makespan: u32,
    /// A minute of mean time between first start and last end of a bolt: work in progress.
    pub mean_flow: u32,
    /// Where the makespan is counted from.
    pub origin: Minute,
}

impl Default for Weights {
    /// 100 : 10 : 1, from minute 0. A choice of the house (assumed): promises first, then the makespan, then
    /// work in progress.
    fn default() -> Self {
        Self {
            tardiness: 100,
            makespan: 10,
            mean_flow: 1,
            origin: 0,
        }
    }
}

/// Everything the planner knows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// The day whose 00:00 is minute 0.
    pub first_day: sky::Date,
    /// Calendars.
    pub calendars: Vec<Calendar>,
    /// Resources.
    pub resources: Vec<Resource>,
    /// Lots.
    pub lots: Vec<Lot>,
    /// What counts.
    pub weights: Weights,
}

impl Problem {
    /// The windows of a calendar; none if there is no such calendar.
    pub fn windows(&self, id: CalendarId) -> &[Window] {
        self.calendars.get(id.0).map_or(&[], |c| &c.windows)
    }
    /// Name of a calendar.
    pub fn calendar_name(&self, id: CalendarId) -> &str {
        self.calendars.get(id.0).map_or("?", |c| &c.name)
    }
    /// Units of a resource; 0 if there is no such resource.
    pub fn capacity(&self, id: ResourceId) -> u32 {
        self.resources.get(id.0).map_or(0, |r| r.capacity)
    }
    /// Name of a resource.
    pub fn resource_name(&self, id: ResourceId) -> &str {
        self.resources.get(id.0).map_or("?", |r| &r.name)
    }
    /// First minute after the last window of any calendar.
    pub fn horizon(&self) -> Minute {
        self.calendars
            .iter()
            .filter_map(|c| c.windows.last())
            .map(|w| w.end)
            .max()
            .unwrap_or(0)
    }
    /// A minute as people write it: `2026-03-14 14:20`, the same in both languages.
    pub fn clock(&self, minute: Minute) -> String {
        let (day, of_day) = (minute.div_euclid(1440), minute.rem_euclid(1440));
        format!(
            "{} {:02}:{:02}",
            self.first_day.plus(day as i32),
            of_day / 60,
            of_day % 60
        )
    }
    /// Number of bolts.
    pub fn bolts(&self) -> usize {
        self.lots.iter().map(|l| l.bolts as usize).sum()
    }
    /// Name of a bolt: the lot's name and the bolt's number from 1.
    pub fn bolt_name(&self, lot: usize, bolt: u32) -> String {
        format!("{}#{}", self.lots.get(lot).map_or("?", |l| &l.name), bolt + 1)
    }
}

impl Operation {
    /// An operation that must run through, with nothing but a duration and a calendar.
    pub fn new(key: &str, duration: Minute, calendar: CalendarId) -> Self {
        Self {
            key: key.to_string(),
            duration,
            of_bolts: Vec::new(),
            calendar,
            pausable: false,
            uses: Vec::new(),
            attend: None,
            batch: None,
            set_up: None,
            modes: Vec::new(),
        }
    }
    /// Minutes of work on a bolt, where there are no modes.
    pub fn minutes(&self, bolt: u32) -> Minute {
        self.of_bolts.get(bolt as usize).copied().unwrap_or(self.duration)
    }
    /// The loads of a bath that weakens, in the order in which they go in: bolts that follow each other and take alike, up
    /// to a full batch. None where all bolts take alike.
    pub fn loads(&self) -> Vec<Range<u32>> {
        let most = self.batch.as_ref().map_or(1, |batch| batch.capacity.max(1)) as usize;
        let mut at = 0;
        self.of_bolts
            .chunk_by(|a, b| a == b)
            .flat_map(|alike| alike.chunks(most))
            .map(|load| {
                let first = at;
                at += load.len() as u32;
                first..at
            })
            .collect()
    }
    /// Minutes of work of the bolt and the mode that need least.
    pub fn least(&self) -> Minute {
        let modes = self.modes.iter().map(|mode| mode.duration).min();
        modes
            .or_else(|| self.of_bolts.iter().copied().min())
            .unwrap_or(self.duration)
    }
    /// Adds a hold of `quantity` units for the whole operation.
    #[must_use]
    pub fn holding(mut self, resource: ResourceId, quantity: u32) -> Self {
        self.uses.push(Use {
            resource,
            quantity,
            from: 0,
            to: None,
        });
        self
    }
}

impl Lot {
    /// All time limits, those of the file and those that say that neighbours follow each other.
    pub fn all_lags(&self) -> impl Iterator<Item = Lag> + '_ {
        let follow = (1..self.route.len())
            .map(|to| Lag {
                from: to - 1,
                to,
                least: 0,
                most: None,
            })
            .filter(|f| {
                !self
                    .lags
                    .iter()
                    .any(|l| l.from == f.from && l.to == f.to && l.least >= 0)
            });
        self.lags.iter().copied().chain(follow)
    }
}
