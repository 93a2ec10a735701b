//! Physics against what can be written down: the variance of the heat kernel, maps that keep area, creep, shade.

mod common;

use field::{Grid, Lattice, Rect};
use route::{Package, Wick};

const MILLI: Lattice = Lattice { pitch: 1.0 };

/// A drop of dye spreads with the heat kernel's variance: 2 D t on each axis, warp and weft apart, and nothing is lost.
/// 5e-9 m2/s for 150 s across is a standard deviation of 1.2247 mm, three times as fast along 2.1213 mm.
#[test]
fn dye_spreads_with_the_variance_of_the_heat_kernel() {
    let wick = Wick {
        across: 5e-9,
        along: 15e-9,
        seconds: 150.0,
    };
    let (sx, sy) = wick.sigma_mm();
    assert!((sx - 1.5f64.sqrt()).abs() < 1e-12 && (sy - 4.5f64.sqrt()).abs() < 1e-12);
    let room = 40;
    let rect = Rect::between(-room, -room, room + 1, room + 1);
    let mut drop = Grid::flat(MILLI, rect.expand(40, 40), 0.0);
    drop.row_mut(0)[(room + 40) as usize] = 1.0;
    let taps = |sigma| field::gaussian_taps(sigma);
    let spread = field::fir(&drop, &taps(sx), &taps(sy), rect);
    let (mut sum, mut xx, mut yy) = (0.0, 0.0, 0.0);
    for (y, row) in spread.rows() {
        for (x, v) in (-room..).zip(row) {
            let v = f64::from(*v);
            sum += v;
            xx += v * f64::from(x * x);
            yy += v * f64::from(y * y);
        }
    }
    assert!((sum - 1.0).abs() < 1e-5, "{sum}");
    // A kernel on a millimetre lattice, cut off where f32 no longer sees it: 1 % of the variance.
    for (name, got, want) in [("across", xx / sum, 1.5), ("along", yy / sum, 4.5)] {
        assert!((got / want - 1.0).abs() < 0.01, "{name}: {got} mm2, not {want}");
    }
}

/// 44 in to 24 in and 15 yd to 8 yd.
fn package() -> Package {
    Package {
        seed: 0x5eed,
        pitch: 60.0,
        contraction: (24.0 / 44.0, 8.0 / 15.0),
        crumple: 18.0,
    }
}

/// Where no crease lies between neighbours the map keeps area: its determinant is 1, or -1 where the cloth lies face
/// down. Positions reach 13 m in f32 (steps of 0.001 mm), so differences over 2 mm are good to some 0.2 %.
#[test]
fn folding_keeps_area() {
    let map = package().ready();
    keeps_area(|x, y| {
        let p = map.at(x, y);
        [f64::from(p.u), f64::from(p.v)]
    });
}

/// The same of the map that pictures read, which is made in squares: between neighbours in one square and in two.
#[test]
fn folding_by_squares_keeps_area() {
    let package = package();
    keeps_area(|x, y| {
        let rect = Rect {
            x0: x.floor() as i32,
            y0: y.floor() as i32,
            nx: 1,
            ny: 1,
        };
        let map = package.map(MILLI, rect, None);
        [f64::from(map.u[0]), f64::from(map.v[0])]
    });
}

/// `folded` gives the place in the package of a place on the cloth, or of the sample of 1 mm around it.
fn keeps_area(folded: impl Fn(f32, f32) -> [f64; 2]) {
    let step = 1.0;
    let (mut kept, mut turned, mut all) = (0u32, 0u32, 0u32);
    for i in 0..40 {
        for j in 0..60 {
            let (x, y) = (13.7 + 27.1 * i as f32, 11.3 + 228.0 * j as f32);
            let at = |dx: f32, dy: f32| folded(x + dx, y + dy);
            let (west, east, south, north) = (at(-step, 0.0), at(step, 0.0), at(0.0, -step), at(0.0, step));
            let d = |a: [f64; 2], b: [f64; 2], c: usize| (b[c] - a[c]) / f64::from(2.0 * step);
            let det = d(west, east, 0) * d(south, north, 1) - d(south, north, 0) * d(west, east, 1);
            all += 1;
            if (det.abs() - 1.0).abs() < 0.02 {
                kept += 1;
                turned += u32::from(det < 0.0);
            }
        }
    }
    // The rest straddles a crease of one of the four zig-zags: each pleat of 60 mm has two, and they wander.
    assert!(kept * 10 > all * 7, "{kept} of {all}");
    // Back runs lie face down. Each zig-zag contracts to 0.734 of its run, so 0.133 of it runs back; an odd number of
    // four: (1 - (1 - 2 x 0.133)^4) / 2 = 0.355, in pieces that are not independent.
    let share = f64::from(turned) / f64::from(kept);
    assert!((share - 0.355).abs() < 0.1, "{turned} of {kept} lie face down");
}

