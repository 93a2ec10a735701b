//! What a lot costs: cloth, dyes, materials, firewood, labour and overhead as a fold over the route.
//!
//! Rounding: every line is reckoned for the whole lot in the books' currency and rounded once, to the nearest minor
//! unit, halves away from zero. Sums are sums of whole minor units. Per bolt and per yard are the lot's sum divided and
//! rounded; a quotation is the lot's sum exchanged and rounded, then divided. So parts may differ from the whole by a
//! minor unit each, and the lot's sum is always the sum of its lines.
//!
//! A price that is missing is a finding and leaves the sum open: it is never counted as nothing. A lot pays for its own
//! baths, whole; baths shared between lots cost less.

// A missing price is a whole answer to a person; it is met once per line, never in a loop.
#![allow(clippy::result_large_err)]

mod missing;

use crate::baths::{Drawn, bolts_in, totals};
use crate::money::{exchange, minor_digits, rounded};
use crate::{Design, Fate, LotShape, Money, Part, Rate, Stuff, Use, Workshop, along, sizes, store};
use missing::{no_density, no_price, nobody, uncountable};
use units::{Measure, Quantity, Span};
use words::{Arg, Finding, Line, Origin, Text, say, text};

/// What a line of the cost sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Group {
    /// White cloth as issued.
    Cloth,
    /// Dyes at their cards' prices.
    Dyes,
    /// Materials of the store at the workshop's prices; wax that comes back counts against them.
    Materials,
    /// Wood for the fires.
    Firewood,
    /// People's time.
    Labour,
    /// Overhead on labour.
    Overhead,
}

impl Group {
    /// All, in the order of a cost sheet.
    pub const ALL: [Self; 6] = [
        Self::Cloth,
        Self::Dyes,
        Self::Materials,
        Self::Firewood,
        Self::Labour,
        Self::Overhead,
    ];

    /// Its name.
    pub const fn text(self) -> &'static Text {
        match self {
            Self::Cloth => text!("White cloth", "Mori"),
            Self::Dyes => text!("Dyes", "Pewarna"),
            Self::Materials => text!("Materials", "Bahan"),
            Self::Firewood => text!("Firewood", "Kayu bakar"),
            Self::Labour => text!("Labour", "Tenaga kerja"),
            Self::Overhead => text!("Overhead", "Biaya umum"),
        }
    }
}

/// One line, for the whole lot.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// What it is for.
    pub group: Group,
    /// What it is.
    pub name: Line,
    /// How much: a length, a mass, a volume or people's time; negative for what comes back; a share for overhead.
    pub amount: Quantity,
    /// In minor units of the books' currency; `None` if its price is missing.
    pub cost: Option<i64>,
    /// The weakest origin that the amount rests on.
    pub origin: Option<Origin>,
}

/// A sum, for the lot and in equal parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Shares {
    /// The whole lot.
    pub lot: Money,
    /// One bolt.
    pub bolt: Money,
    /// One finished yard of length.
    pub yard: Money,
}

/// What a lot costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Bolts in the lot.
    pub bolts: u32,
    /// Finished yards in the lot.
    pub yards: f64,
    /// All lines, by group in the order of [`Group::ALL`].
    pub lines: Vec<CostLine>,
    /// The sum in the books' currency; `None` while a price is missing.
    pub books: Option<Shares>,
    /// The sum in the quotations' currency, with the rate if one was needed.
    pub quote: Option<(Shares, Option<Rate>)>,
    /// What is missing.
    pub findings: Vec<Finding>,
}

impl Cost {
    /// Sum of a group in minor units of the books' currency; `None` while a price of it is missing.
    pub fn of(&self, group: Group) -> Option<i64> {
        sum(self.lines.iter().filter(|line| line.group == group))
    }
    /// Sum of the lines that have a price: at least so much, whatever is missing.
    pub fn known(&self) -> i64 {
        self.lines.iter().filter_map(|line| line.cost).sum()
    }
}

fn sum<'a>(mut lines: impl Iterator<Item = &'a CostLine>) -> Option<i64> {
    lines.try_fold(0i64, |sum, line| sum.checked_add(line.cost?))
}

