//! How long a stamp maker works on a stamp: a stated norm per metre, joint and stamp.

use crate::strips::{StripPlan, Use};
use words::{Known, Origin};

/// Working time, each in hours with its origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Norm {
    /// To draw, cut, bend and set a metre of strip that prints or bounds.
    pub bend_h_per_m: Known,
    /// To cut and set a metre of inner strip, which is straight.
    pub fill_h_per_m: Known,
    /// To solder one joint.
    pub joint_h: Known,
    /// To set one pin.
    pub pin_h: Known,
    /// Once a stamp: frame, grid, handle, dip in resin, file level, proof print.
    pub stamp_h: Known,
}

impl Default for Norm {
    fn default() -> Self {
        let own = |hours: f64, why: &str| Known::assumed(hours, 1.8, &format!("own estimate: {why}"));
        Self {
            bend_h_per_m: own(1.0, "3 cm of strip bent, cut and set in two minutes"),
            fill_h_per_m: own(0.4, "a straight piece of 4 cm cut and set in a minute"),
            joint_h: own(1.0 / 60.0, "one minute with the iron already hot"),
            pin_h: own(1.0 / 60.0, "one minute to cut, stand and solder a pin"),
            stamp_h: own(8.0, "a day for frame, grid, handle, resin, filing and the proof"),
        }
    }
}

/// Hours with how far they may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hours {
    /// If everything assumed is at its favourable end.
    pub least: f64,
    /// By the norm.
    pub likely: f64,
    /// If everything assumed is at its other end.
    pub most: f64,
}

impl Norm {
    /// Hours for one stamp.
    pub fn hours(&self, plan: &StripPlan) -> Hours {
        let bent = plan.metres(Use::Line) + plan.metres(Use::Outline);
        let parts = [
            (&self.bend_h_per_m, bent),
            (&self.fill_h_per_m, plan.metres(Use::Fill)),
            (&self.joint_h, plan.joints.len() as f64),
            (&self.pin_h, plan.count(Use::Dot) as f64),
            (&self.stamp_h, 1.0),
        ];
        let sum = |way: f64| parts.iter().map(|(k, n)| k.value * n * spread(k).powf(way)).sum();
        Hours {
            least: sum(-1.0),
            likely: sum(0.0),
            most: sum(1.0),
        }
    }
}

/// The factor within which a number is believed.
fn spread(known: &Known) -> f64 {
    match known.origin {
        Origin::Assumed { factor, .. } => factor,
        Origin::Yours | Origin::Measured { .. } => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strips::Strip;

    /// By hand: 2 m bent at 1 h, 1 m of fill at 0.4 h, 8 h a stamp: 10.4 h; assumed within 1.8.
    #[test]
    fn hours_add_up() {
        let strip = |kind, mm: f64| Strip {
            number: 1,
            kind,
            points: vec![[0.0, 0.0], [mm, 0.0]],
            closed: false,
            prints_mm: 1.0,
        };
        let plan = StripPlan {
            strips: vec![strip(Use::Line, 2000.0), strip(Use::Fill, 1000.0)],
            ..StripPlan::default()
        };
        let hours = Norm::default().hours(&plan);
        assert!((hours.likely - 10.4).abs() < 1e-9);
        assert!(
            (hours.most / hours.likely - 1.8).abs() < 1e-9 && (hours.likely / hours.least - 1.8).abs() < 1e-9
        );
        let own = Norm {
            stamp_h: Known::yours(4.0),
            ..Norm::default()
        };
        assert!((own.hours(&plan).most - (2.4 * 1.8 + 4.0)).abs() < 1e-9);
    }
}
