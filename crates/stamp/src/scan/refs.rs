//! What elements refer to: `#name` inside the drawing, anything else outside it.

use roxmltree::{Document, Node};
use std::collections::HashSet;

/// The targets of one piece of CSS or of an attribute: what stands in each `url(...)`.
pub(super) fn urls(text: &str) -> Vec<&str> {
    let lower = text.to_ascii_lowercase();
    lower
        .match_indices("url(")
        .filter_map(|(at, _)| text.get(at + 4..))
        .map(|rest| rest.split(')').next().unwrap_or(rest))
        .map(|target| target.trim().trim_matches(['"', '\'']).trim())
        .collect()
}

/// Whether an attribute is a link: `href` in no namespace or in any (`xlink:href`), and `src`.
fn is_link(attribute: &roxmltree::Attribute<'_, '_>) -> bool {
    matches!(attribute.name(), "href" | "src")
}

/// The texts of a node in which `url(...)` may stand: attributes, and the content of a style sheet.
fn texts<'a>(node: Node<'a, '_>) -> Vec<&'a str> {
    let sheet = node.tag_name().name() == "style";
    let content = node.children().filter_map(|c| c.text()).filter(move |_| sheet);
    node.attributes().map(|a| a.value()).chain(content).collect()
}

/// References of one element to parts of the drawing, without the `#`.
pub(super) fn inside<'a>(node: Node<'a, '_>) -> Vec<&'a str> {
    let links = node.attributes().filter(is_link).map(|a| a.value().trim());
    let urls = texts(node).into_iter().flat_map(urls);
    links
        .chain(urls)
        .filter_map(|target| target.strip_prefix('#'))
        .collect()
}

/// References of one element that leave the drawing.
pub(super) fn outside(node: Node<'_, '_>) -> Vec<String> {
    let leaves = |target: &str| !target.is_empty() && !target.starts_with('#');
    let links = node
        .attributes()
        .filter(is_link)
        .map(|a| a.value().trim().to_string());
    let urls = texts(node).into_iter().flat_map(urls).map(str::to_string);
    let mut found: Vec<String> = links.chain(urls).filter(|t| leaves(t)).collect();
    if node.tag_name().name() == "style" {
        let imports = |t: &str| t.to_ascii_lowercase().contains("@import");
        found.extend(
            texts(node)
                .into_iter()
                .filter(|t| imports(t))
                .map(|_| "@import".to_string()),
        );
    }
    found
}

/// All names that anything in the drawing refers to.
pub(super) fn all(document: &Document<'_>) -> HashSet<String> {
    document
        .descendants()
        .filter(Node::is_element)
        .flat_map(inside)
        .map(str::to_string)
        .collect()
}
