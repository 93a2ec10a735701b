//! The edges of an area in square bins, so that what is near a point is found without looking at all of it.

use crate::area::{Area, Bounds, Point};

/// Greatest and least side of a bin, mm.
const BIN: [f64; 2] = [2.0, 0.25];
/// Edges that a bin should hold on average; a finely drawn stamp gets finer bins.
const PER_BIN: f64 = 4.0;

/// One edge with its place on its ring.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub a: Point,
    pub b: Point,
    /// Number of the ring it belongs to.
    pub ring: usize,
    /// Length of the ring before `a`, mm.
    pub run: f64,
    direction: Point,
    length: f64,
}

impl Edge {
    fn new(a: Point, b: Point, ring: usize, run: f64) -> Self {
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let direction = if length > 0.0 {
            [(b[0] - a[0]) / length, (b[1] - a[1]) / length]
        } else {
            [0.0; 2]
        };
        Self {
            a,
            b,
            ring,
            run,
            direction,
            length,
        }
    }
    /// Squared distance of a point from the edge, mm2, and where the nearest point lies along it, 0..1.
    #[inline]
    pub fn away(&self, p: Point) -> (f64, f64) {
        let d = [self.b[0] - self.a[0], self.b[1] - self.a[1]];
        let v = [p[0] - self.a[0], p[1] - self.a[1]];
        let len2 = d[0] * d[0] + d[1] * d[1];
        let t = if len2 > 0.0 {
            ((v[0] * d[0] + v[1] * d[1]) / len2).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let w = [v[0] - t * d[0], v[1] - t * d[1]];
        (w[0] * w[0] + w[1] * w[1], t)
    }
    pub const fn length(&self) -> f64 {
        self.length
    }
    /// Unit vector from `a` to `b`; zero for an edge without length.
    pub const fn direction(&self) -> Point {
        self.direction
    }
    /// Whether the circle around the edge meets the disc around `c`: a cheap no for most.
    #[inline]
    pub fn may_meet(&self, c: Point, radius: f64) -> bool {
        let v = [
            (self.a[0] + self.b[0]) / 2.0 - c[0],
            (self.a[1] + self.b[1]) / 2.0 - c[1],
        ];
        let reach = radius + self.length / 2.0 + 1e-9;
        v[0] * v[0] + v[1] * v[1] <= reach * reach
    }
}

/// Edges by bin.
pub(crate) struct Edges {
    pub all: Vec<Edge>,
    /// Length of each ring, mm.
    pub ring_mm: Vec<f64>,
    /// Side of a bin, mm.
    bin: f64,
    low: Point,
    columns: usize,
    rows: usize,
    /// Where the edges of each bin begin in `held`; one more than there are bins.
    first: Vec<u32>,
    held: Vec<u32>,
}

impl Edges {
    /// Bins for the edges of an area; none if it is empty.
    pub fn of(area: &Area) -> Option<Self> {
        let around = area.bounds()?;
        let room = around.width().max(1.0) * around.height().max(1.0);
        let bin = (room * PER_BIN / area.points().max(1) as f64)
            .sqrt()
            .clamp(BIN[1], BIN[0]);
        let count = |length: f64| (length / bin) as usize + 1;
        let (columns, rows) = (count(around.width()), count(around.height()));
        let mut edges = Self {
            all: Vec::with_capacity(area.points()),
            ring_mm: Vec::new(),
            bin,
            low: around.low,
            columns,
            rows,
            first: vec![0; columns * rows + 1],
            held: Vec::new(),
        };
        for (ring, points) in area.rings().enumerate() {
            let mut run = 0.0;
            for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
                let edge = Edge::new(*a, *b, ring, run);
                run += edge.length();
                edges.all.push(edge);
            }
            edges.ring_mm.push(run);
        }
        edges.fill();
        Some(edges)
    }

    /// Puts every edge into its bins: counted first, so that all bins lie in one row.
    fn fill(&mut self) {
        let mut count = vec![0u32; self.columns * self.rows + 1];
        for number in 0..self.all.len() {
            self.bins_of(number, |bin| count[bin + 1] += 1);
        }
        for bin in 1..count.len() {
            count[bin] += count[bin - 1];
        }
        self.first.clone_from(&count);
        let mut held = vec![0u32; count.last().map_or(0, |n| *n as usize)];
        for number in 0..self.all.len() {
            self.bins_of(number, |bin| {
                held[count[bin] as usize] = number as u32;
                count[bin] += 1;
            });
        }
        self.held = held;
    }

