//! The first page of a pack: what lies in it and where, what to read first, what is not certain yet, who hands it over.

use crate::head::{FOOT, kind, number};
use crate::page::{Block, Frame, Leaf, MARGIN, Section, Side, TooTall, flow, mm, set};
use crate::parts::{BODY, Bench, SECOND, warning_sign};
use crate::setting::{Style, bold, grey, plain};
use crate::spec_sheet::{gap, heading, name, picture};
use crate::{Ask, Blank, Cover, Doubts, Error, First, SpecSheet, examine, wording};
use words::{Line, Text};

/// Width and height of a cloth on the cover.
const CLOTH: (f32, f32) = (mm(34.0), mm(23.0));

/// Where the papers of a cloth lie in the pack: name of the kind, first and last page.
pub(crate) type Places = Vec<(&'static Text, (usize, usize))>;

/// Sets it. Sections: 0 what lies in the pack, 1 what to read first, 2 what is not certain, 3 names.
pub(crate) fn set_cover<'a>(
    bench: &Bench<'_>,
    cover: &Cover,
    specs: &'a [SpecSheet],
    places: &[Places],
) -> Result<Vec<Leaf<'a>>, Error> {
    let width = bench.width();
    let cloths = specs.iter().zip(places);
    let contents = Section {
        head: heading(bench, wording::IN_THE_PACK, width),
        blocks: cloths.map(|(spec, places)| cloth(bench, spec, places)).collect(),
    };
    let first = Section {
        head: heading(bench, wording::READ_FIRST, width),
        blocks: (1..)
            .zip(&cover.first)
            .map(|(n, first)| counted(bench, n, first))
            .collect(),
    };
    let mut doubts = Section {
        head: heading(bench, wording::NOT_CERTAIN, width),
        blocks: Vec::new(),
    };
    for one in &cover.doubts {
        doubts.blocks.extend(doubted(bench, one));
    }
    let mut signed = Section {
        head: heading(bench, wording::HANDED_OVER, width),
        blocks: vec![gap(
            set(bench.setter, &[(&cover.by, bold(BODY))], width, Side::Left),
            0.0,
            4.0,
        )],
    };
    let asks = [wording::SIGNED, wording::DAY, wording::RECEIVED, wording::DAY]
        .map(|what| Ask::new(Line::plain(what), Blank::Words));
    signed.blocks.extend(bench.asks(&asks, width, 2));
    let frame = Frame {
        sheet: bench.sheet,
        first: head(bench, cover),
        later: later_head(bench, cover),
        foot: FOOT,
    };
    let whole = |_: TooTall| Error::Refused(vec![examine::too_tall_cloth(&cover.collection)]);
    let leaves = flow(&frame, vec![contents, first, doubts, signed]).map_err(whole)?;
    let (what, _) = bench.order(wording::PACK.id, wording::PACK.en);
    Ok(number(bench, leaves, &format!("{what} · {}", cover.workshop)))
}

/// Numbers the pages of the whole pack, in the middle of the foot, as the cover names them.
pub(crate) fn count(bench: &Bench<'_>, leaves: &mut [Leaf<'_>]) {
    for (at, leaf) in leaves.iter_mut().enumerate() {
        let n = set(
            bench.setter,
            &[(&(at + 1).to_string(), bold(BODY))],
            COUNTED,
            Side::Middle,
        );
        let mut foot = Block::default();
        let left = (leaf.size.0 - COUNTED) / 2.0;
        foot.place(left, leaf.size.1 - MARGIN - 14.0 - (BODY - SECOND), n);
        leaf.marks.extend(foot.marks);
    }
}

/// Room for the number of a page in the middle of the foot.
pub(crate) const COUNTED: f32 = 32.0;

fn head<'a>(bench: &Bench<'_>, cover: &Cover) -> Block<'a> {
    let width = bench.width();
    let mut head = kind(bench, wording::PACK, &cover.workshop, width);
    let title = &[(cover.collection.as_str(), bold(28.0))];
    head.under(0.0, set(bench.setter, title, width, Side::Left));
    for said in [&cover.by, &cover.note] {
        if !said.is_empty() {
            head.under(0.0, set(bench.setter, &[(said, plain(BODY))], width, Side::Left));
        }
    }
    head.height += 5.0;
    head.line((0.0, head.height), (width, head.height), 2.8);
    head.height += 4.0;
    head.under(
        0.0,
        bench.label(wording::COUNTED_THROUGH, plain(SECOND), width, Side::Left),
    );
    head
}

