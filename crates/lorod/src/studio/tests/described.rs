//! The description of the interface, held against the structure that OpenAPI 3.1.0 (OpenAPI Initiative, 2021) asks for,
//! section by section. From memory of the published text; the fields of each object are its "Fixed Fields" tables.

use super::{get, studio};
use serde_json::{Map, Value};

/// Goes through a document and notes what does not fit.
struct Check {
    document: Value,
    faults: Vec<String>,
}

/// Fields that an object may have, and those that it must.
type Fields = (&'static [&'static str], &'static [&'static str]);

/// 4.8.1
const DOCUMENT: Fields = (
    &[
        "openapi",
        "info",
        "jsonSchemaDialect",
        "servers",
        "paths",
        "webhooks",
        "components",
        "security",
        "tags",
        "externalDocs",
    ],
    &["openapi", "info", "paths"],
);
/// 4.8.2
const INFO: Fields = (
    &[
        "title",
        "summary",
        "description",
        "termsOfService",
        "contact",
        "license",
        "version",
    ],
    &["title", "version"],
);
/// 4.8.5
const SERVER: Fields = (&["url", "description", "variables"], &["url"]);
/// 4.8.7
const COMPONENTS: Fields = (
    &[
        "schemas",
        "responses",
        "parameters",
        "examples",
        "requestBodies",
        "headers",
        "securitySchemes",
        "links",
        "callbacks",
        "pathItems",
    ],
    &[],
);
/// 4.8.9
const METHODS: [&str; 8] = [
    "get", "put", "post", "delete", "options", "head", "patch", "trace",
];
/// 4.8.10
const OPERATION: Fields = (
    &[
        "tags",
        "summary",
        "description",
        "externalDocs",
        "operationId",
        "parameters",
        "requestBody",
        "responses",
        "callbacks",
        "deprecated",
        "security",
        "servers",
    ],
    &[],
);
/// 4.8.12; `schema` or `content`, never both.
const PARAMETER: Fields = (
    &[
        "name",
        "in",
        "description",
        "required",
        "deprecated",
        "allowEmptyValue",
        "style",
        "explode",
        "allowReserved",
        "schema",
        "example",
        "examples",
        "content",
    ],
    &["name", "in"],
);
/// 4.8.13
const BODY: Fields = (&["description", "content", "required"], &["content"]);
/// 4.8.14
const MEDIA: Fields = (&["schema", "example", "examples", "encoding"], &[]);
/// 4.8.17
const RESPONSE: Fields = (&["description", "headers", "content", "links"], &["description"]);
/// 4.8.27
const SECURITY: Fields = (
    &[
        "type",
        "description",
        "name",
        "in",
        "scheme",
        "bearerFormat",
        "flows",
        "openIdConnectUrl",
    ],
    &["type"],
);
/// JSON Schema 2020-12, Validation, 6.1.1
const TYPES: [&str; 7] = [
    "null", "boolean", "object", "array", "number", "string", "integer",
];

impl Check {
    fn fault(&mut self, at: &str, what: &str) {
        self.faults.push(format!("{at}: {what}"));
    }

    fn object(&mut self, value: &Value, at: &str, (may, must): Fields) -> Map<String, Value> {
        let Some(object) = value.as_object() else {
            self.fault(at, "is no object");
            return Map::new();
        };
        for key in object.keys().filter(|key| !key.starts_with("x-")) {
            if !may.contains(&key.as_str()) {
                self.fault(at, &format!("{key} is no field of it"));
            }
        }
        for key in must {
            if !object.contains_key(*key) {
                self.fault(at, &format!("{key} is missing"));
            }
        }
        object.clone()
    }

    /// What a reference leads to: it must be there (4.8.23).
    fn followed(&mut self, value: &Value, at: &str) -> Value {
        let Some(to) = value["$ref"].as_str() else {
            return value.clone();
        };
        let found = to
            .strip_prefix('#')
            .and_then(|pointer| self.document.pointer(pointer));
        match found.cloned() {
            Some(found) => found,
            None => {
                self.fault(at, &format!("{to} leads nowhere"));
                Value::Null
            }
        }
    }

