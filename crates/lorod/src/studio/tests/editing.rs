//! Changes by JSON: what is written, what is refused, and who is told.

use super::{Answer, HOST, PORT, demo, get};
use crate::studio::guard::TOKEN;
use crate::studio::{NoFacts, Studio, router};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower::ServiceExt;

/// A workspace that goes when the test ends: the demonstration with one design.
pub(super) struct Scratch(pub(super) PathBuf);

impl Scratch {
    pub(super) fn new(name: &str) -> (Self, Arc<Studio>) {
        let dir = std::env::temp_dir().join(format!("lorod-editing-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        for file in ["collection.toml", "workshop.toml"] {
            copy(&demo().join(file), &dir.join(file));
        }
        copy(&demo().join("dyes"), &dir.join("dyes"));
        copy(&demo().join("designs/tide-pool"), &dir.join("designs/tide-pool"));
        let scratch = Self(dir);
        let studio = scratch.open();
        (scratch, studio)
    }
    /// The studio started on it.
    pub(super) fn open(&self) -> Arc<Studio> {
        Arc::new(Studio::open(&self.0, Arc::new(NoFacts), PORT).expect("it opens"))
    }
    pub(super) fn text(&self) -> String {
        std::fs::read_to_string(self.0.join("designs/tide-pool/design.toml")).expect("it is there")
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        for entry in std::fs::read_dir(from).expect("a folder").flatten() {
            copy(&entry.path(), &to.join(entry.file_name()));
        }
        return;
    }
    std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
    std::fs::copy(from, to).expect("copied");
}

pub(super) async fn post(
    studio: &Arc<Studio>,
    path: &str,
    hash: Option<&str>,
    body: impl Into<Body>,
) -> Answer {
    let mut request = Request::post(path)
        .header(header::HOST, HOST)
        .header(header::ORIGIN, format!("http://{HOST}"))
        .header(TOKEN, studio.token());
    if let Some(hash) = hash {
        request = request.header(header::IF_MATCH, format!("\"{hash}\""));
    }
    let answer = router(studio.clone())
        .oneshot(request.body(body.into()).expect("a request"))
        .await
        .expect("the router answers");
    let (status, headers) = (answer.status(), answer.headers().clone());
    let body = to_bytes(answer.into_body(), 1 << 20)
        .await
        .expect("a body")
        .to_vec();
    Answer {
        status,
        headers,
        body,
    }
}

pub(super) fn json_of(answer: &Answer) -> Value {
    serde_json::from_slice(&answer.body).unwrap_or_else(|e| panic!("{e}: {}", answer.text()))
}

pub(super) async fn hash(studio: &Arc<Studio>) -> String {
    let view = json_of(&get(studio, "/api/design/tide-pool").await);
    view["hash"].as_str().expect("a hash").to_string()
}

fn set(key: &str, given: &str) -> String {
    json!({ "do": "set", "step": "s12", "key": key, "given": given }).to_string()
}

#[tokio::test]
async fn a_change_is_written_undone_and_done_again() {
    let (scratch, studio) = Scratch::new("undo");
    let (before, first) = (scratch.text(), hash(&studio).await);
    let answer = post(
        &studio,
        "/api/design/tide-pool/change",
        Some(&first),
        set("time", "16"),
    )
    .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let done = json_of(&answer);
    // A bare number keeps the unit that stood there, and nothing else of the file changes.
    assert_eq!(
        scratch.text(),
        before.replace("time = \"12 min\"", "time = \"16 min\"")
    );
    assert_eq!(
        (&done["undo"], &done["redo"], &done["step"]),
        (&json!(1), &json!(0), &json!("s12"))
    );
    let second = hash(&studio).await;
    assert_eq!(done["hash"], json!(second));

    let undone = json_of(&post(&studio, "/api/design/tide-pool/undo", Some(&second), "").await);
    assert_eq!(scratch.text(), before);
    assert_eq!(
        (&undone["undo"], &undone["redo"], &undone["hash"]),
        (&json!(0), &json!(1), &json!(first))
    );
    // The marks of pictures come back with the text: the browser has those pictures.
    assert_ne!(undone["marks"]["s12"], done["marks"]["s12"]);
    assert_eq!(undone["marks"]["s11"], done["marks"]["s11"]);
    let again = post(&studio, "/api/design/tide-pool/redo", Some(&first), "").await;
    assert_eq!(json_of(&again)["hash"], json!(second));
    let nothing = post(&studio, "/api/design/tide-pool/redo", Some(&second), "").await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_second_tab_is_told_and_nothing_is_overwritten() {
    let (scratch, studio) = Scratch::new("tabs");
    let both = hash(&studio).await;
    let path = "/api/design/tide-pool/change";
    assert_eq!(
        post(&studio, path, Some(&both), set("time", "16 min"))
            .await
            .status,
        StatusCode::OK
    );
    let first = scratch.text();
    let late = post(&studio, path, Some(&both), set("chlorine", "4 g/L")).await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    assert_eq!(scratch.text(), first);
    let told = json_of(&late);
    assert_eq!(told["differences"][0]["before"], json!("12 min"));
    assert_eq!(told["differences"][0]["after"], json!("16 min"));
    // Told what stands there now, the same change can be put on top.
    let now = told["hash"].as_str().expect("the hash now");
    assert_eq!(
        post(&studio, path, Some(now), set("chlorine", "4 g/L"))
            .await
            .status,
        StatusCode::OK
    );
    assert!(scratch.text().contains("16 min") && scratch.text().contains("4 g/L"));

    // An editor of text counts as another tab.
    let known = hash(&studio).await;
    let by_hand = scratch.text().replace("16 min", "17 min");
    std::fs::write(scratch.0.join("designs/tide-pool/design.toml"), &by_hand).expect("written");
    let late = post(&studio, path, Some(&known), set("time", "18 min")).await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    assert_eq!(json_of(&late)["differences"][0]["after"], json!("17 min"));
    assert_eq!(scratch.text(), by_hand);
    assert_eq!(
        post(&studio, path, None, set("time", "18 min")).await.status,
        StatusCode::PRECONDITION_REQUIRED
    );
}

#[tokio::test]
async fn what_cannot_be_made_is_refused_and_said() {
    let (scratch, studio) = Scratch::new("refuse");
    let (before, hash) = (scratch.text(), hash(&studio).await);
    for (key, given) in [
        ("time", "16 g"),
        ("time", "9 d"),
        ("time", ""),
        ("stamp", "x"),
        ("chlorine", "-1 g/L"),
    ] {
        for way in ["try", "change"] {
            let path = format!("/api/design/tide-pool/{way}");
            let answer = post(&studio, &path, Some(&hash), set(key, given)).await;
            let findings = &json_of(&answer)["findings"];
            assert!(
                findings[0]["found"].is_string(),
                "{key} {given:?}: {}",
                answer.text()
            );
        }
    }
    for nonsense in [
        "",
        "{}",
        "[]",
        "{\"do\":\"fly\"}",
        "{\"do\":\"remove\",\"step\":\"s12\",\"x\":1}",
    ] {
        let answer = post(&studio, "/api/design/tide-pool/change", Some(&hash), nonsense).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{nonsense}");
    }
    let nobody = post(
        &studio,
        "/api/design/none/change",
        Some(&hash),
        set("time", "1 min"),
    )
    .await;
    assert_eq!(nobody.status, StatusCode::NOT_FOUND);
    assert_eq!(scratch.text(), before);
}

#[tokio::test]
async fn steps_and_colourways_are_added() {
    let (scratch, studio) = Scratch::new("steps");
    let first = hash(&studio).await;
    for kind in crate::studio::tests::every_kind(&studio).await {
        let now = hash(&studio).await;
        let add = json!({ "do": "add", "kind": kind, "at": 3 }).to_string();
        let answer = post(&studio, "/api/design/tide-pool/change", Some(&now), add).await;
        assert_eq!(answer.status, StatusCode::OK, "{kind}: {}", answer.text());
        assert!(json_of(&answer)["step"].is_string(), "{kind}");
        let made = json_of(&answer)["hash"].as_str().expect("a hash").to_string();
        post(&studio, "/api/design/tide-pool/undo", Some(&made), "").await;
    }
    assert_eq!(hash(&studio).await, first);
    let body = json!({ "colourway": "high water" }).to_string();
    let made = post(&studio, "/api/design/tide-pool/colourway", None, body).await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    let id = json_of(&made)["id"].as_str().expect("an id").to_string();
    let copy = studio.workspace().design(&id).cloned().expect("it can be made");
    assert_eq!(
        (copy.name.as_str(), copy.colourway.as_str()),
        ("Tide pool", "high water")
    );
    assert!(scratch.0.join(format!("designs/{id}/tide-pool.svg")).is_file());
}

#[tokio::test]
async fn a_drawing_becomes_a_design_or_is_refused_in_words() {
    let (scratch, studio) = Scratch::new("upload");
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\"><circle cx=\"50\" cy=\"50\" r=\"30\"/></svg>";
    let made = post(
        &studio,
        "/api/designs?name=Round+moon&width=200+mm&file=moon.svg",
        None,
        svg,
    )
    .await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    assert_eq!(json_of(&made)["href"], json!("/design/round-moon"));
    assert!(studio.workspace().design("round-moon").is_some());
    let folders = || {
        std::fs::read_dir(scratch.0.join("designs"))
            .expect("a folder")
            .count()
    };
    let before = folders();
    for (query, body) in [
        ("name=a&width=200+mm&file=a.png", "\u{89}PNG"),
        ("name=a&width=200+mm&file=a.svg", ""),
        (
            "name=a&width=200+mm&file=a.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\"/>",
        ),
        ("name=a&width=20+kg&file=a.svg", svg),
        ("name=a&width=9+m&file=a.svg", svg),
        ("name=&width=200+mm&file=a.svg", svg),
    ] {
        let answer = post(&studio, &format!("/api/designs?{query}"), None, body.to_string()).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{query}");
        assert!(json_of(&answer)["findings"][0]["found"].is_string(), "{query}");
    }
    assert_eq!(folders(), before);
}
