//! Marks: the same in every tile, and as large as they should be.

use field::{Blot, Grid, Join, Lattice, Rect, blots, splat};

const HALF: Lattice = Lattice { pitch: 0.5 };

fn disk(x: f64, y: f64, seed: u32) -> Blot {
    Blot {
        x,
        y,
        half: [0.0; 2],
        radius: 12.0,
        edge: 2.0,
        rag: 3.0,
        grain: 9.0,
        amount: 1.0,
        seed,
    }
}

#[test]
fn marks_join_across_tiles() {
    let marks = [
        disk(20.13, 18.4, 5),
        Blot {
            half: [9.0, -4.0],
            ..disk(33.7, 22.9, 6)
        },
        disk(8_000.0, 0.0, 7),
    ];
    let whole_rect = Rect {
        x0: 0,
        y0: 0,
        nx: 120,
        ny: 90,
    };
    for join in [Join::Add, Join::Max, Join::Cover] {
        let mut whole = Grid::flat(HALF, whole_rect, 0.0);
        blots(&mut whole, &marks, join);
        for (x0, y0, nx, ny) in [(0, 0, 41, 33), (41, 33, 79, 57), (25, 20, 1, 1)] {
            let mut part = Grid::flat(HALF, Rect { x0, y0, nx, ny }, 0.0);
            blots(&mut part, &marks, join);
            assert_eq!(part, whole.crop(part.rect));
        }
    }
}

#[test]
fn nothing_is_painted_at_the_edge_of_the_bounds() {
    for seed in 0..200 {
        let mark = Blot {
            half: [5.0, 7.0],
            ..disk(40.0, 40.0, seed)
        };
        let bounds = mark.bounds(HALF);
        let mut grid = Grid::flat(HALF, bounds, 0.0);
        blots(&mut grid, &[mark], Join::Add);
        let rim = |x: i32, y: i32| grid.get(x, y).unwrap_or(f32::NAN);
        for x in bounds.x0..bounds.x1() {
            assert_eq!(
                (rim(x, bounds.y0), rim(x, bounds.y1() - 1)),
                (0.0, 0.0),
                "seed {seed}"
            );
        }
        for y in bounds.y0..bounds.y1() {
            assert_eq!(
                (rim(bounds.x0, y), rim(bounds.x1() - 1, y)),
                (0.0, 0.0),
                "seed {seed}"
            );
        }
    }
}

#[test]
fn a_smooth_disk_and_stroke_have_the_area_of_theirs() {
    let covered = |mark: Blot| {
        let mut grid = Grid::flat(HALF, mark.bounds(HALF), 0.0);
        blots(&mut grid, &[mark], Join::Max);
        grid.mean() * grid.rect.area() as f64 * 0.25
    };
    let plain = Blot {
        rag: 0.0,
        ..disk(31.3, 17.7, 1)
    };
    // The ramp is symmetric about the radius; its second moment adds pi edge^2 / 20.
    let disk_area = std::f64::consts::PI * (144.0 + 4.0 / 20.0);
    assert!((covered(plain) / disk_area - 1.0).abs() < 2e-3);
    let stroke = Blot {
        half: [6.0, 8.0],
        ..plain
    };
    let stroke_area = disk_area + 2.0 * 12.0 * 20.0;
    assert!((covered(stroke) / stroke_area - 1.0).abs() < 2e-3);
    let ragged: Vec<f64> = (0..64).map(|s| covered(disk(30.0, 30.0, s))).collect();
    let mean = ragged.iter().sum::<f64>() / 64.0;
    let spread = (ragged.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / 63.0 / 64.0).sqrt();
    // Expected pi (r^2 + rag^2 var) with the variance 0.041 of two octaves: straying shows, on average, little.
    let wanted = disk_area + std::f64::consts::PI * 9.0 * 0.041;
    assert!(
        (mean - wanted).abs() < 4.0 * spread,
        "{mean} +- {spread} for {wanted}"
    );
    assert!(
        ragged.iter().any(|a| (a / mean - 1.0).abs() > 0.02),
        "ragged disks differ"
    );
}

#[test]
fn a_disk_is_where_it_was_put() {
    for (x, y) in [(31.3, 17.7), (8_000.13, 13_000.41), (-3.2, 0.6)] {
        let mark = Blot {
            rag: 0.0,
            ..disk(x, y, 1)
        };
        let mut grid = Grid::flat(HALF, mark.bounds(HALF).expand(3, 1), 0.0);
        blots(&mut grid, &[mark], Join::Add);
        let (mut all, mut at_x, mut at_y) = (0.0, 0.0, 0.0);
        for (j, row) in grid.rows() {
            for (i, &v) in (grid.rect.x0..).zip(row) {
                all += f64::from(v);
                at_x += f64::from(v) * (HALF.at(i) - x);
                at_y += f64::from(v) * (HALF.at(j) - y);
            }
        }
        let (dx, dy) = (at_x / all, at_y / all);
        assert!(
            dx.abs() < 0.01 && dy.abs() < 0.01,
            "({x}, {y}) is off by ({dx}, {dy}) mm"
        );
    }
}

#[test]
fn coverages_combine_as_independent() {
    // Two sprays of 30 % cover 1 - 0.7 x 0.7 = 51 %.
    let flat = Blot {
        rag: 0.0,
        amount: 0.3,
        radius: 40.0,
        ..disk(5.0, 5.0, 0)
    };
    let mut grid = Grid::flat(
        HALF,
        Rect {
            x0: 8,
            y0: 8,
            nx: 4,
            ny: 4,
        },
        0.0,
    );
    blots(&mut grid, &[flat, flat], Join::Cover);
    assert!(grid.data.iter().all(|v| (v - 0.51).abs() < 1e-6));
    let mut sum = Grid::flat(HALF, grid.rect, 0.0);
    blots(&mut sum, &[flat, flat], Join::Add);
    assert!(sum.data.iter().all(|v| (v - 0.6).abs() < 1e-6));
}

#[test]
fn a_painter_sees_each_sample_of_the_bounds_once() {
    let rect = Rect {
        x0: 3,
        y0: 4,
        nx: 10,
        ny: 10,
    };
    let mut grid = Grid::flat(HALF, rect, 0.0);
    let bounds = Rect {
        x0: 1,
        y0: 8,
        nx: 5,
        ny: 20,
    };
    splat(
        &mut grid,
        &[()],
        |()| bounds,
        |(), run, row| {
            for (x, v) in (run.x0..).zip(row) {
                *v += (x * 100 + run.y) as f32;
            }
        },
    );
    for (y, row) in grid.rows() {
        for (x, &v) in (rect.x0..).zip(row) {
            assert_eq!(
                v,
                if bounds.has(x, y) {
                    (x * 100 + y) as f32
                } else {
                    0.0
                }
            );
        }
    }
}
