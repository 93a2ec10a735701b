//! `docs/bench.md`: what was measured, as ratios, with the machine named. Nanoseconds go out of date with the machine;
//! ratios taken in one run on one machine are what can be compared.

use super::{Columns, SAME_WORK};
use crate::run::{Outcome, read};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::Command;

/// What limits a stage of the full route. Stages that take next to nothing are not named.
const LIMITS: &[(&str, &str)] = &[
    (
        "light",
        "16 bands of every pixel: six products and a root each, a division for two (below); then bringing six dyes to the pixels, each under its veil",
    ),
    ("bytes", "a table read for each byte"),
    (
        "sponge",
        "two thirds of it the fold map at 1 mm, made here for all steps of the package: two or three cubics and a bump for each pleat met, in four zig-zags; the rest the dabs, some five distances a sample, and noise",
    ),
    (
        "bleach",
        "one veil a dye: an exponential and a write a pixel; the planes under it stay at half a millimetre",
    ),
    (
        "spray",
        "drops at 1 mm, nine distances a sample where a stroke is near; the pixels only for what the wax keeps off, once for both dyes",
    ),
    (
        "sun",
        "at half a millimetre: an exponential a dye, and what water and light reach each layer",
    ),
    (
        "fold",
        "wax on the cloth cracks along the folds: the second fold map, and the crack net at the pixels of the wax, its points hashed once for squares of 8 pixels",
    ),
    (
        "wax",
        "distance to the nearest outline, only where an edge is within a millimetre",
    ),
    (
        "dip",
        "how far the bath reaches under the wax, and its unrest, once a pixel",
    ),
    (
        "soda",
        "noise: clumps at 1 mm, grains at half a millimetre where there are clumps",
    ),
    (
        "fix",
        "memory traffic at half a millimetre: three planes a dye, read and written once",
    ),
    ("touch_up", "ragged disks of the brush, point by point"),
];

/// Stages below this share of the route are summed up in one line.
const SMALL: f64 = 0.015;

/// The page. `widest` and `narrower` are the stages at the last level of `ours` and at the one before it.
pub fn page(numpy: &BTreeMap<String, f64>, ours: &Columns, widest: &str, narrower: &str) -> Outcome<String> {
    let (widest, narrower) = (Stages::parse(widest)?, Stages::parse(narrower)?);
    let [.., less, most] = &ours.levels[..] else {
        return Err("fewer than two levels".to_string());
    };
    let mut out = format!(
        "# How fast the cloth is\n\n\
         Written by `cargo xtask bench` on {}, one thread, least of several runs. Ratios only: they hold where\n\
         nanoseconds do not.\n\n\
         ## Kernels beside numpy\n\n\
         The same work written with whole arrays in float32 (`bench/kernels.py`): how many times faster the compiled\n\
         kernel is.\n\n| kernel |",
        machine()
    );
    for level in &ours.levels {
        let _ = write!(out, " {level} |");
    }
    let _ = writeln!(out, "\n| --- |{}", " ---: |".repeat(ours.levels.len()));
    for (kernel, parts) in SAME_WORK {
        let theirs = numpy.get(*kernel).ok_or_else(|| format!("no {kernel}"))?;
        let _ = write!(out, "| {kernel} |");
        for level in 0..ours.levels.len() {
            let _ = write!(out, " {:.1} |", theirs / ours.sum(parts, level)?);
        }
        out.push('\n');
    }
    let total: f64 = widest.sum();
    let _ = write!(
        out,
        "\n## A full route at 100 dpi\n\n\
         27 steps, six dyes, two folds, one sample a pixel. The share of each stage with {most}, how much longer it takes\n\
         with {less} (the whole route: {:.2} times), and what limits it as its code reads (not measured apart).\n\n\
         | stage | share | {less} | limited by |\n| --- | ---: | ---: | --- |\n",
        narrower.sum() / total
    );
    let mut rows: Vec<(&str, f64, f64)> = Vec::new();
    for (stage, ns) in widest.by_name() {
        let slower = narrower.of(stage) / ns;
        rows.push((stage, ns / total, slower));
    }
    rows.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (stage, share, slower) in rows.iter().filter(|r| r.1 >= SMALL) {
        let limit = LIMITS
            .iter()
            .find(|(name, _)| name == stage)
            .map_or("", |(_, limit)| limit);
        let _ = writeln!(
            out,
            "| {stage} | {:.1} % | {slower:.2} | {limit} |",
            share * 100.0
        );
    }
    let rest: f64 = rows.iter().filter(|r| r.1 < SMALL).map(|r| r.1).sum();
    let _ = writeln!(out, "| all others | {:.1} % | | |", rest * 100.0);
    let last = ours.levels.len() - 1;
    let light = ours.of("reflect 16 x 6", last)?;
    let _ = write!(
        out,
        "\nHow close: the colour kernel alone, on data in the first cache, is {:.0} % of the stage `light`; 16 roots\n\
         and as many divisions take {:.0} % of what the kernel takes (it divides once for two bands); the table kernel alone\n\
         is {:.0} % of `bytes`.\n\nWhat was asked of all this beside what it takes: `docs/speed.md`.\n",
        100.0 * light / widest.of("light"),
        100.0 * 16.0 * ours.of("root and division", last)? / light,
        100.0 * ours.of("sRGB bytes", last)? / widest.of("bytes")
    );
    Ok(out)
}

