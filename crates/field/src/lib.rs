//! Fields over cloth: hash, noise, cells, marks, FIR, planes and lattices; the only home of SIMD dispatch.
//!
//! Every field is a function of place and [`Seed`]; there is no stream of random numbers, so any
//! rectangle can be computed alone and tiles join exactly. Kernels are `#[inline(always)]` functions of
//! scalars; a plain loop over slices inside [`lanes!`] turns them into vector code for the machine at
//! hand. Every level gives the same bits: nothing here calls libm or fuses a multiply with an add, and
//! sums are taken in one written order.
//!
//! ```
//! use field::{Seed, noise};
//! field::lanes! {
//!     /// One row of noise with cells of 8 samples.
//!     pub fn row(out: &mut [f32], y: f32, seed: u32) {
//!         for (i, o) in out.iter_mut().enumerate() {
//!             *o = noise(i as f32 * 0.125, y, seed);
//!         }
//!     }
//! }
//! let mut out = vec![0.0; 64];
//! row(&mut out, 0.5, Seed(7).child("ground").low());
//! assert!(out.iter().all(|v| v.abs() <= 1.0));
//! ```
//!
//! This crate knows nothing of dyes, operations, files or clocks.

mod cells;
mod columns;
mod fir;
mod grid;
mod hash;
mod lanes;
mod lattice;
mod light;
mod marks;
mod maths;
mod near;
mod noise;
mod plane;
mod resample;
mod rows;
mod seed;
mod srgb;
mod streaks;
mod sums;
mod tile;

pub use cells::{Cells, cells};
pub use fir::{fir, gaussian_taps};
pub use grid::Grid;
pub use hash::{hash2, unit};
pub use lanes::{Level, dispatch, force_level, level};
pub use lattice::{Lattice, Rect};
pub use light::{Bands, MOST_DYES, reflect};
pub use marks::{Blot, Join, Run, blots, splat};
pub use maths::{DUST, cbrt, clamp01, erfc, exp, floor_i32, ln, pow, settle, sin, smoothstep};
pub use near::{TOGETHER, cells_near, noise_near, noise2_near, range};
pub use noise::{noise, noise1, noise2, noise2_lost, noise3, noise3_lost};
pub use plane::Plane;
pub use resample::{RowsOnto, View};
pub use rows::NoiseRows;
pub use seed::Seed;
pub use srgb::srgb_bytes;
pub use streaks::Streaks;
pub use sums::weighted_sums;
pub use tile::{Need, Tile};
