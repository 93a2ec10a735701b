//! Area-weighted palettes: what colours a mottled cloth has, and how far two cloths lie apart.

use crate::difference::{de76, de2000};
use crate::spaces::Lab;
use crate::transport::{Plan, transport};
use std::collections::BTreeMap;
use words::{Finding, Place, Weight, say};

/// A colour and the share of the area that has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swatch {
    /// Mean colour, CIELAB.
    pub lab: Lab,
    /// Share of the area, above 0.
    pub share: f64,
}

/// Colours of a picture or region; largest share first, shares add up to 1, never empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Palette(Vec<Swatch>);

/// What it costs to turn one colour into another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ground {
    /// Euclidean distance in CIELAB. The palette distance is then a metric.
    Euclidean,
    /// CIEDE2000, nearer to the eye. It breaks the triangle inequality, and so does the palette distance.
    Ciede2000,
}

/// Colours within a cube of this side (CIELAB units) are pooled before a palette is cut: half of what can be told
/// apart, so that a picture of any size becomes a list of some thousand colours.
const CELL: f64 = 1.0;

/// Rounds of [`settle`] at most; pictures need 10 to 30.
const ROUNDS: usize = 100;

impl Palette {
    /// The palette of colours with their areas (any unit; 1 a pixel will do), of `size` swatches or fewer.
    ///
    /// The list is pooled in cells of 1 CIELAB unit, cut along the axis of largest variance until there are `size`
    /// boxes (as in Wu 1991), and settled by weighted k-means. Nothing is random: the same colours give the same
    /// palette.
    ///
    /// # Errors
    /// A finding if a colour or area is not a number, an area is below 0, or there is no area at all.
    pub fn of(colours: impl IntoIterator<Item = (Lab, f64)>, size: usize) -> Result<Self, Finding> {
        let mut cells: BTreeMap<[i32; 3], [f64; 4]> = BTreeMap::new();
        for (lab, area) in colours {
            let point = [lab.l, lab.a, lab.b];
            if !point.iter().chain([&area]).all(|v| v.is_finite()) || area < 0.0 {
                return Err(unfit());
            }
            if area == 0.0 {
                continue;
            }
            let sum = cells.entry(point.map(|v| (v / CELL).floor() as i32)).or_default();
            for (s, v) in sum.iter_mut().zip(point) {
                *s += v * area;
            }
            sum[3] += area;
        }
        let points: Vec<Point> = cells
            .into_values()
            .map(|[l, a, b, area]| Point {
                at: [l / area, a / area, b / area],
                area,
            })
            .collect();
        if points.is_empty() || !points.iter().map(|p| p.area).sum::<f64>().is_finite() {
            return Err(unfit());
        }
        let centres = settle(&points, cut(points.clone(), size.max(1)));
        Ok(Self::gather(&centres))
    }

    /// A palette from colours and shares as they are; shares are brought to the sum 1, those of 0 are left out.
    ///
    /// # Errors
    /// As [`Palette::of`].
    pub fn from_swatches(swatches: &[Swatch]) -> Result<Self, Finding> {
        let fit =
            |s: &Swatch| [s.lab.l, s.lab.a, s.lab.b, s.share].iter().all(|v| v.is_finite()) && s.share >= 0.0;
        let points: Vec<Point> = swatches
            .iter()
            .filter(|s| s.share != 0.0)
            .map(|s| Point {
                at: [s.lab.l, s.lab.a, s.lab.b],
                area: s.share,
            })
            .collect();
        if !swatches.iter().all(fit) || points.is_empty() {
            return Err(unfit());
        }
        Ok(Self::gather(&points))
    }

    /// The swatches, largest first.
    pub fn swatches(&self) -> &[Swatch] {
        &self.0
    }

    /// Mean of the CIELAB colours by area. (Seen from afar cloth mixes light, not CIELAB: for that take the mean
    /// of XYZ.)
    pub fn mean(&self) -> Lab {
        let sum = |axis: fn(Lab) -> f64| self.0.iter().map(|s| s.share * axis(s.lab)).sum();
        Lab::new(sum(|c| c.l), sum(|c| c.a), sum(|c| c.b))
    }

    /// Earth mover's distance (Rubner, Tomasi and Guibas 2000): the mean colour change of a unit of area on the
    /// cheapest way from one palette to the other; exact.
    pub fn distance(&self, other: &Self, ground: Ground) -> f64 {
        // Palettes are made of finite colours and positive shares only, so the problem is always fit; were it not,
        // the answer must not look like a match.
        self.plan(other, ground).map_or(f64::NAN, |plan| plan.cost)
    }

    /// The cheapest way itself: flows from the swatches of one palette (rows) to those of the other.
    pub fn plan(&self, other: &Self, ground: Ground) -> Option<Plan> {
        let cost: Vec<f64> = self
            .0
            .iter()
            .flat_map(|one| other.0.iter().map(|two| ground.distance(one.lab, two.lab)))
            .collect();
        let mass = |p: &Self| p.0.iter().map(|s| s.share).collect::<Vec<_>>();
        transport(&mass(self), &mass(other), &cost).ok()
    }

