//! Draws every demonstration dye: a ladder of depths, what bleach leaves of 2 %, over-dyes with tan, mixtures
//! with every other dye. Prints CIELAB under daylight at 1 % and 2 % owf.
//!
//! `cargo run -p colour --example swatches -- swatches.png`

#[path = "../tests/common/card_file.rs"]
mod card_file;

use colour::{BandTables, DyeCard, Viewing, kubelka_munk, lab, screen, white_cotton, xyz};

const SIDE: usize = 56;
const DEPTHS_PERCENT: [f64; 7] = [0.1, 0.3, 0.5, 1.0, 2.0, 3.0, 4.0];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "swatches.png".to_string());
    let cards = card_file::demo_cards();
    let tan = cards.iter().position(|c| c.id == "tan-dct").ok_or("no tan-dct")?;
    let tables = BandTables::of(white_cotton(), &cards.iter().collect::<Vec<_>>());
    let rows: Vec<Vec<[u8; 3]>> = (0..cards.len())
        .map(|dye| {
            let swatch = |amounts: &[(usize, f64)]| {
                let mut grams = vec![0.0_f32; cards.len()];
                for (dye, percent) in amounts {
                    grams[*dye] += (percent * 10.0) as f32;
                }
                screen::bytes(screen::clip(tables.linear(&grams).map(f64::from)).0)
            };
            let ladder = DEPTHS_PERCENT.map(|percent| swatch(&[(dye, percent)]));
            let bleached = [0.3, 0.08, 0.02].map(|left| swatch(&[(dye, 2.0 * left)]));
            let over = [0.08, 1.0].map(|left| swatch(&[(dye, 2.0 * left), (tan, 0.4)]));
            let mixed = (0..cards.len()).map(|other| swatch(&[(dye, 0.7), (other, 0.7)]));
            let gap = [swatch(&[])];
            [&ladder[..], &gap, &bleached, &over, &gap]
                .concat()
                .into_iter()
                .chain(mixed)
                .collect()
        })
        .collect();
    draw(&path, &rows)?;
    for card in &cards {
        println!(
            "{:12} 1 %: {}   2 %: {}",
            card.id,
            spoken(card, 1.0),
            spoken(card, 2.0)
        );
    }
    Ok(())
}

fn spoken(card: &DyeCard, percent: f64) -> String {
    let cloth = kubelka_munk::ks_spectrum(white_cotton());
    let r = kubelka_munk::dyed_reflectance(&[(percent * 10.0, &card.unit_ks)], card.k_max.value, &cloth);
    let seen = lab(xyz(&r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
    format!("{:5.1} {:5.1} {:5.1}", seen.l, seen.a, seen.b)
}

fn draw(path: &str, rows: &[Vec<[u8; 3]>]) -> Result<(), Box<dyn std::error::Error>> {
    let width = rows.first().map_or(0, Vec::len) * SIDE;
    let pixels: Vec<u8> = rows
        .iter()
        .flat_map(|row| {
            let line: Vec<u8> = row.iter().flat_map(|c| c.repeat(SIDE)).collect();
            line.repeat(SIDE)
        })
        .collect();
    let file = std::io::BufWriter::new(std::fs::File::create(path)?);
    let mut encoder = png::Encoder::new(file, width as u32, (rows.len() * SIDE) as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header()?.write_image_data(&pixels)?;
    Ok(())
}
