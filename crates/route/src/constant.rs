//! Constants of the physics: each wears its origin, and a workshop may replace any of them.

use units::Measure;
use words::{Known, Origin, Text};

/// A number of an operation's physics that nobody sets per design.
#[derive(Debug)]
pub struct Constant {
    /// Key in the workshop file, `operation.what`.
    pub key: &'static str,
    /// What it is.
    pub text: Text,
    /// Kind of quantity.
    pub measure: Measure,
    /// Value in the SI base of the measure.
    pub value: f64,
    /// The true value is expected within this factor, up or down.
    pub factor: f64,
    /// Where it comes from, or `common practice, no source`, or `own estimate`.
    pub source: &'static str,
}

/// The workshop's own values, by key.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Constants(Vec<(String, Known)>);

impl Constants {
    /// Replaces a constant.
    pub fn set(&mut self, key: &str, known: Known) {
        self.0.retain(|(k, _)| k != key);
        self.0.push((key.to_string(), known));
    }
    /// The value that holds here, with its origin.
    pub fn known(&self, constant: &Constant) -> Known {
        match self.0.iter().find(|(key, _)| key == constant.key) {
            Some((_, known)) => known.clone(),
            None => Known {
                value: constant.value,
                origin: Origin::Assumed {
                    factor: constant.factor,
                    source: constant.source.to_string(),
                },
            },
        }
    }
    /// The value that holds here.
    pub fn get(&self, constant: &Constant) -> f64 {
        self.0
            .iter()
            .find(|(key, _)| key == constant.key)
            .map_or(constant.value, |(_, known)| known.value)
    }
}
