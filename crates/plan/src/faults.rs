//! What can be wrong with a plan, and how it is said.

use crate::{Minute, Problem, ResourceId, Spot, Window};
use words::{Arg, Finding, Line, Place, Weight, say};

/// One broken rule.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "each field is explained by its variant and its name")]
pub enum Fault {
    /// No operation of this bolt is planned.
    MissingBolt { lot: usize, bolt: u32 },
    /// This operation is not planned.
    MissingOperation { at: Spot },
    /// The lot needs an approval and has none.
    MissingApproval { lot: usize },
    /// The schedule speaks of something that the problem does not have.
    Unknown { at: Spot },
    /// The schedule has an approval for a lot that needs none.
    UnknownApproval { lot: usize },
    /// No alternative, or one that does not exist, was chosen.
    WrongMode { at: Spot },
    /// It does not take as long as it must.
    WrongDuration {
        at: Spot,
        planned: Minute,
        needed: Minute,
    },
    /// Pausable work does not add up inside its calendar.
    WrongWork {
        at: Spot,
        planned: Minute,
        needed: Minute,
    },
    /// It runs, begins or ends outside its calendar, or straddles a break.
    OutsideCalendar { at: Spot, planned: Window },
    /// Nobody can be there when somebody must.
    Unattended { at: Spot, needed: Window },
    /// It starts before the lot may.
    BeforeRelease {
        lot: usize,
        bolt: u32,
        start: Minute,
        release: Minute,
    },
    /// Too soon after an earlier operation.
    TooSoon {
        at: Spot,
        after: usize,
        lag: Minute,
        least: Minute,
    },
    /// Too late after an earlier operation.
    TooLate {
        at: Spot,
        after: usize,
        lag: Minute,
        most: Minute,
    },
    /// More units are held than there are; the first minute of it.
    Overload {
        resource: ResourceId,
        at: Minute,
        held: u32,
        capacity: u32,
    },
    /// Too many bolts in one batch.
    BatchTooLarge {
        at: Spot,
        start: Minute,
        bolts: u32,
        capacity: u32,
    },
    /// Families that do not go together share a batch.
    BatchMixed {
        at: Spot,
        start: Minute,
        families: Vec<String>,
    },
    /// A load goes into a bath that weakens before an earlier load is out.
    LoadsOutOfOrder { at: Spot, before: Spot },
    /// Bolts of one batch do not end together.
    BatchUneven { at: Spot, start: Minute },
    /// Not enough time to set up between two pieces of work.
    NoSetUp {
        resource: ResourceId,
        before: Spot,
        after: Spot,
        gap: Minute,
        needed: Minute,
    },
    /// An approval takes another time than it must, or the person is not there.
    ApprovalOutside { lot: usize, planned: Window },
    /// An approval lies before the lot's release.
    ApprovalBeforeRelease { lot: usize },
    /// An approval lies before its strike-off is done.
    ApprovalBeforeStrikeOff { lot: usize, done: Minute },
    /// What has begun does not stand where it began.
    Moved { at: Spot },
    /// What has not begun is planned for a time that is over.
    InThePast { at: Spot, start: Minute },
    /// The lot begins before it is approved.
    StartBeforeApproval {
        lot: usize,
        start: Minute,
        approved: Minute,
    },
}

impl Fault {
    /// The fault as the planner reads it.
    pub fn finding(&self, problem: &Problem) -> Finding {
        let place = match self.at() {
            Some(at) => Place::Step {
                id: key(problem, at).to_string(),
                setting: None,
            },
            None => Place::Request,
        };
        Finding::new(self.code(), Weight::Wrong, place, self.line(problem))
    }

    /// The operation it is about, if it is about one.
    pub fn at(&self) -> Option<Spot> {
        match self {
            Self::MissingOperation { at }
            | Self::Unknown { at }
            | Self::WrongMode { at }
            | Self::WrongDuration { at, .. }
            | Self::WrongWork { at, .. }
            | Self::OutsideCalendar { at, .. }
            | Self::Unattended { at, .. }
            | Self::TooSoon { at, .. }
            | Self::TooLate { at, .. }
            | Self::BatchTooLarge { at, .. }
            | Self::BatchMixed { at, .. }
            | Self::BatchUneven { at, .. }
            | Self::LoadsOutOfOrder { at, .. }
            | Self::NoSetUp { after: at, .. }
            | Self::Moved { at }
            | Self::InThePast { at, .. } => Some(*at),
            _ => None,
        }
    }

