//! What pages hand out: every page does, every file answers as it is described, and no page leads where nothing is.

use super::plans::Small;
use super::{Answer, get};
use crate::studio::data::offer::offers;
use crate::studio::page::PAGES;
use crate::studio::reader::Reader;
use axum::http::StatusCode;
use serde_json::Value;
use std::collections::BTreeSet;

const DESIGN: &str = "tide-pool";

/// A page without data: its form, and a place to drop a drawing; what comes of one is answered by `/api/reading`.
const NOTHING_YET: [&str; 1] = ["/new"];

/// A path as the description spells it, of one that was asked.
fn described(document: &Value, path: &str) -> Option<String> {
    let parts: Vec<&str> = path.trim_end_matches('/').split('/').collect();
    let paths = document["paths"].as_object()?;
    let fits = |spelled: &&String| {
        let spelled: Vec<&str> = spelled.split('/').collect();
        spelled.len() == parts.len()
            && spelled
                .iter()
                .zip(&parts)
                .all(|(s, p)| s == p || s.starts_with('{'))
    };
    // A path that is spelled out comes before one with a part in braces (OpenAPI 3.1, 4.8.8.2).
    let mut all: Vec<&String> = paths.keys().filter(fits).collect();
    all.sort_by_key(|path| path.contains('{'));
    all.first().map(|path| (*path).clone())
}

/// RFC 4180, 2: rows of as many fields, quotes doubled inside quotes, CRLF.
fn rows(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                field.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut field)),
            '\r' if !quoted => {
                assert_eq!(letters.next(), Some('\n'), "a row ends with CRLF");
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            c => field.push(c),
        }
    }
    assert!(
        row.is_empty() && field.is_empty() && !quoted,
        "the last row is whole"
    );
    rows
}

/// Columns whose numbers need no unit: they count, number or name.
const COUNTS: [&str; 12] = [
    "step",
    "bolts",
    "prints",
    "number",
    "load",
    "recipe",
    "more",
    "bolt",
    "n",
    "code",
    "others_held",
    "closed",
];

/// Every column that holds numbers says in which unit: in its head, or in a column beside it.
fn has_units(path: &str, rows: &[Vec<String>]) {
    const UNITS: &[&str] = &[
        "_mm",
        "_m",
        "_s",
        "_percent",
        "_de00",
        "_g_per_kg",
        "_g_per_l",
        "_litres",
        "_bytes",
        "lab_l",
        "lab_a",
        "lab_b",
        "_factor",
        "_over_forecast",
    ];
    let Some((head, body)) = rows.split_first() else {
        panic!("{path} has no head");
    };
    for row in body {
        assert_eq!(row.len(), head.len(), "{path}: {row:?}");
    }
    let beside = head.iter().any(|name| name == "unit" || name == "currency");
    for (at, name) in head.iter().enumerate() {
        let mut cells = body
            .iter()
            .map(|row| row[at].as_str())
            .filter(|cell| !cell.is_empty())
            .peekable();
        let numbers = cells.peek().is_some() && cells.all(|cell| cell.parse::<f64>().is_ok());
        let told = COUNTS.contains(&name.as_str()) || UNITS.iter().any(|unit| name.ends_with(unit));
        // What copper cannot follow is measured in mm or in degrees, as its rule says.
        let by_rule = ["measured", "limit"].contains(&name.as_str());
        assert!(
            !numbers || told || by_rule || beside,
            "{path}: {name} is a number of what?"
        );
    }
}

