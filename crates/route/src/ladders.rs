//! Depths that no measured ladder reaches: a dye's card is a curve through rungs, and beyond the last one it is a guess.

use crate::{DYES, Design, Means, Shape, Step, Zone};
use words::{Arg, Finding, Place, Weight, say};

/// Ladders end at round depths: a thousandth more is the same depth.
const SLACK: f64 = 1.001;

/// How deep each dye has come along a route so far, where it lies thickest.
pub(crate) struct Depths {
    /// In ground and motif: how many times its mean a dye lies where it lies thickest.
    thicker: [[f64; DYES]; 2],
    /// Deepest so far: g bound per kg of cloth.
    deepest: [f64; DYES],
    /// What each step put on, g/kg, where it lies thickest.
    by_step: Vec<[f64; DYES]>,
}

impl Default for Depths {
    fn default() -> Self {
        Self {
            thicker: [[1.0; DYES]; 2],
            deepest: [0.0; DYES],
            by_step: Vec::new(),
        }
    }
}

impl Depths {
    /// After a step: the means before and after it.
    pub fn step(&mut self, step: &Step, before: &Means, after: &Means) {
        let mut put = [0.0_f64; DYES];
        if before.motif.share != after.motif.share {
            // The zones are cut anew: both take part of both.
            self.thicker = [std::array::from_fn(|dye| self.over_all(before, dye)); 2];
        }
        let zones = before.zones().into_iter().zip(after.zones());
        for (thicker, (was, is)) in self.thicker.iter_mut().zip(zones) {
            for dye in 0..DYES {
                let (was, now) = (held(was, dye), held(is, dye));
                if now > was && naming(step, dye).is_some() {
                    let came = (now - was) * step.operation.gathers();
                    thicker[dye] = (thicker[dye] * was + came) / now;
                    put[dye] = put[dye].max(came);
                }
                if is.share > 0.0 {
                    self.deepest[dye] = self.deepest[dye].max(thicker[dye] * is.fast[dye]);
                }
            }
        }
        self.by_step.push(put);
    }

    /// How many times its mean over the bolt a dye lies where it lies thickest, zones taken together.
    fn over_all(&self, means: &Means, dye: usize) -> f64 {
        let zones = || self.thicker.iter().zip(means.zones());
        let all: f64 = zones().map(|(_, zone)| zone.share * held(zone, dye)).sum();
        let thick: f64 = zones()
            .map(|(t, zone)| t[dye] * zone.share * held(zone, dye))
            .sum();
        if all > 0.0 { thick / all } else { 1.0 }
    }

    /// A doubt for every dye that comes deeper than its ladder, at the step that brings most of it.
    pub fn findings(&self, design: &Design) -> Vec<Finding> {
        let deep = design.dyes.iter().enumerate().filter_map(|(dye, card)| {
            let ladder = card.ladder.as_ref()?;
            let reached = self.deepest.get(dye)?;
            if *reached <= ladder.deepest_bound() * SLACK {
                return None;
            }
            let most = (0..self.by_step.len())
                .max_by(|a, b| self.by_step[*a][dye].total_cmp(&self.by_step[*b][dye]))?;
            let step = design.steps.get(most)?;
            let percent = |bound: f64| Arg::Number(bound / (10.0 * ladder.fixed_share), 1);
            Some(
                Finding::new(
                    "route-beyond-ladder",
                    Weight::Doubtful,
                    Place::Step {
                        id: step.id.clone(),
                        setting: naming(step, dye),
                    },
                    say!(
                        "{dye} comes to about {depth} % of the cloth's weight where it lies thickest on this route, deeper than its ladder: that colour is extrapolated",
                        "{dye} mencapai sekitar {depth} % berat kain di bagian paling tebal pada alur ini, lebih tua dari tangga warnanya: warna itu hanya perkiraan",
                        dye = Arg::Name(card.name.clone()),
                        depth = percent(*reached)
                    ),
                )
                .allow(say!(
                    "its ladder ends at {deepest} %",
                    "tangga warnanya berakhir di {deepest} %",
                    deepest = percent(ladder.deepest_bound())
                ))
                .remedy(say!(
                    "dye one deeper rung, read it and fit the card again, or put less on here",
                    "celup satu anak tangga lebih tua, baca dan buat ulang kartunya, atau pakai lebih sedikit di sini"
                )),
            )
        });
        deep.collect()
    }
}

fn held(zone: &Zone, dye: usize) -> f64 {
    zone.loose[dye] + zone.spent[dye] + zone.fast[dye]
}

/// The setting of a step that names a dye.
fn naming(step: &Step, dye: usize) -> Option<&'static str> {
    let settings = step.operation.kind().settings.iter();
    let mut lists = settings.filter(|s| matches!(s.shape, Shape::Dyes { .. }));
    lists
        .find(|s| {
            step.operation
                .values()
                .dyes(s.key)
                .iter()
                .any(|dose| dose.dye == dye)
        })
        .map(|s| s.key)
}
