//! The plan as an iCalendar feed (RFC 5545): what is done to each lot on each day, promises, approvals, visits.
//!
//! Times are UTC: the workshop's offset is a fixed one, and a reader's calendar shows its own clock. Ids stay the same
//! from one plan to the next, so that a calendar that takes the feed again moves its entries instead of doubling them.

use super::{Days, View, day_name};
use ::plan::Minute;
use sky::Date;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use words::{Arg, Voice, say};

/// Longest line, octets without its end (RFC 5545, 3.1).
const LONGEST: usize = 75;

/// The feed of the pieces that begin on some days, and of promises and visits on them. `now` is the moment it was made,
/// seconds after 1970 UTC.
pub fn feed(view: &View, days: Days, now: i64, voice: Voice) -> String {
    let mut out = Feed {
        text: String::new(),
        stamp: moment(now),
    };
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line("PRODID:-//lorod//plan//EN");
    out.line("CALSCALE:GREGORIAN");
    out.line(&format!("X-WR-CALNAME:{}", escape(&view.shop.name)));
    work(view, days, &mut out, voice);
    promises(view, days, &mut out, voice);
    visits(view, days, &mut out, voice);
    out.line("END:VCALENDAR");
    out.text
}

struct Feed {
    text: String,
    stamp: String,
}

impl Feed {
    /// A content line, folded.
    fn line(&mut self, line: &str) {
        self.text.push_str(&fold(line));
    }

    fn event(&mut self, id: &str, when: &[String], summary: &str, description: &str) {
        self.line("BEGIN:VEVENT");
        self.line(&format!("UID:{}@plan.lorod", escape(id)));
        self.line(&format!("DTSTAMP:{}", self.stamp.clone()));
        for line in when {
            self.line(line);
        }
        self.line(&format!("SUMMARY:{}", escape(summary)));
        if !description.is_empty() {
            self.line(&format!("DESCRIPTION:{}", escape(description)));
        }
        self.line("END:VEVENT");
    }
}

/// One entry for each step of each lot on each day, from the first start to the last end.
fn work(view: &View, days: Days, out: &mut Feed, voice: Voice) {
    struct Entry {
        start: Minute,
        end: Minute,
        bolts: Vec<(usize, u32)>,
        what: String,
        place: String,
    }
    let mut entries: BTreeMap<(Date, usize, Option<usize>), Entry> = BTreeMap::new();
    for piece in view.pieces_on(days) {
        let lots: Vec<usize> = if piece.bolts.is_empty() {
            vec![piece.lot]
        } else {
            let mut lots: Vec<usize> = piece.bolts.iter().map(|(lot, _)| *lot).collect();
            lots.dedup();
            lots
        };
        for lot in lots {
            let operation = view.operation_in(&piece, lot);
            let what = match operation.and_then(|at| view.step(lot, at)) {
                Some((number, _)) => format!("{number} {}", view.what(&piece, voice)),
                None => view.what(&piece, voice),
            };
            let entry = entries
                .entry((view.date(piece.start), lot, operation))
                .or_insert_with(|| Entry {
                    start: piece.start,
                    end: piece.end,
                    bolts: Vec::new(),
                    what,
                    place: piece.place.map_or_else(String::new, |at| view.place(at, voice)),
                });
            entry.start = entry.start.min(piece.start);
            entry.end = entry.end.max(piece.end);
            entry
                .bolts
                .extend(piece.bolts.iter().filter(|(of, _)| *of == lot));
        }
    }
    for ((day, lot, operation), entry) in entries {
        let id = match operation {
            Some(operation) => format!("{}-{operation}-{day}", view.lot(lot)),
            None => format!("{}-approval", view.lot(lot)),
        };
        let design = view.design(lot).map_or("", |design| design.name.as_str());
        let bolts = if entry.bolts.is_empty() {
            view.lot(lot).to_string()
        } else {
            view.bolts(&entry.bolts)
        };
        let when = [
            format!("DTSTART:{}", utc(view, entry.start)),
            format!("DTEND:{}", utc(view, entry.end)),
        ];
        out.event(
            &id,
            &when,
            &format!("{}: {bolts}", entry.what),
            &format!("{design}\n{}", entry.place),
        );
    }
}

