//! The line: every design hung out, as long as it is ordered.

use super::needs::{next_visit, visit_said};
use crate::studio::Studio;
use crate::studio::design::{Found, Hung, hung, unread};
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::parts::{brief, finding, swatch};
use crate::studio::picture::Cut;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use axum::response::Response;
use maud::{Markup, html};
use words::{Arg, Finding, Language, Place, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// Cloth shown for one bolt ordered, mm, and the longest cloth on the line.
const PER_BOLT: f64 = 130.0;
const LONGEST: f64 = 2000.0;
/// Width of a hung picture, pixels.
const WIDE: f64 = 264.0;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("The line", "Jemuran"),
    path: "/",
    about: About::All,
    make: page,
    data: Some(&crate::studio::data::line::LINE),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    if workspace.designs.is_empty() {
        return super::start::page(studio, workspace, reader);
    }
    let voice = reader.voice;
    // Reading every route and stamp takes seconds the first time; the cloth hangs at once, and the words follow.
    let read = studio.is_read(workspace);
    let all = if read {
        hung(studio, workspace)
    } else {
        unread(workspace)
    };
    let visit = next_visit(studio, workspace);
    let families = families(&all);
    let bolts: u32 = all.iter().map(|h| h.bolts).sum();
    let longest = all.iter().map(|h| h.bolts).max().unwrap_or(1).max(1);
    let per_bolt = PER_BOLT.min(LONGEST / f64::from(longest));
    let body = html! {
        div.wrap.head {
            div {
                h1 { (title(families.len(), voice)) }
                p.say { (if read { summary(&all, voice) } else { t(text!("The routes and stamps are being read…", "Alur dan cap sedang dibaca…"), voice).to_string() }) @if let Some(visit) = &visit { " " (visit_said(visit, voice)) } }
            }
            div.row { a.btn.go href=(super::start::PAGE.path) { (t(text!("Hang a new design", "Gantung desain baru"), voice)) } }
        }
        section.line.wrap aria-label=(t(text!("Designs", "Desain"), voice)) {
            svg.rope viewBox="0 0 1000 34" preserveAspectRatio="none" aria-hidden="true" {
                path d="M0 6 Q500 38 1000 6" {}
            }
            ul.wall {
                @for (at, family) in families.iter().enumerate() {
                    li class=(format!("sag-{}", sag(at, families.len()))) { (cloth(studio, family, per_bolt, read, voice)) }
                }
            }
            p.small.measure {
                (say!(
                    "Length on the line is the number of bolts ordered, {n} in all; the width is one bolt, selvedge to selvedge.",
                    "Panjang di jemuran adalah jumlah gulung yang dipesan, seluruhnya {n}; lebarnya satu gulung, tepi ke tepi.",
                    n = Arg::Number(f64::from(bolts), 0)
                ).say(voice))
            }
        }
        section.wrap.after.orders-now {
            h2 { (t(text!("Will the orders leave on time?", "Apakah pesanan selesai tepat waktu?"), voice)) }
            (later("/late", text!("The plan is being made…", "Rencana sedang disusun…"), "/run", text!("Run sheet", "Lembar kerja"), voice))
        }
        section.wrap.after.orders-now {
            h2 { (t(text!("Is there time enough in every bath?", "Cukupkah waktu di tiap bak?"), voice)) }
            (later("/narrow", text!("Each design's bleach is being tried…", "Cabut warna tiap desain sedang dicoba…"), "/windows", text!("Windows", "Batas waktu"), voice))
        }
        @if read {
            section.wrap.after {
                @let decided = entries(workspace, &all, Weight::Wrong).is_empty();
                div class=(if decided { "mori three decided" } else { "mori three" }) { (groups(workspace, &all, voice)) }
            }
        } @else {
            div data-unread="/api/read" {}
        }
    };
    let here = Here::at(&PAGE, text!("The line", "Jemuran"), workspace, reader);
    frame::page(studio, reader, &here, body)
}

