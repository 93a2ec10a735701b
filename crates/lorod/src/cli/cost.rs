//! `lorod cost`: what a lot, a bolt and a yard cost.

use super::check::aside;
use super::end::{REFUSED, design, open, shop};
use super::table::Table;
use super::wire::{OriginOut, QuantityOut};
use super::{End, tell, wire};
use clap::Args;
use route::{Cost, Group, LotShape, Money, Shares};
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Text, Voice, say, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod cost my-cloth sea-fan --bolts 6

A price that is missing leaves the sum open; it is never counted as nothing.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Bolts of the lot; it pays for its own baths, whole, so a small lot is dear
    #[arg(long, value_name = "N", default_value_t = 6, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub bolts: u32,
    /// Every line, not only the sums of the groups
    #[arg(long)]
    pub lines: bool,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Bolts of the lot.
    bolts: u32,
    /// Finished yards of the lot.
    yards: f64,
    /// Every line.
    lines: Vec<LineOut>,
    /// The sum in the books' currency; `null` while a price is missing.
    books: Option<SharesOut>,
    /// The sum in the quotations' currency.
    quote: Option<SharesOut>,
    /// Rate that the quotation rests on.
    rate: Option<RateOut>,
    /// What is missing.
    findings: Vec<wire::FindingOut>,
}

/// A line of the sheet.
#[derive(Serialize)]
struct LineOut {
    /// `cloth`, `dyes`, `materials`, `firewood`, `labour` or `overhead`.
    group: &'static str,
    /// What it is.
    name: String,
    /// How much.
    amount: QuantityOut,
    /// As a decimal number of the books' currency; `null` if its price is missing.
    cost: Option<String>,
    /// Where the amount comes from.
    origin: Option<OriginOut>,
}

/// A sum. Amounts are decimal numbers in text, so that no reader rounds them.
#[derive(Serialize)]
struct SharesOut {
    /// ISO 4217 code.
    currency: String,
    /// The whole lot.
    lot: String,
    /// A bolt.
    bolt: String,
    /// A finished yard of length.
    yard: String,
}

/// An exchange rate.
#[derive(Serialize)]
struct RateOut {
    from: String,
    to: String,
    rate: f64,
    /// The day it was read.
    date: String,
}

/// Runs it.
///
/// # Errors
/// If there is no such design, or a price is missing.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let lot = LotShape::new(&design.id, ask.bolts, 0, design.cloth);
    let cost = route::cost(&design, &lot, shop);
    let open_sum = !cost.findings.is_empty();
    if ask.json {
        let books = &shop.books;
        wire::print(&Out {
            design: design.id.clone(),
            bolts: cost.bolts,
            yards: cost.yards,
            lines: cost
                .lines
                .iter()
                .map(|line| line_out(line, books, voice))
                .collect(),
            books: cost.books.as_ref().map(shares_out),
            quote: cost.quote.as_ref().map(|(shares, _)| shares_out(shares)),
            rate: cost
                .quote
                .as_ref()
                .and_then(|(_, rate)| rate.as_ref())
                .map(|rate| RateOut {
                    from: rate.from.clone(),
                    to: rate.to.clone(),
                    rate: rate.rate,
                    date: rate.date.clone(),
                }),
            findings: wire::findings(&cost.findings, |path| workspace.source(path), voice),
        });
    } else {
        tell(&as_text(&cost, &shop.books, ask.lines, voice));
        aside(&cost.findings, &workspace, voice);
    }
    if open_sum { Err(End::said(REFUSED)) } else { Ok(()) }
}

fn line_out(line: &route::CostLine, books: &str, voice: Voice) -> LineOut {
    LineOut {
        group: match line.group {
            Group::Cloth => "cloth",
            Group::Dyes => "dyes",
            Group::Materials => "materials",
            Group::Firewood => "firewood",
            Group::Labour => "labour",
            Group::Overhead => "overhead",
        },
        name: line.name.say(voice),
        amount: QuantityOut::new(line.amount, voice),
        cost: line.cost.map(|minor| money(minor, books).decimal()),
        origin: line.origin.as_ref().map(OriginOut::new),
    }
}

fn shares_out(shares: &Shares) -> SharesOut {
    SharesOut {
        currency: shares.lot.currency.clone(),
        lot: shares.lot.decimal(),
        bolt: shares.bolt.decimal(),
        yard: shares.yard.decimal(),
    }
}

fn money(minor: i64, currency: &str) -> Money {
    Money {
        minor,
        currency: currency.to_string(),
    }
}

/// An amount as the reader writes decimals.
pub fn amount(money: &Money, voice: Voice) -> String {
    let digits = money.decimal();
    let digits = match voice.decimal() {
        units::Decimal::Point => digits,
        units::Decimal::Comma => digits.replace('.', ","),
    };
    format!("{digits} {}", money.currency)
}

/// The cost sheet as text.
pub fn as_text(cost: &Cost, books: &str, lines: bool, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let missing = || raw(text!("price missing", "harga belum ada"));
    let mut table = Table::new(&[false, true, true, false]);
    for group in Group::ALL {
        let sum = cost
            .of(group)
            .map_or_else(missing, |minor| amount(&money(minor, books), voice));
        table.row([raw(group.text()), String::new(), sum]);
        for line in cost.lines.iter().filter(|line| lines && line.group == group) {
            let price = line
                .cost
                .map_or_else(missing, |minor| amount(&money(minor, books), voice));
            let mark = line
                .origin
                .as_ref()
                .map_or_else(String::new, |o| format!("({})", raw(o.mark())));
            table.row([
                format!("  {}", line.name.say(voice)),
                voice.quantity(line.amount),
                price,
                mark,
            ]);
        }
    }
    let mut out = table.text();
    let head = say!(
        "Bolts: {bolts}; finished yards: {yards}",
        "Gulung: {bolts}; yard jadi: {yards}",
        bolts = Arg::Number(f64::from(cost.bolts), 0),
        yards = Arg::Number(cost.yards, 1)
    );
    out += &format!("{}\n", head.say(voice));
    let mut sums = Table::new(&[false, true, true]);
    let both: Vec<&Shares> = cost
        .books
        .iter()
        .chain(cost.quote.iter().map(|(shares, _)| shares))
        .collect();
    for (name, of) in [
        (
            text!("the lot", "partai"),
            (|s: &Shares| s.lot.clone()) as fn(&Shares) -> Money,
        ),
        (text!("a bolt", "satu gulung"), |s| s.bolt.clone()),
        (text!("a yard", "satu yard"), |s| s.yard.clone()),
    ] {
        let amounts = both.iter().map(|shares| amount(&of(shares), voice));
        sums.row(std::iter::once(raw(name)).chain(amounts));
    }
    if both.is_empty() {
        let known = say!(
            "at least {known}; the sum stays open while a price is missing",
            "sedikitnya {known}; jumlahnya belum pasti selama ada harga yang belum ada",
            known = Arg::Name(amount(&money(cost.known(), books), voice))
        );
        return out + &format!("  {}\n", known.say(voice));
    }
    out += &sums.text();
    if let Some((_, Some(rate))) = &cost.quote {
        let rate = say!(
            "at {rate} {to} for 1 {from}, read {date}",
            "kurs {rate} {to} untuk 1 {from}, dibaca {date}",
            rate = Arg::Number(rate.rate, if rate.rate < 100.0 { 5 } else { 0 }),
            to = Arg::Name(rate.to.clone()),
            from = Arg::Name(rate.from.clone()),
            date = Arg::Name(rate.date.clone())
        );
        out += &format!("  {}\n", rate.say(voice));
    }
    out
}