    fn parameter(&mut self, value: &Value, at: &str) -> (String, String) {
        let value = self.followed(value, at);
        let parameter = self.object(&value, at, PARAMETER);
        let text = |key: &str| {
            parameter
                .get(key)
                .and_then(Value::as_str)
                .unwrap_or("")
                .to_string()
        };
        let place = text("in");
        if !["query", "header", "path", "cookie"].contains(&place.as_str()) {
            self.fault(at, &format!("in {place}"));
        }
        if place == "path" && parameter.get("required") != Some(&Value::Bool(true)) {
            self.fault(at, "a part of the path is always required");
        }
        if parameter.contains_key("schema") == parameter.contains_key("content") {
            self.fault(at, "it has one of schema and content");
        }
        if let Some(schema) = parameter.get("schema") {
            self.schema(schema, at);
        }
        (place, text("name"))
    }

    fn content(&mut self, content: &Value, at: &str) {
        for (kind, media) in content.as_object().into_iter().flatten() {
            if kind.split(',').any(|one| one.trim().split('/').count() != 2) {
                self.fault(at, &format!("{kind} is no media type (RFC 6838)"));
            }
            let media = self.object(media, &format!("{at} {kind}"), MEDIA);
            if let Some(schema) = media.get("schema") {
                self.schema(schema, at);
            }
        }
    }

    fn schema(&mut self, schema: &Value, at: &str) {
        let schema = self.followed(schema, at);
        let Some(schema) = schema.as_object() else {
            return self.fault(at, "a schema is an object");
        };
        let types = match schema.get("type") {
            Some(Value::Array(all)) => all.clone(),
            Some(one) => vec![one.clone()],
            None => Vec::new(),
        };
        for one in types {
            if !one.as_str().is_some_and(|one| TYPES.contains(&one)) {
                self.fault(at, &format!("{one} is no type"));
            }
        }
        for (_, one) in schema
            .get("properties")
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
        {
            self.schema(one, at);
        }
        for key in ["items", "additionalProperties"] {
            if let Some(one) = schema.get(key) {
                self.schema(one, at);
            }
        }
        for one in schema
            .get("oneOf")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            self.schema(one, at);
        }
    }

    fn operation(&mut self, path: &str, way: &str, value: &Value) {
        let at = format!("{way} {path}");
        let operation = self.object(value, &at, OPERATION);
        let listed = operation.get("parameters").and_then(Value::as_array).cloned();
        let mut seen: Vec<(String, String)> = Vec::new();
        for one in listed.into_iter().flatten() {
            let named = self.parameter(&one, &at);
            // 4.8.10: a parameter is its name and its place, and stands once.
            if seen.contains(&named) {
                self.fault(&at, &format!("{} stands twice", named.1));
            }
            seen.push(named);
        }
        let parts = path.split('{').skip(1).filter_map(|rest| rest.split('}').next());
        let parts: Vec<&str> = parts.collect();
        for part in &parts {
            if !seen.contains(&("path".to_string(), (*part).to_string())) {
                self.fault(&at, &format!("{part} is not told"));
            }
        }
        let told = seen.iter().filter(|(place, _)| place == "path").count();
        if told != parts.len() {
            self.fault(&at, "it tells parts that its path has not");
        }
        if let Some(body) = operation.get("requestBody") {
            let body = self.object(body, &at, BODY);
            self.content(&body["content"], &at);
        }
        let answers = operation
            .get("responses")
            .and_then(Value::as_object)
            .cloned()
            .unwrap_or_default();
        // 4.8.16: at least one, the good one among them.
        if !answers.keys().any(|status| status.starts_with('2')) {
            self.fault(&at, "it never answers well");
        }
        for (status, answer) in &answers {
            let code =
                status.len() == 3 && status.parse::<u16>().is_ok_and(|code| (100..600).contains(&code));
            if !code && status != "default" {
                self.fault(&at, &format!("{status} is no status (RFC 9110)"));
            }
            let answer = self.followed(answer, &at);
            let answer = self.object(&answer, &format!("{at} {status}"), RESPONSE);
            if let Some(content) = answer.get("content") {
                self.content(content, &at);
            }
        }
        for one in operation
            .get("security")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            for scheme in one.as_object().into_iter().flat_map(Map::keys) {
                if self.document["components"]["securitySchemes"]
                    .get(scheme)
                    .is_none()
                {
                    self.fault(&at, &format!("{scheme} is no scheme of it"));
                }
            }
        }
    }

    fn whole(&mut self) {
        let document = self.document.clone();
        self.object(&document, "document", DOCUMENT);
        self.object(&document["info"], "info", INFO);
        if !document["openapi"]
            .as_str()
            .is_some_and(|v| v.starts_with("3.1."))
        {
            self.fault("document", "it is no 3.1");
        }
        for server in document["servers"].as_array().into_iter().flatten() {
            self.object(server, "server", SERVER);
        }
        let components = self.object(&document["components"], "components", COMPONENTS);
        for (name, one) in components
            .get("schemas")
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
        {
            self.schema(one, name);
        }
        for (name, one) in components
            .get("parameters")
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
        {
            self.parameter(one, name);
        }
        for (name, one) in components
            .get("securitySchemes")
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
        {
            self.object(one, name, SECURITY);
        }
        let mut shapes: Vec<String> = Vec::new();
        for (path, item) in document["paths"].as_object().into_iter().flatten() {
            // 4.8.8: paths begin with a slash, and two that differ in names of their parts only are the same.
            let shape = path
                .split('/')
                .map(|part| if part.starts_with('{') { "{}" } else { part })
                .collect::<Vec<_>>()
                .join("/");
            if !path.starts_with('/') || shapes.contains(&shape) {
                self.fault(path, "no path, or one that stands twice");
            }
            shapes.push(shape);
            for (way, operation) in item.as_object().into_iter().flatten() {
                if METHODS.contains(&way.as_str()) {
                    self.operation(path, way, operation);
                } else {
                    self.fault(path, &format!("{way} is no method"));
                }
            }
        }
    }
}

