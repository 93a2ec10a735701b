//! Whether a border joins itself, and its corner.

use super::{Band, Part, Spot};
use crate::area::{Area, Point};
use crate::repeat::{BESIDE, Border, Cut, Line, Seams, Tolerance, cuts, match_cuts};
use crate::slip::Visible;
use crate::stamp::{mm, spot};
use words::{Arg, Finding, Place, Weight, say};

/// What meets what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meeting {
    /// The right side of one impression and the left side of the next.
    Steps,
    /// The corner's right side and the left side of the first impression after it.
    FromCorner,
    /// The right side of the last impression of a run and the corner's lower side.
    ToCorner,
}

/// One kind of join, looked at in the left upper corner; places are mm from the corner of the band.
#[derive(Clone, Debug, PartialEq)]
pub struct BandSeam {
    /// What meets what.
    pub meeting: Meeting,
    /// What crosses, and what breaks.
    pub seams: Seams,
}

/// A corner with two impressions on each side of it.
pub(super) const ARM: u32 = 2;

impl Band {
    /// The left upper corner: the corner stamp, if there is one, then the impressions to its right and below it. What
    /// is pulled apart to fill a run is left out: here is what was drawn.
    pub(super) fn corner(&self, with_corner: bool) -> Vec<Spot> {
        let [step, band] = self.repeat_mm;
        let begin = if with_corner { band } else { 0.0 };
        let run = |quarter: u8, at: &dyn Fn(f64) -> Point| -> Vec<Spot> {
            let middle = |k: u32| at(begin + (f64::from(k) + 0.5) * step);
            let spot = |k: u32| Spot {
                part: Part::Border,
                quarter,
                middle_mm: middle(k),
            };
            (0..ARM).map(spot).collect()
        };
        let mut spots = run(0, &|far| [far, band / 2.0]);
        if with_corner {
            spots.extend(run(3, &|far| [band / 2.0, far]));
            spots.push(Spot {
                part: Part::Corner,
                quarter: 0,
                middle_mm: [band / 2.0, band / 2.0],
            });
        }
        spots
    }

    /// Whether the border joins itself and, if there is one, its corner. Areas in mm from the left top corner of their
    /// own repeat.
    pub fn seams(&self, border: &Area, corner: Option<&Area>, tolerance: &Tolerance) -> Vec<BandSeam> {
        let spots = self.corner(corner.is_some());
        let found = self.lines(corner.is_some()).into_iter().map(|(meeting, line)| {
            let mut seams = Seams::default();
            let [before, after] =
                [-BESIDE, BESIDE].map(|off| self.cuts_on(&spots, border, corner, &line, line.at + off));
            match_cuts(&line, &before, &after, tolerance, &mut seams);
            BandSeam { meeting, seams }
        });
        found.collect()
    }

    /// Where stamps meet in the left upper corner.
    pub(super) fn lines(&self, with_corner: bool) -> Vec<(Meeting, Line)> {
        let [step, band] = self.repeat_mm;
        let line = |border: Border, at: f64| Line {
            border,
            at,
            span: [0.0, band],
        };
        if !with_corner {
            return vec![(Meeting::Steps, line(Border::Columns, step))];
        }
        vec![
            (Meeting::Steps, line(Border::Columns, band + step)),
            (Meeting::FromCorner, line(Border::Columns, band)),
            (Meeting::ToCorner, line(Border::Rows, band)),
        ]
    }

    /// What the designer should know: where it breaks, and where its runs are pulled apart so far that it is seen.
    pub fn findings(&self, border: &Area, corner: Option<&Area>, cloth_mm: [f64; 2]) -> Vec<Finding> {
        let seams = self.seams(border, corner, &Tolerance::default());
        let mut breaks = seams
            .iter()
            .flat_map(|one| one.seams.breaks.iter().map(|b| (one.meeting, b)));
        let count = breaks.clone().count();
        let mut findings = Vec::new();
        if let Some((meeting, first)) = breaks.next() {
            // Places are told in a drawing: the corner's, or the border's, which begins behind the corner.
            let begin = match (meeting, corner) {
                (Meeting::Steps, Some(_)) => self.repeat_mm[1],
                _ => 0.0,
            };
            findings.push(
                Finding::new(
                    "border-breaks",
                    Weight::Doubtful,
                    spot([first.at[0] - begin, first.at[1]]),
                    say!(
                        "The border does not join at {n} places, the first between {what}.",
                        "Pinggiran tidak menyambung di {n} tempat, yang pertama antara {what}.",
                        n = Arg::Number(count as f64, 0),
                        what = Arg::Text(meeting.text())
                    ),
                )
                .remedy(match meeting {
                    Meeting::Steps => say!(
                        "Let what leaves the drawing on the right come in on the left at the same height.",
                        "Samakan tinggi garis yang keluar di kanan dengan yang masuk di kiri."
                    ),
                    _ => say!(
                        "Let the corner's sides meet the border's at the same distance from the outer edge.",
                        "Samakan jarak garis sudut dan garis pinggir dari tepi luar."
                    ),
                }),
            );
        }
        let apart = self.on(cloth_mm).sides.into_iter();
        let seen = apart.filter(|run| run.spread_mm > Visible::default().gap_mm);
        if let Some(run) = seen.max_by(|a, b| a.spread_mm.total_cmp(&b.spread_mm)) {
            findings.push(
                Finding::new(
                    "border-pulled-apart",
                    Weight::Doubtful,
                    Place::Request,
                    say!(
                        "{n} impressions fill {long} only with {gap} between them.",
                        "{n} kali cap memenuhi {long} hanya dengan jarak {gap}.",
                        n = Arg::Number(f64::from(run.count), 0),
                        long = mm(run.long_mm),
                        gap = mm(run.spread_mm)
                    ),
                )
                .allow(say!(
                    "At most {gap}: wax closes that.",
                    "Paling besar {gap}: malam menutupnya.",
                    gap = mm(Visible::default().gap_mm)
                ))
                .remedy(say!(
                    "Make the repeat {w} wide.",
                    "Buat ulangan selebar {w}.",
                    w = mm(self.repeat_mm[0] + run.spread_mm)
                )),
            );
        }
        findings
    }

    pub(super) fn cuts_on(
        &self,
        spots: &[Spot],
        border: &Area,
        corner: Option<&Area>,
        line: &Line,
        at: f64,
    ) -> Vec<Cut> {
        let edges = spots.iter().enumerate().flat_map(|(k, spot)| {
            let area = match spot.part {
                Part::Border => Some(border),
                Part::Corner => corner,
            };
            let owner = (k as i32, 0);
            let edges = area.into_iter().flat_map(Area::edges);
            edges.map(move |(a, b)| (self.place(spot, a), self.place(spot, b), owner))
        });
        cuts(edges, line.border == Border::Columns, at, line.span)
    }
}
