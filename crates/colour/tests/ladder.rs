//! Dye cards from ladders: planted dyes come back within the errors that are stated.

#[path = "common/card_file.rs"]
mod card_file;
mod common;
#[path = "common/invented.rs"]
mod invented;

use card_file::planted_cards;
use colour::fit::ladder::{LadderFit, Noise, Rung, Terms, fit};
use colour::fit::{fixed_share, rungs};
use colour::kubelka_munk::{dyed_reflectance, ks_spectrum};
use colour::measured::{Stated, read, samples};
use colour::{BANDS, DyeCard, Viewing, de2000, lab, white_cotton, xyz};
use common::near;
use invented::{Chance, DEPTHS, DYEING, ladder};
use proptest::prelude::*;
use words::{Known, Origin, Place};

fn card_named(id: &str) -> DyeCard {
    planted_cards().into_iter().find(|c| c.id == id).unwrap()
}

fn terms(share: f64) -> Terms {
    Terms::new(Known::yours(share), "2026-04-20", Noise::MEASURED)
}

/// A ladder without noise.
fn clean(card: &DyeCard, depths: &[f64], share: f64) -> Vec<Rung> {
    let cloth = ks_spectrum(white_cotton());
    let rung = |depth: &f64| Rung {
        depth: *depth,
        reflectance: dyed_reflectance(&[(depth * 10.0 * share, &card.unit_ks)], card.k_max.value, &cloth),
        readings: 3,
        recovered: false,
        place: Place::Request,
    };
    depths.iter().map(rung).collect()
}

fn codes(fit: &LadderFit) -> Vec<&str> {
    fit.findings.iter().map(|f| f.code).collect()
}

/// Without noise a planted dye comes back: the prior on K_max (41) agrees with the card.
#[test]
fn a_clean_ladder_gives_its_dye() {
    for card in planted_cards() {
        let found = fit(&clean(&card, &DEPTHS, 0.75), &terms(0.75)).unwrap();
        for band in 0..BANDS {
            near(
                found.unit_ks[band],
                card.unit_ks[band],
                1e-6,
                format!("{} {band}", card.id),
            );
            near(found.white[band], white_cotton()[band], 1e-6, "white");
        }
        near(found.k_max.value, 41.0, 1e-3, &card.id);
        assert!(found.rungs.iter().all(|r| r.off < 1e-3), "{:?}", found.rungs);
        assert!(found.misfit < 1e-6);
    }
}

/// Another K_max is found from a deep, clean ladder, whatever was assumed; 1 % because the prior pulls a little.
#[test]
fn a_deep_ladder_tells_k_max() {
    let mut card = card_named("ink-vs");
    card.k_max.value = 30.0;
    let depths = [0.0, 0.1, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0];
    let found = fit(&clean(&card, &depths, 0.75), &terms(0.75)).unwrap();
    near(found.k_max.value, 30.0, 0.6, "K_max");
    assert!(
        matches!(&found.k_max.origin, Origin::Measured { n: 24, .. }),
        "{:?}",
        found.k_max
    );
}

/// A pale ladder cannot tell K_max, and says so; beyond its last rung it warns.
#[test]
fn a_pale_ladder_does_not_claim_k_max() {
    let card = card_named("lemon-vs");
    let found = fit(&clean(&card, &[0.0, 0.05, 0.1, 0.2, 0.3], 0.75), &terms(0.75)).unwrap();
    assert!(matches!(found.k_max.origin, Origin::Assumed { .. }));
    assert_eq!(codes(&found), ["ladder-k-max-assumed"]);
    assert!(found.beyond(0.3).is_none());
    assert_eq!(found.beyond(0.5).unwrap().code, "ladder-beyond");
}

