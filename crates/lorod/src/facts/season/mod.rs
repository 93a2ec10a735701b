//! The season of a collection: when artwork, stamps and purchases are due, strike-offs are made and approved, bulk is
//! made, inspected and shipped; and what the designer's next visit is for.
//!
//! The plan of all orders is made with the strike-offs of every design that is not approved yet; everything else is
//! counted back from it by the workshop's lead times. Nobody counts the store here: a purchase says by when it must be
//! ordered if it is not there.

pub mod agenda;
pub mod picture;

use super::followed::{self, followed};
use super::plan::{Planned, plan};
use super::problem::Asked;
use super::views::{Piece, View};
use ::plan::Minute;
use route::{LotShape, Stuff};
use sky::Date;
use std::collections::BTreeMap;
use units::{Measure, Quantity};
use words::{Arg, Finding, Line, Place, Voice, Weight, say, text};
use workspace::{WORKSHOP, Workspace};

/// Closed days inside a visit that do not end it: a Sunday and a feast.
const PAUSE: i32 = 3;

/// What is asked.
#[derive(Clone, Debug)]
pub struct AskedSeason {
    /// First day of the plan.
    pub first_day: Date,
    /// Rounds of strike-offs.
    pub rounds: u32,
    /// Ids of designs that need none: they are approved.
    pub approved: Vec<String>,
    /// Plans to try.
    pub tries: u64,
    /// Whether it is planned anew even where a plan was chosen.
    pub anew: bool,
}

/// A season.
#[derive(Clone, Debug)]
pub struct Season {
    /// The plan it was read from.
    pub planned: Planned,
    /// Designs with orders, in the order of their first promise.
    pub designs: Vec<DesignSeason>,
    /// Visits of the designer, first and last day.
    pub visits: Vec<(Date, Date)>,
    /// What must be there, the first to be ordered first.
    pub purchases: Vec<Purchase>,
    /// What there is to say.
    pub findings: Vec<Finding>,
}

/// The season of a design.
#[derive(Clone, Debug)]
pub struct DesignSeason {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The drawing is finished; `None` where the workshop's file has no lead time, or no stamp is to be ordered.
    pub artwork: Option<Date>,
    /// Its stamps are ordered.
    pub stamp: Option<Date>,
    /// Rounds of strike-offs: lot, first and last day of the work, day of the approval.
    pub rounds: Vec<(usize, Date, Date, Option<Date>)>,
    /// Its orders.
    pub orders: Vec<OrderSeason>,
}

/// The season of an order.
#[derive(Clone, Debug)]
pub struct OrderSeason {
    /// Place of its lot in the plan.
    pub lot: usize,
    /// First day of the work.
    pub starts: Date,
    /// First day on which its last step, the inspection and packing, is done.
    pub inspected: Date,
    /// The last bolt is packed.
    pub ready: Date,
    /// Promised.
    pub ships: Date,
    /// Is it ready after its promise?
    pub late: bool,
}

/// Something that must be there by a day.
#[derive(Clone, Debug)]
pub struct Purchase {
    /// What.
    pub what: Line,
    /// How much.
    pub amount: Quantity,
    /// The first day on which some of it is used.
    pub needed: Date,
    /// The last day to order it; `None`: no lead time is known.
    pub order_by: Option<Date>,
    /// Lots that use it.
    pub lots: Vec<String>,
}

impl Purchase {
    /// What it is, to be put into a sentence.
    fn said(&self) -> Arg {
        let named = self.what.args.first().map(|(_, name)| name.clone());
        named.unwrap_or(Arg::Text(self.what.text))
    }

    /// The orders that use it; strike-offs where no order does.
    pub fn for_whom(&self, view: &View, voice: Voice) -> String {
        let lots = &view.problem().lots;
        let all = || (0..lots.len()).filter(|at| self.lots.contains(&lots[*at].name));
        let orders: Vec<&str> = all()
            .filter(|at| lots[*at].weight > 0)
            .map(|at| view.lot(at))
            .collect();
        if orders.is_empty() {
            return all()
                .map(|at| view.called(at, voice))
                .collect::<Vec<_>>()
                .join(", ");
        }
        if orders.len() == lots.iter().filter(|lot| lot.weight > 0).count() {
            return text!("all orders", "semua pesanan")
                .raw(voice.language)
                .to_string();
        }
        orders.join(", ")
    }
}

