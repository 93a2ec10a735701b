//! When the workshop is open, the sun shines, and the designer is there.
//!
//! Everything ends as windows in minutes from 00:00 of a plan's first day, ready for [`crate::Calendar`].

use crate::{Minute, Window};
use sky::{Date, Place, Weekday, sun_day};
use std::collections::BTreeMap;

const DAY: Minute = 1440;

/// Working hours: shifts for each weekday, and other shifts on dated exceptions.
///
/// Shifts are windows in minutes after midnight (`Window::new(450, 720)` is 7:30 to 12:00); they may run past
/// midnight. Days that nobody mentions are closed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hours {
    week: [Vec<Window>; 7],
    exceptions: BTreeMap<Date, Vec<Window>>,
}

impl Hours {
    /// Never open.
    pub fn closed() -> Self {
        Self::default()
    }
    /// Opens on these weekdays, in addition to what was said before.
    #[must_use]
    pub fn open(mut self, days: &[Weekday], from: Minute, to: Minute) -> Self {
        for d in days {
            self.week[*d as usize] = union(&self.week[*d as usize], &[Window::new(from, to)]);
        }
        self
    }
    /// Cuts a break out of these weekdays (Friday's is longer).
    #[must_use]
    pub fn pause(mut self, days: &[Weekday], from: Minute, to: Minute) -> Self {
        for d in days {
            self.week[*d as usize] = subtract(&self.week[*d as usize], &[Window::new(from, to)]);
        }
        self
    }
    /// Other hours on the days `from..=to`: the fasting month, a market day. No shifts: closed.
    #[must_use]
    pub fn except(mut self, from: Date, to: Date, shifts: &[Window]) -> Self {
        for days in from.days..=to.days {
            self.exceptions.insert(Date { days }, union(&[], shifts));
        }
        self
    }
    /// Closed on this day.
    #[must_use]
    pub fn holiday(self, date: Date) -> Self {
        self.except(date, date, &[])
    }
    /// The windows of `days` days from `first` on.
    pub fn windows(&self, first: Date, days: u32) -> Vec<Window> {
        let mut out = Vec::new();
        for i in 0..Minute::from(days) {
            let date = first.plus(i as i32);
            let shifts = self
                .exceptions
                .get(&date)
                .unwrap_or(&self.week[date.weekday() as usize]);
            let shifted: Vec<Window> = shifts
                .iter()
                .map(|s| Window::new(s.start + i * DAY, s.end + i * DAY))
                .collect();
            out = union(&out, &shifted);
        }
        out
    }
}

/// Hours in which cloth dries in the sun.
#[derive(Clone, Debug, PartialEq)]
pub struct SunHours {
    /// Where the yard is.
    pub place: Place,
    /// Local time less UTC, minutes.
    pub utc_offset: Minute,
    /// The sun counts from this elevation on, degrees: 30 and more dries well (assumed; common practice is
    /// about 9:00 to 15:00 near the equator).
    pub elevation: f64,
    /// Minutes cut off the end of the day for rain, by month from January: the wet season's afternoons
    /// (yours; 0 where it is dry).
    pub rain_margin: [Minute; 12],
}

impl SunHours {
    /// The windows of `days` days from `first` on; none on days without sun above the elevation. Clouds are
    /// not foreseen.
    pub fn windows(&self, first: Date, days: u32) -> Vec<Window> {
        (0..days as i32)
            .filter_map(|i| {
                let date = first.plus(i);
                let (rise, set) = sun_day(self.place, date, self.utc_offset as f64, self.elevation).above?;
                let (_, month, _) = date.civil();
                let midnight = Minute::from(i) * DAY;
                let start = midnight + rise.ceil() as Minute;
                let margin = self.rain_margin.get(month as usize - 1).copied().unwrap_or(0);
                let end = midnight + set.floor() as Minute - margin;
                (end > start).then(|| Window::new(start, end))
            })
            .collect()
    }
}

/// Whole days of the week of each month that holds its `nth` Monday (1 to 4): visit weeks. Meet them with the
/// shop's hours by [`intersect`].
pub fn visit_weeks(nth: u32, first: Date, days: u32) -> Vec<Window> {
    let visit = |date: Date| {
        let monday = date.plus(-(date.weekday() as i32));
        let (_, _, day) = monday.civil();
        day.div_ceil(7) == nth
    };
    let all: Vec<Window> = (0..days as i32)
        .filter(|i| visit(first.plus(*i)))
        .map(|i| Window::new(Minute::from(i) * DAY, Minute::from(i + 1) * DAY))
        .collect();
    union(&[], &all)
}

/// Takes `minutes` off the beginning of each day's first window: wax must melt, a fire must burn.
pub fn warm_up(windows: &[Window], minutes: Minute) -> Vec<Window> {
    let mut day = None;
    let mut left = 0;
    let mut out = Vec::new();
    for w in windows {
        if day != Some(w.start.div_euclid(DAY)) {
            day = Some(w.start.div_euclid(DAY));
            left = minutes;
        }
        let cut = left.min(w.length());
        left -= cut;
        if cut < w.length() {
            out.push(Window::new(w.start + cut, w.end));
        }
    }
    out
}

/// What is in either; touching windows become one.
pub fn union(a: &[Window], b: &[Window]) -> Vec<Window> {
    let mut all: Vec<Window> = a.iter().chain(b).copied().filter(|w| w.length() > 0).collect();
    all.sort_unstable();
    let mut out: Vec<Window> = Vec::new();
    for w in all {
        match out.last_mut() {
            Some(last) if w.start <= last.end => last.end = last.end.max(w.end),
            _ => out.push(w),
        }
    }
    out
}

/// What is in both. Both in rising order.
pub fn intersect(a: &[Window], b: &[Window]) -> Vec<Window> {
    let mut out = Vec::new();
    let (mut i, mut j) = (0, 0);
    while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
        let both = Window::new(x.start.max(y.start), x.end.min(y.end));
        if both.length() > 0 {
            out.push(both);
        }
        if x.end <= y.end { i += 1 } else { j += 1 }
    }
    out
}

/// What is in `a` and not in `b`. Both in rising order.
pub fn subtract(a: &[Window], b: &[Window]) -> Vec<Window> {
    let mut out = Vec::new();
    for w in a {
        let mut from = w.start;
        for cut in b.iter().filter(|c| c.start < w.end && c.end > w.start) {
            if cut.start > from {
                out.push(Window::new(from, cut.start));
            }
            from = from.max(cut.end);
        }
        if from < w.end {
            out.push(Window::new(from, w.end));
        }
    }
    out
}
