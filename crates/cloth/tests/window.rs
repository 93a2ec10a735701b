//! The window of a timed step.

mod measured;

use cloth::window::{
    Advice, Axis, Cure, Limits, Response, Shade, Spreads, Surface, Target, Way, plot_svg, plot_svg_narrow,
    window,
};
use cloth::{Bolt, Region};
use field::{hash2, unit};
use measured::{BLEACH, common, measured};
use route::LotShape;
use units::{Span, System};
use words::{Language, Voice};

const EN: Voice = Voice {
    language: Language::En,
    system: System::Metric,
};
const ID: Voice = Voice {
    language: Language::Id,
    system: System::Metric,
};

/// A polynomial of third degree in each direction comes back exactly; nothing is extrapolated.
#[test]
fn a_surface_is_cubic_between_its_nodes() {
    let f = |p: &[f64; 4]| 1.0 + p[0].powi(3) - 2.0 * p[1].powi(2) * p[0] + p[2] * p[3] + 0.5 * p[3].powi(3);
    let axes = [
        Axis::even(-1.0, 3.0, 6),
        Axis {
            nodes: vec![0.0, 0.4, 1.5, 2.0, 4.0],
        },
        Axis::even(-3.0, 3.0, 3),
        Axis::even(0.0, 2.0, 4),
    ];
    let points = Surface::points(&axes);
    let surface = Surface::new(axes, 2, |n| vec![f(&points[n]), 2.0 * f(&points[n])]);
    for n in 0..200 {
        let at = |i: i32, least: f64, most: f64| least + (most - least) * f64::from(unit(hash2(n, i, 5)));
        let p = [
            at(0, -1.0, 3.0),
            at(1, 0.0, 4.0),
            at(2, -3.0, 3.0),
            at(3, 0.0, 2.0),
        ];
        let got = surface.at(p);
        assert!(
            (got[0] - f(&p)).abs() < 1e-9 && (got[1] - 2.0 * f(&p)).abs() < 1e-9,
            "{p:?}"
        );
    }
    let edge = surface.at([3.0, 4.0, 3.0, 2.0]);
    assert_eq!(surface.at([9.0, 9.0, 9.0, 9.0]), edge);
    assert_eq!(surface.at([f64::INFINITY, 4.0, 3.0, 2.0]), edge);
}

fn prepared() -> (Bolt, route::Workshop) {
    let (design, shop) = measured();
    let lot = LotShape::new("test", 3, 0, design.cloth);
    (Bolt::prepare(&design, &lot, &shop, None), shop)
}

fn distance(read: Option<Shade>, full: Option<Shade>) -> f64 {
    match (read, full) {
        (Some(read), Some(full)) => read.distance(full),
        (None, None) => 0.0,
        _ => f64::INFINITY,
    }
}

/// The surface against full runs (every step done, hands and averages made anew) at random ways within the spreads.
#[test]
fn the_surface_agrees_with_full_runs() {
    let (bolt, shop) = prepared();
    let spreads = Spreads {
        rate: 1.3,
        creep: 1.5,
        ..Spreads::expected(&bolt, &shop, BLEACH)
    };
    let response = Response::new(&bolt, &shop, BLEACH, &spreads).expect("a response");
    assert!(
        response.has_motif() && response.quick && response.error < 0.1,
        "{}",
        response.error
    );
    let ways: Vec<Way> = (0..40)
        .map(|n| {
            let at = |i: i32| 2.0 * f64::from(unit(hash2(n, i, 77))) - 1.0;
            Way {
                time: 900.0 * (1.3 * at(0)).exp(),
                strength: (0.3 * at(1)).exp(),
                warmer: 3.0 * at(2),
                creep: (0.4 * at(3)).exp(),
            }
        })
        .collect();
    let mut worst = [0.0f64; 2];
    for (way, full) in ways.iter().zip(response.run(&bolt, &shop, &ways)) {
        for (n, region) in [Region::Ground, Region::Motif].into_iter().enumerate() {
            worst[n] = worst[n].max(distance(response.shade(region, way), full[n]));
        }
    }
    println!(
        "worst of 40 full runs: ground {:.3}, motif {:.3} dE00",
        worst[0], worst[1]
    );
    assert!(worst.iter().all(|w| *w < 0.25), "{worst:?}");
}

