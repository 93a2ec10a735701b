//! Materials of the store, what an operation takes of them, and where they go.

use crate::Constants;
use crate::operations::fix;
use units::{Length, Measure, Quantity, specific_gravity};
use words::{Origin, Term, Text};

/// Something kept in the store, dyes apart.
#[derive(Debug, PartialEq, Eq)]
pub struct Material {
    /// Name and gloss; its key is the key in the workshop's price list.
    pub term: Term,
}

macro_rules! store {
    ($($name:ident = $key:literal, $en:literal, $id:literal, $gen:literal, $gid:literal;)*) => {
        /// The materials of the store.
        pub mod store {
            use super::Material;
            use words::{Term, Text};
            $(
                #[doc = $en]
                pub static $name: Material = Material {
                    term: Term { key: $key, text: Text::new($en, $id), gloss: Text::new($gen, $gid) },
                };
            )*
        }
        /// Every material of the store.
        pub static STORE: &[&Material] = &[$(&store::$name),*];
    };
}

store! {
    WATER = "water", "Water", "Air", "Soft water from the tank.", "Air lunak dari bak.";
    SODA_ASH = "soda-ash", "Soda ash", "Soda abu", "Sodium carbonate, anhydrous.", "Natrium karbonat, tanpa air.";
    SILICATE = "silicate", "Sodium silicate", "Natrium silikat (waterglass)",
        "Water glass as delivered.", "Waterglass seperti diterima.";
    HYPOCHLORITE = "hypochlorite", "Sodium hypochlorite", "Natrium hipoklorit",
        "Liquid bleach, titrated.", "Pemutih cair, dititrasi.";
    METABISULFITE = "metabisulfite", "Sodium metabisulfite", "Natrium metabisulfit (penetral klorin)",
        "Antichlor.", "Penetral klorin.";
    SALT = "salt", "Salt", "Garam", "Sodium chloride or sulfate, dry.", "Natrium klorida atau sulfat, kering.";
    WAX = "wax", "Stamping wax", "Malam cap", "Wax mixture for stamping.", "Campuran malam untuk cap.";
    SOAP = "soap", "Neutral soap", "Sabun netral", "Soap without bleach.", "Sabun tanpa pemutih.";
    COPPER = "copper", "Copper strip", "Bilah tembaga", "Strip for stamps.", "Bilah untuk cap.";
    FIREWOOD = "firewood", "Firewood", "Kayu bakar", "Air-dry wood.", "Kayu kering udara.";
}

impl Material {
    /// What its price is per: water by volume (m3), everything else by mass (kg), whatever a step doses it by.
    pub fn sold_by(&self) -> Measure {
        if *self == store::WATER {
            Measure::Volume
        } else {
            Measure::Mass
        }
    }

    /// Mass per volume, kg/m3, of what is a liquid in the store and dosed by volume.
    pub fn density(&self, constants: &Constants) -> Option<f64> {
        if *self == store::WATER {
            Some(1000.0)
        } else if *self == store::SILICATE {
            specific_gravity(constants.get(&fix::DELIVERED)).map(|gravity| gravity * fix::WATER_60F)
        } else {
            None
        }
    }

    /// An amount in what the material is sold by. `None` if a volume of it has no known mass.
    pub fn as_sold(&self, amount: Quantity, constants: &Constants) -> Option<Quantity> {
        let si = match (amount.measure, self.sold_by()) {
            (a, b) if a == b => amount.si,
            (Measure::Volume, Measure::Mass) => amount.si * self.density(constants)?,
            (Measure::Mass, Measure::Volume) => amount.si / self.density(constants)?,
            _ => return None,
        };
        Some(Quantity::new(si, self.sold_by()))
    }
}

/// Where a material goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fate {
    /// Stays on the cloth.
    Cloth,
    /// Comes back into the store.
    Recovered,
    /// Leaves with the water.
    Drain,
    /// Leaves into the air.
    Air,
    /// Stays in the bath for the next bolt.
    Kept,
    /// Destroyed by the bleach.
    Bleached,
    /// Destroyed by light.
    Faded,
}

/// What is dosed.
#[derive(Clone, Debug, PartialEq)]
pub enum Stuff {
    /// A material of the store.
    Material(&'static Material),
    /// A dye: its place among the design's dyes.
    Dye(usize),
}

/// An amount of something.
#[derive(Clone, Debug, PartialEq)]
pub struct Dose {
    /// What.
    pub stuff: Stuff,
    /// How much: a mass or a volume.
    pub amount: Quantity,
    /// Where the amount's weakest number comes from, if it rests on a constant.
    pub origin: Option<Origin>,
}

/// A vessel filled once and used for several bolts.
#[derive(Clone, Debug, PartialEq)]
pub struct Bath {
    /// What it is called on the sheet.
    pub name: &'static Term,
    /// Key of the workshop's vessel.
    pub vessel: &'static str,
    /// Liquor at the start, m3.
    pub volume: f64,
    /// Dosed once, when the bath is made.
    pub charge: Vec<Dose>,
    /// After so many bolts it is made anew.
    pub lasts_bolts: u32,
    /// Cloth that goes in at once.
    pub load: Length,
    /// Words about its use and its end.
    pub care: Text,
}

/// What one operation takes for one bolt, on the average, and where it goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Takes {
    /// The bath, if the operation keeps one.
    pub bath: Option<Bath>,
    /// Drawn for every bolt (for a bath: the top-up).
    pub per_bolt: Vec<Dose>,
    /// Dye put on the cloth, g per kg of cloth, by dye.
    pub put: Vec<(usize, f64)>,
    /// Dye that left the cloth, g per kg of cloth: by dye, and where it went.
    pub lost: Vec<(usize, Fate, f64)>,
    /// Wax put on, kg per bolt.
    pub wax_put: f64,
    /// Wax taken off and where it went, kg per bolt.
    pub wax_off: Vec<(Fate, f64)>,
}
