//! From SVG to wax: the painted tree is walked, each fill and stroke becomes a region, and they are laid
//! over one another in order.

use super::remarks::{blends, far_away, no_wax, nothing_painted, too_intricate, unpaintable};
use super::{Artwork, Ink, Reading, Tones, WAX_BELOW};
use crate::area::{Area, Combine};
use crate::outline::{Demands, Trouble, affine, bezier, dashes, fill, stroke};
use crate::paint::{PAPER, Rgb, TooIntricate, Touch, develop, lightness, over};
use crate::scan;
use crate::tone::Tone;
use kurbo::Affine;
use roxmltree::Document;
use std::ops::Range;
use std::sync::Arc;
use words::{Finding, Place};

/// CSS reference pixel: 1/96 inch (CSS Values and Units 3, 6.2).
const MM_PER_PX: f64 = 25.4 / 96.0;
/// Share of the greater side by which an edge may leave its curve.
const FLATNESS: f64 = 1.0 / 20_000.0;
/// Most corner points of all fills and strokes together.
pub(super) const MOST_POINTS: usize = 300_000;
/// Most fills, strokes and clipped parts looked at.
const MOST_VISITS: usize = 40_000;
/// Most dashes.
pub(super) const MOST_DASHES: f64 = 20_000.0;
/// Paint lighter than this L* is not seen on white paper, so that it is never taken for wax by itself.
const PAPER_LIKE: f64 = 95.0;
/// How far from the page a shape may lie, in page sizes.
pub(super) const FARTHEST: f64 = 20.0;

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
        demands: Demands {
            flatness: side * FLATNESS,
            farthest: side * FARTHEST,
        },
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
    /// The paint as one colour and opacity, and for a tone the least and greatest lightness that it shows.
    fn flat(&self) -> (Rgb, f64, Option<(f64, f64)>) {
        match &self.paint {
            Paint::Flat(colour) => (*colour, self.alpha, None),
            Paint::Tone(tone) => {
                let mean = tone.mean(&self.area, self.alpha);
                (mean.colour, mean.alpha, Some(mean.range))
            }
        }
    }
}

/// Decides what is dark, paints.
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
    let flats: Vec<(Stroke, _)> = strokes
        .into_iter()
        .map(|s| (s.flat(), s))
        .map(|(f, s)| (s, f))
        .collect();
    let seen = |(colour, alpha, _): &(Rgb, f64, _)| over(*colour, *alpha, PAPER);
    let darkest = flats
        .iter()
        .map(|(_, flat)| lightness(seen(flat)))
        .fold(100.0, f64::min);
    let wax_below = reading.wax_below.unwrap_or(match darkest {
        d if d < WAX_BELOW => WAX_BELOW,
        d if d < PAPER_LIKE => (d + 100.0) / 2.0,
        _ => WAX_BELOW,
    });
    let mut inks: Vec<Ink> = Vec::new();
    let mut touches = Vec::new();
    let mut tones: [Vec<(String, f64)>; 2] = Default::default();
    for (s, flat) in flats {
        let l = lightness(seen(&flat));
        let (colour, alpha, range) = flat;
        match range {
            None => {
                let seen = over(colour, alpha, PAPER);
                if !inks.iter().any(|i| i.colour == seen) {
                    inks.push(Ink {
                        colour: seen,
                        lightness: l,
                        wax: l < wax_below,
                    });
                }
            }
            Some((least, most)) if least < wax_below && most >= wax_below => {
                tones[usize::from(l >= wax_below)].push((s.id, l));
            }
            Some(_) => {}
        }
        touches.push(Touch {
            area: s.area,
            colour,
            alpha,
        });
    }
    let area = develop(touches, wax_below).map_err(|TooIntricate| vec![too_intricate(path)])?;
    if area.points() > MOST_POINTS {
        return Err(vec![too_intricate(path)]);
    }
    if area.is_empty() {
        return Err(vec![no_wax(path, darkest, wax_below)]);
    }
    inks.sort_by(|a, b| a.lightness.total_cmp(&b.lightness));
    let mut told = Vec::new();
    for (shapes, wax) in tones.into_iter().zip([true, false]) {
        if let Some((first, _)) = shapes.iter().find(|(id, _)| !id.is_empty()).or(shapes.first()) {
            let span = walk.span(first);
            told.push(Tones { wax, span, shapes });
        }
    }
    Ok(Artwork::new(area, size_mm, wax_below, inks, told, path))
}

/// Most shapes outside the page that are told one by one.
const MOST_FAR: usize = 20;

struct Walk<'a, 'x> {
    document: &'a Document<'x>,
    path: &'a str,
    demands: Demands,
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

    /// A path too far away is told and left out, so that the rest is looked at, too.
    fn outline(&mut self, area: Result<Area, Trouble>, id: &str) -> Result<Area, TooIntricate> {
        match area {
            Ok(area) => Ok(area),
            Err(Trouble::Tangled) => Err(TooIntricate),
            Err(Trouble::Far) => {
                if self.findings.len() < MOST_FAR {
                    self.findings.push(far_away(self.place(id)));
                }
                Ok(Area::empty())
            }
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
        Place::File {
            path: self.path.to_string(),
            span: self.span(id),
        }
    }

    /// Where the element of this name begins; the file's beginning where there is none.
    fn span(&self, id: &str) -> Range<usize> {
        let found = (!id.is_empty())
            .then(|| {
                self.document
                    .descendants()
                    .find(|n| n.attribute("id") == Some(id))
            })
            .flatten();
        found.map_or(0..0, scan::opening)
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
                Some(match clip {
                    Some(outer) => outer.combine_if_simple(&own, Combine::Common)?,
                    None => own,
                })
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
            Some(outer) => Ok(inside.combine_if_simple(&self.clip(outer, to_mm)?, Combine::Common)?),
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
                    let area = fill(&bezier(path.data()), rule, to_mm, &self.demands);
                    let area = self.outline(area, path.id())?;
                    self.spend(&area)?;
                    parts.push(area);
                }
                usvg::Node::Image(_) | usvg::Node::Text(_) => {}
            }
        }
        let all = Area::union_if_simple(&parts)?;
        match group.clip_path() {
            Some(clip) => Ok(all.combine_if_simple(&self.clip(clip, to_mm)?, Combine::Common)?),
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
        let fill_first = path.paint_order() == usvg::PaintOrder::FillAndStroke;
        for filling in [fill_first, !fill_first] {
            if filling && let Some(f) = path.fill() {
                let area = fill(&shape, f.rule(), above, &self.demands);
                let area = self.outline(area, path.id())?;
                self.put(area, f.paint(), f.opacity().get(), above, alpha, clip, path.id())?;
            }
            if !filling && let Some(s) = path.stroke() {
                self.dashes += dashes(&shape, s);
                if self.dashes.is_nan() || self.dashes > MOST_DASHES {
                    return Err(TooIntricate);
                }
                let area = stroke(&shape, s, above, &self.demands);
                let area = self.outline(area, path.id())?;
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
        let area = match clip {
            Some(clip) => {
                let area = area.combine_if_simple(clip, Combine::Common)?;
                self.spend(&area)?;
                area
            }
            None => area,
        };
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
