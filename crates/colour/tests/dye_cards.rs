//! Dye cards: binding, bleaching, light, and what may be wrong with one.

#[path = "common/card_file.rs"]
mod card_file;
mod common;

use card_file::demo_cards;
use colour::dye::{
    Chemistry, HAZARDS, Price, arrhenius, competing, joint_k_max, just_noticeable_dose, light_left,
};
use colour::kubelka_munk::{dyed_reflectance, ks_spectrum};
use colour::{BandTables, DyeCard, Illuminant, Viewing, screen, spectrum_from, white_cotton, xyz};
use common::{near, numbers, rows};
use proptest::prelude::*;
use units::{Celsius, Span};
use words::{Known, Language, Origin, Place, Voice, Weight};

fn card_named(id: &str) -> DyeCard {
    demo_cards().into_iter().find(|c| c.id == id).unwrap()
}

/// By the closed form, 12 digits.
#[test]
fn competing_reactions() {
    for row in rows(include_str!("data/competing_first_order.csv")) {
        let e = numbers(&row, 0);
        let found = competing(e[0], e[1], e[2]);
        near(found.bound, e[3], 1e-9, row.join(" "));
        near(found.loose, e[4], 1e-9, row.join(" "));
        near(found.bound + found.spent + found.loose, 1.0, 1e-12, row.join(" "));
    }
    assert_eq!(competing(0.0, 0.0, 60.0).loose, 1.0, "no reaction");
}

/// A cool night, worked on paper: k = 0.008/min at 30 C, 80 kJ/mol. At 26 C k is 0.00523/min, so 2 h reach 47 %
/// of the final amount and 16 h 99 %.
#[test]
fn a_cool_night_binds_what_two_hours_do_not() {
    let mut card = card_named("scarlet-vs");
    card.fixation.rate.value = 0.008 / 60.0;
    card.fixation.energy.value = 80e3;
    card.fixation.final_share.value = 0.75;
    let night = Celsius(26.0);
    near(card.fixation_rate(night) * 60.0, 0.005_233, 1e-6, "rate at 26 C");
    let of_final = |hours: f64| card.bound_share(Span(hours * 3600.0), night) / 0.75;
    near(of_final(2.0), 0.47, 0.005, "2 h");
    near(of_final(16.0), 0.99, 0.005, "16 h");
    // At 2 % owf: 20 g/kg, of which loose or spent after 2 h 13.0 g/kg, after a night 5.1 g/kg.
    near(
        20.0 * (1.0 - card.bound_share(Span(7200.0), night)),
        13.0,
        0.05,
        "to wash out after 2 h",
    );
    near(
        20.0 * (1.0 - card.bound_share(Span(57600.0), night)),
        5.1,
        0.05,
        "to wash out after 16 h",
    );
}

/// Dyestuffs and Coloration 2004 (6) 331-333: 0.0101/min at 70 C, 0.0599/min at 90 or 95 C give 92 or 75 kJ/mol.
#[test]
fn arrhenius_meets_published_rates() {
    near(
        arrhenius(0.0101, Celsius(70.0), 92.2e3, Celsius(90.0)),
        0.0599,
        2e-4,
        "90 C",
    );
    near(
        arrhenius(0.0101, Celsius(70.0), 74.8e3, Celsius(95.0)),
        0.0599,
        2e-4,
        "95 C",
    );
    near(
        arrhenius(0.5, Celsius(30.0), 45e3, Celsius(30.0)),
        0.5,
        0.0,
        "its own temperature",
    );
}

