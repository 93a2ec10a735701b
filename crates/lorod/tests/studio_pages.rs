//! Every page of the studio in a real browser, on the demonstration: in both sizes, themes and languages, printed, and with
//! an accessibility checker.

#![cfg(unix)]

mod common;

use common::Scratch;
use common::browser::{Browser, PATIENCE, checker};
use common::photo::photograph;
use common::running::Running;
use std::fs;
use std::time::{Duration, Instant};

const DESIGN: &str = "tide-pool";

/// Nothing of a page lies out of its frame, and nothing is minded by the accessibility checker.
#[test]
fn every_page_fits_and_can_be_read_by_all() {
    let scratch = Scratch::with_demo(&[DESIGN]);
    fs::create_dir_all(scratch.path("demo/photographs")).unwrap();
    photograph(&scratch, DESIGN, "1", "bolt-1");
    for file in ["bolt-1.png", "bolt-1.toml"] {
        fs::rename(scratch.path(file), scratch.path("demo/photographs").join(file)).unwrap();
    }
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no page was opened in a browser");
        return studio.ctrl_c();
    };
    let checker = checker();
    if checker.is_none() {
        eprintln!(
            "SKIPPED: target/npm has no axe-core (cargo xtask check installs it), so no page was checked for accessibility"
        );
    }
    let home = format!("http://{}", studio.address);
    // What a page shows only when it is asked.
    let asked = |page: String| match page.as_str() {
        "/shade" => format!("{page}?target=%23c2954f"),
        _ if page.starts_with("/photographs") => format!("{page}&photo=bolt-1"),
        _ => page,
    };
    for page in lorod::studio::addresses(DESIGN).into_iter().map(asked) {
        browser.size(1440, 1000);
        browser.open(&format!("{home}{page}"));
        for (width, theme) in [
            (2560, "light"),
            (1440, "light"),
            (1440, "dark"),
            (390, "dark"),
            (390, "light"),
        ] {
            browser.size(width, 844);
            browser.run(&format!("document.documentElement.dataset.theme = '{theme}'"));
            browser.until(&format!("innerWidth >= {width}"));
            browser.settle();
            browser.shot(&format!("{}-{width}-{theme}", shot_name(&page)));
            fits(&mut browser, &page, width);
            // The widest page has the pieces and the colours of the next.
            if width < 2560 {
                let minded = browser.minded(checker.as_deref());
                assert!(minded.is_empty(), "{page} {width} {theme}: {minded:?}");
            }
        }
        // Tab by Tab, once through the page as a keyboard goes.
        browser.size(1440, 1000);
        walk(&mut browser, &page);
        browser.print(&shot_name(&page));
        browser.size(390, 844);
        // The longer words of the other language fit a phone too.
        let query = if page.contains('?') { '&' } else { '?' };
        browser.open(&format!("{home}{page}{query}lang=id"));
        browser.shot(&format!("{}-390-id", shot_name(&page)));
        fits(&mut browser, &page, 390);
        // The part that is worked on is in sight along the edge.
        let here = browser.run("[...document.querySelectorAll('.knots a[aria-current]')].every((one) => { const [at, line] = [one, one.closest('.knots')].map((e) => e.getBoundingClientRect()); return at.left >= line.left - 1 && at.right <= line.right + 1; })");
        assert_eq!(here, true, "{page}");
        browser.open(&format!("{home}{page}{query}lang=en"));
    }
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    studio.ctrl_c();
}