/// Makes the season of a workspace.
///
/// # Errors
/// What keeps its orders from being planned.
pub fn season(
    workspace: &Workspace,
    asked: &AskedSeason,
    keep_going: &dyn Fn() -> bool,
) -> Result<Season, Vec<Finding>> {
    let mut wanted: Vec<String> = Vec::new();
    for order in &workspace.orders {
        if !wanted.contains(&order.design)
            && !asked.approved.contains(&order.design)
            && workspace.design(&order.design).is_some()
        {
            wanted.push(order.design.clone());
        }
    }
    let rounds = asked.rounds as usize;
    let asked_plan = Asked {
        first_day: asked.first_day,
        strike_offs: wanted.into_iter().flat_map(|id| vec![id; rounds]).collect(),
        courier_days: None,
        tries: asked.tries,
    };
    let planned = chosen_or_new(workspace, &asked_plan, asked.anew, keep_going)?;
    let mut findings = planned.findings.clone();
    let Some(view) = View::new(workspace, &planned) else {
        return Err(findings);
    };
    let pieces = view.pieces();
    let designs = designs(&view, &pieces);
    let purchases = purchases(&view, &pieces);
    findings.extend(remarks(&view, &designs, &purchases));
    let visits = visits(&view);
    Ok(Season {
        designs,
        visits,
        purchases,
        findings,
        planned,
    })
}

/// The plan that was chosen, if it makes the strike-offs that are asked for and fits the orders; else a new one.
fn chosen_or_new(
    workspace: &Workspace,
    asked: &Asked,
    anew: bool,
    keep_going: &dyn Fn() -> bool,
) -> Result<Planned, Vec<Finding>> {
    let chosen = if anew {
        None
    } else {
        followed(workspace, asked.tries, keep_going)
    };
    let why = match chosen {
        None => followed::set_aside(workspace),
        Some(Err(why)) => Some(why),
        Some(Ok(planned)) => {
            let sorted = |mut ids: Vec<String>| {
                ids.sort();
                ids
            };
            let made = followed::asked(workspace, &planned, asked).strike_offs;
            if sorted(made) == sorted(asked.strike_offs.clone()) {
                return Ok(planned);
            }
            Some(other_strike_offs())
        }
    };
    let mut planned = plan(workspace, asked, keep_going)?;
    planned.findings.extend(why);
    Ok(planned)
}

/// That the plan that was chosen makes other strike-offs than the season asks for.
fn other_strike_offs() -> Finding {
    let found = say!(
        "the plan that was chosen makes other strike-offs than are asked for here: the season is planned anew, and its days may differ from those on the cards",
        "rencana yang dipilih membuat contoh lain dari yang diminta di sini: musim disusun ulang, dan harinya dapat berbeda dari kartu"
    );
    let finding = Finding::new("season-anew", Weight::Note, Place::Request, found);
    finding.remedy(say!(
        "name the designs that are approved already, or take a plan with their strike-offs",
        "sebut desain yang sudah di-acc, atau pilih rencana dengan contohnya"
    ))
}

fn designs(view: &View, pieces: &[Piece]) -> Vec<DesignSeason> {
    let problem = view.problem();
    let leads = &view.workspace.lead_times;
    let mut all: Vec<DesignSeason> = Vec::new();
    for (at, lot) in problem.lots.iter().enumerate() {
        let Some(design) = view.design(at) else { continue };
        let Some((start, done)) = view.planned.span(at) else {
            continue;
        };
        let found = all.iter().position(|season| season.id == design.id);
        let n = found.unwrap_or_else(|| {
            let first_stamped = pieces.iter().filter(|piece| {
                let own = view.design(piece.lot).is_some_and(|other| other.id == design.id);
                own && piece.holds.iter().any(|(resource, ..)| {
                    let stamp = problem.resource_name(*resource).strip_prefix("stamp:");
                    let stamp = stamp.and_then(|name| name.split_once('/'));
                    // What hangs on the shelf need not be ordered.
                    stamp.is_some_and(|(design, stamp)| {
                        view.workspace
                            .shelf
                            .in_use(design, stamp)
                            .is_none_or(|copies| copies == 0)
                    })
                })
            });
            let stamped = first_stamped.map(|piece| piece.start).min();
            let stamp = stamped
                .zip(leads.of("stamp"))
                .map(|(first, days)| view.date(first).plus(-days));
            all.push(DesignSeason {
                id: design.id.clone(),
                name: design.name.clone(),
                artwork: stamp
                    .zip(leads.of("artwork"))
                    .map(|(stamp, days)| stamp.plus(-days)),
                stamp,
                rounds: Vec::new(),
                orders: Vec::new(),
            });
            all.len() - 1
        });
        if lot.weight == 0 {
            let approved = problem
                .lots
                .iter()
                .position(|other| {
                    other
                        .approval
                        .is_some_and(|approval| approval.after_lot == Some(at))
                })
                .and_then(|other| view.planned.schedule.approvals.get(&other))
                .map(|window| view.date(window.start));
            all[n]
                .rounds
                .push((at, view.date(start), view.date(done - 1), approved));
            continue;
        }
        let last = lot.route.len().saturating_sub(1);
        let inspected = (0..lot.bolts)
            .filter_map(|bolt| view.planned.schedule.get(at, bolt, last))
            .map(|p| p.start);
        all[n].orders.push(OrderSeason {
            lot: at,
            starts: view.date(start),
            inspected: view.date(inspected.min().unwrap_or(done)),
            ready: view.date(done - 1),
            ships: view.date(lot.due - 1),
            late: done > lot.due,
        });
    }
    all.sort_by_key(|season| season.orders.iter().map(|order| order.ships).min());
    all
}

