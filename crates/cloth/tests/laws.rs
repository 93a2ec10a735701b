//! Laws that a picture must keep wherever it is looked at: what is put on is there, what is taken is gone by its dose, what
//! only moves is not more than before, layers weaken what goes through them, and light falls from one side.

mod common;

use cloth::{Appearance, Bolt, Tiling, develop};
use common::{design, dyes, operation, quantity, shop, step};
use field::{Grid, Lattice, Plane, Rect, Tile};
use rayon::prelude::*;
use route::{Design, LotShape, Patch, Value, Workshop};
use std::sync::Arc;
use words::Known;

/// A bolt with so many steps of a route.
fn bolt(steps: Vec<(&str, Vec<(&'static str, Value)>)>, shop: &Workshop) -> Bolt {
    let mut design: Design = design();
    for (n, (key, given)) in steps.into_iter().enumerate() {
        design
            .steps
            .push(step(&format!("s{n:02}"), operation(key, given)));
    }
    let design = Arc::new(design);
    Bolt::prepare(&design, &LotShape::new("laws", 1, 0, design.cloth), shop, None)
}

/// Patches of `side` samples of `pitch` mm side by side over the whole bolt, clear of its edges.
fn over_the_bolt<T: Send>(
    bolt: &Bolt,
    pitch: f64,
    side: u32,
    look: impl Fn(&Bolt, Tile) -> T + Sync,
) -> Vec<T> {
    let size = f64::from(side) * pitch;
    let (width, length) = (bolt.lot.cloth.width.to_mm(), bolt.lot.cloth.length.to_mm());
    let (across, along) = ((width / size) as i32, (length / size) as i32);
    (0..across * along)
        .into_par_iter()
        .map(|n| {
            let core = Rect {
                x0: n % across * side as i32,
                y0: n / across * side as i32,
                nx: side,
                ny: side,
            };
            look(bolt, Tile::new(pitch, core))
        })
        .collect()
}

fn on(plane: &Plane, patch: &Patch) -> Vec<f64> {
    let (lattice, core) = patch.fine();
    plane
        .at_detail(lattice, core)
        .data
        .iter()
        .map(|v| f64::from(*v))
        .collect()
}

fn mean(values: impl IntoIterator<Item = f64>) -> f64 {
    let (sum, n) = values
        .into_iter()
        .fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
    sum / n
}

/// How far two lists rise and fall together, -1 to 1 (Pearson's coefficient).
fn together(a: &[f64], b: &[f64]) -> f64 {
    let (ma, mb) = (mean(a.iter().copied()), mean(b.iter().copied()));
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        ab += (a - ma) * (b - mb);
        aa += (a - ma).powi(2);
        bb += (b - mb).powi(2);
    }
    ab / (aa * bb).sqrt().max(1e-300)
}

/// What is weighed out lies on the cloth, no more and no less: 30 g/L of each of two dyes in the litres of the setting, half
/// of them each, over the whole bolt; and the water of all of it on top of what was there. The pattern's mean is taken at
/// 16,000 places or more, whose amounts stray by about as much as there is: a standard error of 0.8 %, two and a half of it.
#[test]
fn a_sponge_and_a_spray_put_on_what_was_weighed_out() {
    let shop = shop(vec![]);
    for key in ["sponge", "spray"] {
        let bolt = bolt(
            vec![
                ("prepare", vec![]),
                ("wet", vec![("water", quantity("80 %"))]),
                ("fold", vec![]),
                (key, vec![("dyes", dyes(&[(0, "30 g/L"), (1, "15 g/L")]))]),
            ],
            &shop,
        );
        // Litres a kg of cloth: the setting's.
        let liquor = bolt.design.steps[3].operation.values().si("liquor") * 1000.0;
        let patches = over_the_bolt(&bolt, 6.0, 60, |bolt, tile| {
            let before = develop(bolt, tile, 3, &Tiling::default());
            let after = develop(bolt, tile, 4, &Tiling::default());
            let all = |plane: &Plane, patch| mean(on(plane, patch));
            [
                all(&after.loose[0], &after),
                all(&after.loose[1], &after),
                all(&after.water, &after) - all(&before.water, &before),
            ]
        });
        let found = [0, 1, 2].map(|what| mean(patches.iter().map(|patch| patch[what])));
        for (found, put) in found
            .into_iter()
            .zip([30.0 * liquor / 2.0, 15.0 * liquor / 2.0, liquor])
        {
            assert!((found / put - 1.0).abs() < 0.02, "{key}: {found} for {put}");
        }
    }
}

/// Beer and Lambert's law: each layer passes on the same share, so the mean amount falls as exp(-k layers) with the k that the
/// workshop measured. Without wicking, on places that are no crease: the slope of the logarithm over the layers above. On
/// creases there is more, at every depth.
#[test]
fn layers_weaken_what_goes_through_them() {
    for (key, loss, spread, cover) in [
        ("sponge", "sponge.layer-loss", "sponge.spread", "100 %"),
        ("spray", "spray.layer-loss", "spray.spread", "60 %"),
    ] {
        for k in [0.4, 1.1] {
            let mut shop = shop(vec![]);
            shop.constants.set(loss, Known::yours(k));
            shop.constants.set(spread, Known::yours(1e-16));
            let bolt = bolt(
                vec![
                    ("prepare", vec![]),
                    ("fold", vec![]),
                    (
                        key,
                        vec![("dyes", dyes(&[(0, "30 g/L")])), ("cover", quantity(cover))],
                    ),
                ],
                &shop,
            );
            let package = bolt.packages[2].clone().expect("a package");
            let samples: Vec<(f64, f64, f64)> = over_the_bolt(&bolt, 6.0, 60, |bolt, tile| {
                let patch = develop(bolt, tile, 3, &Tiling::default());
                let (lattice, rect) = patch.milli();
                let folds = package.map(lattice, rect, None);
                let amount = patch.loose[0].at_detail(lattice, rect).into_owned();
                let three = folds.depth.iter().zip(&folds.crest).zip(&amount.data);
                three
                    .map(|((depth, crest), v)| (f64::from(*depth), f64::from(*crest), f64::from(*v)))
                    .collect::<Vec<_>>()
            })
            .concat();
            let near = |at: f64, crest: std::ops::Range<f64>| {
                let these = samples
                    .iter()
                    .filter(|(d, c, _)| (d - at).abs() < 0.1 && crest.contains(c));
                (these.clone().count(), mean(these.map(|(_, _, v)| *v)))
            };
            // Straight line through the logarithms at nought to three layers.
            let line: Vec<(f64, f64)> = (0..4)
                .map(|depth| {
                    let (n, amount) = near(f64::from(depth), 0.0..0.05);
                    assert!(n > 400, "{key}: only {n} places under {depth} layers");
                    (f64::from(depth), amount.ln())
                })
                .collect();
            let (mx, my) = (mean(line.iter().map(|p| p.0)), mean(line.iter().map(|p| p.1)));
            let slope = line.iter().map(|(x, y)| (x - mx) * (y - my)).sum::<f64>()
                / line.iter().map(|(x, _)| (x - mx).powi(2)).sum::<f64>();
            assert!((slope + k).abs() < 0.06, "{key}: {slope} for {k}");
            for depth in [0.0, 1.0] {
                let (flat, crease) = (near(depth, 0.0..0.05).1, near(depth, 0.8..1.01).1);
                // Half as much again on a sponged crease, two fifths on a sprayed one (own estimates).
                let more = if key == "sponge" { 1.45 } else { 1.36 };
                assert!(
                    (crease / flat / more - 1.0).abs() < 0.12,
                    "{key} {depth}: {flat} {crease}"
                );
            }
        }
    }
}

/// Dye that goes to the drying face is dye that was elsewhere: over the whole bolt the sun neither makes nor takes any, but for
/// the little that its light takes, which the tally knows. By four times what a workshop sees, with dabs that stay where
/// they were set; and as it is, where wicking has evened what the means are taken by.
#[test]
fn dye_that_migrates_is_not_more_than_before() {
    for (share, spread) in [(0.6, Some(1e-16)), (0.15, None)] {
        let mut shop = shop(vec![]);
        shop.constants.set("sun.migration", Known::yours(share));
        if let Some(spread) = spread {
            shop.constants.set("sponge.spread", Known::yours(spread));
        }
        dye_migrates_and_stays(&shop);
    }
}

fn dye_migrates_and_stays(shop: &Workshop) {
    let bolt = bolt(
        vec![
            ("prepare", vec![]),
            ("wet", vec![]),
            ("fold", vec![]),
            ("sponge", vec![("dyes", dyes(&[(0, "30 g/L"), (1, "30 g/L")]))]),
            ("sun", vec![("time", quantity("60 min"))]),
        ],
        shop,
    );
    let patches = over_the_bolt(&bolt, 6.0, 60, |bolt, tile| {
        let at = |steps| develop(bolt, tile, steps, &Tiling::default());
        let (before, after) = (at(4), at(5));
        let all = |dye: usize, patch: &Patch| {
            mean(on(&patch.loose[dye], patch))
                + mean(on(&patch.spent[dye], patch))
                + mean(on(&patch.fast[dye], patch))
        };
        let moved = on(&after.loose[0], &after)
            .iter()
            .zip(on(&before.loose[0], &before))
            .map(|(a, b)| (a / b.max(1e-9) - 1.0).abs())
            .fold(0.0, f64::max);
        ([0, 1].map(|dye| [all(dye, &before), all(dye, &after)]), moved)
    });
    assert!(patches.iter().any(|(_, moved)| *moved > 0.1), "nothing moved");
    for dye in [0, 1] {
        let sum = |which: usize| mean(patches.iter().map(|(all, _)| all[dye][which]));
        let told = bolt.means[5].dye(dye) / bolt.means[4].dye(dye);
        let found = sum(1) / sum(0);
        assert!(
            (found / told - 1.0).abs() < 0.004,
            "dye {dye}: {found}, the tally says {told}"
        );
    }
}

/// A dye of rate k fades in a bath by the dose that its place got, `(f / f0 - r) / (1 - r) = exp(-k D)`, at every place, bare or
/// under wax; the mean dose of bare cloth is the tally's, and it is uneven by as much as the workshop says, no more: ten
/// parts in a hundred are reached and never passed, twice as many if it says so, none if it says none.
#[test]
fn a_bath_takes_dye_by_its_dose_at_every_place() {
    let run = |swirl: f64| {
        let mut shop = shop(vec![]);
        shop.constants.set("bleach.swirl", Known::yours(swirl));
        let bolt = bolt(
            vec![
                ("prepare", vec![]),
                ("dip", vec![("dyes", dyes(&[(0, "1 %")]))]),
                ("bleach", vec![("time", quantity("5 min"))]),
            ],
            &shop,
        );
        let card = bolt.design.dyes[0].clone();
        let values = bolt.design.steps[2].operation.values();
        let rate = card
            .bleach_rate(units::Celsius(values.si("temperature")), values.si("ph"))
            .expect("a rate");
        let residue = card.bleaching.residue.value;
        let dose = bolt.means[3].wear;
        let doses: Vec<f64> = over_the_bolt(&bolt, 20.0, 18, |bolt, tile| {
            let at = |steps| develop(bolt, tile, steps, &Tiling::default());
            let (before, after) = (at(2), at(3));
            let (f0, f) = (on(&before.loose[0], &before), on(&after.loose[0], &after));
            let (s0, s) = (on(&before.fast[0], &before), on(&after.fast[0], &after));
            let wear = on(&after.wear, &after);
            for (i, wear) in wear.iter().enumerate() {
                let left = (f[i] + s[i]) / (f0[i] + s0[i]);
                let law = residue + (1.0 - residue) * (-rate * wear).exp();
                assert!((left / law - 1.0).abs() < 1e-3, "{left} {law}");
            }
            wear
        })
        .concat();
        let off: Vec<f64> = doses.iter().map(|d| d / dose - 1.0).collect();
        let most = off.iter().fold(0.0f64, |most, off| most.max(off.abs()));
        (mean(off.iter().copied()), most)
    };
    for swirl in [0.1, 0.2] {
        let (mean, most) = run(swirl);
        // Places half a metre apart hardly know of each other: some 60 of them on a bolt, a spread of a quarter of the swirl.
        assert!(mean.abs() < 0.15 * swirl, "{swirl}: {mean}");
        assert!((0.6 * swirl..=swirl + 1e-6).contains(&most), "{swirl}: {most}");
    }
    assert!(run(0.0).1 < 1e-6);
}

/// Where the hand pressed harder the wax lies wider and tighter: over many impressions of one bar, the waxed share rises as the
/// leaking one falls. The size: a hand a tenth heavier widens a line by 0.3 mm (own estimate), so widths spread by that.
#[test]
fn a_heavier_hand_prints_wider_and_tighter() {
    let bar = {
        let ring = vec![[98.0, 0.0], [102.0, 0.0], [102.0, 60.0], [98.0, 60.0]];
        let area = stamp::Area::filled(&[ring], stamp::Rule::NonZero);
        Arc::new(stamp::Stamp::of_area(area, [200.0, 60.0]))
    };
    let mut design: Design = design();
    design.stamps[0].stamp = bar;
    // Half of the copper's wax is weak somewhere: there is something to tell tight from leaking by.
    let given = vec![("stamp", Value::Stamp(0)), ("weak", quantity("20 %"))];
    design.steps.push(step("wax", operation("wax", given)));
    let design = Arc::new(design);
    let mut shop = shop(vec![]);
    shop.constants.set("wax.slip", Known::yours(0.0));
    shop.constants.set("wax.turn", Known::yours(0.0));
    shop.constants.set("wax.feather", Known::yours(0.0));
    let bolt = Bolt::prepare(&design, &LotShape::new("laws", 1, 0, design.cloth), &shop, None);
    // One window of the middle of each impression, 5 across and 200 along.
    let seen: Vec<(f64, f64)> = (0..1000)
        .into_par_iter()
        .map(|n| {
            let (i, j) = (n % 5, n / 5);
            let core = Rect {
                x0: (200 * i + 90) * 10,
                y0: (60 * j + 10) * 10,
                nx: 200,
                ny: 400,
            };
            let patch = develop(&bolt, Tile::new(0.1, core), 1, &Tiling::default());
            let (wax, leak) = (on(&patch.wax, &patch), on(&patch.leak, &patch));
            let most = wax.iter().fold(0.0f64, |a, b| a.max(*b));
            let waxed: f64 = wax.iter().map(|w| w / most.max(1e-9)).sum();
            // mm of width; leak where there is wax.
            (waxed / 400.0 * 0.1, leak.iter().sum::<f64>() / waxed.max(1.0))
        })
        .collect();
    let (widths, leaks): (Vec<f64>, Vec<f64>) = seen.into_iter().unzip();
    let r = together(&widths, &leaks);
    assert!(r < -0.3, "{r}");
    let width = mean(widths.iter().copied());
    let spread = mean(widths.iter().map(|w| (w - width).powi(2))).sqrt();
    let hand = shop.constants.known(pressure()).value;
    // Both edges move: 2 x 1.6 mm for twice the mean pressure.
    assert!(
        (spread / (3.2 * hand) - 1.0).abs() < 0.15,
        "{spread} mm for a hand of {hand}"
    );
}

fn pressure() -> &'static route::Constant {
    let kind = route::operations::kind("wax").expect("wax");
    kind.constants
        .iter()
        .find(|c| c.key == "wax.press")
        .expect("a hand's unevenness")
}

