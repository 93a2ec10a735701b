//! The operations of the workshop, one file each with all its readings.
//!
//! To add one: write `operations/<key>.rs` with a `pub static KIND: Kind` whose key is the file's name, and
//! add its line to the list below. Nothing else names it: file syntax, forms, help, cards, plan and cost all
//! read the kind.

use crate::Kind;

macro_rules! operations {
    ($($name:ident),* $(,)?) => {
        $(pub mod $name;)*
        /// The one list.
        pub static OPERATIONS: &[&Kind] = &[$(&$name::KIND),*];
    };
}

operations![
    prepare, wet, fold, sponge, soda, sun, open, touch_up, fix, rinse, dry, wax, wax_repair, bleach,
    neutralise, dip, spray, boil_off, finish, inspect,
];

/// The kind with this key.
pub fn kind(key: &str) -> Option<&'static Kind> {
    OPERATIONS.iter().find(|kind| kind.key == key).copied()
}
