//! From tables of cells to readings.

use super::columns::{Role, role};
use super::recover::{Recovered, recover, recover_hex, recover_lab};
use super::resample::{Trouble, resample};
use super::table::{Cell, Table, place};
use super::telling::{
    assumed_viewing, columns_finding, depth_finding, lab_finding, light_finding, out_of_range, pair_finding,
    row_place, wavelength_finding,
};
use super::values::{hex, number};
use super::{Basis, Measured, Reading, Scale, Stated, geometry, scale, viewing_in};
use crate::difference::de2000;
use crate::spaces::{Lab, Xyz, lab};
use crate::spectrum::Spectrum;
use crate::viewing::{Observer, Viewing, xyz};
use words::{Arg, Finding, Weight, say};

/// More findings than this are not told one by one.
const MOST_FINDINGS: usize = 100;

/// All readings of a file's tables.
pub(super) fn measured(tables: Vec<Table>, findings: Vec<Finding>, path: &str, stated: Stated) -> Measured {
    let mut out = Measured {
        findings,
        ..Measured::default()
    };
    for table in &tables {
        let from = out.readings.len();
        Rows::read(table, path, stated, &mut out);
        super::identity::check(table, path, from, &mut out);
    }
    if let Some(last) = tables.last() {
        out.header = last
            .header
            .iter()
            .map(|(key, value)| (key.text.to_string(), value.text.to_string()))
            .collect();
    }
    out.findings.extend(geometry::geometries(&[&out]));
    let told = out.findings.len();
    if told > MOST_FINDINGS {
        out.findings.truncate(MOST_FINDINGS);
        out.findings.push(Finding::new(
            "measured-more",
            Weight::Wrong,
            place(path, 0..0),
            say!(
                "There are {more} more findings like these.",
                "Masih ada {more} temuan serupa.",
                more = Arg::Number((told - MOST_FINDINGS) as f64, 0)
            ),
        ));
    }
    out
}

/// Stated CIELAB farther than this from that of the spectrum is told, dE00: tables and rounding differ by 0.1.
const FAR_LAB: f64 = 1.0;

/// What is the same for all rows of a table.
struct Rows<'t, 'a, 'p> {
    table: &'t Table<'a>,
    roles: Vec<Role>,
    path: &'p str,
    scale: Option<Scale>,
    viewing: Viewing,
    geometry: Option<String>,
}

impl<'t, 'a, 'p> Rows<'t, 'a, 'p> {
    fn read(table: &'t Table<'a>, path: &'p str, stated: Stated, out: &mut Measured) {
        let roles: Vec<Role> = table.columns.iter().map(role).collect();
        if let Some(finding) = columns_finding(table, &roles, path) {
            out.findings.push(finding);
            return;
        }
        let spectral = roles
            .iter()
            .any(|r| matches!(r, Role::Reflectance(..) | Role::PairValue(_)));
        let scale = scale::of(table, &roles, stated.scale, path, &mut out.findings);
        if spectral && scale.is_none() {
            return;
        }
        let header = |key: &str| {
            let entry = table.header.iter().rev();
            entry
                .map(|(k, v)| (k.text, v))
                .find(|(k, _)| k.eq_ignore_ascii_case(key))
                .map(|(_, v)| v)
        };
        let coloured = roles.iter().any(|r| matches!(r, Role::Lab(_) | Role::Xyz(_)));
        let viewing = if coloured {
            viewing(table, stated.viewing, path, spectral, &mut out.findings)
        } else {
            None
        };
        if coloured && !spectral && viewing.is_none() {
            return;
        }
        let rows = Self {
            table,
            path,
            scale,
            viewing: viewing.unwrap_or(Viewing::DAYLIGHT),
            geometry: header("MEASUREMENT_GEOMETRY").map(|cell| geometry::normal(cell.text)),
            roles,
        };
        for (index, row) in table.rows.iter().enumerate() {
            match rows.reading(row, index) {
                Ok(reading) => out.readings.push(reading),
                Err(finding) => {
                    // What is wrong with the columns is told once, not for every row.
                    if out.findings.last() != Some(&finding) {
                        out.findings.push(finding);
                    }
                }
            }
        }
        if spectral && viewing.is_some() {
            out.findings.extend(rows.disagreement(&out.readings));
        }
    }

    fn reading(&self, row: &[Cell], index: usize) -> Result<Reading, Finding> {
        let text = |wanted: Role| -> Option<&str> {
            let at = self.roles.iter().position(|r| *r == wanted)?;
            row.get(at).map(|c| c.text).filter(|t| !t.is_empty())
        };
        let id = text(Role::Id).map_or_else(|| (index + 1).to_string(), str::to_string);
        let sample = text(Role::Name).map_or_else(|| id.clone(), str::to_string);
        let number = match (text(Role::Reading), text(Role::Name)) {
            (Some(number), _) => number.to_string(),
            (None, Some(_)) => id,
            (None, None) => String::new(),
        };
        let (reflectance, basis) = self.reflectance(row)?;
        Ok(Reading {
            sample,
            number,
            reflectance,
            basis,
            stated_lab: self.triple(row, Role::Lab)?.map(|[l, a, b]| Lab { l, a, b }),
            depths: self.depths(row)?,
            geometry: text(Role::Geometry)
                .map(geometry::normal)
                .or_else(|| self.geometry.clone()),
            place: row_place(row, self.path),
        })
    }

