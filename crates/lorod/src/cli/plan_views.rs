//! Files of a plan: each written as its name ends.

use super::plan::Ask;
use super::wire::FindingOut;
use super::{End, out};
use crate::facts::plan::Planned;
use crate::facts::told::Out;
use crate::facts::views::{Days, View, chart, chat, csv, feed, load, sheets};
use clap::ValueEnum;
use papers::Sheet;
use sky::Date;
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};
use words::{Arg, Finding, Place, Voice, Weight, say};
use workspace::Workspace;

/// What a drawing shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Show {
    /// Each lot, bolt by bolt, with its promise
    Lots,
    /// Each station, with the lots on it
    Stations,
    /// How busy stations, people and stamps are, with the narrow place marked
    Load,
}

/// What a file holds, by the end of its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Json,
    Drawing,
    Pdf,
    Feed,
    Csv,
    Chat,
}

/// Files that were asked for, and which part of the plan stands in them.
pub struct Files {
    files: Vec<(PathBuf, Kind)>,
    days: Option<Days>,
    show: Show,
    sheet: Sheet,
}

impl Files {
    /// Reads what was typed, before anything is planned.
    ///
    /// # Errors
    /// If a name ends otherwise, or the days are none.
    pub fn of(ask: &Ask) -> Result<Self, End> {
        let kind = |path: &PathBuf| {
            let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
            let kind = match ending.as_deref() {
                Some("json") => Kind::Json,
                Some("svg" | "png") => Kind::Drawing,
                Some("pdf") => Kind::Pdf,
                Some("ics") => Kind::Feed,
                Some("csv") => Kind::Csv,
                Some("txt") => Kind::Chat,
                _ => return Err(no_kind(path)),
            };
            Ok((path.clone(), kind))
        };
        Ok(Self {
            files: ask.output.iter().map(kind).collect::<Result<_, End>>()?,
            days: ask.days.as_deref().map(days).transpose()?,
            show: ask.show,
            sheet: ask.paper.sheet(),
        })
    }

    /// Writes them.
    ///
    /// # Errors
    /// If something cannot be made of this plan, or the system refuses.
    pub fn write(
        &self,
        workspace: &Workspace,
        planned: &Planned,
        document: &Out<FindingOut>,
        voice: Voice,
        floor: Voice,
    ) -> Result<(), End> {
        for (path, kind) in &self.files {
            if *kind == Kind::Json {
                // Numbers, text and lists: nothing in it can fail to be written as JSON.
                let text = serde_json::to_string_pretty(document).map_err(|e| End::disk(path, &e.into()))?;
                out::write(path, text.as_bytes())?;
                continue;
            }
            let view = view(workspace, planned)?;
            let days = self.days.unwrap_or_else(|| view.whole());
            match kind {
                Kind::Json => {}
                Kind::Drawing => {
                    let svg = match self.show {
                        Show::Lots => {
                            chart::chart(&view, chart::Rows::Lots, days, &chart::cloths(&view), voice)
                        }
                        Show::Stations => {
                            chart::chart(&view, chart::Rows::Stations, days, &chart::cloths(&view), voice)
                        }
                        Show::Load => load::picture(&view, days, voice),
                    };
                    out::drawing(path, &svg)?;
                }
                Kind::Pdf => {
                    let pdf = sheets::pdf(&view, days, self.sheet, floor)
                        .map_err(|findings| End::in_files(findings, workspace))?;
                    out::write(path, &pdf)?;
                }
                Kind::Feed => {
                    // A clock set before 1970 stamps the feed with its first second.
                    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
                    let now = i64::try_from(now.as_secs()).unwrap_or(0);
                    let days = self.days.unwrap_or_else(|| view.to_last_promise());
                    out::write(path, feed::feed(&view, days, now, voice).as_bytes())?;
                }
                Kind::Csv => out::write(path, csv::csv(&view, days, voice).as_bytes())?,
                Kind::Chat => out::write(path, self.chat(workspace, planned, voice)?.as_bytes())?,
            }
        }
        Ok(())
    }

    /// The short text of the days asked for, or of the first one on which something is done.
    ///
    /// # Errors
    /// Without a workshop.
    pub fn chat(&self, workspace: &Workspace, planned: &Planned, voice: Voice) -> Result<String, End> {
        let view = view(workspace, planned)?;
        let days = self.days.unwrap_or_else(|| Days::one(view.whole().first));
        Ok(chat::chat(&view, days, voice))
    }
}

/// A plan of a workspace without a workshop does not exist; if it did, this would say so.
fn view<'a>(workspace: &'a Workspace, planned: &'a Planned) -> Result<View<'a>, End> {
    super::end::shop(workspace)?;
    View::new(workspace, planned).ok_or_else(End::stopped)
}

fn no_kind(path: &std::path::Path) -> End {
    let found = say!(
        "{file} is no name for a plan's file",
        "{file} bukan nama untuk berkas rencana",
        file = Arg::Name(path.display().to_string())
    );
    let finding = Finding::new("plan-file-name", Weight::Wrong, Place::Request, found);
    End::usage(finding.allow(say!(
        "a name that ends in {all}",
        "nama yang berakhir {all}",
        all = Arg::Name(".json, .svg, .png, .pdf, .ics, .csv, .txt".into())
    )))
}

/// `2026-12-07` or `2026-12-07..2026-12-12`; at most a year.
fn days(text: &str) -> Result<Days, End> {
    /// Days that are drawn at once.
    const MOST: i32 = 366;
    let (first, last) = text.split_once("..").unwrap_or((text, text));
    let range = Date::parse(first.trim()).zip(Date::parse(last.trim()));
    let range = range.filter(|(first, last)| first <= last && last.days - first.days < MOST);
    range.map(|(first, last)| Days { first, last }).ok_or_else(|| {
        let found = say!(
            "\"{text}\" names no days",
            "\"{text}\" bukan hari",
            text = Arg::Name(super::end::short(text))
        );
        let finding = Finding::new("days", Weight::Wrong, Place::Request, found);
        End::usage(finding.allow(say!(
            "a day or two, the first before the last, within a year: {example}",
            "satu atau dua hari, yang pertama lebih dulu, dalam satu tahun: {example}",
            example = Arg::Name("2026-12-07..2026-12-12".into())
        )))
    })
}
