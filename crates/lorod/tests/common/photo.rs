//! A photograph of cloth as the bench under the lamp gives it.

use super::{Scratch, ends_with};
use std::fs;

/// Where things stand on it, pixels from its left top: left top, right top, right bottom, left bottom.
pub struct Marks {
    /// Across and down.
    pub size: [usize; 2],
    /// The window of the white card, 110 mm each way.
    pub window: [[usize; 2]; 4],
    /// The grey card, 18 %.
    pub grey: [[usize; 2]; 4],
}

/// Writes `name.png` and its description `name.toml`: white card, a window with cloth in it, a grey card beside it: a camera straight above, in even light.
pub fn photograph(scratch: &Scratch, design: &str, bolt: &str, name: &str) -> Marks {
    let cloth = format!("{name}-cloth.png");
    let area = "310 mm,700 mm,110 mm,110 mm";
    let args = [
        "cloth",
        "demo",
        design,
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
    let [left, top, right, bottom] = [80, 80, 80 + w, 80 + h];
    let corners =
        |[left, top, right, bottom]: [usize; 4]| [[left, top], [right, top], [right, bottom], [left, bottom]];
    let marks = Marks {
        size: [across, down],
        window: corners([left, top, right, bottom]),
        grey: corners([100, h + 150, 220, h + 230]),
    };
    fs::write(
        scratch.path(&format!("{name}.toml")),
        format!(
            "picture = \"{name}.png\"\nwindow = [\"110 mm\", \"110 mm\"]\ncard = \"18 mm\"\n\
             corners = {:?}\n[grey]\nreflectance = \"18 %\"\ncorners = {:?}\n",
            marks.window, marks.grey
        ),
    )
    .unwrap();
    marks
}
