//! What becomes of sizes: cloth shrinks on its way, so more is issued than is finished, and a stamp's repeat ends
//! smaller than the stamp.

use crate::{Design, LotShape, Value, Workshop, along};
use units::Length;

/// Sizes of a design's cloth as this workshop makes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizes {
    /// White cloth to cut for one bolt.
    pub issue: Length,
    /// Width at the end.
    pub width: Length,
    /// Length at the end: what the design asks for.
    pub length: Length,
    /// Every stamping in the order of the route.
    pub repeats: Vec<FinishedRepeat>,
}

/// The repeat of one stamping on the finished cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct FinishedRepeat {
    /// The step's permanent id.
    pub step: String,
    /// The stamp's id inside the design.
    pub stamp: String,
    /// As stamped, across.
    pub stamped: (Length, Length),
    /// As finished: across, along.
    pub finished: (Length, Length),
}

/// White cloth to issue for a finished length, where `shrunk` is finished over issued length.
///
/// ```
/// // 15 yd at 4 % along the warp: 15.625 yd.
/// let issue = route::issue_length(units::Length(15.0 * 0.9144), 0.96);
/// assert!((issue.to_yd() - 15.625).abs() < 1e-9);
/// ```
pub fn issue_length(finished: Length, shrunk: f64) -> Length {
    // Cloth cannot come out of a route with nothing left: an own constant that says so is refused where it is read.
    finished * (1.0 / shrunk.max(0.01))
}

/// Sizes along a route. Whatever a stamping prints shrinks by what comes after it, not by what came before.
pub fn sizes(design: &Design, lot: &LotShape, shop: &Workshop) -> Sizes {
    let course = along(design, lot, shop);
    let end = course.last().map_or((1.0, 1.0), |step| step.after.shrunk);
    let mut repeats = Vec::new();
    for part in &course {
        for (_, value) in part.step.operation.values().iter() {
            let Value::Stamp(index) = value else { continue };
            let Some(used) = design.stamps.get(*index) else {
                continue;
            };
            let [w, h] = used.stamp.repeat_mm();
            let stamped = (Length::mm(w), Length::mm(h));
            let then = part.before.shrunk;
            repeats.push(FinishedRepeat {
                step: part.step.id.clone(),
                stamp: used.id.clone(),
                stamped,
                finished: (stamped.0 * (end.0 / then.0), stamped.1 * (end.1 / then.1)),
            });
        }
    }
    Sizes {
        issue: issue_length(lot.cloth.length, end.1),
        width: lot.cloth.width * end.0,
        length: lot.cloth.length,
        repeats,
    }
}
