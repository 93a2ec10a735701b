//! One patch after every operation, as a hash, on every vector width. A changed hash means that approved pictures would
//! come out otherwise: raise the `model` of the operation that changed, then write the new hash here.

mod common;

use cloth::{Tiling, develop};
use field::{Level, Plane, Rect, Tile, force_level};
use route::{DYES, Patch};

/// FNV-1a over the bits of every plane on the samples of the core.
fn hash(patch: &Patch, core: Rect) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325u64;
    let mut plane = |plane: &Plane| {
        for value in &plane.at_detail(patch.tile.samples, core).data {
            for byte in value.to_bits().to_le_bytes() {
                hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
            }
        }
    };
    for dye in 0..DYES {
        patch.seen(dye).into_iter().for_each(&mut plane);
    }
    for other in [
        &patch.water,
        &patch.soda,
        &patch.wax,
        &patch.rim,
        &patch.leak,
        &patch.wear,
    ] {
        plane(other);
    }
    hash
}

#[test]
fn every_operation_gives_the_bits_it_gave() {
    let bolt = common::bolt();
    let core = Rect {
        x0: 1630,
        y0: 9120,
        nx: 40,
        ny: 40,
    };
    let mut found = Vec::new();
    for level in Level::ALL {
        force_level(level);
        let hashes: Vec<(String, String)> = (1..=bolt.hands.len())
            .map(|steps| {
                let patch = develop(&bolt, Tile::new(0.254, core), steps, &Tiling::default());
                let step = &bolt.design.steps[steps - 1];
                let name = format!("{} {}", step.id, step.operation.kind().key);
                (name, format!("{:016x}", hash(&patch, core)))
            })
            .collect();
        found.push(hashes);
    }
    force_level(Level::Avx512);
    assert!(
        found.windows(2).all(|pair| pair[0] == pair[1]),
        "vector widths differ"
    );
    let lines: String = found[0]
        .iter()
        .map(|(name, hash)| format!("{name} {hash}\n"))
        .collect();
    let golden = include_str!("golden.txt");
    let kept: String = golden
        .lines()
        .filter(|l| !l.starts_with('#'))
        .map(|l| format!("{l}\n"))
        .collect();
    assert!(lines == kept, "the hashes are now:\n{lines}");
}
