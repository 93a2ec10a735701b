//! Is the problem itself sound?

use crate::clash;
use crate::{CalendarId, Lot, Operation, Problem, ResourceId};
use words::{Arg, Finding, Line, Place, Weight, say};

/// Findings about a problem: [`Weight::Wrong`] where no plan can be made of it.
pub fn examine(problem: &Problem) -> Vec<Finding> {
    let mut out = Vec::new();
    for c in &problem.calendars {
        let rising = c.windows.windows(2).all(|p| p[0].end <= p[1].start);
        if !rising || c.windows.iter().any(|w| w.start < 0 || w.end <= w.start) {
            out.push(wrong(
                "calendar-windows",
                say!(
                    "the windows of calendar {name} overlap, are empty, run backwards or begin before the first day",
                    "jam buka kalender {name} tumpang tindih, kosong, terbalik, atau mulai sebelum hari pertama",
                    name = name(&c.name)
                ),
            ));
        }
    }
    for r in &problem.resources {
        let n = r.set_up.len();
        if r.set_up
            .iter()
            .any(|row| row.len() != n || row.iter().any(|m| *m < 0))
        {
            out.push(wrong(
                "set-up-matrix",
                say!(
                    "the set-up table of {name} is not square or has a negative time",
                    "tabel ganti warna {name} tidak persegi atau ada waktu negatif",
                    name = name(&r.name)
                ),
            ));
        }
        if n > 0 && r.capacity != 1 {
            out.push(wrong(
                "set-up-capacity",
                say!(
                    "{name} has set-ups and {n} places: each place must be a resource of its own",
                    "{name} punya waktu ganti dan {n} tempat: tiap tempat harus jadi sumber daya sendiri",
                    name = name(&r.name),
                    n = count(r.capacity)
                ),
            ));
        }
    }
    for (i, lot) in problem.lots.iter().enumerate() {
        lot_alone(problem, i, lot, &mut out);
    }
    out.extend(approvals_in_a_circle(problem));
    out
}

fn lot_alone(problem: &Problem, index: usize, lot: &Lot, out: &mut Vec<Finding>) {
    if lot.bolts == 0 || lot.route.is_empty() {
        out.push(wrong(
            "lot-empty",
            say!(
                "lot {lot} has no bolts or no operations",
                "partai {lot} tidak punya gulung atau tidak punya operasi",
                lot = name(&lot.name)
            ),
        ));
    }
    out.extend(clash::limits(lot));
    out.extend(clash::promised_too_early(problem, lot));
    for o in &lot.route {
        if calendar(problem, o.calendar) {
            out.extend(clash::no_shift(problem, lot, o));
        }
    }
    for o in &lot.route {
        for what in operation_alone(problem, o) {
            out.push(
                Finding::new(
                    "operation",
                    Weight::Wrong,
                    Place::Step {
                        id: o.key.clone(),
                        setting: None,
                    },
                    what,
                )
                .remedy(say!(
                    "see operation {operation} of lot {lot}",
                    "lihat operasi {operation} partai {lot}",
                    operation = name(&o.key),
                    lot = name(&lot.name)
                )),
            );
        }
    }
    if let Some(a) = lot.approval {
        let there = calendar(problem, a.calendar) && a.duration > 0 && problem.capacity(a.resource) > 0;
        if !there || a.after_lot.is_some_and(|l| l >= problem.lots.len() || l == index) {
            out.push(wrong(
                "approval",
                say!(
                    "the approval of lot {lot} lacks a duration, a calendar, a person or its strike-off",
                    "acc partai {lot} tidak punya lama, kalender, orang, atau contohnya",
                    lot = name(&lot.name)
                ),
            ));
        }
    }
}

