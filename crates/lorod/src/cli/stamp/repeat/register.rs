//! How a fill stands to its outlines, said and as JSON.

use crate::cli::End;
use crate::facts::together::InRegister;
use serde_json::json;
use stamp::{Meets, SEEN_ALONG_MM, Tight, Visible};
use words::{Arg, Finding, Line, Place, Weight, say};

/// Places that are listed; the rest is counted.
const LISTED: usize = 12;

pub(super) fn lines(set: &InRegister) -> Vec<Line> {
    let visible = Visible::default();
    let number = Arg::Number;
    let mut lines = vec![say!(
        "in register: {fill} fills {outline}",
        "dipasangkan: {fill} mengisi {outline}",
        fill = Arg::Name(set.fill.clone()),
        outline = Arg::Name(set.outline.clone())
    )];
    let Some(room) = set.room_mm else {
        lines.push(say!(
            "no outline lies near the fill: there is nothing to register",
            "tidak ada garis tepi di dekat isian: tidak ada yang dipasangkan"
        ));
        return lines;
    };
    lines.push(say!(
        "the fill may slip {room} mm before it is seen; 19 of 20 pairs set by hand stay within {hand} mm (assumed): {n} places leave less",
        "isian boleh bergeser {room} milimeter sebelum tampak; 19 dari 20 pasang cap tangan tidak melebihi {hand} milimeter (perkiraan): {n} tempat kurang dari itu",
        room = number(room, 1),
        hand = number(set.least_mm, 1),
        n = number(set.tight.len() as f64, 0)
    ));
    lines.push(say!(
        "{p} % of impressions set by hand show it ({bare} % bare cloth, {over} % fill outside or a channel closed; +- {e} from {tried} tries)",
        "{p} persen cap tangan menampakkannya ({bare} persen kain terbuka, {over} persen isian keluar atau celah tertutup; +- {e} dari {tried} percobaan)",
        p = number(100.0 * set.misfits.share(), 0),
        bare = number(share(set, set.misfits.bare), 0),
        over = number(share(set, set.misfits.over), 0),
        e = number(100.0 * set.misfits.error(), 1),
        tried = number(f64::from(set.misfits.tried), 0)
    ));
    lines.push(say!(
        "seen from a gap of {gap} mm, an edge {leap} mm outside, along {long} mm or more (own estimate)",
        "tampak mulai celah {gap} milimeter, tepi keluar {leap} milimeter, sepanjang {long} milimeter atau lebih (perkiraan sendiri)",
        gap = number(visible.gap_mm, 1),
        leap = number(visible.leap_mm, 1),
        long = number(SEEN_ALONG_MM, 0)
    ));
    lines.extend(set.tight.iter().take(LISTED).map(|one| {
        say!(
            "  x {x} mm, y {y} mm: {room} mm of room along {long} mm",
            "  x {x} milimeter, y {y} milimeter: ruang {room} milimeter sepanjang {long} milimeter",
            x = number(one.at[0], 1),
            y = number(one.at[1], 1),
            room = number(one.room_mm, 1),
            long = number(one.along_mm, 0)
        )
    }));
    lines
}

fn share(set: &InRegister, n: u32) -> f64 {
    100.0 * f64::from(n) / f64::from(set.misfits.tried.max(1))
}

pub(super) fn json(set: &InRegister) -> serde_json::Value {
    let place = |one: &Tight| {
        let (kind, inside, outside) = match one.meets {
            Meets::Lapped {
                within_mm,
                outside_mm,
            } => ("lapped", Some(within_mm), outside_mm),
            Meets::Channel { mm } => ("channel", None, mm),
        };
        json!({
            "x_mm": one.at[0], "y_mm": one.at[1], "along_mm": one.along_mm, "room_mm": one.room_mm,
            "edge": kind, "within_mm": inside, "outside_mm": outside,
        })
    };
    let [edge, beside] = set.set.edge_mm();
    json!({
        "outline": set.outline, "fill": set.fill,
        "edge_mm": edge, "beside_outline_mm": beside,
        "room_mm": set.room_mm, "asked_mm": set.least_mm,
        "tight": set.tight.iter().map(place).collect::<Vec<_>>(),
        "misfits": {
            "tried": set.misfits.tried, "bare": set.misfits.bare, "over": set.misfits.over, "seen": set.misfits.seen,
            "share": set.misfits.share(), "standard_error": set.misfits.error(),
            "slip_mm": set.hand.x_mm, "turn_degrees": set.hand.angle.to_degrees(),
        },
    })
}

/// A stamp that stands for itself has no such picture.
pub(super) fn none(id: &str) -> End {
    End::refused(vec![
        Finding::new(
            "not-in-register",
            Weight::Wrong,
            Place::Request,
            say!(
                "stamp {id} is in register with no other",
                "cap {id} tidak dipasangkan dengan cap lain",
                id = Arg::Name(id.to_string())
            ),
        )
        .remedy(say!(
            "write register = \"id of the outlines\" into the stamp that fills them",
            "tulis register = \"id garis tepi\" di cap yang mengisinya"
        )),
    ])
}
