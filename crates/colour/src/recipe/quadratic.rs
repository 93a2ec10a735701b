//! The smallest value of a quadratic form in a box: one step of a bounded least-squares search.

/// 1/2 s'Hs + g's in the first `n` of `N` unknowns; H positive definite.
#[derive(Clone, Debug)]
pub(crate) struct Quadratic<const N: usize> {
    pub n: usize,
    pub gradient: [f64; N],
    pub curvature: [[f64; N]; N],
}

/// Where the unknowns may lie: `low <= s <= high`, and their sum at most `sum`.
#[derive(Clone, Debug)]
pub(crate) struct Bounds<const N: usize> {
    pub low: [f64; N],
    pub high: [f64; N],
    pub sum: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Held {
    Free,
    Low,
    High,
}

impl<const N: usize> Quadratic<N> {
    pub fn new(n: usize) -> Self {
        Self {
            n,
            gradient: [0.0; N],
            curvature: [[0.0; N]; N],
        }
    }

    /// Adds 1/2 r^2 of a residual with this slope, to the gradient and (Gauss-Newton) to the curvature.
    pub fn add(&mut self, residual: f64, slope: &[f64; N]) {
        for i in 0..self.n {
            self.gradient[i] += residual * slope[i];
            for j in 0..=i {
                self.curvature[i][j] += slope[i] * slope[j];
            }
        }
    }

    /// The upper half from the lower, after the last [`Quadratic::add`].
    pub fn mirror(&mut self) {
        for i in 0..self.n {
            for j in 0..i {
                self.curvature[j][i] = self.curvature[i][j];
            }
        }
    }

    /// Value of the form.
    pub fn value(&self, s: &[f64; N]) -> f64 {
        (0..self.n)
            .map(|i| {
                let bend: f64 = (0..self.n).map(|j| self.curvature[i][j] * s[j]).sum();
                s[i] * (self.gradient[i] + bend / 2.0)
            })
            .sum()
    }

    /// The lowest point within `bounds`, which must hold 0.
    ///
    /// The box by an active set. The sum by its price: the sum of the lowest point falls as the price per unit
    /// rises, so the price at which it fits is found by halving.
    pub fn lowest(&self, bounds: &Bounds<N>) -> [f64; N] {
        let free = self.in_box(0.0, bounds);
        let sum = |s: &[f64; N]| s[..self.n].iter().sum::<f64>();
        if sum(&free) <= bounds.sum {
            return free;
        }
        let over = |price: f64| sum(&self.in_box(price, bounds)) - bounds.sum;
        let (mut under, mut above) = ((0.0, sum(&free) - bounds.sum), 1.0);
        while over(above) > 0.0 && above < 1e30 {
            above *= 8.0;
        }
        // The sum falls along straight pieces: regula falsi (Illinois) meets the right one in a few rounds.
        let mut above = (above, over(above));
        let mut side = 0;
        for _ in 0..40 {
            let price = (under.0 * above.1 - above.0 * under.1) / (above.1 - under.1);
            let there = over(price);
            if there > 0.0 {
                under = (price, there);
                if side == 1 {
                    above.1 *= 0.5;
                }
                side = 1;
            } else {
                above = (price, there);
                if there > -1e-12 * bounds.sum {
                    break;
                }
                if side == -1 {
                    under.1 *= 0.5;
                }
                side = -1;
            }
        }
        self.in_box(above.0, bounds)
    }

    /// The lowest point in the box if each unit of each unknown costs `price` more.
    fn in_box(&self, price: f64, bounds: &Bounds<N>) -> [f64; N] {
        let n = self.n;
        let mut s = [0.0; N];
        let mut held = [Held::Free; N];
        let slope_at = |s: &[f64; N], i: usize| {
            self.gradient[i] + price + (0..n).map(|j| self.curvature[i][j] * s[j]).sum::<f64>()
        };
        for i in 0..n {
            let slope = slope_at(&s, i);
            if bounds.low[i] >= 0.0 && slope > 0.0 {
                held[i] = Held::Low;
            } else if bounds.high[i] <= 0.0 && slope < 0.0 {
                held[i] = Held::High;
            }
        }
        // Each round frees or holds one unknown; a set is never met twice but for rounding, which the count ends.
        for _ in 0..8 * N {
            let mut slope = [0.0; N];
            (0..n).for_each(|i| slope[i] = slope_at(&s, i));
            let step = self.newton(&held, &slope);
            let mut share = 1.0;
            let mut blocked = None;
            for i in (0..n).filter(|i| held[*i] == Held::Free) {
                let (wall, side) = if step[i] < 0.0 {
                    (bounds.low[i], Held::Low)
                } else {
                    (bounds.high[i], Held::High)
                };
                if (s[i] + step[i] - wall) * step[i] > 0.0 {
                    let reach = ((wall - s[i]) / step[i]).max(0.0);
                    if reach < share {
                        share = reach;
                        blocked = Some((i, wall, side));
                    }
                }
            }
            for i in 0..n {
                s[i] += share * step[i];
            }
            if let Some((i, wall, side)) = blocked {
                s[i] = wall;
                held[i] = side;
                continue;
            }
            let mut worst = (0.0, None);
            for (i, held) in held.iter().enumerate().take(n) {
                let inward = match held {
                    Held::Free => continue,
                    Held::Low => -slope_at(&s, i),
                    Held::High => slope_at(&s, i),
                };
                // Below this it is rounding.
                let noise = 1e-12 * (self.gradient[i].abs() + price);
                if inward > noise && inward > worst.0 && bounds.low[i] < bounds.high[i] {
                    worst = (inward, Some(i));
                }
            }
            match worst.1 {
                Some(i) => held[i] = Held::Free,
                None => break,
            }
        }
        s
    }