/// As what it is described, and as such it can be opened.
fn opens(path: &str, answer: &Answer, document: &Value) {
    assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.text());
    let plain = path.split('?').next().unwrap_or(path);
    let spelled = described(document, plain).unwrap_or_else(|| panic!("{path} is not described"));
    let content = &document["paths"][&spelled]["get"]["responses"]["200"]["content"];
    let kinds: Vec<&String> = content.as_object().expect("content").keys().collect();
    let kind = answer.header("content-type");
    assert!(
        kinds
            .iter()
            .any(|one| kind.starts_with(one.trim_end_matches('*'))),
        "{path} is {kind}, described as {kinds:?}"
    );
    let body = &answer.body;
    match kind.split(';').next().unwrap_or("") {
        "application/json" => {
            let value: Value = serde_json::from_slice(body).unwrap_or_else(|e| panic!("{path}: {e}"));
            assert!(value.is_object(), "{path}");
            if spelled.starts_with("/data/") {
                same_rows(path, &value);
            }
        }
        "text/csv" => has_units(path, &rows(&answer.text())),
        // ISO 32000-2, 7.5.2 and 7.5.5: the header, and the end-of-file marker.
        "application/pdf" => {
            let tail = String::from_utf8_lossy(&body[body.len().saturating_sub(64)..]).into_owned();
            assert!(
                body.starts_with(b"%PDF-1.") || body.starts_with(b"%PDF-2."),
                "{path}"
            );
            assert!(
                tail.contains("startxref") && tail.trim_end().ends_with("%%EOF"),
                "{path}: {tail}"
            );
        }
        "image/svg+xml" => assert!(answer.text().contains("<svg"), "{path}"),
        // RFC 5545, 3.4.
        "text/calendar" => assert!(
            answer.text().starts_with("BEGIN:VCALENDAR\r\n") && answer.text().ends_with("END:VCALENDAR\r\n"),
            "{path}"
        ),
        // APPNOTE 4.3.7: a local file header comes first.
        "application/zip" => assert!(body.starts_with(b"PK\x03\x04"), "{path}"),
        "image/png" => assert!(body.starts_with(b"\x89PNG\r\n\x1a\n"), "{path}"),
        "text/plain" => assert!(!answer.text().trim().is_empty(), "{path}"),
        other => panic!("{path}: {other}"),
    }
}

/// Every row has the keys that its columns name.
fn same_rows(path: &str, value: &Value) {
    for (name, table) in value["tables"].as_object().expect("tables") {
        let keys: BTreeSet<&str> = table["columns"]
            .as_array()
            .expect("columns")
            .iter()
            .filter_map(|column| column["key"].as_str())
            .collect();
        for row in table["rows"].as_array().expect("rows") {
            let has: BTreeSet<&str> = row
                .as_object()
                .expect("a row")
                .keys()
                .map(String::as_str)
                .collect();
            assert_eq!(has, keys, "{path} {name}");
        }
    }
}

/// Every page hands out what stands on it: as JSON, as CSV, and as PDF.
#[tokio::test]
async fn every_page_hands_out_what_stands_on_it() {
    let small = Small::new("taken");
    let studio = &small.studio;
    let document: Value = serde_json::from_slice(&get(studio, "/api").await.body).expect("JSON");
    let mut asked = BTreeSet::new();
    for page in PAGES {
        if NOTHING_YET.contains(&page.path) {
            assert!(page.data.is_none(), "{}", page.path);
            continue;
        }
        let href = page.href(Some(DESIGN)).expect("an address");
        let about = href.contains(DESIGN).then_some(DESIGN);
        let all = offers(page, about, &Reader::default());
        for form in ["JSON", "CSV", "PDF"] {
            assert!(all.iter().any(|one| one.form == form), "{}: no {form}", page.path);
        }
        let html = get(studio, &href).await.text();
        for one in &all {
            let path = one.href.split('?').next().unwrap_or("");
            assert!(
                described(&document, path).is_some(),
                "{path} of {} is not described",
                page.path
            );
            // The run sheet has nothing to hand out before its plan is made.
            let waits = page.path == "/run" && html.contains("data-job=\"/run/made\"");
            // A page beside the head is about the first design, where it is about one.
            let ends = if one.href.contains('?') { "" } else { path };
            let link = match ends {
                "" => format!("href=\"{}\"", one.href.replace('&', "&amp;")),
                path => format!("href=\"{path}"),
            };
            assert!(
                waits || html.contains(&link),
                "{} is not on {}",
                one.href,
                page.path
            );
            // Recipes are sought for half a minute, and a browser asks for them (`tests/studio.rs`). The pack is of one design here.
            let href = match one.href.as_str() {
                sought if sought.ends_with("/recipes") => continue,
                pack if pack.starts_with("/pack/") && !pack.contains('?') => {
                    format!("{pack}?design={DESIGN}")
                }
                href => href.to_string(),
            };
            if asked.insert(href.clone()) {
                opens(&href, &get(studio, &href).await, &document);
            }
        }
    }
    // Both languages, and what is asked on the page is asked of its files.
    let shade = get(studio, "/data/shade/recipes.csv?target=%23c2954f&lang=id").await;
    assert!(rows(&shade.text()).len() > 2, "{}", shade.text());
    let three = get(studio, "/data/baths.json?design=tide-pool&bolts=3")
        .await
        .text();
    assert!(three.contains("3 bolts in one lot"), "{three}");
    assert!(
        get(studio, "/baths?design=tide-pool&bolts=3")
            .await
            .text()
            .contains("/data/baths.json?design=tide-pool&amp;bolts=3")
    );
    // What cannot be told says why: to a program as findings, to a person as a page.
    let none = get(studio, "/data/baths/amounts.csv?design=no-such").await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    let said: Value = serde_json::from_slice(&none.body).expect("JSON");
    assert_eq!(said["findings"][0]["code"], "no-such-design");
    let page = super::ask(
        studio,
        axum::http::Method::GET,
        "/data/price.pdf?design=no-such",
        &[("accept", "text/html,*/*")],
    )
    .await;
    assert!(
        page.text().contains("<h1>This is not there yet"),
        "{}",
        page.text()
    );
}

