//! Repeats against their definitions: a layout is what leaves the endless pattern as it is.

use stamp::{Area, Bounds, HandError, Lattice, Layout, Mask, Point, Rule, Stamp, impressions_on, wax_row};

const W: f64 = 60.0;
const H: f64 = 40.0;

/// A shape without any symmetry of its own.
fn area() -> Area {
    Area::filled(
        &[
            vec![[5.0, 4.0], [38.0, 9.0], [20.0, 17.0], [9.0, 30.0]],
            vec![[44.0, 22.0], [57.0, 25.0], [48.0, 37.0]],
        ],
        Rule::NonZero,
    )
}

/// The wax at a point of a cloth of 8 x 8 repeats, as the cloth is printed: by rows of impressions.
fn wax(lattice: &Lattice, mask: &Mask, p: Point) -> f32 {
    let places = lattice.placements(8.0 * W, 8.0 * H);
    let part = Bounds { low: p, high: p };
    let set = impressions_on(&part, mask, lattice, &places, &HandError::default(), |_, _, _| {
        0.5
    });
    let (mut d, mut pressed) = ([0.0], [0.0]);
    wax_row(mask, &set, p[1], &[p[0] as f32], &mut d, &mut pressed);
    d[0]
}

/// Both views of a pattern at many points of its inside: `same` sends each to where the pattern must be alike.
fn alike(layout: Layout, same: impl Fn(Point) -> Point) -> bool {
    let lattice = Lattice {
        layout,
        repeat_mm: [W, H],
    };
    let mask = Mask::new(&area());
    (0..600).all(|k| {
        let k = f64::from(k);
        let p = [
            3.0 * W + (k * 0.754_877).fract() * 2.0 * W,
            3.0 * H + (k * 0.569_84).fract() * 2.0 * H,
        ];
        (wax(&lattice, &mask, p) - wax(&lattice, &mask, same(p))).abs() < 0.02
    })
}

#[test]
fn straight_repeats_across_and_along() {
    assert!(alike(Layout::Straight, |p| [p[0] + W, p[1]]));
    assert!(alike(Layout::Straight, |p| [p[0], p[1] + H]));
    assert!(!alike(Layout::Straight, |p| [p[0] + W, p[1] + H / 2.0]));
}

#[test]
fn half_drop_repeats_half_a_repeat_lower_in_the_next_column() {
    assert!(alike(Layout::HalfDrop, |p| [p[0] + W, p[1] + H / 2.0]));
    assert!(alike(Layout::HalfDrop, |p| [p[0] + W, p[1] - H / 2.0]));
    assert!(!alike(Layout::HalfDrop, |p| [p[0] + W, p[1]]));
}

#[test]
fn brick_repeats_half_a_repeat_beside_in_the_next_row() {
    assert!(alike(Layout::Brick, |p| [p[0] + W / 2.0, p[1] + H]));
    assert!(!alike(Layout::Brick, |p| [p[0], p[1] + H]));
}

#[test]
fn mirror_is_its_own_image_about_every_line_between_columns() {
    for line in [3.0 * W, 4.0 * W, 5.0 * W] {
        assert!(alike(Layout::Mirror, |p| [2.0 * line - p[0], p[1]]));
    }
    assert!(alike(Layout::Mirror, |p| [p[0], p[1] + H]));
    assert!(!alike(Layout::Mirror, |p| [p[0] + W, p[1]]));
}

#[test]
fn a_rotated_pair_is_alike_after_half_a_turn_between_the_two() {
    for x in [3.0 * W, 4.0 * W] {
        let about = [x, 3.5 * H];
        assert!(alike(Layout::Rotated, |p| [
            2.0 * about[0] - p[0],
            2.0 * about[1] - p[1]
        ]));
    }
    assert!(!alike(Layout::Rotated, |p| [p[0] + W, p[1]]));
    assert!(alike(Layout::Rotated, |p| [p[0] + 2.0 * W, p[1]]));
}

/// What one impression prints, laid out by hand, is what the rows show.
#[test]
fn printed_areas_are_what_the_cloth_shows() {
    let mask = Mask::new(&area());
    for layout in Layout::ALL {
        let lattice = Lattice {
            layout,
            repeat_mm: [W, H],
        };
        let around: Vec<Area> = (0..8)
            .flat_map(|i| (-1..9).map(move |j| (i, j)))
            .map(|(i, j)| lattice.printed(i, j, &area()))
            .collect();
        for k in 0..300 {
            let k = f64::from(k);
            let p = [
                W + (k * 0.754_877).fract() * 6.0 * W,
                H + (k * 0.569_84).fract() * 6.0 * H,
            ];
            let d = wax(&lattice, &mask, p);
            if d.abs() > 0.1 {
                assert_eq!(around.iter().any(|a| a.holds(p)), d > 0.0, "{layout:?} {p:?} {d}");
            }
        }
    }
}

#[test]
fn a_stamp_of_each_layout_waxes_as_much() {
    let art = stamp::Artwork::from_area(area(), [W, H]);
    let stamp = Stamp::new(&art, W, None).unwrap();
    for layout in Layout::ALL {
        let share = stamp.coverage(layout);
        assert!(
            (share - area().mm2() / (W * H)).abs() < 1e-9,
            "{layout:?} {share}"
        );
    }
}
