//! Prints a sample job card and batch sheets, all of invented content:
//! `cargo run -p papers --example sample -- OUT.pdf [a4|letter]`.

use papers::{
    Ask, BatchRow, BatchSheet, Blank, CardStep, Day, Dose, JobCard, Moment, Picture, Pictures, QuantityCell,
    Sheet, StampLine, StampSheet,
};
use units::{Measure, Quantity};
use words::{Arg, Language, Line, Origin, Voice, say};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let out = args.next().unwrap_or_else(|| "sample.pdf".to_string());
    let sheet = match args.next().as_deref() {
        Some("letter") => Sheet::UsLetter,
        _ => Sheet::A4,
    };
    let voice = Voice {
        language: Language::Id,
        ..Voice::default()
    };
    let pdf = papers::cards(
        &[whole_route(), bleach_only()],
        &[bleach_bath(), silicate_bath()],
        sheet,
        voice,
    )?;
    std::fs::write(&out, &pdf)?;
    println!("{out}: {} bytes", pdf.len());
    let stamp = format!("{}-stamp.pdf", out.trim_end_matches(".pdf"));
    std::fs::write(&stamp, papers::stamp_sheet(&fan_stamp(), sheet, voice)?)?;
    Ok(())
}

fn grams(g: f64) -> Quantity {
    Quantity::new(g / 1000.0, Measure::Mass)
}
fn litres(l: f64) -> Quantity {
    Quantity::new(l / 1000.0, Measure::Volume)
}
fn minutes(min: f64) -> f64 {
    min * 60.0
}
fn assumed(factor: f64) -> Origin {
    Origin::Assumed {
        factor,
        source: "common practice, no source".to_string(),
    }
}
fn measured() -> Origin {
    Origin::Measured {
        date: "2026-11-12".to_string(),
        n: 5,
    }
}
fn at(day: u8, hour: u8, minute: u8) -> Option<Moment> {
    Day::new(2026, 12, day).and_then(|day| Moment::new(day, hour, minute))
}
fn dye(name: &str) -> Line {
    say!(
        "dye: {name}",
        "pewarna: {name}",
        name = Arg::Name(name.to_string())
    )
}
fn salt() -> Line {
    say!("soda ash", "soda abu")
}
fn water() -> Line {
    say!("water", "air")
}
fn chlorine() -> Line {
    say!("sodium hypochlorite 12 %", "natrium hipoklorit 12 persen")
}
fn no_acid() -> Line {
    say!(
        "NEVER mix bleach with acid. Poison gas.",
        "JANGAN campur pemutih dengan asam. Gas beracun."
    )
}
fn gloves() -> Line {
    say!(
        "Gloves, goggles, apron. Open air.",
        "Sarung tangan, kacamata, celemek. Tempat terbuka."
    )
}

fn card(part: Option<Line>, qr: &str, steps: Vec<CardStep>, cautions: Vec<Line>) -> JobCard {
    JobCard {
        workshop: "Sirih Works".to_string(),
        collection: Some("Reef & Rain".to_string()),
        lot: "31".to_string(),
        design: "Sea Fan".to_string(),
        part,
        bolts: 3,
        revision: Some("14".to_string()),
        starts: at(1, 10, 30),
        promise: Day::new(2026, 12, 12),
        pictures: Pictures {
            before: Some(cloth(0)),
            after: Some(cloth(1)),
            finished: Some(cloth(2)),
        },
        steps,
        cautions,
        asks: vec![
            Ask::new(say!("Name", "Nama"), Blank::Words),
            Ask::new(say!("In", "Masuk"), Blank::Clock),
            Ask::new(say!("Out", "Angkat"), Blank::Clock),
            Ask::new(
                say!("Cloth out", "Kain keluar"),
                Blank::Number(say!("yards", "yard")),
            ),
            Ask::new(say!("Faults", "Cacat"), Blank::Words),
            Ask::new(say!("Note", "Catatan"), Blank::Words),
        ],
        qr: qr.to_string(),
    }
}

