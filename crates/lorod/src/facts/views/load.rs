//! How busy stations, people and stamps are: minutes held over minutes in which they can be used.

use super::svg::{EDGE, HAIR, INK, INK2, MENGKUDU, NILA, open};
use super::{Days, View, day_name};
use ::plan::calendar::{intersect, union};
use ::plan::{Minute, ResourceId, Window};
use sky::{Date, Weekday};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use words::{Arg, Voice, say, text};

/// A day's share from which a place counts as nearly full (a choice of the house, assumed).
const FULL: f64 = 0.9;

/// How busy something is.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// What.
    pub resource: ResourceId,
    /// Unit-minutes held inside its hours.
    pub busy: Minute,
    /// Unit-minutes inside the hours of the work that uses it.
    pub open: Minute,
    /// `busy / open`.
    pub share: f64,
    /// The same for each open day.
    pub days: Vec<(Date, f64)>,
}

/// How busy everything is that is used on some days, the busiest first. A place that is never open has no load.
pub fn loads(view: &View, days: Days) -> Vec<Load> {
    let problem = view.problem();
    let mut hours: BTreeMap<usize, Vec<Window>> = BTreeMap::new();
    for lot in &problem.lots {
        for operation in &lot.route {
            let modes = operation.modes.iter().map(|mode| mode.resource);
            for resource in operation.uses.iter().map(|held| held.resource).chain(modes) {
                let known = hours.entry(resource.0).or_default();
                let windows = problem.windows(operation.calendar);
                if !known.iter().eq(windows) {
                    *known = union(known, windows);
                }
            }
        }
        if let Some(approval) = lot.approval {
            let known = hours.entry(approval.resource.0).or_default();
            *known = union(known, problem.windows(approval.calendar));
        }
    }
    let mut held: BTreeMap<usize, Vec<(u32, Window)>> = BTreeMap::new();
    for piece in view.pieces() {
        for (resource, quantity, start, end) in piece.holds {
            held.entry(resource.0)
                .or_default()
                .push((quantity, Window::new(start, end)));
        }
    }
    let minutes = |windows: &[Window]| windows.iter().map(|w| w.length()).sum::<Minute>();
    let mut loads = Vec::new();
    for (resource, held) in held {
        let resource = ResourceId(resource);
        let units = Minute::from(problem.capacity(resource));
        let windows = hours.get(&resource.0).map_or(&[][..], Vec::as_slice);
        let (mut busy, mut open, mut of_days) = (0, 0, Vec::new());
        for day in (days.first.days..=days.last.days).map(|days| Date { days }) {
            let midnight = view.midnight(day);
            let today = intersect(windows, &[Window::new(midnight, midnight + 1440)]);
            let (Some(first), Some(last)) = (today.first(), today.last()) else {
                continue;
            };
            let whole = minutes(&today) * units;
            let used: Minute = held
                .iter()
                .filter(|(_, w)| w.start < last.end && w.end > first.start)
                .map(|(quantity, w)| minutes(&intersect(&today, &[*w])) * Minute::from(*quantity))
                .sum();
            busy += used;
            open += whole;
            of_days.push((day, used as f64 / whole.max(1) as f64));
        }
        if busy > 0 {
            loads.push(Load {
                resource,
                busy,
                open,
                share: busy as f64 / open.max(1) as f64,
                days: of_days,
            });
        }
    }
    loads.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.resource.cmp(&b.resource)));
    loads
}

/// Left end of the bars, their length at 100 %, left end of the days, their width together.
const BARS: (f64, f64) = (190.0, 300.0);
const DAYS: (f64, f64) = (560.0, 700.0);
const TOP: f64 = 108.0;
const ROW: f64 = 30.0;

/// Which is the narrow place, how often it is nearly full, and what comes next, in two sentences.
pub fn answer(view: &View, all: &[Load], voice: Voice) -> String {
    let place = |load: &Load| Arg::Name(view.place(load.resource, voice));
    let share = |share: f64| Arg::Number(share * 100.0, 0);
    let Some(first) = all.first() else {
        return text!(
            "Nothing is done on these days.",
            "Tidak ada pekerjaan pada hari-hari ini."
        )
        .raw(voice.language)
        .to_string();
    };
    let full = first.days.iter().filter(|(_, share)| *share >= FULL).count();
    let fullest = first.days.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let mut said = match (full, fullest) {
        (0, Some((day, most))) => say!(
            "{place}: in use {share} % of the hours, at most {most} % on a day ({day}).",
            "{place}: terpakai {share} % dari jamnya, sehari paling banyak {most} % ({day}).",
            place = place(first),
            share = share(first.share),
            most = share(*most),
            day = Arg::Name(day_name(*day, voice))
        ),
        _ => say!(
            "{place}: in use {share} % of the hours; days on which it is nearly full: {n}.",
            "{place}: terpakai {share} % dari jamnya; hari yang hampir penuh: {n}.",
            place = place(first),
            share = share(first.share),
            n = Arg::Number(full as f64, 0)
        ),
    }
    .say(voice);
    if let Some(next) = all.get(1) {
        let next = say!(
            "Next: {place}, {share} %.",
            "Berikutnya: {place}, {share} %.",
            place = place(next),
            share = share(next.share)
        );
        said = format!("{said} {}", next.say(voice));
    }
    said
}

