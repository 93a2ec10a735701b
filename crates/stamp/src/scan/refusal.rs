//! Elements that no stamp can be made from, and what is said about each.

use roxmltree::Node;
use words::{Arg, Line, say};

/// Code, what was found, what is allowed, what to do.
pub(super) type Refusal = (&'static str, Line, Line, Line);

/// What is said about an element that no stamp can be made from.
pub(super) fn refused(node: Node<'_, '_>, line: impl Fn() -> f64) -> Option<Refusal> {
    let name = node.tag_name().name();
    let element = || Arg::Name(name.to_string());
    let row = || Arg::Number(line(), 0);
    let shapes_only = || {
        say!(
            "A stamp is made from filled shapes and lines: path, rect, circle, ellipse, polygon, polyline, line, groups and copies of them.",
            "Cap dibuat dari bentuk dan garis: path, rect, circle, ellipse, polygon, polyline, line, grup dan salinannya."
        )
    };
    let remark = match name {
        "text" | "tspan" | "textPath" | "tref" | "font" => (
            "artwork-text",
            say!(
                "Line {line}: <{element}> is lettering.",
                "Baris {line}: <{element}> adalah tulisan.",
                line = row(),
                element = element()
            ),
            shapes_only(),
            say!(
                "Turn the letters into outlines in your drawing program (often 'object to path'), and save again.",
                "Ubah huruf menjadi garis luar di program gambar (biasanya 'object to path'), lalu simpan lagi."
            ),
        ),
        "image" | "feImage" | "video" | "audio" | "canvas" | "iframe" => (
            "artwork-image",
            say!(
                "Line {line}: <{element}> is a picture made of dots.",
                "Baris {line}: <{element}> adalah gambar titik (foto).",
                line = row(),
                element = element()
            ),
            shapes_only(),
            say!(
                "Trace the picture into shapes, and delete the picture itself.",
                "Jiplak gambar itu menjadi bentuk, lalu hapus gambarnya."
            ),
        ),
        "filter" => (
            "artwork-filter",
            say!(
                "Line {line}: <{element}> is a blur, shadow or other effect.",
                "Baris {line}: <{element}> adalah efek kabur, bayangan atau efek lain.",
                line = row(),
                element = element()
            ),
            say!(
                "A strip of copper is either there or not: edges must be sharp.",
                "Bilah tembaga hanya ada atau tidak ada: tepi harus tajam."
            ),
            say!(
                "Remove the effect from the shapes that use it.",
                "Hapus efek itu dari bentuk yang memakainya."
            ),
        ),
        "mask" => (
            "artwork-mask",
            say!(
                "Line {line}: <{element}> fades or hides shapes by brightness.",
                "Baris {line}: <{element}> memudarkan atau menyembunyikan bentuk menurut terang gelap.",
                line = row(),
                element = element()
            ),
            say!(
                "A strip of copper is either there or not: edges must be sharp.",
                "Bilah tembaga hanya ada atau tidak ada: tepi harus tajam."
            ),
            say!(
                "Use a clipping path, or cut the shapes themselves.",
                "Pakai clipping path, atau potong bentuknya langsung."
            ),
        ),
        "pattern" => (
            "artwork-pattern",
            say!(
                "Line {line}: <{element}> fills a shape with a repeated tile.",
                "Baris {line}: <{element}> mengisi bentuk dengan ubin berulang.",
                line = row(),
                element = element()
            ),
            shapes_only(),
            say!(
                "Turn the pattern into separate shapes (often 'pattern to objects').",
                "Ubah pola menjadi bentuk terpisah (biasanya 'pattern to objects')."
            ),
        ),
        "foreignObject" => (
            "artwork-foreign",
            say!(
                "Line {line}: <{element}> holds something that is not a drawing.",
                "Baris {line}: <{element}> berisi sesuatu yang bukan gambar.",
                line = row(),
                element = element()
            ),
            shapes_only(),
            say!(
                "Delete it, or save the drawing as plain SVG.",
                "Hapus, atau simpan gambar sebagai SVG biasa."
            ),
        ),
        "script" | "handler" | "listener" => (
            "artwork-script",
            say!(
                "Line {line}: <{element}> is a program.",
                "Baris {line}: <{element}> adalah program.",
                line = row(),
                element = element()
            ),
            say!(
                "A drawing may not run anything.",
                "Gambar tidak boleh menjalankan apa pun."
            ),
            say!(
                "Delete it, or save the drawing as plain SVG.",
                "Hapus, atau simpan gambar sebagai SVG biasa."
            ),
        ),
        "animate" | "animateTransform" | "animateMotion" | "animateColor" | "set" => (
            "artwork-animation",
            say!(
                "Line {line}: <{element}> makes the drawing move.",
                "Baris {line}: <{element}> membuat gambar bergerak.",
                line = row(),
                element = element()
            ),
            say!("A stamp stands still.", "Cap tidak bergerak."),
            say!("Delete the animation.", "Hapus animasinya."),
        ),
        _ => return None,
    };
    Some(remark)
}
