//! `lorod season`: from artwork to ship date over months, what to order by when, and what the next visit is for.

use super::check::aside;
use super::end::{REFUSED, open};
use super::plan::{LONGEST, TRIES, first_day};
use super::table::Table;
use super::{End, out, stop, tell, wire};
use crate::facts::season::{AskedSeason, Season, agenda, picture, season};
use crate::facts::views::{View, chart, day_name};
use clap::Args;
use serde::Serialize;
use sky::Date;
use std::path::PathBuf;
use std::time::Instant;
use words::{Text, Voice, Weight, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod season my-cloth --from 2026-10-05 --rounds 2
  lorod season my-cloth --approved sea-fan -o season.svg
  lorod --lang id season my-cloth --agenda

Strike-offs, approvals and bulk stand where the plan of all orders puts them. Days to order by are counted back from
there by [lead_times] of the workshop's file. A plan that was chosen (plan.json of the folder) is followed while it fits the
orders and makes these strike-offs; --anew or --from plans anew.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// First day of the plan [default: tomorrow]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// Rounds of strike-offs of each design
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(0..=3))]
    pub rounds: u32,
    /// A design whose strike-off is approved already. May be repeated
    #[arg(long, value_name = "DESIGN")]
    pub approved: Vec<String>,
    /// Only the agenda of the next visit
    #[arg(long)]
    pub agenda: bool,
    /// Plan anew even where a plan was chosen: plan.json of the folder
    #[arg(long)]
    pub anew: bool,
    /// Plans to try
    #[arg(long, value_name = "N", default_value_t = TRIES)]
    pub tries: u64,
    /// One JSON document instead of text
    #[arg(long, conflicts_with = "agenda")]
    pub json: bool,
    /// Draw the season there, SVG or PNG
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// The answer as JSON. Days are `2026-12-01`.
#[derive(Serialize)]
struct Out {
    /// First day of the plan.
    from: String,
    /// Designs in the order of their first promise.
    designs: Vec<DesignOut>,
    /// Visits, first and last day.
    visits: Vec<[String; 2]>,
    /// What must be ordered.
    purchases: Vec<PurchaseOut>,
    /// The next visit; `null` if there is none.
    agenda: Option<AgendaOut>,
    /// What there is to say.
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct DesignOut {
    id: String,
    /// Drawing finished.
    artwork_due: Option<String>,
    /// Stamp ordered.
    stamp_order_by: Option<String>,
    rounds: Vec<RoundOut>,
    orders: Vec<OrderOut>,
}

#[derive(Serialize)]
struct RoundOut {
    lot: String,
    from: String,
    to: String,
    approved: Option<String>,
}

#[derive(Serialize)]
struct OrderOut {
    id: String,
    starts: String,
    inspected_from: String,
    ready: String,
    ships: String,
    late: bool,
}

#[derive(Serialize)]
struct PurchaseOut {
    what: String,
    amount: wire::QuantityOut,
    needed: String,
    order_by: Option<String>,
    lots: Vec<String>,
}

#[derive(Serialize)]
struct AgendaOut {
    visit: [String; 2],
    decide: Vec<String>,
    look: Vec<String>,
    waiting: Vec<String>,
}

/// Runs it.
///
/// # Errors
/// If there is no plan.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    super::end::shop(&workspace)?;
    for id in &ask.approved {
        super::end::design(&workspace, id)?;
    }
    let asked = AskedSeason {
        first_day: first_day(ask.from.as_deref(), &workspace)?,
        rounds: ask.rounds,
        approved: ask.approved.clone(),
        tries: ask.tries,
        anew: ask.anew || ask.from.is_some(),
    };
    stop::flag();
    let since = Instant::now();
    let keep_going = || !stop::raised() && since.elapsed() < LONGEST;
    let season =
        season(&workspace, &asked, &keep_going).map_err(|findings| End::in_files(findings, &workspace))?;
    if stop::raised() {
        return Err(End::stopped());
    }
    let view = View::new(&workspace, &season.planned).ok_or_else(End::stopped)?;
    if let Some(path) = &ask.output {
        out::drawing(
            path,
            &picture::picture(&view, &season, &chart::cloths(&view), voice),
        )?;
    }
    let agenda = agenda::next(&view, &season, voice);
    if ask.json {
        wire::print(&document(&view, &season, agenda, voice));
    } else {
        let next = agenda.map_or_else(
            || {
                format!(
                    "{}\n",
                    text!(
                        "No visit falls into these months.",
                        "Tidak ada kunjungan pada bulan ini."
                    )
                    .raw(voice.language)
                )
            },
            |agenda| agenda.as_text(voice),
        );
        if ask.agenda {
            tell(&next);
        } else {
            tell(&format!(
                "{}\n{}\n{next}",
                calendar(&view, &season, voice),
                purchases(&view, &season, voice)
            ));
            aside(&season.findings, &workspace, voice);
        }
    }
    let wrong = season
        .findings
        .iter()
        .any(|finding| finding.weight == Weight::Wrong);
    if wrong { Err(End::said(REFUSED)) } else { Ok(()) }
}

