//! Go or wait against every sky and every way to decide, written out.

use plan::{Advice, Outside, go_or_wait};
use proptest::prelude::*;

/// Four stretches of an hour; cloth needs two of them.
fn cloth() -> Outside {
    Outside {
        now: 600,
        until: 840,
        needs: 120,
        every: 60,
        raining: false,
        out: false,
        loss: 100.0,
        wait: 7.0,
        handling: 3.0,
        missed: 40.0,
    }
}

fn chances(of: [f64; 4]) -> [f64; 24] {
    let mut all = [0.0; 24];
    all[10..14].copy_from_slice(&of);
    all
}

/// What a way to decide costs: `says[at]` for each sky seen so far (bits, the youngest lowest) is whether to go.
fn cost_of(cloth: &Outside, wet: &[bool], goes: &dyn Fn(usize, usize) -> bool) -> f64 {
    let (hours, slots) = ((cloth.needs / 60) as usize, wet.len());
    let (mut seen, mut cost) = (0, 0.0);
    for at in 0..slots {
        seen = seen << 1 | usize::from(wet[at]);
        if !wet[at] && at + hours <= slots && goes(at, seen) {
            let rained = wet[at + 1..at + hours].iter().any(|wet| *wet);
            return cost + if rained { cloth.loss } else { 0.0 };
        }
        if at == 0 && cloth.out {
            cost += cloth.handling;
        }
        cost += cloth.wait;
    }
    cost + cloth.missed
}

/// The least expected cost over every way to decide by what was seen, and over those that go, or wait, at once.
fn enumerated(chance: &[f64; 24], cloth: &Outside) -> (f64, f64, f64) {
    // The places of (stretch, sky seen so far) in a way to decide: the first stretch is seen as it is.
    let place = |at: usize, seen: usize| (1 << at) - 1 + (seen & ((1 << at) - 1));
    let mut least = [f64::INFINITY; 3];
    // The last stretch is too short to go: seven places are enough for the three before.
    for way in 0u32..1 << 7 {
        let goes = |at: usize, seen: usize| at < 3 && way >> place(at, seen) & 1 == 1;
        let mut expected = 0.0;
        for sky in 0u32..8 {
            let mut wet = [cloth.raining; 4];
            let mut weight = 1.0;
            for at in 1..4 {
                wet[at] = sky >> (at - 1) & 1 == 1;
                let p = chance[10 + at];
                weight *= if wet[at] { p } else { 1.0 - p };
            }
            expected += weight * cost_of(cloth, &wet, &goes);
        }
        let kind = if goes(0, usize::from(cloth.raining)) && !cloth.raining {
            1
        } else {
            2
        };
        least[0] = least[0].min(expected);
        least[kind] = least[kind].min(expected);
    }
    (least[0], least[1], least[2])
}

fn close(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() < 1e-9 * (1.0 + a.abs())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn the_best_of_every_way_to_decide(
        chance in prop::array::uniform4(0.0..1.0f64),
        (loss, wait, handling, missed) in (0.0..200.0f64, 0.0..30.0f64, 0.0..10.0f64, 0.0..150.0f64),
        (raining, out) in any::<(bool, bool)>(),
    ) {
        let chance = chances(chance);
        let cloth = Outside { loss, wait, handling, missed, raining, out, ..cloth() };
        let Advice { go, cost, stretches } = go_or_wait(&chance, &cloth).unwrap();
        let (least, going, waiting) = enumerated(&chance, &cloth);
        prop_assert!(close(cost, least), "{cost} {least}");
        prop_assert!(close(stretches[0].wait, waiting), "{:?} {waiting}", stretches[0]);
        if !raining {
            prop_assert!(close(stretches[0].go.unwrap(), going));
            prop_assert_eq!(go, going <= waiting);
        }
    }
}

/// By hand: two hours outside from 10:00; rain with 0.2 in the hour from 11. Going risks 0.2 of 100; waiting for ever
/// costs four hours and the day.
#[test]
fn by_hand() {
    let advice = go_or_wait(&chances([0.5, 0.2, 0.9, 0.9]), &cloth()).unwrap();
    assert!(advice.go && close(advice.cost, 20.0));
    assert!(close(advice.stretches[0].dry.unwrap(), 0.8));
    // From 12:00 on the risk is 90 of 100 against two hours and the day: 54. At 11:00 it is 90 against one hour more: 61.
    assert!(close(advice.stretches[2].wait, 54.0) && !advice.stretches[2].goes());
    assert!(close(advice.stretches[1].wait, 61.0) && !advice.stretches[1].goes());
    assert!(close(advice.stretches[0].wait, 68.0));
    assert_eq!(advice.stretches[3].go, None);
}

/// An hour stays dry with its chance, however finely it is cut; a part of it with the same hazard.
#[test]
fn stretches_do_not_change_the_hazard() {
    let chance = chances([0.4; 4]);
    // Never worth waiting: all that is asked is whether the cloth stays dry once it is out.
    let dry = |every, needs| {
        let cloth = Outside {
            every,
            needs,
            loss: 1.0,
            wait: 1e6,
            ..cloth()
        };
        go_or_wait(&chance, &cloth).unwrap().stretches[0].dry.unwrap()
    };
    assert!(close(dry(60, 60), 1.0) && close(dry(60, 90), 0.6f64.sqrt()));
    assert!(close(dry(15, 75), 0.6) && close(dry(10, 70), 0.6) && close(dry(15, 135), 0.36));
    let over = Outside { now: 840, ..cloth() };
    assert_eq!(go_or_wait(&chance, &over), None);
}
