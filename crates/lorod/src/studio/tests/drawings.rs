//! Drawings that are brought: how they read as wax, and what of them the folder keeps.

use super::editing::{Scratch, json_of, post};
use axum::http::StatusCode;
use cloth::Picture;
use serde_json::json;

/// A quarter of the page, of a grey with L* 63 (CIELAB of sRGB #999: 100 (0.3185^(1/3)) 1.16 - 16).
const SQUARE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\"><rect x=\"20\" y=\"30\" width=\"50\" height=\"50\" fill=\"#999\"/></svg>";

/// By hand: the square is a quarter of its page. Cut to it with 4 mm of room, 200 mm hold a square of 192 mm.
#[tokio::test]
async fn a_drawing_reads_as_wax_at_the_size_asked_for() {
    let (_scratch, studio) = Scratch::new("wax");
    let ask =
        async |query: &str| post(&studio, &format!("/api/reading?file=a.svg&{query}"), None, SQUARE).await;
    let read = json_of(&ask("width=200+mm").await);
    assert_eq!(read["repeat_mm"], json!([200.0, 200.0]));
    assert!((read["share"].as_f64().expect("a share") - 0.25).abs() < 1e-9);
    assert_eq!((&read["pieces"], &read["roomy"]), (&json!(1), &json!(true)));
    assert!(
        read["picture"]
            .as_str()
            .expect("a picture")
            .contains("<svg class=\"stamp\"")
    );

    let cut = json_of(&ask("width=200+mm&cut=1").await);
    let share = cut["share"].as_f64().expect("a share");
    assert!((share - (192.0_f64 / 200.0).powi(2)).abs() < 1e-6, "{share}");
    assert_eq!(cut["roomy"], json!(false));

    // Paint is wax below a limit; where none of it is, that is told.
    assert!(ask("width=200+mm&wax_below=70").await.status.is_success());
    for wrong in [
        "width=200+mm&wax_below=50",
        "width=200+mm&wax_below=dark",
        "width=0+mm",
        "width=20+kg",
    ] {
        let refused = ask(wrong).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert!(json_of(&refused)["findings"][0]["found"].is_string(), "{wrong}");
    }
}

/// What was chosen on the page stands in the folder: the limit beside the drawing, a cut page as a drawing of its own.
#[tokio::test]
async fn the_folder_keeps_what_was_seen() {
    let (scratch, studio) = Scratch::new("kept");
    let file = |id: &str, name: &str| {
        std::fs::read_to_string(scratch.0.join(format!("designs/{id}/{name}"))).expect("it is there")
    };
    let made = post(
        &studio,
        "/api/designs?name=Grey&width=200+mm&file=a.svg&wax_below=70",
        None,
        SQUARE,
    )
    .await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    assert_eq!(file("grey", "grey.svg"), SQUARE);
    assert!(file("grey", "design.toml").contains("\nwax_below = 70\n"));

    let made = post(
        &studio,
        "/api/designs?name=Cut&width=200+mm&file=a.svg&cut=1",
        None,
        SQUARE,
    )
    .await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    let design = studio.workspace().design("cut").cloned().expect("a design");
    assert!((design.stamps[0].stamp.share_of_repeat() - 0.9216).abs() < 1e-6);
}

/// A scan of a black square on white paper: 60 of 120 pixels each way are a quarter of the page, to the edge's blur.
#[tokio::test]
async fn a_scan_becomes_a_design() {
    let (_scratch, studio) = Scratch::new("scan");
    let ink = |n: u32| (30..90).contains(&(n % 120)) && (30..90).contains(&(n / 120));
    let scan = Picture {
        width: 120,
        height: 120,
        rgb: (0..120 * 120)
            .flat_map(|n| [if ink(n) { 0 } else { 255 }; 3])
            .collect(),
    };
    let png = cloth::png(&scan, 96.0).expect("a picture");
    let read = json_of(&post(&studio, "/api/reading?width=200+mm&file=a.png", None, png.clone()).await);
    let share = read["share"].as_f64().expect("a share");
    assert!((share - 0.25).abs() < 0.005, "{share}");
    assert_eq!(read["wax_below"], json!(null));
    let made = post(
        &studio,
        "/api/designs?name=Scan&width=200+mm&file=a.png",
        None,
        png,
    )
    .await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    let design = studio.workspace().design("scan").cloned().expect("a design");
    assert!((design.stamps[0].stamp.share_of_repeat() - share).abs() < 1e-6);
}
