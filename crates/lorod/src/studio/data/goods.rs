//! Amounts of the baths, and lines of the cost.

use super::bath_paper;
use super::table::{AMOUNT, Cell, Column, Table, amount};
use super::{Asked, BOLTS, DESIGN, Data, File, Told};
use crate::studio::pages::baths::dumps;
use crate::studio::say::{said, t};
use route::{Drawn, Group, Vessel};
use words::{Arg, Finding, Origin, Voice, say, text};

/// What the page of the baths hands out.
pub static BATHS: Data = Data {
    name: "baths",
    tables: &[
        ("amounts", text!("Amounts, bath by bath", "Jumlah, bak demi bak")),
        (
            "store",
            text!("From the store, in all", "Dari gudang, seluruhnya"),
        ),
        ("emptying", text!("Emptying the tanks", "Mengosongkan bak")),
    ],
    query: &[
        DESIGN,
        BOLTS,
        ("step", "which bleach was titrated, by id"),
        (
            "titrated",
            "0.1 N thiosulfate that a sample of its tank took, as `8.1 mL`",
        ),
        ("sample", "bath that was titrated; 10 mL unless said"),
    ],
    slow: false,
    make: baths,
    more: &[],
};

/// What the page of the price hands out.
pub static PRICE: Data = Data {
    name: "price",
    tables: &[
        (
            "lines",
            text!(
                "Line by line, for the whole lot",
                "Baris demi baris, seluruh partai"
            ),
        ),
        (
            "shares",
            text!("In the books and as quoted", "Di buku dan menurut penawaran"),
        ),
    ],
    query: &[DESIGN, BOLTS],
    slow: false,
    make: price,
    more: &[],
};

fn whose(origin: Option<&Origin>, voice: Voice) -> Cell {
    Cell::maybe(origin.map(|origin| crate::studio::say::origin(origin, voice)))
}

const WHOSE: Column = Column::words("origin", text!("Rests on", "Berdasar"));

fn baths(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let mut columns = vec![
        Column::count("step", text!("Step", "Langkah")),
        Column::words("operation", text!("What", "Apa")),
        Column::words("vessel", text!("Where", "Di mana")),
        Column::words("for", text!("For", "Untuk")),
        Column::words("material", text!("Material", "Bahan")),
    ];
    columns.extend(AMOUNT);
    columns.push(WHOSE);
    let mut amounts = Table::new(&columns);
    let sheets = route::baths(picked.design, &picked.lot, picked.shop);
    amounts.paper = sheets
        .iter()
        .map(|sheet| bath_paper::list(sheet, voice))
        .collect();
    for bath in &sheets {
        let vessel = match &bath.vessel {
            Vessel::Bath { key, .. } => key.replace('-', " "),
            Vessel::Table => t(text!("table", "meja"), voice).to_string(),
        };
        let mut add = |whom: words::Line, all: &[Drawn]| {
            for drawn in all {
                let mut row = vec![
                    Cell::count(bath.number),
                    Cell::words(t(&bath.term.text, voice)),
                    Cell::words(&vessel),
                    Cell::words(whom.say(voice)),
                ];
                row.extend(cells(drawn, voice));
                amounts.row(row);
            }
        };
        let bolt = |n: u32| Arg::Number(f64::from(n), 0);
        add(say!("a fresh bath", "bak baru"), &bath.charge);
        for one in &bath.rows {
            add(say!("bolt {n}", "gulung {n}", n = bolt(one.bolt)), &one.materials);
            let after = say!("after bolt {n}", "sesudah gulung {n}", n = bolt(one.bolt));
            add(after, &one.top_ups);
        }
        add(say!("the lot", "seluruh partai"), &bath.totals);
    }
    let mut columns = vec![Column::words("material", text!("Material", "Bahan"))];
    columns.extend(AMOUNT);
    columns.push(WHOSE);
    let mut store = Table::new(&columns);
    for drawn in &route::totals(picked.design, &picked.lot, picked.shop) {
        store.row(cells(drawn, voice));
    }
    columns.insert(0, Column::words("tank", text!("Tank of", "Bak dari")));
    columns.insert(
        1,
        Column::number("strength", "g_per_l", text!("Chlorine", "Klorin")),
    );
    columns.insert(2, Column::words("titrated", text!("Titrated", "Dititrasi")));
    let mut emptying = Table::new(&columns);
    for (dump, titrated) in dumps(&picked, asked.reader) {
        let mut row = vec![
            Cell::words(t(&dump.term.text, voice)),
            Cell::number(dump.strength.si, 2),
            Cell::Flag(titrated),
        ];
        row.extend(cells(&dump.antichlor, voice));
        emptying.row(row);
        emptying
            .said
            .extend(dump.lines.iter().map(|one| said(one, voice)));
        emptying
            .said
            .extend(dump.cautions.iter().map(|one| t(&one.text, voice).to_string()));
        emptying.said.push(t(&route::DEFER, voice).to_string());
    }
    // Never on one sheet with what goes into a bath or the tub.
    emptying.apart = !emptying.rows.is_empty();
    let mut care = Vec::new();
    for bath in &sheets {
        care.extend(bath.cautions.iter().map(|one| t(&one.text, voice).to_string()));
    }
    let mut lines = vec![
        say!(
            "{n} bolts in one lot.",
            "{n} gulung dalam satu partai.",
            n = Arg::Number(f64::from(picked.lot.bolts), 0)
        )
        .say(voice),
    ];
    care.sort();
    care.dedup();
    if !care.is_empty() {
        care.push(t(&route::DEFER, voice).to_string());
    }
    lines.append(&mut care);
    Ok(Told {
        about: picked.design.name.clone(),
        question: text!("What goes into each bath?", "Apa isi tiap bak?"),
        said: lines,
        tables: vec![amounts, store, emptying],
    })
}

