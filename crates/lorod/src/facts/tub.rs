//! Antichlor for the cloth of one load of bleach: by the strength of the bath that it went into.
//!
//! It never stands on one sheet with what strengthens the bath, nor with the dose for a tank that is emptied.

use super::tank::{Seen, Tank};
use cloth::window::{Batch, Bath};
use route::operations::neutralise::{KIND, antichlor_for_cloth, antichlor_for_cloth_origin};
use route::{Caution, Workshop};
use units::{Mass, Measure, Quantity};
use words::{Arg, Line, Origin, say};

/// Antichlor for the cloth of one load, in its own dilute tub.
#[derive(Clone, Debug, PartialEq)]
pub struct Tub {
    /// Available chlorine of the bath that the load goes into, g/L.
    pub strength: f64,
    /// Who says so.
    pub by: Strength,
    /// For a full load.
    pub load: Mass,
    /// For a bolt.
    pub bolt: Mass,
    /// For a bolt and each g/L: whatever else is titrated.
    pub bolt_per_strength: Mass,
    /// What the dose may claim.
    pub origin: Origin,
    /// What can hurt at the tub.
    pub cautions: &'static [Caution],
}

/// Who says how strong a bath is when a load goes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strength {
    /// Titration.
    Titrated,
    /// It is strengthened for this load first.
    Strengthened,
    /// The design; nobody has measured.
    Designed,
}

impl Strength {
    /// As files spell it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Titrated => "titrated",
            Self::Strengthened => "strengthened",
            Self::Designed => "designed",
        }
    }
}

impl Tub {
    /// For this load's cloth: by the strength that it goes into, nothing taken off for what it uses up.
    pub fn of(tank: &Tank, now: &Bath, seen: &Seen, first: Option<&Batch>, shop: &Workshop) -> Self {
        let (strength, by) = match (first.filter(|batch| batch.add > 0.0), seen.chlorine) {
            (Some(batch), _) => (batch.strengthened, Strength::Strengthened),
            (None, Some(titrated)) => (titrated, Strength::Titrated),
            (None, None) => (now.chlorine, Strength::Designed),
        };
        let bolt = tank.cloth * (1.0 / f64::from(tank.bolts));
        Self {
            strength,
            by,
            load: antichlor_for_cloth(tank.cloth, strength, shop),
            bolt: antichlor_for_cloth(bolt, strength, shop),
            bolt_per_strength: antichlor_for_cloth(bolt, 1.0, shop),
            origin: antichlor_for_cloth_origin(shop),
            cautions: KIND.cautions,
        }
    }

    /// For a full load, as a scale weighs it: whole grams, never less.
    pub fn weighed(&self) -> Mass {
        Mass((self.load.0 * 1000.0 - 1e-9).ceil() / 1000.0)
    }

    /// What to dissolve, for how much cloth, out of how strong a bath; and what if the bath was stronger after all.
    pub fn lines(&self, tank: &Tank) -> [Line; 2] {
        let dose = Arg::Quantity(Quantity::new(self.weighed().0, Measure::Mass));
        let bolts = Arg::Number(f64::from(tank.bolts), 0);
        let strength = |g_per_l: f64| Arg::Quantity(Quantity::new(g_per_l, Measure::PerVolume));
        let now = strength((self.strength * 100.0).round() / 100.0);
        let first = match self.by {
            Strength::Titrated => say!(
                "{dose} of metabisulfite in its own dilute tub for the {bolts} bolts of this load, out of a bath titrated at {strength}.",
                "{dose} metabisulfit di bak penetral tersendiri untuk {bolts} gulung muatan ini, dari bak dengan hasil titrasi {strength}.",
                dose = dose,
                bolts = bolts,
                strength = now
            ),
            Strength::Strengthened => say!(
                "{dose} of metabisulfite in its own dilute tub for the {bolts} bolts of this load, out of a bath strengthened to {strength}.",
                "{dose} metabisulfit di bak penetral tersendiri untuk {bolts} gulung muatan ini, dari bak yang dikuatkan menjadi {strength}.",
                dose = dose,
                bolts = bolts,
                strength = now
            ),
            Strength::Designed => say!(
                "Not titrated: {dose} of metabisulfite in its own dilute tub for the {bolts} bolts of this load holds only if the bath is at the design's {strength}.",
                "Belum dititrasi: {dose} metabisulfit di bak penetral tersendiri untuk {bolts} gulung muatan ini hanya berlaku bila bak sekuat angka desain {strength}.",
                dose = dose,
                bolts = bolts,
                strength = now
            ),
        };
        let rule = say!(
            "At another strength, {dose} a bolt for each {unit} titrated before the load. Drained cloth carries {carried} a kg; what the load used up is not taken off, so there is some in hand.",
            "Pada kekuatan lain, {dose} per gulung untuk tiap {unit} hasil titrasi sebelum muatan. Kain tiris membawa {carried} per kg; yang terpakai muatan tidak dikurangkan, jadi ada cadangan.",
            dose = Arg::Quantity(Quantity::new(self.bolt_per_strength.0, Measure::Mass)),
            unit = strength(1.0),
            carried = Arg::Quantity(Quantity::new(tank.carried / 1000.0, Measure::Volume))
        );
        [first, rule]
    }
}
