//! Findings along a whole route: what each operation says about its place, and what is left at the end.

use crate::ladders::Depths;
use crate::{Before, Design, Look, LotShape, Means, Workshop};
use field::{Grid, Lattice, Rect};
use words::{Arg, Finding, Place, Weight, say};

/// Dye that is not bound must end below 0.002 % on weight of fabric, or it bleeds in the wash: Broadbent, Basic
/// Principles of Textile Coloration (SDC 2001) p. 344. Here in g per kg of cloth.
pub const LOOSE_LIMIT: f64 = 0.02;

/// Examining needs the averages, not the pattern: nobody looks.
struct NoLook;

impl Look for NoLook {
    fn dye(&self, cell_mm: f64) -> Grid {
        let rect = Rect {
            x0: 0,
            y0: 0,
            nx: 1,
            ny: 1,
        };
        Grid::flat(Lattice { pitch: cell_mm }, rect, 0.0)
    }
}

/// What there is to say about a design as this workshop would make it, in the order of the route. Nothing if it
/// can be made as it stands.
pub fn examine(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Finding> {
    let mut means = Means::default();
    let mut depths = Depths::default();
    let mut findings = Vec::new();
    for (at, step) in design.steps.iter().enumerate() {
        let before = Before {
            design,
            at,
            means: &means,
            lot,
            shop,
            seed: lot.seed().child(&step.id),
            // `means.folded` says whether there is one; where its creases lie is nothing to examine.
            package: None,
            look: &NoLook,
        };
        findings.extend(step.operation.examine(&before));
        let was = means.clone();
        step.operation.tally(&mut means, design, lot, shop);
        depths.step(step, &was, &means);
    }
    findings.extend(depths.findings(design));
    findings.extend(at_the_end(design, &means));
    findings
}

/// The bolt averaged before each step, and after the last: one more than there are steps.
pub fn means_along(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Means> {
    let mut means = Means::default();
    let mut all = vec![means.clone()];
    for step in &design.steps {
        step.operation.tally(&mut means, design, lot, shop);
        all.push(means.clone());
    }
    all
}

/// What a finished bolt must not have.
fn at_the_end(design: &Design, means: &Means) -> Vec<Finding> {
    let Some(last) = design.steps.last() else {
        return vec![Finding::new(
            "route-empty",
            Weight::Wrong,
            Place::Request,
            say!(
                "the route of {design} has no step",
                "alur {design} belum berisi langkah",
                design = Arg::Name(design.name.clone())
            ),
        )];
    };
    let place = || Place::Step {
        id: last.id.clone(),
        setting: None,
    };
    let doubt = |code, found| Finding::new(code, Weight::Doubtful, place(), found);
    let mut findings = Vec::new();
    if means.waxed() {
        findings.push(doubt(
            "ends-waxed",
            say!(
                "the route ends with wax on the cloth",
                "alur berakhir dengan malam masih di kain"
            ),
        ));
    }
    if means.folded {
        findings.push(doubt(
            "ends-folded",
            say!(
                "the route ends with the cloth scrunched",
                "alur berakhir dengan kain masih terkerut"
            ),
        ));
    }
    if means.wet() {
        findings.push(doubt(
            "ends-wet",
            say!("the route ends with wet cloth", "alur berakhir dengan kain basah"),
        ));
    }
    if means.chlorine > 1e-3 {
        findings.push(doubt(
            "ends-with-chlorine",
            say!(
                "the route ends with bleach in the cloth, which rots it",
                "alur berakhir dengan pemutih di kain, yang merusak kain"
            ),
        ));
    }
    let loose = means.mean(|zone| zone.loose.iter().chain(&zone.spent).sum());
    if loose > LOOSE_LIMIT {
        findings.push(
            doubt(
                "ends-bleeding",
                say!(
                    "{loose} g of dye per kg of cloth is left unbound: it will bleed in the wash",
                    "{loose} g pewarna per kg kain tersisa tanpa terikat: akan luntur saat dicuci",
                    loose = Arg::Number(loose, 3)
                ),
            )
            .allow(say!(
                "up to {limit} g per kg",
                "sampai {limit} g per kg",
                limit = Arg::Number(LOOSE_LIMIT, 2)
            ))
            .remedy(say!(
                "rinse once more, or let the dye bind longer",
                "bilas sekali lagi, atau diamkan lebih lama"
            )),
        );
    }
    findings
}
