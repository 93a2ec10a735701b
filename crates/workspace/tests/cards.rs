//! Dye cards as text: a fitted spectrum goes in, and nothing else that a person wrote is touched.

use colour::dye::{Chemistry, Ladder, Price};
use colour::{BANDS, DyeCard};
use words::{Known, Origin};
use workspace::{CardHead, Source, first_card, read_card, refitted, renamed};

fn read(text: &str) -> DyeCard {
    let source = Source {
        path: "dyes/a.toml".into(),
        text: text.into(),
        hash: [0; 32],
    };
    let (card, findings) = read_card(&source);
    card.unwrap_or_else(|| panic!("{findings:?}\n{text}"))
}

fn head(id: &str) -> CardHead {
    CardHead {
        id: id.into(),
        name: "sea \"fern\"".into(),
        price: Price {
            amount: 3850,
            decimals: 2,
            currency: "EUR".into(),
        },
    }
}

fn fitted(card: &DyeCard) -> DyeCard {
    let measured = Origin::Measured {
        date: "2026-04-20".into(),
        n: 21,
    };
    DyeCard {
        unit_ks: std::array::from_fn(|b| 0.01 + 0.4 * (-((b as f64 - 12.0) / 5.0).powi(2)).exp()),
        spectrum: measured.clone(),
        k_max: Known {
            value: 37.25,
            origin: measured,
        },
        ladder: Some(Ladder {
            deepest: 2.5,
            fixed_share: 0.75,
            error: 0.0123,
            white: [0.85; BANDS],
        }),
        ..card.clone()
    }
}

#[test]
fn a_first_card_is_a_card_and_everything_on_it_is_assumed() {
    for chemistry in Chemistry::ALL {
        let card = read(&first_card(chemistry, &head("fern-vs")));
        assert_eq!((card.chemistry, card.id.as_str()), (chemistry, "fern-vs"));
        assert_eq!(
            (card.name.as_str(), card.price.decimal().as_str()),
            ("sea \"fern\"", "38.50")
        );
        for known in [
            &card.fixation.rate,
            &card.bleaching.rate,
            &card.affinity,
            &card.blue_wool,
        ] {
            assert!(matches!(known.origin, Origin::Assumed { .. }));
        }
    }
    // The class that clears binds slowly, and the other way round.
    let of = |chemistry| read(&first_card(chemistry, &head("a")));
    let (slow, quick) = (of(Chemistry::VinylSulfone), of(Chemistry::Dichlorotriazine));
    assert!(slow.fixation.rate.value < quick.fixation.rate.value);
    assert!(slow.bleaching.rate.value > quick.bleaching.rate.value);
}

/// What is written is what is read, to the digits written: five decimals of K/S, four of reflectance.
#[test]
fn a_fitted_spectrum_comes_back() {
    let text = first_card(Chemistry::VinylSulfone, &head("fern-vs"));
    let fitted = fitted(&read(&text));
    let again = read(&refitted(&text, "a.toml", &fitted).unwrap());
    for band in 0..BANDS {
        assert!((again.unit_ks[band] - fitted.unit_ks[band]).abs() <= 0.51e-5);
    }
    assert_eq!(again.spectrum, fitted.spectrum);
    let (found, wanted) = (again.ladder.unwrap(), fitted.ladder.unwrap());
    assert!((found.deepest - wanted.deepest).abs() < 1e-9);
    assert!((found.fixed_share - wanted.fixed_share).abs() < 1e-9);
    assert!((found.error - wanted.error).abs() < 1e-9);
    assert_eq!(found.white, wanted.white);
    assert_eq!(again.k_max.origin, fitted.k_max.origin);
    assert!((again.k_max.value - 37.25).abs() <= 0.051);
}

/// Only K_max, spectrum and ladder change; a second time changes nothing; a table after them stays.
#[test]
fn what_a_person_wrote_stays() {
    let text = first_card(Chemistry::VinylSulfone, &head("fern-vs"))
        .replace("blue_wool", "# my own remark\nblue_wool")
        .replace("[bleaching]", "[bleaching] # strips of May");
    // A spectrum in the middle of the file, with a remark that belongs to the next table.
    let (start, spectrum) = text.split_once("[spectrum]").unwrap();
    let (top, rest) = start.split_once("[fixation]").unwrap();
    let moved = format!("{top}[spectrum]{spectrum}\n# binds overnight\n[fixation]{rest}");
    for text in [text.clone(), moved] {
        let card = fitted(&read(&text));
        let once = refitted(&text, "a.toml", &card).unwrap();
        let kept = |line: &&str| {
            !line.contains("k_max") && !line.starts_with("yours") && !line.starts_with("    0.3")
        };
        let mut lines = once.lines();
        for line in text.lines().filter(kept).filter(|l| !l.is_empty()) {
            assert!(lines.any(|l| l == line), "lost, or out of order: {line}\n{once}");
        }
        assert_eq!(refitted(&once, "a.toml", &card).unwrap(), once);
        read(&once);
    }
}

#[test]
fn a_card_like_another_has_its_own_name() {
    let text = first_card(Chemistry::Dichlorotriazine, &head("one"));
    let card = read(&renamed(&text, "a.toml", &head("two")).unwrap());
    assert_eq!((card.id.as_str(), card.price.currency.as_str()), ("two", "EUR"));
}

#[test]
fn a_text_that_is_no_card_is_refused() {
    let card = fitted(&read(&first_card(Chemistry::VinylSulfone, &head("a"))));
    for text in [
        "",
        "k_max = 1",
        "[spectrum]\n",
        "k_max = {\n[spectrum]",
        "spectrum = {}\nk_max = 1",
    ] {
        assert_eq!(
            refitted(text, "a.toml", &card).unwrap_err().code,
            "card-not-laid-out",
            "{text}"
        );
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(128))]
    /// Any text is answered.
    #[test]
    fn any_text_is_answered(text in "(?s)(k_max = 1\n)?.{0,40}(\n\\[spectrum\\]\n.{0,30})?(\n\\[[a-z]{1,4}\\])?") {
        let card = fitted(&read(&first_card(Chemistry::VinylSulfone, &head("a"))));
        let _ = refitted(&text, "a.toml", &card);
    }
}