/// Material, amount, origin.
fn cells(drawn: &Drawn, voice: Voice) -> Vec<Cell> {
    let mut row = vec![Cell::words(said(&drawn.name, voice))];
    row.extend(amount(drawn.amount, voice));
    row.push(whose(drawn.origin.as_ref(), voice));
    row
}

fn price(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let cost = route::cost(picked.design, &picked.lot, picked.shop);
    let books = &picked.shop.books;
    let mut columns = vec![
        Column::words("group", text!("Part", "Bagian")),
        Column::words("what", text!("What", "Apa")),
    ];
    columns.extend(AMOUNT);
    columns.extend([
        Column::beside("cost", "currency", text!("Cost", "Biaya")),
        Column::words("currency", text!("Currency", "Mata uang")),
        WHOSE,
    ]);
    let mut lines = Table::new(&columns);
    for group in Group::ALL {
        for line in cost.lines.iter().filter(|line| line.group == group) {
            let mut row = vec![
                Cell::words(t(group.text(), voice)),
                Cell::words(said(&line.name, voice)),
            ];
            row.extend(amount(line.amount, voice));
            let money = line.cost.map(|minor| route::Money {
                minor,
                currency: books.clone(),
            });
            row.extend([
                money.as_ref().map_or(Cell::Nothing, number),
                Cell::words(books),
                whose(line.origin.as_ref(), voice),
            ]);
            lines.row(row);
        }
    }
    let sum = |key, name| Column::beside(key, "currency", name);
    let mut shares = Table::new(&[
        Column::words("where", text!("Where", "Di mana")),
        sum("yard", text!("A yard", "Per yard")),
        sum("bolt", text!("A bolt", "Per gulung")),
        sum("lot", text!("The lot", "Satu partai")),
        Column::words("currency", text!("Currency", "Mata uang")),
    ]);
    let quoted = cost.quote.as_ref().map(|(shares, _)| shares);
    for (name, one) in [
        (
            text!("in the workshop's books", "di buku bengkel"),
            cost.books.as_ref(),
        ),
        (text!("as quoted", "menurut penawaran"), quoted),
    ] {
        if let Some(one) = one {
            shares.row([
                Cell::words(t(name, voice)),
                number(&one.yard),
                number(&one.bolt),
                number(&one.lot),
                Cell::words(&one.lot.currency),
            ]);
        }
    }
    let mut told = vec![
        say!(
            "{n} bolts in one lot, {yards} finished yards.",
            "{n} gulung dalam satu partai, {yards} yard jadi.",
            n = Arg::Number(f64::from(picked.lot.bolts), 0),
            yards = Arg::Number(cost.yards, 0)
        )
        .say(voice),
    ];
    told.extend(cost.findings.iter().map(|one| said(&one.found, voice)));
    Ok(Told {
        about: picked.design.name.clone(),
        question: text!("What does a yard cost?", "Berapa harga satu yard?"),
        said: told,
        tables: vec![lines, shares],
    })
}

/// Money as a number in its currency, with the decimals that the currency has.
fn number(money: &route::Money) -> Cell {
    let decimal = money.decimal();
    let places = decimal.split_once('.').map_or(0, |(_, part)| part.len());
    Cell::number(decimal.parse::<f64>().ok(), places)
}

/// Other addresses of the handover.
pub const PACK: [File; 3] = [
    File {
        path: "/pack/workshop.pdf",
        what: text!("pack for the workshop", "paket untuk bengkel"),
    },
    File {
        path: "/pack/buyers.pdf",
        what: text!("line sheet for buyers", "lembar koleksi untuk pembeli"),
    },
    File {
        path: "/pack/both.zip",
        what: text!("both in one archive", "keduanya dalam satu arsip"),
    },
];
