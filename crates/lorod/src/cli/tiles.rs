//! A picture as a pyramid of tiles: one PNG a tile, and a file that says how they fit together.
//!
//! Terms and order of that file are those of the OGC Two Dimensional Tile Matrix Set, from memory: level 0 is the
//! coarsest, columns count from the left, rows from the top, `DIR/<level>/<column>/<row>.png`.

use super::{End, out};
use cloth::{Bolt, NotWritten, Place as Tile, Pyramid, Shot, TILE, Tiling};
use serde::Serialize;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use words::{Arg, Finding, Place, Weight, say};

/// Name of the file that says how the tiles fit together.
const SET: &str = "tiles.json";
/// Size of a pixel, m, at which OGC counts scales.
const STANDARD_PIXEL: f64 = 0.000_28;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Set {
    /// What the tiles are of: the same words, the same tiles.
    title: String,
    /// Across, then along.
    ordered_axes: [&'static str; 2],
    tile_matrices: Vec<Matrix>,
}

/// One level. Lengths in metres on the cloth.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Matrix {
    id: String,
    scale_denominator: f64,
    cell_size: f64,
    corner_of_origin: &'static str,
    point_of_origin: [f64; 2],
    tile_width: u32,
    tile_height: u32,
    matrix_width: u32,
    matrix_height: u32,
}

/// What was made.
pub struct Made {
    /// Levels.
    pub levels: usize,
    /// Bytes of the tiles made by this run.
    pub bytes: u64,
}

/// Writes the pyramid into a folder. Tiles that an earlier run left there are kept.
///
/// # Errors
/// If the picture is refused or stopped, the folder holds something else, or the system refuses.
pub fn write(dir: &Path, shot: &Shot, bolt: &Bolt, progress: &(dyn Fn(f64) + Sync)) -> Result<Made, End> {
    let pyramid = Pyramid::of(shot).map_err(out::not_made)?;
    let set = serde_json::to_vec_pretty(&set(&pyramid, bolt)).map_err(|e| End::disk(dir, &e.into()))?;
    claim(dir, &set)?;
    let bytes = AtomicU64::new(0);
    let path = |tile: Tile| -> PathBuf {
        dir.join(tile.level.to_string())
            .join(tile.column.to_string())
            .join(format!("{}.png", tile.row))
    };
    let put = |tile: Tile, png: &[u8]| {
        let path = path(tile);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        // By renaming: a tile that is there is whole. It is not waited for the disk; there are thousands.
        let part = path.with_extension("part");
        fs::write(&part, png)?;
        fs::rename(&part, &path)?;
        bytes.fetch_add(png.len() as u64, Ordering::Relaxed);
        Ok(())
    };
    let there = |tile: Tile| path(tile).exists();
    pyramid
        .write(
            bolt,
            &Tiling::default(),
            progress,
            super::stop::flag(),
            &there,
            &put,
        )
        .map_err(|error| match error {
            NotWritten::Refused(cloth::Refused::Stopped) => out::goes_on(dir),
            NotWritten::Refused(refused) => out::not_made(refused),
            NotWritten::Another => holds_another(dir),
            NotWritten::Writer(error) => End::disk(dir, &error),
        })?;
    Ok(Made {
        levels: pyramid.levels.len(),
        bytes: bytes.into_inner(),
    })
}

fn set(pyramid: &Pyramid, bolt: &Bolt) -> Set {
    let matrix = |(n, level): (usize, &cloth::Level)| {
        let cell = 0.0254 / level.dpi;
        let (columns, rows) = level.size();
        Matrix {
            id: n.to_string(),
            scale_denominator: cell / STANDARD_PIXEL,
            cell_size: cell,
            corner_of_origin: "topLeft",
            point_of_origin: [
                f64::from(level.pixels.x0) * cell,
                f64::from(level.pixels.y0) * cell,
            ],
            tile_width: TILE,
            tile_height: TILE,
            matrix_width: columns,
            matrix_height: rows,
        }
    };
    Set {
        title: pyramid.title(bolt),
        ordered_axes: ["x", "y"],
        tile_matrices: pyramid.levels.iter().enumerate().map(matrix).collect(),
    }
}

/// Makes the folder ours: empty, or begun with the same tiles.
fn claim(dir: &Path, set: &[u8]) -> Result<(), End> {
    fs::create_dir_all(dir).map_err(|e| End::disk(dir, &e))?;
    let name = dir.join(SET);
    if name.exists() {
        let found = fs::read(&name).map_err(|e| End::disk(&name, &e))?;
        return if found == set {
            Ok(())
        } else {
            Err(holds_another(dir))
        };
    }
    let mut entries = fs::read_dir(dir).map_err(|e| End::disk(dir, &e))?;
    if entries.next().is_some() {
        return Err(holds_another(dir));
    }
    out::write(&name, set)
}

fn holds_another(dir: &Path) -> End {
    let dir = || Arg::Name(dir.display().to_string());
    End::usage(
        Finding::new(
            "folder-in-use",
            Weight::Wrong,
            Place::Request,
            say!(
                "{dir} holds something else already",
                "{dir} sudah berisi sesuatu yang lain",
                dir = dir()
            ),
        )
        .allow(say!(
            "an empty or new folder, or one that holds tiles of the same cloth",
            "folder kosong atau baru, atau yang berisi ubin dari kain yang sama"
        )),
    )
}
