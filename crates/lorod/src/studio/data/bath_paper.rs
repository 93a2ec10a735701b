//! The amounts of a bath on paper: one table for each bath, a material in each column, and bolts that are weighed out for
//! alike in one row. A row for each amount of each bolt, as a program reads it, takes a sheet for every bath.

use crate::studio::pages::baths::how;
use crate::studio::say::{amount, said, t};
use papers::List;
use route::{BatchRow, BatchSheetData, Drawn, Stuff};
use words::{Arg, Line, Voice, say, text};

/// The table of a bath.
pub fn list(sheet: &BatchSheetData, voice: Voice) -> List {
    let rows = rows(sheet);
    let stuffs = stuffs(&rows);
    let heads = stuffs.iter().map(|one| (said(&one.name, voice), true));
    let name = say!(
        "{number} {what}",
        "{number} {what}",
        number = Arg::Number(f64::from(sheet.number), 0),
        what = Arg::Term(sheet.term)
    );
    let cells = |(when, drawn): &(Line, &[Drawn])| -> Vec<String> {
        let of = |stuff: &Stuff| {
            let all = drawn.iter().filter(|one| &one.stuff == stuff);
            let all: Vec<String> = all.map(|one| amount(one.amount, voice)).collect();
            if all.is_empty() {
                "–".to_string()
            } else {
                all.join(" + ")
            }
        };
        std::iter::once(said(when, voice))
            .chain(stuffs.iter().map(|one| of(&one.stuff)))
            .collect()
    };
    let mut told = vec![said(&how(sheet), voice)];
    told.extend(rests(&stuffs, voice));
    List {
        name: said(&name, voice),
        columns: std::iter::once((t(text!("For", "Untuk"), voice).to_string(), false))
            .chain(heads)
            .collect(),
        rows: rows.iter().map(cells).collect(),
        said: told,
        apart: false,
    }
}

/// Each moment at which something is weighed out, in the order of the work.
fn rows(sheet: &BatchSheetData) -> Vec<(Line, &[Drawn])> {
    let n = |n: u32| Arg::Number(f64::from(n), 0);
    let mut rows: Vec<(Line, &[Drawn])> = Vec::new();
    let mut left = sheet.rows.as_slice();
    while let Some(first) = left.first() {
        if first.fresh && !sheet.charge.is_empty() {
            let line = if sheet.baths > 1 {
                say!(
                    "fresh bath before bolt {n}",
                    "bak baru sebelum gulung {n}",
                    n = n(first.bolt)
                )
            } else {
                say!("a fresh bath", "bak baru")
            };
            rows.push((line, &sheet.charge));
        }
        let run = alike(left);
        let last = left.get(run.saturating_sub(1)).unwrap_or(first);
        if !first.materials.is_empty() {
            let line = if run > 1 {
                say!(
                    "each of bolts {a} to {b}",
                    "tiap gulung {a} sampai {b}",
                    a = n(first.bolt),
                    b = n(last.bolt)
                )
            } else {
                say!("bolt {n}", "gulung {n}", n = n(first.bolt))
            };
            rows.push((line, &first.materials));
        }
        if !last.top_ups.is_empty() {
            let line = say!("after bolt {n}", "sesudah gulung {n}", n = n(last.bolt));
            rows.push((line, &last.top_ups));
        }
        left = left.get(run..).unwrap_or(&[]);
    }
    rows.push((say!("the lot", "seluruh partai"), &sheet.totals));
    rows
}

/// How many bolts from the first on are weighed out for alike, with nothing done to the bath between them.
fn alike(rows: &[BatchRow]) -> usize {
    let Some(first) = rows.first() else { return 0 };
    let mut run = 1;
    for pair in rows.windows(2) {
        let [one, next] = pair else { break };
        if !one.top_ups.is_empty() || next.fresh || next.materials != first.materials {
            break;
        }
        run += 1;
    }
    run
}

/// Everything that is weighed out, in the order in which it first is.
fn stuffs<'a>(rows: &[(Line, &'a [Drawn])]) -> Vec<&'a Drawn> {
    let mut stuffs: Vec<&Drawn> = Vec::new();
    for drawn in rows.iter().flat_map(|(_, drawn)| *drawn) {
        if !stuffs.iter().any(|one| one.stuff == drawn.stuff) {
            stuffs.push(drawn);
        }
    }
    stuffs
}

/// What the amounts rest on: a line for each origin, with the materials it stands behind.
fn rests(stuffs: &[&Drawn], voice: Voice) -> Vec<String> {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for one in stuffs {
        let Some(origin) = &one.origin else { continue };
        let origin = crate::studio::say::origin(origin, voice);
        let name = said(&one.name, voice);
        match told.iter_mut().find(|(known, _)| *known == origin) {
            Some((_, names)) => names.push(name),
            None => told.push((origin, vec![name])),
        }
    }
    told.into_iter()
        .map(|(origin, names)| format!("{}: {origin}", names.join(", ")))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::alike;
    use route::BatchRow;

    fn row(bolt: u32, fresh: bool) -> BatchRow {
        BatchRow {
            bolt,
            bath: 1,
            load: 1,
            fresh,
            materials: Vec::new(),
            top_ups: Vec::new(),
            so_far: Vec::new(),
        }
    }

    /// By hand: a run ends before a bath that is made anew, and there are never more bolts in it than are left.
    #[test]
    fn a_run_ends_where_the_bath_is_made_anew() {
        assert_eq!(alike(&[]), 0);
        assert_eq!(alike(&[row(1, true), row(2, false), row(3, false)]), 3);
        assert_eq!(alike(&[row(1, true), row(2, false), row(3, true)]), 2);
    }
}
