//! Mottle: how large and how strong the light and dark of hand-dyed cloth is.

/// Light and dark of a region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mottle {
    /// Distance over which lightness forgets itself: its autocorrelation falls to 1/e, mm. Nothing if it does not
    /// within half the piece.
    pub scale_mm: Option<f64>,
    /// Standard deviation of L* without what changes from square to square (weave, the camera's noise).
    pub contrast: f64,
}

impl Mottle {
    /// Of the squares of a grid (`pitch_mm`, `nx` a row) for which `counts`; lags run along rows and columns, over
    /// pairs of which both count.
    pub fn of(lightness: &[f64], counts: &[bool], nx: usize, pitch_mm: f64) -> Self {
        let ny = lightness.len() / nx.max(1);
        let n = counts.iter().filter(|c| **c).count().max(1) as f64;
        let mean = lightness
            .iter()
            .zip(counts)
            .filter(|(_, c)| **c)
            .map(|(l, _)| l)
            .sum::<f64>()
            / n;
        let at = |k: usize| counts[k].then(|| lightness[k] - mean);
        let covariance = |lag: usize| {
            let (mut sum, mut pairs) = (0.0, 0.0);
            for j in 0..ny {
                for i in 0..nx {
                    let Some(here) = at(j * nx + i) else { continue };
                    let right = (i + lag < nx).then(|| at(j * nx + i + lag)).flatten();
                    let below = (j + lag < ny).then(|| at((j + lag) * nx + i)).flatten();
                    for there in [right, below].into_iter().flatten() {
                        sum += here * there;
                        pairs += 1.0;
                    }
                }
            }
            if pairs > 0.0 { sum / pairs } else { 0.0 }
        };
        let first = covariance(1).max(0.0);
        let (mut before, mut scale_mm) = (first, None);
        for lag in 2..nx.min(ny) / 2 {
            let here = covariance(lag);
            let goal = first / std::f64::consts::E;
            if here <= goal {
                let share = if before > here {
                    (before - goal) / (before - here)
                } else {
                    1.0
                };
                scale_mm = Some((lag as f64 - 1.0 + share) * pitch_mm);
                break;
            }
            before = here;
        }
        Self {
            scale_mm: scale_mm.filter(|_| first > 0.0),
            contrast: first.sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use field::{hash2, unit};

    /// White noise blurred by a Gaussian of deviation s has the autocorrelation exp(-r^2 / 4 s^2), which is 1/e at
    /// r = 2 s (the convolution of a Gaussian with itself). Taken from lag 1 on: sqrt(4 s^2 + 1).
    #[test]
    fn blurred_noise_has_the_scale_of_its_blur() {
        let (n, s) = (240usize, 5.0f64);
        let noise = |i: usize, j: usize| f64::from(unit(hash2(i as i32, j as i32, 77))) - 0.5;
        let reach = 16usize;
        let weights: Vec<f64> = (0..=2 * reach)
            .map(|k| (-(k as f64 - reach as f64).powi(2) / (2.0 * s * s)).exp())
            .collect();
        let m = n + 2 * reach;
        let rows: Vec<f64> = (0..m * n)
            .map(|k| {
                (0..=2 * reach)
                    .map(|d| weights[d] * noise(k % n + d, k / n))
                    .sum()
            })
            .collect();
        let plane: Vec<f64> = (0..n * n)
            .map(|k| {
                (0..=2 * reach)
                    .map(|d| weights[d] * rows[(k / n + d) * n + k % n])
                    .sum()
            })
            .collect();
        let counts: Vec<bool> = (0..n * n).map(|k| (k / 7) % 11 != 0).collect();
        let mottle = Mottle::of(&plane, &counts, n, 0.5);
        let exact = 0.5 * (4.0 * s * s + 1.0).sqrt();
        // 24 x 24 independent blots: the estimate itself scatters by some percent.
        let got = mottle.scale_mm.expect("a scale");
        assert!((got / exact - 1.0).abs() < 0.12, "{got} {exact}");
    }

    #[test]
    fn flat_cloth_has_no_mottle() {
        let mottle = Mottle::of(&[50.0; 400], &[true; 400], 20, 1.0);
        assert_eq!((mottle.scale_mm, mottle.contrast), (None, 0.0));
        let nothing = Mottle::of(&[50.0; 400], &[false; 400], 20, 1.0);
        assert_eq!((nothing.scale_mm, nothing.contrast), (None, 0.0));
    }
}
