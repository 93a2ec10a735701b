//! Spectra to CIELAB beside a reference library doing the same work.

use crate::bench::one_thread;
use crate::run::{Outcome, cargo, read, root};
use std::path::Path;
use std::process::Command;

/// One million spectra to CIELAB, by the reference library and by us, one thread each.
pub fn spectra(python: &Path) -> Outcome<String> {
    let theirs = read(one_thread(
        Command::new(python).arg(root().join("bench/spectra.py")),
    ))?;
    let ours = read(&mut cargo(&[
        "run",
        "--quiet",
        "--release",
        "--package",
        "colour",
        "--example",
        "spectra_speed",
    ]))?;
    compare(&theirs, &ours)
}

/// Both sides print `spectrum-to-lab <name> <ns>` and `check <L> <a> <b>` lines. A time counts only for the same work:
/// the colours agree to 0.3, what the plain integration of the one and the weights of the other (ASTM E308) differ by on
/// smooth spectra.
fn compare(theirs: &str, ours: &str) -> Outcome<String> {
    let unknown = |text: &str| format!("a side of the spectra bench printed {text:?}");
    let read = |text: &str| -> Outcome<(String, f64, Vec<f64>)> {
        let mut lines = text.lines();
        let head: Vec<&str> = lines.next().unwrap_or_default().split_whitespace().collect();
        let ["spectrum-to-lab", name, ns] = head[..] else {
            return Err(unknown(text));
        };
        let ns = ns.parse().map_err(|_| unknown(text))?;
        let checks: Result<Vec<f64>, _> = lines
            .flat_map(|l| l.split_whitespace().skip(1))
            .map(str::parse)
            .collect();
        Ok((name.to_string(), ns, checks.map_err(|_| unknown(text))?))
    };
    let (their_name, their_ns, their_colours) = read(theirs)?;
    let (_, our_ns, our_colours) = read(ours)?;
    let apart = their_colours
        .iter()
        .zip(&our_colours)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    if their_colours.len() != our_colours.len() || our_colours.is_empty() || apart.is_nan() || apart > 0.3 {
        return Err(format!(
            "the two sides do not do the same: {their_colours:?} {our_colours:?}"
        ));
    }
    Ok(format!(
        "spectrum to CIELAB, one million, one thread: {their_name} {their_ns:.0} ns, colour {our_ns:.0} ns, {:.1}x faster \
         (colours agree to {apart:.2})\n",
        their_ns / our_ns
    ))
}

#[cfg(test)]
mod tests {
    use super::compare;

    #[test]
    fn times_count_only_for_the_same_colours() {
        let theirs = "spectrum-to-lab reference 1500\ncheck 50 1 2\n";
        let said = compare(theirs, "spectrum-to-lab colour 100\ncheck 50.1 1 2\n").unwrap();
        assert!(said.contains("15.0x"), "{said}");
        assert!(compare(theirs, "spectrum-to-lab colour 100\ncheck 52 1 2\n").is_err());
        assert!(compare(theirs, "spectrum-to-lab colour 100\n").is_err());
        assert!(compare("", theirs).is_err());
    }
}
