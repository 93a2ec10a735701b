//! A border that joins: its own sides meet half way, then the corner is bent until it meets the border.

use super::{Band, BandSeam, Meeting};
use crate::area::{Area, Bounds};
use crate::impression::HandError;
use crate::layout::{Lattice, Layout};
use crate::repeat::{Anchor, BESIDE, DEEP, Met, ROUNDS, SHORT, Tolerance, bend, wishes};
use crate::slip::{Slips, Visible};

/// Room above and below a border that is looked at alone, mm: more than a bend reaches.
const ROOM: f64 = 2.0 * DEEP;

/// A border after its breaks were closed.
#[derive(Clone, Debug)]
pub struct ClosedBand {
    /// The border's wax and the corner's, mm.
    pub border: Area,
    /// None where the border has no corner.
    pub corner: Option<Area>,
    /// What joins, and what still does not.
    pub seams: Vec<BandSeam>,
    /// Surface that was added or taken away in both, mm2.
    pub changed_mm2: f64,
}

impl ClosedBand {
    /// Breaks that are left.
    pub fn breaks(&self) -> usize {
        self.seams.iter().map(|one| one.seams.breaks.len()).sum()
    }
}

impl Band {
    /// Proposes drawings without breaks. The border joins itself first; its sides then stand, and only the corner
    /// gives way. A line of the border that the corner does not know stays a break: it goes on everywhere else.
    pub fn close(&self, border: &Area, corner: Option<&Area>, tolerance: &Tolerance) -> ClosedBand {
        let closed = self.close_steps(border, tolerance);
        let turned = corner.map(|area| self.close_corner(&closed, area, tolerance));
        let changed = |a: &Area, b: &Area| a.without(b).mm2() + b.without(a).mm2();
        let of_corner = corner.zip(turned.as_ref()).map_or(0.0, |(a, b)| changed(a, b));
        ClosedBand {
            seams: self.seams(&closed, turned.as_ref(), tolerance),
            changed_mm2: changed(border, &closed) + of_corner,
            corner: turned,
            border: closed,
        }
    }

    /// Sets `tried` impressions of the border by hand and counts those with a visible break to their neighbours, as
    /// [`Lattice::slips`]; a corner is set no better and no worse.
    pub fn slips(
        &self,
        border: &Area,
        error: &HandError,
        visible: &Visible,
        tried: u32,
        unit: impl Fn(i32, i32, u32) -> f32,
    ) -> Slips {
        let (run, lowered) = self.run(border);
        let seams = run.seams(&lowered, &Tolerance::default());
        run.slips(&seams, error, visible, tried, unit)
    }

    /// The border as a repeat beside itself. Above and below it nothing follows: there is room.
    fn run(&self, border: &Area) -> (Lattice, Area) {
        let [step, band] = self.repeat_mm;
        let run = Lattice {
            layout: Layout::Straight,
            repeat_mm: [step, band + 2.0 * ROOM],
        };
        (run, border.mapped(|p| [p[0], p[1] + ROOM]))
    }

    fn close_steps(&self, border: &Area, tolerance: &Tolerance) -> Area {
        let (run, lowered) = self.run(border);
        let closed = run.close(&lowered, tolerance);
        if closed.changed_mm2 > 0.0 {
            closed.area.mapped(|p| [p[0], p[1] - ROOM])
        } else {
            border.clone()
        }
    }

    fn close_corner(&self, border: &Area, corner: &Area, tolerance: &Tolerance) -> Area {
        let band = self.repeat_mm[1];
        let mut now = corner.clone();
        for _ in 0..ROUNDS {
            let (mut anchors, mut ends) = (Vec::new(), Vec::new());
            for (meeting, line) in self.lines(true) {
                // The corner's right and lower side; it lies before both lines, and inwards is against the axis.
                let side = match meeting {
                    Meeting::Steps => continue,
                    Meeting::FromCorner => 1,
                    Meeting::ToCorner => 3,
                };
                let spots = self.corner(true);
                let [before, after] = [-BESIDE, BESIDE]
                    .map(|off| self.cuts_on(&spots, border, Some(&now), &line, line.at + off));
                let met = Met::of(&before, &after);
                for (a, b) in &met.pairs {
                    anchors.extend(wishes(a, b, tolerance).into_iter().map(|(_, wish)| Anchor {
                        side,
                        along: wish.from,
                        shift: wish.shift,
                        slope: -wish.slope,
                    }));
                }
                ends.extend(met.lone_before(tolerance).into_iter().map(|cut| {
                    let (low, high) = ([band - SHORT, cut.from - 0.3], [band + 0.5, cut.to + 0.3]);
                    let turned = |p: [f64; 2]| if side == 1 { p } else { [p[1], p[0]] };
                    Area::rectangle(&Bounds {
                        low: turned(low),
                        high: turned(high),
                    })
                }));
            }
            let still = anchors.iter().all(|a| a.shift == 0.0 && a.slope == 0.0);
            if still && ends.is_empty() {
                break;
            }
            anchors.sort_by(|a, b| a.side.cmp(&b.side).then(a.along.total_cmp(&b.along)));
            now = bend(&now, &anchors, [band; 2]).without(&Area::union_of(&ends));
        }
        now
    }
}
