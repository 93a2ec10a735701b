//! A drawing at the size of a stamp.

use crate::area::{Area, Bounds};
use crate::artwork::Artwork;
use crate::check::Report;
use crate::layout::{Lattice, Layout};
use crate::limits::Limits;
use crate::mask::Mask;
use crate::medial::Medial;
use crate::strips::StripPlan;
use crate::width::Widths;
use std::sync::OnceLock;
use words::{Arg, Finding, Place, Weight, say};

/// Smallest repeat, mm.
pub const LEAST_MM: f64 = 20.0;
/// Largest repeat, and largest stamp with all that crosses the repeat, mm.
pub const MOST_MM: f64 = 600.0;

/// A stamp: a drawing at its size on the cloth. Its wax mask and its widths are worked out when somebody first asks for
/// them: whoever only reads a folder needs neither, and they take longer than all else.
#[derive(Clone, Debug)]
pub struct Stamp {
    repeat_mm: [f64; 2],
    area: Area,
    mask: OnceLock<Mask>,
    widths: OnceLock<Widths>,
}

impl PartialEq for Stamp {
    /// Mask and widths follow from the rest.
    fn eq(&self, other: &Self) -> bool {
        self.repeat_mm == other.repeat_mm && self.area == other.area
    }
}

impl Stamp {
    /// A stamp whose repeat is `width_mm` wide. The drawing's page is scaled to that width; the repeat's
    /// height follows the page unless `height_mm` is given, in which case the page stands in its middle
    /// (spaced out or overlapping, never distorted).
    ///
    /// # Errors
    /// A repeat outside [`LEAST_MM`]..=[`MOST_MM`], or shapes that reach so far over the page that the
    /// stamp would be larger than [`MOST_MM`].
    pub fn new(artwork: &Artwork, width_mm: f64, height_mm: Option<f64>) -> Result<Self, Vec<Finding>> {
        let page = artwork.size_mm();
        let height_own = page[1] * width_mm / page[0];
        let repeat_mm = [width_mm, height_mm.unwrap_or(height_own)];
        if !repeat_mm.iter().all(|v| (LEAST_MM..=MOST_MM).contains(v)) {
            return Err(vec![size_refused(repeat_mm)]);
        }
        let scale = width_mm / page[0];
        let down = (repeat_mm[1] - height_own) / 2.0;
        let area = artwork
            .area()
            .mapped(|p| [p[0] * scale, p[1] * scale + down])
            .dusted();
        let around = area.bounds().unwrap_or(Bounds::sized(0.0, 0.0));
        if !(around.width() <= MOST_MM && around.height() <= MOST_MM) {
            return Err(vec![reaches_too_far(&around)]);
        }
        Ok(Self::of_area(area, repeat_mm))
    }

    /// A stamp of shapes that are at their size already, mm from the repeat's left top corner.
    pub fn of_area(area: Area, repeat_mm: [f64; 2]) -> Self {
        Self {
            repeat_mm,
            area,
            mask: OnceLock::new(),
            widths: OnceLock::new(),
        }
    }

    /// Width and height of the repeat, mm.
    pub const fn repeat_mm(&self) -> [f64; 2] {
        self.repeat_mm
    }
    /// Where the wax is, mm, origin at the repeat's left top corner, y along the cloth. It may reach over
    /// the repeat.
    pub const fn area(&self) -> &Area {
        &self.area
    }
    /// The wax as signed distance.
    pub fn mask(&self) -> &Mask {
        self.mask.get_or_init(|| Mask::new(&self.area))
    }
    /// Widths of lines and gaps.
    pub fn widths(&self) -> &Widths {
        self.widths.get_or_init(|| Widths::of(&self.area))
    }
    /// The lattice on which it is printed.
    pub const fn lattice(&self, layout: Layout) -> Lattice {
        Lattice {
            layout,
            repeat_mm: self.repeat_mm,
        }
    }
    /// Wax of one impression as a share of the repeat's surface, exactly; overlaps of neighbours are not
    /// taken off.
    pub fn share_of_repeat(&self) -> f64 {
        self.area.mm2() / (self.repeat_mm[0] * self.repeat_mm[1])
    }
    /// Share of the cloth that is waxed under a layout, exactly: overlaps count once.
    pub fn coverage(&self, layout: Layout) -> f64 {
        self.lattice(layout).coverage(&self.area)
    }
    /// Pieces that do not hang together: each must be soldered to the frame by itself.
    pub fn pieces(&self) -> usize {
        self.area.shapes().len()
    }

    /// Its copper, piece by piece.
    pub fn strips(&self, limits: &Limits) -> StripPlan {
        StripPlan::of(&self.area, self.mask(), limits)
    }

    /// Whether it can be built under these limits, place by place, for cloth of this width (mm), and what it takes.
    pub fn report(&self, limits: &Limits, cloth_width_mm: f64) -> Report {
        let sides = Medial::of(&self.area);
        let plan = StripPlan::without_labels(&self.area, &sides[0], self.mask(), limits);
        let build = plan.build(&self.area, limits);
        Report::seen(&self.area, self.repeat_mm, build, limits, cloth_width_mm, sides)
    }
}

/// Millimetres, to hundredths, as copper is ordered and measured everywhere.
pub(crate) fn mm(value: f64) -> Arg {
    let digits = format!("{value:.2}");
    let short = if digits.contains('.') {
        digits.trim_end_matches('0').trim_end_matches('.')
    } else {
        &digits
    };
    Arg::Spelled(format!("{short} mm"))
}

pub(crate) fn spot(at: [f64; 2]) -> Place {
    Place::Drawing {
        x_um: (at[0] * 1e3).round() as i64,
        y_um: (at[1] * 1e3).round() as i64,
    }
}

fn size_refused(repeat: [f64; 2]) -> Finding {
    Finding::new(
        "stamp-size",
        Weight::Wrong,
        Place::Request,
        say!(
            "The repeat would be {w} wide and {h} high.",
            "Ulangan menjadi {w} lebar dan {h} tinggi.",
            w = mm(repeat[0]),
            h = mm(repeat[1]),
        ),
    )
    .allow(say!(
        "{low} to {high} each way.",
        "{low} sampai {high} tiap arah.",
        low = mm(LEAST_MM),
        high = mm(MOST_MM)
    ))
    .remedy(say!(
        "Choose another width, or change the page of the drawing.",
        "Pilih lebar lain, atau ubah halaman gambar."
    ))
}

fn reaches_too_far(around: &Bounds) -> Finding {
    Finding::new(
        "stamp-size",
        Weight::Wrong,
        spot(around.low),
        say!(
            "Shapes beyond the page make the stamp {w} wide and {h} high.",
            "Bentuk di luar halaman membuat cap {w} lebar dan {h} tinggi.",
            w = mm(around.width()),
            h = mm(around.height()),
        ),
    )
    .allow(say!(
        "At most {most} each way.",
        "Paling besar {most} tiap arah.",
        most = mm(MOST_MM)
    ))
    .remedy(say!(
        "Move the shapes onto the page, or delete them.",
        "Pindahkan bentuk ke halaman, atau hapus."
    ))
}
