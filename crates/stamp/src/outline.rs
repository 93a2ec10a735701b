//! Curves to straight edges: fills and strokes of a drawing as rings in mm.

use crate::area::{Area, Ring, Rule, Tangled};
use kurbo::{Affine, BezPath, Cap, Join, PathEl, StrokeOpts};
use usvg::tiny_skia_path::PathSegment;

/// What the page demands of outlines, mm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Demands {
    /// How far an edge may leave its curve.
    pub flatness: f64,
    /// How far from the page's corner anything may lie.
    pub farthest: f64,
}

/// Why a path has no outline.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Trouble {
    /// It crosses itself too often.
    Tangled,
    /// It, or its pen, reaches too far.
    Far,
}

impl From<Tangled> for Trouble {
    fn from(Tangled: Tangled) -> Self {
        Self::Tangled
    }
}

impl Demands {
    /// Judged before flattening: a circle of a light year has very many edges.
    fn near(&self, path: &BezPath, to_mm: Affine, pen_mm: f64) -> Result<(), Trouble> {
        let all = (to_mm * path).control_box();
        let reach = [all.x0, all.y0, all.x1, all.y1]
            .into_iter()
            .map(|v| v.abs() + pen_mm);
        // NaN is not near.
        if reach.into_iter().all(|v| v <= self.farthest) {
            Ok(())
        } else {
            Err(Trouble::Far)
        }
    }
}

/// A path of the SVG library as ours.
pub(crate) fn bezier(path: &usvg::tiny_skia_path::Path) -> BezPath {
    let p = |p: usvg::tiny_skia_path::Point| (f64::from(p.x), f64::from(p.y));
    path.segments()
        .map(|segment| match segment {
            PathSegment::MoveTo(a) => PathEl::MoveTo(p(a).into()),
            PathSegment::LineTo(a) => PathEl::LineTo(p(a).into()),
            PathSegment::QuadTo(a, b) => PathEl::QuadTo(p(a).into(), p(b).into()),
            PathSegment::CubicTo(a, b, c) => PathEl::CurveTo(p(a).into(), p(b).into(), p(c).into()),
            PathSegment::Close => PathEl::ClosePath,
        })
        .collect()
}

/// A transform of the SVG library as ours.
pub(crate) fn affine(t: usvg::Transform) -> Affine {
    Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
}

/// Largest factor by which a transform stretches a length (its greater singular value).
pub(crate) fn stretch(t: Affine) -> f64 {
    let [a, b, c, d, _, _] = t.as_coeffs();
    let (sum, det) = (a * a + b * b + c * c + d * d, a * d - b * c);
    ((sum + (sum * sum - 4.0 * det * det).max(0.0).sqrt()) / 2.0).sqrt()
}

/// Rings of a path after a transform, nowhere farther than `flatness` (mm) from the curve.
pub(crate) fn rings(path: &BezPath, to_mm: Affine, flatness: f64) -> Vec<Ring> {
    let mut rings: Vec<Ring> = Vec::new();
    kurbo::flatten(
        (to_mm * path).elements().iter().copied(),
        flatness,
        |el| match el {
            PathEl::MoveTo(p) => rings.push(vec![[p.x, p.y]]),
            PathEl::LineTo(p) => {
                if let Some(ring) = rings.last_mut()
                    && ring.last() != Some(&[p.x, p.y])
                {
                    ring.push([p.x, p.y]);
                }
            }
            _ => {}
        },
    );
    for ring in &mut rings {
        if ring.len() > 1 && ring.first() == ring.last() {
            ring.pop();
        }
    }
    rings.retain(|r| r.iter().flatten().all(|v| v.is_finite()));
    rings
}

/// The filled region of a path.
pub(crate) fn fill(
    path: &BezPath,
    rule: usvg::FillRule,
    to_mm: Affine,
    demands: &Demands,
) -> Result<Area, Trouble> {
    demands.near(path, to_mm, 0.0)?;
    let rule = match rule {
        usvg::FillRule::NonZero => Rule::NonZero,
        usvg::FillRule::EvenOdd => Rule::EvenOdd,
    };
    Ok(Area::filled_if_simple(
        &rings(path, to_mm, demands.flatness),
        rule,
    )?)
}

/// Number of dashes that a stroke would be broken into; 0 if it is whole.
pub(crate) fn dashes(path: &BezPath, stroke: &usvg::Stroke) -> f64 {
    stroke.dasharray().map_or(0.0, |dashes| {
        let period: f64 = dashes.iter().map(|d| f64::from(*d)).sum();
        let length = path
            .segments()
            .map(|s| kurbo::Shape::bounding_box(&s))
            .map(|b| 2.0 * (b.width() + b.height()));
        length.sum::<f64>() / period * dashes.len() as f64
    })
}

/// The region that a stroke covers: widened in the path's own coordinates, because a transform may stretch
/// the pen too.
pub(crate) fn stroke(
    path: &BezPath,
    stroke: &usvg::Stroke,
    to_mm: Affine,
    demands: &Demands,
) -> Result<Area, Trouble> {
    demands.near(path, to_mm, f64::from(stroke.width().get()) * stretch(to_mm))?;
    let cap = match stroke.linecap() {
        usvg::LineCap::Butt => Cap::Butt,
        usvg::LineCap::Round => Cap::Round,
        usvg::LineCap::Square => Cap::Square,
    };
    let join = match stroke.linejoin() {
        usvg::LineJoin::Miter | usvg::LineJoin::MiterClip => Join::Miter,
        usvg::LineJoin::Round => Join::Round,
        usvg::LineJoin::Bevel => Join::Bevel,
    };
    let mut pen = kurbo::Stroke::new(f64::from(stroke.width().get()))
        .with_caps(cap)
        .with_join(join)
        .with_miter_limit(f64::from(stroke.miterlimit().get()));
    if let Some(dashes) = stroke.dasharray() {
        let dashes = dashes.iter().map(|d| f64::from(*d));
        // Twice the sum is a period whether the number of dashes is even or odd. The library walks an offset
        // dash by dash, so only what is left of it is handed on.
        let period = 2.0 * dashes.clone().sum::<f64>();
        pen = pen.with_dashes(f64::from(stroke.dashoffset()).rem_euclid(period), dashes);
    }
    let flatness = demands.flatness / 2.0;
    let own_flatness = flatness / stretch(to_mm).max(1e-12);
    let elements = path.elements().iter().copied();
    let widened = kurbo::stroke(elements, &pen, &StrokeOpts::default(), own_flatness);
    // Mitres may be longer than the pen is wide, but not by as much as makes a difference here.
    Demands {
        farthest: 100.0 * demands.farthest,
        ..*demands
    }
    .near(&widened, to_mm, 0.0)?;
    Ok(Area::filled_if_simple(
        &rings(&widened, to_mm, flatness),
        Rule::NonZero,
    )?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    #[test]
    fn stretch_is_the_greater_axis() {
        let t = Affine::rotate(0.7) * Affine::scale_non_uniform(3.0, 0.5) * Affine::rotate(-1.1);
        assert!((stretch(t) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn a_finer_flatness_comes_nearer_to_the_circle() {
        let circle = kurbo::Circle::new((0.0, 0.0), 10.0).to_path(1e-9);
        let exact = std::f64::consts::PI * 100.0;
        for flatness in [0.1, 0.02, 0.001] {
            let area = Area::filled(&rings(&circle, Affine::IDENTITY, flatness), Rule::NonZero).mm2();
            // Inscribed: short by at most the flatness all along the circumference.
            let short = exact - area;
            assert!(short > -1e-5 && short < flatness * 62.84, "{flatness}: {short}");
        }
    }
}
