//! The plan that is followed: a file of the folder, written where somebody chose a way to go on. Nothing is searched anew
//! while it fits the orders.

use super::plan::{Planned, planned};
use super::problem::{Asked, Mapped, problem};
use super::replan::Followed;
use ::plan::{Schedule, judge};
use sha2::{Digest, Sha256};
use std::path::Path;
use words::{Arg, Finding, Place, Weight, say};
use workspace::Workspace;

/// Its file, as `lorod plan -o plan.json` writes it. An empty one is none.
pub const PLAN: &str = "plan.json";

/// Code of the note that a plan is the file's.
const FOLLOWED: &str = "plan-followed";

/// The file's text; nothing where there is none.
pub fn text(dir: &Path) -> String {
    std::fs::read_to_string(dir.join(PLAN)).unwrap_or_default()
}

/// What tells two versions of the file apart.
pub fn mark(dir: &Path) -> [u8; 32] {
    Sha256::digest(text(dir)).into()
}

/// The plan of the file on the orders as they are now; `None` if there is no file. The finding says why it is not followed.
pub fn followed(
    workspace: &Workspace,
    tries: u64,
    keep_going: &dyn Fn() -> bool,
) -> Option<Result<Planned, Finding>> {
    let text = text(&workspace.dir);
    if text.trim().is_empty() {
        return None;
    }
    let read = read(workspace, &text, tries);
    Some(read.map(|(mapped, schedule)| {
        let mut planned = planned(workspace, mapped, schedule, keep_going);
        planned.findings.push(Finding::new(
            FOLLOWED,
            Weight::Note,
            Place::Request,
            say!(
                "this plan was chosen and stands in the folder; nothing is planned anew while the orders stay as they are",
                "rencana ini sudah dipilih dan tersimpan di folder; tidak disusun ulang selama pesanan tetap"
            ),
        ));
        planned
    }))
}

/// What was asked of a plan: of the one that is followed by its file, else `otherwise`.
pub fn asked(workspace: &Workspace, planned: &Planned, otherwise: &Asked) -> Asked {
    let follows = planned.findings.iter().any(|one| one.code == FOLLOWED);
    let file = || {
        Followed::read(PLAN, &text(&workspace.dir))
            .ok()?
            .asked(otherwise.tries)
            .ok()
    };
    follows.then(file).flatten().unwrap_or_else(|| otherwise.clone())
}

/// That the file's plan is left alone, where there is one and another was asked for.
pub fn set_aside(workspace: &Workspace) -> Option<Finding> {
    let chosen = !text(&workspace.dir).trim().is_empty();
    chosen.then(|| {
        let found = say!(
            "this is another plan than the one that was chosen: {file} stays in the folder, and papers follow it",
            "ini bukan rencana yang sudah dipilih: {file} tetap di folder, dan lembar kerja mengikutinya",
            file = Arg::Name(PLAN.to_string())
        );
        Finding::new(SET_ASIDE, Weight::Note, Place::Request, found)
    })
}

/// Code of the note that the file's plan is not followed here.
const SET_ASIDE: &str = "plan-set-aside";

/// Whether a text would be followed as the plan.
///
/// # Errors
/// Why not.
pub fn fits(workspace: &Workspace, text: &str, tries: u64) -> Result<(), Finding> {
    read(workspace, text, tries).map(drop)
}

/// The plan of a text. One that the judge finds a fault with was made for other orders or other routes.
fn read(workspace: &Workspace, text: &str, tries: u64) -> Result<(Mapped, Schedule), Finding> {
    let followed = Followed::read(PLAN, text)?;
    let asked: Asked = followed.asked(tries)?;
    let mapped = problem(workspace, &asked).map_err(|_| does_not_fit())?;
    let schedule = followed.schedule(&mapped.problem)?;
    let lots = mapped.problem.lots.iter();
    let wanted: usize = lots.map(|lot| lot.bolts as usize * lot.route.len()).sum();
    let whole = schedule.placed.len() == wanted && judge::check(&mapped.problem, &schedule).is_empty();
    if whole {
        Ok((mapped, schedule))
    } else {
        Err(does_not_fit())
    }
}

/// That the orders, or what is done to them, are not what the plan was made for.
fn does_not_fit() -> Finding {
    Finding::new(
        "plan-outgrown",
        Weight::Doubtful,
        Place::Request,
        say!(
            "the plan that was chosen does not fit the orders and routes any more: everything is planned anew",
            "rencana yang dipilih tidak cocok lagi dengan pesanan dan alurnya: semuanya disusun ulang"
        ),
    )
}
