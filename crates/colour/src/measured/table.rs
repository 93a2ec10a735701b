//! What every kind of file is brought to before its numbers are looked at: named columns, rows of cells, and
//! where each stands.

use std::ops::Range;
use words::Place;

/// A piece of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Cell<'a> {
    /// Without quotes.
    pub text: &'a str,
    /// Bytes of the file.
    pub span: Range<usize>,
}

impl Cell<'_> {
    /// Where it stands.
    pub fn place(&self, path: &str) -> Place {
        place(path, self.span.clone())
    }
}

/// Bytes of a file.
pub(super) fn place(path: &str, span: Range<usize>) -> Place {
    Place::File {
        path: path.to_string(),
        span,
    }
}

/// One block of data: every row has as many cells as there are columns.
#[derive(Clone, Debug, Default)]
pub(super) struct Table<'a> {
    /// Keyword and value, from the start of the file (a later block repeats what changed).
    pub header: Vec<(Cell<'a>, Cell<'a>)>,
    /// Names.
    pub columns: Vec<Cell<'a>>,
    /// Rows, none empty.
    pub rows: Vec<Vec<Cell<'a>>>,
    /// Whether a decimal comma is read as one: only where a comma does not part cells.
    pub decimal_comma: bool,
}
