//! `cargo xtask bench`: the compiled kernels beside numpy and scipy doing the same work, and plans beside published
//! results.

mod page;
mod stamps;

use crate::run::{Outcome, cargo, read, root, run};
use crate::spectra::spectra;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Kernels of `bench/kernels.py`, and the rows of the `field` example that together do the same.
const SAME_WORK: &[(&str, &[&str])] = &[
    ("noise", &["noise"]),
    ("cells", &["cells"]),
    ("blur", &["fir 15 x 11"]),
    ("colour", &["reflect 31 x 6", "sRGB bytes"]),
];

/// Measures in parts, each of which is kept under the target folder as soon as it is there: a run that was stopped goes on
/// after the last one that was done. Once all are there they are let go of, and the next run measures anew.
///
/// Measures both sides, one thread each, and prints ns per sample and how many times faster we are; then how long a
/// stamp's check takes as the drawing grows, and what each operation of a full route costs. Ratios go to `docs/bench.md`.
pub fn bench() -> Outcome {
    let python = python()?;
    let parts = Parts::begin()?;
    let example = |package: &str, name: &str, args: &[&str]| {
        let start = [
            "run",
            "--quiet",
            "--release",
            "--package",
            package,
            "--example",
            name,
            "--",
        ];
        read(&mut cargo(&[&start, args].concat()))
    };
    let numpy = parts.kept("numpy", || {
        read(one_thread(
            Command::new(&python).arg(root().join("bench/kernels.py")),
        ))
    })?;
    let ours = parts.kept("kernels", || example("field", "kernels", &[]))?;
    let (numpy, ours) = (numpy_lines(&numpy)?, Columns::parse(&ours)?);
    print!("\n{}", table(&numpy, &ours)?);
    let stages = |dpi: &str, level: &str| {
        let level = level.to_lowercase();
        parts.kept(&format!("stages-{dpi}-{level}"), || {
            example("cloth", "stages", &[dpi, &level])
        })
    };
    // What this machine has, by its own word: a level that it lacks would be measured as the next lower one.
    let [.., narrower, widest] = &ours.levels[..] else {
        return Err("the kernels example knows fewer than two levels here".to_string());
    };
    println!("\nfull route at 10 dpi, 16 samples a pixel, one thread, ns per sample");
    print!("{}", stages("10", widest)?);
    println!("\nfull route at 100 dpi, one sample a pixel, one thread, ns per sample");
    let at_widest = stages("100", widest)?;
    print!("{at_widest}");
    let spectra = parts.kept("spectra", || {
        let spectra = spectra(&python)?;
        print!("\n{}", spectra.line());
        Ok(spectra.section())
    })?;
    println!("\na stamp checked");
    let stamps = parts.kept("stamps", || stamps::stamps(&python))?;
    print!("{stamps}");
    let page = page::page(&numpy, &ours, &at_widest, &stages("100", narrower)?)? + &spectra + &stamps;
    let to = root().join("docs/bench.md");
    std::fs::write(&to, page).map_err(|why| format!("{}: {why}", to.display()))?;
    println!("\nwrote {}", to.display());
    println!("\none shade over all triples of 12 dyes under three lights, one thread, ms");
    print!("{}", parts.kept("shades", || shades(&python))?);
    println!("\nplans beside the best known and the published optima");
    run(&mut cargo(&[
        "run",
        "--quiet",
        "--release",
        "--package",
        "plan",
        "--example",
        "quality",
    ]))?;
    parts.done()
}

/// What was measured so far.
struct Parts(PathBuf);

impl Parts {
    fn begin() -> Outcome<Self> {
        Self::of(target().join("bench"))
    }

    fn of(folder: PathBuf) -> Outcome<Self> {
        std::fs::create_dir_all(&folder).map_err(|why| format!("{}: {why}", folder.display()))?;
        Ok(Self(folder))
    }

    /// What `work` told, now or in an earlier run.
    fn kept(&self, name: &str, work: impl FnOnce() -> Outcome<String>) -> Outcome<String> {
        let file = self.0.join(name).with_extension("txt");
        if let Ok(told) = std::fs::read_to_string(&file) {
            println!("({name} from an earlier run: {})", file.display());
            return Ok(told);
        }
        let told = work()?;
        // Under another name first: half a file would be taken for a whole one.
        let draft = file.with_extension("part");
        std::fs::write(&draft, &told)
            .and_then(|()| std::fs::rename(&draft, &file))
            .map_err(|why| format!("{}: {why}", file.display()))?;
        Ok(told)
    }

    fn done(self) -> Outcome {
        std::fs::remove_dir_all(&self.0).map_err(|why| format!("{}: {why}", self.0.display()))
    }
}

fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// What the solver takes for a shade beside scipy asking the same of the same numbers.
fn shades(python: &Path) -> Outcome<String> {
    let example = [
        "run",
        "--release",
        "--package",
        "colour",
        "--example",
        "solve_speed",
    ];
    let data = read(cargo(&example).args(["--", "data"]))?;
    let file = std::env::temp_dir().join(format!("lorod-bench-{}.txt", std::process::id()));
    let failed = |e: std::io::Error| format!("{}: {e}", file.display());
    std::fs::write(&file, data).map_err(failed)?;
    let scipy = read(
        one_thread(Command::new(python).arg(root().join("bench/shades.py")))
            .stdin(std::fs::File::open(&file).map_err(failed)?),
    );
    std::fs::remove_file(&file).map_err(failed)?;
    let ours = read(&mut cargo(&example))?;
    beside(&scipy?, &ours)
}

/// Median and slowest of both, and their ratios.
fn beside(scipy: &str, ours: &str) -> Outcome<String> {
    let unknown = |text: &str| format!("the solvers printed {text:?}");
    let numbers =
        |text: &str| -> Vec<f64> { text.split_whitespace().filter_map(|w| w.parse().ok()).collect() };
    let theirs = numbers(scipy);
    let line = ours
        .lines()
        .find(|l| l.starts_with("reflectance, three lights"))
        .ok_or_else(|| unknown(ours))?;
    let after =
        |word: &str| -> Option<f64> { line.split(word).nth(1)?.split_whitespace().next()?.parse().ok() };
    let (Some(median), Some(slowest), [their_median, their_slowest]) =
        (after("lights: "), after("slowest "), &theirs[..])
    else {
        return Err(unknown(&format!("{scipy}{ours}")));
    };
    let row = |what: &str, theirs: f64, ours: f64| {
        format!("{what:<10}{theirs:>10.1}{ours:>12.2}{:>8.1}x\n", theirs / ours)
    };
    Ok(
        format!("{:<10}{:>10}{:>12}{:>9}\n", "", "scipy", "lorod", "faster")
            + &row("median", *their_median, median)
            + &row("slowest", *their_slowest, slowest),
    )
}

pub fn one_thread(command: &mut Command) -> &mut Command {
    command.envs([
        ("OMP_NUM_THREADS", "1"),
        ("OPENBLAS_NUM_THREADS", "1"),
        ("MKL_NUM_THREADS", "1"),
    ])
}

/// A Python that has numpy, scipy and colour-science: the system's, or one of our own under the target folder.
fn python() -> Outcome<PathBuf> {
    let has_all = |python: &Path| {
        Command::new(python)
            .args(["-c", "import numpy, scipy, colour"])
            .output()
            .is_ok_and(|out| out.status.success())
    };
    let system = PathBuf::from("python3");
    if has_all(&system) {
        return Ok(system);
    }
    let folder = target().join("bench-venv");
    let own = folder.join("bin/python");
    if has_all(&own) {
        return Ok(own);
    }
    run(Command::new(&system).args(["-m", "venv"]).arg(&folder)).map_err(|why| {
        format!("{why}; Python 3 with venv is needed (on Debian: apt-get install python3-venv)")
    })?;
    run(Command::new(&own).args([
        "-m",
        "pip",
        "install",
        "--quiet",
        "numpy",
        "scipy",
        "colour-science",
    ]))?;
    Ok(own)
}

/// Lines of `<kernel> numpy <ns>`.
fn numpy_lines(text: &str) -> Outcome<BTreeMap<String, f64>> {
    let line = |line: &str| match line.split_whitespace().collect::<Vec<_>>()[..] {
        [kernel, "numpy", ns] => Some((kernel.to_string(), ns.parse().ok()?)),
        _ => None,
    };
    text.lines()
        .map(|l| line(l).ok_or_else(|| format!("bench/kernels.py printed {l:?}")))
        .collect()
}

/// What the example prints: a heading `ns a sample <level> ...`, then `<kernel> <ns> ...`; names have spaces.
struct Columns {
    levels: Vec<String>,
    rows: BTreeMap<String, Vec<f64>>,
}

