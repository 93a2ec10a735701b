//! Quantities and numbers on the command line, read as in the workspace's files and held to a range.

use super::End;
use super::end::short;
use std::ops::RangeInclusive;
use units::{Measure, Quantity, parse_as};
use words::{Arg, Finding, Place, Weight, finding_of, say};

/// A quantity with its unit, in the SI base of the measure.
///
/// # Errors
/// If it is no such quantity or not in the range.
pub fn quantity(text: &str, measure: Measure, range: RangeInclusive<f64>) -> Result<f64, End> {
    let typed =
        parse_as(text, measure).map_err(|problem| End::usage(finding_of(&problem, Place::Request)))?;
    let si = typed.quantity.si;
    if range.contains(&si) {
        return Ok(si);
    }
    let bound = |si: f64| Arg::Quantity(Quantity::new(si, measure));
    let finding = out_of_range(say!(
        "{found} is too little or too much",
        "{found} terlalu kecil atau terlalu besar",
        found = Arg::Name(short(text))
    ));
    let (least, most) = (*range.start(), *range.end());
    Err(End::usage(if most < f64::MAX {
        finding.allow(say!(
            "{least} to {most}",
            "{least} sampai {most}",
            least = bound(least),
            most = bound(most)
        ))
    } else {
        finding.allow(say!(
            "{least} or more",
            "{least} atau lebih",
            least = bound(least)
        ))
    }))
}

/// A bare number of an option.
///
/// # Errors
/// If it is not in the range.
pub fn number(option: &str, number: f64, range: RangeInclusive<f64>) -> Result<f64, End> {
    if range.contains(&number) {
        return Ok(number);
    }
    let finding = out_of_range(say!(
        "{option} is {found}",
        "{option} diisi {found}",
        option = Arg::Name(option.to_string()),
        found = Arg::Name(number.to_string())
    ));
    Err(End::usage(finding.allow(say!(
        "{least} to {most}",
        "{least} sampai {most}",
        least = Arg::Number(*range.start(), 1),
        most = Arg::Number(*range.end(), 0)
    ))))
}

fn out_of_range(found: words::Line) -> Finding {
    Finding::new("out-of-range", Weight::Wrong, Place::Request, found)
}
