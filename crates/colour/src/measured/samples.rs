//! Several readings of a sample: their mean, how far they scatter, and which one stands apart.

use super::{Basis, Reading};
use crate::difference::de2000;
use crate::spaces::{Lab, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::{Arg, Finding, Place, Weight, say};

/// A reading stands apart if its CIEDE2000 distance (D65, 10 degrees) from the median of its sample's readings,
/// taken band by band, exceeds both this and [`APART_TIMES`] the median distance of the readings.
pub const APART_LEAST: f64 = 1.0;
/// See [`APART_LEAST`]. With three readings only a gross one is found: the median distance is one of three.
pub const APART_TIMES: f64 = 3.0;

/// All readings of one sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// Its name.
    pub name: String,
    /// Mean reflectance of its readings, without those that stand apart (a finding names each).
    pub mean: Spectrum,
    /// Standard deviation of one reading, band by band; 0 for a single reading.
    pub deviation: Spectrum,
    /// Standard deviation of a reading as a whole, as a share of its reflectance: placing, evenness.
    pub placing: f64,
    /// Standard deviation of one band beside the others of its reading, as a share.
    pub band: f64,
    /// Mean CIEDE2000 distance of the readings from their mean (D65, 10 degrees); 0 for a single reading.
    pub spread: f64,
    /// Number of readings in the mean.
    pub n: usize,
    /// Places in `readings` of those that stand apart and are not in the mean.
    pub apart: Vec<usize>,
    /// Weakest basis of its readings.
    pub basis: Basis,
    /// Depths in % owf by dye id, those of its first reading.
    pub depths: Vec<(String, f64)>,
    /// Where its first reading stands.
    pub place: Place,
}

/// Readings by sample, in the order of first appearance, with findings about readings that stand apart or state
/// other depths than the first of their sample.
pub fn samples(readings: &[Reading]) -> (Vec<Sample>, Vec<Finding>) {
    let mut names: Vec<&str> = Vec::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut place = std::collections::HashMap::new();
    for (i, reading) in readings.iter().enumerate() {
        let at = *place.entry(reading.sample.as_str()).or_insert_with(|| {
            names.push(&reading.sample);
            groups.push(Vec::new());
            names.len() - 1
        });
        groups[at].push(i);
    }
    let mut findings = Vec::new();
    let samples = groups
        .iter()
        .map(|group| {
            let members: Vec<&Reading> = group.iter().map(|i| &readings[*i]).collect();
            let sample = sample(&members, group);
            findings.extend(sample.apart.iter().map(|i| apart(&readings[*i], &sample)));
            findings.extend(
                members
                    .iter()
                    .find(|r| r.depths != sample.depths)
                    .map(|r| other_depth(r)),
            );
            sample
        })
        .collect();
    (samples, findings)
}

/// `all` are not empty; `group` has their places.
fn sample(all: &[&Reading], group: &[usize]) -> Sample {
    let far = far(all);
    let members: Vec<&Reading> = all
        .iter()
        .zip(&far)
        .filter(|(_, far)| !**far)
        .map(|(r, _)| *r)
        .collect();
    let n = members.len();
    let less_one = n.saturating_sub(1).max(1) as f64;
    let per_band = |band: usize| members.iter().map(move |r| r.reflectance[band]);
    let mean: Spectrum = std::array::from_fn(|band| per_band(band).sum::<f64>() / n as f64);
    let deviation = std::array::from_fn(|band| {
        let squares: f64 = per_band(band).map(|v| (v - mean[band]).powi(2)).sum();
        (squares / less_one).sqrt()
    });
    let (mut placing, mut band_square) = (0.0, 0.0);
    for reading in &members {
        // Shares of reflectances below 1 % would be those of the instrument's zero.
        let shares: Vec<f64> = (0..BANDS)
            .map(|band| (reading.reflectance[band] - mean[band]) / mean[band].max(0.01))
            .collect();
        let whole = shares.iter().sum::<f64>() / BANDS as f64;
        placing += whole * whole;
        band_square += shares.iter().map(|s| (s - whole).powi(2)).sum::<f64>() / (BANDS - 1) as f64;
    }
    let distance = |r: &&Reading| de2000(seen(&r.reflectance), seen(&mean));
    let first = all.first();
    Sample {
        name: first.map_or_else(String::new, |r| r.sample.clone()),
        mean,
        deviation,
        placing: (placing / less_one).sqrt(),
        band: (band_square / less_one).sqrt(),
        spread: members.iter().map(distance).sum::<f64>() / n as f64,
        n,
        apart: group
            .iter()
            .zip(&far)
            .filter(|(_, far)| **far)
            .map(|(i, _)| *i)
            .collect(),
        basis: members.iter().map(|r| r.basis).fold(Basis::Measured, weaker),
        depths: first.map_or_else(Vec::new, |r| r.depths.clone()),
        place: first.map_or(Place::Request, |r| r.place.clone()),
    }
}

