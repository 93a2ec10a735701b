//! New lots, photographed ladders, and dyes together.

#[path = "common/card_file.rs"]
mod card_file;
mod common;
#[path = "common/invented.rs"]
mod invented;

use card_file::planted_cards;
use colour::fit::ladder::{Noise, Rung, Terms, fit};
use colour::fit::mixture::{Mixed, Pair, learn, mixtures, predict};
use colour::fit::photo::Correction;
use colour::fit::strength::strength;
use colour::kubelka_munk::{dyed_reflectance, ks_spectrum};
use colour::measured::{Stated, read, samples};
use colour::{BANDS, DyeCard, Spectrum, Viewing, de2000, lab, screen, white_cotton, xyz};
use common::near;
use invented::{Chance, DEPTHS, readings};
use proptest::prelude::*;
use words::{Known, Origin, Place};

fn card_named(id: &str) -> DyeCard {
    planted_cards().into_iter().find(|c| c.id == id).unwrap()
}

fn dip(card: &DyeCard, depth: f64, recipe: impl Fn(f64) -> f64) -> Rung {
    let cloth = ks_spectrum(white_cotton());
    Rung {
        depth,
        reflectance: dyed_reflectance(&[(recipe(depth) * 7.5, &card.unit_ks)], card.k_max.value, &cloth),
        readings: 3,
        recovered: false,
        place: Place::Request,
    }
}

fn seen(r: &Spectrum) -> colour::Lab {
    lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white())
}

/// A lot of 0.9 strength dipped at 1 % looks as the old one at 0.9 %: 11.1 % more of it gives the old shade. The dip
/// alone knows it to the 3 % of dyeing.
#[test]
fn a_weak_lot_is_weighed_up() {
    let card = card_named("marine-vs");
    let found = strength(
        &[dip(&card, 1.0, |d| 0.9 * d)],
        white_cotton(),
        0.75,
        &card,
        Noise::MEASURED,
    )
    .unwrap();
    near(found.ratio, 0.9, 1e-6, "ratio");
    near(found.error, 0.03, 0.001, "one dip is as good as its dyeing");
    assert!(found.off < 1e-3 && found.findings.is_empty());
    let new = found.card(&card, "2026-06-01");
    let again = dip(&new, 1.0 / 0.9, |d| d);
    assert!(
        de2000(
            seen(&again.reflectance),
            seen(&dip(&card, 1.0, |d| d).reflectance)
        ) < 1e-3
    );
    assert_eq!(
        new.spectrum,
        Origin::Measured {
            date: "2026-06-01".into(),
            n: 3
        }
    );
    // Three dips know it better by the root of three.
    let three: Vec<Rung> = [0.5, 1.0, 2.0]
        .iter()
        .map(|d| dip(&card, *d, |d| 0.9 * d))
        .collect();
    let found = strength(&three, white_cotton(), 0.75, &card, Noise::MEASURED).unwrap();
    near(found.error, 0.03 / 3_f64.sqrt(), 0.001, "three dips");
}

#[test]
fn a_lot_of_another_hue_is_named() {
    let (card, other) = (card_named("scarlet-vs"), card_named("rose-vs"));
    let found = strength(
        &[dip(&other, 1.0, |d| d)],
        white_cotton(),
        0.75,
        &card,
        Noise::MEASURED,
    )
    .unwrap();
    assert!(found.off > 5.0);
    assert!(found.findings.iter().any(|f| f.code == "lot-hue"));
    let far = strength(
        &[dip(&card, 1.0, |d| 1.6 * d)],
        white_cotton(),
        0.75,
        &card,
        Noise::MEASURED,
    )
    .unwrap();
    assert_eq!(
        far.findings.iter().map(|f| f.code).collect::<Vec<_>>(),
        ["lot-strength-far"]
    );
    let white = dip(&card, 0.0, |d| d);
    assert_eq!(
        strength(&[white], white_cotton(), 0.75, &card, Noise::MEASURED)
            .unwrap_err()
            .code,
        "lot-no-dip"
    );
}

