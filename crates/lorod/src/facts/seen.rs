//! Pictures that people bring: PNG and JPEG files as sRGB bytes.

use cloth::Picture;
use words::{Arg, Finding, Place, Weight, say};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Longest file, bytes.
pub const MOST_BYTES: u64 = 100_000_000;
/// Most pixels: a camera of 60 million has some to spare.
const MOST_PIXELS: u64 = 80_000_000;

/// Reads a PNG or JPEG file; `name` is what findings call it. Transparent parts are seen on white. Pixels stand as the
/// file has them: a note in it that it wants to be turned is not followed.
///
/// # Errors
/// A finding if it is neither, is damaged, or has more than 80 million pixels.
pub fn picture(bytes: &[u8], name: &str) -> Result<Picture, Finding> {
    let picture = if bytes.starts_with(b"\x89PNG") {
        png(bytes, name)?
    } else if bytes.starts_with(&[0xff, 0xd8]) {
        jpeg(bytes, name)?
    } else {
        return Err(refused("picture-kind", name, "neither PNG nor JPEG".to_string()));
    };
    if picture.rgb.is_empty() {
        return Err(refused("picture-kind", name, "0 x 0".to_string()));
    }
    Ok(picture)
}

fn within(width: u64, height: u64, name: &str) -> Result<(), Finding> {
    if width.saturating_mul(height) <= MOST_PIXELS {
        return Ok(());
    }
    let found = say!(
        "{name} has {w} x {h} pixels",
        "{name} berisi {w} x {h} piksel",
        name = Arg::Name(name.to_string()),
        w = Arg::Number(width as f64, 0),
        h = Arg::Number(height as f64, 0)
    );
    Err(
        Finding::new("picture-large", Weight::Wrong, Place::Request, found).allow(say!(
            "up to {n} million",
            "sampai {n} juta",
            n = Arg::Number(MOST_PIXELS as f64 / 1e6, 0)
        )),
    )
}

fn png(bytes: &[u8], name: &str) -> Result<Picture, Finding> {
    let damaged = |e: png::DecodingError| refused("picture-damaged", name, e.to_string());
    let mut decoder = png::Decoder::new_with_limits(
        std::io::Cursor::new(bytes),
        png::Limits {
            bytes: MOST_PIXELS as usize * 8,
        },
    );
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(damaged)?;
    let (width, height) = (reader.info().width, reader.info().height);
    within(u64::from(width), u64::from(height), name)?;
    let size = reader
        .output_buffer_size()
        .ok_or_else(|| refused("picture-damaged", name, format!("{width} x {height}")))?;
    let mut raw = vec![0; size];
    let info = reader.next_frame(&mut raw).map_err(damaged)?;
    raw.truncate(info.buffer_size());
    let on_white = |v: u8, alpha: u8| {
        let (v, alpha) = (u32::from(v), u32::from(alpha));
        ((v * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    let rgb = match info.color_type {
        png::ColorType::Rgb => raw,
        png::ColorType::Rgba => raw
            .chunks_exact(4)
            .flat_map(|p| [p[0], p[1], p[2]].map(|v| on_white(v, p[3])))
            .collect(),
        png::ColorType::Grayscale => raw.iter().flat_map(|v| [*v; 3]).collect(),
        png::ColorType::GrayscaleAlpha => raw
            .chunks_exact(2)
            .flat_map(|p| [on_white(p[0], p[1]); 3])
            .collect(),
        png::ColorType::Indexed => {
            return Err(refused(
                "picture-damaged",
                name,
                "palette not expanded".to_string(),
            ));
        }
    };
    Ok(Picture { width, height, rgb })
}

fn jpeg(bytes: &[u8], name: &str) -> Result<Picture, Finding> {
    let damaged = |e: zune_jpeg::errors::DecodeErrors| refused("picture-damaged", name, e.to_string());
    let options = DecoderOptions::default()
        .jpeg_set_out_colorspace(ColorSpace::RGB)
        .set_max_width(65_535)
        .set_max_height(65_535);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(damaged)?;
    let (width, height) = decoder.dimensions().unwrap_or((0, 0));
    within(width as u64, height as u64, name)?;
    let rgb = decoder.decode().map_err(damaged)?;
    if rgb.len() != width * height * 3 {
        return Err(refused("picture-damaged", name, format!("{width} x {height}")));
    }
    Ok(Picture {
        width: width as u32,
        height: height as u32,
        rgb,
    })
}

fn refused(code: &'static str, name: &str, why: String) -> Finding {
    let found = say!(
        "{name} is no picture that can be read: {why}",
        "{name} bukan gambar yang bisa dibaca: {why}",
        name = Arg::Name(name.to_string()),
        why = Arg::Name(why)
    );
    Finding::new(code, Weight::Wrong, Place::Request, found)
        .allow(say!("a PNG or JPEG file", "berkas PNG atau JPEG"))
}

#[cfg(test)]
mod tests {
    use super::picture;

    #[test]
    fn a_png_comes_back_and_transparency_is_white() {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
        encoder.set_color(png::ColorType::Rgba);
        let mut writer = encoder.write_header().expect("header");
        writer
            .write_image_data(&[10, 20, 30, 255, 10, 20, 30, 0])
            .expect("data");
        writer.finish().expect("end");
        let seen = picture(&bytes, "two.png").expect("a picture");
        assert_eq!((seen.width, seen.height), (2, 1));
        assert_eq!(seen.rgb, [10, 20, 30, 255, 255, 255]);
    }

    /// Bytes that claim to be pictures: an answer or a finding, never a panic.
    #[test]
    fn damaged_files_are_refused() {
        let starts: [&[u8]; 3] = [b"\x89PNG\r\n\x1a\n", &[0xff, 0xd8, 0xff, 0xe0], b"GIF89a"];
        for start in starts {
            for n in 0..60usize {
                let mut bytes = start.to_vec();
                bytes.extend((0..n * 7).map(|k| (k * 37 + n) as u8));
                assert!(picture(&bytes, "x").is_err());
            }
        }
    }
}
