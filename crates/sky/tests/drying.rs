//! Laws of drying, and the workshop's own figures.

use sky::*;

const PER_HOUR: f64 = 3600.0;

fn warm() -> Air {
    Air::at_sea_level(30.0, 0.7)
}

#[test]
fn water_to_lose_over_rate() {
    // Worked by hand: (0.9 - 0.3) x 0.125 x 3.44 / 0.5 = 0.516 h = 31 min; 0.9 x 0.125 / 0.5 = 13.5 min.
    let rate = 0.5 / PER_HOUR;
    let package = drying_time(0.9, 0.125, 3.44, 0.3, rate) / 60.0;
    let single = drying_time(0.9, 0.125, 1.0, 0.0, rate) / 60.0;
    assert_eq!(package.round(), 31.0);
    assert!((single - 13.5).abs() < 1e-9);
    assert_eq!(drying_time(0.2, 0.125, 1.0, 0.3, rate), 0.0);
    assert_eq!(drying_time(0.9, 0.125, 1.0, 0.3, 0.0), f64::INFINITY);
}

#[test]
fn absorbed_heat_alone_evaporates_its_share() {
    // 600 W/m2 / 2.43 MJ/kg = 0.89 kg/(m2 h): the ceiling that the sun's own heat sets when the air gives none.
    assert!((600.0 / latent_heat(30.0) * PER_HOUR - 0.89).abs() < 0.005);
}

#[test]
fn rates_fall_in_the_range_of_common_practice() {
    // Common practice, no source: flat in the sun with a breeze 0.3-0.8 kg/m2 h, hung 0.5-1.2, overcast
    // 0.15-0.3, at night in damp air below 0.1.
    let rate = |air: Air, e: Exposure| drying_rate(&air, &e).rate * PER_HOUR;
    let flat = rate(warm(), Exposure::new(800.0, 1.5, false));
    let hung = rate(warm(), Exposure::new(800.0, 1.5, true));
    let dull = rate(
        warm(),
        Exposure {
            cloud: 1.0,
            ..Exposure::new(150.0, 1.0, false)
        },
    );
    let night = rate(
        Air::at_sea_level(24.0, 0.95),
        Exposure {
            cloud: 0.5,
            ..Exposure::new(0.0, 0.5, true)
        },
    );
    println!("flat {flat:.3}, hung {hung:.3}, overcast {dull:.3}, night {night:.3} kg/m2 h");
    assert!((0.3..0.8).contains(&flat) && (0.5..1.2).contains(&hung));
    assert!((0.12..0.3).contains(&dull) && night < 0.1);
}

#[test]
fn without_sun_and_sky_the_cloth_is_a_wet_bulb() {
    // With equal transfer of heat and vapour (Lewis share 1), no sun, and a sky as warm as the air, the wet
    // cloth must stand at the wet-bulb temperature, but for the little heat it glows.
    let air = warm();
    let still = Exposure {
        absorptance: 0.0,
        cloud: 1.0,
        lewis_share: 1.0,
        ..Exposure::new(0.0, 30.0, true)
    };
    let cloth = drying_rate(&air, &still).celsius;
    assert!(
        (cloth - wet_bulb(&air)).abs() < 0.15,
        "{cloth} {}",
        wet_bulb(&air)
    );
}

#[test]
fn heat_balances_and_more_of_anything_good_dries_faster() {
    let base = Exposure::new(600.0, 1.5, false);
    let rate = |air: &Air, e: &Exposure| drying_rate(air, e).rate;
    let here = rate(&warm(), &base);
    assert!(
        rate(
            &warm(),
            &Exposure {
                irradiance: 900.0,
                ..base
            }
        ) > here
    );
    assert!(
        rate(
            &Air {
                humidity: 0.5,
                ..warm()
            },
            &base
        ) > here
    );
    assert!(
        rate(
            &Air {
                celsius: 34.0,
                ..warm()
            },
            &base
        ) > here
    );
    assert!(rate(&warm(), &Exposure { faces: 2.0, ..base }) > here);
    // Wind cools the sunlit cloth and carries vapour away at once; in damp warm air it still helps.
    assert!(rate(&warm(), &Exposure { wind: 4.0, ..base }) > here);
    // Saturated air without sun takes nothing.
    assert!(
        rate(
            &Air {
                humidity: 1.0,
                ..warm()
            },
            &Exposure {
                cloud: 1.0,
                ..Exposure::new(0.0, 2.0, true)
            }
        ) < 1e-9
    );
}

#[test]
fn a_sunny_day_agrees_with_penman_within_the_stated_factor() {
    // Twelve hours of sun on a cloth kept wet against open water under the same mean sky (net 15 MJ/m2 a day).
    let day = sun_day(
        Place {
            latitude: -3.8,
            longitude: 102.3,
        },
        Date::new(2025, 6, 15).unwrap(),
        420.0,
        0.0,
    );
    let (rise, set) = day.above.unwrap();
    let mut water = 0.0;
    for m in rise as i32..set as i32 {
        let s = sun(
            Place {
                latitude: -3.8,
                longitude: 102.3,
            },
            Date::new(2025, 6, 15).unwrap(),
            f64::from(m),
            420.0,
        );
        let e = Exposure::new(haurwitz(s.apparent) * 0.8, 1.5, false);
        water += drying_rate(&Air::at_sea_level(29.0, 0.75), &e).rate * 60.0;
    }
    let penman = penman_open_water(&Air::at_sea_level(27.0, 0.8), 15.0, 1.5);
    println!("cloth {water:.2}, open water {penman:.2} mm");
    assert!((penman / 2.0..penman * 2.0).contains(&water), "{water} {penman}");
}
