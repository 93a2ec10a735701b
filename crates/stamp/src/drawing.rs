//! Wax as a drawing: what a design's folder keeps of shapes that were not drawn by hand.

use crate::area::Area;
use std::fmt::Write as _;

/// One repeat at its size, black on white, ready to be a design's artwork. A thousandth of a millimetre is kept: what is
/// written must pass the check that the area has passed.
pub fn drawing(area: &Area, repeat_mm: [f64; 2]) -> String {
    let [w, h] = repeat_mm;
    let mut d = String::new();
    for ring in area.rings() {
        for (k, p) in ring.iter().enumerate() {
            // Writing to a string does not fail.
            let _ = write!(d, "{}{:.4} {:.4}", if k == 0 { "M" } else { "L" }, p[0], p[1]);
        }
        d.push_str("Z\n");
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n\
         <path fill=\"#000\" fill-rule=\"evenodd\" d=\"{d}\"/>\n</svg>\n"
    )
}
