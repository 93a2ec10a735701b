//! Who is answered, and who is not.

use super::{HOST, ask, studio};
use crate::studio::guard::TOKEN;
use axum::http::{Method, StatusCode};

/// A name that somebody else controls may point at 127.0.0.1: the port must not answer to it.
#[tokio::test]
async fn only_our_own_names_are_answered() {
    let studio = studio();
    for host in [HOST, "localhost:8713"] {
        assert_eq!(
            ask(&studio, Method::GET, "/papers", &[("host", host)])
                .await
                .status,
            StatusCode::OK,
            "{host}"
        );
    }
    for host in [
        "evil.example:8713",
        "127.0.0.1",
        "127.0.0.1:8714",
        "localhost",
        "127.0.0.1:8713.evil.example",
        "",
    ] {
        let answer = ask(&studio, Method::GET, "/papers", &[("host", host)]).await;
        assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host:?}");
        assert!(!answer.text().contains("Reef"), "{host:?}");
    }
}

#[tokio::test]
async fn changes_need_our_origin_and_the_token() {
    let studio = studio();
    let token = studio.token().to_string();
    let origin = format!("http://{HOST}");
    let refused = StatusCode::FORBIDDEN;
    let post = |headers: Vec<(&'static str, String)>| {
        let studio = studio.clone();
        async move {
            let headers: Vec<(&str, &str)> = headers.iter().map(|(n, v)| (*n, v.as_str())).collect();
            ask(&studio, Method::POST, "/", &headers).await.status
        }
    };
    assert_eq!(post(vec![]).await, refused);
    assert_eq!(post(vec![("origin", origin.clone())]).await, refused);
    assert_eq!(post(vec![(TOKEN, token.clone())]).await, refused);
    assert_eq!(
        post(vec![
            ("origin", "http://evil.example".into()),
            (TOKEN, token.clone())
        ])
        .await,
        refused
    );
    assert_eq!(
        post(vec![("origin", "null".into()), (TOKEN, token.clone())]).await,
        refused
    );
    assert_eq!(
        post(vec![
            ("origin", origin.clone()),
            (TOKEN, format!("{}0", &token[1..]))
        ])
        .await,
        refused
    );
    // Let through, it finds that there is nothing to change here.
    assert_eq!(
        post(vec![("origin", origin), (TOKEN, token)]).await,
        StatusCode::METHOD_NOT_ALLOWED
    );
}

/// Two studios never share a token.
#[test]
fn every_start_has_its_own_token() {
    assert_ne!(studio().token(), studio().token());
}

#[tokio::test]
async fn other_sites_may_link_here_but_not_make_us_work() {
    let studio = studio();
    let picture = "/cloth/sea-fan.png?w=10&h=10&dpi=20";
    let from = |mode: &'static str, dest: &'static str| {
        [
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", mode),
            ("sec-fetch-dest", dest),
        ]
    };
    assert_eq!(
        ask(&studio, Method::GET, picture, &from("no-cors", "image"))
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        ask(&studio, Method::GET, "/papers", &from("navigate", "iframe"))
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        ask(&studio, Method::GET, "/papers", &from("navigate", "document"))
            .await
            .status,
        StatusCode::OK
    );
}
