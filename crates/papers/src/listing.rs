//! Tables on paper: what a page of the studio says, for whoever wants it printed or filed. In the reader's language alone.

use crate::examine::letters;
use crate::head::{FOOT, number};
use crate::page::{Block, Frame, Leaf, MARGIN, Section, Side, flow, set};
use crate::parts::{BODY, Bench, SECOND};
use crate::setting::{Setter, Style, bold, grey, plain};
use crate::{Error, Sheet, pdf};
use words::{Arg, Finding, Place, Voice, Weight, say};

/// Space between columns.
const GAP: f32 = 9.0;
/// A column that sentences may be broken in, rather than that the sheet lies.
const SENTENCE: f32 = 150.0;
/// Sentences above a table that go with it onto the next sheet.
const SHORT: usize = 3;
/// A table that is no higher is not parted.
const TOGETHER: f32 = 170.0;
/// Text in a table.
const CELL: Style = plain(9.0);
const HEAD: Style = bold(9.0);
/// No column is narrower: a number with its unit.
const LEAST: f32 = 26.0;
/// A4 lying on its side.
const LYING: Sheet = Sheet::Roll(297, 210);

/// Tables under one heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Listing {
    /// The question that they answer.
    pub title: String,
    /// What they are about: a cloth, a collection.
    pub about: String,
    /// The answer, and what it rests on.
    pub said: Vec<String>,
    /// The tables.
    pub lists: Vec<List>,
}

/// One table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// What stands in it.
    pub name: String,
    /// Its columns: heading, and whether numbers stand in it.
    pub columns: Vec<(String, bool)>,
    /// Its rows.
    pub rows: Vec<Vec<String>>,
    /// What is said above it.
    pub said: Vec<String>,
    /// Whether it begins a sheet of its own, with nothing before it on the same.
    pub apart: bool,
}

/// Prints them on A4, lying where the columns want it.
///
/// # Errors
/// [`Error::Refused`] if a row is longer than a page.
pub fn listing(listing: &Listing, voice: Voice) -> Result<Vec<u8>, Error> {
    let setter = Setter::new()?;
    let leaves = set_listing(&setter, listing, voice)?;
    pdf::write(&listing.title, &setter, &leaves)
}

fn set_listing<'a>(setter: &Setter, listing: &Listing, voice: Voice) -> Result<Vec<Leaf<'a>>, Error> {
    let upright = Sheet::A4.points().0 - 2.0 * MARGIN;
    let lies = listing.lists.iter().any(|list| least(setter, list) > upright);
    let bench = Bench {
        tight: false,
        setter,
        voice,
        sheet: if lies { LYING } else { Sheet::A4 },
    };
    let frame = Frame {
        sheet: bench.sheet,
        first: head(&bench, listing, 22.0),
        later: head(&bench, listing, 13.0),
        foot: FOOT,
    };
    let mut front = Section::default();
    let unread = letters(setter, &listing.title, texts(listing));
    let unread = unread.map(|finding| finding.found.say(voice));
    for said in listing.said.iter().chain(&unread) {
        let mut line = set(setter, &[(said, plain(BODY))], bench.width(), Side::Left);
        line.height += 3.0;
        front.blocks.push(line);
    }
    let mut sheets = vec![vec![(front, listing.title.as_str())]];
    for list in &listing.lists {
        if list.apart || sheets.is_empty() {
            sheets.push(Vec::new());
        }
        if let Some(sheet) = sheets.last_mut() {
            sheet.extend(
                sections(&bench, list)
                    .into_iter()
                    .map(|section| (section, list.name.as_str())),
            );
        }
    }
    let mut leaves = Vec::new();
    for sheet in sheets {
        let (sections, names): (Vec<Section<'a>>, Vec<&str>) = sheet.into_iter().unzip();
        let laid = flow(&frame, sections).map_err(|at| {
            let name = names.get(at.section).copied().unwrap_or("");
            Error::Refused(vec![too_long(name, at.block)])
        })?;
        leaves.extend(laid);
    }
    Ok(number(
        &bench,
        leaves,
        &format!("{} · {}", listing.about, listing.title),
    ))
}

/// Everything that will be printed.
fn texts(listing: &Listing) -> impl Iterator<Item = &str> {
    let lists = listing.lists.iter().flat_map(|list| {
        let heads = list.columns.iter().map(|(head, _)| head.as_str());
        let cells = list.rows.iter().flatten().chain(&list.said).map(String::as_str);
        heads.chain(cells).chain([list.name.as_str()])
    });
    [listing.title.as_str(), listing.about.as_str()]
        .into_iter()
        .chain(listing.said.iter().map(String::as_str))
        .chain(lists)
}

fn too_long(list: &str, row: usize) -> Finding {
    let found = say!(
        "Row {row} of \"{list}\" is longer than a page.",
        "Baris {row} dari \"{list}\" lebih panjang dari satu halaman.",
        row = Arg::Number(row as f64 + 1.0, 0),
        list = Arg::Name(list.to_string())
    );
    let finding = Finding::new("longer-than-a-page", Weight::Wrong, Place::Request, found);
    finding.remedy(say!(
        "take the table as CSV, or shorten the names in it",
        "ambil tabelnya sebagai CSV, atau persingkat nama di dalamnya"
    ))
}

fn head<'a>(bench: &Bench<'_>, listing: &Listing, size: f32) -> Block<'a> {
    let width = bench.width();
    let mut head = set(bench.setter, &[(&listing.about, grey(SECOND))], width, Side::Left);
    head.under(
        0.0,
        set(bench.setter, &[(&listing.title, bold(size))], width, Side::Left),
    );
    head.height += 3.0;
    head.line((0.0, head.height), (width, head.height), 2.4);
    head.height += 8.0;
    head
}

