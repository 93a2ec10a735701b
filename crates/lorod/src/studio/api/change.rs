//! Changes to a design by JSON.

use super::upload::too_large;
use super::{answer, findings, refuse};
use crate::studio::Studio;
use crate::studio::history::{Done, NotDone, Way};
use crate::studio::picture::mark;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::Response;
use route::{Design, Value as Setting};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;
use words::{Arg, Finding, Language, Place, Voice, Weight, say, text};
use workspace::edit::{Change, Difference, Given, NewTarget};
use workspace::{Workspace, add_colourway};

/// A change as pages send it.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
enum Asked {
    Set {
        step: String,
        key: String,
        given: Option<AskedGiven>,
    },
    Add {
        kind: String,
        at: usize,
    },
    Remove {
        step: String,
    },
    Move {
        step: String,
        to: usize,
    },
    Duplicate {
        step: String,
    },
    Cloth {
        key: String,
        text: String,
    },
    About {
        key: String,
        text: String,
    },
    Stamp {
        stamp: String,
        key: String,
        text: Option<String>,
    },
    /// The stamp's proposal as its drawing, without the changes that are refused.
    Build {
        stamp: String,
        #[serde(default)]
        refuse: Vec<usize>,
    },
    Target {
        at: usize,
        key: String,
        text: Option<String>,
    },
    AddTarget {
        name: String,
        colour: String,
        #[serde(default)]
        waxed: Vec<String>,
        #[serde(default)]
        bare: Vec<String>,
        leads: Option<String>,
    },
    RemoveTarget {
        at: usize,
    },
    All {
        changes: Vec<Asked>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum AskedGiven {
    Text(String),
    Doses(Vec<AskedDose>),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedDose {
    dye: String,
    depth: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Colourway {
    colourway: String,
    /// What differs in the copy.
    change: Option<Asked>,
}

impl Asked {
    /// The change it means, made or tried. A number without a unit keeps the unit that stands there: nobody types "min"
    /// twice.
    fn meant(self, design: Option<&Design>, voice: Voice) -> Meant {
        let typed = |text: String| match voice.language {
            Language::En => text,
            Language::Id => with_point(&text),
        };
        Meant::Edit(match self {
            Self::Build { stamp, refuse } => return Meant::Build { stamp, refuse },
            Self::Set { step, key, given } => {
                let held = design
                    .and_then(|d| d.steps.iter().find(|s| s.id == step))
                    .and_then(|s| s.operation.values().get(&key));
                let given = given.map(|given| match given {
                    AskedGiven::Text(text) => Given::Text(match held {
                        Some(Setting::Quantity(held)) => with_unit(&typed(text), &held.spelled),
                        _ => text,
                    }),
                    AskedGiven::Doses(doses) => Given::Doses(
                        doses
                            .into_iter()
                            .map(|dose| (dose.dye, typed(dose.depth)))
                            .collect(),
                    ),
                });
                Change::Setting { step, key, given }
            }
            Self::Add { kind, at } => Change::Add { kind, at },
            Self::Remove { step } => Change::Remove { step },
            Self::Move { step, to } => Change::Move { step, to },
            Self::Duplicate { step } => Change::Duplicate { step },
            Self::Cloth { key, text } => Change::Cloth {
                key,
                text: typed(text),
            },
            Self::About { key, text } => Change::About { key, text },
            Self::Stamp { stamp, key, text } => Change::Stamp { stamp, key, text },
            Self::Target { at, key, text } => Change::Target { at, key, text },
            Self::AddTarget {
                name,
                colour,
                waxed,
                bare,
                leads,
            } => Change::AddTarget(NewTarget {
                name,
                colour,
                waxed,
                bare,
                leads,
            }),
            Self::RemoveTarget { at } => Change::RemoveTarget(at),
            Self::All { changes } => {
                let edits = changes.into_iter().map(|one| one.edit(design, voice));
                Change::All(edits.collect())
            }
        })
    }

    /// The same where only edits of the file can be made.
    fn edit(self, design: Option<&Design>, voice: Voice) -> Change {
        match self.meant(design, voice) {
            Meant::Edit(change) => change,
            // A drawing is no setting: refused as one that is not there.
            Meant::Build { stamp, .. } => Change::Stamp {
                stamp,
                key: "build".to_string(),
                text: None,
            },
        }
    }
}

/// What a change comes to.
enum Meant {
    /// An edit of the design's file.
    Edit(Change),
    /// Another drawing, then an edit.
    Build { stamp: String, refuse: Vec<usize> },
}

/// A comma between digits is the decimal mark of Indonesian pages; files have a point.
pub fn with_point(typed: &str) -> String {
    let letters: Vec<char> = typed.chars().collect();
    let digit = |at: Option<usize>| {
        at.and_then(|at| letters.get(at))
            .is_some_and(char::is_ascii_digit)
    };
    let mark = |at: usize| digit(at.checked_sub(1)) && digit(Some(at + 1));
    let marks = letters
        .iter()
        .enumerate()
        .filter(|(at, c)| ",.".contains(**c) && mark(*at));
    // With two marks one of them parts thousands: that is refused in words, not guessed.
    if marks.count() != 1 {
        return typed.to_string();
    }
    let point = |(at, c): (usize, &char)| if *c == ',' && mark(at) { '.' } else { *c };
    letters.iter().enumerate().map(point).collect()
}

/// `16` where `13 min` stands is `16 min`.
fn with_unit(typed: &str, held: &str) -> String {
    let bare = typed.trim();
    let number = !bare.is_empty() && bare.chars().all(|c| c.is_ascii_digit() || ".,".contains(c));
    match held.split_once(' ') {
        Some((count, unit)) if number && count.starts_with(|c: char| c.is_ascii_digit()) => {
            format!("{bare} {unit}")
        }
        _ => bare.to_string(),
    }
}

/// One change.
pub async fn change(
    State(studio): State<Arc<Studio>>,
    Path(id): Path<String>,
    reader: Reader,
    body: Bytes,
) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked = parsed::<Asked>(&body)?;
        let hash = if_match(reader)?;
        let workspace = studio.workspace();
        let done = match asked.meant(workspace.design(&id).map(|d| &**d), reader.voice) {
            Meant::Edit(change) => studio.change(&id, &hash, &change),
            Meant::Build { stamp, refuse } => studio.build_stamp(&id, &hash, &stamp, &refuse),
        };
        made(studio, &id, done)
    })
    .await
}

/// What a change would find.
pub async fn try_change(
    State(studio): State<Arc<Studio>>,
    Path(id): Path<String>,
    reader: Reader,
    body: Bytes,
) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked = parsed::<Asked>(&body)?;
        let workspace = studio.workspace();
        let found = match asked.meant(workspace.design(&id).map(|d| &**d), reader.voice) {
            Meant::Edit(change) => studio.try_change(&id, &change)?,
            Meant::Build { stamp, refuse } => {
                let proposal = studio.proposal(&workspace, &id, &stamp)?;
                proposal.refusing(&refuse).after.findings()
            }
        };
        Ok((
            StatusCode::OK,
            json!({ "findings": findings(&found, reader.voice) }),
        ))
    })
    .await
}

