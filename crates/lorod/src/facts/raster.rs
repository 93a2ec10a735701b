//! Plots as pictures: an SVG drawing of ours painted into pixels, for programs that show no SVG.

use cloth::Picture;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use std::sync::{Arc, LazyLock};
use words::{Arg, Finding, Place, Weight, say};

/// Noto Sans for everything: a plot looks the same on every machine, whatever fonts it has.
static OPTIONS: LazyLock<Options> = LazyLock::new(|| {
    let mut options = Options {
        font_family: "Noto Sans".to_string(),
        ..Options::default()
    };
    let fonts = options.fontdb_mut();
    for face in [
        notosans::REGULAR_TTF,
        notosans::BOLD_TTF,
        notosans::ITALIC_TTF,
        notosans::BOLD_ITALIC_TTF,
    ] {
        fonts.load_font_source(resvg::usvg::fontdb::Source::Binary(Arc::new(face)));
    }
    for set in [
        resvg::usvg::fontdb::Database::set_serif_family,
        resvg::usvg::fontdb::Database::set_sans_serif_family,
        resvg::usvg::fontdb::Database::set_monospace_family,
    ] {
        set(fonts, "Noto Sans");
    }
    options
});

/// Most pixels of a plot each way.
const MOST: f32 = 8192.0;

/// Paints a drawing on white, `scale` pixels to one of its units.
///
/// # Errors
/// A finding if it is no SVG, or larger than 8192 pixels one way.
pub fn paint(svg: &str, scale: f32) -> Result<Picture, Finding> {
    let refused = |what: String| {
        let found = say!(
            "the plot cannot be painted: {what}",
            "grafik tidak dapat digambar: {what}",
            what = Arg::Name(what)
        );
        Finding::new("plot-not-painted", Weight::Wrong, Place::Request, found)
    };
    let tree = Tree::from_str(svg, &OPTIONS).map_err(|e| refused(e.to_string()))?;
    let size = tree.size();
    let (w, h) = (size.width() * scale, size.height() * scale);
    if !(w >= 1.0 && h >= 1.0 && w <= MOST && h <= MOST) {
        return Err(refused(format!("{w:.0} x {h:.0}")));
    }
    let (width, height) = (w.ceil() as u32, h.ceil() as u32);
    let mut map = Pixmap::new(width, height).ok_or_else(|| refused(format!("{width} x {height}")))?;
    map.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut map.as_mut());
    // Everything is opaque on white, so what is premultiplied is what is seen.
    let rgb = map
        .data()
        .chunks_exact(4)
        .flat_map(|p| [p[0], p[1], p[2]])
        .collect();
    Ok(Picture { width, height, rgb })
}

#[cfg(test)]
mod tests {
    use super::paint;
    use base64::Engine as _;
    use base64::prelude::BASE64_STANDARD;

    #[test]
    fn shapes_and_letters_are_painted() {
        let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30" width="60" height="30">
            <rect width="20" height="30" fill="#c00000"/><text x="24" y="22" font-size="20">Mo</text></svg>"##;
        let picture = paint(svg, 2.0).expect("a plot");
        assert_eq!((picture.width, picture.height), (120, 60));
        let pixel = |x: usize, y: usize| &picture.rgb[(y * 120 + x) * 3..][..3];
        assert_eq!(pixel(10, 30), [0xc0, 0, 0]);
        assert_eq!(pixel(118, 2), [255, 255, 255]);
        let dark = (44..118).flat_map(|x| (0..60).map(move |y| (x, y)));
        let ink = dark.filter(|(x, y)| pixel(*x, *y)[0] < 80).count();
        assert!(ink > 100, "{ink} pixels of ink: the letters are missing");
    }

    /// Bars are cut from pictures of cloth: a PNG inside a drawing is painted as well.
    #[test]
    fn a_picture_inside_a_drawing_is_painted() {
        let cloth = cloth::Picture {
            width: 1,
            height: 1,
            rgb: vec![10, 120, 200],
        };
        let png = BASE64_STANDARD.encode(cloth::png(&cloth, 96.0).expect("a PNG"));
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"8\" height=\"8\">\
             <image href=\"data:image/png;base64,{png}\" width=\"8\" height=\"8\"/></svg>"
        );
        let picture = paint(&svg, 1.0).expect("a picture");
        assert_eq!(picture.rgb[(4 * 8 + 4) * 3..][..3], [10, 120, 200]);
    }

    #[test]
    fn what_is_no_drawing_is_refused() {
        assert_eq!(paint("<svg", 1.0).expect_err("no SVG").code, "plot-not-painted");
        let wide = r#"<svg xmlns="http://www.w3.org/2000/svg" width="9000" height="10"><rect width="5" height="5"/></svg>"#;
        assert_eq!(paint(wide, 1.0).expect_err("too wide").code, "plot-not-painted");
    }
}
