//! Today's weather, entered in the morning.

mod common;

use common::instance;
use plan::solve::{Options, solve, weathered};
use plan::*;

/// The sun yard is shut for a day, or for its afternoon: what has begun stands, nothing new is done in the sun then, and
/// the rest can be worked.
#[test]
fn a_wet_day_is_repaired() {
    for name in ["b010_tight", "b040_loose"] {
        let (problem, _) = instance(name);
        let options = Options {
            tries: 50,
            ..Options::default()
        };
        let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
        let sun = problem
            .calendars
            .iter()
            .position(|c| c.name.contains("sun"))
            .map(CalendarId)
            .unwrap();
        for (now, shut) in [
            (1440 + 420, Window::new(1440, 2880)),
            (1440 + 600, Window::new(1440 + 780, 2880)),
        ] {
            let (wet, repaired) = weathered(&problem, &plan, &[sun], &[shut], now).unwrap();
            assert_eq!(judge::check(&wet, &repaired), [], "{name}");
            for (spot, was) in &plan.placed {
                let is = repaired.placed[spot];
                assert!(was.start >= now || is == *was, "{name}: {spot:?} had begun");
                assert!(is.start >= was.start, "{name}: a repair moves nothing forward");
                let dries = problem.lots[spot.lot].route[spot.operation].calendar == sun;
                let outside = Window::new(is.start.max(shut.start), is.end.min(shut.end)).length() > 0;
                assert!(
                    !(dries && outside && was.start >= now),
                    "{name}: {spot:?} hangs in the rain"
                );
            }
            let hit = |(spot, was): (&Spot, &Placed)| {
                let dries = problem.lots[spot.lot].route[spot.operation].calendar == sun;
                dries && was.start >= now && was.start < shut.end && was.end > shut.start
            };
            assert_eq!(plan.placed.iter().any(hit), plan != repaired, "{name}");
        }
    }
}
