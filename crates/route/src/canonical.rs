//! What cloth depends on, as hashes: cache keys of steps and the revision of a design.
//!
//! Two chains of [`step_key`] are run along a route. The keys of the steps begin with everything of the workshop
//! that changes the cloth, so that a cached picture is never shown for another climate. A *revision* leaves the
//! workshop out: it says what was designed, wherever it is made.
//!
//! Names, notes, prices and hazards change no cloth and are in neither.

use crate::{Cloth, Design, LotShape, OPERATIONS, Workshop, step_key};
use colour::DyeCard;
use sha2::{Digest, Sha256};
use stamp::{Along, Layout};
use words::{Known, Origin};

/// A hash of fields, each told apart from its neighbours by its length.
struct Fields(Sha256);

impl Fields {
    fn of(what: &str) -> Self {
        let mut this = Self(Sha256::new());
        this.bytes(what.as_bytes());
        this
    }
    fn bytes(&mut self, bytes: &[u8]) {
        self.0.update((bytes.len() as u64).to_le_bytes());
        self.0.update(bytes);
    }
    fn numbers(&mut self, numbers: &[f64]) {
        for number in numbers {
            self.bytes(&number.to_le_bytes());
        }
    }
    /// The origin counts: the same number measured and assumed give different windows.
    fn origin(&mut self, origin: &Origin) {
        match origin {
            Origin::Assumed { factor, source } => {
                self.bytes(b"assumed");
                self.numbers(&[*factor]);
                self.bytes(source.as_bytes());
            }
            Origin::Yours => self.bytes(b"yours"),
            Origin::Measured { date, n } => {
                self.bytes(b"measured");
                self.bytes(date.as_bytes());
                self.bytes(&n.to_le_bytes());
            }
        }
    }
    fn known(&mut self, known: &Known) {
        self.numbers(&[known.value]);
        self.origin(&known.origin);
    }
    fn end(self) -> [u8; 32] {
        self.0.finalize().into()
    }
}

/// Hash of everything on a dye card that changes cloth or a window.
pub fn dye_key(card: &DyeCard) -> [u8; 32] {
    let mut fields = Fields::of("dye 1");
    fields.bytes(card.id.as_bytes());
    fields.bytes(card.chemistry.term().key.as_bytes());
    fields.numbers(&card.unit_ks);
    fields.origin(&card.spectrum);
    let (f, b) = (&card.fixation, &card.bleaching);
    for known in [
        &card.k_max,
        &f.rate,
        &f.energy,
        &f.final_share,
        &card.affinity,
        &card.exhaustion,
    ] {
        fields.known(known);
    }
    for known in [&b.rate, &b.energy, &b.residue, &card.blue_wool] {
        fields.known(known);
    }
    fields.numbers(&[f.at.0, f.ph, b.at.0, b.ph, b.ph_least, b.ph_most]);
    fields.end()
}

/// Hash of everything of a workshop that changes cloth: climate, vessels, its own constants.
pub fn shop_key(shop: &Workshop) -> [u8; 32] {
    let mut fields = Fields::of("workshop 1");
    let c = &shop.climate;
    fields.numbers(&[
        c.latitude,
        c.longitude,
        c.utc_hours,
        c.air.0,
        c.humidity,
        c.wind,
        c.clearness,
    ]);
    fields.numbers(&[f64::from(c.day)]);
    let mut stations: Vec<_> = shop.stations.iter().collect();
    stations.sort_by(|a, b| a.key.cmp(&b.key));
    for station in stations {
        fields.bytes(station.key.as_bytes());
        fields.numbers(&[f64::from(station.places), station.volume, station.load.0]);
    }
    fields.bytes(b"constants");
    for constant in OPERATIONS.iter().flat_map(|kind| kind.constants) {
        fields.bytes(constant.key.as_bytes());
        fields.known(&shop.constants.known(constant));
    }
    fields.end()
}

