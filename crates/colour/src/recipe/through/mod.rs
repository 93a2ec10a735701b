//! Colours of several regions solved together through the route that they share.
//!
//! What is dyed is not what is seen: a bleach takes part of the first dyes wherever it has access, boiling takes its
//! share, and what the bleach left lies under the ground. So a motif's red, the ground, and the dose of the bleach
//! that separates them are one problem. The route hands in, for every region of the finished cloth, what share of
//! each dyeing ends there ([`Carry`]); this module finds the amounts and doses ([`Works::solve`]), and where a
//! target stays out of reach it says which colour is nearest and what would have to give way ([`Cause`]).
//!
//! Everything is mean colour of a region, mixed as light. Mottle is the cloth's business.

mod causes;
mod model;
mod reach;
mod search;

pub use causes::{Cause, Limit};
pub use search::{Answer, Reached};

use crate::dye::{DyeCard, joint_k_max};
use crate::kubelka_munk::ks_spectrum;
use crate::spaces::Lab;
use crate::spectrum::{Spectrum, white_cotton};
use words::{Arg, Finding, Place, Weight, say};

/// Amounts of dyes and doses of bleach at most: the size of the joint problem.
pub(crate) const MOST_UNKNOWNS: usize = 32;

/// A route as the solver of colours sees it.
#[derive(Clone, Debug)]
pub struct Works<'a> {
    /// Dyes of the store; everything else counts them by their places here.
    pub cards: Vec<&'a DyeCard>,
    /// K/S of the cloth without dye.
    pub cloth: Spectrum,
    /// K_max of everything on it.
    pub k_max: f64,
    /// Steps that bring dye, in the order of the route.
    pub dyeings: Vec<Dyeing>,
    /// Steps that take dye by chlorine.
    pub bleaches: Vec<Bleach>,
    /// Regions of the finished cloth.
    pub regions: Vec<Region>,
}

/// A step that brings dye.
#[derive(Clone, Debug, PartialEq)]
pub struct Dyeing {
    /// What people call it.
    pub name: String,
    /// Dyes that it may use.
    pub choice: Vec<usize>,
    /// How many of them at most, 1 to 3.
    pub dyes: usize,
    /// Most of each, g bound per kg of cloth.
    pub most: f64,
    /// Dyes and amounts that stay as they are; nothing if its recipe is sought.
    pub fixed: Vec<(usize, f64)>,
}

/// A step that takes dye by chlorine, whose dose is sought.
#[derive(Clone, Debug, PartialEq)]
pub struct Bleach {
    /// What people call it.
    pub name: String,
    /// How fast it clears each dye, 1/(M s), at its temperature and pH.
    pub rates: Vec<f64>,
    /// Least dose, M s: the shortest time the floor can keep.
    pub least: f64,
    /// Most dose, M s: what the fibre bears.
    pub most: f64,
}

/// A region of the finished cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// What people call it.
    pub name: String,
    /// Its kinds of place; their colours mix as light.
    pub parts: Vec<RegionPart>,
    /// Colour that is wanted (D65, 10 degrees), or none if any will do.
    pub target: Option<Lab>,
    /// How much its squared distance counts, 0 or more.
    pub weight: f64,
    /// CIEDE2000 within which the target counts as reached.
    pub tolerance: f64,
}

/// A kind of place within a region.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionPart {
    /// Its share of the region's area (any unit).
    pub share: f64,
    /// What it carries in the end.
    pub carries: Vec<Carry>,
}

/// How much of a dyeing ends on a kind of place.
#[derive(Clone, Debug, PartialEq)]
pub struct Carry {
    /// The dyeing.
    pub dyeing: usize,
    /// Share of each dye that is there in the end but for chlorine: reach of the dyeing times what boiling and
    /// washing leave. One a card.
    pub keep: Vec<f64>,
    /// Access of each bleach to it: 0 under perfect wax or before the dyeing, 1 on bare cloth. One a bleach.
    pub access: Vec<f64>,
}

/// Amounts and doses.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Of each dyeing its dyes, g bound per kg of cloth.
    pub amounts: Vec<Vec<(usize, f64)>>,
    /// Of each bleach its dose, M s.
    pub doses: Vec<f64>,
}

