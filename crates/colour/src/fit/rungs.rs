//! From samples to the rungs of one dye's ladder.

use super::ladder::{Noise, Rung};
use crate::measured::{Basis, Measured, Sample};
use words::{Arg, Finding, Place, Weight, say};

/// Header keyword by which a ladder's file states the share of the dye put on that stayed bound: `FIXED_SHARE "0.72"`.
pub const FIXED_SHARE: &str = "FIXED_SHARE";

/// The rungs of a dye among samples, rising in depth, and the noise that repeated readings show. Samples that carry
/// another dye are mixtures and are left out. A depth column without a dye's name (`OWF_PCT`) is that of this dye.
pub fn rungs(samples: &[Sample], dye: &str) -> (Vec<Rung>, Noise, Vec<Finding>) {
    let mut rungs: Vec<Rung> = samples
        .iter()
        .filter_map(|sample| {
            let own = |(id, _): &&(String, f64)| id.is_empty() || id == dye;
            let other = sample.depths.iter().any(|d| !own(&d) && d.1 > 0.0);
            let depth = sample.depths.iter().find(own)?.1;
            (!other).then(|| Rung {
                depth,
                reflectance: sample.mean,
                readings: sample.n,
                recovered: matches!(sample.basis, Basis::Recovered { .. }),
                place: sample.place.clone(),
            })
        })
        .collect();
    rungs.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let findings = if rungs.is_empty() {
        vec![no_depths(samples, dye)]
    } else {
        Vec::new()
    };
    let noise = if rungs.iter().any(|r| r.recovered) {
        Noise::PHOTOGRAPHED
    } else {
        repeated(samples)
    };
    (rungs, noise, findings)
}

/// The share of dye that a file says stayed bound.
///
/// # Errors
/// A finding if the header has the keyword but no share between 0 and 1.
pub fn fixed_share(measured: &Measured) -> Result<Option<f64>, Finding> {
    let Some(text) = measured.header(FIXED_SHARE) else {
        return Ok(None);
    };
    match text.parse::<f64>() {
        Ok(share) if share > 0.0 && share <= 1.0 => Ok(Some(share)),
        _ => Err(Finding::new(
            "ladder-fixed-share",
            Weight::Wrong,
            measured
                .readings
                .first()
                .map_or(Place::Request, |r| r.place.clone()),
            say!(
                "{key} in the header is \"{found}\".",
                "{key} di kepala berkas berisi \"{found}\".",
                key = Arg::Name(FIXED_SHARE.to_string()),
                found = Arg::Name(text.to_string())
            ),
        )
        .allow(say!(
            "It is the share of the dye put on that stayed bound, above 0 and up to 1.",
            "Ini bagian pewarna yang tetap terikat, lebih dari 0 sampai 1."
        ))),
    }
}

/// The scatter of readings, pooled over samples that were read more than once.
fn repeated(samples: &[Sample]) -> Noise {
    let repeated = || samples.iter().filter(|s| s.n > 1);
    let weight: f64 = repeated().map(|s| (s.n - 1) as f64).sum();
    if weight == 0.0 {
        return Noise::MEASURED;
    }
    let pooled = |of: fn(&Sample) -> f64| -> f64 {
        let squares: f64 = repeated().map(|s| (s.n - 1) as f64 * of(s).powi(2)).sum();
        // Readings that agree to the last digit are copies, not proof of a perfect instrument.
        (squares / weight).sqrt().max(LEAST_REPEATABILITY)
    };
    Noise {
        placing: pooled(|s| s.placing),
        band: pooled(|s| s.band),
        ..Noise::MEASURED
    }
}

/// No reading of cloth repeats better than this, as a share.
const LEAST_REPEATABILITY: f64 = 5e-4;

fn no_depths(samples: &[Sample], dye: &str) -> Finding {
    Finding::new(
        "ladder-no-depths",
        Weight::Wrong,
        samples.first().map_or(Place::Request, |s| s.place.clone()),
        say!(
            "No sample states a depth of {dye}.",
            "Tidak ada contoh yang menyebut kedalaman {dye}.",
            dye = Arg::Name(dye.to_string())
        ),
    )
    .allow(say!(
        "A column {column} gives the dye put on, in % of the weight of the cloth; 0 for the undyed cloth.",
        "Kolom {column} berisi pewarna yang diberikan, dalam % dari berat kain; 0 untuk kain putih.",
        column = Arg::Name("OWF_PCT".to_string())
    ))
}
