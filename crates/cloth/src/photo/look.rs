//! What a piece of cloth looks like, in numbers that two pieces can be compared by.

use super::register::EDGE;
use super::{Laid, Mottle, Sheet};
use crate::Region;
use colour::{Lab, Palette};
use words::Finding;

/// One region of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionLook {
    /// Which; nothing where the drawing was not found and the piece is taken whole.
    pub region: Option<Region>,
    /// Its colours.
    pub palette: Palette,
    /// Its light and dark.
    pub mottle: Mottle,
}

/// A piece of cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Motif and ground, or the whole piece.
    pub regions: Vec<RegionLook>,
    /// Share of the piece that has the motif's colour rather than the ground's, and the share that the drawing asks
    /// for; nothing where the drawing was not found.
    pub cover: Option<[f64; 2]>,
}

/// Swatches of a palette.
const SWATCHES: usize = 12;
/// Least share of the squares for a region to be spoken of.
const LEAST: f64 = 0.005;

impl Look {
    /// Of a piece, with the drawing on it or without.
    ///
    /// # Errors
    /// If the piece has no colours at all.
    pub fn of(sheet: &Sheet, laid: Option<&Laid>) -> Result<Self, Finding> {
        let lab = sheet.lab();
        let Some(laid) = laid else {
            let whole = region(&lab, &vec![true; lab.len()], sheet, None)?;
            return Ok(Self {
                regions: vec![whole],
                cover: None,
            });
        };
        let mut regions = Vec::new();
        for which in [Region::Motif, Region::Ground] {
            let counts = counted(laid, which);
            if counts.iter().filter(|c| **c).count() as f64 > LEAST * lab.len() as f64 {
                regions.push(region(&lab, &counts, sheet, Some(which))?);
            }
        }
        let cover = match regions.as_slice() {
            [motif, ground] => {
                let drawn = laid.wax_mm.iter().filter(|d| **d > 0.0).count() as f64 / lab.len() as f64;
                Some([nearer(&lab, motif.palette.mean(), ground.palette.mean()), drawn])
            }
            _ => None,
        };
        Ok(Self { regions, cover })
    }

    /// A region of the piece.
    pub fn region(&self, region: Option<Region>) -> Option<&RegionLook> {
        self.regions.iter().find(|r| r.region == region)
    }
}

/// Colours of a region of a piece, one a square, clear of the region's edge.
pub fn colours_of(sheet: &Sheet, laid: &Laid, region: Region) -> Vec<Lab> {
    let squares = sheet.lab().into_iter().zip(counted(laid, region));
    squares
        .filter(|(_, counts)| *counts)
        .map(|(lab, _)| lab)
        .collect()
}

/// Squares that lie in a region and clear of its edge.
fn counted(laid: &Laid, region: Region) -> Vec<bool> {
    let side = match region {
        Region::Motif => 1.0,
        Region::Ground => -1.0,
    };
    laid.wax_mm.iter().map(|d| side * d > EDGE).collect()
}

fn region(
    lab: &[Lab],
    counts: &[bool],
    sheet: &Sheet,
    region: Option<Region>,
) -> Result<RegionLook, Finding> {
    let colours = lab
        .iter()
        .zip(counts)
        .filter(|(_, c)| **c)
        .map(|(lab, _)| (*lab, 1.0));
    let lightness: Vec<f64> = lab.iter().map(|c| c.l).collect();
    Ok(RegionLook {
        region,
        palette: Palette::of(colours, SWATCHES)?,
        mottle: Mottle::of(&lightness, counts, sheet.size[0], sheet.pitch_mm),
    })
}

/// Share of the squares on the first colour's side of the plane half-way between two colours.
fn nearer(lab: &[Lab], one: Lab, other: Lab) -> f64 {
    let d = [one.l - other.l, one.a - other.a, one.b - other.b];
    let half = [one.l + other.l, one.a + other.a, one.b + other.b].map(|v| v / 2.0);
    let side = |c: &&Lab| (c.l - half[0]) * d[0] + (c.a - half[1]) * d[1] + (c.b - half[2]) * d[2] > 0.0;
    lab.iter().filter(side).count() as f64 / lab.len() as f64
}