/// A camera that sees sRGB in light of another colour, at half exposure: the grey card sets it right. The card fitted
/// from it is marked, and shows the dye's daylight colours within a few dE00, though its spectrum is not the dye's.
#[test]
fn a_photographed_ladder() {
    let light = [0.62, 0.5, 0.36];
    let shot = |r: &Spectrum| -> [f64; 3] {
        let linear = screen::linear_under(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
        std::array::from_fn(|c| linear[c] * light[c])
    };
    let grey = shot(&[0.18; BANDS]);
    let correction = Correction::from_grey(grey, 0.18, &Place::Request).unwrap();
    for id in ["tan-dct", "rust-vs", "plum-vs", "leaf-vs"] {
        let card = card_named(id);
        let rungs: Vec<Rung> = DEPTHS
            .iter()
            .map(|d| {
                let rgb = shot(&dip(&card, *d, |d| d).reflectance);
                correction.rung(rgb, *d, 3, &Place::Request).unwrap()
            })
            .collect();
        let terms = Terms::new(Known::yours(0.75), "2026-05-02", Noise::PHOTOGRAPHED);
        let found = fit(&rungs, &terms).unwrap();
        assert!(
            matches!(&found.spectrum, Origin::Assumed { factor, .. } if *factor >= 1.2),
            "{id}"
        );
        assert!(matches!(found.k_max.origin, Origin::Assumed { .. }));
        assert!(found.findings.iter().any(|f| f.code == "ladder-recovered"));
        let worst = DEPTHS[1..]
            .iter()
            .map(|d| de2000(seen(&found.at(*d)), seen(&dip(&card, *d, |d| d).reflectance)))
            .fold(0.0, |a: f64, b| if b > a || b.is_nan() { b } else { a });
        println!("{id}: {worst:.2} dE00 at worst");
        assert!(worst < 4.0, "{id}: {worst}");
    }
}

#[test]
fn a_target_finds_the_cameras_matrix() {
    // A camera whose channels overlap.
    let camera = |c: [f64; 3]| {
        [
            0.7 * c[0] + 0.2 * c[1] + 0.02 * c[2],
            0.15 * c[0] + 0.6 * c[1] + 0.1 * c[2],
            0.02 * c[0] + 0.1 * c[1] + 0.8 * c[2],
        ]
    };
    let patches: Vec<_> = (1..=8)
        .map(|i| {
            let x = f64::from(i);
            let linear = [0.1 * x, 0.9 - 0.1 * x, (0.37 * x) % 0.9];
            (camera(linear).map(|v| v * 0.9), screen::xyz_from_linear(linear))
        })
        .collect();
    let found = Correction::from_target(&patches, &Place::Request).unwrap();
    for (rgb, colour) in &patches {
        near(found.colour(*rgb).y, colour.y, 1e-9, "Y");
    }
    let code = |patches: &[_]| {
        Correction::from_target(patches, &Place::Request)
            .unwrap_err()
            .code
    };
    assert_eq!(code(&patches[..5]), "photo-patches");
    assert_eq!(code(&[patches[0]; 6]), "photo-patches");
    let grey = |rgb, r| Correction::from_grey(rgb, r, &Place::Request).map_err(|f| f.code);
    assert_eq!(grey([0.99, 0.5, 0.5], 0.18), Err("photo-clipped"));
    assert_eq!(grey([0.5, 0.0, 0.5], 0.18), Err("photo-clipped"));
    assert_eq!(grey([0.5, 0.5, f64::NAN], 0.18), Err("photo-clipped"));
    assert_eq!(grey([0.5; 3], 0.0), Err("photo-grey"));
}

fn pair(departure: f64) -> Pair {
    Pair {
        one: "marine-vs".into(),
        other: "gold-dct".into(),
        departure,
        error: 0.0,
    }
}

/// By hand: unit K 1 and 2 at one band, 3 g and 2 g: k 3 and 4. Sum 7; shared part 2*3*4/7 = 24/7; g = -0.1 takes
/// 0.342857. Levelled off with K_max 40 and on cloth of K/S 0.02.
#[test]
fn a_mixture_by_hand() {
    let (mut a, mut b) = (card_named("marine-vs"), card_named("gold-dct"));
    (a.unit_ks, b.unit_ks) = ([1.0; BANDS], [2.0; BANDS]);
    (a.k_max.value, b.k_max.value) = (40.0, 40.0);
    let white = [1.02 - (1.02_f64.powi(2) - 1.0).sqrt(); BANDS];
    let k = 7.0 - 0.1 * 24.0 / 7.0;
    let total: f64 = k / (1.0 + k / 40.0) + 0.02;
    let expected = 1.0 + total - (total * total + 2.0 * total).sqrt();
    near(
        predict(&[(3.0, &a), (2.0, &b)], &white, &[pair(-0.1)])[9],
        expected,
        1e-12,
        "by hand",
    );
}

fn blend(marine: f64, gold: f64, g: f64, chance: &mut Chance) -> Mixed {
    let (a, b) = (card_named("marine-vs"), card_named("gold-dct"));
    let mut off = || 1.0 + 0.025 * chance.normal();
    let amounts = [(marine * 7.5 * off(), &a), (gold * 7.5 * off(), &b)];
    Mixed {
        depths: vec![("marine-vs".into(), marine), ("gold-dct".into(), gold)],
        reflectance: predict(&amounts, white_cotton(), &[pair(g)])
            .map(|r| r * (1.0 + 0.001 * chance.normal())),
        readings: 3,
        place: Place::Request,
    }
}

const BLENDS: [(f64, f64); 8] = [
    (0.3, 0.3),
    (0.5, 1.0),
    (1.0, 0.5),
    (1.0, 1.0),
    (0.2, 1.0),
    (1.5, 0.5),
    (0.7, 0.7),
    (2.0, 1.0),
];

/// A planted departure is found through the noise of dyeing, within its stated error; none is found where there is none.
#[test]
fn departures_are_learned_only_where_they_are() {
    let (a, b) = (card_named("marine-vs"), card_named("gold-dct"));
    let dyes = [(&a, 0.75), (&b, 0.75)];
    for planted in [-0.2, 0.3] {
        let mut chance = Chance(7);
        let mixed: Vec<Mixed> = BLENDS
            .iter()
            .map(|(m, g)| blend(*m, *g, planted, &mut chance))
            .collect();
        let found = learn(&mixed, &dyes, white_cotton(), Noise::MEASURED).unwrap();
        let p = &found.pairs[0];
        println!("planted {planted}: {:.3} +- {:.3}", p.departure, p.error);
        assert!(
            (p.departure - planted).abs() < 2.5 * p.error && p.error < 0.06,
            "{p:?}"
        );
        let mean =
            |with: fn(&(f64, f64)) -> f64| found.off.iter().map(with).sum::<f64>() / found.off.len() as f64;
        assert!(mean(|o| o.1) < 0.7 * mean(|o| o.0), "{:?}", found.off);
    }
    let wrongly: usize = (0..20)
        .map(|seed| {
            let mut chance = Chance(seed);
            let mixed: Vec<Mixed> = BLENDS
                .iter()
                .map(|(m, g)| blend(*m, *g, 0.0, &mut chance))
                .collect();
            learn(&mixed, &dyes, white_cotton(), Noise::MEASURED)
                .unwrap()
                .pairs
                .len()
        })
        .sum();
    assert!(wrongly <= 3, "{wrongly} of 20 found without being there");
}

#[test]
fn mixtures_from_a_file() {
    let nm: Vec<String> = (0..31).map(|i| (400 + 10 * i).to_string()).collect();
    let text = format!(
        "sample,owf_pct_marine-vs,owf_pct_gold-dct,{}\na,1,0.5{}\nb,1,0{}\n",
        nm.join(","),
        ",0.2".repeat(31),
        ",0.3".repeat(31)
    );
    let stated = Stated {
        scale: Some(colour::measured::Scale::Fraction),
        viewing: None,
    };
    let mixed = mixtures(&samples(&read(&text, "m.csv", stated).readings).0);
    assert_eq!(mixed.len(), 1);
    assert_eq!(
        mixed[0].depths,
        [("marine-vs".to_string(), 1.0), ("gold-dct".to_string(), 0.5)]
    );
    let marine = card_named("marine-vs");
    let refused = learn(&mixed, &[(&marine, 0.75)], white_cotton(), Noise::MEASURED).unwrap_err();
    assert_eq!(refused[0].code, "mixture-no-card");
    assert_eq!(
        learn(&[], &[], white_cotton(), Noise::MEASURED).unwrap_err()[0].code,
        "mixture-none"
    );
}

proptest! {
    /// Adding a dye never raises reflectance, whatever the departures of three dyes are.
    #[test]
    fn more_dye_is_never_lighter(
        amounts in prop::array::uniform3(0.0..40.0f64), more in 0.0..20.0f64, which in 0usize..3,
        g in prop::array::uniform3(-1.0..1.0f64), picks in prop::array::uniform3(0usize..16),
    ) {
        let cards = planted_cards();
        prop_assume!(picks[0] != picks[1] && picks[1] != picks[2] && picks[0] != picks[2]);
        let dyes = picks.map(|p| &cards[p]);
        let pairs: Vec<Pair> = [(0, 1), (1, 2), (0, 2)].iter().zip(g).map(|((i, j), g)| Pair {
            one: dyes[*i].id.clone(), other: dyes[*j].id.clone(), departure: g, error: 0.0,
        }).collect();
        let at = |a: [f64; 3]| predict(&[(a[0], dyes[0]), (a[1], dyes[1]), (a[2], dyes[2])], white_cotton(), &pairs);
        let mut added = amounts;
        added[which] += more;
        for (before, after) in at(amounts).iter().zip(at(added)) {
            prop_assert!(after <= before + 1e-12, "{before} {after}");
        }
    }

    /// Without departures a mixture is what the rest of the crate makes of it.
    #[test]
    fn sums_are_the_same_everywhere(a in 0.0..30.0f64, b in 0.0..30.0f64) {
        let cards = planted_cards();
        let cloth = ks_spectrum(white_cotton());
        let sum = dyed_reflectance(&[(a, &cards[0].unit_ks), (b, &cards[1].unit_ks)], 41.0, &cloth);
        for (one, other) in predict(&[(a, &cards[0]), (b, &cards[1])], white_cotton(), &[]).iter().zip(sum) {
            prop_assert!((one - other).abs() < 1e-12);
        }
    }
}

/// Readings of a demonstration mixture stay in range, so that files of them can be written.
#[test]
fn invented_readings_are_reflectances() {
    for card in planted_cards() {
        for r in readings(&card, 3.0, 0.8, &mut Chance::named(&card.id)) {
            assert!(r.iter().all(|v| (0.0..=1.0).contains(v)));
        }
    }
}
