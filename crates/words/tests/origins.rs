//! A result claims no more than the weakest number under it.

use words::{Known, Origin, Voice};

#[test]
fn the_weaker_origin_wins_whatever_the_order() {
    let ranked = [
        Known::assumed(1.0, 2.5, "common practice, no source").origin,
        Known::yours(1.0).origin,
        Origin::Measured {
            date: "2026-03-01".to_string(),
            n: 6,
        },
    ];
    for (i, a) in ranked.iter().enumerate() {
        for (j, b) in ranked.iter().enumerate() {
            assert_eq!(a.weaker(b), &ranked[i.min(j)]);
        }
    }
    let (rough, fine) = (
        Known::assumed(1.0, 2.5, "x").origin,
        Known::assumed(1.0, 1.1, "y").origin,
    );
    let readings = |n| Origin::Measured {
        date: "2026-03-01".to_string(),
        n,
    };
    for (weak, strong) in [(rough, fine), (readings(2), readings(9))] {
        assert_eq!((weak.weaker(&strong), strong.weaker(&weak)), (&weak, &weak));
    }
    let marks: Vec<&str> = ranked
        .iter()
        .map(|o| o.mark().raw(Voice::default().language))
        .collect();
    assert_eq!(marks, ["assumed", "yours", "measured here"]);
}
