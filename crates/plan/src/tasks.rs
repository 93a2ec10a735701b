//! From routes to the planner's problem.
//!
//! | of an operation's occupancy | becomes |
//! | --- | --- |
//! | likely work | duration, whole minutes, at least one; the spread is for replays |
//! | uses | holds of stations, people (by key) and stamps (a resource per stamp, as many units as copies) |
//! | calendar | calendar of the same key; under the sun the first five minutes also lie in shop hours: the cloth is carried out then |
//! | may pause | pausable |
//! | batch | vessel and whole bolts; bolts of any lot go together if the same operation has the same settings |
//! | darkness | class of a vessel with set-ups: none to the same, 15 min to a darker, 45 to a lighter bath (assumed) |
//! | then | lag to the next occupancy |
//!
//! An order is a lot: all its bolts take the same route. A vessel with set-ups that has several places becomes one
//! resource a place, and the operation may take any of them.

use crate::problem::{
    Attendance, Batch, Calendar, CalendarId, Lag, Lot, Minute, Mode, Operation, Problem, Resource,
    ResourceId, SetUp, Use, Weights,
};
use route::{Design, LotShape, Occupancy, Value, Workshop, along};
use sky::Date;
use words::{Arg, Finding, Place, Weight, say};

/// Minutes to carry cloth into the sun (common practice, no source).
const CARRY: Minute = 5;
/// Classes of darkness, 0 light to 5 dark, and the minutes between them (assumed; every workshop has its own).
const CLASSES: usize = 6;
const TO_DARKER: Minute = 15;
const TO_LIGHTER: Minute = 45;

/// An order as the planner sees it.
pub struct Order<'a> {
    /// Name of the lot.
    pub name: String,
    /// What is made.
    pub design: &'a Design,
    /// How many bolts.
    pub bolts: u32,
    /// Not before this minute of the plan.
    pub release: Minute,
    /// Promised for this minute of the plan.
    pub due: Minute,
    /// How much a minute late counts.
    pub weight: u32,
}

/// The problem of making `orders` in a workshop, in its calendars. `copies` says how many copies there are of a stamp of
/// a design.
///
/// # Errors
/// Findings for everything an operation needs and the workshop does not have.
pub fn problem(
    first_day: Date,
    calendars: Vec<Calendar>,
    orders: &[Order],
    shop: &Workshop,
    copies: &dyn Fn(&str, &str) -> u32,
) -> Result<Problem, Vec<Finding>> {
    let mut make = Make {
        shop,
        copies,
        problem: Problem {
            first_day,
            calendars,
            weights: Weights::default(),
            ..Problem::default()
        },
        findings: Vec::new(),
    };
    for order in orders {
        let lot = make.lot(order);
        make.problem.lots.push(lot);
    }
    if make.findings.is_empty() {
        Ok(make.problem)
    } else {
        Err(make.findings)
    }
}

struct Make<'a> {
    shop: &'a Workshop,
    copies: &'a dyn Fn(&str, &str) -> u32,
    problem: Problem,
    findings: Vec<Finding>,
}