/// The same numbers stand on the page and in its files.
#[tokio::test]
async fn a_file_says_what_the_page_says() {
    let small = Small::new("same");
    let studio = &small.studio;
    let html = get(studio, "/price?design=tide-pool").await.text();
    let json: Value =
        serde_json::from_slice(&get(studio, "/data/price.json?design=tide-pool").await.body).expect("JSON");
    let csv = rows(&get(studio, "/data/price/lines.csv?design=tide-pool").await.text());
    let lines = json["tables"]["lines"]["rows"].as_array().expect("rows");
    assert_eq!(lines.len(), csv.len() - 1);
    assert!(lines.len() > 8);
    let plain = |text: &str| text.replace(['\u{a0}', '\u{202f}'], " ");
    let text = plain(&html);
    for line in lines {
        let amount = plain(line["amount"].as_str().expect("an amount"));
        let (number, _) = amount.split_once(' ').unwrap_or((&amount, ""));
        assert!(text.contains(number), "{amount} is not on the page");
    }
    // The lot is the sum of its lines, in the books' currency.
    let sum: f64 = lines.iter().filter_map(|line| line["cost"].as_f64()).sum();
    let lot = json["tables"]["shares"]["rows"][0]["lot"]
        .as_f64()
        .expect("a sum");
    assert!((sum - lot).abs() < 0.5 * lines.len() as f64, "{sum} {lot}");
}

/// Wherever a page leads, something is: a page, or a file that is described.
#[tokio::test]
async fn no_page_leads_nowhere() {
    let small = Small::new("leads");
    let studio = &small.studio;
    let document: Value = serde_json::from_slice(&get(studio, "/api").await.body).expect("JSON");
    assert!(get(studio, "/run/made").await.text().contains("data-again"));
    let pages: Vec<String> = PAGES
        .iter()
        .flat_map(|page| [page.href(Some(DESIGN)), page.href(Some("rain-gutter"))])
        .flatten()
        .collect();
    let season = get(studio, "/season/made").await.text();
    let copper = get(studio, "/stamp/copper?design=tide-pool").await.text();
    let slip = get(studio, "/stamp/slip?design=tide-pool").await.text();
    let mut all = vec![season, copper, slip];
    for page in &pages {
        all.push(get(studio, page).await.text());
    }
    let mut seen = BTreeSet::new();
    for html in &all {
        for (at, _) in html.match_indices("href=\"").chain(html.match_indices("src=\"")) {
            let link = html[at..].split('"').nth(1).unwrap_or("");
            let path = link.split(['?', '#']).next().unwrap_or("");
            if path.starts_with('/') && !path.starts_with("/a/") {
                seen.insert(path.to_string());
            }
        }
    }
    assert!(seen.len() > 40, "{seen:?}");
    // Pieces of pages, which a link without a script waits for.
    let pieces = [
        "/season/made",
        "/run/made",
        "/run/sure",
        "/run/day",
        "/photographs/judged",
        "/lot/made",
    ];
    for path in seen {
        let page = PAGES.iter().any(|page| match page.path.split_once('{') {
            Some((before, _)) => path.starts_with(before) && path[before.len()..].split('/').count() == 1,
            None => page.path == path,
        });
        let winding = path.ends_with("/winding");
        assert!(
            page || winding || pieces.contains(&path.as_str()) || described(&document, &path).is_some(),
            "{path} leads nowhere that is known"
        );
    }
}
