//! Who may speak to the studio: only this computer's own pages.
//!
//! Another page in the same browser can send requests to a loopback port, and a name that it controls can be made
//! to point at 127.0.0.1. So: no Host but ours; no sub-request from another site; nothing but reading without our
//! Origin and the start token.

use super::Studio;
use axum::extract::{Request, State};
use axum::http::header::{HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// Header in which a page sends the start token back.
pub const TOKEN: &str = "lorod-token";

/// Everything from ourselves, and pictures that the page itself holds; nothing inline, no frames, no forms to elsewhere.
pub const POLICY: &str = "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'self'; \
                          frame-ancestors 'none'";

/// Refuses what is not ours, and puts the safe headers on every answer.
pub async fn guard(State(studio): State<Arc<Studio>>, request: Request, next: Next) -> Response {
    let mut answer = match refusal(&studio, request.method(), request.headers()) {
        Some((status, why)) => (status, why).into_response(),
        None => next.run(request).await,
    };
    let headers = answer.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    answer
}

fn refusal(studio: &Studio, method: &Method, headers: &HeaderMap) -> Option<(StatusCode, &'static str)> {
    let text = |name: &str| headers.get(name).and_then(|v| v.to_str().ok());
    let ours = studio.hosts();
    if !text("host").is_some_and(|host| ours.iter().any(|o| o == host)) {
        return Some((
            StatusCode::MISDIRECTED_REQUEST,
            "this studio answers only to its own address\n",
        ));
    }
    let reading = method == Method::GET || method == Method::HEAD;
    if reading {
        // A link from elsewhere may open a page; a picture or a script from elsewhere may not make us work.
        let stranger = matches!(text("sec-fetch-site"), Some("cross-site" | "same-site"));
        let opened = text("sec-fetch-mode") == Some("navigate") && text("sec-fetch-dest") == Some("document");
        return (stranger && !opened).then_some((StatusCode::FORBIDDEN, "asked for by another site\n"));
    }
    let same_origin =
        text("origin").is_some_and(|origin| ours.iter().any(|o| origin == format!("http://{o}")));
    let token = text(TOKEN).is_some_and(|given| same(given, studio.token()));
    (!same_origin || !token).then_some((
        StatusCode::FORBIDDEN,
        "changes are taken from the studio's own pages only\n",
    ))
}

/// Compares without telling by its time how much was right.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len()
        && one
            .bytes()
            .zip(other.bytes())
            .fold(0, |sum, (a, b)| sum | (a ^ b))
            == 0
}
