//! Measured cloth, as a person types it: samples, cards from ladders, lots, mixtures, the store, palettes.

mod common;

use common::{Scratch, ends_with, json, png, stderr, stdout};
use std::fs;

/// Every shipped card is what the command makes of the shipped ladder, to the byte; the ladders carry the noise.
#[test]
fn the_demonstrations_cards_are_fitted_to_its_ladders() {
    let scratch = Scratch::with_demo(&[]);
    let cards = fs::read_dir(scratch.path("demo/dyes")).unwrap();
    let mut count = 0;
    for card in cards.map(|entry| entry.unwrap().path()) {
        let id = card.file_stem().unwrap().to_str().unwrap().to_string();
        let before = fs::read_to_string(&card).unwrap();
        assert!(before.contains("measured = \"2026-04-"), "{id}");
        let ladder = format!("demo/measured/{id}.txt");
        let path = format!("demo/dyes/{id}.toml");
        let output = scratch.run(&["dye", "fit", &ladder, "-o", &path, "--replace"]);
        ends_with(&output, 0);
        assert_eq!(
            fs::read_to_string(&card).unwrap(),
            before,
            "{id}: fit it again and commit it"
        );
        count += 1;
    }
    assert!(count >= 12);
}

#[test]
fn a_fit_says_what_it_rests_on_and_writes_over_nothing() {
    let scratch = Scratch::with_demo(&[]);
    let fit = |more: &[&str]| {
        let args = [&["dye", "fit", "demo/measured/rust-vs.txt"], more].concat();
        scratch.run(&args)
    };
    let before = fs::read(scratch.path("demo/dyes/rust-vs.toml")).unwrap();
    let refused = fit(&["-o", "demo/dyes/rust-vs.toml"]);
    ends_with(&refused, 1);
    assert!(stderr(&refused).contains("card-exists") && stderr(&refused).contains("--replace"));
    assert_eq!(fs::read(scratch.path("demo/dyes/rust-vs.toml")).unwrap(), before);
    ends_with(&fit(&["-o", "fern.toml"]), 2);
    ends_with(&fit(&["-o", "fern.toml", "--chemistry", "vinyl-sulfone"]), 2);
    assert!(!scratch.path("fern.toml").exists());

    let new = fit(&[
        "-o",
        "demo/dyes/fern-vs.toml",
        "--chemistry",
        "vinyl-sulfone",
        "--price",
        "310000 IDR/kg",
        "--plot",
        "fern.png",
        "--deepest",
        "5 %",
        "--json",
    ]);
    ends_with(&new, 0);
    let document = json(&new);
    assert_eq!(document["spectrum"]["kind"], "measured");
    assert_eq!(document["spectrum"]["date"], "2026-04-22");
    // Of 21 readings the stained one stands apart and does not count.
    assert_eq!(document["spectrum"]["n"], 20);
    let codes: Vec<&str> = document["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["code"].as_str().unwrap())
        .collect();
    assert!(
        codes.contains(&"measured-reading-apart") && codes.contains(&"ladder-beyond"),
        "{codes:?}"
    );
    let stained = document["findings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|f| f["code"] == "measured-reading-apart")
        .unwrap();
    assert_eq!(stained["file"], "demo/measured/rust-vs.txt");
    assert!(stained["line"].as_u64().unwrap() > 40);
    assert!(png(&scratch.path("fern.png")).unwrap().0 > 1000);
    // The workspace reads it.
    let check = scratch.run(&["check", "demo", "--json"]);
    ends_with(&check, 0);
    let alike = fit(&[
        "-o",
        "demo/dyes/moss-vs.toml",
        "--like",
        "demo/dyes/fern-vs.toml",
        "--id",
        "moss-vs",
    ]);
    ends_with(&alike, 0);
    ends_with(&scratch.run(&["check", "demo"]), 0);
}

const HEAD: &str = "sample,reading";

/// A CSV of flat spectra: (sample, reading, reflectance).
fn flat(rows: &[(&str, &str, f64)]) -> String {
    let bands: Vec<u32> = (0..31).map(|b| 400 + 10 * b).collect();
    let mut out = format!(
        "{HEAD}{}\n",
        bands.iter().map(|nm| format!(",{nm}")).collect::<String>()
    );
    for (sample, reading, r) in rows {
        out += &format!("{sample},{reading}{}\n", format!(",{r}").repeat(31));
    }
    out
}

/// A grey of 18 % has L* = 116 cbrt(0.18) - 16 = 49.50 under every light.
#[test]
fn measurements_become_colours() {
    let scratch = Scratch::new();
    fs::write(
        scratch.path("grey.csv"),
        flat(&[("card", "1", 0.18), ("card", "2", 0.18), ("white", "1", 1.0)]),
    )
    .unwrap();
    let asked = scratch.run(&["measure", "grey.csv"]);
    ends_with(&asked, 1);
    assert!(stderr(&asked).contains("measured-scale-unstated") && stderr(&asked).contains("line 1"));
    for light in ["D65", "A", "F11"] {
        for eyes in ["2", "10"] {
            let output = scratch.run(&[
                "measure",
                "grey.csv",
                "--as",
                "fraction",
                "--illuminant",
                light,
                "--observer",
                eyes,
                "--json",
            ]);
            ends_with(&output, 0);
            let document = json(&output);
            let lab: Vec<f64> = document["samples"][0]["lab"]
                .as_array()
                .unwrap()
                .iter()
                .map(|v| v.as_f64().unwrap())
                .collect();
            assert!(
                (lab[0] - 49.496).abs() < 1e-3 && lab[1].abs() < 1e-6 && lab[2].abs() < 1e-6,
                "{lab:?}"
            );
            assert_eq!(document["samples"][0]["n"], 2);
            let white = document["samples"][1]["xyz"][1].as_f64().unwrap();
            // The published weights have three decimals: their sum is 100 to some units of the last.
            assert!((white - 100.0).abs() < 5e-3);
        }
    }
    let percent = scratch.run(&["measure", "grey.csv", "--as", "percent"]);
    assert!(stderr(&percent).contains("measured-scale-contradicted"));
    fs::write(scratch.path("hex.csv"), "sample,hex\nred,#a02030\nblue,#203070\n").unwrap();
    let recovered = scratch.run(&["measure", "hex.csv", "-o", "hex.svg"]);
    ends_with(&recovered, 0);
    assert!(stdout(&recovered).contains("recovered, no metamerism statement"));
    assert!(stdout(&recovered).contains("#a02030"));
    assert!(
        fs::read_to_string(scratch.path("hex.svg"))
            .unwrap()
            .contains("stroke-dasharray")
    );
    ends_with(&scratch.run(&["measure", "hex.csv", "-o", "hex.pdf"]), 2);
}

/// Each fault is named with its file and line; what is right is shown all the same.
#[test]
fn bad_measurements_are_named() {
    let scratch = Scratch::new();
    let good = flat(&[("a", "1", 0.5), ("b", "1", 0.4), ("c", "1", 0.3)]);
    let line = |n: usize| good.lines().nth(n).unwrap().to_string();
    let cases: [(&str, String, &str, u64); 6] = [
        (
            "cut",
            good.replace(&line(2), "b,1,0.4"),
            "measured-column-count",
            3,
        ),
        ("low", good.replace("b,1,0.4", "b,1,-0.4"), "measured-range", 3),
        ("high", good.replace("b,1,0.4", "b,1,1.3"), "measured-range", 3),
        ("word", good.replace("b,1,0.4", "b,1,much"), "measured-number", 3),
        ("twice", good.replace("b,1,", "a,1,"), "measured-id-twice", 3),
        (
            "short",
            "sample,400,410\na,0.1,0.2\n".to_string(),
            "measured-wavelength-range",
            1,
        ),
    ];
    for (name, text, code, at) in cases {
        fs::write(scratch.path("m.csv"), text).unwrap();
        let output = scratch.run(&["measure", "m.csv", "--as", "fraction", "--json"]);
        ends_with(&output, 1);
        let document = json(&output);
        let findings = document["findings"].as_array().unwrap();
        let wanted = findings.iter().find(|f| f["weight"] == "wrong").unwrap();
        println!("{name}: {wanted}");
        assert_eq!(
            (wanted["code"].as_str().unwrap(), wanted["line"].as_u64().unwrap()),
            (code, at),
            "{name}"
        );
        assert_eq!(wanted["file"], "m.csv");
    }
    let mixed = format!(
        "sample,geometry,{}\na,45/0{}\nb,di:8{}\n",
        (0..31)
            .map(|b| (400 + 10 * b).to_string())
            .collect::<Vec<_>>()
            .join(","),
        ",0.5".repeat(31),
        ",0.5".repeat(31)
    );
    fs::write(scratch.path("m.csv"), mixed).unwrap();
    let output = scratch.run(&["measure", "m.csv", "--as", "fraction"]);
    ends_with(&output, 1);
    assert!(stderr(&output).contains("measured-geometries") && stderr(&output).contains("line 3"));
    ends_with(&scratch.run(&["measure", "nothing.csv"]), 3);
    fs::write(scratch.path("m.csv"), [0xff, 0xfe, 0]).unwrap();
    ends_with(&scratch.run(&["measure", "m.csv"]), 1);
}

/// Greys of 0.30, 0.305, 0.31 and 0.5: the first three lie within 1 dE00 of one another.
#[test]
fn bolts_are_sorted_and_rated() {
    let scratch = Scratch::new();
    let rows = [
        ("b1", "1", 0.300),
        ("b2", "1", 0.305),
        ("b3", "1", 0.310),
        ("b4", "1", 0.500),
    ];
    fs::write(scratch.path("bolts.csv"), flat(&rows)).unwrap();
    for by in ["dE00", "cmc"] {
        let output = scratch.run(&[
            "measure",
            "bolts.csv",
            "--as",
            "fraction",
            "--bands",
            "1.0",
            "--by",
            by,
            "--json",
            "-o",
            "bands.svg",
        ]);
        ends_with(&output, 0);
        let document = json(&output);
        assert_eq!(
            document["bands"][0]["samples"],
            serde_json::json!(["b1", "b2", "b3"]),
            "{by}"
        );
        assert_eq!(document["bands"][0]["standard"], "b2");
        assert_eq!(document["samples"][0]["rated"]["grey_scale"], "4-5");
        assert!(
            fs::read_to_string(scratch.path("bands.svg"))
                .unwrap()
                .contains("sewn together")
        );
    }
    let rated = scratch.run(&[
        "measure",
        "bolts.csv",
        "--as",
        "fraction",
        "--standard",
        "b1",
        "--json",
    ]);
    assert_eq!(json(&rated)["samples"][0]["rated"]["grey_scale"], "5");
    let far = json(&rated)["samples"][3]["rated"]["grey_scale"]
        .as_str()
        .unwrap()
        .to_string();
    assert_eq!(far, "1");
    ends_with(
        &scratch.run(&["measure", "bolts.csv", "--as", "fraction", "--standard", "b9"]),
        1,
    );
    ends_with(
        &scratch.run(&["measure", "bolts.csv", "--as", "fraction", "--bands", "0"]),
        2,
    );
}

/// The dip of a lot: rows of a shipped ladder under a stated depth that is a fifth too high make a lot look a fifth weaker.
#[test]
fn a_weak_lot_changes_the_recipes() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let ladder = fs::read_to_string(scratch.path("demo/measured/marine-vs.txt")).unwrap();
    let mut dips = String::new();
    for line in ladder.lines() {
        let other = ["0.1 %", "0.25 %", "0.5 %", "2 %", "3 %"]
            .iter()
            .any(|d| line.contains(&format!("marine vs {d}\"")));
        if !other && !line.starts_with("NUMBER_OF_SETS") {
            dips += &line
                .replace("marine vs 1 %\" 1 1 ", "marine vs 1 %\" 1 1.25 ")
                .replace("marine vs 1 %\" 2 1 ", "marine vs 1 %\" 2 1.25 ")
                .replace("marine vs 1 %\" 3 1 ", "marine vs 1 %\" 3 1.25 ");
            dips.push('\n');
        }
    }
    fs::write(scratch.path("dip.txt"), dips).unwrap();
    let before = fs::read_to_string(scratch.path("demo/dyes/marine-vs.toml")).unwrap();
    let output = scratch.run(&[
        "dye",
        "lot",
        "dip.txt",
        "demo/dyes/marine-vs.toml",
        "--workspace",
        "demo",
        "-o",
        "lot.toml",
        "--json",
    ]);
    ends_with(&output, 0);
    let document = json(&output);
    let strength = document["strength"].as_f64().unwrap();
    // The rung itself was dyed a few per cent off, as rungs are.
    assert!((strength - 0.8).abs() < 0.06, "{strength}");
    let recipes = document["recipes"].as_array().unwrap();
    assert!(!recipes.is_empty());
    for recipe in recipes {
        let (was, becomes) = (
            recipe["was"]["si"].as_f64().unwrap(),
            recipe["becomes"]["si"].as_f64().unwrap(),
        );
        assert!((was / strength / becomes - 1.0).abs() < 1e-9);
    }
    assert_eq!(
        fs::read_to_string(scratch.path("demo/dyes/marine-vs.toml")).unwrap(),
        before
    );
    assert!(
        fs::read_to_string(scratch.path("lot.toml"))
            .unwrap()
            .contains("unit_ks")
    );
    let text = scratch.run(&[
        "dye",
        "lot",
        "dip.txt",
        "demo/dyes/marine-vs.toml",
        "--lang",
        "id",
    ]);
    assert!(stdout(&text).contains("kali lipat"));
}

#[test]
fn dyes_together_and_the_store() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let mix = |args: &[&str]| scratch.run(&[&["dye", "mix", "demo"], args].concat());
    let alone = json(&mix(&["marine-vs=0.6%", "gold-dct=0%", "--json"]));
    let both = json(&mix(&[
        "marine-vs=0.6%",
        "gold-dct=0.4%",
        "--json",
        "-o",
        "green.png",
    ]));
    let band = |v: &serde_json::Value, b: usize| v["reflectance"][b].as_f64().unwrap();
    // More dye is never lighter, and gold makes blue greener: b* rises.
    assert!((0..31).all(|b| band(&both, b) <= band(&alone, b) + 1e-12));
    assert!(both["lab"][0]["lab"][2].as_f64().unwrap() > alone["lab"][0]["lab"][2].as_f64().unwrap() + 10.0);
    assert!(both["within"].as_f64().unwrap() > 0.0);
    assert!(png(&scratch.path("green.png")).is_some());
    let deep = mix(&["marine-vs=9%", "gold-dct=0.4%"]);
    assert!(stderr(&deep).contains("mix-beyond-ladder"));
    ends_with(&mix(&["marine-vs=0.6%", "gold"]), 2);
    ends_with(&mix(&["marine-vs=0.6%", "goldd-dct=1%"]), 1);

    let store = scratch.run(&["dye", "store", "demo", "-o", "store.svg", "--json"]);
    ends_with(&store, 0);
    let document = json(&store);
    assert_eq!(document["dyes"].as_array().unwrap().len(), 16);
    // The sea fan rests 16 h both times.
    assert_eq!(document["rest"]["si"], 57600.0);
    let hollow = document["dyes"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|d| d["rate"]["kind"] == "assumed")
        .count();
    assert!(hollow > 0 && hollow < 16);
    let night = json(&scratch.run(&["dye", "store", "demo", "--rest", "2 h", "--json"]));
    let bound = |d: &serde_json::Value| d["dyes"][1]["bound"].as_f64().unwrap();
    assert!(bound(&night) < bound(&document));
    let empty = Scratch::with_demo(&["nothing-at-all"]);
    let refused = empty.run(&["dye", "store", "demo"]);
    ends_with(&refused, 1);
    assert!(stderr(&refused).contains("store-no-conditions"));
}

