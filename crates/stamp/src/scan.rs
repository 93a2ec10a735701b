//! The drawing's XML is looked through before anything draws it.
//!
//! The SVG library drops text without a word and would read files that an image names. So what a stamp
//! cannot be made from, and what reaches outside the file, is refused here, by element and line, all at once.

mod limits;
mod refs;
mod refusal;

use roxmltree::{Document, Node, ParsingOptions};
use std::collections::HashSet;
use std::ops::Range;
use words::{Arg, Finding, Place, Weight, say};

pub use limits::{MOST_BYTES, MOST_ELEMENTS, MOST_NESTING};

/// Namespace of SVG elements.
const SVG: &str = "http://www.w3.org/2000/svg";
/// A drawing with more faults than this is not going to be mended one by one.
const MOST_FINDINGS: usize = 100;

/// Looks through a drawing without drawing it.
///
/// # Errors
/// Everything that is wrong, in the order of the file: not XML or not SVG; text, pictures, filters, masks,
/// patterns, scripts, animation, foreign content; links and styles that reach outside the file; external
/// entities; too many bytes, elements, levels or copies. At most a hundred are told. What is never painted (hidden or unused definitions
/// that nothing refers to) is let pass.
pub fn scan(xml: &str, path: &str) -> Result<(), Vec<Finding>> {
    parsed(xml, path).map(|_| ())
}

/// [`scan`], keeping the parsed document.
pub(crate) fn parsed<'x>(xml: &'x str, path: &str) -> Result<Document<'x>, Vec<Finding>> {
    if let Some(finding) =
        limits::too_many_bytes(xml, path).or_else(|| limits::too_many_attributes(xml, path))
    {
        return Err(vec![finding]);
    }
    let entities = external_entities(xml, path);
    if !entities.is_empty() {
        return Err(entities);
    }
    let options = ParsingOptions {
        allow_dtd: true,
        nodes_limit: limits::MOST_XML_NODES,
        ..Default::default()
    };
    let document =
        Document::parse_with_options(xml, options).map_err(|error| vec![unreadable(&error, xml, path)])?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) {
        return Err(vec![not_svg(&document, root, path)]);
    }
    if let Some(finding) = limits::too_deep(&document, path) {
        return Err(vec![finding]);
    }
    let used = refs::all(&document);
    let mut findings = Vec::new();
    look(&document, root, &used, path, &mut findings);
    findings.extend(limits::too_many(&document, path));
    if findings.is_empty() {
        Ok(document)
    } else {
        Err(findings)
    }
}

/// Where an element's opening stands in the file.
fn place(node: Node<'_, '_>, path: &str) -> Place {
    Place::File {
        path: path.to_string(),
        span: opening(node),
    }
}

/// Its first letters, up to the end of its name.
pub(crate) fn opening(node: Node<'_, '_>) -> Range<usize> {
    let start = node.range().start;
    start..(start + 1 + node.tag_name().name().len()).min(node.range().end)
}

/// Line of an element, from 1.
pub(crate) fn line_of(document: &Document<'_>, node: Node<'_, '_>) -> f64 {
    f64::from(document.text_pos_at(node.range().start).row)
}

/// Walks the elements in document order. An explicit stack: nesting has been bounded, but the bound is not
/// what keeps this from overflowing.
fn look(
    document: &Document<'_>,
    root: Node<'_, '_>,
    used: &HashSet<String>,
    path: &str,
    out: &mut Vec<Finding>,
) {
    let mut stack = vec![root];
    while let Some(node) = stack.pop() {
        if !node.is_element() || never_painted(node, used) {
            continue;
        }
        if out.len() >= MOST_FINDINGS {
            return;
        }
        if node.tag_name().namespace() == Some(SVG)
            && let Some((code, found, allowed, remedy)) = refusal::refused(node, || line_of(document, node))
        {
            out.push(
                Finding::new(code, Weight::Wrong, place(node, path), found)
                    .allow(allowed)
                    .remedy(remedy),
            );
            continue;
        }
        for link in refs::outside(node) {
            out.push(reaches_outside(
                node,
                &link,
                line_of(document, node),
                place(node, path),
            ));
        }
        let mut children: Vec<_> = node.children().collect();
        children.reverse();
        stack.append(&mut children);
    }
}

/// Whether nothing in this element can reach the picture: definitions and hidden layers that nobody refers
/// to, and alternatives meant for another program.
fn never_painted(node: Node<'_, '_>, used: &HashSet<String>) -> bool {
    if node.tag_name().namespace() != Some(SVG) {
        // Foreign elements (a drawing program's own notes) are not painted, whatever they hold.
        return true;
    }
    let unused = || {
        !node
            .descendants()
            .any(|d| d.attribute("id").is_some_and(|id| used.contains(id)))
    };
    match node.tag_name().name() {
        "metadata" => return true,
        "filter" | "mask" | "pattern" => return unused(),
        "foreignObject" => {
            let beside_switch = node
                .parent_element()
                .is_some_and(|p| p.has_tag_name((SVG, "switch")));
            return beside_switch
                && node
                    .attribute("requiredExtensions")
                    .is_some_and(|e| !e.is_empty());
        }
        _ => {}
    }
    let styled = node
        .attribute("style")
        .is_some_and(|s| s.replace(' ', "").contains("display:none"));
    (styled || node.attribute("display") == Some("none")) && unused()
}