/// What a lot costs at this workshop.
pub fn cost(design: &Design, lot: &LotShape, shop: &Workshop) -> Cost {
    let mut sheet = Sheet {
        shop,
        lines: Vec::new(),
        findings: Vec::new(),
    };
    let bolts = f64::from(lot.bolts);
    let course = along(design, lot, shop);
    sheet.cloth(sizes(design, lot, shop).issue.0 * bolts);
    for drawn in totals(design, lot, shop) {
        sheet.drawn(drawn, design);
    }
    sheet.recovered(&course, bolts);
    for part in &course {
        sheet.labour(part, design, lot);
    }
    sheet.overhead();
    sheet.close(lot)
}

/// A price in minor units of a currency per SI base (per hour for people).
struct Price<'a> {
    minor: f64,
    currency: &'a str,
}

impl<'a> Price<'a> {
    fn of(money: &'a Money) -> Self {
        Self {
            minor: money.minor as f64,
            currency: &money.currency,
        }
    }
}

struct Sheet<'a> {
    shop: &'a Workshop,
    lines: Vec<CostLine>,
    findings: Vec<Finding>,
}

impl<'a> Sheet<'a> {
    /// Adds a line of `units` x `price`. Without a price, or without a rate for it, the line stays open.
    fn add(&mut self, line: CostLine, units: f64, price: Result<Price, Finding>) {
        let shop = self.shop;
        let cost = price.and_then(|price| {
            let (rate, _) = exchange(shop, price.currency, &shop.books)?;
            rounded(units * price.minor * rate).ok_or_else(|| uncountable(&line.name))
        });
        let cost = match cost {
            Ok(cost) => Some(cost),
            Err(finding) => {
                if !self.findings.contains(&finding) {
                    self.findings.push(finding);
                }
                None
            }
        };
        self.lines.push(CostLine { cost, ..line });
    }

    fn cloth(&mut self, metres: f64) {
        let line = CostLine {
            group: Group::Cloth,
            name: say!("White cloth, issued", "Mori, dikeluarkan"),
            amount: Quantity::new(metres, Measure::Length),
            cost: None,
            origin: None,
        };
        let price = Price::of(&self.shop.cloth_price);
        self.add(line, metres, Ok(price));
    }

    fn drawn(&mut self, drawn: Drawn, design: &Design) {
        let line = |group| CostLine {
            group,
            name: drawn.name,
            amount: drawn.amount,
            cost: None,
            origin: drawn.origin,
        };
        match drawn.stuff {
            Stuff::Dye(at) => {
                let line = line(Group::Dyes);
                let price = design.dyes.get(at).map(|card| Price {
                    minor: card.price.amount as f64
                        * 10f64
                            .powi(minor_digits(&card.price.currency) as i32 - i32::from(card.price.decimals)),
                    currency: &card.price.currency,
                });
                let price = price.ok_or_else(|| no_price(&line.name));
                self.add(line, drawn.amount.si, price);
            }
            Stuff::Material(material) => {
                let wood = *material == store::FIREWOOD;
                let line = line(if wood { Group::Firewood } else { Group::Materials });
                let sold = material.as_sold(drawn.amount, &self.shop.constants);
                let price = match sold {
                    Some(_) => self.price(material.term.key).ok_or_else(|| no_price(&line.name)),
                    None => Err(no_density(&line.name)),
                };
                self.add(line, sold.map_or(0.0, |sold| sold.si), price);
            }
        }
    }

    /// Wax that is skimmed goes back into the pan and counts at the price of wax.
    fn recovered(&mut self, course: &[Part], bolts: f64) {
        let back = |part: &Part| -> f64 {
            part.takes
                .wax_off
                .iter()
                .filter(|(fate, _)| *fate == Fate::Recovered)
                .map(|(_, kg)| kg)
                .sum()
        };
        let kg = course.iter().map(back).sum::<f64>() * bolts;
        if kg > 0.0 {
            let line = CostLine {
                group: Group::Materials,
                name: say!("Wax that comes back", "Malam yang kembali"),
                amount: Quantity::new(-kg, Measure::Mass),
                cost: None,
                // How much comes back is a constant of the boil.
                origin: course
                    .iter()
                    .rev()
                    .find(|part| back(part) > 0.0)
                    .and_then(|part| self.weakest_of(part)),
            };
            let price = self
                .price(store::WAX.term.key)
                .ok_or_else(|| no_price(&say!("Stamping wax", "Malam cap")));
            self.add(line, -kg, price);
        }
    }

