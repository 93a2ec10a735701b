//! What a pixel costs: CPU time of every operation of a full route on one tile, one thread.
//!
//! `cargo run --release -p cloth --example stages [DPI] [baseline|avx2|avx512]` prints `stage ns_per_pixel`, then the sum in core-seconds per
//! megapixel: one sample a pixel at 100 dpi, 6 dyes, 31 bands, two folds, sRGB bytes out, PNG apart.

#[path = "../tests/common/mod.rs"]
mod common;

use cloth::{Appearance, Bolt};
use cpu_time::ThreadTime;
use field::{Rect, Tile, srgb_bytes};
use route::{LotShape, Patch, Reach};

/// As in the product: tiles take and give back large planes all the time, which the system's allocator pays for with
/// page faults.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const SIDE: u32 = 384;
const REPEATS: i32 = 15;

fn main() {
    let dpi: f64 = std::env::args()
        .nth(1)
        .and_then(|t| t.parse().ok())
        .unwrap_or(100.0);
    let level = match std::env::args().nth(2).as_deref() {
        Some("baseline") => field::force_level(field::Level::Baseline),
        Some("avx2") => field::force_level(field::Level::Avx2),
        _ => field::level(),
    };
    // A machine without the level asked for takes the next lower one.
    eprintln!("{level:?}");
    let samples = ((25.4 / dpi / 0.6).ceil() as u32).clamp(1, 4);
    let design = common::six_dyes();
    let lot = LotShape::new("bench", 1, 0, design.cloth);
    let bolt = Bolt::prepare(&design, &lot, &common::shop(vec![]), None);
    let appearance = Appearance::new(&design);
    let stages = bolt.hands.len();
    let mut best = vec![f64::MAX; stages + 2];
    let mut clock = |stage: usize, work: &mut dyn FnMut()| {
        // CPU time of this thread: other work on the machine does not count.
        let start = ThreadTime::now();
        work();
        best[stage] = best[stage].min(start.elapsed().as_secs_f64());
    };
    for repeat in 0..REPEATS {
        let core = Rect {
            x0: 200,
            y0: 700 + 391 * repeat,
            nx: SIDE,
            ny: SIDE,
        };
        let tile = Tile::averaging(25.4 / dpi / f64::from(samples), samples, core);
        let need = tile.need();
        let mut patch = Patch::white(tile, need);
        for (stage, (hand, package)) in bolt.hands.iter().zip(&bolt.packages).enumerate() {
            patch.before = match hand.reach(tile.milli) {
                Reach::Point => need,
                Reach::Spread { rx, ry } => need.before_spread(rx, ry, &tile),
            };
            patch.package = package.clone();
            clock(stage, &mut || hand.act(&mut patch));
        }
        let mut light = Default::default();
        clock(stages, &mut || light = appearance.picture(&patch));
        let [r, g, b] = &light;
        let mut bytes = vec![0u8; r.len() * 3];
        clock(stages + 1, &mut || srgb_bytes([r, g, b], &mut bytes));
    }
    let per_pixel = 1e9 / f64::from(SIDE * SIDE);
    for (stage, seconds) in best.iter().enumerate() {
        let name = match stage.checked_sub(stages) {
            None => design.steps[stage].operation.kind().key,
            Some(0) => "light",
            Some(_) => "bytes",
        };
        println!("{name:<12} {:7.2}", seconds * per_pixel);
    }
    println!("core-s/Mpx   {:7.3}", best.iter().sum::<f64>() * per_pixel * 1e-3);
}