impl<'a> Works<'a> {
    /// White cotton and these dyes, nothing done to it yet.
    pub fn of(cards: &[&'a DyeCard]) -> Self {
        Self {
            cards: cards.to_vec(),
            cloth: ks_spectrum(white_cotton()),
            k_max: joint_k_max(cards),
            dyeings: Vec::new(),
            bleaches: Vec::new(),
            regions: Vec::new(),
        }
    }

    /// What is wrong with the numbers of this route; nothing if it can be solved.
    pub fn faults(&self) -> Vec<Finding> {
        let (cards, dyeings, bleaches) = (self.cards.len(), self.dyeings.len(), self.bleaches.len());
        let positive = |v: f64| v > 0.0 && v.is_finite();
        let share = |v: &f64| (0.0..=1.0).contains(v);
        let mut faults = Vec::new();
        let mut check = |whose: &str, fit: bool| {
            if !fit {
                faults.push(unfit(whose));
            }
        };
        check(
            "cloth",
            self.cloth.iter().all(|k| *k >= 0.0 && k.is_finite()) && positive(self.k_max),
        );
        for d in &self.dyeings {
            let choice = !d.choice.is_empty() && d.choice.iter().all(|c| *c < cards);
            let fixed = d
                .fixed
                .iter()
                .all(|(c, g)| *c < cards && *g >= 0.0 && g.is_finite());
            check(
                &d.name,
                choice && fixed && (1..=3).contains(&d.dyes) && positive(d.most),
            );
        }
        for b in &self.bleaches {
            let rates = b.rates.len() == cards && b.rates.iter().all(|k| *k >= 0.0 && k.is_finite());
            check(
                &b.name,
                rates && b.least >= 0.0 && b.least <= b.most && positive(b.most),
            );
        }
        for r in &self.regions {
            let carry = |c: &Carry| {
                c.dyeing < dyeings
                    && c.keep.len() == cards
                    && c.access.len() == bleaches
                    && c.keep.iter().chain(&c.access).all(share)
            };
            let parts = !r.parts.is_empty()
                && r.parts
                    .iter()
                    .all(|p| positive(p.share) && p.carries.iter().all(carry));
            let target = r
                .target
                .is_none_or(|t| [t.l, t.a, t.b].iter().all(|v| v.is_finite()));
            check(
                &r.name,
                parts && target && r.weight >= 0.0 && r.weight.is_finite() && r.tolerance >= 0.0,
            );
        }
        let sought = self.dyeings.iter().filter(|d| d.fixed.is_empty());
        let unknowns = sought.map(|d| d.dyes).sum::<usize>() + bleaches;
        if unknowns > MOST_UNKNOWNS {
            faults.push(too_many(unknowns));
        }
        faults
    }
}

fn unfit(whose: &str) -> Finding {
    Finding::new(
        "works-number",
        Weight::Wrong,
        Place::Request,
        say!(
            "The numbers of {whose} do not describe a step or region that can be solved.",
            "Angka untuk {whose} tidak menggambarkan langkah atau bagian yang dapat dihitung.",
            whose = Arg::Name(whose.to_string())
        ),
    )
    .allow(say!(
        "Shares and access lie in 0 to 1, one for each dye and each bleach; amounts, doses and areas are above 0; a dyeing chooses 1 to 3 dyes of the store.",
        "Bagian dan jangkauan antara 0 dan 1, satu untuk tiap pewarna dan tiap pemutihan; jumlah, dosis dan luas di atas 0; satu pencelupan memilih 1 sampai 3 pewarna dari persediaan."
    ))
}

fn too_many(found: usize) -> Finding {
    Finding::new(
        "works-size",
        Weight::Wrong,
        Place::Request,
        say!(
            "This route has {found} amounts and doses to find.",
            "Rute ini punya {found} jumlah dan dosis yang harus dicari.",
            found = Arg::Number(found as f64, 0)
        ),
    )
    .allow(say!(
        "At most {most} are solved together.",
        "Paling banyak {most} dihitung bersama.",
        most = Arg::Number(MOST_UNKNOWNS as f64, 0)
    ))
    .remedy(say!(
        "Let some dyeings use fewer dyes.",
        "Pakai lebih sedikit pewarna pada sebagian pencelupan."
    ))
}
