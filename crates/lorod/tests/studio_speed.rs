//! How long a designer waits. Measures and tells; asserts no time, since a time is the machine's. By hand:
//! `LOROD_MEASURE=1 cargo test --release -p lorod --test studio_speed -- --nocapture`

#![cfg(unix)]

mod common;

use common::Scratch;
use common::browser::Browser;
use common::running::Running;
use std::time::Instant;

const DESIGN: &str = "sea-fan";
/// Edits of each step.
const EDITS: usize = 24;

#[test]
fn edits_by_the_clock() {
    if std::env::var_os("LOROD_MEASURE").is_none() {
        eprintln!("SKIPPED: measures only with LOROD_MEASURE=1, on a machine that does nothing else");
        return;
    }
    let scratch = Scratch::with_demo(&[DESIGN]);
    let since = Instant::now();
    let mut studio = Running::start(&scratch, 0);
    let ready = since.elapsed();
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine");
        return studio.ctrl_c();
    };
    let home = format!("http://{}", studio.address);
    eprintln!("from start until the studio listens: {ready:?}");
    browser.size(1960, 1300);
    browser.open(&home);
    for (what, mark) in [
        ("first page, whole answer", "responseEnd"),
        ("first page, can be read", "domContentLoadedEventEnd"),
    ] {
        tell(
            &mut browser,
            what,
            &format!("performance.getEntriesByType('navigation').map(e => e.{mark})"),
        );
    }
    eprintln!("ms from here on");

    for (step, field, low) in [("s13", "time", 6), ("s16", "time", 12)] {
        browser.open(&format!("{home}/design/{DESIGN}?step={step}"));
        browser.settle();
        browser.run("performance.setResourceTimingBufferSize(10000)");
        if browser.run(&format!("document.querySelector('#f-{field}') !== null")) != true {
            continue;
        }
        let pixels =
            browser.run("document.querySelector('canvas').width * document.querySelector('canvas').height");
        for edit in 0..EDITS {
            // Each value once: nothing is known before.
            let minutes = low as f64 + 0.1 * edit as f64;
            browser.fill(&format!("#f-{field}"), &format!("{minutes:.1} min"));
            browser.until(&format!(
                "performance.getEntriesByName('edit-to-fine').length === {}",
                edit + 1
            ));
        }
        eprintln!("step {step}, {EDITS} edits, {pixels} pixels");
        for name in ["edit-to-rough", "edit-to-fine"] {
            tell(
                &mut browser,
                name,
                &format!("performance.getEntriesByName('{name}').map(e => e.duration)"),
            );
        }
        for (what, part) in [
            ("change", "/change"),
            ("page", "/design/sea-fan?"),
            ("rough", "for=glance"),
            ("fine tile", "for=view"),
            ("frame", "for=strip"),
        ] {
            let of =
                format!("performance.getEntriesByType('resource').filter(e => e.name.includes('{part}'))");
            tell(&mut browser, what, &format!("{of}.map(e => e.duration)"));
            tell(
                &mut browser,
                "  bytes",
                &format!("{of}.map(e => e.encodedBodySize)"),
            );
        }
        browser.run("performance.clearMeasures(); performance.clearResourceTimings()");
    }
    studio.ctrl_c();
}

/// Median, 95 of 100, and how many.
fn tell(browser: &mut Browser, what: &str, list: &str) {
    let all = browser.run(list);
    let mut all: Vec<f64> = all.as_array().map_or_else(Vec::new, |all| {
        all.iter().filter_map(serde_json::Value::as_f64).collect()
    });
    all.sort_by(f64::total_cmp);
    let at = |share: f64| {
        all.get(((all.len() as f64 * share).ceil() as usize).saturating_sub(1))
            .copied()
            .unwrap_or(f64::NAN)
    };
    eprintln!(
        "{what}: median {:.0}, 95 of 100 within {:.0} (of {})",
        at(0.5),
        at(0.95),
        all.len()
    );
}
