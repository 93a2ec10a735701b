//! TIFF 6.0 with 64-bit offsets. The directory and the table of strips stand before the strips, so that what is done can
//! be read off the table: a strip is entered in it after it was written.

use super::{Adler, Disk, Plan, Sheet, Strip, deflate, inflate};
use crate::NotWritten;
use std::io::{self, Read, SeekFrom};

pub struct Tiff {
    plan: Plan,
    /// Everything before the first strip, the table of strips empty.
    head: Vec<u8>,
    /// Where in the head the offsets of the strips stand, and where their lengths.
    offsets: usize,
    lengths: usize,
    /// Offset and length of every strip done.
    table: Vec<(u64, u64)>,
}

const SHORT: u16 = 3;
const LONG: u16 = 4;
const RATIONAL: u16 = 5;
const ASCII: u16 = 2;
const LONG8: u16 = 16;

/// A field of the directory: tag, type, count, and its value as bytes.
type Field = (u16, u16, u64, Vec<u8>);

impl Tiff {
    pub fn new(plan: Plan) -> Self {
        let short = |v: u16| v.to_le_bytes().to_vec();
        let long = |v: u32| v.to_le_bytes().to_vec();
        let text = |t: &str| [t.as_bytes(), &[0]].concat();
        // Thousandths of a pixel per inch.
        let dpi = [(plan.dpi * 1000.0).round() as u32, 1000]
            .map(u32::to_le_bytes)
            .concat();
        let strips = plan.strips() as usize;
        let (of, program) = (text(&plan.of), text("lorod"));
        let fields: Vec<Field> = vec![
            (256, LONG, 1, long(plan.width)),
            (257, LONG, 1, long(plan.height)),
            (258, SHORT, 3, [8u16; 3].map(u16::to_le_bytes).concat()),
            // Deflate.
            (259, SHORT, 1, short(8)),
            // Red, green, blue.
            (262, SHORT, 1, short(2)),
            (270, ASCII, of.len() as u64, of),
            (OFFSETS, LONG8, strips as u64, vec![0; 8 * strips]),
            (277, SHORT, 1, short(3)),
            (278, LONG, 1, long(super::ROWS)),
            (LENGTHS, LONG8, strips as u64, vec![0; 8 * strips]),
            (282, RATIONAL, 1, dpi.clone()),
            (283, RATIONAL, 1, dpi),
            // One plane; resolution per inch.
            (284, SHORT, 1, short(1)),
            (296, SHORT, 1, short(2)),
            (305, ASCII, program.len() as u64, program),
            // Every value less that of the pixel to its left.
            (317, SHORT, 1, short(2)),
        ];
        let (head, places) = lay_out(fields);
        Self {
            plan,
            head,
            offsets: places[0],
            lengths: places[1],
            table: Vec::new(),
        }
    }

    fn length(&self, strip: u32) -> usize {
        self.plan.row() * self.plan.rows(strip) as usize
    }

    fn end_of_strips(&self) -> u64 {
        self.table
            .last()
            .map_or(self.head.len() as u64, |(from, length)| from + length)
    }

    fn entry(&self, head: &[u8], table: usize, strip: usize) -> u64 {
        let from = table + 8 * strip;
        let mut bytes = [0u8; 8];
        bytes.copy_from_slice(&head[from..from + 8]);
        u64::from_le_bytes(bytes)
    }

    fn is_table(&self, at: usize) -> bool {
        let within = |from: usize| (from..from + 8 * self.plan.strips() as usize).contains(&at);
        within(self.offsets) || within(self.lengths)
    }
}

const OFFSETS: u16 = 273;
const LENGTHS: u16 = 279;

