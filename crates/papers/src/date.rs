//! Days and clock times in both languages. No time zone: a card speaks of the workshop's own clock.

use words::Language;

/// A calendar day of the proleptic Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: i32,
    month: u8,
    day: u8,
}

/// A time on the workshop's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    day: Day,
    hour: u8,
    minute: u8,
}

const WEEKDAYS: [(&str, &str); 7] = [
    ("Sunday", "Minggu"),
    ("Monday", "Senin"),
    ("Tuesday", "Selasa"),
    ("Wednesday", "Rabu"),
    ("Thursday", "Kamis"),
    ("Friday", "Jumat"),
    ("Saturday", "Sabtu"),
];

const MONTHS: [(&str, &str); 12] = [
    ("Jan", "Jan"),
    ("Feb", "Feb"),
    ("Mar", "Mar"),
    ("Apr", "Apr"),
    ("May", "Mei"),
    ("Jun", "Jun"),
    ("Jul", "Jul"),
    ("Aug", "Agu"),
    ("Sep", "Sep"),
    ("Oct", "Okt"),
    ("Nov", "Nov"),
    ("Dec", "Des"),
];

fn pick((en, id): (&'static str, &'static str), language: Language) -> &'static str {
    match language {
        Language::En => en,
        Language::Id => id,
    }
}

impl Day {
    /// A day, or `None` where the calendar has none (31 April). Years 1583 to 9999.
    pub fn new(year: i32, month: u8, day: u8) -> Option<Self> {
        let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
        let longest = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => return None,
        };
        let known = (1583..=9999).contains(&year) && (1..=longest).contains(&day);
        known.then_some(Self { year, month, day })
    }

    /// Days since 1 March of year 0 of the calendar, so that a leap day ends its year.
    fn number(self) -> i64 {
        let (year, month) = (i64::from(self.year), i64::from(self.month));
        let (year, month) = if month < 3 {
            (year - 1, month + 9)
        } else {
            (year, month - 3)
        };
        365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + i64::from(self.day) - 1
    }

    /// The name of the weekday.
    pub fn weekday(self, language: Language) -> &'static str {
        // 1 March of year 0 was a Wednesday.
        let at = (self.number() + 3).rem_euclid(7) as usize;
        WEEKDAYS.get(at).map_or("", |names| pick(*names, language))
    }

    /// "Selasa 1 Des 2026", "Tuesday 1 Dec 2026".
    pub fn say(self, language: Language) -> String {
        let month = MONTHS
            .get(usize::from(self.month) - 1)
            .map_or("", |names| pick(*names, language));
        format!("{} {} {month} {}", self.weekday(language), self.day, self.year)
    }
}

impl Moment {
    /// A clock time, or `None` if the clock has none (24:00, 9:60).
    pub fn new(day: Day, hour: u8, minute: u8) -> Option<Self> {
        (hour < 24 && minute < 60).then_some(Self { day, hour, minute })
    }
    /// The day.
    pub const fn day(self) -> Day {
        self.day
    }
    /// "14:20".
    pub fn clock(self) -> String {
        format!("{:02}:{:02}", self.hour, self.minute)
    }
    /// "Senin 14:20", "Monday 14:20".
    pub fn short(self, language: Language) -> String {
        format!("{} {}", self.day.weekday(language), self.clock())
    }
    /// "Selasa 1 Des 2026, 10:30".
    pub fn say(self, language: Language) -> String {
        format!("{}, {}", self.day.say(language), self.clock())
    }
}

#[cfg(test)]
mod tests {
    use super::{Day, Moment};
    use words::Language::{En, Id};

    #[test]
    fn weekdays_are_those_of_the_calendar() {
        // The Gregorian reform: Thursday 4 October 1582 (Julian) was followed by Friday 15 October, so
        // 1 January 1583 was a Saturday. 1 January 1970, the Unix epoch, was a Thursday; 29 February 2000
        // a Tuesday (from memory of the calendar).
        let weekday = |y, m, d| Day::new(y, m, d).map(|day| day.weekday(En));
        assert_eq!(weekday(1583, 1, 1), Some("Saturday"));
        assert_eq!(weekday(1970, 1, 1), Some("Thursday"));
        assert_eq!(weekday(2000, 2, 29), Some("Tuesday"));
        assert_eq!(weekday(2000, 3, 1), Some("Wednesday"));
    }

    #[test]
    fn days_that_do_not_exist_are_refused() {
        for (y, m, d) in [
            (2026, 2, 29),
            (1900, 2, 29),
            (2026, 4, 31),
            (2026, 13, 1),
            (2026, 0, 1),
            (2026, 1, 0),
        ] {
            assert_eq!(Day::new(y, m, d), None, "{y}-{m}-{d}");
        }
        let day = Day::new(2024, 2, 29);
        assert!(day.is_some());
        assert_eq!(day.and_then(|day| Moment::new(day, 24, 0)), None);
    }

    #[test]
    fn a_moment_reads_in_both_languages() {
        let moment = Day::new(2026, 12, 1).and_then(|day| Moment::new(day, 9, 5));
        assert_eq!(
            moment.map(|m| m.say(Id)).as_deref(),
            Some("Selasa 1 Des 2026, 09:05")
        );
        assert_eq!(moment.map(|m| m.short(En)).as_deref(), Some("Tuesday 09:05"));
    }
}
