//! Amounts of money with what they are for: "18500 IDR/h", "21500 IDR/yd", "9200 IDR/kg".

use crate::read::Item;
use route::{Money, minor_digits};
use words::{Arg, say};

/// What a price is per, and how many of its unit make one of the SI base.
pub(crate) enum Per {
    /// An hour of work.
    Hour,
    /// A metre of cloth; yards are taken too.
    Metre,
    /// A kilogram of something in the store; grams and pounds are taken too.
    Mass,
    /// A cubic metre of something in the store; litres and gallons are taken too.
    Volume,
}

impl Per {
    /// Spelling and how many of it make the base (h; m; kg or m3). The yard is 0.9144 m, the pound 0.45359237 kg
    /// (1959 agreement), the US gallon 231 cubic inches.
    const fn units(&self) -> &'static [(&'static str, f64)] {
        match self {
            Self::Hour => &[("h", 1.0)],
            Self::Metre => &[("m", 1.0), ("yd", 1.0 / 0.9144)],
            Self::Mass => &[("kg", 1.0), ("g", 1e3), ("lb", 1.0 / 0.453_592_37)],
            Self::Volume => &[("m3", 1.0), ("L", 1e3), ("gal", 1e6 / 3_785.411_784)],
        }
    }
    const fn example(&self) -> &'static str {
        match self {
            Self::Hour => "18500 IDR/h",
            Self::Metre => "21500 IDR/yd",
            Self::Mass => "9200 IDR/kg",
            Self::Volume => "8000 IDR/m3",
        }
    }
}

/// Is it written like an ISO 4217 code?
pub(crate) fn is_code(text: &str) -> bool {
    text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase())
}

/// Reads a currency code.
pub(crate) fn currency(item: Item) -> Option<String> {
    let text = item.text()?;
    if is_code(text) {
        return Some(text.to_string());
    }
    item.add(
        item.wrong(
            "currency-code",
            say!(
                "\"{found}\" is not a currency code",
                "\"{found}\" bukan kode mata uang",
                found = Arg::Name(text.chars().take(40).collect())
            ),
        )
        .allow(say!(
            "three capitals by ISO 4217, as {one} or {other}",
            "tiga huruf besar menurut ISO 4217, seperti {one} atau {other}",
            one = Arg::Name("IDR".into()),
            other = Arg::Name("EUR".into())
        )),
    );
    None
}

/// Reads an amount per something, as minor units per SI base.
pub(crate) fn money(item: Item, per: &Per) -> Option<Money> {
    let text = item.text()?;
    let money = parse(text, per);
    if money.is_none() {
        let units: Vec<&str> = per.units().iter().map(|(unit, _)| *unit).collect();
        item.add(
            item.wrong(
                "price",
                say!(
                    "\"{found}\" is not a price",
                    "\"{found}\" bukan harga",
                    found = Arg::Name(text.chars().take(60).collect())
                ),
            )
            .allow(say!(
                "a number without thousands marks, a currency code, and per {units}",
                "angka tanpa tanda ribuan, kode mata uang, dan per {units}",
                units = Arg::Name(units.join(", "))
            ))
            .remedy(say!(
                "write for example {example}",
                "tulis misalnya {example}",
                example = Arg::Name(per.example().into())
            )),
        );
    }
    money
}

fn parse(text: &str, per: &Per) -> Option<Money> {
    let (number, rest) = text.trim().split_once(' ')?;
    let (code, unit) = rest.trim().split_once('/')?;
    let (_, factor) = per.units().iter().find(|(u, _)| *u == unit.trim())?;
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    let (whole, part) = number.split_once('.').unwrap_or((number, "0"));
    if !is_code(code.trim()) || !digits(whole) || !digits(part) || number.len() > 15 {
        return None;
    }
    let amount: f64 = number.parse().ok()?;
    let minor = amount * factor * 10f64.powi(minor_digits(code.trim()) as i32);
    // Above this, f64 no longer counts minor units one by one.
    (minor < 9e15).then(|| Money {
        minor: minor.round() as i64,
        currency: code.trim().to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_become_minor_units_of_the_base() {
        let read = |text: &str, per: Per| parse(text, &per).map(|m| (m.minor, m.currency));
        let is = |minor, code: &str| Some((minor, code.to_string()));
        assert_eq!(read("18500 IDR/h", Per::Hour), is(18500, "IDR"));
        assert_eq!(read("3.20 EUR/m", Per::Metre), is(320, "EUR"));
        // 21500 / 0.9144 = 23512.69 by hand.
        assert_eq!(read("21500 IDR/yd", Per::Metre), is(23513, "IDR"));
        assert_eq!(read("12 IDR/L", Per::Volume), is(12_000, "IDR"));
        assert_eq!(read("1.5 KWD/kg", Per::Mass), is(1500, "KWD"));
        assert_eq!(read("12 IDR/L", Per::Mass), None);
        assert_eq!(read("12 IDR/kg", Per::Volume), None);
        for bad in [
            "",
            "18500",
            "18500 IDR",
            "18,500 IDR/h",
            "18500 idr/h",
            "-1 IDR/h",
            "1e3 IDR/h",
            "1. IDR/h",
            ".5 IDR/h",
            "NaN IDR/h",
            "1 IDR/kg",
            "99999999999999999 IDR/h",
        ] {
            assert_eq!(read(bad, Per::Hour), None, "{bad}");
        }
    }
}
