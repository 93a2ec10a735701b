//! What may be wrong with a dye card.

use super::DyeCard;
use crate::spectrum::{BANDS, nanometres};
use units::{Measure, Quantity};
use words::{Arg, Finding, Known, Line, Origin, Place, Weight, say};

/// Findings about a card; each at the place of the key it is about.
pub(super) fn card(card: &DyeCard, place: &dyn Fn(&'static str) -> Place) -> Vec<Finding> {
    let mut check = Check {
        place,
        findings: Vec::new(),
    };
    check.names(card);
    check.spectrum(card);
    check.ladder(card);
    check.constants(card);
    check.bleaching_range(card);
    check.care(card);
    check.findings
}

struct Check<'a> {
    place: &'a dyn Fn(&'static str) -> Place,
    findings: Vec<Finding>,
}

/// A number's allowed range, in the SI base of its measure.
struct Range {
    least: f64,
    most: f64,
    measure: Measure,
}

const fn range(least: f64, most: f64, measure: Measure) -> Range {
    Range { least, most, measure }
}

impl Check<'_> {
    fn add(&mut self, code: &'static str, weight: Weight, key: &'static str, found: Line) -> &mut Finding {
        let at = self.findings.len();
        self.findings
            .push(Finding::new(code, weight, (self.place)(key), found));
        &mut self.findings[at]
    }

    fn names(&mut self, card: &DyeCard) {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if card.id.is_empty() || !card.id.chars().all(plain) {
            self.add(
                "dye-id",
                Weight::Wrong,
                "id",
                say!(
                    "\"{id}\" is not an id.",
                    "\"{id}\" bukan id.",
                    id = Arg::Name(card.id.clone())
                ),
            )
            .allowed = Some(say!(
                "An id has small letters, digits and hyphens.",
                "Id terdiri dari huruf kecil, angka, dan tanda hubung."
            ));
        }
        if card.name.trim().is_empty() {
            self.add(
                "dye-name",
                Weight::Wrong,
                "name",
                say!("The dye has no name.", "Pewarna belum bernama."),
            );
        }
    }

    fn spectrum(&mut self, card: &DyeCard) {
        const KEY: &str = "spectrum.unit_ks";
        self.origin(KEY, &card.spectrum);
        let bad = (0..BANDS).find(|b| !(card.unit_ks[*b] >= 0.0 && card.unit_ks[*b].is_finite()));
        if let Some(band) = bad {
            self.add(
                "dye-spectrum-negative",
                Weight::Wrong,
                KEY,
                say!(
                    "K/S at {nm} nm is {ks}.",
                    "K/S pada {nm} nm bernilai {ks}.",
                    nm = Arg::Number(f64::from(nanometres(band)), 0),
                    ks = Arg::Number(card.unit_ks[band], 3)
                ),
            )
            .allowed = Some(say!("K/S is 0 or more.", "K/S tidak boleh kurang dari 0."));
            return;
        }
        // Published K/S at the peak of 1 % owf is 2 to 9; a wrong unit (per % instead of per g/kg) is off by ten.
        let peak = card.unit_ks.iter().fold(0.0, |a: f64, b| a.max(*b)) * 10.0;
        if !(0.3..=20.0).contains(&peak) {
            let finding = self.add(
                "dye-spectrum-height",
                Weight::Doubtful,
                KEY,
                say!(
                    "1 % of this dye gives a K/S of {peak} at its peak.",
                    "1 % pewarna ini memberi K/S {peak} di puncaknya.",
                    peak = Arg::Number(peak, 2)
                ),
            );
            finding.allowed = Some(say!(
                "Most dyes give 2 to 9.",
                "Kebanyakan pewarna memberi 2 sampai 9."
            ));
            finding.remedy = Some(say!(
                "unit_ks is K/S per gram of fixed dye per kg of cloth: 1 % is 10 grams.",
                "unit_ks adalah K/S per gram pewarna terikat per kg kain: 1 % sama dengan 10 gram."
            ));
        }
    }

    fn ladder(&mut self, card: &DyeCard) {
        let Some(ladder) = &card.ladder else { return };
        self.within(
            "ladder.deepest",
            ladder.deepest / 100.0,
            range(1e-5, 0.2, Measure::Share),
        );
        self.within(
            "ladder.fixed_share",
            ladder.fixed_share,
            range(0.01, 1.0, Measure::Share),
        );
        self.within("ladder.error", ladder.error, range(0.0, 10.0, Measure::Share));
        if let Some(band) = (0..BANDS).find(|b| !(0.0..=1.2).contains(&ladder.white[*b])) {
            self.add(
                "dye-ladder-white",
                Weight::Wrong,
                "ladder.white",
                say!(
                    "The undyed cloth reflects {found} at {nm} nm.",
                    "Kain yang belum dicelup memantulkan {found} pada {nm} nm.",
                    found = Arg::Number(ladder.white[band], 3),
                    nm = Arg::Number(f64::from(nanometres(band)), 0)
                ),
            )
            .allowed = Some(say!(
                "A reflectance lies between 0 and 1.2.",
                "Reflektansi antara 0 dan 1,2."
            ));
        }
    }

    fn constants(&mut self, card: &DyeCard) {
        let (fixation, bleaching) = (&card.fixation, &card.bleaching);
        self.known("k_max", &card.k_max, range(10.0, 200.0, Measure::Count));
        self.known("fixation.rate", &fixation.rate, range(1e-9, 1.0, Measure::Rate));
        self.within(
            "fixation.at",
            fixation.at.0,
            range(0.0, 100.0, Measure::Temperature),
        );
        self.within("fixation.ph", fixation.ph, range(7.0, 14.0, Measure::Acidity));
        self.known(
            "fixation.energy",
            &fixation.energy,
            range(0.0, 2e5, Measure::MolarEnergy),
        );
        self.known(
            "fixation.final_share",
            &fixation.final_share,
            range(0.01, 1.0, Measure::Share),
        );
        self.known("affinity", &card.affinity, range(0.0, 0.1, Measure::PerMass));
        self.known("exhaustion", &card.exhaustion, range(0.0, 0.99, Measure::Share));
        self.known(
            "bleaching.rate",
            &bleaching.rate,
            range(0.0, 1e3, Measure::SecondOrderRate),
        );
        self.within(
            "bleaching.at",
            bleaching.at.0,
            range(0.0, 60.0, Measure::Temperature),
        );
        self.known(
            "bleaching.energy",
            &bleaching.energy,
            range(0.0, 2e5, Measure::MolarEnergy),
        );
        self.known(
            "bleaching.residue",
            &bleaching.residue,
            range(0.0, 1.0, Measure::Share),
        );
        self.known("blue_wool", &card.blue_wool, range(1.0, 8.0, Measure::Count));
    }

    fn bleaching_range(&mut self, card: &DyeCard) {
        let b = &card.bleaching;
        self.within(
            "bleaching.ph_least",
            b.ph_least,
            range(0.0, 14.0, Measure::Acidity),
        );
        self.within("bleaching.ph_most", b.ph_most, range(0.0, 14.0, Measure::Acidity));
        if !(b.ph_least <= b.ph && b.ph <= b.ph_most) {
            self.add(
                "dye-bleach-ph",
                Weight::Wrong,
                "bleaching.ph",
                say!(
                    "The strip test was at pH {ph}, outside the range {least} to {most} it is said to hold for.",
                    "Uji cabut dilakukan pada pH {ph}, di luar kisaran {least} sampai {most} yang dinyatakan.",
                    ph = Arg::Number(b.ph, 1),
                    least = Arg::Number(b.ph_least, 1),
                    most = Arg::Number(b.ph_most, 1)
                ),
            )
            .remedy = Some(say!(
                "Write ph_least and ph_most around the pH of the test.",
                "Tulis ph_least dan ph_most di sekitar pH uji."
            ));
        }
        if b.ph_least < 8.0 {
            self.add(
                "dye-bleach-ph-weakens",
                Weight::Doubtful,
                "bleaching.ph_least",
                say!(
                    "The card allows bleaching down to pH {least}. Between pH 5 and 8 hypochlorite eats cotton, and \
                     acid sets chlorine gas free.",
                    "Kartu mengizinkan pemutihan sampai pH {least}. Antara pH 5 dan 8 hipoklorit merusak kapas, dan \
                     asam melepaskan gas klorin.",
                    least = Arg::Number(b.ph_least, 1)
                ),
            )
            .remedy = Some(say!("Keep the bath at pH 9 to 11.", "Jaga bak pada pH 9 sampai 11."));
        }
    }

    fn care(&mut self, card: &DyeCard) {
        if card.price.amount < 0 {
            self.add(
                "dye-price-negative",
                Weight::Wrong,
                "price",
                say!(
                    "The price is {amount}.",
                    "Harga bernilai {amount}.",
                    amount = Arg::Spelled(format!("{} {}", card.price.decimal(), card.price.currency))
                ),
            );
        }
        if !card.hazards.iter().any(|h| h.key == "powder") {
            self.add(
                "dye-powder-hazard",
                Weight::Doubtful,
                "hazards",
                say!(
                    "The card does not warn of the dye's powder.",
                    "Kartu belum memperingatkan bahaya serbuk pewarna."
                ),
            )
            .remedy = Some(say!(
                "Add \"powder\" to hazards, unless the dye is bought as a liquid.",
                "Tambahkan \"powder\" pada hazards, kecuali pewarna dibeli dalam bentuk cair."
            ));
        }
    }

    fn known(&mut self, key: &'static str, known: &Known, range: Range) {
        self.within(key, known.value, range);
        self.origin(key, &known.origin);
    }

    /// Not a number is outside every range.
    fn within(&mut self, key: &'static str, value: f64, range: Range) {
        if (range.least..=range.most).contains(&value) {
            return;
        }
        let quantity = |si| Arg::Quantity(Quantity::new(si, range.measure));
        let key_name = || Arg::Name(key.to_string());
        self.add(
            "dye-out-of-range",
            Weight::Wrong,
            key,
            say!(
                "{key} is {found}.",
                "{key} bernilai {found}.",
                key = key_name(),
                found = quantity(value)
            ),
        )
        .allowed = Some(say!(
            "{key} lies between {least} and {most}.",
            "{key} harus antara {least} dan {most}.",
            key = key_name(),
            least = quantity(range.least),
            most = quantity(range.most)
        ));
    }

    fn origin(&mut self, key: &'static str, origin: &Origin) {
        let found = match origin {
            Origin::Assumed { factor, .. } if !(*factor >= 1.0 && factor.is_finite()) => say!(
                "{key} is assumed within a factor of {factor}; a factor is 1 or more.",
                "{key} diperkirakan dengan faktor {factor}; faktor tidak boleh kurang dari 1.",
                key = Arg::Name(key.to_string()),
                factor = Arg::Number(*factor, 2)
            ),
            Origin::Assumed { source, .. } if source.trim().is_empty() => say!(
                "{key} is assumed, but does not say from where.",
                "{key} diperkirakan, tetapi tidak menyebut sumbernya.",
                key = Arg::Name(key.to_string())
            ),
            Origin::Measured { n: 0, .. } => say!(
                "{key} is measured with no readings.",
                "{key} diukur tanpa pembacaan.",
                key = Arg::Name(key.to_string())
            ),
            Origin::Measured { date, .. } if !is_date(date) => say!(
                "{key} was measured on \"{date}\", which is not a date like 2026-05-14.",
                "{key} diukur pada \"{date}\", bukan tanggal seperti 2026-05-14.",
                key = Arg::Name(key.to_string()),
                date = Arg::Name(date.clone())
            ),
            _ => return,
        };
        self.add("dye-origin", Weight::Wrong, key, found);
    }
}

/// Year, month, day with hyphens; month and day in their ranges.
fn is_date(text: &str) -> bool {
    let mut parts = text.split('-');
    let mut part = |width: usize, least: u32, most: u32| {
        parts.next().is_some_and(|p| {
            p.len() == width
                && p.parse::<u32>()
                    .is_ok_and(|number| (least..=most).contains(&number))
        })
    };
    part(4, 1900, 9999) && part(2, 1, 12) && part(2, 1, 31) && parts.next().is_none()
}
