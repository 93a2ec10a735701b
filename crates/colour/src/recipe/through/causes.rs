//! Why a target is out of reach: each thing that could give way is let go, and the rest solved again from where it
//! was.

use super::model::colours;
use super::search::{MAKES, again, search};
use super::{Settings, Works};
use crate::difference::de2000;
use crate::recipe::optics::Light;
use crate::spaces::Lab;
use words::{Arg, Finding, Line, Place, Weight, say};

/// Something that keeps a region from its target. Dyeings, bleaches and regions by their places in [`Works`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// The targets of the other regions: alone it would be reached, or nearer.
    Others,
    /// A dyeing may not go deeper.
    Depth(usize),
    /// A dyeing may not use other dyes of the store, or more of them.
    Choice(usize),
    /// A bleach may not take longer (or be stronger).
    BleachMost(usize),
    /// A bleach may not be shorter (or weaker).
    BleachLeast(usize),
    /// What the route leaves of a dyeing in this region.
    Left(usize),
    /// What the route takes of a dyeing in this region.
    Taken(usize),
    /// No step: no mixture of the dyes in the store has this colour.
    Dyes,
}

/// A cause, and what its removal would bring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// What could give way.
    pub cause: Cause,
    /// Colour of the region then. The other regions keep their targets (but for [`Cause::Others`]).
    pub lab: Lab,
    /// CIEDE2000 from the target then.
    pub difference: f64,
}

/// A removal must bring this much to be called a cause, CIEDE2000, and this share of the distance.
const WORTH: f64 = 0.3;
const WORTH_SHARE: f64 = 0.1;
/// Limits are let go by this factor.
const LOOSE: f64 = 5.0;
/// A step is named before the other regions if it brings this share of what their absence would: a step can be
/// changed.
const STEP_FIRST: f64 = 0.5;

/// The nearest this region comes alone, how far that is, and its causes, most helpful first, when all regions
/// count and `settings` are the best.
pub(super) fn limits(
    works: &Works,
    region: usize,
    settings: &Settings,
    lights: &[Light; 3],
) -> (Lab, f64, Vec<Limit>) {
    let here = reached(works, region, settings, lights);
    let mut only = vec![0.0; works.regions.len()];
    only[region] = 1.0;
    let alone = reached(works, region, &search(works, &only, lights), lights);
    let nearest = if alone.1 < here.1 { alone } else { here };
    let others = Limit {
        cause: Cause::Others,
        lab: nearest.0,
        difference: nearest.1,
    };
    let steps = candidates(works, region).into_iter().map(|cause| {
        let freed = without(works, region, cause);
        let moved = again(&freed, settings, &concerned(works, region, cause), lights);
        let (lab, difference) = reached(&freed, region, &moved, lights);
        Limit {
            cause,
            lab,
            difference,
        }
    });
    let worth = |l: &Limit| l.difference < here.1 - WORTH.max(WORTH_SHARE * here.1);
    let mut limits: Vec<Limit> = steps.chain([others]).filter(worth).collect();
    let help = |l: &Limit| {
        let share = if l.cause == Cause::Others { STEP_FIRST } else { 1.0 };
        (here.1 - l.difference) * share
    };
    limits.sort_by(|a, b| help(b).total_cmp(&help(a)));
    if limits.is_empty() {
        // Within the tolerance alone, the others are to blame however little they bring.
        let cause = if nearest.1 <= works.regions[region].tolerance {
            Cause::Others
        } else {
            Cause::Dyes
        };
        limits.push(Limit { cause, ..others });
    }
    (nearest.0, nearest.1, limits)
}

/// The region's colour and distance under these settings.
fn reached(works: &Works, region: usize, settings: &Settings, lights: &[Light; 3]) -> (Lab, f64) {
    let lab = colours(works, settings, &lights[0])[region];
    let difference = works.regions[region]
        .target
        .map_or(f64::INFINITY, |t| de2000(t, lab));
    (lab, difference)
}