/// A place for what takes seconds; the page where it can be read without a script.
fn later(from: &str, doing: &Text, href: &str, page: &Text, voice: Voice) -> Markup {
    html! {
        div.job data-job=(from) aria-busy="true" { div.waits role="status" {
            p.none { (t(doing, voice)) " " a href=(href) { (t(page, voice)) } }
            progress max="1" aria-label=(t(doing, voice)) {}
            p.told hidden { (t(text!("This could not be worked out.", "Ini tidak dapat dihitung."), voice)) }
        } }
    }
}

/// Depth of the rope under the middle of a cloth, in pixels: the curve of the drawing above it.
fn sag(at: usize, of: usize) -> u32 {
    let along = (at as f64 + 0.5) / of.max(1) as f64;
    (6.0 + 64.0 * along * (1.0 - along)).round() as u32
}

fn title(designs: usize, voice: Voice) -> String {
    let word = match voice.language {
        Language::En => [
            "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven",
            "Twelve",
        ]
        .get(designs)
        .map_or_else(|| designs.to_string(), |w| (*w).to_string()),
        Language::Id => [
            "Tidak ada",
            "Satu",
            "Dua",
            "Tiga",
            "Empat",
            "Lima",
            "Enam",
            "Tujuh",
            "Delapan",
            "Sembilan",
            "Sepuluh",
            "Sebelas",
            "Dua belas",
        ]
        .get(designs)
        .map_or_else(|| designs.to_string(), |w| (*w).to_string()),
    };
    let line = if designs == 1 {
        say!(
            "{n} design on the line",
            "{n} desain di jemuran",
            n = Arg::Name(word)
        )
    } else {
        say!(
            "{n} designs on the line",
            "{n} desain di jemuran",
            n = Arg::Name(word)
        )
    };
    line.say(voice)
}

fn summary(all: &[Hung], voice: Voice) -> String {
    let heaviest = |weight| {
        all.iter()
            .filter(|h| h.findings.first().map(|f| f.finding.weight) == Some(weight))
            .count()
    };
    let (stop, look) = (heaviest(Weight::Wrong), heaviest(Weight::Doubtful));
    let n = |n: usize| Arg::Number(n as f64, 0);
    match (stop, look) {
        (0, 0) => say!(
            "Every one can be made as it stands.",
            "Semuanya dapat dibuat apa adanya."
        ),
        (0, look) => say!(
            "None needs a decision; your eyes are wanted on {n}.",
            "Tidak ada yang menunggu keputusan; {n} perlu dilihat.",
            n = n(look)
        ),
        (stop, 0) => say!(
            "{n} cannot be made before you decide something.",
            "{n} belum dapat dibuat sebelum ada keputusan.",
            n = n(stop)
        ),
        (stop, look) => say!(
            "{stop} cannot be made before you decide something; your eyes are wanted on {look} more.",
            "{stop} belum dapat dibuat sebelum ada keputusan; {look} lagi perlu dilihat.",
            stop = n(stop),
            look = n(look)
        ),
    }
    .say(voice)
}

/// A design with its colourways: one file each, of one name. The first to be promised hangs full width.
fn families<'a, 'b>(all: &'b [Hung<'a>]) -> Vec<Vec<&'b Hung<'a>>> {
    let mut families: Vec<Vec<&Hung>> = Vec::new();
    for hung in all {
        let name = hung.design.map(|design| &design.name);
        let same = |family: &&mut Vec<&Hung>| {
            name.is_some() && family.first().and_then(|h| h.design).map(|d| &d.name) == name
        };
        match families.iter_mut().find(same) {
            Some(family) => family.push(hung),
            None => families.push(vec![hung]),
        }
    }
    families
}

