//! Words inside drawings.

/// A text as character data or attribute value of XML 1.0, section 2.2 and 2.4: what would end it is written as a
/// reference, what XML has no place for becomes a space.
///
/// ```
/// assert_eq!(words::xml_text("a<b> & \"c\"\u{1}"), "a&lt;b&gt; &amp; &quot;c&quot; ");
/// ```
pub fn xml_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() && !matches!(c, '\t' | '\n') => out.push(' '),
            '\u{FFFE}' | '\u{FFFF}' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
