//! Photographs: what is no picture is refused, marks are checked, and what they come to is told.

use super::editing::{Scratch, post};
use super::get;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// White card with a window of mottled cloth in it and a grey card below: straight from above.
fn picture() -> Vec<u8> {
    let (w, h) = (300usize, 400usize);
    let mut rgb = vec![235u8; w * h * 3];
    for (at, pixel) in rgb.chunks_exact_mut(3).enumerate() {
        let (x, y) = (at % w, at / w);
        if (50..250).contains(&x) && (50..250).contains(&y) {
            let blot = (x / 9 * 7 + y / 11 * 13) % 5;
            pixel.copy_from_slice(&[90 + 12 * blot as u8, 120, 130 + 8 * blot as u8]);
        } else if (100..200).contains(&x) && (300..370).contains(&y) {
            pixel.fill(108);
        }
    }
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, w as u32, h as u32);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(&rgb).expect("data");
    writer.finish().expect("an end");
    bytes
}

#[tokio::test]
async fn a_photograph_is_kept_marked_and_judged() {
    let (scratch, studio) = Scratch::new("photographs");
    let bring = "/api/photographs?file=../Bolt%207.png";
    let refused = post(&studio, bring, None, "no picture").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!scratch.0.join("photographs").exists());
    let kept = post(&studio, bring, None, picture()).await;
    assert_eq!(kept.status, StatusCode::CREATED, "{}", kept.text());
    let name: Value = serde_json::from_slice(&kept.body).expect("JSON");
    assert_eq!(name["name"], "bolt-7");
    assert!(scratch.0.join("photographs/bolt-7.png").is_file());
    // The same name again: another file, nothing is written over.
    let again = post(&studio, bring, None, picture()).await;
    assert!(again.text().contains("bolt-7-2"), "{}", again.text());

    let marks = |key: &str, value: &str| {
        let mut all = json!({
            "across": "60 mm", "along": "60 mm", "card": "10 mm", "reflectance": "18 %",
            "window": "50,50 250,50 250,250 50,250", "grey": "110,310 190,310 190,360 110,360",
        });
        all[key] = value.into();
        all.to_string()
    };
    let mark = "/api/photographs/bolt-7";
    for (key, value, code) in [
        ("window", "50,50 250,50 250,250", "no-corners"),
        ("grey", "110,310 190,310 190,360 a,b", "no-corners"),
        ("across", "60 kg", "quantity-of-other-kind"),
        ("card", "10 \"mm", "quantity-unit-unknown"),
    ] {
        let refused = post(&studio, mark, None, marks(key, value)).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{key} {value}");
        let said: Value = serde_json::from_slice(&refused.body).expect("JSON");
        if key != "card" {
            assert_eq!(said["findings"][0]["code"], code, "{key} {value}");
        }
    }
    let nobody = post(&studio, "/api/photographs/bolt-9", None, marks("card", "")).await;
    assert_eq!(nobody.status, StatusCode::NOT_FOUND);
    let marked = post(&studio, mark, None, marks("across", "60 mm")).await;
    assert_eq!(marked.status, StatusCode::OK, "{}", marked.text());

    let about = "design=tide-pool&photo=bolt-7";
    let page = get(&studio, &format!("/photographs?{about}")).await;
    assert!(page.text().contains("data-job=\"/photographs/judged"));
    let shown = get(&studio, &format!("/photographs/picture?{about}")).await;
    assert_eq!(shown.header("content-type"), "image/png");
    for elsewhere in ["../workshop", "bolt-9", ""] {
        let address = format!("/photographs/picture?design=tide-pool&photo={elsewhere}");
        assert_eq!(get(&studio, &address).await.status, StatusCode::NOT_FOUND);
    }
    // Blots of no design: nothing is said to be as promised.
    let judged = get(&studio, &format!("/photographs/judged?{about}")).await;
    assert_eq!(judged.status, StatusCode::OK);
    let html = judged.text();
    assert!(
        html.contains("Nothing could be compared") && html.contains("dE00"),
        "{html}"
    );
    let straight = get(&studio, &format!("/photographs/straight?{about}")).await;
    assert!(straight.body.starts_with(b"\x89PNG"));
    let page = get(&studio, &format!("/photographs?{about}")).await.text();
    assert!(
        page.contains("Nothing could be compared"),
        "kept, the page tells it at once"
    );

    // Held against photographs of approved cloth: three show a range, and the same cloth lies in it; one shows none.
    for name in ["bolt-7-2", "bolt-7-3", "bolt-7-4"] {
        if name != "bolt-7-2" {
            post(&studio, bring, None, picture()).await;
        }
        let mark = format!("/api/photographs/{name}");
        assert_eq!(
            post(&studio, &mark, None, marks("across", "60 mm")).await.status,
            StatusCode::OK
        );
    }
    let one = get(&studio, &format!("/photographs/judged?{about}&approved=bolt-7-2"))
        .await
        .text();
    assert!(one.contains("do not show a range"), "{one}");
    let three = "approved=bolt-7-2&approved=bolt-7-3&approved=bolt-7-4";
    let judged = get(&studio, &format!("/photographs/judged?{about}&{three}"))
        .await
        .text();
    assert!(judged.contains("approved cloth on 3 photographs"), "{judged}");
    let approved = get(&studio, &format!("/photographs/approved?{about}&{three}")).await;
    assert!(approved.body.starts_with(b"\x89PNG"));
    let unmarked = post(&studio, bring, None, picture()).await;
    assert!(unmarked.text().contains("bolt-7-5"));
    let judged = get(
        &studio,
        &format!("/photographs/judged?{about}&{three}&approved=bolt-7-5"),
    )
    .await
    .text();
    assert!(
        judged.contains("not marked on the photograph bolt-7-5"),
        "{judged}"
    );
}

/// A target of known patches in place of the grey card: what lies in the folder can be named, nothing else.
#[tokio::test]
async fn a_target_tells_the_colours() {
    let (scratch, studio) = Scratch::new("photograph-target");
    post(&studio, "/api/photographs?file=bolt-8.png", None, picture()).await;
    std::fs::write(
        scratch.0.join("photographs/chart.csv"),
        "sample,lab_l,lab_a,lab_b\nwhite,95,0,0\n",
    )
    .expect("written");
    let marks = |values: &str, columns: &str| {
        json!({
            "across": "60 mm", "along": "60 mm", "card": "10 mm", "window": "50,50 250,50 250,250 50,250",
            "target": "110,310 190,310 190,360 110,360", "columns": columns, "rows": "4", "values": values,
        })
        .to_string()
    };
    let mark = "/api/photographs/bolt-8";
    for (values, columns, code) in [
        ("../../secret.csv", "6", "no-target-values"),
        ("chart.csv", "many", "no-patches"),
        ("chart.csv", "90", "number-out-of-range"),
    ] {
        let refused = post(&studio, mark, None, marks(values, columns)).await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{values} {columns}"
        );
        let said: Value = serde_json::from_slice(&refused.body).expect("JSON");
        assert_eq!(said["findings"][0]["code"], code, "{values} {columns}");
    }
    let kept = post(&studio, mark, None, marks("chart.csv", "6")).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.text());
    let html = get(&studio, "/photographs?design=tide-pool&photo=bolt-8")
        .await
        .text();
    assert!(
        html.contains("<option value=\"target\" selected>")
            && html.contains("<option value=\"chart.csv\" selected>")
    );
    // It has one patch, the marks say twenty-four: that is told, with the file.
    let judged = get(&studio, "/photographs/judged?design=tide-pool&photo=bolt-8")
        .await
        .text();
    assert!(judged.contains("chart.csv"), "{judged}");
}