/// A cloth of the wall: as long as it is ordered, its colourways as narrow strips beside it.
fn cloth(studio: &Studio, family: &[&Hung], per_bolt: f64, read: bool, voice: Voice) -> Markup {
    let Some((hung, strips)) = family.split_first() else {
        return html! {};
    };
    html! {
        div class=(if strips.is_empty() { "cloths" } else { "cloths several" }) {
            (hanging(studio, hung, per_bolt, WIDE, voice))
            @for strip in strips.iter().take(MOST_STRIPS) { (hanging(studio, strip, per_bolt, STRIP, voice)) }
        }
        (tag(hung, read, voice))
        @if !strips.is_empty() {
            ul.colourways aria-label=(t(text!("Colourways", "Pilihan warna"), voice)) {
                @for strip in strips { @if let Some(design) = strip.design {
                    li {
                        a href=(format!("/design/{}", escape(&design.id))) { (design.colourway) @if design.colourway.is_empty() { (design.id) } }
                        " · " (bolts(strip.bolts, voice))
                        @if let Some(first) = strip.findings.first() { (brief(&first.finding, voice)) }
                    }
                } }
            }
        }
    }
}

/// Colourways hung beside a cloth; the list under it names all.
const MOST_STRIPS: usize = 3;
/// Width of a colourway's strip, pixels.
const STRIP: f64 = 56.0;

fn hanging(studio: &Studio, hung: &Hung, per_bolt: f64, wide: f64, voice: Voice) -> Markup {
    let id = hung.file.id.as_deref().unwrap_or("");
    let Some(design) = hung.design else {
        return html! { div.hanging { span.peg {} div.hang.bare { p { (t(text!("no cloth yet", "belum ada kain"), voice)) } } } };
    };
    let width = design.cloth.width.to_mm();
    let length = (per_bolt * f64::from(hung.bolts.max(1)))
        .max(90.0)
        .min(design.cloth.length.to_mm());
    // A strip shows a part of the width at the same scale.
    let cut = Cut::wide(0.0, 0.0, width * wide / WIDE, length, wide);
    let alt = say!(
        "{name}, {colourway}: finished cloth",
        "{name}, {colourway}: kain jadi",
        name = Arg::Name(design.name.clone()),
        colourway = Arg::Name(design.colourway.clone())
    );
    let step = design.steps.last().map_or("", |s| s.id.as_str());
    html! {
        div class=(if wide < WIDE { "hanging narrow-strip" } else { "hanging" }) {
            a href=(format!("/design/{}", escape(id))) tabindex="-1" { (swatch(studio, design, step, cut, &alt.say(voice))) }
        }
    }
}

fn tag(hung: &Hung, read: bool, voice: Voice) -> Markup {
    let id = hung.file.id.as_deref().unwrap_or("");
    let Some(design) = hung.design else {
        return html! {
            div.tag {
                h2 { (id) @if id.is_empty() { (hung.file.path) } }
                p.state { (t(text!("The file cannot be used as it stands", "Berkas belum dapat dipakai"), voice)) }
                @if let Some(first) = hung.findings.first() { (finding(&first.finding, None, voice)) }
            }
        };
    };
    html! {
        div.tag {
            h2 { a href=(format!("/design/{}", escape(id))) { (design.name) } }
            p.small {
                @if !design.colourway.is_empty() { (design.colourway) " · " }
                (bolts(hung.bolts, voice))
            }
            p.state { (state(hung, voice)) }
            @match hung.findings.first() {
                Some(first) => {
                    (brief(&first.finding, voice))
                    @if hung.findings.len() > 1 {
                        p.small.more { (say!(
                            "and {n} more below", "dan {n} lagi di bawah",
                            n = Arg::Number(hung.findings.len() as f64 - 1.0, 0)
                        ).say(voice)) }
                    }
                }
                None if !read => {}
                None => div.find.good { p {
                    b.w { (t(text!("Good.", "Baik."), voice)) } " "
                    (t(text!("Nothing needs you.", "Tidak ada yang perlu dikerjakan."), voice))
                } },
            }
        }
    }
}

fn bolts(n: u32, voice: Voice) -> String {
    match n {
        0 => say!("no bolt ordered", "belum dipesan"),
        1 => say!("1 bolt", "1 gulung"),
        n => say!("{n} bolts", "{n} gulung", n = Arg::Number(f64::from(n), 0)),
    }
    .say(voice)
}