/// Threads are light and dark of the dye and no dye: over a few centimetres a flat dyeing has the light that it has from afar,
/// where no thread is seen. Along the warp a thread goes on, across it the next one is another, 70 to the inch.
#[test]
fn the_weave_neither_lightens_nor_darkens() {
    let bolt = bolt(
        vec![
            ("prepare", vec![]),
            ("dip", vec![("dyes", dyes(&[(0, "0.5 %")]))]),
        ],
        &shop(vec![]),
    );
    let appearance = Appearance::new(&bolt.design);
    let light = |pitch: f64, side: u32| {
        let core = Rect {
            x0: (400.0 / pitch) as i32,
            y0: (900.0 / pitch) as i32,
            nx: side,
            ny: side,
        };
        let patch = develop(&bolt, Tile::new(pitch, core), 2, &Tiling::default());
        appearance
            .light(&patch)
            .map(|plane| plane.into_iter().map(f64::from).collect::<Vec<f64>>())
    };
    let (near, far) = (light(0.1, 600), light(1.0, 60));
    for (near, far) in near.iter().zip(&far) {
        // Light is curved in dye: threads of +-16 % cost it less than 1 %.
        let (near, far) = (mean(near.iter().copied()), mean(far.iter().copied()));
        assert!((near / far - 1.0).abs() < 0.01, "{near} {far}");
    }
    // No thread is seen where a sample is wider than one: neighbours differ by what the bath left, which is smooth.
    let plain = mean(far[1].iter().copied());
    let unlike = mean(far[1].windows(2).map(|pair| ((pair[1] - pair[0]) / plain).abs()));
    assert!(unlike < 0.004, "{unlike}");
    let green = &near[1];
    // Likeness of samples so many mm apart, across or along.
    let alike = |dx: usize, dy: usize| {
        let pairs =
            (0..600 - dy).flat_map(|y| (0..600 - dx).map(move |x| (y * 600 + x, (y + dy) * 600 + x + dx)));
        let (a, b): (Vec<f64>, Vec<f64>) = pairs.map(|(a, b)| (green[a], green[b])).unzip();
        together(&a, &b)
    };
    // Slubs of a centimetre: half of what is seen (the warp) is the same 2 mm on along, half (the weft) 2 mm on across; a
    // slanting step of 2 mm finds neither.
    for (dx, dy) in [(20, 0), (0, 20)] {
        let along = alike(dx, dy);
        assert!((0.3..0.6).contains(&along), "{dx} {dy}: {along}");
    }
    let aslant = alike(20, 20);
    assert!(aslant.abs() < 0.2, "{aslant}");
}

