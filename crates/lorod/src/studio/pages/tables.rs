//! What stands on pages of tables, as tables for other programs: amounts of the baths, lines of the cost.

use super::pick::pick;
use crate::studio::Studio;
use crate::studio::file::{File, csv};
use crate::studio::reader::Reader;
use crate::studio::say::{said, t};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use route::{Drawn, Vessel};
use words::Voice;
use workspace::Workspace;

/// Amounts of every step, bath and bolt, in base units and as people say them.
pub fn baths(_: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let Some(picked) = pick(workspace, reader) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let voice = reader.voice;
    let mut rows = vec![
        [
            "step", "what", "vessel", "for", "material", "amount", "si", "measure", "origin",
        ]
        .map(str::to_string),
    ];
    for bath in route::baths(picked.design, &picked.lot, picked.shop) {
        let vessel = match &bath.vessel {
            Vessel::Bath { key, .. } => *key,
            Vessel::Table => "table",
        };
        let mut add = |whom: String, all: &[Drawn]| {
            rows.extend(all.iter().map(|drawn| {
                row(
                    bath.number,
                    t(&bath.term.text, voice),
                    vessel,
                    &whom,
                    drawn,
                    voice,
                )
            }));
        };
        add("bath".to_string(), &bath.charge);
        for one in &bath.rows {
            add(format!("bolt {}", one.bolt), &one.materials);
            add(format!("top-up {}", one.bolt), &one.top_ups);
        }
        add("lot".to_string(), &bath.totals);
    }
    File::csv(&format!("{}-baths.csv", picked.design.id), csv(rows.into_iter())).into_response()
}

fn row(number: u32, what: &str, vessel: &str, whom: &str, drawn: &Drawn, voice: Voice) -> [String; 9] {
    [
        number.to_string(),
        what.to_string(),
        vessel.to_string(),
        whom.to_string(),
        said(&drawn.name, voice),
        voice.quantity(drawn.amount),
        format!("{}", drawn.amount.si),
        drawn.amount.measure.name().to_string(),
        drawn
            .origin
            .as_ref()
            .map_or("", |origin| t(origin.mark(), voice))
            .to_string(),
    ]
}

/// Every line of the cost, in the currency of the workshop's books.
pub fn price(_: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let Some(picked) = pick(workspace, reader) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let voice = reader.voice;
    let books = &picked.shop.books;
    let cost = route::cost(picked.design, &picked.lot, picked.shop);
    let head = ["group", "what", "amount", "si", "measure", "cost", "currency"].map(str::to_string);
    let lines = cost.lines.iter().map(|line| {
        let money = line.cost.map(|minor| route::Money {
            minor,
            currency: books.clone(),
        });
        [
            t(line.group.text(), voice).to_string(),
            said(&line.name, voice),
            voice.quantity(line.amount),
            format!("{}", line.amount.si),
            line.amount.measure.name().to_string(),
            money.map_or_else(String::new, |money| money.decimal()),
            books.clone(),
        ]
    });
    File::csv(
        &format!("{}-price.csv", picked.design.id),
        csv(std::iter::once(head).chain(lines)),
    )
    .into_response()
}
