//! Colourways of a design: other sets of colours for its regions, brought to what the route reaches, the one whose
//! bleach forgives most first.

use cloth::Bolt;
use cloth::Picture;
use cloth::aim::{Aimed, Solved, Spot, solve};
use cloth::window::{Limits, Spreads, Window, window};
use colour::screen::{WHITE, apply, bradford, from_bytes, xyz_from_linear};
use colour::{Lab, Palette, Viewing, Xyz, lab, lch};
use route::{Design, Fate, LotShape, Workshop};
use std::sync::Arc;
use words::{Arg, Finding, Line, Text, Voice, say};
use workspace::Workspace;

/// How a set of colours is made from that of the design.
#[derive(Clone, Debug, PartialEq)]
pub enum Scheme {
    /// All hues turned by the same angle.
    Shift,
    /// Light and dark further apart, nearer together, or swapped; all hues kept.
    Contrast,
    /// One hue for all regions, their lightness kept.
    Tonal,
    /// The colours of a picture, laid on the regions from dark to light.
    Photo(Palette),
}

/// A proposal.
pub struct Colourway {
    /// What was done to the colours.
    pub name: Line,
    /// The recipes and what they give: only colours that developed cloth has are shown as the colourway's.
    pub solved: Solved,
    /// Mean CIEDE2000 between what the scheme asked for and what the route reaches.
    pub moved: f64,
    /// The window of its bleach; none for a route without a timed one.
    pub window: Option<Window>,
}

impl Colourway {
    /// Share of bolts that pass at the best time; 0 for a bleach without a window.
    pub fn chance(&self) -> Option<f64> {
        self.window.as_ref().map(|w| w.hill.chance)
    }

    /// Minutes in which enough bolts pass.
    pub fn open_minutes(&self) -> Option<f64> {
        let hill = &self.window.as_ref()?.hill;
        let ends = (hill.points.first()?.time.0, hill.points.last()?.time.0);
        let minutes = |open: &cloth::window::Open| {
            let from = open.earliest.map_or(ends.0, |t| t.0);
            (open.latest.map_or(ends.1, |t| t.0) - from) / 60.0
        };
        Some(hill.open.as_ref().map_or(0.0, minutes))
    }
}

/// Turns of hue, degrees.
const TURNS: [f64; 5] = [-60.0, -30.0, 30.0, 60.0, 180.0];
/// Hues of the tonal sets, degrees, and what cloth of them is called.
static TONES: [(f64, Text); 5] = [
    (35.0, Text::new("all in terracotta", "semua terakota")),
    (80.0, Text::new("all in ochre", "semua kuning oker")),
    (150.0, Text::new("all in leaf green", "semua hijau daun")),
    (230.0, Text::new("all in lagoon blue", "semua biru laguna")),
    (280.0, Text::new("all in slate blue", "semua biru batu")),
];

/// The sets of colours of a scheme, for regions that have these.
pub fn sets(scheme: &Scheme, colours: &[Lab]) -> Vec<(Line, Vec<Lab>)> {
    match scheme {
        Scheme::Shift => TURNS
            .iter()
            .map(|turn| {
                let name = say!(
                    "hues turned by {turn} degrees",
                    "rona diputar {turn} derajat",
                    turn = Arg::Number(*turn, 0)
                );
                (
                    name,
                    colours.iter().map(|c| turned(*c, lch(*c).h + turn)).collect(),
                )
            })
            .collect(),
        Scheme::Tonal => TONES
            .iter()
            .map(|(hue, name)| {
                let name = say!("{name}", "{name}", name = Arg::Text(name));
                (name, colours.iter().map(|c| turned(*c, *hue)).collect())
            })
            .collect(),
        Scheme::Contrast => {
            let middle = colours.iter().map(|c| c.l).sum::<f64>() / colours.len().max(1) as f64;
            let spread = |factor: f64| -> Vec<Lab> {
                let one = |c: &Lab| Lab {
                    l: (middle + factor * (c.l - middle)).clamp(12.0, 95.0),
                    ..*c
                };
                colours.iter().map(one).collect()
            };
            vec![
                (say!("more contrast", "kontras lebih kuat"), spread(1.4)),
                (say!("less contrast", "kontras lebih lembut"), spread(0.6)),
                (
                    say!("light and dark swapped", "gelap dan terang ditukar"),
                    spread(-1.0),
                ),
            ]
        }
        Scheme::Photo(palette) => {
            let mut found: Vec<Lab> = palette.swatches().iter().map(|s| s.lab).collect();
            let by_l = |a: &Lab, b: &Lab| a.l.total_cmp(&b.l);
            found.sort_by(by_l);
            let mut order: Vec<usize> = (0..colours.len()).collect();
            order.sort_by(|a, b| by_l(&colours[*a], &colours[*b]));
            let mut laid = colours.to_vec();
            for (rank, region) in order.iter().enumerate() {
                // As many steps from the darkest as the region has among the regions.
                let at = rank * found.len().saturating_sub(1) / colours.len().saturating_sub(1).max(1);
                if let Some(colour) = found.get(at) {
                    laid[*region] = *colour;
                }
            }
            vec![(say!("colours of the picture", "warna dari gambar"), laid)]
        }
    }
}

fn turned(colour: Lab, hue: f64) -> Lab {
    let (sin, cos) = hue.to_radians().sin_cos();
    let c = colour.chroma();
    Lab::new(colour.l, c * cos, c * sin)
}

