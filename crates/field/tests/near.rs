//! What is found for places that lie together is what is found place by place.

use field::{Level, TOGETHER, cells, cells_near, force_level, noise, noise_near, noise2, noise2_near, range};

field::lanes! {
    fn near(x: &[f32], y: &[f32], seed: u32, f1: &mut [f32], f2: &mut [f32], id1: &mut [u32]) {
        cells_near(x, y, seed, f1, f2, id1);
    }
}

/// Clusters of every size from a hundredth of a cell to ten, anywhere: the bits of place by place.
#[test]
fn cells_of_a_cluster_are_the_cells() {
    let mut state = 0x1234_5678u32;
    let mut next = move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 8) as f32 / 16_777_216.0
    };
    for level in Level::ALL {
        force_level(level);
        for trial in 0..4000u32 {
            let size = 10f32.powf(3.0 * next() - 2.0);
            let (x0, y0) = (600.0 * next() - 300.0, 600.0 * next() - 300.0);
            let n = if trial % 3 == 0 {
                1 + trial as usize % TOGETHER
            } else {
                TOGETHER
            };
            let x: Vec<f32> = (0..n).map(|_| x0 + size * next()).collect();
            let y: Vec<f32> = (0..n).map(|_| y0 + size * next()).collect();
            let (mut f1, mut f2, mut id1) = (vec![0.0; n], vec![0.0; n], vec![0; n]);
            near(&x, &y, trial, &mut f1, &mut f2, &mut id1);
            for i in 0..n {
                let one = cells(x[i], y[i], trial);
                let (ours, wanted) = ((f1[i], f2[i], id1[i]), (one.f1, one.f2, one.id1));
                assert_eq!(ours, wanted, "{n} places over {size} at {} {}", x[i], y[i]);
            }
        }
    }
    force_level(Level::Avx512);
}

#[test]
fn the_range_is_the_range() {
    assert_eq!(range(&[]), (0.0, 0.0));
    let values: Vec<f32> = (0..67).map(|i| ((i * 23) % 67) as f32 - 5.0).collect();
    for n in 1..=67 {
        let wanted = values[..n]
            .iter()
            .fold((f32::MAX, f32::MIN), |(a, b), v| (a.min(*v), b.max(*v)));
        assert_eq!(range(&values[..n]), wanted);
    }
}

field::lanes! {
    fn noises(x: &[f32], y: &[f32], out: &mut [[f32; TOGETHER]; 3]) {
        noise_near(x, y, [7, 8, 9], out);
    }

    fn octaves(x: &[f32], y: &[f32], out: &mut [[f32; TOGETHER]; 2]) {
        noise2_near(x, y, [7, 8], out);
    }
}

/// Noise of a cluster is the noise but for rounding, and has the same bits alone, in part of the cluster, and at every
/// vector width.
#[test]
fn noise_of_a_cluster_knows_nothing_of_it() {
    let mut state = 0x0bad_5eedu32;
    let mut next = move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 8) as f32 / 16_777_216.0
    };
    for trial in 0..2000 {
        let size = 10f32.powf(3.0 * next() - 2.0);
        let (x0, y0) = (600.0 * next() - 300.0, 600.0 * next() - 300.0);
        let x: Vec<f32> = (0..TOGETHER).map(|_| x0 + size * next()).collect();
        let y: Vec<f32> = (0..TOGETHER).map(|_| y0 + size * next()).collect();
        let whole = Level::ALL.map(|level| {
            force_level(level);
            let (mut one, mut two) = ([[0.0; TOGETHER]; 3], [[0.0; TOGETHER]; 2]);
            noises(&x, &y, &mut one);
            octaves(&x, &y, &mut two);
            (one, two)
        });
        force_level(Level::Avx512);
        assert!(whole[0] == whole[1] && whole[1] == whole[2]);
        let (one, two) = &whole[0];
        for i in 0..TOGETHER {
            for (values, seed) in one.iter().zip([7, 8, 9]) {
                let off = (values[i] - noise(x[i], y[i], seed)).abs();
                assert!(off < 1e-6, "off by {off} at {} {}", x[i], y[i]);
            }
            for (values, seed) in two.iter().zip([7, 8]) {
                let off = (values[i] - noise2(x[i], y[i], seed, 0.0)).abs();
                assert!(off < 1e-6, "off by {off} at {} {}", x[i], y[i]);
            }
        }
        let (from, to) = (trial % TOGETHER, TOGETHER.min(trial % TOGETHER + 1 + trial % 17));
        let (mut some, mut both) = ([[0.0; TOGETHER]; 3], [[0.0; TOGETHER]; 2]);
        noises(&x[from..to], &y[from..to], &mut some);
        octaves(&x[from..to], &y[from..to], &mut both);
        for (some, all) in some.iter().zip(one).chain(both.iter().zip(two)) {
            assert_eq!(some[..to - from], all[from..to]);
        }
    }
}