/// The stated errors hold: over 16 dyes and 8 ladders each, with noise of dyeing and reading that is correlated as
/// real noise is, the unit K/S near the peak lies within two standard errors in about 95 of 100 cases, and z has about
/// its unit spread.
#[test]
fn stated_errors_are_honest() {
    let noise = Noise {
        dyeing: DYEING,
        ..Noise::MEASURED
    };
    let terms = Terms { noise, ..terms(0.75) };
    let (mut inside, mut count, mut square, mut k_inside) = (0, 0, 0.0, 0);
    let (mut worst, mut k_count) = (0.0_f64, 0);
    for card in planted_cards() {
        for seed in 0..8 {
            let mut chance = Chance::named(&format!("{} {seed}", card.id));
            let found = fit(&ladder(&card, &DEPTHS, 0.75, &mut chance), &terms).unwrap();
            let z = (found.unit_ks[found.peak] - card.unit_ks[found.peak]) / found.unit_error[found.peak];
            inside += u32::from(z.abs() < 2.0);
            k_inside += u32::from((found.k_max.value.ln() - 41_f64.ln()).abs() < 2.0 * found.k_max_error);
            square += z * z;
            count += 1;
            k_count += 1;
            worst = worst.max((found.unit_ks[found.peak] / card.unit_ks[found.peak] - 1.0).abs());
        }
    }
    let share = f64::from(inside) / f64::from(count);
    let spread = (square / f64::from(count)).sqrt();
    println!("{share:.3} inside, z spread {spread:.2}, K_max {k_inside} of {k_count}, worst {worst:.3}");
    assert!((0.90..=0.99).contains(&share), "{share}");
    assert!((0.75..=1.25).contains(&spread), "{spread}");
    assert!(f64::from(k_inside) / f64::from(k_count) > 0.9);
}

/// The demonstration's files, as a person would use them, give the demonstration's cards within their stated noise.
#[test]
fn the_demonstration_ladders_give_their_cards() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../lorod/demo/measured");
    for card in planted_cards() {
        let path = folder.join(format!("{}.txt", card.id));
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let measured = read(&text, "ladder.txt", Stated::default());
        assert!(measured.findings.is_empty(), "{:?}", measured.findings);
        let (found, apart) = samples(&measured.readings);
        let stained = card.id == "rust-vs";
        assert_eq!(
            apart.iter().map(|f| f.code).collect::<Vec<_>>(),
            vec!["measured-reading-apart"; usize::from(stained)]
        );
        let share = fixed_share(&measured).unwrap().unwrap();
        near(share, card.fixation.final_share.value, 1e-12, "share");
        let (rungs, noise, none) = rungs(&found, &card.id);
        assert!(none.is_empty() && rungs.len() == 7);
        let date = measured.header("CREATED").unwrap();
        let result = fit(&rungs, &Terms::new(Known::yours(share), date, noise)).unwrap();
        println!(
            "{:12} unit {:+.1} % ({:.1}), K_max {:.1} (x/ {:.2}), misfit {:.2}, dE {:.2} {:?}",
            card.id,
            (result.unit_ks[result.peak] / card.unit_ks[result.peak] - 1.0) * 100.0,
            result.unit_error[result.peak] / result.unit_ks[result.peak] * 100.0,
            result.k_max.value,
            result.k_max_error.exp(),
            result.misfit,
            result.rungs.iter().map(|r| r.off).fold(0.0, f64::max),
            codes(&result)
        );
        let new = result.card(&card);
        assert!(new.validate().is_empty(), "{:?}", new.validate());
        for band in 0..BANDS {
            let off = (result.unit_ks[band] - card.unit_ks[band]).abs();
            assert!(
                off < 4.0 * result.unit_error[band],
                "{} band {band}: {off}",
                card.id
            );
        }
        // What the eye sees of the difference, at a middling depth: below a visible one.
        let seen = |c: &DyeCard| {
            let r = dyed_reflectance(&[(7.5, &c.unit_ks)], c.k_max.value, &ks_spectrum(white_cotton()));
            lab(xyz(&r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white())
        };
        assert!(de2000(seen(&card), seen(&new)) < 1.0, "{}", card.id);
        assert!(
            result.rungs.iter().all(|r| r.off < 1.5),
            "{} {:?}",
            card.id,
            result.rungs
        );
    }
}

