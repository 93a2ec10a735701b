//! Spectra to CIELAB beside a reference library doing the same work.

use crate::bench::one_thread;
use crate::run::{Outcome, cargo, read, root};
use std::path::Path;
use std::process::Command;

/// What one million spectra take to become CIELAB.
pub struct Spectra {
    theirs: String,
    their_ns: f64,
    our_ns: f64,
    every_core_ns: f64,
    apart: f64,
}

/// One million spectra to CIELAB in blocks: the reference library where it is quickest (double precision) and we (single
/// precision), both on one core; and we on every core.
pub fn spectra(python: &Path) -> Outcome<Spectra> {
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

impl Spectra {
    /// For the terminal.
    pub fn line(&self) -> String {
        format!(
            "a spectrum to CIELAB, of one million, one core: {} {:.1} ns, colour {:.1} ns, {:.1}x faster; on every core \
             {:.1} ns (colours agree to {:.2})\n",
            self.theirs,
            self.their_ns,
            self.our_ns,
            self.their_ns / self.our_ns,
            self.every_core_ns,
            self.apart
        )
    }

    /// For `docs/bench.md`.
    pub fn section(&self) -> String {
        format!(
            "\n## Spectra to CIELAB\n\n\
             One million spectra of 31 bands, in blocks of 100,000, each block's least time of several repeats; the reference\n\
             library {} in double precision (where it is quickest), `colour::labs_into` in single precision, within 5e-4 of\n\
             double. Both on one core: **{:.1} times** faster; `colour::labs` on every core: {:.1} times. Memory sets the pace.\n",
            self.theirs,
            self.their_ns / self.our_ns,
            self.their_ns / self.every_core_ns
        )
    }
}

/// Both sides print `spectrum-to-lab <name> <ns...>` (ours a second time, for every core) and `check <L> <a> <b>` lines. A
/// time counts only for the same work: the colours agree to 0.3, what the plain integration of the one and the weights of
/// the other (ASTM E308) differ by on smooth spectra.
fn compare(theirs: &str, ours: &str) -> Outcome<Spectra> {
    let (name, their_times, their_colours) = printed(theirs)?;
    let (_, our_times, our_colours) = printed(ours)?;
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
    match (&their_times[..], &our_times[..]) {
        (&[their_ns], &[our_ns, every_core_ns]) => Ok(Spectra {
            theirs: name,
            their_ns,
            our_ns,
            every_core_ns,
            apart,
        }),
        _ => Err(format!("the spectra bench printed {theirs:?} and {ours:?}")),
    }
}

/// Name, times, numbers of the colours.
fn printed(text: &str) -> Outcome<(String, Vec<f64>, Vec<f64>)> {
    let unknown = || format!("a side of the spectra bench printed {text:?}");
    let numbers = |words: &[&str]| -> Outcome<Vec<f64>> {
        words.iter().map(|w| w.parse().map_err(|_| unknown())).collect()
    };
    let mut lines = text.lines();
    let head: Vec<&str> = lines.next().unwrap_or_default().split_whitespace().collect();
    let ["spectrum-to-lab", name, times @ ..] = &head[..] else {
        return Err(unknown());
    };
    let colours: Vec<&str> = lines.flat_map(|l| l.split_whitespace().skip(1)).collect();
    Ok((name.to_string(), numbers(times)?, numbers(&colours)?))
}

#[cfg(test)]
mod tests {
    use super::compare;

    #[test]
    fn times_count_only_for_the_same_colours() {
        let theirs = "spectrum-to-lab reference 1500\ncheck 50 1 2\n";
        let said = compare(theirs, "spectrum-to-lab colour 100 50\ncheck 50.1 1 2\n").unwrap();
        assert!(said.line().contains("15.0x"), "{}", said.line());
        assert!(said.section().contains("**15.0 times**") && said.section().contains(": 30.0 times"));
        assert!(compare(theirs, "spectrum-to-lab colour 100 50\ncheck 52 1 2\n").is_err());
        assert!(compare(theirs, "spectrum-to-lab colour 100\ncheck 50 1 2\n").is_err());
        assert!(compare(theirs, "spectrum-to-lab colour 100 50\n").is_err());
        assert!(compare("", theirs).is_err());
    }
}
