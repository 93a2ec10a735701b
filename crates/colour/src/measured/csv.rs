//! CSV: a header row and a row a sample, or a column a sample if the first column is named `nm`.

use super::table::{Cell, Table, place};
use words::{Arg, Finding, Weight, say};

/// Separators; the one that the header row has most of is taken.
const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// The one table of a CSV file.
pub(super) fn tables<'a>(text: &'a str, path: &str) -> (Vec<Table<'a>>, Vec<Finding>) {
    let mut findings = Vec::new();
    let lines = lines(text);
    let Some((_, head)) = lines.first() else {
        findings.push(empty(text, path));
        return (Vec::new(), findings);
    };
    let count = |s: char| head.matches(s).count();
    // On a tie the comma, which stands first.
    let separator = SEPARATORS
        .into_iter()
        .rev()
        .max_by_key(|s| count(*s))
        .unwrap_or(',');
    let mut rows: Vec<Vec<Cell>> = lines
        .iter()
        .map(|(start, line)| cells(line, *start, separator))
        .collect();
    let columns = rows.remove(0);
    rows.retain(|row| {
        let fits = row.len() == columns.len();
        if !fits {
            findings.extend(wrong_count(row, columns.len(), path));
        }
        fits
    });
    let mut table = Table {
        header: Vec::new(),
        columns,
        rows,
        decimal_comma: separator != ',',
    };
    if table
        .columns
        .first()
        .is_some_and(|c| is_wavelength_column(c.text))
    {
        table = turned(table);
    }
    if table.rows.is_empty() && findings.is_empty() {
        findings.push(empty(text, path));
    }
    (vec![table], findings)
}

/// The finding for a row that is too short or too long.
pub(super) fn wrong_count(row: &[Cell], width: usize, path: &str) -> Option<Finding> {
    let (first, last) = (row.first()?, row.last()?);
    Some(
        Finding::new(
            "measured-column-count",
            Weight::Wrong,
            place(path, first.span.start..last.span.end),
            say!(
                "This line has {found} values.",
                "Baris ini berisi {found} nilai.",
                found = Arg::Number(row.len() as f64, 0)
            ),
        )
        .allow(say!(
            "{width} columns are named, so every line has {width} values.",
            "Ada {width} nama kolom, jadi setiap baris berisi {width} nilai.",
            width = Arg::Number(width as f64, 0)
        ))
        .remedy(say!(
            "Put names with blanks in double quotes, and fill in what is missing.",
            "Apit nama yang berspasi dengan tanda kutip, dan lengkapi yang kurang."
        )),
    )
}

fn empty(text: &str, path: &str) -> Finding {
    Finding::new(
        "measured-empty",
        Weight::Wrong,
        place(path, text.len()..text.len()),
        say!(
            "There are no measurements in it.",
            "Tidak ada hasil ukur di dalamnya."
        ),
    )
    .allow(say!(
        "CGATS.17 text, or CSV: a row of names (sample, 400, 410, ...) and a row for every reading.",
        "Teks CGATS.17, atau CSV: satu baris nama (sample, 400, 410, ...) dan satu baris tiap pembacaan."
    ))
}

/// Lines that are neither empty nor a comment, with the byte they begin at.
fn lines(text: &str) -> Vec<(usize, &str)> {
    let mut start = 0;
    let mut out = Vec::new();
    for line in text.split_inclusive('\n') {
        let bare = line.trim_start_matches('\u{FEFF}');
        let skipped = line.len() - bare.len();
        let bare = bare.trim_end_matches(['\n', '\r']);
        if !bare.trim().is_empty() && !bare.starts_with('#') {
            out.push((start + skipped, bare));
        }
        start += line.len();
    }
    out
}

/// Cells of a line; a separator in double quotes does not part. A quote that does not close ends with its line.
fn cells(line: &str, start: usize, separator: char) -> Vec<Cell<'_>> {
    let mut out = Vec::new();
    let (mut from, mut quoted) = (0, false);
    let mut push = |range: std::ops::Range<usize>| {
        let raw = &line[range.clone()];
        let trimmed = raw.trim();
        let lead = raw.len() - raw.trim_start().len();
        let begin = start + range.start + lead;
        out.push(Cell {
            text: trimmed.trim_matches('"').trim(),
            span: begin..begin + trimmed.len(),
        });
    };
    for (at, c) in line.char_indices() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            push(from..at);
            from = at + c.len_utf8();
        }
    }
    push(from..line.len());
    out
}

fn is_wavelength_column(name: &str) -> bool {
    matches!(
        name.to_ascii_lowercase().as_str(),
        "nm" | "wavelength" | "wavelength_nm" | "wavelength (nm)" | "lambda"
    )
}

/// Rows of wavelengths as columns: the first column's cells name the columns, the header names the samples.
fn turned(table: Table<'_>) -> Table<'_> {
    let name = Cell {
        text: "sample",
        span: table.columns[0].span.clone(),
    };
    let columns = std::iter::once(name)
        .chain(table.rows.iter().map(|row| row[0].clone()))
        .collect();
    let rows = (1..table.columns.len())
        .map(|sample| {
            std::iter::once(table.columns[sample].clone())
                .chain(table.rows.iter().map(|row| row[sample].clone()))
                .collect()
        })
        .collect();
    Table {
        columns,
        rows,
        ..table
    }
}
