//! Reads drawings named on the command line, makes 200 mm stamps of them and says what becomes of them:
//! `cargo run -p stamp --example try_artwork -- OUT_FOLDER drawing.svg ...`
//! Each mask is written as a picture (wax white on blue, repeat outlined red), each check and proposal as SVG.

#![allow(missing_docs)]

use stamp::{Artwork, Layout, Limits, Proposal, Stamp};
use std::{fs, io::BufWriter, path::Path, time::Instant};
use words::Voice;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let out = args.next().unwrap_or_else(|| ".".into());
    fs::create_dir_all(&out)?;
    for file in args {
        let name = Path::new(&file)
            .file_stem()
            .map_or("?".into(), |s| s.to_string_lossy().into_owned());
        let xml = String::from_utf8_lossy(&fs::read(&file)?).into_owned();
        let start = Instant::now();
        let made = Artwork::read(&xml, &file).and_then(|art| {
            let read_ms = start.elapsed().as_millis();
            Stamp::new(&art, 200.0, None).map(|stamp| (art, stamp, read_ms))
        });
        let (art, stamp, read_ms) = match made {
            Ok(made) => made,
            Err(findings) => {
                for f in findings {
                    println!("{name}: REFUSED {}: {:?}", f.code, f.say(Voice::default()));
                }
                continue;
            }
        };
        let all_ms = start.elapsed().as_millis();
        let page = art.size_mm();
        println!(
            "{name}: page {:.1} x {:.1} mm, repeat {:.0} x {:.0}, {} pieces, {} points, wax {:.1} % ({:.1} % on the cloth), below L* {:.0}; read {read_ms} ms, stamp {} ms",
            page[0],
            page[1],
            stamp.repeat_mm()[0],
            stamp.repeat_mm()[1],
            stamp.pieces(),
            stamp.area().points(),
            100.0 * stamp.share_of_repeat(),
            100.0 * stamp.coverage(Layout::HalfDrop),
            art.wax_below(),
            all_ms - read_ms,
        );
        let start = Instant::now();
        let report = stamp.report(&Limits::default(), 1117.6);
        println!(
            "    checked in {} ms: {} faults; {:.2?}; thinnest {:.2?}, gap {:.2?}",
            start.elapsed().as_millis(),
            report.faults.len(),
            report.build,
            report.thinnest_line_mm,
            report.narrowest_gap_mm
        );
        let mut told = "";
        for finding in art.notes().iter().chain(&report.findings()) {
            if finding.code != told {
                println!("    {}: {:?}", finding.code, finding.say(Voice::default()));
            }
            told = finding.code;
        }
        fs::write(
            format!("{out}/{name}-check.svg"),
            report.picture(Voice::default()),
        )?;
        let start = Instant::now();
        let proposal = Proposal::of(&stamp, &Limits::default(), 1117.6);
        println!(
            "    proposed in {} ms: {} changes, {:.1} mm2, buildable {}",
            start.elapsed().as_millis(),
            proposal.changes.len(),
            proposal.changed_mm2(),
            proposal.after.buildable()
        );
        for fault in proposal.after.faults.iter().filter(|f| f.rule.drawn()).take(8) {
            println!(
                "    left: {:?} {:.2?} {:.3} of {:.3}",
                fault.rule, fault.at, fault.measured, fault.limit
            );
        }
        fs::write(
            format!("{out}/{name}-proposal.svg"),
            proposal.picture(Voice::default()),
        )?;
        picture(&stamp, &format!("{out}/{name}.png"))?;
    }
    Ok(())
}

fn picture(stamp: &Stamp, file: &str) -> Result<(), Box<dyn std::error::Error>> {
    const MM: f64 = 0.5;
    let [w, h] = stamp.repeat_mm();
    let (columns, rows) = (((w + 24.0) / MM) as usize, ((h + 24.0) / MM) as usize);
    let mut pixels = Vec::with_capacity(columns * rows * 3);
    for j in 0..rows {
        for i in 0..columns {
            let (x, y) = (i as f64 * MM - 12.0, j as f64 * MM - 12.0);
            let d = f64::from(stamp.mask().distance(x as f32, y as f32));
            let share = (d / MM + 0.5).clamp(0.0, 1.0);
            let edge = |v: f64, most: f64| v.abs() < 0.3 || (v - most).abs() < 0.3;
            let inside = (-0.3..w + 0.3).contains(&x) && (-0.3..h + 0.3).contains(&y);
            let framed = inside && (edge(x, w) || edge(y, h));
            let mix = |a: f64, b: f64| (a + (b - a) * share) as u8;
            pixels.extend(if framed {
                [220, 40, 40]
            } else {
                [mix(30.0, 255.0), mix(60.0, 255.0), mix(140.0, 250.0)]
            });
        }
    }
    let mut encoder = png::Encoder::new(
        BufWriter::new(fs::File::create(file)?),
        columns as u32,
        rows as u32,
    );
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header()?.write_image_data(&pixels)?;
    Ok(())
}
