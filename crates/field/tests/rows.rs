//! Rows of noise are the noise, bit for bit.

use field::{Grid, Lattice, NoiseRows, Rect, Streaks, noise};

#[test]
fn rows_are_the_noise_to_the_bit() {
    // Cells of 1.3 to 700 samples; rows forward, skipping cells, backward; parts of rows.
    for (pitch, step) in [(0.77f32, 0.31f32), (0.0014, 0.0017), (0.12, 2.6), (0.4, -0.45)] {
        let xs: Vec<f32> = (0..150).map(|i| (i as f32 - 40.0) * pitch).collect();
        let mut rows = NoiseRows::new(xs.iter().copied(), 77);
        for j in 0..60 {
            let y = (j as f32 - 20.0) * step;
            rows.go(y);
            let mut out = vec![0.0; 97];
            rows.fill(31, &mut out);
            for (x, found) in xs[31..].iter().zip(&out) {
                assert_eq!(found.to_bits(), noise(*x, y, 77).to_bits(), "at {x}, {y}");
            }
        }
    }
}

/// Streaks are noise between whose places lines are drawn: off by no more than their curve allows, and the same in any
/// rectangle. Lines over a tenth of a cell are off by 1/800 of the second derivative at most, which stays below 9 a cell
/// squared (twice 0.5 x 9 / 800 = 0.011).
#[test]
fn streaks_are_noise_drawn_out() {
    let samples = Lattice { pitch: 0.254 };
    let rect = Rect {
        x0: 70,
        y0: 4001,
        nx: 211,
        ny: 150,
    };
    let of = |rect: Rect| {
        let mut streaks = Streaks::new((samples, rect), 0.6, [(9.0, 5), (11.0, 6)]);
        Grid::by_rows(samples, rect, |y, row| streaks.row(y, 0.5, row))
    };
    let whole = of(rect);
    let exact = |x: i32, y: i32| {
        let (x, y) = (samples.at(x), samples.at(y));
        let (along_x, along_y) = (
            noise((x / 9.0) as f32, (y / 0.6) as f32, 5),
            noise((x / 0.6) as f32, (y / 11.0) as f32, 6),
        );
        1.0 + 0.5 * (along_x + along_y)
    };
    let mut worst = 0.0f32;
    for (y, row) in (rect.y0..).zip(whole.data.chunks_exact(rect.nx as usize)) {
        for (x, value) in (rect.x0..).zip(row) {
            worst = worst.max((value - exact(x, y)).abs());
        }
    }
    assert!(worst < 0.011, "{worst}");
    assert!(worst > 1e-5, "lines would not be lines");
    let part = Rect {
        x0: 133,
        y0: 4040,
        nx: 41,
        ny: 30,
    };
    assert_eq!(of(part).data, whole.crop(part).data);
}
