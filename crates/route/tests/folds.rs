//! The fold map that pictures read, which is made in squares, beside the map place by place.

use field::{Lattice, Rect};
use route::Package;

fn packages() -> [Package; 3] {
    let package = |seed, pitch: f32, contraction| Package {
        seed,
        pitch,
        contraction,
        crumple: 0.6 * pitch,
    };
    [
        package(3, 80.0, (0.545, 0.533)),
        package(77, 30.0, (0.3, 0.95)),
        package(12, 300.0, (0.8, 0.6)),
    ]
}

/// At the start and the end of a bolt, lattices fine and coarse: places agree to a fortieth of a percent of the distance of
/// pleats, to a tenth of a percent where a square is 15 mm wide (cubics through four places of noises of 105 mm and more,
/// times what they move). What jumps (layers, facets, and a pleat that the next overlaps in cloth drawn in to 0.3) does so
/// at the same place but for a sample in a thousand.
#[test]
fn squares_are_the_map() {
    const SIDE: i32 = 160;
    for package in packages() {
        let ready = package.ready();
        for (pitch, y) in [(0.3, 1), (1.0, 13), (1.0, 12_000), (1.9, 5_000), (4.0, 900)] {
            let rect = Rect::between(203, y, 203 + SIDE, y + SIDE);
            let map = package.map(Lattice { pitch }, rect, None);
            let (most, most_crest) = if pitch > 1.0 { (1e-3, 0.06) } else { (2.5e-4, 0.02) };
            let (mut jumps, mut n) = (0, 0);
            for (j, i) in (0..SIDE).flat_map(|j| (0..SIDE).map(move |i| (j, i))) {
                let at = |from: i32, k: i32| ((f64::from(from + k) + 0.5) * pitch) as f32;
                let one = ready.at(at(rect.x0, i), at(rect.y0, j));
                let off = (map.u[n] - one.u).abs().max((map.v[n] - one.v).abs());
                let crest = (map.crest[n] - one.crest).abs();
                let alike = map.depth[n] == one.depth && map.facet[n] == one.facet;
                let near = off < most * package.pitch && crest < most_crest;
                jumps += u32::from(!(alike && near));
                n += 1;
            }
            assert!(
                jumps * 1000 < n as u32,
                "{jumps} of {n}, pitch {pitch}, {package:?}"
            );
        }
    }
}

/// Whatever is asked for around a sample, it is the same sample; what is known already is taken as it is.
#[test]
fn a_sample_does_not_know_its_rectangle() {
    let package = &packages()[0];
    let lattice = Lattice { pitch: 1.0 };
    let rect = Rect::between(-9, 700, 70, 760);
    let all = package.map(lattice, rect, None);
    let place = |rect: Rect, x: i32, y: i32| {
        y.abs_diff(rect.y0) as usize * rect.nx as usize + x.abs_diff(rect.x0) as usize
    };
    // Inside, across a corner, and apart.
    for part in [
        Rect::between(3, 705, 4, 706),
        Rect::between(-5, 733, 61, 749),
        Rect::between(-20, 690, 11, 720),
        Rect::between(300, 10, 310, 20),
    ] {
        let map = package.map(lattice, part, None);
        let both = part.intersect(rect);
        for y in both.y0..both.y1() {
            let (a, b) = (place(rect, both.x0, y), place(part, both.x0, y));
            let n = both.nx as usize;
            for (all, map) in [(&all.u, &map.u), (&all.v, &map.v), (&all.crest, &map.crest)] {
                assert_eq!(all[a..a + n], map[b..b + n]);
            }
        }
        let joined = package.map(lattice, rect, Some(&map));
        assert!(joined.u == all.u && joined.v == all.v && joined.depth == all.depth);
        assert!(joined.crest == all.crest && joined.facet == all.facet);
    }
    assert_eq!(Package::whole(rect), Rect::between(-16, 696, 72, 760));
}
