//! The whole studio, asked as a browser (or somebody else's page) would ask. On the demonstration workspace.

use super::guard::{POLICY, TOKEN};
use super::{Facts, NoFacts, Studio, router};
use crate::facts::HouseFacts;
use crate::facts::problem::Asked;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower::ServiceExt;

const PORT: u16 = 8713;
const HOST: &str = "127.0.0.1:8713";

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo")
}

fn studio_with(facts: Arc<dyn Facts>) -> Arc<Studio> {
    Arc::new(Studio::open(&demo(), facts, PORT).expect("the demonstration opens"))
}

fn studio() -> Arc<Studio> {
    studio_with(Arc::new(NoFacts))
}

struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    body: Vec<u8>,
}

impl Answer {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
    fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or("")
    }
}

async fn ask(studio: &Arc<Studio>, method: Method, path: &str, headers: &[(&str, &str)]) -> Answer {
    let mut request = Request::builder().method(method).uri(path);
    if !headers.iter().any(|(name, _)| *name == "host") {
        request = request.header(header::HOST, HOST);
    }
    for (name, value) in headers.iter().filter(|(_, value)| !value.is_empty()) {
        request = request.header(*name, *value);
    }
    let request = request.body(Body::empty()).expect("a request");
    let answer = router(studio.clone())
        .oneshot(request)
        .await
        .expect("the router answers");
    let (status, headers) = (answer.status(), answer.headers().clone());
    let body = to_bytes(answer.into_body(), 64 << 20)
        .await
        .expect("a body")
        .to_vec();
    Answer {
        status,
        headers,
        body,
    }
}

async fn get(studio: &Arc<Studio>, path: &str) -> Answer {
    ask(studio, Method::GET, path, &[]).await
}

/// A name that somebody else controls may point at 127.0.0.1: the port must not answer to it.
#[tokio::test]
async fn only_our_own_names_are_answered() {
    let studio = studio();
    for host in [HOST, "localhost:8713"] {
        assert_eq!(
            ask(&studio, Method::GET, "/papers", &[("host", host)])
                .await
                .status,
            StatusCode::OK,
            "{host}"
        );
    }
    for host in [
        "evil.example:8713",
        "127.0.0.1",
        "127.0.0.1:8714",
        "localhost",
        "127.0.0.1:8713.evil.example",
        "",
    ] {
        let answer = ask(&studio, Method::GET, "/papers", &[("host", host)]).await;
        assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host:?}");
        assert!(!answer.text().contains("Reef"), "{host:?}");
    }
}

#[tokio::test]
async fn changes_need_our_origin_and_the_token() {
    let studio = studio();
    let token = studio.token().to_string();
    let origin = format!("http://{HOST}");
    let refused = StatusCode::FORBIDDEN;
    let post = |headers: Vec<(&'static str, String)>| {
        let studio = studio.clone();
        async move {
            let headers: Vec<(&str, &str)> = headers.iter().map(|(n, v)| (*n, v.as_str())).collect();
            ask(&studio, Method::POST, "/", &headers).await.status
        }
    };
    assert_eq!(post(vec![]).await, refused);
    assert_eq!(post(vec![("origin", origin.clone())]).await, refused);
    assert_eq!(post(vec![(TOKEN, token.clone())]).await, refused);
    assert_eq!(
        post(vec![
            ("origin", "http://evil.example".into()),
            (TOKEN, token.clone())
        ])
        .await,
        refused
    );
    assert_eq!(
        post(vec![("origin", "null".into()), (TOKEN, token.clone())]).await,
        refused
    );
    assert_eq!(
        post(vec![
            ("origin", origin.clone()),
            (TOKEN, format!("{}0", &token[1..]))
        ])
        .await,
        refused
    );
    // Let through, it finds that there is nothing to change here.
    assert_eq!(
        post(vec![("origin", origin), (TOKEN, token)]).await,
        StatusCode::METHOD_NOT_ALLOWED
    );
}

