//! Pictures written strip by strip: the pixels are those of the picture in memory, other programs read them, and a run
//! that broke off anywhere goes on to the same file.

mod common;

use cloth::{Bolt, Format, NotWritten, Refused, Shot, Tiling};
use std::io::Cursor;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use units::Length;

const QUIET: fn(f64) = |_| {};
static GO: AtomicBool = AtomicBool::new(false);
const SMALL: Tiling = Tiling { side: 50, starve: 0 };

/// 94 by 142 pixels: five strips, the last of 14 rows; at 100 dpi.
fn shot() -> Shot {
    Shot {
        x: Length(0.2),
        y: Length(3.0),
        width: Length(0.024),
        height: Length(0.036),
        dpi: 100.0,
        steps: 16,
    }
}

fn written(bolt: &Bolt, format: Format, tiling: &Tiling, begun: Vec<u8>) -> Result<Vec<u8>, NotWritten> {
    let mut disk = Cursor::new(begun);
    shot().write(bolt, format, tiling, &QUIET, &GO, &mut disk)?;
    Ok(disk.into_inner())
}

fn whole(bolt: &Bolt, format: Format) -> Vec<u8> {
    written(bolt, format, &Tiling::default(), Vec::new()).expect("a file")
}

#[test]
fn a_png_has_the_pixels_of_the_picture() {
    let bolt = common::bolt();
    let file = whole(&bolt, Format::Png);
    let mut reader = png::Decoder::new(Cursor::new(&file)).read_info().expect("a PNG");
    let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
    reader.next_frame(&mut pixels).expect("pixels");
    reader.finish().expect("a whole file");
    let picture = shot().take(&bolt, &SMALL, &QUIET, &GO).expect("a picture");
    assert!(pixels == picture.rgb);
    let info = reader.info();
    let size = info.pixel_dims.expect("a physical size");
    // 100 dpi is 3937 pixels a metre.
    assert_eq!((size.xppu, size.unit), (3937, png::Unit::Meter));
    assert!(info.srgb.is_some());
    assert_eq!(info.uncompressed_latin1_text[0].text, shot().of(&bolt));
}

#[test]
fn a_tiff_has_the_pixels_of_the_picture() {
    let bolt = common::bolt();
    let file = whole(&bolt, Format::Tiff);
    // Magic number 43: 64-bit offsets.
    assert_eq!(file[..4], [b'I', b'I', 43, 0]);
    let mut reader = tiff::decoder::Decoder::new(Cursor::new(&file)).expect("a TIFF");
    assert_eq!(reader.colortype().expect("a kind"), tiff::ColorType::RGB(8));
    let tiff::decoder::DecodingResult::U8(pixels) = reader.read_image().expect("pixels") else {
        panic!("not bytes");
    };
    let picture = shot().take(&bolt, &SMALL, &QUIET, &GO).expect("a picture");
    assert_eq!(
        reader.dimensions().expect("a size"),
        (picture.width, picture.height)
    );
    assert!(pixels == picture.rgb);
    let text = reader
        .get_tag_ascii_string(tiff::tags::Tag::ImageDescription)
        .expect("a text");
    assert_eq!(text, shot().of(&bolt));
}

#[test]
fn tiles_and_threads_change_no_byte_of_the_file() {
    let bolt = common::bolt();
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a thread");
    for format in [Format::Png, Format::Tiff] {
        let file = whole(&bolt, format);
        let again = one.install(|| written(&bolt, format, &SMALL, Vec::new()).expect("a file"));
        assert!(again == file, "{format:?}");
    }
}

/// Cut off anywhere, a byte wrong anywhere: what is whole is kept, the file comes out the same.
#[test]
fn a_run_that_broke_off_goes_on_to_the_same_file() {
    let bolt = common::bolt();
    for format in [Format::Png, Format::Tiff] {
        let file = whole(&bolt, format);
        for part in 0..12 {
            let begun = file[..file.len() * part / 11].to_vec();
            let again = written(&bolt, format, &SMALL, begun).expect("a file");
            assert!(again == file, "{format:?} {part}/11");
        }
        let mut wrong = file.clone();
        let at = file.len() * 2 / 3;
        wrong[at] ^= 0x55;
        assert!(
            written(&bolt, format, &SMALL, wrong).expect("a file") == file,
            "{format:?}, a wrong byte"
        );
    }
}

/// What is there is not made again: of a file that lacks its last strip one band is left.
#[test]
fn what_is_there_is_not_made_again() {
    let bolt = common::bolt();
    let file = whole(&bolt, Format::Png);
    let heard = AtomicU32::new(0);
    let least = AtomicU32::new(u32::MAX);
    let hear = |share: f64| {
        heard.fetch_add(1, Ordering::Relaxed);
        least.fetch_min((share * 1000.0) as u32, Ordering::Relaxed);
    };
    let mut disk = Cursor::new(file[..file.len() - 200].to_vec());
    shot()
        .write(&bolt, Format::Png, &SMALL, &hear, &GO, &mut disk)
        .expect("a file");
    assert!(disk.into_inner() == file);
    // Two tiles of 50 pixels across; the first ends beyond 128 of 142 rows.
    assert_eq!(heard.load(Ordering::Relaxed), 2);
    assert!(least.load(Ordering::Relaxed) > 900);
}

#[test]
fn another_picture_is_not_gone_on_with() {
    let bolt = common::bolt();
    for format in [Format::Png, Format::Tiff] {
        let file = whole(&bolt, format);
        let near = Shot {
            x: Length(0.21),
            ..shot()
        };
        let early = Shot { steps: 12, ..shot() };
        for other in [near, early] {
            let mut disk = Cursor::new(file.clone());
            let refused = other.write(&bolt, format, &SMALL, &QUIET, &GO, &mut disk);
            assert!(matches!(refused, Err(NotWritten::Another)), "{format:?}");
            assert!(disk.into_inner() == file, "it is left as it is");
        }
    }
}

#[test]
fn a_stopped_run_leaves_a_beginning() {
    let bolt = common::bolt();
    for format in [Format::Png, Format::Tiff] {
        let file = whole(&bolt, format);
        let stop = AtomicBool::new(false);
        let half = |share: f64| stop.store(share > 0.5, Ordering::Relaxed);
        let mut disk = Cursor::new(Vec::new());
        let stopped = shot().write(&bolt, format, &SMALL, &half, &stop, &mut disk);
        assert!(matches!(stopped, Err(NotWritten::Refused(Refused::Stopped))));
        let begun = disk.into_inner();
        assert!(begun.len() < file.len());
        assert!(written(&bolt, format, &SMALL, begun).expect("a file") == file);
    }
}