/// The processor's name, as the system tells it.
fn machine() -> String {
    let told = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = told.lines().find_map(|line| line.strip_prefix("model name"));
    let name = name.map_or("a processor that has no name", |n| {
        n.trim_start_matches([' ', '\t', ':'])
    });
    let rustc = read(Command::new("rustc").arg("--version")).unwrap_or_default();
    let version = rustc.split_whitespace().nth(1).unwrap_or("?");
    format!("{name} (rustc {version})")
}

/// Lines of `<stage> <ns>`; a stage that the route has twice is there twice.
struct Stages(Vec<(String, f64)>);

impl Stages {
    fn parse(text: &str) -> Outcome<Self> {
        let line = |line: &str| match line.split_whitespace().collect::<Vec<_>>()[..] {
            [stage, ns] => Some((stage.to_string(), ns.parse().ok()?)),
            _ => None,
        };
        let rows: Outcome<Vec<(String, f64)>> = text
            .lines()
            .filter(|l| !l.starts_with("core-s/Mpx"))
            .map(|l| line(l).ok_or_else(|| format!("the stages example printed {l:?}")))
            .collect();
        rows.map(Self)
    }
    fn sum(&self) -> f64 {
        self.0.iter().map(|(_, ns)| ns).sum()
    }
    fn of(&self, stage: &str) -> f64 {
        let same = self.0.iter().filter(|(name, _)| name == stage);
        same.map(|(_, ns)| ns).sum()
    }
    /// Each stage once, with all its time.
    fn by_name(&self) -> BTreeMap<&str, f64> {
        self.0
            .iter()
            .map(|(name, _)| (name.as_str(), self.of(name)))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Columns, numpy_lines};
    use super::page;

    #[test]
    fn the_page_has_ratios_only() {
        let ours = "\
ns a sample                   Base      Avx2
noise                         6.00      3.00
cells                        20.00     10.00
fir 15 x 11                   2.00      1.00
reflect 31 x 6               20.00     10.00
reflect 16 x 6               12.00      6.00
root and division             0.40      0.20
sRGB bytes                    4.00      2.00
";
        let numpy = numpy_lines("noise numpy 36\ncells numpy 200\nblur numpy 7\ncolour numpy 60\n").unwrap();
        let ours = Columns::parse(ours).unwrap();
        let widest = "sun 20.0\nlight 50.0\nsun 25.0\nbytes 4.5\nrinse 0.5\ncore-s/Mpx 0.1\n";
        let narrower = "sun 40.0\nlight 60.0\nsun 50.0\nbytes 4.5\nrinse 0.5\ncore-s/Mpx 0.2\n";
        let page = page(&numpy, &ours, widest, narrower).unwrap();
        for line in [
            "| noise | 6.0 | 12.0 |",
            "| sun | 45.0 % | 2.00 |",
            "| light | 50.0 % | 1.20 |",
            "| all others | 0.5 % |",
            "The share of each stage with Avx2, ",
            "with Base (the whole route: 1.55 times)",
            "is 12 % of the stage `light`",
            "53 % of what the kernel takes",
        ] {
            assert!(page.contains(line), "no {line:?} in\n{page}");
        }
    }
}
