//! Windows of the timed steps of a full route: what the response surface costs and how far it is off, and the plots.
//!
//! `cargo run --release -p cloth --example window [FOLDER [assumed]]` prints figures; with a folder it writes the
//! plots there; `assumed` takes a workshop that has measured nothing.

#[path = "../tests/measured/mod.rs"]
mod measured;

use cloth::Bolt;
use cloth::window::{Limits, Response, Spreads, Way, plot_svg, plot_svg_narrow};
use cpu_time::ProcessTime;
use words::Voice;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    let folder = std::env::args().nth(1);
    let (design, shop) = match std::env::args().nth(2).as_deref() {
        Some("assumed") => (measured::common::whole_route(), measured::common::shop(vec![])),
        _ => measured::measured(),
    };
    let lot = route::LotShape::new("bench", 1, 0, design.cloth);
    let bolt = Bolt::prepare(&design, &lot, &shop, None);
    for (at, step) in design.steps.iter().enumerate() {
        let kind = step.operation.kind();
        if kind.timed.is_none() {
            continue;
        }
        let spreads = Spreads::expected(&bolt, &shop, at);
        let start = ProcessTime::now();
        let response = match Response::new(&bolt, &shop, at, &spreads) {
            Ok(response) => response,
            Err(finding) => {
                println!("{}: {:?}", kind.key, finding.say(Voice::default()));
                continue;
            }
        };
        let made = start.elapsed().as_secs_f64();
        // The least of several: one is over before a core has come up to speed.
        let draws = (0..5)
            .map(|_| {
                let start = ProcessTime::now();
                let hill = response.hill(&response.usual_target(), &Limits::default(), 10_000);
                (start.elapsed().as_secs_f64(), hill.points.len())
            })
            .fold((f64::INFINITY, 0), |a, b| if b.0 < a.0 { b } else { a });
        let start = ProcessTime::now();
        let window = response.window_of(&response.usual_target(), &Default::default(), 10_000);
        let all = start.elapsed().as_secs_f64();
        println!(
            "{at} {}: {} runs in {made:.2} core-s; 10,000 draws at {} durations {:.1} ms; window with {} remedies {all:.3} core-s; off by {:.3} dE00 (quick: {})",
            kind.key,
            response.runs,
            draws.1,
            draws.0 * 1e3,
            window.widen.len(),
            response.error,
            response.quick
        );
        let designed = Way::lasting(response.designed.0);
        let slow = Way {
            strength: 0.85,
            warmer: -2.0,
            creep: 1.7,
            time: 0.7 * designed.time,
        };
        let start = ProcessTime::now();
        for (way, full) in [designed, slow]
            .iter()
            .zip(response.run(&bolt, &shop, &[designed, slow]))
        {
            let off = |region, full: Option<cloth::window::Shade>| {
                Some(response.shade(region, way)?.distance(full?))
            };
            println!(
                "   {way:?}: surface off by {:?} ground, {:?} motif",
                off(cloth::Region::Ground, full[0]),
                off(cloth::Region::Motif, full[1])
            );
        }
        println!(
            "   full runs {:.2} core-s each; spreads {spreads:?}",
            start.elapsed().as_secs_f64() / 2.0
        );
        if kind.key == "bleach" {
            against_full_runs(&response, &bolt, &shop);
        }
        println!("   {}", window.answer(Voice::default()));
        for line in &window.small_print(Voice::default()) {
            println!("     {line}");
        }
        for w in &window.widen {
            println!("   + {}", w.say(Voice::default()));
        }
        for p in window.hill.points.iter().step_by(8) {
            println!(
                "     {:6.0} s pass {:.2} ground {:5.2} motif {:?} line {:?} fails {:.2} {:.2}",
                p.time.0, p.pass, p.ground, p.motif, p.line, p.ground_fails, p.motif_fails
            );
        }
        if let Some(folder) = &folder {
            let voice = Voice::default();
            let strict = Limits {
                ground: 3.0,
                keep: 0.5,
                ..Limits::default()
            };
            let id = Voice {
                language: words::Language::Id,
                ..voice
            };
            let plots = [
                ("wide", plot_svg(&window, voice)),
                ("narrow", plot_svg_narrow(&window, voice)),
                ("wide-id", plot_svg(&window, id)),
                ("narrow-id", plot_svg_narrow(&window, id)),
                (
                    "strict",
                    plot_svg(&response.window(&response.usual_target(), &strict), voice),
                ),
            ];
            for (name, svg) in plots {
                let path = format!("{folder}/{}-{at}-{name}.svg", kind.key);
                if let Err(error) = std::fs::write(&path, svg) {
                    eprintln!("{path}: {error}");
                }
            }
        }
    }
}

/// The surface against 200 full runs.
fn against_full_runs(response: &Response, bolt: &Bolt, shop: &route::Workshop) {
    let held = response.held_against(bolt, shop, 200, &|_| true);
    println!("   {held:?}");
}
