//! A bath of chlorine while cloth is in it: it fades by itself and is used up by the dye that it clears.
//!
//! Dye `i` in an access class `j` (bare fibre, fibre that the bath reaches through or under wax) and the bath obey
//!
//! ```text
//! d f_ij / dt = -k_i w_j C f_ij
//! d C / dt    = -k_0 C - sum over i, j of s_i m_j k_i w_j C f_ij
//! ```
//!
//! All of them see one bath, so with the dose `D = integral C dt` each is `f_ij(0) exp(-k_i w_j D)`, the chlorine is
//! `C(D) = C(0) - k_0 D - sum s_i m_j f_ij(0) (1 - exp(-k_i w_j D))`, and what is left to integrate is one number: `dD/dt
//! = C(D)`.

/// Relative error that a step of the integration may make.
const TOLERANCE: f64 = 1e-11;

/// What one dye in one access class asks of the bath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// How fast it clears: second-order constant times access, 1/(M s).
    pub rate: f64,
    /// Available chlorine of the bath that it takes when all of it is cleared, M.
    pub takes: f64,
}

/// A bath of chlorine and what is in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chlorine {
    /// Available chlorine when the cloth goes in, M.
    pub start: f64,
    /// First-order loss to cloth, air and heat, 1/s.
    pub fades: f64,
    /// Dyes by access class.
    pub demands: Vec<Demand>,
}

impl Chlorine {
    /// Available chlorine when the dose is `dose` M s, M; not below 0.
    pub fn at(&self, dose: f64) -> f64 {
        let taken: f64 = self
            .demands
            .iter()
            .map(|d| -d.takes * (-d.rate * dose).exp_m1())
            .sum();
        (self.start - self.fades * dose - taken).max(0.0)
    }

    /// Dose after `seconds`, M s, by a Runge-Kutta pair with the step that its error allows.
    pub fn dose(&self, seconds: f64) -> f64 {
        if !(seconds > 0.0 && seconds.is_finite() && self.start > 0.0 && self.start.is_finite()) {
            return 0.0;
        }
        let (mut at, mut dose) = (0.0, 0.0);
        let mut step = seconds / 16.0;
        while at < seconds {
            // A last step that ends on the second, so that nothing is interpolated.
            let this = step.min(seconds - at);
            let (next, error) = pair(dose, this, |d| self.at(d));
            let allowed = TOLERANCE * next.abs().max(self.start * this);
            if error <= allowed || this <= 1e-9 * seconds {
                dose = next;
                at += this;
            }
            step = this * (0.9 * (allowed / error.max(1e-300)).powf(0.2)).clamp(0.2, 5.0);
        }
        dose
    }
}

/// One step of an autonomous equation `y' = f(y)` and an estimate of its error: the pair of orders 5 and 4 of Dormand and
/// Prince (J. Comput. Appl. Math. 6 (1980) 19-26).
fn pair(y: f64, h: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    let k1 = f(y);
    let k2 = f(y + h * k1 / 5.0);
    let k3 = f(y + h * (3.0 * k1 + 9.0 * k2) / 40.0);
    let k4 = f(y + h * (44.0 / 45.0 * k1 - 56.0 / 15.0 * k2 + 32.0 / 9.0 * k3));
    let k5 =
        f(y + h
            * (19372.0 / 6561.0 * k1 - 25360.0 / 2187.0 * k2 + 64448.0 / 6561.0 * k3 - 212.0 / 729.0 * k4));
    let k6 = f(y + h
        * (9017.0 / 3168.0 * k1 - 355.0 / 33.0 * k2 + 46732.0 / 5247.0 * k3 + 49.0 / 176.0 * k4
            - 5103.0 / 18656.0 * k5));
    let next = y + h
        * (35.0 / 384.0 * k1 + 500.0 / 1113.0 * k3 + 125.0 / 192.0 * k4 - 2187.0 / 6784.0 * k5
            + 11.0 / 84.0 * k6);
    let k7 = f(next);
    let error = h
        * (71.0 / 57600.0 * k1 - 71.0 / 16695.0 * k3 + 71.0 / 1920.0 * k4 - 17253.0 / 339_200.0 * k5
            + 22.0 / 525.0 * k6
            - k7 / 40.0);
    (next, error.abs())
}