/// By Tab through the page: every place where the keys stop has a name, is in sight and shows that it is meant.
fn walk(browser: &mut Browser, page: &str) {
    const MOST: usize = 400;
    // A date has places of its own that the browser marks; what a frame of the film strip says is its picture's text.
    const STOP: &str = "(() => { const one = document.activeElement; if (!one || one === document.body) return null; const box = one.getBoundingClientRect(); const edge = document.querySelector('.onward'); const over = edge?.getBoundingClientRect(); const under = !!edge && !edge.contains(one) && box.top >= over.top && box.bottom <= over.bottom; const style = getComputedStyle(one); const named = one.getAttribute('aria-label') || one.labels?.[0]?.textContent || one.innerText || one.textContent || one.querySelector('img')?.alt; return { what: one.outerHTML.slice(0, 120), named: !!named?.trim(), marked: one.type === 'date' || (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0), seen: !under && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth }; })()";
    browser.run("document.activeElement?.blur(); getSelection().removeAllRanges(); scrollTo(0, 0)");
    let mut stops = 0;
    loop {
        browser.key("Tab", false);
        let stop = browser.run(STOP);
        if stop.is_null() {
            break;
        }
        for must in ["named", "marked", "seen"] {
            assert_eq!(stop[must], true, "{page}: {must}: {}", stop["what"]);
        }
        stops += 1;
        assert!(
            stops < MOST,
            "{page}: the keys do not come out of it: {}",
            stop["what"]
        );
    }
    // The skip link, the head, the foot.
    assert!(stops > 15, "{page}: {stops}");
}

/// What a page's pictures are called.
fn shot_name(page: &str) -> String {
    let name = page
        .split('?')
        .next()
        .unwrap_or("")
        .trim_matches('/')
        .replace('/', "-");
    if name.is_empty() { "line".to_string() } else { name }
}

/// Nothing lies beside the page.
fn fits(browser: &mut Browser, page: &str, width: u32) {
    let wide = browser.run("document.documentElement.scrollWidth");
    assert!(
        wide.as_u64().unwrap() <= u64::from(width),
        "{page} is {wide} px wide in {width}"
    );
}

