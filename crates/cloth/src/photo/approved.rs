//! The range of what was approved, and what of a piece lies outside it.

use super::Look;
use crate::Region;
use colour::palette::Swatch;
use colour::{Ground, Palette};
use words::{Arg, Finding, Place, Weight, say};

/// Several pieces that were approved: places of a strike-off, or of the model's own bolts. Hand-dyed cloth has no
/// single right colour; its own spread is the measure.
#[derive(Clone, Debug)]
pub struct Approved {
    looks: Vec<Look>,
}

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Earth mover's distance to the pooled palette, CIEDE2000.
    Palette,
    /// Autocorrelation length of lightness, mm.
    MottleScale,
    /// Standard deviation of lightness.
    Contrast,
    /// Share of the piece with the motif's colour over the share that is drawn.
    Cover,
}

/// One number of a piece beside the approved range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// What.
    pub measure: Measure,
    /// Of which region; nothing for the whole piece.
    pub region: Option<Region>,
    /// Found on the piece.
    pub found: f64,
    /// Approved from.
    pub least: f64,
    /// Approved to.
    pub most: f64,
}

/// Fewest pieces that show a range.
const FEWEST: usize = 3;

/// Student's t, two-sided 95 %, for 2, 3, ... degrees of freedom (any table; NIST/SEMATECH e-Handbook 1.3.6.7.2).
const STUDENT: [f64; 11] = [
    4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179,
];

impl Compared {
    /// Whether the piece lies in the range.
    pub fn within(&self) -> bool {
        self.found >= self.least && self.found <= self.most
    }
}

impl Approved {
    /// From at least three pieces.
    ///
    /// # Errors
    /// A finding if there are fewer: two pieces show no range.
    pub fn new(looks: Vec<Look>, place: &Place) -> Result<Self, Finding> {
        if looks.len() >= FEWEST {
            return Ok(Self { looks });
        }
        Err(Finding::new(
            "approved-few",
            Weight::Wrong,
            place.clone(),
            say!(
                "{found} approved pieces do not show a range.",
                "{found} potong yang di-acc belum menunjukkan kisaran.",
                found = Arg::Number(looks.len() as f64, 0)
            ),
        )
        .allow(say!(
            "At least {least} pieces, from different places of the approved cloth.",
            "Paling sedikit {least} potong, dari tempat berbeda pada kain yang di-acc.",
            least = Arg::Number(FEWEST as f64, 0)
        )))
    }

    /// A piece beside the range: 95 % of further pieces like the approved ones lie in it, if their numbers scatter
    /// normally (prediction interval, t times the deviation times sqrt(1 + 1/n)). `allowance` (dE00) is added to
    /// palette distances for what taking the picture itself does.
    pub fn compare(&self, look: &Look, allowance: f64) -> Vec<Compared> {
        let mut out = Vec::new();
        for region in look.regions.iter().map(|r| r.region) {
            out.extend(self.palette(look, region, allowance));
            let mottle = |look: &Look| look.region(region).map(|r| r.mottle);
            out.extend(self.range(Measure::MottleScale, region, look, |look| mottle(look)?.scale_mm));
            out.extend(self.range(Measure::Contrast, region, look, |look| {
                Some(mottle(look)?.contrast)
            }));
        }
        let cover = |look: &Look| {
            look.cover
                .filter(|[_, drawn]| *drawn > 0.0)
                .map(|[seen, drawn]| seen / drawn)
        };
        out.extend(self.range(Measure::Cover, None, look, cover));
        out
    }

    /// Distance to the pool of all, beside the distances of each approved piece to the pool of the others.
    fn palette(&self, look: &Look, region: Option<Region>, allowance: f64) -> Option<Compared> {
        let found = &look.region(region)?.palette;
        let all: Vec<&Palette> = self
            .looks
            .iter()
            .filter_map(|l| Some(&l.region(region)?.palette))
            .collect();
        let away = |of: &Palette, pool: &[&Palette]| Some(of.distance(&pooled(pool)?, Ground::Ciede2000));
        let own: Vec<f64> = (0..all.len())
            .filter_map(|k| away(all[k], &[&all[..k], &all[k + 1..]].concat()))
            .collect();
        let (mean, reach) = spread(&own)?;
        Some(Compared {
            measure: Measure::Palette,
            region,
            found: away(found, &all)?,
            least: 0.0,
            most: mean + reach + allowance,
        })
    }

    fn range(
        &self,
        measure: Measure,
        region: Option<Region>,
        look: &Look,
        number: impl Fn(&Look) -> Option<f64>,
    ) -> Option<Compared> {
        let own: Vec<f64> = self.looks.iter().filter_map(&number).collect();
        let (mean, reach) = spread(&own)?;
        Some(Compared {
            measure,
            region,
            found: number(look)?,
            least: (mean - reach).max(0.0),
            most: mean + reach,
        })
    }
}

/// Mean, and how far a further one may lie from it.
fn spread(own: &[f64]) -> Option<(f64, f64)> {
    if own.len() < FEWEST {
        return None;
    }
    let n = own.len() as f64;
    let mean = own.iter().sum::<f64>() / n;
    let deviation = (own.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let t = STUDENT[(own.len() - 3).min(STUDENT.len() - 1)];
    Some((mean, t * deviation * (1.0 + 1.0 / n).sqrt()))
}

fn pooled(palettes: &[&Palette]) -> Option<Palette> {
    let share = 1.0 / palettes.len().max(1) as f64;
    let swatches: Vec<Swatch> = palettes
        .iter()
        .flat_map(|p| p.swatches())
        .map(|s| Swatch {
            lab: s.lab,
            share: s.share * share,
        })
        .collect();
    Palette::from_swatches(&swatches).ok()
}
