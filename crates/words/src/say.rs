//! Texts with arguments, in English and Bahasa Indonesia.

use units::{Decimal, Quantity, System};

/// A language that a reader may ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Language {
    /// English.
    #[default]
    En,
    /// Bahasa Indonesia.
    Id,
}

/// One text in both languages; `{name}` marks a place for an argument. The names must be the same in both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Text {
    /// English.
    pub en: &'static str,
    /// Bahasa Indonesia.
    pub id: &'static str,
}

impl Text {
    /// A text from its two spellings. In a `const` (as in [`text!`](crate::text)) a faulty pair does not compile:
    ///
    /// ```
    /// let _ = words::text!("{n} bolts", "{n} gulung");
    /// ```
    /// ```compile_fail
    /// let _ = words::text!("{n} bolts", "gulung");
    /// ```
    ///
    /// # Panics
    /// If [`check_text`] would complain; so call it with texts of the program only, never with a user's.
    pub const fn new(en: &'static str, id: &'static str) -> Self {
        if let Some(fault) = crate::check::fault(en, id) {
            panic!("{}", fault);
        }
        Self { en, id }
    }
    /// The text in one language, with its placeholders as they stand.
    pub const fn raw(&self, language: Language) -> &'static str {
        match language {
            Language::En => self.en,
            Language::Id => self.id,
        }
    }
}

/// A `&'static Text` in place: `text!("English", "Bahasa Indonesia")`.
#[macro_export]
macro_rules! text {
    ($en:expr, $id:expr) => {
        const { &$crate::Text::new($en, $id) }
    };
}

/// A [`Line`] in place: `say!("{n} bolts", "{n} gulung", n = Arg::Number(3.0, 0))`. An argument that is
/// missing or not used does not compile:
///
/// ```
/// let _ = words::say!("{n} bolts", "{n} gulung", n = words::Arg::Number(3.0, 0));
/// ```
/// ```compile_fail
/// let _ = words::say!("{n} bolts", "{n} gulung");
/// ```
/// ```compile_fail
/// let _ = words::say!("bolts", "gulung", n = words::Arg::Number(3.0, 0));
/// ```
#[macro_export]
macro_rules! say {
    ($en:expr, $id:expr $(, $name:ident = $arg:expr)* $(,)?) => {
        {
            const { $crate::must_take($en, &[$(stringify!($name)),*]) };
            $crate::Line::new($crate::text!($en, $id), vec![$((stringify!($name), $arg)),*])
        }
    };
}

/// A word of the trade: its key in files, its name, and a gloss for whoever does not know it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Term {
    /// The key used in files and addresses.
    pub key: &'static str,
    /// The name people read.
    pub text: Text,
    /// One sentence of explanation.
    pub gloss: Text,
}

/// Something to put in a text's place.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A quantity, printed in the reader's units.
    Quantity(Quantity),
    /// A quantity as its author spelled it, kept.
    Spelled(String),
    /// A plain number with this many decimals.
    Number(f64, usize),
    /// A name or other text that is the same in both languages.
    Name(String),
    /// A word of the trade.
    Term(&'static Term),
    /// A text of ours, in the reader's language.
    Text(&'static Text),
    /// A text of ours and the number or name that follows it in both languages: `barrel 2`, `tong celup 2`.
    Called(&'static Text, String),
}

/// A text with its arguments.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The text.
    pub text: &'static Text,
    /// Arguments by name.
    pub args: Vec<(&'static str, Arg)>,
}

/// Who is spoken to: language and family of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Voice {
    /// The language.
    pub language: Language,
    /// The units.
    pub system: System,
}

impl Voice {
    /// The decimal mark of the language: a comma in Indonesian, where 1.250 means 1250.
    pub const fn decimal(self) -> Decimal {
        match self.language {
            Language::En => Decimal::Point,
            Language::Id => Decimal::Comma,
        }
    }
    /// A quantity in this voice.
    pub fn quantity(self, quantity: Quantity) -> String {
        units::print(quantity, self.system, self.decimal())
    }
    /// A number with fixed decimals in this voice.
    pub fn number(self, number: f64, decimals: usize) -> String {
        let text = format!("{number:.decimals$}");
        // -0.3 without decimals is 0, not -0.
        let zero = text.starts_with('-')
            && !text.contains(|c: char| c.is_ascii_digit() && c != '0' || c.is_alphabetic());
        let text = if zero { text[1..].to_string() } else { text };
        match self.decimal() {
            Decimal::Point => text,
            Decimal::Comma => text.replace('.', ","),
        }
    }
}

impl Line {
    /// A line of a text without arguments.
    pub const fn plain(text: &'static Text) -> Self {
        Self {
            text,
            args: Vec::new(),
        }
    }
    /// A line of a text with arguments.
    pub fn new(text: &'static Text, args: Vec<(&'static str, Arg)>) -> Self {
        Self { text, args }
    }
    /// The line as the reader sees it. A placeholder without an argument is left standing, so that a test
    /// and a reader both notice.
    pub fn say(&self, voice: Voice) -> String {
        let mut out = String::new();
        let mut rest = self.text.raw(voice.language);
        while let Some(open) = rest.find('{') {
            let Some(close) = rest[open..].find('}').map(|c| open + c) else {
                break;
            };
            out.push_str(&rest[..open]);
            let name = &rest[open + 1..close];
            match self.args.iter().find(|(key, _)| *key == name) {
                Some((_, arg)) => out.push_str(&arg.say(voice)),
                None => out.push_str(&rest[open..=close]),
            }
            rest = &rest[close + 1..];
        }
        out.push_str(rest);
        out
    }
}

impl Arg {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Quantity(q) => voice.quantity(*q),
            Self::Spelled(s) => match voice.language {
                Language::En => s.clone(),
                // A person's "5.5 s/yd" must not reach an Indonesian sheet with a point between digits.
                Language::Id => comma_between_digits(s),
            },
            Self::Number(n, decimals) => voice.number(*n, *decimals),
            Self::Name(n) => n.clone(),
            Self::Term(t) => t.text.raw(voice.language).to_string(),
            Self::Text(t) => t.raw(voice.language).to_string(),
            Self::Called(t, name) => format!("{} {name}", t.raw(voice.language)),
        }
    }
}

fn comma_between_digits(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    chars
        .iter()
        .enumerate()
        .map(|(i, c)| {
            if *c == '.' && i > 0 && digit(i - 1) && digit(i + 1) {
                ','
            } else {
                *c
            }
        })
        .collect()
}
