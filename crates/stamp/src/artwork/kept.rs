//! A drawing that was read, as bytes: uniting its shapes takes ten times as long as reading them back.
//!
//! Whoever keeps the bytes keeps [`MADE_BY`] with them: other code may unite the same drawing otherwise. Numbers are
//! little-endian and lose no bit.

use super::{Artwork, Ink, Tones};
use crate::area::{Area, Point};

/// The code that reads and unites drawings, by its text: bytes that other code made are none of its own.
pub const MADE_BY: &str = env!("STAMP_MADE_BY");

impl Artwork {
    /// Everything that was read of the drawing.
    pub fn kept(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(1024 + 16 * self.area.points());
        put_numbers(
            &mut out,
            [self.size_mm[0], self.size_mm[1], self.wax_below].into_iter(),
        );
        put_count(&mut out, self.inks.len());
        for ink in &self.inks {
            out.extend(ink.colour);
            out.push(u8::from(ink.wax));
            put_numbers(&mut out, [ink.lightness].into_iter());
        }
        put_count(&mut out, self.tones.len());
        for tones in &self.tones {
            out.push(u8::from(tones.wax));
            put_count(&mut out, tones.span.start);
            put_count(&mut out, tones.span.end);
            put_count(&mut out, tones.shapes.len());
            for (name, lightness) in &tones.shapes {
                put_count(&mut out, name.len());
                out.extend(name.as_bytes());
                put_numbers(&mut out, [*lightness].into_iter());
            }
        }
        put_count(&mut out, self.area.shapes().len());
        for shape in self.area.shapes() {
            put_count(&mut out, shape.len());
            for ring in shape {
                put_count(&mut out, ring.len());
                put_numbers(&mut out, ring.iter().flatten().copied());
            }
        }
        out
    }

    /// The drawing of these bytes, called `path` in what is said about it. None where they are not whole, or name
    /// what no drawing has.
    pub fn of_kept(bytes: &[u8], path: &str) -> Option<Self> {
        let mut from = Left(bytes);
        let (size_mm, wax_below) = ([from.number()?, from.number()?], from.number()?);
        let mut inks = Vec::new();
        for _ in 0..from.count()? {
            let [red, green, blue, wax] = from.array()?;
            inks.push(Ink {
                colour: [red, green, blue],
                wax: wax != 0,
                lightness: from.number()?,
            });
        }
        let mut tones = Vec::new();
        for _ in 0..from.count()? {
            let [wax] = from.array()?;
            let span = from.count()?..from.count()?;
            let mut shapes = Vec::new();
            for _ in 0..from.count()? {
                let long = from.count()?;
                let name = String::from_utf8(from.take(long)?.to_vec()).ok()?;
                shapes.push((name, from.number()?));
            }
            tones.push(Tones {
                wax: wax != 0,
                span,
                shapes,
            });
        }
        let mut shapes = Vec::new();
        for _ in 0..from.count()? {
            let mut shape = Vec::new();
            for _ in 0..from.count()? {
                let points = from.count()?;
                let ring = from.take(points.checked_mul(16)?)?;
                shape.push(ring.chunks_exact(16).map(point).collect::<Option<Vec<_>>>()?);
            }
            shapes.push(shape);
        }
        let area = Area::of_shapes(shapes)?;
        let sized = size_mm.iter().all(|side| *side > 0.0);
        (sized && from.0.is_empty()).then(|| Self::new(area, size_mm, wax_below, inks, tones, path))
    }
}

fn put_count(out: &mut Vec<u8>, count: usize) {
    out.extend((count as u64).to_le_bytes());
}

fn put_numbers(out: &mut Vec<u8>, numbers: impl Iterator<Item = f64>) {
    for number in numbers {
        out.extend(number.to_le_bytes());
    }
}

fn point(bytes: &[u8]) -> Option<Point> {
    let mut from = Left(bytes);
    Some([from.number()?, from.number()?])
}

/// What has not been read yet.
struct Left<'a>(&'a [u8]);

impl<'a> Left<'a> {
    fn take(&mut self, long: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.0.split_at_checked(long)?;
        self.0 = rest;
        Some(taken)
    }
    fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }
    fn count(&mut self) -> Option<usize> {
        usize::try_from(u64::from_le_bytes(self.array()?)).ok()
    }
    /// A number that is one.
    fn number(&mut self) -> Option<f64> {
        Some(f64::from_le_bytes(self.array()?)).filter(|number| number.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::Artwork;

    /// Red petals beside black ones (a note about inks), a shape with a gradient across the limit (a note about
    /// tones), a ring with a hole.
    const DRAWING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">
      <defs><linearGradient id="g"><stop offset="0" stop-color="#000"/><stop offset="1" stop-color="#fff"/></linearGradient></defs>
      <path d="M10 10 C 20 0 30 20 40 10 L 40 30 Z"/>
      <path d="M12 30 L 30 28 L 25 45 Z" fill="#c02020"/>
      <circle cx="60" cy="20" r="10" fill="none" stroke="#000" stroke-width="2"/>
      <rect id="tone" x="45" y="40" width="30" height="10" fill="url(#g)"/>
    </svg>"##;

    #[test]
    fn a_drawing_comes_back_to_the_bit_with_what_is_said_about_it() {
        let read = Artwork::read(DRAWING, "a.svg").expect("it can be read");
        assert_eq!(read.notes().len(), 2, "{:?}", read.notes());
        assert!(read.area().rings().count() > read.area().shapes().len(), "a hole");
        let bytes = read.kept();
        assert_eq!(Artwork::of_kept(&bytes, "a.svg").as_ref(), Some(&read));
        // Under another name only the place of what is said changes.
        let other = Artwork::of_kept(&bytes, "b.svg").expect("whole");
        assert_eq!(Artwork::read(DRAWING, "b.svg"), Ok(other));
    }

    #[test]
    fn torn_and_spoiled_bytes_are_no_drawing() {
        let bytes = Artwork::read(DRAWING, "a.svg").expect("it can be read").kept();
        for end in 0..bytes.len() {
            assert_eq!(Artwork::of_kept(&bytes[..end], "a.svg"), None, "{end}");
        }
        let longer = [&bytes[..], &[0]].concat();
        assert_eq!(Artwork::of_kept(&longer, "a.svg"), None);
        // The last number: no number, then one beyond all drawings. And a count that no memory holds.
        for (at, with) in [
            (bytes.len() - 8, f64::NAN.to_le_bytes()),
            (bytes.len() - 8, 1e9f64.to_le_bytes()),
            (24, u64::MAX.to_le_bytes()),
            (24, (u64::MAX / 16 + 1).to_le_bytes()),
        ] {
            let mut bytes = bytes.clone();
            bytes[at..at + 8].copy_from_slice(&with);
            assert_eq!(Artwork::of_kept(&bytes, "a.svg"), None);
        }
    }
}