fn whole_route() -> JobCard {
    let mut scrunch = CardStep::new("s-fold", 1, say!("Scrunch", "Kerutkan"));
    scrunch.lines = vec![
        say!("Wet the cloth and let it drip.", "Basahi kain, lalu tiriskan."),
        say!(
            "Scrunch {a} of width to {b}, the length to {c}.",
            "Kerutkan lebar {a} menjadi {b}, panjangnya menjadi {c}.",
            a = Arg::Quantity(Quantity::new(1.12, Measure::Length)),
            b = Arg::Quantity(Quantity::new(0.61, Measure::Length)),
            c = Arg::Quantity(Quantity::new(7.3, Measure::Length))
        ),
    ];
    scrunch.done_when = Some(say!(
        "the bundle is even and no fold is longer than a hand.",
        "gulungan rata dan tidak ada lipatan lebih panjang dari satu tangan."
    ));
    scrunch.when = at(1, 10, 30);
    scrunch.takes = Some(minutes(20.0));

    let mut sponge = CardStep::new("s-sponge", 2, say!("Sponge on colour", "Colet spons"));
    sponge.lines = vec![
        say!(
            "Dissolve the dyes in warm water of {t}.",
            "Larutkan pewarna dalam air hangat {t}.",
            t = Arg::Quantity(Quantity::new(40.0, Measure::Temperature))
        ),
        say!(
            "Sponge the three colours side by side over the whole top.",
            "Colet tiga warna berdampingan di seluruh permukaan."
        ),
        say!("Sprinkle the soda ash in clumps.", "Taburkan soda abu bergumpal."),
    ];
    sponge.quantities = vec![
        QuantityCell::new(dye("marine vs"), grams(46.2)).from(measured()),
        QuantityCell::new(dye("scarlet vs"), grams(7.45)).from(measured()),
        QuantityCell::new(dye("gold dct"), grams(23.0)).from(assumed(1.5)),
        QuantityCell::new(salt(), grams(1250.0)).from(Origin::Yours),
    ];
    sponge.when = at(1, 10, 55);
    sponge.takes = Some(minutes(35.0));
    sponge.cautions = vec![say!(
        "Dust mask while weighing dye powder and soda.",
        "Pakai masker debu saat menimbang pewarna dan soda."
    )];

    let mut sun = CardStep::new("s-sun", 3, say!("Dry in the sun", "Jemur"));
    sun.done_when = Some(say!(
        "the top is dry; the inside is still wet.",
        "bagian atas kering; bagian dalam masih basah."
    ));
    sun.when = at(1, 11, 32);
    sun.takes = Some(minutes(20.0));

    let mut fix = CardStep::new(
        "s-fix",
        4,
        say!(
            "Fix with sodium silicate",
            "Fiksasi dengan natrium silikat (waterglass)"
        ),
    );
    fix.lines = vec![say!(
        "Open the cloth, pull it through the silicate, roll it wet in plastic.",
        "Buka kain, tarik melalui silikat, gulung basah dalam plastik."
    )];
    fix.quantities = vec![QuantityCell::new(
        say!("sodium silicate", "natrium silikat"),
        Quantity::new(38.0, Measure::Baume),
    )];
    fix.when = at(1, 13, 40);
    fix.takes = Some(minutes(16.0 * 60.0));
    fix.cautions = vec![say!(
        "Strong alkali: gloves and goggles. In the eye: rinse with water for 15 minutes, then a doctor.",
        "Alkali kuat: sarung tangan dan kacamata. Kena mata: bilas air 15 menit, lalu ke dokter."
    )];

    let mut wax = CardStep::new("s-wax", 5, say!("Stamp the wax", "Cap malam"));
    wax.lines = vec![
        say!(
            "Six stamps across, 69 along, straight repeat.",
            "Enam cap melintang, 69 memanjang, ulangan lurus."
        ),
        say!(
            "Look at the back: the wax must have struck through.",
            "Lihat sisi belakang: malam harus tembus."
        ),
    ];
    wax.quantities = vec![
        QuantityCell::new(say!("wax", "malam"), grams(3420.0)).from(assumed(1.3)),
        QuantityCell::new(
            say!("wax bath", "suhu malam"),
            Quantity::new(85.0, Measure::Temperature),
        ),
    ];
    wax.when = at(2, 8, 0);
    wax.takes = Some(minutes(495.0));
    wax.cautions = vec![say!(
        "Hot wax burns and can catch fire: lid at hand, no water on burning wax.",
        "Malam panas membakar dan bisa menyala: siapkan tutup, jangan siram air ke malam yang terbakar."
    )];
    wax.asks = vec![
        Ask::new(
            say!("Stamps that leaked", "Cap yang bocor"),
            Blank::Number(say!("pieces", "buah")),
        ),
        Ask::new(
            say!("Wax temperature", "Suhu malam"),
            Blank::Number(say!("degrees C", "derajat C")),
        ),
    ];

    let mut steps = vec![scrunch, sponge, sun, fix, wax];
    steps.extend(bleach_steps(6));
    let mut boil = CardStep::new("s-boil", 11, say!("Boil off the wax", "Nglorod"));
    boil.quantities = vec![
        QuantityCell::new(water(), litres(120.0)),
        QuantityCell::new(salt(), grams(240.0)).from(assumed(1.5)),
    ];
    boil.done_when = Some(say!(
        "no wax floats up any more and the cloth falls softly.",
        "tidak ada malam yang naik lagi dan kain jatuh lemas."
    ));
    boil.cautions = vec![say!(
        "Boiling water: two people, long sticks.",
        "Air mendidih: dua orang, tongkat panjang."
    )];
    boil.takes = Some(minutes(40.0));
    steps.push(boil);
    let mut inspect = CardStep::new("s-inspect", 12, say!("Inspect", "Periksa"));
    inspect.lines = vec![say!(
        "Mark faults with thread; write the points down.",
        "Tandai cacat dengan benang; catat angkanya."
    )];
    inspect.asks = vec![
        Ask::new(
            say!("Points bolt 1", "Angka gulung 1"),
            Blank::Number(say!("points", "angka")),
        ),
        Ask::new(
            say!("Points bolt 2", "Angka gulung 2"),
            Blank::Number(say!("points", "angka")),
        ),
        Ask::new(
            say!("Points bolt 3", "Angka gulung 3"),
            Blank::Number(say!("points", "angka")),
        ),
    ];
    steps.push(inspect);
    card(None, "lorod:lot/31", steps, vec![gloves(), no_acid()])
}

