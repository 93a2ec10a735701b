//! Heads and feet: whose paper this is, on every page.

use crate::cover::COUNTED;
use crate::page::{Block, Leaf, MARGIN, Section, Side, mm, one_row, set};
use crate::parts::{BODY, Bench, SECOND, warning_sign};
use crate::setting::{Style, bold, grey, plain};
use crate::{Error, wording};
use words::{Arg, Line, Text};

/// Height kept free for the foot of a page.
pub(crate) const FOOT: f32 = 26.0;
const SMALL_CODE: f32 = mm(17.0);

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

/// The places to write in at the end of a card or sheet.
pub(crate) fn asks_section<'a>(bench: &Bench<'_>, asks: &[crate::Ask]) -> Section<'a> {
    let mut section = Section {
        head: Block::space(bench.room(8.0, 3.0)),
        blocks: bench.asks(asks, bench.width(), 3),
    };
    // Ruled places with their names say by themselves what they are for.
    if !bench.tight {
        section.head.under(
            0.0,
            bench.label(wording::WRITE_DOWN, bold(11.5), bench.width(), Side::Left),
        );
    }
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
        // The middle of the foot belongs to the number of the page in a pack.
        let left = one_row(bench.setter, (what, plain(SECOND)), half - COUNTED / 2.0);
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
