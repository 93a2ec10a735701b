//! Who is reading: language, units and theme, from the address or a cookie, and the rest of the request.

use axum::extract::{FromRequestParts, Query};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};
use std::convert::Infallible;
use units::System;
use words::{Language, Voice};

/// What the page shall look like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// As the computer is set.
    #[default]
    System,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

impl Theme {
    /// As in addresses.
    pub const fn key(self) -> &'static str {
        match self {
            Self::System => "system",
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }
}

/// The request as a page needs it.
#[derive(Clone, Debug, Default)]
pub struct Reader {
    /// Language and units.
    pub voice: Voice,
    /// Theme.
    pub theme: Theme,
    /// Path of the page.
    pub path: String,
    /// Everything after `?`.
    pub query: Vec<(String, String)>,
    /// What the browser says about itself.
    pub headers: HeaderMap,
    /// Cookies to keep, `name=value`.
    pub keep: Vec<String>,
}

/// Language and units of a reader who has chosen none.
#[derive(Clone, Copy, Debug)]
pub struct Usual(pub Voice);

/// What a reader may choose, as in addresses; a cookie of the same name keeps it.
const CHOICES: [&str; 3] = ["lang", "units", "theme"];

impl Reader {
    /// Reads a request.
    pub fn of(parts: &Parts) -> Self {
        let query = Query::<Vec<(String, String)>>::try_from_uri(&parts.uri)
            .map(|q| q.0)
            .unwrap_or_default();
        let mut reader = Self {
            path: parts.uri.path().to_string(),
            query,
            headers: parts.headers.clone(),
            voice: parts
                .extensions
                .get()
                .map_or_else(Voice::default, |usual: &Usual| usual.0),
            ..Self::default()
        };
        for choice in CHOICES {
            let asked = reader.get(choice).map(str::to_string);
            let chosen = asked.clone().or_else(|| cookie(&parts.headers, choice));
            let known = chosen.as_deref().is_some_and(|word| reader.choose(choice, word));
            if let (Some(word), true) = (asked, known) {
                reader.keep.push(format!(
                    "{choice}={word}; Path=/; SameSite=Strict; Max-Age=31536000"
                ));
            }
        }
        reader
    }

    fn choose(&mut self, choice: &str, word: &str) -> bool {
        match (choice, word) {
            ("lang", "en") => self.voice.language = Language::En,
            ("lang", "id") => self.voice.language = Language::Id,
            ("units", "metric") => self.voice.system = System::Metric,
            ("units", "imperial") => self.voice.system = System::Imperial,
            ("theme", "system") => self.theme = Theme::System,
            ("theme", "light") => self.theme = Theme::Light,
            ("theme", "dark") => self.theme = Theme::Dark,
            _ => return false,
        }
        true
    }

    /// A value of the address.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.query.iter().find(|(k, _)| k == key).map(|(_, v)| v.as_str())
    }

    /// The last part of the path, with its escapes undone.
    pub fn last_part(&self) -> String {
        let part = self.path.rsplit('/').next().unwrap_or("");
        let mut bytes = Vec::new();
        let mut rest = part.bytes();
        while let Some(byte) = rest.next() {
            let hex = |b: Option<u8>| b.and_then(|b| char::from(b).to_digit(16));
            let digits = rest.clone();
            match (byte, hex(digits.clone().next()), hex(digits.clone().nth(1))) {
                (b'%', Some(high), Some(low)) => {
                    bytes.push((high * 16 + low) as u8);
                    rest.nth(1);
                }
                _ => bytes.push(byte),
            }
        }
        String::from_utf8_lossy(&bytes).into_owned()
    }

    /// This page's address with some values changed (an empty value takes it away).
    pub fn here(&self, changes: &[(&str, &str)]) -> String {
        let kept = self
            .query
            .iter()
            .filter(|(k, _)| !changes.iter().any(|(c, _)| c == k));
        let kept = kept
            .map(|(k, v)| (k.as_str(), v.as_str()))
            .filter(|(k, _)| !CHOICES.contains(k));
        let all: Vec<String> = kept
            .chain(changes.iter().copied())
            .filter(|(_, value)| !value.is_empty())
            .map(|(key, value)| format!("{}={}", escape(key), escape(value)))
            .collect();
        if all.is_empty() {
            self.path.clone()
        } else {
            format!("{}?{}", self.path, all.join("&"))
        }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Reader {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::of(parts))
    }
}

fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    let all = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok());
    let mut pairs = all
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='));
    pairs
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value.to_string())
}

/// Percent-encoding of everything but letters, digits and `-._~`.
pub fn escape(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, b| {
        if b.is_ascii_alphanumeric() || b"-._~".contains(&b) {
            out.push(char::from(b));
        } else {
            out.push_str(&format!("%{b:02X}"));
        }
        out
    })
}
