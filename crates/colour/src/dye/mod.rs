//! Dye cards: what a workshop knows about one dye, each number with its origin.

mod bleaching;
mod check;
mod fixation;
mod hazard;
mod light;
mod price;

pub use bleaching::Bleaching;
pub use fixation::{Fixation, Shares, competing};
pub use hazard::{HAZARDS, Hazard, hazard};
pub use light::{just_noticeable_dose, light_left};
pub use price::Price;

use crate::spectrum::Spectrum;
use units::{Celsius, Span};
use words::{Finding, Known, Origin, Place, Term, Text};

/// How a dye binds to cotton.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Chemistry {
    /// Vinyl sulfone: slow to bind in the cold, most of them clear well in chlorine.
    VinylSulfone,
    /// Dichlorotriazine: quick to bind in the cold, many resist chlorine.
    Dichlorotriazine,
    /// Monochlorotriazine: wants heat; hardly binds at a tropical workshop's temperature.
    Monochlorotriazine,
}

/// Everything known about one dye.
#[derive(Clone, Debug, PartialEq)]
pub struct DyeCard {
    /// Permanent id, kebab-case.
    pub id: String,
    /// The workshop's name for it.
    pub name: String,
    /// How it binds.
    pub chemistry: Chemistry,
    /// K/S per unit of depth: what 1 g of *fixed* dye per kg of dry cloth (0.1 % owf fixed) adds to the cloth's
    /// own K/S before levelling off. Ten times this is the K/S of 1 % owf fixed.
    pub unit_ks: Spectrum,
    /// Where the spectrum comes from; a factor applies to its height.
    pub spectrum: Origin,
    /// The ladder that the spectrum was fitted to, if it was.
    pub ladder: Option<Ladder>,
    /// K/S that no depth exceeds: see [`crate::kubelka_munk::saturated`].
    pub k_max: Known,
    /// How it binds, and how fast.
    pub fixation: Fixation,
    /// Affinity of unbound dye for the cloth in a rinse, m3/kg: kg of dye per kg of cloth over kg per m3 of liquor.
    pub affinity: Known,
    /// Share of the dye that leaves a cold bath for the cloth at a liquor ratio of 20 L/kg.
    pub exhaustion: Known,
    /// How it clears in chlorine.
    pub bleaching: Bleaching,
    /// Blue wool class of bound dye, 1 to 8 (ISO 105-B01 references).
    pub blue_wool: Known,
    /// What it costs.
    pub price: Price,
    /// What to take care of.
    pub hazards: Vec<&'static Hazard>,
}

/// What a fitted spectrum rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// Deepest rung, % owf put on: deeper shades are extrapolated.
    pub deepest: f64,
    /// Share of the dye put on that was taken as bound.
    pub fixed_share: f64,
    /// Standard error of the unit K/S at its peak, a share of it.
    pub error: f64,
    /// Reflectance of the undyed cloth, fitted with the rungs.
    pub white: Spectrum,
}

impl Ladder {
    /// Dye bound on the deepest rung, g per kg of cloth.
    pub const fn deepest_bound(&self) -> f64 {
        self.deepest * 10.0 * self.fixed_share
    }
}

/// K_max of a card that has not been fitted, and of cloth without dye: see [`crate::kubelka_munk::saturated`].
pub const K_MAX: f64 = 41.0;

/// Liquor ratio at which [`DyeCard::exhaustion`] is stated, L of liquor per kg of cloth.
pub const EXHAUSTION_LIQUOR_RATIO: f64 = 20.0;

/// One K_max for cloth that carries several dyes: the mean of their cards. The limit is the surface of the fibre,
/// not the dye, so cards differ only by how they were fitted; and with one value per picture no mixture can
/// become lighter when dye is added.
pub fn joint_k_max(dyes: &[&DyeCard]) -> f64 {
    if dyes.is_empty() {
        return K_MAX;
    }
    dyes.iter().map(|d| d.k_max.value).sum::<f64>() / dyes.len() as f64
}

