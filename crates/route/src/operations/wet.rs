//! Wet: cloth is wetted out and wrung to a given water before it is scrunched.

use crate::prelude::*;

/// The static side.
pub static KIND: Kind = Kind {
    key: "wet",
    term: Term {
        key: "wet",
        text: Text::new("Wet out", "Basahi"),
        gloss: Text::new("Wet the cloth through and wring it evenly.", "Basahi kain sampai tembus lalu peras rata."),
    },
    model: 1,
    settings: &[Setting {
        key: "water",
        term: Term {
            key: "water",
            text: Text::new("Water left in the cloth", "Air tersisa di kain"),
            gloss: Text::new("Kilograms of water per kilogram of dry cloth.", "Kilogram air per kilogram kain kering."),
        },
        shape: Shape::Quantity { measure: Measure::Share, least: 0.3, most: 2.0 },
        default: Some("90 %"),
        source: "wrung by hand 80-120 % (from memory, handbook range)",
    }],
    constants: &[],
    cautions: &[],
    asks: &[],
    timed: None,
    make: |values| Arc::new(Wet { values }),
};

struct Wet {
    values: Values,
}

/// The water settles to what was wrung; dye is not moved.
struct WetHand {
    water: f32,
}

impl Hand for WetHand {
    fn act(&self, patch: &mut Patch) {
        patch.water = Plane::Flat(self.water);
    }
}

impl Operation for Wet {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let loose = before.means.mean(|z| z.loose.iter().sum::<f64>());
        (loose > 0.5)
            .then(|| {
                Finding::new(
                    "wet-loose-dye",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth still carries {loose} g/kg of unfixed dye, which will run when wetted",
                        "kain masih membawa {loose} g/kg pewarna yang belum terikat; akan luntur bila dibasahi",
                        loose = Arg::Number(loose, 1)
                    ),
                )
                .remedy(say!("fix and rinse first", "ikat dan bilas dahulu"))
            })
            .into_iter()
            .collect()
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let water = self.values.si("water");
        let drawn = (water - means.water).max(0.0) * lot.mass().0;
        means.water = water;
        Takes {
            // Cloth that comes wet enough from an earlier step draws nothing, and nothing is listed.
            per_bolt: if drawn > 0.0 { vec![draw_water(drawn)] } else { Vec::new() },
            ..Takes::default()
        }
    }

    fn hand(&self, _: &Before) -> Arc<dyn Hand> {
        Arc::new(WetHand { water: self.values.si("water") as f32 })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("trough"), Use::whole("helper")],
            work: Work::minutes(3.0, 5.0, 8.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![
                say!("Lay the cloth in clean water until no dry place is left.", "Rendam kain dalam air bersih sampai tidak ada bagian kering."),
                say!(
                    "Wring evenly to {water} water.",
                    "Peras rata sampai air {water}.",
                    water = self.values.arg("water")
                ),
            ],
            done_when: say!("no drop falls from the hem", "tidak ada tetes jatuh dari tepi kain"),
        }
    }
}
