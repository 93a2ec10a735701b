//! What is said about a ladder.

use super::ladder::{LadderFit, Noise, Rung, Terms};
use crate::spectrum::nanometres;
use words::{Arg, Finding, Known, Origin, Place, Weight, say};

/// Dyed rungs below this number are doubted: two determine a slope and a curvature with nothing left to check.
const FEW: usize = 4;

/// A rung is doubted if its depth is found this many deviations of dyeing off the stated one.
const OFF_DEVIATIONS: f64 = 3.0;

/// Mean squared residual above which the model or the noise does not hold.
const MISFIT: f64 = 2.0;

/// What makes a fit impossible.
pub(super) fn unusable(rungs: &[Rung], terms: &Terms) -> Vec<Finding> {
    let mut findings = Vec::new();
    let place = || rungs.first().map_or(Place::Request, |r| r.place.clone());
    let dyed = rungs.iter().filter(|r| r.depth > 0.0).count();
    if dyed == rungs.len() {
        findings.push(
            Finding::new(
                "ladder-no-white",
                Weight::Wrong,
                place(),
                say!(
                    "The ladder has no undyed cloth.",
                    "Tangga warna ini tidak memuat kain yang belum dicelup."
                ),
            )
            .allow(say!(
                "The white cloth's own reflectance is part of every shade: one rung has depth 0.",
                "Pantulan kain putih ikut membentuk setiap warna: satu anak tangga berkedalaman 0."
            ))
            .remedy(say!(
                "Read the same cloth after the same bath without dye.",
                "Baca kain yang sama setelah bak yang sama tanpa pewarna."
            )),
        );
    }
    let mut depths: Vec<u64> = rungs
        .iter()
        .filter(|r| r.depth > 0.0)
        .map(|r| r.depth.to_bits())
        .collect();
    depths.sort_unstable();
    depths.dedup();
    if depths.len() < 2 {
        findings.push(
            Finding::new(
                "ladder-too-few-rungs",
                Weight::Wrong,
                place(),
                say!(
                    "The ladder has {found} dyed depths.",
                    "Tangga warna ini memuat {found} kedalaman.",
                    found = Arg::Number(depths.len() as f64, 0)
                ),
            )
            .allow(say!(
                "Two at least; six tell how far to trust them.",
                "Paling sedikit dua; enam menunjukkan seberapa dapat dipercaya."
            )),
        );
    }
    let bad = |r: &&Rung| !(r.depth >= 0.0 && r.reflectance.iter().all(|v| (0.0..=1.2).contains(v)));
    if let Some(rung) = rungs.iter().find(bad) {
        findings.push(Finding::new(
            "ladder-rung-range",
            Weight::Wrong,
            rung.place.clone(),
            say!(
                "The rung of {depth} % has a depth below 0 or a reflectance outside 0 to 1.2.",
                "Anak tangga {depth} % berkedalaman di bawah 0 atau reflektansinya di luar 0 sampai 1,2.",
                depth = Arg::Number(rung.depth, 2)
            ),
        ));
    }
    let positive = |v: f64| v > 0.0 && v.is_finite();
    let share = terms.fixed_share.value;
    let Noise {
        placing,
        band,
        zero,
        dyeing,
        recovery,
    } = terms.noise;
    if share > 1.0
        || ![share, placing, band, zero, dyeing, recovery, terms.k_max.value]
            .into_iter()
            .all(positive)
    {
        findings.push(Finding::new(
            "ladder-terms",
            Weight::Wrong,
            Place::Request,
            say!(
                "The share of bound dye is {share}; it, the noise and K_max must be above 0, the share up to 1.",
                "Bagian pewarna terikat {share}; nilai ini, derau, dan K_max harus lebih dari 0, bagian paling besar 1.",
                share = Arg::Number(share, 3)
            ),
        ));
    }
    findings
}

/// The fit did not come to an end.
pub(super) fn no_fit(rungs: &[Rung]) -> Finding {
    Finding::new(
        "ladder-no-fit",
        Weight::Wrong,
        rungs.first().map_or(Place::Request, |r| r.place.clone()),
        say!(
            "No dye spectrum fits these rungs.",
            "Tidak ada spektrum pewarna yang cocok dengan anak tangga ini."
        ),
    )
    .remedy(say!(
        "See whether depths and readings stand on the right lines.",
        "Periksa apakah kedalaman dan pembacaan ada di baris yang benar."
    ))
}