/// A photograph is brought, marked by mouse and by keys, and held against the model's cloth and against approved cloth.
#[test]
fn a_photograph_is_marked_and_compared() {
    let scratch = Scratch::with_demo(&[DESIGN]);
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no photograph was marked in a browser");
        return studio.ctrl_c();
    };
    let marks = photograph(&scratch, DESIGN, "1", "bolt-4");
    let page = format!("http://{}/photographs?design={DESIGN}", studio.address);
    browser.size(1440, 1000);
    browser.open(&page);
    fs::write(scratch.path("no-picture.png"), "no picture").unwrap();
    browser.choose("#bring-photo", &scratch.path("no-picture.png"));
    browser.until("document.querySelector('.bring .find.stop') !== null");
    assert!(!scratch.path("demo/photographs").exists());
    browser.choose("#bring-photo", &scratch.path("bolt-4.png"));
    browser.until(
        "location.search.includes('photo=bolt-4') && document.querySelector('.marked img')?.naturalWidth > 0",
    );

    browser.settle();

    // The window by the mouse, in no order, then the grey card by keys.
    let [w, h] = marks.size.map(|n| n as f64);
    let [left_top, right_top, right_bottom, left_bottom] = marks.window;
    for [x, y] in [right_bottom, left_top, left_bottom, right_top] {
        browser.click(".marked img", [x as f64 / w, y as f64 / h]);
    }
    assert_near(&mut browser, "window", marks.window);
    assert_eq!(
        browser.run("document.querySelector('[name=which]:checked').value"),
        "grey"
    );
    browser.run("document.querySelector('.marked').focus()");
    // Where the mouse was last is where the keys begin.
    let mut at = right_top.map(|n| n as f64);
    let scale = browser.run("(() => { const img = document.querySelector('.marked img'); return img.naturalWidth / img.clientWidth; })()");
    let scale = scale.as_f64().unwrap();
    for corner in marks.grey {
        for (axis, back, on) in [(0, "ArrowLeft", "ArrowRight"), (1, "ArrowUp", "ArrowDown")] {
            let steps = ((corner[axis] as f64 - at[axis]) / scale).round();
            at[axis] += steps * scale;
            let key = if steps < 0.0 { back } else { on };
            let steps = steps.abs() as u32;
            (0..steps / 10).for_each(|_| browser.key(key, true));
            (0..steps % 10).for_each(|_| browser.key(key, false));
        }
        browser.key("Enter", false);
    }
    assert_near(&mut browser, "grey", marks.grey);
    let told = browser.run("document.querySelector('#marks-where').textContent");
    assert!(told.as_str().unwrap().contains("4 of 4"), "{told}");
    browser.key("Backspace", false);
    let told = browser.run("document.querySelector('#marks-where').textContent");
    assert!(told.as_str().unwrap().contains("3 of 4"), "{told}");
    browser.key("Enter", false);
    browser.shot("photographs-marked");

    // A size that is none is refused beside the marks; nothing is written.
    browser.fill("#across", "110 kg");
    browser.press(".marking [type=submit]");
    browser.until("document.querySelector('.marking .told .find.stop') !== null");
    assert!(!scratch.path("demo/photographs/bolt-4.toml").exists());
    browser.fill("#across", "110 mm");
    browser.fill("#along", "110 mm");
    browser.press(".marking [type=submit]");
    browser.until("document.querySelector('.pieces') !== null && document.querySelector('.against, .mori p.none') !== null");
    assert!(scratch.path("demo/photographs/bolt-4.toml").is_file());
    browser.shot("photographs-compared");

    // Held against approved cloth: two pieces show no range, three do.
    for (bolt, name) in [("2", "bolt-1"), ("3", "bolt-2"), ("4", "bolt-3")] {
        photograph(&scratch, DESIGN, bolt, name);
        for file in [format!("{name}.png"), format!("{name}.toml")] {
            fs::rename(scratch.path(&file), scratch.path("demo/photographs").join(&file)).unwrap();
        }
    }
    browser.open(&format!("{page}&photo=bolt-4"));
    for name in ["bolt-1", "bolt-2"] {
        browser.press(&format!(".against [value={name}]"));
    }
    browser.press(".against [type=submit]");
    browser.until("document.querySelector('[data-part=judged] .find.stop') !== null");
    browser.press(".against [value=bolt-3]");
    browser.press(".against [type=submit]");
    browser.until("document.querySelector('[data-part=judged] .find')?.textContent.includes('approved cloth on 3 photographs')");
    browser.settle();
    browser.shot("photographs-approved");
    let minded = browser.minded(checker().as_deref());
    assert!(minded.is_empty(), "{minded:?}");
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    studio.ctrl_c();
}

/// The corners in a field are these, to two pixels of the photograph (a pixel of the screen, and rounding).
#[track_caller]
fn assert_near(browser: &mut Browser, field: &str, corners: [[usize; 2]; 4]) {
    let text = browser.run(&format!("document.querySelector('#{field}').value"));
    let read: Vec<f64> = text
        .as_str()
        .unwrap()
        .split([' ', ','])
        .map(|n| n.parse().unwrap())
        .collect();
    let flat = corners.iter().flatten();
    assert_eq!(read.len(), 8, "{text}");
    assert!(
        flat.zip(&read).all(|(want, is)| (*want as f64 - is).abs() <= 2.0),
        "{text} for {corners:?}"
    );
}

