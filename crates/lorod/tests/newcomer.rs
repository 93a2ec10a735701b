//! A newcomer brings a drawing and goes wherever the pages say comes next, until the pack lies there. Only what can be seen
//! is pressed, by its words; nothing is looked up.

#![cfg(unix)]

mod common;

use common::Scratch;
use common::browser::{Browser, checker};
use common::running::Running;
use serde_json::json;

/// A drawing of our own that copper can follow almost everywhere: one hair is too thin.
const DRAWING: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">
<path d="M100 20 C130 60 130 100 100 130 C70 100 70 60 100 20 Z"/>
<path d="M30 150 C60 135 90 150 96 172 C66 186 40 176 30 150 Z"/>
<path d="M170 150 C140 135 110 150 104 172 C134 186 160 176 170 150 Z"/>
<rect x="20" y="20" width="40" height="0.5"/>
</svg>"#;

#[test]
fn whoever_follows_what_comes_next_hands_over_a_pack() {
    let scratch = Scratch::new();
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no page was opened in a browser");
        return studio.ctrl_c();
    };
    let drawing = scratch.path("three-leaves.svg");
    std::fs::write(&drawing, DRAWING).unwrap();
    let axe = checker();

    browser.size(1440, 900);
    browser.open(&format!("http://{}", studio.address));
    browser.choose("input[type=file]", &drawing);
    browser.until("document.querySelector('.as-wax svg') !== null");
    browser.press_words("Hang it on the line");
    browser.until(
        "location.pathname === '/design/three-leaves' && document.querySelector('.onward .next') !== null",
    );

    let mut walked = vec!["/design/three-leaves".to_string()];
    while walked.last().is_none_or(|page| page != "/papers") {
        browser.press_words("Next:");
        let before = json!(walked.last());
        browser.until(&format!(
            "location.pathname !== {before} && document.readyState === 'complete'"
        ));
        browser.settle();
        let page = browser.run("location.pathname").as_str().unwrap().to_string();
        match page.as_str() {
            // What the page proposes is taken, and the edge says that nothing is left there.
            "/stamp" => {
                browser.press_words("Take this drawing");
                browser.until("document.querySelector('.onward li:nth-child(2).good') !== null");
            }
            "/run" => {
                browser.fill_words("Promise", "2");
                browser.fill_words("for", "2027-03-31");
                browser.fill_words("to", "Moon & Tide");
                browser.press_words("Write the order");
                browser.until("document.querySelector('.gantt') !== null && document.querySelector('.onward li:nth-child(5).good') !== null");
                // The window was worked out on the page before; an order changes nothing that it rests on.
                let window =
                    browser.run("document.querySelector('.onward li:nth-child(4) .stands').textContent");
                let window = window.as_str().unwrap();
                assert!(
                    !window.is_empty() && !window.contains("not worked out"),
                    "{window}"
                );
            }
            _ => {}
        }
        browser.settle();
        let minded = browser.minded(axe.as_deref());
        assert!(minded.is_empty(), "{page}: {minded:?}");
        walked.push(page);
        assert!(walked.len() < 9, "it leads in a circle: {walked:?}");
    }
    assert_eq!(
        walked,
        [
            "/design/three-leaves",
            "/stamp",
            "/shades",
            "/windows",
            "/run",
            "/papers"
        ]
    );

    browser.fill_words("it is by", "Ines Duarte");
    browser.press_words("Sign it");
    browser.until("document.querySelector('.sign')?.checkVisibility() === false");
    assert!(
        std::fs::read_to_string(scratch.path("demo/collection.toml"))
            .unwrap()
            .contains("Ines Duarte")
    );
    browser.press_words("Make the pack");
    browser.until("document.querySelector('.ready') !== null");
    browser.shot("newcomer-packed");
    for (words, least) in [("For the workshop", 12), ("For buyers", 2)] {
        let pages = browser.run(&format!(
            "fetch([...document.querySelectorAll('.ready a')].find((one) => one.textContent.includes({})).href).then((r) => r.blob()).then((b) => b.text()).then((text) => text.startsWith('%PDF') ? text.split('/MediaBox').length - 1 : -1)",
            json!(words)
        ));
        assert!(pages.as_i64().unwrap() >= least, "{words}: {pages} pages");
    }
    let archive = browser.run(
        "fetch([...document.querySelectorAll('.ready a')].find((one) => one.textContent.includes('archive')).href).then((r) => r.blob()).then((b) => b.slice(0, 2).text())",
    );
    // PKWARE APPNOTE 4.3.7: an archive begins with PK.
    assert_eq!(archive, json!("PK"));
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    studio.ctrl_c();
}
