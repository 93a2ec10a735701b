//! What each column of a file is, by its name.

use super::Scale;
use super::table::Cell;

/// What a column holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Role {
    /// Which sample or reading: `SAMPLE_ID`, `sample`, `id`.
    Id,
    /// What readings of one sample share: `SAMPLE_NAME`, `name`.
    Name,
    /// Number of the reading.
    Reading,
    /// Reflectance at this wavelength, nm, and how it is written if the name says so.
    Reflectance(f64, Option<Scale>),
    /// A wavelength; the value stands in the next [`Role::PairValue`] column.
    PairWavelength,
    /// Reflectance at the wavelength before it.
    PairValue(Scale),
    /// CIELAB: 0 for L*, 1 for a*, 2 for b*.
    Lab(usize),
    /// XYZ: 0, 1, 2.
    Xyz(usize),
    /// sRGB as `#rrggbb`.
    Hex,
    /// Depth of a dye, % owf.
    Depth(String),
    /// Geometry of the instrument.
    Geometry,
    /// Not looked at.
    Other,
}

/// Names of depths begin so; the dye's id may follow.
const DEPTH: &str = "OWF_PCT";

/// Shortest and longest wavelength that a column may name, nm: beyond them a number is something else.
const WAVELENGTHS: std::ops::RangeInclusive<f64> = 200.0..=2500.0;

/// What a column holds.
pub(super) fn role(name: &Cell) -> Role {
    let name = name.text.trim().to_ascii_uppercase();
    match name.as_str() {
        "SAMPLE_ID" | "SAMPLEID" | "SAMPLE" | "ID" => Role::Id,
        "SAMPLE_NAME" | "SAMPLENAME" | "NAME" => Role::Name,
        "READING" | "READING_NUMBER" => Role::Reading,
        "SPECTRAL_NM" => Role::PairWavelength,
        "SPECTRAL_DEC" => Role::PairValue(Scale::Fraction),
        "SPECTRAL_PCT" => Role::PairValue(Scale::Percent),
        "LAB_L" | "L*" | "L" => Role::Lab(0),
        "LAB_A" | "A*" | "A" => Role::Lab(1),
        "LAB_B" | "B*" | "B" => Role::Lab(2),
        "XYZ_X" | "X" => Role::Xyz(0),
        "XYZ_Y" | "Y" => Role::Xyz(1),
        "XYZ_Z" | "Z" => Role::Xyz(2),
        "HEX" | "SRGB" | "SRGB_HEX" => Role::Hex,
        "GEOMETRY" | "MEASUREMENT_GEOMETRY" => Role::Geometry,
        _ => depth(&name).or_else(|| reflectance(&name)).unwrap_or(Role::Other),
    }
}

fn depth(name: &str) -> Option<Role> {
    let rest = name.strip_prefix(DEPTH)?;
    if rest.is_empty() {
        return Some(Role::Depth(String::new()));
    }
    // Ids are small letters and hyphens; keywords of CGATS are capitals and underscores.
    let dye = rest.strip_prefix('_')?.to_ascii_lowercase().replace('_', "-");
    Some(Role::Depth(dye))
}

fn reflectance(name: &str) -> Option<Role> {
    const PREFIXES: [(&str, Option<Scale>); 6] = [
        ("SPECTRAL_NM", None),
        ("SPECTRAL_DEC", Some(Scale::Fraction)),
        ("SPECTRAL_PCT", Some(Scale::Percent)),
        ("NM", None),
        ("R", None),
        ("", None),
    ];
    let percent = name.contains('%');
    let bare = name.replace(['%', '(', ')'], "");
    PREFIXES.iter().find_map(|(prefix, scale)| {
        let rest = bare.trim().strip_prefix(prefix)?.trim_start_matches('_').trim();
        let rest = rest.strip_suffix("NM").unwrap_or(rest).trim();
        // `parse` would take "1e3" and "inf" too.
        let plain = rest.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let nm: f64 = rest.parse().ok().filter(|_| plain)?;
        WAVELENGTHS
            .contains(&nm)
            .then_some(Role::Reflectance(nm, scale.or(percent.then_some(Scale::Percent))))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names() {
        let role = |text: &str| role(&Cell { text, span: 0..0 });
        for name in [
            "400",
            "400 nm",
            "R400",
            "nm400",
            "SPECTRAL_NM400",
            "SPECTRAL_NM_400",
            "400.0",
        ] {
            assert_eq!(role(name), Role::Reflectance(400.0, None), "{name}");
        }
        assert_eq!(
            role("SPECTRAL_PCT400"),
            Role::Reflectance(400.0, Some(Scale::Percent))
        );
        assert_eq!(role("400 nm (%)"), Role::Reflectance(400.0, Some(Scale::Percent)));
        assert_eq!(
            role("spectral_dec700"),
            Role::Reflectance(700.0, Some(Scale::Fraction))
        );
        assert_eq!(role("OWF_PCT"), Role::Depth(String::new()));
        assert_eq!(role("owf_pct_scarlet-vs"), Role::Depth("scarlet-vs".into()));
        assert_eq!(role("OWF_PCT_SCARLET_VS"), Role::Depth("scarlet-vs".into()));
        for name in [
            "RGB_R", "1e3", "inf", "19", "2501", "STDEV_DE", "", "%", "OWF_PCTX",
        ] {
            assert_eq!(role(name), Role::Other, "{name}");
        }
    }
}
