//! What a recipe may be made of.

use super::optics::{Row, row};
use crate::dye::{DyeCard, joint_k_max};
use crate::kubelka_munk::{dyed_reflectance, ks_spectrum};
use crate::spectrum::{BANDS, Spectrum, white_cotton};
use units::Celsius;
use words::{Arg, Finding, Place, Weight, say};

/// A dye in the store, and what the workshop's route makes of it.
#[derive(Clone, Debug)]
pub struct Jar<'a> {
    /// Its card.
    pub card: &'a DyeCard,
    /// Most of it that may be bound, g per kg of cloth.
    pub most: f64,
    /// Share of the charged dye that binds, 0 to 1: of [`Store::of`] the card's final share; a route whose rest is
    /// short binds less.
    pub bound: f64,
    /// Share of its K/S that the steps after dyeing leave on the place that is judged (bleach, boiling).
    pub keep: f64,
}

/// The cloth that is dyed.
#[derive(Clone, Debug, PartialEq)]
pub struct Cloth {
    /// K/S of the cloth without dye.
    pub ks: Spectrum,
    /// K/S of dye that is already there when the finished colour is judged (what a bleach has left, a ground),
    /// before levelling off.
    pub under: Spectrum,
    /// K_max of everything on this cloth: see [`crate::dye::joint_k_max`].
    pub k_max: f64,
}

/// Chlorine that recipes are compared in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BleachBath {
    /// Temperature.
    pub at: Celsius,
    /// pH.
    pub ph: f64,
}

/// Limits of every recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Number of dyes in a recipe, 1 to 3.
    pub dyes: usize,
    /// Least amount of a dye, g bound per kg of cloth: less cannot be weighed out well.
    pub least: f64,
    /// Most dye altogether, g bound per kg of cloth.
    pub total: f64,
}

/// The dyes at hand, the cloth they go on, and the limits.
#[derive(Clone, Debug)]
pub struct Store<'a> {
    /// The dyes.
    pub jars: Vec<Jar<'a>>,
    /// The cloth.
    pub cloth: Cloth,
    /// Where bleach rates are stated.
    pub bath: BleachBath,
    /// Limits.
    pub limits: Limits,
}

impl BleachBath {
    /// 30 C, pH 10: where strip tests are made (common practice, no source).
    pub const STRIP_TEST: Self = Self {
        at: Celsius(30.0),
        ph: 10.0,
    };
}

impl Limits {
    /// Three dyes; 0.02 g/kg (1 g of dye for 50 kg of cloth); 50 g/kg altogether, 5 % bound: a black (common
    /// practice, no source: 4 to 8 % owf charged, of which some three quarters bind).
    pub const USUAL: Self = Self {
        dyes: 3,
        least: 0.02,
        total: 50.0,
    };
}

impl Cloth {
    /// White cotton under these dyes.
    pub fn white(dyes: &[&DyeCard]) -> Self {
        Self {
            ks: ks_spectrum(white_cotton()),
            under: [0.0; BANDS],
            k_max: joint_k_max(dyes),
        }
    }

    pub(crate) fn rows(&self) -> (Row, Row) {
        (row(&self.ks), row(&self.under))
    }
}

impl<'a> Store<'a> {
    /// A store of these dyes for white cotton: every dye to 40 g/kg bound (4 %, common practice, no source), all of
    /// it kept, binding to its final share.
    pub fn of(dyes: &[&'a DyeCard]) -> Self {
        Self {
            jars: dyes
                .iter()
                .map(|card| Jar {
                    card,
                    most: 40.0,
                    bound: card.fixation.final_share.value,
                    keep: 1.0,
                })
                .collect(),
            cloth: Cloth::white(dyes),
            bath: BleachBath::STRIP_TEST,
            limits: Limits::USUAL,
        }
    }

    /// Finished reflectance of amounts, pairs of (place of the jar, g bound per kg of cloth when dyed). Places
    /// beyond the store are not read.
    pub fn reflectance(&self, amounts: &[(usize, f64)]) -> Spectrum {
        let under = self.cloth.under;
        let mut dyes: Vec<(f64, &Spectrum)> = amounts
            .iter()
            .filter_map(|(at, amount)| {
                self.jars
                    .get(*at)
                    .map(|jar| (amount * jar.keep, &jar.card.unit_ks))
            })
            .collect();
        dyes.push((1.0, &under));
        dyed_reflectance(&dyes, self.cloth.k_max, &self.cloth.ks)
    }

    /// What is wrong with the numbers of this store; nothing if recipes can be sought.
    pub fn faults(&self) -> Vec<Finding> {
        let mut faults = Vec::new();
        for jar in &self.jars {
            let numbers = [
                ("most", jar.most, jar.most.is_finite() && jar.most > 0.0),
                ("bound", jar.bound, jar.bound > 0.0 && jar.bound <= 1.0),
                ("keep", jar.keep, (0.0..=1.0).contains(&jar.keep)),
            ];
            for (what, found, _) in numbers.into_iter().filter(|n| !n.2) {
                faults.push(unfit(&jar.card.name, what, found));
            }
        }
        let cloth = &self.cloth;
        let spectra = cloth.ks.iter().chain(&cloth.under);
        if !spectra.clone().all(|v| v.is_finite() && *v >= 0.0) || !(cloth.k_max > 0.0) {
            let found = spectra
                .copied()
                .find(|v| !v.is_finite() || *v < 0.0)
                .unwrap_or(cloth.k_max);
            faults.push(unfit("cloth", "K/S", found));
        }
        let limits = &self.limits;
        if !(1..=3).contains(&limits.dyes) {
            faults.push(unfit("limits", "dyes", limits.dyes as f64));
        }
        if !(limits.least >= 0.0) || !(limits.total > 0.0) {
            faults.push(unfit("limits", "least, total", limits.least.min(limits.total)));
        }
        faults
    }
}

fn unfit(whose: &str, what: &str, found: f64) -> Finding {
    Finding::new(
        "store-number",
        Weight::Wrong,
        Place::Request,
        say!(
            "{what} of {whose} is {found}.",
            "{what} untuk {whose} tertulis {found}.",
            what = Arg::Name(what.to_string()),
            whose = Arg::Name(whose.to_string()),
            found = Arg::Number(found, 3)
        ),
    )
    .allow(say!(
        "Amounts and K/S are 0 or more, the bound share is above 0 and at most 1, what is kept is 0 to 1, and a recipe has 1 to 3 dyes.",
        "Jumlah dan K/S paling kecil 0, bagian terikat di atas 0 dan paling besar 1, bagian yang tersisa 0 sampai 1, dan satu resep memakai 1 sampai 3 pewarna."
    ))
}
