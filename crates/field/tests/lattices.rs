//! Rectangles, lattices and what one lattice must know of another.

use std::borrow::Cow;
use std::panic::{AssertUnwindSafe, catch_unwind};

use field::{Grid, Lattice, Need, Plane, Rect, Seed, Tile, hash2, unit};
use proptest::prelude::*;

const MILLI: Lattice = Lattice { pitch: 1.0 };

/// White noise: two neighbouring samples are never alike, so a wrong one always shows.
fn white(lattice: Lattice, rect: Rect) -> Grid {
    let seed = Seed(3).child("white").low();
    Grid::by_rows(lattice, rect, |y, row| {
        for (x, v) in (rect.x0..).zip(row) {
            *v = unit(hash2(x, y, seed));
        }
    })
}

fn ramp(lattice: Lattice, rect: Rect, a: f64, b: f64) -> Grid {
    Grid::by_rows(lattice, rect, |y, row| {
        for (x, v) in (rect.x0..).zip(row) {
            *v = (a * lattice.at(x) + b * lattice.at(y)) as f32;
        }
    })
}

fn bits(grid: &Grid) -> Vec<u32> {
    grid.data.iter().map(|v| v.to_bits()).collect()
}

/// `make` from fewer samples than it needs: refused in debug builds, other bits in release.
#[track_caller]
fn shows(make: impl Fn() -> Grid, whole: &Grid) {
    match catch_unwind(AssertUnwindSafe(make)) {
        Ok(_) if cfg!(debug_assertions) => panic!("a debug build took too few samples"),
        Ok(short) => assert_ne!(bits(&short), bits(whole), "one sample less made no difference"),
        Err(_) => {}
    }
}

/// `rect` without its left, upper, right, lower row or column.
fn shorter(r: Rect) -> [Rect; 4] {
    [
        Rect::between(r.x0 + 1, r.y0, r.x1(), r.y1()),
        Rect::between(r.x0, r.y0 + 1, r.x1(), r.y1()),
        Rect::between(r.x0, r.y0, r.x1() - 1, r.y1()),
        Rect::between(r.x0, r.y0, r.x1(), r.y1() - 1),
    ]
}

fn rects() -> impl Strategy<Value = Rect> {
    (-400..400i32, -400..400i32, 0..60u32, 0..60u32).prop_map(|(x0, y0, nx, ny)| Rect { x0, y0, nx, ny })
}

fn full_rects() -> impl Strategy<Value = Rect> {
    (-400..400i32, -400..400i32, 1..40u32, 1..40u32).prop_map(|(x0, y0, nx, ny)| Rect { x0, y0, nx, ny })
}

fn pitches() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(0.254),
        Just(0.5),
        Just(0.635),
        Just(0.8),
        Just(1.0),
        Just(2.54),
        0.2..3.0f64
    ]
}

