//! Solves instance files and prints what the plans are worth:
//! `bench SECONDS TRIES SEED FILE...`; with `OUT=folder` in the environment it writes the schedules there.

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::{Duration, Instant};

fn main() {
    let mut args = std::env::args().skip(1);
    let seconds: u64 = args.next().and_then(|a| a.parse().ok()).expect("seconds");
    let tries: u64 = args.next().and_then(|a| a.parse().ok()).expect("tries");
    let seed: u64 = args.next().and_then(|a| a.parse().ok()).expect("seed");
    for file in args {
        let problem = common::read(&std::fs::read_to_string(&file).expect("a file"));
        let options = plan::solve::Options {
            tries,
            seed,
            ..Default::default()
        };
        let began = Instant::now();
        let until = Duration::from_secs(seconds);
        let found = plan::solve::solve(&problem, &options, &mut |_, _| {}, &|| began.elapsed() < until);
        let bounded = Instant::now();
        let bound = plan::bound(&problem);
        let bounding = bounded.elapsed().as_secs_f64();
        let name = std::path::Path::new(&file)
            .file_stem()
            .unwrap()
            .to_string_lossy()
            .to_string();
        match found {
            Err(findings) => println!("{name}: {findings:?}"),
            Ok(s) => {
                let faults = plan::judge::check(&problem, &s);
                let score = s.score(&problem).expect("complete");
                println!(
                    "{name} {:.1} WT {} MK {} FL {:.1} faults {} in {:.2} s",
                    score.total,
                    score.weighted_tardiness,
                    score.makespan,
                    score.mean_flow,
                    faults.len(),
                    began.elapsed().as_secs_f64()
                );
                if let Some(b) = bound {
                    println!(
                        "   bound {:.1} gap {:.2} % in {bounding:.2} s",
                        b.total,
                        100.0 * b.gap(score.total)
                    );
                }
                if let Some(f) = faults.first() {
                    println!("   {f:?}");
                }
                if let Ok(out) = std::env::var("OUT") {
                    std::fs::write(format!("{out}/{name}.json"), common::write(&problem, &s))
                        .expect("written");
                }
            }
        }
    }
}