/// Two tabs of one browser change one design: the second is told what differs, and nothing is overwritten silently.
#[test]
fn two_tabs_change_one_design() {
    const SMOOTH: &str = "document.querySelector('.table')?.dataset.state === 'smooth'";
    let scratch = Scratch::with_demo(&[DESIGN]);
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no design was changed in two tabs");
        return studio.ctrl_c();
    };
    let page = format!("http://{}/design/{DESIGN}?step=s12", studio.address);
    let file = scratch.path(&format!("demo/designs/{DESIGN}/design.toml"));
    let text = || fs::read_to_string(&file).unwrap();
    let times = |minutes: u32| text().contains(&format!("time = \"{minutes} min\""));
    let open = |browser: &mut Browser| {
        browser.size(1440, 1000);
        browser.open(&page);
        browser.until(SMOOTH);
        assert_eq!(browser.run("document.querySelector('#f-time').value"), "12 min");
    };
    open(&mut browser);
    let first = browser.tab();
    open(&mut browser);

    // The second tab writes; the first still shows what was, and writes nothing over it.
    browser.fill("#f-time", "14 min");
    browser.until("document.querySelector('[data-go=undo]:not([disabled])') !== null");
    assert!(times(14));
    let second = browser.turn_to(first);
    assert_eq!(browser.run("document.querySelector('#f-time').value"), "12 min");
    browser.fill("#f-time", "17 min");
    browser.until("!document.querySelector('#clash').hidden");
    assert!(times(14) && !times(17), "{}", text());
    let told = browser.run("document.querySelector('#clash ul').textContent");
    assert!(told.as_str().unwrap().contains("14 min"), "{told}");
    assert_eq!(
        browser.run("document.activeElement?.dataset.mine"),
        "",
        "the keys are there"
    );
    browser.shot("two-tabs-first");
    let minded = browser.minded(checker().as_deref());
    assert!(minded.is_empty(), "{minded:?}");

    // It leaves its own: what the other tab wrote is what it shows, and stays.
    browser.press("[data-theirs]");
    browser.until(
        "document.querySelector('#clash').hidden && document.querySelector('#f-time').value === '14 min'",
    );
    assert!(times(14) && !times(17));
    // Now it knows, and may write; it is the other tab that is told, and may write on top.
    browser.fill("#f-time", "16 min");
    comes(&|| times(16));
    browser.turn_to(second);
    browser.fill("#f-time", "18 min");
    browser.until("!document.querySelector('#clash').hidden");
    assert!(times(16) && !times(18));
    browser.press("[data-mine]");
    comes(&|| times(18));
    browser.until("document.querySelector('#clash').hidden");
    // One undo takes back the last change only, whoever made it.
    browser.press("[data-go=undo]");
    browser.until("document.querySelector('#f-time').value === '16 min'");
    assert!(times(16));
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    studio.ctrl_c();
}

/// Waits until something outside the browser is so.
#[track_caller]
fn comes(so: &dyn Fn() -> bool) {
    let begun = Instant::now();
    while !so() {
        assert!(begun.elapsed() < PATIENCE, "it never comes");
        std::thread::sleep(Duration::from_millis(40));
    }
}

/// A way to go on is taken as the plan; the tab that still shows the plan of before is told.
#[test]
fn two_tabs_take_a_plan() {
    let scratch = Scratch::with_demo(&[DESIGN]);
    let mut studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no plan was taken in two tabs");
        return studio.ctrl_c();
    };
    let page = format!(
        "http://{}/run?day=2026-12-01&opens=09:00&closes=09:00",
        studio.address
    );
    let file = scratch.path("demo/plan.json");
    let open = |browser: &mut Browser| {
        browser.size(1440, 1000);
        browser.open(&page);
        browser.until("document.querySelectorAll('.ways-on [data-plan]').length === 3");
        browser.settle();
    };
    open(&mut browser);
    let first = browser.tab();
    open(&mut browser);
    browser.press("[data-plan][data-sends*=keep]");
    browser.until("location.search === '' && document.querySelector('[data-plan=\"/api/plan/undo\"]:not([disabled])') !== null");
    let taken = fs::read_to_string(&file).unwrap();
    browser.settle();
    browser.shot("plan-taken");
    let second = browser.turn_to(first);
    browser.press("[data-plan][data-sends*=best]");
    browser.until("document.querySelector('[data-plan-told] .find') !== null");
    assert_eq!(fs::read_to_string(&file).unwrap(), taken);
    browser.turn_to(second);
    browser.press("[data-plan=\"/api/plan/undo\"]");
    browser.until("document.querySelector('[data-plan=\"/api/plan/redo\"]:not([disabled])') !== null");
    assert_eq!(fs::read_to_string(&file).unwrap(), "");
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    studio.ctrl_c();
}

