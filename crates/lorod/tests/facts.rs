//! The plan of the demonstration's orders, and what it was made of.

mod common;

use common::Scratch;
use lorod::facts::HouseFacts;
use lorod::facts::left::{Known, Part, Stand, left};
use lorod::facts::plan::{Planned, plan};
use lorod::facts::problem::{Asked, problem};
use lorod::studio::Facts;
use sky::Date;
use words::Voice;
use workspace::Workspace;

fn asked(tries: u64, strike_offs: &[&str]) -> Asked {
    Asked {
        first_day: Date::new(2026, 11, 26).unwrap(),
        strike_offs: strike_offs.iter().map(|id| (*id).to_string()).collect(),
        courier_days: None,
        tries,
    }
}

fn opened(scratch: &Scratch) -> Workspace {
    Workspace::open(&scratch.path("demo")).unwrap()
}

fn planned(workspace: &Workspace, asked: &Asked) -> Planned {
    plan(workspace, asked, &|| true).unwrap_or_else(|findings| panic!("{findings:?}"))
}

#[test]
fn the_demonstration_is_planned_and_the_judge_finds_nothing() {
    let workspace = opened(&Scratch::with_demo(&[]));
    let planned = planned(&workspace, &asked(40, &[]));
    assert_eq!(planned.faults, []);
    let bolts: u32 = workspace.orders.iter().map(|order| order.bolts).sum();
    assert_eq!(planned.mapped.problem.bolts(), bolts as usize);
    for (at, lot) in planned.mapped.problem.lots.iter().enumerate() {
        assert!(planned.late(at).unwrap() <= 0, "{} is late", lot.name);
    }
    // The judge is awake: a bolt that starts its second step at midnight is seen.
    let mut spoilt = planned.schedule.clone();
    let (spot, placed) = spoilt.placed.iter().nth(1).map(|(s, p)| (*s, *p)).unwrap();
    spoilt.placed.insert(
        spot,
        plan::Placed {
            start: 0,
            end: placed.end - placed.start,
            ..placed
        },
    );
    assert!(!plan::judge::check(&planned.mapped.problem, &spoilt).is_empty());
}

#[test]
fn the_same_tries_give_the_same_plan() {
    let workspace = opened(&Scratch::with_demo(&["sea-fan"]));
    let once = planned(&workspace, &asked(30, &[]));
    assert_eq!(once.schedule, planned(&workspace, &asked(30, &[])).schedule);
}

/// The demonstration's designer comes in the second week of the month, which begins with its second Monday:
/// 14 December 2026 (calendar: 1 December 2026 is a Tuesday).
#[test]
fn orders_wait_for_the_strike_off_and_the_visit() {
    let workspace = opened(&Scratch::with_demo(&["sea-fan", "rain-gutter"]));
    let planned = planned(&workspace, &asked(20, &["sea-fan"]));
    assert_eq!(planned.faults, []);
    let visit =
        i64::from(Date::new(2026, 12, 14).unwrap().days - Date::new(2026, 11, 26).unwrap().days) * 1440;
    let strike_off = planned.lot("sea-fan-contoh").unwrap();
    assert!(planned.span(strike_off).unwrap().1 <= visit);
    for (lot, fan) in [("o-101", true), ("o-107", true), ("o-103", false)] {
        let (start, _) = planned.span(planned.lot(lot).unwrap()).unwrap();
        assert_eq!(start >= visit, fan, "{lot}");
    }
}

/// By courier the same orders need not wait for the visit: two days on the road, then a call in shop hours.
#[test]
fn a_courier_and_a_call_stand_in_for_the_visit() {
    let workspace = opened(&Scratch::with_demo(&["sea-fan"]));
    let asked = Asked {
        courier_days: Some(2),
        ..asked(20, &["sea-fan"])
    };
    let planned = planned(&workspace, &asked);
    assert_eq!(planned.faults, []);
    let strike_off = planned.lot("sea-fan-contoh").unwrap();
    let route = &planned.mapped.problem.lots[strike_off].route;
    let courier = planned.schedule.get(strike_off, 0, route.len() - 1).unwrap();
    assert_eq!(courier.end - courier.start, 2 * 1440);
    let order = planned.lot("o-101").unwrap();
    let call = planned.schedule.approvals[&order];
    assert!(call.start >= courier.end);
    let visit =
        i64::from(Date::new(2026, 12, 14).unwrap().days - Date::new(2026, 11, 26).unwrap().days) * 1440;
    assert!(call.end < visit, "the call comes before the visit");
    assert!(planned.span(order).unwrap().0 >= call.end);
}

