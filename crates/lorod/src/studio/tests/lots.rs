//! The bolts of a lot, and what the workshop measured itself, as pages.

use super::{get, studio};
use crate::facts::lot::{Asked, lot};
use axum::http::StatusCode;
use cloth::lot::{Led, Wander};
use serde_json::Value;

/// First, middle and last stand side by side with what the command tells of them; the sizes are a sum that can be done by
/// hand: what is cut, less what shrinks, is what was asked for.
#[tokio::test]
async fn three_bolts_of_a_lot_stand_side_by_side() {
    let studio = studio();
    let page = get(&studio, "/lot?design=tide-pool&bolts=4").await.text();
    assert!(
        page.contains("data-job=\"/lot/made?design=tide-pool&amp;bolts=4\""),
        "{page}"
    );
    let made = get(&studio, "/lot/made?design=tide-pool&bolts=4").await.text();
    assert_eq!(made.matches("<figure>").count(), 3, "{made}");
    for says in [
        "Bolt 1<",
        "Bolt 2<",
        "Bolt 4<",
        "src=\"/lot/near-3.png?design=tide-pool&amp;bolts=4\"",
        "from two metres",
        "own estimates",
        "of white cloth",
    ] {
        assert!(made.contains(says), "{says}: {made}");
    }
    let workspace = studio.workspace();
    let (design, shop) = (
        workspace.design("tide-pool").expect("a design"),
        workspace.workshop.as_ref().expect("a workshop"),
    );
    let asked = Asked {
        lot: design.id.clone(),
        bolts: 4,
        wander: Wander::default(),
        led: Led::BySheet,
    };
    let told = lot(design, shop, &asked, &|_| true).expect("a lot");
    let data = get(&studio, "/data/lot.json?design=tide-pool&bolts=4").await;
    let data: Value = serde_json::from_slice(&data.body).expect("JSON");
    let rows = data["tables"]["distances"]["rows"].as_array().expect("rows");
    let all = told.bolts.iter().flat_map(|one| {
        one.from_design
            .iter()
            .map(move |(_, distance)| (u64::from(one.number), *distance))
    });
    let all: Vec<(u64, f64)> = all.collect();
    assert_eq!(rows.len(), all.len());
    for (row, (number, distance)) in rows.iter().zip(all) {
        assert_eq!(row["bolt"], number);
        // JSON is read to one unit of the last of 17 digits.
        let told = row["from_design_de00"].as_f64().expect("a number");
        assert!(
            (told - distance).abs() <= 1e-15 * distance.max(1.0),
            "{told} {distance}"
        );
    }
    for row in data["tables"]["sizes"]["rows"].as_array().expect("rows") {
        let n = |key: &str| row[key].as_f64().expect("a number");
        let left = n("before_m") * (1.0 - n("shrinks_percent") / 100.0);
        assert!((left - n("finished_m")).abs() < 1e-9, "{row}");
    }
    let length = data["tables"]["sizes"]["rows"][0]["finished_m"].as_f64();
    assert_eq!(length, Some(design.cloth.length.0));

    let picture = get(&studio, "/lot/wide-2.png?design=tide-pool&bolts=4").await;
    assert_eq!(picture.header("content-type"), "image/png");
    assert!(picture.body.starts_with(b"\x89PNG\r\n\x1a\n"));
    for none in ["/lot/near-4.png", "/lot/far-1.png", "/lot/near-0.png"] {
        let answer = get(&studio, &format!("{none}?design=tide-pool&bolts=4")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{none}");
    }
    // Now it is known, and the page shows it at once; in the other language too.
    let page = get(&studio, "/lot?design=tide-pool&bolts=4&lang=id").await.text();
    let main = page.split("</main>").next().unwrap_or("");
    assert!(main.contains("Gulung 4") && !main.contains("data-job"), "{page}");
}

/// Of the forecasts that the file tells, so many lie in their interval as the plot says; counted here by the interval itself.
#[tokio::test]
async fn what_was_measured_is_told_with_its_spread() {
    let studio = studio();
    let page = get(&studio, "/learned").await.text();
    let data: Value = serde_json::from_slice(&get(&studio, "/data/learned.json").await.body).expect("JSON");
    let rows = data["tables"]["forecasts"]["rows"].as_array().expect("rows");
    assert!(rows.len() >= 10, "{}", rows.len());
    let mut inside = 0;
    for row in rows {
        let n = |key: &str| row[key].as_f64().expect("a number");
        let came = n("came_over_forecast");
        let is = (n("least_over_forecast")..=n("most_over_forecast")).contains(&came);
        assert_eq!(row["inside"], is, "{row}");
        inside += u32::from(is);
    }
    let share = (100.0 * f64::from(inside) / rows.len() as f64).round();
    assert!(
        page.contains(&format!(
            "Of {} outcomes {share} % lie in their 90 % interval",
            rows.len()
        )),
        "{share}"
    );
    let constants = data["tables"]["constants"]["rows"].as_array().expect("rows");
    assert!(constants.len() >= 3);
    for row in constants {
        let n = |key: &str| row[key].as_f64().expect("a number");
        assert!(n("measured_factor") >= 1.0 && n("before_factor") >= 1.0, "{row}");
        assert!(page.contains(row["constant"].as_str().expect("a name")), "{row}");
    }
    assert!(
        get(&studio, "/windows")
            .await
            .text()
            .contains("href=\"/learned\"")
    );
}
