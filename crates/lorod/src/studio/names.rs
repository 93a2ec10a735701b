//! Colours in words, for whoever does not see them or has no hexadecimal eye.

use colour::{Lab, lch, screen};
use words::{Text, text};

/// CIELAB of linear sRGB, under the screen's white.
pub fn lab_of(linear: [f64; 3]) -> Lab {
    colour::lab(screen::xyz_from_linear(linear), screen::WHITE)
}

/// `#rrggbb`.
pub fn hash(bytes: [u8; 3]) -> String {
    format!("#{:02x}{:02x}{:02x}", bytes[0], bytes[1], bytes[2])
}

/// Black or white, whichever reads better on the colour (WCAG 2.2 contrast: 0.179 is where both are equal).
pub fn ink_on(bytes: [u8; 3]) -> &'static str {
    let [r, g, b] = screen::from_bytes(bytes);
    if 0.2126 * r + 0.7152 * g + 0.0722 * b > 0.179 {
        "#10141f"
    } else {
        "#ffffff"
    }
}

/// How light, and which hue. Borders of the hues are CIELAB hue angles, set by eye.
pub fn name(colour: Lab) -> [Option<&'static Text>; 2] {
    let polar = lch(colour);
    let grey = polar.c < 7.0;
    let hue = match polar.h {
        _ if grey && colour.l > 90.0 => return [None, Some(text!("white", "putih"))],
        _ if grey && colour.l < 20.0 => return [None, Some(text!("black", "hitam"))],
        _ if grey => text!("grey", "abu-abu"),
        h if h < 20.0 => text!("rose", "merah muda"),
        h if h < 45.0 => text!("red", "merah"),
        h if (45.0..105.0).contains(&h) && polar.c < 30.0 && colour.l > 60.0 => text!("sand", "pasir"),
        h if (60.0..95.0).contains(&h) && colour.l < 62.0 && polar.c > 30.0 => text!("ochre", "oker"),
        h if h < 72.0 && (polar.c < 42.0 || colour.l < 55.0) => text!("brown", "cokelat"),
        h if h < 72.0 => text!("orange", "jingga"),
        h if h < 105.0 && polar.c < 30.0 => text!("brown", "cokelat"),
        h if h < 105.0 => text!("yellow", "kuning"),
        h if h < 165.0 => text!("green", "hijau"),
        h if h < 215.0 => text!("teal", "hijau laut"),
        h if h < 292.0 => text!("blue", "biru"),
        h if h < 325.0 => text!("violet", "ungu"),
        h if h < 345.0 => text!("plum", "ungu kemerahan"),
        _ => text!("rose", "merah muda"),
    };
    let light = match colour.l {
        l if l > 82.0 => Some(text!("pale", "pucat")),
        l if l > 68.0 => Some(text!("light", "muda")),
        l if l < 38.0 => Some(text!("deep", "tua")),
        _ => None,
    };
    [light, Some(hue)]
}

/// The name as one string. An Indonesian adjective follows its noun.
pub fn say(colour: Lab, voice: words::Voice) -> String {
    let [light, hue] = name(colour).map(|word| word.map(|text| text.raw(voice.language)));
    let (first, second) = match voice.language {
        words::Language::En => (light, hue),
        words::Language::Id => (hue, light),
    };
    [first, second]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::{ink_on, lab_of, say};
    use colour::screen;
    use words::Voice;

    /// Everyday names of screen colours, by hand.
    #[test]
    fn plain_colours_have_plain_names() {
        for (bytes, expected) in [
            ([250, 250, 250], "white"),
            ([10, 10, 10], "black"),
            ([128, 128, 128], "grey"),
            ([200, 20, 30], "red"),
            ([240, 200, 20], "yellow"),
            ([203, 168, 137], "sand"),
            ([156, 115, 42], "ochre"),
            ([30, 90, 190], "blue"),
            ([20, 120, 40], "green"),
            ([90, 60, 35], "deep brown"),
            ([170, 205, 240], "light blue"),
        ] {
            let said = say(lab_of(screen::from_bytes(bytes)), Voice::default());
            assert!(
                said.ends_with(expected.split(' ').next_back().unwrap_or("")),
                "{bytes:?}: {said}"
            );
        }
    }

    /// WCAG 2.2, 1.4.3: the better of the two inks reaches 4.5:1 on any colour.
    #[test]
    fn numerals_read_on_any_dye() {
        for r in (0..=255).step_by(51) {
            for g in (0..=255).step_by(51) {
                for b in (0..=255).step_by(51) {
                    let shine = |c: [u8; 3]| {
                        let [r, g, b] = screen::from_bytes(c);
                        0.2126 * r + 0.7152 * g + 0.0722 * b
                    };
                    let ink = if ink_on([r, g, b]) == "#ffffff" {
                        [255; 3]
                    } else {
                        [0x10, 0x14, 0x1f]
                    };
                    let (one, other) = (shine([r, g, b]) + 0.05, shine(ink) + 0.05);
                    let contrast = one.max(other) / one.min(other);
                    assert!(contrast >= 4.0, "{r} {g} {b}: {contrast}");
                }
            }
        }
    }
}
