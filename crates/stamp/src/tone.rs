//! Gradients: a strip of copper is either there or not, so a tone is cut where it passes the limit.

use crate::area::{Area, Point, Ring, Rule};
use crate::outline::{affine, disc};
use crate::paint::{PAPER, Rgb, lightness, over};
use kurbo::Affine;

/// A gradient as painted, in its own coordinates.
#[derive(Clone, Debug)]
pub(crate) struct Tone {
    /// Position 0..1, colour, opacity; at least one.
    stops: Vec<(f64, Rgb, f64)>,
    course: Course,
    padded: bool,
    to_mm: Affine,
}

#[derive(Clone, Debug)]
enum Course {
    Linear {
        from: Point,
        to: Point,
    },
    /// From the focal circle to the outer one.
    Radial {
        from: (Point, f64),
        to: (Point, f64),
    },
}

/// A tone that is neither all wax nor all bare, but repeats or mirrors itself: not cut.
pub(crate) struct Repeats;

/// A part of a shape with one colour.
pub(crate) struct Flat {
    pub area: Area,
    pub colour: Rgb,
    pub alpha: f64,
}

impl Tone {
    pub fn linear(g: &usvg::LinearGradient, to_mm: Affine) -> Self {
        let course = Course::Linear {
            from: [f64::from(g.x1()), f64::from(g.y1())],
            to: [f64::from(g.x2()), f64::from(g.y2())],
        };
        Self::new(g, course, to_mm)
    }

    pub fn radial(g: &usvg::RadialGradient, to_mm: Affine) -> Self {
        let at = |x: f32, y: f32, r: f32| ([f64::from(x), f64::from(y)], f64::from(r));
        let course = Course::Radial {
            from: at(g.fx(), g.fy(), g.fr().get()),
            to: at(g.cx(), g.cy(), g.r().get()),
        };
        Self::new(g, course, to_mm)
    }

    fn new(g: &usvg::BaseGradient, course: Course, to_mm: Affine) -> Self {
        let stop = |s: &usvg::Stop| {
            let c = s.color();
            (
                f64::from(s.offset().get()),
                [c.red, c.green, c.blue],
                f64::from(s.opacity().get()),
            )
        };
        Self {
            stops: g.stops().iter().map(stop).collect(),
            course,
            padded: g.spread_method() == usvg::SpreadMethod::Pad,
            to_mm: to_mm * affine(g.transform()),
        }
    }

    /// Colour and opacity at a position; constant before the first stop and after the last.
    fn at(&self, t: f64) -> (Rgb, f64) {
        let next = self.stops.iter().position(|s| s.0 > t);
        let (a, b) = match (next, self.stops.first(), self.stops.last()) {
            (Some(0), Some(first), _) => (first, first),
            (Some(k), ..) => (&self.stops[k - 1], &self.stops[k]),
            (None, _, Some(last)) => (last, last),
            _ => return (PAPER, 0.0),
        };
        let share = if b.0 > a.0 { (t - a.0) / (b.0 - a.0) } else { 0.0 };
        (over(b.1, share, a.1), a.2 + share * (b.2 - a.2))
    }

