//! Pictures too large for memory: written strip by strip, and gone on with where an earlier run broke off.
//!
//! A strip is [`ROWS`] rows of pixels, packed by itself. So strips are packed in parallel, the file is the same whatever
//! the number of threads and wherever it was interrupted, and what an interrupted run left is a beginning of it. What
//! is there is checked before it is trusted: a strip counts only if it unpacks to its number of bytes.
//!
//! This module knows no files, only something to read, write and seek in.

mod png;
mod tiff;

use crate::shot::{MOST_WRITTEN, Work};
use crate::{Bolt, NotWritten, Shot, Tiling};
use rayon::prelude::*;
use std::io::{Read, Seek, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// Rows of a strip.
const ROWS: u32 = 32;
/// Effort of the packing, 0..9: the least that packs, since dyed cloth has few repeats to find.
const EFFORT: u32 = 1;

/// How a large picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// PNG (ISO/IEC 15948), each strip a run of blocks of the one stream.
    Png,
    /// TIFF 6.0 with 64-bit offsets (`BigTIFF`), each strip a stream.
    Tiff,
}

/// What all strips of one picture share.
#[derive(Clone, Debug)]
struct Plan {
    width: u32,
    height: u32,
    dpi: f64,
    /// What the picture is of: stands in the file, and a beginning of another picture is told by it.
    of: String,
}

impl Plan {
    fn strips(&self) -> u32 {
        self.height.div_ceil(ROWS)
    }
    /// Rows of one strip.
    fn rows(&self, strip: u32) -> u32 {
        ROWS.min(self.height - strip * ROWS)
    }
    /// Bytes of a row of pixels.
    fn row(&self) -> usize {
        self.width as usize * 3
    }
}

/// A packed strip.
struct Strip {
    bytes: Vec<u8>,
    /// Adler-32 of what was packed, and its length.
    sum: Adler,
}

/// Something that a picture can be written to and read back from.
pub trait Disk: Read + Write + Seek + Send {}
impl<T: Read + Write + Seek + Send> Disk for T {}

/// One file format: what stands where.
trait Sheet: Sync + Send {
    /// Packs one strip of pixels.
    fn pack(&self, strip: u32, pixels: &[u8]) -> std::io::Result<Strip>;
    /// Looks at what is there; answers how many strips are done. [`NotWritten::Another`] if it is no beginning of this
    /// picture. Nothing there is a beginning of all.
    fn begun(&mut self, disk: &mut dyn Disk) -> Result<u32, NotWritten>;
    /// Adds strips in order.
    fn add(&mut self, disk: &mut dyn Disk, strips: &[Strip]) -> std::io::Result<()>;
    /// Writes what follows the last strip.
    fn end(&mut self, disk: &mut dyn Disk) -> std::io::Result<()>;
}

impl Shot {
    /// Makes the picture band by band and writes it as it is made; memory does not grow with the picture. While one band
    /// is packed the next is made. Where `disk` holds the beginning of the same picture ([`Shot::of`] stands in it), the
    /// run goes on from there, and the file comes out the same to the byte.
    ///
    /// # Errors
    /// [`NotWritten`] if the picture is refused or stopped, `disk` holds something else, or fails. What was written by
    /// then is a beginning.
    pub fn write(
        &self,
        bolt: &Bolt,
        format: Format,
        tiling: &Tiling,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
        disk: &mut impl Disk,
    ) -> Result<(), NotWritten> {
        let work = Work::new(bolt, self, tiling, progress, stop, MOST_WRITTEN)?;
        let plan = Plan {
            width: work.pixels.nx,
            height: work.pixels.ny,
            dpi: self.dpi,
            of: self.of(bolt),
        };
        let mut sheet: Box<dyn Sheet> = match format {
            Format::Png => Box::new(png::Png::new(plan.clone())),
            Format::Tiff => Box::new(tiff::Tiff::new(plan.clone())),
        };
        let begun = sheet.begun(disk)?;
        let band = work.side.next_multiple_of(ROWS);
        let make = |from: u32| {
            let rows = band.min(plan.height - from) as usize;
            let mut pixels = vec![0u8; plan.row() * rows];
            work.rows(from, &mut pixels);
            pixels
        };
        let first = begun * ROWS;
        let there = u64::from(first.min(plan.height)) * u64::from(plan.width);
        work.done.store(there, Ordering::Relaxed);
        let mut ready = if first < plan.height {
            make(first)
        } else {
            Vec::new()
        };
        for from in (first..plan.height).step_by(band as usize) {
            work.finished()?;
            let next = from + band;
            let (written, made) = rayon::join(
                || pack_and_add(sheet.as_mut(), disk, from / ROWS, &ready, &plan),
                || {
                    if next < plan.height {
                        make(next)
                    } else {
                        Vec::new()
                    }
                },
            );
            written?;
            ready = made;
        }
        sheet.end(disk)?;
        Ok(())
    }
}

