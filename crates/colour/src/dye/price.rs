//! What a dye costs.

use words::{Arg, Finding, Place, Weight, say};

/// A price per kg of commercial dye, exact: `amount` is the decimal number without its point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// Digits of the price: 3850 for 38.50.
    pub amount: i64,
    /// How many of them stand after the point: 2 for 38.50.
    pub decimals: u8,
    /// ISO 4217 code.
    pub currency: String,
}

impl Price {
    /// Reads "285000 IDR/kg" or "38.50 EUR/kg".
    ///
    /// # Errors
    /// A finding at `place` if it is not a decimal number, a code of three capitals and "/kg".
    pub fn read(text: &str, place: &Place) -> Result<Self, Finding> {
        Self::parse(text).ok_or_else(|| {
            Finding::new(
                "price",
                Weight::Wrong,
                place.clone(),
                say!(
                    "\"{found}\" is not a price.",
                    "\"{found}\" bukan harga.",
                    found = Arg::Name(text.to_string())
                ),
            )
            .allow(say!(
                "A price is a number, an ISO 4217 currency code and /kg: \"{example}\".",
                "Harga ditulis sebagai angka, kode mata uang ISO 4217 dan /kg: \"{example}\".",
                example = Arg::Name("285000 IDR/kg".to_string())
            ))
        })
    }

    fn parse(text: &str) -> Option<Self> {
        let (number, unit) = text.trim().split_once(' ')?;
        let currency = unit.trim().strip_suffix("/kg")?;
        if currency.len() != 3 || !currency.bytes().all(|b| b.is_ascii_uppercase()) {
            return None;
        }
        let (whole, part) = number.split_once('.').unwrap_or((number, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || part.len() > 4 || !digits(whole) || !digits(part) || number.ends_with('.') {
            return None;
        }
        let amount = format!("{whole}{part}").parse().ok()?;
        Some(Self {
            amount,
            decimals: part.len() as u8,
            currency: currency.to_string(),
        })
    }

    /// The price as a decimal number, "38.50".
    pub fn decimal(&self) -> String {
        let decimals = usize::from(self.decimals);
        let digits = format!("{:0>width$}", self.amount, width = decimals + 1);
        let (whole, part) = digits.split_at(digits.len() - decimals);
        if part.is_empty() {
            whole.to_string()
        } else {
            format!("{whole}.{part}")
        }
    }
}
