//! A ladder without an instrument: photographed beside a grey card or a target, as a person types it.

mod common;

use common::{Scratch, ends_with, json, png, stderr};
use std::fs;
use std::path::Path;

/// XYZ (D65, 10 degrees) and L*, a*, b* of every sample of a shipped ladder, with its depth.
fn ladder(scratch: &Scratch, id: &str) -> Vec<(f64, [f64; 3], [f64; 3])> {
    let answer = json(&scratch.run(&["measure", &format!("demo/measured/{id}.txt"), "--json"]));
    let three = |v: &serde_json::Value| [0, 1, 2].map(|i| v[i].as_f64().unwrap());
    let samples = answer["samples"].as_array().unwrap();
    let one = |s: &serde_json::Value| {
        let words: Vec<&str> = s["name"].as_str().unwrap().split(' ').collect();
        let depth = words[words.len() - 2].parse().unwrap();
        (depth, three(&s["xyz"]), three(&s["lab"]))
    };
    samples.iter().map(one).collect()
}

/// What a camera makes of a colour, linear: the screen's red, green and blue (IEC 61966-2-1), the white of the 10 degree
/// observer brought to the screen's, mixed by filters that overlap, under a warm lamp, a stop too dark.
fn camera(xyz: [f64; 3]) -> [f64; 3] {
    let [x, y, z] = [
        xyz[0] / 94.81 * 0.950_47,
        xyz[1] / 100.0,
        xyz[2] / 107.32 * 1.088_83,
    ];
    let [r, g, b] = [
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    ];
    [
        0.62 * (0.9 * r + 0.1 * g),
        0.55 * (0.05 * r + 0.9 * g + 0.05 * b),
        0.42 * (0.1 * g + 0.9 * b),
    ]
}

const SIDE: usize = 60;

/// A photograph of patches in a row: the weave and the sensor scatter by some per cent from pixel to pixel.
fn photograph(path: &Path, patches: &[[f64; 3]]) {
    let mut state = 1_u32;
    let mut scatter = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        1.0 + 0.08 * (f64::from(state >> 8) / f64::from(1 << 24) - 0.5)
    };
    let width = SIDE * patches.len();
    let mut bytes = Vec::with_capacity(3 * width * SIDE);
    for _ in 0..SIDE {
        for x in 0..width {
            for v in patches[x / SIDE].map(|v| (v * scatter()).clamp(0.0, 1.0)) {
                let v = if v <= 0.003_130_8 {
                    12.92 * v
                } else {
                    1.055 * v.powf(1.0 / 2.4) - 0.055
                };
                bytes.push((255.0 * v).round() as u8);
            }
        }
    }
    let mut encoder = png::Encoder::new(fs::File::create(path).unwrap(), width as u32, SIDE as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&bytes).unwrap();
}

/// A rectangle well inside the patch of this number.
fn area(n: usize) -> String {
    format!("{},10,{},{}", SIDE * n + 10, SIDE - 20, SIDE - 20)
}

/// Largest of the unit spectrum, its standard error there as a share, and its band in nm.
fn peak(document: &serde_json::Value) -> (f64, f64, i64) {
    let numbers = |key: &str| -> Vec<f64> {
        let all = document[key].as_array().unwrap();
        all.iter().map(|v| v.as_f64().unwrap_or(0.0)).collect()
    };
    let (unit, error) = (numbers("unit_ks"), numbers("unit_error"));
    let at = (0..31).max_by(|a, b| unit[*a].total_cmp(&unit[*b])).unwrap();
    (
        unit[at],
        error[at] / unit[at],
        document["peak_nm"].as_i64().unwrap(),
    )
}

