//! From SVG to wax: the painted tree is walked, each fill and stroke becomes a region, and they are laid
//! over one another in order.

use super::{Artwork, Ink, Reading, WAX_BELOW};
use crate::area::Area;
use crate::outline::{affine, bezier, dashes, fill, stroke};
use crate::paint::{PAPER, Rgb, TooIntricate, Touch, develop, lightness, over};
use crate::scan;
use crate::tone::Tone;
use kurbo::{Affine, Shape};
use roxmltree::Document;
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say};

/// CSS reference pixel: 1/96 inch (CSS Values and Units 3, 6.2).
const MM_PER_PX: f64 = 25.4 / 96.0;
/// Share of the greater side by which an edge may leave its curve.
const FLATNESS: f64 = 1.0 / 20_000.0;
/// Most corner points of all fills and strokes together.
const MOST_POINTS: usize = 300_000;
/// Most fills, strokes and clipped parts looked at.
const MOST_VISITS: usize = 40_000;
/// Most dashes.
const MOST_DASHES: f64 = 20_000.0;
/// Paint lighter than this L* is not seen on white paper, so that it is never taken for wax by itself.
const PAPER_LIKE: f64 = 95.0;
/// How far from the page a shape may lie, in page sizes.
const FARTHEST: f64 = 20.0;

pub(super) fn read(xml: &str, path: &str, reading: &Reading) -> Result<Artwork, Vec<Finding>> {
    let document = scan::parsed(xml, path)?;
    let options = usvg::Options {
        // Pictures have been refused; should one slip through, nothing is opened for it.
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Default::default()
    };
    let tree = usvg::Tree::from_xmltree(&document, &options).map_err(|e| vec![unpaintable(&e, path)])?;
    let size_mm = [tree.size().width(), tree.size().height()].map(|v| f64::from(v) * MM_PER_PX);
    let side = size_mm[0].max(size_mm[1]);
    let mut walk = Walk {
        document: &document,
        path,
        flatness: side * FLATNESS,
        farthest: side * FARTHEST,
        points: 0,
        visits: 0,
        dashes: 0.0,
        strokes: Vec::new(),
        findings: Vec::new(),
    };
    let done = walk.group(tree.root(), Affine::scale(MM_PER_PX), 1.0, None);
    if done.is_err() {
        walk.findings.push(too_intricate(path));
    }
    if !walk.findings.is_empty() {
        return Err(walk.findings);
    }
    let strokes = std::mem::take(&mut walk.strokes);
    lay(strokes, size_mm, &walk, reading)
}

/// One fill or stroke, before it is known what counts as dark.
struct Stroke {
    area: Area,
    paint: Paint,
    alpha: f64,
    /// Name of the element it comes from, empty if it has none.
    id: String,
}

enum Paint {
    Flat(Rgb),
    Tone(Tone),
}

impl Stroke {
    fn lightest_and_darkest(&self) -> (f64, f64) {
        match &self.paint {
            Paint::Flat(c) => {
                let l = lightness(over(*c, self.alpha, PAPER));
                (l, l)
            }
            Paint::Tone(t) => t
                .lightnesses(self.alpha)
                .fold((0.0, 100.0), |(hi, lo), l| (l.max(hi), l.min(lo))),
        }
    }
}

/// Decides what is dark, cuts tones, paints.
fn lay(
    strokes: Vec<Stroke>,
    size_mm: [f64; 2],
    walk: &Walk<'_, '_>,
    reading: &Reading,
) -> Result<Artwork, Vec<Finding>> {
    let path = walk.path;
    if strokes.is_empty() {
        return Err(vec![nothing_painted(path)]);
    }
    let darkest = strokes
        .iter()
        .map(|s| s.lightest_and_darkest().1)
        .fold(100.0, f64::min);
    let wax_below = reading.wax_below.unwrap_or(match darkest {
        d if d < WAX_BELOW => WAX_BELOW,
        d if d < PAPER_LIKE => (d + 100.0) / 2.0,
        _ => WAX_BELOW,
    });
    let mut inks: Vec<Ink> = Vec::new();
    let mut touches = Vec::new();
    let mut cut_tones: Vec<String> = Vec::new();
    let mut findings = Vec::new();
    for s in strokes {
        match s.paint {
            Paint::Flat(colour) => {
                let seen = over(colour, s.alpha, PAPER);
                if !inks.iter().any(|i| i.colour == seen) {
                    let l = lightness(seen);
                    inks.push(Ink {
                        colour: seen,
                        lightness: l,
                        wax: l < wax_below,
                    });
                }
                touches.push(Touch {
                    area: s.area,
                    colour,
                    alpha: s.alpha,
                });
            }
            Paint::Tone(tone) => match tone.flatten(&s.area, s.alpha, wax_below) {
                Ok((parts, cut)) => {
                    if cut {
                        cut_tones.push(s.id);
                    }
                    let touch = |p: crate::tone::Flat| Touch {
                        area: p.area,
                        colour: p.colour,
                        alpha: p.alpha,
                    };
                    touches.extend(parts.into_iter().map(touch));
                }
                Err(crate::tone::Repeats) => findings.push(tone_repeats(walk.place(&s.id))),
            },
        }
    }
    if !findings.is_empty() {
        return Err(findings);
    }
    let area = develop(touches, wax_below).map_err(|TooIntricate| vec![too_intricate(path)])?;
    if area.is_empty() {
        return Err(vec![no_wax(path, darkest, wax_below)]);
    }
    inks.sort_by(|a, b| a.lightness.total_cmp(&b.lightness));
    let mut notes: Vec<Finding> = inks_run_together(&inks, path).into_iter().collect();
    if let Some(first) = cut_tones.first() {
        notes.push(tone_was_cut(walk.place(first), cut_tones.len(), wax_below));
    }
    Ok(Artwork {
        area,
        size_mm,
        wax_below,
        inks,
        notes,
    })
}

