//! Specifications and line sheets.

use super::{INDONESIAN, card, grey_picture, must_be_clear, named, sheet, step, texts};
use crate::parts::Bench;
use crate::setting::Setter;
use crate::*;
use words::{Voice, say, text};

fn colours() -> Vec<Colours> {
    let one = |share: f64| Colour {
        name: say!("deep blue", "biru tua"),
        code: "#102060  L 15 a 5 b -30".to_string(),
        share,
        rgb: [16, 32, 96],
    };
    [false, true]
        .map(|motif| Colours {
            motif,
            share: 0.5,
            colours: vec![one(0.5), one(0.3), one(0.2)],
        })
        .to_vec()
}

fn spec(steps: u32) -> SpecSheet {
    SpecSheet {
        workshop: "Sirih Works".to_string(),
        collection: "Reef & Rain".to_string(),
        design: "Sea Fan".to_string(),
        colourway: "low tide".to_string(),
        note: "Branches in the current.".to_string(),
        revision: Some("12ab34cd".to_string()),
        cloth: grey_picture(),
        close: (grey_picture(), [185.0, 62.0]),
        colours: colours(),
        facts: (0..6)
            .map(|n| (named(&format!("fact {n}")), named("1.12 m by 13.72 m")))
            .collect(),
        steps: (1..=steps)
            .map(|number| SpecStep {
                number,
                name: say!("Bleach", "Cabut warna"),
                settings: (0..5)
                    .map(|_| (say!("time in the bath", "lama di bak"), named("12 min")))
                    .collect(),
                after: grey_picture(),
            })
            .collect(),
        cautions: vec![say!(
            "NEVER mix bleach with acid.",
            "JANGAN campur pemutih dengan asam."
        )],
    }
}

fn offers(n: usize) -> LineSheet {
    let offer = |at: usize| Offer {
        design: format!("Sea Fan {at}"),
        colourway: "low tide".to_string(),
        note: "Branches in the current.".to_string(),
        cloth: grey_picture(),
        close: (grey_picture(), [185.0, 62.0]),
        colours: colours(),
        facts: vec![(say!("Width", "Lebar"), named("1.12 m"))],
    };
    LineSheet {
        collection: "Reef & Rain".to_string(),
        by: "a designer".to_string(),
        note: "Six cottons.".to_string(),
        offers: (0..n).map(offer).collect(),
    }
}

/// Every step is there, whole and once, in both languages, on every size of paper.
#[test]
fn a_specification_lists_the_whole_route() {
    let setter = Setter::new().expect("fonts");
    for paper in [Sheet::A4, Sheet::A3, Sheet::UsLetter] {
        for voice in [Voice::default(), INDONESIAN] {
            let bench = Bench {
                setter: &setter,
                voice,
                sheet: paper,
            };
            let spec = spec(40);
            let leaves = crate::spec_sheet::set_spec(&bench, &spec).expect("it can be printed");
            must_be_clear(&leaves);
            let all: String = leaves.iter().map(texts).collect();
            for number in 1..=40 {
                assert!(
                    all.contains(&format!("{number} Bleach"))
                        || all.contains(&format!("{number} Cabut warna")),
                    "{number}"
                );
            }
            assert!(all.contains("Bleach") && all.contains("Cabut warna"));
        }
    }
}

#[test]
fn buyers_see_every_cloth_on_a_page_of_its_own() {
    let setter = Setter::new().expect("fonts");
    for n in [1, 2, 6, 20] {
        let bench = Bench {
            setter: &setter,
            voice: Voice::default(),
            sheet: Sheet::A4,
        };
        let line = offers(n);
        let leaves = crate::line_sheet::set_line(&bench, &line).expect("it can be printed");
        must_be_clear(&leaves);
        assert!(leaves.len() > n, "{n}: {}", leaves.len());
        let rest: String = leaves[leaves.len() - n..].iter().map(texts).collect();
        for at in 0..n {
            assert!(rest.contains(&format!("Sea Fan {at}")), "{at} of {n}");
        }
        // A buyer reads one language.
        assert!(!rest.contains(text!("ground", "latar").id));
    }
}

#[test]
fn a_pack_is_its_parts_in_order() {
    let whole = Pack {
        title: "Sea Fan".to_string(),
        specs: vec![spec(3)],
        stamps: Vec::new(),
        cards: vec![card(vec![step(1, 5)])],
        sheets: vec![sheet(2)],
    };
    let pdf = pack(&whole, Sheet::A4, Voice::default()).expect("it can be printed");
    assert!(
        pdf.starts_with(b"%PDF")
            && pdf == pack(&whole, Sheet::A4, Voice::default()).expect("it can be printed")
    );
    let alone = cards(&whole.cards, &whole.sheets, Sheet::A4, Voice::default()).expect("it can be printed");
    assert!(pdf.len() > alone.len());
}
