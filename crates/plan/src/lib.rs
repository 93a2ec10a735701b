//! Tasks, calendars, a scheduler and its independent checker.
//!
//! A [`Problem`] says what there is to do and with what; [`solve::solve`] makes a [`Schedule`] of it or says
//! which facts clash; [`judge::check`] says what is wrong with any schedule, and shares nothing with the solver
//! but these types; [`bound()`] says what no schedule can beat; [`replay()`]
//! how sure its promises are; [`gantt()`] lays it out to be looked at.
//!
//! This crate has no clock: minutes are counted from the problem's first day, and the caller says when the
//! search should stop. It knows nothing of dyes, files or pages.

mod bound;
mod buffers;
pub mod calendar;
mod clash;
mod examine;
mod explain;
mod faults;
mod gantt;
pub mod judge;
mod late;
mod lateness;
mod outside;
mod prices;
mod problem;
mod queue;
mod remedy;
mod replay;
mod schedule;
pub mod solve;
pub mod tasks;
mod unrest;

pub use bound::{Bound, bound};
pub use buffers::{Buffer, Buffered, buffers};
pub use examine::examine;
pub use explain::{LastCall, last_call};
pub use faults::Fault;
pub use gantt::{Bar, Gantt, Row, gantt};
pub use late::{Late, Link, Names, Wait, late};
pub use outside::{Advice, Outside, Stretch, go_or_wait};
pub use problem::{
    Approval, Attendance, Batch, Calendar, CalendarId, Lag, Lot, Minute, Mode, Operation, Problem, Resource,
    ResourceId, SetUp, Use, Weights, Window,
};
pub use remedy::{Help, Levers, Remedy, remedies};
pub use replay::{Chances, Floor, Promise, Rain, Replays, Share, Spread, replay};
pub use schedule::{Placed, Schedule, Score, Spot};
pub use unrest::Unrest;
