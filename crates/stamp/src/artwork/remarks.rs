//! What is said about drawings that cannot be read, or can be read in more than one way.

use super::Ink;
use super::read::{FARTHEST, MOST_DASHES, MOST_POINTS};
use words::{Arg, Finding, Place, Weight, say};

pub(super) fn unpaintable(error: &usvg::Error, path: &str) -> Finding {
    Finding::new(
        "artwork-not-svg",
        Weight::Wrong,
        Place::File {
            path: path.to_string(),
            span: 0..0,
        },
        say!(
            "The drawing cannot be painted ({reason}).",
            "Gambar tidak dapat dilukis ({reason}).",
            reason = Arg::Name(error.to_string()),
        ),
    )
    .allow(say!(
        "A drawing has a width and a height above zero.",
        "Gambar punya lebar dan tinggi di atas nol."
    ))
    .remedy(say!(
        "Save it again from your drawing program as SVG.",
        "Simpan lagi dari program gambar sebagai SVG."
    ))
}

pub(super) fn too_intricate(path: &str) -> Finding {
    Finding::new(
        "artwork-too-intricate",
        Weight::Wrong,
        Place::File {
            path: path.to_string(),
            span: 0..0,
        },
        say!(
            "The drawing has too many edges, dashes or see-through colours lying over one another.",
            "Gambar berisi terlalu banyak tepi, garis putus atau warna tembus yang bertumpuk."
        ),
    )
    .allow(say!(
        "At most {points} corner points and {dashes} dashes.",
        "Paling banyak {points} titik sudut dan {dashes} garis putus.",
        points = Arg::Number(MOST_POINTS as f64, 0),
        dashes = Arg::Number(MOST_DASHES, 0),
    ))
    .remedy(say!(
        "Simplify the paths and give each shape one flat, opaque colour.",
        "Sederhanakan garis dan beri tiap bentuk satu warna rata yang tidak tembus."
    ))
}

pub(super) fn nothing_painted(path: &str) -> Finding {
    Finding::new(
        "artwork-empty",
        Weight::Wrong,
        Place::File {
            path: path.to_string(),
            span: 0..0,
        },
        say!("The drawing paints nothing.", "Gambar tidak melukis apa pun."),
    )
    .allow(say!("Dark shapes become wax.", "Bentuk gelap menjadi malam."))
    .remedy(say!(
        "Fill the shapes, or show the hidden layer, and save again.",
        "Isi bentuknya, atau tampilkan lapisan yang tersembunyi, lalu simpan lagi."
    ))
}

pub(super) fn no_wax(path: &str, darkest: f64, wax_below: f64) -> Finding {
    Finding::new(
        "artwork-empty",
        Weight::Wrong,
        Place::File { path: path.to_string(), span: 0..0 },
        say!(
            "No wax is left: the darkest paint has lightness {darkest}.",
            "Tidak ada malam: cat paling gelap punya kecerahan {darkest}.",
            darkest = Arg::Number(darkest, 0),
        ),
    )
    .allow(say!(
        "Paint darker than {limit} (0 black, 100 white) becomes wax; lighter paint over it cuts it away.",
        "Cat lebih gelap dari {limit} (0 hitam, 100 putih) menjadi malam; cat terang di atasnya menghapusnya.",
        limit = Arg::Number(wax_below, 0),
    ))
    .remedy(say!(
        "Draw in black what is to be waxed, or raise the limit.",
        "Gambar dengan hitam bagian yang akan dimalam, atau naikkan batasnya."
    ))
}

/// Two colours that both became wax have no edge between them any more: black outlines around a red flower
/// are gone. Said once, with the limit that would keep the darkest apart.
pub(super) fn inks_run_together(inks: &[Ink], path: &str) -> Option<Finding> {
    // Nearer than this two colours are hardly told apart, L*.
    const APART: f64 = 10.0;
    let wax = || inks.iter().filter(|i| i.wax);
    let (darkest, n) = (wax().next()?, wax().count());
    let next = wax().find(|i| i.lightness > darkest.lightness + APART)?;
    let note = Finding::new(
        "artwork-inks",
        Weight::Note,
        Place::File {
            path: path.to_string(),
            span: 0..0,
        },
        say!(
            "{n} colours are taken for wax, with lightness from {dark} up: where they touch, no line is left between them.",
            "{n} warna dianggap malam, dengan kecerahan mulai {dark}: di tempat bersentuhan tidak ada garis di antaranya.",
            n = Arg::Number(n as f64, 0),
            dark = Arg::Number(darkest.lightness, 0),
        ),
    );
    Some(note.remedy(say!(
        "To wax only the darkest lines, set the limit to {limit}.",
        "Untuk memalam hanya garis paling gelap, ubah batas menjadi {limit}.",
        limit = Arg::Number((darkest.lightness + next.lightness) / 2.0, 0),
    )))
}

