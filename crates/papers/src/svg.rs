//! From marks to an SVG file at full size: what the PDF shows, for a plotter or a drawing program.

use crate::Error;
use crate::page::{Leaf, Mark, Pen};
use crate::pdf::TINT;
use crate::setting::{Face, Ink};
use std::fmt::Write as _;

/// One page. Its size is in millimetres, its coordinates are points.
pub(crate) fn write(title: &str, leaf: &Leaf<'_>) -> Result<String, Error> {
    let (w, h) = leaf.size;
    let mm = |points: f32| f64::from(points) * 25.4 / 72.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.3}mm\" height=\"{:.3}mm\" viewBox=\"0 0 {w:.3} {h:.3}\" \
         fill=\"none\" font-family=\"Noto Sans, sans-serif\">\n<title>{}</title>\n\
         <rect width=\"{w:.3}\" height=\"{h:.3}\" fill=\"#fff\"/>\n",
        mm(w),
        mm(h),
        words::xml_text(title)
    );
    for mark in &leaf.marks {
        match mark {
            Mark::Text { x, y, run, style } => {
                let weight = if style.face == Face::Bold {
                    " font-weight=\"700\""
                } else {
                    ""
                };
                let ink = if style.ink == Ink::Grey { "#404040" } else { "#000" };
                let _ = writeln!(
                    svg,
                    "<text x=\"{x:.3}\" y=\"{y:.3}\" font-size=\"{}\"{weight} fill=\"{ink}\" textLength=\"{:.3}\" \
                     lengthAdjust=\"spacingAndGlyphs\">{}</text>",
                    style.size,
                    run.ems * style.size,
                    words::xml_text(&run.text)
                );
            }
            Mark::Stroke { pens, width, dash } => {
                let dash = dash
                    .map(|d| format!(" stroke-dasharray=\"{d}\""))
                    .unwrap_or_default();
                let _ = writeln!(
                    svg,
                    "<path d=\"{}\" stroke=\"#000\" stroke-width=\"{width:.3}\"{dash}/>",
                    data(pens)
                );
            }
            Mark::Fill { pens } => {
                let _ = writeln!(svg, "<path d=\"{}\" fill=\"#000\"/>", data(pens));
            }
            Mark::Tint { pens } => {
                let _ = writeln!(
                    svg,
                    "<path d=\"{}\" fill=\"#{TINT:02x}{TINT:02x}{TINT:02x}\" fill-rule=\"evenodd\"/>",
                    data(pens)
                );
            }
            // No page of a stamp has one.
            Mark::Picture { .. } | Mark::Colour { .. } => return Err(Error::Geometry),
        }
    }
    svg.push_str("</svg>\n");
    Ok(svg)
}

fn data(pens: &[Pen]) -> String {
    let mut d = String::new();
    for pen in pens {
        let _ = match *pen {
            Pen::To(x, y) => write!(d, "M{x:.3} {y:.3}"),
            Pen::Line(x, y) => write!(d, "L{x:.3} {y:.3}"),
            Pen::Close => write!(d, "Z"),
        };
    }
    d
}