/// A table, and before it what is said of it.
fn sections<'a>(bench: &Bench<'_>, list: &List) -> Vec<Section<'a>> {
    let width = bench.width();
    let named = || {
        let mut head = Block::space(12.0);
        head.under(
            0.0,
            set(bench.setter, &[(&list.name, bold(BODY))], width, Side::Left),
        );
        head.height += 2.0;
        head
    };
    let said = list.said.iter().map(|line| {
        let mut block = set(bench.setter, &[(line, plain(SECOND))], width, Side::Left);
        block.height += 2.0;
        block
    });
    if list.said.len() <= SHORT {
        let mut head = named();
        said.for_each(|line| head.under(0.0, line));
        return vec![table(bench, list, head)];
    }
    let said = Section {
        head: named(),
        blocks: said.collect(),
    };
    vec![said, table(bench, list, Block::space(8.0))]
}

fn table<'a>(bench: &Bench<'_>, list: &List, mut head: Block<'a>) -> Section<'a> {
    let (width, columns) = (bench.width(), columns(bench.setter, list, bench.width()));
    let names: Vec<&str> = list.columns.iter().map(|(name, _)| name.as_str()).collect();
    head.under(0.0, row(bench, list, &names, &columns, HEAD));
    head.line((0.0, head.height), (width, head.height), 1.4);
    let rows = list.rows.iter().map(|cells| {
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        let mut block = row(bench, list, &cells, &columns, CELL);
        block.line((0.0, block.height), (width, block.height), 0.3);
        block
    });
    let mut blocks: Vec<Block<'a>> = rows.collect();
    if blocks.is_empty() {
        // An empty table still says that it is there.
        blocks.push(set(bench.setter, &[("–", CELL)], width, Side::Left));
    }
    let high: f32 = blocks.iter().map(|block| block.height).sum();
    if high < TOGETHER {
        let mut whole = Block::default();
        blocks.into_iter().for_each(|block| whole.under(0.0, block));
        blocks = vec![whole];
    }
    Section { head, blocks }
}

fn row<'a>(bench: &Bench<'_>, list: &List, cells: &[&str], columns: &[f32], style: Style) -> Block<'a> {
    const PAD: f32 = 2.0;
    let mut block = Block::default();
    let mut x = 0.0;
    for ((cell, width), (_, number)) in cells.iter().zip(columns).zip(&list.columns) {
        let side = if *number { Side::Right } else { Side::Left };
        let text = set(bench.setter, &[(cell, style)], *width, side);
        block.height = block.height.max(text.height);
        block.place(x, PAD, text);
        x += width + GAP;
    }
    block.height += 2.0 * PAD;
    block
}

/// How wide a text is on one line.
fn wide(setter: &Setter, text: &str, style: Style) -> f32 {
    let paragraph = setter.wrap(&[(text, style)], f32::MAX);
    paragraph.rows.first().map_or(0.0, |row| row.width)
}

/// Width of each column if nothing had to be broken.
fn wanted(setter: &Setter, list: &List) -> Vec<f32> {
    let of = |(at, (head, _)): (usize, &(String, bool))| {
        let cells = list.rows.iter().filter_map(|row| row.get(at));
        let widest = cells.map(|cell| wide(setter, cell, CELL)).fold(LEAST, f32::max);
        // A hair more than measured, so that rounding breaks nothing.
        widest.max(wide(setter, head, HEAD)) + 0.5
    };
    list.columns.iter().enumerate().map(of).collect()
}

/// Width that a table should have at least: sentences may be broken, names and numbers not.
fn least(setter: &Setter, list: &List) -> f32 {
    let wanted = wanted(setter, list);
    let columns = wanted.iter().zip(&list.columns);
    let needed = columns.map(|(wanted, (_, number))| if *number { *wanted } else { wanted.min(SENTENCE) });
    needed.sum::<f32>() + GAP * wanted.len().saturating_sub(1) as f32
}

