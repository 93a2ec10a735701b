//! What is said about columns and rows that cannot be read.

use super::Reading;
use super::columns::Role;
use super::resample::{MOST_FILLED_NM, Trouble, WIDEST_STEP_NM};
use super::table::{Cell, Table, place};
use words::{Arg, Finding, Place, Weight, say};

/// The bytes of a row.
pub(super) fn row_place(row: &[Cell], path: &str) -> Place {
    match (row.first(), row.last()) {
        (Some(first), Some(last)) if first.span.start <= last.span.end => {
            place(path, first.span.start..last.span.end)
        }
        (Some(first), _) => first.place(path),
        _ => place(path, 0..0),
    }
}

/// Columns that say nothing about colour, or say it twice.
pub(super) fn columns_finding(table: &Table, roles: &[Role], path: &str) -> Option<Finding> {
    let once = |role: &Role| !matches!(role, Role::Other | Role::PairWavelength | Role::PairValue(_));
    let same = |a: &Role, b: &Role| match (a, b) {
        (Role::Reflectance(a, _), Role::Reflectance(b, _)) => a == b,
        (a, b) => a == b,
    };
    let twice = roles
        .iter()
        .enumerate()
        .find(|(at, role)| once(role) && roles[..*at].iter().any(|r| same(r, role)));
    if let Some((at, _)) = twice
        && let Some(cell) = table.columns.get(at)
    {
        return Some(
            Finding::new(
                "measured-column-twice",
                Weight::Wrong,
                cell.place(path),
                say!(
                    "Column \"{name}\" stands twice.",
                    "Kolom \"{name}\" ada dua kali.",
                    name = Arg::Name(cell.text.to_string())
                ),
            )
            .remedy(say!(
                "Keep one of them. Several readings of a sample stand on lines of their own.",
                "Sisakan satu. Beberapa pembacaan satu contoh ditulis pada baris masing-masing."
            )),
        );
    }
    let whole = |kind: fn(usize) -> Role| (0..3).all(|axis| roles.contains(&kind(axis)));
    let colour = roles
        .iter()
        .any(|r| matches!(r, Role::Reflectance(..) | Role::PairValue(_) | Role::Hex))
        || whole(Role::Lab)
        || whole(Role::Xyz);
    (!colour).then(|| {
        Finding::new(
            "measured-no-colour",
            Weight::Wrong,
            row_place(&table.columns, path),
            say!("No column holds a colour.", "Tidak ada kolom yang berisi warna."),
        )
        .allow(say!(
            "Columns for reflectance (400, 410, ...), or LAB_L, LAB_A, LAB_B, or XYZ_X, XYZ_Y, XYZ_Z, or hex.",
            "Kolom reflektansi (400, 410, ...), atau LAB_L, LAB_A, LAB_B, atau XYZ_X, XYZ_Y, XYZ_Z, atau hex."
        ))
    })
}

/// A reflectance that cloth cannot have.
pub(super) fn out_of_range(value: f64, nm: f64, cell: &Cell, path: &str) -> Finding {
    Finding::new(
        "measured-range",
        Weight::Wrong,
        cell.place(path),
        say!(
            "The reflectance at {nm} nm is {value}.",
            "Reflektansi pada {nm} nm bernilai {value}.",
            nm = Arg::Number(nm, 0),
            value = Arg::Number(value, 4)
        ),
    )
    .allow(say!(
        "Reflectance lies between 0 and 1.2 (brightened whites pass 1).",
        "Reflektansi antara 0 dan 1,2 (putih berpencerah bisa melebihi 1)."
    ))
    .remedy(say!(
        "Calibrate the instrument on its white and black, and read this sample again.",
        "Kalibrasi alat dengan putih dan hitamnya, lalu baca ulang contoh ini."
    ))
}

/// A value of a pair without its wavelength.
pub(super) fn pair_finding(cell: &Cell, path: &str) -> Finding {
    Finding::new(
        "measured-pair",
        Weight::Wrong,
        cell.place(path),
        say!(
            "No wavelength stands before this value.",
            "Tidak ada panjang gelombang sebelum nilai ini."
        ),
    )
    .allow(say!(
        "Columns come in pairs: SPECTRAL_NM, then SPECTRAL_DEC or SPECTRAL_PCT.",
        "Kolom berpasangan: SPECTRAL_NM, lalu SPECTRAL_DEC atau SPECTRAL_PCT."
    ))
}

