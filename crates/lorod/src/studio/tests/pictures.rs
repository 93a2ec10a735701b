//! Pictures of cloth by address.

use super::{ask, get, studio};
use axum::http::{Method, StatusCode};

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

/// What is looked at comes twice where a pixel is wider than a sample may be: one sample a pixel, then smooth; once where
/// it is not, under one tag.
#[tokio::test]
async fn a_wide_pixel_comes_plain_then_smooth() {
    let studio = studio();
    let seen = async |dpi: f64, rank: &str| {
        let path = format!("/cloth/sea-fan.png?x=300&y=400&w=120&h=90&dpi={dpi}&for={rank}");
        get(&studio, &path).await
    };
    // 25.4 mm over 0.6 mm are 42.3 samples an inch.
    let (plain, smooth, picture) = (
        seen(36.0, "view").await,
        seen(36.0, "smooth").await,
        seen(36.0, "page").await,
    );
    assert_eq!(plain.status, StatusCode::OK);
    assert_ne!(plain.header("etag"), smooth.header("etag"));
    assert_ne!(plain.body, smooth.body);
    assert_eq!(plain.body.get(16..24), smooth.body.get(16..24), "as large");
    assert_eq!(
        smooth.header("etag"),
        picture.header("etag"),
        "the picture itself"
    );
    let (plain, smooth) = (seen(45.0, "view").await, seen(45.0, "smooth").await);
    assert_eq!(plain.header("etag"), smooth.header("etag"));
    assert_eq!(plain.body, smooth.body);
}