/// A line for each order.
fn calendar(view: &View, season: &Season, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let day = |day: Option<Date>| day.map_or_else(|| "-".to_string(), |day| day_name(day, voice));
    let mut table = Table::new(&[false; 9]);
    table.row([
        raw(text!("design", "desain")),
        raw(text!("artwork by", "gambar")),
        raw(text!("stamp by", "pesan cap")),
        raw(text!("strike-off", "contoh")),
        raw(text!("approved", "acc")),
        raw(text!("order", "pesanan")),
        raw(text!("bulk", "produksi")),
        raw(text!("inspection", "inspeksi")),
        raw(text!("ships", "kirim")),
    ]);
    for design in &season.designs {
        for n in 0..design.orders.len().max(design.rounds.len()) {
            let first = |text: String| if n == 0 { text } else { String::new() };
            let round = design.rounds.get(n);
            let order = design.orders.get(n);
            let span = |from: Date, to: Date| format!("{} - {}", day_name(from, voice), day_name(to, voice));
            let mark = if order.is_some_and(|order| order.late) {
                " !"
            } else {
                ""
            };
            table.row([
                first(design.name.clone()),
                first(day(design.artwork)),
                first(day(design.stamp)),
                round.map_or_else(String::new, |(_, from, to, _)| span(*from, *to)),
                round.map_or_else(String::new, |(.., approved)| day(*approved)),
                order.map_or_else(String::new, |order| view.lot(order.lot).to_string()),
                order.map_or_else(String::new, |order| span(order.starts, order.ready)),
                order.map_or_else(String::new, |order| span(order.inspected, order.ready)),
                order.map_or_else(String::new, |order| {
                    format!("{}{mark}", day_name(order.ships, voice))
                }),
            ]);
        }
    }
    table.text()
}

fn purchases(view: &View, season: &Season, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let mut table = Table::new(&[false, true, false, false, false]);
    table.row([
        raw(text!(
            "to order, if not in the store",
            "dipesan, bila tidak ada di gudang"
        )),
        raw(text!("amount", "jumlah")),
        raw(text!("order by", "pesan sebelum")),
        raw(text!("needed", "diperlukan")),
        raw(text!("for", "untuk")),
    ]);
    for purchase in &season.purchases {
        table.row([
            purchase.what.say(voice),
            voice.quantity(purchase.amount),
            purchase
                .order_by
                .map_or_else(|| "-".to_string(), |day| day_name(day, voice)),
            day_name(purchase.needed, voice),
            purchase.for_whom(view, voice),
        ]);
    }
    table.text()
}

fn document(view: &View, season: &Season, agenda: Option<agenda::Agenda>, voice: Voice) -> Out {
    let text = |day: &Date| day.to_string();
    let designs = season.designs.iter().map(|design| DesignOut {
        id: design.id.clone(),
        artwork_due: design.artwork.as_ref().map(text),
        stamp_order_by: design.stamp.as_ref().map(text),
        rounds: design
            .rounds
            .iter()
            .map(|(lot, from, to, approved)| RoundOut {
                lot: view.lot(*lot).to_string(),
                from: text(from),
                to: text(to),
                approved: approved.as_ref().map(text),
            })
            .collect(),
        orders: design
            .orders
            .iter()
            .map(|order| OrderOut {
                id: view.lot(order.lot).to_string(),
                starts: text(&order.starts),
                inspected_from: text(&order.inspected),
                ready: text(&order.ready),
                ships: text(&order.ships),
                late: order.late,
            })
            .collect(),
    });
    Out {
        from: text(&view.problem().first_day),
        designs: designs.collect(),
        visits: season
            .visits
            .iter()
            .map(|(from, to)| [text(from), text(to)])
            .collect(),
        purchases: season
            .purchases
            .iter()
            .map(|purchase| PurchaseOut {
                what: purchase.what.say(voice),
                amount: wire::QuantityOut::new(purchase.amount, voice),
                needed: text(&purchase.needed),
                order_by: purchase.order_by.as_ref().map(text),
                lots: purchase.lots.clone(),
            })
            .collect(),
        agenda: agenda.map(|agenda| AgendaOut {
            visit: [text(&agenda.visit.0), text(&agenda.visit.1)],
            decide: agenda.decide,
            look: agenda.look,
            waiting: agenda.waiting,
        }),
        findings: wire::findings(&season.findings, |path| view.workspace.source(path), voice),
    }
}