/// Header, directory, and what does not fit into its fields; with the places of the tables of strips.
fn lay_out(fields: Vec<Field>) -> (Vec<u8>, [usize; 2]) {
    let mut head = Vec::new();
    // Little endian, 64-bit offsets of 8 bytes, the directory right here.
    head.extend(b"II");
    head.extend([43u16, 8, 0].map(u16::to_le_bytes).concat());
    head.extend(16u64.to_le_bytes());
    head.extend((fields.len() as u64).to_le_bytes());
    let mut beyond = head.len() + 20 * fields.len() + 8;
    let mut rest = Vec::new();
    let mut places = [0; 2];
    for (tag, kind, count, value) in fields {
        head.extend(tag.to_le_bytes());
        head.extend(kind.to_le_bytes());
        head.extend(count.to_le_bytes());
        let place = if value.len() <= 8 {
            let place = head.len();
            head.extend(&value);
            head.resize(place + 8, 0);
            place
        } else {
            let place = beyond;
            head.extend((beyond as u64).to_le_bytes());
            beyond += value.len().next_multiple_of(8);
            rest.extend(&value);
            rest.resize(rest.len().next_multiple_of(8), 0);
            place
        };
        match tag {
            OFFSETS => places[0] = place,
            LENGTHS => places[1] = place,
            _ => {}
        }
    }
    // No further directory.
    head.extend(0u64.to_le_bytes());
    head.extend(rest);
    (head, places)
}

impl Sheet for Tiff {
    fn pack(&self, _: u32, pixels: &[u8]) -> io::Result<Strip> {
        let mut less_left = Vec::with_capacity(pixels.len());
        for line in pixels.chunks_exact(self.plan.row()) {
            less_left.extend_from_slice(&line[..3]);
            less_left.extend(line[3..].iter().zip(line).map(|(v, left)| v.wrapping_sub(*left)));
        }
        Ok(Strip {
            bytes: deflate(&less_left, true, true)?,
            sum: Adler::NOTHING,
        })
    }

    fn begun(&mut self, disk: &mut dyn Disk) -> Result<u32, NotWritten> {
        disk.seek(SeekFrom::Start(0))?;
        let mut head = Vec::new();
        disk.take(self.head.len() as u64).read_to_end(&mut head)?;
        let same = head
            .iter()
            .zip(&self.head)
            .enumerate()
            .all(|(at, (found, ours))| found == ours || self.is_table(at));
        if !same {
            return Err(NotWritten::Another);
        }
        if head.len() < self.head.len() {
            disk.seek(SeekFrom::Start(0))?;
            disk.write_all(&self.head)?;
            return Ok(0);
        }
        for strip in 0..self.plan.strips() {
            let from = self.entry(&head, self.offsets, strip as usize);
            let length = self.entry(&head, self.lengths, strip as usize);
            let unpacked = self.length(strip);
            if from != self.end_of_strips() || length == 0 || length > 2 * unpacked as u64 + 64 {
                break;
            }
            disk.seek(SeekFrom::Start(from))?;
            let mut packed = Vec::new();
            disk.take(length).read_to_end(&mut packed)?;
            if packed.len() as u64 != length || inflate(&packed, true, unpacked).is_none() {
                break;
            }
            self.table.push((from, length));
        }
        Ok(self.table.len() as u32)
    }

    fn add(&mut self, disk: &mut dyn Disk, strips: &[Strip]) -> io::Result<()> {
        let first = self.table.len();
        disk.seek(SeekFrom::Start(self.end_of_strips()))?;
        for strip in strips {
            disk.write_all(&strip.bytes)?;
            self.table.push((self.end_of_strips(), strip.bytes.len() as u64));
        }
        let new = &self.table[first..];
        let bytes = |pick: fn(&(u64, u64)) -> u64| -> Vec<u8> {
            new.iter().flat_map(|entry| pick(entry).to_le_bytes()).collect()
        };
        let (offsets, lengths) = (bytes(|e| e.0), bytes(|e| e.1));
        disk.seek(SeekFrom::Start((self.offsets + 8 * first) as u64))?;
        disk.write_all(&offsets)?;
        disk.seek(SeekFrom::Start((self.lengths + 8 * first) as u64))?;
        disk.write_all(&lengths)
    }

    fn end(&mut self, disk: &mut dyn Disk) -> io::Result<()> {
        disk.flush()
    }
}
