//! A design: cloth, dyes, stamps and the route.

use crate::{Operation, Value};
use colour::DyeCard;
use field::Seed;
use sha2::{Digest, Sha256};
use stamp::{Along, Layout, Stamp};
use std::sync::Arc;
use units::{Area, Length, Mass};

/// The white cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cloth {
    /// Across.
    pub width: Length,
    /// Along, finished.
    pub length: Length,
    /// Mass per area, kg/m2.
    pub weight: f64,
}

/// A stamp as a design uses it.
#[derive(Clone)]
pub struct StampUse {
    /// Id inside the design.
    pub id: String,
    /// The stamp.
    pub stamp: Arc<Stamp>,
    /// How impressions are laid.
    pub layout: Layout,
    /// Set if it runs along the edges of the cloth; its layout then says nothing.
    pub border: Option<BorderUse>,
    /// Id of the stamp whose outlines it fills: both are printed on one repeat, in register.
    pub register: Option<String>,
    /// SHA-256 of the artwork's bytes and its size.
    pub key: [u8; 32],
}

/// A stamp that runs along the edges of the cloth.
#[derive(Clone)]
pub struct BorderUse {
    /// Which edges.
    pub along: Along,
    /// From the edge of the cloth to the band.
    pub inset: Length,
    /// The stamp that it turns at, with its id and key; a frame has one.
    pub corner: Option<(String, Arc<Stamp>, [u8; 32])>,
}

/// One step of a route.
#[derive(Clone)]
pub struct Step {
    /// Permanent id: random fields are seeded by it, never by the place in the list.
    pub id: String,
    /// The operation with its settings.
    pub operation: Arc<dyn Operation>,
    /// Hash of everything the cloth after this step depends on.
    pub key: [u8; 32],
}

/// A design.
#[derive(Clone)]
pub struct Design {
    /// Permanent id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Colourway.
    pub colourway: String,
    /// One sentence about it.
    pub note: String,
    /// The white cloth.
    pub cloth: Cloth,
    /// The dyes it uses, at most [`crate::DYES`].
    pub dyes: Vec<Arc<DyeCard>>,
    /// The stamps it uses.
    pub stamps: Vec<StampUse>,
    /// The route.
    pub steps: Vec<Step>,
}

/// A lot, and which bolt of it.
#[derive(Clone, Debug, PartialEq)]
pub struct LotShape {
    /// Id.
    pub id: String,
    /// Bolts in the lot.
    pub bolts: u32,
    /// This bolt, from 0.
    pub bolt: u32,
    /// Size and mass.
    pub cloth: Cloth,
}

impl LotShape {
    /// A lot of a design.
    pub fn new(id: &str, bolts: u32, bolt: u32, cloth: Cloth) -> Self {
        Self {
            id: id.to_string(),
            bolts,
            bolt,
            cloth,
        }
    }
    /// Area of a bolt.
    pub fn area(&self) -> Area {
        self.cloth.width * self.cloth.length
    }
    /// Dry mass of a bolt.
    pub fn mass(&self) -> Mass {
        self.area().at(self.cloth.weight)
    }
    /// Seed of this bolt.
    pub fn seed(&self) -> Seed {
        Seed(0x6c6f_726f_6421)
            .child(&self.id)
            .number(u64::from(self.bolt))
    }
}

/// The key of a step: hash of the previous key, the kind, its model and the settings, with the contents of
/// the dye cards (`dyes`) and stamps that the settings name.
pub fn step_key(
    previous: &[u8; 32],
    operation: &dyn Operation,
    id: &str,
    dyes: &[[u8; 32]],
    stamps: &[[u8; 32]],
) -> [u8; 32] {
    let mut hash = Sha256::new();
    let mut field = |bytes: &[u8]| {
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    field(previous);
    field(id.as_bytes());
    field(operation.kind().key.as_bytes());
    field(&operation.kind().model.to_le_bytes());
    for (key, value) in operation.values().iter() {
        field(key.as_bytes());
        match value {
            Value::Quantity(typed) => field(&typed.quantity.si.to_le_bytes()),
            Value::Choice(word) => field(word.as_bytes()),
            Value::Dyes(doses) => {
                for dose in doses {
                    field(dyes.get(dose.dye).map_or(&[], |key| key.as_slice()));
                    field(&dose.depth.quantity.si.to_le_bytes());
                }
            }
            Value::Stamp(index) => field(stamps.get(*index).map_or(&[], |key| key.as_slice())),
        }
    }
    hash.finalize().into()
}
