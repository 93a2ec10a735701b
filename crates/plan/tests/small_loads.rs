//! What leaves a vessel together may be more than the next station takes in time.

use plan::solve::{Options, solve};
use plan::{Batch, Calendar, CalendarId, Lag, Lot, Operation, Problem, Resource, ResourceId, Window, judge};

/// A boil of three bolts must be rinsed within 15 minutes; a rinse takes 18, and there are two troughs. Three bolts
/// that boil together leave one of them waiting for 18 minutes: no full load can work, two and one can.
#[test]
fn a_load_is_made_smaller_where_the_next_station_is() {
    let open = CalendarId(0);
    let resource = |name: &str, capacity| Resource {
        name: name.to_string(),
        capacity,
        set_up: Vec::new(),
    };
    let (cauldron, trough) = (ResourceId(0), ResourceId(1));
    let mut boil = Operation::new("boil", 40, open).holding(cauldron, 1);
    boil.batch = Some(Batch {
        vessel: cauldron,
        capacity: 3,
        family: "white".to_string(),
    });
    let problem = Problem {
        calendars: vec![Calendar {
            name: "shop".to_string(),
            windows: vec![Window::new(480, 990)],
        }],
        resources: vec![resource("cauldron", 1), resource("trough", 2)],
        lots: vec![Lot {
            name: "seven".to_string(),
            bolts: 3,
            release: 0,
            due: 990,
            weight: 1,
            approval: None,
            route: vec![boil, Operation::new("rinse", 18, open).holding(trough, 1)],
            lags: vec![Lag {
                from: 0,
                to: 1,
                least: 0,
                most: Some(15),
            }],
        }],
        ..Problem::default()
    };
    let options = Options {
        tries: 200,
        ..Options::default()
    };
    let schedule = solve(&problem, &options, &mut |_, _| {}, &|| true).expect("a plan with smaller loads");
    assert_eq!(judge::check(&problem, &schedule), []);
}