proptest! {
    #[test]
    fn union_and_intersection_are_what_the_samples_say(a in rects(), b in rects()) {
        let (both, either) = (a.intersect(b), a.union(b));
        prop_assert_eq!(both, b.intersect(a));
        prop_assert!(either.contains(a) && either.contains(b));
        prop_assert!(a.contains(both) && b.contains(both));
        for (x, y) in [(a.x0, a.y0), (b.x1() - 1, b.y1() - 1), (b.x0, a.y1()), (a.x1(), b.y0)] {
            prop_assert_eq!(both.has(x, y), a.has(x, y) && b.has(x, y));
        }
        // The smallest: no side can come in.
        if !a.is_empty() && !b.is_empty() {
            for less in shorter(either) {
                prop_assert!(!(less.contains(a) && less.contains(b)));
            }
        }
    }

    #[test]
    fn expanding_adds_a_border(a in full_rects(), rx in 0..9u32, ry in 0..9u32) {
        let wide = a.expand(rx, ry);
        prop_assert!(wide.contains(a));
        prop_assert_eq!((wide.nx, wide.ny), (a.nx + 2 * rx, a.ny + 2 * ry));
        prop_assert_eq!((wide.x1(), wide.y1()), (a.x1() + rx as i32, a.y1() + ry as i32));
        prop_assert!(Rect::EMPTY.expand(rx, ry).is_empty());
    }

    #[test]
    fn support_is_exactly_what_is_read(rect in full_rects(), coarse in pitches(), fine in pitches()) {
        prop_assume!(coarse > fine);
        let (coarse, fine) = (Lattice { pitch: coarse }, Lattice { pitch: fine });
        let support = coarse.support(rect, fine);
        let plenty = white(coarse, support.expand(4, 4));
        let whole = plenty.sample_onto(fine, rect);
        prop_assert_eq!(bits(&plenty.crop(support).sample_onto(fine, rect)), bits(&whole));
        for less in shorter(support) {
            if !less.is_empty() {
                shows(|| plenty.crop(less).sample_onto(fine, rect), &whole);
            }
        }
    }

    #[test]
    fn members_are_exactly_what_is_averaged(rect in full_rects(), coarse in pitches(), fine in pitches()) {
        prop_assume!(coarse > fine);
        let (coarse, fine) = (Lattice { pitch: coarse }, Lattice { pitch: fine });
        let members = fine.members(rect, coarse);
        let plenty = white(fine, members.expand(4, 4));
        let whole = plenty.gather_down(coarse, rect);
        prop_assert_eq!(bits(&plenty.crop(members).gather_down(coarse, rect)), bits(&whole));
        for less in shorter(members) {
            if !less.is_empty() {
                shows(|| plenty.crop(less).gather_down(coarse, rect), &whole);
            }
        }
    }

    #[test]
    fn tiles_join_to_the_bit(rect in full_rects(), fine in 0.2..0.9f64, dx in 0..20u32, dy in 0..20u32) {
        let fine = Lattice { pitch: fine };
        let wide = rect.expand(dx, dy);
        let source = white(MILLI, MILLI.support(wide, fine));
        let whole = source.sample_onto(fine, wide);
        let alone = source.crop(MILLI.support(rect, fine)).sample_onto(fine, rect);
        prop_assert_eq!(bits(&whole.crop(rect)), bits(&alone));
    }

    #[test]
    fn a_ramp_comes_up_exactly(rect in full_rects(), fine in 0.2..0.99f64, a in -2.0..2.0f64, b in -2.0..2.0f64) {
        let fine = Lattice { pitch: fine };
        let up = ramp(MILLI, MILLI.support(rect, fine), a, b).sample_onto(fine, rect);
        let exact = ramp(fine, rect, a, b);
        for (u, e) in up.data.iter().zip(&exact.data) {
            // f32 of values up to 2 x 400 mm: three roundings of 3e-5.
            prop_assert!((u - e).abs() < 2e-4, "{} for {}", u, e);
        }
    }

    #[test]
    fn a_tile_needs_exactly_what_it_reads(core in full_rects(), pitch in pitches()) {
        let tile = Tile::new(pitch, core);
        let Need { milli, half } = tile.need();
        prop_assert_eq!(half, tile.half.support(core, tile.samples));
        let to_core = tile.milli.support(core, tile.samples);
        let to_half = tile.milli.support(half, tile.half);
        prop_assert!(milli.contains(to_core) && milli.contains(to_half));
        for less in shorter(milli) {
            prop_assert!(!(less.contains(to_core) && less.contains(to_half)));
        }
    }
}

#[test]
fn the_pitches_of_a_tile() {
    let at = |pitch: f64| {
        let tile = Tile::new(
            pitch,
            Rect {
                x0: 0,
                y0: 0,
                nx: 4,
                ny: 4,
            },
        );
        (tile.samples.pitch, tile.half.pitch, tile.milli.pitch)
    };
    assert_eq!(at(0.254), (0.254, 0.5, 1.0));
    assert_eq!(at(0.8), (0.8, 0.8, 1.0));
    assert_eq!(at(2.54), (2.54, 2.54, 2.54));
    // 10 dpi with 16 samples a pixel of 2.54 mm: two thirds of a pixel are 1.693 mm.
    let averaged = Tile::averaging(0.635, 4, Rect::between(0, 0, 4, 4));
    assert!((averaged.half.pitch - 5.08 / 3.0).abs() < 1e-12);
    assert_eq!(averaged.milli.pitch, averaged.half.pitch);
}

#[test]
fn a_need_worked_by_hand() {
    // 8 samples of 0.25 mm are 2 mm, from 4 to 6: the first sits at 4.125, between half samples 7 (3.75)
    // and 8 (4.25); the last at 5.875, between 11 (5.75) and 12 (6.25).
    let tile = Tile::new(
        0.25,
        Rect {
            x0: 16,
            y0: 16,
            nx: 8,
            ny: 8,
        },
    );
    let need = tile.need();
    assert_eq!(need.half, Rect::between(7, 7, 13, 13));
    // Half sample 7 sits at 3.75, between milli samples 3 (3.5) and 4 (4.5); 12 at 6.25, between 5 and 6.
    assert_eq!(need.milli, Rect::between(3, 3, 7, 7));
    let before = need.before_spread(2, 3, &tile);
    assert_eq!(before.milli, Rect::between(1, 0, 9, 10));
    assert_eq!(before.half, Rect::between(2, 0, 18, 20));
    assert_eq!(before.with_support(&tile).milli, Rect::between(0, -1, 10, 11));
}

