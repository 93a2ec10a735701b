//! Photographs of cloth beside what was approved.

use super::seen;
use cloth::photo::{
    Approved, Compared, Corners, Evenness, Laid, Look, Measure, Photo, Sheet, View, register,
};
use cloth::{Bolt, Picture, Region};
use colour::fit::photo::Correction;
use colour::measured::{Stated, read, samples};
use colour::{Viewing, Xyz, xyz};
use route::{Design, LotShape, Workshop, sizes};
use std::path::Path;
use std::sync::Arc;
use units::Quantity;
use words::{Arg, Finding, Line, Place, Text, Weight, say, text};
use workspace::{Guide, Photograph};

/// Squares of a sheet, mm.
const PITCH: f64 = 1.0;
/// Readings of a patch, each way, over its middle.
const READINGS: u32 = 12;
/// What a photograph itself does to a colour, dE00: rendered cloth seen by a known camera through lens, lamp, noise and
/// perspective comes back within this (crates/cloth/tests/photo.rs). A target that is worn or in other light is worse.
pub const ALLOWANCE: f64 = 1.5;
/// Wax and bare cloth that explain less of the colours' scatter than this: the drawing was not found (own estimate;
/// chance reaches about half of it on mottled cloth).
const LEAST_TOLD: f64 = 0.12;
/// Bolts of the model, and places on each, that stand for what was approved.
const BOLTS: u32 = 2;
const PLACES: u32 = 4;

/// A piece of cloth, straight, with the drawing found on it or not.
pub struct Piece {
    /// Its colours.
    pub sheet: Sheet,
    /// Where the drawing stands.
    pub laid: Option<Laid>,
    /// Its numbers.
    pub look: Look,
    /// Darkest over lightest light in the window; nothing if no white card told it.
    pub fading: Option<f64>,
}

impl Piece {
    fn new(sheet: Sheet, design: &Design, scale: [f64; 2], fading: Option<f64>) -> Result<Self, Finding> {
        // The first stamp draws the motif; a later one is registered to it or lies where it likes. A border lies at the
        // edges of the piece, where no window is.
        let found = design
            .stamps
            .iter()
            .find(|used| used.border.is_none())
            .and_then(|used| register(&sheet, used, scale));
        let laid = found.filter(|laid| laid.told >= LEAST_TOLD);
        let look = Look::of(&sheet, laid.as_ref())?;
        Ok(Self {
            sheet,
            laid,
            look,
            fading,
        })
    }

    /// The piece for a screen.
    pub fn picture(&self) -> Picture {
        Picture {
            width: self.sheet.size[0] as u32,
            height: self.sheet.size[1] as u32,
            rgb: self.sheet.screen(),
        }
    }

    /// The piece with the drawing's outline on it.
    pub fn outlined(&self) -> Picture {
        let mut picture = self.picture();
        let Some(laid) = &self.laid else { return picture };
        for (rgb, mm) in picture.rgb.chunks_exact_mut(3).zip(&laid.wax_mm) {
            if mm.abs() < 0.5 {
                rgb.copy_from_slice(&[255, 40, 200]);
            }
        }
        picture
    }
}

/// A photograph, as its description says. `folder` is where the files that it names lie; `text` reads one of them.
///
/// # Errors
/// Everything that keeps its colours from being told.
pub fn piece(
    described: &Photograph,
    place: &Place,
    folder: &Path,
    design: &Arc<Design>,
    shop: &Workshop,
) -> Result<Piece, Vec<Finding>> {
    let one = |f: Finding| vec![f];
    let bytes = file(folder, &described.picture, place).map_err(one)?;
    let picture = seen::picture(&bytes, &described.picture).map_err(one)?;
    let photo = Photo::new(picture.width, picture.height, picture.rgb, place).map_err(one)?;
    let window = View::new(Corners(described.corners), described.window_mm, place).map_err(one)?;
    let even = described
        .card_mm
        .map(|band| Evenness::around(&photo, &window, band, place))
        .transpose()
        .map_err(one)?;
    let correction = correction(described, &photo, even.as_ref(), place, folder)?;
    let sheet = Sheet::of_photo(&photo, &window, even.as_ref(), &correction, PITCH);
    Piece::new(
        sheet,
        design,
        shrunk(design, shop),
        even.map(|even| even.fading(&window)),
    )
    .map_err(one)
}

