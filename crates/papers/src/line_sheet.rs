//! What buyers look at: the line of cloth on one page, then each cloth large.

use crate::head::{FOOT, number};
use crate::page::{Block, Frame, Leaf, MARGIN, Mark, Section, Side, flow, mm, rectangle, set};
use crate::parts::{BODY, Bench, SECOND};
use crate::setting::{bold, grey, plain};
use crate::spec_sheet::{full_size, gap, name, picture};
use crate::{Error, LineSheet, Offer, examine, wording};
use words::Line;

/// Most cloths in a row of the first page.
const ABREAST: usize = 3;

pub(crate) fn set_line<'a>(bench: &Bench<'_>, line: &'a LineSheet) -> Result<Vec<Leaf<'a>>, Error> {
    let width = bench.width();
    let mut front = Section::default();
    let abreast = line.offers.len().clamp(1, ABREAST);
    let column = (width - 16.0 * (abreast as f32 - 1.0)) / abreast as f32;
    // The rows share what the page leaves them.
    let rows = line.offers.len().div_ceil(abreast).clamp(1, 3) as f32;
    let tall = ((bench.sheet.points().1 - 2.0 * MARGIN - FOOT - 150.0) / rows - 44.0).min(column * 2.2);
    for some in line.offers.chunks(abreast) {
        let mut row = Block::default();
        let mut words: f32 = 0.0;
        for (at, offer) in some.iter().enumerate() {
            let x = at as f32 * (column + 16.0);
            row.place(x, 0.0, picture(&offer.cloth, (column, tall)));
            let title = name(&offer.design, &offer.colourway);
            let said = set(bench.setter, &[(&title, bold(BODY))], column, Side::Left);
            words = words.max(said.height);
            row.place(x, tall + 3.0, said);
        }
        row.height = tall + words + 18.0;
        front.blocks.push(row);
    }
    let whole = || Error::Refused(vec![examine::too_tall_cloth(&line.collection)]);
    let cover = Frame {
        sheet: bench.sheet,
        first: cover_head(bench, line),
        later: Block::default(),
        foot: FOOT,
    };
    let mut leaves = flow(&cover, vec![front]).map_err(|_| whole())?;
    for offer in &line.offers {
        let frame = Frame {
            sheet: bench.sheet,
            first: offer_head(bench, offer),
            later: offer_head(bench, offer),
            foot: FOOT,
        };
        leaves.extend(flow(&frame, vec![offer_section(bench, offer)]).map_err(|_| whole())?);
    }
    Ok(number(
        bench,
        leaves,
        &format!("{} · {}", line.collection, line.by),
    ))
}

/// One language: a buyer reads it.
fn says(bench: &Bench<'_>, line: &Line) -> String {
    bench.both(line).0
}

fn cover_head<'a>(bench: &Bench<'_>, line: &LineSheet) -> Block<'a> {
    let width = bench.width();
    let kind = says(bench, &Line::plain(wording::LINE_SHEET));
    let mut head = set(
        bench.setter,
        &[(&kind, plain(BODY)), (&format!(" · {}", line.by), plain(BODY))],
        width,
        Side::Left,
    );
    head.under(
        0.0,
        set(bench.setter, &[(&line.collection, bold(34.0))], width, Side::Left),
    );
    if !line.note.is_empty() {
        head.under(
            0.0,
            set(bench.setter, &[(&line.note, plain(14.0))], width, Side::Left),
        );
    }
    head.height += 12.0;
    head
}

fn offer_head<'a>(bench: &Bench<'_>, offer: &Offer) -> Block<'a> {
    let width = bench.width();
    let colourway = if offer.colourway.is_empty() {
        String::new()
    } else {
        format!("  {}", offer.colourway)
    };
    let mut head = set(
        bench.setter,
        &[(&offer.design, bold(25.0)), (&colourway, grey(16.0))],
        width,
        Side::Left,
    );
    if !offer.note.is_empty() {
        head.under(
            0.0,
            set(bench.setter, &[(&offer.note, plain(BODY))], width, Side::Left),
        );
    }
    head.height += 8.0;
    head
}

fn offer_section<'a>(bench: &Bench<'_>, offer: &'a Offer) -> Section<'a> {
    let width = bench.width();
    let mut section = Section::default();
    section.blocks.push(picture(&offer.cloth, (width, mm(118.0))));
    let caption = says(bench, &Line::plain(wording::AT_FULL_SIZE));
    section.blocks.push(gap(
        set(bench.setter, &[(&caption, bold(BODY))], width, Side::Left),
        8.0,
        3.0,
    ));
    section.blocks.push(full_size(&offer.close, width));
    section.blocks.push(beside(bench, offer));
    let hand = says(bench, &Line::plain(wording::HAND_MADE));
    section.blocks.push(gap(
        set(bench.setter, &[(&hand, grey(SECOND))], width, Side::Left),
        8.0,
        0.0,
    ));
    section
}

/// Colours on the left, what it measures on the right.
fn beside<'a>(bench: &Bench<'_>, offer: &Offer) -> Block<'a> {
    let width = bench.width();
    let (left, right) = (width * 0.48, width * 0.46);
    let mut colours = Block::default();
    for region in &offer.colours {
        let mut x = 0.0;
        let top = colours.height;
        for colour in &region.colours {
            let w = left * colour.share as f32;
            colours.marks.push(Mark::Colour {
                pens: rectangle(x, top, w, 26.0),
                rgb: colour.rgb,
            });
            x += w;
        }
        let what = says(
            bench,
            &Line::plain(if region.motif {
                wording::MOTIF
            } else {
                wording::GROUND
            }),
        );
        let names: Vec<String> = region.colours.iter().map(|c| says(bench, &c.name)).collect();
        let mut once = names.clone();
        once.dedup();
        colours.height += 28.0;
        colours.under(
            0.0,
            set(
                bench.setter,
                &[
                    (&format!("{what}: "), bold(SECOND)),
                    (&once.join(", "), plain(SECOND)),
                ],
                left,
                Side::Left,
            ),
        );
        colours.height += 7.0;
    }
    let mut facts = Block::default();
    for (what, value) in &offer.facts {
        let mut row = set(
            bench.setter,
            &[(&says(bench, what), plain(BODY))],
            right * 0.5,
            Side::Left,
        );
        let value = set(
            bench.setter,
            &[(&says(bench, value), bold(BODY))],
            right * 0.5,
            Side::Right,
        );
        row.height = row.height.max(value.height) + 4.0;
        row.place(right * 0.5, 0.0, value);
        row.line((0.0, row.height - 2.0), (right, row.height - 2.0), 0.4);
        facts.under(0.0, row);
    }
    let mut block = Block::space(colours.height.max(facts.height));
    block.place(0.0, 0.0, colours);
    block.place(width - right, 0.0, facts);
    block
}
