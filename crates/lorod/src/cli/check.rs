//! `lorod check`: everything that is wrong or doubtful.

use super::end::{REFUSED, open};
use super::{End, tell, wire};
use clap::Args;
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Finding, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod check my-cloth --lang id

Exit code 1 if anything is wrong; doubts and notes do not count.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Designs that can be made.
    designs: Vec<String>,
    /// Findings of the files, then along each route.
    findings: Vec<wire::FindingOut>,
}

/// Runs it.
///
/// # Errors
/// If there is no workspace, or something in it is wrong.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let mut findings = workspace.findings.clone();
    findings.extend(workspace.examine_all());
    let counted = |weight: Weight| findings.iter().filter(|f| f.weight == weight).count();
    let wrong = counted(Weight::Wrong);
    if ask.json {
        let ready = workspace.designs.iter().filter(|file| file.design.is_some());
        wire::print(&Out {
            designs: ready.filter_map(|file| file.id.clone()).collect(),
            findings: wire::findings(&findings, |path| workspace.source(path), voice),
        });
    } else {
        for finding in &findings {
            tell(&workspace.show(finding, voice));
        }
        let n = |n: usize| Arg::Number(n as f64, 0);
        let sum = say!(
            "{designs} designs, {orders} orders: {wrong} wrong, {doubtful} doubtful, {notes} notes",
            "{designs} desain, {orders} pesanan: {wrong} salah, {doubtful} meragukan, {notes} catatan",
            designs = n(workspace.designs.len()),
            orders = n(workspace.orders.len()),
            wrong = n(wrong),
            doubtful = n(counted(Weight::Doubtful)),
            notes = n(counted(Weight::Note))
        );
        tell(&format!("{}\n", sum.say(voice)));
    }
    if wrong == 0 {
        Ok(())
    } else {
        Err(End::said(REFUSED))
    }
}

/// Findings on the error stream, so that the answer itself can be piped.
pub fn aside(findings: &[Finding], workspace: &workspace::Workspace, voice: Voice) {
    for finding in findings {
        eprint!("{}", workspace.show(finding, voice));
    }
}
