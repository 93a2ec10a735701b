//! The edges of an area in square bins, so that what is near a point is found without looking at all of it.

use crate::area::{Area, Bounds, Point};

/// Side of a bin, mm.
const BIN: f64 = 2.0;

/// One edge with its place on its ring.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub a: Point,
    pub b: Point,
    /// Number of the ring it belongs to.
    pub ring: usize,
    /// Length of the ring before `a`, mm.
    pub run: f64,
}

impl Edge {
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
    pub fn length(&self) -> f64 {
        (self.b[0] - self.a[0]).hypot(self.b[1] - self.a[1])
    }
    /// Unit vector from `a` to `b`; zero for an edge without length.
    pub fn direction(&self) -> Point {
        let len = self.length();
        if len > 0.0 {
            [(self.b[0] - self.a[0]) / len, (self.b[1] - self.a[1]) / len]
        } else {
            [0.0; 2]
        }
    }
}

/// Edges by bin.
pub(crate) struct Edges {
    pub all: Vec<Edge>,
    /// Length of each ring, mm.
    pub ring_mm: Vec<f64>,
    low: Point,
    columns: usize,
    rows: usize,
    bins: Vec<Vec<u32>>,
}

impl Edges {
    /// Bins for the edges of an area; none if it is empty.
    pub fn of(area: &Area) -> Option<Self> {
        let around = area.bounds()?;
        let count = |length: f64| (length / BIN) as usize + 1;
        let (columns, rows) = (count(around.width()), count(around.height()));
        let mut edges = Self {
            all: Vec::with_capacity(area.points()),
            ring_mm: Vec::new(),
            low: around.low,
            columns,
            rows,
            bins: vec![Vec::new(); columns * rows],
        };
        for (ring, points) in area.rings().enumerate() {
            let mut run = 0.0;
            for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
                let edge = Edge {
                    a: *a,
                    b: *b,
                    ring,
                    run,
                };
                run += edge.length();
                edges.insert(edge);
            }
            edges.ring_mm.push(run);
        }
        Some(edges)
    }

    fn insert(&mut self, edge: Edge) {
        let number = self.all.len() as u32;
        self.all.push(edge);
        // A long edge goes in piece by piece, so that a diagonal does not fill the square around it.
        let pieces = (edge.length() / BIN).ceil().max(1.0) as usize;
        let at = |k: usize| {
            let t = k as f64 / pieces as f64;
            [
                edge.a[0] + t * (edge.b[0] - edge.a[0]),
                edge.a[1] + t * (edge.b[1] - edge.a[1]),
            ]
        };
        for k in 0..pieces {
            let (p, q) = (at(k), at(k + 1));
            let piece = Bounds { low: p, high: p }.with(&Bounds { low: q, high: q });
            for bin in self.bins_in(&piece) {
                if self.bins[bin].last() != Some(&number) {
                    self.bins[bin].push(number);
                }
            }
        }
    }

    fn column(&self, x: f64) -> i64 {
        ((x - self.low[0]) / BIN).floor() as i64
    }
    fn row(&self, y: f64) -> i64 {
        ((y - self.low[1]) / BIN).floor() as i64
    }

    fn bins_in(&self, b: &Bounds) -> impl Iterator<Item = usize> + use<> {
        let (columns, rows) = (self.columns as i64, self.rows as i64);
        let xs = self.column(b.low[0]).max(0)..=self.column(b.high[0]).min(columns - 1);
        let ys = self.row(b.low[1]).max(0)..=self.row(b.high[1]).min(rows - 1);
        ys.flat_map(move |y| xs.clone().map(move |x| (y * columns + x) as usize))
    }

    /// Numbers of the edges that may meet a rectangle; an edge may come more than once.
    pub fn near(&self, b: &Bounds) -> impl Iterator<Item = usize> + '_ {
        self.bins_in(b)
            .flat_map(|bin| self.bins[bin].iter().map(|e| *e as usize))
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
            if (ring - 1) as f64 * BIN > (best + spread).min(reach) {
                break;
            }
            for (cx, cy) in ring_of(x, y, ring) {
                if cx < 0 || cy < 0 || cx >= self.columns as i64 || cy >= self.rows as i64 {
                    continue;
                }
                for &e in &self.bins[(cy * self.columns as i64 + cx) as usize] {
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
