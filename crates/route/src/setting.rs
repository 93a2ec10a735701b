//! Settings of an operation: one table from which file syntax, forms, help and hints are made.

use units::{Measure, Quantity, Typed};
use words::{Arg, Finding, Place, Term, Weight, say};

/// What a setting holds.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// A quantity within a range (SI base of the measure).
    Quantity {
        /// Kind of quantity.
        measure: Measure,
        /// Smallest allowed.
        least: f64,
        /// Largest allowed.
        most: f64,
    },
    /// One of several words.
    Choice(&'static [&'static Term]),
    /// Dyes of the store, each with a depth.
    Dyes {
        /// Fewest.
        least: usize,
        /// Most.
        most: usize,
        /// What the depth counts: a [`Measure::Share`] (on weight of fabric) or [`Measure::PerVolume`].
        depth: Measure,
        /// Largest depth, SI.
        deepest: f64,
    },
    /// The id of a stamp of the design.
    Stamp,
}

/// One setting of an operation.
#[derive(Debug)]
pub struct Setting {
    /// Key in files.
    pub key: &'static str,
    /// Name and gloss.
    pub term: Term,
    /// What it holds.
    pub shape: Shape,
    /// Spelled as a person would ("20 min"); `None` means that it must be given.
    pub default: Option<&'static str>,
    /// Where the default and the range come from.
    pub source: &'static str,
}

/// A dye and how much of it.
#[derive(Clone, Debug, PartialEq)]
pub struct DyeDose {
    /// Place of the dye among the design's dyes.
    pub dye: usize,
    /// Depth as the person wrote it.
    pub depth: Typed,
}

/// A setting's value.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity.
    Quantity(Typed),
    /// Key of the chosen word.
    Choice(&'static str),
    /// Dyes.
    Dyes(Vec<DyeDose>),
    /// Place of the stamp among the design's stamps.
    Stamp(usize),
}

