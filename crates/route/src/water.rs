//! Water in the cloth: the yard's weather, drying, and which layer of a package dries first.

use crate::kinetics::WET;
use crate::{Before, Constant, Folded, LotShape, Package, Workshop};
use field::exp;
use sky::{Air, Date, Exposure, Place, drying_rate, drying_time, illuminance_klx, ineichen, sun};
use units::{Measure, Span};
use words::Text;

/// Water that air-dry cotton holds, kg/kg (regain 7-8.5 % at 65 % humidity, ISO/TR 6741-4, from memory).
pub const REGAIN: f64 = 0.08;

/// The hour for which the yard's sun is computed.
pub const HOUR: Constant = Constant {
    key: "yard.hour",
    text: Text::new(
        "Hour of the day at which cloth lies in the sun",
        "Jam kain dijemur",
    ),
    measure: Measure::Span,
    value: 11.0 * 3600.0,
    factor: 1.15,
    source: "middle of the morning's drying hours, 9 to 13: common practice, no source",
};

/// Linke turbidity of a tropical coast (hazy 4; Ineichen and Perez name 2 clean to 6 industrial; from memory).
const TURBIDITY: f64 = 4.0;
/// Share of the wind over the yard that cloth on the ground feels (own estimate).
const GROUND_WIND: f64 = 0.5;
/// Share of the daylight that reaches cloth under a roof open to its sides (own estimate).
const SHADE: f64 = 0.12;

/// Where wet cloth is put to dry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lie {
    /// Flat on a sheet in the sun: one face.
    GroundInSun,
    /// On a line in the sun: two faces.
    LineInSun,
    /// On a line under a roof.
    LineInShade,
}

/// What wet cloth meets in the yard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yard {
    /// Daylight on the cloth, klx.
    pub klx: f64,
    /// Water that leaves, kg/(m2 s) of the area that lies in the air.
    pub rate: f64,
    /// Temperature of the wet cloth, C.
    pub celsius: f64,
}

/// The yard at the workshop's working hour, in its usual weather.
pub fn yard(shop: &Workshop, lie: Lie) -> Yard {
    let climate = &shop.climate;
    let date = Date { days: climate.day };
    let place = Place {
        latitude: climate.latitude,
        longitude: climate.longitude,
    };
    let minutes = shop.constants.get(&HOUR) / 60.0;
    let up = sun(place, date, minutes, climate.utc_hours * 60.0).apparent;
    let open = ineichen(up, TURBIDITY, 0.0, date).global * climate.clearness.clamp(0.0, 1.0);
    let light = if lie == Lie::LineInShade {
        SHADE * open
    } else {
        open
    };
    let wind = climate.wind * if lie == Lie::GroundInSun { GROUND_WIND } else { 1.0 };
    let mut exposure = Exposure::new(light, wind, lie != Lie::GroundInSun);
    // Under a roof the cloth sees the roof, which is as warm as the air: like a closed cloud.
    exposure.cloud = if lie == Lie::LineInShade {
        1.0
    } else {
        1.0 - climate.clearness.clamp(0.0, 1.0)
    };
    let drying = drying_rate(&Air::at_sea_level(climate.air.0, climate.humidity), &exposure);
    Yard {
        klx: illuminance_klx(light),
        rate: drying.rate,
        celsius: drying.celsius,
    }
}

/// Cloth that dries: `layers` of `areal` kg/m2 give off their water through one area, at `rate` kg/(m2 s).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drying {
    /// Dry mass of one layer, kg/m2.
    pub areal: f64,
    /// Layers, 1 for open cloth.
    pub layers: f64,
    /// Water leaving, kg/(m2 s).
    pub rate: f64,
}

impl Drying {
    /// Time from one mean water to another, kg/kg, in the constant period.
    pub fn time(&self, from: f64, to: f64) -> Span {
        Span(drying_time(from, self.areal, self.layers, to, self.rate))
    }

    /// Part of a time for which the cloth, on the average, is wet enough for dye to move and react.
    pub fn wet(&self, from: f64, time: Span) -> Span {
        Span(time.0.min(self.time(from, WET).0))
    }

