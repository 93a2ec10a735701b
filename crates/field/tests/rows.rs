//! Rows of noise are the noise, bit for bit.

use field::{NoiseRows, noise};

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
