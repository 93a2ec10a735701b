//! What was measured here is taken up by a button: what the page says would be written is what is written, and taken back.

use super::editing::post;
use super::plans::Small;
use super::{Answer, PORT, get};
use crate::facts::learn::lessons;
use crate::studio::{NoFacts, Studio};
use axum::http::StatusCode;
use std::path::Path;
use std::sync::Arc;

fn hash(page: &str) -> String {
    let (_, rest) = page.split_once("data-record-hash=\"").expect("a hash");
    rest.split('"').next().expect("its end").to_string()
}

async fn page(studio: &Arc<Studio>) -> String {
    get(studio, "/learned").await.text()
}

async fn send(studio: &Arc<Studio>, path: &str) -> Answer {
    let hash = hash(&page(studio).await);
    post(studio, path, Some(&hash), "{}").await
}

/// Every card and the workshop's file, as they stand.
fn files(dir: &Path) -> Vec<String> {
    let cards = std::fs::read_dir(dir.join("dyes")).expect("a folder");
    let mut paths: Vec<_> = cards.map(|entry| entry.expect("an entry").path()).collect();
    paths.push(dir.join("workshop.toml"));
    paths.sort();
    let read = |path: &std::path::PathBuf| std::fs::read_to_string(path).expect("it is there");
    paths.iter().map(read).collect()
}

#[tokio::test]
async fn what_was_measured_is_written_and_taken_back() {
    let small = Small::new("learned");
    let studio = &small.studio;
    let before = files(&small.dir);
    let first = page(studio).await;
    let workspace = studio.workspace();
    let shop = workspace.workshop.as_ref().expect("a workshop");
    let all = lessons(&workspace, shop).constants;
    let open: Vec<_> = all.iter().filter(|one| !one.in_use()).collect();
    assert!(!open.is_empty() && first.contains("data-record=\"/api/lessons\""));
    for one in &open {
        assert!(first.contains(&one.file), "{}", one.file);
    }
    assert!(!first.contains("lorod learn"), "a command where a button belongs");

    // For another version of the files nothing is written.
    let stale = post(studio, "/api/lessons", Some("00"), "{}").await;
    assert_eq!(
        (stale.status, files(&small.dir)),
        (StatusCode::CONFLICT, before.clone())
    );

    let done = send(studio, "/api/lessons").await;
    assert_eq!(done.status, StatusCode::OK, "{}", done.text());
    let after = files(&small.dir);
    assert_ne!(after, before);
    let workspace = studio.workspace();
    assert!(!workspace.wrong(), "{:?}", workspace.findings);
    let shop = workspace.workshop.as_ref().expect("a workshop");
    let lessons = lessons(&workspace, shop).constants;
    assert!(lessons.iter().all(crate::facts::learn::Lesson::in_use) && lessons.len() == all.len());
    let written = page(studio).await;
    assert!(!written.contains("data-record=\"/api/lessons\"") && written.contains("/api/lessons/undo"));
    // As many lines as constants have changed, and no other.
    let lines = |files: &[String]| -> Vec<String> {
        let lines = files.iter().flat_map(|text| text.lines());
        lines.map(str::to_string).collect()
    };
    let old = lines(&before);
    let new = lines(&after).into_iter().filter(|line| !old.contains(line));
    let new: Vec<String> = new.collect();
    assert!(new.iter().filter(|line| line.contains("measured = ")).count() >= open.len().min(1));
    assert!(new.len() <= 2 * open.len(), "{new:?}");

    // Closed and opened: it can still be taken back, and written again.
    let again = Arc::new(Studio::open(&small.dir, Arc::new(NoFacts), PORT).expect("it opens"));
    assert_eq!(send(&again, "/api/lessons/undo").await.status, StatusCode::OK);
    assert_eq!(files(&small.dir), before);
    assert_eq!(send(&again, "/api/lessons/redo").await.status, StatusCode::OK);
    assert_eq!(files(&small.dir), after);

    // Somebody wrote one of the files since: all stay as they are.
    let workshop = small.dir.join("workshop.toml");
    let text = std::fs::read_to_string(&workshop).expect("it is there");
    std::fs::write(&workshop, format!("{text}# mine\n")).expect("written");
    let card = lessons
        .iter()
        .map(|one| one.file.clone())
        .find(|file| file != "workshop.toml");
    let card = small.dir.join(card.expect("a dye was measured"));
    let card_text = std::fs::read_to_string(&card).expect("it is there");
    let refused = send(&again, "/api/lessons/undo").await;
    let is_in = open.iter().any(|one| one.file == "workshop.toml");
    if is_in {
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            refused.text()
        );
        assert_eq!(std::fs::read_to_string(&card).expect("it is there"), card_text);
    }
}
