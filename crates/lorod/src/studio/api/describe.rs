//! The description of `/api` as OpenAPI 3.1 (OpenAPI Initiative, 2021), made from the table that is served.

use super::answer;
use super::table::{Entry, TABLE, Takes};
use crate::studio::Studio;
use crate::studio::guard::TOKEN;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::Response;
use serde_json::{Map, Value, json};
use std::sync::Arc;

/// Serves it.
pub async fn serve(State(studio): State<Arc<Studio>>) -> Response {
    let host = studio.hosts().first().map_or("", String::as_str);
    answer(StatusCode::OK, &document(host))
}

/// The document for a studio at this address.
pub fn document(host: &str) -> Value {
    let mut paths: Map<String, Value> = Map::new();
    for entry in TABLE {
        let path = paths.entry(whole(entry)).or_insert_with(|| json!({}));
        path[if entry.changes { "post" } else { "get" }] = operation(entry);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "lorod studio",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "The studio of one computer: it answers its own address only.",
            "license": { "name": "MIT OR Apache-2.0" },
        },
        "servers": [{ "url": format!("http://{host}") }],
        "paths": paths,
        "components": {
            "securitySchemes": { "token": {
                "type": "apiKey", "in": "header", "name": TOKEN,
                "description": "New with every start; pages carry it in <meta name=\"lorod-token\">. Origin must be the studio's own.",
            } },
            "schemas": { "Refusal": refusal() },
        },
    })
}

fn whole(entry: &Entry) -> String {
    format!("/api{}", entry.path.trim_end_matches('/'))
}

fn operation(entry: &Entry) -> Value {
    let mut parameters: Vec<Value> = named(entry.path)
        .map(|name| json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string" } }))
        .collect();
    parameters.extend(entry.query.iter().map(|(name, what)| {
        json!({ "name": name, "in": "query", "description": what, "schema": { "type": "string" } })
    }));
    if entry.hash {
        parameters.push(json!({
            "name": header::IF_MATCH.as_str(), "in": "header", "required": true,
            "description": "hash of the design's file that the change was made for, in quotes",
            "schema": { "type": "string" },
        }));
    }
    let mut responses = json!({ entry.good.to_string(): {
        "description": "done", "content": { entry.gives: { "schema": {} } },
    } });
    for (status, what) in entry.refuses {
        responses[status.to_string()] = json!({
            "description": what,
            "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Refusal" } } },
        });
    }
    let mut operation = json!({ "summary": entry.what, "parameters": parameters, "responses": responses });
    match entry.takes {
        Takes::Nothing => {}
        Takes::Json(example) => {
            let example: Value = serde_json::from_str(example).unwrap_or_default();
            operation["requestBody"] = json!({ "required": true, "content": {
                "application/json": { "schema": { "type": "object" }, "example": example },
            } });
        }
        Takes::File(kind, most) => {
            operation["requestBody"] = json!({
                "required": true,
                "description": format!("at most {most} bytes"),
                "content": { kind: { "schema": { "type": "string", "format": "binary" } } },
            });
        }
    }
    if entry.changes {
        operation["security"] = json!([{ "token": [] }]);
    }
    operation
}

/// Names in braces.
fn named(path: &str) -> impl Iterator<Item = &str> {
    path.split('{')
        .skip(1)
        .filter_map(|rest| Some(rest.split_once('}')?.0))
}

/// What every refusal looks like; `differences` and `hash` stand in one with 409.
fn refusal() -> Value {
    let text = json!({ "type": ["string", "null"] });
    json!({
        "type": "object",
        "properties": {
            "findings": { "type": "array", "items": { "type": "object", "properties": {
                "code": { "type": "string" },
                "weight": { "enum": ["stop", "look", "note"] },
                "found": { "type": "string" },
                "allowed": text, "remedy": text, "step": text, "setting": text,
            } } },
            "hash": { "type": "string" },
            "differences": { "type": ["array", "null"], "items": { "type": "object", "properties": {
                "what": { "type": "string" }, "before": text, "after": text,
            } } },
        },
    })
}

#[cfg(test)]
mod tests {
    use super::{TABLE, Takes, document, named, whole};
    use std::collections::BTreeSet;

    /// OpenAPI 3.1, 4.8.8 to 4.8.17: each templated part has its parameter, each operation a response, and a path
    /// and a method stand once.
    #[test]
    fn every_address_is_described_once() {
        let document = document("127.0.0.1:1");
        let mut seen = BTreeSet::new();
        for entry in TABLE {
            let way = if entry.changes { "post" } else { "get" };
            assert!(
                seen.insert((whole(entry), way)),
                "{} {way} stands twice",
                entry.path
            );
            let operation = &document["paths"][whole(entry)][way];
            assert!(
                operation["summary"].as_str().is_some_and(|s| s.ends_with('.')),
                "{}",
                entry.path
            );
            assert!(operation["responses"][entry.good.to_string()].is_object());
            let parameters = operation["parameters"].as_array().expect("a list");
            for name in named(entry.path) {
                assert!(
                    parameters
                        .iter()
                        .any(|p| p["name"] == name && p["in"] == "path" && p["required"] == true),
                    "{}: {name}",
                    entry.path
                );
            }
            assert_eq!(operation["security"].is_array(), entry.changes, "{}", entry.path);
            if let Takes::Json(example) = entry.takes {
                serde_json::from_str::<serde_json::Value>(example).expect("an example is JSON");
            }
        }
        let described: usize = document["paths"]
            .as_object()
            .expect("paths")
            .values()
            .map(|path| path.as_object().map_or(0, serde_json::Map::len))
            .sum();
        assert_eq!(described, TABLE.len());
    }
}
