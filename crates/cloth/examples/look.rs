//! Look development: renders a route built in code. Not part of the product.
use colour::*;
use route::*;
use std::sync::{Arc, atomic::AtomicBool};
use units::*;
use words::*;

fn card(id: &str) -> Arc<DyeCard> {
    let text = std::fs::read_to_string(format!("crates/lorod/demo/dyes/{id}.toml")).unwrap();
    let list = text.split("unit_ks = [").nth(1).unwrap().split(']').next().unwrap();
    let n: Vec<f64> = list.split(',').filter_map(|t| t.trim().parse().ok()).collect();
    let unit_ks = std::array::from_fn(|i| n[i]);
    let k = |v: f64| Known::assumed(v, 2.5, "x");
    Arc::new(DyeCard {
        id: id.into(), name: id.into(), chemistry: dye::Chemistry::VinylSulfone, unit_ks,
        spectrum: Origin::Yours, k_max: k(41.0),
        fixation: dye::Fixation { rate: k(0.008 / 60.0), at: Celsius(30.0), ph: 11.5, energy: k(80e3), final_share: k(0.75) },
        affinity: k(0.005), exhaustion: k(0.3),
        bleaching: dye::Bleaching { rate: k(0.12), at: Celsius(28.0), ph: 10.0, ph_least: 9.0, ph_most: 11.5, energy: k(45e3), residue: k(0.01) },
        blue_wool: k(4.0),
        price: dye::Price { amount: 3800, decimals: 2, currency: "EUR".into() },
        hazards: vec![],
    })
}

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let dyes: Vec<_> = ["rose-vs", "marine-vs", "gold-dct", "sand-dct", "rust-vs", "teal-vs"].map(card).into();
    let cloth = Cloth { width: Length(44.0 * 0.0254), length: Length(15.0 * 0.9144), weight: 0.125 };
    let q = |t: &str| Value::Quantity(parse(t).unwrap());
    let d = |list: &[(usize, &str)]| Value::Dyes(list.iter().map(|(i, t)| DyeDose { dye: *i, depth: parse(t).unwrap() }).collect());
    let steps: Vec<(&str, Vec<(&'static str, Value)>)> = vec![
        ("wet", vec![]),
        ("fold", vec![]),
        ("sponge", vec![("dyes", d(&[(0, "34 g/L"), (1, "34 g/L"), (2, "34 g/L")]))]),
        ("soda", vec![]),
        ("sun", vec![]),
        ("open", vec![]),
        ("touch_up", vec![("dyes", d(&[(0, "20 g/L"), (1, "20 g/L"), (2, "20 g/L")]))]),
        ("fix", vec![("rest", q("12 h"))]),
        ("rinse", vec![]),
        ("dry", vec![]),
        ("wax", vec![("stamp", Value::Stamp(0))]),
        ("bleach", vec![("time", q("12 min"))]),
        ("dip", vec![("dyes", d(&[(3, "0.4 %")]))]),
        ("fold", vec![]),
        ("spray", vec![("dyes", d(&[(4, "14 g/L"), (5, "14 g/L")]))]),
        ("soda", vec![]),
        ("sun", vec![]),
        ("open", vec![]),
        ("fix", vec![("rest", q("12 h"))]),
        ("boil_off", vec![]),
        ("rinse", vec![]),
        ("dry", vec![]),
    ];
    let _ = q;
    let mut design = Design { id: "t".into(), name: "t".into(), colourway: "".into(), note: "".into(), cloth, dyes, stamps: vec![], steps: vec![] };
    let svg = std::fs::read_to_string("crates/lorod/demo/designs/sea-fan/sea-fan.svg").unwrap();
    let art = stamp::Artwork::read(&svg, "x").unwrap();
    let made = stamp::Stamp::new(&art, art.size_mm()[0], None).unwrap();
    println!("stamp {:?} cover {}", made.repeat_mm(), made.coverage(stamp::Layout::HalfDrop));
    design.stamps.push(StampUse { id: "fan".into(), stamp: Arc::new(made), layout: stamp::Layout::HalfDrop, key: [0; 32] });
    for (n, (key, given)) in steps.into_iter().enumerate() {
        let kind = operations::kind(key).unwrap();
        let values = Values::complete(kind.settings, given, &|_| Place::Request).unwrap();
        design.steps.push(Step { id: format!("s{n}"), operation: (kind.make)(values), key: [0; 32] });
    }
    let money = |m| Money { minor: m, currency: "EUR".into() };
    let shop = Workshop { name: "".into(), town: "".into(), stations: vec![], people: vec![], prices: vec![], cloth_price: money(300), overhead: 0.2, rates: vec![], books: "IDR".into(), quotes: "EUR".into(),
        climate: Climate { latitude: -3.8, longitude: 102.3, utc_hours: 7.0, air: Celsius(29.0), humidity: 0.75, wind: 1.5, clearness: 0.7, day: 20000 }, constants: Constants::default() };
    let design = Arc::new(design);
    let lot = LotShape::new("look", 1, 0, cloth);
    let t = std::time::Instant::now();
    let bolt = cloth::Bolt::prepare(&design, &lot, &shop, None);
    println!("prepare {:?}", t.elapsed());
    if args[1] == "time" {
        let dpi: f64 = args[2].parse().unwrap();
        let samples = ((25.4 / dpi / 0.6).ceil() as u32).clamp(1, 4);
        let n = 384u32;
        let mut best = vec![f64::MAX; bolt.hands.len() + 1];
        for rep in 0..12 {
            let core = field::Rect { x0: 200, y0: 700 + 400 * rep, nx: n, ny: n };
            let tile = field::Tile::new(25.4 / dpi / samples as f64, core);
            let need = tile.need();
            let mut patch = Patch::white(tile, need);
            for (k, (hand, package)) in bolt.hands.iter().zip(&bolt.packages).enumerate() {
                patch.before = match hand.reach(tile.milli) { Reach::Point => need, Reach::Spread { rx, ry } => need.before_spread(rx, ry, &tile) };
                patch.package = package.clone();
                let t = std::time::Instant::now();
                hand.act(&mut patch);
                best[k] = best[k].min(t.elapsed().as_secs_f64());
            }
            let look = cloth::Appearance::new(&design);
            let t = std::time::Instant::now();
            let light = look.light(&patch);
            let mut bytes = vec![0u8; light[0].len() * 3];
            field::srgb_bytes([&light[0], &light[1], &light[2]], &mut bytes);
            let k = best.len() - 1;
            best[k] = best[k].min(t.elapsed().as_secs_f64());
        }
        let per = 1e9 / (n * n) as f64;
        for (k, b) in best.iter().enumerate() {
            println!("{:10} {:7.1} ns/px", design.steps.get(k).map_or("light", |s| s.operation.kind().key), b * per);
        }
        println!("sum {:.1}", best.iter().sum::<f64>() * per);
        return;
    }
    let (dpi, x, y, w, h): (f64, f64, f64, f64, f64) = match args[1].as_str() {
        "yard" => (50.0, 0.0, 0.4, 1.1176, 0.9144),
        "bolt" => (10.0, 0.0, 0.0, 1.1176, 13.716),
        _ => (150.0, 0.3, 1.0, 0.23, 0.23),
    };
    let shot = cloth::Shot { x: Length(x), y: Length(y), width: Length(w), height: Length(h), dpi, steps: args.get(3).map_or(99, |t| t.parse().unwrap()) };
    let t = std::time::Instant::now();
    let picture = shot.take(&bolt, &cloth::Tiling::default(), &|_| {}, &AtomicBool::new(false)).unwrap();
    println!("{} x {}: {:?}", picture.width, picture.height, t.elapsed());
    std::fs::write(&args[2], cloth::png(&picture, dpi).unwrap()).unwrap();
}