fn bleach_steps(first: u32) -> Vec<CardStep> {
    let mut fill = CardStep::new("s-fill", first, say!("Fill the tank", "Isi bak"));
    fill.quantities = vec![
        QuantityCell::new(water(), litres(112.0)),
        QuantityCell::new(chlorine(), litres(3.2)).from(measured()),
    ];
    fill.when = at(3, 9, 0);
    let mut check = CardStep::new(
        "s-check",
        first + 1,
        say!("Measure pH, temperature, chlorine", "Ukur pH, suhu, klorin"),
    );
    check.asks = vec![
        Ask::new(say!("acidity", "keasaman"), Blank::Number(say!("pH", "pH"))),
        Ask::new(
            say!("temperature", "suhu"),
            Blank::Number(say!("degrees C", "derajat C")),
        ),
        Ask::new(
            say!("titration", "titrasi"),
            Blank::Number(say!("mL", "mililiter")),
        ),
    ];
    let mut pull = CardStep::new(
        "s-pull",
        first + 2,
        say!("Bleach, then pull", "Cabut warna, lalu angkat"),
    );
    pull.lines = vec![
        say!(
            "Put 3 bolts in together with the witness strip.",
            "Masukkan 3 gulung bersama pita saksi."
        ),
        say!(
            "Not before {a}, not after {b}.",
            "Paling cepat {a}, paling lambat {b}.",
            a = Arg::Quantity(Quantity::new(820.0, Measure::Span)),
            b = Arg::Quantity(Quantity::new(1100.0, Measure::Span))
        ),
    ];
    pull.done_when = Some(say!(
        "the witness strip is paler than the printed tint.",
        "pita saksi lebih pucat dari warna cetak."
    ));
    pull.quantities = vec![
        QuantityCell::new(
            say!("pull at", "angkat pada"),
            Quantity::new(960.0, Measure::Span),
        )
        .from(assumed(2.5)),
    ];
    pull.takes = Some(960.0);
    pull.cautions = vec![no_acid()];
    let mut rinse = CardStep::new(
        "s-rinse",
        first + 3,
        say!("Rinse within 3 minutes, twice", "Bilas dalam 3 menit, dua kali"),
    );
    rinse.quantities = vec![QuantityCell::new(
        say!("water, each time", "air, setiap kali"),
        litres(200.0),
    )];
    let mut stop = CardStep::new(
        "s-antichlor",
        first + 4,
        say!("Stop the chlorine in the cloth", "Netralkan klorin di kain"),
    );
    stop.quantities = vec![
        QuantityCell::new(say!("sodium metabisulfite", "natrium metabisulfit"), grams(15.0))
            .from(assumed(1.2))
            .dose(Dose::AntichlorForCloth),
    ];
    stop.done_when = Some(say!(
        "starch-iodide paper stays white.",
        "kertas kanji-iodida tetap putih."
    ));
    vec![fill, check, pull, rinse, stop]
}

