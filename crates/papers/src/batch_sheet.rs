//! The batch sheet of one bath.

use crate::head::{FOOT, asks_section, close_head, fact, foot, kind, later_head, lots, number};
use crate::page::{Block, Frame, Leaf, Section, Side, TooTall, flow, mm, set, spills};
use crate::parts::Bench;
use crate::setting::{bold, plain};
use crate::{BatchRow, BatchSheet, Error, QuantityCell, wording};
use words::{Language, Text};

const GAP: f32 = 8.0;
const BOLT: f32 = 80.0;
const CODE: f32 = mm(30.0);

/// Sets a sheet, closer where what is written down would have a page to itself.
pub(crate) fn set_sheet<'a>(
    bench: &Bench<'_>,
    sheet: &'a BatchSheet,
) -> Result<Result<Vec<Leaf<'a>>, TooTall>, Error> {
    let usual = laid_out(bench, sheet)?;
    match &usual {
        Ok(leaves) if !bench.tight && spills(leaves, WRITTEN) => {
            let close = laid_out(&bench.closer(), sheet)?;
            let fewer = close.as_ref().is_ok_and(|close| close.len() < leaves.len());
            Ok(if fewer { close } else { usual })
        }
        _ => Ok(usual),
    }
}

/// Its section of what is written down.
const WRITTEN: usize = 4;

/// Sections: 0 cautions, 1 first fill, 2 bolts, 3 totals, 4 what is written down.
fn laid_out<'a>(bench: &Bench<'_>, sheet: &'a BatchSheet) -> Result<Result<Vec<Leaf<'a>>, TooTall>, Error> {
    let all_lots = sheet.lots.join(", ");
    let dangerous = !(sheet.cautions.is_empty() && sheet.hazards.is_empty());
    let (bath, _) = bench.both(&sheet.bath);
    let title = |style, width| lots(bench, &all_lots, &bath, sheet.bolts, style, width);
    let frame = Frame {
        sheet: bench.sheet,
        first: first_head(bench, sheet, &all_lots)?,
        later: later_head(bench, title, &all_lots, &sheet.qr, dangerous)?,
        foot: FOOT,
    };
    let mut front = Section::default();
    for mut cautions in bench.caution_boxes(&sheet.cautions, &sheet.hazards, bench.width(), mm(13.0)) {
        cautions.height += 6.0;
        front.blocks.push(cautions);
    }
    let sections = vec![
        front,
        material_section(bench, wording::FILL, &sheet.fill, true),
        bolt_section(bench, &sheet.rows),
        material_section(bench, wording::TOTALS, &sheet.totals, false),
        asks_section(bench, &sheet.asks),
    ];
    let laid = flow(&frame, sections);
    Ok(laid.map(|leaves| {
        number(
            bench,
            leaves,
            &foot(bench, &all_lots, &format!("{bath} · {}", sheet.workshop)),
        )
    }))
}

fn first_head<'a>(bench: &Bench<'_>, sheet: &BatchSheet, all_lots: &str) -> Result<Block<'a>, Error> {
    let width = bench.width() - CODE - 20.0;
    let mut head = kind(bench, wording::BATCH_SHEET, &sheet.workshop, width);
    head.height += 2.0;
    head.under(0.0, bench.fitting(&sheet.bath, bold(25.0), width, Side::Left));
    head.under(0.0, lots(bench, all_lots, "", sheet.bolts, bold(16.0), width));
    if let Some(moment) = sheet.starts {
        head.height += 3.0;
        head.under(
            0.0,
            fact(
                bench,
                wording::STARTS,
                &moment.say(Language::Id),
                &moment.say(Language::En),
                width,
            ),
        );
    }
    close_head(bench, head, &sheet.qr, all_lots, CODE)
}

fn section_head<'a>(bench: &Bench<'_>, title: &'static Text) -> Block<'a> {
    let mut head = Block::space(bench.room(10.0, 5.0));
    head.under(0.0, bench.label(title, bold(14.0), bench.width(), Side::Left));
    head.height += 3.0;
    head.line((0.0, head.height), (bench.width(), head.height), 1.6);
    head
}

/// One material a row; what is weighed out is ticked off.
fn material_section<'a>(
    bench: &Bench<'_>,
    title: &'static Text,
    cells: &[QuantityCell],
    ticked: bool,
) -> Section<'a> {
    let width = bench.width();
    let rows = bench.ledger(cells, width, ticked).into_iter().map(|row| {
        let mut ruled = Block::space(bench.room(5.0, 3.0));
        ruled.under(0.0, row);
        ruled.height += 1.0;
        ruled.line((0.0, ruled.height), (width, ruled.height), 0.5);
        ruled
    });
    Section {
        head: section_head(bench, title),
        blocks: rows.collect(),
    }
}

fn bolt_section<'a>(bench: &Bench<'_>, rows: &[BatchRow]) -> Section<'a> {
    let blocks = rows.iter().map(|row| bolt_row(bench, row)).collect();
    Section {
        head: section_head(bench, wording::BY_BOLT),
        blocks,
    }
}

/// A bolt: what is weighed out for it and what is added after it.
fn bolt_row<'a>(bench: &Bench<'_>, row: &BatchRow) -> Block<'a> {
    let (width, pad) = (bench.width(), bench.room(6.0, 4.0));
    let inner = width - BOLT;
    let mut label = set(bench.setter, &[(&row.bolt, bold(17.0))], BOLT - GAP, Side::Left);
    if let Some(moment) = row.when {
        let (first, _) = bench.order(moment.short(Language::Id), moment.short(Language::En));
        label.under(
            0.0,
            set(bench.setter, &[(&first, plain(11.5))], BOLT - GAP, Side::Left),
        );
    }
    let mut list = Block::default();
    for (title, cells) in [(wording::WEIGH, &row.materials), (wording::TOP_UP, &row.top_ups)] {
        if !cells.is_empty() {
            list.under(0.0, bench.label(title, bold(11.5), inner, Side::Left));
            list.height += 2.0;
            for entry in bench.ledger(cells, inner, true) {
                list.under(0.0, entry);
            }
        }
    }
    let mut block = Block::space(2.0 * pad + label.height.max(list.height));
    block.place(0.0, pad - 3.0, label);
    block.place(BOLT, pad, list);
    block.line((0.0, block.height), (width, block.height), 1.0);
    block
}
