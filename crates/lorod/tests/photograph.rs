//! A photograph of cloth, from its file to the verdict.

mod common;

use common::{Scratch, ends_with, json, stderr};
use std::fs;

/// White card, a window with cloth in it, a grey card beside it: a camera straight above, in even light.
fn photograph(scratch: &Scratch, bolt: &str, name: &str) {
    let cloth = format!("{name}-cloth.png");
    let area = "310 mm,700 mm,110 mm,110 mm";
    let args = [
        "cloth",
        "demo",
        "sea-fan",
        "--area",
        area,
        "--dpi",
        "75",
        "--bolt",
        bolt,
        "-o",
        cloth.as_str(),
    ];
    ends_with(&scratch.run(&args), 0);
    let decoder = png::Decoder::new(std::io::Cursor::new(fs::read(scratch.path(&cloth)).unwrap()));
    let mut reader = decoder.read_info().unwrap();
    let mut cloth = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut cloth).unwrap();
    let (w, h) = (info.width as usize, info.height as usize);
    let (across, down) = (w + 160, h + 260);
    let mut rgb = vec![235u8; across * down * 3];
    for (y, row) in cloth.chunks_exact(w * 3).take(h).enumerate() {
        let at = ((y + 80) * across + 80) * 3;
        rgb[at..at + w * 3].copy_from_slice(row);
    }
    for y in h + 150..h + 230 {
        let at = (y * across + 100) * 3;
        // The common grey card, 18 % of the light: 0.18 x (235 decoded) encoded again, by IEC 61966-2-1.
        rgb[at..at + 120 * 3].fill(108);
    }
    let file = fs::File::create(scratch.path(&format!("{name}.png"))).unwrap();
    let mut encoder = png::Encoder::new(file, across as u32, down as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&rgb).unwrap();
    let (right, bottom) = (80 + w, 80 + h);
    fs::write(
        scratch.path(&format!("{name}.toml")),
        format!(
            "picture = \"{name}.png\"\nwindow = [\"110 mm\", \"110 mm\"]\ncard = \"18 mm\"\n\
             corners = [[80, 80], [{right}, 80], [{right}, {bottom}], [80, {bottom}]]\n[grey]\nreflectance = \"18 %\"\n\
             corners = [[100, {top}], [220, {top}], [220, {end}], [100, {end}]]\n",
            top = h + 150,
            end = h + 230
        ),
    )
    .unwrap();
}

#[test]
fn a_photograph_is_compared_with_approved_ones() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    for (bolt, name) in [("1", "one"), ("2", "two"), ("3", "three"), ("4", "new")] {
        photograph(&scratch, bolt, name);
    }
    let args = [
        "compare",
        "demo",
        "sea-fan",
        "new.toml",
        "--approved",
        "one.toml",
        "two.toml",
        "three.toml",
    ];
    let output = scratch.run(&[&args[..], &["--json", "-o", "new-seen.png"]].concat());
    ends_with(&output, 0);
    let answer = json(&output);
    assert_eq!(answer["drawing_found"], true, "{answer}");
    assert!(answer["told"].as_f64().unwrap() > 0.2, "{answer}");
    assert!(
        answer["fading"].as_f64().unwrap() > 0.98,
        "even light fades: {answer}"
    );
    let numbers = answer["numbers"].as_array().unwrap();
    let palettes: Vec<_> = numbers
        .iter()
        .filter(|n| n["measure"] == "palette_distance_de00")
        .collect();
    assert_eq!(palettes.len(), 2);
    assert!(numbers.iter().all(|n| n["most"].as_f64() >= n["least"].as_f64()));
    assert!(fs::metadata(scratch.path("new-seen.png")).unwrap().len() > 10_000);

    // The same photographs, pooled, as what a window is held against.
    let held = [
        "window",
        "demo",
        "sea-fan",
        "--against",
        "0",
        "--json",
        "--approved",
        "one.toml",
        "two.toml",
        "three.toml",
    ];
    let output = scratch.run(&held);
    ends_with(&output, 0);
    let window = json(&output);
    assert_eq!(
        window["approved"],
        serde_json::json!(["one.toml", "two.toml", "three.toml"])
    );
    // They are of cloth that was bleached for 10.5 min: nowhere is the ground nearer to them than about there. Of the
    // motif three windows of 110 mm hold too few fans to tell its mean colour.
    let curves = window["curves"].as_array().unwrap();
    let off = |row: &serde_json::Value| row["ground"].as_f64().unwrap();
    let row = curves.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
    let time = row["time"].as_f64().unwrap();
    assert!((300.0..1200.0).contains(&time) && off(row) < 6.8, "{row}");

    // A corner that is forgotten is said with its line.
    let text = fs::read_to_string(scratch.path("new.toml"))
        .unwrap()
        .replace("[80, 80], ", "");
    fs::write(scratch.path("new.toml"), text).unwrap();
    let output = scratch.run(&args);
    ends_with(&output, 1);
    let said = stderr(&output);
    assert!(
        said.contains("new.toml, line 4") && said.contains("photo-list"),
        "{said}"
    );
}
