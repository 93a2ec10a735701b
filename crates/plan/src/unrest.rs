//! How much a new plan upsets those who follow the old one.

use crate::{Minute, Placed, Schedule};

/// A stamper or a table changes.
const TABLE: Minute = 5;
/// The work moves to another day.
const DAY: Minute = 3;
/// It moves by more than [`NOTICED`] within its day.
const HOUR: Minute = 1;
/// Minutes of a day that nobody minds.
const NOTICED: Minute = 30;
/// Today and tomorrow count this often.
const SOON: Minute = 3;

/// Changes between two plans of one problem. The points are a choice of the house (assumed).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unrest {
    /// Operations done at another table.
    pub tables: u32,
    /// Operations moved to another day.
    pub days: u32,
    /// Operations moved by more than half an hour within their day.
    pub hours: u32,
    /// 5 a table, 3 a day, 1 within a day; three times that for what was planned for today or tomorrow.
    pub points: Minute,
}

impl Unrest {
    /// Counts what is in both plans. `now` says which day is today.
    pub fn between(before: &Schedule, after: &Schedule, now: Minute) -> Self {
        let mut all = Self::default();
        for (at, was) in &before.placed {
            if let Some(is) = after.placed.get(at) {
                all.add(was, is, now);
            }
        }
        all
    }

    /// Counts one operation in.
    pub(crate) fn add(&mut self, was: &Placed, is: &Placed, now: Minute) {
        let day = |minute: Minute| minute.div_euclid(1440);
        let mut points = 0;
        if was.mode != is.mode {
            self.tables += 1;
            points += TABLE;
        }
        if day(was.start) != day(is.start) {
            self.days += 1;
            points += DAY;
        } else if (was.start - is.start).abs() > NOTICED {
            self.hours += 1;
            points += HOUR;
        }
        let soon = day(was.start).min(day(is.start)) <= day(now) + 1;
        self.points += points * if soon { SOON } else { 1 };
    }
}
