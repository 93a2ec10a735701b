//! A pyramid of tiles: every level is a picture taken at its resolution, and the levels show the same cloth.

mod common;

use cloth::{Bolt, Place, Pyramid, Shot, TILE, Tiling};
use colour::Viewing;
use colour::screen::xyz_from_linear;
use std::collections::HashMap;
use std::io::Cursor;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use units::Length;

const QUIET: fn(f64) = |_| {};
static GO: AtomicBool = AtomicBool::new(false);

/// 300 by 280 pixels at 60 dpi; 150 by 140 at 30.
fn shot() -> Shot {
    Shot {
        x: Length(0.1),
        y: Length(2.0),
        width: Length(0.127),
        height: Length(0.1185),
        dpi: 60.0,
        steps: 99,
    }
}

type Tiles = HashMap<(usize, u32, u32), Vec<u8>>;

fn made(pyramid: &Pyramid, bolt: &Bolt) -> Tiles {
    let tiles = Mutex::new(Tiles::new());
    let put = |at: Place, png: &[u8]| {
        let mut reader = png::Decoder::new(Cursor::new(png)).read_info()?;
        let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
        reader.next_frame(&mut pixels)?;
        let mut tiles = tiles.lock().expect("no panic");
        assert!(tiles.insert((at.level, at.column, at.row), pixels).is_none());
        Ok(())
    };
    pyramid
        .write(bolt, &Tiling::default(), &QUIET, &GO, &|_| false, &put)
        .expect("tiles");
    tiles.into_inner().expect("no panic")
}

#[test]
fn the_finest_level_is_the_picture() {
    let bolt = common::bolt();
    let pyramid = Pyramid::of(&shot()).expect("a pyramid");
    let sizes: Vec<(u32, u32)> = pyramid.levels.iter().map(|l| l.size()).collect();
    assert_eq!(sizes, [(1, 1), (2, 2)]);
    let tiles = made(&pyramid, &bolt);
    assert_eq!(tiles.len(), 5);
    let whole = shot()
        .take(&bolt, &Tiling::default(), &QUIET, &GO)
        .expect("a picture");
    for (y, line) in whole.rgb.chunks_exact(whole.width as usize * 3).enumerate() {
        let (row, y) = (y as u32 / TILE, y as u32 % TILE);
        let mut joined = Vec::new();
        for column in 0..2 {
            let width = TILE.min(whole.width - column * TILE) as usize * 3;
            let tile = &tiles[&(1, column, row)];
            joined.extend_from_slice(&tile[y as usize * width..][..width]);
        }
        assert!(joined == line);
    }
}

/// CIE Lab of a mean of light, D65 and 10 degrees.
fn lab(linear: [f64; 3]) -> colour::Lab {
    colour::lab(xyz_from_linear(linear), Viewing::DAYLIGHT.white())
}

/// What a byte stands for (IEC 61966-2-1).
fn linear(byte: u8) -> f64 {
    let v = f64::from(byte) / 255.0;
    if v <= 0.040_45 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

/// A pixel of one level against the mean of the light of the four it covers: within 1 dE00 on average, down to a
/// sample for every six millimetres.
#[test]
fn a_level_shows_what_the_finer_one_shows_from_afar() {
    let bolt = common::bolt();
    for (dpi, pixels) in [(100.0, 120.0), (50.0, 120.0), (24.0, 100.0), (12.0, 60.0)] {
        // Even pixels, so that the levels' grids lie on each other.
        let at = |n: f64| Length(n / dpi * 0.0254);
        let fine = Shot {
            x: at(40.0),
            y: at(240.0),
            width: at(pixels),
            height: at(pixels),
            dpi,
            steps: 99,
        };
        let coarse = Shot {
            dpi: dpi / 2.0,
            ..fine.clone()
        };
        let take = |s: &Shot| s.take(&bolt, &Tiling::default(), &QUIET, &GO).expect("a picture");
        let (fine, coarse) = (take(&fine), take(&coarse));
        assert_eq!((coarse.width * 2, coarse.height * 2), (fine.width, fine.height));
        let light = |p: &cloth::Picture, x: u32, y: u32| -> [f64; 3] {
            let at = 3 * (y * p.width + x) as usize;
            std::array::from_fn(|c| linear(p.rgb[at + c]))
        };
        let mut sum = 0.0;
        for y in 0..coarse.height {
            for x in 0..coarse.width {
                let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(i, j)| light(&fine, 2 * x + i, 2 * y + j));
                let mean = std::array::from_fn(|c| four.iter().map(|l| l[c]).sum::<f64>() / 4.0);
                sum += colour::de2000(lab(mean), lab(light(&coarse, x, y)));
            }
        }
        let mean = sum / f64::from(coarse.width * coarse.height);
        println!("{} dpi against {dpi} dpi: {mean:.2} dE00", dpi / 2.0);
        assert!(mean < 1.0, "{} dpi against {dpi} dpi: {mean:.2} dE00", dpi / 2.0);
    }
}

#[test]
fn tiles_that_are_there_are_not_made_again_and_stopping_stops() {
    let bolt = common::bolt();
    let pyramid = Pyramid::of(&shot()).expect("a pyramid");
    let new = Mutex::new(Vec::new());
    let there = |at: Place| at.level == 0 || at.row == 0;
    let put = |at: Place, _: &[u8]| {
        new.lock().expect("no panic").push((at.level, at.column, at.row));
        Ok(())
    };
    pyramid
        .write(&bolt, &Tiling::default(), &QUIET, &GO, &there, &put)
        .expect("tiles");
    let mut made = new.lock().expect("no panic").clone();
    made.sort_unstable();
    assert_eq!(made, [(1, 0, 1), (1, 1, 1)]);
    let stop = AtomicBool::new(false);
    let first = |_: f64| stop.store(true, Ordering::Relaxed);
    let stopped = pyramid.write(&bolt, &Tiling::default(), &first, &stop, &|_| false, &|_, _| {
        Ok(())
    });
    assert!(matches!(
        stopped,
        Err(cloth::NotWritten::Refused(cloth::Refused::Stopped))
    ));
}
