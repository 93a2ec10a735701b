//! The bath of chlorine with cloth in it, against closed forms and against values of another solver.

mod common;

use common::{cloth, design, operation, quantity, shop};
use route::chlorine::{Chlorine, Demand};
use route::{LotShape, Means, Station};
use units::Length;

/// One system of `data/bleach_ode.csv` at one time.
struct Row {
    bath: Chlorine,
    k: Vec<f64>,
    dye: Vec<f64>,
    access: f64,
    seconds: f64,
    bare: Vec<f64>,
    waxed: Vec<f64>,
    left: f64,
}

fn rows() -> Vec<Row> {
    let lines = include_str!("data/bleach_ode.csv").lines();
    let row = |line: &str| {
        let cells: Vec<Vec<f64>> = line
            .split(',')
            .map(|cell| cell.split(' ').map(|n| n.parse().expect("a number")).collect())
            .collect();
        let [
            _,
            access,
            waxed,
            start,
            fades,
            k,
            s,
            dye,
            seconds,
            bare,
            under,
            left,
        ] = cells.as_slice()
        else {
            panic!("twelve columns: {line}")
        };
        let classes = [(1.0, 1.0 - waxed[0]), (access[0], waxed[0])];
        let demand = |i: usize, (access, share): (f64, f64)| Demand {
            rate: k[i] * access,
            takes: s[i] * dye[i] * share,
        };
        let bath = Chlorine {
            start: start[0],
            fades: fades[0],
            demands: (0..k.len())
                .flat_map(|i| classes.map(|class| demand(i, class)))
                .collect(),
        };
        Row {
            bath,
            k: k.clone(),
            dye: dye.clone(),
            access: access[0],
            seconds: seconds[0],
            bare: bare.clone(),
            waxed: under.clone(),
            left: left[0],
        }
    };
    lines.filter(|l| !l.starts_with('#')).skip(1).map(row).collect()
}

/// Twelve systems of one to four dyes, bare and under wax, at five times: an implicit solver that integrates every dye
/// (SciPy's Radau, rtol 1e-11) and this one, which integrates the dose alone. Relative 1e-6; what has all but gone is
/// known to the other solver only as well as its absolute tolerance of 1e-14 allows.
#[test]
fn agrees_with_another_solver() {
    let rows = rows();
    assert_eq!(rows.len(), 60);
    let near = |found: f64, expected: f64, what: String| {
        let off = (found - expected).abs();
        assert!(
            off <= 1e-6 * expected.abs() + 1e-13,
            "{what}: {found}, not {expected}"
        );
    };
    for (n, row) in rows.iter().enumerate() {
        let dose = row.bath.dose(row.seconds);
        near(row.bath.at(dose), row.left, format!("row {n}, chlorine"));
        for (i, k) in row.k.iter().enumerate() {
            let left = |access: f64| row.dye[i] * (-k * access * dose).exp();
            near(left(1.0), row.bare[i], format!("row {n}, dye {i}, bare"));
            near(left(row.access), row.waxed[i], format!("row {n}, dye {i}, waxed"));
        }
    }
}

/// Alone a bath fades as an exponential; with one dye and no other loss it is the second-order law of two reactants (any
/// textbook of kinetics): a step solver that is only nearly right shows here.
#[test]
fn agrees_with_closed_forms() {
    let near = |found: f64, expected: f64| {
        assert!((found / expected - 1.0).abs() < 1e-9, "{found}, not {expected}");
    };
    let alone = Chlorine {
        start: 0.07,
        fades: 3e-4,
        demands: Vec::new(),
    };
    for seconds in [1.0, 60.0, 900.0, 7200.0] {
        near(alone.dose(seconds), 0.07 * -(-3e-4 * seconds).exp_m1() / 3e-4);
        near(alone.at(alone.dose(seconds)), 0.07 * (-3e-4 * seconds).exp());
    }
    let still = Chlorine { fades: 0.0, ..alone };
    near(still.dose(900.0), 63.0);
    // A + B, A in excess and B in excess: ln(A B0 / (A0 B)) = (A0 - B0) k t.
    for (chlorine, takes) in [(0.07, 0.02), (0.02, 0.07)] {
        let bath = Chlorine {
            start: chlorine,
            fades: 0.0,
            demands: vec![Demand { rate: 0.08, takes }],
        };
        for seconds in [60.0, 300.0, 900.0] {
            let left = bath.at(bath.dose(seconds));
            let dye = takes - (chlorine - left);
            let found = (left * takes / (chlorine * dye)).ln();
            near(found / (0.08 * seconds), chlorine - takes);
        }
    }
}