/// Clear time to 2 % of K/S at 5 g/L (0.0705 M), k 0.08: 11.5 min; worked on paper.
#[test]
fn bleaching_within_the_range_of_the_card() {
    let mut card = card_named("marine-vs");
    card.bleaching.rate.value = 0.08;
    card.bleaching.residue.value = 0.0;
    let rate = card.bleach_rate(Celsius(30.0), 10.0).unwrap();
    near(rate, 0.08, 1e-12, "rate");
    near(
        card.bleaching.left(rate, 5.0 / 70.906 * 11.5 * 60.0),
        0.02,
        0.001,
        "left after 11.5 min",
    );
    // 35.5 kJ/mol is a factor of 1.6 from 25 to 35 C.
    card.bleaching.energy.value = 35.5e3;
    let rise =
        card.bleach_rate(Celsius(35.0), 10.0).unwrap() / card.bleach_rate(Celsius(25.0), 10.0).unwrap();
    near(rise, 1.6, 0.02, "Q10");
    card.bleaching.residue.value = 0.05;
    near(
        card.bleaching.left(rate, 1e9),
        0.05,
        1e-12,
        "what chlorine does not clear",
    );
}

#[test]
fn ph_outside_the_card_is_a_finding() {
    let card = card_named("marine-vs");
    assert!(card.bleach_rate(Celsius(30.0), 9.5).is_ok());
    assert!(card.bleach_rate(Celsius(30.0), 10.5).is_ok());
    for ph in [9.49, 10.51, f64::NAN] {
        assert_eq!(
            card.bleach_rate(Celsius(30.0), ph).unwrap_err().code,
            "bleach-ph-unknown"
        );
    }
    let finding = card.bleach_rate(Celsius(30.0), 8.5).unwrap_err();
    assert_eq!(
        finding.say(Voice::default()),
        [
            "Nothing is known about how fast marine vs clears at pH 8.5.",
            "Its card holds for pH 9.5 to 10.5.",
            "Bring the bath into this range, or make a strip test at pH 8.5 and write it on the card."
        ]
    );
    let voice = Voice {
        language: Language::Id,
        ..Voice::default()
    };
    assert_eq!(
        finding.say(voice)[1],
        "Kartunya berlaku untuk pH 9,5 sampai 10,5."
    );
}

/// Sun truth: 20 min at 100 klx on blue wool 2 cost 0.46 % of K/S.
#[test]
fn sun_hardly_fades_in_twenty_minutes() {
    near(1.0 - light_left(0.1 / 3.0, 2.0), 0.0046, 5e-5, "blue wool 2");
    near(1.0 - light_left(0.2, 4.0), 0.005, 5e-4, "blue wool 4, two hours");
    for (class, dose) in [(1.0, 0.22), (2.0, 0.6), (8.0, 120.0)] {
        near(just_noticeable_dose(class), dose, 1e-9, class);
    }
    assert!(just_noticeable_dose(0.0) < 0.22 && just_noticeable_dose(9.0) > 120.0);
    let card = card_named("scarlet-vs");
    assert!(card.light_left(1.0, false) < card.light_left(1.0, true));
}

#[test]
fn exhaustion_follows_the_liquor_ratio() {
    let mut card = card_named("tan-dct");
    card.exhaustion.value = 0.5;
    near(card.exhaustion_at(20.0), 0.5, 1e-12, "as stated");
    near(
        card.exhaustion_at(5.0),
        0.8,
        1e-12,
        "a quarter of the liquor: 20/(20+5)",
    );
}

#[test]
fn prices_are_exact() {
    let read = |text| Price::read(text, &Place::Request).map_err(|finding| finding.code);
    assert_eq!(
        read("38.50 EUR/kg"),
        Ok(Price {
            amount: 3850,
            decimals: 2,
            currency: "EUR".into()
        })
    );
    assert_eq!(read("285000 IDR/kg").unwrap().decimal(), "285000");
    assert_eq!(read("0.05 EUR/kg").unwrap().decimal(), "0.05");
    for wrong in [
        "38.50",
        "38.50 EUR",
        "38,50 EUR/kg",
        "-3 EUR/kg",
        "3. EUR/kg",
        "3 eur/kg",
        "1e3 EUR/kg",
        " EUR/kg",
        "",
    ] {
        assert_eq!(read(wrong), Err("price"), "{wrong}");
    }
}

