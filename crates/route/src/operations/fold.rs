//! Fold: the cloth is scrunched across and along into a package that is only partly on top.

use crate::prelude::*;

/// The static side.
pub static KIND: Kind = Kind {
    key: "fold",
    term: Term {
        key: "fold",
        text: Text::new("Scrunch", "Kerutkan"),
        gloss: Text::new(
            "Push the cloth together across and along into short irregular creases.",
            "Dorong kain ke arah lebar dan panjang menjadi kerutan pendek tak beraturan.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "across",
            term: Term {
                key: "across",
                text: Text::new("Width of the package", "Lebar setelah dikerut"),
                gloss: Text::new("Size across after scrunching.", "Ukuran lebar setelah dikerut."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.2, most: 1.5 },
            default: Some("24 in"),
            source: "44 in to 24 in: common practice, no source",
        },
        Setting {
            key: "along",
            term: Term {
                key: "along",
                text: Text::new("Length of the package", "Panjang setelah dikerut"),
                gloss: Text::new("Size along after scrunching.", "Ukuran panjang setelah dikerut."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 1.0, most: 40.0 },
            default: Some("8 yd"),
            source: "15 yd to 8 yd: common practice, no source",
        },
        Setting {
            key: "pleat",
            term: Term {
                key: "pleat",
                text: Text::new("Distance of creases", "Jarak kerutan"),
                gloss: Text::new("Mean distance from crease to crease on the open cloth.", "Jarak rata-rata antar kerutan pada kain terbuka."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.03, most: 0.3 },
            default: Some("80 mm"),
            source: "own estimate",
        },
    ],
    constants: &[],
    cautions: &[],
    asks: &[],
    timed: None,
    make: |values| Arc::new(Scrunch { values }),
};

struct Scrunch {
    values: Values,
}

struct FoldHand {
    package: Arc<Package>,
}

impl Hand for FoldHand {
    fn act(&self, _: &mut Patch) {}
    fn fold(&self) -> Fold {
        Fold::Packed(self.package.clone())
    }
}

impl Scrunch {
    /// Package size over cloth size, across and along.
    fn contraction(&self, lot: &LotShape) -> (f64, f64) {
        (self.values.si("across") / lot.cloth.width.0, self.values.si("along") / lot.cloth.length.0)
    }
}

impl Operation for Scrunch {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        let (across, along) = self.contraction(before.lot);
        for (share, setting) in [(across, "across"), (along, "along")] {
            if !(0.3..=0.95).contains(&share) {
                findings.push(
                    Finding::new(
                        "fold-contraction",
                        Weight::Wrong,
                        here(before, Some(setting)),
                        say!(
                            "the package is {share} of the cloth's size",
                            "ukuran kerutan {share} dari ukuran kain",
                            share = Arg::Quantity(Quantity::new(share, Measure::Share))
                        ),
                    )
                    .allow(say!("30 to 95 %", "30 sampai 95 %")),
                );
            }
        }
        if before.means.waxed() {
            findings.push(Finding::new(
                "fold-cracks-wax",
                Weight::Note,
                here(before, None),
                say!(
                    "scrunching waxed cloth cracks the wax along the folds",
                    "mengerutkan kain bermalam membuat malam retak di lipatan"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let (across, along) = self.contraction(lot);
        means.folded = true;
        means.layers = 1.0 / (across.clamp(0.3, 1.0) * along.clamp(0.3, 1.0));
        Takes::default()
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let (across, along) = self.contraction(before.lot);
        let pleat = self.values.si("pleat") as f32 * 1000.0;
        Arc::new(FoldHand {
            package: Arc::new(Package {
                seed: before.seed.child("package").low(),
                pitch: pleat,
                contraction: (across.clamp(0.3, 1.0) as f32, along.clamp(0.3, 1.0) as f32),
                crumple: pleat * 0.6,
            }),
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("floor"), Use::several("helper", 2)],
            work: Work::minutes(8.0, 12.0, 20.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![say!(
                "Scrunch to {across} wide and {along} long: short creases in all directions, none from edge to edge.",
                "Kerutkan sampai lebar {across} dan panjang {along}: kerutan pendek ke segala arah, jangan dari tepi ke tepi.",
                across = self.values.arg("across"),
                along = self.values.arg("along")
            )],
            done_when: say!("about a third of the cloth is on top", "sekitar sepertiga kain ada di atas"),
        }
    }
}