/// Everything that has a part in this region.
fn candidates(works: &Works, region: usize) -> Vec<Cause> {
    let carries = || works.regions[region].parts.iter().flat_map(|p| &p.carries);
    let mut causes = Vec::new();
    for (at, dyeing) in works.dyeings.iter().enumerate() {
        if !carries().any(|c| c.dyeing == at) {
            continue;
        }
        causes.push(Cause::Left(at));
        if dyeing.fixed.is_empty() {
            causes.push(Cause::Depth(at));
        }
        if dyeing.fixed.is_empty() && (dyeing.choice.len() < works.cards.len() || dyeing.dyes < 3) {
            causes.push(Cause::Choice(at));
        }
        let whole = |c: &super::Carry| c.access.iter().all(|a| *a == 0.0) && c.keep.iter().all(|k| *k == 1.0);
        if carries().any(|c| c.dyeing == at && !whole(c)) {
            causes.push(Cause::Taken(at));
        }
    }
    for at in 0..works.bleaches.len() {
        if carries().any(|c| c.access[at] > 0.0) {
            causes.push(Cause::BleachMost(at));
            if works.bleaches[at].least > 0.0 {
                causes.push(Cause::BleachLeast(at));
            }
        }
    }
    causes
}

/// The dyeings whose dyes may change when this gives way: the one that is named, and the last that makes the region.
fn concerned(works: &Works, region: usize, cause: Cause) -> Vec<usize> {
    let carries = works.regions[region].parts.iter().flat_map(|p| &p.carries);
    let last = carries
        .filter(|c| c.keep.iter().any(|k| *k > MAKES))
        .map(|c| c.dyeing)
        .max();
    let named = match cause {
        Cause::Depth(at) | Cause::Choice(at) | Cause::Left(at) | Cause::Taken(at) => Some(at),
        Cause::BleachMost(_) | Cause::BleachLeast(_) | Cause::Others | Cause::Dyes => None,
    };
    let mut dyeings: Vec<usize> = named.into_iter().chain(last).collect();
    dyeings.dedup();
    dyeings
}

/// The same route with one thing out of the way.
fn without<'a>(works: &Works<'a>, region: usize, cause: Cause) -> Works<'a> {
    let mut freed = works.clone();
    match cause {
        Cause::Depth(at) => freed.dyeings[at].most *= LOOSE,
        Cause::Choice(at) => {
            freed.dyeings[at].choice = (0..works.cards.len()).collect();
            freed.dyeings[at].dyes = 3;
        }
        Cause::BleachMost(at) => freed.bleaches[at].most *= LOOSE,
        Cause::BleachLeast(at) => freed.bleaches[at].least = 0.0,
        Cause::Left(at) | Cause::Taken(at) => {
            let parts = &mut freed.regions[region].parts;
            for carry in parts.iter_mut().flat_map(|p| &mut p.carries) {
                if carry.dyeing != at {
                    continue;
                }
                if cause == Cause::Left(at) {
                    carry.keep.fill(0.0);
                } else {
                    carry.keep.fill(1.0);
                    carry.access.fill(0.0);
                }
            }
        }
        Cause::Others | Cause::Dyes => {}
    }
    freed
}

