//! Cloth is promised: which, how much, for when, to whom.

use crate::studio::reader::Reader;
use crate::studio::say::t;
use maud::{Markup, html};
use words::text;
use workspace::Workspace;

/// The sentence to fill in.
pub fn form(workspace: &Workspace, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let designs: Vec<_> = workspace
        .designs
        .iter()
        .filter_map(|file| file.design.as_ref())
        .collect();
    html! {
        form.promise data-promise="/api/orders" autocomplete="off" {
            p.sentence-line {
                label for="promise-bolts" { (t(text!("Promise", "Janjikan"), voice)) } " "
                input #promise-bolts name="bolts" type="text" inputmode="numeric" required size="3" value="3";
                " " label for="promise-design" { (t(text!("bolts of", "gulung"), voice)) } " "
                select #promise-design name="design" {
                    @for design in &designs { option value=(design.id) selected[reader.get("design") == Some(design.id.as_str())] { (design.name) @if !design.colourway.is_empty() { ", " (design.colourway) } } }
                }
                " " label for="promise-due" { (t(text!("for", "untuk"), voice)) } " "
                input #promise-due name="due" type="date" required;
                " " label for="promise-buyer" { (t(text!("to", "kepada"), voice)) } " "
                input #promise-buyer name="buyer" type="text" required maxlength="80" size="16";
                "."
            }
            div.told role="alert" {}
            button.btn.go type="submit" { (t(text!("Write the order", "Tulis pesanan"), voice)) }
        }
    }
}
