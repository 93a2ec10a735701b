//! How a command ends when it does not end well: the findings, where they point, and the exit code.

use super::wire;
use std::path::Path;
use std::sync::Arc;
use words::{Arg, Finding, Place, Voice, Weight, say};
use workspace::{IoError, Source, Workspace};

/// Exit code: refused, or something is wrong in the workspace.
pub const REFUSED: u8 = 1;
/// Exit code: the command line is wrong.
pub const USAGE: u8 = 2;
/// Exit code: a file or folder cannot be read or written.
pub const DISK: u8 = 3;
/// Exit code: stopped with Ctrl-C (128 + SIGINT, as shells count).
pub const STOPPED: u8 = 130;

/// Why a command did not do what was asked.
#[derive(Debug)]
pub struct End {
    code: u8,
    findings: Vec<Finding>,
    /// Files that the findings point into.
    sources: Vec<Source>,
}

impl End {
    /// Cannot be done as asked.
    pub const fn refused(findings: Vec<Finding>) -> Self {
        Self::new(REFUSED, findings)
    }
    /// Cannot be done because of what stands in the workspace's files.
    pub fn in_files(findings: Vec<Finding>, workspace: &Workspace) -> Self {
        let named = |source: &&Source| {
            findings
                .iter()
                .any(|f| matches!(&f.place, Place::File { path, .. } if *path == source.path))
        };
        let sources = workspace.sources.iter().filter(named).cloned().collect();
        Self {
            code: REFUSED,
            findings,
            sources,
        }
    }
    /// Cannot be done because of what stands in one file.
    pub fn in_file(finding: Finding, source: Source) -> Self {
        Self {
            code: REFUSED,
            findings: vec![finding],
            sources: vec![source],
        }
    }
    /// Cannot be done because of what stands in a file of the person's own.
    pub fn in_source(findings: Vec<Finding>, source: Source) -> Self {
        Self {
            code: REFUSED,
            findings,
            sources: vec![source],
        }
    }
    /// The command line is wrong.
    pub fn usage(finding: Finding) -> Self {
        Self::new(USAGE, vec![finding])
    }
    /// Stopped by the person.
    pub const fn stopped() -> Self {
        Self::new(STOPPED, Vec::new())
    }
    /// Stopped by the person, with something to say about it.
    pub fn stopped_with(finding: Finding) -> Self {
        Self::new(STOPPED, vec![finding])
    }
    /// Everything has been said already.
    pub const fn said(code: u8) -> Self {
        Self::new(code, Vec::new())
    }
    /// A file cannot be read or written.
    pub fn disk(path: &Path, error: &std::io::Error) -> Self {
        let found = say!(
            "{path}: the system says \"{message}\"",
            "{path}: sistem berkata \"{message}\"",
            path = Arg::Name(path.display().to_string()),
            message = Arg::Name(error.to_string())
        );
        Self::trouble(Finding::new(
            "system-refused",
            Weight::Wrong,
            Place::Request,
            found,
        ))
    }
    /// The system does not do what is needed.
    pub fn trouble(finding: Finding) -> Self {
        Self::new(DISK, vec![finding])
    }

    const fn new(code: u8, findings: Vec<Finding>) -> Self {
        Self {
            code,
            findings,
            sources: Vec::new(),
        }
    }

    /// The exit code.
    pub const fn code(&self) -> u8 {
        self.code
    }

    /// Says it on the error stream.
    pub fn print(&self, voice: Voice) {
        for finding in &self.findings {
            let source = match &finding.place {
                Place::File { path, .. } => self.sources.iter().find(|s| s.path == *path),
                _ => None,
            };
            eprint!("{}", words::show(finding, source.map(|s| s.text.as_str()), voice));
        }
    }

    /// Says it as one JSON document. Nothing if it was said already.
    pub fn print_json(&self, voice: Voice) {
        if !self.findings.is_empty() {
            let source = |path: &str| self.sources.iter().find(|s| s.path == path);
            let findings = wire::findings(&self.findings, source, voice);
            wire::print(&wire::Refusal { findings });
        }
    }
}

impl From<IoError> for End {
    fn from(error: IoError) -> Self {
        let code = match error {
            IoError::BadName { .. } => USAGE,
            IoError::NotEmpty { .. } | IoError::Changed { .. } => REFUSED,
            _ => DISK,
        };
        Self::new(code, vec![error.finding()])
    }
}

/// Reads a workspace.
///
/// # Errors
/// If there is none, or it cannot be read.
pub fn open(dir: &Path) -> Result<Workspace, End> {
    Ok(Workspace::open(dir)?)
}

/// A design that can be made, by id.
///
/// # Errors
/// What is nearest if there is none; the findings of its file if it cannot be made.
pub fn design(workspace: &Workspace, id: &str) -> Result<Arc<route::Design>, End> {
    if let Some(design) = workspace.design(id) {
        return Ok(design.clone());
    }
    if let Some(file) = workspace.design_file(id) {
        return Err(End::in_files(file.findings.clone(), workspace));
    }
    let known = workspace.designs.iter().filter_map(|file| file.id.as_deref());
    Err(End::refused(vec![no_such(
        "no-such-design",
        say!(
            "there is no design {id} in this workspace",
            "tidak ada desain {id} di ruang kerja ini",
            id = Arg::Name(short(id))
        ),
        id,
        known,
    )]))
}

/// The workshop.
///
/// # Errors
/// What its file lacks.
pub fn shop(workspace: &Workspace) -> Result<&route::Workshop, End> {
    workspace.workshop.as_ref().ok_or_else(|| {
        let own = |f: &&Finding| matches!(&f.place, Place::File { path, .. } if path == workspace::WORKSHOP);
        let mut findings: Vec<Finding> = workspace.findings.iter().filter(own).cloned().collect();
        if findings.is_empty() {
            findings.push(Finding::new(
                "no-workshop",
                Weight::Wrong,
                Place::Request,
                say!(
                    "{file} does not say enough to reckon with",
                    "isi {file} belum cukup untuk berhitung",
                    file = Arg::Name(workspace::WORKSHOP.into())
                ),
            ));
        }
        End::in_files(findings, workspace)
    })
}

/// A finding about a word that is not among the known ones: all of them, and the nearest.
pub fn no_such<'k>(
    code: &'static str,
    found: words::Line,
    word: &str,
    known: impl Iterator<Item = &'k str>,
) -> Finding {
    let known: Vec<&str> = known.collect();
    let finding = Finding::new(code, Weight::Wrong, Place::Request, found);
    let finding = if known.is_empty() {
        finding
    } else {
        finding.allow(say!("{list}", "{list}", list = Arg::Name(known.join(", "))))
    };
    // A slip is at most a third of the letters, as in the workspace's files.
    let word = short(word);
    let slips = |k: &str| strsim::osa_distance(&word.to_lowercase(), &k.to_lowercase());
    let near = known.iter().map(|k| (slips(k), *k)).min();
    match near.filter(|(n, k)| *n <= (k.chars().count() / 3).max(1)) {
        Some((_, near)) => finding.remedy(say!(
            "did you mean {near}?",
            "maksudnya {near}?",
            near = Arg::Name(near.to_string())
        )),
        None => finding,
    }
}

/// Somebody's words, kept short enough for a line.
pub fn short(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(60).collect()
}
