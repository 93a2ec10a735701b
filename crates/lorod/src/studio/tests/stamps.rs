//! Stamps: pieces that take a while, and another drawing through the editing route.

use super::{HOST, PORT, demo, get, studio};
use crate::studio::known::rests_on;
use crate::studio::{NoFacts, Studio, router};
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode, header};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower::ServiceExt;

/// Asks until the piece is there.
async fn piece(studio: &Arc<Studio>, path: &str) -> String {
    loop {
        let answer = get(studio, path).await;
        if answer.status != StatusCode::ACCEPTED {
            assert_eq!(answer.status, StatusCode::OK, "{path}");
            return answer.text();
        }
        let share: f64 = answer.header("lorod-share").parse().expect("a share");
        assert!((0.0..=1.0).contains(&share));
    }
}

/// What the list says stands on the drawing under the same number, and in the table.
#[tokio::test]
async fn places_are_numbered_alike_on_the_drawing_in_the_list_and_in_the_table() {
    let studio = studio();
    let html = piece(&studio, "/stamp/faults?design=sea-fan").await;
    let table = piece(&studio, "/stamp/faults.csv?design=sea-fan").await;
    let rows = table.lines().count() - 1;
    assert!(rows > 10, "{table}");
    let data: serde_json::Value =
        serde_json::from_str(&piece(&studio, "/stamp/faults.json?design=sea-fan").await).expect("JSON");
    assert_eq!(data["faults"].as_array().map(Vec::len), Some(rows));
    for (at, fault) in data["faults"].as_array().into_iter().flatten().enumerate() {
        assert_eq!(fault["number"], at + 1);
        if html.contains(&format!("id=\"p{}\"", at + 1)) {
            assert!(html.contains(&format!("id=\"at-p{}\"", at + 1)), "{at}");
        }
    }
    for never in [" style=", "<script", "<style"] {
        assert!(!html.contains(never), "{never}");
    }
    assert_eq!(
        get(&studio, "/stamp/faults?design=no-such").await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        get(&studio, "/stamp/no-such?design=sea-fan").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn strips_slips_and_drawings_are_handed_out() {
    let studio = studio();
    let slip = piece(&studio, "/stamp/slip?design=net-float&mm=2&degrees=1").await;
    let none = piece(&studio, "/stamp/slip?design=net-float&mm=0&degrees=0").await;
    if slip.contains("of 100 impressions") {
        assert!(none.contains("0 of 100 impressions"), "{none}");
        assert!(!slip.contains(">0 of 100"), "{slip}");
    }
    let copper = piece(&studio, "/stamp/copper?design=net-float").await;
    assert!(
        copper.contains("IDR") && copper.contains("paper=letter"),
        "{copper}"
    );
    let strips = piece(&studio, "/stamp/strips.csv?design=net-float").await;
    assert!(strips.starts_with("number,use,length_mm"));
    let pdf = get(&studio, "/stamp/drawing.pdf?design=net-float&paper=a3").await;
    assert!(pdf.header("content-type") == "application/pdf" && pdf.body.starts_with(b"%PDF"));
    let zip = get(&studio, "/stamp/drawing.zip?design=net-float").await;
    assert!(zip.body.starts_with(b"PK"));
}

struct Scratch(PathBuf);

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("copied");
        }
    }
}

async fn post(studio: &Arc<Studio>, path: &str, hash: &str, body: &str) -> (StatusCode, serde_json::Value) {
    let request = Request::builder()
        .method(Method::POST)
        .uri(path)
        .header(header::HOST, HOST)
        .header(header::ORIGIN, format!("http://{HOST}"))
        .header("lorod-token", studio.token())
        .header(header::IF_MATCH, format!("\"{hash}\""))
        .body(Body::from(body.to_string()))
        .expect("a request");
    let answer = router(studio.clone()).oneshot(request).await.expect("an answer");
    let status = answer.status();
    let body = to_bytes(answer.into_body(), 1 << 20).await.expect("a body");
    (status, serde_json::from_slice(&body).expect("JSON"))
}

/// A drawing is written beside the old one and undone; a refused one, and one made for another version of the file,
/// leave nothing behind.
#[tokio::test]
async fn another_drawing_is_a_change_like_any_other() {
    let scratch = Scratch(std::env::temp_dir().join(format!("lorod-redraw-{}", std::process::id())));
    copy(&demo(), &scratch.0);
    let studio = Arc::new(Studio::open(&scratch.0, Arc::new(NoFacts), PORT).expect("the copy opens"));
    let folder = scratch.0.join("designs/tide-pool");
    let names = || {
        let mut all: Vec<_> = std::fs::read_dir(&folder)
            .expect("a folder")
            .map(|e| e.expect("an entry").file_name())
            .collect();
        all.sort();
        all
    };
    let before = (
        names(),
        std::fs::read_to_string(folder.join("design.toml")).expect("a design"),
    );
    let workspace = studio.workspace();
    let stamp = workspace.design("tide-pool").expect("a design").stamps[0]
        .id
        .clone();
    let view = get(&studio, "/api/design/tide-pool").await;
    let hash = serde_json::from_slice::<serde_json::Value>(&view.body).expect("JSON")["hash"]
        .as_str()
        .expect("a hash")
        .to_string();
    let address = format!("/api/design/tide-pool/drawing?stamp={stamp}&file=../New%20Moon.svg");
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\"><circle cx=\"50\" cy=\"50\" r=\"30\"/></svg>";

    let (status, refused) = post(&studio, &address, &hash, "no drawing").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{refused}");
    let (status, _) = post(&studio, &address, "00", svg).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(
        (
            names(),
            std::fs::read_to_string(folder.join("design.toml")).expect("a design")
        ),
        before
    );

    let (status, done) = post(&studio, &address, &hash, svg).await;
    assert_eq!(status, StatusCode::OK, "{done}");
    let text = std::fs::read_to_string(folder.join("design.toml")).expect("a design");
    assert!(text.contains("file = \"new-moon.svg\""), "{text}");
    assert_eq!(names().len(), before.0.len() + 1, "the old drawing stays");

    // What is worked out now is known as long as what it rests on is as it is: an order is written, the folder read anew.
    let rests = || rests_on(&studio.workspace(), "tide-pool").expect("a design");
    let worked_out_with = rests();
    let order = json!({ "design": "tide-pool", "bolts": "2", "due": "2027-03-31", "buyer": "Moon & Tide" });
    let (status, answer) = post(&studio, "/api/orders", "", &order.to_string()).await;
    assert_eq!(status, StatusCode::CREATED, "{answer}");
    assert_eq!(rests(), worked_out_with);
    let anew = Studio::open(&scratch.0, Arc::new(NoFacts), PORT).expect("the copy opens");
    assert_eq!(
        rests_on(&anew.workspace(), "tide-pool"),
        Some(worked_out_with.clone())
    );
    let hash = done["hash"].as_str().expect("a hash");
    let (status, _) = post(&studio, "/api/design/tide-pool/undo", hash, "{}").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(
        std::fs::read_to_string(folder.join("design.toml")).expect("a design"),
        before.1
    );
    assert_ne!(rests(), worked_out_with, "it rests on the drawing too");
}
