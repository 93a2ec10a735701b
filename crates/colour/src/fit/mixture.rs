//! Dyes together: what a mixture looks like, and what measured mixtures teach about pairs.
//!
//! K/S of dyes add up. Dyes that compete for the fibre, or help each other, depart from that; a pair's departure is
//! one number g: K = sum of k + g * 2 k1 k2 / (k1 + k2), band by band. It vanishes where either dye does, keeps the
//! scale (twice the dyes, twice the K), and says what equal parts lose: g = -0.1 is a tenth.

use super::ladder::Noise;
use super::levenberg_marquardt::{Ends, Fit, minimise};
use crate::difference::de2000;
use crate::dye::{DyeCard, joint_k_max};
use crate::kubelka_munk::{ks_spectrum, reflectance, saturated};
use crate::measured::Sample;
use crate::spaces::{Lab, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::{Arg, Finding, Place, Weight, say};

/// The departure of two dyes.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// Id of one dye.
    pub one: String,
    /// Id of the other.
    pub other: String,
    /// The departure g, in [`Pair::RANGE`].
    pub departure: f64,
    /// Its standard error.
    pub error: f64,
}

impl Pair {
    /// Within it no mixture of three dyes becomes lighter when dye is added.
    pub const RANGE: std::ops::RangeInclusive<f64> = -0.25..=0.5;

    fn of(&self, a: &str, b: &str) -> bool {
        (self.one == a && self.other == b) || (self.one == b && self.other == a)
    }
}

/// Reflectance of cloth with dyes: pairs of (g of bound dye per kg of cloth, card). `pairs` may be empty; departures
/// of pairs that are not in it are 0, and those outside [`Pair::RANGE`] count as its end.
pub fn predict(dyes: &[(f64, &DyeCard)], white: &Spectrum, pairs: &[Pair]) -> Spectrum {
    let cards: Vec<&DyeCard> = dyes.iter().map(|d| d.1).collect();
    let k_max = joint_k_max(&cards);
    let cloth = ks_spectrum(white);
    let departures: Vec<(usize, usize, f64)> = (0..dyes.len())
        .flat_map(|i| (0..i).map(move |j| (i, j)))
        .filter_map(|(i, j)| {
            let pair = pairs.iter().find(|p| p.of(&cards[i].id, &cards[j].id))?;
            Some((
                i,
                j,
                pair.departure.clamp(*Pair::RANGE.start(), *Pair::RANGE.end()),
            ))
        })
        .collect();
    std::array::from_fn(|band| {
        let k: Vec<f64> = dyes
            .iter()
            .map(|(amount, card)| amount.max(0.0) * card.unit_ks[band])
            .collect();
        reflectance(saturated(together(&k, &departures), k_max) + cloth[band])
    })
}

fn together(k: &[f64], departures: &[(usize, usize, f64)]) -> f64 {
    let shared = |i: usize, j: usize| {
        let sum = k[i] + k[j];
        if sum > 0.0 { 2.0 * k[i] * k[j] / sum } else { 0.0 }
    };
    k.iter().sum::<f64>() + departures.iter().map(|(i, j, g)| g * shared(*i, *j)).sum::<f64>()
}

/// A measured mixture.
#[derive(Clone, Debug, PartialEq)]
pub struct Mixed {
    /// Depths put on by dye id, % owf; only those above 0.
    pub depths: Vec<(String, f64)>,
    /// Mean reflectance.
    pub reflectance: Spectrum,
    /// Number of readings behind it.
    pub readings: usize,
    /// Where it stands.
    pub place: Place,
}

/// Samples that carry two dyes or more.
pub fn mixtures(samples: &[Sample]) -> Vec<Mixed> {
    samples
        .iter()
        .map(|s| Mixed {
            depths: s
                .depths
                .iter()
                .filter(|d| d.1 > 0.0 && !d.0.is_empty())
                .cloned()
                .collect(),
            reflectance: s.mean,
            readings: s.n,
            place: s.place.clone(),
        })
        .filter(|m| m.depths.len() > 1)
        .collect()
}

