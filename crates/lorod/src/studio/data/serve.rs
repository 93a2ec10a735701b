//! The files below `/data`: every page's tables as JSON, each table as CSV, all of them on paper.

use super::{Asked, Data, NO_DESIGN, Told, all};
use crate::studio::Studio;
use crate::studio::file::File;
use crate::studio::reader::Reader;
use crate::studio::say::{said, stitch, trouble};
use crate::studio::work::teller;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use papers::Listing;
use serde_json::{Map, Value, json};
use std::sync::Arc;
use words::{Finding, Voice, text};

/// As what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// All tables.
    Json,
    /// One of them, by its place.
    Csv(usize),
    /// All tables on paper.
    Pdf,
}

impl Data {
    /// In every form that there is: none where all its files have addresses of their own.
    pub fn forms(&self) -> impl Iterator<Item = Form> {
        let tables = (0..self.tables.len()).map(Form::Csv);
        let whole = [Form::Json, Form::Pdf].into_iter();
        whole.chain(tables).filter(|_| !self.tables.is_empty())
    }

    /// Where it lies.
    pub fn path(&self, form: Form) -> String {
        let name = self.name;
        match form {
            Form::Json => format!("/data/{name}.json"),
            Form::Pdf => format!("/data/{name}.pdf"),
            Form::Csv(at) => {
                let table = self.tables.get(at).map_or("", |(key, _)| key);
                format!("/data/{name}/{table}.csv")
            }
        }
    }
}

/// Every file of every page.
pub fn routes() -> Router<Arc<Studio>> {
    all()
        .flat_map(|(_, data)| data.forms().map(move |form| (data, form)))
        .fold(Router::new(), |router, (data, form)| {
            let serve =
                move |State(studio): State<Arc<Studio>>, reader: Reader| file(studio, reader, data, form);
            router.route(&data.path(form), get(serve))
        })
}

async fn file(studio: Arc<Studio>, reader: Reader, data: &'static Data, form: Form) -> Response {
    let kiln = studio.kiln().clone();
    let make = move |keep_going: &(dyn Fn(f64) -> bool + Sync)| {
        let workspace = studio.workspace();
        let asked = Asked {
            studio: &studio,
            workspace: &workspace,
            reader: &reader,
            keep_going,
        };
        let made = (data.make)(&asked).and_then(|told| written(data, &told, form, reader.voice));
        match made {
            Ok(file) => file.into_response(),
            Err(found) => refused(&studio, &reader, &found),
        }
    };
    if data.slow {
        let done = kiln.long(teller(), make).await;
        return done.unwrap_or_else(|_| StatusCode::SERVICE_UNAVAILABLE.into_response());
    }
    let job = tokio::task::spawn_blocking(move || make(&|_| true));
    job.await
        .unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

fn written(data: &Data, told: &Told, form: Form, voice: Voice) -> Result<File, Vec<Finding>> {
    let tables = || data.tables.iter().zip(&told.tables);
    let path = data.path(form);
    let name = path.trim_start_matches("/data/").replace('/', "-");
    Ok(match form {
        Form::Json => {
            let tables: Map<String, Value> = tables()
                .map(|((key, name), table)| ((*key).to_string(), table.json(name, voice)))
                .collect();
            let body = json!({
                "about": told.about,
                "question": told.question.raw(voice.language),
                "said": told.said,
                "tables": tables,
            });
            File::json(&name, &body)
        }
        Form::Csv(at) => File::csv(
            &name,
            told.tables.get(at).map_or_else(String::new, super::Table::csv),
        ),
        Form::Pdf => {
            let listing = Listing {
                title: told.question.raw(voice.language).to_string(),
                about: told.about.clone(),
                said: told.said.clone(),
                lists: tables()
                    .flat_map(|((_, name), table)| table.lists(name, voice))
                    .collect(),
            };
            let pdf = papers::listing(&listing, voice).map_err(crate::facts::papers::refused)?;
            File::pdf(&name, pdf)
        }
    })
}

/// A page for a person, findings for a program.
fn refused(studio: &Studio, reader: &Reader, found: &[Finding]) -> Response {
    let status = if found.iter().any(|one| one.code == NO_DESIGN) {
        StatusCode::NOT_FOUND
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let accepts = reader.headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    if accepts.is_some_and(|kinds| kinds.contains("text/html")) {
        let title = text!("This is not there yet", "Ini belum ada");
        return trouble(studio, reader, status, title, found);
    }
    let found: Value = found
        .iter()
        .map(|one| {
            json!({
                "code": one.code,
                "weight": stitch(one.weight).0,
                "found": said(&one.found, reader.voice),
            })
        })
        .collect();
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (status, kind, json!({ "findings": found }).to_string()).into_response()
}
