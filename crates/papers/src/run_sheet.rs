//! A station's run sheet: what is done there on one day, in order of time, to be ticked off.

use crate::examine::{letters, names_in};
use crate::head::{FOOT, kind, number};
use crate::page::{Block, Frame, Leaf, Section, Side, flow, mm, set};
use crate::parts::{BODY, Bench, SECOND, TICK, tick};
use crate::setting::{Setter, bold, grey, plain};
use crate::{Day, Error, Moment, Sheet, pdf, wording};
use words::{Arg, Finding, Language, Line, Place, Voice, Weight, say};

/// Width of the times, and space between columns.
const TIMES: f32 = 96.0;
const GAP: f32 = 10.0;

/// One thing that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct RunRow {
    /// When it begins.
    pub from: Moment,
    /// When it ends; on another day where cloth stays over night.
    pub to: Moment,
    /// What is done, with the number of its step.
    pub what: Line,
    /// On which bolts, as people say them.
    pub bolts: String,
    /// Name of the design.
    pub design: String,
    /// Who and what is needed besides the station.
    pub with: Vec<Line>,
}

/// What is done at one station on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct RunSheet {
    /// Name of the workshop.
    pub workshop: String,
    /// The station.
    pub station: Line,
    /// The day.
    pub day: Day,
    /// In order of time.
    pub rows: Vec<RunRow>,
    /// What to take care of at this work.
    pub cautions: Vec<Line>,
}

/// Prints run sheets, each from a page of its own on. `voice` is the reader's: its language is printed first and large.
///
/// # Errors
/// [`Error::Refused`] if there is none, or a row is longer than a page.
pub fn run_sheets(sheets: &[RunSheet], sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    let setter = Setter::new()?;
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice,
        sheet,
    };
    let mut leaves = Vec::new();
    for sheet in sheets {
        leaves.extend(set_sheet(&bench, sheet)?);
    }
    let Some(first) = sheets.first() else {
        let found = say!(
            "No run sheet was asked for.",
            "Tidak ada lembar kerja yang diminta."
        );
        let finding = Finding::new("nothing-to-print", Weight::Wrong, Place::Request, found);
        return Err(Error::Refused(vec![finding]));
    };
    let title = format!(
        "{} · {}",
        bench.order(wording::RUN_SHEET.id, wording::RUN_SHEET.en).0,
        first.workshop
    );
    pdf::write(&title, &setter, &leaves)
}

/// Letters of names that would print as an empty box.
///
/// # Errors
/// [`Error::Font`] if the fonts cannot be read.
pub fn examine_run_sheets(sheets: &[RunSheet]) -> Result<Vec<Finding>, Error> {
    let setter = Setter::new()?;
    let of = |sheet: &RunSheet| {
        let rows = sheet.rows.iter().flat_map(|row| {
            let with = row.with.iter().flat_map(names_in);
            [row.bolts.as_str(), row.design.as_str()]
                .into_iter()
                .chain(names_in(&row.what))
                .chain(with)
        });
        let names = names_in(&sheet.station)
            .chain([sheet.workshop.as_str()])
            .chain(rows);
        letters(&setter, &sheet.workshop, names)
    };
    Ok(sheets.iter().filter_map(of).collect())
}

fn set_sheet<'a>(bench: &Bench<'_>, sheet: &RunSheet) -> Result<Vec<Leaf<'a>>, Error> {
    let width = bench.width();
    let day = |language| sheet.day.say(language);
    let (day_first, day_second) = bench.order(day(Language::Id), day(Language::En));
    let head = |size: f32| {
        let mut head = kind(bench, wording::RUN_SHEET, &sheet.workshop, width);
        head.height += 2.0;
        head.under(0.0, bench.fitting(&sheet.station, bold(size), width, Side::Left));
        let second = format!(" / {day_second}");
        head.under(
            0.0,
            set(
                bench.setter,
                &[(&day_first, bold(16.0)), (&second, grey(SECOND + 2.0))],
                width,
                Side::Left,
            ),
        );
        head.height += 4.0;
        head.line((0.0, head.height), (width, head.height), 2.8);
        head.height += 8.0;
        head
    };
    let mut front = Section::default();
    for mut cautions in bench.caution_boxes(&sheet.cautions, &[], width, mm(11.0)) {
        cautions.height += 6.0;
        front.blocks.push(cautions);
    }
    let rows = Section {
        head: Block::default(),
        blocks: sheet
            .rows
            .iter()
            .map(|row| set_row(bench, row, sheet.day))
            .collect(),
    };
    let frame = Frame {
        sheet: bench.sheet,
        first: head(25.0),
        later: head(16.0),
        foot: FOOT,
    };
    let laid = flow(&frame, vec![front, rows]);
    let station = bench.both(&sheet.station).0;
    let leaves = laid.map_err(|at| {
        let found = say!(
            "A line of the run sheet of {station} is longer than a page.",
            "Satu baris lembar kerja {station} lebih panjang dari satu halaman.",
            station = Arg::Name(station.clone())
        );
        let finding = Finding::new("longer-than-a-page", Weight::Wrong, Place::Request, found);
        let row = Arg::Number(at.block as f64 + 1.0, 0);
        Error::Refused(vec![finding.remedy(say!(
            "shorten the names in line {row}",
            "persingkat nama di baris {row}",
            row = row
        ))])
    })?;
    Ok(number(
        bench,
        leaves,
        &format!("{station} · {day_first} · {}", sheet.workshop),
    ))
}