    /// Mean water after a time: constant rate down to [`WET`], then falling with what is left above [`REGAIN`]
    /// (constant, then short falling period: Fourt and others, Textile Research Journal 21 (1951) 26; abstract).
    pub fn after(&self, from: f64, time: Span) -> f64 {
        if from <= REGAIN || self.rate <= 0.0 {
            return from;
        }
        let slope = self.rate / (self.areal * self.layers);
        let constant = (from - WET).max(0.0) / slope;
        if time.0 <= constant {
            return from - slope * time.0;
        }
        let rest = (time.0 - constant) * slope / (WET - REGAIN);
        REGAIN + (from.min(WET) - REGAIN) * (-rest).exp()
    }

    /// Time until [`Drying::after`] reaches `to`.
    pub fn until(&self, from: f64, to: f64) -> Span {
        if from <= to {
            return Span(0.0);
        }
        if self.rate <= 0.0 || to <= REGAIN {
            return Span(f64::INFINITY);
        }
        let slope = self.rate / (self.areal * self.layers);
        let constant = (from - to.max(WET)).max(0.0) / slope;
        let falling = ((from.min(WET) - REGAIN) / (to.min(WET) - REGAIN)).max(1.0).ln();
        Span(constant + falling * (WET - REGAIN) / slope)
    }
}

/// Water by layer: what leaves the package is taken from its layers in shares that fall by `exp(-couple)` a layer,
/// so the top is dry while the inside is wet, and the mean is what the drying rate says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Profile {
    /// Exponent of the top layer.
    pub top: f32,
    /// How much less a layer gives than the one above it, as exponent.
    pub couple: f32,
}

/// Places of the bolt at which a package is probed.
const PROBES: usize = 12_000;

/// The package at places spread evenly over the bolt.
pub fn probe(package: &Package, lot: &LotShape) -> Vec<Folded> {
    package.probe(spread(lot.cloth.width.to_mm(), lot.cloth.length.to_mm(), PROBES))
}

/// How much dye a place of the package is likely to hold, for means that must count dye and not area. Dye laid on the
/// package itself lies mostly on top, with `loss` per layer, and by crease and facet as sponges meet them. Dye that
/// was there before the cloth was folded (`None`) knows nothing of the package.
pub fn likely_dye(place: &Folded, loss: Option<f64>) -> f64 {
    loss.map_or(1.0, |loss| {
        (-loss * f64::from(place.depth)).exp()
            * (1.0 + 0.5 * f64::from(place.crest))
            * (1.0 + 0.22 * f64::from(place.facet))
    })
}

/// Loss per layer of the operations that laid dye on the package that the cloth now lies in, their mean; `None` where
/// none did. Read from the route: any kind that has a `layer-loss` constant lays dye by layers.
pub fn laid_by_layers(before: &Before) -> Option<f64> {
    let losses: Vec<f64> = before.design.steps[..before.at.min(before.design.steps.len())]
        .iter()
        .rev()
        .map(|step| step.operation.kind())
        .take_while(|kind| kind.key != "fold")
        .filter_map(|kind| kind.constants.iter().find(|c| c.key.ends_with(".layer-loss")))
        .map(|constant| before.shop.constants.get(constant))
        .collect();
    (!losses.is_empty()).then(|| losses.iter().sum::<f64>() / losses.len() as f64)
}

/// Places spread evenly over a rectangle, mm: the plastic number's lattice, which leaves no direction out.
pub fn spread(width: f64, length: f64, n: usize) -> impl Iterator<Item = (f32, f32)> {
    (0..n).map(move |k| {
        let x = (k as f64 * 0.754_877_666_246_693) % 1.0 * width;
        let y = (k as f64 * 0.569_840_290_998_053) % 1.0 * length;
        (x as f32, y as f32)
    })
}

field::lanes! {
    /// How much less a layer feels of what the top layer does.
    fn fade_row(couple: f32, depths: &[f32], fades: &mut [f32]) {
        for (fade, depth) in fades.iter_mut().zip(depths) {
            *fade = exp(-couple * *depth);
        }
    }

    /// [`Profile::left`] of many layers, whose fades are known.
    fn left_row(top: f32, fades: &[f32], shares: &mut [f32]) {
        for (share, fade) in shares.iter_mut().zip(fades) {
            *share = exp(-top * *fade);
        }
    }
}

