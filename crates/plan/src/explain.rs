//! Why something cannot be done, as two facts that clash.

use crate::solve::{Shop, Stuck};
use crate::{Lag, Minute, Operation, Problem, Window};
use words::{Arg, Finding, Line, Place, Weight, say};

/// The last moment at which an operation may end so that a later one still starts in time.
#[derive(Clone, Debug, PartialEq)]
pub struct LastCall {
    /// It must end by this minute.
    pub by: Minute,
    /// Or not before this minute; `None` where no later end works either.
    pub or_from: Option<Minute>,
    /// The two facts that clash, and what to do.
    pub finding: Finding,
}

/// For one time limit of a lot: the last minute at or after `near` by which the earlier operation must end
/// before a stretch in which it must not end. `None` if there is no limit, or no end works from `near` on.
///
/// Only the calendars are looked at, not what else is planned.
pub fn last_call(problem: &Problem, lot: usize, lag: &Lag, near: Minute) -> Option<LastCall> {
    let l = problem.lots.get(lot)?;
    let (from, to) = (l.route.get(lag.from)?, l.route.get(lag.to)?);
    let most = lag.most?;
    let allowed = starts(problem, to);
    // An end e works if some start lies in e + least ..= e + most.
    let mut ends: Vec<Window> = Vec::new();
    for s in allowed {
        let (a, b) = (s.start - most, s.end - lag.least);
        match ends.last_mut() {
            Some(last) if a <= last.end => last.end = last.end.max(b),
            _ => ends.push(Window::new(a, b)),
        }
    }
    let at = ends.iter().position(|e| near < e.end)?;
    let (by, or_from) = (ends[at].end - 1, ends.get(at + 1).map(|e| e.start));
    Some(LastCall {
        by,
        or_from,
        finding: clash(problem, lot, lag, from, to, by, or_from),
    })
}

/// Minutes at which an operation may start by its calendars, as half-open windows.
fn starts(problem: &Problem, o: &Operation) -> Vec<Window> {
    let shortest = o.least();
    let length = if o.pausable { 1 } else { shortest };
    let open = |w: &Window| Window::new(w.start, w.end - length + 1);
    let mut out: Vec<Window> = problem
        .windows(o.calendar)
        .iter()
        .map(open)
        .filter(|w| w.length() > 0)
        .collect();
    if let Some(a) = o.attend {
        let there: Vec<Window> = problem
            .windows(a.calendar)
            .iter()
            .map(|w| Window::new(w.start - a.from, w.end - a.to + 1))
            .filter(|w| w.length() > 0)
            .collect();
        out = crate::calendar::intersect(&out, &there);
    }
    out
}

fn clash(
    problem: &Problem,
    lot: usize,
    lag: &Lag,
    from: &Operation,
    to: &Operation,
    by: Minute,
    or_from: Option<Minute>,
) -> Finding {
    let windows = problem.windows(to.calendar);
    let closes = windows
        .iter()
        .rev()
        .find(|w| w.start <= by + lag.least)
        .map_or(by, |w| w.end);
    let opens = windows.iter().find(|w| w.start >= closes).map(|w| w.start);
    let found = match opens {
        Some(opens) => say!(
            "{to} must start {least} to {most} min after {from} ends and takes {takes} min; {calendar} closes at {closes} and opens at {opens}",
            "{to} harus mulai {least} sampai {most} menit sesudah {from} selesai dan makan waktu {takes} menit; {calendar} tutup {closes} dan buka {opens}",
            to = name(&to.key),
            least = count(lag.least),
            most = count(lag.most.unwrap_or(0)),
            from = name(&from.key),
            takes = count(to.least()),
            calendar = name(problem.calendar_name(to.calendar)),
            closes = name(&problem.clock(closes)),
            opens = name(&problem.clock(opens))
        ),
        None => say!(
            "{to} must start {least} to {most} min after {from} ends; {calendar} closes at {closes} and does not open again in this plan",
            "{to} harus mulai {least} sampai {most} menit sesudah {from} selesai; {calendar} tutup {closes} dan tidak buka lagi dalam rencana ini",
            to = name(&to.key),
            least = count(lag.least),
            most = count(lag.most.unwrap_or(0)),
            from = name(&from.key),
            calendar = name(problem.calendar_name(to.calendar)),
            closes = name(&problem.clock(closes))
        ),
    };
    let allowed = match or_from {
        Some(later) => say!(
            "{from} must end by {by}, or not before {later}",
            "{from} harus selesai paling lambat {by}, atau tidak sebelum {later}",
            from = name(&from.key),
            by = name(&problem.clock(by)),
            later = name(&problem.clock(later))
        ),
        None => say!(
            "{from} must end by {by}",
            "{from} harus selesai paling lambat {by}",
            from = name(&from.key),
            by = name(&problem.clock(by))
        ),
    };
    let lot = problem.lots.get(lot).map_or("?", |l| &l.name);
    Finding::new(
        "last-call",
        Weight::Wrong,
        Place::Step {
            id: from.key.clone(),
            setting: None,
        },
        found,
    )
    .allow(allowed)
    .remedy(say!(
        "for lot {lot}: begin {from} earlier, open longer, or change the time limit",
        "untuk partai {lot}: mulai {from} lebih awal, buka lebih lama, atau ubah batas waktu",
        lot = name(lot),
        from = name(&from.key)
    ))
}

/// Why the solver found no place for an operation.
pub(crate) fn stuck(shop: &Shop, stuck: Stuck) -> Finding {
    let problem = shop.problem;
    if stuck.from == Minute::MAX {
        return wrong(say!(
            "some bolts wait for each other in a circle",
            "beberapa gulung saling menunggu dalam lingkaran"
        ));
    }
    let Some(at) = shop.spot(stuck.task) else {
        return wrong(say!(
            "an approval finds no time before the calendars end",
            "acc tidak mendapat waktu sebelum kalender habis"
        ))
        .remedy(say!(
            "add visit days, or a longer plan",
            "tambah hari kunjungan, atau rencana lebih panjang"
        ));
    };
    let lot = &problem.lots[at.lot];
    let operation = &lot.route[at.operation];
    if let Some(before) = stuck.after.and_then(|t| shop.spot(t)) {
        let lag = lot
            .lags
            .iter()
            .find(|l| l.from == before.operation && l.to == at.operation);
        // The clash nearest to where the earlier operation can first be.
        let first = starts(problem, &lot.route[before.operation])
            .first()
            .map_or(0, |w| w.start);
        if let Some(call) = lag.and_then(|l| last_call(problem, at.lot, l, first.max(lot.release))) {
            return call.finding;
        }
    }
    let end = problem.windows(operation.calendar).last().map_or(0, |w| w.end);
    wrong(say!(
        "{operation} of lot {lot} can start from {from} at the earliest and finds no place before {calendar} ends at {end}",
        "{operation} partai {lot} paling cepat mulai {from} dan tidak mendapat tempat sebelum {calendar} habis {end}",
        operation = name(&operation.key),
        lot = name(&lot.name),
        from = name(&problem.clock(stuck.from)),
        calendar = name(problem.calendar_name(operation.calendar)),
        end = name(&problem.clock(end))
    ))
    .remedy(say!("plan more days", "rencanakan lebih banyak hari"))
}

fn wrong(found: Line) -> Finding {
    Finding::new("no-place", Weight::Wrong, Place::Request, found)
}

fn name(text: &str) -> Arg {
    Arg::Name(text.to_string())
}

fn count(n: Minute) -> Arg {
    Arg::Number(n as f64, 0)
}
