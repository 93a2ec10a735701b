//! Columns of text for a terminal.

/// Rows of cells, aligned: the first column to the left, numbers to the right.
pub struct Table {
    rows: Vec<Vec<String>>,
    right: Vec<bool>,
}

impl Table {
    /// A table whose columns stand to the right where `right` says so.
    pub fn new(right: &[bool]) -> Self {
        Self {
            rows: Vec::new(),
            right: right.to_vec(),
        }
    }
    /// Adds a row.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows
            .push(cells.into_iter().map(|cell| clean(&cell.into())).collect());
    }
    /// The rows, indented by two, two spaces between columns. Widths count characters.
    pub fn text(&self) -> String {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let cell = |row: &Vec<String>, at: usize| row.get(at).map_or(0, |c| c.chars().count());
        let widths: Vec<usize> = (0..columns)
            .map(|at| self.rows.iter().map(|row| cell(row, at)).max().unwrap_or(0))
            .collect();
        let mut out = String::new();
        for row in &self.rows {
            let mut line = String::from("  ");
            for (at, text) in row.iter().enumerate() {
                let room = " ".repeat(widths[at] - text.chars().count());
                if at > 0 {
                    line.push_str("  ");
                }
                if self.right.get(at).copied().unwrap_or(false) {
                    line.push_str(&room);
                    line.push_str(text);
                } else {
                    line.push_str(text);
                    line.push_str(&room);
                }
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
        out
    }
}

/// Names come from files: none of them may steer the terminal.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{FFFD}' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::Table;

    #[test]
    fn columns_line_up() {
        let mut table = Table::new(&[false, true]);
        table.row(["a", "1 g"]);
        table.row(["héron", "12 g"]);
        assert_eq!(table.text(), "  a       1 g\n  héron  12 g\n");
    }

    #[test]
    fn a_name_cannot_steer_the_terminal() {
        let mut table = Table::new(&[]);
        table.row(["\u{1b}[2J"]);
        assert_eq!(table.text(), "  \u{FFFD}[2J\n");
    }
}
