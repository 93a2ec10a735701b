//! Files that are brought: archives of workspaces, and measurements.

use super::{answer, findings, refuse};
use crate::facts::measured::Sheet;
use crate::studio::Studio;
use crate::studio::pages::folder::MEASURED;
use crate::studio::reader::Reader;
use crate::studio::windows::{APPROVED, Chosen, MOST_APPROVED};
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::response::Response;
use colour::measured::Stated;
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say};
use workspace::{IoError, save, unpack};

/// Largest archive that is taken, bytes; and largest file of measurements.
pub const MOST_ARCHIVE: usize = 128 << 20;
pub const MOST_MEASURED: usize = 8 << 20;

/// Takes what is brought, `most` bytes of it at most, and answers what comes of it; the pages are served meanwhile.
pub async fn take(
    body: Result<Bytes, BytesRejection>,
    most: usize,
    reader: Reader,
    work: impl FnOnce(&Bytes, &Reader) -> Response + Send + 'static,
) -> Response {
    let Ok(body) = body else {
        return refuse(StatusCode::PAYLOAD_TOO_LARGE, &[too_large(most)], &reader);
    };
    tokio::task::spawn_blocking(move || work(&body, &reader))
        .await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

/// Unpacks an archive beside the workspace: `?file=`, the body is the ZIP.
pub async fn archive(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    take(body, MOST_ARCHIVE, reader, move |body, reader| {
        let dir = std::path::absolute(studio.dir()).unwrap_or_else(|_| studio.dir().to_path_buf());
        let beside = dir.parent().unwrap_or(&dir);
        let name = plain(reader.get("file").unwrap_or(""), "workspace");
        // The first of these names that is free.
        let free = (1..1000)
            .map(|n| {
                beside.join(if n == 1 {
                    name.clone()
                } else {
                    format!("{name}-{n}")
                })
            })
            .find(|path| !path.exists());
        let Some(free) = free else {
            return refuse(
                StatusCode::UNPROCESSABLE_ENTITY,
                &[IoError::NotEmpty {
                    dir: beside.join(name),
                }
                .finding()],
                reader,
            );
        };
        match unpack(body, &free) {
            Ok(files) => {
                let found = Finding::new(
                    "unpacked",
                    Weight::Note,
                    Place::Request,
                    say!(
                        "{n} files were unpacked into {dir}",
                        "{n} berkas dibuka ke {dir}",
                        n = Arg::Number(files as f64, 0),
                        dir = Arg::Name(free.display().to_string())
                    ),
                )
                .remedy(say!(
                    "open it with: lorod studio {dir}",
                    "buka dengan: lorod studio {dir}",
                    dir = Arg::Name(free.display().to_string())
                ));
                let body = json!({ "folder": free.display().to_string(), "files": files, "findings": findings(&[found], reader.voice) });
                answer(StatusCode::CREATED, &body)
            }
            Err(refused) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &[refused.finding()], reader),
        }
    })
    .await
}

/// Keeps a file of measurements, if something in it can be read: `?file=`, the body is its text.
pub async fn measured(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    take(body, MOST_MEASURED, reader, move |body, reader| {
        let given = reader.get("file").unwrap_or("").to_string();
        let refused = |all: &[Finding]| {
            // Measurements are told with the line that they stand in.
            let text = String::from_utf8_lossy(body);
            let told: Vec<Finding> = all.iter().map(|one| with_line(one, &text)).collect();
            refuse(StatusCode::UNPROCESSABLE_ENTITY, &told, reader)
        };
        let Ok(text) = std::str::from_utf8(body) else {
            return refused(&[not_text(&given)]);
        };
        let sheet = Sheet::read(text, &given, Stated::default());
        if sheet.is_wrong() || sheet.samples.is_empty() {
            let none = [no_samples(&given)];
            return refused(if sheet.findings.is_empty() {
                &none
            } else {
                &sheet.findings
            });
        }
        let (stem, ending) = given.rsplit_once('.').unwrap_or((&given, "txt"));
        let name = format!("{}.{}", plain(stem, "samples"), plain(ending, "txt"));
        let path = format!("{MEASURED}/{name}");
        let saved = put(&studio, MEASURED, &name, body);
        match saved {
            Ok(()) => {
                let kept = Finding::new(
                    "measurements-kept",
                    Weight::Note,
                    Place::Request,
                    say!(
                        "{n} samples are kept in {path}",
                        "{n} contoh disimpan di {path}",
                        n = Arg::Number(sheet.samples.len() as f64, 0),
                        path = Arg::Name(path.clone())
                    ),
                );
                let told: Vec<Finding> = std::iter::once(kept)
                    .chain(sheet.findings.iter().map(|one| with_line(one, text)))
                    .collect();
                answer(
                    StatusCode::CREATED,
                    &json!({ "path": path, "samples": sheet.samples.len(), "findings": findings(&told, reader.voice) }),
                )
            }
            Err(IoError::Changed { .. }) => refuse(StatusCode::CONFLICT, &[taken(&path)], reader),
            Err(error) => refuse(StatusCode::CONFLICT, &[error.finding()], reader),
        }
    })
    .await
}

