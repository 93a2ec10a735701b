//! Calendar days without a clock: the proleptic Gregorian calendar as a count of days.

/// A day, counted from 1970-01-01 (day 0, a Thursday).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    /// Days since 1970-01-01.
    pub days: i32,
}

/// A day of the week. Its number counts from Monday = 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

impl Weekday {
    /// Monday to Sunday.
    pub const ALL: [Self; 7] = [
        Self::Monday,
        Self::Tuesday,
        Self::Wednesday,
        Self::Thursday,
        Self::Friday,
        Self::Saturday,
        Self::Sunday,
    ];
}

impl Date {
    /// The day `year-month-day`, or `None` where the calendar has no such day (31 April, 29 February of a
    /// common year) or the year lies outside 1..=9999.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Self> {
        if !(1..=9999).contains(&year) || !(1..=12).contains(&month) {
            return None;
        }
        if day < 1 || day > days_in(year, month) {
            return None;
        }
        // Years are counted from 1 March, so that the leap day is the last day of its year.
        let (y, m) = if month > 2 {
            (year, month - 3)
        } else {
            (year - 1, month + 9)
        };
        let era = y.div_euclid(400);
        let of_era = y.rem_euclid(400);
        let of_year = (153 * m as i32 + 2) / 5 + day as i32 - 1;
        let in_era = of_era * 365 + of_era / 4 - of_era / 100 + of_year;
        Some(Self {
            days: era * 146_097 + in_era - 719_468,
        })
    }

    /// Reads `YYYY-MM-DD` (ISO 8601), and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split('-');
        let (y, m, d) = (parts.next()?, parts.next()?, parts.next()?);
        let digits = |s: &str, n: usize| s.len() == n && s.bytes().all(|b| b.is_ascii_digit());
        if parts.next().is_some() || !digits(y, 4) || !digits(m, 2) || !digits(d, 2) {
            return None;
        }
        Self::new(y.parse().ok()?, m.parse().ok()?, d.parse().ok()?)
    }

    /// Year, month 1..=12, day 1..=31.
    pub fn civil(self) -> (i32, u32, u32) {
        let z = i64::from(self.days) + 719_468;
        let era = z.div_euclid(146_097);
        let in_era = z.rem_euclid(146_097);
        let of_era = (in_era - in_era / 1_460 + in_era / 36_524 - in_era / 146_096) / 365;
        let of_year = in_era - (365 * of_era + of_era / 4 - of_era / 100);
        let m = (5 * of_year + 2) / 153;
        let day = of_year - (153 * m + 2) / 5 + 1;
        let month = if m < 10 { m + 3 } else { m - 9 };
        let year = of_era + era * 400 + i64::from(month <= 2);
        (year as i32, month as u32, day as u32)
    }

    /// The day of the week.
    pub fn weekday(self) -> Weekday {
        // 1970-01-01 was a Thursday.
        Weekday::ALL[(self.days.rem_euclid(7) as usize + 3) % 7]
    }

    /// Day of the year, 1 on 1 January.
    pub fn day_of_year(self) -> u32 {
        let (year, _, _) = self.civil();
        Self::new(year, 1, 1).map_or(1, |first| (self.days - first.days + 1) as u32)
    }

    /// The day `n` days later (earlier where negative).
    #[must_use]
    pub const fn plus(self, n: i32) -> Self {
        Self { days: self.days + n }
    }
}

impl std::fmt::Display for Date {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (y, m, d) = self.civil();
        write!(f, "{y:04}-{m:02}-{d:02}")
    }
}

const fn days_in(year: i32, month: u32) -> u32 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_goes_there_and_back_over_eight_centuries() {
        let mut before = Date::new(1599, 12, 31).unwrap();
        for days in before.days + 1..Date::new(2401, 1, 1).unwrap().days {
            let date = Date { days };
            let (y, m, d) = date.civil();
            assert_eq!(Date::new(y, m, d), Some(date));
            assert_eq!(Date::parse(&date.to_string()), Some(date));
            assert_eq!((before.weekday() as usize + 1) % 7, date.weekday() as usize);
            before = date;
        }
    }

    #[test]
    fn known_days_have_their_weekday() {
        // ISO 8601 example of a Monday that begins a year: 2024-01-01; the calendar reform's first day,
        // 1582-10-15, was a Friday; 2000-01-01 was a Saturday.
        assert_eq!(Date::new(2024, 1, 1).unwrap().weekday(), Weekday::Monday);
        assert_eq!(Date::new(1582, 10, 15).unwrap().weekday(), Weekday::Friday);
        assert_eq!(Date::new(2000, 1, 1).unwrap().weekday(), Weekday::Saturday);
        assert_eq!(Date::new(2024, 12, 31).unwrap().day_of_year(), 366);
    }

    #[test]
    fn days_that_do_not_exist_are_refused() {
        assert!(Date::new(2024, 2, 29).is_some());
        for (y, m, d) in [
            (2023, 2, 29),
            (1900, 2, 29),
            (2024, 4, 31),
            (2024, 0, 1),
            (2024, 13, 1),
            (0, 1, 1),
        ] {
            assert_eq!(Date::new(y, m, d), None, "{y}-{m}-{d}");
        }
        for text in [
            "2024-1-01",
            "24-01-01",
            "2024-01-01-",
            "2024/01/01",
            "+024-01-01",
            "",
        ] {
            assert_eq!(Date::parse(text), None, "{text}");
        }
    }
}
