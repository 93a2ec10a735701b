//! Designs from `designs/*/*.toml`.

mod stamps;
mod steps;
mod targets;

pub(crate) use stamps::StampStore;
pub use stamps::{BORDERS, LAYOUTS};
pub use targets::RegionTarget;

use crate::Source;
use crate::read::{Item, Sheet, Table, parse, remedy_for};
use colour::DyeCard;
use route::{Cloth, DYES, Design, Workshop, revision, set_keys};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use units::{Length, Measure};
use words::{Arg, Finding, Place, Weight, say};

const KEYS: [&str; 8] = [
    "id",
    "name",
    "colourway",
    "note",
    "cloth",
    "stamps",
    "steps",
    "targets",
];
const CLOTH: [&str; 3] = ["width", "length", "weight"];

/// A design file: what it holds, or what keeps it from being made.
#[derive(Clone)]
pub struct DesignFile {
    /// The id that the file states.
    pub id: Option<String>,
    /// The file.
    pub path: String,
    /// The design; `None` if a finding of the file is wrong.
    pub design: Option<Arc<Design>>,
    /// Its revision, see [`route::revision`].
    pub revision: Option<[u8; 32]>,
    /// Colours that the finished cloth is to carry, region by region.
    pub targets: Vec<RegionTarget>,
    /// What was found in the file and its drawings.
    pub findings: Vec<Finding>,
    pub(crate) id_span: Range<usize>,
    /// Paths of the drawings that it names.
    pub(crate) drawings: Vec<String>,
    steps: Vec<StepPlace>,
}

/// Where a step and its settings stand in the file.
#[derive(Clone, Debug)]
pub(crate) struct StepPlace {
    pub id: String,
    pub span: Range<usize>,
    pub settings: Vec<(&'static str, Range<usize>)>,
}

impl DesignFile {
    /// The same finding pointing into the file, if it points at a step of this design.
    #[must_use]
    pub fn locate(&self, finding: Finding) -> Finding {
        let Place::Step { id, setting } = &finding.place else {
            return finding;
        };
        let Some(step) = self.steps.iter().find(|s| s.id == *id) else {
            return finding;
        };
        let given = setting.and_then(|key| step.settings.iter().find(|(k, _)| *k == key));
        let span = given.map_or(&step.span, |(_, span)| span).clone();
        Finding {
            place: Place::File {
                path: self.path.clone(),
                span,
            },
            ..finding
        }
    }

    /// Takes the design away because of something outside the file.
    pub(crate) fn refuse(&mut self, finding: Finding) {
        self.findings.push(finding);
        self.design = None;
        self.revision = None;
    }
}

/// The dyes of the workspace by id, and the ids of cards that cannot be used.
pub(crate) struct DyeStore {
    pub cards: BTreeMap<String, Arc<DyeCard>>,
    pub broken: BTreeSet<String>,
}

/// Reads one design.
pub(crate) fn read(
    dir: &Path,
    source: &Source,
    dyes: &DyeStore,
    stamps: &StampStore,
    shop: Option<&Workshop>,
) -> (DesignFile, Vec<Source>) {
    let sheet = Sheet::new(&source.path);
    let mut drawings = stamps::Drawings::new(dir, &source.path, stamps);
    let (mut id, mut id_span, mut places, mut design) = (None, 0..0, Vec::new(), None);
    let mut targets = Vec::new();
    if let Some(document) = parse(source, &sheet) {
        let table = Table::document(&sheet, &document, &KEYS);
        if let Some(item) = table.item("id") {
            id_span = item.span();
            id = item.text().map(str::to_string);
            item.kebab();
        }
        let name = table.text("name");
        let colourway = table.text_or_empty("colourway");
        let note = table.text_or_empty("note");
        let cloth = table.table("cloth", &CLOTH).and_then(|t| cloth(&t));
        let stamps = stamps::read(&table, &mut drawings);
        let mut used = Palette::new(dyes);
        let steps = steps::read(&table, &mut used, &stamps, &mut places);
        targets = targets::read(&table, &steps);
        design = (|| {
            Some(Design {
                id: id.clone()?,
                name: name?,
                colourway: colourway?,
                note: note?,
                cloth: cloth?,
                dyes: used.cards,
                stamps: stamps.into_iter().filter_map(|s| s.used).collect(),
                steps,
            })
        })();
    }
    let usable = !sheet.wrong() && !drawings.findings.iter().any(|f| f.weight == Weight::Wrong);
    let mut findings = sheet.into_findings();
    findings.append(&mut drawings.findings);
    let design = design.filter(|_| usable).map(|mut design| {
        if let Some(shop) = shop {
            set_keys(&mut design, shop);
        }
        Arc::new(design)
    });
    let revision = design.as_ref().map(|d| revision(d));
    let file = DesignFile {
        id,
        path: source.path.clone(),
        design,
        revision,
        targets,
        findings,
        id_span,
        drawings: drawings.sources.iter().map(|s| s.path.clone()).collect(),
        steps: places,
    };
    (file, drawings.sources)
}

fn cloth(table: &Table) -> Option<Cloth> {
    // Looms weave up to about 3 m; a bolt longer than 100 m is a roll that no one scrunches.
    let width = table.within("width", Measure::Length, 0.2, 3.2);
    let length = table.within("length", Measure::Length, 0.5, 100.0);
    let weight = table.within("weight", Measure::PerArea, 0.03, 0.6);
    Some(Cloth {
        width: Length(width?),
        length: Length(length?),
        weight: weight?,
    })
}

/// The dyes of a design, in the order in which its steps name them.
pub(crate) struct Palette<'a> {
    store: &'a DyeStore,
    pub cards: Vec<Arc<DyeCard>>,
}

impl<'a> Palette<'a> {
    fn new(store: &'a DyeStore) -> Self {
        Self {
            store,
            cards: Vec::new(),
        }
    }

    /// Place of the dye that an item names among the design's dyes.
    pub fn place(&mut self, item: &Item) -> Option<usize> {
        let id = item.text()?;
        if let Some(at) = self.cards.iter().position(|card| card.id == id) {
            return Some(at);
        }
        match self.store.cards.get(id) {
            Some(card) if self.cards.len() < DYES => {
                self.cards.push(card.clone());
                Some(self.cards.len() - 1)
            }
            found => {
                item.add(self.refusal(item, id, found.is_some()));
                None
            }
        }
    }

    /// Why a dye cannot be taken: there are too many, its card is wrong, or there is no such dye.
    fn refusal(&self, item: &Item, id: &str, in_store: bool) -> Finding {
        let dye = Arg::Name(id.chars().take(60).collect());
        if in_store {
            let found = say!(
                "{dye} is one dye more than a design can use",
                "{dye} adalah pewarna yang melebihi batas satu desain",
                dye = dye
            );
            let most = Arg::Number(DYES as f64, 0);
            return item.wrong("too-many-dyes", found).allow(say!(
                "{n} dyes in one design",
                "{n} pewarna dalam satu desain",
                n = most
            ));
        }
        if self.store.broken.contains(id) {
            let found = say!(
                "the card of {dye} cannot be used",
                "kartu {dye} tidak dapat dipakai",
                dye = dye
            );
            return item
                .wrong("dye-card-wrong", found)
                .remedy(say!("repair the card first", "perbaiki kartunya dulu"));
        }
        let found = say!(
            "there is no dye {dye} in the store",
            "tidak ada pewarna {dye} di gudang",
            dye = dye
        );
        let mut finding = item.wrong("dye-not-known", found);
        finding.remedy = remedy_for(id, self.store.cards.keys().map(String::as_str));
        finding
    }
}
