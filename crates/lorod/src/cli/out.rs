//! Files that a command makes: they appear whole, under their own name, or not at all.

use super::End;
use cloth::{Bolt, Format, NotWritten, Refused, Shot, Tiling};
use sha2::{Digest, Sha256};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use words::{Arg, Finding, Place, Weight, say};
use workspace::Source;

/// Writes a file; the folder it lies in is made.
///
/// # Errors
/// If the system refuses.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), End> {
    folder_of(path)?;
    Ok(workspace::write_atomic(path, bytes)?)
}

/// Pixels to a unit of a drawing that is painted: sharp on a page of a hand's width.
const PAINTED: f32 = 2.0;

/// Writes a drawing as it is, or painted, as the name of the file ends.
///
/// # Errors
/// If the name ends otherwise, or the system refuses.
pub fn drawing(path: &Path, svg: &str) -> Result<(), End> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
    match ending.as_deref() {
        Some("svg") => write(path, svg.as_bytes()),
        Some("png") => {
            let picture = crate::facts::raster::paint(svg, PAINTED).map_err(|f| End::refused(vec![f]))?;
            let bytes =
                cloth::png(&picture, 96.0 * f64::from(PAINTED)).map_err(|e| End::disk(path, &e.into()))?;
            write(path, &bytes)
        }
        _ => {
            let found = say!(
                "{file} is no name for a plot",
                "{file} bukan nama untuk grafik",
                file = Arg::Name(path.display().to_string())
            );
            let finding = Finding::new("plot-name", Weight::Wrong, Place::Request, found);
            Err(End::usage(finding.allow(say!(
                "a name that ends in {svg} or {png}",
                "nama yang berakhir {svg} atau {png}",
                svg = Arg::Name(".svg".into()),
                png = Arg::Name(".png".into())
            ))))
        }
    }
}

/// Makes a picture and writes it strip by strip, as TIFF if the name says so, else as PNG. Until it is whole it stands
/// beside its name, hidden; stopped or killed, it stays there, and the next run goes on with it to the same bytes.
///
/// # Errors
/// If the picture is refused or stopped, another run is writing it, or the system refuses.
pub fn picture(path: &Path, shot: &Shot, bolt: &Bolt, progress: &(dyn Fn(f64) + Sync)) -> Result<(), End> {
    folder_of(path)?;
    let part = begun(path);
    let mut disk = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(&part)
        .map_err(|e| End::disk(&part, &e))?;
    match disk.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => return Err(in_use(path)),
        Err(TryLockError::Error(error)) => return Err(End::disk(&part, &error)),
    }
    let write = |disk: &mut File| {
        let (tiling, stop) = (Tiling::default(), super::stop::flag());
        shot.write(bolt, format_of(path), &tiling, progress, stop, disk)
    };
    let mut made = write(&mut disk);
    if matches!(made, Err(NotWritten::Another)) {
        // Left by a run for another cloth, which nobody can want any more under this name.
        disk.set_len(0).map_err(|e| End::disk(&part, &e))?;
        made = write(&mut disk);
    }
    let whole = made.and_then(|()| {
        // What a run for the same picture left is a beginning of it, or as long; nothing is cut off behind.
        disk.sync_all()?;
        fs::rename(&part, path)?;
        Ok(())
    });
    whole.map_err(|error| match error {
        NotWritten::Refused(Refused::Stopped) => goes_on(&part),
        NotWritten::Refused(refused) => {
            // Nothing was begun: it is refused before the first byte.
            let _ = fs::remove_file(&part);
            not_made(refused)
        }
        NotWritten::Another => in_use(path),
        NotWritten::Writer(error) => {
            // Best effort: what failed is told, not that its leftovers stayed.
            let _ = fs::remove_file(&part);
            End::disk(path, &error)
        }
    })
}

/// Where the beginning of a picture stands: always the same name, so that the next run finds it.
fn begun(path: &Path) -> PathBuf {
    let name = path
        .file_name()
        .map_or_else(Default::default, |n| n.to_string_lossy());
    path.with_file_name(format!(".{name}.part"))
}

fn format_of(path: &Path) -> Format {
    let tiff = path.extension().is_some_and(|ext| {
        ["tif", "tiff"]
            .iter()
            .any(|known| ext.eq_ignore_ascii_case(known))
    });
    if tiff { Format::Tiff } else { Format::Png }
}