    /// From the spectrum if there is one, else from Lab, XYZ or the screen colour.
    fn reflectance(&self, row: &[Cell]) -> Result<(Spectrum, Basis), Finding> {
        if let Some(scale) = self.scale {
            return self.spectrum(row, scale);
        }
        let recovered = if let Some([l, a, b]) = self.triple(row, Role::Lab)? {
            recover_lab(Lab { l, a, b }, self.viewing)
        } else if let Some(xyz) = self.triple(row, Role::Xyz)? {
            recover(Xyz::from_array(xyz), self.viewing)
        } else {
            let at = self.roles.iter().position(|r| *r == Role::Hex);
            let cell = at.and_then(|at| row.get(at)).cloned().unwrap_or_default();
            recover_hex(hex(&cell, self.path)?)
        };
        let Recovered { reflectance, off } = recovered;
        Ok((reflectance, Basis::Recovered { off }))
    }

    fn spectrum(&self, row: &[Cell], scale: Scale) -> Result<(Spectrum, Basis), Finding> {
        let unit = if scale == Scale::Percent { 0.01 } else { 1.0 };
        let mut readings = Vec::new();
        let mut pair = None;
        for (cell, role) in row.iter().zip(&self.roles) {
            let nm = match role {
                Role::Reflectance(nm, _) => *nm,
                Role::PairWavelength => {
                    pair = Some(number(cell, self.table.decimal_comma, self.path)?);
                    continue;
                }
                Role::PairValue(_) => pair.take().ok_or_else(|| pair_finding(cell, self.path))?,
                _ => continue,
            };
            let value = number(cell, self.table.decimal_comma, self.path)? * unit;
            if !(0.0..=scale::MOST).contains(&value) {
                return Err(out_of_range(value, nm, cell, self.path));
            }
            readings.push((nm, value));
        }
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let resampled = resample(&readings).map_err(|trouble| self.wavelengths(trouble, row))?;
        // Interpolation may leave the range by a hair next to a steep edge.
        let reflectance = resampled.spectrum.map(|v| v.clamp(0.0, scale::MOST));
        let basis = if resampled.as_read {
            Basis::Measured
        } else {
            Basis::Resampled {
                filled: resampled.filled,
            }
        };
        Ok((reflectance, basis))
    }

    /// Wavelengths in columns are the same for all rows: the finding points at the names.
    fn wavelengths(&self, trouble: Trouble, row: &[Cell]) -> Finding {
        let names: Vec<&Cell> = self
            .table
            .columns
            .iter()
            .zip(&self.roles)
            .filter(|(_, role)| matches!(role, Role::Reflectance(..)))
            .map(|(cell, _)| cell)
            .collect();
        let place = match (names.first(), names.last()) {
            (Some(first), Some(last)) if first.span.start <= last.span.end => {
                place(self.path, first.span.start..last.span.end)
            }
            _ => row_place(row, self.path),
        };
        wavelength_finding(trouble, place)
    }

    fn triple(&self, row: &[Cell], wanted: fn(usize) -> Role) -> Result<Option<[f64; 3]>, Finding> {
        let mut out = [0.0; 3];
        for (axis, value) in out.iter_mut().enumerate() {
            let at = self.roles.iter().position(|r| *r == wanted(axis));
            let Some(cell) = at.and_then(|at| row.get(at)) else {
                return Ok(None);
            };
            *value = number(cell, self.table.decimal_comma, self.path)?;
        }
        Ok(Some(out))
    }

    fn depths(&self, row: &[Cell]) -> Result<Vec<(String, f64)>, Finding> {
        let mut depths = Vec::new();
        for (cell, role) in row.iter().zip(&self.roles) {
            let Role::Depth(dye) = role else { continue };
            let depth = number(cell, self.table.decimal_comma, self.path)?;
            if !(0.0..=100.0).contains(&depth) {
                return Err(depth_finding(depth, cell, self.path));
            }
            depths.push((dye.clone(), depth));
        }
        Ok(depths)
    }

    /// The reading whose stated CIELAB is farthest from that of its spectrum, if that is far.
    fn disagreement(&self, readings: &[Reading]) -> Option<Finding> {
        let off = |r: &Reading| {
            let computed = lab(xyz(&r.reflectance, self.viewing), self.viewing.white());
            r.stated_lab.map_or(0.0, |stated| de2000(stated, computed))
        };
        let worst = readings.iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
        (off(worst) > FAR_LAB).then(|| lab_finding(worst, off(worst)))
    }
}

/// The light and observer of a table's Lab and XYZ values: from its header, else as stated, else daylight with a
/// finding. Beside a spectrum nothing is assumed: then they only serve to check it. Nothing if the file names a
/// light that is not tabulated here.
fn viewing(
    table: &Table,
    stated: Option<Viewing>,
    path: &str,
    spectral: bool,
    findings: &mut Vec<Finding>,
) -> Option<Viewing> {
    const KEYS: [&str; 5] = [
        "MEASUREMENT_SOURCE",
        "WEIGHTING_FUNCTION",
        "ILLUMINANT",
        "OBSERVER",
        "ILLUMINATION",
    ];
    let (mut light, mut observer): (_, Option<Observer>) = (None, None);
    for (key, value) in &table.header {
        if KEYS.iter().any(|k| k.eq_ignore_ascii_case(key.text)) {
            let (l, o) = viewing_in(value.text);
            light = l.map(|l| (l, value.place(path))).or(light);
            observer = o.or(observer);
        }
    }
    match light {
        Some((Ok(illuminant), _)) => Some(Viewing {
            illuminant,
            observer: observer
                .or(stated.map(|s| s.observer))
                .unwrap_or(Observer::TenDegrees),
        }),
        Some((Err(name), place)) => {
            if !spectral {
                findings.push(light_finding(&name, place));
            }
            None
        }
        None if spectral => stated,
        None => stated.or_else(|| {
            findings.push(assumed_viewing(row_place(&table.columns, path)));
            Some(Viewing::DAYLIGHT)
        }),
    }
}
