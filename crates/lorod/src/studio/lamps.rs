//! How far the colours of a cloth move from daylight to a lamp, for an eye that is used to each.

use super::names::lab_of;
use cloth::Picture;
use colour::{de2000, screen};

/// From daylight to a lamp, CIEDE2000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// Mean over the picture.
    pub mean: f64,
    /// 95 of 100 pixels move no farther.
    pub most: f64,
}

/// Pixel by pixel between two pictures of one cloth.
pub fn moved(day: &Picture, lamp: &Picture) -> Moved {
    let lab = |p: &[u8]| lab_of(screen::from_bytes([p[0], p[1], p[2]]));
    let pairs = day.rgb.chunks_exact(3).zip(lamp.rgb.chunks_exact(3));
    let mut off: Vec<f64> = pairs.map(|(d, l)| de2000(lab(d), lab(l))).collect();
    off.sort_by(f64::total_cmp);
    let n = off.len().max(1);
    Moved {
        mean: off.iter().sum::<f64>() / n as f64,
        most: off.get((n * 95 / 100).min(n - 1)).copied().unwrap_or(0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::moved;
    use cloth::Picture;

    fn picture(pixels: &[[u8; 3]]) -> Picture {
        Picture {
            width: pixels.len() as u32,
            height: 1,
            rgb: pixels.concat(),
        }
    }

    /// By hand: of ten pixels one goes from black to white, which CIEDE2000 puts 100 apart.
    #[test]
    fn what_stays_does_not_move() {
        let (black, white) = ([0, 0, 0], [255, 255, 255]);
        let day = picture(&[black; 10]);
        let mut lamp = [black; 10];
        assert_eq!(moved(&day, &picture(&lamp)).most, 0.0);
        lamp[3] = white;
        let found = moved(&day, &picture(&lamp));
        assert!((found.mean - 10.0).abs() < 0.01, "{found:?}");
        assert!((found.most - 100.0).abs() < 0.1, "{found:?}");
    }
}