/// Stopped with something to go on with.
pub fn goes_on(part: &Path) -> End {
    End::stopped_with(Finding::new(
        "stopped",
        Weight::Note,
        Place::Request,
        say!(
            "stopped; what is done stays in {part}, and the same command goes on from there",
            "dihentikan; yang sudah jadi tetap di {part}, dan perintah yang sama melanjutkannya",
            part = Arg::Name(part.display().to_string())
        ),
    ))
}

fn in_use(path: &Path) -> End {
    End::trouble(Finding::new(
        "picture-in-use",
        Weight::Wrong,
        Place::Request,
        say!(
            "another run is writing {path}",
            "proses lain sedang menulis {path}",
            path = Arg::Name(path.display().to_string())
        ),
    ))
}

/// Why there is no picture, in words.
pub fn not_made(refused: Refused) -> End {
    let wrong = |code, found| Finding::new(code, Weight::Wrong, Place::Request, found);
    match refused {
        Refused::Stopped => End::stopped(),
        Refused::Empty => End::usage(wrong(
            "picture-empty",
            say!(
                "the picture would have less than one pixel",
                "gambarnya kurang dari satu piksel"
            ),
        )),
        Refused::TooLarge { pixels, allowed } => End::usage(
            wrong(
                "picture-too-large",
                say!(
                    "the picture would have {pixels} million pixels",
                    "gambarnya akan berisi {pixels} juta piksel",
                    pixels = Arg::Number(pixels as f64 / 1e6, 0)
                ),
            )
            .allow(say!(
                "up to {allowed} million",
                "sampai {allowed} juta",
                allowed = Arg::Number(allowed as f64 / 1e6, 0)
            ))
            .remedy(say!(
                "ask for fewer pixels per inch, or a smaller part of the bolt",
                "minta lebih sedikit piksel per inci, atau bagian gulung yang lebih kecil"
            )),
        ),
    }
}

/// Bytes of a file, for a listing; 0 if it is gone.
pub fn size(path: &Path) -> u64 {
    fs::metadata(path).map_or(0, |about| about.len())
}

fn folder_of(path: &Path) -> Result<(), End> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => {
            fs::create_dir_all(folder).map_err(|e| End::disk(folder, &e))
        }
        _ => Ok(()),
    }
}

/// A hidden name in the same folder that nothing else uses.
pub fn beside(path: &Path) -> PathBuf {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let name = path
        .file_name()
        .map_or_else(Default::default, |n| n.to_string_lossy());
    let n = NEXT.fetch_add(1, Ordering::Relaxed);
    path.with_file_name(format!(".{name}.{}-{n}.part", std::process::id()))
}

/// A text of the person's, read whole.
///
/// # Errors
/// If it cannot be read, is longer than `most` bytes, or is no UTF-8.
pub fn text(path: &Path, most: u64) -> Result<Source, End> {
    let bytes = read(path, most)?;
    let hash = Sha256::digest(&bytes).into();
    let path = path.display().to_string();
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
    match std::str::from_utf8(body) {
        Ok(text) => Ok(Source {
            path,
            text: text.to_string(),
            hash,
        }),
        Err(error) => {
            let line = body[..error.valid_up_to()]
                .iter()
                .filter(|b| **b == b'\n')
                .count()
                + 1;
            let found = say!(
                "{path} is not UTF-8 text (line {line})",
                "{path} bukan teks UTF-8 (baris {line})",
                path = Arg::Name(path),
                line = Arg::Number(line as f64, 0)
            );
            Err(End::refused(vec![Finding::new(
                "not-utf8",
                Weight::Wrong,
                Place::Request,
                found,
            )]))
        }
    }
}

/// A file of the person's, read whole.
///
/// # Errors
/// If it cannot be read or is longer than `most` bytes.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, End> {
    let about = fs::metadata(path).map_err(|e| End::disk(path, &e))?;
    if about.len() > most {
        let found = say!(
            "{path} has {kb} kB",
            "{path} berukuran {kb} kB",
            path = Arg::Name(path.display().to_string()),
            kb = Arg::Number(about.len() as f64 / 1000.0, 0)
        );
        let allowed = say!(
            "up to {kb} kB",
            "sampai {kb} kB",
            kb = Arg::Number(most as f64 / 1000.0, 0)
        );
        let finding = Finding::new("file-too-long", Weight::Wrong, Place::Request, found).allow(allowed);
        return Err(End::refused(vec![finding]));
    }
    fs::read(path).map_err(|e| End::disk(path, &e))
}
