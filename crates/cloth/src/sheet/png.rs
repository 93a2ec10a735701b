//! PNG whose one stream is joined from strips: each strip a chunk of image data that ends on a byte, the sum last.

use super::{Adler, Disk, Plan, Sheet, Strip, deflate, inflate};
use crate::NotWritten;
use std::io::{self, Read, SeekFrom};

pub struct Png {
    plan: Plan,
    head: Vec<u8>,
    sum: Adler,
    done: u32,
}

const DATA: &[u8; 4] = b"IDAT";
/// Head of a zlib stream: deflate, window of 32 kB, fastest (RFC 1950).
const ZLIB: [u8; 2] = [0x78, 0x01];

impl Png {
    pub fn new(plan: Plan) -> Self {
        let mut head = b"\x89PNG\r\n\x1a\n".to_vec();
        let mut size = Vec::new();
        size.extend(plan.width.to_be_bytes());
        size.extend(plan.height.to_be_bytes());
        // 8 bits, red green blue, deflate, filters, not interlaced.
        size.extend([8, 2, 0, 0, 0]);
        head.extend(chunk(b"IHDR", &size));
        // Relative colorimetric.
        head.extend(chunk(b"sRGB", &[1]));
        let per_metre = ((plan.dpi / 0.0254).round() as u32).to_be_bytes();
        head.extend(chunk(b"pHYs", &[&per_metre[..], &per_metre[..], &[1]].concat()));
        let text = [b"Description\0", plan.of.as_bytes()].concat();
        head.extend(chunk(b"tEXt", &text));
        Self {
            plan,
            head,
            sum: Adler::NOTHING,
            done: 0,
        }
    }

    /// Bytes of a strip before packing: one more a row, for its filter.
    fn length(&self, strip: u32) -> usize {
        (self.plan.row() + 1) * self.plan.rows(strip) as usize
    }

    /// The sum over a strip that is there and whole.
    fn whole(&self, strip: u32, packed: &[u8]) -> Option<Adler> {
        let packed = if strip == 0 {
            packed.strip_prefix(&ZLIB)?
        } else {
            packed
        };
        let bytes = inflate(packed, false, self.length(strip))?;
        Some(Adler::of(&bytes))
    }
}

impl Sheet for Png {
    fn pack(&self, strip: u32, pixels: &[u8]) -> io::Result<Strip> {
        let filtered = filter(pixels, self.plan.row());
        let last = strip + 1 == self.plan.strips();
        let mut packed = if strip == 0 { ZLIB.to_vec() } else { Vec::new() };
        packed.extend(deflate(&filtered, false, last)?);
        Ok(Strip {
            bytes: chunk(DATA, &packed),
            sum: Adler::of(&filtered),
        })
    }

    fn begun(&mut self, disk: &mut dyn Disk) -> Result<u32, NotWritten> {
        disk.seek(SeekFrom::Start(0))?;
        let mut head = Vec::new();
        disk.take(self.head.len() as u64).read_to_end(&mut head)?;
        if !self.head.starts_with(&head) {
            return Err(NotWritten::Another);
        }
        let mut at = self.head.len() as u64;
        if head.len() < self.head.len() {
            disk.seek(SeekFrom::Start(0))?;
            disk.write_all(&self.head)?;
            return Ok(0);
        }
        while self.done < self.plan.strips() {
            let Some(data) = read_chunk(disk, 2 * self.length(self.done) + 64)? else {
                break;
            };
            let Some(sum) = self.whole(self.done, &data) else {
                break;
            };
            self.sum = self.sum.then(sum);
            self.done += 1;
            at += data.len() as u64 + 12;
        }
        disk.seek(SeekFrom::Start(at))?;
        Ok(self.done)
    }

    fn add(&mut self, disk: &mut dyn Disk, strips: &[Strip]) -> io::Result<()> {
        for strip in strips {
            disk.write_all(&strip.bytes)?;
            self.sum = self.sum.then(strip.sum);
            self.done += 1;
        }
        Ok(())
    }

    fn end(&mut self, disk: &mut dyn Disk) -> io::Result<()> {
        disk.write_all(&chunk(DATA, &self.sum.value().to_be_bytes()))?;
        disk.write_all(&chunk(b"IEND", &[]))?;
        disk.flush()
    }
}

/// Length, kind, data and the CRC-32 over kind and data.
fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(data.len() + 12);
    out.extend((data.len() as u32).to_be_bytes());
    out.extend(kind);
    out.extend(data);
    let mut crc = flate2::Crc::new();
    crc.update(&out[4..]);
    out.extend(crc.sum().to_be_bytes());
    out
}

/// The data of the chunk of image data that begins here, if there is a whole one.
fn read_chunk(disk: &mut dyn Disk, most: usize) -> io::Result<Option<Vec<u8>>> {
    let mut length = [0u8; 4];
    if disk.read_exact(&mut length).is_err() {
        return Ok(None);
    }
    let length = u32::from_be_bytes(length) as usize;
    if length > most {
        return Ok(None);
    }
    let mut rest = Vec::new();
    disk.take(length as u64 + 8).read_to_end(&mut rest)?;
    if rest.len() != length + 8 || !rest.starts_with(DATA) {
        return Ok(None);
    }
    let mut crc = flate2::Crc::new();
    crc.update(&rest[..length + 4]);
    if crc.sum().to_be_bytes() != rest[length + 4..] {
        return Ok(None);
    }
    Ok(Some(rest[4..length + 4].to_vec()))
}

/// Every row less the row above it; the first row of a strip, which must stand alone, less the pixel to its left.
fn filter(pixels: &[u8], row: usize) -> Vec<u8> {
    const LEFT: u8 = 1;
    const ABOVE: u8 = 2;
    let mut out = Vec::with_capacity(pixels.len() + pixels.len() / row);
    let mut above: Option<&[u8]> = None;
    for line in pixels.chunks_exact(row) {
        match above {
            None => {
                out.push(LEFT);
                out.extend_from_slice(&line[..3]);
                out.extend(line[3..].iter().zip(line).map(|(v, left)| v.wrapping_sub(*left)));
            }
            Some(above) => {
                out.push(ABOVE);
                out.extend(line.iter().zip(above).map(|(v, a)| v.wrapping_sub(*a)));
            }
        }
        above = Some(line);
    }
    out
}
