//! The shelf of stamps: recorded, refused, taken back, also after the studio was closed.

use super::editing::{Scratch, post};
use super::get;
use crate::studio::Studio;
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::sync::Arc;

async fn shelf(studio: &Arc<Studio>) -> Value {
    serde_json::from_slice(&get(studio, "/api/shelf").await.body).expect("JSON")
}

async fn record(studio: &Arc<Studio>, hash: &str, what: Value) -> (StatusCode, Value) {
    let answer = post(studio, "/api/shelf", Some(hash), what.to_string()).await;
    (answer.status, serde_json::from_slice(&answer.body).expect("JSON"))
}

/// A bolt is 13.716 m (15 yd), as the design's file says.
#[tokio::test]
async fn bolts_are_counted_and_taken_back() {
    let (scratch, studio) = Scratch::new("shelf");
    let empty = shelf(&studio).await;
    assert_eq!((&empty["hash"], &empty["copies"]), (&json!("none"), &json!([])));
    assert!(get(&studio, "/shelf").await.text().contains("tide-pool/pool/1"));

    let new = json!({ "did": "new", "copy": "tide-pool/pool/1", "on": "2026-06-01", "shelf": "B2" });
    let (status, made) = record(&studio, "none", new.clone()).await;
    assert_eq!(status, StatusCode::OK, "{made}");
    let hash = made["hash"].as_str().expect("a hash").to_string();
    let (status, twice) = record(&studio, &hash, new).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{twice}");

    let stamped = |bolts: &str| json!({ "did": "stamped", "copy": "tide-pool/pool/1", "on": "2026-06-04", "bolts": bolts });
    let (status, _) = record(&studio, "none", stamped("9")).await;
    assert_eq!(
        status,
        StatusCode::CONFLICT,
        "made for the folder without the file"
    );
    let (status, made) = record(&studio, &hash, stamped("9")).await;
    assert_eq!(
        (status, &made["undo"], &made["redo"]),
        (StatusCode::OK, &json!(2), &json!(0))
    );
    let copy = shelf(&studio).await["copies"][0].clone();
    assert_eq!(copy["bolts"], 9);
    assert!((copy["metres_since_filed"].as_f64().expect("a number") - 9.0 * 13.716).abs() < 1e-6);
    let html = get(&studio, "/shelf").await.text();
    assert!(html.contains("class=\"worn\"") && html.contains("stamped 9 bolts"));

    // Closed and opened: what was recorded last can still be taken back, and recorded again.
    let studio = scratch.open();
    let hash = made["hash"].as_str().expect("a hash");
    let back = post(&studio, "/api/shelf/undo", Some(hash), "{}").await;
    assert_eq!(back.status, StatusCode::OK, "{}", back.text());
    assert_eq!(shelf(&studio).await["copies"][0]["bolts"], 0);
    let hash = shelf(&studio).await["hash"].as_str().expect("a hash").to_string();
    let on = post(&studio, "/api/shelf/redo", Some(&hash), "{}").await;
    assert_eq!(on.status, StatusCode::OK);
    assert_eq!(shelf(&studio).await["copies"][0]["bolts"], 9);
}

#[tokio::test]
async fn what_cannot_be_is_refused_in_words_and_nothing_is_written() {
    let (scratch, studio) = Scratch::new("shelf-refused");
    let deed = |did: &str, more: Value| {
        let mut all = json!({ "did": did, "copy": "tide-pool/pool/1", "on": "2026-06-04" });
        for (key, value) in more.as_object().expect("an object") {
            all[key] = value.clone();
        }
        all
    };
    for (what, code) in [
        (deed("stamped", json!({ "bolts": "9" })), "no-such-copy"),
        (deed("stamped", json!({ "bolts": "3 kg" })), "no-bolts"),
        (deed("stamped", json!({ "bolts": "0" })), "no-bolts"),
        (deed("refiled", json!({ "on": "yesterday" })), "no-day"),
        (deed("refiled", json!({ "copy": "pool" })), "no-such-copy"),
        (deed("proofed", json!({ "off_level": "2 m" })), "no-gap"),
        (
            deed("proofed", json!({ "off_level": "0.2 g" })),
            "quantity-of-other-kind",
        ),
        (deed("new", json!({ "shelf": "x".repeat(41) })), "no-place"),
    ] {
        let (status, said) = record(&studio, "none", what.clone()).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
        assert_eq!(said["findings"][0]["code"], code, "{what}");
    }
    let (status, _) = record(&studio, "none", deed("sold", json!({}))).await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(!scratch.0.join("stamps.toml").exists());
}
