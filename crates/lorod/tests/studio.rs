//! The studio in a real browser: what a person does there works under the policy, and Ctrl-C ends it.

#![cfg(unix)]

mod common;

use common::Scratch;
use common::browser::{Browser, checker};
use common::running::Running;

const SMOOTH: &str = "document.querySelector('.table')?.dataset.state === 'smooth'";

/// A person in a new folder makes a first design, changes it, meets another tab and a lost connection.
#[test]
fn a_design_is_made_and_changed_in_a_browser() {
    let scratch = Scratch::new();
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no page was opened in a browser");
        return studio.ctrl_c();
    };
    let home = format!("http://{}", studio.address);
    browser.size(1440, 1000);
    browser.open(&home);

    // A drawing that is none is told; a width that is none too; the next becomes a design.
    let (bad, good) = (scratch.path("photo.svg"), scratch.path("round-moon.svg"));
    std::fs::write(&bad, "no drawing at all").unwrap();
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\"><circle cx=\"50\" cy=\"50\" r=\"30\"/><rect x=\"10\" y=\"86\" width=\"80\" height=\"0.3\"/></svg>";
    std::fs::write(&good, svg).unwrap();
    browser.choose("#drawing", &bad);
    browser.until("document.querySelector('#new-name').value === 'Photo'");
    browser.until("document.querySelector('.take .find.stop') !== null");
    browser.shot("first-run-refused");
    browser.choose("#drawing", &good);
    browser.until("document.querySelector('.as-wax svg.stamp') !== null && document.querySelector('.take .find.stop') === null");
    browser.shot("first-run-as-wax");
    browser.fill("#new-name", "Round moon");
    browser.fill("#new-width", "20 kg");
    browser.until("document.querySelector('.take .find.stop')?.textContent.includes('20 kg')");
    browser.fill("#new-width", "200 mm");
    browser.until("/200\\s*mm/.test(document.querySelector('.read-as')?.textContent)");
    browser.press("[type=submit]");
    browser.until("location.pathname === '/design/round-moon' && document.querySelector('.tour') !== null");
    browser.until(SMOOTH);
    browser.shot("first-cloth");

    change(&mut browser, &home, &scratch);
    colours(&mut browser, &home, &scratch);
    windows(&mut browser, &home, &scratch);
    to_the_pack(&mut browser, &home, &scratch);
    lost_and_found(&mut browser, &home, studio, &scratch);
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
}

