//! A design as the pages show it: its lot to look at, what is known along the route, findings step by step.

use super::Studio;
use colour::{BandTables, DyeCard, screen, white_cotton};
use route::{Design, LotShape, Means, Takes, Workshop};
use std::sync::Arc;
use words::{Finding, Place, Text, text};
use workspace::{DesignFile, Workspace};

/// The lot that pages look at before there is a real one. The same design always shows the same cloth.
pub fn lot_of(design: &Design, bolt: u32) -> LotShape {
    LotShape::new(&design.id, bolt + 1, bolt, design.cloth)
}

/// A design file and what hangs on it.
pub struct Hung<'a> {
    /// The file.
    pub file: &'a DesignFile,
    /// The design, if it can be made.
    pub design: Option<&'a Arc<Design>>,
    /// Bolts ordered.
    pub bolts: u32,
    /// The earliest promise.
    pub due: Option<sky::Date>,
    /// Everything found: in the file, and about the route in this workshop; the heaviest first.
    pub findings: Vec<Found>,
}

/// A finding, and how many more there are of its kind.
pub struct Found {
    /// Place in the route of the step it is about.
    pub step: Option<usize>,
    /// The first of its kind.
    pub finding: Finding,
    /// Others with the same code.
    pub more: Vec<Finding>,
}

/// Findings of one code are one thing to do: the first stands for them, the heaviest of all comes first.
fn gathered(findings: impl IntoIterator<Item = (Option<usize>, Finding)>) -> Vec<Found> {
    let mut all: Vec<Found> = Vec::new();
    for (step, finding) in findings {
        match all
            .iter_mut()
            .find(|f| f.finding.code == finding.code && f.finding.weight == finding.weight)
        {
            Some(found) => found.more.push(finding),
            None => all.push(Found {
                step,
                finding,
                more: Vec::new(),
            }),
        }
    }
    all.sort_by_key(|f| std::cmp::Reverse(f.finding.weight));
    all
}

/// Everything there is to say about a design: what its file, its route and its stamps say.
pub fn found(studio: &Studio, workspace: &Workspace, file: &DesignFile) -> Vec<Found> {
    let along = match (&file.design, &workspace.workshop) {
        (Some(design), Some(shop)) => studio.along(design, shop).findings.clone(),
        _ => Vec::new(),
    };
    let codes: Vec<&str> = along.iter().map(|(_, f)| f.code).collect();
    let rest = file
        .findings
        .clone()
        .into_iter()
        .chain(workspace.examine(file.id.as_deref().unwrap_or("")));
    let rest: Vec<Finding> = rest.filter(|f| !codes.contains(&f.code)).collect();
    gathered(
        rest.into_iter()
            .map(|f| (None, f))
            .chain(along.into_iter().map(|(at, f)| (Some(at), f))),
    )
}

/// All designs of the workspace; what is promised first hangs first.
pub fn hung<'a>(studio: &Studio, workspace: &'a Workspace) -> Vec<Hung<'a>> {
    hang(workspace, |file| found(studio, workspace, file))
}

/// The same before anything was read along the routes: without findings.
pub fn unread(workspace: &Workspace) -> Vec<Hung<'_>> {
    hang(workspace, |_| Vec::new())
}

fn hang(workspace: &Workspace, found: impl Fn(&DesignFile) -> Vec<Found>) -> Vec<Hung<'_>> {
    let mut all: Vec<Hung> = workspace
        .designs
        .iter()
        .map(|file| {
            let id = file.id.as_deref().unwrap_or("");
            let orders = || workspace.orders.iter().filter(|order| order.design == id);
            Hung {
                file,
                design: file.design.as_ref(),
                bolts: orders().map(|order| order.bolts).sum(),
                due: orders().map(|order| order.due).min(),
                findings: found(file),
            }
        })
        .collect();
    all.sort_by_key(|hung| hung.due.map_or(i32::MAX, |due| due.days));
    all
}

/// A design along its route, bolt averaged.
pub struct Along {
    /// Before the first step, then after each.
    pub means: Vec<Means>,
    /// What each step takes for one bolt.
    pub takes: Vec<Takes>,
    /// Findings that point at a step, with the step's place in the route.
    pub findings: Vec<(usize, Finding)>,
}

impl Along {
    /// Follows the route.
    pub fn of(design: &Design, shop: &Workshop) -> Self {
        let lot = lot_of(design, 0);
        let (means, takes) = cloth::averages(design, &lot, shop);
        let findings = route::examine(design, &lot, shop)
            .into_iter()
            .filter_map(|finding| {
                let Place::Step { id, .. } = &finding.place else {
                    return None;
                };
                let at = design.steps.iter().position(|step| step.id == *id)?;
                Some((at, finding))
            })
            .collect();
        Self {
            means,
            takes,
            findings,
        }
    }

    /// Findings of one step.
    pub fn at(&self, step: usize) -> Vec<&Finding> {
        let mut found: Vec<&Finding> = self
            .findings
            .iter()
            .filter(|(at, _)| *at == step)
            .map(|(_, finding)| finding)
            .collect();
        found.sort_by_key(|f| std::cmp::Reverse(f.weight));
        found
    }

    /// How the cloth is after so many steps, as a picture of it must say.
    pub fn condition(&self, steps: usize) -> Vec<&'static Text> {
        let Some(means) = self.means.get(steps) else {
            return Vec::new();
        };
        let mut said = vec![if means.wet() {
            text!("wet", "basah")
        } else {
            text!("dry", "kering")
        }];
        if means.waxed() {
            said.push(text!("wax on", "bermalam"));
        }
        if means.folded {
            said.push(text!(
                "folded, drawn as if opened",
                "terkerut, digambar seperti terbuka"
            ));
        }
        said
    }
}

/// A dye as it looks on cloth at 2 % of its weight, sRGB bytes.
pub fn dye_colour(card: &DyeCard) -> [u8; 3] {
    let tables = BandTables::of(white_cotton(), &[card]);
    screen::bytes(screen::clip(tables.linear(&[20.0]).map(f64::from)).0)
}
