//! Work that takes longer than a page may wait: it says how far it is, and ends when nobody listens any more.
//!
//! An address that is asked for `application/x-ndjson` answers line by line: `{"share":0.4}` as it goes, and at last what
//! it would have answered otherwise: `{"answer":...}`, `{"piece":"<p>..."}` of a page, or `{"findings":[...]}`.

use super::Studio;
use super::kiln::{KeepGoing, NoPicture};
use super::reader::Reader;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_core::Stream;
use serde_json::{Value, json};
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// How a page asks for lines.
const LINES: &str = "application/x-ndjson";
/// Longest answer that is told as a line, bytes.
const MOST: usize = 64 << 20;

tokio::task_local! {
    /// Who listens to the request that is being answered.
    static LISTENER: UnboundedSender<Bytes>;
}

/// What came of the work: the answer, or findings as JSON.
pub type Outcome = Result<Value, Value>;

/// Answers line by line where that is asked for. Work for a listener who has gone is dropped, and with it ended.
pub async fn by_line(request: Request, next: Next) -> Response {
    let accepted = request
        .headers()
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok());
    if !accepted.is_some_and(|kinds| kinds.contains(LINES)) {
        return next.run(request).await;
    }
    let (say, heard) = unbounded_channel();
    tokio::spawn(async move {
        let answer = LISTENER.scope(say.clone(), async { last(next.run(request).await).await });
        let last = tokio::select! {
            last = answer => last,
            () = say.closed() => return,
        };
        // Who has gone by now hears nothing.
        drop(say.send(line(&last)));
    });
    let about = [(header::CONTENT_TYPE, LINES), (header::CACHE_CONTROL, "no-store")];
    (about, Body::from_stream(Lines(heard))).into_response()
}

/// Tells shares to whoever listens to the request that is being answered.
pub fn teller() -> impl Fn(f64) + Send + Sync + 'static {
    let listener = LISTENER.try_with(Clone::clone).ok();
    move |share| {
        if let Some(listener) = &listener {
            // Who has gone is noticed elsewhere.
            drop(listener.send(line(&json!({ "share": share }))));
        }
    }
}

/// Does the work on a thread of its own and answers JSON. `work` hears whether to go on whenever it says its share.
pub async fn tell(
    studio: Arc<Studio>,
    reader: Reader,
    work: impl FnOnce(&Studio, &Reader, KeepGoing) -> Outcome + Send + 'static,
) -> Response {
    let kiln = studio.kiln().clone();
    let done = kiln.long(teller(), move |keep_going| work(&studio, &reader, keep_going));
    match done.await {
        Ok(Ok(answer)) => json_of(StatusCode::OK, &answer),
        Ok(Err(findings)) => json_of(StatusCode::UNPROCESSABLE_ENTITY, &json!({ "findings": findings })),
        Err(NoPicture::Busy | NoPicture::Stopped) => StatusCode::SERVICE_UNAVAILABLE.into_response(),
        Err(NoPicture::Refused) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

fn json_of(status: StatusCode, body: &Value) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (status, kind, body.to_string()).into_response()
}

/// The last line: what the answer comes to.
async fn last(answer: Response) -> Value {
    let good = answer.status().is_success();
    let kind = answer.headers().get(header::CONTENT_TYPE);
    let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or("").to_string();
    let body = to_bytes(answer.into_body(), MOST).await.unwrap_or_default();
    if good && kind.starts_with("text/html") {
        return json!({ "piece": String::from_utf8_lossy(&body) });
    }
    let said: Value = serde_json::from_slice(&body).unwrap_or_default();
    match (good, said) {
        (true, said) if !said.is_null() => json!({ "answer": said }),
        (_, Value::Object(mut said)) => json!({ "findings": said.remove("findings").unwrap_or(json!([])) }),
        _ => json!({ "findings": [] }),
    }
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
