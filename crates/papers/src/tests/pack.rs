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
                tight: false,
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
            tight: false,
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
        cover: None,
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

/// The cover says on which pages of the pack the papers of each cloth lie: what stands there is what it says.
#[test]
fn the_cover_says_where_everything_lies() {
    let setter = Setter::new().expect("fonts");
    let cover = Cover {
        workshop: "Sirih Works".to_string(),
        collection: "Reef & Rain".to_string(),
        by: "a designer, Porto".to_string(),
        note: "Six cottons.".to_string(),
        first: vec![
            First {
                about: String::new(),
                said: say!(
                    "NEVER mix bleach with acid.",
                    "JANGAN campur pemutih dengan asam."
                ),
                danger: true,
            },
            First {
                about: "Tide Pool".to_string(),
                said: say!("print at full size", "cetak ukuran penuh"),
                danger: false,
            },
        ],
        doubts: vec![Doubts {
            about: "Sea Fan".to_string(),
            said: (0..30).map(|n| named(&format!("doubt {n}"))).collect(),
        }],
    };
    let papers = |cards, sheets| Papers {
        stamps: 0,
        cards,
        sheets,
    };
    let named_card = |lot: &str, steps: u32| JobCard {
        lot: lot.to_string(),
        ..card((1..=steps).map(|n| step(n, 3)).collect())
    };
    let other = SpecSheet {
        design: "Tide Pool".to_string(),
        ..spec(30)
    };
    let whole = Pack {
        title: "Reef & Rain".to_string(),
        cover: Some((cover, vec![papers(1, 1), papers(2, 0)])),
        specs: vec![spec(12), other],
        stamps: Vec::new(),
        cards: vec![named_card("L31", 9), named_card("L32", 3), named_card("L33", 12)],
        sheets: vec![sheet(4)],
    };
    for paper in [Sheet::A4, Sheet::UsLetter] {
        for voice in [Voice::default(), INDONESIAN] {
            let bench = Bench {
                tight: false,
                setter: &setter,
                voice,
                sheet: paper,
            };
            let leaves = crate::lay_out_pack(&bench, &whole).expect("it can be printed");
            must_be_clear(&leaves);
            let said: Vec<String> = leaves.iter().map(texts).collect();
            let covers = said
                .iter()
                .take_while(|s| s.contains("Reef & Rain") && !s.contains("12ab34cd"))
                .count();
            assert!(covers >= 2, "thirty doubts go over the page: {covers}");
            let first = said[..covers].concat();
            // From the papers themselves: where each begins and ends, read off what they say of themselves.
            let of = |sign: &dyn Fn(&str) -> bool| {
                let pages: Vec<usize> = (covers..said.len())
                    .filter(|at| sign(&said[*at]))
                    .map(|at| at + 1)
                    .collect();
                format!("{}–{}", pages[0], pages[pages.len() - 1])
            };
            let cards = |lot: &str| said.iter().position(|s| s.contains(lot)).expect("its card") + 1;
            let [spec_a, spec_b] =
                ["Sea Fan, low tide", "Tide Pool, low tide"].map(|name| of(&|s| s.contains(name)));
            let card_b = format!("{}–{}", cards("L32"), {
                let last = said.iter().rposition(|s| s.contains("L33")).expect("its card");
                last + 1
            });
            for pages in [spec_a, spec_b, card_b] {
                assert!(first.contains(&pages), "{pages} is not on the cover: {first}");
            }
            assert!(first.contains("a designer, Porto") && first.contains("Doubt 29."));
        }
    }
}