fn pack_and_add(
    sheet: &mut dyn Sheet,
    disk: &mut dyn Disk,
    first: u32,
    pixels: &[u8],
    plan: &Plan,
) -> std::io::Result<()> {
    let packed: std::io::Result<Vec<Strip>> = pixels
        .par_chunks(plan.row() * ROWS as usize)
        .enumerate()
        .map(|(n, pixels)| sheet.pack(first + n as u32, pixels))
        .collect();
    sheet.add(disk, &packed?)
}

/// Adler-32 (RFC 1950) with the length that it was taken over, so that sums of parts can be joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Adler {
    a: u32,
    b: u32,
    length: u64,
}

impl Adler {
    const MODULUS: u32 = 65_521;
    const NOTHING: Self = Self {
        a: 1,
        b: 0,
        length: 0,
    };

    fn of(bytes: &[u8]) -> Self {
        /// Most bytes before the second sum can pass 32 bits.
        const SAFE: usize = 5552;
        let (mut a, mut b) = (1u32, 0u32);
        for part in bytes.chunks(SAFE) {
            for byte in part {
                a += u32::from(*byte);
                b += a;
            }
            a %= Self::MODULUS;
            b %= Self::MODULUS;
        }
        Self {
            a,
            b,
            length: bytes.len() as u64,
        }
    }

    /// The sum of both parts, one after the other: every byte of the first counts once more in `b` for every byte
    /// of the second.
    fn then(self, next: Self) -> Self {
        let m = u64::from(Self::MODULUS);
        let (a1, a2) = (u64::from(self.a), u64::from(next.a));
        let a = (a1 + a2 + m - 1) % m;
        let b = (u64::from(self.b) + u64::from(next.b) + (next.length % m) * (a1 + m - 1)) % m;
        Self {
            a: a as u32,
            b: b as u32,
            length: self.length + next.length,
        }
    }

    fn value(self) -> u32 {
        self.b << 16 | self.a
    }
}

/// Packs bytes by themselves; `zlib` adds the head and the sum of a stream, `last` ends it.
fn deflate(bytes: &[u8], zlib: bool, last: bool) -> std::io::Result<Vec<u8>> {
    let mut packer = flate2::Compress::new(flate2::Compression::new(EFFORT), zlib);
    let flush = if last {
        flate2::FlushCompress::Finish
    } else {
        flate2::FlushCompress::Sync
    };
    let mut out = Vec::with_capacity(bytes.len() + bytes.len() / 8 + 64);
    loop {
        let taken = packer.total_in() as usize;
        packer.compress_vec(&bytes[taken..], &mut out, flush)?;
        if packer.total_in() as usize == bytes.len() && out.len() < out.capacity() {
            return Ok(out);
        }
        out.reserve(bytes.len() / 2 + 64);
    }
}

/// Unpacks what [`deflate`] made, if it gives exactly `length` bytes.
fn inflate(packed: &[u8], zlib: bool, length: usize) -> Option<Vec<u8>> {
    // One byte more than wanted, to notice more than wanted.
    let mut out = Vec::with_capacity(length + 1);
    let mut unpacker = flate2::Decompress::new(zlib);
    unpacker
        .decompress_vec(packed, &mut out, flate2::FlushDecompress::Sync)
        .ok()?;
    (out.len() == length && unpacker.total_in() as usize == packed.len()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::{Adler, deflate, inflate};

    /// The sum of "Wikipedia" is 0x11E60398, the well-known worked example; joined from any two parts it is the same.
    #[test]
    fn sums_of_parts_join() {
        let text = b"Wikipedia";
        assert_eq!(Adler::of(text).value(), 0x11e6_0398);
        let long: Vec<u8> = (0..200_000u32)
            .map(|n| (n.wrapping_mul(n) >> 7) as u8 | 0xe0)
            .collect();
        for (bytes, cuts) in [(&text[..], [0, 3, 9]), (&long[..], [1, 65_521, 131_042])] {
            for cut in cuts {
                let (a, b) = bytes.split_at(cut);
                assert_eq!(Adler::of(a).then(Adler::of(b)), Adler::of(bytes));
            }
        }
        assert_eq!(Adler::NOTHING.then(Adler::of(text)), Adler::of(text));
    }

    #[test]
    fn what_is_packed_unpacks_to_its_length_only() {
        let noise: Vec<u8> = (0..50_000u32)
            .map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8)
            .collect();
        for (zlib, last) in [(false, false), (false, true), (true, true)] {
            let packed = deflate(&noise, zlib, last).expect("packed");
            assert_eq!(inflate(&packed, zlib, noise.len()).as_deref(), Some(&noise[..]));
            assert_eq!(inflate(&packed, zlib, noise.len() - 1), None);
            assert_eq!(inflate(&packed[..packed.len() / 2], zlib, noise.len()), None);
        }
    }
}
