//! What is built into the program for its pages: one style sheet, one module, drawings, and the letters.
//!
//! A browser has six lines to one place, and the first page wants them for cloth: the sheets of `assets/` go out as one,
//! and so do the modules. Each start of the same build calls them by the same address, which holds their hash, so that a
//! browser need not ask again.

use super::Studio;
use super::say::not_found;
use axum::body::{Body, Bytes};
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::Embed;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

#[derive(Embed)]
#[folder = "assets/"]
struct Assets;

/// The sheets, in the order in which they are laid over one another.
const SHEETS: [&str; 10] = [
    "tokens", "shed", "cloth", "desk", "sheets", "copper", "photo", "shades", "plan", "onward",
];
/// All sheets.
pub const SHEET: &str = "studio.css";
/// The module that imports all others, and what it becomes with them.
pub const MODULE: &str = "studio.js";
/// The letters that every page is set in.
pub const LETTERS: [&str; 2] = ["work-regular.ttf", "work-bold.ttf"];

/// What a browser may ask for, ready to be sent.
struct Ready {
    files: BTreeMap<Cow<'static, str>, (Bytes, String)>,
    version: String,
}

static READY: LazyLock<Ready> = LazyLock::new(|| {
    let mut files = BTreeMap::new();
    for name in Assets::iter() {
        let bundled = name.ends_with(".css") || name.ends_with(".js");
        if let (false, Some(file)) = (bundled, Assets::get(&name)) {
            let kind = file.metadata.mimetype().to_string();
            files.insert(name, (Bytes::from(file.data.into_owned()), kind));
        }
    }
    let mut keep = |name: &'static str, bytes: Bytes, kind: &str| {
        files.insert(name.into(), (bytes, kind.to_string()));
    };
    let faces = [notosans::REGULAR_TTF, notosans::BOLD_TTF];
    for (name, face) in LETTERS.into_iter().zip(faces) {
        keep(name, Bytes::from_static(face), "font/ttf");
    }
    keep(SHEET, Bytes::from(sheet()), "text/css; charset=utf-8");
    // What cannot be joined is not there; a test joins it.
    if let Ok(module) = module() {
        keep(MODULE, Bytes::from(module), "text/javascript; charset=utf-8");
    }
    let mut hash = Sha256::new();
    for (name, (bytes, _)) in &files {
        hash.update(name.as_bytes());
        hash.update(bytes.len().to_le_bytes());
        hash.update(bytes);
    }
    let version = hex(&hash.finalize()[..6]);
    Ready { files, version }
});

/// The address of an asset of this build.
pub fn href(name: &str) -> String {
    format!("/a/{}/{name}", READY.version)
}

/// One asset. Under the address of this build a browser keeps it; under any other it asks whether it is still the same.
pub async fn serve(
    State(studio): State<Arc<Studio>>,
    Path(path): Path<String>,
    headers: HeaderMap,
) -> Response {
    let (version, name) = path.split_once('/').unwrap_or(("", &path));
    let Some((bytes, kind)) = READY.files.get(name) else {
        return not_found(&studio, &headers).into_response();
    };
    let tag = format!("\"{}-{name}\"", READY.version);
    let mut answer = tagged(&headers, &tag, kind, || Body::from(bytes.clone()));
    if version == READY.version {
        let year = HeaderValue::from_static("private, max-age=31536000, immutable");
        answer.headers_mut().insert(header::CACHE_CONTROL, year);
    }
    answer
}

/// All sheets as one.
fn sheet() -> String {
    let texts = SHEETS.map(|name| text(&format!("{name}.css")).unwrap_or_default());
    texts.concat()
}

fn text(name: &str) -> Option<String> {
    let file = Assets::get(name)?;
    Some(String::from_utf8_lossy(&file.data).into_owned())
}

/// All modules as one: each in a scope of its own that answers what it exports, after those that it imports, which is the
/// order in which a browser would run them.
///
/// # Errors
/// A line that begins with `import` or `export` and is none of the few forms that are understood here; a circle.
fn module() -> Result<String, String> {
    let mut joined = Joined::default();
    joined.take(MODULE)?;
    Ok(joined.text)
}

#[derive(Default)]
struct Joined {
    text: String,
    done: Vec<String>,
    under: Vec<String>,
}