struct Walk<'a, 'x> {
    document: &'a Document<'x>,
    path: &'a str,
    flatness: f64,
    farthest: f64,
    points: usize,
    visits: usize,
    dashes: f64,
    strokes: Vec<Stroke>,
    findings: Vec<Finding>,
}

impl Walk<'_, '_> {
    fn spend(&mut self, area: &Area) -> Result<(), TooIntricate> {
        self.points += area.points();
        if self.points > MOST_POINTS {
            Err(TooIntricate)
        } else {
            Ok(())
        }
    }

    fn visit(&mut self) -> Result<(), TooIntricate> {
        self.visits += 1;
        if self.visits > MOST_VISITS {
            Err(TooIntricate)
        } else {
            Ok(())
        }
    }

    fn place(&self, id: &str) -> Place {
        let found = (!id.is_empty())
            .then(|| {
                self.document
                    .descendants()
                    .find(|n| n.attribute("id") == Some(id))
            })
            .flatten();
        match found {
            Some(node) => scan::place(node, self.path),
            None => Place::File {
                path: self.path.to_string(),
                span: 0..0,
            },
        }
    }

    /// Paints a group. An opacity of the group is given to each of its parts: where parts of one see-through
    /// group overlap they come out darker than a browser shows them.
    fn group(
        &mut self,
        group: &usvg::Group,
        above: Affine,
        alpha: f64,
        clip: Option<&Area>,
    ) -> Result<(), TooIntricate> {
        self.visit()?;
        if group.blend_mode() != usvg::BlendMode::Normal {
            self.findings.push(blends(self.place(group.id())));
            return Ok(());
        }
        let to_mm = above * affine(group.transform());
        let alpha = alpha * f64::from(group.opacity().get());
        let own = match group.clip_path() {
            Some(path) => {
                let own = self.clip(path, to_mm)?;
                Some(clip.map_or_else(|| own.clone(), |outer| outer.common(&own)))
            }
            None => None,
        };
        let clip = own.as_ref().or(clip);
        for node in group.children() {
            match node {
                usvg::Node::Group(inner) => self.group(inner, to_mm, alpha, clip)?,
                usvg::Node::Path(path) => self.paint(path, to_mm, alpha, clip)?,
                // Both were refused by the scan.
                usvg::Node::Image(_) | usvg::Node::Text(_) => {}
            }
        }
        Ok(())
    }

    fn clip(&mut self, clip: &usvg::ClipPath, to_mm: Affine) -> Result<Area, TooIntricate> {
        let inside = self.silhouette(clip.root(), to_mm * affine(clip.transform()))?;
        match clip.clip_path() {
            Some(outer) => Ok(inside.common(&self.clip(outer, to_mm)?)),
            None => Ok(inside),
        }
    }

    /// All fills of a group together, whatever their colour.
    fn silhouette(&mut self, group: &usvg::Group, above: Affine) -> Result<Area, TooIntricate> {
        self.visit()?;
        let to_mm = above * affine(group.transform());
        let mut parts = Vec::new();
        for node in group.children() {
            match node {
                usvg::Node::Group(inner) => parts.push(self.silhouette(inner, to_mm)?),
                usvg::Node::Path(path) => {
                    self.visit()?;
                    let rule = path.fill().map_or(usvg::FillRule::NonZero, usvg::Fill::rule);
                    let area = fill(&bezier(path.data()), rule, to_mm, self.flatness);
                    self.spend(&area)?;
                    parts.push(area);
                }
                usvg::Node::Image(_) | usvg::Node::Text(_) => {}
            }
        }
        let all = Area::union_of(&parts);
        match group.clip_path() {
            Some(clip) => Ok(all.common(&self.clip(clip, to_mm)?)),
            None => Ok(all),
        }
    }