impl Profile {
    /// The profile whose mean over `depths` leaves the share `left` of the water above regain.
    pub fn solve(depths: &[f32], left: f64, couple: f32) -> Self {
        let mut fades = vec![0.0; depths.len()];
        fade_row(couple, depths, &mut fades);
        let mut shares = vec![0.0; depths.len()];
        let mut mean = |top: f32| {
            left_row(top, &fades, &mut shares);
            shares.iter().map(|share| f64::from(*share)).sum::<f64>() / depths.len().max(1) as f64
        };
        let (mut low, mut high) = (0.0f32, 60.0f32);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if mean(middle) > left {
                low = middle
            } else {
                high = middle
            }
        }
        Self {
            top: 0.5 * (low + high),
            couple,
        }
    }

    /// How much less a layer feels of what the top layer does.
    #[inline(always)]
    pub fn fade(&self, depth: f32) -> f32 {
        exp(-self.couple * depth)
    }

    /// Share of the water above regain that a layer still holds, by its [`Profile::fade`].
    #[inline(always)]
    pub fn left(&self, fade: f32) -> f32 {
        exp(-self.top * fade)
    }

    /// Share of the time for which a layer, starting from `start` kg/kg, was wet enough for dye to move, by its
    /// [`Profile::fade`].
    #[inline(always)]
    pub fn wet_share(&self, start: f32, fade: f32) -> f32 {
        let above = (start - REGAIN as f32) * (1.0 / (WET - REGAIN) as f32);
        let spent = field::ln(if above > 1.0 { above } else { 1.0 });
        let pace = self.top * fade + 1e-6;
        let share = spent / pace;
        if share > 1.0 { 1.0 } else { share }
    }
}

#[cfg(test)]
mod tests {
    use super::{Drying, Profile, REGAIN, WET};
    use units::Span;

    const HALF_KG_AN_HOUR: f64 = 0.5 / 3600.0;

    /// 90 to 30 % in a package of 3.44 layers of 125 g/m2 at 0.5 kg/m2 h: (0.6 x 0.125 x 3.44) / 0.5 h = 31 min.
    #[test]
    fn a_package_takes_half_an_hour() {
        let package = Drying {
            areal: 0.125,
            layers: 3.44,
            rate: HALF_KG_AN_HOUR,
        };
        assert!((package.time(0.9, WET).to_min() - 30.96).abs() < 0.01);
        assert!((package.after(0.9, Span::minutes(30.96)) - 0.3).abs() < 1e-4);
        // A single layer: 9 min to 30 %, the design's 13 min to dry.
        let layer = Drying {
            layers: 1.0,
            ..package
        };
        assert!((layer.time(0.9, WET).to_min() - 9.0).abs() < 1e-9);
        assert!((layer.until(0.9, 0.12).to_min() - 9.0 - 5.62).abs() < 0.1);
    }

    #[test]
    fn the_falling_period_goes_on_where_the_constant_one_ends() {
        let cloth = Drying {
            areal: 0.125,
            layers: 1.0,
            rate: HALF_KG_AN_HOUR,
        };
        let at = cloth.time(0.9, WET).0;
        let slope = |t: f64| (cloth.after(0.9, Span(t)) - cloth.after(0.9, Span(t + 0.1))) / 0.1;
        assert!((slope(at - 1.0) / slope(at + 0.01) - 1.0).abs() < 1e-3);
        for to in [0.7, 0.3, 0.2, 0.1] {
            assert!(
                (cloth.after(0.9, cloth.until(0.9, to)) - to).abs() < 1e-12,
                "{to}"
            );
        }
        assert!(cloth.after(0.9, Span(1e6)) >= REGAIN);
    }

    #[test]
    fn the_top_dries_first_and_the_mean_is_kept() {
        let depths = [0.0, 0.0, 0.0, 1.0, 1.0, 2.0, 2.0, 3.0, 4.0];
        let profile = Profile::solve(&depths, 0.55, 0.8);
        let left = |depth: f32| profile.left(profile.fade(depth));
        let mean = depths.iter().map(|d| left(*d)).sum::<f32>() / depths.len() as f32;
        assert!((mean - 0.55).abs() < 1e-4, "{mean}");
        assert!(left(0.0) < left(1.0) && left(1.0) < left(3.0));
        let wet = |start: f32, depth: f32| profile.wet_share(start, profile.fade(depth));
        assert!(wet(0.9, 0.0) < wet(0.9, 2.0));
        assert_eq!(wet(0.9, 6.0), 1.0);
        assert_eq!(wet(0.2, 0.0), 0.0);
    }
}