    /// Newton step of the free unknowns (Cholesky); 0 for the others.
    fn newton(&self, held: &[Held; N], slope: &[f64; N]) -> [f64; N] {
        let mut free = [0; N];
        let mut count = 0;
        for i in (0..self.n).filter(|i| held[*i] == Held::Free) {
            free[count] = i;
            count += 1;
        }
        let mut l = [[0.0; N]; N];
        let mut y = [0.0; N];
        for r in 0..count {
            for c in 0..=r {
                let dot: f64 = (0..c).map(|k| l[r][k] * l[c][k]).sum();
                let rest = self.curvature[free[r]][free[c]] - dot;
                l[r][c] = if r == c {
                    // Rounding may leave nothing of a pivot whose column repeats another's.
                    rest.max(self.curvature[free[r]][free[r]] * 1e-14)
                        .max(1e-300)
                        .sqrt()
                } else {
                    rest / l[c][c]
                };
            }
            let dot: f64 = (0..r).map(|k| l[r][k] * y[k]).sum();
            y[r] = (-slope[free[r]] - dot) / l[r][r];
        }
        let mut step = [0.0; N];
        for r in (0..count).rev() {
            let dot: f64 = (r + 1..count).map(|k| l[k][r] * step[free[k]]).sum();
            step[free[r]] = (y[r] - dot) / l[r][r];
        }
        step
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const N: usize = 8;

    /// A case of `tests/data/bounded_least_squares.csv`.
    fn case(number: usize) -> (Quadratic<N>, Vec<f64>, Vec<f64>) {
        let text = include_str!("../../tests/data/bounded_least_squares.csv");
        let mut form = Quadratic::new(0);
        let mut answers = Vec::new();
        for line in text.lines().skip(3) {
            let cells: Vec<&str> = line.split(',').collect();
            if cells[0].parse() != Ok(number) {
                continue;
            }
            let mut numbers: Vec<f64> = cells[2].split(' ').map(|n| n.parse().unwrap()).collect();
            if cells[1] == "M" {
                let y = numbers.pop().unwrap();
                form.n = numbers.len();
                let mut slope = [0.0; N];
                slope[..form.n].copy_from_slice(&numbers);
                form.add(-y, &slope);
            } else {
                answers.push(numbers);
            }
        }
        form.mirror();
        let bounded = answers.pop().unwrap();
        (form, answers.pop().unwrap(), bounded)
    }

    fn near(found: &[f64; N], expected: &[f64], what: &str) {
        for (f, e) in found.iter().zip(expected) {
            assert!((f - e).abs() < 1e-6, "{what}: {found:?} is not {expected:?}");
        }
    }

    /// scipy's nnls and lsq_linear: see the head of the data.
    #[test]
    fn bounded_least_squares() {
        for number in 1..=10 {
            let (form, nnls, bounded) = case(number);
            let mut bounds = Bounds {
                low: [0.0; N],
                high: [f64::INFINITY; N],
                sum: f64::INFINITY,
            };
            near(&form.lowest(&bounds), &nnls, &format!("case {number}, nnls"));
            bounds.high = [0.6; N];
            near(
                &form.lowest(&bounds),
                &bounded,
                &format!("case {number}, bounded"),
            );
        }
    }

    /// With the sum limited, no move of mass that stays within the limits goes lower (the conditions of Kuhn and
    /// Tucker, tried by hand).
    #[test]
    fn limited_sum() {
        for number in 1..=10 {
            let (form, nnls, _) = case(number);
            let whole: f64 = nnls.iter().sum();
            let bounds = Bounds {
                low: [0.0; N],
                high: [f64::INFINITY; N],
                sum: 0.6 * whole,
            };
            let s = form.lowest(&bounds);
            assert!(
                (s.iter().sum::<f64>() - 0.6 * whole).abs() <= 1e-9 * whole,
                "case {number}"
            );
            for from in 0..form.n {
                for to in 0..form.n {
                    let mut other = s;
                    let moved = s[from].min(1e-4);
                    other[from] -= moved;
                    other[to] += moved;
                    let gain = form.value(&s) - form.value(&other);
                    assert!(
                        gain < 1e-10,
                        "case {number}: {s:?} gains {gain} from {from} to {to}"
                    );
                }
            }
        }
    }
}