/// Nothing drifts down the bolt: the package stays within a hand's breadth of the even contraction from the first metre to
/// the last, and it does not lean.
#[test]
fn the_package_does_not_drift() {
    let package = package();
    let map = package.ready();
    let (sx, sy) = package.contraction;
    let stray = |from: f32| {
        let (mut worst, mut lean, mut n) = (0.0f32, 0.0f32, 0.0f32);
        for i in 0..24 {
            for j in 0..60 {
                let (x, y) = (20.0 + 44.0 * i as f32, from + 30.0 * j as f32);
                let p = map.at(x, y);
                worst = worst.max((p.u - sx * x).abs()).max((p.v - sy * y).abs());
                lean += p.u - sx * x;
                n += 1.0;
            }
        }
        (worst, lean / n)
    };
    let (first, lean_first) = stray(0.0);
    let (last, lean_last) = stray(11_900.0);
    assert!(first < 260.0, "{first} mm");
    assert!(
        last < 1.3 * first + 20.0,
        "first metres {first} mm, last {last} mm"
    );
    // Over 12 m of cloth: less than a degree.
    assert!(
        (lean_last - lean_first).abs() < 0.0175 * 11_900.0,
        "{lean_first} {lean_last}"
    );
}

/// A line of wax by what the picture reaches of it: the soft front of the creep takes as much as a sharp one would. A stem of
/// 1.5 mm at De 1e-10 m2/s keeps 0.65 mm after 15 min (2 x sqrt(2 x 1e-10 x 900) = 0.85 mm, by paper), a petal of 20 mm all
/// but that; at the front half the fibre is reached, and the front is no thinner than a yarn's half width.
#[test]
fn a_soft_front_takes_what_the_creep_law_says() {
    let wax = 0.2;
    // Wax left of a line `width` mm wide, mm: from the middle of one edge to that of the other.
    let left = |width: f64, depth: f64| {
        let n = 20_000;
        let step = width / f64::from(n);
        let kept = (0..n).map(|i| {
            let x = (f64::from(i) + 0.5) * step;
            let rim = x.min(width - x) as f32;
            1.0 - f64::from(route::access(rim, depth as f32, 0.0, wax))
        });
        kept.sum::<f64>() * step
    };
    let depth = route::creep_depth(1e-10, 900.0) * 1e3;
    for width in [1.5, 20.0] {
        let law = route::line_left(width * 1e-3, 1e-10, 900.0) * 1e3;
        assert!(
            (left(width, depth) - law).abs() < 0.002,
            "{width}: {} {law}",
            left(width, depth)
        );
    }
    assert!((left(1.5, depth) - 0.65).abs() < 0.005);
    for depth in [0.3f32, 0.9, 2.0] {
        // Symmetric about the front, whole before it and nothing behind it.
        let at = |rim: f32| route::access(rim, depth, 0.0, wax);
        assert!((at(depth) - 0.5).abs() < 1e-6);
        for off in [0.05, 0.1, 0.2] {
            assert!((at(depth + off) + at(depth - off) - 1.0).abs() < 1e-5);
        }
        assert!(
            at(depth - 0.05) < 1.0 && at(depth + 0.05) > 0.0,
            "sharper than a yarn"
        );
        assert_eq!((at(0.0), at(2.0 * depth + 0.2)), (1.0, 0.0));
    }
    // Bare cloth is reached whole, and wax that leaks by as much as it leaks.
    assert_eq!(route::access(5.0, 0.4, 0.0, 0.0), 1.0);
    assert!((route::access(5.0, 0.4, 0.25, wax) - 0.25).abs() < 1e-6);
}

/// Under a roof open to its sides it is a tenth or so as light as in the sun (open shade some 10 klx, full sun 100 klx: handbooks
/// of lighting, from memory), and cloth that no sun warms dries near the wet bulb: 30 C and 75 % humidity give 26.3 C by the
/// psychrometric table (from memory), and a weak light lifts it by little. It dries slower there than in the sun.
#[test]
fn under_a_roof_it_is_dim_and_near_the_wet_bulb() {
    let shop = common::shop(vec![]);
    use route::water::{Lie, yard};
    let (roof, line) = (yard(&shop, Lie::LineInShade), yard(&shop, Lie::LineInSun));
    assert!((4.0..=16.0).contains(&roof.klx), "{} klx", roof.klx);
    assert!(
        (0.05..=0.2).contains(&(roof.klx / line.klx)),
        "{} {}",
        roof.klx,
        line.klx
    );
    assert!((26.0..28.5).contains(&roof.celsius), "{} C", roof.celsius);
    assert!(
        line.celsius > roof.celsius + 2.0,
        "{} {}",
        line.celsius,
        roof.celsius
    );
    assert!(
        roof.rate > 0.0 && roof.rate < 0.7 * line.rate,
        "{} {}",
        roof.rate,
        line.rate
    );
}