    /// The weakest constant of a step, for a result whose own origin the step does not name.
    fn weakest_of(&self, part: &Part) -> Option<Origin> {
        let known = part
            .step
            .operation
            .kind()
            .constants
            .iter()
            .map(|constant| self.shop.constants.known(constant).origin);
        known.reduce(|a, b| a.weaker(&b).clone())
    }

    fn price(&self, key: &str) -> Option<Price<'a>> {
        self.shop
            .prices
            .iter()
            .find(|(material, _)| material == key)
            .map(|(_, money)| Price::of(money))
    }

    fn labour(&mut self, part: &Part, design: &Design, lot: &LotShape) {
        let kind = part.step.operation.kind();
        for task in part.step.operation.occupies(&part.before, design, lot, self.shop) {
            let times = match &task.batch {
                Some(batch) => lot.bolts.div_ceil(bolts_in(batch.capacity, lot.cloth.length)),
                None => lot.bolts,
            };
            for busy in &task.uses {
                let name = say!(
                    "{step}. {what}: {who}",
                    "{step}. {what}: {who}",
                    step = Arg::Number(f64::from(part.number), 0),
                    what = Arg::Term(&kind.term),
                    who = Arg::Name(busy.what.clone())
                );
                let wage = match self.shop.person(&busy.what) {
                    Some(person) => Ok(Price::of(&person.wage)),
                    None if self.shop.station(&busy.what).is_some() || busy.what.starts_with("stamp:") => {
                        continue;
                    }
                    None => Err(nobody(&busy.what, &part.step.id)),
                };
                let time = person_time(busy, task.work.likely).0 * f64::from(times);
                let line = CostLine {
                    group: Group::Labour,
                    name,
                    amount: Quantity::new(time, Measure::Span),
                    cost: None,
                    origin: Some(minutes_origin(task.work.least, task.work.likely, task.work.most)),
                };
                self.add(line, time / 3600.0, wage);
            }
        }
    }

    fn overhead(&mut self) {
        let labour = sum(self.lines.iter().filter(|line| line.group == Group::Labour));
        self.lines.push(CostLine {
            group: Group::Overhead,
            name: say!("Overhead on labour", "Biaya umum atas tenaga kerja"),
            amount: Quantity::new(self.shop.overhead, Measure::Share),
            cost: labour.and_then(|minor| rounded(minor as f64 * self.shop.overhead)),
            origin: None,
        });
    }

    fn close(mut self, lot: &LotShape) -> Cost {
        self.lines.sort_by_key(|line| line.group as u8);
        let yards = f64::from(lot.bolts) * lot.cloth.length.to_yd();
        let shop = self.shop;
        let books = sum(self.lines.iter()).map(|minor| Money {
            minor,
            currency: shop.books.clone(),
        });
        let shares = |money: Money| {
            Some(Shares {
                bolt: money.part(f64::from(lot.bolts))?,
                yard: money.part(yards)?,
                lot: money,
            })
        };
        let quote = books
            .as_ref()
            .and_then(|money| match exchange(shop, &shop.books, &shop.quotes) {
                Ok((rate, used)) => {
                    let minor = rounded(money.minor as f64 * rate)?;
                    Some((
                        shares(Money {
                            minor,
                            currency: shop.quotes.clone(),
                        })?,
                        used.cloned(),
                    ))
                }
                Err(finding) => {
                    self.findings.push(finding);
                    None
                }
            });
        Cost {
            bolts: lot.bolts,
            yards,
            books: books.and_then(shares),
            quote,
            lines: self.lines,
            findings: self.findings,
        }
    }
}

/// How long people are busy, all of them together.
fn person_time(busy: &Use, likely: Span) -> Span {
    let end = busy.to.map_or(likely.0, |to| to.0.min(likely.0));
    Span((end - busy.from.0).max(0.0) * f64::from(busy.count))
}

fn minutes_origin(least: Span, likely: Span, most: Span) -> Origin {
    let up = if likely.0 > 0.0 { most.0 / likely.0 } else { 1.0 };
    let down = if least.0 > 0.0 { likely.0 / least.0 } else { up };
    Origin::Assumed {
        factor: up.max(down),
        source: "time norms of the operation, own estimate".to_string(),
    }
}
