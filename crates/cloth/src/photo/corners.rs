//! Straightening: from a rectangle of known size to where its corners are on a picture.

use words::{Arg, Finding, Place, Weight, say};

/// Four marked corners in pixels: left top, right top, right bottom, left bottom of the rectangle (which may lie
/// turned on the picture).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corners(pub [[f64; 2]; 4]);

/// How a rectangle of known size is seen: straight lines stay straight, nothing else is kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Width and height of the rectangle, in its own unit (mm of cloth, cells of a target).
    pub size: [f64; 2],
    /// Rows of the projective map from the unit square; the last entry is 1.
    map: [[f64; 3]; 3],
}

/// Shortest side of a marked rectangle, pixels. Below it a corner that is off by a pixel turns the whole.
const SHORTEST: f64 = 40.0;

impl View {
    /// The map that takes (0, 0), (w, 0), (w, h), (0, h) to the corners: the closed form for a square onto a
    /// quadrilateral (Heckbert, Fundamentals of Texture Mapping and Image Warping, 1989, section 2.2.3).
    ///
    /// # Errors
    /// A finding if a size is not above 0, a side is shorter than 40 pixels, or the corners do not go round a convex
    /// shape in the order that [`Corners`] asks for.
    pub fn new(corners: Corners, size: [f64; 2], place: &Place) -> Result<Self, Finding> {
        let p = corners.0;
        if !size.iter().all(|s| *s > 0.0 && s.is_finite()) || !p.iter().flatten().all(|v| v.is_finite()) {
            return Err(not_round(place));
        }
        for k in 0..4 {
            let (a, b, c) = (p[k], p[(k + 1) % 4], p[(k + 2) % 4]);
            let turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
            // y points down, so going round from the left top turns to the positive side at each corner.
            if !(turn > 0.0) {
                return Err(not_round(place));
            }
            let side = (b[0] - a[0]).hypot(b[1] - a[1]);
            if side < SHORTEST {
                return Err(too_small(side, place));
            }
        }
        let [a, b, c, d] = p;
        let (u, v) = ([b[0] - c[0], b[1] - c[1]], [d[0] - c[0], d[1] - c[1]]);
        let s = [a[0] - b[0] + c[0] - d[0], a[1] - b[1] + c[1] - d[1]];
        let whole = u[0] * v[1] - v[0] * u[1];
        let g = (s[0] * v[1] - v[0] * s[1]) / whole;
        let h = (u[0] * s[1] - s[0] * u[1]) / whole;
        let row = |k: usize| [b[k] - a[k] + g * b[k], d[k] - a[k] + h * d[k], a[k]];
        Ok(Self {
            size,
            map: [row(0), row(1), [g, h, 1.0]],
        })
    }

    /// Where a point of the rectangle is on the picture, pixels. Points outside the rectangle are seen too, as far as
    /// the horizon.
    pub fn at(&self, x: f64, y: f64) -> [f64; 2] {
        let (u, v) = (x / self.size[0], y / self.size[1]);
        let [px, py, w] = self.map.map(|row| row[0] * u + row[1] * v + row[2]);
        [px / w, py / w]
    }

    /// Pixels to a unit of the rectangle where it is seen smallest.
    pub fn least_detail(&self) -> f64 {
        let [w, h] = self.size;
        let mut least = f64::INFINITY;
        for (x, y) in [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)] {
            let (here, inward) = (
                self.at(x, y),
                |v: f64, all: f64| if v > 0.0 { v - 0.01 * all } else { 0.01 * all },
            );
            for to in [self.at(inward(x, w), y), self.at(x, inward(y, h))] {
                let length = if to == self.at(inward(x, w), y) { w } else { h };
                least = least.min((to[0] - here[0]).hypot(to[1] - here[1]) / (0.01 * length));
            }
        }
        least
    }
}

