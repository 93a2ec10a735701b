//! How large a drawing may be, so that reading it takes a bounded time and a bounded stack.

use super::{SVG, line_of, place, refs};
use roxmltree::{Document, Node, NodeId};
use std::collections::HashMap;
use words::{Arg, Finding, Line, Place, Weight, say};

/// Largest file, bytes.
pub const MOST_BYTES: usize = 8_000_000;
/// Most elements, copies (`use`) and everything referred to counted each time.
pub const MOST_ELEMENTS: usize = 20_000;
/// Most elements inside one another, counted through references.
pub const MOST_NESTING: usize = 100;
/// Most nodes that the XML parser may make (elements, texts, comments).
pub(super) const MOST_XML_NODES: u32 = 200_000;
/// Most attributes of one element.
const MOST_ATTRIBUTES: usize = 2_000;
/// Most points where an arrow head or other marker might be drawn, times the marker's elements.
const MOST_MARKS: usize = 1_000_000;
/// Most references from style sheets, which are not followed element by element.
const MOST_SHEET_REFERENCES: usize = 256;

fn intricate(place: Place, found: Line, most: usize) -> Finding {
    Finding::new("artwork-too-large", Weight::Wrong, place, found)
        .allow(say!("At most {most}.", "Paling banyak {most}.", most = Arg::Number(most as f64, 0)))
        .remedy(say!(
            "Simplify the drawing: a stamp maker bends each line by hand, and a stamp has some hundreds of them.",
            "Sederhanakan gambar: pembuat cap membengkokkan tiap garis dengan tangan, dan satu cap berisi beberapa ratus garis."
        ))
}

fn whole_file(path: &str) -> Place {
    Place::File {
        path: path.to_string(),
        span: 0..0,
    }
}

pub(super) fn too_many_bytes(xml: &str, path: &str) -> Option<Finding> {
    let found = || {
        say!(
            "The file has {n} bytes.",
            "Berkas berisi {n} byte.",
            n = Arg::Number(xml.len() as f64, 0)
        )
    };
    (xml.len() > MOST_BYTES).then(|| intricate(whole_file(path), found(), MOST_BYTES))
}

/// The parser compares every attribute of an element with every other, so that is bounded before it begins.
pub(super) fn too_many_attributes(xml: &str, path: &str) -> Option<Finding> {
    let most = xml
        .split(['<', '>'])
        .map(|part| part.bytes().filter(|b| *b == b'=').count())
        .max()?;
    let found = || {
        say!(
            "One element or text of the file has {n} equals signs.",
            "Satu elemen atau teks dalam berkas berisi {n} tanda sama dengan.",
            n = Arg::Number(most as f64, 0),
        )
    };
    (most > MOST_ATTRIBUTES).then(|| intricate(whole_file(path), found(), MOST_ATTRIBUTES))
}

pub(super) fn too_many_nodes(path: &str) -> Finding {
    let found = say!(
        "The file has too many parts.",
        "Berkas berisi terlalu banyak bagian."
    );
    intricate(whole_file(path), found, MOST_XML_NODES as usize)
}

/// Nesting of the file itself, without recursion.
pub(super) fn too_deep(document: &Document<'_>, path: &str) -> Option<Finding> {
    let mut stack = vec![(document.root_element(), 1)];
    while let Some((node, depth)) = stack.pop() {
        if depth > MOST_NESTING {
            return Some(deep(document, node, path));
        }
        stack.extend(node.children().filter(Node::is_element).map(|c| (c, depth + 1)));
    }
    None
}

fn deep(document: &Document<'_>, node: Node<'_, '_>, path: &str) -> Finding {
    let found = say!(
        "Line {line}: <{element}> lies too many groups or references deep.",
        "Baris {line}: <{element}> berada terlalu dalam di grup atau rujukan.",
        line = Arg::Number(line_of(document, node), 0),
        element = Arg::Name(node.tag_name().name().to_string()),
    );
    intricate(place(node, path), found, MOST_NESTING)
}