/// Shapes with a gradient that is dark in part and light in part: each counts as a whole. `ids` names their
/// elements, empty where they have no name.
pub(super) fn tone_is_one(place: Place, shapes: &[(String, f64)], wax: bool, wax_below: f64) -> Finding {
    const TOLD: usize = 6;
    // The setting of a design's stamp, and with a hyphen of the command line.
    const KEY: &str = "wax_below";
    let means = || shapes.iter().map(|(_, l)| *l);
    let named: Vec<&str> = shapes
        .iter()
        .filter(|(id, _)| !id.is_empty())
        .map(|(id, _)| id.as_str())
        .collect();
    let mut names = named[..named.len().min(TOLD)].join(", ");
    if names.is_empty() {
        names.push('?');
    } else if shapes.len() > TOLD.min(named.len()) {
        names.push_str(", ...");
    }
    let (n, names, limit) = (
        Arg::Number(shapes.len() as f64, 0),
        Arg::Name(names),
        Arg::Number(wax_below, 0),
    );
    let found = if wax {
        say!(
            "{n} shapes have a gradient across the limit ({names}): on average darker than {limit}, all of each is wax.",
            "{n} bentuk bergradasi melewati batas ({names}): rata-rata lebih gelap dari {limit}, seluruhnya jadi malam.",
            n = n,
            names = names,
            limit = limit
        )
    } else {
        say!(
            "{n} shapes have a gradient across the limit ({names}): on average lighter than {limit}, all of each stays bare.",
            "{n} bentuk bergradasi melewati batas ({names}): rata-rata lebih terang dari {limit}, seluruhnya tanpa malam.",
            n = n,
            names = names,
            limit = limit
        )
    };
    Finding::new("artwork-tone", Weight::Note, place, found)
        .allow(say!(
            "A strip of copper is either there or not.",
            "Bilah tembaga hanya ada atau tidak ada."
        ))
        .remedy(if wax {
            say!(
                "Draw the edge where you want it if part of a shape is to stay bare; to leave all of them bare, set {key} to {n}.",
                "Gambar tepinya di tempat yang diinginkan jika sebagian tanpa malam; agar semuanya tanpa malam, atur {key} ke {n}.",
                key = Arg::Name(KEY.into()),
                n = Arg::Number(means().fold(100.0, f64::min).floor().max(1.0), 0)
            )
        } else {
            say!(
                "Draw the edge where you want it if part of a shape is to be wax; to wax all of them, set {key} to {n}.",
                "Gambar tepinya di tempat yang diinginkan jika sebagian jadi malam; agar semuanya jadi malam, atur {key} ke {n}.",
                key = Arg::Name(KEY.into()),
                n = Arg::Number((means().fold(0.0, f64::max).floor() + 1.0).min(100.0), 0)
            )
        })
}

pub(super) fn blends(place: Place) -> Finding {
    Finding::new(
        "artwork-blend",
        Weight::Wrong,
        place,
        say!(
            "A group is mixed with what lies under it (blend mode).",
            "Sebuah grup dicampur dengan yang di bawahnya (blend mode)."
        ),
    )
    .allow(say!(
        "Shapes cover what lies under them.",
        "Bentuk menutup yang di bawahnya."
    ))
    .remedy(say!(
        "Set the blend mode to 'normal'.",
        "Ubah blend mode menjadi 'normal'."
    ))
}

pub(super) fn far_away(place: Place) -> Finding {
    Finding::new(
        "artwork-far-away",
        Weight::Wrong,
        place,
        say!(
            "A shape lies far outside the page.",
            "Sebuah bentuk berada jauh di luar halaman."
        ),
    )
    .allow(say!(
        "Shapes lie within {n} page sizes of the page.",
        "Bentuk berada dalam {n} kali ukuran halaman.",
        n = Arg::Number(FARTHEST, 0),
    ))
    .remedy(say!(
        "Delete it, or move it onto the page.",
        "Hapus, atau pindahkan ke halaman."
    ))
}
