//! How a border fills its edges and joins at its corners, said, drawn and as JSON.

use super::{Ask, Picture};
use crate::cli::{End, out, tell, wire};
use crate::facts::together::{Bordered, EDGES};
use serde_json::json;
use stamp::{Meeting, Part, Run, Wrong};
use words::{Arg, Finding, Line, Place, Voice, Weight, say};

pub(super) fn tell_of(ask: &Ask, found: &Bordered, voice: Voice) -> Result<(), End> {
    if let Some(path) = &ask.output {
        let svg = match ask.picture {
            Picture::Seams => found.picture_of_joins(voice),
            Picture::Bolt => found.picture_of_piece(voice),
            Picture::Closed => found.picture_of_closed(voice),
            Picture::Slip | Picture::Register => return Err(no_such_picture()),
        };
        out::write(path, svg.as_bytes())?;
    }
    if ask.json {
        wire::print(&json(found));
        return Ok(());
    }
    for line in lines(found, voice) {
        tell(&format!("{}\n", line.say(voice)));
    }
    Ok(())
}

fn lines(found: &Bordered, voice: Voice) -> Vec<Line> {
    let number = Arg::Number;
    let run = |run: &Run| {
        let edge = Arg::Text(EDGES[usize::from(run.quarter % 4)]);
        let (n, long) = (number(f64::from(run.count), 0), number(run.long_mm, 0));
        let by = number(run.spread_mm.abs(), 2);
        if run.spread_mm > 0.0 {
            say!(
                "{edge}: {n} impressions along {long} mm, each {by} mm apart from the next",
                "{edge}: {n} kali cap sepanjang {long} milimeter, masing-masing berjarak {by} milimeter",
                edge = edge,
                n = n,
                long = long,
                by = by
            )
        } else {
            say!(
                "{edge}: {n} impressions along {long} mm, each {by} mm over the next",
                "{edge}: {n} kali cap sepanjang {long} milimeter, masing-masing menindih {by} milimeter",
                edge = edge,
                n = n,
                long = long,
                by = by
            )
        }
    };
    let mut lines: Vec<Line> = found.laid.sides.iter().map(run).collect();
    lines.push(say!(
        "{all} impressions on a bolt: {run} of the border, {corner} of the corner",
        "{all} kali cap satu gulung: {run} cap pinggir, {corner} cap sudut",
        all = number(f64::from(found.laid.all()), 0),
        run = number(f64::from(found.laid.count(Part::Border)), 0),
        corner = number(f64::from(found.laid.count(Part::Corner)), 0)
    ));
    lines.push(say!(
        "{p} % of impressions set by hand show a break (assumed slip of {s} mm and {a} degrees; +- {e} from {tried} tries)",
        "{p} persen cap tangan tampak putus (perkiraan geser {s} milimeter dan {a} derajat; +- {e} dari {tried} percobaan)",
        p = number(100.0 * found.slips.share(), 0),
        s = number(found.hand.x_mm, 1),
        a = number(found.hand.angle.to_degrees(), 1),
        e = number(100.0 * found.slips.error(), 1),
        tried = number(f64::from(found.slips.tried), 0)
    ));
    if found.seams.iter().any(|one| !one.seams.breaks.is_empty()) {
        lines.push(say!(
            "the proposal leaves {n} breaks and changes {a} mm2",
            "usulan menyisakan {n} putus dan mengubah {a} mm2",
            n = number(found.closed.breaks() as f64, 0),
            a = number(found.closed.changed_mm2, 0)
        ));
    }
    for one in &found.seams {
        lines.push(say!(
            "{what}: {joins} lines go on, {breaks} break",
            "{what}: {joins} garis berlanjut, {breaks} putus",
            what = Arg::Text(one.meeting.text()),
            joins = number(one.seams.joins.len() as f64, 0),
            breaks = number(one.seams.breaks.len() as f64, 0)
        ));
        lines.extend(one.seams.breaks.iter().map(|broken| {
            say!(
                "  x {x} mm, y {y} mm from the band's corner: {what}",
                "  x {x} milimeter, y {y} milimeter dari sudut pinggiran: {what}",
                x = number(broken.at[0], 1),
                y = number(broken.at[1], 1),
                what = Arg::Name(broken.wrong.line().say(voice))
            )
        }));
    }
    lines
}

fn json(found: &Bordered) -> serde_json::Value {
    let edge = |run: &Run| {
        ["first-end", "right-selvedge", "last-end", "left-selvedge"][usize::from(run.quarter % 4)]
    };
    let runs = found.laid.sides.iter().map(|run| {
        json!({ "edge": edge(run), "mm": run.long_mm, "impressions": run.count, "apart_mm": run.spread_mm })
    });
    let joins = found.seams.iter().map(|one| {
        let meeting = match one.meeting {
            Meeting::Steps => "steps",
            Meeting::FromCorner => "from-corner",
            Meeting::ToCorner => "to-corner",
        };
        let breaks = one.seams.breaks.iter().map(|broken| {
            let (wrong, by) = match broken.wrong {
                Wrong::Ends => ("ends", None),
                Wrong::Leaps(mm) => ("leaps_mm", Some(mm)),
                Wrong::Turns(angle) => ("turns_degrees", Some(angle.to_degrees())),
            };
            json!({ "x_mm": broken.at[0], "y_mm": broken.at[1], "wide_mm": broken.wide_mm, "wrong": wrong, "by": by })
        });
        json!({ "between": meeting, "joins": one.seams.joins.len(), "breaks": breaks.collect::<Vec<_>>() })
    });
    json!({
        "border": {
            "runs": runs.collect::<Vec<_>>(),
            "joins": joins.collect::<Vec<_>>(),
            "proposal": { "breaks": found.closed.breaks(), "changed_mm2": found.closed.changed_mm2 },
        },
        "slips": {
            "tried": found.slips.tried, "broken": found.slips.broken, "share": found.slips.share(),
            "standard_error": found.slips.error(), "slip_mm": found.hand.x_mm, "turn_degrees": found.hand.angle.to_degrees(),
        },
        "impressions": {
            "all": found.laid.all(), "border": found.laid.count(Part::Border), "corner": found.laid.count(Part::Corner),
        },
    })
}

fn no_such_picture() -> End {
    End::refused(vec![
        Finding::new(
            "no-such-picture",
            Weight::Wrong,
            Place::Request,
            say!(
                "there is no such picture of a border",
                "tidak ada gambar seperti itu untuk pinggiran"
            ),
        )
        .allow(say!(
            "--picture seams, closed or bolt",
            "--picture seams, closed atau bolt"
        )),
    ])
}