#[test]
fn a_photographed_ladder_is_marked_and_less_sure() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let rungs = ladder(&scratch, "coral-vs");
    let mut patches: Vec<[f64; 3]> = rungs.iter().map(|(_, xyz, _)| camera(*xyz)).collect();
    let mut rows = String::new();
    for (n, (depth, ..)) in rungs.iter().enumerate() {
        rows += &format!("{depth} %,{},{depth},,,,\n", area(n));
    }
    // A grey card, and a target of cloth that an instrument has read.
    let grey = patches.len();
    patches.push(camera([0.18 * 94.81, 18.0, 0.18 * 107.32]));
    let mut target = String::new();
    for id in ["marine-vs", "gold-dct", "leaf-vs", "rose-vs"] {
        for (depth, xyz, [l, a, b]) in ladder(&scratch, id).into_iter().skip(2).step_by(2) {
            target += &format!("{id} {depth},{},,,{l:.2},{a:.2},{b:.2}\n", area(patches.len()));
            patches.push(camera(xyz));
        }
    }
    photograph(&scratch.path("ladder.png"), &patches);
    let head = "patch,x,y,width,height,owf_pct,grey,lab_l,lab_a,lab_b\n";
    let card = format!("grey card,{},,0.18,,,\n", area(grey));
    fs::write(scratch.path("grey.csv"), format!("{head}{rows}{card}")).unwrap();
    fs::write(scratch.path("target.csv"), format!("{head}{rows}{target}")).unwrap();

    let like = [
        "--like",
        "demo/dyes/coral-vs.toml",
        "--date",
        "2026-11-28",
        "--json",
    ];
    let fit = |file: &str, more: &[&str]| {
        let output = scratch.run(&[&["dye", "fit", file], more, &like].concat());
        ends_with(&output, 0);
        json(&output)
    };
    let measured = fit("demo/measured/coral-vs.txt", &["-o", "measured.toml"]);
    let (unit, sure, nm) = peak(&measured);
    let mut factors = Vec::new();
    for file in ["grey", "target"] {
        let (csv, card, plot) = (
            format!("{file}.csv"),
            format!("{file}.toml"),
            format!("{file}.png"),
        );
        let found = fit(
            &csv,
            &[
                "--photo",
                "ladder.png",
                "-o",
                &card,
                "--plot",
                &plot,
                "--id",
                file,
            ],
        );
        let (seen, error, seen_nm) = peak(&found);
        // Within the factor that the card itself states, at the right place, and less sure than the instrument.
        let factor = found["spectrum"]["factor"].as_f64().unwrap();
        assert_eq!(found["spectrum"]["kind"], "assumed");
        assert!(
            factor >= 1.2 && (seen / unit).max(unit / seen) < factor,
            "{file}: {seen} {unit} {factor}"
        );
        assert!(
            (seen_nm - nm).abs() <= 20 && error > 2.0 * sure,
            "{file}: {seen_nm} {nm} {error} {sure}"
        );
        factors.push(factor);
        let said = found["findings"].as_array().unwrap();
        assert!(said.iter().any(|f| f["code"] == "ladder-recovered"), "{found}");
        // A recovered band may be black; what is shown stays with what the colour says.
        let read = found["rungs"]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| r["ks_read"].as_f64().unwrap());
        assert!(read.fold(0.0, f64::max) < 15.0, "{found}");
        assert!(
            fs::read_to_string(scratch.path(&card))
                .unwrap()
                .contains("recovered")
        );
        assert!(png(&scratch.path(&plot)).is_some());
    }

    assert!(
        factors[0] > factors[1],
        "a target says more than a grey card: {factors:?}"
    );

    // Overexposed, outside, without a card: refused with the line, and nothing written.
    patches[0] = [1.0; 3];
    photograph(&scratch.path("bright.png"), &patches);
    let refused = |csv: &str, photo: &str, code: &str, line: &str| {
        let args = ["dye", "fit", csv, "--photo", photo, "-o", "none.toml"];
        let output = scratch.run(&[&args[..], &like[..4]].concat());
        ends_with(&output, 1);
        let said = stderr(&output);
        assert!(said.contains(code) && said.contains(line), "{said}");
        assert!(!scratch.path("none.toml").exists());
    };
    refused("grey.csv", "bright.png", "photo-clipped", "grey.csv, line 2");
    fs::write(scratch.path("bare.csv"), format!("{head}{rows}")).unwrap();
    refused("bare.csv", "ladder.png", "photo-no-card", "bare.csv");
    let outside = format!("{head}{rows}grey card,99000,10,40,40,,0.18,,,\n");
    fs::write(scratch.path("outside.csv"), outside).unwrap();
    refused(
        "outside.csv",
        "ladder.png",
        "patch-outside",
        "outside.csv, line 9",
    );
}
