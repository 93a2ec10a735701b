//! The description of the studio's interface as OpenAPI 3.1 (OpenAPI Initiative, 2021), made from the tables that are
//! served: what lies below `/api`, the files of pages, and every page's tables below `/data`.

use super::answer;
use super::files::FILES;
use super::table::{Entry, TABLE, Takes};
use crate::studio::Studio;
use crate::studio::data::serve::Form;
use crate::studio::data::{Data, all};
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
    for (whole, entry) in entries() {
        let path = paths.entry(whole).or_insert_with(|| json!({}));
        path[if entry.changes { "post" } else { "get" }] = operation(entry);
    }
    for (_, data) in all() {
        for form in data.forms() {
            paths.insert(data.path(form), json!({ "get": of_data(data, form) }));
        }
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
            "schemas": { "Refusal": refusal(), "Tables": tables() },
            "parameters": {
                "lang": one_of("lang", "language of what is said; a cookie of this name keeps it", &["en", "id"]),
                "units": one_of("units", "units of what is said; a cookie of this name keeps it", &["metric", "imperial"]),
            },
        },
    })
}

/// Everything that is served by a table, with its whole address.
pub fn entries() -> impl Iterator<Item = (String, &'static Entry)> {
    let api = TABLE.iter().map(|entry| (whole(entry), entry));
    api.chain(FILES.iter().map(|entry| (entry.path.to_string(), entry)))
}

/// Of an entry below `/api`.
fn whole(entry: &Entry) -> String {
    format!("/api{}", entry.path.trim_end_matches('/'))
}

fn one_of(name: &str, what: &str, words: &[&str]) -> Value {
    json!({ "name": name, "in": "query", "description": what, "schema": { "enum": words } })
}

/// In which language and units an answer is.
fn readers() -> [Value; 2] {
    ["lang", "units"].map(|name| json!({ "$ref": format!("#/components/parameters/{name}") }))
}

fn asked(query: &'static [(&'static str, &'static str)]) -> impl Iterator<Item = Value> {
    query.iter().map(|(name, what)| {
        let schema = if what.contains("several times") {
            json!({ "type": "array", "items": { "type": "string" } })
        } else {
            json!({ "type": "string" })
        };
        json!({ "name": name, "in": "query", "description": what, "schema": schema })
    })
}

/// One file of a page's tables.
fn of_data(data: &Data, form: Form) -> Value {
    let names: Vec<&str> = data.tables.iter().map(|(_, name)| name.en).collect();
    let (what, kind, schema) = match form {
        Form::Json => (
            format!("Everything on the page of {}: {}.", data.name, names.join("; ")),
            "application/json",
            json!({ "$ref": "#/components/schemas/Tables" }),
        ),
        Form::Pdf => (
            format!("The same on paper: {}.", names.join("; ")),
            "application/pdf",
            json!({}),
        ),
        Form::Csv(at) => (
            format!("{} (RFC 4180; heads carry units).", names.get(at).unwrap_or(&"")),
            "text/csv",
            json!({}),
        ),
    };
    let parameters: Vec<Value> = asked(data.query).chain(readers()).collect();
    let mut responses = json!({
        "200": { "description": "done", "content": { kind: { "schema": schema } } },
        "422": refused("it cannot be told; the findings say why"),
    });
    if data.query.iter().any(|(key, _)| *key == "design") {
        responses["404"] = refused("there is no such design");
    }
    json!({ "summary": what, "parameters": parameters, "responses": responses })
}

fn refused(what: &str) -> Value {
    json!({
        "description": what,
        "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Refusal" } } },
    })
}

fn operation(entry: &Entry) -> Value {
    let mut parameters: Vec<Value> = named(entry.path)
        .map(|name| json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string" } }))
        .collect();
    parameters.extend(asked(entry.query));
    parameters.extend(readers().into_iter().filter(|_| !entry.changes));
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
        responses[status.to_string()] = if FILES.iter().any(|file| std::ptr::eq(file, entry)) {
            json!({ "description": what })
        } else {
            refused(what)
        };
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

/// What a page's tables look like: a row holds a value for the key of every column.
fn tables() -> Value {
    let text = json!({ "type": "string" });
    let unit = json!({ "oneOf": [
        { "type": "null", "description": "words" },
        { "type": "string", "description": "of every number of the column" },
        { "type": "object", "required": ["in"], "properties": { "in": { "type": "string", "description": "key of the column that holds the unit" } } },
    ] });
    let column = json!({ "type": "object", "required": ["key", "unit"], "properties": {
        "key": text, "name": { "type": ["string", "null"] }, "unit": unit,
    } });
    let table = json!({ "type": "object", "required": ["columns", "rows"], "properties": {
        "name": text,
        "said": { "type": "array", "items": text },
        "columns": { "type": "array", "items": column },
        "rows": { "type": "array", "items": { "type": "object", "additionalProperties": { "type": ["string", "number", "boolean", "null"] } } },
    } });
    json!({ "type": "object", "required": ["question", "said", "tables"], "properties": {
        "about": text, "question": text,
        "said": { "type": "array", "items": text },
        "tables": { "type": "object", "additionalProperties": table },
    } })
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
    use super::{Takes, all, document, entries, named};
    use std::collections::BTreeSet;

    /// OpenAPI 3.1, 4.8.8 to 4.8.17: each templated part has its parameter, each operation a response, and a path
    /// and a method stand once.
    #[test]
    fn every_address_is_described_once() {
        let document = document("127.0.0.1:1");
        let mut seen = BTreeSet::new();
        for (whole, entry) in entries() {
            let way = if entry.changes { "post" } else { "get" };
            assert!(
                seen.insert((whole.clone(), way)),
                "{} {way} stands twice",
                entry.path
            );
            let operation = &document["paths"][whole.as_str()][way];
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
        let tables: usize = all().map(|(_, data)| data.forms().count()).sum();
        assert_eq!(described, entries().count() + tables);
    }
}
