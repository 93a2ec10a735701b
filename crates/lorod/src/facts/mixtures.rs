//! Dyes together: what they look like, and what measured mixtures teach about pairs.

use super::dyes::bound_share;
use super::measured::Sheet;
use colour::fit::fixed_share;
use colour::fit::ladder::Noise;
use colour::fit::mixture::{Pair, learn, mixtures, predict};
use colour::measured::Basis;
use colour::plot::{Group, Shown, lab_note, spectra_svg};
use colour::{DyeCard, Illuminant, Lab, Observer, Spectrum, Viewing, de2000, lab, screen, white_cotton, xyz};
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What measured mixtures taught; nothing if there were none.
#[derive(Default)]
pub struct Taught {
    /// Departures that stand out of the noise.
    pub pairs: Vec<Pair>,
    /// CIEDE2000 of every measured mixture from its prediction, without and with the pairs.
    pub off: Vec<(f64, f64)>,
    /// Doubts and notes.
    pub findings: Vec<Finding>,
}

/// Learns from a file of measured mixtures how pairs of dyes depart from their sum.
///
/// # Errors
/// Findings if part of the file was not read, or a mixture cannot be used.
pub fn learned(sheet: &Sheet, cards: &[&DyeCard]) -> Result<Taught, Vec<Finding>> {
    if sheet.is_wrong() {
        return Err(sheet.findings.clone());
    }
    let recovered = sheet
        .samples
        .iter()
        .any(|s| matches!(s.basis, Basis::Recovered { .. }));
    let noise = if recovered {
        Noise::PHOTOGRAPHED
    } else {
        Noise::MEASURED
    };
    let stated = fixed_share(&sheet.measured).map_err(|f| vec![f])?;
    let dyes: Vec<(&DyeCard, f64)> = cards
        .iter()
        .map(|card| (*card, stated.unwrap_or_else(|| bound_share(card))))
        .collect();
    let mixed = mixtures(&sheet.samples);
    let own = sheet
        .samples
        .iter()
        .find(|s| !s.depths.is_empty() && s.depths.iter().all(|d| d.1 == 0.0))
        .map(|s| s.mean);
    let used: Vec<&DyeCard> = cards
        .iter()
        .copied()
        .filter(|card| mixed.iter().any(|m| m.depths.iter().any(|d| d.0 == card.id)))
        .collect();
    let white = own.unwrap_or_else(|| white_of(&used));
    let found = learn(&mixed, &dyes, &white, noise)?;
    let mut findings = sheet.findings.clone();
    findings.extend(found.findings);
    Ok(Taught {
        pairs: found.pairs,
        off: found.off,
        findings,
    })
}

/// The cloth of the first card that knows its own, else common bleached cotton.
fn white_of(cards: &[&DyeCard]) -> Spectrum {
    cards
        .iter()
        .find_map(|card| card.ladder.as_ref())
        .map_or(*white_cotton(), |ladder| ladder.white)
}

/// Dyes together.
pub struct Mixture {
    /// Names of the dyes and what each looks like alone.
    pub alone: Vec<(String, Spectrum)>,
    /// Reflectance together.
    pub reflectance: Spectrum,
    /// CIELAB under each of [`Illuminant::ALL`], 10 degrees.
    pub lab: [Lab; 3],
    /// As a screen shows it in daylight.
    pub hex: String,
    /// CIEDE2000 (D65, 10 degrees) that two standard errors of the ladders leave open.
    pub within: f64,
    /// Doubts: depths that no ladder reaches.
    pub findings: Vec<Finding>,
}

/// Predicts dyes (card, % owf put on) together, dyed as their ladders were.
pub fn mixture(dyes: &[(&DyeCard, f64)], taught: &Taught) -> Mixture {
    let cards: Vec<&DyeCard> = dyes.iter().map(|d| d.0).collect();
    let white = white_of(&cards);
    let bound: Vec<(f64, &DyeCard)> = dyes
        .iter()
        .map(|(card, depth)| (depth * 10.0 * bound_share(card), *card))
        .collect();
    let reflectance = predict(&bound, &white, &taught.pairs);
    let seen = |r: &Spectrum| lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
    // Errors of the dyes' heights are apart from one another: their effects add as squares.
    let open: f64 = (0..bound.len())
        .map(|at| {
            let error = match (&cards[at].ladder, &cards[at].spectrum) {
                (Some(ladder), _) => ladder.error,
                (None, words::Origin::Assumed { factor, .. }) => (factor - 1.0) / 2.0,
                (None, _) => 0.0,
            };
            let mut moved = bound.clone();
            moved[at].0 *= 1.0 + 2.0 * error;
            de2000(seen(&reflectance), seen(&predict(&moved, &white, &taught.pairs))).powi(2)
        })
        .sum();
    let linear = screen::linear_under(xyz(&reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    let under = |illuminant| Viewing {
        illuminant,
        observer: Observer::TenDegrees,
    };
    Mixture {
        alone: bound
            .iter()
            .map(|one| (one.1.name.clone(), predict(&[*one], &white, &[])))
            .collect(),
        reflectance,
        lab: Illuminant::ALL.map(|i| lab(xyz(&reflectance, under(i)), under(i).white())),
        hex: format!("#{r:02x}{g:02x}{b:02x}"),
        within: open.sqrt(),
        findings: dyes
            .iter()
            .filter(|(card, depth)| card.ladder.as_ref().is_some_and(|l| *depth > l.deepest * 1.001))
            .map(|(card, depth)| beyond(card, *depth))
            .collect(),
    }
}

impl Mixture {
    /// The dyes alone and together, as a plot.
    pub fn svg(&self, voice: Voice) -> String {
        let one = |name: String, reflectance: Spectrum| Shown {
            name,
            note: lab_note(&reflectance, Viewing::DAYLIGHT, voice),
            reflectance,
            deviation: [0.0; colour::BANDS],
            recovered: false,
        };
        let together = say!("together", "bersama").say(voice);
        let mut shown = vec![one(together, self.reflectance)];
        shown.extend(self.alone.iter().map(|(name, r)| one(name.clone(), *r)));
        let names: Vec<&str> = self.alone.iter().map(|(name, _)| name.as_str()).collect();
        let title = say!(
            "What do {dyes} make together?",
            "Apa jadinya {dyes} bersama?",
            dyes = Arg::Name(names.join(" + "))
        );
        let answer = say!(
            "{hex} in daylight; the ladders' errors leave {within} dE00 open.",
            "{hex} di cahaya siang; galat tangga warna membuka {within} dE00.",
            hex = Arg::Name(self.hex.clone()),
            within = Arg::Number(self.within, 1)
        );
        let group = Group {
            heading: String::new(),
            samples: (0..shown.len()).collect(),
        };
        spectra_svg(&title, &answer, &shown, &[group], Viewing::DAYLIGHT, voice)
    }
}

fn beyond(card: &DyeCard, depth: f64) -> Finding {
    Finding::new(
        "mix-beyond-ladder",
        Weight::Doubtful,
        Place::Request,
        say!(
            "{depth} % of {dye} is deeper than its ladder, which ends at {deepest} %: extrapolated.",
            "{depth} % {dye} lebih tua daripada tangga warnanya, yang berakhir di {deepest} %: hanya perkiraan.",
            depth = Arg::Number(depth, 2),
            dye = Arg::Name(card.name.clone()),
            deepest = Arg::Number(card.ladder.as_ref().map_or(0.0, |l| l.deepest), 2)
        ),
    )
    .remedy(say!(
        "Dye one deeper rung and fit the card again.",
        "Celup satu anak tangga yang lebih tua dan buat ulang kartunya."
    ))
}
