//! What wax keeps from the fibre. Intact wax is practically impermeable to a bath; it fails at its edges,
//! where liquor creeps under it, and where it leaks (cracks, skips, no strike-through).

use crate::{Means, Patch};
use field::{Grid, clamp01, smoothstep};

/// Depth of creep from a wax edge, m: `sqrt(2 De t)`.
///
/// `creep` De in m2/s, `seconds` of exposure. Source of the law: diffusion front into an under-filled fringe.
pub fn creep_depth(creep: f64, seconds: f64) -> f64 {
    (2.0 * creep * seconds).sqrt()
}

/// Width of a line of wax that stays closed, m; it is eaten from both sides.
pub fn line_left(width: f64, creep: f64, seconds: f64) -> f64 {
    (width - 2.0 * creep_depth(creep, seconds)).max(0.0)
}

/// Share of the fibre that a bath reaches, 0..1.
///
/// `rim` signed distance to the wax edge in mm (positive inside), `depth` of creep in mm, `leak` share reached
/// through faults, `wax` on the cloth in kg/m2 (0: bare). The front is soft over a third of its depth and at
/// least a yarn's half width (0.12 mm); its middle lies at `depth`.
#[inline(always)]
pub fn access(rim: f32, depth: f32, leak: f32, wax: f32) -> f32 {
    let soft = 0.12 + 0.33 * depth;
    let open = 1.0 - smoothstep(depth - soft, depth + soft, rim);
    let waxed = clamp01(wax * 1.0e4);
    let through = open + (1.0 - open) * leak;
    1.0 + waxed * (through - 1.0)
}

/// What a liquor that only wets the surface reaches on the samples of a patch; `None` where there is no wax, and it
/// reaches everything. What lands on wax is wiped off with it.
pub fn reached(patch: &Patch) -> Option<Grid> {
    if patch.wax.is_zero() {
        return None;
    }
    let (lattice, core) = patch.fine();
    let rim = patch.rim.at_detail(lattice, core);
    let leak = patch.leak.at_detail(lattice, core);
    let wax = patch.wax.at_detail(lattice, core);
    let mut reached = Grid::flat(lattice, core, 1.0);
    reached_row(&mut reached.data, &rim.data, &leak.data, &wax.data);
    Some(reached)
}

/// Share of a zone's fibre that a surface liquor reaches, for the tally: bare cloth, or the faults of the wax.
pub fn reached_share(means: &Means) -> f64 {
    if means.waxed() { means.leak } else { 1.0 }
}

field::lanes! {
    fn reached_row(data: &mut [f32], rim: &[f32], leak: &[f32], wax: &[f32]) {
        for i in 0..data.len() {
            data[i] = access(rim[i], 0.05, leak[i], wax[i]);
        }
    }
}

/// Mean share of the motif's fibre that creep reaches, 0..1: edge per area of cloth times depth, over the
/// motif's share. Saturates for motifs narrower than twice the depth.
pub fn crept_share(edge_per_m: f64, depth: f64, motif_share: f64) -> f64 {
    if motif_share <= 0.0 {
        return 0.0;
    }
    // A motif of lines and petals loses edge as it is eaten: the exponential keeps the share below 1 and
    // agrees with the straight law while little is lost.
    1.0 - (-edge_per_m * depth / motif_share).exp()
}