    fn paint(
        &mut self,
        path: &usvg::Path,
        above: Affine,
        alpha: f64,
        clip: Option<&Area>,
    ) -> Result<(), TooIntricate> {
        self.visit()?;
        if !path.is_visible() {
            return Ok(());
        }
        let shape = bezier(path.data());
        let around = (above * &shape).bounding_box();
        let reach = [around.x0, around.y0, around.x1, around.y1]
            .into_iter()
            .map(f64::abs);
        if !reach.clone().all(|v| v <= self.farthest) {
            self.findings.push(far_away(self.place(path.id())));
            return Ok(());
        }
        let fill_first = path.paint_order() == usvg::PaintOrder::FillAndStroke;
        for filling in [fill_first, !fill_first] {
            if filling && let Some(f) = path.fill() {
                let area = fill(&shape, f.rule(), above, self.flatness);
                self.put(area, f.paint(), f.opacity().get(), above, alpha, clip, path.id())?;
            }
            if !filling && let Some(s) = path.stroke() {
                self.dashes += dashes(&shape, s);
                if !(self.dashes <= MOST_DASHES) {
                    return Err(TooIntricate);
                }
                let area = stroke(&shape, s, above, self.flatness);
                self.put(area, s.paint(), s.opacity().get(), above, alpha, clip, path.id())?;
            }
        }
        Ok(())
    }

    #[allow(
        clippy::too_many_arguments,
        reason = "a fill and a stroke differ in all of these"
    )]
    fn put(
        &mut self,
        area: Area,
        paint: &usvg::Paint,
        opacity: f32,
        to_mm: Affine,
        alpha: f64,
        clip: Option<&Area>,
        id: &str,
    ) -> Result<(), TooIntricate> {
        self.spend(&area)?;
        let area = clip.map_or_else(|| area.clone(), |c| area.common(c));
        let alpha = alpha * f64::from(opacity);
        if area.is_empty() || alpha <= 0.0 {
            return Ok(());
        }
        let paint = match paint {
            usvg::Paint::Color(c) => Paint::Flat([c.red, c.green, c.blue]),
            usvg::Paint::LinearGradient(g) => Paint::Tone(Tone::linear(&Arc::clone(g), to_mm)),
            usvg::Paint::RadialGradient(g) => Paint::Tone(Tone::radial(&Arc::clone(g), to_mm)),
            // Refused by the scan.
            usvg::Paint::Pattern(_) => return Ok(()),
        };
        self.strokes.push(Stroke {
            area,
            paint,
            alpha,
            id: id.to_string(),
        });
        Ok(())
    }
}

fn unpaintable(error: &usvg::Error, path: &str) -> Finding {
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

fn too_intricate(path: &str) -> Finding {
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

fn nothing_painted(path: &str) -> Finding {
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

fn no_wax(path: &str, darkest: f64, wax_below: f64) -> Finding {
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
fn inks_run_together(inks: &[Ink], path: &str) -> Option<Finding> {
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

fn tone_was_cut(place: Place, shapes: usize, wax_below: f64) -> Finding {
    Finding::new(
        "artwork-tone",
        Weight::Doubtful,
        place,
        say!(
            "In {n} shapes a gradient runs from dark to light; it is cut where its lightness passes {limit}.",
            "Pada {n} bentuk gradasi berjalan dari gelap ke terang; dipotong di kecerahan {limit}.",
            n = Arg::Number(shapes as f64, 0),
            limit = Arg::Number(wax_below, 0),
        ),
    )
    .allow(say!(
        "A strip of copper is either there or not.",
        "Bilah tembaga hanya ada atau tidak ada."
    ))
    .remedy(say!(
        "Look at the edge; make the shape one flat colour if it is not where you want it.",
        "Periksa tepinya; jadikan satu warna rata jika letaknya tidak sesuai."
    ))
}

fn tone_repeats(place: Place) -> Finding {
    Finding::new(
        "artwork-tone",
        Weight::Wrong,
        place,
        say!(
            "A gradient repeats itself between dark and light.",
            "Gradasi berulang antara gelap dan terang."
        ),
    )
    .allow(say!(
        "A strip of copper is either there or not.",
        "Bilah tembaga hanya ada atau tidak ada."
    ))
    .remedy(say!("Make it one flat colour.", "Jadikan satu warna rata."))
}

fn blends(place: Place) -> Finding {
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

fn far_away(place: Place) -> Finding {
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