/// Promises, as days, and when the plan has them ready.
fn promises(view: &View, days: Days, out: &mut Feed, voice: Voice) {
    for (at, lot) in view
        .problem()
        .lots
        .iter()
        .enumerate()
        .filter(|(_, lot)| lot.weight > 0)
    {
        let day = view.date(lot.due - 1);
        if !days.has(day) {
            continue;
        }
        let summary = say!(
            "{lot} is promised",
            "{lot} dijanjikan",
            lot = Arg::Name(lot.name.clone())
        );
        let ready = view.planned.span(at).map_or_else(String::new, |(_, done)| {
            say!(
                "planned to be ready {day} {time}",
                "rencana selesai {day} {time}",
                day = Arg::Name(day_name(view.date(done), voice)),
                time = Arg::Name(super::clock(done))
            )
            .say(voice)
        });
        let when = [
            format!("DTSTART;VALUE=DATE:{}", compact(day)),
            format!("DTEND;VALUE=DATE:{}", compact(day.plus(1))),
            "TRANSP:TRANSPARENT".to_string(),
        ];
        out.event(
            &format!("{}-promise", lot.name),
            &when,
            &summary.say(voice),
            &ready,
        );
    }
}

/// Days on which the designer is there.
fn visits(view: &View, days: Days, out: &mut Feed, voice: Voice) {
    let Some(calendar) = view.workspace.calendar("designer") else {
        return;
    };
    for day in (days.first.days..=days.last.days).map(|days| Date { days }) {
        if calendar.shifts_on(day, &view.shop.climate).is_empty() {
            continue;
        }
        let when = [
            format!("DTSTART;VALUE=DATE:{}", compact(day)),
            format!("DTEND;VALUE=DATE:{}", compact(day.plus(1))),
            "TRANSP:TRANSPARENT".to_string(),
        ];
        let summary = say!("The designer is here", "Desainer ada di sini").say(voice);
        out.event(&format!("visit-{day}"), &when, &summary, "");
    }
}

/// A minute of the plan as UTC.
fn utc(view: &View, minute: Minute) -> String {
    let offset = (view.shop.climate.utc_hours * 3600.0).round() as i64;
    let day = i64::from(view.problem().first_day.days) * 86_400;
    moment(day + minute * 60 - offset)
}

/// Seconds after 1970 as `20261201T003000Z`.
fn moment(seconds: i64) -> String {
    let date = Date {
        days: seconds.div_euclid(86_400) as i32,
    };
    let of_day = seconds.rem_euclid(86_400);
    format!(
        "{}T{:02}{:02}{:02}Z",
        compact(date),
        of_day / 3600,
        of_day / 60 % 60,
        of_day % 60
    )
}

fn compact(date: Date) -> String {
    let (year, month, day) = date.civil();
    format!("{year:04}{month:02}{day:02}")
}

/// Text values: backslash, semicolon, comma and newline are escaped (RFC 5545, 3.3.11); other controls are left out.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// A content line with its end: no more than 75 octets a line, the rest after a space (RFC 5545, 3.1).
fn fold(line: &str) -> String {
    let mut out = String::with_capacity(line.len() + 8);
    let mut octets = 0;
    for c in line.chars() {
        if octets + c.len_utf8() > LONGEST {
            let _ = write!(out, "\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out.push_str("\r\n");
    out
}

#[cfg(test)]
mod tests {
    use super::{escape, fold, moment};
    use proptest::prelude::*;

    /// RFC 5545, section 3.3.11: the text of its example.
    #[test]
    fn text_is_escaped_as_the_standard_shows() {
        assert_eq!(
            escape("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."),
            "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
        );
        assert_eq!(escape("a\\b;c,d\u{7}"), "a\\\\b\\;c\\,d");
    }

    /// Unix time of 1 January 2000, 00:00 UTC: 946684800 (POSIX).
    #[test]
    fn moments_are_utc() {
        assert_eq!(moment(946_684_800 + 3661), "20000101T010101Z");
    }

    proptest! {
        /// RFC 5545, section 3.1: unfolded, a line is what it was, and none is longer than 75 octets.
        #[test]
        fn folding_is_undone_by_unfolding(line in "[ -~äé字]{0,300}") {
            let folded = fold(&line);
            prop_assert!(folded.ends_with("\r\n"));
            prop_assert!(folded.split("\r\n").all(|l| l.len() <= 75));
            prop_assert_eq!(folded.replace("\r\n ", ""), format!("{line}\r\n"));
        }
    }
}
