//! The palette as yarn wound on a card: what colours the cloth shows, ground and motif apart, by share of area.

use super::names::lab_of;
use cloth::{Appearance, Bolt, Region, Tiling, develop};
use colour::{Lab, screen};
use field::{Rect, Tile};

/// Colours told apart in one region.
const COLOURS: usize = 4;
/// Side of a sample, mm: wider than a thread, narrower than a motif's line.
const PITCH: f64 = 1.5;
/// Places looked at, and their side in samples. One repeat is not a sample of a mottled cloth.
const PLACES: u32 = 8;
const SIDE: u32 = 96;
/// Rounds of the grouping; it has settled long before.
const ROUNDS: usize = 24;

/// One colour of a region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yarn {
    /// Its place in CIELAB under the screen's white.
    pub lab: Lab,
    /// On a screen.
    pub bytes: [u8; 3],
    /// Share of its region, 0..1.
    pub share: f64,
}

/// The colours of one region.
#[derive(Clone, Debug, PartialEq)]
pub struct Wound {
    /// Which.
    pub region: Region,
    /// Share of the cloth, 0..1.
    pub share: f64,
    /// Its colours, most first.
    pub yarns: Vec<Yarn>,
}

/// The whole card.
pub type Winding = Vec<Wound>;

/// Winds the cloth after some steps. Between places it hears whether to go on; nothing if not.
pub fn wind(bolt: &Bolt, steps: usize, go_on: &dyn Fn() -> bool) -> Option<Winding> {
    let appearance = Appearance::new(&bolt.design);
    let (width, length) = (bolt.lot.cloth.width.to_mm(), bolt.lot.cloth.length.to_mm());
    let mut seen: [Vec<[f64; 3]>; 2] = [Vec::new(), Vec::new()];
    for place in 0..PLACES {
        if !go_on() {
            return None;
        }
        // Places spread evenly by steps of the golden ratio, and its square.
        let spread = |step: f64, room: f64| {
            (f64::from(place) * step).fract() * (room / PITCH - f64::from(SIDE)).max(0.0)
        };
        let (x0, y0) = (
            spread(0.618_034, width) as i32,
            spread(0.381_966 + 0.09, length) as i32,
        );
        let core = Rect {
            x0,
            y0,
            nx: SIDE,
            ny: SIDE,
        };
        let patch = develop(bolt, Tile::new(PITCH, core), steps, &Tiling::default());
        let light = appearance.light(&patch);
        let rim = patch.rim.at_detail(patch.tile.samples, core);
        for (at, rim) in rim.data.iter().enumerate() {
            let linear = [0, 1, 2].map(|c| f64::from(light[c][at]));
            seen[usize::from(*rim > 0.0)].push(linear);
        }
    }
    let all = (seen[0].len() + seen[1].len()).max(1) as f64;
    [Region::Ground, Region::Motif]
        .into_iter()
        .zip(seen)
        .filter(|(_, points)| !points.is_empty())
        .map(|(region, points)| {
            go_on().then(|| Wound {
                region,
                share: points.len() as f64 / all,
                yarns: group(&points, COLOURS),
            })
        })
        .collect()
}

/// Groups colours in CIELAB around at most `most` means; each yarn is the mean *light* of its group, since light
/// is what an eye averages. The same points always give the same groups.
fn group(points: &[[f64; 3]], most: usize) -> Vec<Yarn> {
    let labs: Vec<Lab> = points.iter().map(|p| lab_of(*p)).collect();
    let mut centres = spread_out(&labs, most);
    let mut sums = Vec::new();
    for _ in 0..ROUNDS {
        sums = vec![([0.0f64; 3], Lab::new(0.0, 0.0, 0.0), 0.0f64); centres.len()];
        for (lab, point) in labs.iter().zip(points) {
            let at = nearest(&centres, *lab).0;
            let sum = &mut sums[at];
            for (s, v) in sum.0.iter_mut().zip(point) {
                *s += v;
            }
            sum.1 = Lab::new(sum.1.l + lab.l, sum.1.a + lab.a, sum.1.b + lab.b);
            sum.2 += 1.0;
        }
        sums.retain(|sum| sum.2 > 0.0);
        let moved: Vec<Lab> = sums
            .iter()
            .map(|(_, l, n)| Lab::new(l.l / n, l.a / n, l.b / n))
            .collect();
        let settled = moved == centres;
        centres = moved;
        if settled {
            break;
        }
    }
    let all = points.len().max(1) as f64;
    let mut yarns: Vec<Yarn> = sums
        .iter()
        .map(|(light, _, n)| {
            let linear = light.map(|v| v / n);
            Yarn {
                lab: lab_of(linear),
                bytes: screen::bytes(screen::clip(linear).0),
                share: n / all,
            }
        })
        .collect();
    yarns.sort_by(|a, b| b.share.total_cmp(&a.share));
    yarns
}

/// Colours that nobody tells apart on mottled cloth are one yarn.
const APART: f64 = 6.0;

/// First means: the overall mean, then always the point farthest from those chosen (of a thinned set, so that one
/// odd thread decides nothing), as long as it is far.
fn spread_out(labs: &[Lab], most: usize) -> Vec<Lab> {
    let n = labs.len().max(1) as f64;
    let sum = labs
        .iter()
        .fold([0.0; 3], |s, l| [s[0] + l.l, s[1] + l.a, s[2] + l.b]);
    let mut chosen = vec![Lab::new(sum[0] / n, sum[1] / n, sum[2] / n)];
    while chosen.len() < most {
        let mut far: Vec<(f64, Lab)> = labs
            .iter()
            .step_by(7)
            .map(|lab| (nearest(&chosen, *lab).1, *lab))
            .collect();
        far.sort_by(|a, b| a.0.total_cmp(&b.0));
        // The 98th of 100, not the farthest.
        let Some((distance, lab)) = far.get(far.len() * 98 / 100) else {
            break;
        };
        if *distance < APART {
            break;
        }
        chosen.push(*lab);
    }
    chosen
}

/// Place and CIE76 distance of the nearest centre.
fn nearest(centres: &[Lab], lab: Lab) -> (usize, f64) {
    let square = |c: &Lab| (c.l - lab.l).powi(2) + (c.a - lab.a).powi(2) + (c.b - lab.b).powi(2);
    let best = centres
        .iter()
        .map(square)
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or((0, 0.0), |(at, d)| (at, d.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::group;

    /// Planted: three colours with known shares come back.
    #[test]
    fn planted_colours_are_found_with_their_shares() {
        let planted = [
            ([0.6, 0.1, 0.1], 500),
            ([0.1, 0.2, 0.5], 300),
            ([0.8, 0.7, 0.2], 200),
        ];
        let points: Vec<[f64; 3]> = planted
            .iter()
            .flat_map(|(colour, n)| std::iter::repeat_n(*colour, *n))
            .collect();
        let yarns = group(&points, 4);
        assert_eq!(yarns.len(), 3);
        for (yarn, (colour, n)) in yarns.iter().zip(&planted) {
            assert!((yarn.share - *n as f64 / 1000.0).abs() < 1e-12, "{}", yarn.share);
            let bytes = colour::screen::bytes(*colour);
            assert_eq!(yarn.bytes, bytes);
        }
    }

    #[test]
    fn plain_cloth_is_one_yarn() {
        assert_eq!(group(&[[0.7, 0.7, 0.69]; 50], 4).len(), 1);
        assert!(group(&[], 4).is_empty() || group(&[], 4)[0].share == 0.0);
    }
}
