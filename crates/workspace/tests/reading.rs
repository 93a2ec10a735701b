//! What is read from right files: the demonstration as a whole, and what may change without changing anything.

mod common;

use common::Folder;
use route::Climate;
use sky::Date;
use std::collections::BTreeSet;
use units::Celsius;
use words::{Language, Weight};
use workspace::{Shift, WhenWet, Workspace};

fn day(text: &str) -> Date {
    Date::parse(text).unwrap()
}

fn keys(workspace: &Workspace, id: &str) -> Vec<[u8; 32]> {
    workspace
        .design(id)
        .unwrap()
        .steps
        .iter()
        .map(|step| step.key)
        .collect()
}

fn revision(workspace: &Workspace, id: &str) -> [u8; 32] {
    workspace.design_file(id).unwrap().revision.unwrap()
}

#[test]
fn the_demonstration_can_be_made_as_it_stands() {
    let folder = Folder::demo();
    let workspace = folder.open();
    assert_eq!(folder.said(Language::En), "");
    let ids: Vec<_> = workspace
        .designs
        .iter()
        .filter_map(|d| Some(d.design.as_ref()?.id.as_str()))
        .collect();
    assert_eq!(
        ids,
        [
            "kite-tail",
            "mangrove-root",
            "net-float",
            "rain-gutter",
            "sea-fan",
            "tide-pool"
        ]
    );
    // Routes differ: in what is done, in order.
    let routes: BTreeSet<Vec<&str>> = ids
        .iter()
        .map(|id| {
            workspace
                .design(id)
                .unwrap()
                .steps
                .iter()
                .map(|s| s.operation.kind().key)
                .collect()
        })
        .collect();
    assert_eq!(routes.len(), 6);
    assert!(workspace.design("rain-gutter").unwrap().stamps.is_empty());
    assert!(!routes.iter().all(|route| route.contains(&"bleach")));
    assert_eq!(workspace.orders.iter().map(|o| o.bolts).sum::<u32>(), 60);
    let wrong: Vec<_> = workspace
        .examine_all()
        .into_iter()
        .filter(|f| f.weight == Weight::Wrong)
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn a_route_that_ends_too_early_is_doubted() {
    let ends = |folder: &Folder| -> BTreeSet<&str> {
        let found = folder.open().examine("sea-fan");
        found
            .iter()
            .map(|f| f.code)
            .filter(|code| code.starts_with("ends-"))
            .collect()
    };
    let folder = Folder::small();
    assert_eq!(ends(&folder), BTreeSet::new());
    let route = folder.text("designs/sea-fan/design.toml");
    // Waxed, sprayed in the package, neither fixed nor dried.
    let (head, _) = route.split_once("[[steps]]\nid = \"s20\"").unwrap();
    folder.write("designs/sea-fan/design.toml", head);
    assert_eq!(
        ends(&folder),
        ["ends-bleeding", "ends-folded", "ends-waxed", "ends-wet"].into()
    );
    // Lifted out of the bleach and left.
    let (head, _) = route.split_once("[[steps]]\nid = \"s14\"").unwrap();
    folder.write("designs/sea-fan/design.toml", head);
    assert!(ends(&folder).contains("ends-with-chlorine"));
}

#[test]
fn the_workshop_has_all_that_its_routes_need() {
    let workspace = Folder::demo().open();
    let lacking: Vec<_> = workspace
        .examine_all()
        .into_iter()
        .filter(|f| f.code.ends_with("-lacking"))
        .collect();
    assert!(lacking.is_empty(), "{lacking:?}");
}

#[test]
fn what_a_route_needs_and_the_workshop_lacks_is_said() {
    let folder = Folder::small();
    folder.change("workshop.toml", "key = \"tank\"", "key = \"tanks\"");
    folder.change("workshop.toml", "[calendars.fire]", "[calendars.fires]");
    folder.change(
        "workshop.toml",
        "calendars = [\"shop\", \"table\", \"fire\"]",
        "calendars = [\"shop\"]",
    );
    folder.change(
        "workshop.toml",
        "calendars = [\"shop\", \"table\", \"fire\"]",
        "calendars = [\"shop\"]",
    );
    let workspace = folder.open();
    let said: String = workspace
        .examine("sea-fan")
        .iter()
        .filter(|f| f.code.ends_with("-lacking"))
        .map(|f| workspace.show(f, Default::default()))
        .collect();
    assert!(
        said.contains("the workshop has no tank, which this step needs [station-lacking]"),
        "{said}"
    );
    assert!(said.contains("did you mean tanks?"), "{said}");
    assert!(
        said.contains("the workshop has no calendar fire, which this step needs [calendar-lacking]"),
        "{said}"
    );
}

#[test]
fn spelling_is_kept_and_values_are_si() {
    let workspace = Folder::small().open();
    let design = workspace.design("sea-fan").unwrap();
    assert!((design.cloth.width.0 - 1.1176).abs() < 1e-12);
    assert!((design.cloth.length.0 - 13.716).abs() < 1e-12);
    let bleach = design.steps.iter().find(|s| s.id == "s13").unwrap();
    assert_eq!(bleach.operation.values().si("time"), 960.0);
    match bleach.operation.values().get("time") {
        Some(route::Value::Quantity(typed)) => assert_eq!(typed.spelled, "16 min"),
        other => panic!("{other:?}"),
    }
    // Dyes come in the order in which the steps name them.
    let dyes: Vec<_> = design.dyes.iter().map(|d| d.id.as_str()).collect();
    assert_eq!(dyes, ["scarlet-vs", "coral-vs", "lagoon-vs", "sand-dct"]);
    let shop = workspace.workshop.as_ref().unwrap();
    // The US gallon is 3.785411784 L.
    assert!((shop.volume("cauldron", 0.0) - 35.0 * 3.785_411_784e-3).abs() < 1e-12);
    assert_eq!(shop.climate.latitude, -3.8);
    assert_eq!(shop.climate.utc_hours, 7.0);
    let creep = route::OPERATIONS
        .iter()
        .flat_map(|k| k.constants)
        .find(|c| c.key == "wax.creep")
        .unwrap();
    assert_eq!(shop.constants.get(creep), 1.4e-10);
    assert_eq!(
        shop.constants.known(creep).origin,
        words::Origin::Measured {
            date: "2026-06-02".into(),
            n: 5
        }
    );
}

#[test]
fn names_of_files_line_ends_and_marks_change_nothing() {
    let folder = Folder::small();
    let before = folder.open();
    for name in [
        "designs/sea-fan/design.toml",
        "workshop.toml",
        "dyes/scarlet-vs.toml",
    ] {
        let text = folder.text(name).replace('\n', "\r\n");
        folder.write(name, [b"\xEF\xBB\xBF".as_slice(), text.as_bytes()].concat());
    }
    std::fs::rename(folder.path("designs/sea-fan"), folder.path("designs/zz")).unwrap();
    std::fs::rename(
        folder.path("designs/zz/design.toml"),
        folder.path("designs/zz/noon.toml"),
    )
    .unwrap();
    std::fs::rename(folder.path("dyes/coral-vs.toml"), folder.path("dyes/a.toml")).unwrap();
    assert_eq!(folder.said(Language::En), "");
    let after = folder.open();
    assert_eq!(keys(&before, "sea-fan"), keys(&after, "sea-fan"));
    assert_eq!(revision(&before, "sea-fan"), revision(&after, "sea-fan"));
}

/// (file, from, to, does the revision change, first step whose key changes).
#[test]
fn revisions_follow_the_cloth_and_nothing_else() {
    const ROUTE: &str = "designs/sea-fan/design.toml";
    let rows: &[(&str, &str, &str, bool, Option<usize>)] = &[
        (ROUTE, "name = \"Sea fan\"", "name = \"Fan\"", false, None),
        (ROUTE, "time = \"16 min\"", "time = \"960 s\"", false, None),
        (ROUTE, "time = \"16 min\"", "time = \"17 min\"", true, Some(12)),
        (ROUTE, "depth = \"26 g/L\"", "depth = \"27 g/L\"", true, Some(3)),
        (
            ROUTE,
            "layout = \"half-drop\"",
            "layout = \"brick\"",
            true,
            Some(11),
        ),
        (ROUTE, "width = \"205 mm\"", "width = \"206 mm\"", true, Some(11)),
        (ROUTE, "width = \"44 in\"", "width = \"45 in\"", true, Some(0)),
        (
            "designs/sea-fan/sea-fan.svg",
            "M10 10h20",
            "M10 10h21",
            true,
            Some(11),
        ),
        (
            "dyes/scarlet-vs.toml",
            "blue_wool = { value = \"4\"",
            "blue_wool = { value = \"5\"",
            true,
            Some(3),
        ),
        (
            "dyes/mango-vs.toml",
            "blue_wool = { value = \"4\"",
            "blue_wool = { value = \"5\"",
            false,
            None,
        ),
        (
            "dyes/scarlet-vs.toml",
            "price = \"348000 IDR/kg\"",
            "price = \"1 IDR/kg\"",
            false,
            None,
        ),
        (
            "workshop.toml",
            "humidity = \"78 %\"",
            "humidity = \"60 %\"",
            false,
            Some(0),
        ),
        (
            "workshop.toml",
            "value = \"1.4e-10 m2/s\"",
            "value = \"1.5e-10 m2/s\"",
            false,
            Some(0),
        ),
        (
            "workshop.toml",
            "wage = \"16500 IDR/h\"",
            "wage = \"17000 IDR/h\"",
            false,
            None,
        ),
    ];
    let before = Folder::small().open();
    for (file, from, to, other_revision, first) in rows {
        let folder = Folder::small();
        folder.change(file, from, to);
        let after = folder.open();
        assert_eq!(
            revision(&before, "sea-fan") != revision(&after, "sea-fan"),
            *other_revision,
            "{to}"
        );
        let changed = keys(&before, "sea-fan")
            .iter()
            .zip(keys(&after, "sea-fan"))
            .position(|(a, b)| *a != b);
        assert_eq!(changed, *first, "{to}");
    }
}

#[test]
fn reading_again_keeps_stamps_and_sees_changes() {
    let folder = Folder::small();
    let before = folder.open();
    folder.change(
        "designs/sea-fan/design.toml",
        "layout = \"half-drop\"",
        "layout = \"straight\"",
    );
    folder.change("designs/kite-tail/kite-tail.svg", "h20", "h22");
    let after = before.again().unwrap();
    let stamp = |w: &Workspace, id: &str| w.design(id).unwrap().stamps[0].stamp.clone();
    assert!(std::sync::Arc::ptr_eq(
        &stamp(&before, "sea-fan"),
        &stamp(&after, "sea-fan")
    ));
    assert!(!std::sync::Arc::ptr_eq(
        &stamp(&before, "kite-tail"),
        &stamp(&after, "kite-tail")
    ));
    assert_eq!(
        after.design("sea-fan").unwrap().stamps[0].layout,
        stamp::Layout::Straight
    );
}

#[test]
fn calendars_know_weekdays_weeks_and_exceptions() {
    let workspace = Folder::small().open();
    let climate = &workspace.workshop.as_ref().unwrap().climate;
    let open = |key: &str, date: &str| -> Vec<(u16, u16)> {
        let shifts = workspace.calendar(key).unwrap().shifts_on(day(date), climate);
        shifts.iter().map(|s| (s.start, s.end)).collect()
    };
    // 2026-12-04 is a Friday, 2026-12-06 a Sunday.
    assert_eq!(open("shop", "2026-12-03"), [(450, 720), (780, 990)]);
    assert_eq!(open("shop", "2026-12-04"), [(450, 690), (810, 990)]);
    assert_eq!(open("shop", "2026-12-06"), []);
    assert_eq!(open("shop", "2026-12-25"), []);
    // The fasting month shortens days and opens no Sunday (2027-02-14).
    assert_eq!(open("shop", "2027-02-15"), [(450, 720), (750, 870)]);
    assert_eq!(open("shop", "2027-02-14"), []);
    // The second week of December 2026 begins on Monday the 14th; of February 2027 on the 8th.
    assert_eq!(open("designer", "2026-12-11"), []);
    assert_eq!(open("designer", "2026-12-14"), [(540, 720), (780, 960)]);
    assert_eq!(open("designer", "2026-12-21"), []);
    assert_eq!(open("designer", "2027-02-08").len(), 2);
    // The sun stands above 25 degrees from about 7:30 to 16:15 there; the file cuts at both ends.
    assert_eq!(open("sun", "2026-12-03"), [(510, 930)]);
}

/// Sun above 25 degrees on the equator at the March equinox, clock set by the meridian: hour angle
/// acos(sin 25 deg) = 65 deg = 4 h 20 min either side of noon, give or take the equation of time (7.5 min).
#[test]
fn the_sun_calendar_follows_the_sun() {
    let folder = Folder::small();
    folder.change(
        "workshop.toml",
        "earliest = \"08:30\"\nlatest = \"15:30\"",
        "earliest = \"00:00\"\nlatest = \"24:00\"",
    );
    let climate = Climate {
        latitude: 0.0,
        longitude: 105.0,
        utc_hours: 7.0,
        air: Celsius(29.0),
        humidity: 0.8,
        wind: 1.0,
        clearness: 0.7,
        day: 0,
    };
    let workspace = folder.open();
    let sun = workspace.calendar("sun").unwrap();
    let shifts = sun.shifts_on(day("2027-03-20"), &climate);
    let [Shift { start, end }] = shifts[..] else {
        panic!("{shifts:?}")
    };
    assert!((i32::from(end - start) - 520).abs() <= 2, "{start} {end}");
    assert!(
        (i32::from(start + end) / 2 - (720 + 7)).abs() <= 2,
        "{start} {end}"
    );
}

/// Rain: 24 chances a month, each in its hour; what is wrong is said where it stands and left out.
#[test]
fn rain_by_the_hour_is_read() {
    let months = [
        ("january", vec!["0"; 24]),
        ("july", vec!["7"; 23]),
        ("december", (0..24).map(|_| "12").collect::<Vec<_>>()),
    ];
    let table = |months: &[(&str, Vec<&str>)]| {
        let lines: Vec<String> = months
            .iter()
            .map(|(m, day)| format!("{m} = [{}]", day.join(", ")))
            .collect();
        format!(
            "[rain]\nsource = \"counted here\"\nfloor = \"inside\"\nslower = 3\n{}\n\n[constants]",
            lines.join("\n")
        )
    };
    let folder = Folder::small();
    folder.change("workshop.toml", "[constants]", &table(&months));
    let workspace = folder.open();
    let rain = workspace.rain.as_ref().unwrap();
    assert_eq!(
        (rain.source.as_str(), rain.floor),
        ("counted here", WhenWet::Inside(3.0))
    );
    assert_eq!((rain.chance[0], rain.chance[6]), (Some([0.0; 24]), None));
    assert_eq!(rain.chance[11], Some([0.12; 24]));
    let codes: Vec<&str> = workspace.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["rain-hours"]);
    let said = folder.said(Language::En);
    assert!(said.contains("july does not have 24 chances of rain"), "{said}");

    let folder = Folder::small();
    let mut too_much = vec!["3"; 24];
    too_much[15] = "101";
    folder.change("workshop.toml", "[constants]", &table(&[("may", too_much)]));
    let said = folder.said(Language::En);
    assert!(
        said.contains("may is 101") && said.contains("a whole number from 0 to 100"),
        "{said}"
    );
    assert_eq!(folder.open().rain.unwrap().chance[4], None);
}

