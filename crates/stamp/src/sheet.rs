//! The full-size drawing of a stamp, which the maker bends the copper over.

use crate::area::{Bounds, Point};
use crate::check::{escaped, path_data};
use crate::copper::Copper;
use crate::stamp::{Stamp, mm};
use std::fmt::Write as _;
use words::{Arg, Line, Voice, say};

/// Which side is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum View {
    /// As it prints on the cloth.
    #[default]
    Print,
    /// As one looks at the copper face: the mirror image of the print, which is what is built.
    Face,
}

/// White paper around the drawing, mm.
const ROOM: f64 = 15.0;
/// Height of a line of text, mm.
const LINE: f64 = 5.5;
/// Least width of the paper, mm, so that the text has room.
const LEAST_WIDE: f64 = 130.0;
/// Length of the scale bar, mm.
const BAR: u32 = 100;

impl Stamp {
    /// The stamp at 1:1 as an SVG page in millimetres: shapes, repeat frame, a scale bar to check the printer
    /// with, and below it name, size, metres of strip and weight.
    pub fn sheet(&self, name: &str, copper: &Copper, view: View, voice: Voice) -> String {
        let [w, h] = self.repeat_mm();
        let frame = Bounds::sized(w, h);
        let around = self.area().bounds().map_or(frame, |b| b.with(&frame));
        let lines = self.lines(copper, view);
        let width = around.width().max(LEAST_WIDE) + 2.0 * ROOM;
        let text_top = around.height() + 2.0 * ROOM + 12.0;
        let height = text_top + LINE * (lines.len() as f64 + 1.0) + ROOM;
        let to_page = |p: Point| {
            let x = match view {
                View::Print => p[0] - around.low[0],
                View::Face => around.high[0] - p[0],
            };
            [x + ROOM, p[1] - around.low[1] + ROOM]
        };
        let corner = match view {
            View::Print => to_page([0.0, 0.0]),
            View::Face => to_page([w, 0.0]),
        };
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.2}mm\" height=\"{height:.2}mm\" viewBox=\"0 0 {width:.2} {height:.2}\">\n\
             <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n\
             <path fill=\"#000\" fill-rule=\"evenodd\" d=\"{}\"/>\n\
             <rect x=\"{:.2}\" y=\"{:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"none\" stroke=\"#c00\" stroke-width=\".2\" stroke-dasharray=\"2 1\"/>\n",
            path_data(self.area(), to_page),
            corner[0],
            corner[1],
        );
        bar(&mut svg, around.height() + 2.0 * ROOM);
        let _ = write!(
            svg,
            "<g font-family=\"sans-serif\" font-size=\"4\">\n<text x=\"{ROOM}\" y=\"{text_top:.2}\" font-weight=\"bold\">{}</text>\n",
            escaped(name)
        );
        for (k, line) in lines.iter().enumerate() {
            let y = text_top + LINE * (k as f64 + 1.0);
            let _ = writeln!(
                svg,
                "<text x=\"{ROOM}\" y=\"{y:.2}\">{}</text>",
                escaped(&line.say(voice))
            );
        }
        svg.push_str("</g>\n</svg>\n");
        svg
    }

    fn lines(&self, copper: &Copper, view: View) -> Vec<Line> {
        let build = self.build(copper);
        let [w, h] = self.repeat_mm();
        let metres = |v: f64| Arg::Number(v, 1);
        let side = match view {
            View::Print => say!(
                "Seen as it prints on the cloth.",
                "Dilihat seperti hasil cetak di kain."
            ),
            View::Face => say!(
                "Seen on the copper face: mirrored. Build over this side.",
                "Dilihat pada muka tembaga: terbalik. Rakit di atas sisi ini."
            ),
        };
        let mut lines = vec![
            side,
            say!(
                "Repeat {w} x {h} (red frame). Full size: check the bar with a ruler.",
                "Ulangan {w} x {h} (bingkai merah). Ukuran penuh: periksa skala dengan penggaris.",
                w = mm(w),
                h = mm(h),
            ),
            say!(
                "Strip {t} x {height}: {strip} m along the lines, about {fill} m to hatch solid parts.",
                "Bilah {t} x {height}: {strip} m sepanjang garis, sekitar {fill} m untuk isian.",
                t = mm(copper.strip.value * 1e3),
                height = mm(copper.height.value * 1e3),
                strip = metres(build.strip_m),
                fill = metres(build.fill_m),
            ),
            say!(
                "Weight about {kg} kg with frame and handle. Separate pieces: {n}.",
                "Berat sekitar {kg} kg dengan rangka dan gagang. Bagian terpisah: {n}.",
                kg = Arg::Number(build.weight_kg, 1),
                n = Arg::Number(self.pieces() as f64, 0),
            ),
        ];
        if let Some(width) = self.widths().thinnest_line() {
            lines.push(say!(
                "Thinnest line {w}.",
                "Garis paling tipis {w}.",
                w = mm(width.mm)
            ));
        }
        if let Some(width) = self.widths().narrowest_gap() {
            lines.push(say!(
                "Narrowest gap {w}.",
                "Celah paling sempit {w}.",
                w = mm(width.mm)
            ));
        }
        lines
    }
}

/// A ruler: ticks each 10 mm, its ends labelled.
fn bar(svg: &mut String, y: f64) {
    let mut d = format!("M{ROOM} {y:.2}h{BAR}");
    for k in 0..=BAR / 10 {
        let tall = if k % 5 == 0 { 3 } else { 2 };
        let _ = write!(d, "M{} {y:.2}v-{tall}", ROOM + f64::from(k * 10));
    }
    let _ = write!(
        svg,
        "<path d=\"{d}\" fill=\"none\" stroke=\"#000\" stroke-width=\".25\"/>\n\
         <g font-family=\"sans-serif\" font-size=\"3\"><text x=\"{ROOM}\" y=\"{0:.2}\">0</text><text x=\"{1}\" y=\"{0:.2}\">{BAR} mm</text></g>\n",
        y + 4.0,
        ROOM + f64::from(BAR) - 4.0,
    );
}
