//! The job card of a lot.

use crate::head::{FOOT, asks_section, close_head, fact, foot, kind, later_head, lots, number};
use crate::page::{Block, Frame, Leaf, Mark, Section, Side, TooTall, flow, mm, set, spills};
use crate::parts::{BODY, Bench, SECOND, TICK, tick};
use crate::setting::{Style, bold, grey, plain};
use crate::{CardStep, Error, JobCard, Picture, wording};
use words::{Arg, Language, Line, Text, say};

const NUMBER: f32 = 30.0;
const AMOUNTS: f32 = 150.0;
const GAP: f32 = 10.0;
const CODE: f32 = mm(30.0);

/// Sets a card, closer where what is written down would have a page to itself.
pub(crate) fn set_card<'a>(
    bench: &Bench<'_>,
    card: &'a JobCard,
) -> Result<Result<Vec<Leaf<'a>>, TooTall>, Error> {
    let usual = laid_out(bench, card)?;
    match &usual {
        Ok(leaves) if !bench.tight && spills(leaves, WRITTEN) => {
            let close = laid_out(&bench.closer(), card)?;
            let fewer = close.as_ref().is_ok_and(|close| close.len() < leaves.len());
            Ok(if fewer { close } else { usual })
        }
        _ => Ok(usual),
    }
}

/// Its section of what is written down.
const WRITTEN: usize = 2;

/// Sections: 0 pictures and cautions, 1 steps, 2 what is written down.
fn laid_out<'a>(bench: &Bench<'_>, card: &'a JobCard) -> Result<Result<Vec<Leaf<'a>>, TooTall>, Error> {
    let title = |style, width| lots(bench, &card.lot, &card.design, card.bolts, style, width);
    let frame = Frame {
        sheet: bench.sheet,
        first: first_head(bench, card)?,
        later: later_head(bench, title, &card.lot, &card.qr, !card.cautions.is_empty())?,
        foot: FOOT,
    };
    let width = bench.width();
    let mut front = Section::default();
    front.blocks.extend(pictures(bench, card));
    for cautions in bench.caution_boxes(&card.cautions, &[], width, mm(13.0)) {
        let mut spaced = Block::default();
        spaced.under(0.0, cautions);
        spaced.height += bench.room(8.0, 5.0);
        front.blocks.push(spaced);
    }
    let steps = Section {
        head: columns_head(bench),
        blocks: card.steps.iter().map(|step| step_block(bench, step)).collect(),
    };
    let asks = asks_section(bench, &card.asks);
    let laid = flow(&frame, vec![front, steps, asks]);
    Ok(laid.map(|leaves| number(bench, leaves, &foot(bench, &card.lot, &card.workshop))))
}

fn first_head<'a>(bench: &Bench<'_>, card: &JobCard) -> Result<Block<'a>, Error> {
    let width = bench.width() - CODE - 20.0;
    let mut head = Block::default();
    let mut place = vec![card.workshop.clone()];
    place.extend(card.collection.clone());
    head.under(0.0, kind(bench, wording::JOB_CARD, &place.join(" · "), width));
    head.height += 2.0;
    if let Some(part) = &card.part {
        head.under(0.0, bench.fitting(part, bold(25.0), width, Side::Left));
        head.under(
            0.0,
            lots(bench, &card.lot, &card.design, card.bolts, bold(16.0), width),
        );
    } else {
        head.under(
            0.0,
            lots(bench, &card.lot, &card.design, card.bolts, bold(22.0), width),
        );
    }
    head.height += 3.0;
    let mut facts = Vec::new();
    if let Some(moment) = card.starts {
        facts.push((
            wording::STARTS,
            moment.say(Language::Id),
            moment.say(Language::En),
        ));
    }
    if let Some(day) = card.promise {
        facts.push((wording::PROMISED, day.say(Language::Id), day.say(Language::En)));
    }
    if let Some(revision) = &card.revision {
        facts.push((wording::REVISION, revision.clone(), revision.clone()));
    }
    for (name, id, en) in facts {
        head.under(0.0, fact(bench, name, &id, &en, width));
    }
    close_head(bench, head, &card.qr, &card.lot, CODE)
}

fn pictures<'a>(bench: &Bench<'_>, card: &'a JobCard) -> Option<Block<'a>> {
    let all = [
        (&card.pictures.before, wording::BEFORE),
        (&card.pictures.after, wording::AFTER),
        (&card.pictures.finished, wording::FINISHED),
    ];
    let shown: Vec<(&Picture, &'static Text)> = all
        .into_iter()
        .filter_map(|(picture, name)| picture.as_ref().map(|p| (p, name)))
        .collect();
    if shown.is_empty() {
        return None;
    }
    let gap = 11.0;
    let (w, h) = ((bench.width() - 2.0 * gap) / 3.0, mm(36.0));
    let mut block = Block::default();
    let mut captions: f32 = 0.0;
    for (at, (picture, name)) in shown.into_iter().enumerate() {
        let x = at as f32 * (w + gap);
        block.marks.push(Mark::Picture {
            x,
            y: 0.0,
            w,
            h,
            picture,
        });
        block.frame(x, 0.0, w, h, 0.8);
        let caption = bench.label(name, plain(BODY), w, Side::Left);
        captions = captions.max(caption.height);
        block.place(x, h + 2.0, caption);
    }
    block.height = h + 2.0 + captions + 8.0;
    Some(block)
}

fn columns_head<'a>(bench: &Bench<'_>) -> Block<'a> {
    let width = bench.width();
    let mut head = Block::default();
    let style = bold(11.5);
    let right = width - TICK - GAP - AMOUNTS;
    let text = bench.label(wording::STEP, style, right - NUMBER - GAP, Side::Left);
    head.height = text.height + 4.0;
    head.place(NUMBER, 0.0, text);
    head.place(
        right,
        0.0,
        bench.label(wording::AMOUNT, style, AMOUNTS, Side::Right),
    );
    head.line((0.0, head.height), (width, head.height), 1.2);
    head
}

