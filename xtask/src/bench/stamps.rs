//! How long a stamp's check takes as its drawing grows, and its local widths beside scipy.

use super::one_thread;
use crate::run::{Outcome, cargo, read, root};
use std::fmt::Write as _;
use std::fs::File;
use std::path::Path;
use std::process::Command;

/// Radii of both sides agree to this, mm: points of the outline stand in for its edges.
const AGREE: f64 = 0.05;

/// Measures both and gives the section of `docs/bench.md`.
pub fn stamps(python: &Path) -> Outcome<String> {
    let example = |args: &[&str]| {
        let mut all = vec![
            "run",
            "--quiet",
            "--release",
            "--package",
            "stamp",
            "--example",
            "check_speed",
            "--",
        ];
        all.extend(args);
        read(&mut cargo(&all))
    };
    let file = std::env::temp_dir().join(format!("lorod-widths-{}.txt", std::process::id()));
    let failed = |e: std::io::Error| format!("{}: {e}", file.display());
    std::fs::write(&file, example(&["data"])?).map_err(failed)?;
    let theirs = read(
        one_thread(Command::new(python).arg(root().join("bench/widths.py")))
            .stdin(File::open(&file).map_err(failed)?),
    );
    std::fs::remove_file(&file).map_err(failed)?;
    section(&theirs?, &example(&["widths"])?, &example(&[])?)
}

/// Both sides print `widths <name> <us>` and `check <radii>`; the growth is a table with a heading.
fn section(theirs: &str, ours: &str, growth: &str) -> Outcome<String> {
    let unknown = |text: &str| format!("a side of the widths bench printed {text:?}");
    let side = |text: &str| -> Outcome<(f64, Vec<f64>)> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let ["widths", _, us, "check", radii @ ..] = &words[..] else {
            return Err(unknown(text));
        };
        let number = |word: &&str| word.parse::<f64>().map_err(|_| unknown(text));
        Ok((number(us)?, radii.iter().map(number).collect::<Outcome<_>>()?))
    };
    let ((their_us, their_radii), (our_us, our_radii)) = (side(theirs)?, side(ours)?);
    let apart = (their_radii.iter().zip(&our_radii)).map(|(a, b)| (a - b).abs());
    let apart = apart.fold(0.0, f64::max);
    if our_radii.is_empty() || our_radii.len() != their_radii.len() || !(apart <= AGREE) {
        return Err(format!(
            "the two sides do not do the same: {their_radii:?} {our_radii:?}"
        ));
    }
    let mut out = format!(
        "\n## A stamp's check\n\n\
         Local widths of a drawing of 10,000 curves, exact to its edges, beside shrinking balls over scipy's k-d tree of the\n\
         same points (`bench/widths.py`), one thread each: {:.1} times faster; quartiles of the radii agree to {apart:.3} mm.\n\n\
         The whole check on every core as the drawing grows, per curve against the smallest drawing's; processor time is\n\
         that of all cores:\n\n\
         | curves | points | time per curve | processor time per curve |\n| ---: | ---: | ---: | ---: |\n",
        their_us / our_us
    );
    let (mut first, mut largest) = (None, None);
    for line in growth.lines().skip(1) {
        let cells: Vec<&str> = line.split_whitespace().collect();
        let [curves, points, _, ms, us, processor] = cells[..] else {
            return Err(unknown(line));
        };
        let number = |cell: &str| cell.parse::<f64>().map_err(|_| unknown(line));
        let now = [number(us)?, number(processor)?];
        let least = *first.get_or_insert(now);
        let [time, processor] = [0, 1].map(|k| now[k] / least[k]);
        let _ = writeln!(out, "| {curves} | {points} | {time:.2} | {processor:.2} |");
        largest = Some((curves, number(ms)?));
    }
    if let Some((curves, ms)) = largest {
        let _ = writeln!(
            out,
            "\nThe largest, of {curves} curves, took {:.2} of the second that it may take.",
            ms / 1e3
        );
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::section;

    const GROWTH: &str = "curves points read check us processor\n5000 40000 200 100 20.0 30.0\n10000 70000 300 150 15.0 33.0\n";

    #[test]
    fn times_count_only_for_the_same_widths() {
        let theirs = "widths scipy 6.0\ncheck 0.50 0.60 0.70\n";
        let said = section(theirs, "widths lorod 2.0\ncheck 0.51 0.60 0.70\n", GROWTH).unwrap();
        assert!(
            said.contains("3.0 times faster")
                && said.contains("| 10000 | 70000 | 0.75 | 1.10 |")
                && said.contains("of 10000 curves, took 0.15 of the second"),
            "{said}"
        );
        assert!(section(theirs, "widths lorod 2.0\ncheck 0.60 0.60 0.70\n", GROWTH).is_err());
        assert!(section(theirs, "widths lorod 2.0\ncheck\n", GROWTH).is_err());
        assert!(section("", theirs, GROWTH).is_err());
    }
}