fn faults(document: Value) -> Vec<String> {
    let mut check = Check {
        document,
        faults: Vec::new(),
    };
    check.whole();
    check.faults
}

#[tokio::test]
async fn the_description_is_what_the_standard_asks_for() {
    let studio = studio();
    let answer = get(&studio, "/api").await;
    let document: Value = serde_json::from_slice(&answer.body).expect("JSON");
    assert_eq!(faults(document.clone()), Vec::<String>::new());
    // The check sees what is broken.
    let breaks: [(&str, Value); 6] = [
        ("/openapi", "3.0.3".into()),
        ("/paths/~1api~1shelf/get/responses/200/description", Value::Null),
        ("/components/schemas/Refusal", Value::Null),
        (
            "/paths/~1api~1design~1{id}/get/parameters/0/required",
            false.into(),
        ),
        ("/paths/~1run~1plan.csv/get/parameters/1/name", "first".into()),
        (
            "/paths/~1api~1plan/post/security/0",
            serde_json::json!({ "key": [] }),
        ),
    ];
    for (at, to) in breaks {
        let mut broken = document.clone();
        let place = broken.pointer_mut(at).unwrap_or_else(|| panic!("{at}"));
        if to.is_null() {
            let (parent, key) = at.rsplit_once('/').expect("a parent");
            let parent = broken.pointer_mut(parent).and_then(Value::as_object_mut);
            parent.expect("an object").remove(key);
        } else {
            *place = to;
        }
        assert!(!faults(broken).is_empty(), "{at} is broken and nobody sees it");
    }
}
