//! The bleach at the tank: from a titration to a time for this batch and for those that follow.

use colour::dye::arrhenius;
use route::operations::bleach::CHLORINE;
use units::{Celsius, Span};

/// Available chlorine, mg, that 1 mL of 0.1 N thiosulfate stands for: half of 70.906 g per equivalent. Iodometry: the
/// chlorine frees iodine from iodide in acid, thiosulfate takes it up (standard textbook titration).
pub const THIOSULFATE_MG: f64 = 0.1 * CHLORINE / 2.0;

/// Available chlorine of a bath, g/L, from a titration: mL of thiosulfate of this normality for so many mL of bath.
/// `None` if a volume or the normality makes no sense.
pub fn chlorine_titrated(thiosulfate_ml: f64, normality: f64, bath_ml: f64) -> Option<f64> {
    let sound = thiosulfate_ml >= 0.0 && normality > 0.0 && bath_ml > 0.0;
    (sound && thiosulfate_ml.is_finite()).then(|| thiosulfate_ml * THIOSULFATE_MG * normality / 0.1 / bath_ml)
}

/// A tank of bleach as it is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bath {
    /// Available chlorine, g/L.
    pub chlorine: f64,
    /// Temperature.
    pub temperature: Celsius,
    /// Share of its chlorine that the cloth of one load uses up, 0..1.
    pub used: f64,
    /// Chlorine that the dye of one load takes, g/L: as much from a weak bath as from a strong one.
    pub dye: f64,
    /// From lifting to antichlor.
    pub lag: Span,
}

impl Bath {
    /// Dose on bare cloth, M s: the bath while it weakens evenly by the share a load uses, then the lag at the strength
    /// that is left. It is `C (a t + b lag)` with a = u / -ln(1 - u) and b = 1 - u. The operation itself lets dye take
    /// its chlorine as it clears, earlier than evenly; the doses differ by less than 2 %.
    pub fn dose(&self, time: Span) -> f64 {
        let (a, b) = self.parts();
        self.chlorine / CHLORINE * (a * time.0 + b * self.lag.0)
    }

    /// Time in the bath for a dose; `None` if there is no chlorine. Not below 0: then the lag alone is too much.
    pub fn time_for(&self, dose: f64) -> Option<Span> {
        let (a, b) = self.parts();
        let exposure = dose * CHLORINE / self.chlorine;
        exposure
            .is_finite()
            .then(|| Span(((exposure - b * self.lag.0) / a).max(0.0)))
    }

    /// The same after one load.
    #[must_use]
    pub fn after_load(&self) -> Self {
        Self {
            chlorine: self.chlorine * (1.0 - self.weakens()),
            ..*self
        }
    }

    /// Share of its chlorine that one load uses up, cloth and dye, 0..1.
    pub fn weakens(&self) -> f64 {
        (self.used + self.dye / self.chlorine.max(1e-9)).clamp(0.0, 0.99)
    }

    fn parts(&self) -> (f64, f64) {
        let used = self.weakens();
        let a = if used < 1e-9 {
            1.0
        } else {
            used / -(1.0 - used).ln()
        };
        (a, 1.0 - used)
    }
}

/// How a bath is led from one batch to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// The bath for which a good time is known.
    pub known: Bath,
    /// That time: from a window, or from a strip.
    pub time: Span,
    /// Longest time that the wax stands, whatever the strength.
    pub longest: Span,
    /// Activation energy of the dye that clears slowest, J/mol.
    pub energy: f64,
    /// Volume of the tank, L.
    pub volume: f64,
    /// Available chlorine of the stock, g/L, as titrated.
    pub stock: f64,
    /// Loads after which the tank is dumped whatever its strength: what dissolves from cloth gathers in it.
    pub loads: u32,
}

/// One batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Batch {
    /// Number, from the one that goes in now.
    pub number: u32,
    /// Available chlorine as it is, g/L.
    pub chlorine: f64,
    /// Time as it is; `None` if the wax would not stand it: strengthen first.
    pub time: Option<Span>,
    /// Stock to add first, L; 0 if the bath is strong enough.
    pub add: f64,
    /// Available chlorine with it, g/L.
    pub strengthened: f64,
    /// Time with it.
    pub strengthened_time: Span,
    /// Dump after this batch.
    pub dump: bool,
}

impl Plan {
    /// Time for a bath as it was measured. `None` if it has no chlorine.
    ///
    /// The dose is that of the known time, divided by how much faster the slowest dye clears at this temperature.
    pub fn time(&self, bath: &Bath) -> Option<Span> {
        let faster = arrhenius(1.0, self.known.temperature, self.energy, bath.temperature);
        bath.time_for(self.known.dose(self.time) / faster)
    }

    /// Stock to add to bring a bath to the strength of the known one, L: `V (C' - C) / (S - C')`. `None` if the stock is
    /// no stronger than what is wanted.
    pub fn strengthening(&self, chlorine: f64) -> Option<f64> {
        let wanted = self.known.chlorine;
        if chlorine >= wanted {
            return Some(0.0);
        }
        (self.stock > wanted).then(|| self.volume * (wanted - chlorine) / (self.stock - wanted))
    }

    /// This batch and the next, until the tank is dumped: after its loads, or when the stock cannot strengthen it.
    /// A bath is strengthened when it would take longer than the wax stands.
    pub fn batches(&self, now: &Bath, done: u32) -> Vec<Batch> {
        let mut list = Vec::new();
        let mut bath = *now;
        for number in 1..=self.loads.saturating_sub(done) {
            let as_it_is = self.time(&bath).filter(|t| t.0 <= self.longest.0);
            let add = match (as_it_is, self.strengthening(bath.chlorine)) {
                (Some(_), _) => 0.0,
                (None, Some(add)) if add > 0.0 => add,
                _ => break,
            };
            let chlorine = bath.chlorine;
            if add > 0.0 {
                bath.chlorine = self.known.chlorine;
            }
            let Some(time) = self.time(&bath) else { break };
            if time.0 > self.longest.0 {
                break;
            }
            list.push(Batch {
                number,
                chlorine,
                time: as_it_is,
                add,
                strengthened: bath.chlorine,
                strengthened_time: time,
                dump: false,
            });
            bath = bath.after_load();
        }
        if let Some(last) = list.last_mut() {
            last.dump = true;
        }
        list
    }
}