/// Finished over stamped size of the design's first stamping.
fn shrunk(design: &Design, shop: &Workshop) -> [f64; 2] {
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let repeats = sizes(design, &lot, shop).repeats;
    repeats.first().map_or([1.0; 2], |r| {
        [r.finished.0.0 / r.stamped.0.0, r.finished.1.0 / r.stamped.1.0]
    })
}

fn correction(
    described: &Photograph,
    photo: &Photo,
    even: Option<&Evenness>,
    place: &Place,
    folder: &Path,
) -> Result<Correction, Vec<Finding>> {
    let one = |f: Finding| vec![f];
    let patches = |corners, columns, rows| patches(photo, even, corners, columns, rows, place).map_err(one);
    match &described.guide {
        Guide::Grey { corners, reflectance } => {
            let grey = patches(*corners, 1, 1)?;
            Correction::from_grey(grey[0], *reflectance, place).map_err(one)
        }
        Guide::Target {
            corners,
            columns,
            rows,
            values,
        } => {
            let bytes = file(folder, values, place).map_err(one)?;
            let measured = read(&String::from_utf8_lossy(&bytes), values, Stated::default());
            if measured.is_wrong() {
                return Err(measured.findings);
            }
            let known = samples(&measured.readings).0;
            let seen = patches(*corners, *columns, *rows)?;
            if known.len() != seen.len() {
                return Err(one(other_patches(seen.len(), known.len(), values, place)));
            }
            let pairs: Vec<([f64; 3], Xyz)> = seen
                .into_iter()
                .zip(known.iter().map(|s| xyz(&s.mean, Viewing::DAYLIGHT)))
                .collect();
            Correction::from_target(&pairs, place).map_err(one)
        }
    }
}

/// Mean light of the middle of each patch, row by row.
fn patches(
    photo: &Photo,
    even: Option<&Evenness>,
    corners: workspace::Corners,
    columns: u32,
    rows: u32,
    place: &Place,
) -> Result<Vec<[f64; 3]>, Finding> {
    let view = View::new(Corners(corners), [f64::from(columns), f64::from(rows)], place)?;
    let outside = || {
        let found = say!("a corner lies outside the picture", "ada sudut di luar gambar");
        Finding::new("photo-corners", Weight::Wrong, place.clone(), found)
    };
    (0..columns * rows)
        .map(|patch| {
            let mut sum = [0.0; 3];
            for k in 0..READINGS * READINGS {
                let inner = |k: u32| 0.3 + 0.4 * (f64::from(k) + 0.5) / f64::from(READINGS);
                let (column, row) = (f64::from(patch % columns), f64::from(patch / columns));
                let at = view.at(column + inner(k % READINGS), row + inner(k / READINGS));
                let light = photo.at(at).ok_or_else(outside)?;
                let light = even.map_or(light, |even| even.evened(at, light));
                (0..3).for_each(|c| sum[c] += light[c] / f64::from(READINGS * READINGS));
            }
            Ok(sum)
        })
        .collect()
}

/// Pieces of the model's own cloth of the same size: what the design promises, with its spread over bolts and places.
///
/// # Errors
/// If a piece has no colours.
pub fn promised(
    design: &Arc<Design>,
    shop: &Workshop,
    window_mm: [f64; 2],
    progress: &dyn Fn(f64),
) -> Result<Vec<Piece>, Finding> {
    let mut pieces = Vec::new();
    let [w, h] = [design.cloth.width, design.cloth.length].map(|l| l.to_mm());
    let size = [window_mm[0].min(w), window_mm[1].min(h)];
    for number in 0..BOLTS {
        let lot = LotShape::new(&design.id, BOLTS, number, design.cloth);
        let bolt = Bolt::prepare(design, &lot, shop, None);
        for place in 0..PLACES {
            let share = |n: u32| f64::from(n % PLACES) / f64::from(PLACES - 1);
            let x = (w - size[0]) * share(place * 2 + number);
            let y = (h - size[1]) * (f64::from(place) + 0.5) / f64::from(PLACES);
            let sheet = Sheet::of_bolt(&bolt, [x, y, size[0], size[1]], PITCH);
            pieces.push(Piece::new(sheet, design, [1.0; 2], None)?);
            progress(f64::from(number * PLACES + place + 1) / f64::from(BOLTS * PLACES));
        }
    }
    Ok(pieces)
}

