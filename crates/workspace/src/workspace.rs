//! The whole folder, read.

use crate::calendar::CalendarSpec;
use crate::design::{self, DesignFile, DyeStore, StampStore};
use crate::folder::{Folder, Source};
use crate::lead::LeadTimes;
use crate::orders::{Collection, Order};
use crate::rain::RainSpec;
use crate::read::remedy_for;
use crate::shelf::{self, Shelf};
use crate::stamp_makers::StampMaker;
use crate::trials::{self, Trials};
use crate::{DYES, IoError, ORDERS, STAMPS, WORKSHOP, dye, orders, workshop};
use colour::DyeCard;
use route::{Design, Workshop};
use sha2::{Digest, Sha256};
use stamp::Limits;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use words::{Arg, Finding, Place, Voice, Weight, say};

/// Everything in a folder that could be read, and everything that was wrong.
pub struct Workspace {
    /// The folder.
    pub dir: PathBuf,
    /// The collection; empty where its file is wrong.
    pub collection: Collection,
    /// The workshop; `None` if its file does not say enough to compute with.
    pub workshop: Option<Workshop>,
    /// When the workshop works.
    pub calendars: Vec<CalendarSpec>,
    /// Who builds stamps; the first is the usual one.
    pub stamp_makers: Vec<StampMaker>,
    /// How likely rain is; `None`: the workshop's file says nothing of it.
    pub rain: Option<RainSpec>,
    /// How long after its order something is there.
    pub lead_times: LeadTimes,
    /// Dye cards that may be used, by id.
    pub dyes: Vec<Arc<DyeCard>>,
    /// Every design file, also those that cannot be made, by path.
    pub designs: Vec<DesignFile>,
    /// Orders, as they stand in the file.
    pub orders: Vec<Order>,
    /// What was tried and measured here.
    pub trials: Trials,
    /// Copies of stamps, and what was done to them.
    pub shelf: Shelf,
    /// Everything that was found, file by file.
    pub findings: Vec<Finding>,
    /// The files as read, drawings too.
    pub sources: Vec<Source>,
    pub(crate) stamps: Arc<StampStore>,
    /// Dye cards that cannot be used.
    broken: BTreeSet<String>,
    /// What was found in the files that are read before the designs.
    elsewhere: Vec<Finding>,
}

impl Workspace {
    /// Reads a folder. What is wrong inside files is in [`Workspace::findings`]; nothing stops at the first.
    ///
    /// # Errors
    /// If the folder is no workspace or cannot be listed.
    pub fn open(dir: &Path) -> Result<Self, IoError> {
        Self::read(dir, Arc::default())
    }

    /// What the workshop's usual stamp maker can build: the first one's limits, or those assumed for any.
    pub fn stamp_limits(&self) -> Limits {
        let maker = self.stamp_makers.first();
        maker.map_or_else(Limits::default, |maker| maker.limits.clone())
    }

    /// Reads the folder again. Stamps whose drawing has not changed are not made anew.
    ///
    /// # Errors
    /// As [`Workspace::open`].
    pub fn again(&self) -> Result<Self, IoError> {
        Self::read(&self.dir, self.stamps.clone())
    }

    /// Would the next start read drawings faster after [`Workspace::keep_drawings`]?
    pub fn drawings_are_kept(&self) -> bool {
        self.stamps.is_kept()
    }

    /// Keeps the drawings as they were read, hidden in the folder, so that the next start need not unite their shapes.
    /// Best effort: what cannot be written is read anew.
    pub fn keep_drawings(&self) {
        self.stamps.keep(&self.dir);
    }

