//! Work that takes longer than a page may wait: it says how far it is, and ends when nobody listens any more.
//!
//! An address that is asked for `application/x-ndjson` answers line by line: `{"share":0.4}` as it goes, and at last
//! `{"answer":...}` or `{"findings":[...]}`. Asked otherwise it waits and answers the same as one document.

use super::Studio;
use super::kiln::{KeepGoing, NoPicture};
use super::reader::Reader;
use axum::body::{Body, Bytes};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use futures_core::Stream;
use serde_json::{Value, json};
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use tokio::sync::mpsc::{UnboundedReceiver, unbounded_channel};

/// How a page asks for lines.
const LINES: &str = "application/x-ndjson";

/// What came of the work: the answer, or findings as JSON.
pub type Outcome = Result<Value, Value>;

/// Does the work on a thread of its own and tells. `work` hears whether to go on whenever it says its share.
pub async fn tell(
    studio: Arc<Studio>,
    reader: Reader,
    work: impl FnOnce(&Studio, &Reader, KeepGoing) -> Outcome + Send + 'static,
) -> Response {
    let accepted = reader.headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    if !accepted.is_some_and(|kinds| kinds.contains(LINES)) {
        return match run(studio, reader, |_| {}, work).await {
            Ok(Ok(answer)) => json_of(StatusCode::OK, &answer),
            Ok(Err(findings)) => json_of(StatusCode::UNPROCESSABLE_ENTITY, &json!({ "findings": findings })),
            Err(status) => status.into_response(),
        };
    }
    let (say, heard) = unbounded_channel();
    tokio::spawn(async move {
        let share = {
            let say = say.clone();
            // Nobody may listen any more: then the work is being ended anyway.
            move |share: f64| drop(say.send(line(&json!({ "share": share }))))
        };
        // Ends with whichever is first: the work, or the one who waits for it.
        let done = tokio::select! {
            done = run(studio, reader, share, work) => done,
            () = say.closed() => return,
        };
        let last = match done {
            Ok(Ok(answer)) => json!({ "answer": answer }),
            Ok(Err(findings)) => json!({ "findings": findings }),
            Err(_) => json!({ "findings": [] }),
        };
        drop(say.send(line(&last)));
    });
    let about = [(header::CONTENT_TYPE, LINES), (header::CACHE_CONTROL, "no-store")];
    (about, Body::from_stream(Lines(heard))).into_response()
}

async fn run(
    studio: Arc<Studio>,
    reader: Reader,
    share: impl Fn(f64) + Send + Sync + 'static,
    work: impl FnOnce(&Studio, &Reader, KeepGoing) -> Outcome + Send + 'static,
) -> Result<Outcome, StatusCode> {
    let kiln = studio.kiln().clone();
    let done = kiln.long(share, move |keep_going| work(&studio, &reader, keep_going));
    done.await.map_err(|why| match why {
        NoPicture::Busy | NoPicture::Stopped => StatusCode::SERVICE_UNAVAILABLE,
        NoPicture::Refused => StatusCode::INTERNAL_SERVER_ERROR,
    })
}

fn json_of(status: StatusCode, body: &Value) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (status, kind, body.to_string()).into_response()
}

fn line(value: &Value) -> Bytes {
    Bytes::from(format!("{value}\n"))
}

/// Lines as they are said.
struct Lines(UnboundedReceiver<Bytes>);

impl Stream for Lines {
    type Item = Result<Bytes, Infallible>;
    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0.poll_recv(context).map(|line| line.map(Ok))
    }
}