/// Undoes the last change.
pub async fn undo(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    go(studio, id, reader, Way::Back).await
}

/// Does it again.
pub async fn redo(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    go(studio, id, reader, Way::On).await
}

async fn go(studio: Arc<Studio>, id: String, reader: Reader, way: Way) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let hash = if_match(reader)?;
        made(studio, &id, studio.go(&id, &hash, way))
    })
    .await
}

/// Another drawing for a stamp: `?stamp=&file=`, the body is the SVG.
pub async fn redraw(
    State(studio): State<Arc<Studio>>,
    Path(id): Path<String>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    let Ok(body) = body else {
        return refuse(StatusCode::PAYLOAD_TOO_LARGE, &[too_large()], &reader);
    };
    on_a_thread(studio, reader, move |studio, reader| {
        let hash = if_match(reader)?;
        let (stamp, file) = (
            reader.get("stamp").unwrap_or(""),
            reader.get("file").unwrap_or(""),
        );
        let name = file.rsplit_once('.').map_or(file, |(name, _)| name);
        made(studio, &id, studio.redraw(&id, &hash, stamp, name, &body))
    })
    .await
}

/// A copy of the design as another colourway.
pub async fn colourway(
    State(studio): State<Arc<Studio>>,
    Path(id): Path<String>,
    reader: Reader,
    body: Bytes,
) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked = parsed::<Colourway>(&body)?;
        let workspace = studio.workspace();
        let design = workspace.design(&id).map(|d| &**d);
        let change = asked.change.map(|change| change.edit(design, reader.voice));
        if let Some(change) = &change {
            let refused = studio.try_change(&id, change)?;
            if !refused.is_empty() {
                return Err(NotDone::Findings(refused).into());
            }
        }
        let made = add_colourway(&workspace, &id, &asked.colourway, change.as_ref());
        let new = made.map_err(|why| match why {
            workspace::NotDone::Io(error) => NotDone::Findings(vec![error.finding()]),
            workspace::NotDone::Findings(all) => NotDone::Findings(all),
        })?;
        let href = format!("/design/{}", escape(&new));
        Ok((StatusCode::CREATED, json!({ "id": new, "href": href })))
    })
    .await
}

/// An answer, or why there is none.
pub type Made = Result<(StatusCode, Value), Refusal>;

/// Why there is no answer.
pub enum Refusal {
    /// The change.
    NotDone(NotDone),
    /// The request itself.
    Request(StatusCode, Finding),
}

impl From<NotDone> for Refusal {
    fn from(why: NotDone) -> Self {
        Self::NotDone(why)
    }
}

