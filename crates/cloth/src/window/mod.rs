//! The window of a timed step: how long may it run, how surely, and what would widen it.
//!
//! A [`Response`] runs the step and the rest of the route over a grid of (time, strength, temperature, creep) on small
//! patches from many places of one bolt: one repeat is not a sample. What is kept are colours of the *finished* cloth by
//! region. Draws from [`Spreads`] interpolate it and give the pass probability by duration, a [`Hill`]. A [`Window`] is
//! the hill, the advice that may be given on it, and the trade-off between ground and motif that needs no limit.
//!
//! Beside it stands the arithmetic of the tank: [`Strip`] and wedge, titration, batches, ends, calibration.

mod advice;
mod calibrate;
mod clock;
mod doubt;
#[cfg(test)]
mod exact;
mod held;
mod hill;
mod palettes;
mod places;
mod plot;
mod response;
mod shade;
pub(crate) mod spreads;
mod strip;
mod surface;
mod sweep;
mod tank;
mod widen;

pub use advice::{Advice, Window, window};
pub use calibrate::{Fitted, Outcome, Replay, fit_creep, fit_rate, replay};
pub use clock::{clock, millimetres};
pub use doubt::{Cure, Doubt, good_to};
pub use held::{Held, Off};
pub use hill::{Hill, Limits, Open, Point, Target};
pub use plot::{calibration_svg, calibration_svg_narrow, plot_svg, plot_svg_narrow};
pub use response::{Lines, Response, lines};
pub use shade::Shade;
pub(crate) use shade::ToLab;
pub use spreads::Spreads;
pub use strip::{Strip, StripReading, creep_of_wedge, ends_ratio, time_to_lighten};
pub use surface::{Along, Axis, Surface};
pub use sweep::{Way, timed};
pub use tank::{Batch, Bath, Plan, THIOSULFATE_MG, chlorine_titrated};
pub use widen::Widening;