/// Changes a timed step; says how long the picture took; meets a second tab; undoes.
fn change(browser: &mut Browser, home: &str, scratch: &Scratch) {
    let file = scratch.path("demo/designs/round-moon/design.toml");
    let text = || std::fs::read_to_string(&file).unwrap();
    browser.open(&format!("{home}/design/round-moon?step=s16"));
    browser.until(SMOOTH);
    for (at, minutes) in [22, 9, 31, 12, 27, 14].into_iter().enumerate() {
        browser.fill("#f-time", &format!("{minutes}"));
        browser.until(&format!(
            "performance.getEntriesByName('edit-to-fine').length === {}",
            at + 1
        ));
        browser.until(&format!(
            "document.querySelector('#f-time').value === '{minutes} min'"
        ));
        assert!(
            text().contains(&format!("time = \"{minutes} min\"")),
            "{}",
            text()
        );
    }
    for name in ["edit-to-rough", "edit-to-fine", "edit-to-smooth"] {
        let all = browser.run(&format!(
            "performance.getEntriesByName('{name}').map(e => Math.round(e.duration)).sort((a, b) => a - b)"
        ));
        let pixels =
            browser.run("document.querySelector('canvas').width * document.querySelector('canvas').height");
        eprintln!("{name}, ms, sorted, {pixels} pixels: {all}");
    }
    browser.fill("#f-time", "16 kg");
    browser.until("document.querySelector('#f-time-said .find.stop') !== null");
    assert!(text().contains("time = \"14 min\""));

    // Another tab changes the same file; this one is told before it writes.
    let other = text().replace("colourway = \"first\"", "colourway = \"second\"");
    std::fs::write(&file, &other).unwrap();
    browser.fill("#f-time", "18 min");
    browser.until("!document.querySelector('#clash').hidden");
    assert_eq!(text(), other);
    assert!(
        browser
            .run("document.querySelector('#clash ul').textContent")
            .as_str()
            .unwrap()
            .contains("second")
    );
    browser.shot("two-tabs");
    let minded = browser.minded(checker().as_deref());
    assert!(minded.is_empty(), "{minded:?}");
    browser.press("[data-mine]");
    browser.until("document.querySelector('h1 em')?.textContent === 'second'");
    assert!(text().contains("18 min") && text().contains("second"));
    browser.until("!document.querySelector('[data-go=undo]').disabled");
    browser.press("[data-go=undo]");
    browser.until("document.querySelector('#f-time').value === '14 min'");
    assert_eq!(text(), other);

    // The same by keys: over the cloth, nearer, and a colour read.
    browser.until(SMOOTH);
    browser.run("document.querySelector('canvas').focus()");
    for key in ["ArrowRight", "+", "Enter"] {
        browser.run(&format!("document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {{ key: '{key}', bubbles: true }}))"));
    }
    browser.until(
        "/L \\d+ a -?\\d+ b -?\\d+, #[0-9A-F]{6}/.test(document.querySelector('#reading').textContent)",
    );
    near_and_far(browser);

    // The same cloth in other colours, beside it on the line.
    browser.press("[data-opens=keep]");
    browser.fill("#keep input", "late light");
    browser.press("#keep [type=submit]");
    browser.until("location.pathname === '/design/round-moon-late-light'");
    assert!(
        scratch
            .path("demo/designs/round-moon-late-light/design.toml")
            .is_file()
    );
}

/// From the whole bolt to threads, with the seam pulled, and a colour read under the mouse.
fn near_and_far(browser: &mut Browser) {
    let mut wide = Vec::new();
    for near in ["bolt", "yard", "repeat", "thread"] {
        browser.press(&format!("[data-near={near}]"));
        browser.until(SMOOTH);
        wide.push(
            browser
                .run("document.querySelector('#where').textContent")
                .to_string(),
        );
    }
    wide.dedup();
    assert_eq!(wide.len(), 4, "each is said: {wide:?}");
    browser.shot("threads");
    for share in [20, 80] {
        browser.run(&format!("(() => {{ const pull = document.querySelector('.pull'); pull.value = {share}; for (const kind of ['input', 'change']) pull.dispatchEvent(new Event(kind, {{ bubbles: true }})); }})()"));
        browser.until(SMOOTH);
        let seam = browser.run("document.querySelector('.table').style.getPropertyValue('--seam')");
        assert_eq!(seam, serde_json::json!(format!("{share}%")));
    }
    browser.run("document.querySelector('#reading .said').textContent = ''");
    browser.run("(() => { const canvas = document.querySelector('canvas'); const box = canvas.getBoundingClientRect(); canvas.dispatchEvent(new PointerEvent('pointermove', { clientX: box.left + 90, clientY: box.top + 90, pointerType: 'mouse', bubbles: true })); })()");
    browser.until("/#[0-9A-F]{6}/.test(document.querySelector('#reading .said').textContent)");
}