impl Columns {
    fn parse(text: &str) -> Outcome<Self> {
        let unknown = |line: &str| format!("the kernels example printed {line:?}");
        let mut lines = text.lines();
        let heading = lines.next().unwrap_or_default();
        let levels: Vec<String> = heading
            .strip_prefix("ns a sample")
            .ok_or_else(|| unknown(heading))?
            .split_whitespace()
            .map(String::from)
            .collect();
        let mut rows = BTreeMap::new();
        for line in lines {
            let words: Vec<&str> = line.split_whitespace().collect();
            let split = words
                .len()
                .checked_sub(levels.len())
                .ok_or_else(|| unknown(line))?;
            let (name, numbers) = words.split_at(split);
            let numbers: Result<Vec<f64>, _> = numbers.iter().map(|n| n.parse()).collect();
            rows.insert(name.join(" "), numbers.map_err(|_| unknown(line))?);
        }
        Ok(Self { levels, rows })
    }

    fn of(&self, kernel: &str, level: usize) -> Outcome<f64> {
        let row = self.rows.get(kernel);
        row.map(|row| row[level])
            .ok_or_else(|| format!("the kernels example has no {kernel:?}"))
    }

    fn sum(&self, kernels: &[&str], level: usize) -> Outcome<f64> {
        kernels.iter().map(|kernel| self.of(kernel, level)).sum()
    }
}

fn table(numpy: &BTreeMap<String, f64>, ours: &Columns) -> Outcome<String> {
    let mut out = format!("{:<10}{:>10}", "ns/sample", "numpy");
    for level in &ours.levels {
        out.push_str(&format!("{level:>12}{:>9}", "faster"));
    }
    out.push('\n');
    for (kernel, parts) in SAME_WORK {
        let theirs = numpy
            .get(*kernel)
            .ok_or_else(|| format!("bench/kernels.py does not measure {kernel}"))?;
        out.push_str(&format!("{kernel:<10}{theirs:>10.2}"));
        for level in 0..ours.levels.len() {
            let ns = ours.sum(parts, level)?;
            out.push_str(&format!("{ns:>12.2}{:>8.1}x", theirs / ns));
        }
        out.push('\n');
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    const OURS: &str = "\
ns a sample                   Base      Avx2
noise                         6.00      3.00
cells                        20.00     10.00
fir 15 x 11                   2.00      1.00
reflect 31 x 6               20.00     10.00
sRGB bytes                    4.00      2.00
";

    #[test]
    fn ratios_by_hand() {
        let numpy = numpy_lines("noise numpy 36\ncells numpy 200\nblur numpy 7\ncolour numpy 60\n").unwrap();
        let table = table(&numpy, &Columns::parse(OURS).unwrap()).unwrap();
        let rows: Vec<Vec<&str>> = table.lines().map(|l| l.split_whitespace().collect()).collect();
        assert_eq!(rows[1], ["noise", "36.00", "6.00", "6.0x", "3.00", "12.0x"]);
        assert_eq!(rows[3], ["blur", "7.00", "2.00", "3.5x", "1.00", "7.0x"]);
        assert_eq!(rows[4], ["colour", "60.00", "24.00", "2.5x", "12.00", "5.0x"]);
    }

    #[test]
    fn a_run_that_was_stopped_goes_on() {
        let folder = std::env::temp_dir().join(format!("lorod-bench-parts-{}", std::process::id()));
        let parts = Parts::of(folder.clone()).unwrap();
        assert_eq!(parts.kept("one", || Ok("1.00".to_string())).unwrap(), "1.00");
        assert!(parts.kept("two", || Err("stopped".to_string())).is_err());
        let again = Parts::of(folder.clone()).unwrap();
        assert_eq!(
            again.kept("one", || Err("measured twice".to_string())).unwrap(),
            "1.00"
        );
        assert_eq!(again.kept("two", || Ok("2.00".to_string())).unwrap(), "2.00");
        again.done().unwrap();
        assert!(!folder.exists());
    }

    #[test]
    fn solvers_side_by_side() {
        let ours =
            "reflectance, three lights: 10.00 ms a shade (median of 12; slowest 20.00 ms; 9 recipes a shade)";
        let text = beside("shades scipy 500.00 800.00\n", ours).unwrap();
        let rows: Vec<Vec<&str>> = text.lines().map(|l| l.split_whitespace().collect()).collect();
        assert_eq!(rows[1], ["median", "500.0", "10.00", "50.0x"]);
        assert_eq!(rows[2], ["slowest", "800.0", "20.00", "40.0x"]);
        assert!(beside("", ours).is_err());
    }

    #[test]
    fn a_missing_kernel_is_said() {
        let numpy = numpy_lines("noise numpy 36\n").unwrap();
        let said = table(&numpy, &Columns::parse(OURS).unwrap()).unwrap_err();
        assert_eq!(said, "bench/kernels.py does not measure cells");
        assert!(numpy_lines("noise 36\n").is_err());
        assert!(Columns::parse("kernel a b\n").is_err());
    }
}
