//! The whole studio, asked as a browser (or somebody else's page) would ask. On the demonstration workspace.

mod described;
mod drawings;
mod editing;
mod guard;
mod learned;
mod lots;
mod pages;
mod photographs;
mod pictures;
mod plans;
mod shades;
mod shelf;
mod stamps;
mod taken;

use super::{Facts, NoFacts, Studio, router};
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower::ServiceExt;

pub(super) const PORT: u16 = 8713;
const HOST: &str = "127.0.0.1:8713";

pub(super) fn demo() -> PathBuf {
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

/// Keys of all operations, as the studio tells them.
async fn every_kind(studio: &Arc<Studio>) -> Vec<String> {
    let all: serde_json::Value = serde_json::from_slice(&get(studio, "/api/kinds").await.body).expect("JSON");
    let all = all["kinds"].as_array().expect("a list").clone();
    all.iter()
        .filter_map(|kind| kind["key"].as_str().map(str::to_string))
        .collect()
}

/// Copies a workspace.
pub(super) fn copy(from: &Path, to: &Path) {
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