impl Make<'_> {
    fn lot(&mut self, order: &Order) -> Lot {
        let shape = LotShape::new(&order.name, order.bolts, 0, order.design.cloth);
        let (mut route, mut lags) = (Vec::new(), Vec::new());
        let mut seen: Vec<&str> = Vec::new();
        for part in along(order.design, &shape, self.shop) {
            let operation = &part.step.operation;
            let kind = operation.kind().key;
            seen.push(kind);
            let times = seen.iter().filter(|k| **k == kind).count();
            // The same name for the same step of any design, so that bolts of several lots can share a load.
            let key = if times == 1 {
                kind.to_string()
            } else {
                format!("{kind}-{times}")
            };
            let family = family(order.design, operation.values().iter().map(|(_, value)| value));
            for (n, occupancy) in operation
                .occupies(&part.before, order.design, &shape, self.shop)
                .iter()
                .enumerate()
            {
                let key = if n == 0 {
                    key.clone()
                } else {
                    format!("{key}.{}", n + 1)
                };
                let at = route.len();
                route.push(self.operation(&key, &family, occupancy, order, &part.step.id));
                lags.push(Lag {
                    from: at,
                    to: at + 1,
                    least: up(occupancy.then.least.to_min()),
                    most: occupancy.then.most.map(|most| most.to_min() as Minute),
                });
            }
        }
        lags.pop();
        lags.retain(|lag| lag.least > 0 || lag.most.is_some());
        Lot {
            name: order.name.clone(),
            bolts: order.bolts,
            release: order.release,
            due: order.due,
            weight: order.weight,
            approval: None,
            route,
            lags,
        }
    }

    fn operation(
        &mut self,
        key: &str,
        family: &str,
        occupancy: &Occupancy,
        order: &Order,
        step: &str,
    ) -> Operation {
        let duration = minutes(occupancy);
        let calendar = self.calendar(occupancy.calendar, step);
        let mut operation = Operation {
            pausable: occupancy.may_pause,
            ..Operation::new(key, duration, calendar)
        };
        let class = occupancy.darkness.map(|d| (d.max(0.0) as usize).min(CLASSES - 1));
        for held in &occupancy.uses {
            let vessel = self.shop.station(&held.what);
            // The first station of an operation that minds the shade is the vessel that must be cleaned.
            if let (Some(class), Some(station), None) = (class, vessel, operation.set_up) {
                let places: Vec<ResourceId> = (1..=station.places.max(1))
                    .map(|n| self.vessel(&held.what, n, station.places))
                    .collect();
                operation.set_up = Some(SetUp {
                    resource: places[0],
                    class,
                });
                if let [one] = places[..] {
                    operation.uses.push(hold(one, held));
                } else {
                    operation.modes = places
                        .into_iter()
                        .map(|resource| Mode { resource, duration })
                        .collect();
                }
                continue;
            }
            if let Some(resource) = self.resource(&held.what, order, step) {
                operation.uses.push(hold(resource, held));
            }
        }
        if occupancy.calendar == "sun" {
            let calendar = self.calendar("shop", step);
            operation.attend = Some(Attendance {
                from: 0,
                to: CARRY.min(duration),
                calendar,
            });
        }
        if let Some(batch) = &occupancy.batch {
            let bolts = (batch.capacity.0 / order.design.cloth.length.0 + 1e-3)
                .floor()
                .max(1.0) as u32;
            if let Some(vessel) = self.resource(&batch.vessel, order, step) {
                operation.batch = Some(Batch {
                    vessel,
                    capacity: bolts,
                    family: family.to_string(),
                });
            }
        }
        operation
    }

    fn calendar(&mut self, key: &str, step: &str) -> CalendarId {
        if let Some(at) = self.problem.calendars.iter().position(|c| c.name == key) {
            return CalendarId(at);
        }
        self.missing("calendar-missing", key, step);
        CalendarId(0)
    }

    /// A station, a role or a stamp, by key.
    fn resource(&mut self, what: &str, order: &Order, step: &str) -> Option<ResourceId> {
        let (name, capacity) = if let Some(stamp) = what.strip_prefix("stamp:") {
            (
                format!("stamp:{}/{stamp}", order.design.id),
                (self.copies)(&order.design.id, stamp).max(1),
            )
        } else if let Some(station) = self.shop.station(what) {
            (what.to_string(), station.places)
        } else if let Some(person) = self.shop.person(what) {
            (what.to_string(), person.count)
        } else {
            self.missing("resource-missing", what, step);
            return None;
        };
        Some(self.named(&name, capacity, Vec::new()))
    }

    /// Place `n` of a vessel with set-ups.
    fn vessel(&mut self, key: &str, n: u32, places: u32) -> ResourceId {
        let name = if places > 1 {
            format!("{key} {n}")
        } else {
            key.to_string()
        };
        let between = |before: usize, after: usize| match before.cmp(&after) {
            std::cmp::Ordering::Equal => 0,
            std::cmp::Ordering::Less => TO_DARKER,
            std::cmp::Ordering::Greater => TO_LIGHTER,
        };
        let matrix = (0..CLASSES)
            .map(|before| (0..CLASSES).map(|after| between(before, after)).collect())
            .collect();
        self.named(&name, 1, matrix)
    }

    fn named(&mut self, name: &str, capacity: u32, set_up: Vec<Vec<Minute>>) -> ResourceId {
        let at = self
            .problem
            .resources
            .iter()
            .position(|r| r.name == name)
            .unwrap_or_else(|| {
                self.problem.resources.push(Resource {
                    name: name.to_string(),
                    capacity,
                    set_up,
                });
                self.problem.resources.len() - 1
            });
        ResourceId(at)
    }

    fn missing(&mut self, code: &'static str, key: &str, step: &str) {
        let finding = Finding::new(
            code,
            Weight::Wrong,
            Place::Step {
                id: step.to_string(),
                setting: None,
            },
            say!(
                "the workshop has no {key}, which this step needs",
                "bengkel tidak punya {key} yang diperlukan langkah ini",
                key = Arg::Name(key.to_string())
            ),
        )
        .remedy(say!("add it to the workshop file", "tambahkan di berkas bengkel"));
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }
}

/// Minutes that an occupancy is planned with.
pub fn minutes(occupancy: &Occupancy) -> Minute {
    (occupancy.work.likely.to_min().round() as Minute).max(1)
}

fn hold(resource: ResourceId, held: &route::Use) -> Use {
    Use {
        resource,
        quantity: held.count,
        from: held.from.to_min() as Minute,
        to: held.to.map(|to| up(to.to_min())),
    }
}

/// Whole minutes, none lost; a millionth of a minute is rounding.
fn up(minutes: f64) -> Minute {
    (minutes - 1e-6).ceil() as Minute
}

/// What must be alike for bolts to share a load: the settings as they were typed.
fn family<'a>(design: &Design, values: impl Iterator<Item = &'a Value>) -> String {
    let words: Vec<String> = values
        .map(|value| match value {
            Value::Quantity(typed) => format!("{:e}", typed.quantity.si),
            Value::Choice(word) => (*word).to_string(),
            Value::Dyes(doses) => {
                let one = |d: &route::DyeDose| {
                    let id = design.dyes.get(d.dye).map_or("?", |card| &card.id);
                    format!("{id}:{:e}", d.depth.quantity.si)
                };
                doses.iter().map(one).collect::<Vec<_>>().join("+")
            }
            Value::Stamp(at) => at.to_string(),
        })
        .collect();
    words.join(" ")
}
