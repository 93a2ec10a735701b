//! Names beside marks: as near as they can without covering a mark or another name.

use super::paper::{EDGE, Hold, Paper, Style};

/// A rectangle that a mark or a name takes: left, top, right, bottom.
type Taken = [f64; 4];

/// Half the height of a name.
const HALF: f64 = 9.0;
/// A name farther from its mark than this is tied to it by a line.
const TIED: f64 = 18.0;

/// Marks of a chart and the names that were placed so far.
pub struct Names {
    radius: f64,
    /// Where names may lie.
    frame: Taken,
    marks: Vec<(f64, f64)>,
    taken: Vec<Taken>,
    placed: Vec<((f64, f64), Hold, Style, String)>,
}

impl Names {
    /// Marks of this radius, and the frame that names stay in: left, top, right, bottom.
    pub fn new(marks: Vec<(f64, f64)>, radius: f64, frame: [f64; 4]) -> Self {
        let around = |m: &(f64, f64)| [m.0 - radius, m.1 - radius, m.0 + radius, m.1 + radius];
        Self {
            radius,
            frame,
            taken: marks.iter().map(around).collect(),
            marks,
            placed: Vec::new(),
        }
    }

    /// Finds a place for the name of a mark; draws the line between the two, if there must be one.
    pub fn place(&mut self, paper: &mut Paper, mark: (f64, f64), style: Style, name: &str) {
        let at = self.free(mark, style.width(name));
        self.taken.push(at);
        let (hold, x) = if at[0] > mark.0 {
            (Hold::Start, at[0])
        } else {
            (Hold::End, at[2])
        };
        let middle = f64::midpoint(at[1], at[3]);
        if (x - mark.0).hypot(middle - mark.1) > TIED {
            paper.line(mark, (x, middle), EDGE, 0.8, "");
        }
        self.placed
            .push(((x, middle + 4.5), hold, style, name.to_string()));
    }

    /// Writes the names, on top of everything drawn until now.
    pub fn write(self, paper: &mut Paper) {
        for (at, hold, style, name) in self.placed {
            paper.haloed(at, hold, style, &name);
        }
    }

    /// Where a name of this width stands: nearer to its own mark than to any other; the line to it passes no other mark.
    fn free(&self, (x, y): (f64, f64), width: f64) -> Taken {
        let away = [12.0, 30.0, 52.0, 78.0, 104.0];
        let shifts = [0.0, -10.0, 10.0, -19.0, 19.0, -30.0, 30.0, -42.0, 42.0];
        let mut places = away.iter().flat_map(|away| {
            shifts.iter().flat_map(move |shift| {
                let (top, bottom) = (y + shift - HALF, y + shift + HALF);
                [
                    [x + away, top, x + away + width, bottom],
                    [x - away - width, top, x - away, bottom],
                ]
            })
        });
        let free = |p: &Taken| {
            let meets = |t: &Taken| p[0] < t[2] && t[0] < p[2] && p[1] < t[3] && t[1] < p[3];
            let near = (if p[0] > x { p[0] } else { p[2] }, f64::midpoint(p[1], p[3]));
            let own = (near.0 - x).hypot(near.1 - y);
            let other = |m: &(f64, f64)| {
                *m != (x, y)
                    && ((near.0 - m.0).hypot(near.1 - m.1) < own.clamp(16.0, 30.0)
                        || from_line(*m, (x, y), near) < self.radius + 1.0)
            };
            p[0] > self.frame[0]
                && p[1] > self.frame[1]
                && p[2] < self.frame[2]
                && p[3] < self.frame[3]
                && !self.taken.iter().any(meets)
                && !self.marks.iter().any(other)
        };
        places
            .find(free)
            .unwrap_or([x + 12.0, y - HALF, x + 12.0 + width, y + HALF])
    }
}

/// Distance of a point from the line between two others.
fn from_line(point: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let square = (dx * dx + dy * dy).max(f64::MIN_POSITIVE);
    let t = (((point.0 - a.0) * dx + (point.1 - a.1) * dy) / square).clamp(0.0, 1.0);
    (point.0 - a.0 - t * dx).hypot(point.1 - a.1 - t * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: [f64; 4] = [0.0, 0.0, 900.0, 600.0];

    #[test]
    fn names_do_not_cover_one_another() {
        let marks: Vec<(f64, f64)> = (0..6)
            .map(|i| (300.0 + 30.0 * f64::from(i % 2), 300.0 + 24.0 * f64::from(i / 2)))
            .collect();
        let mut names = Names::new(marks.clone(), 8.0, FRAME);
        for mark in &marks {
            let at = names.free(*mark, 80.0);
            names.taken.push(at);
        }
        for (i, a) in names.taken.iter().enumerate().skip(marks.len()) {
            for b in &names.taken[..i] {
                assert!(
                    a[0] >= b[2] || b[0] >= a[2] || a[1] >= b[3] || b[1] >= a[3],
                    "{a:?} {b:?}"
                );
            }
        }
        let alone = Names::new(Vec::new(), 8.0, FRAME);
        assert_eq!(alone.free((300.0, 300.0), 50.0), [312.0, 291.0, 362.0, 309.0]);
    }
}