/// Where the work is: the strip is timed by keys alone, the clock outlives a page that is read anew, what it comes to stands
/// in the field; without a script there is the field alone. Antichlor for cloth stands apart from what goes into the bleach,
/// and what empties the tank on another page, at the strength that was titrated.
#[test]
fn a_strip_is_timed_at_the_tank() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let studio = Running::start(&scratch, 0);
    let Some(mut browser) = Browser::start(&scratch) else {
        eprintln!("SKIPPED: no chromium on this machine, so no page was opened in a browser");
        return;
    };
    let home = format!("http://{}", studio.address);
    browser.size(390, 800);
    browser.open(&format!("{home}/windows?design=sea-fan&titrated=8.1+mL"));
    browser.until("document.querySelector('.watch')?.hidden === false");
    browser.settle();
    browser.run("document.querySelector('[data-clock=start]').focus()");
    browser.key("Enter", false);
    browser.until("document.activeElement.dataset.clock === 'stop'");
    assert_ne!(
        browser.run("document.querySelector('.watch [role=status]').textContent"),
        ""
    );
    browser.until("document.querySelector('.watch [role=timer]').textContent === '0:02'");
    browser.run("location.reload()");
    browser.until("document.querySelector('[data-clock=stop]')?.hidden === false");
    browser.settle();
    browser.until("/^0:0[3-9]|^0:[1-9]/.test(document.querySelector('.watch [role=timer]').textContent)");
    browser.run("document.querySelector('[data-clock=stop]').focus()");
    browser.key("Enter", false);
    browser.until("document.activeElement.id === 'k-strip'");
    let noted = browser.run("document.querySelector('#k-strip').value");
    let noted = noted.as_str().unwrap().to_string();
    assert!(noted.starts_with("0:") && noted.len() == 4, "{noted}");
    let said = browser.run("document.querySelector('.watch [role=status]').textContent");
    assert!(said.as_str().unwrap().contains(&noted), "{said}");
    let minded = browser.minded(checker().as_deref());
    assert!(minded.is_empty(), "{minded:?}");
    // As if it had been typed: four minutes and ten seconds on the strip, loads with what they leave of the thinnest line.
    browser.fill("#k-strip", "4:10");
    browser.run("document.querySelector('form:has(#k-strip)').requestSubmit()");
    browser.until("document.querySelectorAll('.tank table tbody tr').length > 2");
    let cells =
        browser.run("[...document.querySelectorAll('.tank tbody tr')].map(row => row.cells[2].textContent)");
    assert!(
        cells
            .as_array()
            .unwrap()
            .iter()
            .all(|cell| cell.as_str().unwrap().contains("mm")),
        "{cells}"
    );
    let metabisulfite =
        |part: &str| format!("document.querySelector('{part}').textContent.includes('metabisulfite')");
    assert_eq!(browser.run(&metabisulfite(".tub .num")), true);
    assert_eq!(browser.run(&metabisulfite(".tank table")), false);
    browser.shot("tank-timed");
    browser.run("document.querySelector('.tank a[href*=emptying]').click()");
    browser.until("document.querySelector('#emptying')?.textContent.includes('2.87')");
    browser.settle();
    browser.shot("tank-emptied");
    // Without a script.
    browser.call(
        "Emulation.setScriptExecutionDisabled",
        serde_json::json!({ "value": true }),
    );
    browser.open(&format!("{home}/windows?design=sea-fan&strip=4%3A10"));
    browser.call(
        "Emulation.setScriptExecutionDisabled",
        serde_json::json!({ "value": false }),
    );
    browser.until("document.querySelector('.watch')?.hidden === true && document.querySelector('#k-strip').value === '4:10'");
    browser.until("document.querySelectorAll('.tank table tbody tr').length > 2");
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
}