/// Columns that share a width: who wants less than an equal share gets what it wants, the others share what is left.
fn columns(setter: &Setter, list: &List, width: f32) -> Vec<f32> {
    let wanted = wanted(setter, list);
    let mut room = width - GAP * wanted.len().saturating_sub(1) as f32;
    if wanted.iter().sum::<f32>() <= room {
        return wanted;
    }
    let mut given = vec![None; wanted.len()];
    loop {
        let open = given.iter().filter(|one| one.is_none()).count();
        let share = room / open.max(1) as f32;
        let modest = (0..wanted.len()).find(|at| given[*at].is_none() && wanted[*at] <= share);
        let Some(at) = modest else {
            return given
                .into_iter()
                .map(|one| one.unwrap_or(share.max(LEAST)))
                .collect();
        };
        given[at] = Some(wanted[at]);
        room -= wanted[at];
    }
}

#[cfg(test)]
mod tests {
    use super::{List, Listing, listing, set_listing};
    use crate::page::{MARGIN, Mark};
    use crate::setting::Setter;
    use words::Voice;

    fn sample(rows: usize, columns: usize) -> Listing {
        let cell = |row: usize, column: usize| match column {
            0 => format!("row{row} of a name that is somewhat longer than its column likes"),
            n => format!("{row}.{n}"),
        };
        Listing {
            title: "What goes into each bath?".to_string(),
            about: "Tidal marks · Sea fan".to_string(),
            said: vec!["Two baths.".to_string()],
            lists: vec![List {
                name: "Amounts".to_string(),
                columns: (0..columns).map(|n| (format!("column {n}"), n > 0)).collect(),
                rows: (0..rows)
                    .map(|row| (0..columns).map(|n| cell(row, n)).collect())
                    .collect(),
                ..List::default()
            }],
        }
    }

    /// Nothing leaves the page, every row is there once, numbers end where their column ends; many columns lie.
    #[test]
    fn every_row_is_on_a_page_once() {
        let setter = Setter::new().expect("fonts");
        for (columns, lies) in [(4, false), (16, true)] {
            let leaves = set_listing(&setter, &sample(90, columns), Voice::default()).expect("laid");
            let mut seen = Vec::new();
            for leaf in &leaves {
                assert_eq!(leaf.size.0 > leaf.size.1, lies);
                for mark in &leaf.marks {
                    let [left, _, right, bottom] = mark.bounds();
                    assert!(
                        left >= MARGIN - 1.0 && right <= leaf.size.0 - MARGIN + 1.0,
                        "{mark:?}"
                    );
                    assert!(bottom <= leaf.size.1);
                    if let Mark::Text { run, .. } = mark {
                        let row = run.text.strip_prefix("row").and_then(|t| t.split(' ').next());
                        seen.extend(row.and_then(|n| n.parse::<usize>().ok()));
                    }
                }
            }
            assert!(leaves.len() > 1);
            assert_eq!(seen, (0..90).collect::<Vec<_>>());
        }
    }

    /// What may not stand with anything else begins a sheet, and what is said of it stands on that sheet.
    #[test]
    fn a_table_apart_begins_a_sheet() {
        let setter = Setter::new().expect("fonts");
        let mut two = sample(3, 3);
        let mut apart = two.lists[0].clone();
        apart.name = "Emptying".to_string();
        apart.said = vec!["Careful.".to_string()];
        two.lists.push(apart.clone());
        let pages = |listing: &Listing| -> Vec<String> {
            let leaves = set_listing(&setter, listing, Voice::default()).expect("laid");
            let said = |mark: &Mark| match mark {
                Mark::Text { run, .. } => Some(run.text.clone()),
                _ => None,
            };
            leaves
                .iter()
                .map(|leaf| leaf.marks.iter().filter_map(said).collect::<Vec<_>>().join(" "))
                .collect()
        };
        assert_eq!(pages(&two).len(), 1);
        apart.apart = true;
        two.lists[1] = apart;
        let pages = pages(&two);
        assert_eq!(pages.len(), 2);
        assert!(pages[0].contains("Amounts") && !pages[0].contains("Emptying"));
        assert!(
            pages[1].contains("Emptying") && pages[1].contains("Careful.") && !pages[1].contains("Amounts")
        );
    }

    #[test]
    fn the_same_tables_give_the_same_bytes_and_an_empty_one_is_no_fault() {
        let once = listing(&sample(3, 5), Voice::default()).expect("a PDF");
        assert_eq!(once, listing(&sample(3, 5), Voice::default()).expect("a PDF"));
        assert!(once.starts_with(b"%PDF"));
        assert!(listing(&sample(0, 0), Voice::default()).is_ok());
    }
}
