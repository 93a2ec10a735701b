//! The plan of all orders: made, judged, and said how good it is.

use super::late;
use super::led;
use super::problem::{Asked, Mapped, problem};
use ::plan::solve::{Options, solve};
use ::plan::{Bound, Fault, Minute, Schedule, Score, bound, judge};
use words::{Arg, Finding, Line, Place, Weight, say};
use workspace::Workspace;

/// A plan, and what is known about it.
#[derive(Clone, Debug)]
pub struct Planned {
    /// What was planned.
    pub mapped: Mapped,
    /// The plan.
    pub schedule: Schedule,
    /// What it is worth; `None` if it is not whole, which the judge then says as well.
    pub score: Option<Score>,
    /// What no plan can beat.
    pub bound: Option<Bound>,
    /// What the judge, who shares nothing with the solver, found wrong with it. Empty: it can be worked.
    pub faults: Vec<Fault>,
    /// What there is to say about it.
    pub findings: Vec<Finding>,
}

impl Planned {
    /// First start and last end of a lot.
    pub fn span(&self, lot: usize) -> Option<(Minute, Minute)> {
        let of_lot = self.schedule.placed.iter().filter(|(spot, _)| spot.lot == lot);
        let start = of_lot.map(|(_, placed)| placed.start).min()?;
        Some((start, self.schedule.completion(&self.mapped.problem, lot)?))
    }
    /// Minutes that a lot is done after its promise; negative: before.
    pub fn late(&self, lot: usize) -> Option<Minute> {
        let (_, end) = self.span(lot)?;
        Some(end - self.mapped.problem.lots.get(lot)?.due)
    }
    /// Place of a lot by the name of its order.
    pub fn lot(&self, name: &str) -> Option<usize> {
        self.mapped.problem.lots.iter().position(|lot| lot.name == name)
    }
    /// When a step of a design's route begins on a bolt of a lot (from 0).
    pub fn begins(&self, lot: usize, bolt: u32, step: usize) -> Option<Minute> {
        let operation = self.mapped.lots.get(lot)?.steps.iter().position(|s| *s == step)?;
        self.schedule.get(lot, bolt, operation).map(|placed| placed.start)
    }
    /// How far the plan may be from the best, 0..1.
    pub fn gap(&self) -> Option<f64> {
        Some(self.bound.as_ref()?.gap(self.score.as_ref()?.total))
    }
}

/// Plans a workspace's orders. `keep_going` is asked before each try.
///
/// # Errors
/// What keeps them from being planned: what the workshop lacks, or two facts that clash.
pub fn plan(
    workspace: &Workspace,
    asked: &Asked,
    keep_going: &dyn Fn() -> bool,
) -> Result<Planned, Vec<Finding>> {
    let mapped = problem(workspace, asked)?;
    let options = Options {
        tries: asked.tries,
        ..Options::default()
    };
    let schedule = solve(&mapped.problem, &options, &mut |_, _| {}, keep_going)?;
    Ok(planned(workspace, mapped, schedule, keep_going))
}

/// A schedule with everything that is to be said of it.
pub fn planned(
    workspace: &Workspace,
    mapped: Mapped,
    schedule: Schedule,
    keep_going: &dyn Fn() -> bool,
) -> Planned {
    let faults = judge::check(&mapped.problem, &schedule);
    let score = schedule.score(&mapped.problem);
    let mut planned = Planned {
        findings: mapped.findings.clone(),
        bound: bound(&mapped.problem),
        mapped,
        schedule,
        score,
        faults,
    };
    planned.findings.extend(remarks(workspace, &planned));
    planned
        .findings
        .extend(led::remarks(workspace, &planned.mapped, &planned.schedule));
    if let Some(score) = &planned.score {
        let late = late::remarks(workspace, &planned.mapped, &planned.schedule, score, keep_going);
        planned.findings.extend(late);
    }
    planned
}

/// What whoever reads the plan must know.
fn remarks(workspace: &Workspace, planned: &Planned) -> Vec<Finding> {
    let problem = late::named(workspace, &planned.mapped.problem);
    let mut findings: Vec<Finding> = planned
        .faults
        .iter()
        .map(|fault| fault.finding(&problem))
        .collect();
    let mut note = |code, found: Line| findings.push(Finding::new(code, Weight::Note, Place::Request, found));
    if planned.faults.is_empty() {
        note(
            "plan-judged",
            say!(
                "checked by a second, independent program part: every one of the {n} operations can be done as planned",
                "diperiksa bagian program kedua yang terpisah: semua {n} pekerjaan dapat dilakukan sesuai rencana",
                n = Arg::Number(planned.schedule.placed.len() as f64, 0)
            ),
        );
    }
    note(
        "plan-minutes",
        say!(
            "it holds if your minutes are right: durations are the likely ones of each operation, and rain is not foreseen",
            "berlaku bila menit kerja Anda benar: lama kerja memakai yang paling mungkin, dan hujan tidak diramalkan"
        ),
    );
    if let Some(gap) = planned.gap() {
        note(
            "plan-gap",
            say!(
                "no plan can be better by more than {share} %, counting delay, length and cloth in work",
                "tidak ada rencana yang lebih baik dari {share} %, menurut keterlambatan, lama, dan kain dalam proses",
                share = Arg::Number(gap * 100.0, 1)
            ),
        );
    }
    findings
}

/// A finding about the request.
pub(super) fn wrong(code: &'static str, found: Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}