/// Works where waiting holds nobody up, and answers.
pub async fn on_a_thread(
    studio: Arc<Studio>,
    reader: Reader,
    work: impl FnOnce(&Studio, &Reader) -> Made + Send + 'static,
) -> Response {
    let job = tokio::task::spawn_blocking(move || match work(&studio, &reader) {
        Ok((status, body)) => answer(status, &body),
        Err(Refusal::Request(status, finding)) => refuse(status, &[finding], &reader),
        Err(Refusal::NotDone(NotDone::NoDesign)) => refuse(StatusCode::NOT_FOUND, &[no_design()], &reader),
        Err(Refusal::NotDone(NotDone::Findings(all))) => {
            refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader)
        }
        Err(Refusal::NotDone(NotDone::Stale { now, differences })) => {
            let workspace = studio.workspace();
            let told = differences.map(|all| tell(&all, &workspace, reader.voice));
            let body = json!({
                "hash": now,
                "differences": told,
                "findings": findings(&[stale()], reader.voice),
            });
            answer(StatusCode::CONFLICT, &body)
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

fn parsed<T: for<'a> Deserialize<'a>>(body: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(body).map_err(|error| {
        let finding = Finding::new(
            "not-a-change",
            Weight::Wrong,
            Place::Request,
            say!(
                "this is not a change of a design: {why}",
                "ini bukan perubahan desain: {why}",
                why = Arg::Name(error.to_string())
            ),
        );
        Refusal::Request(StatusCode::BAD_REQUEST, finding)
    })
}

/// Hash of the file that a change was made for.
///
/// # Errors
/// If the request does not say.
pub fn if_match(reader: &Reader) -> Result<String, Refusal> {
    let given = reader.headers.get(header::IF_MATCH).and_then(|v| v.to_str().ok());
    let hash = given.map(|v| v.trim().trim_matches('"').to_string());
    hash.filter(|hash| !hash.is_empty()).ok_or_else(|| {
        let finding = Finding::new(
            "no-hash",
            Weight::Wrong,
            Place::Request,
            say!(
                "the change does not say which version of the file it was made for",
                "perubahan tidak menyebut versi berkas yang diubah"
            ),
        );
        Refusal::Request(StatusCode::PRECONDITION_REQUIRED, finding)
    })
}

/// What a page needs after a change: the new hash, what can be undone, and the marks of its pictures.
fn made(studio: &Studio, id: &str, done: Result<Done, NotDone>) -> Made {
    let done = done?;
    let workspace = studio.workspace();
    let design = workspace.design(id);
    let marks: serde_json::Map<String, Value> = design
        .into_iter()
        .flat_map(|design| {
            let steps = design.steps.iter();
            steps.map(|step| (step.id.clone(), mark(studio, design, &step.id).into()))
        })
        .collect();
    Ok((
        StatusCode::OK,
        json!({
            "hash": done.hash,
            "step": done.step,
            "undo": done.depth[0],
            "redo": done.depth[1],
            "marks": marks,
        }),
    ))
}

/// Differences in the reader's words: what, how it was, how it is.
fn tell(all: &[Difference], workspace: &Workspace, voice: Voice) -> Value {
    let name = |difference: &Difference| {
        let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
        let step = designs
            .flat_map(|design| design.steps.iter().enumerate())
            .find(|(_, step)| step.id == difference.of);
        let Some((at, step)) = step else {
            return [difference.of.as_str(), difference.key.as_str()]
                .join(" ")
                .trim()
                .to_string();
        };
        let kind = step.operation.kind();
        let setting = kind.settings.iter().find(|s| s.key == difference.key);
        let setting = setting.map_or(t(text!("the step", "langkah"), voice), |s| t(&s.term.text, voice));
        format!(
            "{} {}: {}",
            at + 1,
            t(&kind.term.text, voice),
            setting.to_lowercase()
        )
    };
    all.iter()
        .map(|d| json!({ "what": name(d), "before": d.before, "after": d.after }))
        .collect()
}

fn stale() -> Finding {
    Finding::new(
        "file-changed",
        Weight::Doubtful,
        Place::Request,
        say!(
            "this was changed elsewhere since the page was opened; your change is not made yet",
            "ini sudah diubah di tempat lain sejak halaman dibuka; perubahan Anda belum dibuat"
        ),
    )
}

fn no_design() -> Finding {
    Finding::new(
        "no-such-design",
        Weight::Wrong,
        Place::Request,
        say!("there is no such design", "tidak ada desain itu"),
    )
}

#[cfg(test)]
mod tests {
    use super::{with_point, with_unit};

    #[test]
    fn a_comma_is_the_mark_of_indonesian_pages() {
        assert_eq!(with_point("0,8 L/kg"), "0.8 L/kg");
        assert_eq!(with_point("0.8 L/kg"), "0.8 L/kg");
        assert_eq!(with_point("1.250,5 g"), "1.250,5 g");
        assert_eq!(with_point("merah, tua"), "merah, tua");
    }

    #[test]
    fn a_bare_number_keeps_the_unit() {
        assert_eq!(with_unit(" 16 ", "13 min"), "16 min");
        assert_eq!(with_unit("2,5", "3 g/L"), "2,5 g/L");
        assert_eq!(with_unit("1 h", "13 min"), "1 h");
        assert_eq!(with_unit("10.5", "pH 10"), "10.5");
        assert_eq!(with_unit("", "13 min"), "");
    }
}
