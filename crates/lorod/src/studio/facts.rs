//! What the studio shows but does not work out: the plan and the papers. Whoever starts the studio hands it in.

use crate::facts::plan::Planned;
use crate::facts::problem::Asked;
use std::sync::Arc;
use words::{Finding, Line, Place, Voice, Weight, say};
use workspace::Workspace;

/// The rest of the program, as the pages need it. All of it may take a while: it is called on a worker thread.
pub trait Facts: Send + Sync {
    /// The plan of all orders, made if a file has changed since it was made. `go_on` hears the share done and says whether
    /// to go on.
    ///
    /// # Errors
    /// What keeps the orders from being planned; nothing if it was told to stop.
    fn plan(&self, workspace: &Workspace, go_on: &dyn Fn(f64) -> bool) -> Result<Arc<Planned>, Vec<Finding>>;
    /// What was asked of the plan; none where nothing plans.
    fn asked(&self) -> Option<&Asked> {
        None
    }
    /// The first day of the plan; none where nothing plans.
    fn first_day(&self) -> Option<sky::Date> {
        None
    }
    /// The papers that can be printed now.
    fn papers(&self, workspace: &Workspace) -> Vec<Paper>;
    /// One of them as PDF.
    ///
    /// # Errors
    /// What keeps it from being printed.
    fn print(&self, workspace: &Workspace, key: &str, voice: Voice) -> Result<Vec<u8>, Vec<Finding>>;
    /// The handover pack of designs, and their line sheet. `go_on` hears the share done and says whether to go on.
    ///
    /// # Errors
    /// What keeps them from being printed; a finding `stopped` if it was told to stop.
    fn pack(
        &self,
        workspace: &Workspace,
        designs: &[String],
        voice: Voice,
        go_on: &dyn Fn(f64) -> bool,
    ) -> Result<Packed, Vec<Finding>>;
}

/// What is handed over, each as PDF.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    /// To the workshop: specifications, stamps, job cards, batch sheets.
    pub workshop: Vec<u8>,
    /// To buyers: the line sheet.
    pub buyers: Vec<u8>,
}

/// What a lot of the plan is cut from.
#[derive(Clone, Debug, Default)]
pub struct RunLot {
    /// Id of its design.
    pub design: String,
    /// For each operation of the lot's route in the problem, the place of its step in the design's route.
    pub steps: Vec<usize>,
}

/// A paper that can be printed.
#[derive(Clone, Debug)]
pub struct Paper {
    /// Part of its address: letters, digits, `-`.
    pub key: String,
    /// Heading under which it stands.
    pub group: Line,
    /// What it is.
    pub name: Line,
    /// Id of the design it is about, if it is about one.
    pub design: Option<String>,
}

/// Nothing was handed in. Every answer says so.
pub struct NoFacts;

fn not_here() -> Vec<Finding> {
    vec![Finding::new(
        "not-in-this-studio",
        Weight::Note,
        Place::Request,
        say!(
            "this studio was started without a planner and without papers",
            "studio ini dijalankan tanpa perencana dan tanpa lembar cetak"
        ),
    )]
}

impl Facts for NoFacts {
    fn plan(&self, _: &Workspace, _: &dyn Fn(f64) -> bool) -> Result<Arc<Planned>, Vec<Finding>> {
        Err(not_here())
    }
    fn papers(&self, _: &Workspace) -> Vec<Paper> {
        Vec::new()
    }
    fn print(&self, _: &Workspace, _: &str, _: Voice) -> Result<Vec<u8>, Vec<Finding>> {
        Err(not_here())
    }
    fn pack(
        &self,
        _: &Workspace,
        _: &[String],
        _: Voice,
        _: &dyn Fn(f64) -> bool,
    ) -> Result<Packed, Vec<Finding>> {
        Err(not_here())
    }
}
