//! Where work goes in the hours of a replay.

use super::net::Node;
use crate::{Minute, Problem, Window};
use std::borrow::Cow;

/// The hours of a replay.
pub(crate) struct Weather<'p> {
    /// Of each calendar the windows that are left.
    pub windows: Vec<Cow<'p, [Window]>>,
    /// Of each calendar with cloth that goes on under a roof: the dry windows, and how many times slower it is there.
    pub roof: Vec<Option<(Vec<Window>, f64)>>,
    /// Calendars in which nothing is begun that could not be ended before it rains.
    pub foreseen: Vec<bool>,
}

impl<'p> Weather<'p> {
    /// As the calendars say, always dry.
    pub(crate) fn fair(problem: &'p Problem) -> Self {
        let calendars = &problem.calendars;
        Self {
            windows: calendars.iter().map(|c| Cow::Borrowed(&c.windows[..])).collect(),
            roof: vec![None; calendars.len()],
            foreseen: vec![false; calendars.len()],
        }
    }

    /// Where a node goes from a minute on, if it takes so long.
    pub(super) fn place(&self, node: &Node, duration: Minute, from: Minute) -> Option<Window> {
        if let Some(Some((dry, slower))) = self.roof.get(node.calendar) {
            // What it takes to be carried out; how it goes on there is another matter.
            let carried = node.attend.map_or(1, |attend| attend.to.max(1)).min(duration);
            let start = stretch(node, carried, &self.windows, from)?.start;
            return Some(Window::new(start, dried(dry, *slower, start, duration)));
        }
        stretch(node, duration.min(node.most), &self.windows, from)
    }

    /// When a node is done that began then and takes so long; what must run through does, whatever its hours.
    pub(super) fn done(&self, node: &Node, start: Minute, duration: Minute) -> Option<Minute> {
        if let Some(Some((dry, slower))) = self.roof.get(node.calendar) {
            return Some(dried(dry, *slower, start, duration));
        }
        if node.pausable {
            return Some(stretch(node, duration, &self.windows, start)?.end);
        }
        Some(start + duration)
    }
}

/// When `minutes` of drying are done that begin at `start`: at full speed in dry windows, so many times slower else.
fn dried(dry: &[Window], slower: f64, start: Minute, minutes: Minute) -> Minute {
    let mut at = start;
    let mut left = minutes as f64;
    for w in &dry[dry.partition_point(|w| w.end <= start)..] {
        let roofed = (w.start - at).max(0);
        if left * slower <= roofed as f64 {
            break;
        }
        left -= roofed as f64 / slower;
        at = at.max(w.start);
        let out = (w.end - at) as f64;
        if left <= out {
            return at + whole(left);
        }
        left -= out;
        at = w.end;
    }
    at + whole(left * slower)
}

/// Whole minutes, begun ones counted; a millionth is rounding.
fn whole(minutes: f64) -> Minute {
    (minutes - 1e-6).ceil() as Minute
}

/// Where a node of this duration goes from a minute on, inside its windows.
fn stretch(node: &Node, duration: Minute, windows: &[Cow<[Window]>], from: Minute) -> Option<Window> {
    let own = windows.get(node.calendar)?;
    let first = own.partition_point(|w| w.end <= from);
    if node.pausable {
        let start = from.max(own.get(first)?.start);
        let mut left = duration;
        for w in &own[first..] {
            let begin = start.max(w.start);
            if left <= w.end - begin {
                return Some(Window::new(start, begin + left));
            }
            left -= w.end - begin;
        }
        return None;
    }
    own[first..].iter().find_map(|w| {
        let latest = w.end - duration;
        let mut start = from.max(w.start);
        if let Some(attend) = node.attend {
            let to = attend.to.min(duration);
            let there = windows.get(attend.calendar.0)?;
            let next = there.partition_point(|w| w.end < start + to);
            let fit = there[next..]
                .iter()
                .map(|w| start.max(w.start - attend.from))
                .zip(&there[next..]);
            start = fit
                .filter(|(start, w)| start + to <= w.end)
                .map(|(start, _)| start)
                .next()?;
        }
        (start <= latest).then(|| Window::new(start, start + duration))
    })
}
