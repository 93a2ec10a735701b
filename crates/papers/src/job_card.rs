//! The job card of a lot.

use crate::page::{Block, Frame, Leaf, MARGIN, Mark, Section, Side, TooTall, flow, mm, one_row, set};
use crate::parts::{BODY, Bench, SECOND, TICK, tick, warning_sign};
use crate::setting::{Style, bold, grey, plain};
use crate::{CardStep, Error, JobCard, Picture, wording};
use words::{Arg, Language, Line, Text, say};

const NUMBER: f32 = 30.0;
const AMOUNTS: f32 = 150.0;
const GAP: f32 = 10.0;
pub(crate) const FOOT: f32 = 26.0;
const CODE: f32 = mm(30.0);
const SMALL_CODE: f32 = mm(17.0);

/// Sets a card. Sections: 0 pictures and cautions, 1 steps, 2 what is written down.
pub(crate) fn set_card<'a>(
    bench: &Bench<'_>,
    card: &'a JobCard,
) -> Result<Result<Vec<Leaf<'a>>, TooTall>, Error> {
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
    let cautions = bench.cautions(&card.cautions, &[], width, mm(13.0), true);
    if cautions.height > 0.0 {
        let mut spaced = Block::default();
        spaced.under(0.0, cautions);
        spaced.height += 8.0;
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

/// "Partai 31 · Sirih Works".
pub(crate) fn foot(bench: &Bench<'_>, lot: &str, rest: &str) -> String {
    let (lots, _) = bench.order(wording::LOT.id, wording::LOT.en);
    format!("{lots} {lot} · {rest}")
}

/// "Partai 31 · Sea Fan · 3 gulung / Lot 31 · 3 bolts".
pub(crate) fn lots<'a>(
    bench: &Bench<'_>,
    lot: &str,
    design: &str,
    bolts: u32,
    style: Style,
    width: f32,
) -> Block<'a> {
    let say = |lots: &str, unit: &str| {
        let names = [
            format!("{lots} {lot}"),
            design.to_string(),
            format!("{bolts} {unit}"),
        ];
        names
            .into_iter()
            .filter(|name| !name.is_empty())
            .collect::<Vec<_>>()
            .join(" · ")
    };
    let (first, _) = bench.order(
        say(wording::LOT.id, wording::BOLTS.id),
        say(wording::LOT.en, wording::BOLTS.en),
    );
    let (second, _) = bench.order(wording::LOT.en, wording::LOT.id);
    let (bolts_second, _) = bench.order(wording::BOLTS.en, wording::BOLTS.id);
    let second = format!(" /\u{a0}{} {lot}, {bolts} {bolts_second}", second.to_lowercase());
    set(
        bench.setter,
        &[(&first, style), (&second, grey(SECOND + 2.0))],
        width,
        Side::Left,
    )
}

fn first_head<'a>(bench: &Bench<'_>, card: &JobCard) -> Result<Block<'a>, Error> {
    let width = bench.width() - CODE - 20.0;
    let mut head = Block::default();
    let mut place = vec![card.workshop.clone()];
    place.extend(card.collection.clone());
    head.under(0.0, kind(bench, wording::JOB_CARD, &place.join(" · "), width));
    head.height += 2.0;
    if let Some(part) = &card.part {
        head.under(0.0, bench.inline(part, bold(25.0), width, Side::Left));
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

/// "Kartu kerja / Job card · Sirih Works".
pub(crate) fn kind<'a>(bench: &Bench<'_>, what: &'static Text, place: &str, width: f32) -> Block<'a> {
    let (first, second) = bench.order(what.id, what.en);
    let second = format!(" /\u{a0}{second}");
    let place = format!(" · {place}");
    set(
        bench.setter,
        &[
            (first, plain(BODY)),
            (&second, grey(SECOND)),
            (&place, plain(BODY)),
        ],
        width,
        Side::Left,
    )
}

/// "mulai Selasa 1 Des 2026, 10:30 / starts Tuesday 1 Dec 2026, 10:30"; a date that reads the same is said once.
pub(crate) fn fact<'a>(bench: &Bench<'_>, name: &Text, id: &str, en: &str, width: f32) -> Block<'a> {
    let (first, second) = bench.order((name.id, id), (name.en, en));
    let lead = format!("{} ", first.0);
    let tail = if first.1 == second.1 {
        format!(" / {}", second.0)
    } else {
        format!(" / {} {}", second.0, second.1)
    };
    set(
        bench.setter,
        &[(&lead, plain(BODY)), (first.1, bold(BODY)), (&tail, grey(SECOND))],
        width,
        Side::Left,
    )
}

