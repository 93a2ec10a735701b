//! Colours of several regions, solved through the route that they share.

#[path = "common/card_file.rs"]
mod card_file;
mod common;

use colour::dye::DyeCard;
use colour::recipe::through::{Bleach, Carry, Cause, Dyeing, Region, RegionPart, Settings, Works};
use colour::{Lab, Viewing, de2000, kubelka_munk, lab, xyz};
use common::near;
use std::sync::LazyLock;
use units::Celsius;

static CARDS: LazyLock<Vec<DyeCard>> = LazyLock::new(card_file::demo_cards);

fn card(id: &str) -> usize {
    CARDS.iter().position(|c| c.id == id).unwrap()
}

/// Dyes that any dyeing of these tests may use, few, so that tests are quick.
fn dyeing(name: &str, choice: &[&str], dyes: usize) -> Dyeing {
    Dyeing {
        name: name.to_string(),
        choice: choice.iter().map(|id| card(id)).collect(),
        dyes,
        most: 30.0,
        fixed: Vec::new(),
    }
}

fn carry(dyeing: usize, keep: f64, access: f64) -> Carry {
    Carry {
        dyeing,
        keep: vec![keep; CARDS.len()],
        access: vec![access],
    }
}

fn region(name: &str, parts: Vec<(f64, Vec<Carry>)>, target: Option<Lab>) -> Region {
    Region {
        name: name.to_string(),
        parts: parts
            .into_iter()
            .map(|(share, carries)| RegionPart { share, carries })
            .collect(),
        target,
        weight: 1.0,
        tolerance: 1.0,
    }
}

/// Red motifs waxed over, the rest bleached and over-dyed; the wax lets 4 % of the bleach in, boiling leaves 95 %,
/// and 3 % of the ground stains the motif.
fn works(first: Dyeing, ground: Dyeing) -> Works<'static> {
    let cards: Vec<&DyeCard> = CARDS.iter().collect();
    let rates = cards
        .iter()
        .map(|c| c.bleach_rate(Celsius(30.0), 10.0).unwrap())
        .collect();
    Works {
        dyeings: vec![first, ground],
        bleaches: vec![Bleach {
            name: "bleach".to_string(),
            rates,
            least: 1.0,
            most: 60.0,
        }],
        regions: vec![
            region(
                "motif",
                vec![(1.0, vec![carry(0, 0.95, 0.04), carry(1, 0.03, 0.0)])],
                None,
            ),
            region(
                "ground",
                vec![(1.0, vec![carry(0, 0.95, 1.0), carry(1, 0.9, 0.0)])],
                None,
            ),
        ],
        ..Works::of(&cards)
    }
}

fn plant(works: &mut Works, settings: &Settings) {
    let colours = works.colours(settings).unwrap();
    for (region, colour) in works.regions.iter_mut().zip(colours) {
        region.target = Some(colour);
    }
}

