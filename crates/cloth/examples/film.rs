//! What a change costs: a megapixel of a repeat at 100 dpi, one thread, after changing one step of a full route.
//!
//! `cargo run --release -p cloth --example film` prints milliseconds of CPU time: the bolt made ready, the picture, its
//! PNG; first of white, then after each change of a setting.

#[path = "../tests/common/mod.rs"]
mod common;

use cloth::{Film, Shot, png};
use cpu_time::ProcessTime;
use route::{Design, LotShape};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use units::Length;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The design with one setting of the last step of a kind changed.
fn changed(design: &Design, key: &str, setting: &'static str, value: &str) -> Arc<Design> {
    let mut other = design.clone();
    let is = |step: &route::Step| step.operation.kind().key == key;
    let at = design.steps.iter().rposition(is).expect("such a step");
    let old = design.steps[at].operation.values().iter();
    let mut given: Vec<_> = old.filter(|(name, _)| *name != setting).cloned().collect();
    given.push((setting, common::quantity(value)));
    other.steps[at] = common::step(&design.steps[at].id, common::operation(key, given));
    Arc::new(other)
}

fn main() {
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build();
    one.expect("a thread").install(run);
}

fn run() {
    let film = Film::new(256 << 20);
    let shop = common::shop(vec![]);
    let mut design = common::six_dyes();
    let lot = LotShape::new("bench", 1, 0, design.cloth);
    let stop = AtomicBool::new(false);
    let shot = Shot {
        x: Length(0.2),
        y: Length(3.0),
        width: Length(0.254),
        height: Length(0.254),
        dpi: 100.0,
        steps: design.steps.len(),
    };
    let changes = [
        ("", "", ""),
        ("bleach", "time", "7 min"),
        ("bleach", "time", "9 min"),
        ("dip", "time", "20 min"),
        ("dip", "time", "25 min"),
        ("boil_off", "time", "25 min"),
        ("boil_off", "time", "30 min"),
    ];
    println!("change               ready  glance picture   png  ms; MB kept");
    for (key, setting, value) in changes {
        if !key.is_empty() {
            design = changed(&design, key, setting, value);
        }
        let clock = |start: ProcessTime| start.elapsed().as_secs_f64() * 1e3;
        let start = ProcessTime::now();
        let scene = film.scene(&design, &lot, &shop);
        let ready = clock(start);
        let start = ProcessTime::now();
        film.glance(&scene, &shot, &stop).expect("a glance");
        let glance = clock(start);
        let start = ProcessTime::now();
        let picture = film.picture(&scene, &shot, &|_| {}, &stop).expect("a picture");
        let made = clock(start);
        let start = ProcessTime::now();
        png(&picture, shot.dpi).expect("a PNG");
        println!(
            "{key:<10} {value:<7} {ready:6.1} {glance:7.1} {made:7.1} {:5.1}      {:.0}",
            clock(start),
            film.bytes() as f64 / 1e6
        );
    }
}