fn bleach_only() -> JobCard {
    card(
        Some(say!("Bleach", "Cabut warna")),
        "lorod:lot/31/bleach",
        bleach_steps(1),
        vec![
            gloves(),
            no_acid(),
            say!(
                "Copper (the stamp) stays away from this bath.",
                "Tembaga (cap) jauh dari bak."
            ),
        ],
    )
}

fn bleach_bath() -> BatchSheet {
    BatchSheet {
        workshop: "Sirih Works".to_string(),
        bath: say!("Bleach bath, tank 1", "Bak pemutih, bak 1"),
        lots: vec!["31".to_string(), "32".to_string()],
        bolts: 6,
        starts: at(3, 9, 0),
        fill: vec![
            QuantityCell::new(water(), litres(112.0)),
            QuantityCell::new(chlorine(), litres(3.2)).from(measured()),
        ],
        rows: (1..=6)
            .map(|n| BatchRow {
                bolt: format!("{}-{}", 31 + (n - 1) / 3, (n - 1) % 3 + 1),
                when: at(3, 9 + n / 4, 10 + 7 * n),
                materials: Vec::new(),
                top_ups: vec![
                    QuantityCell::new(chlorine(), litres(0.31 + f64::from(n) * 0.02)).from(assumed(1.3)),
                    QuantityCell::new(water(), litres(1.9)),
                ],
            })
            .collect(),
        totals: vec![QuantityCell::new(chlorine(), litres(5.4))],
        cautions: vec![gloves(), no_acid()],
        hazards: vec![say!(
            "Sodium hypochlorite: burns skin and eyes, gives chlorine gas with acid.",
            "Natrium hipoklorit: membakar kulit dan mata, mengeluarkan gas klorin bila kena asam."
        )],
        asks: vec![
            Ask::new(say!("Name", "Nama"), Blank::Words),
            Ask::new(say!("Made up", "Dibuat"), Blank::Clock),
            Ask::new(
                say!("Chlorine at the end", "Klorin di akhir"),
                Blank::Number(say!("g/L", "gram per liter")),
            ),
        ],
        qr: "lorod:bath/2026-12-03/tank-1".to_string(),
    }
}

fn silicate_bath() -> BatchSheet {
    BatchSheet {
        workshop: "Sirih Works".to_string(),
        bath: say!("Over-dye, marine and gold", "Celup ulang, biru laut dan emas"),
        lots: vec!["31".to_string()],
        bolts: 3,
        starts: at(4, 8, 15),
        fill: vec![QuantityCell::new(water(), litres(60.0))],
        rows: (1..=3)
            .map(|n| BatchRow {
                bolt: format!("31-{n}"),
                when: at(4, 8, 20 + 10 * n),
                materials: vec![
                    QuantityCell::new(dye("marine vs"), grams(19.2)).from(measured()),
                    QuantityCell::new(dye("gold dct"), grams(4.8)).from(assumed(1.5)),
                    QuantityCell::new(salt(), grams(96.0)),
                ],
                top_ups: vec![
                    QuantityCell::new(dye("marine vs"), grams(2.3)).from(assumed(1.3)),
                    QuantityCell::new(water(), litres(2.0)),
                ],
            })
            .collect(),
        totals: vec![
            QuantityCell::new(dye("marine vs"), grams(64.5)),
            QuantityCell::new(dye("gold dct"), grams(14.4)),
            QuantityCell::new(salt(), grams(288.0)),
        ],
        cautions: vec![say!(
            "Dust mask while weighing. Gloves.",
            "Pakai masker debu saat menimbang. Sarung tangan."
        )],
        hazards: Vec::new(),
        asks: vec![
            Ask::new(say!("Name", "Nama"), Blank::Words),
            Ask::new(say!("Made up", "Dibuat"), Blank::Clock),
        ],
        qr: "lorod:bath/2026-12-04/vat-2".to_string(),
    }
}

