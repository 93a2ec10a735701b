//! The studio: a web server of this computer, for one person, and its pages.
//!
//! It binds the loopback address only and draws every picture of cloth itself. What it shows but does not work out (the
//! plan, the papers) is handed in as [`Facts`]. It changes designs: through `/api`, for its own pages only, and never over
//! what somebody else wrote.

mod api;
mod assets;
mod bench;
mod chosen;
mod copies;
mod data;
mod design;
mod facts;
mod file;
mod frame;
mod gantt;
mod gate;
mod guard;
mod history;
mod kept;
mod kiln;
mod known;
mod lamps;
mod lessons;
mod lots;
pub(crate) mod names;
mod page;
mod pages;
mod parts;
mod photographs;
mod picture;
mod reader;
mod redraw;
mod say;
mod shades;
mod shelf;
mod state;
#[cfg(test)]
mod tests;
pub(crate) mod winding;
mod windows;
mod work;

pub use facts::{Facts, NoFacts, Packed, Paper, RunLot};
pub use page::addresses;
pub use picture::Cut;
pub use state::{Reading, Studio};

use anyhow::Context;
use axum::routing::get;
use axum::serve::ListenerExt;
use axum::{Extension, Router};
use reader::Usual;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use words::Voice;

/// How the studio is started.
pub struct Options {
    /// Port; 0 lets the system choose.
    pub port: u16,
    /// Language and units until a reader chooses.
    pub voice: Voice,
    /// What the rest of the program knows.
    pub facts: Arc<dyn Facts>,
    /// Told the address once the studio listens.
    pub ready: Box<dyn FnOnce(SocketAddr) + Send>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            port: 0,
            voice: Voice::default(),
            facts: Arc::new(NoFacts),
            ready: Box::new(|_| {}),
        }
    }
}

/// How long open requests may still take after Ctrl-C.
const LAST_ORDERS: Duration = Duration::from_secs(3);

/// Serves a folder that was read until Ctrl-C.
///
/// # Errors
/// If the port is taken.
pub async fn serve(reading: Reading, options: Options) -> anyhow::Result<()> {
    serve_until(reading, options, async {
        // Without a signal handler the studio still ends with its process.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    })
    .await
}

/// [`serve`] on a runtime of its own.
///
/// # Errors
/// As [`serve`]; or if the runtime cannot start.
pub fn serve_blocking(reading: Reading, options: Options) -> anyhow::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .context("cannot start the studio's threads")?;
    let done = runtime.block_on(serve(reading, options));
    // Work on a picture ends at its next tile; nobody waits for it.
    runtime.shutdown_timeout(Duration::from_secs(1));
    done
}

/// Serves until `stop` is ready.
///
/// # Errors
/// As [`serve`].
pub async fn serve_until(
    reading: Reading,
    options: Options,
    stop: impl Future<Output = ()> + Send + 'static,
) -> anyhow::Result<()> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, options.port))
        .await
        .with_context(|| format!("cannot listen on 127.0.0.1:{}", options.port))?;
    let address = listener.local_addr().context("the socket has no address")?;
    let studio = Arc::new(Studio::of(reading, options.facts, address.port())?);
    (options.ready)(address);
    state::keep_drawings(&studio.workspace());

    let (told, mut hear) = tokio::sync::watch::channel(false);
    let closing = studio.clone();
    let stop = async move {
        stop.await;
        closing.close();
        let _ = told.send(true);
    };
    // A small answer goes out at once, not when the browser has said that it has the one before.
    let listener = listener.tap_io(|line| drop(line.set_nodelay(true)));
    let serving = axum::serve(listener, router(studio).layer(Extension(Usual(options.voice))))
        .with_graceful_shutdown(stop);
    let late = async move {
        if hear.wait_for(|stopped| *stopped).await.is_err() {
            std::future::pending::<()>().await;
        }
        tokio::time::sleep(LAST_ORDERS).await;
    };
    tokio::select! {
        done = serving => done.context("the studio stopped"),
        () = late => Ok(()),
    }
}

/// All pages behind the guard.
pub fn router(studio: Arc<Studio>) -> Router {
    let guarded = studio.clone();
    Router::new()
        .merge(pages::routes())
        .nest("/api", api::routes())
        .merge(api::file_routes())
        .merge(data::serve::routes())
        .route("/design/{design}/winding", get(pages::winding))
        .route("/stamp/{piece}", get(pages::stamp::piece))
        .route("/photographs/{piece}", get(pages::photographs::piece))
        .route("/late", get(pages::late))
        .route("/run/made", get(pages::run::made))
        .route("/run/sure", get(pages::run::orders_piece))
        .route("/run/day", get(pages::run::day_piece))
        .route("/season/{piece}", get(pages::season::piece))
        .route("/narrow", get(pages::narrow))
        .route("/onward", get(pages::onward::piece))
        .route("/pack/{piece}", get(pages::pack::piece))
        .route("/a/{*path}", get(assets::serve))
        .fallback(pages::nothing_here)
        .layer(axum::middleware::from_fn(work::by_line))
        .layer(axum::middleware::from_fn_with_state(guarded, guard::guard))
        .with_state(studio)
}