/// Waxed cloth scatters less, so a middle shade looks deeper under wax; what the smooth face of the wax throws back itself is
/// the same over any shade, and shows on the deepest. It is never more than Fresnel's 3.3 % at a right angle for an index
/// of 1.44 (of paraffin: handbooks, from memory).
#[test]
fn wax_deepens_a_middle_shade_and_shines_on_a_deep_one() {
    let change = |depth: &'static str| {
        let given = vec![("stamp", Value::Stamp(0)), ("weak", quantity("0 %"))];
        let bolt = bolt(
            vec![
                ("prepare", vec![]),
                ("dip", vec![("dyes", dyes(&[(0, depth), (1, depth), (2, depth)]))]),
                ("dry", vec![]),
                ("wax", given),
            ],
            &shop(vec![]),
        );
        let appearance = Appearance::new(&bolt.design);
        let seen = over_the_bolt(&bolt, 1.0, 180, |bolt, tile| {
            let (bare, waxed) = (
                develop(bolt, tile, 3, &Tiling::default()),
                develop(bolt, tile, 4, &Tiling::default()),
            );
            let under: Vec<bool> = on(&waxed.wax, &waxed).iter().map(|wax| *wax > 0.15).collect();
            let (bare, waxed) = (appearance.light(&bare), appearance.light(&waxed));
            let places = (0..under.len()).filter(|i| under[*i]);
            // Luminance: a deep dye has less than no light of one channel of the screen.
            let y = |light: &[Vec<f32>; 3], i: usize| {
                let share = [0.2126, 0.7152, 0.0722].iter().zip(light);
                share
                    .map(|(share, plane)| share * f64::from(plane[i]))
                    .sum::<f64>()
            };
            places.map(|i| (y(&bare, i), y(&waxed, i))).collect::<Vec<_>>()
        })
        .concat();
        assert!(seen.len() > 10_000, "only {} places under wax", seen.len());
        let most = seen.iter().map(|(a, b)| b - a).fold(f64::MIN, f64::max);
        assert!(most < 0.033, "{depth}: {most}");
        // Kubelka and Munk: twice the K/S leaves a half of the light or more. The rest is the wax's own.
        let own = seen.iter().map(|(a, b)| b - 0.5 * a).fold(f64::MAX, f64::min);
        let deeper = mean(seen.iter().map(|(_, b)| *b)) / mean(seen.iter().map(|(a, _)| *a));
        (own, deeper)
    };
    let (_, deeper) = change("0.3 %");
    assert!(deeper < 0.95, "{deeper}");
    let (own, _) = change("6 %");
    assert!(own > 0.015, "{own}");
}

