//! Whole answers that a workshop can check on paper: antichlor, inspection, stamps and sizes.

mod common;

use common::{cloth, design, operation, quantity, shop, step};
use route::operations::inspect::THE_HAND;
use route::operations::neutralise::antichlor_for_dump;
use route::{
    Design, LotShape, Means, Operation, Station, Stuff, Value, Workshop, baths, dumps, issue_length, sizes,
    store,
};
use std::sync::Arc;
use units::{Length, System};
use words::{Language, Voice};

const YARD: f64 = 0.9144;

fn route(steps: &[Arc<dyn Operation>]) -> Design {
    let mut design = design();
    design.steps = steps
        .iter()
        .zip(1..)
        .map(|(operation, n)| step(&format!("s{n}"), operation.clone()))
        .collect();
    design
}

fn station(key: &str, litres: f64, yards: f64) -> Station {
    Station {
        key: key.to_string(),
        places: 1,
        volume: litres / 1000.0,
        load: Length(yards * YARD),
    }
}

fn quantity_of(spelled: &str) -> f64 {
    units::parse(spelled).expect("a quantity").quantity.si
}

fn tank_and_tub() -> Workshop {
    shop(vec![station("tank", 115.0, 45.0), station("tub", 60.0, 45.0)])
}

/// Three bolts of 1.92 kg (44 in x 15 yd at 125 g/m2) carry 1 L/kg at 1.5 g/L: 8.64 g of chlorine by paper. The field
/// dose 1.47 g/g is AWWA field guide table 7-2; with a fifth in hand 15 g.
#[test]
fn three_bolts_take_fifteen_grams_of_antichlor() {
    let (design, shop, lot) = (design(), tank_and_tub(), LotShape::new("lot", 3, 0, cloth()));
    let mut means = Means {
        chlorine: 1.5,
        soda: 0.002,
        ..Means::default()
    };
    let takes = operation("neutralise", vec![]).tally(&mut means, &design, &lot, &shop);
    let dose = takes
        .per_bolt
        .iter()
        .find(|d| d.stuff == Stuff::Material(&store::METABISULFITE))
        .expect("a dose");
    assert_eq!((dose.amount.si * 3.0 * 1000.0).round(), 15.0);
    assert_eq!(means.chlorine, 0.0);
    // One rinse at 60 L to three bolts: 1 / (1 + 10.44) of the soda stays.
    assert!((means.soda / 0.002 - 1.0 / (1.0 + 60.0 / (3.0 * lot.mass().0))).abs() < 1e-12);
}

/// The same cloth out of a bath titrated at 1.5 and at 4 g/L before the load went in, by paper: 1.916 kg x 1 L/kg x 1.47 x 1.2
/// is 3.380 g a bolt for each g/L, so 5.07 and 13.52 g. What the load takes from the bath is not taken off: deeply dyed cloth
/// gets as much. The card says both, the strength that its dose is for and the dose for each g/L.
#[test]
fn antichlor_for_cloth_goes_with_the_strength_that_was_titrated() {
    let (shop, lot) = (tank_and_tub(), LotShape::new("lot", 3, 0, cloth()));
    let per_strength = 1.47 * 1.2 * lot.mass().0 / 1000.0;
    for (strength, grams) in [("1.5 g/L", 5.07), ("4 g/L", 13.52)] {
        let design = route(&[
            operation("bleach", vec![("chlorine", quantity(strength))]),
            operation("neutralise", vec![]),
        ]);
        let mut deep = Means::default();
        deep.ground.fast[0] = 20.0;
        for mut means in [Means::default(), deep] {
            let [bleach, tub] = design.steps.as_slice() else {
                panic!("two steps")
            };
            bleach.operation.tally(&mut means, &design, &lot, &shop);
            let (thought, most) = (means.chlorine, means.chlorine_most);
            assert!(thought < most, "the load used some: {thought} {most}");
            let takes = tub.operation.tally(&mut means, &design, &lot, &shop);
            let dose = takes.per_bolt[0].amount.si;
            assert!((dose * 1000.0 - grams).abs() < 0.01, "{dose}");
            assert!((dose - per_strength * quantity_of(strength)).abs() < 1e-12);
            assert_eq!((means.chlorine, means.chlorine_most), (0.0, 0.0));
        }
        let said: Vec<String> = route::card(&design, &lot, &shop)[1]
            .instructions
            .lines
            .iter()
            .map(|line| line.say(Voice::default()))
            .collect();
        assert!(said[0].contains(strength), "{said:?}");
        assert!(said[1].contains("3.38 g a bolt for each 1 g/L"), "{said:?}");
    }
}