fn state(hung: &Hung, voice: Voice) -> String {
    match hung.due {
        Some(due) => say!(
            "First promised for {day}",
            "Janji pertama {day}",
            day = Arg::Name(super::day_name(due, voice))
        ),
        None => say!("Not promised to anybody", "Belum dijanjikan"),
    }
    .say(voice)
}

/// How many findings stand open in a group before the rest is folded away.
const OPEN: usize = 4;

fn groups(workspace: &Workspace, all: &[Hung], voice: Voice) -> Markup {
    let groups: [(Weight, &'static Text, &'static Text); 3] = [
        (
            Weight::Wrong,
            text!("Decide at home", "Putuskan di rumah"),
            text!(
                "Nothing waits for a decision.",
                "Tidak ada yang menunggu keputusan."
            ),
        ),
        (
            Weight::Doubtful,
            text!("Look at on the visit", "Lihat saat kunjungan"),
            text!("Nothing needs to be looked at.", "Tidak ada yang perlu dilihat."),
        ),
        (
            Weight::Note,
            text!("Nothing to do but know", "Cukup diketahui"),
            text!("Nothing.", "Tidak ada."),
        ),
    ];
    html! {
        @for (weight, title, none) in groups {
            @let found = entries(workspace, all, weight);
            div {
                h2 { (t(title, voice)) }
                @if found.is_empty() { p.none { (t(none, voice)) } }
                ul.finds { @for one in found.iter().take(OPEN) { li { (entry(one, voice)) } } }
                @if found.len() > OPEN {
                    details {
                        summary { (say!("{n} more", "{n} lagi", n = Arg::Number((found.len() - OPEN) as f64, 0)).say(voice)) }
                        ul.finds { @for one in found.iter().skip(OPEN) { li { (entry(one, voice)) } } }
                    }
                }
            }
        }
    }
}

/// One line of a group: what it is about, the finding, how many more of its kind.
struct Entry<'a> {
    about: Option<Markup>,
    finding: &'a Finding,
    more: usize,
}

/// Findings of one weight: those of the folder's own files first, then design by design.
fn entries<'a>(workspace: &'a Workspace, all: &'a [Hung], weight: Weight) -> Vec<Entry<'a>> {
    let paths: Vec<&str> = all.iter().map(|h| h.file.path.as_str()).collect();
    let of_folder = workspace
        .findings
        .iter()
        .filter_map(|finding| match &finding.place {
            // A drawing's findings point into the drawing; they are the design's, as those of its file.
            Place::File { path, .. } if !paths.iter().any(|p| same_folder(p, path)) => Some(Entry {
                about: Some(html! { (path) }),
                finding,
                more: 0,
            }),
            _ => None,
        });
    let of_designs = all.iter().flat_map(|hung| {
        hung.findings.iter().map(move |found| Entry {
            about: about(hung, found),
            finding: &found.finding,
            more: found.more.len(),
        })
    });
    of_folder
        .chain(of_designs)
        .filter(|entry| entry.finding.weight == weight)
        .collect()
}

/// Does a file lie in the folder of a design?
pub fn same_folder(design: &str, path: &str) -> bool {
    design
        .rsplit_once('/')
        .is_some_and(|(folder, _)| path.strip_prefix(folder).is_some_and(|r| r.starts_with('/')))
}

/// The design, and the step that the finding is about: a link there.
fn about(hung: &Hung, found: &Found) -> Option<Markup> {
    let design = hung.design?;
    let step = found.step.and_then(|at| Some((at, design.steps.get(at)?)));
    Some(match step {
        Some((at, step)) => html! {
            a href=(format!("/design/{}?step={}", escape(&design.id), escape(&step.id))) { (design.name) ", " (at + 1) }
        },
        None => html! { a href=(format!("/design/{}", escape(&design.id))) { (design.name) } },
    })
}

fn entry(entry: &Entry, voice: Voice) -> Markup {
    html! {
        (finding(entry.finding, entry.about.clone(), voice))
        @if entry.more > 0 {
            p.small.more { (say!("and {n} more of this kind", "dan {n} lagi sejenis", n = Arg::Number(entry.more as f64, 0)).say(voice)) }
        }
    }
}