/// The drawing, SVG: a bar for the whole time and a column for each day; the narrow place is marked.
pub fn picture(view: &View, days: Days, voice: Voice) -> String {
    let all = loads(view, days);
    let raw = |text: &'static words::Text| words::xml_text(text.raw(voice.language));
    let percent = |share: f64| format!("{} %", voice.number(share * 100.0, 0));
    let answer = answer(view, &all, voice);
    let bottom = TOP + ROW * all.len() as f64;
    let mut svg = open(
        DAYS.0 + DAYS.1 + 20.0,
        bottom + 34.0,
        text!(
            "Which place is the narrow one?",
            "Tempat mana yang paling sempit?"
        )
        .raw(voice.language),
        &answer,
    );
    let column = DAYS.1 / f64::from((days.last.days - days.first.days + 1).max(1));
    let at = |day: Date| DAYS.0 + column * f64::from(day.days - days.first.days);
    let _ = writeln!(
        svg,
        "<text x=\"{:.0}\" y=\"{y:.0}\" font-size=\"13\" font-weight=\"700\" fill=\"{INK}\">{}</text>",
        BARS.0,
        raw(text!("all of these days", "seluruh hari ini")),
        y = TOP - 28.0
    );
    let mut free = f64::MIN;
    for day in (days.first.days..=days.last.days).map(|days| Date { days }) {
        let monday = day.weekday() == Weekday::Monday;
        if (monday || column >= 84.0 || day == days.first) && at(day) >= free {
            free = at(day) + 78.0;
            let _ = writeln!(
                svg,
                "<text x=\"{:.1}\" y=\"{:.0}\" font-size=\"13\" font-weight=\"700\" fill=\"{INK}\">{}</text>",
                at(day),
                TOP - 28.0,
                words::xml_text(&day_name(day, voice))
            );
        }
        if monday {
            let _ = writeln!(
                svg,
                "<path d=\"M{:.1} {:.0}V{bottom:.0}\" stroke=\"{HAIR}\" stroke-width=\"0.8\"/>",
                at(day),
                TOP - 22.0
            );
        }
    }
    for share in [0.0, 0.5, 1.0] {
        let x = BARS.0 + BARS.1 * share;
        let _ = writeln!(
            svg,
            "<path d=\"M{x:.1} {:.0}V{bottom:.0}\" stroke=\"{HAIR}\" stroke-width=\"0.8\"/>\
             <text x=\"{x:.1}\" y=\"{:.0}\" font-size=\"11\" text-anchor=\"middle\" fill=\"{INK2}\">{}</text>",
            TOP - 6.0,
            TOP - 10.0,
            percent(share)
        );
    }
    for (n, load) in all.iter().enumerate() {
        let narrow = n == 0;
        let y = TOP + ROW * n as f64;
        let colour = if narrow { MENGKUDU } else { NILA };
        let units = view.problem().capacity(load.resource);
        let name = if units > 1 {
            format!("{} × {units}", view.place(load.resource, voice))
        } else {
            view.place(load.resource, voice)
        };
        let _ = writeln!(
            svg,
            "<text x=\"16\" y=\"{t:.1}\" font-size=\"13\" font-weight=\"{}\" fill=\"{INK}\">{}</text>\
             <rect x=\"{:.0}\" y=\"{b:.1}\" width=\"{:.1}\" height=\"16\" fill=\"{colour}\"/>\
             <text x=\"{:.1}\" y=\"{t:.1}\" font-size=\"12\" fill=\"{INK}\">{}{}</text>",
            if narrow { 700 } else { 400 },
            words::xml_text(&name),
            BARS.0,
            BARS.1 * load.share.min(1.0),
            BARS.0 + BARS.1 * load.share.min(1.0) + 6.0,
            percent(load.share),
            if narrow {
                format!(" · {}", raw(text!("narrow", "sempit")))
            } else {
                String::new()
            },
            t = y + 17.0,
            b = y + 5.0
        );
        for (day, share) in &load.days {
            let high = (ROW - 8.0) * share.min(1.0);
            let _ = writeln!(
                svg,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{high:.1}\" fill=\"{colour}\">\
                 <title>{} · {}</title></rect>",
                at(*day) + 0.5,
                y + ROW - 4.0 - high,
                (column - 1.0).clamp(1.0, 46.0),
                words::xml_text(&day_name(*day, voice)),
                percent(*share)
            );
        }
        let _ = writeln!(
            svg,
            "<path d=\"M16 {y:.1}H{:.0}\" stroke=\"{}\" stroke-width=\"0.5\"/>",
            DAYS.0 + DAYS.1,
            EDGE,
            y = y + ROW - 3.5
        );
    }
    let _ = writeln!(
        svg,
        "<text x=\"16\" y=\"{:.0}\" font-size=\"12\" fill=\"{INK2}\">{}</text>\n</svg>",
        bottom + 20.0,
        raw(text!(
            "Busy: held inside the hours of the work that uses it. A column is a day, as high as that day's load.",
            "Terpakai: dipegang dalam jam kerja yang memakainya. Satu kolom satu hari, setinggi beban hari itu."
        ))
    );
    svg
}
