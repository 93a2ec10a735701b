//! What each lot waits for: the waits of its bolt that is done last.

use crate::facts::views::View;
use crate::studio::say::{span, t};
use plan::{Minute, Problem, ResourceId, Schedule, Wait, late};
use std::collections::BTreeMap;
use words::{Voice, say, text};

/// Waits of one lot, the longest first: what for (`None`: its hours), minutes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Waits(Vec<(Option<ResourceId>, Minute)>);

/// Waits shown.
const MOST: usize = 2;

/// For every lot. A lot on time waits as well: it is asked why it is later than the minute before it is done.
pub fn waits(problem: &Problem, schedule: &Schedule) -> Vec<Waits> {
    let of = |lot: usize| {
        let done = schedule.completion(problem, lot)?;
        let mut strict = problem.clone();
        strict.lots.get_mut(lot)?.due = done - 1;
        let why = late(&strict, schedule, lot)?;
        let mut sums: BTreeMap<Option<ResourceId>, Minute> = BTreeMap::new();
        for link in &why.chain {
            let waited = link.placed.start - link.ready;
            match &link.wait {
                Wait::None => {}
                Wait::Hours => *sums.entry(None).or_default() += waited,
                Wait::Resource(resource, _) => {
                    *sums.entry(Some(*resource)).or_default() += waited;
                }
            }
        }
        let mut all: Vec<_> = sums.into_iter().filter(|(_, minutes)| *minutes > 0).collect();
        all.sort_by_key(|(_, minutes)| -minutes);
        Some(Waits(all))
    };
    (0..problem.lots.len())
        .map(|lot| of(lot).unwrap_or_default())
        .collect()
}

impl Waits {
    /// In words.
    pub fn say(&self, view: &View, voice: Voice) -> String {
        if self.0.is_empty() {
            return say!("nothing", "tidak ada").say(voice);
        }
        let one = |(what, minutes): &(Option<ResourceId>, Minute)| {
            let what = what.map_or_else(
                || t(text!("working hours", "jam kerja"), voice).to_string(),
                |resource| view.place(resource, voice),
            );
            format!("{what} {}", span(*minutes as f64 * 60.0, voice))
        };
        self.0.iter().take(MOST).map(one).collect::<Vec<_>>().join("; ")
    }
}