/// Two studios never share a token.
#[test]
fn every_start_has_its_own_token() {
    assert_ne!(studio().token(), studio().token());
}

#[tokio::test]
async fn other_sites_may_link_here_but_not_make_us_work() {
    let studio = studio();
    let picture = "/cloth/sea-fan.png?w=10&h=10&dpi=20";
    let from = |mode: &'static str, dest: &'static str| {
        [
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", mode),
            ("sec-fetch-dest", dest),
        ]
    };
    assert_eq!(
        ask(&studio, Method::GET, picture, &from("no-cors", "image"))
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        ask(&studio, Method::GET, "/papers", &from("navigate", "iframe"))
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        ask(&studio, Method::GET, "/papers", &from("navigate", "document"))
            .await
            .status,
        StatusCode::OK
    );
}

const PAGES: [&str; 8] = [
    "/",
    "/design/sea-fan",
    "/design/rain-gutter?scale=bolt&frames=across",
    "/baths",
    "/price?design=net-float&bolts=3",
    "/run",
    "/papers",
    "/no/such/page",
];

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
            // A placeholder that nobody filled.
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
async fn bad_pictures_are_refused_in_words() {
    let studio = studio();
    let good = "/cloth/sea-fan.png?x=100&y=100&w=40&h=30&dpi=40";
    for (path, status, says) in [
        (
            "/cloth/no-such.png?w=10&h=10&dpi=20",
            StatusCode::NOT_FOUND,
            "no design no-such",
        ),
        ("/cloth/sea-fan.png", StatusCode::BAD_REQUEST, "w is missing"),
        (
            "/cloth/sea-fan.png?w=abc&h=10&dpi=20",
            StatusCode::BAD_REQUEST,
            "w is \"abc\"",
        ),
        (
            "/cloth/sea-fan.png?w=NaN&h=10&dpi=20",
            StatusCode::BAD_REQUEST,
            "w is \"NaN\"",
        ),
        (
            "/cloth/sea-fan.png?w=-5&h=10&dpi=20",
            StatusCode::BAD_REQUEST,
            "a number from 1 to",
        ),
        (
            "/cloth/sea-fan.png?x=-1&w=10&h=10&dpi=20",
            StatusCode::BAD_REQUEST,
            "x is \"-1\"",
        ),
        (
            "/cloth/sea-fan.png?x=1000&w=500&h=10&dpi=20",
            StatusCode::BAD_REQUEST,
            "w is \"500\"",
        ),
        (
            "/cloth/sea-fan.png?w=10&h=10&dpi=1e9",
            StatusCode::BAD_REQUEST,
            "dpi is",
        ),
        (
            "/cloth/sea-fan.png?w=1000&h=13000&dpi=300",
            StatusCode::BAD_REQUEST,
            "smaller piece",
        ),
        (
            "/cloth/sea-fan.png?w=10&h=10&dpi=20&step=no-such",
            StatusCode::BAD_REQUEST,
            "no step no-such",
        ),
        (
            "/cloth/sea-fan.png?w=10&h=10&dpi=20&bolt=-1",
            StatusCode::BAD_REQUEST,
            "bolt is \"-1\"",
        ),
    ] {
        let answer = get(&studio, path).await;
        assert_eq!(answer.status, status, "{path}: {}", answer.text());
        assert!(answer.text().contains(says), "{path}: {}", answer.text());
        assert!(answer.header("content-type").starts_with("text/plain"), "{path}");
    }
    let dutiful = get(&studio, "/cloth/sea-fan.png?w=abc&h=10&dpi=20&lang=id").await;
    assert!(dutiful.text().contains("w diisi"), "{}", dutiful.text());
    assert_eq!(get(&studio, good).await.status, StatusCode::OK);
}

