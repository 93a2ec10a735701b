//! Approved cloth as the target of a window: photographed strike-offs, or a file of colours.
//!
//! A file of colours is a table with one line a colour: `region,lab_l,lab_a,lab_b,share`. Regions are `ground` and `motif`;
//! CIELAB is for daylight and 10 degrees; `share`, the part of the region that has this colour, may be left out.

use super::patches::lines;
use super::photo::Piece;
use cloth::Region;
use cloth::photo::colours_of;
use cloth::window::{Shade, Target};
use colour::Lab;
use std::ops::Range;
use words::{Arg, Finding, Place, Weight, say};

const COLUMNS: [&str; 4] = ["region", "lab_l", "lab_a", "lab_b"];
const SHARE: &str = "share";

/// Colours of approved cloth, as they come in; [`Approved::target`] makes a target of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Approved {
    /// Files that they came from.
    pub files: Vec<String>,
    /// Are some from a photograph? Then they stray by [`super::photo::ALLOWANCE`].
    pub photographed: bool,
    ground: Vec<(Lab, f64)>,
    motif: Vec<(Lab, f64)>,
}

impl Approved {
    /// Adds a photographed piece; several are pooled by area.
    ///
    /// # Errors
    /// If the stamp's drawing was not found on it: ground and motif cannot be told apart.
    pub fn add_piece(&mut self, piece: &Piece, file: &str, place: &Place) -> Result<(), Finding> {
        let Some(laid) = &piece.laid else {
            return Err(Finding::new(
                "approved-no-drawing",
                Weight::Wrong,
                place.clone(),
                say!(
                    "the stamp's drawing was not found on this photograph: ground and motif cannot be told apart",
                    "gambar cap tidak ditemukan di foto ini: latar dan motif tidak dapat dibedakan"
                ),
            )
            .remedy(say!(
                "photograph a larger piece, or give the approved colours as a table",
                "foto potongan yang lebih besar, atau tulis warna acc sebagai tabel"
            )));
        };
        for (list, region) in [
            (&mut self.ground, Region::Ground),
            (&mut self.motif, Region::Motif),
        ] {
            list.extend(
                colours_of(&piece.sheet, laid, region)
                    .into_iter()
                    .map(|lab| (lab, 1.0)),
            );
        }
        self.photographed = true;
        self.files.push(file.to_string());
        Ok(())
    }

    /// Adds the colours of a table. `path` is what findings call it.
    ///
    /// # Errors
    /// Findings for every line that cannot be read.
    pub fn add_colours(&mut self, text: &str, path: &str) -> Result<(), Vec<Finding>> {
        let place = |span: Range<usize>| Place::File {
            path: path.to_string(),
            span,
        };
        let lines = lines(text);
        let Some(((head_span, head), rows)) = lines.split_first() else {
            return Err(vec![no_columns(place(0..0), &COLUMNS.join(","))]);
        };
        let names: Vec<&str> = head.split(',').map(str::trim).collect();
        let column = |name: &str| names.iter().position(|n| *n == name);
        let missing: Vec<&str> = COLUMNS.into_iter().filter(|n| column(n).is_none()).collect();
        if !missing.is_empty() {
            return Err(vec![no_columns(place(head_span.clone()), &missing.join(","))]);
        }
        let mut findings = Vec::new();
        let (mut ground, mut motif) = (Vec::new(), Vec::new());
        for (span, line) in rows {
            let cells: Vec<&str> = line.split(',').map(str::trim).collect();
            let cell = |name: &str| {
                column(name)
                    .and_then(|at| cells.get(at))
                    .copied()
                    .unwrap_or_default()
            };
            let number = |name: &str, range: std::ops::RangeInclusive<f64>| {
                let value: Option<f64> = cell(name).parse().ok();
                value.filter(|v| range.contains(v)).ok_or_else(|| cell(name))
            };
            let share = match column(SHARE) {
                Some(_) => number(SHARE, 0.0..=1e6),
                None => Ok(1.0),
            };
            let lab = [
                number("lab_l", 0.0..=100.0),
                number("lab_a", -150.0..=150.0),
                number("lab_b", -150.0..=150.0),
            ];
            match (cell("region"), lab, share) {
                (region @ ("ground" | "motif"), [Ok(l), Ok(a), Ok(b)], Ok(share)) => {
                    let list = if region == "ground" {
                        &mut ground
                    } else {
                        &mut motif
                    };
                    list.push((Lab::new(l, a, b), share));
                }
                ("ground" | "motif", lab, share) => {
                    let bad = lab
                        .into_iter()
                        .chain([share])
                        .find_map(Result::err)
                        .unwrap_or_default();
                    findings.push(unreadable(place(span.clone()), bad));
                }
                (other, ..) => findings.push(unreadable(place(span.clone()), other)),
            }
        }
        if findings.is_empty() && Shade::of(ground.iter().copied()).is_none() {
            findings.push(unreadable(place(head_span.clone()), "").remedy(say!(
                "give at least one colour of the ground with a share above 0",
                "tulis paling sedikit satu warna latar dengan bagian di atas 0"
            )));
        }
        if !findings.is_empty() {
            return Err(findings);
        }
        self.ground.extend(ground);
        self.motif.extend(motif);
        self.files.push(path.to_string());
        Ok(())
    }