/// Solves every set of a scheme and tries its bleach; the most forgiving first, of equals the one that had to give way
/// least.
///
/// # Errors
/// As [`cloth::aim::solve`].
pub fn colourways(
    workspace: &Workspace,
    design: &Arc<Design>,
    shop: &Workshop,
    spots: &[Spot],
    scheme: &Scheme,
    voice: Voice,
    progress: &dyn Fn(f64),
) -> Result<Vec<Colourway>, Vec<Finding>> {
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let colours: Vec<Lab> = spots.iter().filter_map(|s| s.target).collect();
    let sets = sets(scheme, &colours);
    let count = sets.len() as f64;
    let mut found = Vec::new();
    for (at, (name, set)) in sets.into_iter().enumerate() {
        let mut wanted = spots.to_vec();
        for (spot, lab) in wanted.iter_mut().filter(|s| s.target.is_some()).zip(&set) {
            spot.target = Some(*lab);
        }
        let aimed = Aimed {
            quick: true,
            ..Aimed::default()
        };
        let inner = |share: f64| {
            progress((at as f64 + share) / count);
            true
        };
        let solved = solve(
            design,
            &lot,
            shop,
            &workspace.dyes,
            &wanted,
            &aimed,
            voice,
            &inner,
        )?;
        let off: Vec<f64> = solved.regions.iter().filter_map(|r| r.difference).collect();
        let moved = off.iter().sum::<f64>() / off.len().max(1) as f64;
        let window = bleach_window(&solved.design, &lot, shop);
        found.push(Colourway {
            name,
            solved,
            moved,
            window,
        });
    }
    found.sort_by(|a, b| {
        let most = |c: &Colourway| c.chance().unwrap_or(0.0);
        most(b)
            .total_cmp(&most(a))
            .then(
                b.open_minutes()
                    .unwrap_or(0.0)
                    .total_cmp(&a.open_minutes().unwrap_or(0.0)),
            )
            .then(a.moved.total_cmp(&b.moved))
    });
    Ok(found)
}

/// The main colours of a picture of the screen, as cloth is judged.
///
/// # Errors
/// If the picture has no pixels.
pub fn pixels_palette(picture: &Picture, size: usize) -> Result<Palette, Finding> {
    let white = Viewing::DAYLIGHT.white();
    let adapt = bradford(WHITE, white);
    // Some hundred thousand pixels say what all of them say.
    let step = (picture.rgb.len() / 3 / 100_000).max(1);
    let colours = picture.rgb.chunks_exact(3).step_by(step).map(|p| {
        let seen = xyz_from_linear(from_bytes([p[0], p[1], p[2]])).to_array();
        (lab(Xyz::from_array(apply(&adapt, seen)), white), 1.0)
    });
    Palette::of(colours, size)
}

/// The window of the first timed step that loses dye to bleach.
fn bleach_window(design: &Arc<Design>, lot: &LotShape, shop: &Workshop) -> Option<Window> {
    let bolt = Bolt::prepare(design, lot, shop, None);
    let step = (0..design.steps.len()).find(|at| {
        design.steps[*at].operation.kind().timed.is_some()
            && bolt.takes[*at]
                .lost
                .iter()
                .any(|(_, fate, _)| *fate == Fate::Bleached)
    })?;
    let spreads = Spreads::expected(&bolt, shop, step);
    window(&bolt, shop, step, &spreads, &Limits::default()).ok()
}

#[cfg(test)]
mod tests {
    use super::{Scheme, sets};
    use colour::{Lab, Palette, lch};

    const COLOURS: [Lab; 3] = [
        Lab {
            l: 45.0,
            a: 40.0,
            b: 25.0,
        },
        Lab {
            l: 70.0,
            a: 5.0,
            b: 50.0,
        },
        Lab {
            l: 85.0,
            a: 0.0,
            b: 12.0,
        },
    ];

    #[test]
    fn a_shift_turns_hues_and_keeps_the_rest() {
        for (_, set) in sets(&Scheme::Shift, &COLOURS) {
            let turn = (lch(set[0]).h - lch(COLOURS[0]).h).rem_euclid(360.0);
            for (new, old) in set.iter().zip(&COLOURS) {
                assert!((new.l - old.l).abs() < 1e-9 && (new.chroma() - old.chroma()).abs() < 1e-9);
                let mine = (lch(*new).h - lch(*old).h).rem_euclid(360.0);
                assert!((mine - turn).abs() < 1e-6 || (mine - turn).abs() > 360.0 - 1e-6);
            }
        }
    }

    #[test]
    fn tones_have_one_hue_and_contrast_swaps() {
        for (_, set) in sets(&Scheme::Tonal, &COLOURS) {
            assert!(set.iter().all(|c| (lch(*c).h - lch(set[0]).h).abs() < 1e-6));
        }
        let over = &sets(&Scheme::Contrast, &COLOURS)[2].1;
        assert!(over[0].l > over[1].l && over[1].l > over[2].l);
    }

    #[test]
    fn a_picture_is_laid_from_dark_to_light() {
        let swatches = [(20.0, 0.0), (50.0, 30.0), (90.0, -10.0)].map(|(l, a)| (Lab::new(l, a, 0.0), 1.0));
        let palette = Palette::of(swatches, 3).unwrap();
        let laid = &sets(&Scheme::Photo(palette), &COLOURS)[0].1;
        let dark_to_light: Vec<f64> = laid.iter().map(|c| c.l.round()).collect();
        assert_eq!(dark_to_light, [20.0, 50.0, 90.0]);
    }
}
