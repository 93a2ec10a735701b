//! How lens and lamp fade over a picture, from a white card that lies all round the cloth.

use super::{Photo, View};
use words::{Arg, Finding, Place, Weight, say};

/// Relative light over the picture, each channel by itself: the exponential of a polynomial of second degree. That
/// holds a fading lens (told from the rim, the cosine to the fourth power comes within 2 % up to 25 degrees) and a lamp to one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evenness {
    middle: [f64; 2],
    half: f64,
    log: [[f64; TERMS]; 3],
}

const TERMS: usize = 6;
/// Fewest places of the card: enough for every term and to see which of them do not belong.
const PLACES: usize = 24;
/// A place that misses the fit by more than this many median misses is a crease, a finger or a shadow.
const OUTLIER: f64 = 4.0;

impl Evenness {
    /// From the card: `band` is how far it is looked at from the window's edge outwards, in the window's unit.
    ///
    /// # Errors
    /// A finding if too little of the card is on the picture, or it is clipped.
    pub fn around(photo: &Photo, window: &View, band: f64, place: &Place) -> Result<Self, Finding> {
        let [w, h] = window.size;
        let mut seen = Vec::new();
        let mut clipped = 0;
        // Places every 2 % along the window's edges, at three distances from it.
        for step in 0..=50 {
            let t = f64::from(step) / 50.0;
            for away in [0.25, 0.5, 0.75].map(|share| share * band) {
                for [x, y] in [
                    [t * w, -away],
                    [t * w, h + away],
                    [-away, t * h],
                    [w + away, t * h],
                ] {
                    let at = window.at(x, y);
                    if photo.clipped(at) {
                        clipped += 1;
                    } else if let Some(light) = photo.at(at).filter(|light| light.iter().all(|v| *v > 0.0)) {
                        seen.push((at, light));
                    }
                }
            }
        }
        if seen.len() < PLACES {
            return Err(no_card(clipped > seen.len(), place));
        }
        Ok(Self::fit(&seen, window.at(0.5 * w, 0.5 * h)))
    }

    /// Least squares on the logarithm, twice: the second time without outliers.
    fn fit(seen: &[([f64; 2], [f64; 3])], middle: [f64; 2]) -> Self {
        let half = seen
            .iter()
            .map(|(at, _)| (at[0] - middle[0]).abs().max((at[1] - middle[1]).abs()))
            .fold(1.0, f64::max);
        let mut even = Self {
            middle,
            half,
            log: [[0.0; TERMS]; 3],
        };
        for channel in 0..3 {
            let rows: Vec<([f64; TERMS], f64)> = seen
                .iter()
                .map(|(at, light)| (even.terms(*at), light[channel].ln()))
                .collect();
            let first = solve(&rows);
            let miss = |row: &([f64; TERMS], f64)| (dot(&row.0, &first) - row.1).abs();
            let mut misses: Vec<f64> = rows.iter().map(miss).collect();
            misses.sort_by(f64::total_cmp);
            let most = OUTLIER * misses[misses.len() / 2];
            let kept: Vec<_> = rows.into_iter().filter(|row| miss(row) <= most).collect();
            even.log[channel] = solve(&kept);
        }
        even
    }

    fn terms(&self, at: [f64; 2]) -> [f64; TERMS] {
        let [x, y] = [
            (at[0] - self.middle[0]) / self.half,
            (at[1] - self.middle[1]) / self.half,
        ];
        [1.0, x, y, x * x, x * y, y * y]
    }

    /// Light of the white card at a point of the picture, as the camera's channels would see it.
    pub fn card(&self, at: [f64; 2]) -> [f64; 3] {
        let terms = self.terms(at);
        self.log.map(|log| dot(&terms, &log).exp())
    }

    /// Brings a reading to the light in the middle of the window.
    pub fn evened(&self, at: [f64; 2], light: [f64; 3]) -> [f64; 3] {
        let terms = self.terms(at);
        std::array::from_fn(|c| light[c] / (dot(&terms, &self.log[c]) - self.log[c][0]).exp())
    }

    /// Darkest over lightest part of the window, in green.
    pub fn fading(&self, window: &View) -> f64 {
        let [w, h] = window.size;
        let light = (0..=100).map(|k| {
            let (i, j) = (k % 11, k / 11);
            self.card(window.at(f64::from(i) / 10.0 * w, f64::from(j.min(10)) / 10.0 * h))[1]
        });
        let (low, high) = light.fold((f64::INFINITY, 0.0f64), |(l, h), v| (l.min(v), h.max(v)));
        low / high
    }
}

