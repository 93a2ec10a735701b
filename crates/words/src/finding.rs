//! The only way to say that a user's input is wrong.

use crate::{Line, Voice};
use std::ops::Range;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Nothing to do but know.
    Note,
    /// Works, but look at it.
    Doubtful,
    /// Cannot be done as asked.
    Wrong,
}

/// Where a finding points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// A range of bytes in a file of the workspace.
    File {
        /// Path as the user knows it.
        path: String,
        /// Byte range.
        span: Range<usize>,
    },
    /// A step of a route, and perhaps one setting of it.
    Step {
        /// The step's permanent id.
        id: String,
        /// Key of the setting.
        setting: Option<&'static str>,
    },
    /// A point of a drawing, µm from its top left corner (integers, so that places compare).
    Drawing {
        /// Across.
        x_um: i64,
        /// Down.
        y_um: i64,
    },
    /// The command line or the request itself.
    Request,
}

/// Something to tell the user: what was found, what is allowed, what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable code, kebab-case, for tests and help.
    pub code: &'static str,
    /// How much it weighs.
    pub weight: Weight,
    /// Where.
    pub place: Place,
    /// What was found.
    pub found: Line,
    /// What is allowed.
    pub allowed: Option<Line>,
    /// One thing to do.
    pub remedy: Option<Line>,
}

impl Finding {
    /// A finding with only the fact; add the rest with [`Finding::allow`] and [`Finding::remedy`].
    pub fn new(code: &'static str, weight: Weight, place: Place, found: Line) -> Self {
        Self {
            code,
            weight,
            place,
            found,
            allowed: None,
            remedy: None,
        }
    }
    /// Adds what is allowed.
    #[must_use]
    pub fn allow(mut self, line: Line) -> Self {
        self.allowed = Some(line);
        self
    }
    /// Adds what to do.
    #[must_use]
    pub fn remedy(mut self, line: Line) -> Self {
        self.remedy = Some(line);
        self
    }
    /// The finding as plain lines: found, then allowed, then remedy.
    pub fn say(&self, voice: Voice) -> Vec<String> {
        let mut lines = vec![self.found.say(voice)];
        lines.extend(self.allowed.iter().chain(&self.remedy).map(|l| l.say(voice)));
        lines
    }
}