/// A copper stamp of which every copy is retired prints nothing before a new one is there: 28 days after the order, says
/// the workshop's file (26 November + 28 days: 24 December).
#[test]
fn nothing_is_stamped_before_a_copy_is_there() {
    let scratch = Scratch::with_demo(&["mangrove-root"]);
    let shelf = scratch.path("demo/stamps.toml");
    let hung = std::fs::read_to_string(&shelf).unwrap();
    let retired = format!(
        "{hung}\n[[deeds]]\ndate = \"2026-11-20\"\ndesign = \"mangrove-root\"\nstamp = \"root\"\ncopy = 1\ndid = \"retired\"\n"
    );
    let ordered = format!(
        "{retired}\n[[copies]]\ndesign = \"mangrove-root\"\nstamp = \"root\"\ncopy = 2\nmade = \"2026-12-03\"\n"
    );
    // The day of the first waxing, days after the first; what is said of the stamp.
    let first = |text: &str| {
        std::fs::write(&shelf, text).unwrap();
        let planned = planned(&opened(&scratch), &asked(20, &[]));
        assert_eq!(planned.faults, []);
        let problem = &planned.mapped.problem;
        let stamp = problem
            .resources
            .iter()
            .position(|r| r.name == "stamp:mangrove-root/root");
        let holds = |spot: &plan::Spot| {
            let operation = &problem.lots[spot.lot].route[spot.operation];
            operation.uses.iter().any(|used| Some(used.resource.0) == stamp)
        };
        let placed = &planned.schedule.placed;
        let waxings = placed.iter().filter(|(spot, _)| holds(spot));
        let begins = waxings.map(|(_, placed)| placed.start).min().unwrap();
        let said = planned.findings.iter().find(|f| f.code == "stamp-without-copy");
        (
            begins / 1440,
            said.map(|f| words::show(f, None, Voice::default())),
        )
    };
    let (there, said) = first(&hung);
    assert!(there < 7 && said.is_none(), "{there} {said:?}");
    let (coming, said) = first(&ordered);
    assert!(coming >= 7 && said.unwrap().contains("2026-12-03"), "{coming}");
    let (none, said) = first(&retired);
    assert!(none >= 28 && said.unwrap().contains("2026-12-24"), "{none}");

    // Without a lead time nobody knows.
    let shop = scratch.path("demo/workshop.toml");
    let text = std::fs::read_to_string(&shop).unwrap();
    std::fs::write(&shop, text.replace("stamp = \"28 d\"\n", "")).unwrap();
    let refused = problem(&opened(&scratch), &asked(20, &[])).unwrap_err();
    assert_eq!(refused.len(), 1);
    assert!(refused[0].code == "stamp-without-copy" && refused[0].weight == words::Weight::Wrong);
}

/// Each stamp of the demonstration passes the check that the studio shows; that one is longer than is handy stands with
/// its reason in the design's file.
#[test]
fn copper_can_be_bent_to_every_stamp_of_the_demonstration() {
    let workspace = opened(&Scratch::with_demo(&[]));
    let mut looked_at = 0;
    for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
        for used in &design.stamps {
            let report = used
                .stamp
                .report(&workspace.stamp_limits(), design.cloth.width.to_mm());
            let doubts: Vec<String> = report
                .findings()
                .iter()
                .filter(|f| f.weight > words::Weight::Note && f.code != "stamp-unhandy")
                .map(|f| words::show(f, None, Voice::default()))
                .collect();
            assert!(report.buildable() && doubts.is_empty(), "{} {doubts:?}", used.id);
            looked_at += 1;
        }
    }
    assert_eq!(looked_at, 6);
}