/// 115 L at 1.5 g/L: 172.5 g of chlorine, 304 g of metabisulfite; on a sheet that shows no dose for cloth.
#[test]
fn a_tank_takes_304_grams_on_its_own_sheet() {
    let shop = tank_and_tub();
    let design = route(&[
        operation("bleach", vec![("chlorine", quantity("1.5 g/L"))]),
        operation("neutralise", vec![]),
    ]);
    let lot = LotShape::new("lot", 3, 0, cloth());
    let tanks = dumps(&design, &lot, &shop);
    let [tank] = tanks.as_slice() else {
        panic!("one tank, not {}", tanks.len())
    };
    assert_eq!((tank.antichlor.amount.si * 1000.0).round(), 304.0);
    assert_eq!((tank.step.as_str(), tank.vessel), ("s1", "tank"));
    assert_eq!(
        (antichlor_for_dump(0.115, 1.5, &shop.constants).to_g()).round(),
        304.0
    );
    // The two doses never share a sheet, and bleach and antichlor never stand on one line or one page.
    let of_cloth = baths(&design, &lot, &shop);
    for sheet in &of_cloth {
        let holds = |material| sheet.totals.iter().any(|d| d.stuff == Stuff::Material(material));
        assert!(
            !(holds(&store::HYPOCHLORITE) && holds(&store::METABISULFITE)),
            "{}",
            sheet.step
        );
        assert!(
            sheet
                .totals
                .iter()
                .all(|d| d.stuff != tank.antichlor.stuff || d.amount.si < 0.1 * tank.antichlor.amount.si)
        );
    }
    assert!(
        of_cloth
            .iter()
            .any(|s| s.totals.iter().any(|d| d.stuff == tank.antichlor.stuff))
    );
    for code in ["chlorine", "antichlor-acid"] {
        assert!(tank.cautions.iter().any(|c| c.code == code), "{code}");
    }
}

/// The card prints the width that was agreed, what one point means, and what is not a fault.
#[test]
fn inspection_prints_its_width_and_the_hand() {
    let (shop, lot) = (shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    let inspect = operation("inspect", vec![("usable", quantity("42 in"))]);
    let voice = Voice {
        language: Language::En,
        system: System::Imperial,
    };
    let stamped = inspect.instructs(&Default::default(), &design(), &lot, &shop);
    let said: Vec<String> = stamped.lines.iter().map(|line| line.say(voice)).collect();
    assert!(
        said[0].contains("42 in") && said[0].contains("15 yd"),
        "{}",
        said[0]
    );
    // 3600 / (15 x 42) = 5.71.
    assert!(said[0].contains("5.7"), "{}", said[0]);
    for text in &THE_HAND {
        assert!(
            said.iter()
                .any(|line| line.contains(text.en) && line.contains("the hand, not a fault")),
            "{}",
            text.en
        );
    }
    let done = stamped.done_when.say(voice);
    assert!(
        done.contains("up to 7 points") && done.contains("40 per 100"),
        "{done}"
    );
    // A design without a stamp has no impressions that could slip.
    let mut plain = design();
    plain.stamps.clear();
    let lines = inspect.instructs(&Default::default(), &plain, &lot, &shop).lines;
    assert!(lines.iter().all(|line| !line.say(voice).contains("impression")));
    assert_eq!(stamped.lines.len() - lines.len(), 2);
}

/// 44 in x 15 yd at 200 mm straight: 6 x 69 whole placements. At 24 s a print (414 prints in 165 min) 24 bolts on one copy
/// fill 8.8 table-days of 450 min, on two copies 4.4.
#[test]
fn stamps_are_counted_as_whole_placements() {
    let (design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 24, 0, cloth()));
    let placed = design.stamps[0]
        .repeat()
        .placements(cloth().width.to_mm(), cloth().length.to_mm());
    assert_eq!((placed.across, placed.along, placed.whole), (6, 69, 414));
    let wax = operation("wax", vec![("stamp", Value::Stamp(0))]);
    let tasks = wax.occupies(&Means::default(), &design, &lot, &shop);
    let minutes: f64 = tasks.iter().map(|task| task.work.likely.to_min()).sum();
    assert_eq!(minutes.round(), 165.0);
    let days = 24.0 * minutes / 450.0;
    assert_eq!(((days * 10.0).round(), (days / 2.0 * 10.0).round()), (88.0, 44.0));
    let lines = wax.instructs(&Default::default(), &design, &lot, &shop).lines;
    assert!(
        lines
            .iter()
            .any(|line| line.say(Voice::default()).contains("414 prints"))
    );
}