    /// Every bin that an edge may touch; one may come more than once.
    fn bins_of(&self, number: usize, mut each: impl FnMut(usize)) {
        let edge = &self.all[number];
        // A long edge goes in piece by piece, so that a diagonal does not fill the square around it.
        let pieces = (edge.length() / self.bin).ceil().max(1.0) as usize;
        let at = |k: usize| {
            let t = k as f64 / pieces as f64;
            [
                edge.a[0] + t * (edge.b[0] - edge.a[0]),
                edge.a[1] + t * (edge.b[1] - edge.a[1]),
            ]
        };
        let mut before: Option<[i64; 4]> = None;
        for k in 0..pieces {
            let (p, q) = (at(k), at(k + 1));
            let piece = Bounds { low: p, high: p }.with(&Bounds { low: q, high: q });
            let [x0, x1, y0, y1] = self.cells(&piece);
            for y in y0..=y1 {
                for x in x0..=x1 {
                    let told =
                        before.is_some_and(|[a, b, c, d]| (a..=b).contains(&x) && (c..=d).contains(&y));
                    if !told {
                        each((y * self.columns as i64 + x) as usize);
                    }
                }
            }
            before = Some([x0, x1, y0, y1]);
        }
    }

    fn column(&self, x: f64) -> i64 {
        ((x - self.low[0]) / self.bin).floor() as i64
    }
    fn row(&self, y: f64) -> i64 {
        ((y - self.low[1]) / self.bin).floor() as i64
    }

    /// First and last column and row of the bins that meet a rectangle.
    fn cells(&self, b: &Bounds) -> [i64; 4] {
        [
            self.column(b.low[0]).max(0),
            self.column(b.high[0]).min(self.columns as i64 - 1),
            self.row(b.low[1]).max(0),
            self.row(b.high[1]).min(self.rows as i64 - 1),
        ]
    }

    fn bin(&self, number: usize) -> &[u32] {
        &self.held[self.first[number] as usize..self.first[number + 1] as usize]
    }

    /// Numbers of the edges that may meet a rectangle; an edge may come more than once.
    pub fn near(&self, b: &Bounds) -> impl Iterator<Item = usize> + '_ {
        let ([x0, x1, y0, y1], columns) = (self.cells(b), self.columns as i64);
        (y0..=y1)
            .flat_map(move |y| (x0..=x1).map(move |x| (y * columns + x) as usize))
            .flat_map(|bin| self.bin(bin).iter().map(|e| *e as usize))
    }

    /// Side of a bin, mm.
    pub const fn pitch(&self) -> f64 {
        self.bin
    }

    /// Distance of a point from the outline, mm; none beyond 8 mm.
    pub fn away(&self, p: Point) -> Option<f64> {
        let mut reach = 1.0;
        while reach <= 8.0 {
            let near = self.near(&Bounds { low: p, high: p }.grown(reach));
            let least = near.map(|e| self.all[e].away(p).0).fold(f64::INFINITY, f64::min);
            if least.sqrt() <= reach {
                return Some(least.sqrt());
            }
            reach *= 2.0;
        }
        None
    }

    /// Edges whose distance from `centre` is at most `spread` more than the nearest one's and at most `reach`.
    /// `seen` is working memory.
    pub fn nearest(&self, centre: Point, spread: f64, reach: f64, seen: &mut Seen, out: &mut Vec<usize>) {
        seen.start(self.all.len());
        out.clear();
        seen.found.clear();
        let mut best = f64::INFINITY;
        let (x, y) = (self.column(centre[0]), self.row(centre[1]));
        for ring in 0i64.. {
            if (ring - 1) as f64 * self.bin > (best + spread).min(reach) {
                break;
            }
            for (cx, cy) in ring_of(x, y, ring) {
                if cx < 0 || cy < 0 || cx >= self.columns as i64 || cy >= self.rows as i64 {
                    continue;
                }
                for &e in self.bin((cy * self.columns as i64 + cx) as usize) {
                    let e = e as usize;
                    if seen.first_time(e) {
                        let d = self.all[e].away(centre).0.sqrt();
                        best = best.min(d);
                        seen.found.push((d, e));
                    }
                }
            }
        }
        let limit = (best + spread).min(reach);
        out.extend(seen.found.iter().filter(|(d, _)| *d <= limit).map(|(_, e)| *e));
    }
}

/// The bins at Chebyshev distance `ring` from one bin.
fn ring_of(x: i64, y: i64, ring: i64) -> impl Iterator<Item = (i64, i64)> {
    let across = (-ring..=ring).flat_map(move |d| [(x + d, y - ring), (x + d, y + ring)]);
    let down = (1 - ring..ring).flat_map(move |d| [(x - ring, y + d), (x + ring, y + d)]);
    across.chain(down).take(if ring == 0 { 1 } else { usize::MAX })
}

/// Which edges a search has met already.
#[derive(Default)]
pub(crate) struct Seen {
    mark: Vec<u32>,
    now: u32,
    found: Vec<(f64, usize)>,
}

impl Seen {
    fn start(&mut self, edges: usize) {
        self.mark.resize(edges, 0);
        self.now += 1;
    }
    fn first_time(&mut self, edge: usize) -> bool {
        let new = self.mark[edge] != self.now;
        self.mark[edge] = self.now;
        new
    }
}