#[test]
fn a_spread_reaches_exactly_its_radius() {
    let tile = Tile::new(
        0.25,
        Rect {
            x0: 40,
            y0: 80,
            nx: 30,
            ny: 20,
        },
    );
    let after = tile.need();
    let (wx, wy) = (field::gaussian_taps(1.3), field::gaussian_taps(0.6));
    let before = after.before_spread((wx.len() / 2) as u32, (wy.len() / 2) as u32, &tile);
    let half = white(tile.half, before.half);
    let develop = |half: &Grid| {
        let milli = half.gather_down(tile.milli, before.milli);
        field::fir(&milli, &wx, &wy, after.milli).sample_onto(tile.samples, tile.core)
    };
    let whole = develop(&half);
    let plenty = white(tile.half, before.half.expand(9, 9));
    assert_eq!(bits(&develop(&plenty)), bits(&whole));
}

#[test]
fn a_mean_over_cells_by_hand() {
    let fine = Lattice { pitch: 0.5 };
    let grid = ramp(
        fine,
        Rect {
            x0: 0,
            y0: 0,
            nx: 4,
            ny: 2,
        },
        1.0,
        0.0,
    );
    // 0.25, 0.75 | 1.25, 1.75
    assert_eq!(
        grid.gather_down(
            MILLI,
            Rect {
                x0: 0,
                y0: 0,
                nx: 2,
                ny: 1
            }
        )
        .data,
        [0.5, 1.5]
    );
}

#[test]
fn planes_add_and_scale() {
    let rect = Rect {
        x0: 2,
        y0: 3,
        nx: 6,
        ny: 5,
    };
    let mut plane = Plane::Zero;
    plane.add(&Plane::Flat(0.5));
    plane.scale(2.0);
    assert_eq!(plane, Plane::Flat(1.0));
    plane.add(&Plane::Grid(white(MILLI, rect)));
    assert!((plane.mean() - 1.0 - white(MILLI, rect).mean()).abs() < 1e-6);
    assert!(matches!(plane.at_detail(MILLI, rect), Cow::Borrowed(_)));
    let inner = Rect {
        x0: 3,
        y0: 4,
        nx: 2,
        ny: 2,
    };
    let mut part = Plane::Grid(white(MILLI, inner));
    part.add(&plane);
    let Plane::Grid(sum) = &part else {
        panic!("{part:?}")
    };
    assert_eq!(sum.rect, inner);
    let w = white(MILLI, rect).get(4, 5).unwrap_or(f32::NAN);
    assert_eq!(sum.get(4, 5), Some(w + (w + 1.0)));
    assert_eq!(sum.get(5, 5), None);
    plane.scale(0.0);
    assert!(plane.is_zero() && Plane::Flat(0.0).is_zero() && !part.is_zero());
}

#[test]
fn a_flat_value_adds_to_every_kind_of_plane() {
    let rect = Rect {
        x0: 0,
        y0: 0,
        nx: 3,
        ny: 2,
    };
    let mut planes = [Plane::Zero, Plane::Flat(0.25), Plane::Grid(white(MILLI, rect))];
    let before = planes.each_ref().map(Plane::mean);
    planes.iter_mut().for_each(|p| p.add(&Plane::Flat(0.5)));
    for (after, before) in planes.iter().zip(before) {
        assert!((after.mean() - before - 0.5).abs() < 1e-6, "{after:?}");
    }
    let mut none = Plane::Flat(0.25);
    none.add(&Plane::Flat(-0.25));
    assert_eq!(none, Plane::Zero);
}

#[test]
fn planes_of_two_lattices_meet_on_the_finer() {
    let half = Lattice { pitch: 0.5 };
    let rect = Rect {
        x0: 4,
        y0: 4,
        nx: 6,
        ny: 6,
    };
    let coarse = Plane::Grid(ramp(MILLI, MILLI.support(rect, half), 1.0, 2.0));
    let fine = Plane::Grid(ramp(half, rect, 1.0, 2.0));
    let (mut a, mut b) = (coarse.clone(), fine.clone());
    a.add(&fine);
    b.add(&coarse);
    assert_eq!(a, b);
    let exact = ramp(half, rect, 2.0, 4.0);
    let Plane::Grid(sum) = a else { panic!("{a:?}") };
    assert!(
        sum.data
            .iter()
            .zip(&exact.data)
            .all(|(s, e)| (s - e).abs() < 1e-5)
    );
}
