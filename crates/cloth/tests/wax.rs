//! Wax keeps every liquor that only wets the surface from the fibre.

mod common;

use cloth::{Bolt, Tiling, develop};
use common::{design, dyes, operation, shop, step};
use field::{Rect, Tile};
use route::{LotShape, Value};
use std::sync::Arc;

/// After wax, sponging, spraying or touching up leaves deep wax without dye and bare cloth with it.
#[test]
fn dye_put_on_waxed_cloth_stays_off_the_motif() {
    for key in ["sponge", "spray", "touch_up"] {
        let mut design = design();
        // Another dye first, with gaps: a touch-up looks for white places beside dyed ones.
        let gaps = vec![
            ("dyes", dyes(&[(1, "30 g/L")])),
            ("cover", common::quantity("30 %")),
        ];
        design.steps.push(step("first", operation("sponge", gaps)));
        let tight = vec![("stamp", Value::Stamp(0)), ("weak", common::quantity("0 %"))];
        design.steps.push(step("wax", operation("wax", tight)));
        design.steps.push(step(
            "dye",
            operation(key, vec![("dyes", dyes(&[(0, "30 g/L")]))]),
        ));
        let design = Arc::new(design);
        let bolt = Bolt::prepare(
            &design,
            &LotShape::new("wax", 1, 0, design.cloth),
            &shop(vec![]),
            None,
        );
        // Two repeats of the stamp of two petals.
        let core = Rect {
            x0: 200,
            y0: 2000,
            nx: 400,
            ny: 400,
        };
        let patch = develop(&bolt, Tile::new(1.0, core), 3, &Tiling::default());
        let rim = patch.rim.at_detail(patch.tile.samples, core);
        let dye = patch.loose[0].at_detail(patch.tile.samples, core);
        let mean = |inside: &dyn Fn(f32) -> bool| {
            let (sum, n) = rim
                .data
                .iter()
                .zip(&dye.data)
                .filter(|(rim, _)| inside(**rim))
                .fold((0.0, 0.0), |(sum, n), (_, dye)| (sum + f64::from(*dye), n + 1.0));
            sum / f64::max(n, 1.0)
        };
        let (deep, bare) = (mean(&|rim| rim > 1.5), mean(&|rim| rim < -1.5));
        assert!(bare > 0.05, "{key}: nothing was put on: {bare}");
        assert!(
            deep < 1e-3 * bare,
            "{key}: {deep} under the wax, {bare} beside it"
        );
    }
}

/// A border waxes a band along every edge and nothing within; its corner stamp prints with it, in the same step.
#[test]
fn a_border_waxes_the_edges_of_the_bolt() {
    let bar = |w: f64| {
        let ring = vec![[0.0, 10.0], [w, 10.0], [w, 40.0], [0.0, 40.0]];
        let area = stamp::Area::filled(&[ring], stamp::Rule::NonZero);
        Arc::new(stamp::Stamp::of_area(area, [w, 80.0]))
    };
    let mut design = design();
    design.stamps[0].stamp = bar(120.0);
    design.stamps[0].border = Some(route::BorderUse {
        along: stamp::Along::Frame,
        inset: units::Length(0.02),
        corner: Some(("turn".to_string(), bar(80.0), [1; 32])),
    });
    design
        .steps
        .push(step("wax", operation("wax", vec![("stamp", Value::Stamp(0))])));
    let design = Arc::new(design);
    let lot = LotShape::new("wax", 1, 0, design.cloth);
    let bolt = Bolt::prepare(&design, &lot, &shop(vec![]), None);
    // The left upper corner of the bolt, 300 mm square, in mm.
    let core = Rect {
        x0: 0,
        y0: 0,
        nx: 300,
        ny: 300,
    };
    let patch = develop(&bolt, Tile::new(1.0, core), 1, &Tiling::default());
    let wax = patch.wax.at_detail(patch.tile.samples, core);
    let side = (wax.data.len() as f64).sqrt() as usize;
    let share = |x: std::ops::Range<usize>, y: std::ops::Range<usize>| {
        let scale = side as f64 / 300.0;
        let at = |v: usize| (v as f64 * scale) as usize;
        let (mut waxed, mut all) = (0usize, 0usize);
        for j in at(y.start)..at(y.end) {
            for i in at(x.start)..at(x.end) {
                waxed += usize::from(wax.data[j * side + i] > 0.1);
                all += 1;
            }
        }
        waxed as f64 / all as f64
    };
    // 20 mm from the edge to the band, 10 mm into it: wax from 30 to 60 mm. The hand slips by 6 mm at most.
    assert!(share(110..290, 37..53) > 0.97, "{}", share(110..290, 37..53));
    assert!(share(37..53, 110..290) > 0.97, "{}", share(37..53, 110..290));
    assert!(share(37..90, 37..53) > 0.9, "{}", share(37..90, 37..53));
    assert!(share(110..290, 75..290) < 0.01, "{}", share(110..290, 75..290));
    assert!(share(0..290, 0..15) < 0.01, "{}", share(0..290, 0..15));
}
