//! What stands on the pages.

use super::{ask, copy, get, studio};
use crate::studio::guard::POLICY;
use crate::studio::{NoFacts, Studio};
use axum::http::{Method, StatusCode};
use std::sync::Arc;

const PAGES: [&str; 25] = [
    "/",
    "/new",
    "/design/sea-fan",
    "/design/rain-gutter?scale=bolt&frames=across",
    "/stamp",
    "/stamp?design=tide-pool",
    "/shelf",
    "/shade?target=%23c2954f",
    "/shades?design=sea-fan",
    "/shades?design=net-float&lamp=F11",
    "/windows",
    "/windows?design=tide-pool&ground=4&strip=4:10",
    "/lot?design=tide-pool",
    "/lot?design=tide-pool&bolts=5&baths=left",
    "/photographs?design=sea-fan",
    "/baths",
    "/price?design=net-float&bolts=3",
    "/run",
    "/run?now=1",
    "/run?day=2026-12-01&opens=08:30&closes=11",
    "/season?rounds=2&approved=sea-fan",
    "/papers",
    "/folder",
    "/learned",
    "/no/such/page",
];

/// What the router serves is looked at: a new page is missed here until it stands in [`PAGES`].
#[test]
fn no_page_is_forgotten() {
    let asked: Vec<&str> = PAGES.iter().filter_map(|page| page.split('?').next()).collect();
    for page in crate::studio::page::PAGES {
        let path = page.path.replace("{design}", "sea-fan");
        assert!(asked.contains(&path.as_str()), "{path}");
    }
}

/// The policy forbids inline scripts and styles; so there must be none, or a browser would break the page.
#[tokio::test]
async fn every_page_is_safe_and_has_its_landmarks() {
    let studio = studio();
    for lang in ["en", "id"] {
        for page in PAGES {
            let join = if page.contains('?') { '&' } else { '?' };
            let answer = get(&studio, &format!("{page}{join}lang={lang}")).await;
            assert_eq!(answer.header("content-security-policy"), POLICY, "{page}");
            assert_eq!(answer.header("x-content-type-options"), "nosniff", "{page}");
            assert!(answer.header("content-type").starts_with("text/html"), "{page}");
            let html = answer.text();
            for never in [
                " style=",
                " onclick=",
                " onload=",
                " onerror=",
                " oninput=",
                "javascript:",
                "<style",
            ] {
                assert!(!html.contains(never), "{page} has {never}");
            }
            assert!(
                !html.contains("http://") && !html.contains("https://"),
                "{page} asks another site"
            );
            for script in html.match_indices("<script").map(|(at, _)| &html[at..]) {
                assert!(script.starts_with("<script type=\"module\" src=\"/a/"), "{page}");
            }
            for must in [
                "<main id=\"main\"",
                "<nav",
                "<header",
                "<footer",
                "class=\"skip\"",
                &format!("<html lang=\"{lang}\""),
            ] {
                assert!(html.contains(must), "{page} lacks {must}");
            }
            assert_eq!(html.matches("<h1").count(), 1, "{page}");
            for image in html
                .match_indices("<img")
                .map(|(at, _)| html[at..].split('>').next().unwrap_or(""))
            {
                assert!(
                    image.contains(" alt=") && image.contains(" width=") && image.contains(" height="),
                    "{page}: {image}"
                );
            }
            // A placeholder that nobody filled. What pages hand to a script is JSON, in attributes of its own.
            let html: String = html
                .split(" data-")
                .enumerate()
                .map(|(at, piece)| match (at, piece.find("=\"")) {
                    (0, _) | (_, None) => piece,
                    (_, Some(value)) => piece[value + 2..].split_once('"').map_or("", |(_, rest)| rest),
                })
                .collect();
            assert!(!html.contains('{') && !html.contains('}'), "{page} {lang}");
        }
    }
}

