//! Clearing in hypochlorite.

use super::arrhenius;
use units::{Celsius, Quantity};
use words::{Arg, Finding, Known, Origin, Place, Weight, say};

/// How bound dye is destroyed by chlorine: second order, first in dye and first in available chlorine (as Cl2,
/// 1 M = 70.906 g/L). Published rates disagree on which pH is fast (it depends on the chromophore), so a card
/// states the range of pH it holds for, and nothing is said outside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bleaching {
    /// 1/(M s), at temperature `at` and `ph`.
    pub rate: Known,
    /// Temperature of `rate`.
    pub at: Celsius,
    /// pH of `rate`.
    pub ph: f64,
    /// Lowest pH at which `rate` holds.
    pub ph_least: f64,
    /// Highest pH at which `rate` holds.
    pub ph_most: f64,
    /// Activation energy, J/mol.
    pub energy: Known,
    /// Share of the bound dye's K/S that chlorine does not clear.
    pub residue: Known,
}

/// Within this many kelvins of its test, a rate rests on the test alone: an activation energy wrong by 15 kJ/mol
/// moves it by less than 5 %, below the repeatability of a strip test.
const SAME_TEMPERATURE: f64 = 2.0;

impl Bleaching {
    pub(super) fn rate(&self, name: &str, bath: Celsius, ph: f64) -> Result<f64, Finding> {
        if (self.ph_least..=self.ph_most).contains(&ph) {
            return Ok(arrhenius(self.rate.value, self.at, self.energy.value, bath));
        }
        let ph = || Arg::Number(ph, 1);
        let (least, most) = (Arg::Number(self.ph_least, 1), Arg::Number(self.ph_most, 1));
        Err(Finding::new(
            "bleach-ph-unknown",
            Weight::Wrong,
            Place::Request,
            say!(
                "Nothing is known about how fast {dye} clears at pH {ph}.",
                "Belum diketahui secepat apa {dye} tercabut pada pH {ph}.",
                dye = Arg::Name(name.to_string()),
                ph = ph()
            ),
        )
        .allow(say!(
            "Its card holds for pH {least} to {most}.",
            "Kartunya berlaku untuk pH {least} sampai {most}.",
            least = least,
            most = most
        ))
        .remedy(say!(
            "Bring the bath into this range, or make a strip test at pH {ph} and write it on the card.",
            "Atur pH bak ke kisaran itu, atau buat uji cabut pada pH {ph} lalu catat di kartu.",
            ph = ph()
        )))
    }

    /// Share of bound dye's K/S that is left after a dose of chlorine (M s) at a rate (1/(M s)).
    pub fn left(&self, rate: f64, dose: f64) -> f64 {
        let residue = self.residue.value;
        residue + (1.0 - residue) * (-rate * dose).exp()
    }

    /// What a rate at this temperature may claim: the test alone near its own temperature, else the weaker of the
    /// test and the activation energy.
    pub fn origin(&self, bath: Celsius) -> &Origin {
        if (bath - self.at).0.abs() <= SAME_TEMPERATURE {
            &self.rate.origin
        } else {
            self.rate.origin.weaker(&self.energy.origin)
        }
    }

    /// The stated rate as a quantity, for printing.
    pub const fn quantity(&self) -> Quantity {
        Quantity::new(self.rate.value, units::Measure::SecondOrderRate)
    }
}