    /// Stable code of the kind of fault.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::MissingBolt { .. } => "plan-missing-bolt",
            Self::MissingOperation { .. } => "plan-missing-operation",
            Self::MissingApproval { .. } => "plan-missing-approval",
            Self::Unknown { .. } => "plan-unknown",
            Self::UnknownApproval { .. } => "plan-unknown-approval",
            Self::WrongMode { .. } => "plan-mode",
            Self::WrongDuration { .. } => "plan-duration",
            Self::WrongWork { .. } => "plan-work",
            Self::OutsideCalendar { .. } => "plan-calendar",
            Self::Unattended { .. } => "plan-attendance",
            Self::BeforeRelease { .. } => "plan-release",
            Self::TooSoon { .. } => "plan-too-soon",
            Self::TooLate { .. } => "plan-too-late",
            Self::Overload { .. } => "plan-overload",
            Self::BatchTooLarge { .. } => "plan-batch-size",
            Self::BatchMixed { .. } => "plan-batch-family",
            Self::BatchUneven { .. } => "plan-batch-end",
            Self::LoadsOutOfOrder { .. } => "plan-loads-order",
            Self::NoSetUp { .. } => "plan-set-up",
            Self::ApprovalOutside { .. } => "plan-approval-window",
            Self::ApprovalBeforeRelease { .. } => "plan-approval-release",
            Self::ApprovalBeforeStrikeOff { .. } => "plan-approval-strike-off",
            Self::Moved { .. } => "plan-moved",
            Self::InThePast { .. } => "plan-past",
            Self::StartBeforeApproval { .. } => "plan-approval-start",
        }
    }

    fn line(&self, problem: &Problem) -> Line {
        let bolt = |lot: usize, bolt: u32| Arg::Name(problem.bolt_name(lot, bolt));
        let lot = |lot: usize| Arg::Name(problem.lots.get(lot).map_or("?", |l| &l.name).to_string());
        let of = |at: Spot| bolt(at.lot, at.bolt);
        let op = |at: Spot| Arg::Name(key(problem, at).to_string());
        let earlier = |at: Spot, after: usize| {
            op(Spot {
                operation: after,
                ..at
            })
        };
        let min = |m: Minute| Arg::Number(m as f64, 0);
        let clock = |m: Minute| Arg::Name(problem.clock(m));
        match self {
            Self::MissingBolt { lot: l, bolt: b } => {
                say!(
                    "{bolt} is not planned",
                    "{bolt} belum direncanakan",
                    bolt = bolt(*l, *b)
                )
            }
            Self::MissingOperation { at } => say!(
                "{bolt}: {operation} is not planned",
                "{bolt}: {operation} belum direncanakan",
                bolt = of(*at),
                operation = op(*at)
            ),
            Self::MissingApproval { lot: l } => {
                say!(
                    "lot {lot} has no date for its approval",
                    "partai {lot} belum ada jadwal acc",
                    lot = lot(*l)
                )
            }
            Self::Unknown { at } => say!(
                "the plan speaks of {bolt}, operation {n}, which is not there",
                "rencana menyebut {bolt}, operasi {n}, yang tidak ada",
                bolt = of(*at),
                n = Arg::Number(at.operation as f64 + 1.0, 0)
            ),
            Self::UnknownApproval { lot: l } => {
                say!(
                    "lot {lot} needs no approval",
                    "partai {lot} tidak perlu acc",
                    lot = lot(*l)
                )
            }
            Self::WrongMode { at } => say!(
                "{bolt}: no alternative is chosen for {operation}, or one that is not there",
                "{bolt}: pilihan untuk {operation} belum ada atau tidak dikenal",
                bolt = of(*at),
                operation = op(*at)
            ),
            Self::WrongDuration { at, planned, needed } | Self::WrongWork { at, planned, needed } => say!(
                "{bolt}: {operation} is planned with {planned} min of work and needs {needed}",
                "{bolt}: {operation} direncanakan {planned} menit kerja, perlunya {needed}",
                bolt = of(*at),
                operation = op(*at),
                planned = min(*planned),
                needed = min(*needed)
            ),
            Self::Moved { at } => say!(
                "{bolt}: {operation} has begun, and the plan puts it elsewhere",
                "{bolt}: {operation} sudah mulai, dan rencana memindahkannya",
                bolt = of(*at),
                operation = op(*at)
            ),
            Self::InThePast { at, start } => say!(
                "{bolt}: {operation} has not begun, and is planned for {start}, which is over",
                "{bolt}: {operation} belum mulai, dan direncanakan {start}, yang sudah lewat",
                bolt = of(*at),
                operation = op(*at),
                start = clock(*start)
            ),
            Self::OutsideCalendar { at, planned } => say!(
                "{bolt}: {operation} from {from} to {to} is outside its hours",
                "{bolt}: {operation} dari {from} sampai {to} di luar jamnya",
                bolt = of(*at),
                operation = op(*at),
                from = clock(planned.start),
                to = clock(planned.end)
            ),
            Self::Unattended { at, needed } => say!(
                "{bolt}: nobody is there for {operation} from {from} to {to}",
                "{bolt}: tidak ada orang untuk {operation} dari {from} sampai {to}",
                bolt = of(*at),
                operation = op(*at),
                from = clock(needed.start),
                to = clock(needed.end)
            ),
            Self::BeforeRelease {
                lot: l,
                bolt: b,
                start,
                release,
            } => say!(
                "{bolt} starts {start}, before its lot may at {release}",
                "{bolt} mulai {start}, sebelum partainya boleh mulai {release}",
                bolt = bolt(*l, *b),
                start = clock(*start),
                release = clock(*release)
            ),
            Self::TooSoon {
                at,
                after,
                lag,
                least,
            } => say!(
                "{bolt}: {operation} starts {lag} min after {earlier}; at least {least}",
                "{bolt}: {operation} mulai {lag} menit sesudah {earlier}; paling cepat {least}",
                bolt = of(*at),
                operation = op(*at),
                lag = min(*lag),
                earlier = earlier(*at, *after),
                least = min(*least)
            ),
            Self::TooLate { at, after, lag, most } => say!(
                "{bolt}: {operation} starts {lag} min after {earlier}; at most {most}",
                "{bolt}: {operation} mulai {lag} menit sesudah {earlier}; paling lama {most}",
                bolt = of(*at),
                operation = op(*at),
                lag = min(*lag),
                earlier = earlier(*at, *after),
                most = min(*most)
            ),
            Self::Overload {
                resource,
                at,
                held,
                capacity,
            } => say!(
                "{resource}: {held} in use at {at}, there are {capacity}",
                "{resource}: {held} dipakai pada {at}, yang ada {capacity}",
                resource = Arg::Name(problem.resource_name(*resource).to_string()),
                held = Arg::Number(f64::from(*held), 0),
                at = clock(*at),
                capacity = Arg::Number(f64::from(*capacity), 0)
            ),
            Self::BatchTooLarge {
                at,
                start,
                bolts,
                capacity,
            } => say!(
                "{operation} at {start}: {bolts} bolts together, at most {capacity}",
                "{operation} pada {start}: {bolts} gulung sekaligus, paling banyak {capacity}",
                operation = op(*at),
                start = clock(*start),
                bolts = Arg::Number(f64::from(*bolts), 0),
                capacity = Arg::Number(f64::from(*capacity), 0)
            ),
            Self::BatchMixed { at, start, families } => say!(
                "{operation} at {start}: families {families} do not go together",
                "{operation} pada {start}: kelompok {families} tidak boleh dicampur",
                operation = op(*at),
                start = clock(*start),
                families = Arg::Name(families.join(", "))
            ),
            Self::BatchUneven { at, start } => say!(
                "{operation} at {start}: the bolts of one batch end at different times",
                "{operation} pada {start}: gulung satu muatan selesai tidak bersamaan",
                operation = op(*at),
                start = clock(*start)
            ),
            Self::LoadsOutOfOrder { at, before } => say!(
                "{bolt} goes into the bath of {operation} before {before} is out, though its minutes are those of a weaker or a fresh bath",
                "{bolt} masuk bak {operation} sebelum {before} keluar, padahal menitnya untuk bak yang lebih lemah atau baru",
                bolt = of(*at),
                operation = op(*at),
                before = of(*before)
            ),
            Self::NoSetUp {
                resource,
                before,
                after,
                gap,
                needed,
            } => say!(
                "{resource}: {gap} min between {before} and {after}, set-up needs {needed}",
                "{resource}: {gap} menit antara {before} dan {after}, ganti warna perlu {needed}",
                resource = Arg::Name(problem.resource_name(*resource).to_string()),
                gap = min(*gap),
                before = of(*before),
                after = of(*after),
                needed = min(*needed)
            ),
            Self::ApprovalOutside { lot: l, planned } => say!(
                "the approval of lot {lot} from {from} to {to} is too short, too long or outside the visits",
                "acc partai {lot} dari {from} sampai {to} terlalu singkat, terlalu lama, atau di luar kunjungan",
                lot = lot(*l),
                from = clock(planned.start),
                to = clock(planned.end)
            ),
            Self::ApprovalBeforeRelease { lot: l } => say!(
                "the approval of lot {lot} lies before the lot may begin",
                "acc partai {lot} sebelum partainya boleh mulai",
                lot = lot(*l)
            ),
            Self::ApprovalBeforeStrikeOff { lot: l, done } => say!(
                "the approval of lot {lot} lies before its strike-off is done at {done}",
                "acc partai {lot} sebelum contohnya selesai {done}",
                lot = lot(*l),
                done = clock(*done)
            ),
            Self::StartBeforeApproval {
                lot: l,
                start,
                approved,
            } => say!(
                "lot {lot} starts {start}, before it is approved at {approved}",
                "partai {lot} mulai {start}, sebelum acc {approved}",
                lot = lot(*l),
                start = clock(*start),
                approved = clock(*approved)
            ),
        }
    }
}

fn key(problem: &Problem, at: Spot) -> &str {
    problem
        .lots
        .get(at.lot)
        .and_then(|l| l.route.get(at.operation))
        .map_or("?", |o| &o.key)
}
