//! The film strip: a change of step k costs the steps from k on, and the bits are those of a fresh run.

mod common;

use cloth::{Bolt, Film, Picture, Refused, Shot, Tiling};
use colour::{Illuminant, de2000, lab, screen};
use route::{Design, LotShape, Value};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use units::Length;

const QUIET: fn(f64) = |_| {};
static GO: AtomicBool = AtomicBool::new(false);
const ROOM: usize = 64 << 20;

fn shot(steps: usize) -> Shot {
    Shot {
        x: Length(0.31),
        y: Length(3.2),
        width: Length(0.05),
        height: Length(0.04),
        dpi: 50.0,
        steps,
    }
}

fn lot(design: &Design) -> LotShape {
    LotShape::new("film", 3, 1, design.cloth)
}

fn fresh(design: &Arc<Design>, shot: &Shot) -> Picture {
    let bolt = Bolt::prepare(design, &lot(design), &common::shop(vec![]), None);
    shot.take(&bolt, &Tiling::default(), &QUIET, &GO)
        .expect("a picture")
}

/// The design with one setting of one step changed.
fn changed(design: &Design, at: usize, setting: &'static str, value: Value) -> Arc<Design> {
    let mut other = design.clone();
    let step = &design.steps[at];
    let key = step.operation.kind().key;
    let mut given: Vec<(&'static str, Value)> = step
        .operation
        .values()
        .iter()
        .filter(|(name, _)| *name != setting)
        .map(|(name, value)| (*name, value.clone()))
        .collect();
    given.push((setting, value));
    other.steps[at] = common::step(&step.id, common::operation(key, given));
    Arc::new(other)
}

fn place(design: &Design, key: &str) -> usize {
    let is = |step: &route::Step| step.operation.kind().key == key;
    design.steps.iter().position(is).expect("such a step")
}

#[test]
fn a_changed_step_gives_the_bits_of_a_fresh_run_and_costs_only_what_follows() {
    let design = common::whole_route();
    let shop = common::shop(vec![]);
    let n = design.steps.len();
    let film = Film::new(ROOM);
    let see = |design: &Arc<Design>, shot: &Shot| {
        let scene = film.scene(design, &lot(design), &shop);
        film.picture(&scene, shot, &QUIET, &GO).expect("a picture")
    };
    assert!(see(&design, &shot(n)) == fresh(&design, &shot(n)));
    let bleach = place(&design, "bleach");
    let mut cost = Vec::new();
    for time in ["4 min", "6 min", "9 min"] {
        let other = changed(&design, bleach, "time", common::quantity(time));
        let before = film.steps_done();
        let picture = see(&other, &shot(n));
        cost.push((film.steps_done() - before) as usize);
        assert!(picture == fresh(&other, &shot(n)), "{time}");
        assert!(picture != fresh(&design, &shot(n)), "{time} shows");
    }
    // The first time from the state half-way, which lies before the bleach; then from the bleach on.
    assert!(n / 2 <= bleach);
    assert_eq!(cost, [n - n / 2, n - bleach, n - bleach]);
    let before = film.steps_done();
    see(&design, &shot(n));
    assert_eq!(film.steps_done(), before, "a picture seen before costs no step");
}

/// Steps put in, taken out and moved; dyes that change places; another bolt.
#[test]
fn whatever_changes_the_bits_are_those_of_a_fresh_run() {
    let design = common::whole_route();
    let shop = common::shop(vec![]);
    let n = design.steps.len();
    let mut variants = vec![design.clone()];
    let mut edit = |change: &dyn Fn(&mut Design)| {
        let mut other = Design::clone(&design);
        change(&mut other);
        variants.push(Arc::new(other));
    };
    edit(&|d| {
        d.steps.remove(9);
    });
    edit(&|d| {
        let rinse = common::step("new", common::operation("rinse", vec![]));
        d.steps.insert(16, rinse);
    });
    edit(&|d| d.dyes.swap(0, 2));
    edit(&|d| {
        let card = common::card("bright", colour::dye::Chemistry::VinylSulfone, 0.03);
        d.dyes.push(Arc::new(card));
    });
    let film = Film::new(ROOM);
    for round in 0..2 {
        for (at, variant) in variants.iter().enumerate() {
            let scene = film.scene(variant, &lot(variant), &shop);
            let picture = film.picture(&scene, &shot(n), &QUIET, &GO).expect("a picture");
            assert!(picture == fresh(variant, &shot(n)), "variant {at}, round {round}");
        }
    }
}

#[test]
fn a_strip_is_its_pictures() {
    let design = common::whole_route();
    let film = Film::new(ROOM);
    let scene = film.scene(&design, &lot(&design), &common::shop(vec![]));
    let steps = [12, 0, 4, 27, 14, 4];
    let frames = film
        .strip(&scene, &shot(0), &steps, &QUIET, &GO)
        .expect("a strip");
    assert_eq!(film.steps_done(), 27, "one tile, every step once");
    for (frame, steps) in frames.iter().zip(steps) {
        assert!(*frame == fresh(&design, &shot(steps)), "after {steps}");
    }
}

/// Under another lamp the cloth is the same: only its colours are made again, and daylight is what it was.
#[test]
fn lamps_share_the_cloth() {
    let design = common::whole_route();
    let film = Film::new(ROOM);
    let scene = film.scene(&design, &lot(&design), &common::shop(vec![]));
    let all = design.steps.len();
    let under = |lamp| {
        film.picture_under(lamp, &scene, &shot(all), &QUIET, &GO)
            .expect("a picture")
    };
    let warm = under(Illuminant::A);
    let done = film.steps_done();
    let shop_lamp = under(Illuminant::F11);
    assert_eq!(film.steps_done(), done, "no step was done again");
    let day = under(Illuminant::D65);
    assert!(day == fresh(&design, &shot(all)));
    assert!(warm != day && shop_lamp != day && warm != shop_lamp);
}

/// With next to no room nothing is kept, and nothing else changes.
#[test]
fn memory_is_bounded() {
    let design = common::whole_route();
    let shop = common::shop(vec![]);
    let n = design.steps.len();
    let whole = fresh(&design, &shot(n));
    for room in [0, 100_000, 1 << 20] {
        let film = Film::new(room);
        for _ in 0..2 {
            let scene = film.scene(&design, &lot(&design), &shop);
            assert!(film.picture(&scene, &shot(n), &QUIET, &GO).expect("a picture") == whole);
            assert!(film.bytes() <= room);
        }
    }
}

#[test]
fn a_stopped_picture_goes_on_where_it_was() {
    let design = common::whole_route();
    let n = design.steps.len();
    let film = Film::new(ROOM);
    let scene = film.scene(&design, &lot(&design), &common::shop(vec![]));
    // Two tiles of 384 samples: one is 195 mm wide at 50 dpi.
    let wide = Shot {
        width: Length(0.25),
        height: Length(0.01),
        ..shot(n)
    };
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a thread");
    let stop = AtomicBool::new(false);
    let tiles = AtomicU32::new(0);
    let stopping = |_| {
        tiles.fetch_add(1, Ordering::Relaxed);
        stop.store(true, Ordering::Relaxed);
    };
    let stopped = one.install(|| film.picture(&scene, &wide, &stopping, &stop));
    assert!(stopped == Err(Refused::Stopped) && tiles.load(Ordering::Relaxed) == 1);
    let done = film.steps_done();
    let picture = one.install(|| film.picture(&scene, &wide, &QUIET, &GO));
    let picture = picture.expect("a picture");
    assert_eq!(film.steps_done() - done, n as u64, "one tile was left");
    assert!(picture == fresh(&design, &wide));
}

/// A scene made ready for the first steps shows them as a whole one does; the rest is made ready when it is asked for.
/// More threads change none of its bits.
#[test]
fn the_first_steps_need_no_later_ones() {
    let design = common::whole_route();
    let shop = common::shop(vec![]);
    let (n, dip) = (design.steps.len(), place(&design, "dip"));
    let film = Film::new(ROOM);
    let early = film.scene_to(dip, &design, &lot(&design), &shop);
    assert_eq!(early.bolt.hands.len(), dip);
    let wide = |steps| Shot {
        width: Length(0.2),
        height: Length(0.1),
        ..shot(steps)
    };
    for threads in [1, 3] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let seen = pool
            .expect("threads")
            .install(|| film.picture(&early, &wide(dip), &QUIET, &GO));
        assert!(
            seen.expect("a picture") == fresh(&design, &wide(dip)),
            "{threads} threads"
        );
    }
    let whole = film.scene(&design, &lot(&design), &shop);
    assert_eq!(whole.bolt.hands.len(), n);
    let kept = |at: usize| Arc::ptr_eq(&early.bolt.hands[at], &whole.bolt.hands[at]);
    assert!((0..dip).all(kept), "what was made ready is not made ready again");
    let picture = film.picture(&whole, &shot(n), &QUIET, &GO).expect("a picture");
    assert!(picture == fresh(&design, &shot(n)));
    let again = film.scene_to(dip, &design, &lot(&design), &shop);
    assert!(
        Arc::ptr_eq(&again, &whole),
        "the whole one shows the first steps too"
    );
}

