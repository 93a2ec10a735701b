//! How long a designer waits. Measures and tells; asserts no time, since a time is the machine's. By hand:
//! `LOROD_MEASURE=1 cargo test --release -p lorod --test studio_speed -- --nocapture`

#![cfg(unix)]

mod common;

use common::Scratch;
use common::browser::Browser;
use common::running::Running;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

const DESIGN: &str = "sea-fan";
/// Edits of each step.
const EDITS: usize = 24;
/// Starts that are timed.
const STARTS: usize = 12;

/// From the start of the program until the first page is answered, and until a browser shows it. The first start on a
/// folder unites its drawings, and is told by itself; the others read them back. The browser is open already, as a
/// designer's is; it has seen no page of this studio before the first of its starts, and keeps what it may keep for the
/// next ones.
#[test]
fn start_by_the_clock() {
    if std::env::var_os("LOROD_MEASURE").is_none() {
        eprintln!("SKIPPED: measures only with LOROD_MEASURE=1, on a machine that does nothing else");
        return;
    }
    let scratch = Scratch::with_demo(&[]);
    let (mut port, mut listens, mut answered) = (0, Vec::new(), Vec::new());
    let ms = |since: Instant| 1000.0 * since.elapsed().as_secs_f64();
    let drawn = scratch.path("demo/.lorod/drawn");
    for start in 0..=STARTS {
        let since = Instant::now();
        let mut studio = Running::start(&scratch, port);
        let listening = ms(since);
        let length = first_page(&studio.address);
        let whole = ms(since);
        assert!(length > 2000, "the first page is a page");
        if start == 0 {
            eprintln!(
                "the first start: it listens after {listening:.0} ms, the first page is answered after {whole:.0}"
            );
            // Every design but the one without a stamp has a drawing, and one has two.
            while std::fs::read_dir(&drawn).map_or(0, Iterator::count) < 6 {
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
        } else {
            listens.push(listening);
            answered.push(whole);
        }
        port = studio.address.rsplit(':').next().unwrap().parse().unwrap();
        studio.ctrl_c();
    }
    eprintln!("ms from the start of the program, {STARTS} starts");
    say("it listens", listens);
    say("the first page is answered", answered);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine");
        return;
    };
    browser.size(1440, 900);
    let (mut shown, mut own, mut bare) = (Vec::new(), Vec::new(), Vec::new());
    // Something stands there, and the letters of the words have come.
    let paint = "Math.max(performance.getEntriesByName('first-contentful-paint')[0].startTime, ...performance.getEntriesByType('resource').filter(e => e.name.endsWith('.ttf')).map(e => e.responseEnd))";
    for start in 0..STARTS {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
        let mut studio = Running::start(&scratch, port);
        browser.open(&format!("http://{}", studio.address));
        browser.until("performance.getEntriesByName('first-contentful-paint').length === 1");
        let of_browser = browser.run(paint).as_f64().unwrap();
        let when = browser.run(&format!("performance.timeOrigin + {paint}"));
        shown.push(when.as_f64().unwrap() - 1000.0 * since.as_secs_f64());
        own.push(of_browser);
        if start == 0 {
            eprintln!(
                "the browser's first visit: {of_browser:.0} ms after it was sent there; what it asked for:"
            );
            let asked = browser.run(
                "[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')].map(e => `${e.startTime.toFixed(0)}-${e.responseEnd.toFixed(0)} ms, ${e.encodedBodySize} bytes: ${e.name.slice(0, 70)}`).join('\\n')",
            );
            eprintln!("{}", asked.as_str().unwrap());
            for mark in ["responseEnd", "domInteractive", "domContentLoadedEventEnd"] {
                tell(
                    &mut browser,
                    mark,
                    &format!("performance.getEntriesByType('navigation').map(e => e.{mark})"),
                );
            }
        }
        // What this browser needs for a page of twenty letters.
        browser.open(&format!("http://{}/api/alive", studio.address));
        browser.until("performance.getEntriesByName('first-contentful-paint').length === 1");
        bare.push(browser.run(paint).as_f64().unwrap());
        browser.open("about:blank");
        studio.ctrl_c();
    }
    say("the first page can be read", shown);
    eprintln!("ms from where the browser is sent there");
    say("the first page can be read", own);
    say("a page of twenty letters can be read", bare);
}

/// Bytes of the first page, asked for as by a browser.
fn first_page(address: &str) -> usize {
    let mut line = TcpStream::connect(address).unwrap();
    write!(
        line,
        "GET / HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = Vec::new();
    line.read_to_end(&mut answer).unwrap();
    assert!(answer.starts_with(b"HTTP/1.1 200"));
    answer.len()
}

#[test]
fn edits_by_the_clock() {
    if std::env::var_os("LOROD_MEASURE").is_none() {
        eprintln!("SKIPPED: measures only with LOROD_MEASURE=1, on a machine that does nothing else");
        return;
    }
    let scratch = Scratch::with_demo(&[DESIGN]);
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine");
        return studio.ctrl_c();
    };
    let home = format!("http://{}", studio.address);
    browser.size(1960, 1300);
    eprintln!("ms");

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
                "performance.getEntriesByName('edit-to-smooth').length === {}",
                edit + 1
            ));
        }
        eprintln!("step {step}, {EDITS} edits, {pixels} pixels");
        for name in ["edit-to-rough", "edit-to-fine", "edit-to-smooth"] {
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
            ("smooth tile", "for=smooth"),
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

/// What a list of the page comes to.
fn tell(browser: &mut Browser, what: &str, list: &str) {
    let all = browser.run(list);
    let all = all.as_array().map_or_else(Vec::new, |all| {
        all.iter().filter_map(serde_json::Value::as_f64).collect()
    });
    say(what, all);
}

/// Median, 95 of 100, and how many.
fn say(what: &str, mut all: Vec<f64>) {
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
