//! A text file that a person names, and what is said about it.

use super::{End, out};
use std::path::Path;
use words::{Arg, Finding, Place, Voice, Weight, say};
use workspace::Source;

/// Longest measurement file, bytes: some ten thousand spectra.
pub const MOST: u64 = 64 << 20;

/// A file as it was read.
pub struct Given {
    /// Its text.
    pub source: Source,
}

impl Given {
    /// Reads a text file.
    ///
    /// # Errors
    /// If it cannot be read, is too long or no text.
    pub fn read(path: &Path) -> Result<Self, End> {
        let bytes = out::read(path, MOST)?;
        Self::of(path, bytes)
    }

    /// A file whose bytes were read already.
    ///
    /// # Errors
    /// If they are no text.
    pub fn of(path: &Path, bytes: Vec<u8>) -> Result<Self, End> {
        let path = path.display().to_string();
        let bytes = bytes
            .strip_prefix(b"\xEF\xBB\xBF")
            .map(<[u8]>::to_vec)
            .unwrap_or(bytes);
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self {
                source: Source {
                    path,
                    text,
                    hash: [0; 32],
                },
            }),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let line = error.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
                let found = say!(
                    "{path} is not UTF-8 text (line {line})",
                    "{path} bukan teks UTF-8 (baris {line})",
                    path = Arg::Name(path),
                    line = Arg::Number(line as f64, 0)
                );
                let finding = Finding::new("not-utf8", Weight::Wrong, Place::Request, found);
                Err(End::refused(vec![finding.remedy(say!(
                    "save it again with the encoding UTF-8",
                    "simpan ulang dengan pengodean UTF-8"
                ))]))
            }
        }
    }

    /// Says findings on the error stream, so that the answer itself can be piped.
    pub fn aside(&self, findings: &[Finding], voice: Voice) {
        for finding in findings {
            let here = matches!(&finding.place, Place::File { path, .. } if *path == self.source.path);
            let text = here.then_some(self.source.text.as_str());
            eprint!("{}", words::show(finding, text, voice));
        }
    }

    /// Cannot be done because of what stands in the file.
    pub fn refused(self, findings: Vec<Finding>) -> End {
        End::in_source(findings, self.source)
    }
}
