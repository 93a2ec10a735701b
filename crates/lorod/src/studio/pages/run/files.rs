//! The plan as files: JSON, CSV, a calendar to subscribe to (RFC 5545), run sheets as PDF.

use super::made::{known_sure, plan};
use crate::facts::followed;
use crate::facts::plan::Planned;
use crate::facts::told::document;
use crate::facts::views::{Days, View, csv, feed, sheets};
use crate::studio::Studio;
use crate::studio::file::File;
use crate::studio::reader::Reader;
use crate::studio::say::{said, trouble};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use papers::Sheet;
use serde_json::{Value, json};
use sky::Date;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};
use words::{Finding, text};
use workspace::Workspace;

/// Longest stretch of days that is handed out at once.
const MOST_DAYS: i32 = 400;

/// `/run/{file}`: `plan.json`, `plan.csv`, `plan.ics`, `sheets.pdf`. `?first=` and `?last=` say which days; else all.
pub async fn serve(State(studio): State<Arc<Studio>>, Path(file): Path<String>, reader: Reader) -> Response {
    if !["plan.json", "plan.csv", "plan.ics", "sheets.pdf"].contains(&file.as_str()) {
        return crate::studio::pages::nothing_here(State(studio), reader).await;
    }
    let made = match plan(&studio).await {
        Ok(made) => made,
        Err(status) => return status.into_response(),
    };
    let workspace = studio.look().await;
    let job = tokio::task::spawn_blocking(move || {
        let refused = |found: &[Finding]| {
            let title = text!("There is no plan yet", "Belum ada rencana");
            trouble(&studio, &reader, StatusCode::CONFLICT, title, found)
        };
        match made.as_ref() {
            Ok(made) => write(&studio, &workspace, &made.planned, &file, &reader)
                .unwrap_or_else(|found| refused(&found)),
            Err(found) => refused(found),
        }
    });
    job.await
        .unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

fn write(
    studio: &Studio,
    workspace: &Workspace,
    planned: &Planned,
    file: &str,
    reader: &Reader,
) -> Result<Response, Vec<Finding>> {
    let voice = reader.voice;
    let view = View::new(workspace, planned).ok_or_else(Vec::new)?;
    Ok(match file {
        "plan.json" => {
            let facts = studio.facts();
            let Some(asked) = facts
                .asked()
                .map(|asked| followed::asked(workspace, planned, asked))
            else {
                return Err(Vec::new());
            };
            let sure = known_sure(studio, workspace);
            let sure = sure.as_deref().and_then(Option::as_ref);
            let findings: Vec<Value> = planned
                .findings
                .iter()
                .map(|one| json!({ "code": one.code, "found": said(&one.found, voice) }))
                .collect();
            let told = document(planned, sure, &asked, workspace, findings, voice);
            // Numbers, text and lists: nothing in it can fail to be written as JSON.
            File::json(file, &serde_json::to_value(told).unwrap_or_default()).into_response()
        }
        "plan.csv" => File::csv(file, csv::csv(&view, days(reader, view.whole()), voice)).into_response(),
        "plan.ics" => {
            // A clock set before 1970 stamps the feed with its first second.
            let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
            let now = i64::try_from(now.as_secs()).unwrap_or(0);
            let days = days(reader, view.to_last_promise());
            File::calendar(file, feed::feed(&view, days, now, voice)).into_response()
        }
        _ => {
            let pdf = sheets::pdf(&view, days(reader, view.whole()), Sheet::A4, voice)?;
            File::pdf(file, pdf).into_response()
        }
    })
}

/// The days that an address names, or `whole`.
fn days(reader: &Reader, whole: Days) -> Days {
    let day = |key: &str| reader.get(key).and_then(Date::parse);
    let named = day("first").zip(day("last").or_else(|| day("first")));
    let named = named.filter(|(first, last)| first <= last && last.days - first.days < MOST_DAYS);
    named.map_or(whole, |(first, last)| Days { first, last })
}
