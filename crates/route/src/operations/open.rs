//! Open: the package is taken apart and the cloth laid flat.

use crate::prelude::*;

/// The static side.
pub static KIND: Kind = Kind {
    key: "open",
    term: Term {
        key: "open",
        text: Text::new("Open", "Buka"),
        gloss: Text::new(
            "Take the package apart and lay the cloth flat.",
            "Buka kerutan dan bentangkan kain.",
        ),
    },
    model: 1,
    settings: &[],
    constants: &[],
    cautions: &[],
    asks: &[Ask {
        term: Term {
            key: "white-share",
            text: Text::new("White left", "Sisa putih"),
            gloss: Text::new(
                "Share of the cloth without dye, by eye.",
                "Bagian kain tanpa pewarna, dengan mata.",
            ),
        },
        measure: Measure::Share,
    }],
    timed: None,
    make: |values| Arc::new(Open { values }),
};

struct Open {
    values: Values,
}

/// Layers part and the cloth is handled and laid out: its water evens out over the decimetres that the package's
/// layers were apart, so one value stands for all of it. Dye stays where it is.
struct OpenHand {
    water: f32,
}

impl Hand for OpenHand {
    fn act(&self, patch: &mut Patch) {
        if !patch.water.is_zero() {
            patch.water = Plane::Flat(self.water);
        }
    }
    fn fold(&self) -> Fold {
        Fold::Open
    }
}

impl Operation for Open {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        (!before.means.folded)
            .then(|| {
                Finding::new(
                    "open-already",
                    Weight::Note,
                    here(before, None),
                    say!("the cloth lies open already", "kain sudah terbuka"),
                )
            })
            .into_iter()
            .collect()
    }

    fn tally(&self, means: &mut Means, _: &Design, _: &LotShape, _: &Workshop) -> Takes {
        means.folded = false;
        means.layers = 1.0;
        Takes::default()
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        Arc::new(OpenHand {
            water: before.means.water as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::several("helper", 2)],
            work: Work::minutes(3.0, 5.0, 10.0),
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
                say!(
                    "Lift the package apart from one end; do not drag wet cloth over dry.",
                    "Buka kerutan dari satu ujung; jangan seret kain basah di atas yang kering."
                ),
                say!(
                    "Lay it flat, face up, on a clean bench.",
                    "Bentangkan rata, muka ke atas, di meja bersih."
                ),
            ],
            done_when: say!(
                "no crease holds and the whole width is in sight",
                "tidak ada lipatan tersisa dan seluruh lebar terlihat"
            ),
        }
    }
}
