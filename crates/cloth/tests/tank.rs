//! The arithmetic of the bleach tank: strips, wedges, titration, batches.

mod measured;

use cloth::averages;
use cloth::window::{Bath, Plan, Strip, chlorine_titrated, creep_of_wedge, ends_ratio, time_to_lighten};
use measured::{BLEACH, measured};
use route::operations::bleach::{carried, used_by_dye, used_by_load};
use route::{LotShape, Means, creep_depth, line_left};
use units::{Celsius, Length, Span};

/// 10 % at 4:10 gives 2 % at 4:10 x ln 50 / ln 10 = 7:05, lifted at 6:05 with 60 s to the antichlor; worked by hand.
#[test]
fn a_witness_strip_tells_the_time() {
    let read = Strip::usual(Span(250.0), Span(60.0)).read().expect("a reading");
    assert_eq!((read.clear.0.round(), read.lift.0.round()), (425.0, 365.0));
    assert!((read.clear.0 - 250.0 * 50f64.ln() / 10f64.ln()).abs() < 1e-9);
    let exact = [read.weaker, read.residual].map(|late| late.map_or(1.0, |l| l.0.abs()));
    assert!(exact.iter().all(|late| *late < 1e-9));
}

/// The dose of a bath that decays is integrated numerically until the strip's exponent has grown 1.699-fold.
#[test]
fn a_weakening_bath_is_later_by_what_is_said() {
    let strip = Strip {
        weakens: 1e-3,
        ..Strip::usual(Span(250.0), Span(60.0))
    };
    let late = strip.read().and_then(|r| r.weaker).expect("it gets there");
    let step = 0.01;
    let (mut dose, mut at, mut noted) = (0.0, 0.0, 0.0);
    let clear = loop {
        dose += step * (-1e-3f64 * (at + 0.5 * step)).exp();
        at += step;
        if at <= 250.0 + 1e-9 {
            noted = dose;
        } else if dose >= noted * 50f64.ln() / 10f64.ln() {
            break at;
        }
    };
    assert!(
        (250.0 * 50f64.ln() / 10f64.ln() + late.0 - clear).abs() < 0.05,
        "{late:?} {clear}"
    );
    // A bath that has spent itself never clears: its whole dose is 1/l.
    let spent = Strip {
        weakens: 1.0 / 200.0,
        ..strip
    };
    assert_eq!(spent.read().expect("a reading").weaker, None);
    // Two hundredths that never clear: 2 % is never reached.
    let dull = Strip {
        residue: 0.02,
        ..strip
    };
    assert_eq!(dull.read().expect("a reading").residual, None);
    let duller = Strip {
        residue: 0.01,
        ..strip
    };
    // ln(0.01 / 0.99) / ln(0.09 / 0.99) = 1.9163.
    let residual = duller.read().and_then(|r| r.residual).expect("it gets there");
    assert!(
        (residual.0 - 250.0 * (1.9163 - 1.6990)).abs() < 0.1,
        "{residual:?}"
    );
    for senseless in [
        Strip { tint: 0.02, ..strip },
        Strip { clear: 0.0, ..strip },
        Strip { tint: 1.0, ..strip },
        Strip::usual(Span(0.0), Span(0.0)),
        Strip::usual(Span(f64::NAN), Span(0.0)),
    ] {
        assert_eq!(senseless.read(), None, "{senseless:?}");
    }
}

/// Stems of 1.5 mm keep 0.65 mm (43 %) after 15 min at 1e-10 m2/s and are gone at 1e-9; a wedge line of 1.0 mm just lost
/// at 15 min means 1.4e-10; worked by hand.
#[test]
fn thin_lines_go_first() {
    let left = line_left(1.5e-3, 1e-10, 900.0);
    assert!(
        (left * 1e3 - 0.65).abs() < 0.005 && (left / 1.5e-3 - 0.43).abs() < 0.005,
        "{left}"
    );
    assert_eq!(line_left(1.5e-3, 1e-9, 900.0), 0.0);
    let creep = creep_of_wedge(Length::mm(1.0), Span::minutes(15.0)).expect("a creep");
    assert!((creep * 1e10 - 1.4).abs() < 0.05, "{creep}");
    // There and back: that line is just lost.
    assert!((2.0 * creep_depth(creep, 900.0) - 1.0e-3).abs() < 1e-12);
    assert_eq!(creep_of_wedge(Length::mm(1.0), Span(0.0)), None);
}

/// mL of 0.1 N thiosulfate x 3.545 = mg available chlorine (textbook iodometry): 8.1 mL for 10 mL is 2.87 g/L.
#[test]
fn a_titration_gives_the_strength() {
    let strength = chlorine_titrated(8.1, 0.1, 10.0).expect("a strength");
    assert!((strength - 2.8715).abs() < 0.001, "{strength}");
    assert!((chlorine_titrated(1.0, 0.1, 1.0).expect("a strength") - 3.545).abs() < 0.001);
    for (ml, normality, bath) in [
        (-1.0, 0.1, 10.0),
        (8.0, 0.0, 10.0),
        (8.0, 0.1, 0.0),
        (f64::NAN, 0.1, 10.0),
    ] {
        assert_eq!(chlorine_titrated(ml, normality, bath), None);
    }
}

