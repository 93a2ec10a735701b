//! When the workshop works: shifts per weekday, holidays, visit weeks, and the sun.

use crate::read::{Item, Table};
use route::Climate;
use sky::{Date, Place, sun_day};
use units::Measure;
use words::{Arg, Finding, Weight, say};

/// A stretch of one day, minutes after midnight, local time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shift {
    /// First minute.
    pub start: u16,
    /// First minute after.
    pub end: u16,
}

/// The hours of a calendar on ordinary days.
#[derive(Clone, Debug, PartialEq)]
pub enum Hours {
    /// Shifts per weekday.
    Week {
        /// Monday to Sunday; shifts in rising order, apart from each other.
        days: [Vec<Shift>; 7],
        /// Only in these weeks of the month; the n-th week begins with the month's n-th Monday. Empty: always.
        weeks: Vec<u32>,
    },
    /// While the sun is high enough.
    Sun {
        /// Least true elevation of the sun, degrees.
        least_elevation: f64,
        /// Not before, minutes after midnight.
        earliest: u16,
        /// Not after, minutes after midnight.
        latest: u16,
    },
}

/// Days that differ from the others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exception {
    /// Why.
    pub name: String,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// Hours of these days instead of the usual ones; none: closed. For a sun calendar the sun must shine too.
    /// Over several days they hold for those that are open otherwise: a fasting month opens no Sunday. A single
    /// day they open whatever its weekday.
    pub hours: Vec<Shift>,
}

/// One calendar of the workshop.
#[derive(Clone, Debug, PartialEq)]
pub struct CalendarSpec {
    /// Key, as operations use it ("shop", "sun").
    pub key: String,
    /// Hours of ordinary days.
    pub hours: Hours,
    /// Other days; where several hold, the last one in the file counts.
    pub exceptions: Vec<Exception>,
}

impl CalendarSpec {
    /// Open hours of a day, in rising order; none on a closed day.
    pub fn shifts_on(&self, date: Date, climate: &Climate) -> Vec<Shift> {
        let other = self
            .exceptions
            .iter()
            .rev()
            .find(|e| e.from <= date && date <= e.to);
        match &self.hours {
            Hours::Week { days, weeks } => {
                let weekday = date.weekday() as usize;
                let monday = Date {
                    days: date.days - weekday as i32,
                };
                let nth = (monday.civil().2 - 1) / 7 + 1;
                let usual: &[Shift] = if weeks.is_empty() || weeks.contains(&nth) {
                    &days[weekday]
                } else {
                    &[]
                };
                match other {
                    Some(other) if other.from == other.to || !usual.is_empty() => other.hours.clone(),
                    _ => usual.to_vec(),
                }
            }
            Hours::Sun {
                least_elevation,
                earliest,
                latest,
            } => {
                let place = Place {
                    latitude: climate.latitude,
                    longitude: climate.longitude,
                };
                let Some((rise, set)) =
                    sun_day(place, date, climate.utc_hours * 60.0, *least_elevation).above
                else {
                    return Vec::new();
                };
                let minute = |m: f64| m.clamp(0.0, 1440.0) as u16;
                let sun = Shift {
                    start: minute(rise.ceil()).max(*earliest),
                    end: minute(set.floor()).min(*latest),
                };
                let whole = [Shift { start: 0, end: 1440 }];
                let open = other.map_or(&whole[..], |o| &o.hours);
                open.iter()
                    .map(|o| Shift {
                        start: sun.start.max(o.start),
                        end: sun.end.min(o.end),
                    })
                    .filter(|s| s.start < s.end)
                    .collect()
            }
        }
    }
}

const WEEKDAYS: [&str; 7] = [
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
];
const SUN: [&str; 3] = ["least_elevation", "earliest", "latest"];
const EXCEPTION: [&str; 5] = ["name", "from", "to", "hours", "calendars"];

/// Reads `[calendars.<key>]` and `[[exceptions]]`.
pub(crate) fn read(workshop: &Table) -> Vec<CalendarSpec> {
    let mut calendars: Vec<CalendarSpec> = workshop
        .item("calendars")
        .and_then(|item| item.open_table())
        .map(|table| {
            table
                .items()
                .filter_map(|(key, _, item)| calendar(key, item))
                .collect()
        })
        .unwrap_or_default();
    for entry in workshop.tables("exceptions", &EXCEPTION) {
        exception(&entry, &mut calendars);
    }
    calendars
}

fn calendar(key: &str, item: Item) -> Option<CalendarSpec> {
    let table = item.open_table()?;
    let hours = if SUN.iter().any(|k| table.maybe(k).is_some()) {
        table.only(&SUN);
        let elevation = table.within("least_elevation", Measure::Angle, 0.0, 80f64.to_radians());
        let clock = |key| table.item(key).and_then(|i| clock(i));
        let (earliest, latest) = (clock("earliest"), clock("latest"));
        Hours::Sun {
            least_elevation: elevation?.to_degrees(),
            earliest: earliest?,
            latest: latest?,
        }
    } else {
        let keys: Vec<&'static str> = WEEKDAYS.into_iter().chain(["weeks"]).collect();
        table.only(&keys);
        let days = WEEKDAYS.map(|day| table.maybe(day).map_or_else(Vec::new, shifts));
        let weeks = table.maybe("weeks").and_then(|i| i.list()).unwrap_or_default();
        Hours::Week {
            days,
            weeks: weeks.iter().filter_map(|w| w.whole(1, 5)).collect(),
        }
    };
    Some(CalendarSpec {
        key: key.to_string(),
        hours,
        exceptions: Vec::new(),
    })
}