/// A depth that no dyeing has.
pub(super) fn depth_finding(depth: f64, cell: &Cell, path: &str) -> Finding {
    Finding::new(
        "measured-depth",
        Weight::Wrong,
        cell.place(path),
        say!(
            "The depth is {depth} % owf.",
            "Kedalaman warna {depth} % owf.",
            depth = Arg::Number(depth, 3)
        ),
    )
    .allow(say!(
        "Depths lie between 0 and 100 % owf.",
        "Kedalaman antara 0 dan 100 % owf."
    ))
}

/// Wavelengths that cannot be brought to 400 ... 700 nm.
pub(super) fn wavelength_finding(trouble: Trouble, place: Place) -> Finding {
    let nm = |v: f64| Arg::Number(v, 1);
    let (code, found) = match trouble {
        Trouble::NotRising(at) => (
            "measured-wavelength-twice",
            say!("{nm} nm stands twice.", "{nm} nm ada dua kali.", nm = nm(at)),
        ),
        Trouble::Missing(at) => (
            "measured-wavelength-missing",
            say!(
                "The reading at {nm} nm is missing.",
                "Nilai pada {nm} nm tidak ada.",
                nm = nm(at)
            ),
        ),
        Trouble::TooWide(at) => (
            "measured-wavelength-gap",
            say!(
                "The reading after {nm} nm is too far away.",
                "Nilai setelah {nm} nm terlalu jauh.",
                nm = nm(at)
            ),
        ),
        Trouble::TooShort(at) => (
            "measured-wavelength-range",
            say!(
                "The readings begin or end at {nm} nm.",
                "Nilai mulai atau berakhir pada {nm} nm.",
                nm = nm(at)
            ),
        ),
        Trouble::TooFew => (
            "measured-wavelength-few",
            say!(
                "There are fewer than two wavelengths.",
                "Kurang dari dua panjang gelombang."
            ),
        ),
    };
    Finding::new(code, Weight::Wrong, place, found)
        .allow(say!(
            "400 to 700 nm in steps of at most {step} nm; up to {filled} nm may be missing at either end.",
            "400 sampai 700 nm, selang paling lebar {step} nm; di tiap ujung boleh kurang sampai {filled} nm.",
            step = Arg::Number(WIDEST_STEP_NM, 0),
            filled = Arg::Number(MOST_FILLED_NM, 0)
        ))
        .remedy(say!(
            "Export all wavelengths of the instrument.",
            "Ekspor semua panjang gelombang dari alat."
        ))
}

/// Stated CIELAB far from that of the spectrum.
pub(super) fn lab_finding(reading: &Reading, off: f64) -> Finding {
    Finding::new(
        "measured-lab-disagrees",
        Weight::Doubtful,
        reading.place.clone(),
        say!(
            "The Lab values of {sample} lie {off} dE00 from those of its spectrum.",
            "Nilai Lab {sample} berjarak {off} dE00 dari nilai menurut spektrumnya.",
            sample = Arg::Name(reading.sample.clone()),
            off = Arg::Number(off, 1)
        ),
    )
    .allow(say!(
        "Both belong to the same light and observer. The spectrum is used.",
        "Keduanya harus untuk cahaya dan pengamat yang sama. Spektrum yang dipakai."
    ))
    .remedy(say!(
        "See which light and observer the instrument was set to.",
        "Periksa cahaya dan pengamat yang diatur di alat."
    ))
}

/// A light that is not tabulated here.
pub(super) fn light_finding(name: &str, place: Place) -> Finding {
    Finding::new(
        "measured-light",
        Weight::Wrong,
        place,
        say!(
            "The Lab or XYZ values are for {light}.",
            "Nilai Lab atau XYZ berlaku untuk {light}.",
            light = Arg::Name(name.to_string())
        ),
    )
    .allow(say!(
        "Lights known here are D65, A and F11.",
        "Cahaya yang dikenal di sini: D65, A, dan F11."
    ))
    .remedy(say!(
        "Export reflectance, or Lab for D65 and 10 degrees.",
        "Ekspor reflektansi, atau Lab untuk D65 dan 10 derajat."
    ))
}

/// Lab or XYZ without a light.
pub(super) fn assumed_viewing(place: Place) -> Finding {
    Finding::new(
        "measured-viewing-assumed",
        Weight::Doubtful,
        place,
        say!(
            "The file does not say for which light and observer its values are; D65 and 10 degrees are taken.",
            "Berkas tidak menyebut cahaya dan pengamat untuk nilainya; dipakai D65 dan 10 derajat."
        ),
    )
    .remedy(say!(
        "State the light and the observer, or write a header line {line}.",
        "Nyatakan cahaya dan pengamatnya, atau tulis baris kepala {line}.",
        line = Arg::Name("WEIGHTING_FUNCTION \"D65 10 degree\"".to_string())
    ))
}
