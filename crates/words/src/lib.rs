//! What people read. Both languages stand side by side in the code that says the thing, so that neither can
//! be forgotten, and a user's wrong input is always answered with a [`Finding`]: data, not a sentence.
//!
//! This crate knows nothing of files, pages or paper: it renders to plain strings.

mod check;
mod finding;
mod origin;
mod quantity;
mod say;
mod show;
mod xml;

#[doc(hidden)]
pub use check::must_take;
pub use check::{check_text, named_placeholders};
pub use finding::{Finding, Place, Weight};
pub use origin::{Known, Origin};
pub use quantity::{finding_of, measure};
pub use say::{Arg, Language, Line, Term, Text, Voice};
pub use show::{line_and_column, show};
pub use xml::xml_text;