/// Other timed steps are within what they say of themselves, too.
#[test]
fn every_timed_step_has_a_window() {
    let (bolt, shop) = prepared();
    let mut keys = Vec::new();
    for (at, step) in bolt.design.steps.iter().enumerate() {
        let kind = step.operation.kind();
        if kind.timed.is_none() {
            let none = Response::new(&bolt, &shop, at, &Spreads::NONE);
            assert_eq!(none.err().map(|f| f.code), Some("window-no-time"), "{}", kind.key);
            continue;
        }
        keys.push(kind.key);
        let response = Response::new(&bolt, &shop, at, &Spreads::NONE).expect("a response");
        assert!(response.error < 0.3, "{at} {}: {}", kind.key, response.error);
        let answer = response
            .window_of(&response.usual_target(), &Limits::default(), 200)
            .answer(EN);
        assert!(!answer.contains('{'), "{answer}");
    }
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys, ["bleach", "boil_off", "dip", "fix", "sun"]);
    let beyond = Response::new(&bolt, &shop, 99, &Spreads::NONE);
    assert_eq!(beyond.err().map(|f| f.code), Some("window-no-step"));
}

/// Numbers of a bleach whose constants were measured here, and how they move with limits and spreads.
#[test]
fn the_window_of_a_bleach() {
    let (bolt, shop) = prepared();
    let spreads = Spreads::expected(&bolt, &shop, BLEACH);
    let response = Response::new(&bolt, &shop, BLEACH, &spreads).expect("a response");
    let limits = Limits::default();
    let open = response.window(&Target::Apart, &limits);
    assert_eq!(
        open,
        response.window(&Target::Apart, &limits),
        "the same every time"
    );
    let Advice::Pull {
        earliest: Some(earliest),
        best,
        latest: Some(latest),
        chance,
    } = open.advice
    else {
        panic!("{:?}", open.advice);
    };
    assert!(earliest.0 < best.0 && best.0 < latest.0 && chance > limits.pass);
    assert!([earliest, best, latest].iter().all(|t| t.0 % 10.0 == 0.0));
    // The slowest dye (0.11 per M s) at 3 g/L has 2 % left after ln 50 / (k C) = 841 s; ground within limits sooner.
    assert!(earliest.0 < 841.0 && latest.0 > 841.0, "{earliest:?} {latest:?}");
    // The stem of 1.6 mm keeps 40 % until (0.3 w)^2 / (2 De) - lag = 1092 s; no later may bolts pass.
    assert_eq!(open.line.map(|l| (l.to_mm() * 100.0).round()), Some(160.0));
    assert!(latest.0 < 1092.0);
    // Ground only gets better with time, the motif only worse.
    for pair in open.hill.points.windows(2) {
        assert!(pair[1].ground <= pair[0].ground + 0.05, "{pair:?}");
        assert!(pair[1].motif >= pair[0].motif.map(|m| m - 0.05), "{pair:?}");
    }
    assert!(open.answer(EN).starts_with("Lift at "), "{}", open.answer(EN));
    // Gains: in steps of 30 s, above the handling spread, most first.
    assert!(!open.widen.is_empty());
    assert!(
        open.widen
            .iter()
            .all(|w| w.gain.0 >= 30.0 && w.gain.0 % 30.0 == 0.0)
    );
    assert!(open.widen.windows(2).all(|w| w[0].gain.0 >= w[1].gain.0));
    // Limits that no cloth meets close it.
    let strict = Limits {
        ground: 0.5,
        keep: 0.6,
        ..limits
    };
    let closed = response.window(&Target::Apart, &strict);
    assert!(
        matches!(closed.advice, Advice::Closed { .. }),
        "{:?}",
        closed.advice
    );
    assert!(
        closed.hill.points.iter().all(|p| p.motif.is_some()),
        "the trade-off is there all the same"
    );
    // The end that comes out first gets 3 minutes less.
    let apart = Spreads {
        ends: Span(180.0),
        ..spreads
    };
    let narrower = window(&bolt, &shop, BLEACH, &apart, &limits).expect("a window");
    let width = |w: &cloth::window::Window| {
        w.hill.open.map_or(0.0, |o| {
            o.latest.map_or(0.0, |t| t.0) - o.earliest.map_or(0.0, |t| t.0)
        })
    };
    assert!(
        width(&narrower) < width(&open) - 90.0,
        "{} {}",
        width(&narrower),
        width(&open)
    );
}

