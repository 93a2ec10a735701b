//! Style sheets, modules and drawings built into the program, and the letters of the pages.

use super::Studio;
use super::say::not_found;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::Embed;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::sync::Arc;

#[derive(Embed)]
#[folder = "assets/"]
struct Assets;

/// One asset, or 304 if the browser has it.
pub async fn serve(
    State(studio): State<Arc<Studio>>,
    Path(path): Path<String>,
    headers: HeaderMap,
) -> Response {
    let (bytes, kind): (Cow<'static, [u8]>, String) = match path.as_str() {
        "work-regular.ttf" => (notosans::REGULAR_TTF.into(), "font/ttf".into()),
        "work-bold.ttf" => (notosans::BOLD_TTF.into(), "font/ttf".into()),
        _ => match Assets::get(&path) {
            Some(file) => {
                let kind = file.metadata.mimetype().to_string();
                (file.data, kind)
            }
            None => return not_found(&studio, &headers).into_response(),
        },
    };
    let tag = format!("\"{}\"", hex(&Sha256::digest(&bytes)[..12]));
    tagged(&headers, &tag, &kind, || Body::from(bytes.into_owned()))
}

/// An answer with an entity tag: empty where the browser already has it.
pub fn tagged(headers: &HeaderMap, tag: &str, kind: &str, body: impl FnOnce() -> Body) -> Response {
    let about = [
        (header::ETAG, tag.to_string()),
        (header::CACHE_CONTROL, "no-cache".to_string()),
        (header::CONTENT_TYPE, kind.to_string()),
    ];
    if has(headers, tag) {
        return (StatusCode::NOT_MODIFIED, about).into_response();
    }
    (about, body()).into_response()
}

/// Does the browser say that it has this version?
pub fn has(headers: &HeaderMap, tag: &str) -> bool {
    let known = headers
        .get(header::IF_NONE_MATCH)
        .and_then(|v| v.to_str().ok())
        .unwrap_or("");
    known
        .split(',')
        .any(|one| one.trim().trim_start_matches("W/") == tag)
}

/// Lower-case hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}