/// Times at the left, what and on which bolts, a box to tick.
fn set_row<'a>(bench: &Bench<'_>, row: &RunRow, day: Day) -> Block<'a> {
    let (width, pad) = (bench.width(), 5.0);
    let middle = width - TIMES - TICK - 2.0 * GAP;
    let times = if row.to.day() == day {
        format!("{} - {}", row.from.clock(), row.to.clock())
    } else {
        let (to, _) = bench.order(row.to.short(Language::Id), row.to.short(Language::En));
        format!("{} - {to}", row.from.clock())
    };
    let times = set(bench.setter, &[(&times, bold(13.0))], TIMES, Side::Left);
    let mut text = bench.fitting(&row.what, bold(BODY + 1.0), middle, Side::Left);
    let design = format!(" · {}", row.design);
    text.under(
        0.0,
        set(
            bench.setter,
            &[(&row.bolts, bold(BODY)), (&design, plain(BODY))],
            middle,
            Side::Left,
        ),
    );
    if !row.with.is_empty() {
        let both: Vec<(String, Option<String>)> = row.with.iter().map(|line| bench.both(line)).collect();
        let first: Vec<&str> = both.iter().map(|(first, _)| first.as_str()).collect();
        let second: Vec<&str> = both
            .iter()
            .map(|(first, second)| second.as_ref().unwrap_or(first).as_str())
            .collect();
        let second = format!(" / {}", second.join(", "));
        let spans = [
            (&*first.join(", "), plain(SECOND + 0.5)),
            (&*second, grey(SECOND - 0.5)),
        ];
        text.under(0.0, set(bench.setter, &spans, middle, Side::Left));
    }
    let inner = text.height.max(times.height).max(TICK);
    let mut block = Block::space(inner + 2.0 * pad);
    block.place(0.0, pad, times);
    block.place(TIMES + GAP, pad, text);
    block.place(width - TICK, pad, tick(TICK));
    block.line((0.0, block.height), (width, block.height), 0.8);
    block
}

#[cfg(test)]
mod tests {
    use super::{RunRow, RunSheet, run_sheets, set_sheet};
    use crate::page::{MARGIN, Mark};
    use crate::parts::Bench;
    use crate::setting::Setter;
    use crate::{Day, Error, Moment, Sheet};
    use words::{Arg, Language, Voice, say};

    const FLOOR: Voice = Voice {
        language: Language::Id,
        system: units::System::Metric,
    };

    fn sheet(rows: usize) -> RunSheet {
        let day = Day::new(2026, 12, 7).expect("a day");
        let next = Day::new(2026, 12, 8).expect("a day");
        let row = |n: usize| RunRow {
            from: Moment::new(day, 14, 20).expect("a clock"),
            to: Moment::new(if n == 0 { next } else { day }, 15, 5).expect("a clock"),
            what: say!(
                "{n} Rinse, {m} bolts",
                "{n} Bilas, {m} gulung",
                n = Arg::Number(1250.0, 0),
                m = Arg::Number(1.5, 1)
            ),
            bolts: "o-101 1-3".to_string(),
            design: "Sea Fan".to_string(),
            with: vec![say!("2 helpers", "2 pembantu")],
        };
        RunSheet {
            workshop: "Sirih Works".to_string(),
            station: say!("trough", "bak cuci"),
            day,
            rows: (0..rows).map(row).collect(),
            cautions: vec![say!("Boiling water.", "Air mendidih.")],
        }
    }

    /// Both languages stand on it, times read 14:20, no number has a point between digits, nothing leaves the page, and
    /// every row is there once.
    #[test]
    fn every_row_is_on_the_page_in_both_languages() {
        let setter = Setter::new().expect("fonts");
        let bench = Bench {
            tight: false,
            setter: &setter,
            voice: FLOOR,
            sheet: Sheet::A4,
        };
        let leaves = set_sheet(&bench, &sheet(40)).expect("laid out");
        assert!(leaves.len() > 1);
        let rows: usize = leaves
            .iter()
            .map(|leaf| leaf.laid.iter().filter(|(section, ..)| *section == 1).count())
            .sum();
        assert_eq!(rows, 40);
        let mut all = String::new();
        for leaf in &leaves {
            for mark in &leaf.marks {
                let [left, _, right, bottom] = mark.bounds();
                assert!(left >= MARGIN - 2.0 && right <= leaf.size.0 - MARGIN + 2.0);
                assert!(bottom <= leaf.size.1);
                if let Mark::Text { run, .. } = mark {
                    all.push_str(&run.text);
                    all.push('\n');
                }
            }
        }
        for said in [
            "Senin 7 Des 2026",
            "Monday",
            "14:20",
            "Selasa",
            "Bilas",
            "Rinse",
            "1250",
            "1,5",
        ] {
            assert!(all.contains(said), "{said} is missing");
        }
        let points = all
            .as_bytes()
            .windows(3)
            .any(|w| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit());
        // The English side may write 1.5; the Indonesian one comes first and never does.
        assert!(!all.contains("1.250") && (!points || all.contains("1.5")));
    }

    #[test]
    fn the_same_sheets_give_the_same_bytes_and_none_are_refused() {
        let once = run_sheets(&[sheet(3)], Sheet::A4, FLOOR).expect("a PDF");
        assert_eq!(once, run_sheets(&[sheet(3)], Sheet::A4, FLOOR).expect("a PDF"));
        assert!(once.starts_with(b"%PDF"));
        assert!(matches!(
            run_sheets(&[], Sheet::A4, FLOOR),
            Err(Error::Refused(_))
        ));
    }
}