/// What is wrong with one operation.
fn operation_alone(problem: &Problem, o: &Operation) -> Vec<Line> {
    let mut out = Vec::new();
    let mut say = |bad: bool, what: Line| {
        if bad {
            out.push(what);
        }
    };
    let durations: Vec<i64> = if o.modes.is_empty() {
        o.of_bolts.iter().copied().chain([o.duration]).collect()
    } else {
        o.modes.iter().map(|m| m.duration).collect()
    };
    let shortest = durations.iter().copied().min().unwrap_or(0);
    say(
        shortest < 1,
        say!(
            "{operation} takes no time; at least 1 minute",
            "{operation} tidak memakan waktu; paling sedikit 1 menit",
            operation = name(&o.key)
        ),
    );
    say(
        !calendar(problem, o.calendar)
            || o.attend
                .is_some_and(|a| !calendar(problem, a.calendar) || a.to < a.from),
        say!(
            "{operation} names a calendar that is not there",
            "{operation} menyebut kalender yang tidak ada",
            operation = name(&o.key)
        ),
    );
    let resources = o
        .uses
        .iter()
        .map(|u| u.resource)
        .chain(o.modes.iter().map(|m| m.resource));
    let resources = resources
        .chain(o.batch.iter().map(|b| b.vessel))
        .chain(o.set_up.iter().map(|s| s.resource));
    say(
        resources.into_iter().any(|r| r.0 >= problem.resources.len()),
        say!(
            "{operation} names a resource that is not there",
            "{operation} menyebut sumber daya yang tidak ada",
            operation = name(&o.key)
        ),
    );
    for u in &o.uses {
        let to = u.to.unwrap_or(shortest);
        let (asked, there) = (u.quantity, problem.capacity(u.resource));
        say(
            u.from < 0 || to <= u.from || (!o.pausable && to > shortest),
            say!(
                "{operation} holds {resource} outside its own time",
                "{operation} memakai {resource} di luar waktunya sendiri",
                operation = name(&o.key),
                resource = name(problem.resource_name(u.resource))
            ),
        );
        say(
            asked == 0 || asked > there,
            say!(
                "{operation} needs {asked} of {resource}, and there are {there}",
                "{operation} butuh {asked} {resource}, yang ada {there}",
                operation = name(&o.key),
                asked = count(asked),
                resource = name(problem.resource_name(u.resource)),
                there = count(there)
            ),
        );
        let overlap = o
            .uses
            .iter()
            .filter(|v| v.resource == u.resource)
            .filter(|v| v.from < to && u.from < v.to.unwrap_or(shortest));
        let together: u32 = overlap.map(|v| v.quantity).sum();
        say(
            together > asked,
            say!(
                "{operation} holds {resource} twice at the same time: write one hold of the sum",
                "{operation} memakai {resource} dua kali sekaligus: tulis satu pemakaian sebesar jumlahnya",
                operation = name(&o.key),
                resource = name(problem.resource_name(u.resource))
            ),
        );
    }
    let held = |r: ResourceId| o.uses.iter().any(|u| u.resource == r);
    say(
        o.modes
            .iter()
            .any(|m| problem.capacity(m.resource) == 0 || held(m.resource)),
        say!(
            "an alternative of {operation} has no units, or is held by every alternative",
            "satu pilihan {operation} tidak punya unit, atau dipakai oleh semua pilihan",
            operation = name(&o.key)
        ),
    );
    say(
        o.batch
            .as_ref()
            .is_some_and(|b| b.capacity == 0 || !held(b.vessel) || o.pausable || !o.modes.is_empty()),
        say!(
            "{operation} goes in batches: it needs room for a bolt, must hold its vessel, and may neither pause nor have alternatives",
            "{operation} dikerjakan per muatan: perlu tempat untuk satu gulung, harus memakai bejananya, tidak boleh jeda, dan tanpa pilihan",
            operation = name(&o.key)
        ),
    );
    let class_there = o.set_up.is_none_or(|s| {
        problem
            .resources
            .get(s.resource.0)
            .is_some_and(|r| s.class < r.set_up.len())
    });
    say(
        !class_there || (o.set_up.is_some() && o.batch.is_some()),
        say!(
            "{operation} has a set-up class that the table does not have, or goes in batches as well",
            "{operation} punya kelas warna yang tidak ada di tabel, atau juga dikerjakan per muatan",
            operation = name(&o.key)
        ),
    );
    out
}

/// Strike-offs that wait for each other.
fn approvals_in_a_circle(problem: &Problem) -> Option<Finding> {
    let next = |l: usize| {
        problem
            .lots
            .get(l)
            .and_then(|l| l.approval)
            .and_then(|a| a.after_lot)
    };
    let circle = (0..problem.lots.len()).find(|start| {
        let mut at = next(*start);
        for _ in 0..problem.lots.len() {
            match at {
                Some(l) if l == *start => return true,
                Some(l) => at = next(l),
                None => return false,
            }
        }
        false
    })?;
    let (lot, other) = (
        &problem.lots[circle].name,
        next(circle).map_or("?", |l| problem.lots[l].name.as_str()),
    );
    Some(wrong(
        "approval-circle",
        say!(
            "lots {lot} and {other} wait for each other's strike-off",
            "partai {lot} dan {other} saling menunggu contoh",
            lot = name(lot),
            other = name(other)
        ),
    ))
}

fn calendar(problem: &Problem, id: CalendarId) -> bool {
    id.0 < problem.calendars.len()
}

fn wrong(code: &'static str, found: Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

fn name(text: &str) -> Arg {
    Arg::Name(text.to_string())
}

fn count(n: u32) -> Arg {
    Arg::Number(f64::from(n), 0)
}
