//! Where the stamp stood on a piece of cloth: the drawing is moved over the picture until wax and bare cloth part the
//! colours best.

use super::Sheet;
use colour::Lab;
use rayon::prelude::*;
use route::StampUse;

/// How one impression lies beside its ideal place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Column and row in the layout; which repeat is (0, 0) is arbitrary.
    pub at: [i32; 2],
    /// Across and along, mm of the piece.
    pub mm: [f64; 2],
}

/// The layout on a piece of cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    /// Point of the layout (mm of the drawing) under the middle of the piece.
    pub middle_mm: [f64; 2],
    /// Turn of the layout against the piece, rad.
    pub turn: f64,
    /// Millimetres of the piece to a millimetre of the drawing, across and along.
    pub scale: [f64; 2],
    /// Share of the colours' scatter that wax against bare explains, 0 to 1.
    pub told: f64,
    /// The same for the best place that is clearly another one.
    pub rival: f64,
    /// Impressions that were looked at one by one.
    pub slips: Vec<Slip>,
    /// Signed distance of every square to the wax edge, mm of the piece, positive in the wax.
    pub wax_mm: Vec<f32>,
}

/// Squares nearer to a wax edge than this speak for neither side, mm: wax feathers, and the hand slips.
pub(super) const EDGE: f32 = 0.7;
/// Step of the layout's raster, mm of the drawing.
const RASTER: f64 = 0.5;
/// First search: step of the offset and of the squares, mm, and turns, rad.
const STEP: f64 = 2.5;
const THIN: f64 = 4.0;
const TURNS: [f64; 3] = [-0.02, 0.0, 0.02];
/// How many of the first search's best places are followed up, on squares of this step, mm.
const FOLLOWED: usize = 12;
const FOLLOWED_STEP: f64 = 2.0;
/// How far cloth may have shrunk otherwise than said. Wider, and slips of the hand would pass for shrinkage.
const SHRUNK: f64 = 0.02;
/// A place this far from the best one is another one, mm.
const APART: f64 = 8.0;
/// How far a single impression is looked for, mm.
const SLIPS: f64 = 4.0;

/// Signed wax distance over two repeats each way, a period of every layout.
struct Raster {
    period: [f64; 2],
    n: [usize; 2],
    mm: Vec<f32>,
}

impl Raster {
    fn of(used: &StampUse) -> Self {
        let lattice = used.repeat();
        let period = lattice.repeat_mm.map(|r| 2.0 * r);
        let n = period.map(|p| (p / RASTER).ceil().max(1.0) as usize);
        let mask = used.stamp.mask();
        let mm = (0..n[0] * n[1])
            .into_par_iter()
            .map(|k| {
                let at = |k: usize, axis: usize| (k as f64 + 0.5) * period[axis] / n[axis] as f64;
                let (x, y) = (at(k % n[0], 0), at(k / n[0], 1));
                let one = |(i, j): (i32, i32)| {
                    let corner = lattice.corner(i, j);
                    mask.distance((x - corner[0]) as f32, (y - corner[1]) as f32)
                };
                lattice
                    .nearest(x, y)
                    .into_iter()
                    .map(one)
                    .fold(f32::MIN, f32::max)
            })
            .collect();
        Self { period, n, mm }
    }

    fn at(&self, p: [f64; 2]) -> f32 {
        let cell = |axis: usize| {
            let share = (p[axis] / self.period[axis]).rem_euclid(1.0);
            ((share * self.n[axis] as f64) as usize).min(self.n[axis] - 1)
        };
        self.mm[cell(1) * self.n[0] + cell(0)]
    }
}

/// A place of the layout: middle across and along, turn, scale across and along.
type Pose = [f64; 5];

fn point(pose: &Pose, at: [f64; 2]) -> [f64; 2] {
    let (sin, cos) = pose[2].sin_cos();
    let [x, y] = [at[0] / pose[3], at[1] / pose[4]];
    [pose[0] + cos * x - sin * y, pose[1] + sin * x + cos * y]
}

/// A square of the piece: where it is, seen from the middle, and its colour.
type Square = ([f64; 2], [f64; 3]);