/// While rates are assumed there is a test to do and no time, in either language and on either plot.
#[test]
fn assumed_rates_give_a_strip_and_no_time() {
    let bolt = common::bolt();
    let shop = common::shop(vec![]);
    let spreads = Spreads::expected(&bolt, &shop, BLEACH);
    assert!((spreads.rate - 2.0).abs() < 1e-12, "as the cards say");
    let window = window(&bolt, &shop, BLEACH, &spreads, &Limits::default()).expect("a window");
    assert!(matches!(&window.advice, Advice::DoThisStrip { cure: Cure::Strip, of } if of.len() == 2));
    assert!(window.widen.is_empty());
    for (voice, minute) in [(EN, " min"), (ID, " menit")] {
        let answer = window.answer(voice);
        assert!(
            answer.contains("scarlet vs") && !answer.contains(minute),
            "{answer}"
        );
        for plot in [plot_svg(&window, voice), plot_svg_narrow(&window, voice)] {
            // A digit before the word is a time.
            let minutes = |t: &String| {
                let mut parts = t.split(minute);
                parts
                    .next()
                    .is_some_and(|p| p.ends_with(|c: char| c.is_ascii_digit()))
                    && parts.next().is_some()
            };
            let told = texts(&plot).iter().any(minutes);
            assert!(!told, "{:?}", texts(&plot));
        }
    }
}

/// The texts of a drawing.
fn texts(svg: &str) -> Vec<String> {
    let pieces = svg.split("<text ").skip(1);
    pieces
        .filter_map(|piece| Some(piece.split_once('>')?.1.split_once("</text>")?.0.to_string()))
        .collect()
}

#[test]
fn a_plot_asks_and_answers() {
    let (bolt, shop) = prepared();
    let spreads = Spreads::expected(&bolt, &shop, BLEACH);
    let window = window(&bolt, &shop, BLEACH, &spreads, &Limits::default()).expect("a window");
    for voice in [EN, ID] {
        for plot in [plot_svg(&window, voice), plot_svg_narrow(&window, voice)] {
            let texts = texts(&plot);
            let joined = texts.join(" ");
            assert!(
                joined.contains('?') && joined.contains(&window.answer(voice)[..12]),
                "{joined}"
            );
            // Not by colour alone: hatching, dots and words.
            assert!(plot.contains("url(#short)") && plot.contains("url(#long)"));
            // Well-formed, by the reader that refuses what is not.
            assert_eq!(plot.matches("<g").count(), plot.matches("</g>").count());
            assert!(
                stamp::Artwork::read(&plot, "plot.svg").is_err(),
                "text is refused, so it was read as SVG"
            );
            if voice.language == Language::Id {
                let point = |t: &str| {
                    t.as_bytes()
                        .windows(3)
                        .any(|w| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit())
                };
                assert!(!texts.iter().any(|t| point(t)), "{texts:?}");
            }
        }
    }
    for line in window.small_print(ID) {
        assert!(!line.contains('{'), "{line}");
    }
}

/// What a shade leaves out: its distance against the exact earth mover's distance of palettes of the same cloth. They
/// rank durations alike and agree within 1.1 dE00, of which the palettes' own coarseness is half: of two like cloths
/// cut into 100 swatches each, no swatch is quite in the other. (With 12 swatches it is 2 dE00.)
#[test]
fn a_shade_stands_for_its_palette() {
    let (bolt, shop) = prepared();
    let response = Response::new(&bolt, &shop, BLEACH, &Spreads::NONE).expect("a response");
    let times = [240.0, 420.0, 600.0, 780.0, 1080.0, 1500.0];
    let mut ways: Vec<Option<Way>> = times.map(|t| Some(Way::lasting(t))).to_vec();
    ways.extend([None, Some(Way::lasting(7200.0))]);
    let palettes = response.palettes(&bolt, &shop, &ways, 100);
    let whole = response.window_of(&Target::Apart, &Limits::default(), 1).hill;
    let mut before = [f64::INFINITY, 0.0];
    for (palette, time) in palettes.iter().zip(times) {
        let exact = |region: usize, target: usize| {
            let (one, other) = (palette[region].as_ref()?, palettes[target][region].as_ref()?);
            Some(one.distance(other, colour::Ground::Ciede2000))
        };
        let (ground, motif) = (exact(0, 7).expect("ground"), exact(1, 6).expect("motif"));
        let near = |p: &&cloth::window::Point| (p.time.0 - time).abs();
        let read = whole
            .points
            .iter()
            .min_by(|a, b| near(a).total_cmp(&near(b)))
            .expect("a point");
        let lost = read.motif.expect("motif");
        println!(
            "{time} s: ground {:.2} ({ground:.2}), motif {lost:.2} ({motif:.2})",
            read.ground
        );
        assert!(
            (read.ground - ground).abs() < 1.1,
            "{time}: {} {ground}",
            read.ground
        );
        assert!((lost - motif).abs() < 1.1, "{time}: {lost} {motif}");
        assert!(ground < before[0] && motif > before[1]);
        before = [ground, motif];
    }
}
