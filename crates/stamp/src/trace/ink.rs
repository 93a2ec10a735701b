//! What is ink: darker than the paper around it, whatever the light on it.

use super::decode::Grey;

/// Blocks across the greater side in which paper is looked for.
const BLOCKS: usize = 24;
/// Share of a block's pixels that are lighter than what is taken for its paper.
const LIGHTEST: f64 = 0.10;
/// A block whose lightest is darker than this share of the picture's paper is all ink, and shows no paper.
const SHADE: f64 = 0.55;

/// How much each pixel is ink: 0 at the edge, positive in ink, in units of the way from ink to paper.
pub(super) struct Ink {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
}

impl Ink {
    /// At a pixel; beyond the picture is paper.
    pub fn at(&self, x: i64, y: i64) -> f32 {
        let inside = x >= 0 && y >= 0 && x < self.width as i64 && y < self.height as i64;
        if inside {
            self.values[y as usize * self.width + x as usize]
        } else {
            -1.0
        }
    }
}

pub(super) fn ink(grey: Grey, threshold: f64, smoothing: f64) -> Ink {
    let (width, height) = (grey.width, grey.height);
    let paper = Paper::of(&grey);
    let darkest = darkest(&grey, &paper).min(paper.lightest as f64 * 0.9);
    let mut values: Vec<f32> = Vec::with_capacity(width * height);
    for (y, row) in grey.values.chunks_exact(width).enumerate() {
        let across = paper.row(y);
        for (x, v) in row.iter().enumerate() {
            let paper = across.at(x);
            // Shade dims ink as it dims paper.
            let ink = darkest * paper / f64::from(paper_max(&across, paper));
            let way = (f64::from(*v) - ink) / (paper - ink).max(8.0);
            values.push((threshold - way) as f32);
        }
    }
    drop(grey);
    let mut ink = Ink {
        width,
        height,
        values,
    };
    blur(&mut ink, smoothing);
    ink
}

/// How dark ink is: the darkest hundredth of the picture; of a drawing that covers less, the darkest thousandth, or grain
/// of the paper would be taken for ink.
fn darkest(grey: &Grey, paper: &Paper) -> f64 {
    let usual = share_below(histogram(grey.values.iter().copied()), 0.01);
    let level = (grey.values.chunks_exact(grey.width).enumerate()).flat_map(|(y, row)| {
        let across = paper.row(y);
        let even = move |(x, v): (usize, &u8)| {
            let lit = f64::from(*v) * f64::from(paper.lightest) / across.at(x).max(1.0);
            lit.clamp(0.0, 255.0) as u8
        };
        row.iter().enumerate().map(even).collect::<Vec<u8>>()
    });
    let level = histogram(level);
    let (hundredth, thousandth) = (share_below(level, 0.01), share_below(level, 0.001));
    if hundredth > f64::midpoint(thousandth, f64::from(paper.lightest)) {
        usual.min(thousandth)
    } else {
        usual
    }
}

fn paper_max(row: &PaperRow, paper: f64) -> f32 {
    row.lightest.max(paper as f32).max(1.0)
}

fn histogram(values: impl Iterator<Item = u8>) -> [u32; 256] {
    let mut count = [0; 256];
    values.for_each(|v| count[usize::from(v)] += 1);
    count
}

/// The value below which this share of a histogram lies.
fn share_below(count: [u32; 256], share: f64) -> f64 {
    let all: u32 = count.iter().sum();
    let mut sum = 0;
    for (v, n) in count.iter().enumerate() {
        sum += n;
        if f64::from(sum) > share * f64::from(all) {
            return v as f64;
        }
    }
    255.0
}

/// The paper's lightness in blocks, blended between their middles.
struct Paper {
    side: usize,
    columns: usize,
    rows: usize,
    blocks: Vec<f32>,
    lightest: f32,
}