/// Share of the scatter of colours that lies between wax and bare cloth.
fn told(squares: impl Iterator<Item = ([f64; 3], f32)>) -> f64 {
    let mut sums = [[0.0f64; 5]; 2];
    for (colour, wax) in squares {
        if wax.abs() < EDGE {
            continue;
        }
        let sum = &mut sums[usize::from(wax > 0.0)];
        for k in 0..3 {
            sum[k] += colour[k];
            sum[3] += colour[k] * colour[k];
        }
        sum[4] += 1.0;
    }
    let [bare, waxed] = sums;
    let (all, least) = (bare[4] + waxed[4], bare[4].min(waxed[4]));
    if least < 0.01 * all || all < 50.0 {
        return 0.0;
    }
    let mean = |k: usize| (bare[k] + waxed[k]) / all;
    let scatter = (bare[3] + waxed[3]) / all - (0..3).map(|k| mean(k).powi(2)).sum::<f64>();
    let apart: f64 = (0..3)
        .map(|k| (bare[k] / bare[4] - waxed[k] / waxed[4]).powi(2))
        .sum();
    if scatter <= 1e-9 {
        0.0
    } else {
        apart * bare[4] * waxed[4] / (all * all) / scatter
    }
}

/// Finds the layout of a stamp on a piece of cloth. `scale` is finished over stamped size (see `route::sizes`); it may
/// be off by a few percent. Nothing if the piece has no two colours that a drawing could part.
pub fn register(sheet: &Sheet, used: &StampUse, scale: [f64; 2]) -> Option<Laid> {
    let raster = Raster::of(used);
    let lab = sheet.lab();
    let squares = squares(sheet, &lab);
    let thinned = |step: f64| -> Vec<Square> {
        let every = ((step / sheet.pitch_mm).round() as usize).max(1);
        let stays =
            |k: usize| (k % sheet.size[0]).is_multiple_of(every) && (k / sheet.size[0]).is_multiple_of(every);
        (0..squares.len())
            .filter(|k| stays(*k))
            .map(|k| squares[k])
            .collect()
    };
    let (thin, followed) = (thinned(THIN), thinned(FOLLOWED_STEP));
    let mm = scale[0].min(scale[1]) as f32;
    let value = |squares: &[Square], pose: &Pose| {
        if (pose[3] / scale[0] - 1.0)
            .abs()
            .max((pose[4] / scale[1] - 1.0).abs())
            > SHRUNK
        {
            return -1.0;
        }
        told(
            squares
                .iter()
                .map(|(at, colour)| (*colour, mm * raster.at(point(pose, *at)))),
        )
    };
    let repeat = used.repeat().repeat_mm;
    let places = repeat.map(|r| (r / STEP).ceil() as usize);
    let mut first: Vec<(f64, Pose)> = (0..places[0] * places[1] * TURNS.len())
        .into_par_iter()
        .map(|k| {
            let (place, turn) = (k / TURNS.len(), TURNS[k % TURNS.len()]);
            let at = |k: usize, axis: usize| k as f64 * repeat[axis] / places[axis] as f64;
            let pose = [
                at(place % places[0], 0),
                at(place / places[0], 1),
                turn,
                scale[0],
                scale[1],
            ];
            (value(&thin, &pose), pose)
        })
        .collect();
    first.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (_, pose) = first
        .par_iter()
        .take(FOLLOWED)
        .map(|(_, pose)| {
            climb(*pose, &[1.0, 1.0, 0.01, 0.008, 0.008], |pose| {
                value(&followed, pose)
            })
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let rival = first
        .iter()
        .find(|(_, other)| apart(pose, *other, repeat) > APART)
        .map_or(0.0, |(_, other)| value(&followed, other));
    let (wax_mm, slips) = singly(sheet, used, &raster, &squares, &pose);
    let told = told(squares.iter().map(|s| s.1).zip(wax_mm.iter().copied()));
    (told > 0.0).then_some(Laid {
        middle_mm: [pose[0], pose[1]],
        turn: pose[2],
        scale: [pose[3], pose[4]],
        told,
        rival,
        slips,
        wax_mm,
    })
}

fn squares(sheet: &Sheet, lab: &[Lab]) -> Vec<Square> {
    let middle = sheet.size.map(|n| n as f64 / 2.0);
    let square = |(k, lab): (usize, &Lab)| {
        let at = |v: usize, axis: usize| (v as f64 + 0.5 - middle[axis]) * sheet.pitch_mm;
        (
            [at(k % sheet.size[0], 0), at(k / sheet.size[0], 1)],
            [lab.l, lab.a, lab.b],
        )
    };
    lab.iter().enumerate().map(square).collect()
}

/// Distance of two places, the repeat taken as endless.
fn apart(one: Pose, other: Pose, repeat: [f64; 2]) -> f64 {
    let away = |k: usize| {
        let d = (one[k] - other[k]).rem_euclid(repeat[k]);
        d.min(repeat[k] - d)
    };
    away(0).hypot(away(1))
}

/// Pattern search (Hooke and Jeeves 1961): a step each way along each axis, halved when none is better.
fn climb<const N: usize>(
    mut at: [f64; N],
    step: &[f64; N],
    value: impl Fn(&[f64; N]) -> f64,
) -> (f64, [f64; N]) {
    let mut best = value(&at);
    let mut share = 1.0;
    while share > 0.05 {
        let mut moved = false;
        for axis in 0..N {
            for sign in [1.0, -1.0] {
                let mut tried = at;
                tried[axis] += sign * share * step[axis];
                let found = value(&tried);
                if found > best {
                    (best, at, moved) = (found, tried, true);
                    break;
                }
            }
        }
        if !moved {
            share *= 0.5;
        }
    }
    (best, at)
}

/// What was found of an impression, and the wax distance of each of its squares.
type Single = (Option<Slip>, Vec<(usize, f32)>);

/// Each impression by itself: the hand sets them a millimetre or two beside their places.
fn singly(
    sheet: &Sheet,
    used: &StampUse,
    raster: &Raster,
    squares: &[Square],
    pose: &Pose,
) -> (Vec<f32>, Vec<Slip>) {
    let lattice = used.repeat();
    let mm = pose[3].min(pose[4]) as f32;
    let mut of: Vec<((i32, i32), usize)> = squares
        .iter()
        .enumerate()
        .map(|(k, (at, _))| {
            let [x, y] = point(pose, *at);
            let half = lattice.repeat_mm.map(|r| r / 2.0);
            let away = |(i, j): &(i32, i32)| {
                let corner = lattice.corner(*i, *j);
                (x - corner[0] - half[0])
                    .abs()
                    .max((y - corner[1] - half[1]).abs())
            };
            let four = lattice.nearest(x, y);
            let nearest = four.into_iter().min_by(|a, b| away(a).total_cmp(&away(b)));
            (nearest.unwrap_or_default(), k)
        })
        .collect();
    of.sort_unstable();
    let whole = lattice.repeat_mm[0] * pose[3] * lattice.repeat_mm[1] * pose[4] / sheet.pitch_mm.powi(2);
    let groups: Vec<&[((i32, i32), usize)]> = of.chunk_by(|a, b| a.0 == b.0).collect();
    let fitted: Vec<Single> = groups
        .into_par_iter()
        .map(|group| {
            let moved = |slip: &[f64; 2], at: [f64; 2]| {
                mm * raster.at(point(pose, [at[0] - slip[0], at[1] - slip[1]]))
            };
            let value = |slip: &[f64; 2]| {
                if slip[0].hypot(slip[1]) > SLIPS {
                    return -1.0;
                }
                told(
                    group
                        .iter()
                        .map(|(_, k)| (squares[*k].1, moved(slip, squares[*k].0))),
                )
            };
            // An impression of which less than a third is seen may be drawn anywhere by its few edges.
            let enough = group.len() as f64 > whole / 3.0;
            let slip = if enough {
                climb([0.0; 2], &[1.0; 2], value).1
            } else {
                [0.0; 2]
            };
            let of = group
                .iter()
                .map(|(_, k)| (*k, moved(&slip, squares[*k].0)))
                .collect();
            let (i, j) = group[0].0;
            (enough.then_some(Slip { at: [i, j], mm: slip }), of)
        })
        .collect();
    let mut wax = vec![0.0; squares.len()];
    let mut slips = Vec::new();
    for (slip, squares) in fitted {
        slips.extend(slip);
        for (k, distance) in squares {
            wax[k] = distance;
        }
    }
    (wax, slips)
}