impl Joined {
    fn take(&mut self, name: &str) -> Result<(), String> {
        if self.done.iter().any(|done| done == name) {
            return Ok(());
        }
        if self.under.iter().any(|under| under == name) {
            return Err(format!("{name} imports itself by way of {:?}", self.under));
        }
        self.under.push(name.to_string());
        let source = text(name).ok_or_else(|| format!("there is no {name}"))?;
        let (mut body, mut exports) = (String::new(), Vec::new());
        for line in source.lines() {
            let other = || format!("{name}: not understood: {line}");
            if line.starts_with("import ") {
                let (names, from) = imported(line).ok_or_else(other)?;
                self.take(from)?;
                if let Some(names) = names {
                    body.push_str(&format!("const {{{names}}} = {};", scope(from)));
                }
            } else if let Some(rest) = line.strip_prefix("export ") {
                exports.push(defined(rest).ok_or_else(other)?);
                body.push_str(rest);
            } else {
                body.push_str(line);
            }
            // A line stays a line, so that a complaint of the browser can be found.
            body.push('\n');
        }
        let (scope, exports) = (scope(name), exports.join(", "));
        let whole = format!("// {name}\nconst {scope} = (() => {{\n{body}return {{ {exports} }};\n}})();\n");
        self.text.push_str(&whole);
        self.under.pop();
        self.done.push(name.to_string());
        Ok(())
    }
}

/// What the scope of a module is called.
fn scope(module: &str) -> String {
    format!("${}", module.trim_end_matches(".js"))
}

/// `import { a, b } from "/a/x.js";` or `import "/a/x.js";`: the names, the module.
fn imported(line: &str) -> Option<(Option<&str>, &str)> {
    let rest = line.strip_prefix("import ")?.strip_suffix("\";")?;
    let (names, from) = rest.split_once("\"/a/")?;
    if names.is_empty() {
        return Some((None, from));
    }
    let names = names.strip_prefix('{')?.strip_suffix("} from ")?;
    (!names.contains(" as ")).then_some((Some(names), from))
}

/// The name that an exported line defines.
fn defined(line: &str) -> Option<&str> {
    let rest = ["async function ", "function ", "const ", "class "]
        .iter()
        .find_map(|kind| line.strip_prefix(kind))?;
    let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_'))?;
    (end > 0).then(|| &rest[..end])
}

/// An answer with an entity tag: empty where the browser already has it.
pub fn tagged(headers: &HeaderMap, tag: &str, kind: &str, body: impl FnOnce() -> Body) -> Response {
    let about = [
        (header::ETAG, tag.to_string()),
        (header::CACHE_CONTROL, "no-cache".to_string()),
        (header::CONTENT_TYPE, kind.to_string()),
    ];
    if has(headers, tag) {
        return (StatusCode::NOT_MODIFIED, about).into_response();
    }
    (about, body()).into_response()
}

/// Does the browser say that it has this version?
pub fn has(headers: &HeaderMap, tag: &str) -> bool {
    let known = headers
        .get(header::IF_NONE_MATCH)
        .and_then(|v| v.to_str().ok())
        .unwrap_or("");
    known
        .split(',')
        .any(|one| one.trim().trim_start_matches("W/") == tag)
}

/// Lower-case hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::{Assets, SHEETS, defined, imported, module, scope};

    /// Every module of the folder is in the one that is sent, once, and after those that it imports.
    #[test]
    fn all_modules_are_joined_in_the_order_of_their_imports() {
        let whole = module().expect("they can be joined");
        let at = |module: &str| {
            let begins = format!("const {} = (", scope(module));
            assert_eq!(whole.matches(&begins).count(), 1, "{module}");
            whole.find(&begins)
        };
        for name in Assets::iter().filter(|name| name.ends_with(".js")) {
            let file = Assets::get(&name).expect("it is there");
            let text = String::from_utf8(file.data.into_owned()).expect("text");
            for from in text.lines().filter_map(imported).map(|(_, from)| from) {
                assert!(at(from) < at(&name), "{name} runs before {from}");
            }
        }
        assert!(
            !whole
                .lines()
                .any(|line| line.starts_with("import ") || line.starts_with("export "))
        );
    }

    #[test]
    fn every_sheet_is_in_the_one_that_is_sent() {
        for name in Assets::iter().filter(|name| name.ends_with(".css")) {
            assert!(SHEETS.contains(&name.trim_end_matches(".css")), "{name}");
        }
    }

    #[test]
    fn few_forms_are_understood_and_no_other() {
        assert_eq!(
            imported("import { a, b } from \"/a/x.js\";"),
            Some((Some(" a, b "), "x.js"))
        );
        assert_eq!(imported("import \"/a/x.js\";"), Some((None, "x.js")));
        for other in [
            "import x from \"/a/x.js\";",
            "import * as x from \"/a/x.js\";",
            "import { a as b } from \"/a/x.js\";",
            "import { a } from \"./x.js\";",
        ] {
            assert_eq!(imported(other), None, "{other}");
        }
        for (line, name) in [
            ("function f(a) {", Some("f")),
            ("async function get_it() {", Some("get_it")),
            ("const pi = 3;", Some("pi")),
            ("class View {", Some("View")),
            ("let changed = 1;", None),
            ("default f;", None),
            ("const { a, b } = c;", None),
        ] {
            assert_eq!(defined(line), name, "{line}");
        }
    }
}