/// ln 1.2 / (k C): 162 s at 1 g/L and 32 s at 5 for k 0.08; ends 120 s apart at 5 g/L keep a K/S ratio of 0.51; worked
/// by hand with 70.906 g/mol.
#[test]
fn small_corrections_want_a_weak_bath() {
    let seconds = |chlorine| time_to_lighten(1.2, 0.08, chlorine).expect("a time").0;
    assert_eq!((seconds(1.0).round(), seconds(5.0).round()), (162.0, 32.0));
    assert_eq!(time_to_lighten(0.9, 0.08, 1.0), None);
    assert_eq!(time_to_lighten(1.2, 0.08, 0.0), None);
    assert!((ends_ratio(0.08, 5.0, Span(120.0)) - 0.51).abs() < 0.005);
}

fn bath(chlorine: f64, celsius: f64) -> Bath {
    Bath {
        chlorine,
        temperature: Celsius(celsius),
        used: 0.1,
        dye: 0.0,
        lag: Span(60.0),
    }
}

/// The tank's own dose is the dose that the operation gives white cloth; dyed cloth, which takes its chlorine as it clears,
/// within the 2 % that are said.
#[test]
fn the_tank_and_the_operation_count_one_dose() {
    let (design, shop) = measured();
    let lot = LotShape::new("test", 1, 0, design.cloth);
    let bleach = &design.steps[BLEACH].operation;
    let mut means = Means::default();
    bleach.tally(&mut means, &design, &lot, &shop);
    let white = Bath {
        used: used_by_load(&design.cloth, &shop),
        ..bath(3.0, 28.0)
    };
    let own = white.dose(Span::minutes(15.0));
    assert!((means.wear / own - 1.0).abs() < 1e-9, "{} {own}", means.wear);
    let (means, takes) = averages(&design, &lot, &shop);
    let (before, after) = (&means[BLEACH], &means[BLEACH + 1]);
    let cleared: f64 = takes[BLEACH].lost.iter().map(|(_, _, gone)| gone).sum();
    let dyed = Bath {
        dye: used_by_dye(cleared, &lot, &shop),
        ..white
    };
    assert!(dyed.dye > 0.01, "a load of dyed cloth takes chlorine: {dyed:?}");
    let (own, did) = (dyed.dose(Span::minutes(15.0)), after.wear - before.wear);
    assert!((did / own - 1.0).abs() < 0.02, "{did} {own}");
    let end = after.chlorine / carried(&shop);
    assert!((end / dyed.after_load().chlorine - 1.0).abs() < 0.02, "{end} g/L");
    // As much from a weak bath as from a strong one: a weak one loses the larger share.
    let weak = Bath {
        chlorine: 1.0,
        ..dyed
    };
    assert!(weak.weakens() > dyed.weakens());
    assert!((weak.weakens() - white.used - dyed.dye).abs() < 1e-12);
}

#[test]
fn following_batches_take_longer_until_the_bath_is_strengthened() {
    let plan = Plan {
        known: bath(3.0, 28.0),
        time: Span(960.0),
        longest: Span(1260.0),
        energy: 45e3,
        volume: 115.0,
        stock: 100.0,
        loads: 5,
    };
    let same = plan.time(&bath(3.0, 28.0)).expect("a time");
    assert!((same.0 - 960.0).abs() < 1e-9);
    // Exposure goes as 1/C; without a lag the times do, too.
    let no_lag = |b: Bath| Bath { lag: Span(0.0), ..b };
    let half = Plan {
        known: no_lag(plan.known),
        ..plan
    };
    let time = half.time(&no_lag(bath(1.5, 28.0))).expect("a time");
    assert!((time.0 - 1920.0).abs() < 1e-9);
    // 10 K at 45 kJ/mol about 28 C: exp(45000/8.314462 (1/301.15 - 1/311.15)) = 1.7818 times as fast.
    let warm = half.time(&no_lag(bath(3.0, 38.0))).expect("a time");
    assert!((960.0 / warm.0 - 1.7818).abs() < 1e-3, "{warm:?}");
    let batches = plan.batches(&bath(2.87, 29.0), 0);
    assert_eq!(batches.len(), 5);
    assert!(batches.iter().take(4).all(|b| !b.dump) && batches[4].dump);
    assert!(batches[0].add == 0.0 && batches[1].strengthened_time.0 > batches[0].strengthened_time.0);
    let topped = batches
        .iter()
        .find(|b| b.add > 0.0)
        .expect("it weakens beyond what the wax stands");
    assert_eq!(topped.time, None);
    // Mass balance of the tank.
    let mixed = (topped.chlorine * plan.volume + plan.stock * topped.add) / (plan.volume + topped.add);
    assert!((mixed - 3.0).abs() < 1e-12);
    assert!(batches.iter().all(|b| b.strengthened_time.0 <= plan.longest.0));
    // Three loads are in it already: two are left. A stock that is no stronger does not help.
    assert_eq!(plan.batches(&bath(3.0, 28.0), 3).len(), 2);
    let weak = Plan { stock: 3.0, ..plan };
    assert_eq!(weak.strengthening(2.0), None);
    assert!(weak.batches(&bath(1.0, 28.0), 0).is_empty());
    assert_eq!(plan.time(&bath(0.0, 28.0)), None);
}