/// Puts the code to the right of a head and a thick rule under both.
pub(crate) fn close_head<'a>(
    bench: &Bench<'_>,
    mut head: Block<'a>,
    qr: &str,
    caption: &str,
    side: f32,
) -> Result<Block<'a>, Error> {
    let code = bench.code(qr, caption, side)?;
    let height = head.height.max(code.height) + 6.0;
    head.place(bench.width() - side, 0.0, code);
    head.line((0.0, height), (bench.width(), height), 2.8);
    head.height = height + 10.0;
    Ok(head)
}

/// The head of the pages after the first.
pub(crate) fn later_head<'a>(
    bench: &Bench<'_>,
    title: impl Fn(Style, f32) -> Block<'a>,
    caption: &str,
    qr: &str,
    cautions: bool,
) -> Result<Block<'a>, Error> {
    let width = bench.width() - SMALL_CODE - 20.0;
    let mut head = title(bold(16.0), width);
    if cautions {
        head.height += 4.0;
        let mut reminder = Block::default();
        reminder.place(0.0, 0.0, warning_sign(17.0));
        reminder.under(
            24.0,
            bench.label(wording::CAUTIONS_ON_FIRST, bold(BODY), width - 24.0, Side::Left),
        );
        head.under(0.0, reminder);
    }
    close_head(bench, head, qr, caption, SMALL_CODE)
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
    let (width, pad) = (bench.width(), 7.0);
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
    let warned = !step.cautions.is_empty();
    if !warned {
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
    if warned {
        block.height += 5.0;
        block.under(NUMBER, bench.cautions(&step.cautions, &[], inner, mm(9.0), false));
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
        text.height += 2.0;
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

/// The places to write in at the end of a card or sheet.
pub(crate) fn asks_section<'a>(bench: &Bench<'_>, asks: &[crate::Ask]) -> Section<'a> {
    let mut section = Section {
        head: Block::space(8.0),
        blocks: bench.asks(asks, bench.width(), 3),
    };
    section.head.under(
        0.0,
        bench.label(wording::WRITE_DOWN, bold(11.5), bench.width(), Side::Left),
    );
    section
}

/// Adds the foot: what this is at the left, the page and number of pages at the right.
pub(crate) fn number<'a>(bench: &Bench<'_>, mut leaves: Vec<Leaf<'a>>, what: &str) -> Vec<Leaf<'a>> {
    let pages = leaves.len();
    let half = bench.width() / 2.0;
    for (at, leaf) in leaves.iter_mut().enumerate() {
        let count = |n: usize| Arg::Number(n as f64, 0);
        let page = Line::new(
            wording::PAGE,
            vec![("page", count(at + 1)), ("pages", count(pages))],
        );
        let top = leaf.size.1 - MARGIN - 14.0;
        let mut foot = Block::default();
        let left = one_row(bench.setter, (what, plain(SECOND)), half);
        foot.place(MARGIN, top, left);
        foot.place(
            MARGIN + half,
            top,
            bench.inline(&page, plain(SECOND), half, Side::Right),
        );
        leaf.marks.extend(foot.marks);
    }
    leaves
}
