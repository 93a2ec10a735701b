//! CGATS.17 / ISO 28178 text: keywords with values, a declared list of fields, sets of values parted by white
//! space. Text in double quotes may hold blanks and `#`; `#` begins a comment.

use super::table::{Cell, Table, place};
use words::{Arg, Finding, Weight, say};

/// A word with the line it stands on.
struct Word<'a> {
    cell: Cell<'a>,
    line: usize,
}

/// All blocks of a file; blocks with nothing readable are left out.
pub(super) fn tables<'a>(text: &'a str, path: &str) -> (Vec<Table<'a>>, Vec<Finding>) {
    let mut reader = Reader {
        text,
        path,
        words: words(text),
        at: 0,
        findings: Vec::new(),
    };
    let mut tables = Vec::new();
    let mut header = Vec::new();
    // The first word is the kind of file.
    if reader.words.first().is_some_and(|w| !is_mark(w.cell.text)) {
        reader.at = 1;
    }
    while reader.at < reader.words.len() {
        if let Some(table) = reader.block(&mut header) {
            tables.push(table);
        }
    }
    if tables.is_empty() && reader.findings.is_empty() {
        reader.missing("BEGIN_DATA");
    }
    (tables, reader.findings)
}

struct Reader<'a, 'p> {
    text: &'a str,
    path: &'p str,
    words: Vec<Word<'a>>,
    at: usize,
    findings: Vec<Finding>,
}

impl<'a> Reader<'a, '_> {
    /// Header, fields and data up to the next `END_DATA`, or to the end of the file.
    fn block(&mut self, header: &mut Vec<(Cell<'a>, Cell<'a>)>) -> Option<Table<'a>> {
        let (mut columns, mut fields, mut sets) = (Vec::new(), None, None);
        let began = self.at;
        while let Some(word) = self.words.get(self.at) {
            let (cell, line) = (word.cell.clone(), word.line);
            self.at += 1;
            match cell.text {
                "BEGIN_DATA_FORMAT" => columns = self.until("END_DATA_FORMAT")?.collect_cells(),
                "BEGIN_DATA" => {
                    let data = self.until("END_DATA")?;
                    self.count_fields(fields.as_ref(), &columns, &cell);
                    if columns.is_empty() {
                        self.missing("BEGIN_DATA_FORMAT");
                        return None;
                    }
                    let rows = self.rows(data, &columns, sets.as_ref());
                    return Some(Table {
                        header: header.clone(),
                        columns,
                        rows,
                        decimal_comma: false,
                    });
                }
                _ => {
                    let value = self.values_of_line(line);
                    match cell.text {
                        "NUMBER_OF_FIELDS" => fields = Some(value.clone()),
                        "NUMBER_OF_SETS" => sets = Some(value.clone()),
                        _ => {}
                    }
                    // A declaration (`KEYWORD "X"`) is not a value of the header.
                    if cell.text != "KEYWORD" {
                        header.push((cell, value));
                    }
                }
            }
        }
        // Header words without data after them: trailing remarks of the last block are no fault.
        if !columns.is_empty() && began < self.at {
            self.missing("BEGIN_DATA");
        }
        None
    }

    /// The rest of a header line as one value.
    fn values_of_line(&mut self, line: usize) -> Cell<'a> {
        let from = self.at;
        while self.words.get(self.at).is_some_and(|w| w.line == line) {
            self.at += 1;
        }
        match &self.words[from..self.at] {
            [] => Cell::default(),
            [one] => one.cell.clone(),
            [first, .., last] => {
                let span = first.cell.span.start..last.cell.span.end;
                Cell {
                    text: &self.text[span.clone()],
                    span,
                }
            }
        }
    }

    /// The words up to a mark, which is passed over.
    fn until(&mut self, mark: &'static str) -> Option<Words<'a>> {
        let from = self.at;
        let Some(length) = self.words[from..].iter().position(|w| w.cell.text == mark) else {
            self.at = self.words.len();
            self.missing(mark);
            return None;
        };
        self.at = from + length + 1;
        Some(Words(
            self.words[from..from + length]
                .iter()
                .map(|w| (w.cell.clone(), w.line))
                .collect(),
        ))
    }

    /// Data as rows: a set a line. If lines are broken differently (the standard parts values by any white space)
    /// but the count is that of the stated number of sets, values are taken in order.
    fn rows(&mut self, data: Words<'a>, columns: &[Cell<'a>], sets: Option<&Cell<'a>>) -> Vec<Vec<Cell<'a>>> {
        let width = columns.len();
        let stated: Option<usize> = sets.and_then(|s| s.text.parse().ok());
        let total = data.0.len();
        let lines = data.lines();
        let even = lines.iter().all(|l| l.len() == width);
        let rows: Vec<_> = if !even && stated.and_then(|s| s.checked_mul(width)) == Some(total) {
            let cells = data.collect_cells();
            cells.chunks(width).map(<[Cell]>::to_vec).collect()
        } else {
            lines
                .into_iter()
                .filter(|row| row.len() == width || self.wrong_count(row, width))
                .collect()
        };
        if let (Some(stated), Some(cell)) = (stated, sets)
            && even
            && stated != rows.len()
        {
            self.findings.push(
                Finding::new(
                    "cgats-set-count",
                    Weight::Doubtful,
                    cell.place(self.path),
                    say!(
                        "NUMBER_OF_SETS is {stated}, but there are {found} lines of data.",
                        "NUMBER_OF_SETS bernilai {stated}, tetapi ada {found} baris data.",
                        stated = Arg::Number(stated as f64, 0),
                        found = Arg::Number(rows.len() as f64, 0)
                    ),
                )
                .remedy(say!(
                    "See whether the file was cut off; if not, correct the number.",
                    "Periksa apakah berkas terpotong; bila tidak, perbaiki angkanya."
                )),
            );
        }
        rows
    }

    /// Always false, for a filter.
    fn wrong_count(&mut self, row: &[Cell<'a>], width: usize) -> bool {
        self.findings
            .extend(super::csv::wrong_count(row, width, self.path));
        false
    }

    fn count_fields(&mut self, stated: Option<&Cell<'a>>, columns: &[Cell<'a>], at: &Cell<'a>) {
        let Some(cell) = stated.filter(|c| c.text.parse() != Ok(columns.len())) else {
            return;
        };
        let at = if cell.text.is_empty() { at } else { cell };
        self.findings.push(
            Finding::new(
                "cgats-field-count",
                Weight::Doubtful,
                at.place(self.path),
                say!(
                    "NUMBER_OF_FIELDS is \"{stated}\", but {found} fields are declared.",
                    "NUMBER_OF_FIELDS bernilai \"{stated}\", tetapi {found} kolom dinyatakan.",
                    stated = Arg::Name(cell.text.to_string()),
                    found = Arg::Number(columns.len() as f64, 0)
                ),
            )
            .remedy(say!(
                "The declared fields are used; correct the number.",
                "Kolom yang dinyatakan dipakai; perbaiki angkanya."
            )),
        );
    }

    fn missing(&mut self, mark: &'static str) {
        let end = self.text.len();
        self.findings.push(
            Finding::new(
                "cgats-mark-missing",
                Weight::Wrong,
                place(self.path, end..end),
                say!(
                    "The file ends without {mark}.",
                    "Berkas berakhir tanpa {mark}.",
                    mark = Arg::Name(mark.to_string())
                ),
            )
            .allow(say!(
                "Fields stand between BEGIN_DATA_FORMAT and END_DATA_FORMAT, values between BEGIN_DATA and END_DATA.",
                "Nama kolom di antara BEGIN_DATA_FORMAT dan END_DATA_FORMAT, nilai di antara BEGIN_DATA dan END_DATA."
            ))
            .remedy(say!(
                "Export the file once more; it may have been cut off.",
                "Ekspor ulang berkas ini; mungkin terpotong."
            )),
        );
    }
}