/// The ground's colour worked by hand from the cards: what the bleach leaves of the first dye, and the ground.
#[test]
fn a_ground_by_hand() {
    let works = works(
        dyeing("first", &["scarlet-vs"], 1),
        dyeing("ground", &["tan-dct"], 1),
    );
    let (scarlet, tan) = (&CARDS[card("scarlet-vs")], &CARDS[card("tan-dct")]);
    let settings = Settings {
        amounts: vec![vec![(card("scarlet-vs"), 8.0)], vec![(card("tan-dct"), 3.0)]],
        doses: vec![20.0],
    };
    let rate = scarlet.bleach_rate(Celsius(30.0), 10.0).unwrap();
    let left = 8.0 * 0.95 * scarlet.bleaching.left(rate, 20.0);
    let r = kubelka_munk::dyed_reflectance(
        &[(left, &scarlet.unit_ks), (3.0 * 0.9, &tan.unit_ks)],
        colour::dye::joint_k_max(&CARDS.iter().collect::<Vec<_>>()),
        &kubelka_munk::ks_spectrum(colour::white_cotton()),
    );
    let by_hand = lab(xyz(&r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
    near(
        de2000(works.colours(&settings).unwrap()[1], by_hand),
        0.0,
        1e-9,
        "ground",
    );
}

/// Depths, ground and dose that gave the targets are found again; none of them is told.
#[test]
fn a_planted_route_is_found() {
    for (dose, scarlet, tan, plum) in [
        (12.0, 6.0, 2.0, 0.7),
        (30.0, 12.0, 5.0, 2.0),
        (5.0, 3.0, 1.0, 0.4),
    ] {
        let mut works = works(
            dyeing("first", &["scarlet-vs"], 1),
            dyeing("ground", &["tan-dct", "plum-vs"], 2),
        );
        let settings = Settings {
            amounts: vec![
                vec![(card("scarlet-vs"), scarlet)],
                vec![(card("tan-dct"), tan), (card("plum-vs"), plum)],
            ],
            doses: vec![dose],
        };
        plant(&mut works, &settings);
        let answer = works.solve().unwrap();
        near(answer.settings.doses[0], dose, 0.02 * dose, "dose");
        for (found, planted) in answer.settings.amounts.iter().zip(&settings.amounts) {
            for (card, amount) in planted {
                let found = found.iter().find(|f| f.0 == *card).unwrap().1;
                near(found, *amount, 0.02 * amount, &CARDS[*card].id);
            }
        }
        for region in &answer.regions {
            assert!(region.difference.unwrap() < 0.01 && region.limits.is_empty());
        }
    }
}

/// Three motif colours, a ground over what is left of all three (mixed as light), the dyes chosen from eight.
#[test]
fn dyes_are_chosen_for_four_regions() {
    let eight = [
        "scarlet-vs",
        "lemon-vs",
        "marine-vs",
        "gold-dct",
        "rose-vs",
        "lagoon-vs",
        "tan-dct",
        "plum-vs",
    ];
    let mut works = works(dyeing("red", &eight, 2), dyeing("yellow", &eight, 2));
    works
        .dyeings
        .extend([dyeing("blue", &eight, 2), dyeing("ground", &eight, 2)]);
    let motif = |at: usize| vec![(1.0, vec![carry(at, 0.95, 0.03), carry(3, 0.02, 0.0)])];
    let under = |at: usize| (1.0, vec![carry(at, 0.95, 0.9), carry(3, 0.9, 0.0)]);
    works.regions = vec![
        region("red", motif(0), None),
        region("yellow", motif(1), None),
        region("blue", motif(2), None),
        region("ground", vec![under(0), under(1), under(2)], None),
    ];
    let settings = Settings {
        amounts: vec![
            vec![(card("scarlet-vs"), 7.0), (card("rose-vs"), 1.0)],
            vec![(card("lemon-vs"), 5.0), (card("gold-dct"), 1.5)],
            vec![(card("marine-vs"), 6.0)],
            vec![(card("tan-dct"), 4.0), (card("plum-vs"), 0.5)],
        ],
        doses: vec![25.0],
    };
    plant(&mut works, &settings);
    let answer = works.solve().unwrap();
    for (region, reached) in works.regions.iter().zip(&answer.regions) {
        // Other dyes may do as well; nobody could tell.
        assert!(
            reached.difference.unwrap() < 0.6,
            "{}: {:?}",
            region.name,
            answer.settings
        );
    }
}

/// A miss and its first cause.
fn first_cause(works: &Works, at: usize) -> Cause {
    let answer = works.solve().unwrap();
    let reached = &answer.regions[at];
    let (_, nearest) = reached.nearest.unwrap();
    assert!(nearest <= reached.difference.unwrap() + 1e-6);
    let findings = works.findings(&answer);
    assert!(!findings.is_empty() && findings[0].remedy.is_some());
    // Who misses alone is told apart from who misses only with the others.
    let apart = nearest <= works.regions[at].tolerance;
    let code = if apart {
        "targets-apart"
    } else {
        "target-out-of-reach"
    };
    assert!(findings.iter().any(|f| f.code == code), "{findings:?}");
    reached.limits[0].cause
}

fn plain() -> Works<'static> {
    works(
        dyeing("first", &["scarlet-vs"], 1),
        dyeing("ground", &["sand-dct"], 1),
    )
}

/// A deep motif and a pale ground that were reached with a dose of 50; only 10 are allowed. Nothing but the bleach
/// is at fault, and it is named before the motif, without which the ground would be reached as well.
#[test]
fn a_bleach_that_is_too_short() {
    let mut works = plain();
    let settings = Settings {
        amounts: vec![vec![(card("scarlet-vs"), 10.0)], vec![(card("sand-dct"), 2.0)]],
        doses: vec![50.0],
    };
    plant(&mut works, &settings);
    works.bleaches[0].most = 10.0;
    works.regions[0].weight = 4.0;
    assert_eq!(first_cause(&works, 1), Cause::BleachMost(0));
    let answer = works.solve().unwrap();
    near(answer.settings.doses[0], 10.0, 1e-6, "the whole dose is used");
}

/// Half the first dye stays in the ground, out of the bleach's reach, and the ground shall show nothing of it.
#[test]
fn what_is_left_shows_through() {
    let mut works = plain();
    let mut settings = Settings {
        amounts: vec![vec![(card("scarlet-vs"), 10.0)], vec![(card("sand-dct"), 2.0)]],
        doses: vec![50.0],
    };
    plant(&mut works, &settings);
    settings.amounts[0].clear();
    works.regions[1].target = Some(works.colours(&settings).unwrap()[1]);
    works.regions[1].parts[0].carries[0] = carry(0, 0.5, 0.0);
    works.regions[0].weight = 4.0;
    assert_eq!(first_cause(&works, 1), Cause::Left(0));
}

/// One dyeing for two regions that want different colours.
#[test]
fn regions_that_want_different_things() {
    let mut works = plain();
    for (region, depth) in [(0, 1.0), (1, 12.0)] {
        works.regions[region].parts[0].carries = vec![carry(0, 1.0, 0.0)];
        let settings = Settings {
            amounts: vec![vec![(card("scarlet-vs"), depth)]],
            doses: vec![1.0],
        };
        works.regions[region].target = Some(works.colours(&settings).unwrap()[region]);
    }
    assert_eq!(first_cause(&works, 0), Cause::Others);
    assert_eq!(first_cause(&works, 1), Cause::Others);
}

/// A black from one dye that may only go to 2 g/kg.
#[test]
fn a_dyeing_that_may_not_go_deeper() {
    let mut works = plain();
    works.dyeings[0] = dyeing("first", &["charcoal-vs"], 1);
    works.regions[0].target = works
        .colours(&Settings {
            amounts: vec![vec![(card("charcoal-vs"), 8.0)], vec![]],
            doses: vec![1.0],
        })
        .unwrap()
        .first()
        .copied();
    works.dyeings[0].most = 2.0;
    let causes = first_cause(&works, 0);
    assert!(matches!(causes, Cause::Depth(0)), "{causes:?}");
}

/// A blue from scarlet alone: other dyes of the store would do.
#[test]
fn a_dyeing_that_may_not_use_other_dyes() {
    let mut works = plain();
    works.regions[0].target = Some(Lab::new(45.0, 0.0, -30.0));
    assert_eq!(first_cause(&works, 0), Cause::Choice(0));
}

/// A green that no dye gives: nothing the route does is to blame.
#[test]
fn a_colour_that_no_dye_has() {
    let mut works = plain();
    works.cards = vec![&CARDS[card("scarlet-vs")], &CARDS[card("sand-dct")]];
    works.dyeings = vec![
        Dyeing {
            choice: vec![0, 1],
            dyes: 3,
            ..dyeing("first", &[], 3)
        },
        Dyeing {
            choice: vec![0, 1],
            dyes: 3,
            ..dyeing("ground", &[], 3)
        },
    ];
    works.bleaches[0].rates = vec![0.1, 0.01];
    for carry in works
        .regions
        .iter_mut()
        .flat_map(|r| &mut r.parts)
        .flat_map(|p| &mut p.carries)
    {
        carry.keep.truncate(2);
    }
    works.regions[0].target = Some(Lab::new(60.0, -50.0, 30.0));
    assert_eq!(first_cause(&works, 0), Cause::Dyes);
}

/// Leaky wax: the bleach takes what the motif needs.
#[test]
fn a_bleach_that_takes_the_motif() {
    let mut works = plain();
    works.dyeings[0].most = 8.0;
    works.bleaches[0].least = 30.0;
    works.regions[0].target = works
        .colours(&Settings {
            amounts: vec![vec![(card("scarlet-vs"), 7.0)], vec![]],
            doses: vec![0.0],
        })
        .unwrap()
        .first()
        .copied();
    works.regions[0].parts[0].carries[0] = carry(0, 0.95, 0.9);
    let answer = works.solve().unwrap();
    let causes: Vec<Cause> = answer.regions[0].limits.iter().map(|l| l.cause).collect();
    assert!(
        causes.contains(&Cause::Taken(0)) && causes.contains(&Cause::BleachLeast(0)),
        "{causes:?}"
    );
}

#[test]
fn numbers_that_no_route_has() {
    let codes = |change: fn(&mut Works<'static>)| -> Vec<&'static str> {
        let mut works = plain();
        change(&mut works);
        works.solve().err().unwrap().iter().map(|f| f.code).collect()
    };
    assert_eq!(codes(|w| w.dyeings[0].choice.clear()), ["works-number"]);
    assert_eq!(codes(|w| w.dyeings[0].choice = vec![99]), ["works-number"]);
    assert_eq!(codes(|w| w.bleaches[0].rates.clear()), ["works-number"]);
    assert_eq!(codes(|w| w.bleaches[0].least = 100.0), ["works-number"]);
    assert_eq!(codes(|w| w.regions[0].parts.clear()), ["works-number"]);
    assert_eq!(
        codes(|w| w.regions[0].parts[0].carries[0].dyeing = 2),
        ["works-number"]
    );
    assert_eq!(
        codes(|w| w.regions[1].parts[0].carries[0].access.clear()),
        ["works-number"]
    );
    assert_eq!(
        codes(|w| w.regions[0].target = Some(Lab::new(f64::NAN, 0.0, 0.0))),
        ["works-number"]
    );
    assert_eq!(
        codes(|w| w.dyeings = vec![
            Dyeing {
                dyes: 3,
                ..w.dyeings[0].clone()
            };
            11
        ]),
        ["works-size"]
    );
}

#[test]
fn a_route_without_targets_asks_for_nothing() {
    let answer = plain().solve().unwrap();
    assert!(answer.regions.iter().all(|r| r.difference.is_none()));
    assert!(answer.settings.amounts.iter().all(Vec::is_empty));
}