    fn read(dir: &Path, stamps: Arc<StampStore>) -> Result<Self, IoError> {
        let folder = Folder::read(dir)?;
        let mut findings = folder.findings;
        let mut keep = |all: Vec<Finding>| findings.extend(all);

        let mut collection = Collection::default();
        if let Some(source) = &folder.collection {
            let (read, found) = orders::collection(source);
            collection = read.unwrap_or_default();
            keep(found);
        }
        let (mut shop, mut calendars, mut stamp_makers, mut rain) = (None, Vec::new(), Vec::new(), None);
        let mut lead_times = LeadTimes::default();
        if let Some(source) = &folder.workshop {
            let file = workshop::read(source);
            (shop, calendars, stamp_makers) = (file.workshop, file.calendars, file.stamp_makers);
            rain = file.rain;
            lead_times = file.lead_times;
            keep(file.findings);
        }
        let store = dyes(&folder.dyes, shop.as_ref(), &mut keep);
        let mut orders = Vec::new();
        if let Some(source) = &folder.orders {
            let (read, found) = orders::orders(source);
            orders = read;
            keep(found);
        }
        let mut trials = Trials::default();
        if let Some(source) = &folder.trials {
            let (read, found) = trials::read(source);
            trials = read;
            keep(found);
        }
        let mut shelf = Shelf::default();
        if let Some(source) = &folder.stamps {
            let (read, found) = shelf::read(source);
            shelf = read;
            keep(found);
        }
        let (mut designs, mut drawings) = (Vec::new(), Vec::new());
        for (file, more) in each_design(dir, &folder.designs, &store, &stamps, shop.as_ref()) {
            designs.push(file);
            drawings.extend(more);
        }
        twice(&mut designs);
        let elsewhere = findings.clone();
        findings.extend(designs.iter().flat_map(|d| d.findings.iter().cloned()));
        findings.extend(orders_without_design(&orders, &designs));
        findings.extend(copies_without_stamp(&shelf, &designs));

        let sources = [
            folder.collection,
            folder.workshop,
            folder.orders,
            folder.trials,
            folder.stamps,
        ]
        .into_iter()
        .flatten();
        let sources = sources
            .chain(folder.dyes)
            .chain(folder.designs)
            .chain(drawings)
            .collect();
        Ok(Self {
            dir: dir.to_path_buf(),
            collection,
            workshop: shop,
            calendars,
            stamp_makers,
            rain,
            lead_times,
            broken: store.broken,
            elsewhere,
            dyes: store.cards.into_values().collect(),
            designs,
            orders,
            trials,
            shelf,
            findings,
            sources,
            stamps,
        })
    }

    /// The same folder as it would be if the file of one design held this text. Nothing is written or read again but
    /// the design's drawings. A path that is no design's file changes nothing.
    #[must_use]
    pub fn as_if(&self, path: &str, text: &str) -> Self {
        let mut new = Self {
            dir: self.dir.clone(),
            collection: self.collection.clone(),
            workshop: self.workshop.clone(),
            calendars: self.calendars.clone(),
            stamp_makers: self.stamp_makers.clone(),
            rain: self.rain.clone(),
            lead_times: self.lead_times.clone(),
            dyes: self.dyes.clone(),
            designs: self.designs.clone(),
            orders: self.orders.clone(),
            trials: self.trials.clone(),
            shelf: self.shelf.clone(),
            findings: Vec::new(),
            sources: self.sources.clone(),
            stamps: self.stamps.clone(),
            broken: self.broken.clone(),
            elsewhere: self.elsewhere.clone(),
        };
        if let Some(at) = self.designs.iter().position(|file| file.path == path) {
            let source = Source {
                path: path.to_string(),
                text: text.to_string(),
                hash: Sha256::digest(text.as_bytes()).into(),
            };
            let store = DyeStore {
                cards: self
                    .dyes
                    .iter()
                    .map(|card| (card.id.clone(), card.clone()))
                    .collect(),
                broken: self.broken.clone(),
            };
            let shop = self.workshop.as_ref();
            let (mut file, drawings) = design::read(&self.dir, &source, &store, &self.stamps, shop);
            let others = self.designs.iter().filter(|other| other.path != path);
            if let Some(id) = &file.id
                && let Some(other) = others.clone().find(|other| other.id.as_ref() == Some(id))
            {
                let place = self::at(path, &file.id_span);
                file.refuse(two_files("design-in-two-files", &id.clone(), place, &other.path));
            }
            let before = std::mem::replace(&mut new.designs[at], file).drawings;
            let named = |path: &String| new.designs.iter().any(|file| file.drawings.contains(path));
            let gone: Vec<String> = before.into_iter().filter(|path| !named(path)).collect();
            new.sources.retain(|old| !gone.contains(&old.path));
            for source in drawings.into_iter().chain([source]) {
                match new.sources.iter_mut().find(|old| old.path == source.path) {
                    Some(old) => *old = source,
                    None => new.sources.push(source),
                }
            }
        }
        let of_designs = new.designs.iter().flat_map(|file| file.findings.iter().cloned());
        let of_orders = orders_without_design(&new.orders, &new.designs);
        let of_copies = copies_without_stamp(&new.shelf, &new.designs);
        new.findings = new
            .elsewhere
            .iter()
            .cloned()
            .chain(of_designs)
            .chain(of_orders)
            .chain(of_copies)
            .collect();
        new
    }

