//! The line, the papers, the folder: what is about the whole collection.

use super::goods::PACK;
use super::table::{Cell, Column, Table};
use super::{Asked, Data, File, Told};
use crate::studio::assets::hex;
use crate::studio::design::{Hung, hung};
use crate::studio::pages::needs::{next_visit, visit_said};
use crate::studio::say::{said, stitch, t};
use words::{Arg, Finding, Voice, say, text};

/// What the line hands out.
pub static LINE: Data = Data {
    name: "line",
    tables: &[
        ("designs", text!("Designs on the line", "Desain di jemuran")),
        ("findings", text!("What needs you", "Yang perlu Anda")),
    ],
    query: &[],
    slow: false,
    make: line,
    more: &[PACK[1]],
};

/// What the page of papers hands out.
pub static PAPERS: Data = Data {
    name: "papers",
    tables: &[(
        "papers",
        text!("Papers that can be printed", "Lembar yang dapat dicetak"),
    )],
    query: &[],
    slow: false,
    make: papers,
    more: &PACK,
};

/// What the page of the folder hands out.
pub static FOLDER: Data = Data {
    name: "folder",
    tables: &[("files", text!("Files that were read", "Berkas yang dibaca"))],
    query: &[],
    slow: false,
    make: folder,
    more: &[
        File {
            path: "/archive",
            what: text!("the whole folder", "seluruh folder"),
        },
        File {
            path: "/api",
            what: text!(
                "description of the local interface (OpenAPI)",
                "keterangan antarmuka lokal (OpenAPI)"
            ),
        },
    ],
};

fn line(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let voice = asked.reader.voice;
    let all = hung(asked.studio, asked.workspace);
    let mut designs = Table::new(&[
        Column::words("design", text!("Id", "Id")),
        Column::words("name", text!("Design", "Desain")),
        Column::words("colourway", text!("Colourway", "Warna")),
        Column::count("bolts", text!("Bolts ordered", "Gulung dipesan")),
        Column::words("promised", text!("First promised for", "Janji pertama")),
        Column::words("can_be_made", text!("Can be made", "Dapat dibuat")),
        Column::words("worst", text!("Heaviest finding", "Temuan terberat")),
    ]);
    let mut findings = Table::new(&[
        Column::words("design", text!("Id", "Id")),
        Column::words("weight", text!("Weight", "Bobot")),
        Column::words("code", text!("Code", "Kode")),
        Column::count("step", text!("Step", "Langkah")),
        Column::words("found", text!("What was found", "Yang ditemukan")),
        Column::words("remedy", text!("What helps", "Yang membantu")),
        Column::count("more", text!("More of this kind", "Lagi sejenis")),
    ]);
    for one in &all {
        let id = one.file.id.as_deref().unwrap_or("");
        designs.row([
            Cell::words(id),
            Cell::maybe(one.design.map(|design| design.name.clone())),
            Cell::maybe(one.design.map(|design| design.colourway.clone())),
            Cell::count(one.bolts),
            Cell::maybe(one.due.map(|day| day.to_string())),
            Cell::Flag(one.design.is_some()),
            Cell::maybe(one.findings.first().map(|found| stitch(found.finding.weight).0)),
        ]);
        for found in &one.findings {
            let cells = of_finding(id, &found.finding, found.step, found.more.len(), voice);
            findings.row(cells);
        }
    }
    let mine: Vec<&str> = all.iter().map(|hung: &Hung| hung.file.path.as_str()).collect();
    for finding in &asked.workspace.findings {
        if let words::Place::File { path, .. } = &finding.place
            && !mine
                .iter()
                .any(|own| crate::studio::pages::line::same_folder(own, path))
        {
            findings.row(of_finding(path, finding, None, 0, voice));
        }
    }
    let visit = next_visit(asked.studio, asked.workspace);
    Ok(Told {
        about: asked.collection(),
        question: text!("What hangs on the line?", "Apa yang ada di jemuran?"),
        said: visit.map(|visit| visit_said(&visit, voice)).into_iter().collect(),
        tables: vec![designs, findings],
    })
}

fn of_finding(about: &str, finding: &Finding, step: Option<usize>, more: usize, voice: Voice) -> [Cell; 7] {
    [
        Cell::words(about),
        Cell::words(stitch(finding.weight).0),
        Cell::words(finding.code),
        step.map_or(Cell::Nothing, |at| Cell::count(at + 1)),
        Cell::words(said(&finding.found, voice)),
        Cell::maybe(finding.remedy.as_ref().map(|remedy| said(remedy, voice))),
        Cell::count(more),
    ]
}

fn papers(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let voice = asked.reader.voice;
    let mut papers = Table::new(&[
        Column::words("group", text!("Kind", "Jenis")),
        Column::words("name", text!("Paper", "Lembar")),
        Column::words("design", text!("Design", "Desain")),
        Column::words("address", text!("Address", "Alamat")),
    ]);
    for paper in asked.studio.facts().papers(asked.workspace) {
        papers.row([
            Cell::words(paper.group.say(voice)),
            Cell::words(said(&paper.name, voice)),
            Cell::maybe(paper.design.clone()),
            Cell::words(format!("/papers/{}", crate::studio::reader::escape(&paper.key))),
        ]);
    }
    Ok(Told {
        about: asked.collection(),
        question: text!("What shall be printed?", "Apa yang dicetak?"),
        said: Vec::new(),
        tables: vec![papers],
    })
}

fn folder(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (workspace, voice) = (asked.workspace, asked.reader.voice);
    let mut files = Table::new(&[
        Column::words("path", text!("File", "Berkas")),
        Column::number("size", "bytes", text!("Size", "Ukuran")),
        Column::words("sha256", text!("SHA-256", "SHA-256")),
    ]);
    for source in &workspace.sources {
        files.row([
            Cell::words(&source.path),
            Cell::count(source.text.len()),
            Cell::words(hex(&source.hash)),
        ]);
    }
    let n = |n: usize| Arg::Number(n as f64, 0);
    Ok(Told {
        about: asked.collection(),
        question: text!("Where does all this lie?", "Di mana semua ini tersimpan?"),
        said: vec![
            say!(
                "In the folder {dir}, as plain files. Designs: {n}; dyes: {d}; orders: {o}.",
                "Di folder {dir}, sebagai berkas biasa. Desain: {n}; pewarna: {d}; pesanan: {o}.",
                dir = Arg::Name(workspace.dir.display().to_string()),
                n = n(workspace.designs.len()),
                d = n(workspace.dyes.len()),
                o = n(workspace.orders.len())
            )
            .say(voice),
            t(
                text!(
                    "Sizes and hashes are those of the texts as they were read.",
                    "Ukuran dan hash ialah milik teks seperti yang dibaca."
                ),
                voice,
            )
            .to_string(),
        ],
        tables: vec![files],
    })
}
