//! What is recorded: a deed of a copy, or a copy that comes.

use super::called;
use crate::studio::say::t;
use maud::{Markup, html};
use words::{Text, Voice, text};
use workspace::{CopyId, Did, Workspace, copy_name};

/// What can be recorded of a copy: the word of `/api/shelf`, and its own.
const DEEDS: [(&str, &Text); 4] = [
    ("stamped", text!("stamped bolts", "mengecap gulung")),
    ("proofed", text!("had a proof printed", "dicetak coba")),
    ("refiled", text!("was filed level", "dikikir rata")),
    ("retired", text!("was retired", "tidak dipakai lagi")),
];

/// Both places.
pub fn forms(workspace: &Workspace, voice: Voice) -> Markup {
    let shelf = &workspace.shelf;
    let in_use = shelf
        .copies
        .iter()
        .filter(|copy| shelf.of(&copy.id).all(|deed| deed.did != Did::Retired))
        .map(|copy| (copy_name(&copy.id), named(workspace, &copy.id, voice)));
    let in_use: Vec<(String, String)> = in_use.collect();
    html! {
        h2 { (t(text!("Record what was done", "Catat yang dilakukan"), voice)) }
        @if !in_use.is_empty() { (deed(&in_use, voice)) }
        details open[in_use.is_empty()] {
            summary { (t(text!("A new copy comes", "Ada salinan baru"), voice)) }
            (new(workspace, voice))
        }
    }
}

fn deed(copies: &[(String, String)], voice: Voice) -> Markup {
    html! {
        form.promise.record data-record="/api/shelf" autocomplete="off" {
            p.sentence-line {
                label for="deed-on" { (t(text!("On", "Pada"), voice)) } " "
                input #deed-on name="on" type="date" data-today="" required;
                " " label for="deed-copy" { (t(text!("the stamp", "cap"), voice)) } " "
                select #deed-copy name="copy" { @for (id, name) in copies { option value=(id) { (name) } } }

                " " select #deed-did name="did" data-deed="" aria-label=(t(text!("what was done", "yang dilakukan"), voice)) { @for (key, word) in DEEDS { option value=(key) { (t(word, voice)) } } }
                span data-for="stamped" { ": "
                    input #deed-bolts name="bolts" type="text" inputmode="numeric" size="3" required;
                    " " label for="deed-bolts" { (t(text!("whole bolts", "gulung utuh"), voice)) } }
                span data-for="proofed" hidden { ", " label for="deed-gap" { (t(text!("widest gap under a straight edge", "celah terlebar di bawah mistar"), voice)) } " "
                    input #deed-gap name="off_level" type="text" inputmode="decimal" size="4" disabled;
                    " mm" }
                "."
            }
            p.small data-for="proofed" hidden { (t(text!("Leave the gap empty where it was not measured.", "Kosongkan celah bila tidak diukur."), voice)) }
            div.told role="alert" {}
            button.btn.go type="submit" { (t(text!("Record it", "Catat"), voice)) }
        }
    }
}

fn named(workspace: &Workspace, id: &CopyId, voice: Voice) -> String {
    called(&crate::facts::shelf::called(workspace, id), id, voice)
}

/// The next copy of each stamp.
fn new(workspace: &Workspace, voice: Voice) -> Markup {
    let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
    let next: Vec<CopyId> = designs
        .flat_map(|design| {
            design.stamps.iter().map(|used| {
                let own = workspace.shelf.copies.iter().map(|copy| &copy.id);
                let own = own.filter(|id| id.design == design.id && id.stamp == used.id);
                let copy = own.map(|id| id.copy).max().unwrap_or(0) + 1;
                CopyId {
                    design: design.id.clone(),
                    stamp: used.id.clone(),
                    copy,
                }
            })
        })
        .collect();
    html! {
        form.promise.record data-record="/api/shelf" autocomplete="off" {
            input type="hidden" name="did" value="new";
            p.sentence-line {
                label for="new-copy" { (t(text!("The stamp", "Cap"), voice)) } " "
                select #new-copy name="copy" { @for id in &next { option value=(copy_name(id)) { (named(workspace, id, voice)) } } }
                " " label for="new-on" { (t(text!("comes on", "datang pada"), voice)) } " "
                input #new-on name="on" type="date" data-today="" required;
                " " label for="new-shelf" { (t(text!("and hangs at", "dan digantung di"), voice)) } " "
                input #new-shelf name="shelf" type="text" maxlength="40" size="6";
                "."
            }
            p.small { (t(text!(
                "A day that lies ahead is an order: the plan counts on it from then.",
                "Hari yang akan datang berarti dipesan: rencana memakainya mulai hari itu."
            ), voice)) }
            div.told role="alert" {}
            button.btn type="submit" { (t(text!("Put it on the shelf", "Letakkan di rak"), voice)) }
        }
    }
}