/// K/S of an opaque layer (Kubelka and Munk 1931), and back.
fn ks(r: f64) -> f64 {
    (1.0 - r).powi(2) / (2.0 * r)
}

fn reflectance(k: f64) -> f64 {
    1.0 + k - (k * k + 2.0 * k).sqrt()
}

/// Mixtures that bind a fifth less where both dyes absorb alike are learned as such, and predicted by it.
#[test]
fn measured_mixtures_teach_a_pair() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let predicted = |marine: f64, gold: f64, more: &[&str]| {
        let (marine, gold) = (format!("marine-vs={marine}%"), format!("gold-dct={gold}%"));
        json(&scratch.run(&[&["dye", "mix", "demo", &marine, &gold, "--json"], more].concat()))
    };
    let bands = |answer: &serde_json::Value| -> Vec<f64> {
        let all = answer["reflectance"].as_array().unwrap();
        all.iter().map(|r| r.as_f64().unwrap()).collect()
    };
    // What the dyes add to the cloth's K/S, levelling off at 41 undone.
    let white = bands(&predicted(0.0, 0.0, &[]));
    let added = |answer: &serde_json::Value| -> Vec<f64> {
        let pairs = bands(answer).into_iter().zip(&white);
        pairs
            .map(|(r, w)| ks(r) - ks(*w))
            .map(|k| k / (1.0 - k / 41.0))
            .collect()
    };
    let truth = |marine: f64, gold: f64| -> Vec<f64> {
        let (m, g) = (
            added(&predicted(marine, 0.0, &[])),
            added(&predicted(0.0, gold, &[])),
        );
        let together = m
            .iter()
            .zip(&g)
            .map(|(m, g)| m + g - 0.4 * m * g / (m + g).max(1e-9));
        let levelled = together.map(|k| k / (1.0 + k / 41.0));
        levelled
            .zip(&white)
            .map(|(k, w)| reflectance(k + ks(*w)))
            .collect()
    };
    let mut text = "sample,reading,OWF_PCT_marine-vs,OWF_PCT_gold-dct".to_string();
    for band in 0..31 {
        text += &format!(",{}", 400 + 10 * band);
    }
    let depths = [
        (0.0, 0.0),
        (0.2, 0.2),
        (0.2, 0.6),
        (0.6, 0.2),
        (0.6, 0.6),
        (1.0, 0.5),
        (0.5, 1.0),
    ];
    for (n, (marine, gold)) in depths.into_iter().enumerate() {
        let lies = truth(marine, gold);
        // Readings of cloth laid anew: 0.4 % up and down.
        for (reading, lift) in [(1, 0.996), (2, 1.0), (3, 1.004)] {
            text += &format!("\nm{n},{reading},{marine},{gold}");
            for r in &lies {
                text += &format!(",{:.4}", r * lift);
            }
        }
    }
    fs::write(scratch.path("greens.csv"), text).unwrap();
    let asked = scratch.run(&[
        "dye",
        "mix",
        "demo",
        "marine-vs=0.4%",
        "gold-dct=0.4%",
        "--mixtures",
        "greens.csv",
    ]);
    ends_with(&asked, 1);
    assert!(stderr(&asked).contains("measured-scale-unstated") && stderr(&asked).contains("greens.csv"));

    let more = ["--mixtures", "greens.csv", "--as", "fraction", "-o", "green.png"];
    let taught = predicted(0.4, 0.4, &more);
    let pairs = taught["pairs"].as_array().unwrap();
    assert_eq!(pairs.len(), 1, "{taught}");
    let (departure, error) = (
        pairs[0]["departure"].as_f64().unwrap(),
        pairs[0]["error"].as_f64().unwrap(),
    );
    assert!(
        (departure + 0.2).abs() < 0.02 + 3.0 * error && error < 0.05,
        "{departure} {error}"
    );
    let apart = |answer: &serde_json::Value| -> f64 {
        let pairs = bands(answer).into_iter().zip(truth(0.4, 0.4));
        pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    };
    let alone = predicted(0.4, 0.4, &[]);
    assert!(
        apart(&taught) < 0.2 * apart(&alone),
        "{} {}",
        apart(&taught),
        apart(&alone)
    );
    let off = taught["learned_off"].as_array().unwrap();
    assert!(
        off.iter()
            .all(|o| o[1].as_f64() <= o[0].as_f64().map(|v| v + 0.05)),
        "{off:?}"
    );
    assert!(png(&scratch.path("green.png")).is_some());
    let said = scratch.run(
        &[
            &["dye", "mix", "demo", "marine-vs=0.4%", "gold-dct=0.4%"],
            &more[..4],
        ]
        .concat(),
    );
    assert!(
        stdout(&said).contains("gold-dct + marine-vs") && stdout(&said).contains(" %\n"),
        "{}",
        stdout(&said)
    );
}

