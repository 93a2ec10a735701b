//! `lorod archive` and `lorod unpack`: a workspace as one file, and back.

use super::{End, out, tell};
use clap::Args;
use std::path::PathBuf;
use words::{Arg, Voice, say};
use workspace::{Refused, pack, unpack};

/// Largest archive that is read, bytes.
const MOST: u64 = 512 << 20;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod archive my-cloth -o my-cloth.zip

Hidden files and the folder `out` stay behind: the second can be computed again.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// ZIP archive to write
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
}

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod unpack my-cloth.zip my-cloth

The folder appears whole or not at all. Names that lead out of it, links, and more than 256 MB are refused.")]
pub struct UnpackAsk {
    /// ZIP archive of a workspace
    pub archive: PathBuf,
    /// Folder to make; it must be new or empty
    pub dir: PathBuf,
}

fn end(refused: &Refused) -> End {
    match refused {
        Refused::Io(error) => End::trouble(error.finding()),
        Refused::Archive(finding) => End::refused(vec![finding.clone()]),
    }
}

/// Writes an archive.
///
/// # Errors
/// If the folder is no workspace, or the system refuses.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = super::end::open(&ask.dir)?;
    let zip = pack(&workspace).map_err(|refused| end(&refused))?;
    out::write(&ask.output, &zip)?;
    let line = say!(
        "{file}: {kb} kB",
        "{file}: {kb} kB",
        file = Arg::Name(ask.output.display().to_string()),
        kb = Arg::Number(zip.len() as f64 / 1000.0, 0)
    );
    tell(&format!("{}\n", line.say(voice)));
    Ok(())
}

/// Makes a folder of one.
///
/// # Errors
/// If the archive is refused, or the folder is not empty.
pub fn run_unpack(ask: &UnpackAsk, voice: Voice) -> Result<(), End> {
    let bytes = out::read(&ask.archive, MOST)?;
    let files = unpack(&bytes, &ask.dir).map_err(|refused| end(&refused))?;
    let line = say!(
        "{dir}: {n} files",
        "{dir}: {n} berkas",
        dir = Arg::Name(ask.dir.display().to_string()),
        n = Arg::Number(files as f64, 0)
    );
    tell(&format!("{}\n", line.say(voice)));
    Ok(())
}
