//! Drawings that are no part of a workspace yet: read, put to size, checked, made buildable.
//!
//! What a page needs: [`read`] gives a [`Drawn`]; its stamp answers `report` (faults with place, measure and
//! limit, `picture` as SVG) and [`stamp::Proposal::of`] (changes to keep or refuse with `refusing`, `picture`
//! before and after, `drawing` as SVG artwork, `after` as the check of the result).

use stamp::{Artwork, Ink, MOST_BYTES, Reading, Stamp, Tracing, is_picture, states_size, trace};
use units::Length;
use words::{Arg, Finding, Place, Weight, say};

/// Longest file that is read, bytes: a scan may be large, a drawing is refused for less.
pub const MOST_FILE: u64 = 64 << 20;

/// A drawing at its size, and what was noticed on reading it.
pub struct Drawn {
    /// The stamp.
    pub stamp: Stamp,
    /// What the designer should know about how the drawing was read.
    pub notes: Vec<Finding>,
    /// Whether it is a scan that was traced.
    pub traced: bool,
    /// Paints that lie flat, and whether each is wax; of a scan none.
    pub inks: Vec<Ink>,
    /// Lightness below which paint is wax.
    pub wax_below: f64,
}

/// How a drawing is read.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked {
    /// Width of the repeat; without it the drawing's own.
    pub width: Option<Length>,
    /// Lightness below which paint is wax, for SVG.
    pub wax_below: Option<f64>,
    /// How scans are traced.
    pub tracing: Tracing,
    /// The page is cut to the shapes, with so much room on every side, on the cloth.
    pub room: Option<Length>,
}

/// Reads an SVG, PNG or JPEG. `name` is how the user knows it.
///
/// # Errors
/// What keeps it from being a stamp; a file that states no size when none is given.
pub fn read(bytes: &[u8], name: &str, asked: &Asked) -> Result<Drawn, Vec<Finding>> {
    let traced = is_picture(bytes);
    let (artwork, sized) = if traced {
        let traced = trace(bytes, name, &asked.tracing)?;
        (traced.artwork, traced.sized)
    } else {
        let xml = text(bytes, name)?;
        let reading = Reading {
            wax_below: asked.wax_below,
        };
        (Artwork::read_as(xml, name, &reading)?, states_size(xml))
    };
    let artwork = match (asked.room, asked.width) {
        (Some(room), width) => cut(&artwork, room.to_mm(), width.map(Length::to_mm)),
        (None, _) => artwork,
    };
    let width_mm = match asked.width {
        Some(width) => width.to_mm(),
        None if sized => artwork.size_mm()[0],
        None => return Err(vec![no_size(name)]),
    };
    let stamp = Stamp::new(&artwork, width_mm, None)?;
    Ok(Drawn {
        stamp,
        notes: artwork.notes().to_vec(),
        traced,
        inks: artwork.inks().to_vec(),
        wax_below: artwork.wax_below(),
    })
}

/// The drawing on a page cut to its shapes: `room_mm` on every side when the page is `width_mm` wide, or at its own size.
fn cut(artwork: &Artwork, room_mm: f64, width_mm: Option<f64>) -> Artwork {
    let own = artwork.area().bounds().map_or(0.0, |around| around.width());
    let scale = width_mm.map_or(1.0, |width| (width - 2.0 * room_mm) / own);
    let room = room_mm / scale;
    artwork.cut_to_shapes(if room.is_finite() && room > 0.0 { room } else { 0.0 })
}

fn text<'b>(bytes: &'b [u8], name: &str) -> Result<&'b str, Vec<Finding>> {
    let place = |span| Place::File {
        path: name.to_string(),
        span,
    };
    if bytes.len() > MOST_BYTES {
        let found = say!(
            "the drawing has {n} bytes",
            "gambar berisi {n} byte",
            n = Arg::Number(bytes.len() as f64, 0)
        );
        let allowed = say!(
            "at most {n}",
            "paling banyak {n}",
            n = Arg::Number(MOST_BYTES as f64, 0)
        );
        return Err(vec![
            Finding::new("artwork-too-long", Weight::Wrong, place(0..0), found).allow(allowed),
        ]);
    }
    std::str::from_utf8(bytes).map_err(|e| {
        let at = e.valid_up_to();
        let found = say!(
            "the file is no SVG, PNG or JPEG",
            "berkas bukan SVG, PNG atau JPEG"
        );
        vec![Finding::new(
            "artwork-not-utf8",
            Weight::Wrong,
            place(at..at),
            found,
        )]
    })
}

fn no_size(name: &str) -> Finding {
    Finding::new(
        "artwork-without-size",
        Weight::Wrong,
        Place::File {
            path: name.to_string(),
            span: 0..0,
        },
        say!(
            "the file does not say how large the drawing is",
            "berkas tidak menyebut ukuran gambar"
        ),
    )
    .remedy(say!(
        "give the width of one repeat: --size \"200 mm\"",
        "beri lebar satu ulangan: --size \"200 mm\""
    ))
}
