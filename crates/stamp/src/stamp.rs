//! A drawing at the size of a stamp.

use crate::area::{Area, Bounds, shape_mm2};
use crate::artwork::Artwork;
use crate::copper::{Build, Copper};
use crate::layout::{Lattice, Layout};
use crate::mask::Mask;
use crate::width::Widths;
use words::{Arg, Finding, Line, Place, Weight, say};

/// Smallest repeat, mm.
pub const LEAST_MM: f64 = 20.0;
/// Largest repeat, and largest stamp with all that crosses the repeat, mm.
pub const MOST_MM: f64 = 600.0;
/// Greater side above which a stamp is heavy to set for hours, mm: 180 to 200 mm is usual (common practice,
/// no source).
const HANDY_MM: f64 = 260.0;
/// Places shown for one kind of fault; the rest is counted.
const SHOWN: usize = 8;
/// Two narrow places nearer than this are one fault, mm.
const APART_MM: f64 = 6.0;

/// A stamp: a drawing at its size on the cloth, with its wax mask.
#[derive(Clone, Debug, PartialEq)]
pub struct Stamp {
    repeat_mm: [f64; 2],
    area: Area,
    mask: Mask,
    widths: Widths,
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
        let area = artwork.area().mapped(|p| [p[0] * scale, p[1] * scale + down]);
        let around = area.bounds().unwrap_or(Bounds::sized(0.0, 0.0));
        if !(around.width() <= MOST_MM && around.height() <= MOST_MM) {
            return Err(vec![reaches_too_far(&around)]);
        }
        let (mask, widths) = (Mask::new(&area), Widths::of(&area));
        Ok(Self {
            repeat_mm,
            area,
            mask,
            widths,
        })
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
    pub const fn mask(&self) -> &Mask {
        &self.mask
    }
    /// Widths of lines and gaps.
    pub const fn widths(&self) -> &Widths {
        &self.widths
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

    /// What it takes to build.
    pub fn build(&self, copper: &Copper) -> Build {
        let outline_m = self.area.outline_mm() / 1e3;
        let single = copper.single_strip_mm();
        let thin = self.widths.outline_by_line.iter().filter(|(w, _)| *w <= single);
        let strip_m = outline_m - thin.map(|(_, length)| length).sum::<f64>() / 2e3;
        // The outline's own strip prints half a line's width inwards; what is deeper is hatched.
        let pitch_mm = (copper.strip.value + copper.gap.value) * 1e3;
        let fill_m = self.mask.deeper_than_mm2((single / 2.0) as f32) / pitch_mm / 1e3;
        let copper_kg = copper.strip_kg(strip_m + fill_m);
        Build {
            outline_m,
            strip_m,
            fill_m,
            copper_kg,
            weight_kg: copper_kg + copper.frame.value,
        }
    }

    /// Whether it can be bent, soldered and handled, and fits the cloth (width in mm).
    pub fn check(&self, copper: &Copper, cloth_width_mm: f64) -> Vec<Finding> {
        let mut findings = Vec::new();
        let (line, gap) = (copper.thinnest_line_mm(), copper.gap.value * 1e3);
        let lines = Widths::places_below(&self.widths.lines, line, APART_MM);
        let gaps = Widths::places_below(&self.widths.gaps, gap, APART_MM);
        for w in lines.iter().take(SHOWN) {
            findings.push(thin_line(w.at, w.mm, line, lines.len()));
        }
        for w in gaps.iter().take(SHOWN) {
            findings.push(narrow_gap(w.at, w.mm, gap, gaps.len()));
        }
        let around = self.area.bounds().unwrap_or(Bounds::sized(0.0, 0.0));
        if around.width().min(self.repeat_mm[0]) > cloth_width_mm {
            findings.push(wider_than_cloth(around.width(), cloth_width_mm));
        }
        if around.width().max(around.height()) > HANDY_MM {
            findings.push(unhandy(&around));
        }
        findings.extend(self.specks(copper));
        if self.pieces() > 1 {
            findings.push(loose_pieces(self.pieces()));
        }
        findings
    }

    /// Pieces smaller than the smallest pin.
    fn specks(&self, copper: &Copper) -> Option<Finding> {
        // A round pin as thick as the thinnest line.
        let least = copper.thinnest_line_mm().powi(2) * std::f64::consts::FRAC_PI_4;
        let small: Vec<_> = self
            .area
            .shapes()
            .iter()
            .filter(|s| shape_mm2(s) < least)
            .collect();
        let first = small.first()?.first()?.first()?;
        Some(
            Finding::new(
                "stamp-specks",
                Weight::Doubtful,
                spot(*first),
                say!(
                    "{n} pieces are smaller than a pin of {least}.",
                    "{n} bagian lebih kecil dari paku {least}.",
                    n = Arg::Number(small.len() as f64, 0),
                    least = mm(copper.thinnest_line_mm()),
                ),
            )
            .remedy(say!("Delete them or make them larger.", "Hapus atau perbesar.")),
        )
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

fn spot(at: [f64; 2]) -> Place {
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

fn thin_line(at: [f64; 2], width: f64, least: f64, places: usize) -> Finding {
    narrow(
        "stamp-thin-line",
        at,
        say!(
            "A line is {width} wide ({n} such places).",
            "Garis selebar {width} ({n} tempat seperti ini).",
            width = mm(width),
            n = Arg::Number(places as f64, 0),
        ),
        say!(
            "At least {least}: a strip of copper prints no thinner line.",
            "Paling sedikit {least}: bilah tembaga tidak mencetak garis lebih tipis.",
            least = mm(least)
        ),
        say!(
            "Make the line thicker, or leave it out.",
            "Tebalkan garisnya, atau hilangkan."
        ),
    )
}

fn narrow_gap(at: [f64; 2], width: f64, least: f64, places: usize) -> Finding {
    narrow(
        "stamp-narrow-gap",
        at,
        say!(
            "A gap is {width} wide ({n} such places).",
            "Celah selebar {width} ({n} tempat seperti ini).",
            width = mm(width),
            n = Arg::Number(places as f64, 0),
        ),
        say!(
            "At least {least}: wax fills a narrower gap.",
            "Paling sedikit {least}: malam mengisi celah yang lebih sempit.",
            least = mm(least)
        ),
        say!("Open the gap, or close it.", "Lebarkan celahnya, atau tutup."),
    )
}

fn narrow(code: &'static str, at: [f64; 2], found: Line, allowed: Line, remedy: Line) -> Finding {
    Finding::new(code, Weight::Doubtful, spot(at), found)
        .allow(allowed)
        .remedy(remedy)
}

fn wider_than_cloth(width: f64, cloth: f64) -> Finding {
    Finding::new(
        "stamp-wider-than-cloth",
        Weight::Wrong,
        Place::Request,
        say!(
            "The stamp is {width} wide.",
            "Cap selebar {width}.",
            width = mm(width)
        ),
    )
    .allow(say!(
        "The cloth is {cloth} wide.",
        "Lebar kain {cloth}.",
        cloth = mm(cloth)
    ))
    .remedy(say!("Make the stamp smaller.", "Kecilkan cap."))
}

fn unhandy(around: &Bounds) -> Finding {
    Finding::new(
        "stamp-unhandy",
        Weight::Doubtful,
        Place::Request,
        say!(
            "The stamp is {w} by {h}: heavy to set all day, and hard to keep level.",
            "Cap berukuran {w} kali {h}: berat dipakai seharian dan sulit dijaga rata.",
            w = mm(around.width()),
            h = mm(around.height()),
        ),
    )
    .allow(say!(
        "Up to {most} is handy.",
        "Sampai {most} masih nyaman.",
        most = mm(HANDY_MM)
    ))
    .remedy(say!(
        "Split it into two stamps, or make it smaller.",
        "Bagi menjadi dua cap, atau kecilkan."
    ))
}

fn loose_pieces(pieces: usize) -> Finding {
    Finding::new(
        "stamp-pieces",
        Weight::Note,
        Place::Request,
        say!(
            "The wax falls into {n} separate pieces: each is soldered to the grid by itself.",
            "Malam terbagi menjadi {n} bagian terpisah: tiap bagian dipatri sendiri ke rangka.",
            n = Arg::Number(pieces as f64, 0),
        ),
    )
}
