//! Photographs of real cloth, made comparable with what was approved.
//!
//! The cloth lies under a *mat*: a white card with a window of known size, a grey card or a target of known patches
//! on the card beside the window. From one picture of that come:
//!
//! - [`View`]: the window's four corners, marked on the picture, straighten it;
//! - [`Evenness`]: the card all round the window tells how lens and lamp fade;
//! - `colour::fit::photo::Correction`: grey card or target tell how this camera sees;
//! - [`Sheet`]: the cloth straight, in millimetres, in colours under D65. A rendered bolt becomes the same thing;
//! - [`register`]: where the stamp stood, from the drawing, so that motif and ground can be told apart;
//! - [`Look`]: palettes, mottle and coverage; [`Approved`]: the range of what was approved, and what is outside.
//!
//! Pixels count from the left top edge of the picture: the middle of the first pixel is (0.5, 0.5).

mod approved;
mod corners;
mod evenness;
mod look;
mod picture;
mod register;
mod sheet;
mod texture;

pub use approved::{Approved, Compared, Measure};
pub use corners::{Corners, View};
pub use evenness::Evenness;
pub use look::{Look, RegionLook, colours_of};
pub use picture::Photo;
pub use register::{Laid, Slip, register};
pub use sheet::Sheet;
pub use texture::Mottle;
