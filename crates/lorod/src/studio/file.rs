//! Files that pages hand out: tables, data, drawings, papers, archives.

use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde_json::Value;

/// One file.
pub struct File {
    name: String,
    kind: &'static str,
    bytes: Vec<u8>,
    /// Whether a browser shows it rather than keeps it.
    shown: bool,
}

impl File {
    fn new(name: &str, kind: &'static str, shown: bool, bytes: Vec<u8>) -> Self {
        Self {
            // The name stands in a header: letters, digits, `-` and the dot of its ending.
            name: name
                .chars()
                .filter(|c| c.is_ascii_alphanumeric() || "-.".contains(*c))
                .collect(),
            kind,
            bytes,
            shown,
        }
    }
    /// A table (RFC 4180).
    pub fn csv(name: &str, text: String) -> Self {
        Self::new(
            name,
            "text/csv; charset=utf-8; header=present",
            false,
            text.into_bytes(),
        )
    }
    /// Data.
    pub fn json(name: &str, value: &Value) -> Self {
        Self::new(name, "application/json", true, value.to_string().into_bytes())
    }
    /// A calendar (RFC 5545), for programs that come back for it.
    pub fn calendar(name: &str, text: String) -> Self {
        Self::new(name, "text/calendar; charset=utf-8", true, text.into_bytes())
    }
    /// A drawing.
    pub fn svg(name: &str, text: String) -> Self {
        Self::new(name, "image/svg+xml", true, text.into_bytes())
    }
    /// A paper.
    pub fn pdf(name: &str, bytes: Vec<u8>) -> Self {
        Self::new(name, "application/pdf", true, bytes)
    }
    /// An archive that is made already.
    pub fn archive(name: &str, bytes: Vec<u8>) -> Self {
        Self::new(name, "application/zip", false, bytes)
    }
}

impl IntoResponse for File {
    fn into_response(self) -> Response {
        let how = if self.shown { "inline" } else { "attachment" };
        let about = [
            (header::CONTENT_TYPE, self.kind.to_string()),
            (
                header::CONTENT_DISPOSITION,
                format!("{how}; filename=\"{}\"", self.name),
            ),
        ];
        (about, self.bytes).into_response()
    }
}

/// Rows as RFC 4180: commas, quotes where they are needed, CRLF. A field that a spreadsheet would take for a formula
/// gets an apostrophe before it.
pub fn csv<const N: usize>(rows: impl Iterator<Item = [String; N]>) -> String {
    csv_rows(rows.map(Vec::from))
}

/// [`csv`] of rows whose width is known later.
pub fn csv_rows(rows: impl Iterator<Item = Vec<String>>) -> String {
    let field = |text: &String| {
        let formula = text.starts_with(['=', '+', '@', '\t', '\r'])
            || (text.starts_with('-') && text.parse::<f64>().is_err());
        let text = if formula { format!("'{text}") } else { text.clone() };
        if text.contains([',', '"', '\r', '\n']) {
            format!("\"{}\"", text.replace('"', "\"\""))
        } else {
            text
        }
    };
    let mut out = String::new();
    for row in rows {
        out.push_str(&row.iter().map(field).collect::<Vec<_>>().join(","));
        out.push_str("\r\n");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::csv;

    /// RFC 4180, 2, rules 5 to 7: fields with quotes, commas and breaks.
    #[test]
    fn tables_quote_what_must_be() {
        let rows = [
            ["a".into(), "b,c".into()],
            ["say \"x\"".into(), "-1.5".into()],
            ["=1+1".into(), "l\nm".into()],
        ];
        assert_eq!(
            csv(rows.into_iter()),
            "a,\"b,c\"\r\n\"say \"\"x\"\"\",-1.5\r\n'=1+1,\"l\nm\"\r\n"
        );
    }
}