/// A greedy dye empties the bath and stops; what makes no sense takes no time and gives no dose.
#[test]
fn odd_baths_come_to_an_end() {
    let greedy = Chlorine {
        start: 0.01,
        fades: 0.0,
        demands: vec![Demand {
            rate: 50.0,
            takes: 1.0,
        }],
    };
    let dose = greedy.dose(7200.0);
    // 0.01 = 1 - exp(-50 D).
    assert!((dose - -(0.99f64.ln()) / 50.0).abs() < 1e-12 && greedy.at(dose) < 1e-9);
    for (start, seconds) in [
        (0.0, 60.0),
        (0.05, 0.0),
        (f64::NAN, 60.0),
        (f64::INFINITY, 60.0),
        (0.05, f64::NAN),
    ] {
        let bath = Chlorine {
            start,
            ..Chlorine::default()
        };
        assert_eq!(bath.dose(seconds), 0.0, "{start} {seconds}");
    }
}

fn after(dye_g_kg: f64, chlorine: &str) -> (Means, f64) {
    let tank = Station {
        key: "tank".to_string(),
        places: 1,
        volume: 0.115,
        load: Length(3.0 * cloth().length.0),
    };
    let (design, shop, lot) = (design(), shop(vec![tank]), LotShape::new("lot", 3, 0, cloth()));
    let mut means = Means::default();
    means.ground.fast[0] = dye_g_kg;
    let bleach = operation("bleach", vec![("chlorine", quantity(chlorine))]);
    let takes = bleach.tally(&mut means, &design, &lot, &shop);
    (means, takes.per_bolt[0].amount.si * 1000.0)
}

/// White cloth takes 1 - 0.92^3 = 22 % of the chlorine of a bath for three bolts. Dye of three bolts of 1.92 kg with 20 g/kg
/// takes half its mass beside: of what it takes early 22 % would have been lost anyway, so the bath ends lower by
/// something between 0.78 and 1 times that (the variation-of-constants formula of a linear equation).
#[test]
fn deeply_dyed_cloth_leaves_less_chlorine() {
    let (white, white_g) = after(0.0, "3 g/L");
    let (dyed, dyed_g) = after(20.0, "3 g/L");
    // Drained cloth carries 1 L/kg at the strength of the end.
    assert!(
        (white.chlorine / (3.0 * 0.92f64.powi(3)) - 1.0).abs() < 1e-9,
        "{}",
        white.chlorine
    );
    let taken = (white.chlorine - dyed.chlorine) * 115.0;
    let mass = 3.0 * cloth().width.0 * cloth().length.0 * 0.125;
    let dye = 0.5 * (20.0 - dyed.ground.fast[0]) * mass;
    assert!(
        taken > 0.92f64.powi(3) * dye && taken < dye,
        "{taken} g for {dye} g"
    );
    assert!(dyed.wear < white.wear);
    // What the batch sheet puts back is what is missing: in the bath and in the cloth of one of three bolts.
    for (means, grams) in [(&white, white_g), (&dyed, dyed_g)] {
        let missing = (3.0 - means.chlorine) * 115.0 / 3.0 + means.chlorine * mass / 3.0;
        assert!((grams / missing - 1.0).abs() < 1e-9, "{grams} g, not {missing} g");
    }
    // 46 g of chlorine are not enough for the 57 g that this dye would take: the slower they get, the less is left.
    let ((weak, _), (alone, _)) = (after(20.0, "0.4 g/L"), after(0.0, "0.4 g/L"));
    assert!(
        weak.chlorine < 0.7 * alone.chlorine && weak.wear < 0.85 * alone.wear,
        "{weak:?}"
    );
}
