//! What there is to say about a design that can be read: the route, its stamps, and what the workshop lacks for it.

use crate::read::remedy_for;
use crate::workspace::Workspace;
use route::{Design, LotShape, Workshop, examine, hand_error, means_along};
use std::collections::BTreeSet;
use words::{Arg, Finding, Line, Place, Weight, say};

impl Workspace {
    /// Findings about a design as this workshop would make it, pointing into its file. Nothing for a design that
    /// cannot be made (its file's findings say why), or without a workshop.
    pub fn examine(&self, id: &str) -> Vec<Finding> {
        let Some(file) = self.design_file(id) else {
            return Vec::new();
        };
        let mut findings = self.examine_route(id);
        findings.extend(self.examine_stamps(id));
        findings.into_iter().map(|finding| file.locate(finding)).collect()
    }

    /// The part of [`Workspace::examine`] that is about the route, pointing at its steps.
    pub fn examine_route(&self, id: &str) -> Vec<Finding> {
        let (Some(design), Some(shop)) = (self.design(id), &self.workshop) else {
            return Vec::new();
        };
        // Shares and limits of a route do not depend on which bolt it is.
        let lot = LotShape::new("examine", 1, 0, design.cloth);
        let mut findings = examine(design, &lot, shop);
        findings.extend(self.lacks(design, &lot, shop));
        findings
    }

    /// The part of it that is about the stamps: whether copper can follow them, and whether they meet.
    pub fn examine_stamps(&self, id: &str) -> Vec<Finding> {
        let (Some(design), Some(shop)) = (self.design(id), &self.workshop) else {
            return Vec::new();
        };
        let mut findings = Vec::new();
        let limits = self.stamp_limits();
        for used in &design.stamps {
            findings.extend(self.stamps.judge(used, &limits, design.cloth.width.to_mm()));
            let outline = used.register.as_ref();
            if let Some(outline) = outline.and_then(|id| design.stamps.iter().find(|one| one.id == *id)) {
                let least_mm = stamp::room_for(&hand_error(shop));
                findings.extend(self.stamps.judge_set(outline, used, least_mm));
            }
            if let Some((band, border)) = used.band().zip(used.border.as_ref()) {
                let corner = border.corner.as_ref().map(|(_, stamp, _)| stamp.area());
                let size = [design.cloth.width.to_mm(), design.cloth.length.to_mm()];
                findings.extend(band.findings(used.stamp.area(), corner, size));
            }
        }
        findings
    }

    /// [`Workspace::examine`] for every design.
    pub fn examine_all(&self) -> Vec<Finding> {
        self.designs
            .iter()
            .filter_map(|file| file.id.as_deref())
            .flat_map(|id| self.examine(id))
            .collect()
    }

    /// Stations, people and calendars that the route needs and the workshop does not have; each once.
    fn lacks(&self, design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Finding> {
        let stations = shop.stations.iter().map(|s| s.key.as_str());
        let hands: Vec<&str> = stations
            .chain(shop.people.iter().map(|p| p.key.as_str()))
            .collect();
        let calendars: Vec<&str> = self.calendars.iter().map(|c| c.key.as_str()).collect();
        let mut told = BTreeSet::new();
        let mut findings = Vec::new();
        for (step, means) in design.steps.iter().zip(means_along(design, lot, shop)) {
            let place = || Place::Step {
                id: step.id.clone(),
                setting: None,
            };
            let mut lack = |code, key: &str, known: &[&str], found: Line| {
                if told.insert((code, key.to_string())) {
                    let mut finding = Finding::new(code, Weight::Doubtful, place(), found);
                    finding.remedy = remedy_for(key, known.iter().copied());
                    findings.push(finding);
                }
            };
            for task in step.operation.occupies(&means, design, lot, shop) {
                if !calendars.contains(&task.calendar) {
                    let found = say!(
                        "the workshop has no calendar {key}, which this step needs",
                        "bengkel belum punya kalender {key} yang diperlukan langkah ini",
                        key = Arg::Name(task.calendar.to_string())
                    );
                    lack("calendar-lacking", task.calendar, &calendars, found);
                }
                // A stamp is a tool of the design; the keys of all else are the workshop's.
                for used in task.uses.iter().filter(|used| !used.what.starts_with("stamp:")) {
                    if !hands.contains(&used.what.as_str()) {
                        let found = say!(
                            "the workshop has no {key}, which this step needs",
                            "bengkel belum punya {key} yang diperlukan langkah ini",
                            key = Arg::Name(used.what.clone())
                        );
                        lack("station-lacking", &used.what, &hands, found);
                    }
                }
            }
        }
        findings
    }
}