/// A PNG of two plain halves.
fn halves(path: &std::path::Path, left: [u8; 3], right: [u8; 3]) {
    let mut encoder = png::Encoder::new(fs::File::create(path).unwrap(), 20, 10);
    encoder.set_color(png::ColorType::Rgb);
    let row: Vec<u8> = (0..20).flat_map(|x| if x < 10 { left } else { right }).collect();
    encoder
        .write_header()
        .unwrap()
        .write_image_data(&row.repeat(10))
        .unwrap();
}

/// Black to white is 100 in L*: half of the area moves, so the distance is 50.
#[test]
fn palettes_of_two_pictures() {
    let scratch = Scratch::new();
    halves(&scratch.path("a.png"), [0; 3], [255; 3]);
    halves(&scratch.path("b.png"), [255; 3], [255; 3]);
    let output = scratch.run(&["palette", "a.png", "b.png", "-o", "apart.png", "--json"]);
    ends_with(&output, 0);
    let document = json(&output);
    assert!((document["distance_lab"].as_f64().unwrap() - 50.0).abs() < 1e-6);
    assert_eq!(document["a"]["swatches"].as_array().unwrap().len(), 2);
    assert!(png(&scratch.path("apart.png")).is_some());
    let part = scratch.run(&["palette", "a.png", "b.png", "--area-a", "10,0,10,10", "--json"]);
    assert!(json(&part)["distance_lab"].as_f64().unwrap() < 1e-9);
    ends_with(
        &scratch.run(&["palette", "a.png", "b.png", "--area-a", "15,0,10,10"]),
        2,
    );
    fs::write(scratch.path("c.png"), "no picture").unwrap();
    let refused = scratch.run(&["palette", "a.png", "c.png"]);
    ends_with(&refused, 1);
    assert!(stderr(&refused).contains("c.png"));
    let text = scratch.run(&["palette", "a.png", "b.png"]);
    assert!(stdout(&text).contains("50.00 in CIELAB"));
}