/// Cloth that comes the day before the promise: the lot does not begin before, is late, and it is said why and what
/// helps, computed by planning again.
#[test]
fn a_late_lot_is_explained_with_a_remedy() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let file = scratch.path("demo/orders.toml");
    let orders = std::fs::read_to_string(&file).unwrap();
    let later = orders.replacen(
        "due = \"2026-12-18\"",
        "due = \"2026-12-18\"\ncloth = \"2026-12-17\"",
        1,
    );
    assert_ne!(later, orders);
    std::fs::write(&file, &later).unwrap();
    let workspace = opened(&scratch);
    let planned = planned(&workspace, &asked(20, &[]));
    assert_eq!(planned.faults, []);
    let lot = planned.lot("o-101").unwrap();
    let there =
        i64::from(Date::new(2026, 12, 17).unwrap().days - Date::new(2026, 11, 26).unwrap().days) * 1440;
    assert!(planned.span(lot).unwrap().0 >= there);
    let broken = planned
        .findings
        .iter()
        .find(|f| f.code == "promise-broken")
        .unwrap();
    let remedy = broken
        .remedy
        .as_ref()
        .expect("something helps")
        .say(Voice::default());
    assert!(remedy.contains("o-101"), "{remedy}");
    assert!(planned.findings.iter().any(|f| f.code == "why-late"));
    println!("{}", words::show(broken, None, Voice::default()));
    // Promised before the cloth is there: said, and planned all the same.
    std::fs::write(
        &file,
        later.replacen("cloth = \"2026-12-17\"", "cloth = \"2026-12-20\"", 1),
    )
    .unwrap();
    let mapped = problem(&opened(&scratch), &asked(1, &[])).unwrap();
    assert!(mapped.findings.iter().any(|f| f.code == "promise-before-cloth"));
}

/// Two barrels: each recipe has one of them, the darker ones the second; nothing may be dyed in both at once.
#[test]
fn barrels_keep_light_from_dark() {
    let workspace = opened(&Scratch::with_demo(&[]));
    let mapped = problem(&workspace, &asked(1, &[])).unwrap();
    let resources = &mapped.problem.resources;
    let barrels: Vec<usize> = (0..resources.len())
        .filter(|at| !resources[*at].set_up.is_empty())
        .collect();
    let places = workspace
        .workshop
        .as_ref()
        .unwrap()
        .station("barrel")
        .unwrap()
        .places;
    assert!((1..=places as usize).contains(&barrels.len()));
    for lot in &mapped.problem.lots {
        for operation in &lot.route {
            let held: Vec<usize> = operation
                .uses
                .iter()
                .map(|u| u.resource.0)
                .filter(|r| barrels.contains(r))
                .collect();
            assert_eq!(
                held.len(),
                usize::from(operation.set_up.is_some()),
                "{} {}",
                lot.name,
                operation.key
            );
            assert!(operation.modes.is_empty());
        }
    }
}

#[test]
fn what_the_workshop_lacks_is_said_before_anything_is_planned() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let path = scratch.path("demo/workshop.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replace("key = \"jig\"", "key = \"gig\"")).unwrap();
    let findings = problem(&opened(&scratch), &asked(1, &[])).unwrap_err();
    assert!(
        findings[0].say(Voice::default())[0].contains("jig"),
        "{findings:?}"
    );
}

#[test]
fn the_studio_reads_the_same_facts() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let workspace = opened(&scratch);
    let facts = HouseFacts::new(asked(10, &[]));
    let planned = facts.plan(&workspace, &|_| true).unwrap();
    let sheet = &planned.mapped;
    for (lot, run) in sheet.problem.lots.iter().zip(&sheet.lots) {
        assert_eq!(lot.route.len(), run.steps.len());
        // Steps of the design's route, in its order.
        assert!(run.steps.windows(2).all(|pair| pair[0] <= pair[1]));
    }
    let papers = facts.papers(&workspace);
    let keys: Vec<&str> = papers.iter().map(|paper| paper.key.as_str()).collect();
    assert_eq!(keys, ["order-o-101", "order-o-107", "stamp-sea-fan-fan"]);
    for key in keys {
        assert!(
            facts
                .print(&workspace, key, Voice::default())
                .unwrap()
                .starts_with(b"%PDF-"),
            "{key}"
        );
    }
    assert!(facts.print(&workspace, "order-none", Voice::default()).is_err());
}

/// A year of work is planned, later than its promise; more than anybody waits for is refused in words.
#[test]
fn large_orders_find_their_place_or_are_refused() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let path = scratch.path("demo/orders.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replace("bolts = 8", "bolts = 300")).unwrap();
    let workspace = opened(&scratch);
    let planned = planned(&workspace, &asked(1, &[]));
    assert_eq!(planned.faults, []);
    assert!(planned.late(0).unwrap() > 0);
    assert!(planned.findings.iter().any(|f| f.code == "promise-broken"));
    std::fs::write(&path, text.replace("bolts = 8", "bolts = 9000")).unwrap();
    let refused = problem(&opened(&scratch), &asked(1, &[])).unwrap_err();
    assert_eq!(refused[0].code, "too-many-bolts");
}

