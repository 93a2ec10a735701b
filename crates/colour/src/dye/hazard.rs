//! What can hurt someone who handles a dye.

use words::{Term, Text};

/// A hazard: key in files, name, and what to do about it.
pub type Hazard = Term;

/// Every hazard a card may name. The advice is the usual one; the supplier's safety sheet and local rules go first.
pub static HAZARDS: [Hazard; 4] = [
    Term {
        key: "powder",
        text: Text::new("Do not breathe the powder", "Jangan hirup serbuknya"),
        gloss: Text::new(
            "Reactive dye powder can cause asthma that stays for life. Weigh in still air, wear a mask for fine \
             dust, close the tin, wipe up wet. The supplier's safety sheet and local rules go first.",
            "Serbuk pewarna reaktif dapat menyebabkan asma menetap. Timbang di tempat tanpa angin, pakai masker \
             debu halus, tutup kaleng, bersihkan dengan lap basah. Ikuti lembar keselamatan pemasok dan aturan \
             setempat.",
        ),
    },
    Term {
        key: "skin",
        text: Text::new("Keep off the skin", "Hindari kontak kulit"),
        gloss: Text::new(
            "Wear gloves and an apron: the dye binds to skin and can cause rashes. Never take it off with bleach. \
             The supplier's safety sheet and local rules go first.",
            "Pakai sarung tangan dan celemek: pewarna mengikat pada kulit dan dapat menimbulkan ruam. Jangan \
             bersihkan kulit dengan pemutih. Ikuti lembar keselamatan pemasok dan aturan setempat.",
        ),
    },
    Term {
        key: "alkali",
        text: Text::new("Used with strong alkali", "Dipakai dengan alkali kuat"),
        gloss: Text::new(
            "Its baths are alkaline: goggles and gloves, rinse splashes at once with plenty of water, see a doctor \
             for the eyes. The supplier's safety sheet and local rules go first.",
            "Baknya bersifat alkali: pakai kacamata pelindung dan sarung tangan, segera bilas percikan dengan \
             banyak air, periksakan mata ke dokter. Ikuti lembar keselamatan pemasok dan aturan setempat.",
        ),
    },
    Term {
        key: "copper",
        text: Text::new("Contains copper", "Mengandung tembaga"),
        gloss: Text::new(
            "A metal-complex dye: its waste water carries copper. Do not empty baths into ditch or garden; local \
             rules for waste water decide.",
            "Pewarna kompleks logam: air limbahnya mengandung tembaga. Jangan buang bak ke selokan atau kebun; \
             ikuti aturan air limbah setempat.",
        ),
    },
];

/// The hazard with this key.
pub fn hazard(key: &str) -> Option<&'static Hazard> {
    HAZARDS.iter().find(|h| h.key == key)
}
