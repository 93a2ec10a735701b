//! What a yard costs, and what it is made of.

use super::baths::{findings, nothing};
use super::pick::{Picked, pick, picker};
use super::step::mark;
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::reader::Reader;
use crate::studio::say::{amount, line, t};
use axum::response::Response;
use maud::{Markup, html};
use route::{Cost, Group, Money, Shares};
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Yard price", "Harga per yard"),
    path: "/price",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::goods::PRICE),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(picked) = pick(workspace, reader) else {
        return nothing(studio, workspace, reader);
    };
    let Picked { design, shop, lot } = &picked;
    let cost = route::cost(design, lot, shop);
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("What does a yard cost?", "Berapa harga satu yard?"), voice)) }
            p.say { (say!(
                "{design}, {n} bolts in one lot, {yards} finished yards.",
                "{design}, {n} gulung dalam satu partai, {yards} yard jadi.",
                design = Arg::Name(design.name.clone()),
                n = Arg::Number(f64::from(lot.bolts), 0),
                yards = Arg::Number(cost.yards, 0)
            ).say(voice)) }
        } }
        div.wrap { (picker(workspace, &picked, reader)) }
        div.wrap.price {
            section.mori.answer { (answer(&cost, voice)) (findings(&cost.findings, voice)) }
            section.mori { (parts(&cost, voice)) }
            section.mori.lines { (lines(&cost, shop.books.as_str(), voice)) }
        }
    };
    let here = Here::at(&PAGE, text!("Yard price", "Harga per yard"), workspace, reader);
    frame::page(studio, reader, &here.about(design), body)
}

/// An amount with its code.
pub(super) fn money(money: &Money, voice: Voice) -> String {
    format!("{}\u{a0}{}", figure(money, voice), money.currency)
}

/// An amount; a narrow space between threes reads in both languages.
fn figure(money: &Money, voice: Voice) -> String {
    let plain = money.decimal();
    let (whole, part) = plain
        .split_once('.')
        .map_or((plain.as_str(), None), |(w, p)| (w, Some(p)));
    let (sign, digits) = whole.strip_prefix('-').map_or(("", whole), |d| ("−", d));
    let mut grouped = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            grouped.push('\u{202f}');
        }
        grouped.push(digit);
    }
    let mark = if voice.decimal() == units::Decimal::Comma {
        ','
    } else {
        '.'
    };
    let part = part.map_or_else(String::new, |p| format!("{mark}{p}"));
    format!("{sign}{grouped}{part}")
}

fn answer(cost: &Cost, voice: Voice) -> Markup {
    let shares = |shares: &Shares| {
        html! {
            p.num { (money(&shares.yard, voice)) small { (t(text!("a yard", "per yard"), voice)) } }
            p.small {
                (money(&shares.bolt, voice)) " " (t(text!("a bolt", "per gulung"), voice)) " · "
                (money(&shares.lot, voice)) " " (t(text!("the lot", "satu partai"), voice))
            }
        }
    };
    html! {
        @match &cost.quote {
            Some((quote, rate)) => {
                (shares(quote))
                @if let Some(rate) = rate {
                    p.small { (say!(
                        "1 {from} = {rate} {to}, read {date}",
                        "1 {from} = {rate} {to}, dibaca {date}",
                        from = Arg::Name(rate.from.clone()),
                        rate = Arg::Number(rate.rate, if rate.rate < 10.0 { 4 } else { 0 }),
                        to = Arg::Name(rate.to.clone()),
                        date = Arg::Name(rate.date.clone())
                    ).say(voice)) }
                }
            }
            None => p.say { (t(text!("The price is not known while something is missing.", "Harga belum diketahui selama ada yang kurang."), voice)) },
        }
        @if let Some(books) = &cost.books { h3 { (t(text!("In the workshop's books", "Di buku bengkel"), voice)) } (shares(books)) }
    }
}

/// The parts as one bar: length is share.
fn parts(cost: &Cost, voice: Voice) -> Markup {
    let parts: Vec<(Group, i64)> = Group::ALL
        .into_iter()
        .filter_map(|g| Some((g, cost.of(g)?)))
        .filter(|(_, m)| *m > 0)
        .collect();
    let all: i64 = parts.iter().map(|(_, minor)| *minor).sum();
    let share = |minor: i64| minor as f64 / all.max(1) as f64;
    html! {
        h2 { (t(text!("Where does it go?", "Ke mana perginya?"), voice)) }
        ul.parts {
            @for (group, minor) in &parts {
                li {
                    span { (t(group.text(), voice)) }
                    svg.bar viewBox="0 0 1000 14" preserveAspectRatio="none" aria-hidden="true" {
                        rect.thread x="0" y="6.5" width="1000" height="1" {}
                        rect.yarn x="0" y="0" width=(format!("{:.0}", share(*minor) * 1000.0)) height="14" {}
                    }
                    b { (voice.number(share(*minor) * 100.0, 0)) " %" }
                }
            }
        }
    }
}

fn lines(cost: &Cost, books: &str, voice: Voice) -> Markup {
    let paid = |minor: i64| {
        figure(
            &Money {
                minor,
                currency: books.to_string(),
            },
            voice,
        )
    };
    html! {
        h2 { (t(text!("Line by line, for the whole lot", "Baris demi baris, seluruh partai"), voice)) }
        div.scroll tabindex="0" role="region" aria-label=(t(text!("Cost lines", "Baris biaya"), voice)) {
            table {
                thead { tr {
                    th scope="col" { (t(text!("What", "Apa"), voice)) }
                    th.n scope="col" { (t(text!("How much", "Banyaknya"), voice)) }
                    th.n scope="col" { (t(text!("Cost", "Biaya"), voice)) ", " (books) }
                } }
                @for group in Group::ALL {
                    @let of_group: Vec<_> = cost.lines.iter().filter(|l| l.group == group).collect();
                    @if !of_group.is_empty() {
                        tbody {
                            tr.group {
                                th scope="rowgroup" colspan="2" { (t(group.text(), voice)) }
                                td.n { @if let Some(minor) = cost.of(group) { (paid(minor)) } @else { "?" } }
                            }
                            @for one in of_group {
                                tr {
                                    th scope="row" { (line(&one.name, voice)) (mark(one.origin.as_ref(), voice)) }
                                    td.n { (amount(one.amount, voice)) }
                                    td.n { @match one.cost { Some(minor) => (paid(minor)), None => (t(text!("no price", "belum ada harga"), voice)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::money;
    use route::Money;
    use units::System;
    use words::{Language, Voice};

    /// Amounts by hand; rupiah are kept whole, euros have cents.
    #[test]
    fn amounts_never_carry_a_point_that_means_thousands() {
        let say = |minor, code: &str, language| {
            let money_of = Money {
                minor,
                currency: code.to_string(),
            };
            let voice = Voice {
                language,
                system: System::Metric,
            };
            money(&money_of, voice)
                .replace('\u{a0}', " ")
                .replace('\u{202f}', "'")
        };
        assert_eq!(say(5_453_296, "IDR", Language::Id), "5'453'296 IDR");
        assert_eq!(say(240, "EUR", Language::En), "2.40 EUR");
        assert_eq!(say(240, "EUR", Language::Id), "2,40 EUR");
        assert_eq!(say(-123_456, "EUR", Language::En), "−1'234.56 EUR");
        assert_eq!(say(7, "EUR", Language::En), "0.07 EUR");
    }
}