/// What mixtures taught.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// Departures that stand out of the noise: more than two standard errors from 0. The others are taken as 0.
    pub pairs: Vec<Pair>,
    /// CIEDE2000 (D65, 10 degrees) of every mixture as read from its prediction without and with the departures.
    pub off: Vec<(f64, f64)>,
    /// Doubts.
    pub findings: Vec<Finding>,
}

/// Departures of pairs before any mixture is looked at: 0 within this (our judgement; with it one mixture moves a
/// departure little, and four decide it).
const PRIOR: f64 = 0.15;

/// Learns departures from measured mixtures. `dyes` are the cards with the share of dye put on that stays bound.
///
/// # Errors
/// A finding for every mixture that names a dye without a card or has reflectances out of range; or if there are none.
pub fn learn(
    mixed: &[Mixed],
    dyes: &[(&DyeCard, f64)],
    white: &Spectrum,
    noise: Noise,
) -> Result<Learned, Vec<Finding>> {
    let bound = resolve(mixed, dyes)?;
    let mut names: Vec<(&str, &str)> = Vec::new();
    for amounts in &bound {
        for (i, (_, a)) in amounts.iter().enumerate() {
            for (_, b) in &amounts[..i] {
                let pair = if a.id < b.id {
                    (&*a.id, &*b.id)
                } else {
                    (&*b.id, &*a.id)
                };
                if !names.contains(&pair) {
                    names.push(pair);
                }
            }
        }
    }
    // The weakest pair is left out until all stand out of the noise.
    let pairs = loop {
        let pairs = fit(mixed, &bound, &names, white, noise);
        let doubt = |p: &Pair| p.departure.abs() / p.error;
        match pairs
            .iter()
            .enumerate()
            .min_by(|a, b| doubt(a.1).total_cmp(&doubt(b.1)))
        {
            Some((at, weakest)) if doubt(weakest).is_nan() || doubt(weakest) < 2.0 => {
                names.remove(at);
            }
            _ => break pairs,
        }
    };
    let seen = |r: &Spectrum| -> Lab { lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white()) };
    let off = mixed.iter().zip(&bound).map(|(m, amounts)| {
        let distance = |pairs: &[Pair]| de2000(seen(&m.reflectance), seen(&predict(amounts, white, pairs)));
        (distance(&[]), distance(&pairs))
    });
    let off = off.collect();
    let findings = pairs
        .iter()
        .filter(|p| !Pair::RANGE.contains(&p.departure))
        .map(far)
        .collect();
    Ok(Learned { pairs, off, findings })
}

type Amounts<'c> = Vec<(f64, &'c DyeCard)>;

fn fit(
    mixed: &[Mixed],
    bound: &[Amounts],
    names: &[(&str, &str)],
    white: &Spectrum,
    noise: Noise,
) -> Vec<Pair> {
    let pair = |at: usize, departure: f64, error: f64| Pair {
        one: names[at].0.to_string(),
        other: names[at].1.to_string(),
        departure,
        error,
    };
    // Parameters: departures, then per mixture an offset of lightness and one of depth per dye.
    let dyed: usize = bound.iter().map(Vec::len).sum();
    let residuals = |p: &[f64], out: &mut [f64]| {
        let pairs: Vec<Pair> = (0..names.len()).map(|i| pair(i, p[i], 0.0)).collect();
        let mut offsets = p[names.len()..].iter();
        let mut offset = || offsets.next().copied().unwrap_or(0.0);
        let mut slots = out.iter_mut();
        let mut put = |value: f64| {
            if let Some(slot) = slots.next() {
                *slot = value;
            }
        };
        for (m, amounts) in mixed.iter().zip(bound) {
            let placing = offset();
            put(placing / noise.of_placing(m.readings));
            let mut moved = amounts.clone();
            for (amount, _) in &mut moved {
                let depth = offset();
                put(depth / noise.dyeing);
                *amount *= 1.0 + depth;
            }
            let r = predict(&moved, white, &pairs);
            for (read, r) in m.reflectance.iter().zip(r) {
                put((read - r * (1.0 + placing)) / noise.of_band(*read, m.readings));
            }
        }
        for g in &p[..names.len()] {
            put(g / PRIOR);
        }
    };
    let count = mixed.len() * (BANDS + 1) + dyed + names.len();
    let ends = Ends {
        rounds: 100,
        damping: 1e-2,
        gain: 1e-9,
        share: 1e-9,
    };
    let start = vec![0.0; names.len() + mixed.len() + dyed];
    let Some(Fit {
        parameters,
        covariance: Some(covariance),
        sum_of_squares,
        ..
    }) = minimise(&residuals, count, &start, ends)
    else {
        return Vec::new();
    };
    let freedom = count.saturating_sub(start.len()).max(1) as f64;
    let widen = (sum_of_squares / freedom).max(1.0).sqrt();
    (0..names.len())
        .map(|i| pair(i, parameters[i], covariance[i][i].sqrt() * widen))
        .collect()
}

