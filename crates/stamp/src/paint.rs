//! From colours to wax: what is dark enough, and what paint does to what lies under it.

use crate::area::{Area, Combine, Tangled};

/// A colour of the drawing, sRGB bytes.
pub type Rgb = [u8; 3];

pub(crate) const PAPER: Rgb = [255; 3];
const INK: Rgb = [0; 3];

/// Lightness L* of an sRGB colour, 0 (black) to 100 (white).
///
/// Luminance weights: ITU-R BT.709 primaries and D65; L*: CIE 15:2004, 8.2.1.
pub fn lightness(colour: Rgb) -> f64 {
    let [r, g, b] = colour.map(|c| linear(f64::from(c)));
    let y = 0.212_672_9 * r + 0.715_152_2 * g + 0.072_175 * b;
    let f = if y > (6.0_f64 / 29.0).powi(3) {
        y.cbrt()
    } else {
        y * (29.0_f64 / 6.0).powi(2) / 3.0 + 4.0 / 29.0
    };
    116.0 * f - 16.0
}

/// Light of an sRGB channel 0..255, 0..1 (IEC 61966-2-1:1999).
pub(crate) fn linear(channel: f64) -> f64 {
    let c = channel / 255.0;
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

/// The sRGB channel 0..255 of a light 0..1, the way back from [`linear`].
pub(crate) fn encoded(light: f64) -> f64 {
    255.0
        * if light <= 0.003_130_8 {
            light * 12.92
        } else {
            1.055 * light.powf(1.0 / 2.4) - 0.055
        }
}

/// Paint with this opacity over another colour, mixed in sRGB as browsers and drawing programs do.
pub(crate) fn over(paint: Rgb, alpha: f64, under: Rgb) -> Rgb {
    let mix = |k: usize| (f64::from(paint[k]) * alpha + f64::from(under[k]) * (1.0 - alpha)).round();
    // A mean of two bytes is a byte.
    [mix(0) as u8, mix(1) as u8, mix(2) as u8]
}

/// One thing painted: where, in which colour, how opaque.
pub(crate) struct Touch {
    pub area: Area,
    pub colour: Rgb,
    pub alpha: f64,
}

/// How many colours a drawing with see-through paint may show at once before it is called too intricate.
const MOST_COLOURS: usize = 48;
/// Points that may be handled in all, a bound on the time a drawing can take.
const MOST_WORK: usize = 40_000_000;

/// Painting made more work than a drawing may.
pub(crate) struct TooIntricate;

impl From<Tangled> for TooIntricate {
    fn from(Tangled: Tangled) -> Self {
        Self
    }
}

/// Paints in order and returns what is dark at the end.
///
/// Without see-through paint only dark and light matter, and runs of the same kind are laid down together.
/// With it, the visible colours are kept apart, so that a pale glaze over black stays black.
pub(crate) fn develop(touches: Vec<Touch>, wax_below: f64) -> Result<Area, TooIntricate> {
    let opaque = touches.iter().all(|t| t.alpha >= 1.0);
    let mut canvas = Canvas {
        planes: Vec::new(),
        work: 0,
    };
    let mut run: Vec<Area> = Vec::new();
    let mut run_colour = INK;
    for touch in touches {
        if touch.alpha < 1.0 {
            canvas.lay(&std::mem::take(&mut run), run_colour)?;
            canvas.glaze(&touch.area, touch.colour, touch.alpha)?;
            continue;
        }
        let dark = lightness(touch.colour) < wax_below;
        let colour = match (opaque, dark) {
            (true, true) => INK,
            (true, false) => PAPER,
            (false, _) => touch.colour,
        };
        if colour != run_colour {
            canvas.lay(&std::mem::take(&mut run), run_colour)?;
            run_colour = colour;
        }
        run.push(touch.area);
    }
    canvas.lay(&run, run_colour)?;
    let dark = canvas
        .planes
        .into_iter()
        .filter(|(c, _)| lightness(*c) < wax_below)
        .map(|(_, a)| a);
    Ok(Area::union_if_simple(&dark.collect::<Vec<_>>())?)
}

/// The drawing so far: disjoint areas by colour; where there is none, paper.
struct Canvas {
    planes: Vec<(Rgb, Area)>,
    work: usize,
}

impl Canvas {
    fn spend(&mut self, points: usize) -> Result<(), TooIntricate> {
        self.work += points;
        if self.work > MOST_WORK || self.planes.len() > MOST_COLOURS {
            Err(TooIntricate)
        } else {
            Ok(())
        }
    }

    fn lay(&mut self, run: &[Area], colour: Rgb) -> Result<(), TooIntricate> {
        if run.is_empty() {
            return Ok(());
        }
        self.spend(run.iter().map(Area::points).sum())?;
        let brush = Area::union_if_simple(run)?;
        self.cut(&brush)?;
        self.put(colour, &brush)
    }

    fn glaze(&mut self, brush: &Area, colour: Rgb, alpha: f64) -> Result<(), TooIntricate> {
        let mut mixed = Vec::new();
        let mut bare = brush.clone();
        for (under, plane) in &self.planes {
            let both = plane.combine_if_simple(brush, Combine::Common)?;
            if !both.is_empty() {
                bare = bare.combine_if_simple(&both, Combine::Without)?;
                mixed.push((over(colour, alpha, *under), both));
            }
        }
        mixed.push((over(colour, alpha, PAPER), bare));
        let touched = self.planes.iter().map(|(_, p)| p.points() + brush.points()).sum();
        self.spend(touched)?;
        self.cut(brush)?;
        mixed.into_iter().try_for_each(|(c, area)| self.put(c, &area))
    }

    fn cut(&mut self, brush: &Area) -> Result<(), TooIntricate> {
        let touched: usize = self.planes.iter().map(|(_, p)| p.points()).sum();
        self.spend(touched + brush.points())?;
        for (_, plane) in &mut self.planes {
            *plane = plane.combine_if_simple(brush, Combine::Without)?;
        }
        self.planes.retain(|(_, plane)| !plane.is_empty());
        Ok(())
    }

    fn put(&mut self, colour: Rgb, area: &Area) -> Result<(), TooIntricate> {
        if colour == PAPER || area.is_empty() {
            return Ok(());
        }
        match self.planes.iter_mut().find(|(c, _)| *c == colour) {
            Some((_, plane)) => *plane = plane.combine_if_simple(area, Combine::Union)?,
            None => self.planes.push((colour, area.clone())),
        }
        self.spend(area.points())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::area::Bounds;

    fn touch(side: f64, colour: Rgb, alpha: f64) -> Touch {
        Touch {
            area: Area::rectangle(&Bounds::sized(side, side)),
            colour,
            alpha,
        }
    }

    /// L* of the sRGB primaries from the published matrix (IEC 61966-2-1), from memory, two decimals.
    #[test]
    fn lightness_of_known_colours() {
        for (colour, expected) in [
            ([255, 0, 0], 53.24),
            ([0, 255, 0], 87.73),
            ([0, 0, 255], 32.30),
            ([255; 3], 100.0),
            ([0; 3], 0.0),
            ([119; 3], 50.03),
        ] {
            assert!(
                (lightness(colour) - expected).abs() < 0.006,
                "{colour:?} {}",
                lightness(colour)
            );
        }
    }

    #[test]
    fn later_light_paint_cuts_wax_away() {
        let wax = develop(vec![touch(10.0, [0; 3], 1.0), touch(4.0, [250; 3], 1.0)], 70.0);
        assert!(wax.is_ok_and(|w| (w.mm2() - 84.0).abs() < 1e-6));
    }

    #[test]
    fn a_pale_glaze_over_black_stays_wax_and_over_paper_is_none() {
        let glaze = || touch(10.0, [255, 255, 0], 0.3);
        let wax = develop(vec![touch(4.0, [0; 3], 1.0), glaze()], 70.0);
        assert!(wax.is_ok_and(|w| (w.mm2() - 16.0).abs() < 1e-6));
        // Black at 25 % over paper is a light grey (L* 77); twice over it is L* 60.
        let veil = || touch(5.0, [0; 3], 0.25);
        assert!(develop(vec![veil()], 70.0).is_ok_and(|w| w.is_empty()));
        assert!(develop(vec![veil(), veil()], 70.0).is_ok_and(|w| (w.mm2() - 25.0).abs() < 1e-6));
    }
}
