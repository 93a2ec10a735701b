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
