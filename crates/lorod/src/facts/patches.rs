//! A ladder without an instrument: rectangles of a photograph that hold a grey card or a target, and the rungs.
//!
//! The rectangles stand in a CSV file: `patch,x,y,width,height` in pixels from the top left corner, and what the patch
//! is: `owf_pct` for a rung, `grey` (its reflectance) for a grey card, `lab_l,lab_a,lab_b` (D65, 10 degrees) for a patch
//! of a target.

use cloth::Picture;
use colour::fit::ladder::{Noise, Rung};
use colour::fit::photo::Correction;
use colour::{Lab, Viewing, screen};
use std::ops::Range;
use words::{Arg, Finding, Place, Weight, say};

/// A rectangle and what is known of it.
struct Patch {
    place: Place,
    /// Left, top, width, height, px.
    area: [f64; 4],
    depth: Option<f64>,
    grey: Option<f64>,
    lab: Option<Lab>,
}

const AREA: [&str; 4] = ["x", "y", "width", "height"];
const LAB: [&str; 3] = ["lab_l", "lab_a", "lab_b"];

/// The rungs of a photographed ladder, and how far they may be trusted. `path` is what findings call the file of rectangles.
///
/// # Errors
/// Findings for every line that cannot be read or lies outside the photograph, or if there is neither grey card nor
/// target.
pub fn rungs(photo: &Picture, text: &str, path: &str) -> Result<(Vec<Rung>, Noise), Vec<Finding>> {
    let patches = read(text, path)?;
    let mut findings = Vec::new();
    let mut means = Vec::new();
    for patch in &patches {
        match mean(photo, patch) {
            Ok(rgb) => means.push((patch, rgb)),
            Err(finding) => findings.push(finding),
        }
    }
    if !findings.is_empty() {
        return Err(findings);
    }
    let target: Vec<([f64; 3], colour::Xyz)> = means
        .iter()
        .filter_map(|(p, rgb)| Some((*rgb, p.lab?.xyz(Viewing::DAYLIGHT.white()))))
        .collect();
    let grey = means.iter().find_map(|(p, rgb)| Some((p, *rgb, p.grey?)));
    let start = Place::File {
        path: path.to_string(),
        span: 0..0,
    };
    let correction = match (target.is_empty(), grey) {
        (false, _) => Correction::from_target(&target, &start),
        (true, Some((patch, rgb, reflectance))) => Correction::from_grey(rgb, reflectance, &patch.place),
        (true, None) => Err(no_card(start)),
    };
    let correction = correction.map_err(|f| vec![f])?;
    let mut rungs = Vec::new();
    for (patch, rgb) in means {
        if let Some(depth) = patch.depth {
            match correction.rung(rgb, depth, 1, &patch.place) {
                Ok(rung) => rungs.push(rung),
                Err(finding) => findings.push(finding),
            }
        }
    }
    if findings.is_empty() {
        let noise = if target.is_empty() {
            Noise::GREY_CARD
        } else {
            Noise::PHOTOGRAPHED
        };
        Ok((rungs, noise))
    } else {
        Err(findings)
    }
}

/// Mean of a rectangle, linear in light.
fn mean(photo: &Picture, patch: &Patch) -> Result<[f64; 3], Finding> {
    let [x, y, width, height] = patch.area;
    let inside = x >= 0.0
        && y >= 0.0
        && width >= 1.0
        && height >= 1.0
        && x + width <= f64::from(photo.width)
        && y + height <= f64::from(photo.height);
    if !inside {
        return Err(Finding::new(
            "patch-outside",
            Weight::Wrong,
            patch.place.clone(),
            say!(
                "This patch lies outside the photograph.",
                "Bidang ini di luar foto."
            ),
        )
        .allow(say!(
            "The photograph has {w} x {h} pixels; a patch has at least one.",
            "Foto berukuran {w} x {h} piksel; satu bidang paling sedikit satu piksel.",
            w = Arg::Number(f64::from(photo.width), 0),
            h = Arg::Number(f64::from(photo.height), 0)
        )));
    }
    let (left, top) = (x as usize, y as usize);
    let (right, bottom) = ((x + width) as usize, (y + height) as usize);
    let mut sum = [0.0; 3];
    for row in top..bottom {
        let start = 3 * (row * photo.width as usize + left);
        for pixel in photo.rgb[start..start + 3 * (right - left)].chunks_exact(3) {
            let linear = screen::from_bytes([pixel[0], pixel[1], pixel[2]]);
            for (s, v) in sum.iter_mut().zip(linear) {
                *s += v;
            }
        }
    }
    let count = ((right - left) * (bottom - top)) as f64;
    Ok(sum.map(|s| s / count))
}

