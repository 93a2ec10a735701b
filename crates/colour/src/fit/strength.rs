//! A new lot of a dye against the last one: how strong it is, from one flat dip or more.

use super::ladder::{Noise, Rung};
use super::levenberg_marquardt::{Ends, minimise};
use crate::difference::de2000;
use crate::dye::DyeCard;
use crate::kubelka_munk::{dyed_reflectance, ks_spectrum};
use crate::spaces::{Lab, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::{Arg, Finding, Origin, Place, Weight, say};

/// A new lot beside the old one.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// Unit K/S of the new lot over that of the card: 0.9 needs a ninth more dye.
    pub ratio: f64,
    /// Its standard error, a share. One dip knows the strength no better than it was dyed.
    pub error: f64,
    /// CIEDE2000 (D65, 10 degrees) that is left when the strength is set right, the worst dip: a change of hue.
    pub off: f64,
    /// Number of readings.
    pub readings: u32,
    /// Doubts.
    pub findings: Vec<Finding>,
}

/// What is left after the strength is set right is a change of hue from here on, dE00.
const HUE: f64 = 1.0;

/// Lots further apart than this, up or down, are more likely a mistake than a lot (our judgement).
const FAR: f64 = 1.5;

impl Strength {
    /// The card for the new lot: the old spectrum at the new height, measured on this date.
    pub fn card(&self, card: &DyeCard, date: &str) -> DyeCard {
        let measured = Origin::Measured {
            date: date.to_string(),
            n: self.readings,
        };
        DyeCard {
            unit_ks: card.unit_ks.map(|u| u * self.ratio),
            // The shape is the old one's.
            spectrum: measured.weaker(&card.spectrum).clone(),
            ..card.clone()
        }
    }
}

/// The strength of a lot from dips of known depth (% owf put on) and the undyed cloth's reflectance.
///
/// # Errors
/// A finding if there is no dyed dip, a number is out of range, or the card has no absorption to compare.
pub fn strength(
    dips: &[Rung],
    white: &Spectrum,
    fixed_share: f64,
    card: &DyeCard,
    noise: Noise,
) -> Result<Strength, Finding> {
    let dips: Vec<&Rung> = dips.iter().filter(|d| d.depth > 0.0).collect();
    let reflectances = || {
        dips.iter()
            .map(|d| &d.reflectance)
            .chain(std::iter::once(white))
            .flatten()
    };
    let usable = !dips.is_empty()
        && reflectances().all(|r| (0.0..=1.2).contains(r))
        && fixed_share > 0.0
        && fixed_share <= 1.0
        && card.unit_ks.iter().any(|u| *u > 0.0);
    if !usable {
        return Err(no_dip(dips.first().map_or(Place::Request, |d| d.place.clone())));
    }
    let cloth = ks_spectrum(&white.map(|r| r.clamp(0.001, 1.0)));
    let modelled = |dip: &Rung, ratio: f64| -> Spectrum {
        let amount = dip.depth * 10.0 * fixed_share * ratio;
        dyed_reflectance(&[(amount, &card.unit_ks)], card.k_max.value, &cloth)
    };
    // Parameters: ln of the ratio, then per dip an offset of depth and one of lightness, as in a ladder.
    let residuals = |p: &[f64], out: &mut [f64]| {
        for (i, (dip, out)) in dips.iter().zip(out.chunks_exact_mut(BANDS + 2)).enumerate() {
            let (depth, placing) = (p[1 + 2 * i], p[2 + 2 * i]);
            let r = modelled(dip, p[0].exp() * (1.0 + depth));
            for band in 0..BANDS {
                let read = dip.reflectance[band];
                out[band] = (read - r[band] * (1.0 + placing)) / noise.of_band(read, dip.readings);
            }
            out[BANDS] = depth / noise.dyeing;
            out[BANDS + 1] = placing / noise.of_placing(dip.readings);
        }
    };
    let start = vec![0.0; 1 + 2 * dips.len()];
    let ends = Ends {
        rounds: 200,
        damping: 1e-2,
        gain: 1e-9,
        share: 1e-9,
    };
    let place = dips[0].place.clone();
    let Some(fit) = minimise(&residuals, dips.len() * (BANDS + 2), &start, ends).filter(|f| f.settled) else {
        return Err(no_dip(place));
    };
    let ratio = fit.parameters[0].exp();
    let widen = (fit.sum_of_squares / fit.degrees_of_freedom().max(1) as f64)
        .max(1.0)
        .sqrt();
    let variance = fit.covariance.map_or(f64::INFINITY, |c| c[0][0]);
    let seen = |r: &Spectrum| -> Lab { lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white()) };
    let off = |(i, dip): (usize, &&Rung)| {
        de2000(
            seen(&dip.reflectance),
            seen(&modelled(dip, ratio * (1.0 + fit.parameters[1 + 2 * i]))),
        )
    };
    let off = dips.iter().enumerate().map(off).fold(0.0, f64::max);
    Ok(Strength {
        ratio,
        error: variance.sqrt() * widen,
        off,
        readings: dips.iter().map(|d| d.readings as u32).sum(),
        findings: doubts(ratio, off, card, &place),
    })
}

fn doubts(ratio: f64, off: f64, card: &DyeCard, place: &Place) -> Vec<Finding> {
    let mut findings = Vec::new();
    if off > HUE {
        findings.push(
            Finding::new(
                "lot-hue",
                Weight::Doubtful,
                place.clone(),
                say!(
                    "This lot of {dye} differs in hue: {off} dE00 are left when its strength is set right.",
                    "Lot {dye} ini berbeda rona: tersisa {off} dE00 setelah kekuatannya disesuaikan.",
                    dye = Arg::Name(card.name.clone()),
                    off = Arg::Number(off, 1)
                ),
            )
            .remedy(say!(
                "Dye a ladder with it and give it a card of its own.",
                "Buat tangga warna dengannya dan beri kartu sendiri."
            )),
        );
    }
    if !(1.0 / FAR..=FAR).contains(&ratio) {
        findings.push(
            Finding::new(
                "lot-strength-far",
                Weight::Doubtful,
                place.clone(),
                say!(
                    "This lot of {dye} looks {ratio} times as strong as the card.",
                    "Lot {dye} ini tampak {ratio} kali sekuat kartunya.",
                    dye = Arg::Name(card.name.clone()),
                    ratio = Arg::Number(ratio, 2)
                ),
            )
            .remedy(say!(
                "Check the depth of the dip and the name on the tin before changing recipes.",
                "Periksa kedalaman celup dan nama di kaleng sebelum mengubah resep."
            )),
        );
    }
    findings
}

fn no_dip(place: Place) -> Finding {
    Finding::new(
        "lot-no-dip",
        Weight::Wrong,
        place,
        say!(
            "The strength of a lot cannot be told from this.",
            "Kekuatan lot tidak dapat ditentukan dari ini."
        ),
    )
    .allow(say!(
        "It takes the reflectance of the white cloth and of one flat dip of known depth, and the dye's card.",
        "Perlu reflektansi kain putih dan satu celupan rata dengan kedalaman yang diketahui, serta kartu pewarna."
    ))
}