fn not_round(place: &Place) -> Finding {
    Finding::new(
        "photo-corners",
        Weight::Wrong,
        place.clone(),
        say!(
            "The four corners do not go round a rectangle.",
            "Keempat sudut tidak mengelilingi persegi panjang."
        ),
    )
    .allow(say!(
        "Left top, right top, right bottom, left bottom, in pixels from the picture's left top; no three in a line.",
        "Kiri atas, kanan atas, kanan bawah, kiri bawah, dalam piksel dari kiri atas gambar; tidak boleh segaris."
    ))
}

fn too_small(side: f64, place: &Place) -> Finding {
    Finding::new(
        "photo-small",
        Weight::Wrong,
        place.clone(),
        say!(
            "A side between two corners is {side} pixels long.",
            "Satu sisi di antara dua sudut hanya {side} piksel.",
            side = Arg::Number(side, 0)
        ),
    )
    .allow(say!(
        "At least {least} pixels.",
        "Paling sedikit {least} piksel.",
        least = Arg::Number(SHORTEST, 0)
    ))
    .remedy(say!("Photograph it from nearer.", "Foto lagi dari lebih dekat."))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEEN: Corners = Corners([[100.0, 80.0], [930.0, 130.0], [880.0, 760.0], [150.0, 700.0]]);

    #[test]
    fn corners_come_to_the_corners() {
        let view = View::new(SEEN, [250.0, 200.0], &Place::Request).expect("corners");
        for (at, seen) in [(0.0, 0.0), (250.0, 0.0), (250.0, 200.0), (0.0, 200.0)]
            .iter()
            .zip(SEEN.0)
        {
            let p = view.at(at.0, at.1);
            assert!((p[0] - seen[0]).hypot(p[1] - seen[1]) < 1e-9, "{p:?} {seen:?}");
        }
    }

    /// A projective map keeps lines and the cross-ratio of four points on a line (definition).
    #[test]
    fn lines_and_cross_ratios_stay() {
        let view = View::new(SEEN, [1.0, 1.0], &Place::Request).expect("corners");
        let t = [0.0, 0.25, 0.6, 1.0];
        let seen = t.map(|t| view.at(t, 0.2 + 0.5 * t));
        let along = seen.map(|p| (p[0] - seen[0][0]).hypot(p[1] - seen[0][1]));
        let ratio = |t: [f64; 4]| (t[2] - t[0]) * (t[3] - t[1]) / ((t[2] - t[1]) * (t[3] - t[0]));
        assert!((ratio(t) - ratio(along)).abs() < 1e-9);
        let off = (seen[1][0] - seen[0][0]) * (seen[3][1] - seen[0][1])
            - (seen[1][1] - seen[0][1]) * (seen[3][0] - seen[0][0]);
        assert!(off.abs() < 1e-6);
    }

    /// The middle of a square is where the diagonals of its picture cross.
    #[test]
    fn the_middle_is_where_the_diagonals_cross() {
        let view = View::new(SEEN, [3.0, 7.0], &Place::Request).expect("corners");
        let [a, b, c, d] = SEEN.0;
        let (r, s) = ([c[0] - a[0], c[1] - a[1]], [d[0] - b[0], d[1] - b[1]]);
        let t = ((b[0] - a[0]) * s[1] - (b[1] - a[1]) * s[0]) / (r[0] * s[1] - r[1] * s[0]);
        let middle = view.at(1.5, 3.5);
        assert!((middle[0] - a[0] - t * r[0]).abs() < 1e-9 && (middle[1] - a[1] - t * r[1]).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_rectangle_is_refused() {
        let [a, b, c, d] = SEEN.0;
        let code = |corners| View::new(Corners(corners), [1.0, 1.0], &Place::Request).map_err(|f| f.code);
        for wrong in [
            [a, c, b, d],
            [a, d, c, b],
            [a, b, b, d],
            [a, b, [f64::NAN, 1.0], d],
        ] {
            assert_eq!(code(wrong).err(), Some("photo-corners"));
        }
        assert_eq!(
            code([a, [110.0, 80.0], [110.0, 90.0], [100.0, 90.0]]).err(),
            Some("photo-small")
        );
    }
}
