//! Hours, sun and visits.

use plan::calendar::*;
use plan::{Minute, Window};
use sky::{Date, Place, Weekday, Weekday::*};

const WORKDAYS: [Weekday; 6] = [Monday, Tuesday, Wednesday, Thursday, Friday, Saturday];

fn date(text: &str) -> Date {
    Date::parse(text).unwrap()
}

fn clock(h: Minute, m: Minute) -> Minute {
    h * 60 + m
}

/// 7:30 to 16:30 with a noon break, longer on Friday.
fn shop() -> Hours {
    Hours::closed()
        .open(&WORKDAYS, clock(7, 30), clock(16, 30))
        .pause(&WORKDAYS, clock(12, 0), clock(13, 0))
        .pause(&[Friday], clock(11, 30), clock(13, 30))
}

#[test]
fn a_week_has_its_breaks_and_its_sunday() {
    // 2026-01-05 is a Monday.
    let w = shop().windows(date("2026-01-05"), 7);
    assert_eq!(w.len(), 12);
    assert_eq!(w[..2], [Window::new(450, 720), Window::new(780, 990)]);
    let friday = 4 * 1440;
    assert_eq!(
        w[8..10],
        [
            Window::new(friday + 450, friday + 690),
            Window::new(friday + 810, friday + 990)
        ]
    );
    let minutes: Minute = w.iter().map(|w| w.length()).sum();
    assert_eq!(minutes, 5 * 480 + 420);
}

#[test]
fn the_plan_may_begin_on_any_day_and_exceptions_have_the_last_word() {
    let hours = shop()
        .except(date("2026-02-18"), date("2026-03-19"), &[Window::new(480, 840)])
        .holiday(date("2026-03-20"));
    // 2026-02-17 is a Tuesday, the 18th is inside the exception, Sunday the 22nd too.
    let w = hours.windows(date("2026-02-17"), 6);
    assert_eq!(
        w[..3],
        [
            Window::new(450, 720),
            Window::new(780, 990),
            Window::new(1440 + 480, 1440 + 840)
        ]
    );
    assert_eq!(w.len(), 7);
    assert!(hours.windows(date("2026-03-20"), 1).is_empty());
    assert_eq!(hours.windows(date("2026-03-21"), 2).len(), 2);
}

#[test]
fn night_shifts_touch_the_next_day() {
    let w = Hours::closed()
        .open(&[Monday, Tuesday], clock(20, 0), clock(30, 0))
        .windows(date("2026-01-05"), 3);
    assert_eq!(w, [Window::new(1200, 1800), Window::new(2640, 3240)]);
    let all_day = Hours::closed()
        .open(&[Monday, Tuesday], 0, 1440)
        .windows(date("2026-01-05"), 2);
    assert_eq!(all_day, [Window::new(0, 2880)]);
}

#[test]
fn fire_and_wax_warm_up_once_a_day() {
    let w = warm_up(&shop().windows(date("2026-01-05"), 2), 60);
    assert_eq!(
        w[..3],
        [
            Window::new(510, 720),
            Window::new(780, 990),
            Window::new(1950, 2160)
        ]
    );
    // A warm-up longer than the morning eats into the afternoon.
    assert_eq!(
        warm_up(&[Window::new(0, 50), Window::new(100, 200)], 70),
        [Window::new(120, 200)]
    );
}

#[test]
fn the_sun_of_the_equator() {
    let yard = SunHours {
        place: Place {
            latitude: -3.8,
            longitude: 102.3,
        },
        utc_offset: 420,
        elevation: 40.0,
        rain_margin: [90, 60, 60, 0, 0, 0, 0, 0, 0, 60, 90, 90],
    };
    // Common practice near the equator, no source: cloth dries in the sun from about 9:00 to 15:00.
    let june = yard.windows(date("2026-06-21"), 1)[0];
    let january = yard.windows(date("2026-01-21"), 1)[0];
    println!("June {june:?}, January {january:?}");
    assert!(
        (clock(8, 40)..clock(10, 0)).contains(&june.start)
            && (clock(14, 0)..clock(15, 30)).contains(&june.end)
    );
    let dry = SunHours {
        rain_margin: [0; 12],
        ..yard.clone()
    }
    .windows(date("2026-01-21"), 1)[0];
    assert_eq!((dry.start, dry.end - january.end), (january.start, 90));
    // The sun never stands that high at 66 degrees in winter.
    let north = SunHours {
        place: Place {
            latitude: 66.0,
            longitude: 25.7,
        },
        utc_offset: 120,
        ..yard
    };
    assert!(north.windows(date("2026-12-01"), 20).is_empty());
}

#[test]
fn visits_in_the_second_week() {
    // January 2026: Mondays on the 5th and the 12th; May 2026: on the 4th and the 11th.
    let w = intersect(
        &visit_weeks(2, date("2026-01-01"), 31),
        &shop().windows(date("2026-01-01"), 31),
    );
    assert_eq!(w.len(), 12);
    assert_eq!(w[0].start, 11 * 1440 + 450);
    let may = visit_weeks(2, date("2026-05-01"), 31);
    assert_eq!(may, [Window::new(10 * 1440, 17 * 1440)]);
}

#[test]
fn sets_of_windows_agree_with_single_minutes() {
    let mut seed = 11u64;
    let mut next = |n: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        ((seed >> 33) % n) as Minute
    };
    for _ in 0..300 {
        let mut some = || {
            let raw: Vec<Window> = (0..next(6))
                .map(|_| (next(100), next(20)))
                .map(|(s, l)| Window::new(s, s + l))
                .collect();
            union(&raw, &[])
        };
        let (a, b) = (some(), some());
        let within = |w: &[Window], m: Minute| w.iter().any(|w| w.start <= m && m < w.end);
        for m in 0..130 {
            let (x, y) = (within(&a, m), within(&b, m));
            assert_eq!(within(&union(&a, &b), m), x || y);
            assert_eq!(within(&intersect(&a, &b), m), x && y);
            assert_eq!(within(&subtract(&a, &b), m), x && !y);
        }
    }
}