/// Keeps the colours of approved cloth, if they can be read: `?file=`, the body is the table.
pub async fn approved(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    take(body, MOST_APPROVED, reader, move |body, reader| {
        let given = reader.get("file").unwrap_or("");
        let stem = given.rsplit_once('.').map_or(given, |(stem, _)| stem);
        let name = format!("{}.csv", plain(stem, "approved"));
        if let Err(all) = Chosen::read(&name, body) {
            let text = String::from_utf8_lossy(body);
            let told: Vec<Finding> = all.iter().map(|one| with_line(one, &text)).collect();
            return refuse(StatusCode::UNPROCESSABLE_ENTITY, &told, reader);
        }
        match put(&studio, APPROVED, &name, body) {
            Ok(()) => answer(StatusCode::CREATED, &json!({ "name": name })),
            Err(IoError::Changed { .. }) => refuse(
                StatusCode::CONFLICT,
                &[taken(&format!("{APPROVED}/{name}"))],
                reader,
            ),
            Err(error) => refuse(StatusCode::CONFLICT, &[error.finding()], reader),
        }
    })
    .await
}

/// Writes a file that is not there yet into a folder of the workspace.
///
/// # Errors
/// If there is one, or the system refuses.
pub fn put(studio: &Studio, folder: &str, name: &str, bytes: &[u8]) -> Result<(), IoError> {
    let path = studio.dir().join(folder);
    std::fs::create_dir_all(&path).map_err(|source| IoError::System { path, source })?;
    save(studio.dir(), &format!("{folder}/{name}"), None, bytes)
}

/// A finding about a place in a file, with the number of its line said.
fn with_line(finding: &Finding, text: &str) -> Finding {
    let Place::File { path, span } = &finding.place else {
        return finding.clone();
    };
    let (line, _) = words::line_and_column(text, span.start);
    let found = say!(
        "{file}, line {n}: {what}",
        "{file}, baris {n}: {what}",
        file = Arg::Name(path.clone()),
        n = Arg::Number(line as f64, 0),
        what = Arg::Text(finding.found.text)
    );
    // A line inside a line keeps its own arguments.
    let mut whole = found;
    whole.args.extend(finding.found.args.iter().cloned());
    Finding {
        found: whole,
        ..finding.clone()
    }
}

/// A name for a file, after the one that was given.
fn plain(name: &str, otherwise: &str) -> String {
    let name = name.strip_suffix(".zip").unwrap_or(name);
    workspace::plain_name(name).unwrap_or_else(|| otherwise.to_string())
}

fn wrong(code: &'static str, found: words::Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

fn shown(name: &str) -> Arg {
    Arg::Name(name.chars().filter(|c| !c.is_control()).take(80).collect())
}

/// A file that is not even read.
fn too_large(most: usize) -> Finding {
    wrong(
        "file-too-large",
        say!("this file is too large", "berkas ini terlalu besar"),
    )
    .allow(say!(
        "at most {mb} MB",
        "paling banyak {mb} MB",
        mb = Arg::Number((most >> 20) as f64, 0)
    ))
}

fn not_text(name: &str) -> Finding {
    wrong(
        "not-utf8",
        say!(
            "{file} is not UTF-8 text",
            "{file} bukan teks UTF-8",
            file = shown(name)
        ),
    )
    .remedy(say!(
        "export the measurements as text",
        "ekspor hasil ukur sebagai teks"
    ))
}

fn no_samples(name: &str) -> Finding {
    wrong(
        "no-samples",
        say!(
            "{file} holds no measured sample",
            "{file} tidak memuat contoh terukur",
            file = shown(name)
        ),
    )
}

fn taken(path: &str) -> Finding {
    wrong(
        "name-taken",
        say!(
            "there is a file {path} already",
            "sudah ada berkas {path}",
            path = shown(path)
        ),
    )
    .remedy(say!("give it another name", "beri nama lain"))
}