/// Words between two marks.
struct Words<'a>(Vec<(Cell<'a>, usize)>);

impl<'a> Words<'a> {
    fn collect_cells(self) -> Vec<Cell<'a>> {
        self.0.into_iter().map(|(cell, _)| cell).collect()
    }

    fn lines(&self) -> Vec<Vec<Cell<'a>>> {
        self.0
            .chunk_by(|a, b| a.1 == b.1)
            .map(|line| line.iter().map(|(cell, _)| cell.clone()).collect())
            .collect()
    }
}

fn is_mark(word: &str) -> bool {
    matches!(
        word,
        "BEGIN_DATA_FORMAT" | "BEGIN_DATA" | "NUMBER_OF_FIELDS" | "KEYWORD"
    )
}

/// Words of the file. A quote that does not close ends with its line.
fn words(text: &str) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut start = 0;
    for (line, content) in text.split_inclusive('\n').enumerate() {
        let mut at = 0;
        while let Some(skip) = content[at..].find(|c: char| !blank(c)) {
            at += skip;
            let rest = &content[at..];
            if rest.starts_with('#') {
                break;
            }
            let (inner, length) = if let Some(quoted) = rest.strip_prefix('"') {
                let close = quoted.find('"');
                let inner = close.map_or_else(|| quoted.trim_end(), |c| &quoted[..c]);
                (inner, close.map_or(rest.len(), |c| c + 2))
            } else {
                let end = rest.find(|c: char| blank(c) || c == '"').unwrap_or(rest.len());
                (&rest[..end], end)
            };
            words.push(Word {
                cell: Cell {
                    text: inner,
                    span: start + at..start + at + length,
                },
                line,
            });
            at += length;
        }
        start += content.len();
    }
    words
}

/// White space, and the byte order mark that some programs write first.
fn blank(c: char) -> bool {
    c.is_whitespace() || c == '\u{FEFF}'
}
