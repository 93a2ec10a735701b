//! Prints every finding of a workspace: `cargo run -p workspace --example findings -- DIR [id]`.

use std::time::Instant;
use words::{Language, Voice};

fn main() -> Result<(), workspace::IoError> {
    let dir = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "crates/lorod/demo".into());
    let language = match std::env::args().nth(2).as_deref() {
        Some("id") => Language::Id,
        _ => Language::En,
    };
    let voice = Voice {
        language,
        ..Voice::default()
    };
    let start = Instant::now();
    let workspace = workspace::Workspace::open(dir.as_ref())?;
    let opened = start.elapsed();
    let start = Instant::now();
    let again = workspace.again()?;
    println!("opened in {opened:?}, again in {:?}", start.elapsed());
    for finding in again.findings.iter().chain(&again.examine_all()) {
        print!("{}", workspace.show(finding, voice));
    }
    for file in &again.designs {
        let steps = file.design.as_ref().map_or(0, |d| d.steps.len());
        let revision = file
            .revision
            .map(|r| r.iter().take(6).map(|b| format!("{b:02x}")).collect::<String>());
        println!("{}: {steps} steps, revision {revision:?}", file.path);
    }
    Ok(())
}