#[test]
fn demo_cards_are_sound() {
    let cards = demo_cards();
    assert!(cards.len() >= 12);
    for card in &cards {
        assert_eq!(card.validate(), [], "{}", card.id);
        assert!(card.chemistry == Chemistry::Dichlorotriazine || card.id.ends_with("vs"));
    }
    let measured = cards
        .iter()
        .filter(|c| matches!(c.bleaching.rate.origin, Origin::Measured { .. }))
        .count();
    assert!(
        measured > 0 && measured < cards.len(),
        "both kinds of answer are to be seen"
    );
}

/// A measured rate speaks for itself near its own temperature only.
#[test]
fn the_weaker_origin_is_shown_away_from_the_test() {
    let card = card_named("scarlet-vs");
    assert!(matches!(
        card.bleaching.origin(Celsius(31.0)),
        Origin::Measured { .. }
    ));
    assert!(matches!(
        card.bleaching.origin(Celsius(20.0)),
        Origin::Assumed { .. }
    ));
    assert!(matches!(card.fixation.origin(), Origin::Assumed { .. }));
}

/// Every fault is found by its code at the place of its key, and said in both languages.
#[test]
fn faults_of_a_card_are_found() {
    type Spoil = fn(&mut DyeCard);
    let faults: [(&str, &str, Spoil); 19] = [
        ("dye-id", "id", |c| c.id = "Scarlet VS".into()),
        ("dye-name", "name", |c| c.name = " ".into()),
        ("dye-spectrum-negative", "spectrum.unit_ks", |c| {
            c.unit_ks[3] = -0.01
        }),
        ("dye-spectrum-negative", "spectrum.unit_ks", |c| {
            c.unit_ks[30] = f64::NAN
        }),
        ("dye-spectrum-height", "spectrum.unit_ks", |c| {
            c.unit_ks = c.unit_ks.map(|v| v * 10.0)
        }),
        ("dye-out-of-range", "k_max", |c| c.k_max.value = 0.0),
        ("dye-out-of-range", "fixation.rate", |c| {
            c.fixation.rate.value = -1.0
        }),
        ("dye-out-of-range", "fixation.at", |c| {
            c.fixation.at = Celsius(303.0)
        }),
        ("dye-out-of-range", "fixation.final_share", |c| {
            c.fixation.final_share.value = 1.01
        }),
        ("dye-out-of-range", "bleaching.rate", |c| {
            c.bleaching.rate.value = f64::INFINITY
        }),
        ("dye-out-of-range", "bleaching.residue", |c| {
            c.bleaching.residue.value = 1.2
        }),
        ("dye-out-of-range", "blue_wool", |c| c.blue_wool.value = 9.0),
        ("dye-bleach-ph", "bleaching.ph", |c| c.bleaching.ph = 11.0),
        ("dye-bleach-ph-weakens", "bleaching.ph_least", |c| {
            c.bleaching.ph_least = 7.0
        }),
        ("dye-price-negative", "price", |c| c.price.amount = -1),
        ("dye-powder-hazard", "hazards", |c| c.hazards.clear()),
        ("dye-origin", "affinity", |c| {
            c.affinity = Known::assumed(0.005, 0.5, "a guess")
        }),
        ("dye-origin", "affinity", |c| {
            c.affinity = Known::assumed(0.005, 2.0, "")
        }),
        ("dye-origin", "spectrum.unit_ks", |c| {
            c.spectrum = Origin::Measured {
                date: "14 May".into(),
                n: 2,
            }
        }),
    ];
    for (code, key, spoil) in faults {
        let mut card = card_named("scarlet-vs");
        spoil(&mut card);
        let at = |key: &'static str| Place::Step {
            id: "card".into(),
            setting: Some(key),
        };
        let findings = card.validate_at(at);
        assert_eq!(findings.len(), 1, "{code} {key}: {findings:?}");
        assert_eq!(findings[0].code, code);
        assert!(
            matches!(&findings[0].place, Place::Step { setting, .. } if *setting == Some(key)),
            "{findings:?}"
        );
        assert!(findings[0].weight >= Weight::Doubtful);
        for language in [Language::En, Language::Id] {
            for line in findings[0].say(Voice {
                language,
                ..Voice::default()
            }) {
                assert!(!line.contains('{') && !line.is_empty(), "{line}");
            }
        }
    }
}