/// Creases lit from the left top neither lighten nor darken the cloth as a whole, and a slope that faces the light is lighter
/// (Lambert's cosine law): from a crease's left upper side to its right lower one, light falls.
#[test]
fn creases_are_lit_from_one_side() {
    let shop = shop(vec![]);
    let bolt = bolt(
        vec![
            ("prepare", vec![]),
            ("dip", vec![("dyes", dyes(&[(0, "0.5 %")]))]),
            ("fold", vec![]),
        ],
        &shop,
    );
    let appearance = Appearance::new(&bolt.design);
    let package = bolt.hands[2].fold();
    let route::Fold::Packed(package) = package else {
        panic!("a package")
    };
    let seen = over_the_bolt(&bolt, 1.0, 180, |bolt, tile| {
        let open = develop(bolt, tile, 2, &Tiling::default());
        let folded = develop(bolt, tile, 3, &Tiling::default());
        let green = |patch: &Patch| appearance.light(patch)[1].clone();
        let ratio: Vec<f64> = green(&folded)
            .iter()
            .zip(&green(&open))
            .map(|(a, b)| f64::from(a / b))
            .collect();
        // Rise of the creases towards the left top, on the samples.
        let (lattice, core) = folded.fine();
        let crest = crest_on(&package, lattice, core.expand(1, 1));
        let nx = core.nx as usize + 2;
        let mut rise = Vec::with_capacity(ratio.len());
        for j in 0..core.ny as usize {
            for i in 0..core.nx as usize {
                let at = (j + 1) * nx + i + 1;
                rise.push(crest[at + nx + 1] - crest[at - nx - 1]);
            }
        }
        (mean(ratio.iter().copied()), together(&ratio, &rise))
    });
    let whole = mean(seen.iter().map(|one| one.0));
    assert!((whole - 1.0).abs() < 0.005, "{whole}");
    // Climbing from the left top to the right bottom, a slope faces the lamp at the left top.
    let facing = mean(seen.iter().map(|one| one.1));
    assert!(facing > 0.4, "{facing}");
}

fn crest_on(package: &Arc<route::Package>, lattice: Lattice, rect: Rect) -> Vec<f64> {
    let folds = package.map(lattice, rect, None);
    let grid = Grid {
        lattice: folds.lattice,
        rect: folds.rect,
        data: folds.crest,
    };
    grid.data.iter().map(|v| f64::from(*v)).collect()
}
