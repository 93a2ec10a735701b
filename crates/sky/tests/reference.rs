//! Against published and independently computed figures; sources stand in each file's first line.

use sky::*;

/// Rows of a file in `tests/data`, by column name. The guard is the number of rows.
fn table(name: &str, rows: usize) -> Vec<std::collections::HashMap<String, String>> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let mut lines = text.lines().filter(|l| !l.starts_with('#'));
    let head: Vec<_> = lines.next().unwrap().split(',').map(str::to_string).collect();
    let all: Vec<_> = lines
        .map(|l| {
            head.iter()
                .cloned()
                .zip(l.split(',').map(str::to_string))
                .collect()
        })
        .collect();
    assert_eq!(all.len(), rows, "{name}");
    all
}

type Row = std::collections::HashMap<String, String>;

fn number(row: &Row, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column}: {:?}", row[column]))
}

/// `2027-01-15T07:30:00.5+08:00` as (date, minutes after midnight, offset in minutes).
fn moment(text: &str) -> (Date, f64, f64) {
    let (date, rest) = text.split_once('T').unwrap();
    let (clock, zone) = match rest.find(['+', 'Z']) {
        Some(i) => (&rest[..i], &rest[i..]),
        None => panic!("no zone in {text}"),
    };
    let parts: Vec<f64> = clock.split(':').map(|p| p.parse().unwrap()).collect();
    let offset = if zone == "Z" {
        0.0
    } else {
        zone[1..3].parse::<f64>().unwrap() * 60.0
    };
    (
        Date::parse(date).unwrap(),
        parts[0] * 60.0 + parts[1] + parts[2] / 60.0,
        offset,
    )
}

fn place(row: &Row) -> Place {
    Place {
        latitude: number(row, "lat"),
        longitude: number(row, "lon"),
    }
}

#[test]
fn the_sun_stands_where_spa_puts_it() {
    let (mut worst, mut worst_azimuth) = (0.0f64, 0.0f64);
    for row in table("sun_position.csv", 291) {
        let (date, minutes, offset) = moment(&row["time"]);
        let s = sun(place(&row), date, minutes, offset);
        worst = worst.max((s.elevation - number(&row, "elevation_deg")).abs());
        // Near the zenith the azimuth turns fast: compare the arc, not the angle.
        let arc = ((s.azimuth - number(&row, "azimuth_deg") + 180.0).rem_euclid(360.0) - 180.0).abs()
            * s.elevation.to_radians().cos();
        worst_azimuth = worst_azimuth.max(arc);
        if s.elevation > 1.0 {
            let seen = number(&row, "apparent_elevation_deg");
            assert!(
                (s.apparent - seen).abs() < 0.02,
                "{} {} {seen}",
                row["time"],
                s.apparent
            );
        }
    }
    println!("worst elevation {worst:.4}, worst azimuth arc {worst_azimuth:.4} degrees");
    assert!(worst < 0.01 && worst_azimuth < 0.01, "{worst} {worst_azimuth}");
}

#[test]
fn the_sun_rises_and_sets_when_spa_says() {
    let mut never = 0;
    for row in table("sun_rise_set.csv", 72) {
        let date = Date::parse(&row["local_date"]).unwrap();
        // Events are compared in minutes of UTC; the offset only picks the local day.
        let offset = (number(&row, "lon") / 15.0).round() * 60.0;
        let day = sun_day(place(&row), date, offset, -0.8333);
        let Some((rise, set)) = day.above else {
            assert!(
                row["sunrise_utc"].is_empty() && row["sunset_utc"].is_empty(),
                "{row:?}"
            );
            never += 1;
            continue;
        };
        for (got, column) in [
            (rise, "sunrise_utc"),
            (day.transit, "transit_utc"),
            (set, "sunset_utc"),
        ] {
            let (utc_date, minutes, _) = moment(&row[column]);
            // The library works in UTC dates: a sunrise that falls on the date before in UTC is printed with
            // the time of the next local day's sunrise (found by comparing with both: 2-50 s against < 6).
            let (got, want) = if utc_date < date {
                let next = sun_day(place(&row), date.plus(1), offset, -0.8333).above.unwrap();
                (next.0, minutes + offset - 1440.0)
            } else {
                (got, minutes + offset)
            };
            let seconds = (got - want).abs() * 60.0;
            // At 66 degrees the sun crosses the horizon at a slant.
            let limit = if number(&row, "lat") > 60.0 { 10.0 } else { 5.0 };
            assert!(seconds < limit, "{} {date} {column}: {seconds} s", row["place"]);
        }
    }
    assert_eq!(never, 1);
}

#[test]
fn a_sun_that_never_sets_is_said() {
    let north = Place {
        latitude: 68.0,
        longitude: 15.0,
    };
    let summer = sun_day(north, Date::new(2025, 6, 21).unwrap(), 120.0, -0.8333);
    let winter = sun_day(north, Date::new(2025, 12, 21).unwrap(), 60.0, -0.8333);
    assert!(summer.above.is_none() && summer.highest > 40.0);
    assert!(winter.above.is_none() && winter.highest < -0.8333);
}