fn later_head<'a>(bench: &Bench<'_>, cover: &Cover) -> Block<'a> {
    let width = bench.width();
    let title = &[(cover.collection.as_str(), bold(16.0))];
    let mut head = set(bench.setter, title, width, Side::Left);
    head.height += 4.0;
    head.line((0.0, head.height), (width, head.height), 1.2);
    head.height += 8.0;
    head
}

/// A cloth with the pages of its papers.
fn cloth<'a>(bench: &Bench<'_>, spec: &'a SpecSheet, places: &Places) -> Block<'a> {
    let (w, h) = CLOTH;
    let left = w + 12.0;
    let wide = bench.width() - left;
    let mut text = set(
        bench.setter,
        &[(&name(&spec.design, &spec.colourway), bold(14.0))],
        wide,
        Side::Left,
    );
    text.height += 3.0;
    // Two columns of their own: a kind of paper, and its pages.
    let half = wide / 2.0;
    for pair in places.chunks(2) {
        let mut row = Block::default();
        for (at, (what, (from, to))) in pair.iter().enumerate() {
            let pages = if from == to {
                from.to_string()
            } else {
                format!("{from}–{to}")
            };
            let (first, second) = bench.order(what.id, what.en);
            let spans = [
                (pages.as_str(), bold(BODY)),
                ("  ", plain(BODY)),
                (first, plain(BODY)),
                (" / ", grey(SECOND)),
                (second, grey(SECOND)),
            ];
            let said = set(bench.setter, &spans, half - 8.0, Side::Left);
            row.height = row.height.max(said.height);
            row.place(at as f32 * half, 0.0, said);
        }
        text.under(0.0, row);
    }
    let mut row = Block::space(text.height.max(h) + 9.0);
    row.place(0.0, 4.0, picture(&spec.cloth, (w, h)));
    row.place(left, 2.0, text);
    row.line((0.0, row.height), (bench.width(), row.height), 0.5);
    row
}

/// A numbered sentence; one about danger stands beside the sign.
fn counted<'a>(bench: &Bench<'_>, n: usize, first: &First) -> Block<'a> {
    let left = 26.0;
    let style = if first.danger { bold(BODY) } else { plain(BODY) };
    let mut row = Block::default();
    row.under(
        left,
        told(bench, &first.about, &first.said, style, bench.width() - left),
    );
    if first.danger {
        row.place(0.0, 1.0, warning_sign(17.0));
    } else {
        let number = format!("{n}.");
        row.place(
            4.0,
            0.0,
            set(bench.setter, &[(&number, bold(BODY))], left, Side::Left),
        );
    }
    row.height += 5.0;
    row
}

/// What a line is about, the line as a sentence, and the same in the second language under it.
fn told<'a>(bench: &Bench<'_>, about: &str, line: &Line, style: Style, width: f32) -> Block<'a> {
    let (first, second) = bench.both(line);
    let about = if about.is_empty() {
        String::new()
    } else {
        format!("{about}: ")
    };
    let spans = [(about.as_str(), bold(BODY)), (&sentence(&first), style)];
    let mut block = set(bench.setter, &spans, width, Side::Left);
    if let Some(second) = second {
        let second = sentence(&second);
        block.under(
            0.0,
            set(bench.setter, &[(&second, grey(SECOND))], width, Side::Left),
        );
    }
    block
}

fn sentence(said: &str) -> String {
    let mut letters = said.chars();
    let first = letters
        .next()
        .map(|c| c.to_uppercase().collect::<String>())
        .unwrap_or_default();
    let stop = if said.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{first}{}{stop}", letters.as_str())
}

/// What is not certain about a cloth; its name stands over the first line and never alone.
fn doubted<'a>(bench: &Bench<'_>, doubts: &Doubts) -> Vec<Block<'a>> {
    let (left, width) = (14.0, bench.width());
    let mut blocks = Vec::new();
    for (at, line) in doubts.said.iter().enumerate() {
        let mut row = Block::default();
        if at == 0 && !doubts.about.is_empty() {
            let about = &[(doubts.about.as_str(), bold(BODY))];
            row.under(0.0, set(bench.setter, about, width, Side::Left));
        }
        let top = row.height;
        row.place(
            2.0,
            top,
            set(bench.setter, &[("·", bold(BODY))], left, Side::Left),
        );
        row.under(left, told(bench, "", line, plain(BODY), width - left));
        row.height += if at + 1 == doubts.said.len() { 7.0 } else { 3.0 };
        blocks.push(row);
    }
    blocks
}
