//! How full each station is, and which is the narrow place.

use crate::studio::say::span;
use maud::{Markup, html};
use plan::{Gantt, Minute, Problem, Window};
use words::{Arg, Voice, say};

/// A station's part in the plan.
pub struct Load {
    /// Its name.
    pub name: String,
    /// Minutes in which something is at work there, counted once for each place.
    pub busy: Minute,
    /// Minutes in which it could be: open hours times places.
    pub open: Minute,
}

impl Load {
    /// Busy over open, 0..1.
    pub fn share(&self) -> f64 {
        self.busy as f64 / self.open.max(1) as f64
    }
}

/// Minutes of a stretch inside windows.
fn inside(windows: &[Window], from: Minute, to: Minute) -> Minute {
    let common = |w: &Window| (w.end.min(to) - w.start.max(from)).max(0);
    windows.iter().map(common).sum()
}

/// Every station of the plan, the fullest first.
pub fn loads(problem: &Problem, gantt: &Gantt) -> Vec<Load> {
    let (from, to) = gantt.span;
    let of_row = |row: &plan::Row| {
        let bars = || row.lanes.iter().flatten();
        let windows = |bar: &plan::Bar| {
            let key = bar.operation.as_ref()?;
            let route = &problem.lots.get(bar.lot)?.route;
            let operation = route.iter().find(|operation| operation.key == *key)?;
            Some(problem.windows(operation.calendar))
        };
        let busy = bars()
            .filter_map(|bar| Some(inside(windows(bar)?, bar.start, bar.end)))
            .sum();
        // A station is open when any work of its is: sun drying has other hours than the table beside it.
        let open = bars()
            .filter_map(|bar| Some(inside(windows(bar)?, from, to)))
            .max()
            .unwrap_or(0);
        let places = problem
            .resources
            .iter()
            .find(|r| r.name == row.label)
            .map_or(1, |r| r.capacity);
        Load {
            name: row.label.clone(),
            busy,
            open: open * Minute::from(places),
        }
    };
    let mut all: Vec<Load> = gantt
        .by_station
        .iter()
        .map(of_row)
        .filter(|load| load.open > 0)
        .collect();
    all.sort_by(|a, b| b.share().total_cmp(&a.share()));
    all
}

/// Which is the narrow place.
pub fn answer(loads: &[Load], voice: Voice) -> String {
    let Some(first) = loads.first() else {
        return say!("Nothing is planned.", "Belum ada yang direncanakan.").say(voice);
    };
    say!(
        "{station}: in use {share} % of its open hours. Names on the cloth are lots.",
        "{station}: terpakai {share} % dari jam bukanya. Nama di kain adalah partai.",
        station = Arg::Name(first.name.clone()),
        share = Arg::Number(100.0 * first.share(), 0)
    )
    .say(voice)
}

/// What the fullest could still take.
pub fn hours(loads: &[Load], voice: Voice) -> String {
    let Some(first) = loads.first() else {
        return String::new();
    };
    say!(
        "{station} could take {left} more before the plan would have to grow.",
        "{station} masih dapat menerima {left} sebelum rencana harus bertambah.",
        station = Arg::Name(first.name.clone()),
        left = Arg::Name(span((first.open - first.busy).max(0) as f64 * 60.0, voice))
    )
    .say(voice)
}

/// A line for each station; only the narrow place's is whole.
pub fn bars(loads: &[Load], voice: Voice) -> Markup {
    html! {
        ul.loads {
            @for (at, load) in loads.iter().enumerate() {
                li {
                    span.station { (load.name) }
                    svg.bar viewBox="0 0 1000 14" preserveAspectRatio="none" aria-hidden="true" {
                        rect.thread y="5" width="1000" height="4" {}
                        @if at == 0 { rect.narrow-place width=(width(load)) height="14" {} }
                        @else { rect.yarn y="3" width=(width(load)) height="8" {} }
                    }
                    b { (voice.number(100.0 * load.share(), 0)) " %" }
                    span.small { (say!("{busy} of {open}", "{busy} dari {open}", busy = Arg::Name(span(load.busy as f64 * 60.0, voice)), open = Arg::Name(span(load.open as f64 * 60.0, voice))).say(voice)) }
                }
            }
        }
    }
}

fn width(load: &Load) -> String {
    format!("{:.0}", 1000.0 * load.share().min(1.0))
}

#[cfg(test)]
mod tests {
    use super::{Window, inside};

    /// By hand: 8 to 12 and 13 to 17; work from 11 to 14 is two hours inside.
    #[test]
    fn only_open_minutes_count() {
        let hour = |from: i64, to: i64| Window {
            start: from * 60,
            end: to * 60,
        };
        let day = [hour(8, 12), hour(13, 17)];
        assert_eq!(inside(&day, 11 * 60, 14 * 60), 120);
        assert_eq!(inside(&day, 0, 24 * 60), 480);
        assert_eq!(inside(&day, 12 * 60, 13 * 60), 0);
    }
}
