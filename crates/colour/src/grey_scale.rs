//! The grey scale: how much a colour has changed, in the steps that fastness reports speak.

use crate::spaces::{Lab, hue_degrees};
use crate::table::Table;
use std::sync::LazyLock;

/// A pair of greys on the scale for change in colour (ISO 105-A02:1993).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// 5 (no change) to 1; half steps end in .5: "4-5" is 4.5.
    pub grade: f64,
    /// CIELAB distance of the pair.
    pub difference: f64,
    /// How far a scale on the table may be off.
    pub tolerance: f64,
    /// Smallest dE_F that is given this step (ISO 105-A05:1996).
    pub from: f64,
}

/// An instrumental rating of a change in colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rating {
    /// dE_F of ISO 105-A05.
    pub difference: f64,
    /// Grade as a decimal number, 5 to 1.
    pub grade: f64,
    /// The step of the scale that is reported.
    pub step: Step,
}

impl Step {
    /// "5", "4-5", "4" ... "1".
    pub fn name(self) -> String {
        let whole = self.grade.floor();
        if self.grade > whole {
            format!("{whole:.0}-{:.0}", whole + 1.0)
        } else {
            format!("{whole:.0}")
        }
    }
}

/// All nine steps, from no change down.
pub fn steps() -> &'static [Step] {
    static STEPS: LazyLock<Vec<Step>> = LazyLock::new(|| {
        let table = Table::built_in(include_str!("../data/grey_scale_change.csv"));
        let (grade, difference) = (table.column("step"), table.column("difference"));
        let (tolerance, from) = (table.column("tolerance"), table.column("from"));
        (0..grade.len())
            .map(|i| Step {
                grade: grade[i],
                difference: difference[i],
                tolerance: tolerance[i],
                from: from[i],
            })
            .collect()
    });
    &STEPS
}

/// Rates the change from `reference` to `sample` (ISO 105-A05:1996).
pub fn rate(reference: Lab, sample: Lab) -> Rating {
    let difference = difference(reference, sample);
    let steps = steps();
    let reached = steps.partition_point(|s| s.from <= difference);
    Rating {
        difference,
        grade: grade(difference),
        step: steps[reached.saturating_sub(1)],
    }
}

/// Grade of a dE_F: 5 - dE_F/1.7 up to 3.4, then 5 - log2(dE_F/0.85); never below 1 (ISO 105-A05:1996).
pub fn grade(difference: f64) -> f64 {
    let grade = if difference <= 3.4 {
        5.0 - difference / 1.7
    } else {
        5.0 - (difference / 0.85).log2()
    };
    grade.max(1.0)
}

/// dE_F of ISO 105-A05:1996.
///
/// Public programs disagree about the damping term D of blue and violet hues, which is taken from both the chroma
/// and the hue difference. Some give it the sign of the chroma difference, D = dC C_M exp(-x)/100; some use its
/// magnitude. Here it carries the sign. The reason: exchanging reference and sample turns the signs of dC and dH;
/// only a D that turns with them leaves dE_F as it was, and the standard asks for one mean chroma and one mean
/// hue, which have no sense in a formula that depends on which cloth is named first. With the magnitude a cloth
/// that lost chroma is rated worse than one that gained as much. Formula from memory; not compared with a copy of
/// the standard.
pub fn difference(reference: Lab, sample: Lab) -> f64 {
    let (c_r, c_s) = (reference.chroma(), sample.chroma());
    let h_r = hue_degrees(reference.a, reference.b);
    let h_s = hue_degrees(sample.a, sample.b);
    let turn = match h_s - h_r {
        t if t > 180.0 => t - 360.0,
        t if t < -180.0 => t + 360.0,
        t => t,
    };
    let (dl, dc) = (sample.l - reference.l, c_s - c_r);
    let dh = 2.0 * (c_r * c_s).sqrt() * (turn / 2.0).to_radians().sin();
    let c_m = f64::midpoint(c_r, c_s);
    let h_m = match f64::midpoint(h_r, h_s) {
        m if (h_s - h_r).abs() <= 180.0 => m,
        m if h_r + h_s < 360.0 => m + 180.0,
        m => m - 180.0,
    };
    let away = (h_m - 280.0).abs();
    let x = (away.min(360.0 - away) / 30.0).powi(2);
    let d = dc * c_m * (-x).exp() / 100.0;
    let damped = |v: f64, per_mille: f64| (v - d) / (1.0 + (per_mille * c_m / 1000.0).powi(2));
    (dl * dl + damped(dc, 20.0).powi(2) + damped(dh, 10.0).powi(2)).sqrt()
}
