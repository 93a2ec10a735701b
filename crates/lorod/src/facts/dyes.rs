//! What measured cloth says about a dye: a card from a ladder, a lot beside its card.

use super::measured::Sheet;
use colour::DyeCard;
use colour::fit::ladder::{LadderFit, Noise, Rung, Terms, fit};
use colour::fit::strength::{Strength, strength};
use colour::fit::{fixed_share, rungs};
use sky::Date;
use words::{Arg, Finding, Known, Place, Weight, say};

/// What the person says that a ladder's file may not say itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// Share of the dye put on that stayed bound. What the file states goes first.
    pub share: Option<f64>,
    /// When it was read, ISO 8601. What the file states goes first.
    pub date: Option<String>,
    /// The deepest shade that will be made, % owf put on.
    pub deepest: Option<f64>,
}

/// A card from a ladder.
pub struct Fitted {
    /// The fit.
    pub fit: LadderFit,
    /// The card with what the ladder says put in.
    pub card: DyeCard,
    /// Doubts and notes.
    pub findings: Vec<Finding>,
}

/// Fits a ladder that was read from a file. All else stands on the card as it is on `base`.
///
/// # Errors
/// Findings if part of the file was not read, or its rungs cannot give a spectrum.
pub fn fitted(sheet: &Sheet, base: &DyeCard, asked: &Asked) -> Result<Fitted, Vec<Finding>> {
    if sheet.is_wrong() {
        return Err(sheet.findings.clone());
    }
    let (rungs, noise, none) = rungs(&sheet.samples, &base.id);
    let mut findings = sheet.findings.clone();
    findings.extend(none);
    if findings.iter().any(|f| f.weight == Weight::Wrong) {
        return Err(findings);
    }
    let stated = fixed_share(&sheet.measured).map_err(|f| vec![f])?;
    let date = sheet.measured.header("CREATED").map(str::to_string);
    let asked = Asked {
        share: stated.or(asked.share),
        date: date
            .filter(|d| Date::parse(d).is_some())
            .or_else(|| asked.date.clone()),
        deepest: asked.deepest,
    };
    from_rungs(&rungs, noise, base, &asked, findings)
}

/// Fits rungs, however they were come by. `findings` are what was found on the way.
///
/// # Errors
/// As [`fitted`].
pub fn from_rungs(
    rungs: &[Rung],
    noise: Noise,
    base: &DyeCard,
    asked: &Asked,
    mut findings: Vec<Finding>,
) -> Result<Fitted, Vec<Finding>> {
    let place = || rungs.first().map_or(Place::Request, |r| r.place.clone());
    let date = asked.date.as_deref().filter(|d| Date::parse(d).is_some());
    let Some(date) = date else {
        findings.push(no_date(place()));
        return Err(findings);
    };
    let share = asked.share.map_or_else(
        || {
            findings.push(share_from_card(&base.fixation.final_share, place()));
            base.fixation.final_share.clone()
        },
        Known::yours,
    );
    let fit = match fit(rungs, &Terms::new(share, date, noise)) {
        Ok(fit) => fit,
        Err(more) => {
            findings.extend(more);
            return Err(findings);
        }
    };
    findings.extend(fit.findings.iter().cloned());
    findings.extend(asked.deepest.and_then(|depth| fit.beyond(depth)));
    let card = fit.card(base);
    Ok(Fitted { fit, card, findings })
}

/// A new lot beside the card of its dye.
pub struct Lot {
    /// How strong it is.
    pub strength: Strength,
    /// The card for it.
    pub card: DyeCard,
    /// Doubts and notes.
    pub findings: Vec<Finding>,
}