fn cloth_key(cloth: &Cloth, before: &[u8]) -> [u8; 32] {
    let mut fields = Fields::of("cloth 1");
    fields.bytes(before);
    fields.numbers(&[cloth.width.0, cloth.length.0, cloth.weight]);
    fields.end()
}

/// Keys of the design's dyes and stamps, in its order.
fn contents(design: &Design) -> (Vec<[u8; 32]>, Vec<[u8; 32]>) {
    let dyes = design.dyes.iter().map(|card| dye_key(card)).collect();
    let stamps = design.stamps.iter().map(|used| {
        let mut fields = Fields::of("stamp 1");
        fields.bytes(&used.key);
        fields.bytes(match used.layout {
            Layout::Straight => b"straight",
            Layout::HalfDrop => b"half-drop",
            Layout::Brick => b"brick",
            Layout::Mirror => b"mirror",
            Layout::Rotated => b"rotated-pair",
        });
        // A set in register prints as two stamps do; a border prints elsewhere.
        if let Some(border) = &used.border {
            fields.bytes(match border.along {
                Along::Ends => b"ends",
                Along::Selvedges => b"selvedges",
                Along::Frame => b"frame",
            });
            fields.numbers(&[border.inset.0]);
            if let Some((_, _, key)) = &border.corner {
                fields.bytes(key);
            }
        }
        fields.end()
    });
    (dyes, stamps.collect())
}

/// Gives every step of the design its key in this workshop.
pub fn set_keys(design: &mut Design, shop: &Workshop) {
    let (dyes, stamps) = contents(design);
    let mut key = cloth_key(&design.cloth, &shop_key(shop));
    for step in &mut design.steps {
        key = step_key(&key, step.operation.as_ref(), &step.id, &dyes, &stamps);
        step.key = key;
    }
}

/// Keys of the cloth of one bolt: white, then after each step. Where two bolts have the same key their cloth is the
/// same to the bit, plane for plane: unlike a step's own key these count the place of a dye in the design, which numbers
/// its planes. Dyes that no step has used yet are not in them.
pub fn bolt_keys(design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<[u8; 32]> {
    let (dyes, stamps) = contents(design);
    let placed: Vec<[u8; 32]> = (0u32..)
        .zip(&dyes)
        .map(|(place, key)| {
            let mut fields = Fields::of("dye in its place 1");
            fields.bytes(&place.to_le_bytes());
            fields.bytes(key);
            fields.end()
        })
        .collect();
    let mut fields = Fields::of("bolt 1");
    fields.bytes(&cloth_key(&design.cloth, &shop_key(shop)));
    fields.bytes(&cloth_key(&lot.cloth, lot.id.as_bytes()));
    fields.bytes(&lot.bolts.to_le_bytes());
    fields.bytes(&lot.bolt.to_le_bytes());
    let mut keys = vec![fields.end()];
    for (at, step) in design.steps.iter().enumerate() {
        keys.push(step_key(
            &keys[at],
            step.operation.as_ref(),
            &step.id,
            &placed,
            &stamps,
        ));
    }
    keys
}

/// Hash of what turns dye on the cloth into light: all dyes of the design, in their places.
pub fn light_key(design: &Design) -> [u8; 32] {
    let mut fields = Fields::of("light 1");
    for card in &design.dyes {
        fields.bytes(&dye_key(card));
    }
    fields.end()
}

/// The revision of a design: what it is made of and how, with the model numbers of its operations, wherever it is
/// made.
pub fn revision(design: &Design) -> [u8; 32] {
    let (dyes, stamps) = contents(design);
    let start = cloth_key(&design.cloth, b"");
    let last = design.steps.iter().fold(start, |key, step| {
        step_key(&key, step.operation.as_ref(), &step.id, &dyes, &stamps)
    });
    let mut fields = Fields::of("revision 1");
    fields.bytes(design.id.as_bytes());
    fields.bytes(&last);
    fields.end()
}
