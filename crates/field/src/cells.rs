//! Cells around scattered points: the distances to the two nearest and who they are.

use crate::hash::{STEP_X, STEP_Y, finish, place};
use crate::maths::split;

/// What [`cells`] finds at a place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Cells {
    /// Distance to the nearest point, in cells.
    pub f1: f32,
    /// Distance to the second nearest point, in cells; `f2 - f1` is 0 on the border of two cells.
    pub f2: f32,
    /// Hash of the nearest point: the same all over its cell.
    pub id1: u32,
    /// Hash of the second nearest point.
    pub id2: u32,
}

/// The two nearest of points scattered one to a lattice cell, each between 0.1 and 0.9 of its cell.
///
/// The 3 x 3 cells around the place are searched. A point beyond them is at least 1.1 cells away, so
/// `f1` is exact wherever it is below 1.1, and `f2` likewise.
#[inline(always)]
pub fn cells(x: f32, y: f32, seed: u32) -> Cells {
    let (ix, dx) = split(x);
    let (iy, dy) = split(y);
    let mut p = place(ix, iy).wrapping_sub(STEP_X).wrapping_sub(STEP_Y);
    let mut found = Cells {
        f1: 9.0,
        f2: 9.0,
        id1: 0,
        id2: 0,
    };
    for j in 0..3 {
        let ey = dy + (0.9 - j as f32);
        for i in 0..3 {
            let ex = dx + (0.9 - i as f32);
            let h = finish(p.wrapping_add(STEP_X.wrapping_mul(i)), seed);
            let ax = ex - (h & 0xffff) as i32 as f32 * (0.8 / 65_536.0);
            let ay = ey - (h >> 16) as i32 as f32 * (0.8 / 65_536.0);
            found = nearer(found, ax * ax + ay * ay, h);
        }
        p = p.wrapping_add(STEP_Y);
    }
    Cells {
        f1: found.f1.sqrt(),
        f2: found.f2.sqrt(),
        ..found
    }
}

/// Takes one more point into the two nearest, by selects only: a branch here would keep the loop
/// around it from becoming vector code.
#[inline(always)]
fn nearer(c: Cells, d: f32, h: u32) -> Cells {
    let first = mask(d < c.f1);
    let second = mask(d < c.f2);
    Cells {
        f1: pick(first, d, c.f1),
        f2: pick(first, c.f1, pick(second, d, c.f2)),
        id1: pick_bits(first, h, c.id1),
        id2: pick_bits(first, c.id1, pick_bits(second, h, c.id2)),
    }
}

#[inline(always)]
fn mask(yes: bool) -> u32 {
    0u32.wrapping_sub(u32::from(yes))
}

#[inline(always)]
fn pick_bits(mask: u32, a: u32, b: u32) -> u32 {
    (a & mask) | (b & !mask)
}

#[inline(always)]
fn pick(mask: u32, a: f32, b: f32) -> f32 {
    f32::from_bits(pick_bits(mask, a.to_bits(), b.to_bits()))
}
