//! Inspect: every yard passes the eye; faults get points, and what belongs to work by hand gets none.
//!
//! Four-point system (ASTM D5430, as summarised in trade texts): a fault of up to 3 in gets 1 point, up to 6 in 2, up
//! to 9 in 3, longer 4; a hole 2 or 4; no yard more than 4. The standard sets no pass mark: buyer and seller agree on
//! one, so limit and usable width are settings and are printed on the card.

use crate::prelude::*;
use units::Length;
use words::Line;

/// The static side.
pub static KIND: Kind = Kind {
    key: "inspect",
    term: Term {
        key: "inspect",
        text: Text::new("Inspect", "Periksa"),
        gloss: Text::new(
            "Four-point inspection of every yard.",
            "Pemeriksaan empat poin tiap yard.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "limit",
            term: Term {
                key: "limit",
                text: Text::new("Pass mark", "Batas lulus"),
                gloss: Text::new(
                    "Most points per 100 square yards, as agreed with the buyer.",
                    "Poin terbanyak per 100 yard persegi, menurut kesepakatan.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Count,
                least: 1.0,
                most: 100.0,
            },
            default: Some("40 x"),
            source: "40 is the common pass mark, 28 and 20 for better goods (buyers' practice); the standard sets none",
        },
        Setting {
            key: "usable",
            term: Term {
                key: "usable",
                text: Text::new("Usable width", "Lebar terpakai"),
                gloss: Text::new(
                    "Between the selvedges, as sold.",
                    "Di antara tepi kain, seperti dijual.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Length,
                least: 0.3,
                most: 3.5,
            },
            default: Some("42 in"),
            source: "44 in cloth after 3 % shrinkage, without its selvedges",
        },
    ],
    constants: &[],
    cautions: &[],
    asks: &[
        Ask {
            term: ONE,
            measure: Measure::Count,
        },
        Ask {
            term: TWO,
            measure: Measure::Count,
        },
        Ask {
            term: THREE,
            measure: Measure::Count,
        },
        Ask {
            term: FOUR,
            measure: Measure::Count,
        },
        Ask {
            term: Term {
                key: "usable-measured",
                text: Text::new("Usable width, measured", "Lebar terpakai, diukur"),
                gloss: Text::new(
                    "The narrowest of three places.",
                    "Yang tersempit dari tiga tempat.",
                ),
            },
            measure: Measure::Length,
        },
        Ask {
            term: Term {
                key: "length-measured",
                text: Text::new("Length, measured", "Panjang, diukur"),
                gloss: Text::new("Without pull.", "Tanpa ditarik."),
            },
            measure: Measure::Length,
        },
    ],
    timed: None,
    make: |values| Arc::new(Inspect { values }),
};

const ONE: Term = Term {
    key: "faults-1",
    text: Text::new("Faults of 1 point", "Cacat 1 poin"),
    gloss: Text::new("Up to 3 in (75 mm).", "Sampai 3 in (75 mm)."),
};
const TWO: Term = Term {
    key: "faults-2",
    text: Text::new("Faults of 2 points", "Cacat 2 poin"),
    gloss: Text::new(
        "Over 3 to 6 in (150 mm), or a hole up to 1 in.",
        "Di atas 3 sampai 6 in (150 mm), atau lubang sampai 1 in.",
    ),
};
const THREE: Term = Term {
    key: "faults-3",
    text: Text::new("Faults of 3 points", "Cacat 3 poin"),
    gloss: Text::new("Over 6 to 9 in (230 mm).", "Di atas 6 sampai 9 in (230 mm)."),
};
const FOUR: Term = Term {
    key: "faults-4",
    text: Text::new("Faults of 4 points", "Cacat 4 poin"),
    gloss: Text::new(
        "Over 9 in, or a hole over 1 in; at most 4 a yard.",
        "Di atas 9 in, atau lubang di atas 1 in; paling banyak 4 per yard.",
    ),
};

/// What belongs to cloth made by hand and gets no points. The first two only where cloth is stamped.
pub static THE_HAND: [Text; 5] = [
    Text::new("an impression up to 3 mm out of line", "geseran cap sampai 3 mm"),
    Text::new("crackle lines through the motif", "garis remukan pada motif"),
    Text::new(
        "mottle and clouds of tone inside a yard",
        "belang halus dan awan warna di dalam satu yard",
    ),
    Text::new(
        "soft edges and small runs between colours",
        "tepi lembut dan rembesan kecil antar warna",
    ),
    Text::new("dark specks where soda ash lay", "bintik tua bekas soda abu"),
];
/// How many of [`THE_HAND`] speak of stamps.
const OF_STAMPS: usize = 2;

/// A fault, as it is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// A mark, streak or stain of this length in its longest direction.
    Mark(Length),
    /// A hole of this size.
    Hole(Length),
}

/// Points of one fault (ASTM D5430: limits at 3, 6 and 9 in; holes at 1 in).
pub fn points(fault: Fault) -> u32 {
    // A tape reads to a millimetre: rounding below that must not cost a point.
    let inches = |size: Length| size.0 / 0.0254 - 1e-6;
    match fault {
        Fault::Mark(size) => match inches(size) {
            i if i <= 3.0 => 1,
            i if i <= 6.0 => 2,
            i if i <= 9.0 => 3,
            _ => 4,
        },
        Fault::Hole(size) if inches(size) <= 1.0 => 2,
        Fault::Hole(_) => 4,
    }
}

/// Points of the faults that begin in one linear yard: never more than 4.
pub fn points_of_yard(faults: &[Fault]) -> u32 {
    faults.iter().map(|fault| points(*fault)).sum::<u32>().min(4)
}

/// Points per 100 square yards: `points x 3600 / (length in yd x usable width in in)`. `None` for cloth without
/// size.
pub fn per_100_yd2(points: f64, length: Length, usable: Length) -> Option<f64> {
    let area = length.to_yd() * usable.0 / 0.0254;
    (area > 0.0 && points >= 0.0).then(|| points * 3600.0 / area)
}

/// Most whole points that one bolt may have.
pub fn allowed_points(limit: f64, length: Length, usable: Length) -> u32 {
    per_100_yd2(1.0, length, usable).map_or(0, |one| (limit / one + 1e-9).floor().clamp(0.0, 1e6) as u32)
}

struct Inspect {
    values: Values,
}

/// Looking changes nothing.
struct Looks;

impl Hand for Looks {
    fn act(&self, _: &mut Patch) {}
}

impl Inspect {
    fn usable(&self) -> Length {
        Length(self.values.si("usable"))
    }
}

/// The accepted irregularities as lines of a card.
fn the_hand(stamped: bool) -> impl Iterator<Item = Line> {
    THE_HAND
        .iter()
        .skip(if stamped { 0 } else { OF_STAMPS })
        .map(|text| {
            say!(
                "No points, the hand, not a fault: {what}.",
                "Tanpa poin, jejak tangan, bukan cacat: {what}.",
                what = Arg::Text(text)
            )
        })
}

impl Operation for Inspect {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let width = before.lot.cloth.width * before.means.shrunk.0;
        let usable = self.usable();
        let saying = |weight| {
            Finding::new(
                "inspect-width",
                weight,
                here(before, Some("usable")),
                say!(
                    "usable width {usable}, but the cloth ends {width} wide",
                    "lebar terpakai {usable}, sedangkan lebar akhir kain {width}",
                    usable = self.values.arg("usable"),
                    width = Arg::Quantity(Quantity::new(width.0, Measure::Length))
                ),
            )
            .remedy(say!(
                "points are counted per usable area: write down the width that is sold",
                "poin dihitung per luas terpakai: tulis lebar yang dijual"
            ))
        };
        // The tape's own error is let pass; a width that gives away a tenth of the cloth is asked about.
        if usable > width + Length(0.001) {
            vec![saying(Weight::Wrong)]
        } else if usable < width * 0.9 {
            vec![saying(Weight::Doubtful)]
        } else {
            Vec::new()
        }
    }

    fn tally(&self, _: &mut Means, _: &Design, _: &LotShape, _: &Workshop) -> Takes {
        Takes::default()
    }

    fn hand(&self, _: &Before) -> Arc<dyn Hand> {
        Arc::new(Looks)
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::whole("foreman")],
            // 10-15 min a bolt (own estimate).
            work: Work::minutes(10.0, 12.0, 20.0),
            calendar: "shop",
            may_pause: true,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let (length, limit) = (lot.cloth.length, self.values.si("limit"));
        let mut lines = vec![
            say!(
                "Usable width {usable}, length {length}: one point on the bolt is {one} per 100 square yards.",
                "Lebar terpakai {usable}, panjang {length}: satu poin di gulung ini berarti {one} per 100 yard persegi.",
                usable = self.values.arg("usable"),
                length = Arg::Quantity(Quantity::new(length.0, Measure::Length)),
                one = Arg::Number(per_100_yd2(1.0, length, self.usable()).unwrap_or(f64::NAN), 1)
            ),
            say!(
                "1 point to 75 mm, 2 to 150 mm, 3 to 230 mm, 4 beyond; a hole 2 to 25 mm, 4 beyond; at most 4 a yard.",
                "1 poin sampai 75 mm, 2 sampai 150 mm, 3 sampai 230 mm, selebihnya 4; lubang 2 sampai 25 mm, selebihnya 4; paling banyak 4 per yard."
            ),
        ];
        lines.extend(the_hand(!design.stamps.is_empty()));
        Instructions {
            lines,
            done_when: say!(
                "every yard was seen in good light; up to {n} points pass ({limit} per 100 square yards)",
                "tiap yard dilihat dalam cahaya baik; sampai {n} poin lulus ({limit} per 100 yard persegi)",
                n = Arg::Number(f64::from(allowed_points(limit, length, self.usable())), 0),
                limit = Arg::Number(limit, 0)
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Fault, allowed_points, per_100_yd2, points, points_of_yard};
    use units::Length;

    const YARD: f64 = 0.9144;
    const INCH: f64 = 0.0254;

    /// The rule (ASTM D5430): points x 3600 / (length yd x usable width in). A published example with 9 points on 15 yd of
    /// 44 in gives 49.1; the others by paper.
    #[test]
    fn points_are_counted_per_usable_area() {
        let bolt = Length(15.0 * YARD);
        for (count, inches, want) in [
            (7.0, 44.0, 38.2),
            (7.0, 42.0, 40.0),
            (9.0, 44.0, 49.1),
            (9.0, 42.0, 51.4),
        ] {
            let got = per_100_yd2(count, bolt, Length(inches * INCH)).unwrap();
            assert_eq!((got * 10.0).round() / 10.0, want, "{count} points at {inches} in");
        }
        assert_eq!(per_100_yd2(7.0, bolt, Length(0.0)), None);
    }

    /// Seven points pass at 42 in (exactly 40.0), and so they do at 44 in; eight do not.
    #[test]
    fn exactly_the_limit_passes() {
        let bolt = Length(15.0 * YARD);
        assert_eq!(allowed_points(40.0, bolt, Length(42.0 * INCH)), 7);
        assert_eq!(allowed_points(39.99, bolt, Length(42.0 * INCH)), 6);
        assert_eq!(allowed_points(40.0, bolt, Length(44.0 * INCH)), 7);
    }

    /// Edges in pairs, and the examination question of trade texts: a fault of 4.5 in gets 2 points.
    #[test]
    fn faults_get_their_points() {
        let mark = |inches: f64| points(Fault::Mark(Length(inches * INCH)));
        let hole = |inches: f64| points(Fault::Hole(Length(inches * INCH)));
        assert_eq!(
            [3.0, 3.1, 4.5, 6.0, 6.1, 9.0, 9.1, 80.0].map(mark),
            [1, 2, 2, 2, 3, 3, 4, 4]
        );
        assert_eq!([0.2, 1.0, 1.1].map(hole), [2, 2, 4]);
        let long = Fault::Mark(Length(0.5));
        assert_eq!(points_of_yard(&[long, long]), 4);
        assert_eq!(points_of_yard(&[]), 0);
    }
}
