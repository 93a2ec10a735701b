//! Single values of a file.

use super::table::Cell;
use words::{Arg, Finding, Weight, say};

/// A finite number. A decimal comma is read where commas do not part cells.
pub(super) fn number(cell: &Cell, decimal_comma: bool, path: &str) -> Result<f64, Finding> {
    let turned;
    let text = if decimal_comma && cell.text.matches(',').count() == 1 && !cell.text.contains('.') {
        turned = cell.text.replace(',', ".");
        turned.as_str()
    } else {
        cell.text
    };
    if let Some(value) = text.parse::<f64>().ok().filter(|v| v.is_finite()) {
        return Ok(value);
    }
    Err(Finding::new(
        "measured-number",
        Weight::Wrong,
        cell.place(path),
        if cell.text.is_empty() {
            say!("A value is missing here.", "Ada nilai yang kosong di sini.")
        } else {
            say!(
                "\"{found}\" is not a number.",
                "\"{found}\" bukan angka.",
                found = Arg::Name(cell.text.to_string())
            )
        },
    )
    .allow(say!(
        "A plain number like {example}; a decimal comma only where semicolons or tabs part the values.",
        "Angka biasa seperti {example}; koma desimal hanya bila nilai dipisah titik koma atau tab.",
        example = Arg::Name("0.231".to_string())
    )))
}

/// `#rrggbb`, with or without the hash.
pub(super) fn hex(cell: &Cell, path: &str) -> Result<[u8; 3], Finding> {
    let digits = cell.text.strip_prefix('#').unwrap_or(cell.text);
    let byte = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    if digits.len() == 6
        && digits.bytes().all(|b| b.is_ascii_hexdigit())
        && let (Some(r), Some(g), Some(b)) = (byte(0), byte(2), byte(4))
    {
        return Ok([r, g, b]);
    }
    Err(Finding::new(
        "measured-hex",
        Weight::Wrong,
        cell.place(path),
        say!(
            "\"{found}\" is not a screen colour.",
            "\"{found}\" bukan warna layar.",
            found = Arg::Name(cell.text.to_string())
        ),
    )
    .allow(say!(
        "An sRGB colour is six hexadecimal digits like {example}.",
        "Warna sRGB ditulis enam digit heksadesimal seperti {example}.",
        example = Arg::Name("#a64b3c".to_string())
    )))
}