/// Visits of the designer that begin or last from the plan's first day on, to the last promise or piece of work.
fn visits(view: &View) -> Vec<(Date, Date)> {
    let Some(calendar) = view.workspace.calendar("designer") else {
        return Vec::new();
    };
    let due = view.problem().lots.iter().map(|lot| view.date(lot.due)).max();
    let last = view.whole().last.max(due.unwrap_or_default());
    let mut visits: Vec<(Date, Date)> = Vec::new();
    for day in (view.problem().first_day.days..=last.days).map(|days| Date { days }) {
        if calendar.shifts_on(day, &view.shop.climate).is_empty() {
            continue;
        }
        match visits.last_mut() {
            Some((_, end)) if day.days - end.days <= PAUSE => *end = day,
            _ => visits.push((day, day)),
        }
    }
    visits
}

/// Cloth and dyes of all lots, by what they are.
fn purchases(view: &View, pieces: &[Piece]) -> Vec<Purchase> {
    let leads = &view.workspace.lead_times;
    let mut all: BTreeMap<String, Purchase> = BTreeMap::new();
    let mut add = |key: String, what: Line, amount: Quantity, needed: Date, lead: Option<i32>, lot: &str| {
        let entry = all.entry(key).or_insert_with(|| Purchase {
            what,
            amount: Quantity::new(0.0, amount.measure),
            needed,
            order_by: None,
            lots: Vec::new(),
        });
        entry.amount.si += amount.si;
        entry.needed = entry.needed.min(needed);
        entry.order_by = lead.map(|days| entry.needed.plus(-days));
        entry.lots.push(lot.to_string());
    };
    for (at, lot) in view.problem().lots.iter().enumerate() {
        let (Some(design), Some((start, _))) = (view.design(at), view.planned.span(at)) else {
            continue;
        };
        let shape = LotShape::new(&lot.name, lot.bolts, 0, design.cloth);
        let length = Quantity::new(design.cloth.length.0 * f64::from(lot.bolts), Measure::Length);
        let cloth = say!("white cloth", "kain mori");
        add(
            "cloth".into(),
            cloth,
            length,
            view.date(start),
            leads.of("cloth"),
            &lot.name,
        );
        for drawn in route::totals(design, &shape, view.shop) {
            let Stuff::Dye(dye) = drawn.stuff else { continue };
            let Some(card) = design.dyes.get(dye) else {
                continue;
            };
            let first = first_dyed(view, pieces, at, dye).unwrap_or(start);
            let name = say!(
                "dye {name}",
                "pewarna {name}",
                name = Arg::Name(card.name.clone())
            );
            add(
                format!("dye {}", card.id),
                name,
                drawn.amount,
                view.date(first),
                leads.dye(&card.id),
                &lot.name,
            );
        }
    }
    let mut all: Vec<Purchase> = all.into_values().collect();
    all.sort_by_key(|purchase| (purchase.order_by.unwrap_or(purchase.needed), purchase.needed));
    all
}

