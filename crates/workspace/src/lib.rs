//! Reads and writes the design folder: spans, findings, revisions, atomic writes.
//!
//! [`Workspace::open`] reads everything there is and says everything that is wrong, each finding at its place in
//! its file. Things are known by the `id` inside a file. Which operations and settings a route may have comes from
//! the tables of `route`; this crate names no operation.
//!
//! This crate knows no pictures, plans, events or pages: it makes designs, dye cards, a workshop and orders out of
//! text, and writes text without ever leaving half a file.

mod archive;
mod calendar;
mod card;
mod constants;
mod design;
mod dye;
pub mod edit;
mod error;
mod examine;
mod folder;
mod known;
mod lead;
mod learned;
mod money;
mod new_design;
mod new_order;
mod orders;
mod photograph;
mod rain;
mod read;
mod shelf;
mod signed;
mod stamp_makers;
mod state;
mod trials;
mod workshop;
mod workspace;
mod write;

pub use archive::{Refused, pack, unpack, zipped};
pub use calendar::{CalendarSpec, Exception, Hours, Shift};
pub use card::{CardHead, first_card, quoted, read_card, refitted, renamed};
pub use design::{BORDERS, DesignFile, LAYOUTS, RegionTarget};
pub use error::IoError;
pub use folder::{COLLECTION, DESIGNS, DYES, ORDERS, STAMPS, Source, TRIALS, WORKSHOP};
pub use lead::LeadTimes;
pub use learned::{Learned, learned};
pub use new_design::{Drawing, FIRST_COLOURS, NotDone, add_colourway, add_design, plain_name};
pub use new_order::{NewOrder, add_order};
pub use orders::{Collection, Order};
pub use photograph::{Corners, Guide, Photograph, photograph};
pub use rain::{RainSpec, WhenWet};
pub use shelf::{
    CopyId, DEEDS, Deed, Did, Entry as ShelfEntry, Hanging, Shelf, StampCopy, name as copy_name, shelved,
};
pub use signed::{Signed, sign, signed};
pub use stamp_makers::StampMaker;
pub use state::{ClockTime, Closed, FloorState, Happened, STATE_EXAMPLE, StateStep, floor_state};
pub use trials::{Came, OutcomeTrial, StripTrial, TimingTrial, Trials, WaxTrial, WedgeTrial};
pub use workspace::Workspace;
pub use write::{Lock, create, save, write_atomic};