/// A piece beside the approved ones. Pieces on which the drawing was found and pieces on which it was not are not
/// compared by region.
///
/// # Errors
/// If there are fewer than three approved pieces.
pub fn compare(piece: &Piece, approved: &[Piece], place: &Place) -> Result<Vec<Compared>, Finding> {
    let looks = approved.iter().map(|p| p.look.clone()).collect();
    Ok(Approved::new(looks, place)?.compare(&piece.look, ALLOWANCE))
}

/// Share of the brightest light above which light is even, as far as a whole per cent tells.
const EVEN: f64 = 0.995;

/// What the card tells of the light, or that none told it.
pub fn light(piece: &Piece) -> Line {
    match piece.fading {
        // Printed to a whole per cent: nothing is told that the words would not show.
        Some(fading) if fading >= EVEN => say!("Light in the window was even.", "Cahaya di jendela rata."),
        Some(fading) => say!(
            "Light in the window fell to {share} of its brightest; that was taken out.",
            "Cahaya di jendela turun sampai {share} dari yang paling terang; sudah diratakan.",
            share = Arg::Quantity(Quantity::new(fading, units::Measure::Share))
        ),
        None => say!(
            "No white card around the window: uneven light is still in these numbers.",
            "Tidak ada karton putih di sekeliling jendela: cahaya tidak rata masih ada dalam angka ini."
        ),
    }
}

/// What it comes to.
pub fn verdict(compared: &[Compared]) -> Line {
    if compared.is_empty() {
        return say!(
            "Nothing could be compared: the drawing was not found.",
            "Tidak ada yang dapat dibandingkan: gambar cap tidak ditemukan."
        );
    }
    match compared.iter().filter(|c| !c.within()).count() {
        0 => say!("Within what was approved.", "Dalam kisaran yang di-acc."),
        outside => say!(
            "{n} of {all} numbers lie outside what was approved.",
            "{n} dari {all} angka di luar kisaran yang di-acc.",
            n = Arg::Number(outside as f64, 0),
            all = Arg::Number(compared.len() as f64, 0)
        ),
    }
}

/// Name of a region of a piece.
pub const fn region(region: Region) -> &'static Text {
    match region {
        Region::Motif => text!("motif", "motif"),
        Region::Ground => text!("ground", "latar"),
    }
}

/// What is compared, with its unit.
pub const fn measure(measure: Measure) -> &'static Text {
    match measure {
        Measure::Palette => text!("palette distance, dE00", "jarak palet, dE00"),
        Measure::MottleScale => text!("size of the mottle, mm", "ukuran belang, mm"),
        Measure::Contrast => text!("contrast of the mottle, L*", "kontras belang, L*"),
        Measure::Cover => text!("motif seen over drawn", "motif terlihat banding digambar"),
    }
}

fn file(folder: &Path, name: &str, place: &Place) -> Result<Vec<u8>, Finding> {
    let path = folder.join(name);
    let refused = |message: String| {
        let found = say!(
            "{path}: the system says \"{message}\"",
            "{path}: sistem berkata \"{message}\"",
            path = Arg::Name(path.display().to_string()),
            message = Arg::Name(message)
        );
        Finding::new("photo-file", Weight::Wrong, place.clone(), found)
    };
    let size = std::fs::metadata(&path)
        .map_err(|e| refused(e.to_string()))?
        .len();
    if size > seen::MOST_BYTES {
        return Err(refused(format!("{size} bytes, at most {}", seen::MOST_BYTES)));
    }
    std::fs::read(&path).map_err(|e| refused(e.to_string()))
}

fn other_patches(seen: usize, known: usize, values: &str, place: &Place) -> Finding {
    let found = say!(
        "the target has {seen} patches, {values} has {known}",
        "target berisi {seen} bidang, {values} berisi {known}",
        seen = Arg::Number(seen as f64, 0),
        known = Arg::Number(known as f64, 0),
        values = Arg::Name(values.to_string())
    );
    Finding::new("photo-patches", Weight::Wrong, place.clone(), found).allow(say!(
        "one sample for each patch, row by row from the left top",
        "satu sampel tiap bidang, baris demi baris dari kiri atas"
    ))
}