/// 40 x 30 mm at 40 dpi is 63 x 47 pixels; the PNG header has them at bytes 16 to 23 (PNG, 3rd edition, 11.2.1).
#[tokio::test]
async fn a_picture_has_its_size_and_is_kept_by_the_browser() {
    let studio = studio();
    let path = "/cloth/sea-fan.png?x=0&y=0&w=40&h=30&dpi=40";
    let first = get(&studio, path).await;
    assert_eq!(
        (first.status, first.header("content-type")),
        (StatusCode::OK, "image/png")
    );
    assert_eq!(first.body.get(16..24), Some(&[0, 0, 0, 63, 0, 0, 0, 47][..]));
    let tag = first.header("etag").to_string();
    let again = ask(&studio, Method::GET, path, &[("if-none-match", &tag)]).await;
    assert_eq!((again.status, again.body.len()), (StatusCode::NOT_MODIFIED, 0));
    assert_eq!(
        get(&studio, path).await.body,
        first.body,
        "the same cloth every time"
    );
    // Another place, another step, another bolt: other cloth, other tag.
    for other in ["&x=300", "&step=white", "&bolt=1"] {
        let path = if other.starts_with("&x") {
            path.replace("x=0", "x=300")
        } else {
            format!("{path}{other}")
        };
        let answer = get(&studio, &path).await;
        assert_ne!(answer.header("etag"), tag, "{other}");
        assert_ne!(answer.body, first.body, "{other}");
    }
}

/// The address that a page writes for a picture is the size that it tells the browser, and may be kept for long.
#[tokio::test]
async fn pages_and_pictures_agree_to_the_pixel() {
    let studio = studio();
    let html = get(&studio, "/design/sea-fan?scale=thread").await.text();
    let image = html
        .split("<img")
        .find(|i| i.contains("/cloth/") && i.contains("width=\"960\""))
        .expect("a picture");
    let attribute = |key: &str| {
        image
            .split(&format!(" {key}=\""))
            .nth(1)
            .and_then(|t| t.split('"').next())
            .unwrap_or("")
            .replace("&amp;", "&")
    };
    let answer = get(&studio, &attribute("src")).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let size =
        |at: usize| u32::from_be_bytes(answer.body[at..at + 4].try_into().expect("four bytes")).to_string();
    assert_eq!((size(16), size(20)), (attribute("width"), attribute("height")));
    assert!(answer.header("cache-control").contains("immutable"));
}

/// Nobody waits for the picture any more: its place in the queue and the worker are free again.
#[tokio::test(flavor = "multi_thread")]
async fn work_ends_with_its_request() {
    let studio = studio();
    let large = "/cloth/sea-fan.png?w=1100&h=8000&dpi=10";
    let task = {
        let studio = studio.clone();
        tokio::spawn(async move { get(&studio, large).await.status })
    };
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    task.abort();
    assert!(task.await.is_err(), "the large picture was not done yet");
    // Were the work not stopped, this would wait for all of it.
    let small = get(&studio, "/cloth/sea-fan.png?w=4&h=4&dpi=20");
    let small = tokio::time::timeout(std::time::Duration::from_secs(60), small)
        .await
        .expect("the worker is free");
    assert_eq!(small.status, StatusCode::OK);
    studio.close();
    assert_eq!(
        get(&studio, "/cloth/sea-fan.png?w=5&h=5&dpi=20").await.status,
        StatusCode::SERVICE_UNAVAILABLE
    );
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

/// The plan as the rest of the program makes it: every lot has its row, every bar a line of the table.
#[tokio::test]
async fn the_run_sheet_shows_every_lot() {
    let facts = HouseFacts::new(Asked {
        first_day: sky::Date::new(2026, 11, 26).expect("a day"),
        strike_offs: Vec::new(),
        tries: 1,
    });
    let studio = studio_with(Arc::new(facts));
    let html = get(&studio, "/run").await.text();
    assert!(html.contains("Will the orders leave on time?"), "{html}");
    for order in &studio.workspace().orders {
        assert!(html.contains(&order.id), "{}", order.id);
    }
    assert!(html.contains("<pattern") && html.contains("class=\"night\""));
    let papers = get(&studio, "/papers").await.text();
    assert!(papers.contains("/papers/order-o-101"));
}
