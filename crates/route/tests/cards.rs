//! Job cards: every step says what to do, and nothing that can hurt is left unsaid.

mod common;

use colour::dye::hazard;
use common::{cloth, design, dyes, every_operation, operation, shop, step};
use route::{LotShape, card, cautions, hazards};
use std::collections::BTreeSet;
use std::sync::Arc;

/// On a route of every operation there is: each class of caution stands on the whole card exactly once, and beside each
/// step that brings it.
#[test]
fn every_class_of_caution_is_on_the_card() {
    let mut design = design();
    design.steps = every_operation()
        .into_iter()
        .zip(1..)
        .map(|(op, n)| step(&format!("s{n}"), op))
        .collect();
    let met: BTreeSet<&str> = route::OPERATIONS
        .iter()
        .flat_map(|kind| kind.cautions)
        .map(|c| c.code)
        .collect();
    let listed: Vec<&str> = cautions(&design).iter().map(|c| c.code).collect();
    assert_eq!(listed.iter().copied().collect::<BTreeSet<_>>(), met);
    assert_eq!(listed.len(), met.len());
    for must in [
        "chlorine",
        "alkali",
        "hot-wax",
        "boiling",
        "dye-powder",
        "dye-liquor",
        "fumes",
        "heat",
        "antichlor-acid",
    ] {
        assert!(met.contains(must), "{must}");
    }
    let steps = card(&design, &LotShape::new("lot", 3, 0, cloth()), &shop(vec![]));
    assert_eq!(steps.len(), design.steps.len());
    for (card, step) in steps.iter().zip(&design.steps) {
        assert_eq!(card.step, step.id);
        assert_eq!(card.cautions, step.operation.kind().cautions);
        assert!(!card.instructions.lines.is_empty(), "{}", card.step);
        assert!(
            card.work.least.0 > 0.0
                && card.work.least <= card.work.likely
                && card.work.likely <= card.work.most
        );
    }
    assert_eq!(
        steps.iter().map(|s| s.number).collect::<Vec<_>>(),
        (1..=steps.len() as u32).collect::<Vec<_>>()
    );
}

/// A route without bleach says nothing about chlorine.
#[test]
fn cautions_are_those_of_the_route() {
    let mut design = design();
    design.steps = vec![
        step("a", operation("wet", vec![])),
        step("b", operation("fold", vec![])),
    ];
    assert!(cautions(&design).is_empty());
}

/// A dye's hazards stand at the steps that handle it and on no other.
#[test]
fn hazards_stand_where_the_dye_is_handled() {
    let powder = hazard("powder").expect("a hazard of this key");
    let mut design = design();
    let mut dusty = (*design.dyes[0]).clone();
    dusty.hazards = vec![powder, powder];
    design.dyes[0] = Arc::new(dusty);
    design.steps = vec![
        step("wet", operation("wet", vec![])),
        step(
            "sponge",
            operation("sponge", vec![("dyes", dyes(&[(0, "40 g/L")]))]),
        ),
        step("dip", operation("dip", vec![("dyes", dyes(&[(1, "1 %")]))])),
    ];
    let steps = card(&design, &LotShape::new("lot", 1, 0, cloth()), &shop(vec![]));
    let keys: Vec<Vec<&str>> = steps
        .iter()
        .map(|s| s.hazards.iter().map(|h| h.key).collect())
        .collect();
    assert_eq!(keys, [vec![], vec!["powder"], vec![]]);
    assert_eq!(
        hazards(&design).iter().map(|h| h.key).collect::<Vec<_>>(),
        ["powder"]
    );
}
