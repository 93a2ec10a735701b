//! PNG and JPEG to lightness, with bounded memory: what a file claims is read before anything is made for it.

use super::{here, number};
use std::io::Cursor;
use words::{Arg, Finding, Weight, say};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Most pixels of a picture: A3 at 400 dpi.
pub const MOST_PIXELS: usize = 32_000_000;
/// Most pixels of a side.
pub const MOST_SIDE: usize = 20_000;
/// What a decoder may use besides, bytes.
const MOST_MEMORY: usize = 256 << 20;

/// Lightness of a picture, row by row; 0 black, 255 white.
pub(super) struct Grey {
    pub width: usize,
    pub height: usize,
    pub values: Vec<u8>,
    /// Size of a pixel if the file says so.
    pub mm_per_pixel: Option<f64>,
}

/// Why there is none.
pub(super) enum Trouble {
    /// Neither PNG nor JPEG.
    Unknown,
    /// Too many pixels: width and height.
    TooLarge([usize; 2]),
    /// What the decoder says.
    Damaged(String),
}

pub(super) fn grey(bytes: &[u8]) -> Result<Grey, Trouble> {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => png(bytes),
        [0xff, 0xd8, 0xff, ..] => jpeg(bytes),
        _ => Err(Trouble::Unknown),
    }
}

fn bounded(width: usize, height: usize) -> Result<(), Trouble> {
    let fits = width <= MOST_SIDE && height <= MOST_SIDE && width * height <= MOST_PIXELS;
    if fits && width > 0 && height > 0 {
        Ok(())
    } else {
        Err(Trouble::TooLarge([width, height]))
    }
}

fn png(bytes: &[u8]) -> Result<Grey, Trouble> {
    let damaged = |e: png::DecodingError| Trouble::Damaged(e.to_string());
    let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), png::Limits { bytes: MOST_MEMORY });
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(damaged)?;
    let (width, height) = (reader.info().width as usize, reader.info().height as usize);
    bounded(width, height)?;
    let mm_per_pixel = reader.info().pixel_dims.and_then(|dims| {
        (dims.unit == png::Unit::Meter && dims.xppu > 0).then(|| 1e3 / f64::from(dims.xppu))
    });
    let channels = reader.output_color_type().0.samples();
    // Row by row: the picture itself is never held in colour. An interlaced one is, within the decoder's limits.
    let mut values = Vec::with_capacity(width * height);
    if reader.info().interlaced {
        let size = reader
            .output_buffer_size()
            .ok_or(Trouble::TooLarge([width, height]))?;
        let mut all = vec![0; size];
        reader.next_frame(&mut all).map_err(damaged)?;
        values.extend(all.chunks_exact(channels).map(lightness));
    } else {
        while let Some(row) = reader.next_row().map_err(damaged)? {
            values.extend(row.data().chunks_exact(channels).map(lightness));
        }
    }
    values.resize(width * height, 255);
    Ok(Grey {
        width,
        height,
        values,
        mm_per_pixel: mm_per_pixel.filter(plausible),
    })
}

/// Between 20 and 5,000 pixels an inch; else nobody meant it.
fn plausible(mm: &f64) -> bool {
    (25.4 / 5000.0..=25.4 / 20.0).contains(mm)
}

/// Of 1 to 4 channels: grey, grey and cover, colours, colours and cover; over white paper. Luma weights: ITU-R
/// BT.601.
fn lightness(pixel: &[u8]) -> u8 {
    let (grey, cover) = match *pixel {
        [g] => (u32::from(g) * 1000, 255),
        [g, a] => (u32::from(g) * 1000, u32::from(a)),
        [r, g, b] => (luma(r, g, b), 255),
        [r, g, b, a] => (luma(r, g, b), u32::from(a)),
        _ => (255_000, 255),
    };
    ((grey / 1000 * cover + 255 * (255 - cover)) / 255) as u8
}

fn luma(r: u8, g: u8, b: u8) -> u32 {
    299 * u32::from(r) + 587 * u32::from(g) + 114 * u32::from(b)
}

fn jpeg(bytes: &[u8]) -> Result<Grey, Trouble> {
    let options = DecoderOptions::default()
        .set_max_width(MOST_SIDE)
        .set_max_height(MOST_SIDE)
        .jpeg_set_out_colorspace(ColorSpace::Luma);
    let mut decoder = JpegDecoder::new_with_options(Cursor::new(bytes), options);
    let damaged = |e: zune_jpeg::errors::DecodeErrors| Trouble::Damaged(format!("{e:?}"));
    decoder.decode_headers().map_err(damaged)?;
    let (width, height) = decoder.dimensions().ok_or(Trouble::Unknown)?;
    bounded(width, height)?;
    let mut values = decoder.decode().map_err(damaged)?;
    values.resize(width * height, 255);
    Ok(Grey {
        width,
        height,
        values,
        mm_per_pixel: jfif(bytes).filter(plausible),
    })
}

/// Size of a pixel from the JFIF header (ITU-T T.871, 10.1): units 1 dots per inch, 2 dots per cm.
fn jfif(bytes: &[u8]) -> Option<f64> {
    let header = bytes.get(2..20)?;
    if header.get(..2)? != [0xff, 0xe0] || header.get(4..9)? != b"JFIF\0" {
        return None;
    }
    let dots = f64::from(u16::from_be_bytes([*header.get(12)?, *header.get(13)?]));
    match header.get(11)? {
        1 => Some(25.4 / dots),
        2 => Some(10.0 / dots),
        _ => None,
    }
}

/// Why there is no picture, in words.
pub(super) fn refused(trouble: Trouble, path: &str) -> Finding {
    let wrong = |found| Finding::new("scan-refused", Weight::Wrong, here(path), found);
    match trouble {
        Trouble::Unknown => wrong(say!(
            "This is no picture that can be traced.",
            "Ini bukan gambar yang bisa dijiplak."
        ))
        .allow(say!("PNG or JPEG.", "PNG atau JPEG.")),
        Trouble::TooLarge([w, h]) => wrong(say!(
            "The picture has {w} by {h} pixels.",
            "Gambar berukuran {w} kali {h} piksel.",
            w = number(w),
            h = number(h)
        ))
        .allow(say!(
            "At most {side} a side and {all} million in all.",
            "Paling banyak {side} per sisi dan {all} juta seluruhnya.",
            side = number(MOST_SIDE),
            all = number(MOST_PIXELS / 1_000_000)
        ))
        .remedy(say!("Scan at 300 to 600 dpi.", "Pindai pada 300 sampai 600 dpi.")),
        Trouble::Damaged(why) => {
            let short: String = why.chars().take(120).collect();
            wrong(say!(
                "The picture cannot be read: {why}.",
                "Gambar tidak bisa dibaca: {why}.",
                why = Arg::Name(short)
            ))
            .remedy(say!("Save it again as PNG.", "Simpan ulang sebagai PNG."))
        }
    }
}
