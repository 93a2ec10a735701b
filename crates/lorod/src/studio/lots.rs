//! First, middle and last bolt of a lot, with their pictures, as pages ask for them.

use super::Studio;
use super::kiln::KeepGoing;
use super::known::rests_on;
use super::reader::Reader;
use crate::facts::lot::{Asked, Lot, lot};
use cloth::lot::{Led, Wander};
use cloth::{Picture, Refused};
use route::{Design, Workshop};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use words::{Finding, Place, Weight, say};
use workspace::Workspace;

/// Side of a picture, pixels.
pub const SIDE: u32 = 420;
/// Fewest bolts that are a lot.
pub const LEAST: u32 = 3;

/// What took seconds.
pub struct Made {
    /// The lot.
    pub lot: Lot,
    /// Of each bolt: a piece as it lies in the hand, and the whole width.
    pub pictures: Vec<[Picture; 2]>,
}

/// How the baths of a lot are led, as an address says it.
pub fn led(reader: &Reader) -> Led {
    if reader.get("baths") == Some("left") {
        Led::Left
    } else {
        Led::BySheet
    }
}

fn key(workspace: &Workspace, design: &Design, bolts: u32, led: Led) -> Option<String> {
    Some(format!("{} {bolts} {led:?}", rests_on(workspace, &design.id)?))
}

impl Studio {
    /// The lot, if it was made.
    pub fn known_lot(
        &self,
        workspace: &Workspace,
        design: &Design,
        bolts: u32,
        led: Led,
    ) -> Option<Arc<Made>> {
        self.answers().lots.get(&key(workspace, design, bolts, led)?)
    }

    /// The lot, made: some ten seconds of one core.
    ///
    /// # Errors
    /// A finding if it was ended, or cannot be drawn.
    pub fn lot(
        &self,
        workspace: &Workspace,
        design: &Arc<Design>,
        shop: &Workshop,
        bolts: u32,
        led: Led,
        keep_going: KeepGoing,
    ) -> Result<Arc<Made>, Vec<Finding>> {
        let key = key(workspace, design, bolts, led).unwrap_or_default();
        if let Some(known) = self.answers().lots.get(&key) {
            return Ok(known);
        }
        let asked = Asked {
            lot: design.id.clone(),
            bolts,
            wander: Wander::default(),
            led,
        };
        let made =
            lot(design, shop, &asked, &|share| keep_going(0.7 * share)).map_err(|why| not_made(&why))?;
        let stop = AtomicBool::new(false);
        let all = made.bolts.len().max(1) as f64;
        let mut pictures = Vec::new();
        for (at, one) in made.bolts.iter().enumerate() {
            if !keep_going(0.7 + 0.3 * at as f64 / all) {
                stop.store(true, Ordering::Relaxed);
            }
            pictures.push(one.pictures(SIDE, &stop).map_err(|why| not_made(&why))?);
        }
        Ok(self.answers().lots.put(key, Made { lot: made, pictures }))
    }
}

fn not_made(why: &Refused) -> Vec<Finding> {
    let found = match why {
        Refused::Stopped => say!("the lot was not made to its end", "partai belum selesai dihitung"),
        Refused::Empty | Refused::TooLarge { .. } => say!(
            "this cloth is too small or too large to be drawn",
            "kain ini terlalu kecil atau terlalu besar untuk digambar"
        ),
    };
    vec![Finding::new("no-lot", Weight::Wrong, Place::Request, found)]
}
