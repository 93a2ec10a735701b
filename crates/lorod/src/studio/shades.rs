//! Colours that a design's cloth shall carry: what it has now, and recipes that bring it there.

use super::Studio;
use super::kiln::KeepGoing;
use super::known::rests_on;
use crate::facts::shades::route::{edits, spots};
use cloth::aim::{self, Aimed, Change, Seen, Set, Solved};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use words::{Finding, Language, Voice};
use workspace::Workspace;
use workspace::edit::{self, Given};

/// Which dyes recipes may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dyes {
    /// Those that each step has.
    Same,
    /// Any of the store.
    Any,
}

/// Recipes that were sought for all regions of a design.
pub struct Recipes {
    /// With which dyes.
    pub dyes: Dyes,
    /// What was found.
    pub solved: Solved,
    /// The design with them, and what its pictures call it; none where nothing is changed.
    pub design: Option<(String, Arc<Design>)>,
}

impl Dyes {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Any, Self::Same];

    /// As in addresses.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::Any => "any",
        }
    }
}

impl Recipes {
    /// Mean distance of the regions from their colours, CIEDE2000.
    pub fn mean(&self) -> f64 {
        mean(&self.solved.regions)
    }

    /// The recipes as one change of the design's file.
    pub fn change(&self) -> edit::Change {
        edit::Change::All(self.solved.changes.iter().map(setting).collect())
    }
}

/// Mean distance of regions from their colours, CIEDE2000.
pub fn mean(regions: &[Seen]) -> f64 {
    let off: Vec<f64> = regions.iter().filter_map(|r| r.difference).collect();
    off.iter().sum::<f64>() / off.len().max(1) as f64
}

fn setting(change: &Change) -> edit::Change {
    edit::Change::Setting {
        step: change.step.clone(),
        key: change.key.to_string(),
        given: Some(match &change.to {
            Set::Time(time) => Given::Text(time.spelled.clone()),
            Set::Dyes(dyes) => Given::Doses(
                dyes.iter()
                    .map(|(id, depth)| (id.clone(), depth.spelled.clone()))
                    .collect(),
            ),
        }),
    }
}

impl Studio {
    /// Regions of a design as its cloth has them now, if that was worked out.
    pub fn known_regions(&self, workspace: &Workspace, id: &str) -> Option<Arc<Vec<Seen>>> {
        self.answers().regions.get(&rests_on(workspace, id)?)
    }

    /// The same, worked out: some seconds.
    ///
    /// # Errors
    /// If the design has no targets, or a region is nowhere on the cloth.
    pub fn regions(
        &self,
        workspace: &Workspace,
        design: &Arc<Design>,
        shop: &Workshop,
    ) -> Result<Arc<Vec<Seen>>, Vec<Finding>> {
        let key = rests_on(workspace, &design.id).unwrap_or_default();
        if let Some(known) = self.answers().regions.get(&key) {
            return Ok(known);
        }
        let spots = spots(workspace, design, &[])?;
        let seen = aim::look(design, &lot(design), shop, &spots)?;
        Ok(self.answers().regions.put(key, seen))
    }

    /// Recipes that were sought before, the nearest first.
    pub fn known_recipes(&self, workspace: &Workspace, id: &str, voice: Voice) -> Vec<Arc<Recipes>> {
        let known = Dyes::ALL
            .into_iter()
            .filter_map(|dyes| self.answers().recipes.get(&key(workspace, id, dyes, voice)?));
        let mut known: Vec<_> = known.collect();
        known.sort_by(|a, b| a.mean().total_cmp(&b.mean()));
        known
    }

    /// Seeks recipes for all regions of a design: ten seconds of one core or more.
    ///
    /// # Errors
    /// As [`aim::solve`]; no finding at all if it was ended.
    pub fn recipes(
        &self,
        workspace: &Workspace,
        design: &Arc<Design>,
        shop: &Workshop,
        dyes: Dyes,
        voice: Voice,
        keep_going: KeepGoing,
    ) -> Result<Arc<Recipes>, Vec<Finding>> {
        let key = key(workspace, &design.id, dyes, voice).unwrap_or_default();
        if let Some(known) = self.answers().recipes.get(&key) {
            return Ok(known);
        }
        let spots = spots(workspace, design, &[])?;
        let aimed = Aimed {
            keep_dyes: dyes == Dyes::Same,
            ..Aimed::default()
        };
        let solved = aim::solve(
            design,
            &lot(design),
            shop,
            &workspace.dyes,
            &spots,
            &aimed,
            voice,
            &|share| keep_going(share),
        )?;
        let design = self.proposed(workspace, &design.id, &solved)?;
        let found = Recipes { dyes, solved, design };
        Ok(self.answers().recipes.put(key, found))
    }

    /// The design with the recipes as it would be read from its file, kept for pictures.
    fn proposed(
        &self,
        workspace: &Workspace,
        id: &str,
        solved: &Solved,
    ) -> Result<Option<(String, Arc<Design>)>, Vec<Finding>> {
        let file = workspace.design_file(id);
        let source = file.and_then(|file| workspace.source(&file.path));
        let (Some(source), false) = (source, solved.changes.is_empty()) else {
            return Ok(None);
        };
        let text = edits(source, &solved.changes).map_err(|finding| vec![finding])?;
        let next = workspace.as_if(&source.path, &text);
        let Some(design) = next.design(id) else {
            return Err(next.examine(id));
        };
        let last = design.steps.last().map_or([0; 32], |step| step.key);
        let name = format!("recipes-{}", super::assets::hex(&last[..8]));
        Ok(Some((name.clone(), self.proposals().put(name, design.clone()))))
    }
}

fn lot(design: &Design) -> LotShape {
    LotShape::new(&design.id, 1, 0, design.cloth)
}

/// Findings are words, so the language counts.
fn key(workspace: &Workspace, id: &str, dyes: Dyes, voice: Voice) -> Option<String> {
    let language = match voice.language {
        Language::En => "en",
        Language::Id => "id",
    };
    Some(format!("{} {} {language}", rests_on(workspace, id)?, dyes.key()))
}