/// All settings of one step: complete and in range, because [`Values::complete`] is the only way to make one.
#[derive(Clone, Debug, PartialEq)]
pub struct Values(Vec<(&'static str, Value)>);

impl Values {
    /// Fills in defaults and checks ranges.
    ///
    /// # Errors
    /// Every missing or out-of-range setting, each pointing where `place` says for its key.
    pub fn complete(
        settings: &'static [Setting],
        given: Vec<(&'static str, Value)>,
        place: &dyn Fn(&'static str) -> Place,
    ) -> Result<Self, Vec<Finding>> {
        let mut items = Vec::new();
        let mut findings = Vec::new();
        for setting in settings {
            match given.iter().find(|(key, _)| *key == setting.key) {
                Some((_, value)) => {
                    findings.extend(setting.examine(value, place(setting.key)));
                    items.push((setting.key, value.clone()));
                }
                None => match setting.default_value() {
                    Some(value) => items.push((setting.key, value)),
                    None => findings.push(setting.missing(place(setting.key))),
                },
            }
        }
        if findings.is_empty() {
            Ok(Self(items))
        } else {
            Err(findings)
        }
    }

    /// All values in the order of the settings table.
    pub fn iter(&self) -> impl Iterator<Item = &(&'static str, Value)> {
        self.0.iter()
    }

    /// The value of a setting of the operation's own table.
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.0.iter().find(|(k, _)| *k == key).map(|(_, v)| v)
    }

    /// SI number of a quantity setting. Asking for a key that the table lacks is a bug of the operation (a test
    /// makes every operation from its defaults); it answers NaN, which no later check lets pass.
    pub fn si(&self, key: &str) -> f64 {
        match self.get(key) {
            Some(Value::Quantity(typed)) => typed.quantity.si,
            _ => f64::NAN,
        }
    }
    /// A quantity with its spelling, as an argument for a line.
    pub fn arg(&self, key: &str) -> Arg {
        match self.get(key) {
            Some(Value::Quantity(typed)) => Arg::Quantity(typed.quantity),
            Some(Value::Choice(word)) => Arg::Name((*word).to_string()),
            _ => Arg::Name(String::new()),
        }
    }
    /// The chosen word's key.
    pub fn choice(&self, key: &str) -> &'static str {
        match self.get(key) {
            Some(Value::Choice(word)) => word,
            _ => "",
        }
    }
    /// The dyes of a setting.
    pub fn dyes(&self, key: &str) -> &[DyeDose] {
        match self.get(key) {
            Some(Value::Dyes(doses)) => doses,
            _ => &[],
        }
    }
    /// The stamp of a setting.
    pub fn stamp(&self, key: &str) -> Option<usize> {
        match self.get(key) {
            Some(Value::Stamp(index)) => Some(*index),
            _ => None,
        }
    }
    /// The same values with one quantity changed: how a window sweeps a setting.
    #[must_use]
    pub fn with(&self, key: &str, si: f64) -> Self {
        let mut items = self.0.clone();
        for (k, value) in &mut items {
            if *k == key
                && let Value::Quantity(typed) = value
            {
                typed.quantity.si = si;
                typed.spelled = units::print(typed.quantity, units::System::Metric, units::Decimal::Point);
            }
        }
        Self(items)
    }
}

impl Setting {
    /// The default, parsed. `None` where there is none.
    pub fn default_value(&self) -> Option<Value> {
        let text = self.default?;
        match self.shape {
            Shape::Quantity { measure, .. } => units::parse_as(text, measure).ok().map(Value::Quantity),
            Shape::Choice(terms) => terms.iter().find(|t| t.key == text).map(|t| Value::Choice(t.key)),
            Shape::Dyes { .. } => Some(Value::Dyes(Vec::new())),
            Shape::Stamp => None,
        }
    }

    fn missing(&self, place: Place) -> Finding {
        Finding::new(
            "setting-missing",
            Weight::Wrong,
            place,
            say!(
                "{setting} is missing",
                "{setting} belum diisi",
                setting = Arg::Name(self.key.to_string())
            ),
        )
    }

    fn examine(&self, value: &Value, place: Place) -> Vec<Finding> {
        match (self.shape, value) {
            (Shape::Quantity { measure, least, most }, Value::Quantity(typed)) => {
                let si = typed.quantity.si;
                (!(least..=most).contains(&si)).then(|| self.out_of_range(typed, measure, least, most, place))
            }
            (
                Shape::Dyes {
                    least,
                    most,
                    depth,
                    deepest,
                },
                Value::Dyes(doses),
            ) => {
                return self.examine_dyes(doses, least..=most, depth, deepest, &place);
            }
            _ => None,
        }
        .into_iter()
        .collect()
    }

    fn examine_dyes(
        &self,
        doses: &[DyeDose],
        count: std::ops::RangeInclusive<usize>,
        depth: Measure,
        deepest: f64,
        place: &Place,
    ) -> Vec<Finding> {
        let mut findings: Vec<Finding> = doses
            .iter()
            .filter(|dose| !(0.0..=deepest).contains(&dose.depth.quantity.si))
            .map(|dose| self.out_of_range(&dose.depth, depth, 0.0, deepest, place.clone()))
            .collect();
        if !count.contains(&doses.len()) {
            findings.push(
                Finding::new(
                    "dye-count",
                    Weight::Wrong,
                    place.clone(),
                    say!(
                        "{setting} names {n} dyes",
                        "{setting} menyebut {n} pewarna",
                        setting = Arg::Name(self.key.to_string()),
                        n = Arg::Number(doses.len() as f64, 0)
                    ),
                )
                .allow(say!(
                    "{least} to {most} dyes",
                    "{least} sampai {most} pewarna",
                    least = Arg::Number(*count.start() as f64, 0),
                    most = Arg::Number(*count.end() as f64, 0)
                )),
            );
        }
        findings
    }

    fn out_of_range(&self, typed: &Typed, measure: Measure, least: f64, most: f64, place: Place) -> Finding {
        Finding::new(
            "setting-out-of-range",
            Weight::Wrong,
            place,
            say!(
                "{setting} is {found}",
                "{setting} diisi {found}",
                setting = Arg::Name(self.key.to_string()),
                found = Arg::Spelled(typed.spelled.clone())
            ),
        )
        .allow(say!(
            "{least} to {most}",
            "{least} sampai {most}",
            least = Arg::Quantity(Quantity::new(least, measure)),
            most = Arg::Quantity(Quantity::new(most, measure))
        ))
    }
}
