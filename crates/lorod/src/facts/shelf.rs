//! The life of the workshop's stamps: how much each copy has printed, how level it was, when it is to be filed.
//!
//! Prints are counted from whole bolts: the impressions of the design on its bolt, for each of the route's waxings
//! that uses the stamp. A stamp wears with the cloth it prints, so its refiling is counted in metres.

use route::{Design, Value};
use sky::Date;
use words::{Arg, Finding, Known, Place, Weight, say};
use workspace::{CopyId, Did, ShelfEntry, StampCopy, Workspace, copy_name};

/// Cloth after which a stamp is filed level again, m, until the workshop says its own.
pub fn usual_refiling() -> Known {
    // The middle of 300 and 500 m, and the factor to both.
    Known::assumed(387.0, 1.3, "common practice, no source (300-500 m)")
}

/// How far a face may be off level, mm: more prints as a gap.
pub fn usual_level() -> Known {
    Known::assumed(
        0.3e-3,
        1.5,
        "common practice, no source (file again above 0.3 mm)",
    )
}

/// What a copy has printed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Printed {
    /// Whole bolts.
    pub bolts: u32,
    /// Impressions.
    pub prints: u64,
    /// Cloth, once for each waxing, m.
    pub metres: f64,
}

/// Whether a copy is to be filed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Due {
    /// It was off level at its last proof, by so much, m.
    OffLevel(f64),
    /// It has printed more cloth since it was filed than even the long end of what is believed.
    Now,
    /// It has printed more than the short end.
    Soon,
    /// Cloth that is likely left, m.
    Later(f64),
}

/// The life of one copy.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Which, and where it hangs.
    pub copy: StampCopy,
    /// What people call its stamp: its design, and its own name where the design has several.
    pub stamp: String,
    /// In all.
    pub all: Printed,
    /// Since it was last filed, or made.
    pub since: Printed,
    /// Days of refiling.
    pub refiled: Vec<Date>,
    /// The last proof, and how far it was off level, m, if measured.
    pub proof: Option<(Date, Option<f64>)>,
    /// When it was retired.
    pub retired: Option<Date>,
    /// Whether it is to be filed; none if it is retired or its design cannot be made.
    pub due: Option<Due>,
}

/// All copies of a workspace.
#[derive(Clone, Debug, PartialEq)]
pub struct Lives {
    /// As they stand in the file.
    pub copies: Vec<Life>,
    /// Cloth after which a stamp is filed, m.
    pub refile_every: Known,
    /// How far off level it may be, m.
    pub level: Known,
    /// Stamps of designs, `design/stamp`, of which every copy is retired.
    pub bare: Vec<String>,
}

/// Tells the lives of all stamps of a workspace.
pub fn lives(workspace: &Workspace) -> Lives {
    let shelf = &workspace.shelf;
    let (refile_every, level) = (
        shelf.refile_every.clone().unwrap_or_else(usual_refiling),
        usual_level(),
    );
    let copies = shelf
        .copies
        .iter()
        .map(|copy| {
            let bolt = workspace
                .design(&copy.id.design)
                .and_then(|design| one_bolt(design, &copy.id.stamp));
            life(workspace, copy, bolt, &refile_every, &level)
        })
        .collect();
    let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
    let stamps = designs.flat_map(|design| design.stamps.iter().map(move |used| (&design.id, &used.id)));
    let bare = stamps
        .filter(|(design, stamp)| shelf.in_use(design, stamp) == Some(0))
        .map(|(design, stamp)| format!("{design}/{stamp}"));
    Lives {
        copies,
        refile_every,
        level,
        bare: bare.collect(),
    }
}