/// An invented patch of cloth: soft clouds of two colours and a waxed fan, at one of three stages.
fn cloth(stage: usize) -> Picture {
    let (width, height) = (480u32, 300u32);
    let ground = [
        [(0.93, 0.72, 0.12), (0.12, 0.36, 0.68)],
        [(0.97, 0.93, 0.72), (0.78, 0.86, 0.90)],
        [(0.42, 0.62, 0.56), (0.88, 0.76, 0.62)],
    ];
    let motif = [(0.78, 0.56, 0.12), (0.76, 0.50, 0.10), (0.90, 0.72, 0.20)];
    let mut rgb = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let (u, v) = (f64::from(x) / 480.0, f64::from(y) / 300.0);
            let cloud = (u * 9.0 + (v * 5.0).sin() * 1.7).sin() * 0.5
                + (v * 11.0 - u * 4.0 + (u * 13.0).cos()).sin() * 0.5;
            let share = (0.5 + 0.5 * cloud).clamp(0.0, 1.0);
            let (a, b) = (ground[stage % 3][0], ground[stage % 3][1]);
            let mut colour = (
                a.0 + (b.0 - a.0) * share,
                a.1 + (b.1 - a.1) * share,
                a.2 + (b.2 - a.2) * share,
            );
            let (dx, dy) = ((u - 0.5) * 1.6, 0.95 - v);
            let (radius, angle) = (dx.hypot(dy), dx.atan2(dy));
            if radius < 0.8
                && angle.abs() < 1.0
                && ((angle * 17.0).cos() > 0.72 || (radius * 31.0).sin() > 0.9)
            {
                colour = motif[stage % 3];
            }
            rgb.extend([colour.0, colour.1, colour.2].map(|c| (c * 255.0) as u8));
        }
    }
    Picture { width, height, rgb }
}

/// An invented fan of seven blades in a frame of 200 mm.
fn fan_stamp() -> StampSheet {
    let line = |points, closed| StampLine {
        points,
        closed,
        width_mm: 0.8,
        dashed: false,
    };
    let blade = |n: u32| {
        let middle = (f64::from(n) - 3.0) * 0.42;
        let at = |radius: f64, angle: f64| (100.0 + radius * angle.sin(), 170.0 - radius * angle.cos());
        let arc = (0..=24).map(move |k| at(130.0, middle - 0.15 + 0.3 * f64::from(k) / 24.0));
        let back = (0..=24).map(move |k| at(40.0, middle + 0.1 - 0.2 * f64::from(k) / 24.0));
        line(arc.chain(back).collect(), true)
    };
    let mut lines = vec![line(
        vec![(4.0, 4.0), (196.0, 4.0), (196.0, 196.0), (4.0, 196.0)],
        true,
    )];
    lines.extend((0..7).map(blade));
    StampSheet {
        workshop: "Sirih Works".to_string(),
        name: "Sea Fan".to_string(),
        width_mm: 200.0,
        height_mm: 200.0,
        side: papers::StampSide::Face,
        wax: Vec::new(),
        lines,
        numbers: Vec::new(),
        facts: vec![
            (
                say!("Copper strip", "Pita tembaga"),
                say!(
                    "{q}",
                    "{q}",
                    q = Arg::Quantity(Quantity::new(2.9, Measure::Length))
                ),
            ),
            (
                say!("Weight", "Berat"),
                say!("{q}", "{q}", q = Arg::Quantity(grams(415.0))),
            ),
            (
                say!("Work", "Kerja"),
                say!(
                    "{q}",
                    "{q}",
                    q = Arg::Quantity(Quantity::new(11.0 * 3600.0, Measure::Span))
                ),
            ),
        ],
        cautions: vec![say!(
            "Solder fumes and acid flux: open air, goggles.",
            "Asap solder dan fluks asam: tempat terbuka, kacamata."
        )],
    }
}