    fn gather(points: &[Point]) -> Self {
        let whole: f64 = points.iter().map(|p| p.area).sum();
        let mut swatches: Vec<Swatch> = points
            .iter()
            .map(|p| Swatch {
                lab: Lab::new(p.at[0], p.at[1], p.at[2]),
                share: p.area / whole,
            })
            .collect();
        let key = |s: &Swatch| [-s.share, s.lab.l, s.lab.a, s.lab.b];
        swatches.sort_by(|x, y| {
            key(x)
                .iter()
                .zip(key(y))
                .map(|(a, b)| a.total_cmp(&b))
                .find(|o| o.is_ne())
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        Self(swatches)
    }
}

impl Ground {
    /// Distance of two colours.
    pub fn distance(self, one: Lab, other: Lab) -> f64 {
        match self {
            Self::Euclidean => de76(one, other),
            Self::Ciede2000 => de2000(one, other),
        }
    }
}

fn unfit() -> Finding {
    Finding::new(
        "palette-empty",
        Weight::Wrong,
        Place::Request,
        say!(
            "There is no palette: a colour or its area is not a number, or the area is nothing.",
            "Tidak ada palet: ada warna atau luas yang bukan angka, atau luasnya nol."
        ),
    )
    .allow(say!(
        "A palette needs at least one colour with an area above 0.",
        "Palet perlu paling sedikit satu warna dengan luas di atas 0."
    ))
    .remedy(say!(
        "Choose a region that holds cloth, or a picture that is not empty.",
        "Pilih bagian yang berisi kain, atau gambar yang tidak kosong."
    ))
}

#[derive(Clone, Copy)]
struct Point {
    at: [f64; 3],
    area: f64,
}

/// Area, mean and the axis of largest variance with that variance times the area.
fn moments(points: &[Point]) -> (Point, usize, f64) {
    let area: f64 = points.iter().map(|p| p.area).sum();
    let mean: [f64; 3] = std::array::from_fn(|i| points.iter().map(|p| p.area * p.at[i]).sum::<f64>() / area);
    let scatter: [f64; 3] =
        std::array::from_fn(|i| points.iter().map(|p| p.area * (p.at[i] - mean[i]).powi(2)).sum());
    let axis = (0..3)
        .max_by(|a, b| scatter[*a].total_cmp(&scatter[*b]))
        .unwrap_or(0);
    (Point { at: mean, area }, axis, scatter[axis])
}

/// Cuts the box that scatters most, where it leaves least scatter on both sides, until there are `size`.
fn cut(points: Vec<Point>, size: usize) -> Vec<Point> {
    let mut boxes = vec![points];
    while boxes.len() < size {
        let Some((at, axis, scatter)) = boxes
            .iter()
            .enumerate()
            .map(|(at, b)| (at, moments(b)))
            .map(|(at, (_, axis, scatter))| (at, axis, scatter))
            .max_by(|x, y| x.2.total_cmp(&y.2))
        else {
            break;
        };
        if scatter <= 0.0 {
            break;
        }
        let mut whole = boxes.swap_remove(at);
        whole.sort_by(|x, y| x.at[axis].total_cmp(&y.at[axis]));
        let rest = whole.split_off(best_cut(&whole, axis));
        boxes.push(whole);
        boxes.push(rest);
    }
    boxes.iter().map(|b| moments(b).0).collect()
}

/// Where to cut a sorted box of at least two points: the place with the most scatter between its sides.
fn best_cut(points: &[Point], axis: usize) -> usize {
    let whole: f64 = points.iter().map(|p| p.area).sum();
    let total: f64 = points.iter().map(|p| p.area * p.at[axis]).sum();
    let (mut area, mut sum) = (0.0, 0.0);
    let mut best = (f64::NEG_INFINITY, 1);
    for (at, p) in points.iter().enumerate().take(points.len() - 1) {
        area += p.area;
        sum += p.area * p.at[axis];
        let between = sum * sum / area + (total - sum).powi(2) / (whole - area);
        if between > best.0 {
            best = (between, at + 1);
        }
    }
    best.1
}

/// Weighted k-means (Lloyd 1982) from these centres; centres that lose all their points are dropped.
fn settle(points: &[Point], mut centres: Vec<Point>) -> Vec<Point> {
    let mut owner = vec![usize::MAX; points.len()];
    for _ in 0..ROUNDS {
        let mut moved = false;
        for (own, point) in owner.iter_mut().zip(points) {
            let nearest = nearest(point, &centres);
            moved |= nearest != *own;
            *own = nearest;
        }
        if !moved {
            break;
        }
        let mut sums = vec![[0.0; 4]; centres.len()];
        for (own, p) in owner.iter().zip(points) {
            for (sum, v) in sums[*own].iter_mut().zip(p.at) {
                *sum += v * p.area;
            }
            sums[*own][3] += p.area;
        }
        for (centre, [l, a, b, area]) in centres.iter_mut().zip(sums) {
            centre.area = area;
            if area > 0.0 {
                centre.at = [l / area, a / area, b / area];
            }
        }
    }
    centres.retain(|c| c.area > 0.0);
    centres
}

fn nearest(point: &Point, centres: &[Point]) -> usize {
    let mut best = (f64::INFINITY, 0);
    for (at, centre) in centres.iter().enumerate() {
        let d: f64 = point.at.iter().zip(centre.at).map(|(p, c)| (p - c).powi(2)).sum();
        if d < best.0 {
            best = (d, at);
        }
    }
    best.1
}