/// A rate at another temperature (Arrhenius): `energy` in J/mol, the rate in any unit.
pub fn arrhenius(rate: f64, at: Celsius, energy: f64, to: Celsius) -> f64 {
    /// J/(mol K), CODATA 2018 (exact).
    const GAS: f64 = 8.314_462_618;
    rate * (energy / GAS * (1.0 / at.absolute() - 1.0 / to.absolute())).exp()
}

impl Chemistry {
    /// All, in the order of the declaration.
    pub const ALL: [Self; 3] = [
        Self::VinylSulfone,
        Self::Dichlorotriazine,
        Self::Monochlorotriazine,
    ];

    /// Key in files, name, and a gloss.
    pub const fn term(self) -> &'static Term {
        const TERMS: [Term; 3] = [
            Term {
                key: "vinyl-sulfone",
                text: Text::new("vinyl sulfone", "vinil sulfon"),
                gloss: Text::new(
                    "Binds slowly in the cold; most clear well in chlorine.",
                    "Mengikat lambat tanpa panas; kebanyakan mudah dicabut dengan klorin.",
                ),
            },
            Term {
                key: "dichlorotriazine",
                text: Text::new("dichlorotriazine", "diklorotriazin"),
                gloss: Text::new(
                    "Binds quickly in the cold; many resist chlorine.",
                    "Mengikat cepat tanpa panas; banyak yang tahan klorin.",
                ),
            },
            Term {
                key: "monochlorotriazine",
                text: Text::new("monochlorotriazine", "monoklorotriazin"),
                gloss: Text::new(
                    "Needs hot dyeing; hardly binds in the cold.",
                    "Perlu celup panas; hampir tidak mengikat tanpa panas.",
                ),
            },
        ];
        &TERMS[self as usize]
    }

    /// The chemistry with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.term().key == key)
    }
}

impl DyeCard {
    /// How fast loose dye reacts, bound and hydrolysed together, 1/s.
    pub fn fixation_rate(&self, cloth: Celsius) -> f64 {
        self.fixation.rate(cloth)
    }

    /// Share of the dye on the cloth that is bound after this time wet and alkaline.
    pub fn bound_share(&self, time: Span, cloth: Celsius) -> f64 {
        self.fixation.shares(time, cloth).bound
    }

    /// How fast chlorine destroys bound dye, 1/(M s).
    ///
    /// # Errors
    /// A finding if the card says nothing about this pH: there is no law to extrapolate with.
    pub fn bleach_rate(&self, bath: Celsius, ph: f64) -> Result<f64, Finding> {
        self.bleaching.rate(&self.name, bath, ph)
    }

    /// Share of the dye that goes from a cold bath to the cloth at a liquor ratio (L/kg): the partition that the
    /// card's figure at 20 L/kg implies, kept the same.
    pub fn exhaustion_at(&self, liquor_ratio: f64) -> f64 {
        let share = self.exhaustion.value;
        let partition = EXHAUSTION_LIQUOR_RATIO * share / (1.0 - share);
        partition / (partition + liquor_ratio)
    }

    /// Share of its K/S that dye keeps after a dose of light, Mlx h. Loose dye fades like dye two classes lower
    /// (common practice, no source).
    pub fn light_left(&self, dose: f64, bound: bool) -> f64 {
        let class = if bound {
            self.blue_wool.value
        } else {
            self.blue_wool.value - 2.0
        };
        light_left(dose, class)
    }

    /// What is wrong or doubtful about this card; nothing if it may be used.
    pub fn validate(&self) -> Vec<Finding> {
        self.validate_at(|_| Place::Request)
    }

    /// As [`DyeCard::validate`], with each finding at the place of its key in the file ("fixation.rate").
    pub fn validate_at(&self, place: impl Fn(&'static str) -> Place) -> Vec<Finding> {
        check::card(self, &place)
    }
}