fn exception(entry: &Table, calendars: &mut [CalendarSpec]) {
    let name = entry.text("name");
    let from = entry.date("from");
    let to = if entry.maybe("to").is_some() {
        entry.date("to")
    } else {
        from
    };
    let hours = entry.maybe("hours").map_or_else(Vec::new, shifts);
    let known: Vec<String> = calendars.iter().map(|c| c.key.clone()).collect();
    let mut named = Vec::new();
    let list = entry.maybe("calendars").and_then(|item| item.list());
    for item in list.iter().flatten() {
        let Some(key) = item.text() else { continue };
        if known.iter().any(|k| k == key) {
            named.push(key);
        } else {
            item.unknown("calendar-not-known", key, known.iter().map(String::as_str));
        }
    }
    let (Some(name), Some(from), Some(to)) = (name, from, to) else {
        return;
    };
    if to < from {
        entry.sheet().add(
            Finding::new(
                "days-reversed",
                Weight::Wrong,
                entry.place_of("to"),
                say!(
                    "\"{name}\" ends before it begins",
                    "\"{name}\" berakhir sebelum dimulai",
                    name = Arg::Name(name)
                ),
            )
            .remedy(say!(
                "change the days of {from} and {to}",
                "tukar hari {from} dan {to}",
                from = Arg::Name("from".into()),
                to = Arg::Name("to".into())
            )),
        );
        return;
    }
    let exception = Exception {
        name,
        from,
        to,
        hours,
    };
    for calendar in calendars {
        if list.is_none() || named.contains(&calendar.key.as_str()) {
            calendar.exceptions.push(exception.clone());
        }
    }
}

/// Shifts like `["07:30-12:00", "13:00-16:30"]`.
fn shifts(item: Item) -> Vec<Shift> {
    let mut shifts: Vec<Shift> = Vec::new();
    for entry in item.list().unwrap_or_default() {
        let Some(text) = entry.text() else { continue };
        let shift = text
            .split_once('-')
            .and_then(|(a, b)| Some((minutes(a)?, minutes(b)?)));
        match shift {
            Some((start, end)) if start < end && shifts.last().is_none_or(|s| s.end <= start) => {
                shifts.push(Shift { start, end });
            }
            Some((start, end)) => {
                let found = if start < end {
                    say!(
                        "the shift {shift} begins before the one before it has ended",
                        "giliran {shift} mulai sebelum giliran sebelumnya selesai",
                        shift = Arg::Name(text.into())
                    )
                } else {
                    say!(
                        "the shift {shift} ends before it begins",
                        "giliran {shift} berakhir sebelum dimulai",
                        shift = Arg::Name(text.into())
                    )
                };
                entry.add(entry.wrong("shift-order", found).allow(say!(
                    "shifts of one day in rising order",
                    "giliran satu hari berurutan naik"
                )));
            }
            None => entry.add(
                entry
                    .wrong(
                        "shift",
                        say!(
                            "\"{found}\" is not a shift",
                            "\"{found}\" bukan giliran kerja",
                            found = Arg::Name(text.chars().take(40).collect())
                        ),
                    )
                    .allow(say!(
                        "from and to on the 24-hour clock: {example}",
                        "mulai dan selesai dengan jam 24: {example}",
                        example = Arg::Name("07:30-12:00".into())
                    )),
            ),
        }
    }
    shifts
}

/// A time of day like "15:30".
fn clock(item: Item) -> Option<u16> {
    let text = item.text()?;
    let found = minutes(text);
    if found.is_none() {
        item.add(
            item.wrong(
                "time-of-day",
                say!(
                    "\"{found}\" is not a time of day",
                    "\"{found}\" bukan jam",
                    found = Arg::Name(text.chars().take(40).collect())
                ),
            )
            .allow(say!(
                "hours and minutes on the 24-hour clock: {example}",
                "jam dan menit dengan jam 24: {example}",
                example = Arg::Name("15:30".into())
            )),
        );
    }
    found
}

/// Minutes after midnight of "07:30"; 24:00 is the end of the day.
fn minutes(text: &str) -> Option<u16> {
    let (h, m) = text.trim().split_once(':')?;
    let two =
        |s: &str| (s.len() == 2 && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse::<u16>().ok())?;
    let (h, m) = (two(h)?, two(m)?);
    (m < 60 && h * 60 + m <= 1440).then_some(h * 60 + m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day() {
        for (text, is) in [("00:00", 0), ("07:30", 450), ("24:00", 1440)] {
            assert_eq!(minutes(text), Some(is), "{text}");
        }
        for text in ["7:30", "24:01", "12:60", "12", "12:3", "+1:30", "1２:00", ""] {
            assert_eq!(minutes(text), None, "{text}");
        }
    }
}