impl Works<'_> {
    /// What to tell about regions that miss their targets: `target-out-of-reach` if a region misses even by itself,
    /// `targets-apart` if it is only the others' targets that it misses with.
    pub fn findings(&self, answer: &super::Answer) -> Vec<Finding> {
        self.regions
            .iter()
            .zip(&answer.regions)
            .filter_map(|(region, reached)| {
                let (_, nearest) = reached.nearest?;
                let limit = reached.limits.first()?;
                let off = Arg::Number(reached.difference?, 1);
                let name = Arg::Name(region.name.clone());
                let near = Arg::Number(nearest, 1);
                let finding = if nearest > region.tolerance {
                    Finding::new(
                        "target-out-of-reach",
                        Weight::Doubtful,
                        Place::Request,
                        say!(
                            "{region} misses its colour by {off} (CIEDE2000), and by {nearest} even if nothing else were asked for.",
                            "{region} meleset {off} dari warnanya (CIEDE2000), dan {nearest} bahkan jika tidak ada permintaan lain.",
                            region = name,
                            off = off,
                            nearest = near
                        ),
                    )
                } else {
                    Finding::new(
                        "targets-apart",
                        Weight::Doubtful,
                        Place::Request,
                        say!(
                            "{region} misses its colour by {off} (CIEDE2000) together with the others; by itself it comes to {nearest}.",
                            "{region} meleset {off} dari warnanya (CIEDE2000) bersama bagian lain; sendirian selisihnya {nearest}.",
                            region = name,
                            off = off,
                            nearest = near
                        ),
                    )
                };
                let step = reached.limits.iter().find(|l| self.step(l.cause).is_some());
                Some(finding.remedy(self.remedy(limit, step)))
            })
            .collect()
    }

    /// The step of a cause.
    fn step(&self, cause: Cause) -> Option<&str> {
        match cause {
            Cause::Depth(at) | Cause::Choice(at) | Cause::Left(at) | Cause::Taken(at) => {
                self.dyeings.get(at).map(|d| d.name.as_str())
            }
            Cause::BleachMost(at) | Cause::BleachLeast(at) => self.bleaches.get(at).map(|b| b.name.as_str()),
            Cause::Others | Cause::Dyes => None,
        }
    }

    /// `step` is the step that would help most, also where the other regions are the first cause.
    fn remedy(&self, limit: &Limit, step: Option<&Limit>) -> Line {
        let then = || Arg::Number(limit.difference, 1);
        let named = || Arg::Name(self.step(limit.cause).unwrap_or_default().to_string());
        match limit.cause {
            Cause::Others => match step.and_then(|s| Some((self.step(s.cause)?, s.difference))) {
                Some((step, then)) => say!(
                    "The other regions share its steps, {step} above all: let go there it would come to {then}. Give it more weight, or move a colour.",
                    "Bagian lain berbagi langkah dengannya, terutama {step}: bila dibebaskan selisihnya {then}. Beri bobot lebih, atau geser satu warna.",
                    step = Arg::Name(step.to_string()),
                    then = Arg::Number(then, 1)
                ),
                None => say!(
                    "The other regions share all its steps, and none alone is to blame: give it more weight, or move a colour.",
                    "Bagian lain berbagi semua langkah dengannya, tidak ada satu langkah pun yang salah sendiri: beri bobot lebih, atau geser satu warna."
                ),
            },
            Cause::Depth(_) => say!(
                "{step} may not go deeper: with more dye it would come to {then}.",
                "{step} tidak boleh lebih tua: dengan lebih banyak pewarna selisihnya {then}.",
                step = named(),
                then = then()
            ),
            Cause::Choice(_) => say!(
                "Let {step} use other dyes of the store: it would come to {then}.",
                "Izinkan {step} memakai pewarna lain dari persediaan: selisihnya {then}.",
                step = named(),
                then = then()
            ),
            Cause::BleachMost(_) => say!(
                "{step} may not take longer: with a larger dose it would come to {then}; mind the strength of the cloth.",
                "{step} tidak boleh lebih lama: dengan dosis lebih besar selisihnya {then}; jaga kekuatan kain.",
                step = named(),
                then = then()
            ),
            Cause::BleachLeast(_) => say!(
                "{step} may not be shorter: with a smaller dose it would come to {then}.",
                "{step} tidak boleh lebih singkat: dengan dosis lebih kecil selisihnya {then}.",
                step = named(),
                then = then()
            ),
            Cause::Left(_) => say!(
                "What is left of {step} lies in its way: if nothing were left there it would come to {then}. Choose dyes that clear better.",
                "Sisa {step} menghalanginya: tanpa sisa di sana selisihnya {then}. Pilih pewarna yang lebih mudah dicabut.",
                step = named(),
                then = then()
            ),
            Cause::Taken(_) => say!(
                "The later steps take too much of {step}: if all of it stayed it would come to {then}. Choose dyes that resist better, or wax more tightly.",
                "Langkah berikutnya mengambil terlalu banyak dari {step}: jika semua tinggal selisihnya {then}. Pilih pewarna yang lebih tahan, atau malam yang lebih rapat.",
                step = named(),
                then = then()
            ),
            Cause::Dyes => say!(
                "No step stands in its way: no mixture of the dyes at hand comes nearer than {then}.",
                "Tidak ada langkah yang menghalangi: tidak ada campuran pewarna yang tersedia lebih dekat dari {then}.",
                then = then()
            ),
        }
    }
}