impl Paper {
    fn of(grey: &Grey) -> Self {
        let side = (grey.width.max(grey.height) / BLOCKS).max(8);
        let (columns, rows) = (grey.width.div_ceil(side), grey.height.div_ceil(side));
        let block = |j: usize, i: usize| {
            let rows = j * side..((j + 1) * side).min(grey.height);
            let columns = i * side..((i + 1) * side).min(grey.width);
            let values = rows.flat_map(|y| grey.values[y * grey.width..][columns.clone()].iter().copied());
            share_below(histogram(values), 1.0 - LIGHTEST) as f32
        };
        let all = (0..rows).flat_map(|j| (0..columns).map(move |i| (j, i)));
        let mut blocks: Vec<f32> = all.map(|(j, i)| block(j, i)).collect();
        // A block on the rim of a large ink shows hardly any paper: the lightest of its neighbours counts.
        let near = |k: usize| {
            let (j, i) = ((k / columns) as i64, (k % columns) as i64);
            (j - 1..=j + 1)
                .flat_map(move |j| (i - 1..=i + 1).map(move |i| (j, i)))
                .filter(move |(j, i)| (0..rows as i64).contains(j) && (0..columns as i64).contains(i))
                .map(move |(j, i)| j as usize * columns + i as usize)
        };
        blocks = (0..blocks.len())
            .map(|k| near(k).map(|n| blocks[n]).fold(0.0, f32::max))
            .collect();
        let lightest = blocks.iter().copied().fold(0.0, f32::max);
        // Blocks that show no paper take it from their neighbours, ring by ring.
        let mut shows: Vec<bool> = blocks.iter().map(|v| *v >= SHADE as f32 * lightest).collect();
        while shows.iter().any(|s| !s) {
            let seen = shows.clone();
            for k in 0..blocks.len() {
                if seen[k] {
                    continue;
                }
                let known: Vec<f32> = near(k).filter(|n| seen[*n]).map(|n| blocks[n]).collect();
                if !known.is_empty() {
                    blocks[k] = known.iter().sum::<f32>() / known.len() as f32;
                    shows[k] = true;
                }
            }
        }
        Self {
            side,
            columns,
            rows,
            blocks,
            lightest,
        }
    }

    /// The blocks blended at the height of one row.
    fn row(&self, y: usize) -> PaperRow {
        let v = ((y as f64 + 0.5) / self.side as f64 - 0.5).clamp(0.0, (self.rows - 1) as f64);
        let (j, f) = (v as usize, v.fract() as f32);
        let below = (j + 1).min(self.rows - 1);
        let blocks = (0..self.columns)
            .map(|i| {
                self.blocks[j * self.columns + i] * (1.0 - f) + self.blocks[below * self.columns + i] * f
            })
            .collect();
        PaperRow {
            side: self.side,
            blocks,
            lightest: self.lightest,
        }
    }
}

struct PaperRow {
    side: usize,
    blocks: Vec<f32>,
    lightest: f32,
}

impl PaperRow {
    fn at(&self, x: usize) -> f64 {
        let last = self.blocks.len() - 1;
        let u = ((x as f64 + 0.5) / self.side as f64 - 0.5).clamp(0.0, last as f64);
        let i = u as usize;
        let (a, b) = (self.blocks[i], self.blocks[(i + 1).min(last)]);
        f64::from(a) + (f64::from(b) - f64::from(a)) * u.fract()
    }
}

/// Gaussian blur in place, one row and one column at a time.
fn blur(ink: &mut Ink, sigma: f64) {
    if sigma < 0.1 {
        return;
    }
    let reach = (3.0 * sigma).ceil() as i64;
    let taps: Vec<f32> = (-reach..=reach)
        .map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp() as f32)
        .collect();
    let sum: f32 = taps.iter().sum();
    let mut line = vec![0f32; ink.width.max(ink.height)];
    let mut pass = |values: &mut [f32], start: usize, step: usize, n: usize| {
        for k in 0..n {
            line[k] = values[start + k * step];
        }
        for k in 0..n {
            let around = taps.iter().enumerate().map(|(t, w)| {
                let at = (k as i64 + t as i64 - reach).clamp(0, n as i64 - 1);
                w * line[at as usize]
            });
            values[start + k * step] = around.sum::<f32>() / sum;
        }
    };
    for y in 0..ink.height {
        pass(&mut ink.values, y * ink.width, 1, ink.width);
    }
    for x in 0..ink.width {
        pass(&mut ink.values, x, ink.width, ink.height);
    }
}
