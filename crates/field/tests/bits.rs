//! The same bits at every level of the machine, today and tomorrow: one golden hash a kernel.
//!
//! A hash may only change together with the model numbers of the operations that use the kernel:
//! approved pictures rest on these bits. To see the new one, run the test and read its message.

use field::{Bands, Blot, Grid, Join, Lattice, Level, Rect, Seed, force_level};

const N: usize = 1031;

/// FNV-1a over the bytes of the values.
fn digest(values: &[f32]) -> u64 {
    values
        .iter()
        .flat_map(|v| v.to_bits().to_le_bytes())
        .fold(0xcbf2_9ce4_8422_2325, |h, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        })
}

macro_rules! over {
    ($($name:ident: |$x:ident, $y:ident, $s:ident| $value:expr;)+) => {$(
        field::lanes! {
            fn $name(out: &mut [f32], xs: &[f32], ys: &[f32], $s: u32) {
                for ((o, &$x), &$y) in out.iter_mut().zip(xs).zip(ys) {
                    *o = $value;
                }
            }
        }
    )+};
}

over! {
    hash2: |x, y, s| field::unit(field::hash2(x as i32, y as i32, s));
    noise: |x, y, s| field::noise(x, y, s);
    noise1: |x, _y, s| field::noise1(x, s);
    noise2: |x, y, s| field::noise2(x, y, s, 0.1);
    noise3: |x, y, s| field::noise3(x, y, s, 0.0);
    distances: |x, y, s| { let c = field::cells(x, y, s); c.f1 + 3.0 * c.f2 };
    owners: |x, y, s| { let c = field::cells(x, y, s); field::unit(c.id1) + 3.0 * field::unit(c.id2) };
    exp: |x, _y, _s| field::exp(x);
    ln: |x, _y, _s| field::ln(x + 35.0);
    pow: |x, y, _s| field::pow(x + 35.0, y * 0.01);
    cbrt: |x, _y, _s| field::cbrt(x);
    sin: |x, _y, _s| field::sin(x);
    floor_i32: |x, _y, _s| field::floor_i32(x) as f32;
    smoothstep: |x, y, _s| field::smoothstep(y, 11.0, x);
    erfc: |x, _y, _s| field::erfc(x * 0.2);
    settle: |x, _y, _s| field::settle(x * 1e-30) * 1e30;
}

type Over = fn(&mut [f32], &[f32], &[f32], u32);

fn scalars(kernel: Over) -> Vec<f32> {
    let xs: Vec<f32> = (0..N).map(|i| ((i * 37) % N) as f32 * 0.0637 - 31.3).collect();
    let ys: Vec<f32> = (0..N).map(|i| i as f32 * 0.0171 - 8.6).collect();
    let mut out = vec![0.0; N];
    kernel(&mut out, &xs, &ys, Seed(2).child("bits").low());
    out
}

fn grid(rect: Rect) -> Grid {
    let seed = Seed(4).low();
    Grid::by_rows(Lattice { pitch: 1.0 }, rect, |y, row| {
        for (x, v) in (rect.x0..).zip(row) {
            *v = field::noise(x as f32 * 0.31, y as f32 * 0.27, seed);
        }
    })
}

const PATCH: Rect = Rect {
    x0: -9,
    y0: 11,
    nx: 43,
    ny: 37,
};

fn fir() -> Vec<f32> {
    let (wx, wy) = (field::gaussian_taps(1.4), field::gaussian_taps(2.0));
    field::fir(&grid(PATCH.expand(5, 7)), &wx, &wy, PATCH).data
}

fn sample_onto() -> Vec<f32> {
    grid(PATCH.expand(9, 9))
        .sample_onto(Lattice { pitch: 0.254 }, PATCH)
        .data
}

fn gather_down() -> Vec<f32> {
    grid(PATCH)
        .gather_down(
            Lattice { pitch: 2.54 },
            Rect {
                x0: -3,
                y0: 5,
                nx: 15,
                ny: 13,
            },
        )
        .data
}

fn blots() -> Vec<f32> {
    let mark = |x: f64, seed: u32| Blot {
        x,
        y: 30.2,
        half: [4.0, -2.0],
        radius: 8.0,
        edge: 2.0,
        rag: 3.0,
        grain: 6.0,
        amount: 0.7,
        seed,
    };
    let mut grid = Grid::flat(Lattice { pitch: 1.0 }, PATCH, 0.1);
    field::blots(&mut grid, &[mark(2.3, 5), mark(19.9, 6)], Join::Cover);
    grid.data
}

