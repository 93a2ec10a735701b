//! What the commands about one drawing share: which drawing, how large, how it is read, under whose limits.

use crate::cli::end::short;
use crate::cli::{End, out};
use crate::facts::stamp::{self as facts, Asked, Drawn};
use clap::Args;
use serde::Serialize;
use stamp::{Limit, Limits, Tracing};
use std::path::{Path, PathBuf};
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Known, Place, Weight, finding_of, say};
use workspace::Workspace;

/// What was typed about the drawing.
#[derive(Debug, Args)]
pub struct DrawingArgs {
    /// The drawing: SVG, or a scan as PNG or JPEG
    pub drawing: PathBuf,
    /// Width of one repeat on the cloth [default: what the file says]
    #[arg(long, value_name = "WIDTH")]
    pub size: Option<String>,
    /// Width of the cloth
    #[arg(long, value_name = "WIDTH", default_value = "44 in")]
    pub cloth: String,
    /// Time in the bleach, which creeps under every edge of the wax [default: 15 min, assumed]
    #[arg(long, value_name = "TIME")]
    pub bleach: Option<String>,
    /// Workspace whose stamp maker's limits count
    #[arg(long, value_name = "DIR", requires = "maker")]
    pub workspace: Option<PathBuf>,
    /// Key of the stamp maker in its workshop file
    #[arg(long, value_name = "KEY", requires = "workspace")]
    pub maker: Option<String>,
    /// SVG: paint darker than this lightness (1 to 100) is wax
    #[arg(long, value_name = "L")]
    pub wax_below: Option<f64>,
    /// Scan: where ink begins between ink (0) and paper (1)
    #[arg(long, value_name = "SHARE", default_value_t = Tracing::default().threshold)]
    pub threshold: f64,
    /// Scan: roughness smoothed away, pixels
    #[arg(long, value_name = "PIXELS", default_value_t = Tracing::default().smoothing)]
    pub smoothing: f64,
}

/// A drawing ready to be looked at.
pub struct Ready {
    /// The drawing at its size.
    pub drawn: Drawn,
    /// Whose limits.
    pub limits: Limits,
    /// Width of the cloth, mm.
    pub cloth_mm: f64,
}

impl DrawingArgs {
    /// Reads it.
    ///
    /// # Errors
    /// If a measure is none, the file cannot be read or is no stamp, or there is no such stamp maker.
    pub fn ready(&self) -> Result<Ready, End> {
        let cloth_mm = typed(&self.cloth, Measure::Length)? * 1e3;
        let mut limits = self.limits()?;
        if let Some(bleach) = &self.bleach {
            limits.set(
                Limit::Bleach,
                Known::yours(typed(bleach, Measure::Span)?.max(0.0)),
            );
        }
        let width = self.size.as_deref().map(|t| typed(t, Measure::Length));
        Ok(Ready {
            drawn: self.drawn(&self.drawing, width.transpose()?)?,
            limits,
            cloth_mm,
        })
    }

    /// Another drawing, read as this one, at this width of its repeat, m.
    ///
    /// # Errors
    /// If the file cannot be read or is no stamp.
    pub fn drawn(&self, path: &Path, width: Option<f64>) -> Result<Drawn, End> {
        let bytes = out::read(path, facts::MOST_FILE)?;
        let tracing = Tracing {
            threshold: self.threshold,
            smoothing: self.smoothing,
            ..Tracing::default()
        };
        let asked = Asked {
            width: width.map(Length),
            wax_below: self.wax_below,
            tracing,
            room: None,
        };
        facts::read(&bytes, &path.display().to_string(), &asked).map_err(End::refused)
    }

    fn limits(&self) -> Result<Limits, End> {
        let (Some(dir), Some(key)) = (&self.workspace, &self.maker) else {
            return Ok(Limits::default());
        };
        let workspace = Workspace::open(dir)?;
        let makers = &workspace.stamp_makers;
        makers
            .iter()
            .find(|maker| maker.key == *key)
            .map(|maker| maker.limits.clone())
            .ok_or_else(|| {
                let found = say!(
                    "there is no stamp maker {key}",
                    "tidak ada pembuat cap {key}",
                    key = Arg::Name(short(key))
                );
                let known: Vec<&str> = makers.iter().map(|maker| maker.key.as_str()).collect();
                let allowed = say!(
                    "those of the workshop file: {known}",
                    "yang ada di berkas bengkel: {known}",
                    known = Arg::Name(if known.is_empty() {
                        "-".into()
                    } else {
                        known.join(", ")
                    })
                );
                End::refused(vec![
                    Finding::new("no-such-maker", Weight::Wrong, Place::Request, found).allow(allowed),
                ])
            })
    }
}

/// A measure as typed, in the SI base of its kind.
pub fn typed(text: &str, measure: Measure) -> Result<f64, End> {
    parse_as(text, measure)
        .map(|typed| typed.quantity.si)
        .map_err(|problem| End::usage(finding_of(&problem, Place::Request)))
}

/// One place that breaks a rule, as JSON.
#[derive(Serialize)]
pub struct FaultOut {
    number: usize,
    rule: &'static str,
    at_mm: [f64; 2],
    /// mm; kg for `stamp-heavy`, a share for `stamp-off-balance`.
    measured: f64,
    limit: f64,
}

impl FaultOut {
    /// All faults of a check.
    pub fn all(report: &stamp::Report) -> Vec<Self> {
        let out = |f: &stamp::Fault| Self {
            number: f.number,
            rule: f.rule.code(),
            at_mm: f.at.map(rounded),
            measured: rounded(f.measured),
            limit: rounded(f.limit),
        };
        report.faults.iter().map(out).collect()
    }
}

/// To a thousandth: more digits than anybody measures.
pub fn rounded(v: f64) -> f64 {
    (v * 1e3).round() / 1e3
}
