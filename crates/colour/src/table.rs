//! The tables that are built into the program: CSV with `#` comments, one header row and numbers.

/// A table of numbers with named columns.
pub(crate) struct Table {
    head: Vec<&'static str>,
    rows: Vec<Vec<f64>>,
}

impl Table {
    /// Reads a table that is part of the program.
    ///
    /// # Panics
    /// If the text is not such a table: that is a broken build, not a user's mistake.
    pub fn built_in(text: &'static str) -> Self {
        let mut lines = text
            .lines()
            .filter(|l| !l.starts_with('#') && !l.trim().is_empty());
        let head: Vec<&str> = lines
            .next()
            .unwrap_or_default()
            .split(',')
            .map(str::trim)
            .collect();
        let rows: Vec<Vec<f64>> = lines
            .map(|line| {
                let row: Vec<f64> = line
                    .split(',')
                    .map(|cell| {
                        cell.trim()
                            .parse()
                            .unwrap_or_else(|_| panic!("not a number: {cell} in {line}"))
                    })
                    .collect();
                assert_eq!(row.len(), head.len(), "cells of {line}");
                row
            })
            .collect();
        Self { head, rows }
    }

    /// One column.
    ///
    /// # Panics
    /// If there is no such column.
    pub fn column(&self, name: &str) -> Vec<f64> {
        let at = self
            .head
            .iter()
            .position(|h| *h == name)
            .unwrap_or_else(|| panic!("no column {name}"));
        self.rows.iter().map(|r| r[at]).collect()
    }
}
