//! Facts of a lot that no plan can reconcile, as the smallest set of them.

use crate::{Lot, Minute, Operation, Problem};
use words::{Arg, Finding, Line, Place, Weight, say};

/// Time limits of a route against its order, against each other and against the minutes of its operations.
pub(crate) fn limits(lot: &Lot) -> Vec<Finding> {
    let key = |at: usize| name(lot.route.get(at).map_or("?", |o| o.key.as_str()));
    let mut out = Vec::new();
    for lag in &lot.lags {
        let (from, to, of) = (key(lag.from), key(lag.to), name(&lot.name));
        if lag.from >= lot.route.len() || lag.to >= lot.route.len() {
            let found = say!(
                "a time limit of lot {lot} names an operation that is not there",
                "satu batas waktu partai {lot} menyebut operasi yang tidak ada",
                lot = of
            );
            out.push(wrong("lag", found));
        } else if lag.from >= lag.to {
            let found = say!(
                "lot {lot} goes in a circle: {to} stands before {from} in its route or is the same, and a time limit lets it begin only after {from}",
                "partai {lot} berputar: {to} ada sebelum {from} di rutenya atau sama, dan satu batas waktu baru membolehkannya sesudah {from}",
                lot = of,
                to = to,
                from = from
            );
            out.push(wrong("route-circle", found));
        } else if let Some(most) = lag.most.filter(|most| *most < lag.least) {
            let found = say!(
                "lot {lot}: between {from} and {to} at least {least} min must pass, and at most {most}",
                "partai {lot}: antara {from} dan {to} harus lewat sedikitnya {least} menit, dan paling lama {most}",
                lot = of,
                from = from,
                to = to,
                least = minutes(lag.least),
                most = minutes(most)
            );
            out.push(wrong("limits-clash", found));
        }
    }
    if out.is_empty() {
        out.extend(too_long_in_all(lot));
    }
    out
}

/// A greatest lag over several operations that need more time than it leaves. What lies between is one path: without
/// any of its facts the limit could be kept.
fn too_long_in_all(lot: &Lot) -> Option<Finding> {
    let n = lot.route.len();
    let limit = |from: usize, to: usize| {
        lot.lags
            .iter()
            .find(|l| (l.from, l.to) == (from, to) && l.most.is_some())
    };
    for from in 0..n {
        // Longest way from the end of `from` to the start of each later operation, and by where.
        let mut way: Vec<Option<(Minute, usize)>> = vec![None; n];
        for to in from + 1..n {
            for lag in lot.all_lags().filter(|l| l.to == to && l.from >= from) {
                let before = match (lag.from == from, way[lag.from]) {
                    (true, _) => 0,
                    (_, Some((length, _))) => length + shortest(&lot.route[lag.from]),
                    (_, None) => continue,
                };
                if way[to].is_none_or(|(length, _)| before + lag.least > length) {
                    way[to] = Some((before + lag.least, lag.from));
                }
            }
            let (Some((needed, _)), Some(most)) = (way[to], limit(from, to).and_then(|l| l.most)) else {
                continue;
            };
            if needed <= most {
                continue;
            }
            let mut path = vec![to];
            while let Some((_, before)) = way[path[path.len() - 1]].filter(|_| path[path.len() - 1] != from) {
                path.push(before);
            }
            let mut parts: Vec<String> = Vec::new();
            for pair in path.windows(2).rev() {
                let (to, from_here) = (pair[0], pair[1]);
                let least = lot
                    .all_lags()
                    .filter(|l| (l.from, l.to) == (from_here, to))
                    .map(|l| l.least)
                    .max();
                if let Some(least) = least.filter(|least| *least > 0) {
                    parts.push(format!(
                        "{} → {}: {least}",
                        lot.route[from_here].key, lot.route[to].key
                    ));
                }
                if to != path[0] {
                    parts.push(format!("{}: {}", lot.route[to].key, shortest(&lot.route[to])));
                }
            }
            let found = say!(
                "lot {lot}: {to} must begin at most {most} min after {from} ends, and what lies between takes at least {needed} min",
                "partai {lot}: {to} harus mulai paling lama {most} menit sesudah {from} selesai, dan yang di antaranya makan waktu sedikitnya {needed} menit",
                lot = name(&lot.name),
                to = name(&lot.route[to].key),
                most = minutes(most),
                from = name(&lot.route[from].key),
                needed = minutes(needed)
            );
            let between = Arg::Name(parts.join(", "));
            let remedy = say!("min: {between}", "menit: {between}", between = between);
            return Some(wrong("limits-clash", found).remedy(remedy));
        }
    }
    None
}

/// An operation that must run through, and no shift is long enough for it.
pub(crate) fn no_shift(problem: &Problem, lot: &Lot, o: &Operation) -> Option<Finding> {
    let windows = problem.windows(o.calendar);
    let longest = windows.iter().map(|w| w.length()).max().unwrap_or(0);
    let needed = shortest(o);
    if longest == 0 {
        let found = say!(
            "{operation} of lot {lot} works in {calendar}, which is never open in this plan",
            "{operation} partai {lot} bekerja menurut {calendar}, yang tidak pernah buka dalam rencana ini",
            operation = name(&o.key),
            lot = name(&lot.name),
            calendar = name(problem.calendar_name(o.calendar))
        );
        return Some(wrong("no-shift", found));
    }
    if o.pausable || needed <= longest {
        return None;
    }
    let found: Line = say!(
        "{operation} of lot {lot} takes {needed} min without a break, and the longest window of {calendar} has {longest} min",
        "{operation} partai {lot} makan waktu {needed} menit tanpa jeda, dan jam buka terpanjang {calendar} {longest} menit",
        operation = name(&o.key),
        lot = name(&lot.name),
        needed = minutes(needed),
        calendar = name(problem.calendar_name(o.calendar)),
        longest = minutes(longest)
    );
    Some(wrong("no-shift", found).remedy(say!(
        "open longer, or let it pause over a break",
        "buka lebih lama, atau biarkan jeda saat istirahat"
    )))
}

/// A lot that is promised for before it may begin: it can be planned, and it cannot be kept.
pub(crate) fn promised_too_early(problem: &Problem, lot: &Lot) -> Option<Finding> {
    if lot.weight == 0 || lot.due > lot.release {
        return None;
    }
    let found = say!(
        "lot {lot} is promised for {due}, and may not begin before {release}",
        "partai {lot} dijanjikan untuk {due}, dan baru boleh mulai {release}",
        lot = name(&lot.name),
        due = name(&problem.clock(lot.due)),
        release = name(&problem.clock(lot.release))
    );
    Some(Finding::new(
        "promise-before-cloth",
        Weight::Doubtful,
        Place::Request,
        found,
    ))
}

fn shortest(o: &Operation) -> Minute {
    o.least()
}

fn wrong(code: &'static str, found: Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

fn name(text: &str) -> Arg {
    Arg::Name(text.to_string())
}

fn minutes(n: Minute) -> Arg {
    Arg::Number(n as f64, 0)
}