/// Doubts about a ladder that could be fitted.
pub(super) fn doubts(fit: &LadderFit, rungs: &[Rung], terms: &Terms) -> Vec<Finding> {
    let mut findings = Vec::new();
    let place = |depth: f64| {
        rungs
            .iter()
            .find(|r| r.depth == depth)
            .map_or(Place::Request, |r| r.place.clone())
    };
    let dyed = rungs.iter().filter(|r| r.depth > 0.0).count();
    if dyed < FEW {
        findings.push(
            Finding::new(
                "ladder-few-rungs",
                Weight::Doubtful,
                place(fit.deepest),
                say!(
                    "Only {found} dyed rungs: a wrong one would not be noticed.",
                    "Hanya {found} anak tangga: yang keliru tidak akan ketahuan.",
                    found = Arg::Number(dyed as f64, 0)
                ),
            )
            .remedy(say!(
                "Dye six depths from the palest to the deepest that you use.",
                "Celup enam kedalaman, dari yang paling muda sampai yang paling tua yang dipakai."
            )),
        );
    }
    for rung in fit.rungs.iter().filter(|r| r.depth > 0.0) {
        if (rung.depth_found / rung.depth - 1.0).abs() > OFF_DEVIATIONS * terms.noise.dyeing {
            findings.push(
                Finding::new(
                    "ladder-rung-off",
                    Weight::Doubtful,
                    place(rung.depth),
                    say!(
                        "The rung of {stated} % looks like {found} % beside the others.",
                        "Anak tangga {stated} % tampak seperti {found} % dibandingkan yang lain.",
                        stated = Arg::Number(rung.depth, 2),
                        found = Arg::Number(rung.depth_found, 2)
                    ),
                )
                .remedy(say!(
                    "See whether two rungs were swapped or the dye misweighed; dye it once more.",
                    "Periksa apakah dua contoh tertukar atau pewarna salah timbang; celup sekali lagi."
                )),
            );
        }
    }
    if let Some(pair) = fit
        .rungs
        .windows(2)
        .find(|w| w[1].depth > w[0].depth && w[1].ks_read < w[0].ks_read)
    {
        findings.push(
            Finding::new(
                "ladder-order",
                Weight::Doubtful,
                place(pair[1].depth),
                say!(
                    "The rung of {deep} % is paler than that of {pale} % at {nm} nm.",
                    "Anak tangga {deep} % lebih muda daripada {pale} % pada {nm} nm.",
                    deep = Arg::Number(pair[1].depth, 2),
                    pale = Arg::Number(pair[0].depth, 2),
                    nm = Arg::Number(f64::from(nanometres(fit.peak)), 0)
                ),
            )
            .remedy(say!(
                "See whether the two were swapped.",
                "Periksa apakah keduanya tertukar."
            )),
        );
    }
    if fit.misfit > MISFIT {
        findings.push(
            Finding::new(
                "ladder-misfit",
                Weight::Doubtful,
                place(fit.deepest),
                say!(
                    "The rungs lie {times} times as far from the fitted dye as their readings scatter.",
                    "Anak tangga menyimpang {times} kali lipat sebaran pembacaannya dari pewarna yang dicocokkan.",
                    times = Arg::Number(fit.misfit.sqrt(), 1)
                ),
            )
            .remedy(say!(
                "The stated errors are widened for it. A change of hue with depth does this; so does a stain.",
                "Ketidakpastian sudah dilebarkan. Rona yang berubah menurut kedalaman bisa menyebabkannya; noda juga."
            )),
        );
    }
    let recovered = rungs.iter().any(|r| r.recovered);
    if let Origin::Assumed { factor, .. } = &fit.k_max.origin
        && !recovered
    {
        findings.push(Finding::new(
            "ladder-k-max-assumed",
            Weight::Note,
            place(fit.deepest),
            say!(
                "The ladder is not deep enough to tell where the dye levels off: {k_max} is still assumed, within a \
                 factor of {factor}.",
                "Tangga warna belum cukup tua untuk menunjukkan batas pekatnya: {k_max} masih perkiraan, dalam faktor \
                 {factor}.",
                k_max = Arg::Number(fit.k_max.value, 0),
                factor = Arg::Number(*factor, 2)
            ),
        ));
    }
    if recovered {
        findings.push(
            Finding::new(
                "ladder-recovered",
                Weight::Doubtful,
                place(fit.deepest),
                say!(
                    "The spectrum was recovered from colours: depth and daylight colour can be used, colour under \
                     lamps cannot.",
                    "Spektrum dipulihkan dari warna: kedalaman dan warna di cahaya siang dapat dipakai, warna di \
                     bawah lampu tidak."
                ),
            )
            .remedy(say!(
                "Have the ladder read once with a spectrophotometer.",
                "Minta tangga warna dibaca sekali dengan spektrofotometer."
            )),
        );
    }
    findings
}

/// A depth that no rung reaches.
pub(super) fn beyond(depth: f64, deepest: f64) -> Finding {
    Finding::new(
        "ladder-beyond",
        Weight::Doubtful,
        Place::Request,
        say!(
            "{depth} % is deeper than the ladder, which ends at {deepest} %.",
            "{depth} % lebih tua daripada tangga warna, yang berakhir di {deepest} %.",
            depth = Arg::Number(depth, 2),
            deepest = Arg::Number(deepest, 2)
        ),
    )
    .allow(say!(
        "Between rungs a shade is known; beyond the last one it is extrapolated.",
        "Di antara anak tangga warna diketahui; di luar yang terakhir hanya perkiraan."
    ))
    .remedy(say!(
        "Dye one deeper rung.",
        "Celup satu anak tangga yang lebih tua."
    ))
}

/// K_max that the ladder did not narrow enough.
pub(super) fn held_origin(prior: &Known, error: f64) -> Origin {
    let source = match &prior.origin {
        Origin::Assumed { source, .. } => source.as_str(),
        Origin::Yours | Origin::Measured { .. } => "the card's own value",
    };
    Origin::Assumed {
        factor: if error.is_finite() { error.exp() } else { f64::MAX },
        source: format!("{source}; moved by a ladder too pale to settle it"),
    }
}

/// A spectrum that no spectrophotometer read.
pub(super) fn recovered_origin(factor: f64, date: &str) -> Origin {
    Origin::Assumed {
        factor: if factor.is_finite() { factor } else { f64::MAX },
        source: format!(
            "ladder of {date} read as colours, not spectra; recovered by least slope (Meng and others 2015)"
        ),
    }
}