    /// What finished cloth is held against; `None` if nothing was added.
    pub fn target(&self) -> Option<Target> {
        let shade = |list: &[(Lab, f64)]| Shade::of(list.iter().copied());
        Some(Target::Approved(shade(&self.ground)?, shade(&self.motif)))
    }
}

fn no_columns(place: Place, missing: &str) -> Finding {
    let found = say!(
        "columns are missing: {missing}",
        "kolom belum ada: {missing}",
        missing = Arg::Name(missing.to_string())
    );
    Finding::new("approved-columns", Weight::Wrong, place, found).allow(say!(
        "a first line like {line}, or a photograph's description that ends in {toml}",
        "baris pertama seperti {line}, atau keterangan foto yang berakhir {toml}",
        line = Arg::Name(format!("{},{SHARE}", COLUMNS.join(","))),
        toml = Arg::Name(".toml".into())
    ))
}

fn unreadable(place: Place, found: &str) -> Finding {
    let found = say!(
        "\"{found}\" is no region or number of an approved colour",
        "\"{found}\" bukan wilayah atau angka warna acc",
        found = Arg::Name(found.chars().filter(|c| !c.is_control()).take(40).collect())
    );
    Finding::new("approved-colour", Weight::Wrong, place, found).allow(say!(
        "{ground} or {motif}, L* from 0 to 100, a* and b* from -150 to 150, a share of 0 or more",
        "{ground} atau {motif}, L* dari 0 sampai 100, a* dan b* dari -150 sampai 150, bagian 0 atau lebih",
        ground = Arg::Name("ground".into()),
        motif = Arg::Name("motif".into())
    ))
}

#[cfg(test)]
mod tests {
    use super::Approved;
    use cloth::window::Target;

    /// Two greys of L* 60 and 70, three parts to one: mean 62.5, deviation sqrt(3/16) x 10 = 4.33.
    #[test]
    fn a_table_becomes_a_target() {
        let mut approved = Approved::default();
        let table = "# strike-off of 14 December\nregion,lab_l,lab_a,lab_b,share\nground,60,0,0,0.75\nground, 70, 0, 0, 0.25\nmotif,30,40,10,1\n";
        approved.add_colours(table, "acc.csv").unwrap();
        let Some(Target::Approved(ground, Some(motif))) = approved.target() else {
            panic!("ground and motif")
        };
        assert!((ground.mean.l - 62.5).abs() < 1e-9 && (ground.spread[0] - 4.330_127).abs() < 1e-6);
        assert!((motif.mean.a - 40.0).abs() < 1e-9 && motif.spread[0] < 1e-6);
        assert_eq!(Approved::default().target(), None);
    }

    #[test]
    fn what_is_no_colour_is_said_with_its_place() {
        let refused = |table: &str| {
            let findings = Approved::default().add_colours(table, "acc.csv").unwrap_err();
            (findings[0].code, findings.len())
        };
        assert_eq!(refused(""), ("approved-columns", 1));
        assert_eq!(refused("region,lab_l\n"), ("approved-columns", 1));
        let head = "region,lab_l,lab_a,lab_b\n";
        assert_eq!(refused(head), ("approved-colour", 1));
        assert_eq!(
            refused(&format!("{head}sky,1,2,3\nground,x,2,3\nground,50,2\n")),
            ("approved-colour", 3)
        );
        assert_eq!(refused(&format!("{head}motif,50,2,3\n")), ("approved-colour", 1));
        assert_eq!(
            refused(&format!("{head}ground,nan,2,3\n")),
            ("approved-colour", 1)
        );
        let mut plain = Approved::default();
        plain
            .add_colours(&format!("{head}ground,50,2,3\n"), "acc.csv")
            .unwrap();
        assert!(plain.target().is_some());
    }
}
