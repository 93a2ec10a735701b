//! Money: whole minor units, dated rates.

// A missing rate is a whole answer to a person; it is met once per line, never in a loop.
#![allow(clippy::result_large_err)]

use crate::{Money, Rate, Workshop};
use words::{Arg, Finding, Place, Weight, say};

/// Digits after the point of a currency's amounts as they are kept: ISO 4217 minor units (from memory), except
/// that rupiah are kept whole, since no smaller coin has been used for decades.
pub fn minor_digits(currency: &str) -> u32 {
    match currency {
        "IDR" | "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX"
        | "VND" | "VUV" | "XAF" | "XOF" | "XPF" => 0,
        "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
        _ => 2,
    }
}

/// Largest amount that f64 still counts in single minor units.
const MOST: f64 = 9.0e15;

impl Money {
    /// The amount as a plain decimal number, "1.50", without thousands marks.
    pub fn decimal(&self) -> String {
        let digits = minor_digits(&self.currency) as usize;
        let sign = if self.minor < 0 { "-" } else { "" };
        let text = format!("{:0>width$}", self.minor.unsigned_abs(), width = digits + 1);
        let (whole, part) = text.split_at(text.len() - digits);
        if part.is_empty() {
            format!("{sign}{whole}")
        } else {
            format!("{sign}{whole}.{part}")
        }
    }

    /// One of `parts` equal parts, rounded to the nearest minor unit, halves away from zero.
    pub fn part(&self, parts: f64) -> Option<Self> {
        rounded(self.minor as f64 / parts).map(|minor| Self {
            minor,
            currency: self.currency.clone(),
        })
    }
}

/// To the nearest whole minor unit, halves away from zero; `None` if it is no number or too large to count.
pub fn rounded(minor: f64) -> Option<i64> {
    (minor.abs() < MOST).then(|| minor.round() as i64)
}

/// Minor units of `to` for one minor unit of `from`, with the rate that was used (`None` for the same currency).
/// A rate read the other way round is turned over.
///
/// # Errors
/// A finding if the workshop has no rate between them.
pub fn exchange<'a>(shop: &'a Workshop, from: &str, to: &str) -> Result<(f64, Option<&'a Rate>), Finding> {
    if from == to {
        return Ok((1.0, None));
    }
    let usable = |rate: &&Rate| rate.rate.is_finite() && rate.rate > 0.0;
    let there = shop
        .rates
        .iter()
        .filter(usable)
        .find(|r| r.from == from && r.to == to)
        .map(|r| (r.rate, r));
    let back = || {
        shop.rates
            .iter()
            .filter(usable)
            .find(|r| r.from == to && r.to == from)
            .map(|r| (1.0 / r.rate, r))
    };
    let Some((units, rate)) = there.or_else(back) else {
        return Err(Finding::new(
            "rate-missing",
            Weight::Wrong,
            Place::Request,
            say!(
                "there is no exchange rate between {from} and {to}",
                "tidak ada kurs antara {from} dan {to}",
                from = Arg::Name(from.to_string()),
                to = Arg::Name(to.to_string())
            ),
        )
        .remedy(say!(
            "write a dated rate into the workshop file",
            "tulis kurs bertanggal di berkas bengkel"
        )));
    };
    let minor = |code: &str| 10f64.powi(minor_digits(code) as i32);
    Ok((units * minor(to) / minor(from), Some(rate)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(minor: i64, currency: &str) -> Money {
        Money {
            minor,
            currency: currency.to_string(),
        }
    }

    #[test]
    fn amounts_are_written_with_their_minor_digits() {
        for (minor, code, want) in [
            (5, "EUR", "0.05"),
            (-1250, "EUR", "-12.50"),
            (18500, "IDR", "18500"),
            (1500, "KWD", "1.500"),
            (0, "JPY", "0"),
        ] {
            assert_eq!(money(minor, code).decimal(), want);
        }
    }

    #[test]
    fn halves_go_away_from_zero() {
        assert_eq!(money(5, "EUR").part(2.0), Some(money(3, "EUR")));
        assert_eq!(money(-5, "EUR").part(2.0), Some(money(-3, "EUR")));
        assert_eq!(money(5, "EUR").part(0.0), None);
        assert_eq!(rounded(f64::NAN), None);
    }
}