/// A step: number, title and box to tick; its cautions before its instructions; amounts; places to write in.
/// One amount stands at the right of the text, several stand in a ledger under it.
fn step_block<'a>(bench: &Bench<'_>, step: &CardStep) -> Block<'a> {
    let (width, pad) = (bench.width(), bench.room(7.0, 4.0));
    let inner = width - NUMBER;
    let amount = match step.quantities.as_slice() {
        [only] => Some(bench.quantity(only, AMOUNTS)),
        _ => None,
    };
    let beside = inner - TICK - GAP - if amount.is_some() { AMOUNTS + GAP } else { 0.0 };
    let mut text = bench.fitting(&step.title, bold(14.0), beside, Side::Left);
    if let Some(line) = timing(bench, step, beside) {
        text.under(0.0, line);
    }
    let tall = amount.as_ref().map_or(0.0, |amount| amount.height);
    // Beside a tall amount instructions would run down a narrow column: they go under it where that is shorter.
    let under = !step.cautions.is_empty() || {
        let column = text.height + instructions(bench, step, beside).height;
        text.height.max(tall) + 3.0 + instructions(bench, step, inner).height < column.max(tall)
    };
    if !under {
        text.under(0.0, instructions(bench, step, beside));
    }
    let mut block = Block::space(pad);
    let number = step.number.to_string();
    block.place(
        0.0,
        pad - 3.0,
        set(bench.setter, &[(&number, bold(17.0))], NUMBER, Side::Left),
    );
    block.place(width - TICK, pad, tick(TICK));
    block.height += text.height.max(TICK);
    block.place(NUMBER, pad, text);
    if let Some(amount) = amount {
        block.height = block.height.max(pad + amount.height);
        block.place(width - TICK - GAP - AMOUNTS, pad - 2.0, amount);
    }
    if !step.cautions.is_empty() {
        block.height += 5.0;
        block.under(NUMBER, bench.cautions(&step.cautions, &[], inner, mm(9.0), false));
    }
    if under {
        block.height += 3.0;
        block.under(NUMBER, instructions(bench, step, inner));
    }
    if step.quantities.len() > 1 {
        block.height += 5.0;
        for row in bench.ledger(&step.quantities, inner, true) {
            block.under(NUMBER, row);
        }
    }
    for row in bench.asks(&step.asks, inner, 3) {
        block.under(NUMBER, row);
    }
    block.height += pad;
    block.line((0.0, block.height), (width, block.height), 0.8);
    block
}

/// The instructions, lettered if there are several, and how one sees that it is done.
fn instructions<'a>(bench: &Bench<'_>, step: &CardStep, width: f32) -> Block<'a> {
    let mut text = Block::default();
    let indent = if step.lines.len() > 1 { 17.0 } else { 0.0 };
    for (at, instruction) in step.lines.iter().enumerate() {
        text.height += bench.room(2.0, 1.0);
        if indent > 0.0 {
            let mark = set(bench.setter, &[(&letter(at), bold(BODY))], 30.0, Side::Left);
            text.place(0.0, text.height, mark);
        }
        text.under(
            indent,
            bench.stacked(instruction, plain(BODY), width - indent, Side::Left),
        );
    }
    if let Some(done) = &step.done_when {
        text.height += 3.0;
        text.under(0.0, done_when(bench, done, width));
    }
    text
}

/// "Senin 14:20 · 20 menit / Monday 14:20 · 20 min".
fn timing<'a>(bench: &Bench<'_>, step: &CardStep, width: f32) -> Option<Block<'a>> {
    let duration = step.duration().map(|q| say!("{q}", "{q}", q = Arg::Quantity(q)));
    let say = |language: Language| {
        let mut parts = Vec::new();
        parts.extend(step.when.map(|moment| moment.short(language)));
        parts.extend(duration.as_ref().map(|line| match language {
            Language::Id => crate::floor::floor_line(line),
            Language::En => crate::floor::english_line(line, bench.voice),
        }));
        parts.join(" · ")
    };
    let (first, second) = bench.order(say(Language::Id), say(Language::En));
    if first.is_empty() {
        return None;
    }
    let second = if first == second {
        String::new()
    } else {
        format!(" /\u{a0}{second}")
    };
    Some(set(
        bench.setter,
        &[(&first, bold(BODY)), (&second, grey(SECOND))],
        width,
        Side::Left,
    ))
}

fn done_when<'a>(bench: &Bench<'_>, done: &Line, width: f32) -> Block<'a> {
    let (first, second) = bench.both(done);
    let (lead, second_lead) = bench.order(wording::DONE_WHEN.id, wording::DONE_WHEN.en);
    let (lead, second_lead) = (format!("{lead} "), format!("{second_lead} "));
    let mut block = set(
        bench.setter,
        &[(&lead, bold(BODY)), (&first, plain(BODY))],
        width,
        Side::Left,
    );
    if let Some(second) = second {
        let style: Style = grey(SECOND);
        block.under(
            0.0,
            set(
                bench.setter,
                &[(&second_lead, style), (&second, style)],
                width,
                Side::Left,
            ),
        );
    }
    block
}

/// a, b, ... z, aa, ab: letters, since a number with a point would be read as a quantity.
fn letter(mut at: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.insert(0, char::from(b'a' + (at % 26) as u8));
        if at < 26 {
            return letters.into_iter().collect();
        }
        at = at / 26 - 1;
    }
}