/// Size and depth once every reference is followed: `use` copies, clipping paths, gradients, markers.
pub(super) fn too_many(document: &Document<'_>, path: &str) -> Vec<Finding> {
    let mut by_name: HashMap<&str, Node<'_, '_>> = HashMap::new();
    for node in document.descendants().filter(Node::is_element) {
        if let Some(id) = node.attribute("id") {
            by_name.entry(id).or_insert(node);
        }
    }
    let mut tally = Tally {
        by_name: &by_name,
        done: HashMap::new(),
        open: Vec::new(),
    };
    let mut findings = Vec::new();
    match tally.of(document.root_element(), 0) {
        Err(node) => return vec![deep(document, node, path)],
        Ok(whole) if whole.elements > MOST_ELEMENTS => findings.push(intricate(
            whole_file(path),
            say!(
                "With all its copies the drawing has {n} elements.",
                "Dengan semua salinannya gambar berisi {n} elemen.",
                n = Arg::Number(whole.elements as f64, 0),
            ),
            MOST_ELEMENTS,
        )),
        Ok(_) => {}
    }
    findings.extend(too_many_marks(document, &mut tally, path));
    let sheets = document.descendants().filter(|n| n.has_tag_name((SVG, "style")));
    let n = sheets.map(|s| refs::inside(s).len()).sum::<usize>();
    if n > MOST_SHEET_REFERENCES {
        let found = say!(
            "The style sheet refers to {n} parts of the drawing.",
            "Lembar gaya menunjuk {n} bagian gambar.",
            n = Arg::Number(n as f64, 0),
        );
        findings.push(intricate(whole_file(path), found, MOST_SHEET_REFERENCES));
    }
    findings
}

/// Markers are drawn once per corner of every line that carries them; that is bounded from above.
fn too_many_marks<'a, 'x>(
    document: &'a Document<'x>,
    tally: &mut Tally<'_, 'a, 'x>,
    path: &str,
) -> Option<Finding> {
    let used = refs::all(document);
    let markers = document
        .descendants()
        .filter(|n| n.has_tag_name((SVG, "marker")) && n.attribute("id").is_some_and(|id| used.contains(id)));
    let largest = markers
        .filter_map(|m| tally.of(m, 0).ok())
        .map(|s| s.elements)
        .max()?;
    let data = document
        .descendants()
        .filter_map(|n| n.attribute("d").or_else(|| n.attribute("points")));
    let corners = data.map(|d| d.len() / 4 + 1).sum::<usize>();
    let marks = corners.saturating_mul(largest);
    (marks > MOST_MARKS).then(|| {
        let found = say!(
            "Arrow heads or other markers might be drawn {n} times.",
            "Panah atau penanda lain bisa tergambar {n} kali.",
            n = Arg::Number(marks as f64, 0),
        );
        intricate(whole_file(path), found, MOST_MARKS)
    })
}

#[derive(Clone, Copy)]
struct Size {
    elements: usize,
    height: usize,
}

/// Sizes of subtrees with references followed. A circle of references counts once: the library breaks it.
struct Tally<'m, 'a, 'x> {
    by_name: &'m HashMap<&'a str, Node<'a, 'x>>,
    done: HashMap<NodeId, Size>,
    open: Vec<NodeId>,
}

impl<'a, 'x> Tally<'_, 'a, 'x> {
    fn of(&mut self, node: Node<'a, 'x>, depth: usize) -> Result<Size, Node<'a, 'x>> {
        if depth > MOST_NESTING {
            return Err(node);
        }
        if let Some(size) = self.done.get(&node.id()) {
            return if depth + size.height > MOST_NESTING {
                Err(node)
            } else {
                Ok(*size)
            };
        }
        if self.open.contains(&node.id()) {
            return Ok(Size {
                elements: 0,
                height: 0,
            });
        }
        self.open.push(node.id());
        let mut size = Size {
            elements: 1,
            height: 0,
        };
        let referred: Vec<Node<'a, 'x>> = refs::inside(node)
            .iter()
            .filter_map(|name| self.by_name.get(name).copied())
            .collect();
        for part in node.children().filter(Node::is_element).chain(referred) {
            let inner = self.of(part, depth + 1)?;
            size.elements = size.elements.saturating_add(inner.elements);
            size.height = size.height.max(inner.height + 1);
        }
        self.open.pop();
        self.done.insert(node.id(), size);
        Ok(size)
    }
}