/// What one bolt of a design asks of one of its stamps; none if the design has no such stamp.
fn one_bolt(design: &Design, stamp: &str) -> Option<Printed> {
    let at = design.stamps.iter().position(|used| used.id == stamp)?;
    let used = design.stamps.get(at)?;
    // A corner stamp is set wherever its border is.
    let turns = |one: &route::StampUse| {
        let corner = one.border.as_ref().and_then(|border| border.corner.as_ref());
        corner.is_some_and(|(id, _, _)| id == stamp)
    };
    let (at, used) = design
        .stamps
        .iter()
        .enumerate()
        .find(|(_, one)| turns(one))
        .unwrap_or((at, used));
    let uses = |step: &&route::Step| {
        let mut values = step.operation.values().iter();
        values.any(|(_, value)| matches!(value, Value::Stamp(index) if *index == at))
    };
    let waxings = design.steps.iter().filter(uses).count();
    let cloth = design.cloth;
    let prints = used
        .prints(&cloth)
        .iter()
        .find(|one| one.id == stamp)
        .map_or(0, |one| one.count);
    Some(Printed {
        bolts: 1,
        prints: u64::from(prints) * waxings as u64,
        metres: cloth.length.to_mm() / 1e3 * waxings as f64,
    })
}

/// What people call the stamp of a copy.
pub fn called(workspace: &Workspace, id: &CopyId) -> String {
    let named = format!("{}/{}", id.design, id.stamp);
    super::views::stamp(&format!("stamp:{named}"), workspace).unwrap_or(named)
}

fn life(
    workspace: &Workspace,
    copy: &StampCopy,
    bolt: Option<Printed>,
    every: &Known,
    level: &Known,
) -> Life {
    let mut life = Life {
        copy: copy.clone(),
        stamp: called(workspace, &copy.id),
        all: Printed::default(),
        since: Printed::default(),
        refiled: Vec::new(),
        proof: None,
        retired: None,
        due: None,
    };
    let one = bolt.unwrap_or(Printed {
        bolts: 1,
        ..Printed::default()
    });
    // How far off level it was since it was last filed.
    let mut off = None;
    for deed in workspace.shelf.of(&copy.id) {
        match &deed.did {
            Did::Stamped(bolts) => {
                for printed in [&mut life.all, &mut life.since] {
                    printed.bolts += bolts;
                    printed.prints += one.prints * u64::from(*bolts);
                    printed.metres += one.metres * f64::from(*bolts);
                }
            }
            Did::Refiled => {
                (life.since, off) = (Printed::default(), None);
                life.refiled.push(deed.date);
            }
            Did::Proofed(measured) => {
                let metres = measured.map(|m| m.to_mm() / 1e3);
                (life.proof, off) = (Some((deed.date, metres)), metres.or(off));
            }
            Did::Retired => life.retired = Some(deed.date),
        }
    }
    if life.retired.is_none() {
        life.due = match off {
            Some(m) if m > level.value => Some(Due::OffLevel(m)),
            _ => bolt.map(|_| due(life.since.metres, every)),
        };
    }
    life
}

fn due(metres: f64, every: &Known) -> Due {
    let factor = match &every.origin {
        words::Origin::Assumed { factor, .. } => *factor,
        words::Origin::Yours | words::Origin::Measured { .. } => 1.0,
    };
    if metres >= every.value * factor {
        Due::Now
    } else if metres >= every.value / factor {
        Due::Soon
    } else {
        Due::Later(every.value - metres)
    }
}

impl Lives {
    /// What is to be done, the heaviest first: copies to order, copies to file.
    pub fn findings(&self) -> Vec<Finding> {
        let bare = self.bare.iter().map(|name| super::copies::all_retired(name));
        let filed = self.copies.iter().filter_map(|life| self.finding(life));
        let mut all: Vec<Finding> = bare.chain(filed).collect();
        all.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
        all
    }