    /// The file of a design.
    pub fn design_file(&self, id: &str) -> Option<&DesignFile> {
        self.designs.iter().find(|file| file.id.as_deref() == Some(id))
    }
    /// A design that can be made.
    pub fn design(&self, id: &str) -> Option<&Arc<Design>> {
        self.design_file(id)?.design.as_ref()
    }
    /// A dye by id.
    pub fn dye(&self, id: &str) -> Option<&Arc<DyeCard>> {
        self.dyes.iter().find(|card| card.id == id)
    }
    /// The file of a dye card.
    pub fn dye_file(&self, id: &str) -> Option<&Source> {
        let cards = self.sources.iter().filter(|s| s.path.starts_with(DYES));
        let mut named = cards.filter(|s| dye::read(s).id.is_some_and(|(found, _)| found == id));
        named.next()
    }
    /// A calendar by key.
    pub fn calendar(&self, key: &str) -> Option<&CalendarSpec> {
        self.calendars.iter().find(|calendar| calendar.key == key)
    }
    /// A file as it was read.
    pub fn source(&self, path: &str) -> Option<&Source> {
        self.sources.iter().find(|source| source.path == path)
    }
    /// Is anything wrong?
    pub fn wrong(&self) -> bool {
        self.findings.iter().any(|f| f.weight == Weight::Wrong)
    }
    /// A finding as text with its place marked in the file.
    pub fn show(&self, finding: &Finding, voice: Voice) -> String {
        let source = match &finding.place {
            Place::File { path, .. } => self.source(path).map(|s| s.text.as_str()),
            _ => None,
        };
        words::show(finding, source, voice)
    }
}

/// The finding at a place of a file.
pub(crate) fn at(path: &str, span: &Range<usize>) -> Place {
    Place::File {
        path: path.to_string(),
        span: span.clone(),
    }
}

fn dyes(sources: &[Source], shop: Option<&Workshop>, keep: &mut impl FnMut(Vec<Finding>)) -> DyeStore {
    let mut store = DyeStore {
        cards: BTreeMap::new(),
        broken: BTreeSet::new(),
    };
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for source in sources {
        let file = dye::read(source);
        keep(file.findings);
        let Some((id, span)) = file.id else { continue };
        if let Some(other) = seen.get(&id) {
            keep(vec![two_files(
                "dye-in-two-files",
                &id,
                at(&source.path, &span),
                other,
            )]);
            // Which of the two was meant is not known: neither is used.
            store.cards.remove(&id);
            store.broken.insert(id);
            continue;
        }
        seen.insert(id.clone(), source.path.clone());
        match file.card {
            Some(card) => {
                let code = &card.price.currency;
                if let Some(shop) = shop.filter(|shop| !workshop::convertible(shop, code)) {
                    keep(vec![no_rate(code, &shop.books, at(&source.path, &file.price))]);
                }
                store.cards.insert(id, Arc::new(card));
            }
            None => {
                store.broken.insert(id);
            }
        }
    }
    store
}

/// Reads all designs, on every core: a drawing takes some hundredths of a second, and drawings differ. Whoever is free
/// takes the next.
fn each_design(
    dir: &Path,
    sources: &[Source],
    store: &DyeStore,
    stamps: &StampStore,
    shop: Option<&Workshop>,
) -> Vec<(DesignFile, Vec<Source>)> {
    let next = AtomicUsize::new(0);
    let read = || -> Vec<(usize, _)> {
        let turns = std::iter::from_fn(|| {
            let at = next.fetch_add(1, Ordering::Relaxed);
            sources.get(at).map(|source| (at, source))
        });
        turns
            .map(|(at, source)| (at, design::read(dir, source, store, stamps, shop)))
            .collect()
    };
    let threads = std::thread::available_parallelism()
        .map_or(1, usize::from)
        .min(sources.len());
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(read)).collect();
        let mut all = read();
        for other in others {
            // A thread that panics is a bug; it goes on in the caller.
            all.extend(other.join().unwrap_or_else(|p| std::panic::resume_unwind(p)));
        }
        all.sort_by_key(|(at, _)| *at);
        all.into_iter().map(|(_, read)| read).collect()
    })
}

