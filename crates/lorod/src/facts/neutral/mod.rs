//! A planning problem and its plan as neutral JSON, for whoever plans with something else or checks us.
//!
//! The problem (`"format": "batik-plan/1"`) holds `calendars` {name: [[from, to], ..]}, `resources` {name: units},
//! `setups` {resource: {matrix, initial}}, `objective` {tardiness, makespan, mean_flow, origin} and `lots` [{id, n,
//! release, due, weight, approval: null or {dur, cal, res, after_lot}, route: [{id, dur, cal, split, uses: [[resource,
//! units, from, to], ..], attend: [from, to, calendar], batch: {cap, family}, setup, modes: [{res, dur}]}], lags:
//! [{frm, to, min, max}]}]. Times are whole minutes from 00:00 of day 0, a Monday; -1 as the end of a use is the
//! operation's end, a `max` of null is no limit. A batch's vessel and a set-up's resource are those of the
//! operation's first use. Fields that are not named here are left alone.
//!
//! The plan holds `instance`, `bolts` {"lot#number": {operation: [start, end] or [start, end, resource]}} and
//! `approvals` {lot: [start, end]}.

mod json;
mod read;
mod schedule;

pub use read::{Instance, problem};
pub use schedule::{schedule, write};
