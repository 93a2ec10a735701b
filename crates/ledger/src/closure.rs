//! The files that a lot was made from, deflated, so that it can be made again when they have changed.

use crate::LedgerError;
use crate::names::wrong;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::read::{ZlibDecoder, ZlibEncoder};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};
use std::io::Read as _;
use words::say;

/// Most text that is unpacked, bytes: a drawing has at most 8 MB, and a few bytes could unpack to the whole memory.
const MOST_UNPACKED: u64 = 64 << 20;

/// Files by path, packed: zlib (RFC 1950) over, for each file in the order of paths, a line `bytes path` and the
/// text. In an event it stands in base64 (RFC 4648).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Closure {
    packed: Vec<u8>,
}

impl Closure {
    /// Packs files (path, text). The order in which they are given does not matter.
    ///
    /// # Errors
    /// If a path is given twice or holds a line break, or the files are larger than can be unpacked again.
    pub fn pack(files: &[(&str, &str)]) -> Result<Self, LedgerError> {
        let mut files = files.to_vec();
        files.sort_unstable();
        let twice = files.windows(2).any(|pair| matches!(pair, [a, b] if a.0 == b.0));
        let mut text = String::new();
        for (path, content) in &files {
            text += &format!("{} {path}\n{content}", content.len());
        }
        if twice || files.iter().any(|(path, _)| path.contains('\n')) || text.len() as u64 > MOST_UNPACKED {
            let found = say!(
                "these files cannot be kept with a lot",
                "berkas ini tidak dapat disimpan bersama partai"
            );
            return Err(wrong("closure-not-packed", found).into());
        }
        let mut packed = Vec::new();
        ZlibEncoder::new(text.as_bytes(), Compression::default())
            .read_to_end(&mut packed)
            .map_err(|e| LedgerError::system("zlib", e))?;
        Ok(Self { packed })
    }

    /// The files (path, text) in the order of paths. Paths come from whoever made the event: write them only with
    /// `workspace::create`, which refuses to leave its folder.
    ///
    /// # Errors
    /// If it is damaged, or larger than any that was packed.
    pub fn unpack(&self) -> Result<Vec<(String, String)>, LedgerError> {
        self.files().ok_or_else(|| {
            let found = say!(
                "the files that this lot was made from cannot be read",
                "berkas asal partai ini tidak dapat dibaca"
            );
            wrong("closure-damaged", found).into()
        })
    }

    fn files(&self) -> Option<Vec<(String, String)>> {
        let mut text = String::new();
        let mut unpacked = ZlibDecoder::new(self.packed.as_slice()).take(MOST_UNPACKED + 1);
        unpacked.read_to_string(&mut text).ok()?;
        if text.len() as u64 > MOST_UNPACKED {
            return None;
        }
        let (mut rest, mut files) = (text.as_str(), Vec::new());
        while !rest.is_empty() {
            let (head, after) = rest.split_once('\n')?;
            let (bytes, path) = head.split_once(' ')?;
            let (content, next) = after.split_at_checked(bytes.parse().ok()?)?;
            files.push((path.to_string(), content.to_string()));
            rest = next;
        }
        Some(files)
    }

    /// Size as it is kept, bytes.
    pub const fn packed_len(&self) -> usize {
        self.packed.len()
    }
}

impl Serialize for Closure {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&STANDARD.encode(&self.packed))
    }
}

impl<'d> Deserialize<'d> for Closure {
    fn deserialize<D: Deserializer<'d>>(from: D) -> Result<Self, D::Error> {
        let packed = STANDARD
            .decode(String::deserialize(from)?)
            .map_err(D::Error::custom)?;
        Ok(Self { packed })
    }
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_packed_comes_out_sorted() {
        let files = [("b.svg", "<svg/>\n7 a\nµ"), ("a.toml", ""), ("d/c é", "x")];
        let files_sorted = [("a.toml", ""), ("b.svg", "<svg/>\n7 a\nµ"), ("d/c é", "x")];
        let out = Closure::pack(&files).unwrap().unpack().unwrap();
        let out: Vec<(&str, &str)> = out.iter().map(|(p, t)| (p.as_str(), t.as_str())).collect();
        assert_eq!(out, files_sorted);
        assert!(Closure::pack(&[("a", "1"), ("a", "2")]).is_err());
        assert!(Closure::pack(&[("a\nb", "1")]).is_err());
    }

    /// A stream made by Python's zlib.compress(b"3 a\nabc"): the format is the standard's, not only ours.
    #[test]
    fn a_stream_from_elsewhere_is_read() {
        let packed = STANDARD.decode(FROM_PYTHON).unwrap();
        let files = Closure { packed }.unpack().unwrap();
        assert_eq!(files, [("a".to_string(), "abc".to_string())]);
    }
    const FROM_PYTHON: &str = "eJwzVkjkSkxKBgAGgwHl";

    /// Exactly what is allowed, and one byte more.
    #[test]
    fn a_small_stream_that_unpacks_to_everything_is_refused() {
        let file = |total: u64| {
            let head = format!("{} a\n", total - "67108864 a\n".len() as u64);
            let zeros = std::io::repeat(b'0').take(total - head.len() as u64);
            let mut packed = Vec::new();
            ZlibEncoder::new(head.as_bytes().chain(zeros), Compression::fast())
                .read_to_end(&mut packed)
                .unwrap();
            assert!(packed.len() < 1 << 20);
            Closure { packed }.unpack()
        };
        assert_eq!(file(MOST_UNPACKED).unwrap()[0].1.len() as u64, MOST_UNPACKED - 11);
        assert!(file(MOST_UNPACKED + 1).is_err());
    }

    proptest::proptest! {
        #[test]
        fn any_bytes_unpack_or_are_refused(packed: Vec<u8>, text: String) {
            let _ = Closure { packed }.unpack();
            let mut packed = Vec::new();
            ZlibEncoder::new(text.as_bytes(), Compression::fast()).read_to_end(&mut packed).unwrap();
            let _ = Closure { packed }.unpack();
        }
    }
}