/// From the drawing to what is handed over: a proposal is taken on a phone and undone, cloth is promised and planned, the
/// pack is made. What cannot be used is told.
fn to_the_pack(browser: &mut Browser, home: &str, scratch: &Scratch) {
    let file = scratch.path("demo/designs/round-moon/design.toml");
    let text = || std::fs::read_to_string(&file).unwrap();
    browser.size(390, 844);
    browser.open(&format!("{home}/stamp?design=round-moon"));
    browser.shot("stamp-390-proposed");
    browser.press("[data-keep-change]");
    browser.until("document.querySelector('#proposal .refused') !== null");
    browser.press("[data-keep-change]");
    browser.until("document.querySelector('#proposal .refused') === null");
    let hash = browser.run("document.querySelector('[data-desk]').dataset.hash");
    browser.press("[data-accept]");
    browser.until(&format!(
        "document.querySelector('[data-desk]').dataset.hash !== {hash}"
    ));
    assert!(text().contains("file = \"motif-buildable.svg\""), "{}", text());
    browser.settle();
    browser.until("document.querySelector('.places .find.look') === null");
    browser.press("[data-go=undo]");
    browser.until("document.querySelector('.places .find.look') !== null");
    assert!(
        text().contains("file = \"round-moon.svg\"")
            && scratch
                .path("demo/designs/round-moon/motif-buildable.svg")
                .is_file()
    );

    browser.size(1440, 1000);
    browser.open(&format!("{home}/run"));
    browser.until("document.querySelector('#promise-buyer') !== null && document.readyState === 'complete'");
    browser.fill("#promise-buyer", "Moon & Tide");
    browser.fill("#promise-due", "2027-03-31");
    browser.fill("#promise-bolts", "3 kg");
    browser.press(".promise [type=submit]");
    browser.until("document.querySelector('.promise .find.stop')?.textContent.includes('3 kg')");
    browser.fill("#promise-bolts", "2");
    browser.press(".promise [type=submit]");
    browser.until("document.querySelector('.gantt') !== null && document.querySelector('.loads b') !== null");
    // How sure it is comes after; the hours are zoomed by keys, and the drawing that was used is used on.
    browser.until("document.querySelector('.beads') !== null");
    browser.shot("planned");
    browser.run("document.querySelector('#lot-hours').focus(); document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: '+', bubbles: true }))");
    browser.until("location.search.includes('days=1') && document.activeElement?.id === 'lot-hours'");
    browser.open(&format!("{home}/season"));
    browser.until(
        "document.querySelector('.agenda') !== null || document.querySelector('.work .find') !== null",
    );
    browser.shot("season");

    browser.open(&format!("{home}/papers?design=round-moon"));
    browser.press(".choose [type=submit]");
    browser.until("document.querySelector('.ready') !== null");
    browser.shot("packed");
    for link in [1, 2, 3] {
        let sizes = browser.run(&format!(
            "fetch(document.querySelector('.ready a:nth-child({link})').href).then(r => r.blob()).then(b => b.size)"
        ));
        assert!(sizes.as_u64().unwrap() > 50_000, "{link}: {sizes}");
    }

    let bad = scratch.path("notes.txt");
    std::fs::write(&bad, "no archive, and no measurement").unwrap();
    for (at, what) in [(1, "archive"), (2, "measured")] {
        browser.open(&format!("{home}/folder"));
        browser.choose(&format!("#bring-{what}"), &bad);
        browser.until(&format!(
            "document.querySelectorAll('.bring')[{at} - 1].querySelector('.find.stop') !== null"
        ));
    }
    browser.shot("refused");
}