#[test]
fn a_glance_is_a_quarter_each_way() {
    let design = common::whole_route();
    let film = Film::new(ROOM);
    let scene = film.scene(&design, &lot(&design), &common::shop(vec![]));
    let whole = film.picture(&scene, &shot(27), &QUIET, &GO).expect("a picture");
    let glance = film.glance(&scene, &shot(27), &GO).expect("a glance");
    assert!((glance.width * 4).abs_diff(whole.width) <= 4 && (glance.height * 4).abs_diff(whole.height) <= 4);
    // The same cloth: the mean colour is near, in bytes of 255.
    let mean = |p: &Picture| p.rgb.iter().map(|v| f64::from(*v)).sum::<f64>() / p.rgb.len() as f64;
    assert!((mean(&whole) - mean(&glance)).abs() < 8.0);
}

/// One sample a pixel is the picture itself where a pixel is no wider than a sample may be, and near it where it is wider:
/// the same cloth, with fine marks met or missed instead of averaged. The mean colour of a hand's breadth, which is what
/// somebody sees jump, stays within 1 dE00, where two colours side by side are told apart at a close look (common
/// practice, no source).
#[test]
fn one_sample_a_pixel_is_near_the_picture() {
    let design = common::whole_route();
    let film = Film::new(ROOM);
    let scene = film.scene(&design, &lot(&design), &common::shop(vec![]));
    let plain = |shot: &Shot| {
        film.plain(Illuminant::D65, &scene, shot, &QUIET, &GO)
            .expect("a picture")
    };
    let whole = |shot: &Shot| film.picture(&scene, shot, &QUIET, &GO).expect("a picture");
    assert_eq!(shot(27).samples(), 1);
    assert!(plain(&shot(27)) == whole(&shot(27)));
    let wide = Shot {
        width: Length(0.4),
        height: Length(0.4),
        dpi: 35.0,
        ..shot(27)
    };
    assert_eq!(wide.samples(), 2);
    let (plain, whole) = (plain(&wide), whole(&wide));
    assert!(plain != whole);
    let mut worst = 0.0f64;
    for (x, y) in [
        (0, 0),
        (1, 0),
        (2, 0),
        (0, 1),
        (1, 1),
        (2, 1),
        (0, 2),
        (1, 2),
        (2, 2),
    ] {
        let mean = |picture: &Picture| {
            let side = picture.width as usize / 3;
            let mut sum = [0.0f64; 3];
            for row in y * side..(y + 1) * side {
                for at in x * side..(x + 1) * side {
                    let from = (row * picture.width as usize + at) * 3;
                    let [r, g, b] = [0, 1, 2].map(|c| picture.rgb[from + c]);
                    for (sum, light) in sum.iter_mut().zip(screen::from_bytes([r, g, b])) {
                        *sum += light;
                    }
                }
            }
            let light = sum.map(|v| v / (side * side) as f64);
            lab(screen::xyz_from_linear(light), screen::WHITE)
        };
        worst = worst.max(de2000(mean(&plain), mean(&whole)));
    }
    assert!(worst < 1.0, "{worst}");
}
