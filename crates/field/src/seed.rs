//! Seeds by name: what a random field is for decides its values, never its place in a list.

/// A node in a tree of seeds. Lot, bolt, a step's permanent id and a field's name lead to a leaf.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Seed(pub u64);

impl Seed {
    /// The seed of the named child. Names of any length; different names give unrelated seeds.
    pub fn child(self, name: &str) -> Seed {
        // FNV-1a over the bytes (offset basis and prime: RFC 9923), then mixed, so that "a" then "bc"
        // and "ab" then "c" part company.
        let mut h = 0xcbf2_9ce4_8422_2325_u64;
        for byte in name.bytes() {
            h = (h ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        Seed(mix(self.0.rotate_left(23) ^ mix(h)))
    }

    /// The seed of the numbered child: bolt 3 of a lot, octave 1 of a field.
    pub fn number(self, n: u64) -> Seed {
        Seed(mix(self.0.rotate_left(41) ^ mix(n ^ 0x6e75_6d62_6572_0000)))
    }

    /// 32 well-mixed bits for the kernels.
    pub fn low(self) -> u32 {
        (mix(self.0) >> 32) as u32
    }
}

/// Finalising mix of 64 bits: a bijection. Multipliers of SplitMix64 (Steele, Lea, Flood, "Fast
/// splittable pseudorandom number generators", OOPSLA 2014), from memory.
fn mix(mut z: u64) -> u64 {
    z = z.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
