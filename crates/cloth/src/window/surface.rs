//! A response surface: values known at the nodes of a grid, cubic between them.

/// One direction of the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Where values are known, ascending; at least one.
    pub nodes: Vec<f64>,
}

impl Axis {
    /// A single node: a direction in which nothing varies.
    pub fn single(at: f64) -> Self {
        Self { nodes: vec![at] }
    }

    /// `count` nodes from `least` to `most`, at equal distances.
    pub fn even(least: f64, most: f64, count: usize) -> Self {
        let last = count.saturating_sub(1).max(1) as f64;
        let node = |i: usize| least + (most - least) * i as f64 / last;
        Self {
            nodes: (0..count.max(1)).map(node).collect(),
        }
    }

    /// The distance of nodes, if it is one.
    fn step(&self) -> Option<f64> {
        let step = (self.nodes.last()? - self.nodes[0]) / (self.nodes.len().max(2) - 1) as f64;
        let even = self
            .nodes
            .windows(2)
            .all(|w| ((w[1] - w[0]) / step - 1.0).abs() < 1e-9);
        (even && step > 0.0).then_some(step)
    }

    /// The nodes that count at `x`, and their weights: the polynomial through the nearest four (all, where there are
    /// fewer). Outside the nodes the end is held: nothing is extrapolated.
    fn weights(&self, x: f64) -> Weights {
        let n = self.nodes.len();
        let (least, most) = (self.nodes[0], self.nodes[n - 1]);
        let x = x.max(least).min(most);
        let count = n.min(4);
        let right = self.nodes.partition_point(|node| *node <= x);
        let first = right.saturating_sub(count / 2).min(n - count);
        let near = &self.nodes[first..first + count];
        let mut weight = [0.0; 4];
        for (i, w) in weight.iter_mut().enumerate().take(count) {
            let others = near.iter().enumerate().filter(|(j, _)| *j != i);
            *w = others.map(|(_, other)| (x - other) / (near[i] - other)).product();
        }
        Weights { first, count, weight }
    }
}

struct Weights {
    first: usize,
    count: usize,
    weight: [f64; 4],
}

/// Several values over a grid of up to four directions; the first is the time that a plot runs along.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    axes: [Axis; 4],
    outputs: usize,
    /// By the last axis, then the third, the second, the time, the output.
    values: Vec<f64>,
}

impl Surface {
    /// Fills the grid: `node` gives the outputs at every node, asked for in the order of [`Surface::points`].
    pub fn new(axes: [Axis; 4], outputs: usize, mut node: impl FnMut(usize) -> Vec<f64>) -> Self {
        let points: usize = axes.iter().map(|a| a.nodes.len()).product();
        let mut values = Vec::with_capacity(points * outputs);
        for point in 0..points {
            let mut these = node(point);
            these.resize(outputs, f64::NAN);
            values.extend(these);
        }
        Self {
            axes,
            outputs,
            values,
        }
    }

    /// Coordinates of all nodes of some axes, time running fastest.
    pub fn points(axes: &[Axis; 4]) -> Vec<[f64; 4]> {
        let mut points = Vec::new();
        for d in &axes[3].nodes {
            for c in &axes[2].nodes {
                for b in &axes[1].nodes {
                    points.extend(axes[0].nodes.iter().map(|a| [*a, *b, *c, *d]));
                }
            }
        }
        points
    }

    /// The grid.
    pub fn axes(&self) -> &[Axis; 4] {
        &self.axes
    }

    /// The same grid with other outputs, each node's worked out from its own.
    pub fn map(&self, outputs: usize, f: impl Fn(&[f64]) -> Vec<f64>) -> Self {
        let mut each = self.values.chunks_exact(self.outputs.max(1));
        Self::new(self.axes.clone(), outputs, |_| {
            each.next().map(&f).unwrap_or_default()
        })
    }

    /// Values along the time axis for one place on the other three: what a draw needs, once.
    pub fn along(&self, others: [f64; 3]) -> Along<'_> {
        let [b, c, d] = [0, 1, 2].map(|i| self.axes[i + 1].weights(others[i]));
        let row = self.axes[0].nodes.len() * self.outputs;
        let (nb, nc) = (self.axes[1].nodes.len(), self.axes[2].nodes.len());
        let mut values = vec![0.0; row];
        for k in 0..d.count {
            for j in 0..c.count {
                for i in 0..b.count {
                    let weight = d.weight[k] * c.weight[j] * b.weight[i];
                    let at = ((d.first + k) * nc + c.first + j) * nb + b.first + i;
                    let from = &self.values[at * row..(at + 1) * row];
                    values.iter_mut().zip(from).for_each(|(v, f)| *v += weight * f);
                }
            }
        }
        Along {
            time: &self.axes[0],
            outputs: self.outputs,
            values,
        }
    }

    /// Values at one point.
    pub fn at(&self, point: [f64; 4]) -> Vec<f64> {
        self.along([point[1], point[2], point[3]]).at(point[0])
    }
}

/// Values as functions of time alone.
pub struct Along<'a> {
    time: &'a Axis,
    outputs: usize,
    values: Vec<f64>,
}

impl Along<'_> {
    /// All outputs at a time (on the axis's own scale).
    pub fn at(&self, time: f64) -> Vec<f64> {
        (0..self.outputs)
            .map(|output| self.output(time, output))
            .collect()
    }

    /// One output.
    pub fn output(&self, time: f64, output: usize) -> f64 {
        let w = self.time.weights(time);
        (0..w.count)
            .map(|i| w.weight[i] * self.values[(w.first + i) * self.outputs + output])
            .sum()
    }
}

/// Where many places lie between the nodes of an axis, worked out once for all outputs.
#[derive(Default)]
pub(crate) struct Ruler {
    first: Vec<u32>,
    weight: Vec<[f64; 4]>,
    count: usize,
}

impl Ruler {
    /// Lays it at other places.
    pub fn lay(&mut self, axis: &Axis, places: &[f32]) {
        self.first.clear();
        self.weight.clear();
        let n = axis.nodes.len();
        self.count = n.min(4);
        let Some(step) = axis.step().filter(|_| n >= 4) else {
            for place in places {
                let w = axis.weights(f64::from(*place));
                self.first.push(w.first as u32);
                self.weight.push(w.weight);
            }
            return;
        };
        let (origin, per_step) = (axis.nodes[0], 1.0 / step);
        let last = (n - 1) as f64;
        for place in places {
            let u = ((f64::from(*place) - origin) * per_step).max(0.0).min(last);
            let first = (u as usize).saturating_sub(1).min(n - 4);
            // Lagrange's polynomials on nodes -1, 0, 1, 2.
            let t = u - first as f64 - 1.0;
            let (a, b, c, d) = (t + 1.0, t, t - 1.0, t - 2.0);
            self.first.push(first as u32);
            self.weight.push([
                -b * c * d / 6.0,
                a * c * d / 2.0,
                -a * b * d / 2.0,
                a * b * c / 6.0,
            ]);
        }
    }

    /// One output at all places, into `out`.
    pub fn read(&self, along: &Along, output: usize, out: &mut [f64]) {
        let stride = along.outputs;
        for ((value, first), weight) in out.iter_mut().zip(&self.first).zip(&self.weight) {
            let from = &along.values[*first as usize * stride + output..];
            *value = (0..self.count).map(|i| weight[i] * from[i * stride]).sum();
        }
    }
}