/// Two design files with one id: both are told, and neither can be made until one is changed.
fn twice(designs: &mut [DesignFile]) {
    for later in 1..designs.len() {
        let (before, rest) = designs.split_at_mut(later);
        let Some(file) = rest.first_mut() else { continue };
        let Some(id) = file.id.clone() else { continue };
        if let Some(other) = before.iter_mut().find(|other| other.id.as_ref() == Some(&id)) {
            file.refuse(two_files(
                "design-in-two-files",
                &id,
                at(&file.path, &file.id_span),
                &other.path,
            ));
            other.design = None;
            other.revision = None;
        }
    }
}

fn two_files(code: &'static str, id: &str, place: Place, other: &str) -> Finding {
    let here = match &place {
        Place::File { path, .. } => path.clone(),
        _ => String::new(),
    };
    Finding::new(
        code,
        Weight::Wrong,
        place,
        say!(
            "{here} and {other} have the same id {id}",
            "{here} dan {other} memakai id yang sama, {id}",
            here = Arg::Name(here),
            other = Arg::Name(other.to_string()),
            id = Arg::Name(id.to_string())
        ),
    )
    .remedy(say!("change the id in one of them", "ganti id di salah satunya"))
}

fn no_rate(code: &str, books: &str, place: Place) -> Finding {
    Finding::new(
        "currency-without-rate",
        Weight::Wrong,
        place,
        say!(
            "there is no exchange rate between {code} and {books}",
            "tidak ada kurs antara {code} dan {books}",
            code = Arg::Name(code.to_string()),
            books = Arg::Name(books.to_string())
        ),
    )
    .remedy(say!(
        "add one under {rates} in {file}",
        "tambahkan di {rates} dalam {file}",
        rates = Arg::Name("[[rates]]".into()),
        file = Arg::Name(WORKSHOP.into())
    ))
}

/// Copies of a stamp that its design does not use. Of a design that cannot be made nothing is said.
fn copies_without_stamp(shelf: &Shelf, designs: &[DesignFile]) -> Vec<Finding> {
    let ids: Vec<&str> = designs.iter().filter_map(|d| d.id.as_deref()).collect();
    let unknown = shelf.copies.iter().filter_map(|copy| {
        let file = designs
            .iter()
            .find(|d| d.id.as_deref() == Some(copy.id.design.as_str()));
        let remedy = match file {
            None => remedy_for(&copy.id.design, ids.iter().copied()),
            Some(file) => {
                let stamps: Vec<&str> = file
                    .design
                    .as_ref()?
                    .stamps
                    .iter()
                    .map(|s| s.id.as_str())
                    .collect();
                if stamps.contains(&copy.id.stamp.as_str()) {
                    return None;
                }
                remedy_for(&copy.id.stamp, stamps)
            }
        };
        let mut finding = Finding::new(
            "copy-without-stamp",
            Weight::Wrong,
            at(STAMPS, &copy.span),
            say!(
                "no design of this workspace has the stamp of {copy}",
                "tidak ada desain di ruang kerja ini dengan cap {copy}",
                copy = Arg::Name(shelf::name(&copy.id))
            ),
        );
        finding.remedy = remedy;
        Some(finding)
    });
    unknown.collect()
}

fn orders_without_design(orders: &[Order], designs: &[DesignFile]) -> Vec<Finding> {
    let known: Vec<&str> = designs.iter().filter_map(|d| d.id.as_deref()).collect();
    let unknown = orders
        .iter()
        .filter(|order| !known.contains(&order.design.as_str()));
    unknown
        .map(|order| {
            let mut finding = Finding::new(
                "order-without-design",
                Weight::Wrong,
                at(ORDERS, &order.design_span),
                say!(
                    "order {order} asks for {design}, which is no design of this workspace",
                    "pesanan {order} meminta {design}, yang bukan desain di ruang kerja ini",
                    order = Arg::Name(order.id.clone()),
                    design = Arg::Name(order.design.clone())
                ),
            );
            finding.remedy = remedy_for(&order.design, known.iter().copied());
            finding
        })
        .collect()
}