#[tokio::test]
async fn the_line_hangs_every_design_as_long_as_it_is_ordered() {
    let studio = studio();
    let html = get(&studio, "/").await.text();
    let workspace = studio.workspace();
    assert_eq!(workspace.designs.len(), 6);
    let mut per_bolt = Vec::new();
    for design in workspace.designs.iter().filter_map(|f| f.design.as_ref()) {
        assert!(html.contains(&design.name), "{}", design.name);
        let bolts: u32 = workspace
            .orders
            .iter()
            .filter(|o| o.design == design.id)
            .map(|o| o.bolts)
            .sum();
        let image = html
            .split("<img")
            .find(|i| i.contains(&format!("/cloth/{}.png", design.id)))
            .expect("a picture");
        let number = |key: &str| -> f64 {
            let text = image
                .split(&format!(" {key}=\""))
                .nth(1)
                .and_then(|t| t.split('"').next())
                .unwrap_or("");
            text.parse().expect("a number")
        };
        per_bolt.push(number("height") / number("width") / f64::from(bolts));
    }
    for one in &per_bolt {
        // The picture is whole pixels: half a pixel of some hundred.
        assert!((one / per_bolt[0] - 1.0).abs() < 0.01, "{per_bolt:?}");
    }
}

#[tokio::test]
async fn a_reader_chooses_language_and_units_and_is_remembered() {
    let studio = studio();
    let english = get(&studio, "/papers").await.text();
    let answer = get(&studio, "/papers?lang=id").await;
    assert!(english.contains("What shall be printed?") && answer.text().contains("Apa yang dicetak?"));
    assert!(
        answer
            .header("set-cookie")
            .starts_with("lang=id; Path=/; SameSite=Strict")
    );
    let again = ask(
        &studio,
        Method::GET,
        "/papers",
        &[("cookie", "theme=dark; lang=id")],
    )
    .await
    .text();
    assert!(again.contains("Apa yang dicetak?") && again.contains("data-theme=\"dark\""));
    let step = "/design/sea-fan?step=dip";
    let dip = studio
        .workspace()
        .design("sea-fan")
        .map(|d| d.steps.iter().any(|s| s.id == "dip"));
    if dip == Some(true) {
        let metric = get(&studio, step).await.text();
        let imperial = get(&studio, &format!("{step}&units=imperial")).await.text();
        assert!(metric.contains("°C") && imperial.contains("°F"));
    }
    // What is no choice is no cookie: nothing a stranger writes comes back in a header.
    let strange = get(&studio, "/papers?lang=xx%0d%0aset-cookie:%20a=b").await;
    assert_eq!(strange.header("set-cookie"), "");
}

#[tokio::test]
async fn unknown_things_are_told_as_pages() {
    let studio = studio();
    for (path, says) in [
        ("/design/%3Cscript%3E", "no design &lt;script&gt;"),
        ("/design/sea-fan?step=no-such", "no step no-such"),
        ("/baths?design=no-such", "no design no-such"),
        ("/papers/no-such", "no paper no-such"),
        ("/no/such", "no page /no/such"),
    ] {
        let answer = get(&studio, path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert!(answer.text().contains(says), "{path}");
    }
}

/// A file written by another program is seen by the next page; one that became wrong is told, not shown as it was.
#[tokio::test]
async fn the_folder_is_read_again_when_a_file_changes() {
    let dir = std::env::temp_dir().join(format!("lorod-studio-{}", std::process::id()));
    copy(&super::demo(), &dir);
    let studio = Arc::new(Studio::open(&dir, Arc::new(NoFacts), super::PORT).expect("the copy opens"));
    let file = dir.join("designs/sea-fan/design.toml");
    let text = std::fs::read_to_string(&file).expect("a design");
    assert!(!get(&studio, "/").await.text().contains("Wave fan"));
    std::fs::write(&file, text.replacen("Sea fan", "Wave fan", 1)).expect("written");
    assert!(get(&studio, "/").await.text().contains("Wave fan"));
    std::fs::write(&file, "id = \"sea-fan\"\nname = 3\n").expect("written");
    let html = get(&studio, "/design/sea-fan").await.text();
    assert!(
        html.contains("This cloth cannot be made yet") && html.contains("class=\"find stop\""),
        "{html}"
    );
    std::fs::remove_dir_all(&dir).expect("removed");
}