#[test]
fn spectra_of_files_have_31_numbers() {
    assert!(spectrum_from(&[0.1; 31], &Place::Request).is_ok());
    assert_eq!(
        spectrum_from(&[0.1; 30], &Place::Request).unwrap_err().code,
        "spectrum-length"
    );
    assert_eq!(
        spectrum_from(&[], &Place::Request).unwrap_err().code,
        "spectrum-length"
    );
    let mut hole = [0.1; 31];
    hole[7] = f64::NAN;
    let finding = spectrum_from(&hole, &Place::Request).unwrap_err();
    assert_eq!(
        finding.say(Voice::default())[0],
        "The value at 470 nm is not a number."
    );
}

#[test]
fn hazards_and_chemistries_have_keys_of_their_own() {
    let mut keys: Vec<_> = HAZARDS
        .iter()
        .chain(Chemistry::ALL.map(Chemistry::term))
        .map(|t| t.key)
        .collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), HAZARDS.len() + Chemistry::ALL.len());
    assert_eq!(
        Chemistry::from_key("dichlorotriazine"),
        Some(Chemistry::Dichlorotriazine)
    );
    assert_eq!(Chemistry::from_key("direct"), None);
}

/// Under each lamp the perfect white keeps the white that ASTM E308 tabulates (10 degrees; from memory), and an eye
/// that is used to the lamp sees it white.
#[test]
fn white_is_white_under_every_lamp() {
    for (lamp, white) in [
        (Illuminant::D65, [94.811, 100.0, 107.304]),
        (Illuminant::A, [111.144, 100.0, 35.200]),
        (Illuminant::F11, [103.863, 100.0, 65.607]),
    ] {
        let tables = BandTables::under(&[1.0; 31], &[], lamp);
        for (axis, expected) in white.into_iter().enumerate() {
            let sum: f32 = tables.to_xyz[axis].iter().sum();
            // 31 bands of 10 nm instead of the table's 5 nm move the last digit but one.
            assert!((f64::from(sum) - expected).abs() < 0.06, "{lamp:?} {axis}: {sum}");
        }
        for channel in tables.linear(&[]) {
            assert!((channel - 1.0).abs() < 1e-4, "{lamp:?}: {channel}");
        }
    }
}

#[test]
fn perfect_white_in_f32_is_screen_white() {
    let tables = BandTables::of(&[1.0; 31], &[]);
    for channel in tables.linear(&[]) {
        near(f64::from(channel), 1.0, 2e-6, "channel");
    }
}

proptest! {
    /// The picture kernels' f32 tables against the f64 route: a tenth of a grey step.
    #[test]
    fn band_tables_agree_with_the_reference(a in 0.0..40.0_f64, b in 0.0..40.0_f64, i in 0..16_usize, j in 0..16_usize) {
        let cards = demo_cards();
        let (one, other) = (&cards[i % cards.len()], &cards[j % cards.len()]);
        let pair = [one, other];
        let r = dyed_reflectance(
            &[(a, &one.unit_ks), (b, &other.unit_ks)], joint_k_max(&pair), &ks_spectrum(white_cotton()),
        );
        let expected = screen::linear_under(xyz(&r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
        let found = BandTables::of(white_cotton(), &pair).linear(&[a as f32, b as f32]);
        for (f, e) in found.iter().zip(expected) {
            prop_assert!((f64::from(*f) - e).abs() < 3e-6, "{found:?} {expected:?}");
        }
    }
}
