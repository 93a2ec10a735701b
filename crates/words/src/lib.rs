//! What people read. Both languages stand side by side in the code that says the thing, so that neither can
//! be forgotten, and a user's wrong input is always answered with a [`Finding`]: data, not a sentence.
//!
//! This crate knows nothing of files, pages or paper: it renders to plain strings.

mod finding;
mod origin;
mod say;

pub use finding::{Finding, Place, Weight};
pub use origin::{Known, Origin};
pub use say::{Arg, Language, Line, Term, Text, Voice, check_text, named_placeholders};
