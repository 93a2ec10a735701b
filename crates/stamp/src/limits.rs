//! What can be built: the limits that a drawing is checked against, each with its origin. The defaults stand in
//! `data/limits.csv`; a stamp maker's own replace them.

use crate::copper::{Copper, density};
use units::{Measure, parse_as};
use words::{Known, Text};

const TABLE: &str = include_str!("../data/limits.csv");

macro_rules! limits {
    ($($name:ident $key:literal $measure:ident $en:literal $id:literal;)*) => {
        /// One of the limits.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Limit {
            $(#[doc = concat!("`", $key, "`: ", $en, ".")] $name),*
        }

        impl Limit {
            /// All of them, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];
            /// Its key in files.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$name => $key),* }
            }
            /// What it measures.
            pub const fn measure(self) -> Measure {
                match self { $(Self::$name => Measure::$measure),* }
            }
            /// What people call it.
            pub const fn text(self) -> &'static Text {
                match self { $(Self::$name => const { &Text::new($en, $id) }),* }
            }
        }
    };
}

limits! {
    Strip "strip" Length "Thickness of the strip" "Tebal bilah";
    Height "height" Length "Height of the strip" "Tinggi bilah";
    Frame "frame" Mass "Frame and handle" "Rangka dan gagang";
    LineLeast "line_least" Count "Thinnest line, in strips" "Garis tertipis, dalam tebal bilah";
    LineMost "line_most" Count "Widest line of one strip, in strips" "Garis terlebar satu bilah, dalam tebal bilah";
    Gap "gap" Length "Narrowest gap" "Celah tersempit";
    Spacing "spacing" Length "Room between the two strips of a line" "Jarak dua bilah dalam satu garis";
    Bend "bend" Length "Tightest bend, radius" "Lengkung terkecil, jari-jari";
    Pin "pin" Length "Smallest dot" "Titik terkecil";
    Piece "piece" Length "Shortest strip" "Bilah terpendek";
    Span "span" Length "Widest solid part without inner strips" "Isian terlebar tanpa bilah dalam";
    Alone "alone" Length "Farthest distance to a neighbour" "Jarak terjauh ke tetangga";
    Junctions "junctions" Length "Nearest two joints" "Jarak dua sambungan";
    Weight "weight" Mass "Heaviest stamp" "Cap terberat";
    Size "size" Length "Largest handy side" "Sisi terbesar yang nyaman";
    Handle "handle" Length "Smallest side under a handle" "Sisi terkecil untuk gagang";
    Balance "balance" Share "Farthest middle of the copper from the handle" "Titik berat terjauh dari gagang";
    Creep "creep" Diffusivity "Creep of bleach under the wax edge" "Rambatan pemutih di bawah tepi malam";
    Bleach "bleach" Span "Time in the bleach" "Lama dalam pemutih";
    Survives "survives" Length "Least line left after the bleach" "Sisa garis tersempit sesudah dicabut";
}

/// Limits of one stamp maker.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits(Vec<Known>);

impl Default for Limits {
    /// Those of `data/limits.csv`.
    fn default() -> Self {
        let values = Limit::ALL.iter().map(|limit| {
            // A test reads every line of the table.
            assumed(*limit).expect("data/limits.csv holds every limit")
        });
        Self(values.collect())
    }
}

impl Limits {
    /// A limit in the SI base of its measure, with its origin.
    pub fn get(&self, limit: Limit) -> &Known {
        &self.0[limit as usize]
    }
    /// A length in mm.
    pub fn mm(&self, limit: Limit) -> f64 {
        self.get(limit).value * 1e3
    }
    /// Replaces one.
    pub fn set(&mut self, limit: Limit, value: Known) {
        self.0[limit as usize] = value;
    }
    /// What the stamp is built from.
    pub fn copper(&self) -> Copper {
        let get = |limit| self.get(limit).clone();
        Copper {
            strip: get(Limit::Strip),
            height: get(Limit::Height),
            frame: get(Limit::Frame),
            line_least: get(Limit::LineLeast),
            line_most: get(Limit::LineMost),
            gap: get(Limit::Gap),
            density: density(),
        }
    }
    /// How far bleach creeps under an edge of the wax while the cloth is in it, mm: sqrt(2 D t).
    pub fn creep_mm(&self) -> f64 {
        (2.0 * self.get(Limit::Creep).value * self.get(Limit::Bleach).value).sqrt() * 1e3
    }
    /// Thinnest line that copper prints, mm.
    pub fn line_mm(&self) -> f64 {
        self.mm(Limit::Strip) * self.get(Limit::LineLeast).value
    }
    /// Thinnest line of which enough is left after the bleach, mm.
    pub fn line_bleached_mm(&self) -> f64 {
        2.0 * self.creep_mm() + self.mm(Limit::Survives)
    }
    /// Widest line that one strip prints, mm.
    pub fn single_mm(&self) -> f64 {
        self.mm(Limit::Strip) * self.get(Limit::LineMost).value
    }
}

fn assumed(limit: Limit) -> Option<Known> {
    let line = TABLE
        .lines()
        .find(|line| line.split(',').next() == Some(limit.key()))?;
    let mut cells = line.splitn(4, ',').skip(1);
    let (value, factor, source) = (cells.next()?, cells.next()?, cells.next()?);
    let value = parse_as(value, limit.measure()).ok()?;
    Some(Known::assumed(
        value.quantity.si,
        factor.parse().ok()?,
        source.trim_matches('"'),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_holds_each_limit_once() {
        let keys: Vec<&str> = TABLE
            .lines()
            .filter(|line| !line.starts_with('#'))
            .skip(1)
            .filter_map(|line| line.split(',').next())
            .collect();
        let wanted: Vec<&str> = Limit::ALL.iter().map(|limit| limit.key()).collect();
        assert_eq!(keys, wanted);
        let limits = Limits::default();
        assert!(Limit::ALL.iter().all(|limit| limits.get(*limit).value > 0.0));
    }

    /// By hand: sqrt(2 x 1e-10 m2/s x 900 s) = 4.24e-4 m from each side.
    #[test]
    fn fifteen_minutes_take_0_42_mm_from_each_side() {
        assert!((Limits::default().creep_mm() - 0.424).abs() < 0.001);
    }
}