/// Picks a colour from the cloth for a region, seeks recipes for another one, takes them and undoes all of it.
fn colours(browser: &mut Browser, home: &str, scratch: &Scratch) {
    let file = scratch.path("demo/designs/round-moon/design.toml");
    let text = || std::fs::read_to_string(&file).unwrap();
    let before = text();
    browser.size(1440, 1000);
    browser.open(&format!("{home}/shades?design=round-moon"));
    browser.until(SMOOTH);
    browser.run("document.querySelector('canvas').focus(); document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }))");
    browser.until("!document.querySelector('#picked').hidden");
    let picked = browser.run("document.querySelector('#region-colour').value");
    browser.run("document.querySelector('.add').open = true");
    browser.fill("#region-name", "moon");
    browser.press("[data-new-target] [type=submit]");
    browser.until("document.querySelector('.region .find') !== null");
    assert!(text().contains("[[targets]]") && text().contains(picked.as_str().unwrap()));

    // A colour that is none is refused beside its field; a bright one is sought through the route.
    browser.fill("#t-0-colour", "moss");
    browser.until("document.querySelector('#t-0-colour-said .find.stop') !== null");
    let hash = browser.run("document.querySelector('[data-desk]').dataset.hash");
    browser.fill("#t-0-colour", "#c2954f");
    browser.until(&format!(
        "document.querySelector('[data-desk]').dataset.hash !== {hash}"
    ));
    browser.settle();
    browser.until("document.querySelector('[data-job*=\"dyes=same\"] [data-begins]') !== null && document.querySelector('.region .find') !== null");
    browser.press("[data-job*=\"dyes=same\"] [data-begins]");
    browser.until(
        "document.querySelector('.recipes li') !== null && document.querySelector('.plate svg') !== null",
    );
    browser.shot("recipes");
    let asked = text();
    browser.press(".take-it [data-act]");
    browser.until(
        "document.querySelector('.recipes li') === null && document.querySelector('.region .find') !== null",
    );
    assert_ne!(text(), asked);
    for expected in [
        asked.as_str(),
        &text_with(&asked, picked.as_str().unwrap()),
        &before,
    ] {
        browser.until("!document.querySelector('[data-go=undo]').disabled");
        let hash = browser.run("document.querySelector('[data-desk]').dataset.hash");
        browser.press("[data-go=undo]");
        browser.until(&format!(
            "document.querySelector('[data-desk]').dataset.hash !== {hash}"
        ));
        assert_eq!(text(), expected);
    }
}

/// The file with the colour that was picked first.
fn text_with(asked: &str, picked: &str) -> String {
    asked.replace("colour = \"#c2954f\"", &format!("colour = \"{picked}\""))
}

/// The window of a step is worked out while the page tells how far it is.
fn windows(browser: &mut Browser, home: &str, scratch: &Scratch) {
    browser.open(&format!("{home}/windows?design=round-moon"));
    browser.until("document.querySelector('.plate svg text') !== null");
    browser.until("document.querySelectorAll('.timed a').length > 1");
    browser.press(".timed a:not([aria-current])");
    browser.until("document.readyState === 'complete' && document.querySelectorAll('.timed a')[0].getAttribute('aria-current') === null");
    browser.until("document.querySelector('.plate svg text') !== null");
    browser.fill("#l-ground", "nonsense");
    browser.run("document.querySelector('.limits:has(#l-ground)').submit()");
    browser.until("document.querySelector('.limits .find.stop') !== null");

    // Approved cloth that cannot be read is told; what can is what the cloth is held against.
    let (bad, good) = (scratch.path("no-colours.csv"), scratch.path("strike-off.csv"));
    std::fs::write(&bad, "region,lab_l\nground,60\n").unwrap();
    std::fs::write(&good, "region,lab_l,lab_a,lab_b\nground,60,5,10\nmotif,40,5,10\n").unwrap();
    browser.open(&format!("{home}/windows?design=round-moon"));
    browser.choose("#bring-approved", &bad);
    browser.until("document.querySelector('.bring .find.stop') !== null");
    browser.choose("#bring-approved", &good);
    browser.until("document.querySelector('#l-approved')?.value === 'strike-off.csv'");
    browser.until("document.querySelector('.plate svg text') !== null");
    browser.shot("windows-approved");
}

/// The studio goes and comes back: the page says so and goes on.
fn lost_and_found(browser: &mut Browser, home: &str, mut studio: Running, scratch: &Scratch) {
    browser.size(1440, 1000);
    browser.open(&format!("{home}/design/round-moon?step=s16"));
    browser.until(SMOOTH);
    studio.ctrl_c();
    browser.fill("#f-time", "20 min");
    browser.until("!document.querySelector('#lost').hidden");
    browser.shot("lost");
    let minded = browser.minded(checker().as_deref());
    assert!(minded.is_empty(), "{minded:?}");
    let port = home.rsplit_once(':').unwrap().1.parse().unwrap();
    let mut again = Running::start(scratch, port);
    browser.until("document.querySelector('#lost')?.hidden === true && document.readyState === 'complete'");
    again.ctrl_c();
}