fn dot(a: &[f64; TERMS], b: &[f64; TERMS]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Least squares by the normal equations (coordinates are within 1, so they are well conditioned).
fn solve(rows: &[([f64; TERMS], f64)]) -> [f64; TERMS] {
    let mut m = [[0.0; TERMS + 1]; TERMS];
    for (terms, value) in rows {
        for i in 0..TERMS {
            for j in 0..TERMS {
                m[i][j] += terms[i] * terms[j];
            }
            m[i][TERMS] += terms[i] * value;
        }
    }
    for i in 0..TERMS {
        // The matrix is symmetric and positive: no exchange of rows is needed. A term that the places do not show
        // (they lie in a line) is left at 0.
        if m[i][i] < 1e-9 * rows.len() as f64 {
            m[i] = [0.0; TERMS + 1];
            m[i][i] = 1.0;
        }
        for k in i + 1..TERMS {
            let share = m[k][i] / m[i][i];
            for j in i..=TERMS {
                m[k][j] -= share * m[i][j];
            }
        }
    }
    let mut out = [0.0; TERMS];
    for i in (0..TERMS).rev() {
        let rest: f64 = (i + 1..TERMS).map(|j| m[i][j] * out[j]).sum();
        out[i] = (m[i][TERMS] - rest) / m[i][i];
    }
    out
}

fn no_card(clipped: bool, place: &Place) -> Finding {
    let found = if clipped {
        say!(
            "The white card round the window is too bright.",
            "Karton putih di sekeliling jendela terlalu terang."
        )
    } else {
        say!(
            "Too little of the white card round the window is on the picture.",
            "Karton putih di sekeliling jendela kurang terlihat pada gambar."
        )
    };
    Finding::new("photo-card", Weight::Wrong, place.clone(), found)
        .allow(say!(
            "White card on all four sides, no channel above {most} of 255.",
            "Karton putih di keempat sisi, tidak ada saluran di atas {most} dari 255.",
            most = Arg::Number(251.0, 0)
        ))
        .remedy(say!(
            "Photograph it again in open shade, a stop darker, with a hand's width of card all round.",
            "Foto lagi di tempat teduh terbuka, satu stop lebih gelap, dengan karton selebar telapak di sekelilingnya."
        ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is of its own form comes back exactly, an outlier or two notwithstanding.
    #[test]
    fn a_fading_of_its_own_form_comes_back() {
        let truth = |at: [f64; 2]| {
            let (x, y) = ((at[0] - 500.0) / 400.0, (at[1] - 300.0) / 400.0);
            (-0.3 * (x * x + y * y) + 0.1 * x - 0.05 * y - 0.4).exp()
        };
        let mut seen: Vec<([f64; 2], [f64; 3])> = (0..200)
            .map(|k| {
                let t = f64::from(k) / 200.0 * std::f64::consts::TAU;
                let at = [
                    500.0 + 400.0 * t.cos() * (1.0 + 0.1 * (7.0 * t).sin()),
                    300.0 + 250.0 * t.sin(),
                ];
                (at, [truth(at), 0.8 * truth(at), 0.5 * truth(at)])
            })
            .collect();
        seen[17].1 = [0.01; 3];
        seen[99].1 = [0.9; 3];
        let even = Evenness::fit(&seen, [500.0, 300.0]);
        for at in [[500.0, 300.0], [300.0, 200.0], [800.0, 420.0]] {
            let got = even.card(at);
            assert!(
                (got[0] / truth(at) - 1.0).abs() < 1e-6 && (got[2] / truth(at) - 0.5).abs() < 1e-6,
                "{got:?}"
            );
            let flat = even.evened(at, [truth(at); 3]);
            assert!((flat[0] / truth([500.0, 300.0]) - 1.0).abs() < 1e-6);
        }
    }

    /// The lens law: illumination falls as the fourth power of the cosine (from memory; any text on photometry).
    #[test]
    fn the_lens_law_is_held_to_some_hundredths() {
        let lens = |r: f64| (r * 25f64.to_radians().tan()).atan().cos().powi(4);
        let seen: Vec<([f64; 2], [f64; 3])> = (0..400)
            .map(|k| {
                let t = f64::from(k) / 100.0;
                let (side, along) = (t.floor(), t.fract() * 2.0 - 1.0);
                let [x, y] = [[along, -1.0], [1.0, along], [along, 1.0], [-1.0, along]][side as usize];
                ([x * 70.0, y * 70.0], [lens((x * x + y * y).sqrt() * 0.7); 3])
            })
            .collect();
        let even = Evenness::fit(&seen, [0.0, 0.0]);
        for k in 0..=10 {
            let r = 0.07 * f64::from(k);
            let got = even.card([100.0 * r, 0.0])[1];
            assert!((got / lens(r) - 1.0).abs() < 0.02, "{r}: {got} {}", lens(r));
        }
    }
}
