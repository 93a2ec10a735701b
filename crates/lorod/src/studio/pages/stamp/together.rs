//! Stamps that belong together: how a fill stands to its outlines, how a border fills its edges.

use super::{Held, count, length};
use crate::facts::together::{Bordered, InRegister};
use crate::studio::say::t;
use maud::{Markup, html};
use route::{Design, StampUse};
use stamp::{Part, SEEN_ALONG_MM, Visible};
use words::{Arg, say, text};

/// Places that are listed; the picture has them all.
const LISTED: usize = 8;

/// Whether a stamp has a fellow of its set.
pub fn in_set(design: &Design, used: &StampUse) -> bool {
    let fills = |other: &StampUse| other.register.as_ref() == Some(&used.id);
    used.register.is_some() || design.stamps.iter().any(fills)
}

/// The piece about a set in register.
pub fn register(held: &Held, set: &InRegister) -> Markup {
    let voice = held.voice;
    let visible = Visible::default();
    let mm = |mm: f64| Arg::Name(length(mm, voice));
    let share = |n: u32| Arg::Number(100.0 * f64::from(n) / f64::from(set.misfits.tried.max(1)), 0);
    html! {
        div.mori {
            h2 { (say!(
                "Does {fill} stay inside {outline}?",
                "Apakah {fill} tetap di dalam {outline}?",
                fill = Arg::Name(set.fill.clone()),
                outline = Arg::Name(set.outline.clone())
            ).say(voice)) }
            @if let Some(room) = set.room_mm {
                p.say { (say!(
                    "{n} of 100 impressions show a misfit (± {e}): {bare} bare cloth between the two, {over} fill outside or a channel closed.",
                    "{n} dari 100 kali cap tampak meleset (± {e}): {bare} kain terbuka di antaranya, {over} isian keluar atau celah tertutup.",
                    n = Arg::Number(100.0 * set.misfits.share(), 0),
                    e = Arg::Number(100.0 * set.misfits.error(), 1),
                    bare = share(set.misfits.bare),
                    over = share(set.misfits.over)
                ).say(voice)) }
                p { (say!(
                    "The drawing lets the fill slip {room} before it is seen; 19 of 20 pairs set by hand stay within {hand} (assumed). {k} places leave less.",
                    "Gambar membolehkan isian bergeser {room} sebelum tampak; 19 dari 20 pasang cap tangan tidak melebihi {hand} (perkiraan). {k} tempat kurang dari itu.",
                    room = mm(room),
                    hand = mm(set.least_mm),
                    k = count(set.tight.len())
                ).say(voice)) }
                img src=(held.href("register.svg", "")) alt=(t(text!(
                    "Both stamps on one repeat, as drawn and after a slip; tight places are ringed",
                    "Kedua cap pada satu ulangan, seperti digambar dan setelah bergeser; tempat sempit dilingkari"
                ), voice));
                @if !set.tight.is_empty() {
                    ol.where { @for (at, one) in set.tight.iter().enumerate().take(LISTED) {
                        li { b { (at + 1) } " " (say!(
                            "room {room} along {long}",
                            "ruang {room} sepanjang {long}",
                            room = mm(one.room_mm),
                            long = mm(one.along_mm)
                        ).say(voice)) " (" (length(one.at[0], voice)) ", " (length(one.at[1], voice)) ")" }
                    } }
                }
                p.small { (say!(
                    "Both stamps are set by hand. A misfit is seen from a gap of {gap}, or an edge {leap} outside, along {long} or more (own estimate). The drawings of both carry a cross at every corner of the repeat: notch both frames there.",
                    "Kedua cap dipasang dengan tangan. Meleset tampak mulai celah {gap}, atau tepi keluar {leap}, sepanjang {long} atau lebih (perkiraan sendiri). Kedua gambar bertanda silang di tiap sudut ulangan: beri takik kedua rangka di situ.",
                    gap = mm(visible.gap_mm),
                    leap = mm(visible.leap_mm),
                    long = mm(SEEN_ALONG_MM)
                ).say(voice)) }
            } @else {
                p.say { (t(text!(
                    "No outline lies near the fill: there is nothing to register.",
                    "Tidak ada garis tepi di dekat isian: tidak ada yang dipasangkan."
                ), voice)) }
            }
        }
    }
}

/// The piece about a border.
pub fn border(held: &Held, found: &Bordered) -> Markup {
    let voice = held.voice;
    let joins: usize = found.seams.iter().map(|one| one.seams.joins.len()).sum();
    let breaks: usize = found.seams.iter().map(|one| one.seams.breaks.len()).sum();
    html! {
        div.mori {
            h2 { (t(text!("Does the border fill its edges, and turn the corner?", "Apakah pinggiran memenuhi tepi dan berbelok di sudut?"), voice)) }
            p.say { (say!(
                "{all} impressions on a bolt: {run} of the border, {corner} of the corner.",
                "{all} kali cap satu gulung: {run} cap pinggir, {corner} cap sudut.",
                all = Arg::Number(f64::from(found.laid.all()), 0),
                run = Arg::Number(f64::from(found.laid.count(Part::Border)), 0),
                corner = Arg::Number(f64::from(found.laid.count(Part::Corner)), 0)
            ).say(voice)) }
            table.facts { tbody { @for run in &found.laid.sides { tr {
                th scope="row" { (t(crate::facts::together::EDGES[usize::from(run.quarter % 4)], voice)) }
                td.n { (if run.spread_mm > 0.0 {
                    say!("{n}, {by} apart", "{n}, berjarak {by}", n = count(run.count as usize), by = Arg::Name(length(run.spread_mm, voice)))
                } else {
                    say!("{n}, {by} over the next", "{n}, menindih {by}", n = count(run.count as usize), by = Arg::Name(length(-run.spread_mm, voice)))
                }.say(voice)) }
            } } } }
            p { (say!(
                "{joins} lines go on from stamp to stamp, {breaks} break.",
                "{joins} garis berlanjut dari cap ke cap, {breaks} putus.",
                joins = count(joins),
                breaks = count(breaks)
            ).say(voice)) }
            @if breaks > 0 { p { (say!(
                "The proposal leaves {n} breaks.",
                "Usulan menyisakan {n} putus.",
                n = count(found.closed.breaks())
            ).say(voice)) " " a href=(held.href("closed.svg", "")) { (t(text!("The same with the breaks closed", "Yang sama, putusnya ditutup"), voice)) } } }
            p { (say!(
                "{p} of 100 impressions set by hand show a break (± {e}).",
                "{p} dari 100 cap tangan tampak putus (± {e}).",
                p = Arg::Number(100.0 * found.slips.share(), 0),
                e = Arg::Number(100.0 * found.slips.error(), 1)
            ).say(voice)) }
            img src=(held.href("joins.svg", "")) alt=(t(text!("The border at its corner, every break numbered", "Pinggiran di sudut, tiap putus bernomor"), voice));
            p.row.small { a href=(held.href("bolt.svg", "")) { (t(text!("All impressions on a bolt", "Semua cap di satu gulung"), voice)) } }
        }
    }
}