fn reflect() -> Vec<f32> {
    let planes: Vec<Vec<f32>> = (0..3)
        .map(|d| (0..N).map(|i| ((i * (d + 3)) % 101) as f32 * 0.03).collect())
        .collect();
    let planes: Vec<&[f32]> = planes.iter().map(Vec::as_slice).collect();
    let unit: Vec<[f32; 31]> = (0..3)
        .map(|d| std::array::from_fn(|b| ((b * 7 + d * 11) % 31) as f32 * 0.05))
        .collect();
    let weight = |c: usize| std::array::from_fn(|b| ((b * 5 + c * 9) % 31) as f32 * 0.002);
    let bands = Bands {
        unit: &unit,
        k_max: 41.0,
        substrate: [0.02; 31],
        to_rgb: std::array::from_fn(weight),
    };
    let texture: Vec<f32> = (0..N).map(|i| 0.9 + 0.002 * (i % 100) as f32).collect();
    let mut out = vec![0.0; 3 * N];
    let (r, gb) = out.split_at_mut(N);
    let (g, b) = gb.split_at_mut(N);
    field::reflect(&planes, Some(&texture), None, &bands, [r, g, b]);
    out
}

fn srgb_bytes() -> Vec<f32> {
    let rgb = reflect();
    let mut bytes = vec![0; 3 * N];
    field::srgb_bytes([&rgb[..N], &rgb[N..2 * N], &rgb[2 * N..]], &mut bytes);
    bytes.into_iter().map(f32::from).collect()
}

/// The one test of this file that sets the level, which is a matter of the whole process.
#[test]
fn bits_are_golden_at_every_level() {
    type Make = Box<dyn Fn() -> Vec<f32>>;
    let scalar = |kernel: Over| -> Make { Box::new(move || scalars(kernel)) };
    let kernels: Vec<(&str, Make, u64)> = vec![
        ("hash2", scalar(hash2), 0x085c_b9f9_772c_f40a),
        ("noise", scalar(noise), 0x6a03_a26c_c950_4235),
        ("noise1", scalar(noise1), 0xc48b_67b3_c1d5_e928),
        ("noise2", scalar(noise2), 0x9d14_770a_289b_b4a0),
        ("noise3", scalar(noise3), 0xe601_24b4_0053_05ac),
        ("cells, distances", scalar(distances), 0x575d_77ac_0e1a_9afa),
        ("cells, owners", scalar(owners), 0x1fa7_9cef_bfbb_d780),
        ("exp", scalar(exp), 0x6083_2c6f_2af3_8ed6),
        ("ln", scalar(ln), 0x4328_8e08_879b_4786),
        ("pow", scalar(pow), 0x806d_838c_00c1_4463),
        ("cbrt", scalar(cbrt), 0x7175_52d2_ea67_2c46),
        ("sin", scalar(sin), 0xd61b_c697_9d96_88e7),
        ("floor_i32", scalar(floor_i32), 0xc24c_bf9f_8d1c_b140),
        ("smoothstep", scalar(smoothstep), 0x8af3_c796_1efe_a089),
        ("erfc", scalar(erfc), 0x861c_4bea_4a65_2194),
        ("settle", scalar(settle), 0x3b97_cf48_170a_7b14),
        ("fir", Box::new(fir), 0x50dc_a03b_0b9c_3dce),
        ("sample_onto", Box::new(sample_onto), 0x3104_a712_8299_8a28),
        ("gather_down", Box::new(gather_down), 0x416b_fe82_8233_5133),
        ("blots", Box::new(blots), 0xd49c_41b9_c42a_e251),
        ("reflect", Box::new(reflect), 0xd661_90c6_6c43_6303),
        ("srgb_bytes", Box::new(srgb_bytes), 0x5a16_4d7f_ae11_fb09),
    ];
    let mut wrong = String::new();
    let mut tried = 0;
    for level in Level::ALL {
        if force_level(level) != level {
            continue;
        }
        tried += 1;
        for (name, make, golden) in &kernels {
            let values = make();
            assert!(values.iter().all(|v| v.is_finite()), "{name}");
            assert!(values.iter().any(|v| *v != values[0]), "{name} is flat");
            let got = digest(&values);
            if got != *golden {
                wrong += &format!("{level:?} {name}: {got:#018x}\n");
            }
        }
    }
    assert!(tried >= 1 && wrong.is_empty(), "other bits than before:\n{wrong}");
}

#[test]
fn seeds_are_golden() {
    // A lot gives the same cloth for ever, so its seeds may not change either.
    let bolt = Seed(1).child("lot").number(3);
    assert_eq!(
        (bolt.0, bolt.child("soda").low()),
        (15_069_045_991_261_282_462, 3_196_583_748)
    );
}
