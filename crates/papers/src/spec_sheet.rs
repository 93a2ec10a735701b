//! What a cloth is: how it looks, what it is made of, and its route with the cloth after every step.

use crate::head::{FOOT, kind, number};
use crate::page::{Block, Frame, Leaf, Mark, Section, Side, flow, mm, rectangle, set};
use crate::parts::{BODY, Bench, SECOND};
use crate::setting::{bold, grey, plain};
use crate::{Colours, Error, Picture, SpecSheet, SpecStep, examine, wording};
use words::{Arg, Line, say};

/// Height of the large picture, and of the band of colours.
const CLOTH: f32 = mm(96.0);
const BAND: f32 = mm(11.0);
/// Width and height of the cloth after a step.
const FRAME: (f32, f32) = (mm(34.0), mm(21.0));

/// Sets it. Sections: 0 the cloth, 1 its colours, 2 what it is made of, 3 the piece at full size, 4 the route, 5
/// cautions, which stand on the cards before the work as well.
pub(crate) fn set_spec<'a>(bench: &Bench<'_>, spec: &'a SpecSheet) -> Result<Vec<Leaf<'a>>, Error> {
    let width = bench.width();
    let mut front = Section::default();
    front.blocks.push(picture(&spec.cloth, (width, CLOTH)));
    front.blocks.push(gap(
        bench.label(wording::COMPUTED, plain(SECOND), width, Side::Left),
        3.0,
        8.0,
    ));
    let mut facts = Section::default();
    facts.blocks.push(Block::space(6.0));
    facts
        .blocks
        .extend(spec.facts.iter().map(|fact| fact_row(bench, fact, width)));
    facts.blocks.push(Block::space(10.0));
    let route = Section {
        head: heading(bench, wording::ROUTE, width),
        blocks: spec.steps.iter().map(|step| step_row(bench, step)).collect(),
    };
    let mut care = Section::default();
    care.blocks.push(Block::space(10.0));
    for cautions in bench.caution_boxes(&spec.cautions, &[], width, mm(13.0)) {
        care.blocks.push(gap(cautions, 0.0, 8.0));
    }
    let frame = Frame {
        sheet: bench.sheet,
        first: first_head(bench, spec),
        later: later_head(bench, spec),
        foot: FOOT,
    };
    let sections = vec![
        front,
        Section {
            head: heading(bench, wording::COLOURS, width),
            blocks: palette(bench, &spec.colours, width),
        },
        facts,
        Section {
            head: heading(bench, wording::AT_FULL_SIZE, width),
            blocks: vec![full_size(&spec.close, width)],
        },
        route,
        care,
    ];
    let leaves =
        flow(&frame, sections).map_err(|_| Error::Refused(vec![examine::too_tall_cloth(&spec.design)]))?;
    let foot = format!("{} · {}", name(&spec.design, &spec.colourway), spec.workshop);
    Ok(number(bench, leaves, &foot))
}

/// "Sea fan, low tide".
pub(crate) fn name(design: &str, colourway: &str) -> String {
    if colourway.is_empty() {
        design.to_string()
    } else {
        format!("{design}, {colourway}")
    }
}

fn first_head<'a>(bench: &Bench<'_>, spec: &SpecSheet) -> Block<'a> {
    let width = bench.width();
    let mut head = kind(
        bench,
        wording::SPEC,
        &format!("{} · {}", spec.workshop, spec.collection),
        width,
    );
    head.under(
        0.0,
        set(
            bench.setter,
            &[(&name(&spec.design, &spec.colourway), bold(25.0))],
            width,
            Side::Left,
        ),
    );
    if !spec.note.is_empty() {
        head.under(
            0.0,
            set(bench.setter, &[(&spec.note, plain(BODY))], width, Side::Left),
        );
    }
    if let Some(revision) = &spec.revision {
        let line = Line::plain(wording::REVISION);
        let (first, second) = bench.both(&line);
        let second = second.map(|s| format!(" / {s}")).unwrap_or_default();
        let said = format!("{first}{second} {revision}");
        head.under(
            0.0,
            set(bench.setter, &[(&said, grey(SECOND))], width, Side::Left),
        );
    }
    head.height += 5.0;
    head.line((0.0, head.height), (width, head.height), 2.8);
    head.height += 9.0;
    head
}

fn later_head<'a>(bench: &Bench<'_>, spec: &SpecSheet) -> Block<'a> {
    let width = bench.width();
    let mut head = set(
        bench.setter,
        &[(&name(&spec.design, &spec.colourway), bold(16.0))],
        width,
        Side::Left,
    );
    head.height += 4.0;
    head.line((0.0, head.height), (width, head.height), 1.2);
    head.height += 8.0;
    head
}

pub(crate) fn heading<'a>(bench: &Bench<'_>, what: &'static words::Text, width: f32) -> Block<'a> {
    gap(bench.label(what, bold(14.0), width, Side::Left), 8.0, 5.0)
}