/// Bound amounts of every mixture.
fn resolve<'c>(mixed: &[Mixed], dyes: &[(&'c DyeCard, f64)]) -> Result<Vec<Amounts<'c>>, Vec<Finding>> {
    let mut findings = Vec::new();
    let mut bound = Vec::new();
    for m in mixed {
        let mut amounts = Amounts::new();
        for (id, depth) in &m.depths {
            match dyes.iter().find(|(card, _)| card.id == *id) {
                Some((card, share)) => amounts.push((depth * 10.0 * share, card)),
                None => findings.push(no_card(id, m)),
            }
        }
        if amounts.iter().any(|(a, _)| !(a.is_finite() && *a >= 0.0))
            || !m.reflectance.iter().all(|r| (0.0..=1.2).contains(r))
        {
            findings.push(none(m.place.clone()));
        }
        bound.push(amounts);
    }
    if mixed.is_empty() {
        findings.push(none(Place::Request));
    }
    if findings.is_empty() {
        Ok(bound)
    } else {
        Err(findings)
    }
}

fn no_card(id: &str, mixed: &Mixed) -> Finding {
    Finding::new(
        "mixture-no-card",
        Weight::Wrong,
        mixed.place.clone(),
        say!(
            "This mixture has {dye}, which has no card.",
            "Campuran ini memakai {dye}, yang belum mempunyai kartu.",
            dye = Arg::Name(id.to_string())
        ),
    )
    .remedy(say!(
        "Fit its ladder first, or correct the name of the column.",
        "Buat dulu kartunya dari tangga warna, atau perbaiki nama kolom."
    ))
}

fn none(place: Place) -> Finding {
    Finding::new(
        "mixture-none",
        Weight::Wrong,
        place,
        say!("There is no usable mixture here.", "Tidak ada campuran yang dapat dipakai di sini."),
    )
    .allow(say!(
        "A mixture has depths of two dyes or more in columns {column}, and reflectances between 0 and 1.2.",
        "Campuran memuat kedalaman dua pewarna atau lebih di kolom {column}, dan reflektansi antara 0 dan 1,2.",
        column = Arg::Name("OWF_PCT_<dye>".to_string())
    ))
}

fn far(pair: &Pair) -> Finding {
    Finding::new(
        "mixture-far",
        Weight::Doubtful,
        Place::Request,
        say!(
            "{one} and {other} depart from their sum by {departure}; predictions use the nearest of {least} to {most}.",
            "{one} dan {other} menyimpang {departure} dari jumlahnya; perkiraan memakai yang terdekat dari {least} sampai \
             {most}.",
            one = Arg::Name(pair.one.clone()),
            other = Arg::Name(pair.other.clone()),
            departure = Arg::Number(pair.departure, 2),
            least = Arg::Number(*Pair::RANGE.start(), 2),
            most = Arg::Number(*Pair::RANGE.end(), 2)
        ),
    )
    .remedy(say!(
        "See whether the two ladders and the mixtures were dyed the same way.",
        "Periksa apakah kedua tangga warna dan campurannya dicelup dengan cara yang sama."
    ))
}
