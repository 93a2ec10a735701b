//! A plan as one JSON document, for the command line and the studio; [`super::replan`] reads it again.

use super::plan::Planned;
use super::problem::Asked;
use super::sure::Sure;
use ::plan::{Minute, Share};
use serde::Serialize;
use words::Voice;
use workspace::Workspace;

/// The answer as JSON. Times are those of the workshop's own clock, `2026-12-01 07:30`.
#[derive(Serialize)]
pub struct Out<F> {
    /// First day.
    from: String,
    /// Was it checked, and found without fault, by the independent judge?
    judged: bool,
    /// How far it may be from the best plan, 0..1; `null` where no bound is known.
    gap: Option<f64>,
    /// Strike-offs that come first, each as often as it has rounds.
    strike_offs: Vec<String>,
    /// Days a courier takes to the designer; `null`: strike-offs wait for a visit.
    courier_days: Option<u32>,
    /// The plan played in the workshop's rain, with durations that stray; what has begun stands. `null` where the plan is not
    /// whole.
    replays: Option<ReplaysOut>,
    /// Lots in the order of the orders' file, strike-offs first.
    lots: Vec<LotOut>,
    /// What there is to say about the plan.
    findings: Vec<F>,
}

/// All replays of the plan.
#[derive(Serialize)]
struct ReplaysOut {
    /// How many.
    count: u32,
    /// Share in which every lot is done by its promise, 0..1, and its standard error.
    all_on_time: [f64; 2],
    /// Replays in which something found no place any more.
    stuck: u32,
    /// Share in which some cloth waited longer than it may, 0..1, and its standard error.
    overstepped: [f64; 2],
    /// Share of all waits with a limit that are longer, 0..1.
    waits_over: f64,
    /// Minutes beyond the limit that nine of ten of these stay within.
    over_p90_minutes: Minute,
    /// The longest that any did, beyond its limit.
    longest_over_minutes: Minute,
    /// Whose minutes, which rain.
    rest_on: Vec<String>,
}

/// What the replays say of a lot.
#[derive(Serialize)]
struct PromiseOut {
    /// Share done by the promise, 0..1, and its standard error.
    on_time: [f64; 2],
    /// Half are done by then; `null`: beyond the calendars.
    p50: Option<String>,
    /// Nine of ten are done by then; `null`: beyond the calendars.
    p90: Option<String>,
}

/// A lot.
#[derive(Serialize)]
struct LotOut {
    /// Its order.
    id: String,
    /// Id of its design.
    design: String,
    /// Bolts.
    bolts: u32,
    /// Promised for.
    promised: String,
    /// First work.
    starts: Option<String>,
    /// Last bolt packed.
    done: Option<String>,
    /// Minutes after the promise; negative: before.
    late_minutes: Option<Minute>,
    /// What the replays say.
    promise: Option<PromiseOut>,
    /// Approval of its strike-off.
    approved: Option<[String; 2]>,
    /// Everything that is done to its bolts.
    operations: Vec<OperationOut>,
}

/// An operation of a bolt.
#[derive(Serialize)]
struct OperationOut {
    /// The bolt, from 1.
    bolt: u32,
    /// Permanent id of the step.
    step: Option<String>,
    /// Key of the operation in the plan.
    operation: String,
    /// Resource that was chosen, where there is a choice: the dye barrel.
    place: Option<String>,
    /// First minute.
    starts: String,
    /// First minute after.
    ends: String,
}

/// The plan as a document; `findings` are its own, as whoever asks writes findings.
pub fn document<F>(
    planned: &Planned,
    sure: Option<&Sure>,
    asked: &Asked,
    workspace: &Workspace,
    findings: Vec<F>,
    voice: Voice,
) -> Out<F> {
    let replays = sure.map(|sure| &sure.replays);
    let problem = &planned.mapped.problem;
    let clock = |minute: Minute| problem.clock(minute);
    let lots = problem.lots.iter().enumerate().map(|(at, lot)| {
        let run = planned.mapped.lots.get(at);
        let design = run.and_then(|run| workspace.design(&run.design));
        let step = |operation: usize| Some(design?.steps.get(*run?.steps.get(operation)?)?.id.clone());
        let operations = planned.schedule.placed.iter().filter(|(spot, _)| spot.lot == at);
        LotOut {
            id: lot.name.clone(),
            design: run.map_or_else(String::new, |run| run.design.clone()),
            bolts: lot.bolts,
            promised: clock(lot.due),
            starts: planned.span(at).map(|(start, _)| clock(start)),
            done: planned.span(at).map(|(_, end)| clock(end)),
            late_minutes: planned.late(at),
            promise: replays
                .and_then(|all| all.lots.get(at))
                .map(|promise| PromiseOut {
                    on_time: pair(promise.on_time),
                    p50: promise.p50.map(clock),
                    p90: promise.p90.map(clock),
                }),
            approved: planned
                .schedule
                .approvals
                .get(&at)
                .map(|w| [clock(w.start), clock(w.end)]),
            operations: operations
                .map(|(spot, placed)| OperationOut {
                    bolt: spot.bolt + 1,
                    step: step(spot.operation),
                    operation: lot
                        .route
                        .get(spot.operation)
                        .map_or_else(String::new, |o| o.key.clone()),
                    place: placed.mode.and_then(|mode| {
                        let mode = lot.route.get(spot.operation)?.modes.get(mode)?;
                        Some(problem.resource_name(mode.resource).to_string())
                    }),
                    starts: clock(placed.start),
                    ends: clock(placed.end),
                })
                .collect(),
        }
    });
    Out {
        from: problem.first_day.to_string(),
        judged: planned.faults.is_empty(),
        gap: planned.gap(),
        strike_offs: asked.strike_offs.clone(),
        courier_days: asked.courier_days,
        replays: sure.map(|sure| ReplaysOut {
            count: sure.replays.replays,
            all_on_time: pair(sure.replays.all_on_time),
            stuck: sure.replays.stuck,
            overstepped: pair(sure.replays.overstepped),
            waits_over: sure.replays.waits_over,
            over_p90_minutes: sure.replays.over_p90,
            longest_over_minutes: sure.replays.longest_over,
            rest_on: sure
                .findings
                .iter()
                .map(|finding| finding.found.say(voice))
                .collect(),
        }),
        lots: lots.collect(),
        findings,
    }
}

const fn pair(share: Share) -> [f64; 2] {
    [share.value, share.error]
}
