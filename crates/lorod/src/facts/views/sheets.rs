//! Run sheets: what is done at each station on each day, as PDF in both languages.

use super::{Days, Piece, View, places, stamp};
use crate::facts::papers::refused;
use crate::facts::{day_on_paper, moment};
use papers::{RunRow, RunSheet, Sheet};
use route::LotShape;
use std::collections::BTreeMap;
use words::{Arg, Finding, Line, Text, Voice, say};
use workspace::Workspace;

/// The run sheets of the work that begins on some days, by day and station.
///
/// # Errors
/// If nothing begins on them, or a sheet cannot be printed.
pub fn pdf(view: &View, days: Days, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Vec<Finding>> {
    papers::run_sheets(&sheets(view, days), sheet, voice).map_err(refused)
}

/// The same before they are printed.
pub fn sheets(view: &View, days: Days) -> Vec<RunSheet> {
    let mut by_place: BTreeMap<(sky::Date, usize), Vec<Piece>> = BTreeMap::new();
    for piece in view.pieces_on(days) {
        let Some(place) = piece.place else { continue };
        by_place
            .entry((view.date(piece.start), place.0))
            .or_default()
            .push(piece);
    }
    let cautions = Cautions::of(view);
    by_place
        .into_iter()
        .filter_map(|((day, place), pieces)| {
            let name = view.problem().resource_name(::plan::ResourceId(place));
            Some(RunSheet {
                workshop: view.shop.name.clone(),
                station: in_both(name, view.workspace),
                day: day_on_paper(day)?,
                rows: pieces.iter().filter_map(|piece| row(view, piece)).collect(),
                cautions: cautions.at(&pieces),
            })
        })
        .collect()
}

/// A place in both languages: a line whose texts are fixed, with what is particular to the workshop put in.
fn in_both(resource: &str, workspace: &Workspace) -> Line {
    if let Some(stamp) = stamp(resource, workspace) {
        return say!("stamp {stamp}", "cap {stamp}", stamp = Arg::Name(stamp));
    }
    match places::term(resource) {
        // `barrel 2`: the word, and what follows it.
        Some(word) => {
            let rest = resource[places::key(resource).len()..].to_string();
            say!(
                "{place}{n}",
                "{place}{n}",
                place = Arg::Text(word),
                n = Arg::Name(rest)
            )
        }
        None => say!("{place}", "{place}", place = Arg::Name(resource.to_string())),
    }
}

fn row(view: &View, piece: &Piece) -> Option<RunRow> {
    static APPROVAL: Text = Text::new("approval", "acc");
    static COURIER: Text = Text::new("courier", "kurir");
    let problem = view.problem();
    let what = match piece.operation.map(|at| view.step(piece.lot, at)) {
        None => say!("{what}", "{what}", what = Arg::Text(&APPROVAL)),
        Some(None) => say!("{what}", "{what}", what = Arg::Text(&COURIER)),
        Some(Some((number, term))) => say!(
            "{n} {what}",
            "{n} {what}",
            n = Arg::Number(number as f64, 0),
            what = Arg::Term(term)
        ),
    };
    let bolts = if piece.bolts.is_empty() {
        view.lot(piece.lot).to_string()
    } else {
        view.bolts(&piece.bolts)
    };
    let mut designs: Vec<&str> = Vec::new();
    for (lot, _) in piece.bolts.iter().chain(&[(piece.lot, 0)]) {
        let name = view.design(*lot).map_or("", |design| design.name.as_str());
        if !designs.contains(&name) {
            designs.push(name);
        }
    }
    let others = piece
        .holds
        .iter()
        .filter(|(resource, ..)| Some(*resource) != piece.place);
    let with = others.filter_map(|(resource, n, ..)| {
        // A stamp is the design's own: nobody takes another.
        let place = places::term(problem.resource_name(*resource))?;
        let n = Arg::Number(f64::from(*n), 0);
        Some(say!(
            "{place}: {n}",
            "{place}: {n}",
            n = n,
            place = Arg::Text(place)
        ))
    });
    let with = with.collect();
    Some(RunRow {
        from: moment(problem, piece.start)?,
        to: moment(problem, piece.end)?,
        what,
        bolts,
        design: designs.join(", "),
        with,
    })
}

/// What each step's work asks to be taken care of, once for each design.
struct Cautions {
    /// `[lot][operation]`: codes and words.
    of: Vec<Vec<Vec<(&'static str, &'static Text)>>>,
}

impl Cautions {
    fn of(view: &View) -> Self {
        let lots = view.planned.mapped.lots.iter().enumerate().map(|(at, run)| {
            let Some(design) = view.design(at) else {
                return Vec::new();
            };
            let bolts = view.problem().lots.get(at).map_or(1, |lot| lot.bolts);
            let shape = LotShape::new(view.lot(at), bolts, 0, design.cloth);
            let cards = route::card(design, &shape, view.shop);
            let of = |step: &usize| {
                let Some(card) = cards.get(*step) else {
                    return Vec::new();
                };
                let own = card.cautions.iter().map(|caution| (caution.code, &caution.text));
                let dyes = card.hazards.iter().map(|hazard| (hazard.key, &hazard.gloss));
                own.chain(dyes).collect()
            };
            run.steps.iter().map(of).collect()
        });
        Self { of: lots.collect() }
    }

    /// Each class once, in the words of the first step that brings it; at the end, that local rules come first.
    fn at(&self, pieces: &[Piece]) -> Vec<Line> {
        let mut codes = Vec::new();
        let mut lines = Vec::new();
        for piece in pieces {
            let Some(operation) = piece.operation else {
                continue;
            };
            let all = self.of.get(piece.lot).and_then(|lot| lot.get(operation));
            for (code, text) in all.into_iter().flatten() {
                if !codes.contains(code) {
                    codes.push(*code);
                    lines.push(Line::plain(text));
                }
            }
        }
        lines
    }
}
