//! The stamp as a whole: size, weight, handle, balance.

use super::{BuildRule, Fault};
use crate::area::{Area, Bounds, Point};
use crate::copper::Build;
use crate::limits::{Limit, Limits};

pub(super) fn check(
    area: &Area,
    repeat_mm: [f64; 2],
    build: &Build,
    limits: &Limits,
    cloth_mm: f64,
    faults: &mut Vec<Fault>,
) {
    let Some(around) = area.bounds() else { return };
    let middle = [
        (around.low[0] + around.high[0]) / 2.0,
        (around.low[1] + around.high[1]) / 2.0,
    ];
    let (long, short) = (
        around.width().max(around.height()),
        around.width().min(around.height()),
    );
    let mut tell = |rule, measured, limit| faults.push(Fault::new(rule, middle, measured, limit));
    if around.width().min(repeat_mm[0]) > cloth_mm {
        tell(BuildRule::WiderThanCloth, around.width(), cloth_mm);
    }
    if long > limits.mm(Limit::Size) {
        tell(BuildRule::Unhandy, long, limits.mm(Limit::Size));
    }
    let heaviest = limits.get(Limit::Weight).value;
    if build.weight_kg > heaviest {
        tell(BuildRule::Heavy, build.weight_kg, heaviest);
    }
    if short < limits.mm(Limit::Handle) && long > limits.mm(Limit::Handle) {
        tell(BuildRule::SmallForHandle, short, limits.mm(Limit::Handle));
    }
    let off = off_middle(area, &around, middle);
    let most = limits.get(Limit::Balance).value;
    if off > most && long > limits.mm(Limit::Handle) {
        tell(BuildRule::OffBalance, off, most);
    }
}

/// How far the middle of all outlines (which is where the copper is) lies from the middle of the stamp, as a
/// share of its smaller side.
fn off_middle(area: &Area, around: &Bounds, middle: Point) -> f64 {
    let (mut sum, mut length) = ([0.0; 2], 0.0);
    for (a, b) in area.edges() {
        let mm = (b[0] - a[0]).hypot(b[1] - a[1]);
        length += mm;
        for k in 0..2 {
            sum[k] += mm * (a[k] + b[k]) / 2.0;
        }
    }
    if !(length > 0.0) {
        return 0.0;
    }
    let off = [0, 1].map(|k| sum[k] / length - middle[k]);
    off[0].hypot(off[1]) / around.width().min(around.height()).max(f64::MIN_POSITIVE)
}