fn reaches_outside(node: Node<'_, '_>, link: &str, line: f64, place: Place) -> Finding {
    let shown: String = link.chars().take(60).collect();
    Finding::new(
        "artwork-link",
        Weight::Wrong,
        place,
        say!(
            "Line {line}: <{element}> refers to something outside the drawing: {link}.",
            "Baris {line}: <{element}> menunjuk ke luar gambar: {link}.",
            line = Arg::Number(line, 0),
            element = Arg::Name(node.tag_name().name().to_string()),
            link = Arg::Name(shown),
        ),
    )
    .allow(say!(
        "Only parts of the same drawing may be referred to (#name).",
        "Hanya bagian dari gambar yang sama boleh ditunjuk (#nama)."
    ))
    .remedy(say!(
        "Put the shapes into this drawing, or remove the link.",
        "Masukkan bentuknya ke gambar ini, atau hapus tautannya."
    ))
}

/// `<!ENTITY name SYSTEM "file">`: found in the bare text, because no parser should have read it first.
fn external_entities(xml: &str, path: &str) -> Vec<Finding> {
    const OPENING: &str = "<!ENTITY";
    let mut findings = Vec::new();
    for (at, _) in xml.match_indices(OPENING) {
        let rest = xml.get(at..).unwrap_or_default();
        let declaration = rest.split('>').next().unwrap_or_default();
        // The keyword stands before the first quoted value; a value may contain any word.
        let head = declaration.split(['"', '\'']).next().unwrap_or_default();
        if !head.split_whitespace().any(|w| w == "SYSTEM" || w == "PUBLIC") {
            continue;
        }
        let line = xml.get(..at).unwrap_or_default().matches('\n').count() + 1;
        let span = Range {
            start: at,
            end: at + declaration.len(),
        };
        findings.push(
            Finding::new(
                "artwork-entity",
                Weight::Wrong,
                Place::File {
                    path: path.to_string(),
                    span,
                },
                say!(
                    "Line {line}: the entity declaration takes its content from outside the drawing.",
                    "Baris {line}: deklarasi entity mengambil isinya dari luar gambar.",
                    line = Arg::Number(line as f64, 0),
                ),
            )
            .allow(say!(
                "A drawing must be complete in its own file.",
                "Gambar harus lengkap dalam berkasnya sendiri."
            ))
            .remedy(say!(
                "Save the drawing as plain SVG.",
                "Simpan gambar sebagai SVG biasa."
            )),
        );
    }
    findings
}

fn unreadable(error: &roxmltree::Error, xml: &str, path: &str) -> Finding {
    let pos = error.pos();
    if matches!(error, roxmltree::Error::NodesLimitReached) {
        return limits::too_many_nodes(path);
    }
    let row = pos.row.max(1) as usize;
    let before: usize = xml.split_inclusive('\n').take(row - 1).map(str::len).sum();
    let len = xml
        .get(before..)
        .and_then(|rest| rest.lines().next())
        .map_or(0, str::len);
    Finding::new(
        "artwork-not-xml",
        Weight::Wrong,
        Place::File {
            path: path.to_string(),
            span: before..before + len,
        },
        say!(
            "Line {line}, column {column}: the file is damaged or not SVG ({reason}).",
            "Baris {line}, kolom {column}: berkas rusak atau bukan SVG ({reason}).",
            line = Arg::Number(f64::from(pos.row), 0),
            column = Arg::Number(f64::from(pos.col), 0),
            reason = Arg::Name(error.to_string()),
        ),
    )
    .allow(say!("A drawing is an SVG file.", "Gambar adalah berkas SVG."))
    .remedy(say!(
        "Save it again from your drawing program as SVG.",
        "Simpan lagi dari program gambar sebagai SVG."
    ))
}

fn not_svg(document: &Document<'_>, root: Node<'_, '_>, path: &str) -> Finding {
    Finding::new(
        "artwork-not-svg",
        Weight::Wrong,
        place(root, path),
        say!(
            "Line {line}: the file begins with <{element}>, which is not an SVG drawing.",
            "Baris {line}: berkas diawali <{element}>, itu bukan gambar SVG.",
            line = Arg::Number(line_of(document, root), 0),
            element = Arg::Name(root.tag_name().name().to_string()),
        ),
    )
    .allow(say!(
        "A drawing is an SVG file: <svg xmlns=\"http://www.w3.org/2000/svg\">.",
        "Gambar adalah berkas SVG: <svg xmlns=\"http://www.w3.org/2000/svg\">."
    ))
    .remedy(say!(
        "Save it again from your drawing program as SVG.",
        "Simpan lagi dari program gambar sebagai SVG."
    ))
}