    fn finding(&self, life: &Life) -> Option<Finding> {
        let stamp = Arg::Name(life.stamp.clone());
        let copy = Arg::Number(f64::from(life.copy.id.copy), 0);
        let metres = |m: f64| Arg::Number(m, 0);
        let (weight, found) = match life.due? {
            Due::OffLevel(m) => (
                Weight::Doubtful,
                say!(
                    "{stamp}, copy {copy}, was {mm} mm off level at its last proof",
                    "{stamp}, salinan {copy}, tidak rata {mm} milimeter pada cetak coba terakhir",
                    stamp = stamp,
                    copy = copy,
                    mm = Arg::Number(m * 1e3, 1)
                ),
            ),
            Due::Now => (
                Weight::Doubtful,
                say!(
                    "{stamp}, copy {copy}, has printed {m} m of cloth since it was filed",
                    "{stamp}, salinan {copy}, sudah mencetak {m} meter kain sejak dikikir",
                    stamp = stamp,
                    copy = copy,
                    m = metres(life.since.metres)
                ),
            ),
            Due::Soon => (
                Weight::Note,
                say!(
                    "{stamp}, copy {copy}, has printed {m} m of cloth since it was filed",
                    "{stamp}, salinan {copy}, sudah mencetak {m} meter kain sejak dikikir",
                    stamp = stamp,
                    copy = copy,
                    m = metres(life.since.metres)
                ),
            ),
            Due::Later(_) => return None,
        };
        let allowed = match life.due? {
            Due::OffLevel(_) => say!(
                "at most {mm} mm ({mark})",
                "paling banyak {mm} milimeter ({mark})",
                mm = Arg::Number(self.level.value * 1e3, 1),
                mark = Arg::Text(self.level.origin.mark())
            ),
            _ => say!(
                "about {m} m ({mark})",
                "sekitar {m} meter ({mark})",
                m = metres(self.refile_every.value),
                mark = Arg::Text(self.refile_every.origin.mark())
            ),
        };
        Some(
            Finding::new("stamp-to-file", weight, Place::Request, found)
                .allow(allowed)
                .remedy(say!(
                    "print a proof, lay a straight edge over the face, file it level",
                    "buat cetak coba, letakkan mistar di mukanya, kikir sampai rata"
                )),
        )
    }
}

/// Whether an entry can be written: a copy that comes is not there yet, and what is done is done to a copy that is.
///
/// # Errors
/// The finding that says why not.
pub fn may_write(workspace: &Workspace, entry: &ShelfEntry) -> Result<(), Finding> {
    let there = |id: &CopyId| workspace.shelf.copies.iter().any(|c| c.id == *id);
    match entry {
        ShelfEntry::Copy(copy) if there(&copy.id) => {
            let found = say!(
                "{copy} is on the shelf already",
                "{copy} sudah ada di rak",
                copy = Arg::Name(copy_name(&copy.id))
            );
            Err(Finding::new("copy-twice", Weight::Wrong, Place::Request, found))
        }
        ShelfEntry::Deed(deed) if !there(&deed.id) => Err(no_copy(&deed.id)),
        ShelfEntry::Copy(_) | ShelfEntry::Deed(_) => Ok(()),
    }
}

/// That there is no such copy.
pub fn no_copy(id: &CopyId) -> Finding {
    let found = say!(
        "{copy} is no copy on the shelf",
        "{copy} tidak ada di rak",
        copy = Arg::Name(copy_name(id))
    );
    Finding::new("no-such-copy", Weight::Wrong, Place::Request, found).remedy(say!(
        "put it on the shelf first, with its place",
        "letakkan dulu di rak, dengan tempatnya"
    ))
}

/// A copy as it was typed, `design/stamp/copy`; without a number the first.
pub fn copy_typed(text: &str) -> Option<CopyId> {
    let mut parts = text.split('/');
    let (design, stamp) = (parts.next()?, parts.next()?);
    let copy = parts.next().map_or(Some(1), |n| n.parse().ok())?;
    let whole = parts.next().is_none() && copy >= 1 && !design.is_empty() && !stamp.is_empty();
    whole.then(|| CopyId {
        design: design.to_string(),
        stamp: stamp.to_string(),
        copy,
    })
}