/// The first minute at which a lot takes a dye.
fn first_dyed(view: &View, pieces: &[Piece], lot: usize, dye: usize) -> Option<Minute> {
    let design = view.design(lot)?;
    let takes = |step: usize| {
        design.steps.get(step).is_some_and(|step| {
            step.operation.values().iter().any(|(_, value)| match value {
                route::Value::Dyes(doses) => doses.iter().any(|dose| dose.dye == dye),
                _ => false,
            })
        })
    };
    let run = view.planned.mapped.lots.get(lot)?;
    pieces
        .iter()
        .filter(|piece| piece.bolts.iter().any(|(of, _)| *of == lot))
        .filter(|piece| {
            view.operation_in(piece, lot)
                .and_then(|at| run.steps.get(at))
                .is_some_and(|step| takes(*step))
        })
        .map(|piece| piece.start)
        .min()
}

/// What lies before the first day, and what is not known.
fn remarks(view: &View, designs: &[DesignSeason], purchases: &[Purchase]) -> Vec<Finding> {
    let first = view.problem().first_day;
    let mut findings = Vec::new();
    let early = |code, found: Line, remedy: Line| {
        Finding::new(code, Weight::Doubtful, Place::Request, found).remedy(remedy)
    };
    for design in designs {
        let Some(stamp) = design.stamp.filter(|day| *day < first) else {
            continue;
        };
        let found = say!(
            "the stamp of {design} must have been ordered by {day}, {n} days before this plan begins",
            "cap {design} harus sudah dipesan {day}, {n} hari sebelum rencana ini mulai",
            design = Arg::Name(design.name.clone()),
            day = Arg::Name(stamp.to_string()),
            n = Arg::Number(f64::from(first.days - stamp.days), 0)
        );
        findings.push(early(
            "stamp-not-there",
            found,
            say!(
                "if it is not on its way, begin the plan later or promise this design later",
                "bila belum dipesan, mulai rencana lebih lambat atau undur janji desain ini"
            ),
        ));
    }
    let late: Vec<(&Purchase, Date)> = purchases
        .iter()
        .filter_map(|purchase| Some((purchase, purchase.order_by.filter(|day| *day < first)?)))
        .collect();
    if let Some((purchase, day)) = late.first() {
        let found = say!(
            "purchases that must have been ordered before this plan begins: {n}; the first, {what}, by {day}, needed on {needed}",
            "pembelian yang seharusnya dipesan sebelum rencana ini mulai: {n}; yang pertama, {what}, paling lambat {day}, diperlukan {needed}",
            n = Arg::Number(late.len() as f64, 0),
            what = purchase.said(),
            day = Arg::Name(day.to_string()),
            needed = Arg::Name(purchase.needed.to_string())
        );
        findings.push(early(
            "purchase-too-late",
            found,
            say!(
                "look whether they are in the store; if not, give the orders the day their cloth is there ({cloth})",
                "periksa apakah ada di gudang; bila tidak, beri pesanan hari kainnya tiba ({cloth})",
                cloth = Arg::Name("cloth = \"YYYY-MM-DD\"".into())
            ),
        ));
    }
    let known = &view.workspace.lead_times;
    let missing: Vec<&str> = ["artwork", "stamp", "cloth", "dyes"]
        .into_iter()
        .filter(|name| known.of(name).is_none())
        .collect();
    if !missing.is_empty() {
        let found = say!(
            "no lead time is known for {missing}: the days to order by are left out",
            "waktu tunggu {missing} belum diketahui: tanggal pesannya tidak dihitung",
            missing = Arg::Name(missing.join(", "))
        );
        let remedy = say!(
            "add {table} to {file}",
            "tambahkan {table} di {file}",
            table = Arg::Name("[lead_times]".into()),
            file = Arg::Name(WORKSHOP.into())
        );
        findings.push(Finding::new("lead-time-missing", Weight::Note, Place::Request, found).remedy(remedy));
    }
    for name in known.days.keys() {
        let usual = ["artwork", "stamp", "cloth", "dyes"].contains(&name.as_str());
        if !usual && view.workspace.dye(name).is_none() {
            let found = say!(
                "the lead time of {name} belongs to nothing there is",
                "waktu tunggu {name} tidak cocok dengan apa pun",
                name = Arg::Name(name.clone())
            );
            findings.push(
                Finding::new("lead-time-unknown", Weight::Doubtful, Place::Request, found).allow(say!(
                    "{all}, or the id of a dye",
                    "{all}, atau id pewarna",
                    all = Arg::Name("artwork, stamp, cloth, dyes".into())
                )),
            );
        }
    }
    findings
}
