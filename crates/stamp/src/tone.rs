//! Gradients: a strip of copper is either there or not, so a shape with a tone counts as a whole, by its mean.

use crate::area::{Area, Point};
use crate::outline::affine;
use crate::paint::{PAPER, Rgb, encoded, lightness, linear, over};
use kurbo::Affine;

/// A gradient as painted, in its own coordinates.
#[derive(Clone, Debug)]
pub(crate) struct Tone {
    /// Position 0..1, colour, opacity; at least one.
    stops: Vec<(f64, Rgb, f64)>,
    course: Course,
    spread: usvg::SpreadMethod,
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

/// A gradient over a shape as one flat paint.
pub(crate) struct Mean {
    pub colour: Rgb,
    pub alpha: f64,
    /// The least and the greatest L* over paper that the shape shows.
    pub range: (f64, f64),
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
            spread: g.spread_method(),
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

    /// What the gradient looks like on this shape as a whole, over paper: luminance is averaged over its surface.
    pub fn mean(&self, shape: &Area, alpha: f64) -> Mean {
        let back = self.to_mm.inverse();
        let (mut light, mut opacity, mut n) = ([0.0; 3], 0.0, 0.0);
        let mut range = (100.0_f64, 0.0_f64);
        for p in spots(shape) {
            let q = back * kurbo::Point::new(p[0], p[1]);
            let (colour, own) = self.at(self.place([q.x, q.y]));
            let seen = over(colour, own * alpha, PAPER);
            let l = lightness(seen);
            range = (range.0.min(l), range.1.max(l));
            for k in 0..3 {
                light[k] += linear(f64::from(seen[k]));
            }
            opacity += own * alpha;
            n += 1.0;
        }
        let (seen, alpha) = (light.map(|v| encoded(v / n)), opacity / n);
        // The paint that looks so over paper; what lies under it shows through as much as on average.
        let colour = seen.map(|v| ((v - 255.0 * (1.0 - alpha)) / alpha).round().clamp(0.0, 255.0) as u8);
        Mean { colour, alpha, range }
    }

    /// Position along the gradient of a point in its coordinates, 0..1 (SVG 1.1, 13.2.2 and 13.2.3).
    fn place(&self, p: Point) -> f64 {
        let t = match &self.course {
            Course::Linear { from, to } => {
                let (d, q) = (minus(*to, *from), minus(p, *from));
                dot(q, d) / dot(d, d)
            }
            Course::Radial {
                from: (f, fr),
                to: (c, r),
            } => {
                // The greatest circle between the two that goes through the point: |q - t d| = fr + t dr.
                let (d, q, dr) = (minus(*c, *f), minus(p, *f), r - fr);
                let (a, b, e) = (dot(d, d) - dr * dr, dot(q, d) + fr * dr, dot(q, q) - fr * fr);
                let root = (b * b - a * e).max(0.0).sqrt();
                if a == 0.0 {
                    e / (2.0 * b)
                } else {
                    ((b + root) / a).max((b - root) / a)
                }
            }
        };
        match self.spread {
            // Without a direction the last stop paints all.
            _ if !t.is_finite() => 1.0,
            usvg::SpreadMethod::Pad => t.clamp(0.0, 1.0),
            usvg::SpreadMethod::Repeat => t.rem_euclid(1.0),
            usvg::SpreadMethod::Reflect => 1.0 - (t.rem_euclid(2.0) - 1.0).abs(),
        }
    }
}

fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Rows in which a shape is looked at, and looks along a row as wide as the shape.
const ROWS: usize = 48;

/// Points spread evenly over a shape; at least one.
fn spots(shape: &Area) -> Vec<Point> {
    let Some(around) = shape.bounds() else {
        return vec![[0.0; 2]];
    };
    let (high, wide) = (around.height() / ROWS as f64, around.width() / ROWS as f64);
    let row_of = |y: f64| (y - around.low[1]) / high - 0.5;
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); ROWS];
    for (a, b) in shape.edges() {
        let (low, top) = (row_of(a[1].min(b[1])).ceil().max(0.0), row_of(a[1].max(b[1])));
        let mut row = low as usize;
        while row < ROWS && (row as f64) < top {
            let y = around.low[1] + (row as f64 + 0.5) * high;
            crossings[row].push(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]));
            row += 1;
        }
    }
    let mut spots = Vec::new();
    for (row, xs) in crossings.iter_mut().enumerate() {
        xs.sort_by(f64::total_cmp);
        let y = around.low[1] + (row as f64 + 0.5) * high;
        for span in xs.chunks_exact(2) {
            let column = |x: f64| (x - around.low[0]) / wide - 0.5;
            let (from, to) = (column(span[0]).ceil().max(0.0) as usize, column(span[1]));
            let inside = (from..ROWS).take_while(|k| (*k as f64) < to);
            spots.extend(inside.map(|k| [around.low[0] + (k as f64 + 0.5) * wide, y]));
        }
    }
    if spots.is_empty() {
        // Finer than the grid: looked at along its outline.
        spots.extend(shape.edges().map(|(a, _)| a));
    }
    spots
}