/// A frame of a 150 mm border, 90 mm high, on 44 in x 15 yd: by hand, 1117.6 - 180 = 937.6 mm are 6 steps of 156.27 mm,
/// 13716 - 180 = 13536 mm are 90 of 150.4 mm; 2 x 96 impressions and 4 of the corner, at 24 s each.
#[test]
fn a_border_is_counted_edge_by_edge() {
    let (mut design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    let bar = |w: f64, h: f64| {
        let bar = vec![[0.0, 10.0], [w, 10.0], [w, 30.0], [0.0, 30.0]];
        stamp::Stamp::of_area(stamp::Area::filled(&[bar], stamp::Rule::NonZero), [w, h])
    };
    design.stamps[0].stamp = std::sync::Arc::new(bar(150.0, 90.0));
    design.stamps[0].border = Some(route::BorderUse {
        along: stamp::Along::Frame,
        inset: units::Length(0.0),
        corner: Some(("turn".to_string(), std::sync::Arc::new(bar(90.0, 90.0)), [1; 32])),
    });
    let wax = operation("wax", vec![("stamp", Value::Stamp(0))]);
    let tasks = wax.occupies(&Means::default(), &design, &lot, &shop);
    let minutes: f64 = tasks.iter().map(|task| task.work.likely.to_min()).sum();
    assert!((minutes - 196.0 * 23.9 / 60.0).abs() < 1e-9, "{minutes}");
    let tools: Vec<&str> = tasks[0].uses.iter().map(|used| used.what.as_str()).collect();
    assert!(
        tools.contains(&"stamp:petals") && tools.contains(&"stamp:turn"),
        "{tools:?}"
    );
    let lines = wax.instructs(&Default::default(), &design, &lot, &shop).lines;
    let said: Vec<String> = lines.iter().map(|line| line.say(Voice::default())).collect();
    assert!(
        said.iter()
            .any(|l| l.starts_with("6 along each end, 90 along each selvedge, 192 prints")),
        "{said:?}"
    );
    assert!(said.iter().any(|l| l.contains("turn: 4 prints")), "{said:?}");
    // 192 bars of 150 x 20 mm and 4 of 90 x 20.
    let (share, _) = design.stamps[0].coverage(&cloth());
    let mm2 = 192.0 * 150.0 * 20.0 + 4.0 * 90.0 * 20.0;
    assert!((share - mm2 / (1117.6 * 13716.0)).abs() < 1e-9, "{share}");
}

/// 4 % along and 3 % across: 200 mm ends 192 along and 194 across; 15.63 yd are issued for 15.
#[test]
fn a_repeat_ends_192_by_194() {
    let (shop, lot) = (shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    let wax = || operation("wax", vec![("stamp", Value::Stamp(0))]);
    let sized = sizes(&route(&[wax(), operation("boil_off", vec![])]), &lot, &shop);
    let (across, along) = sized.repeats[0].finished;
    assert!((along.to_mm() - 192.0).abs() < 1e-9 && (across.to_mm() - 194.0).abs() < 1e-9);
    assert_eq!((sized.issue.to_yd() * 100.0).round(), 1563.0);
    assert!((sized.width.0 - 1.1176 * 0.97).abs() < 1e-12);
    // A second stamping after the boil is not shrunk by it.
    let twice = sizes(
        &route(&[wax(), operation("boil_off", vec![]), wax()]),
        &lot,
        &shop,
    );
    assert_eq!(twice.repeats[1].finished, twice.repeats[1].stamped);
    assert_eq!(twice.repeats[0], sized.repeats[0]);
    assert_eq!(
        (issue_length(Length(15.0 * YARD), 0.96).to_yd() * 100.0).round(),
        1563.0
    );
}

/// 12 min in 3 g/L harms little; hours of it cost more than a tenth and are said.
#[test]
fn finish_says_when_bleach_has_cost_strength() {
    use common::{Checked, before};
    let (design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    let finish = operation("finish", vec![]);
    let codes = |wear: f64| -> Vec<&'static str> {
        let means = Means {
            wear,
            ..Means::default()
        };
        finish
            .examine(&before(&design, 0, &means, &lot, &shop, &Checked))
            .iter()
            .map(|f| f.code)
            .collect()
    };
    // Doses in (mol/L) s: 3 g/L is 0.0423 M. The limit is 1 g/L for 16 h, 812 M s.
    assert!(!codes(0.0423 * 720.0).contains(&"finish-weak-cloth"));
    assert!(!codes(0.999 * 57_600.0 / 70.906).contains(&"finish-weak-cloth"));
    assert!(codes(1.001 * 57_600.0 / 70.906).contains(&"finish-weak-cloth"));
}

/// The card of the last steps says the length to issue to the centimetre.
#[test]
fn finish_says_what_to_issue() {
    use common::{Checked, before};
    let (design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    let means = Means {
        shrunk: (0.97, 0.96),
        ..Means::default()
    };
    let findings = operation("finish", vec![]).examine(&before(&design, 0, &means, &lot, &shop, &Checked));
    let size = findings
        .iter()
        .find(|f| f.code == "finish-size")
        .expect("a finding on size");
    let said = size.found.say(Voice {
        language: Language::Id,
        system: System::Metric,
    });
    // 15 yd / 0.96 = 15.625 yd = 14.2875 m.
    assert!(said.contains("14,29 m (15,63 yd)"), "{said}");
}
