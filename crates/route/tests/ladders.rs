//! Routes that go deeper than the ladders of their dyes.

mod common;

use colour::dye::{DyeCard, Ladder};
use common::{cloth, design, dyes, operation, quantity, shop, step};
use route::{Design, LotShape, examine, means_along};
use std::sync::Arc;
use words::{Finding, Place};

/// The design with a ladder for its first dye that ends at so many g bound per kg of cloth.
fn with_ladder(design: &Design, deepest_bound: f64) -> Design {
    let mut design = design.clone();
    design.dyes[0] = Arc::new(DyeCard {
        ladder: Some(Ladder {
            deepest: deepest_bound / 10.0 / 0.75,
            fixed_share: 0.75,
            error: 0.02,
            white: [0.85; colour::BANDS],
        }),
        ..(*design.dyes[0]).clone()
    });
    design
}

fn beyond(design: &Design) -> Vec<Finding> {
    let (lot, shop) = (LotShape::new("lot", 1, 0, cloth()), shop(Vec::new()));
    let mut all = examine(design, &lot, &shop);
    all.retain(|f| f.code == "route-beyond-ladder");
    all
}

/// Two colours share the liquor and each covers two fifths: where one lies by itself, five times its mean. A dip on top
/// brings its own depth evenly. The mean bound amounts are the tally's.
#[test]
fn thick_places_count_not_the_mean() {
    let mut design = design();
    let sponged = vec![
        ("dyes", dyes(&[(0, "20 g/L"), (1, "20 g/L")])),
        ("cover", quantity("40 %")),
    ];
    let dipped = vec![("dyes", dyes(&[(0, "3 %")])), ("time", quantity("2 h"))];
    design.steps = vec![
        step("s1", operation("sponge", sponged)),
        step("s2", operation("fix", Vec::new())),
    ];
    let (lot, shop) = (LotShape::new("lot", 1, 0, cloth()), shop(Vec::new()));
    let bound = |design: &Design| -> Vec<f64> {
        let along = means_along(design, &lot, &shop);
        along.iter().map(|m| m.ground.fast[0]).collect()
    };
    let sponge = bound(&design);
    let thick = 5.0 * sponge.iter().copied().fold(0.0, f64::max);
    assert!(thick > 1.0, "{sponge:?}");
    assert!(beyond(&with_ladder(&design, 1.02 * thick)).is_empty());
    let found = beyond(&with_ladder(&design, 0.98 * thick));
    let place = |id: &str| Place::Step {
        id: id.to_string(),
        setting: Some("dyes"),
    };
    assert_eq!(found.iter().map(|f| &f.place).collect::<Vec<_>>(), [&place("s1")]);

    // Over-dyed, the total counts; the doubt stands where most of the dye is put on.
    design.steps.push(step("s3", operation("dip", dipped)));
    let over = with_ladder(&design, 1.02 * thick);
    assert_eq!(beyond(&over).len(), 1);
    assert!(beyond(&with_ladder(&design, 3.0 * thick)).is_empty());
    assert!(beyond(&design).is_empty(), "a card without a ladder says nothing");
}