/// Lines with something on them and where they stand; notes begin with #.
pub(super) fn lines(text: &str) -> Vec<(Range<usize>, &str)> {
    let mut at = 0;
    let mut lines = Vec::new();
    for line in text.split_inclusive('\n') {
        let bare = line.trim_end();
        if !bare.trim().is_empty() && !bare.starts_with('#') {
            lines.push((at..at + bare.len(), bare));
        }
        at += line.len();
    }
    lines
}

fn read(text: &str, path: &str) -> Result<Vec<Patch>, Vec<Finding>> {
    let place = |span: Range<usize>| Place::File {
        path: path.to_string(),
        span,
    };
    let lines = lines(text);
    let Some(((head_span, head), rows)) = lines.split_first() else {
        return Err(vec![no_columns(place(0..0), &AREA.join(","))]);
    };
    let comma = if head.contains(';') { ';' } else { ',' };
    let names: Vec<String> = head.split(comma).map(|n| n.trim().to_ascii_lowercase()).collect();
    let column = |name: &str| names.iter().position(|n| n == name);
    let missing: Vec<&str> = AREA.into_iter().filter(|n| column(n).is_none()).collect();
    if !missing.is_empty() {
        return Err(vec![no_columns(place(head_span.clone()), &missing.join(","))]);
    }
    let mut findings = Vec::new();
    let mut patches = Vec::new();
    for (span, line) in rows {
        let cells: Vec<&str> = line.split(comma).map(str::trim).collect();
        if cells.len() != names.len() {
            findings.push(wrong_width(place(span.clone()), cells.len(), names.len()));
            continue;
        }
        let mut bad = None;
        let mut number = |name: &str| -> Option<f64> {
            let cell = cells[column(name)?];
            if cell.is_empty() {
                return None;
            }
            let value = cell.parse().ok().filter(|v: &f64| v.is_finite());
            if value.is_none() {
                bad = Some(cell);
            }
            value
        };
        let area = AREA.map(&mut number);
        let (depth, grey) = (number("owf_pct"), number("grey"));
        let lab = LAB.map(&mut number);
        let whole: Option<Vec<f64>> = area.into_iter().collect();
        match (bad, whole) {
            (None, Some(area)) => patches.push(Patch {
                place: place(span.clone()),
                area: [area[0], area[1], area[2], area[3]],
                depth,
                grey,
                lab: match lab {
                    [Some(l), Some(a), Some(b)] => Some(Lab::new(l, a, b)),
                    _ => None,
                },
            }),
            (bad, _) => findings.push(no_number(place(span.clone()), bad.unwrap_or_default())),
        }
    }
    if findings.is_empty() {
        Ok(patches)
    } else {
        Err(findings)
    }
}

fn no_columns(place: Place, missing: &str) -> Finding {
    Finding::new(
        "patch-columns",
        Weight::Wrong,
        place,
        say!(
            "Columns are missing: {missing}.",
            "Kolom belum ada: {missing}.",
            missing = Arg::Name(missing.to_string())
        ),
    )
    .allow(say!(
        "A first line like {line}",
        "Baris pertama seperti {line}",
        line = Arg::Name("patch,x,y,width,height,owf_pct,grey".into())
    ))
}

fn wrong_width(place: Place, found: usize, wanted: usize) -> Finding {
    Finding::new(
        "patch-column-count",
        Weight::Wrong,
        place,
        say!(
            "This line has {found} values.",
            "Baris ini berisi {found} nilai.",
            found = Arg::Number(found as f64, 0)
        ),
    )
    .allow(say!(
        "The first line names {wanted} columns.",
        "Baris pertama menyebut {wanted} kolom.",
        wanted = Arg::Number(wanted as f64, 0)
    ))
}

fn no_number(place: Place, found: &str) -> Finding {
    Finding::new(
        "patch-number",
        Weight::Wrong,
        place,
        say!(
            "\"{found}\" is not a number.",
            "\"{found}\" bukan angka.",
            found = Arg::Name(found.chars().take(40).collect())
        ),
    )
    .allow(say!(
        "x, y, width and height are pixels; depth is % owf; grey is a reflectance like {example}.",
        "x, y, width, dan height dalam piksel; kedalaman dalam % owf; grey reflektansi seperti {example}.",
        example = Arg::Name("0.18".into())
    ))
}

fn no_card(place: Place) -> Finding {
    Finding::new(
        "photo-no-card",
        Weight::Wrong,
        place,
        say!(
            "No patch is a grey card or a target of known colours.",
            "Tidak ada bidang kartu abu-abu atau target warna."
        ),
    )
    .allow(say!(
        "One patch with {grey}, or six with {lab}.",
        "Satu bidang dengan {grey}, atau enam dengan {lab}.",
        grey = Arg::Name("grey".into()),
        lab = Arg::Name(LAB.join(","))
    ))
}