#[test]
fn clear_skies_agree_with_the_published_models() {
    for row in table("sun_position.csv", 291) {
        let apparent = number(&row, "apparent_elevation_deg");
        let want = number(&row, "ghi_haurwitz_W_m2");
        assert!(
            (haurwitz(apparent) - want).abs() < 0.002 + want * 1e-5,
            "{apparent}"
        );
    }
    for row in table("clear_sky.csv", 171) {
        let apparent = 90.0 - number(&row, "zenith_apparent_deg");
        let (date, _, _) = moment(&row["utc"]);
        assert!((extraterrestrial(date) - number(&row, "I0_spencer_Wm2")).abs() < 0.01);
        let got = ineichen(apparent, 4.0, number(&row, "alt_m"), date);
        for (got, column) in [
            (got.global, "ineichen_TL4_ghi"),
            (got.beam, "ineichen_TL4_dni"),
            (got.diffuse, "ineichen_TL4_dhi"),
        ] {
            let want = number(&row, column);
            assert!(
                (got - want).abs() < 0.2 + 0.002 * want,
                "{} {column}: {got} {want}",
                row["utc"]
            );
        }
    }
}

#[test]
fn air_holds_what_ashrae_says() {
    for row in table("saturation_pressure.csv", 21) {
        let want = number(&row, "ashrae_hyland_wexler_Pa");
        assert!((saturation_pressure(number(&row, "T_C")) / want - 1.0).abs() < 1e-6);
    }
    for (file, rows, t, rh) in [
        ("moist_air.csv", 45, "T_C", "RH"),
        ("psychrometrics.csv", 126, "T_C", "RH"),
    ] {
        for row in table(file, rows) {
            let pressure = row.get("P_Pa").map_or(SEA_LEVEL_PA, |p| p.parse().unwrap());
            let air = Air {
                celsius: number(&row, t),
                humidity: number(&row, rh),
                pressure,
            };
            let wants = if file == "moist_air.csv" {
                ["humidity_ratio", "wet_bulb_C", "dew_point_C"]
            } else {
                ["W_kg_per_kg", "Twb_C", "Tdew_C"]
            };
            assert!((humidity_ratio(&air) / number(&row, wants[0]) - 1.0).abs() < 1e-5);
            assert!(
                (wet_bulb(&air) - number(&row, wants[1])).abs() < 0.005,
                "{air:?} {}",
                wet_bulb(&air)
            );
            assert!(
                (dew_point(&air).unwrap() - number(&row, wants[2])).abs() < 0.005,
                "{air:?}"
            );
        }
    }
    assert_eq!(dew_point(&Air::at_sea_level(30.0, 0.0)), None);
}

#[test]
fn fao_56_examples() {
    let printed = |example: &str, quantity: &str, column: &str| {
        let rows = table("fao56_examples.csv", 22);
        let row = rows
            .iter()
            .find(|r| r["example"] == example && r["quantity"].starts_with(quantity))
            .unwrap();
        number(row, column)
    };
    let published = |example: &str, quantity: &str| printed(example, quantity, "published");
    let round = |x: f64, digits: i32| (x * 10f64.powi(digits)).round() / 10f64.powi(digits);
    // Example 3: the mean of the saturation pressures of the day's warmest and coldest hour, kPa.
    let mean = (saturation_pressure(24.5) + saturation_pressure(15.0)) / 2000.0;
    assert_eq!(round(mean, 2), published("ex3", "es"));
    // Example 14 and 18: wind to 2 m.
    assert_eq!(
        round(wind_at_two_metres(3.2, 10.0).unwrap(), 1),
        published("ex14", "u2")
    );
    assert_eq!(
        round(wind_at_two_metres(10.0 / 3.6, 10.0).unwrap(), 3),
        published("ex18", "u2")
    );
    assert_eq!(wind_at_two_metres(3.0, 0.05), None);
    // Examples 8 and 9: 3 September at 20 S. FAO-56 uses a simpler sun, whose declination on that day is 6.9
    // degrees where it stands at 7.6; at 20 S that alone makes 0.9 %: added up minute by minute, ours must
    // agree within 1.2 %.
    let (south, date) = (
        Place {
            latitude: -20.0,
            longitude: 0.0,
        },
        Date::new(2025, 9, 3).unwrap(),
    );
    let day = |m: i32| {
        sun(south, date, f64::from(m), 0.0)
            .elevation
            .to_radians()
            .sin()
            .max(0.0)
    };
    let joules: f64 = (0..1440).map(|m| extraterrestrial(date) * day(m) * 60.0).sum();
    assert!(
        (joules / 1e6 / published("ex8", "Ra") - 1.0).abs() < 0.012,
        "{joules}"
    );
    let (rise, set) = sun_day(south, date, 0.0, 0.0).above.unwrap();
    assert!(((set - rise) / 60.0 - printed("ex9", "N", "recomputed")).abs() < 0.05);
}

#[test]
fn penmans_open_water() {
    for row in table("penman_open_water.csv", 81) {
        let air = Air {
            celsius: number(&row, "T_C"),
            humidity: number(&row, "RH"),
            pressure: number(&row, "P_kPa") * 1000.0,
        };
        let got = penman_open_water(&air, number(&row, "Rn_MJ_m2_d"), number(&row, "u2_m_s"));
        assert!((got - number(&row, "E_mm_d")).abs() < 1e-7, "{got} {row:?}");
    }
}