/// Compares a lot with its card, from a file with the undyed cloth and one flat dip or more.
///
/// # Errors
/// Findings if part of the file was not read, or the dips do not tell the strength.
pub fn lot(sheet: &Sheet, card: &DyeCard, asked: &Asked) -> Result<Lot, Vec<Finding>> {
    if sheet.is_wrong() {
        return Err(sheet.findings.clone());
    }
    let mut findings = sheet.findings.clone();
    let (rungs, noise, none) = rungs(&sheet.samples, &card.id);
    findings.extend(none);
    let place = || rungs.first().map_or(Place::Request, |r| r.place.clone());
    let date = sheet.measured.header("CREATED").map(str::to_string);
    let date = date
        .filter(|d| Date::parse(d).is_some())
        .or_else(|| asked.date.clone());
    let Some(date) = date.filter(|d| Date::parse(d).is_some()) else {
        findings.push(no_date(place()));
        return Err(findings);
    };
    let share = match fixed_share(&sheet.measured).map_err(|f| vec![f])?.or(asked.share) {
        Some(share) => share,
        // The lot was dyed as the ladder was, or the two could not be compared.
        None => bound_share(card),
    };
    let own_white = rungs.iter().find(|r| r.depth == 0.0).map(|r| r.reflectance);
    let white = own_white.or_else(|| {
        let ladder = card.ladder.as_ref()?;
        findings.push(white_from_card(place()));
        Some(ladder.white)
    });
    let Some(white) = white else {
        findings.push(no_white(place()));
        return Err(findings);
    };
    let strength = match strength(&rungs, &white, share, card, noise) {
        Ok(strength) => strength,
        Err(finding) => {
            findings.push(finding);
            return Err(findings);
        }
    };
    findings.extend(strength.findings.iter().cloned());
    let card = strength.card(card, &date);
    Ok(Lot {
        strength,
        card,
        findings,
    })
}

/// Share of the dye put on that stays bound in the dyeing that a card's ladder was made by.
pub fn bound_share(card: &DyeCard) -> f64 {
    card.ladder
        .as_ref()
        .map_or(card.fixation.final_share.value, |ladder| ladder.fixed_share)
}

fn no_date(place: Place) -> Finding {
    Finding::new(
        "ladder-no-date",
        Weight::Wrong,
        place,
        say!(
            "The file does not say when it was read.",
            "Berkas tidak menyebut kapan dibaca."
        ),
    )
    .allow(say!(
        "A header line {line}, or a day with the request: a number measured here wears its date.",
        "Baris kepala {line}, atau tanggal pada permintaan: angka hasil ukur selalu bertanggal.",
        line = Arg::Name("CREATED \"2026-04-20\"".into())
    ))
}

fn share_from_card(share: &Known, place: Place) -> Finding {
    Finding::new(
        "ladder-share-of-card",
        Weight::Note,
        place,
        say!(
            "The file does not say how much of the dye stayed bound: {share} % is taken from the card ({mark}).",
            "Berkas tidak menyebut berapa pewarna yang terikat: {share} % diambil dari kartu ({mark}).",
            share = Arg::Number(100.0 * share.value, 0),
            mark = Arg::Text(share.origin.mark())
        ),
    )
    .remedy(say!(
        "Soap the cloth, weigh what the baths hold, and write {line} into the header, or state the share with the request.",
        "Cuci sabun kainnya, hitung pewarna di air buangan, lalu tulis {line} di kepala berkas, atau sebutkan pada permintaan.",
        line = Arg::Name("FIXED_SHARE \"0.72\"".into())
    ))
}

fn white_from_card(place: Place) -> Finding {
    Finding::new(
        "lot-white-of-card",
        Weight::Note,
        place,
        say!(
            "The file has no undyed cloth: that of the card's ladder is taken.",
            "Berkas tidak memuat kain putih: dipakai kain putih dari tangga warna kartu."
        ),
    )
    .remedy(say!(
        "Read the white cloth that was dipped.",
        "Baca kain putih yang dicelup."
    ))
}

fn no_white(place: Place) -> Finding {
    Finding::new(
        "lot-no-white",
        Weight::Wrong,
        place,
        say!(
            "Neither the file nor the card has the undyed cloth.",
            "Berkas maupun kartu tidak memuat kain putih."
        ),
    )
    .allow(say!(
        "A sample of depth 0 is the undyed cloth.",
        "Contoh berkedalaman 0 adalah kain putih."
    ))
}