/// The second time a folder is read no drawing is united, and nothing else differs: the designs' keys, which say what
/// picture they make, and the shapes themselves, to the bit.
#[test]
fn drawings_that_were_kept_are_read_back_to_the_bit() {
    let folder = Folder::demo();
    let first = folder.open();
    assert!(!first.drawings_are_kept());
    first.keep_drawings();
    assert!(first.drawings_are_kept());
    let again = folder.open();
    assert!(again.drawings_are_kept(), "a drawing was read anew");
    let stamps = |workspace: &Workspace| -> Vec<stamp::Area> {
        let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
        let stamps = designs.flat_map(|design| &design.stamps);
        stamps.map(|used| used.stamp.area().clone()).collect()
    };
    assert_eq!(stamps(&first), stamps(&again));
    for file in &first.designs {
        let id = file.id.as_deref().unwrap();
        assert_eq!(keys(&first, id), keys(&again, id));
        assert_eq!(revision(&first, id), revision(&again, id));
    }
    // Spoiled by whoever: one is read anew, the rest is not, and nothing is said of it.
    let drawn = std::fs::read_dir(folder.path(".lorod/drawn")).unwrap();
    let one = drawn.map(|entry| entry.unwrap().path()).next().unwrap();
    std::fs::write(&one, "torn").unwrap();
    let third = folder.open();
    assert!(!third.drawings_are_kept());
    assert_eq!(stamps(&first), stamps(&third));
    assert!(third.findings.is_empty(), "{:?}", third.findings);
    third.keep_drawings();
    assert!(folder.open().drawings_are_kept());
    // Another drawing under the same name is another drawing.
    let path = "designs/sea-fan/sea-fan.svg";
    let text = folder.text(path);
    folder.write(path, text.replacen("<path ", "<path id=\"new\" ", 1));
    assert!(!folder.open().drawings_are_kept());
}

/// What a folder would be with another text of a design is what it is once the text is written, with the files that it
/// rests on: also where the text names another drawing, and back.
#[test]
fn as_if_it_were_written_is_as_it_is_once_written() {
    let folder = Folder::demo();
    let path = "designs/sea-fan/design.toml";
    let text = folder.text(path);
    let drawing = folder.text("designs/sea-fan/sea-fan.svg");
    folder.write(
        "designs/sea-fan/other.svg",
        drawing.replacen("<path ", "<path id=\"new\" ", 1),
    );
    let files = |workspace: &Workspace| -> BTreeSet<(String, [u8; 32])> {
        let sources = workspace.sources.iter();
        sources.map(|source| (source.path.clone(), source.hash)).collect()
    };
    let mut now = folder.open();
    for next in [text.replacen("sea-fan.svg", "other.svg", 1), text] {
        assert_ne!(now.source(path).unwrap().text, next);
        let as_if = now.as_if(path, &next);
        folder.write(path, &next);
        now = folder.open();
        assert_eq!(files(&as_if), files(&now));
        assert_eq!(as_if.findings, now.findings);
        assert_eq!(keys(&as_if, "sea-fan"), keys(&now, "sea-fan"));
    }
}
