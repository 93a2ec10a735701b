//! Any rectangle has the same bits, however the work is cut up.

mod common;

use cloth::{Bolt, Shot, Tiling};
use field::{Level, force_level};
use std::sync::atomic::AtomicBool;
use units::Length;

const QUIET: fn(f64) = |_| {};

fn take(bolt: &Bolt, shot: &Shot, tiling: &Tiling) -> Vec<u8> {
    shot.take(bolt, tiling, &QUIET, &AtomicBool::new(false))
        .expect("a picture")
        .rgb
}

fn shot(x: f64, y: f64, w: f64, h: f64, dpi: f64, steps: usize) -> Shot {
    Shot {
        x: Length(x),
        y: Length(y),
        width: Length(w),
        height: Length(h),
        dpi,
        steps,
    }
}

/// Places and sizes from a fixed list of numbers, at three pitches.
fn places() -> Vec<Shot> {
    let mut state = 0x2545_f491_4f6c_dd1du64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut list = Vec::new();
    for dpi in [100.0, 60.0, 12.0] {
        for _ in 0..3 {
            let pixels = 40.0 + 50.0 * next();
            let size = pixels / dpi * 0.0254;
            list.push(shot(
                next() * (1.1 - size),
                next() * (13.0 - size),
                size,
                size * 0.8,
                dpi,
                99,
            ));
        }
    }
    list
}

#[test]
fn tile_sizes_threads_and_vector_widths_change_nothing() {
    let bolt = common::bolt();
    for place in places() {
        let whole = take(&bolt, &place, &Tiling::default());
        for side in [17, 40, 64] {
            assert!(
                take(&bolt, &place, &Tiling { side, starve: 0 }) == whole,
                "tiles of {side}: {place:?}"
            );
        }
        let one = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .expect("a thread");
        assert!(
            one.install(|| take(&bolt, &place, &Tiling { side: 40, starve: 0 })) == whole,
            "one thread: {place:?}"
        );
        for level in Level::ALL {
            force_level(level);
            let again = take(&bolt, &place, &Tiling::default());
            force_level(Level::Avx512);
            assert!(again == whole, "{level:?}: {place:?}");
        }
    }
}

/// Scrunched white cloth shows nothing but its creases: tile by tile as in one piece, and no longer when it is opened.
#[test]
fn creases_join_and_go_when_the_cloth_is_opened() {
    let mut design = common::design();
    for (n, key) in ["prepare", "wet", "fold", "open"].into_iter().enumerate() {
        let step = common::step(&format!("s{n}"), common::operation(key, vec![]));
        design.steps.push(step);
    }
    let design = std::sync::Arc::new(design);
    let lot = route::LotShape::new("test", 1, 0, design.cloth);
    let bolt = Bolt::prepare(&design, &lot, &common::shop(vec![]), None);
    for dpi in [100.0, 12.0] {
        let at = |steps| shot(0.31, 4.2, 90.0 / dpi * 0.0254, 70.0 / dpi * 0.0254, dpi, steps);
        let folded = take(&bolt, &at(3), &Tiling::default());
        for side in [17, 40] {
            assert!(
                take(&bolt, &at(3), &Tiling { side, starve: 0 }) == folded,
                "tiles of {side} at {dpi}"
            );
        }
        let wet = take(&bolt, &at(2), &Tiling::default());
        let apart = wet.iter().zip(&folded).map(|(a, b)| a.abs_diff(*b));
        assert!(apart.max() > Some(8), "at {dpi}");
        assert!(take(&bolt, &at(4), &Tiling::default()) == wet, "at {dpi}");
    }
}

/// The halo is no wider than it must be: one sample less shows, as a failed assertion of the filter in debug
/// builds or as other bits in release builds.
#[test]
fn a_halo_shortened_by_one_sample_shows() {
    let bolt = common::bolt();
    let place = shot(0.3, 2.0, 0.05, 0.05, 100.0, 4);
    let whole = take(&bolt, &place, &Tiling { side: 30, starve: 0 });
    let short = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        take(&bolt, &place, &Tiling { side: 30, starve: 1 })
    }));
    assert!(short.is_err() || short.is_ok_and(|bits| bits != whole));
}

/// A part of a picture is a picture of the part.
#[test]
fn a_part_has_the_bits_of_the_whole() {
    let bolt = common::bolt();
    let inch = 0.0254;
    let whole = take(
        &bolt,
        &shot(2.0 * inch, 30.0 * inch, 2.0 * inch, 2.0 * inch, 50.0, 99),
        &Tiling::default(),
    );
    let part = take(
        &bolt,
        &shot(2.5 * inch, 30.5 * inch, 1.0 * inch, 1.0 * inch, 50.0, 99),
        &Tiling::default(),
    );
    for (row, line) in part.chunks_exact(150).enumerate() {
        let from = ((row + 25) * 100 + 25) * 3;
        assert_eq!(line, &whole[from..from + 150], "row {row}");
    }
}

/// The lot makes the cloth: another bolt of it differs, the same bolt does not.
#[test]
fn the_same_bolt_is_the_same_cloth() {
    let design = common::whole_route();
    let shop = common::shop(vec![]);
    let make = |bolt| {
        let lot = route::LotShape::new("test", 3, bolt, design.cloth);
        Bolt::prepare(&design, &lot, &shop, None)
    };
    let place = shot(0.4, 5.0, 0.03, 0.03, 100.0, 99);
    let first = take(&make(0), &place, &Tiling::default());
    assert!(first == take(&make(0), &place, &Tiling::default()));
    assert!(first != take(&make(1), &place, &Tiling::default()));
}

#[test]
fn a_stopped_or_senseless_picture_is_refused() {
    let bolt = common::bolt();
    let stop = AtomicBool::new(true);
    let place = shot(0.4, 5.0, 0.03, 0.03, 100.0, 99);
    assert_eq!(
        place.take(&bolt, &Tiling::default(), &QUIET, &stop),
        Err(cloth::Refused::Stopped)
    );
    let ask = |s: Shot| s.take(&bolt, &Tiling::default(), &QUIET, &AtomicBool::new(false));
    assert_eq!(
        ask(shot(0.0, 0.0, 0.0, 1.0, 100.0, 1)),
        Err(cloth::Refused::Empty)
    );
    assert_eq!(
        ask(shot(0.0, 0.0, 1.0, 1.0, f64::NAN, 1)),
        Err(cloth::Refused::Empty)
    );
    assert!(matches!(
        ask(shot(0.0, 0.0, 1.1, 13.7, 1200.0, 1)),
        Err(cloth::Refused::TooLarge { .. })
    ));
}