/// A block with room above and below.
pub(crate) fn gap(block: Block<'_>, above: f32, below: f32) -> Block<'_> {
    let mut spaced = Block::space(above);
    spaced.under(0.0, block);
    spaced.height += below;
    spaced
}

pub(crate) fn picture(picture: &Picture, (w, h): (f32, f32)) -> Block<'_> {
    let mut block = Block::space(h);
    block.marks.push(Mark::Picture {
        x: 0.0,
        y: 0.0,
        w,
        h,
        picture,
    });
    block.frame(0.0, 0.0, w, h, 0.5);
    block
}

/// A piece of cloth as large as it is, as far as the page reaches.
pub(crate) fn full_size<'a>((close, [w, h]): &'a (Picture, [f64; 2]), width: f32) -> Block<'a> {
    let size = (mm(*w as f32).min(width), mm(*h as f32));
    gap(picture(close, size), 0.0, 6.0)
}

pub(crate) fn fact_row<'a>(bench: &Bench<'_>, (name, value): &(Line, Line), width: f32) -> Block<'a> {
    let left = width * 0.42;
    let name = bench.fitting(name, plain(BODY), left - 8.0, Side::Left);
    let value = bench.fitting(value, bold(BODY), width - left, Side::Left);
    let mut row = Block::space(name.height.max(value.height) + 7.0);
    row.place(0.0, 3.0, name);
    row.place(left, 3.0, value);
    row.line((0.0, row.height), (width, row.height), 0.4);
    row
}

/// Each region as a band wound by shares, and its colours with their names.
pub(crate) fn palette<'a>(bench: &Bench<'_>, all: &[Colours], width: f32) -> Vec<Block<'a>> {
    all.iter().map(|region| band(bench, region, width)).collect()
}

fn band<'a>(bench: &Bench<'_>, region: &Colours, width: f32) -> Block<'a> {
    let what = if region.motif {
        wording::MOTIF
    } else {
        wording::GROUND
    };
    let title = say!(
        "{what}, {n} % of the cloth",
        "{what}, {n} persen dari kain",
        what = Arg::Text(what),
        n = Arg::Number(100.0 * region.share, 0)
    );
    let mut block = bench.inline(&title, bold(BODY), width, Side::Left);
    block.height += 2.0;
    let top = block.height;
    let mut x = 0.0;
    for colour in &region.colours {
        let w = width * colour.share as f32;
        block.marks.push(Mark::Colour {
            pens: rectangle(x, top, w, BAND),
            rgb: colour.rgb,
        });
        x += w;
    }
    block.height += BAND + 4.0;
    let (columns, side) = (2.0, 11.0);
    let column = width / columns;
    for pair in region.colours.chunks(2) {
        let mut row = Block::default();
        for (at, colour) in pair.iter().enumerate() {
            let left = at as f32 * column;
            let line = say!(
                "{n} % {name}",
                "{n} persen {name}",
                n = Arg::Number(100.0 * colour.share, 0),
                name = Arg::Name(bench.both(&colour.name).0)
            );
            let (first, _) = bench.both(&line);
            let code = format!("  {}", colour.code);
            let said = set(
                bench.setter,
                &[(&first, plain(BODY)), (&code, grey(9.5))],
                column - side - 10.0,
                Side::Left,
            );
            row.height = row.height.max(said.height + 2.0);
            row.marks.push(Mark::Colour {
                pens: rectangle(left, 3.0, side, side),
                rgb: colour.rgb,
            });
            row.frame(left, 3.0, side, side, 0.4);
            row.place(left + side + 6.0, 0.0, said);
        }
        block.under(0.0, row);
    }
    block.height += 7.0;
    block
}

/// A step with the cloth after it.
fn step_row<'a>(bench: &Bench<'_>, step: &'a SpecStep) -> Block<'a> {
    let width = bench.width();
    let (w, h) = FRAME;
    let left = w + 12.0;
    let mut text = Block::default();
    let number = format!("{}  ", step.number);
    let (first, second) = bench.both(&step.name);
    let second = second.map(|s| format!(" / {s}")).unwrap_or_default();
    text.under(
        0.0,
        set(
            bench.setter,
            &[
                (&number, bold(14.0)),
                (&first, bold(14.0)),
                (&second, grey(SECOND)),
            ],
            width - left,
            Side::Left,
        ),
    );
    let (firsts, seconds): (Vec<String>, Vec<String>) = step
        .settings
        .iter()
        .map(|(name, value)| {
            let ((n1, n2), (v1, v2)) = (bench.both(name), bench.both(value));
            let second = format!("{} {}", n2.as_ref().unwrap_or(&n1), v2.as_ref().unwrap_or(&v1));
            (format!("{n1} {v1}"), second)
        })
        .unzip();
    text.under(
        0.0,
        set(
            bench.setter,
            &[(&firsts.join(" · "), plain(BODY))],
            width - left,
            Side::Left,
        ),
    );
    if firsts != seconds {
        text.under(
            0.0,
            set(
                bench.setter,
                &[(&seconds.join(" · "), grey(9.5))],
                width - left,
                Side::Left,
            ),
        );
    }
    let mut row = Block::space(text.height.max(h) + 8.0);
    row.place(0.0, 4.0, picture(&step.after, (w, h)));
    row.place(left, 2.0, text);
    row.line((0.0, row.height), (width, row.height), 0.5);
    row
}
