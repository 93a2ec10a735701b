//! Orthogonal factors (Householder) of a tall matrix, kept as their triangle.

/// R of J = QR, and Q'r.
pub(super) struct Triangle {
    /// Columns of R: column `j` has `j + 1` numbers.
    columns: Vec<Vec<f64>>,
    /// The first entries of Q'r.
    right: Vec<f64>,
}

/// Factors a matrix of columns, with a right-hand side of the same height. The matrix has at least as many rows as
/// columns, or is filled up with zeros.
pub(super) fn factor(mut columns: Vec<Vec<f64>>, mut right: Vec<f64>) -> Triangle {
    let width = columns.len();
    let height = right.len().max(width);
    right.resize(height, 0.0);
    for column in &mut columns {
        column.resize(height, 0.0);
    }
    for j in 0..width {
        let (done, rest) = columns.split_at_mut(j + 1);
        let pivot = &mut done[j];
        let length = pivot[j..].iter().map(|v| v * v).sum::<f64>().sqrt();
        if length == 0.0 {
            continue;
        }
        // The sign that does not cancel.
        let diagonal = if pivot[j] > 0.0 { -length } else { length };
        let mut mirror = pivot[j..].to_vec();
        mirror[0] -= diagonal;
        let square = dot(&mirror, &mirror);
        let reflect = |v: &mut [f64]| {
            let by = 2.0 * dot(&mirror, v) / square;
            for (x, m) in v.iter_mut().zip(&mirror) {
                *x -= by * m;
            }
        };
        for column in rest {
            reflect(&mut column[j..]);
        }
        reflect(&mut right[j..]);
        pivot[j] = diagonal;
    }
    for (j, column) in columns.iter_mut().enumerate() {
        column.truncate(j + 1);
    }
    right.truncate(width);
    Triangle { columns, right }
}

/// Sum of products in four strands, which a processor takes side by side.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (fours_a, fours_b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = fours_a
        .remainder()
        .iter()
        .zip(fours_b.remainder())
        .map(|(x, y)| x * y)
        .sum();
    let mut strands = [0.0; 4];
    for (x, y) in fours_a.zip(fours_b) {
        for (s, (x, y)) in strands.iter_mut().zip(x.iter().zip(y)) {
            *s += x * y;
        }
    }
    (strands[0] + strands[1]) + (strands[2] + strands[3]) + rest
}

impl Triangle {
    /// The step that solves the least squares with `damping * scale^2` added to the diagonal of J'J.
    pub fn damped(&self, scale: &[f64], damping: f64) -> Vec<f64> {
        let width = self.columns.len();
        let columns = (0..width)
            .map(|j| {
                let mut column = self.columns[j].clone();
                column.resize(2 * width, 0.0);
                column[width + j] = damping.sqrt() * scale[j];
                column
            })
            .collect();
        let mut right = self.right.clone();
        right.resize(2 * width, 0.0);
        factor(columns, right).solve()
    }

    /// How much of the sum of squares a step would take away if the model were linear.
    pub fn promised(&self, step: &[f64]) -> f64 {
        let width = self.columns.len();
        let before: f64 = self.right.iter().map(|v| v * v).sum();
        let after: f64 = (0..width)
            .map(|i| {
                let moved: f64 = (i..width).map(|j| self.columns[j][i] * step[j]).sum();
                (self.right[i] - moved).powi(2)
            })
            .sum();
        before - after
    }

    /// (J'J)^-1, or nothing if a column depends on the others.
    pub fn inverse_square(&self) -> Option<Vec<Vec<f64>>> {
        let width = self.columns.len();
        let longest = |j: usize| self.columns[j].iter().map(|v| v * v).sum::<f64>().sqrt();
        if (0..width).any(|j| self.columns[j][j].abs() <= 1e-14 * longest(j)) {
            return None;
        }
        // Rows of R^-1.
        let mut inverse = vec![vec![0.0; width]; width];
        #[allow(clippy::needless_range_loop)] // rows and columns of one matrix
        for j in 0..width {
            inverse[j][j] = 1.0 / self.columns[j][j];
            for i in (0..j).rev() {
                let sum: f64 = (i + 1..=j).map(|k| self.columns[k][i] * inverse[k][j]).sum();
                inverse[i][j] = -sum / self.columns[i][i];
            }
        }
        let entry = |i: usize, j: usize| (i.max(j)..width).map(|k| inverse[i][k] * inverse[j][k]).sum();
        Some(
            (0..width)
                .map(|i| (0..width).map(|j| entry(i, j)).collect())
                .collect(),
        )
    }

    /// Back substitution; a column of zeros gets 0.
    fn solve(&self) -> Vec<f64> {
        let width = self.columns.len();
        let mut x = vec![0.0; width];
        for i in (0..width).rev() {
            let known: f64 = (i + 1..width).map(|j| self.columns[j][i] * x[j]).sum();
            let pivot = self.columns[i][i];
            x[i] = if pivot == 0.0 {
                0.0
            } else {
                (self.right[i] - known) / pivot
            };
        }
        x
    }
}
