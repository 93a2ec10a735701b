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
    let cells = |(when, drawn): &(When, &[Drawn])| -> Vec<String> {
        let of = |stuff: &Stuff| {
            let all = drawn.iter().filter(|one| &one.stuff == stuff);
            let all: Vec<String> = all.map(|one| amount(one.amount, voice)).collect();
            if all.is_empty() {
                "–".to_string()
            } else {
                all.join(" + ")
            }
        };
        std::iter::once(said(&when.said(sheet.baths), voice))
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

/// When something is weighed out, and for or after which bolts.
#[derive(Clone, Copy, Debug, PartialEq)]
enum When {
    /// A bath is made before this bolt.
    Fresh(u32),
    /// For each of these bolts.
    For(u32, u32),
    /// After each of these bolts.
    After(u32, u32),
    /// In all.
    Lot,
}

impl When {
    /// One row for both, where `next` follows at once.
    const fn with(self, next: Self) -> Option<Self> {
        match (self, next) {
            (Self::After(first, last), Self::After(after, end)) if after == last + 1 => {
                Some(Self::After(first, end))
            }
            _ => None,
        }
    }
    fn said(self, baths: u32) -> Line {
        let n = |n: u32| Arg::Number(f64::from(n), 0);
        match self {
            Self::Fresh(bolt) if baths > 1 => say!(
                "fresh bath before bolt {n}",
                "bak baru sebelum gulung {n}",
                n = n(bolt)
            ),
            Self::Fresh(_) => say!("a fresh bath", "bak baru"),
            Self::For(a, b) if a < b => say!(
                "each of bolts {a} to {b}",
                "tiap gulung {a} sampai {b}",
                a = n(a),
                b = n(b)
            ),
            Self::For(bolt, _) => say!("bolt {n}", "gulung {n}", n = n(bolt)),
            Self::After(a, b) if a < b => say!(
                "after each of bolts {a} to {b}",
                "sesudah tiap gulung {a} sampai {b}",
                a = n(a),
                b = n(b)
            ),
            Self::After(bolt, _) => say!("after bolt {n}", "sesudah gulung {n}", n = n(bolt)),
            Self::Lot => say!("the lot", "seluruh partai"),
        }
    }
}

/// Each moment at which something is weighed out, in the order of the work.
fn rows(sheet: &BatchSheetData) -> Vec<(When, &[Drawn])> {
    let mut rows: Vec<(When, &[Drawn])> = Vec::new();
    let mut left = sheet.rows.as_slice();
    while let Some(first) = left.first() {
        if first.fresh && !sheet.charge.is_empty() {
            rows.push((When::Fresh(first.bolt), &sheet.charge));
        }
        let run = alike(left);
        let last = left.get(run.saturating_sub(1)).unwrap_or(first);
        if !first.materials.is_empty() {
            rows.push((When::For(first.bolt, last.bolt), &first.materials));
        }
        if !last.top_ups.is_empty() {
            let after = When::After(last.bolt, last.bolt);
            match rows.last_mut() {
                Some((when, drawn)) if *drawn == last.top_ups.as_slice() && when.with(after).is_some() => {
                    *when = when.with(after).unwrap_or(after);
                }
                _ => rows.push((after, &last.top_ups)),
            }
        }
        left = left.get(run..).unwrap_or(&[]);
    }
    rows.push((When::Lot, &sheet.totals));
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
fn stuffs<'a>(rows: &[(When, &'a [Drawn])]) -> Vec<&'a Drawn> {
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
    use super::{When, alike};
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

    /// By hand: after bolts 1, 2 and 3 alike is one row; what lies between two bolts parts them.
    #[test]
    fn the_same_after_each_bolt_is_one_row() {
        let one = When::After(1, 1).with(When::After(2, 2));
        assert_eq!(one, Some(When::After(1, 2)));
        assert_eq!(
            one.and_then(|two| two.with(When::After(3, 3))),
            Some(When::After(1, 3))
        );
        assert_eq!(When::After(3, 3).with(When::After(6, 6)), None);
        assert_eq!(When::For(1, 1).with(When::For(2, 2)), None);
    }
}