/// The plan counts with the loads of a bath that weakens: each must give the dose of the first, so without lag times grow
/// as the strength falls; the likely minutes of the bleach are their mean and 6 min of handling.
#[test]
fn the_plan_counts_with_a_weakening_bath() {
    let workspace = opened(&Scratch::with_demo(&["sea-fan"]));
    let shop = workspace.workshop.as_ref().unwrap();
    let tank = lorod::facts::tank::tank(workspace.design("sea-fan").unwrap(), shop, None).unwrap();
    let times = tank.led();
    assert!(times.len() > 2 && times[0].0 >= tank.time.0 - 1.0, "{times:?}");
    let mut bath = tank.designed;
    let dose = bath.dose(times[0]);
    for (n, time) in times.iter().enumerate() {
        assert!((bath.dose(*time) / dose - 1.0).abs() < 1e-9, "load {n}");
        bath = bath.after_load();
        // The wax would not stand the next: strengthened, it begins again.
        if times.get(n + 1).is_some_and(|next| next.0 < time.0) {
            bath = tank.designed;
        }
    }
    let mean = times.iter().map(|t| t.0).sum::<f64>() / times.len() as f64;
    assert!(mean > tank.time.0 + 60.0, "{mean} s, designed {} s", tank.time.0);
    let mapped = problem(&workspace, &asked(1, &[])).unwrap();
    let bleach = mapped.problem.lots[0]
        .route
        .iter()
        .find(|o| o.key == "bleach")
        .unwrap();
    assert_eq!(bleach.duration, (mean / 60.0 + 6.0).round() as i64);
}

/// How the parts of a design stand, and what is said of each.
fn stands(workspace: &Workspace, id: &str) -> Vec<(Part, Stand, String)> {
    let design = workspace.design(id).unwrap();
    let parts = left(workspace, design, Known::default()).into_iter();
    parts
        .map(|one| (one.part, one.stand, one.said.say(Voice::default())))
        .collect()
}

/// What is left before a pack is read off the folder: every change of a file that matters shows, and nothing else does.
#[test]
fn what_is_left_is_read_off_the_folder() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let change = |file: &str, from: &str, to: &str| {
        let path = scratch.path(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{file} has no {from}");
        std::fs::write(path, text.replacen(from, to, 1)).unwrap();
        stands(&opened(&scratch), "sea-fan")
    };
    let all = stands(&opened(&scratch), "sea-fan");
    let at = |all: &[(Part, Stand, String)], part| {
        let found = all.iter().find(|(of, ..)| *of == part).unwrap();
        (found.1, found.2.clone())
    };
    let bolts: u32 = opened(&scratch).orders.iter().map(|order| order.bolts).sum();
    assert_eq!(
        at(&all, Part::Orders),
        (Stand::Good, format!("{bolts} bolts are ordered"))
    );
    assert!(all.is_sorted_by_key(|(part, ..)| *part));
    // A window that nobody worked out is not told as if it were known.
    assert_eq!(at(&all, Part::Window).0, Stand::Open);
    assert_eq!(at(&all, Part::Pack).1, "signed, to be made");

    let unsigned = change("demo/collection.toml", "Marit Solvang-Reis", "?");
    assert_eq!(at(&unsigned, Part::Pack).1, "not signed yet");

    let orders = std::fs::read_to_string(scratch.path("demo/orders.toml")).unwrap();
    std::fs::write(scratch.path("demo/orders.toml"), "").unwrap();
    let unordered = stands(&opened(&scratch), "sea-fan");
    assert_eq!(at(&unordered, Part::Orders).0, Stand::Open);
    std::fs::write(scratch.path("demo/orders.toml"), orders).unwrap();

    // At a quarter of its size copper cannot follow the drawing any more.
    let small = change("demo/designs/sea-fan/design.toml", "205 mm", "50 mm");
    assert!(at(&small, Part::Drawing).0 >= Stand::Look, "{small:?}");
    assert_eq!(at(&small, Part::Orders), at(&all, Part::Orders));
}
