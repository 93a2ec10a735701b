//! The plots: their numbers, and that what is written is a drawing whatever the names and numbers are.

#[path = "common/card_file.rs"]
mod card_file;
mod common;

use card_file::{demo_cards, planted_cards};
use colour::DyeCard;
use colour::dye::Chemistry;
use colour::fit::ladder::{LadderFit, Noise, Rung, Terms, fit};
use colour::kubelka_munk::{dyed_reflectance, ks_spectrum};
use colour::plot::{Store, ladder_series, ladder_svg, store_points, store_svg};
use common::near;
use units::{Celsius, Span};
use words::{Known, Language, Place, Voice};

const INDONESIAN: Voice = Voice {
    language: Language::Id,
    system: units::System::Metric,
};

const STORE: Store = Store {
    rest: Span(7200.0),
    cloth: Celsius(28.0),
    bath: Celsius(30.0),
    ph: 10.0,
    chlorine: 5.0,
};

fn card_named(id: &str) -> DyeCard {
    planted_cards().into_iter().find(|c| c.id == id).unwrap()
}

fn fitted(id: &str) -> LadderFit {
    let card = card_named(id);
    let cloth = ks_spectrum(colour::white_cotton());
    let rungs: Vec<Rung> = [0.0, 0.25, 0.5, 1.0, 2.0]
        .iter()
        .map(|d| Rung {
            depth: *d,
            reflectance: dyed_reflectance(&[(d * 7.5, &card.unit_ks)], card.k_max.value, &cloth),
            readings: 3,
            recovered: false,
            place: Place::Request,
        })
        .collect();
    fit(
        &rungs,
        &Terms::new(Known::yours(0.75), "2026-04-20", Noise::MEASURED),
    )
    .unwrap()
}

/// Every tag is closed in order, and no place is `NaN` or `inf`.
#[track_caller]
fn is_drawing(svg: &str) {
    let mut open = Vec::new();
    for part in svg.split('<').skip(1) {
        let (tag, after) = part.split_once('>').expect("a tag ends");
        assert!(!after.contains('>'), "{part}");
        assert!(!tag.contains("NaN") && !tag.contains("inf"), "{tag}");
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        let name = tag.split([' ', '/']).find(|n| !n.is_empty()).unwrap();
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "{open:?}");
    assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
}

/// By hand, at the peak of "scarlet vs" (0.6876 at 520 nm): 1 % put on is 7.5 g/kg bound, K = 5.157, levelled off with
/// 41: 4.581.
#[test]
fn the_numbers_of_a_ladder() {
    let series = ladder_series(&fitted("scarlet-vs"));
    assert_eq!(series.peak_nm, 520);
    let rung = series.rungs.iter().find(|r| r.0 == 1.0).unwrap();
    near(rung.1, 4.581, 0.001, "as read");
    let at = |curve: &[(f64, f64)], depth: f64| {
        let close = |p: &&(f64, f64)| (p.0 - depth).abs() < 1e-9;
        curve.iter().find(close).map(|p| p.1)
    };
    near(
        at(&series.curve, 2.0).unwrap(),
        10.314 / (1.0 + 10.314 / 41.0),
        0.003,
        "curve",
    );
    near(at(&series.straight, 2.0).unwrap(), 10.314, 0.002, "straight");
    assert!(
        series
            .doubt
            .iter()
            .zip(&series.curve)
            .all(|(d, c)| d.1 <= c.1 && c.1 <= d.2)
    );
    assert_eq!(
        (series.unit.len(), series.residuals.len(), series.rungs.len()),
        (31, 5, 4)
    );
}

/// By hand: "scarlet vs" clears with 0.092/(M s) at 30 C; 5 g/L is 0.07052 M: ln 50 / 0.006488 = 603 s.
#[test]
fn the_numbers_of_a_store() {
    let cards = demo_cards();
    let points = store_points(&cards.iter().collect::<Vec<_>>(), STORE);
    assert_eq!(points.len(), 16);
    let scarlet = points.iter().find(|p| p.id == "scarlet-vs").unwrap();
    near(scarlet.clears_min.unwrap(), 603.0 / 60.0, 0.01, "minutes");
    near(
        scarlet.bound,
        card_named("scarlet-vs").bound_share(Span(7200.0), Celsius(28.0)),
        1e-12,
        "bound",
    );
    assert_eq!(scarlet.factor, 1.0);
    let assumed = points.iter().find(|p| p.id == "tan-dct").unwrap();
    assert!(assumed.factor > 1.0);
    let outside = store_points(&cards.iter().collect::<Vec<_>>(), Store { ph: 7.0, ..STORE });
    assert!(
        outside.iter().all(|p| p.clears_min.is_none()),
        "no card holds at pH 7"
    );
    // The class that binds quickly is on the other side.
    let mean = |kind: Chemistry| {
        let of: Vec<f64> = cards
            .iter()
            .zip(&points)
            .filter(|(c, _)| c.chemistry == kind)
            .map(|(_, p)| p.bound)
            .collect();
        of.iter().sum::<f64>() / of.len() as f64
    };
    assert!(mean(Chemistry::Dichlorotriazine) > mean(Chemistry::VinylSulfone) + 0.2);
}

#[test]
fn plots_are_drawings_in_both_languages() {
    let cards = demo_cards();
    let all: Vec<&DyeCard> = cards.iter().collect();
    for voice in [Voice::default(), INDONESIAN] {
        is_drawing(&ladder_svg(&fitted("scarlet-vs"), "scarlet vs", voice));
        is_drawing(&store_svg(&all, STORE, voice));
    }
    let said = store_svg(&all, STORE, Voice::default());
    assert!(said.contains("Which dyes clear, and which bind in your rest?"));
    for card in &cards {
        assert!(said.contains(&card.name), "{}", card.name);
    }
    // A strip test fills the mark: ten are assumed, and drawn with paper in the middle.
    assert_eq!(said.matches("r=\"6.5\" fill=\"#fbfbfa\"").count(), 10);
    assert!(ladder_svg(&fitted("lemon-vs"), "lemon", INDONESIAN).contains("memberi K/S"));
}

#[test]
fn names_and_numbers_cannot_break_a_drawing() {
    let hostile = "<a href=\"x\">&\u{7}</svg>";
    is_drawing(&ladder_svg(&fitted("ink-vs"), hostile, Voice::default()));
    let mut card = card_named("ink-vs");
    card.name = hostile.repeat(20);
    for store in [
        STORE,
        Store {
            chlorine: 0.0,
            ..STORE
        },
        Store {
            chlorine: f64::NAN,
            ..STORE
        },
        Store { ph: 3.0, ..STORE },
        Store {
            rest: Span(0.0),
            ..STORE
        },
    ] {
        is_drawing(&store_svg(&[&card, &card, &card], store, Voice::default()));
        is_drawing(&store_svg(&[], store, INDONESIAN));
    }
    let mut odd = fitted("ink-vs");
    odd.unit_error = [f64::INFINITY; 31];
    odd.deepest = 0.0;
    is_drawing(&ladder_svg(&odd, "odd", Voice::default()));
}