    /// The lightness over paper along the gradient, from 0 to 1.
    pub fn lightnesses(&self, alpha: f64) -> impl Iterator<Item = f64> + '_ {
        (0..=STEPS).map(move |k| self.lightness_at(k as f64 / STEPS as f64, alpha))
    }

    fn lightness_at(&self, t: f64, alpha: f64) -> f64 {
        let (colour, own) = self.at(t);
        lightness(over(colour, own * alpha, PAPER))
    }

    /// The shape as flat parts, and whether it had to be cut.
    pub fn flatten(&self, shape: &Area, alpha: f64, wax_below: f64) -> Result<(Vec<Flat>, bool), Repeats> {
        let runs = self.runs(alpha, wax_below);
        if let [only] = runs.as_slice() {
            let (colour, own) = self.mean(only.0, only.1);
            return Ok((
                vec![Flat {
                    area: shape.clone(),
                    colour,
                    alpha: own * alpha,
                }],
                false,
            ));
        }
        if !self.padded {
            return Err(Repeats);
        }
        let part = |(from, to): &(f64, f64)| {
            let (colour, own) = self.mean(*from, *to);
            Flat {
                area: self.between(shape, *from, *to),
                colour,
                alpha: own * alpha,
            }
        };
        Ok((runs.iter().map(part).collect(), true))
    }

    /// Stretches of the gradient that are all dark or all light.
    fn runs(&self, alpha: f64, wax_below: f64) -> Vec<(f64, f64)> {
        let dark = |t: f64| self.lightness_at(t, alpha) < wax_below;
        let mut runs = Vec::new();
        let mut start = 0.0;
        for k in 0..STEPS {
            let (mut low, mut high) = (k as f64 / STEPS as f64, (k + 1) as f64 / STEPS as f64);
            if dark(low) == dark(high) {
                continue;
            }
            for _ in 0..20 {
                let middle = (low + high) / 2.0;
                if dark(middle) == dark(high) {
                    high = middle
                } else {
                    low = middle
                }
            }
            runs.push((start, high));
            start = high;
        }
        runs.push((start, 1.0));
        runs
    }

    fn mean(&self, from: f64, to: f64) -> (Rgb, f64) {
        const N: usize = 16;
        let mut sum = [0.0; 4];
        for k in 0..N {
            let (c, a) = self.at(from + (to - from) * (k as f64 + 0.5) / N as f64);
            for i in 0..3 {
                sum[i] += f64::from(c[i]) * a;
            }
            sum[3] += a;
        }
        let channel = |i: usize| {
            if sum[3] > 0.0 {
                (sum[i] / sum[3]).round() as u8
            } else {
                255
            }
        };
        ([channel(0), channel(1), channel(2)], sum[3] / N as f64)
    }

    /// The part of the shape where the gradient's position lies between two; the ends reach on for ever.
    fn between(&self, shape: &Area, from: f64, to: f64) -> Area {
        match &self.course {
            Course::Linear { from: a, to: b } => self.band(shape, *a, *b, from, to),
            Course::Radial {
                from: (f, fr),
                to: (c, r),
            } => {
                let circle = |t: f64| {
                    let mid = [f[0] + (c[0] - f[0]) * t, f[1] + (c[1] - f[1]) * t];
                    disc(mid, fr + (r - fr) * t, self.to_mm)
                };
                let inner = if from > 0.0 {
                    shape.without(&circle(from))
                } else {
                    shape.clone()
                };
                if to < 1.0 {
                    inner.common(&circle(to))
                } else {
                    inner
                }
            }
        }
    }

    /// The strip between two positions, no longer and no wider than the shape needs.
    fn band(&self, shape: &Area, a: Point, b: Point, from: f64, to: f64) -> Area {
        let Some(around) = shape.bounds() else {
            return Area::empty();
        };
        let d = [b[0] - a[0], b[1] - a[1]];
        let len2 = d[0] * d[0] + d[1] * d[1];
        let back = self.to_mm.inverse();
        let corners = [
            around.low,
            around.high,
            [around.low[0], around.high[1]],
            [around.high[0], around.low[1]],
        ];
        // Position along the gradient and beside it, both in lengths of the gradient.
        let seen = corners.map(|p| {
            let q = back * kurbo::Point::new(p[0], p[1]);
            let v = [q.x - a[0], q.y - a[1]];
            [
                (v[0] * d[0] + v[1] * d[1]) / len2,
                (v[1] * d[0] - v[0] * d[1]) / len2,
            ]
        });
        if !seen.iter().flatten().all(|v| v.is_finite()) {
            // Without a direction the last stop paints all (SVG 1.1, 13.2.2).
            return if to >= 1.0 { shape.clone() } else { Area::empty() };
        }
        // A little beyond the shape, so that its own edge is not cut by rounding.
        let ends = [0, 1].map(|k| {
            let least = seen.iter().map(|s| s[k]).fold(f64::INFINITY, f64::min);
            let most = seen.iter().map(|s| s[k]).fold(f64::NEG_INFINITY, f64::max);
            (least - 0.01 * (most - least), most + 0.01 * (most - least))
        });
        let (least, most) = (|k: usize| ends[k].0, |k: usize| ends[k].1);
        let t0 = if from <= 0.0 { least(0) } else { from.max(least(0)) };
        let t1 = if to >= 1.0 { most(0) } else { to.min(most(0)) };
        if t0 >= t1 {
            return Area::empty();
        }
        let corner = |t: f64, s: f64| {
            let p = self.to_mm * kurbo::Point::new(a[0] + d[0] * t - d[1] * s, a[1] + d[1] * t + d[0] * s);
            [p.x, p.y]
        };
        let ring: Ring = vec![
            corner(t0, least(1)),
            corner(t1, least(1)),
            corner(t1, most(1)),
            corner(t0, most(1)),
        ];
        shape.common(&Area::filled(&[ring], Rule::NonZero))
    }
}

/// Places along a gradient that are looked at; between two of them a crossing is bisected.
const STEPS: usize = 256;