/// Which readings stand apart; at most half of them, by the rule.
fn far(all: &[&Reading]) -> Vec<bool> {
    let middle: Spectrum =
        std::array::from_fn(|band| median(all.iter().map(|r| r.reflectance[band]).collect()));
    let distances: Vec<f64> = all
        .iter()
        .map(|r| de2000(seen(&r.reflectance), seen(&middle)))
        .collect();
    let limit = APART_LEAST.max(APART_TIMES * median(distances.clone()));
    distances.iter().map(|d| all.len() > 2 && *d > limit).collect()
}

fn weaker(one: Basis, other: Basis) -> Basis {
    let rank = |b: Basis| match b {
        Basis::Measured => (0, 0.0),
        Basis::Resampled { filled } => (1, filled as f64),
        Basis::Recovered { off } => (2, off),
    };
    if rank(other) > rank(one) { other } else { one }
}

fn seen(reflectance: &Spectrum) -> Lab {
    lab(xyz(reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white())
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => f64::NAN,
        _ if n % 2 == 1 => values[n / 2],
        _ => f64::midpoint(values[n / 2 - 1], values[n / 2]),
    }
}

fn apart(reading: &Reading, sample: &Sample) -> Finding {
    let bands = 0..BANDS;
    let worst = bands
        .max_by(|a, b| {
            let off = |band: usize| (reading.reflectance[band] - sample.mean[band]).abs();
            off(*a).total_cmp(&off(*b))
        })
        .unwrap_or(0);
    Finding::new(
        "measured-reading-apart",
        Weight::Doubtful,
        reading.place.clone(),
        say!(
            "This reading of {sample} stands apart from the others, most at {nm} nm.",
            "Pembacaan {sample} ini menyimpang dari yang lain, paling jauh pada {nm} nm.",
            sample = Arg::Name(reading.sample.clone()),
            nm = Arg::Number(f64::from(crate::nanometres(worst)), 0)
        ),
    )
    .allow(say!(
        "A reading stands apart if it lies more than {least} dE00, and more than {times} times the usual distance, \
         from the median. It is left out of the mean.",
        "Pembacaan menyimpang bila berjarak lebih dari {least} dE00 dan lebih dari {times} kali jarak lazim dari \
         median. Ia tidak ikut dalam rata-rata.",
        least = Arg::Number(APART_LEAST, 1),
        times = Arg::Number(APART_TIMES, 0)
    ))
    .remedy(say!(
        "Read the sample again, flat and in four layers.",
        "Baca lagi contoh itu dalam keadaan rata, empat lapis."
    ))
}

fn other_depth(reading: &Reading) -> Finding {
    Finding::new(
        "measured-depths-differ",
        Weight::Wrong,
        reading.place.clone(),
        say!(
            "This reading of {sample} states another depth than the first.",
            "Pembacaan {sample} ini menyebut kedalaman lain dari yang pertama.",
            sample = Arg::Name(reading.sample.clone())
        ),
    )
    .allow(say!(
        "Readings of one sample have one depth.",
        "Pembacaan satu contoh mempunyai satu kedalaman."
    ))
    .remedy(say!(
        "Give each rung of the ladder a name of its own.",
        "Beri nama sendiri untuk tiap anak tangga."
    ))
}