#[test]
fn swapped_and_misweighed_rungs_are_named() {
    let card = card_named("scarlet-vs");
    let mut rungs = clean(&card, &DEPTHS, 0.75);
    // 0.5 % dyed with 0.65 %.
    rungs[3].reflectance = clean(&card, &[0.65], 0.75)[0].reflectance;
    let found = fit(&rungs, &terms(0.75)).unwrap();
    assert_eq!(codes(&found), ["ladder-rung-off"]);
    // The others give a little way: by least squares they share the blame.
    near(found.rungs[3].depth_found, 0.62, 0.02, "what it looks like");
    let mut swapped = clean(&card, &DEPTHS, 0.75);
    let deep = swapped[5].reflectance;
    swapped[5].reflectance = swapped[6].reflectance;
    swapped[6].reflectance = deep;
    assert!(codes(&fit(&swapped, &terms(0.75)).unwrap()).contains(&"ladder-order"));
}

#[test]
fn what_makes_no_ladder() {
    let card = card_named("scarlet-vs");
    let all = clean(&card, &DEPTHS, 0.75);
    let refused = |rungs: &[Rung], terms: &Terms| -> Vec<&str> {
        fit(rungs, terms).unwrap_err().iter().map(|f| f.code).collect()
    };
    assert_eq!(refused(&all[1..], &terms(0.75)), ["ladder-no-white"]);
    assert_eq!(refused(&all[..2], &terms(0.75)), ["ladder-too-few-rungs"]);
    assert_eq!(
        refused(&[], &terms(0.75)),
        ["ladder-no-white", "ladder-too-few-rungs"]
    );
    assert_eq!(refused(&all, &terms(0.0)), ["ladder-terms"]);
    assert_eq!(refused(&all, &terms(1.01)), ["ladder-terms"]);
    let mut bad = all.clone();
    bad[3].reflectance[7] = f64::NAN;
    assert_eq!(refused(&bad, &terms(0.75)), ["ladder-rung-range"]);
    let few = fit(&all[..4], &terms(0.75)).unwrap();
    assert!(codes(&few).contains(&"ladder-few-rungs"));
}

/// The unit is per gram bound: half the share bound, twice the unit, and the same cloth.
#[test]
fn the_unit_is_per_gram_bound() {
    let card = card_named("marine-vs");
    let rungs = clean(&card, &DEPTHS, 0.8);
    let (all, half) = (
        fit(&rungs, &terms(0.8)).unwrap(),
        fit(&rungs, &terms(0.4)).unwrap(),
    );
    near(half.unit_ks[all.peak] / all.unit_ks[all.peak], 2.0, 1e-6, "unit");
    for (a, b) in all.at(1.5).iter().zip(half.at(1.5)) {
        near(*a, b, 1e-6, "cloth");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Any rungs give a spectrum without negative absorption, or findings.
    #[test]
    fn any_rungs_are_answered(
        rows in prop::collection::vec((0.0..10.0f64, 0.0..1.2f64, 0.0..1.2f64, 0usize..4), 0..8)
    ) {
        let rungs: Vec<Rung> = rows.iter().map(|(depth, left, right, n)| Rung {
            depth: if *n == 0 { 0.0 } else { *depth },
            reflectance: std::array::from_fn(|b| left + (right - left) * b as f64 / 30.0),
            readings: *n,
            recovered: false,
            place: Place::Request,
        }).collect();
        if let Ok(found) = fit(&rungs, &terms(0.7)) {
            prop_assert!(found.unit_ks.iter().all(|u| *u >= 0.0 && u.is_finite()));
            prop_assert!(found.k_max.value > 0.0);
        }
    }
}
