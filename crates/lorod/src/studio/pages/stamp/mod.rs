//! Can copper be bent to the drawing, what would make it so, how does it repeat, and what is the stamp made of.
//!
//! The drawing hangs at once. What takes longer comes piece by piece (`/stamp/{piece}`): a piece says how far it is while
//! it is worked out, and its work ends when the page is left.

mod copper;
pub mod drawing;
mod faults;
mod out;
mod proposal;
mod slip;
mod together;

use super::cloth::{others_on, told};
use super::{missing, no_design};
use crate::facts::building::Repeat;
use crate::facts::together::{Bordered, InRegister};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::parts::{Control, Field, sentence};
use crate::studio::reader::{Reader, escape};
use crate::studio::redraw::{no_stamp, proposal_name};
use crate::studio::say::{t, trouble_at};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use route::{Design, StampUse, Workshop};
use serde_json::json;
use stamp::{Limits, Proposal, Report, Stamp, StripPlan};
use std::sync::Arc;
use units::{Measure, Quantity, System};
use words::{Arg, Voice, say, text};
use workspace::{LAYOUTS, Workspace};

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Stamp", "Cap"),
    path: "/stamp",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::stamp::STAMP),
};

/// What all pieces are about.
struct Held {
    shop: Workshop,
    design: Arc<Design>,
    used: StampUse,
    limits: Limits,
    voice: Voice,
}

impl Held {
    /// Reads the address: the design, and its stamp (its first, if none is named).
    fn of(workspace: &Arc<Workspace>, reader: &Reader) -> Option<Self> {
        let design = picked(workspace, reader)?;
        let used = match reader.get("stamp") {
            Some(id) => design.stamps.iter().find(|used| used.id == id),
            None => design.stamps.first(),
        }?;
        Some(Self {
            limits: workspace.stamp_limits(),
            used: used.clone(),
            design: design.clone(),
            shop: workspace.workshop.clone()?,
            voice: reader.voice,
        })
    }
    fn cloth_mm(&self) -> f64 {
        self.design.cloth.width.to_mm()
    }
    /// Address of a piece or a file about this stamp.
    fn href(&self, piece: &str, more: &str) -> String {
        let (design, stamp) = (escape(&self.design.id), escape(&self.used.id));
        format!("/stamp/{piece}?design={design}&stamp={stamp}{more}")
    }
    /// Everything that work on this stamp depends on.
    fn name(&self, what: &str) -> String {
        let [width, length] = [self.design.cloth.width.0, self.design.cloth.length.0];
        format!(
            "{what} {:?} {width} {length} {:?} {:?}",
            self.used.key, self.used.layout, self.limits
        )
    }
}

fn picked<'a>(workspace: &'a Workspace, reader: &Reader) -> Option<&'a Arc<Design>> {
    match reader.get("design") {
        Some(id) => workspace.design(id),
        None => workspace.designs.iter().find_map(|file| file.design.as_ref()),
    }
}

/// A length on a stamp in the reader's units: fine ones keep their hundredths, as a stamp maker measures.
fn length(mm: f64, voice: Voice) -> String {
    let (value, unit, places) = match voice.system {
        System::Metric => (
            mm,
            "mm",
            usize::from(mm.abs() < 100.0) + usize::from(mm.abs() < 10.0),
        ),
        System::Imperial => (mm / 25.4, "in", 2 + usize::from(mm.abs() < 25.4)),
    };
    say!(
        "{v}\u{a0}{unit}",
        "{v}\u{a0}{unit}",
        v = Arg::Number(value, places),
        unit = Arg::Name(unit.to_string())
    )
    .say(voice)
}

fn count(n: usize) -> Arg {
    Arg::Number(n as f64, 0)
}

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let here = |title| Here::at(&PAGE, title, workspace, reader);
    let Some(design) = picked(workspace, reader) else {
        return match reader.get("design") {
            Some(id) => no_design(studio, reader, id),
            None => super::baths::nothing(studio, workspace, reader),
        };
    };
    if workspace.workshop.is_none() {
        let title = text!("There is no workshop yet", "Belum ada bengkel");
        return trouble_at(
            studio,
            reader,
            StatusCode::OK,
            &here(title),
            title,
            &workspace.findings,
        );
    }
    let asked = reader.get("stamp");
    let Some(used) = asked.map_or(design.stamps.first(), |id| {
        design.stamps.iter().find(|u| u.id == id)
    }) else {
        if let Some(id) = asked {
            return missing(studio, reader, &no_stamp(id));
        }
        let title = text!("This cloth is made without a stamp", "Kain ini dibuat tanpa cap");
        return trouble_at(studio, reader, StatusCode::OK, &here(title), title, &[]);
    };
    let file = workspace.design_file(&design.id);
    let hash = file
        .and_then(|file| workspace.source(&file.path))
        .map_or_else(String::new, |source| hex(&source.hash));
    let last = design.steps.last().map_or("", |step| step.id.as_str());
    let about = format!("?design={}&stamp={}", escape(&design.id), escape(&used.id));
    let piece = |name: &str| format!("/stamp/{name}{about}");
    let in_set = together::in_set(design, used);
    let body = html! {
        div data-desk=(design.id) data-hash=(hash) data-step=(last) data-stamp=(used.id) {
            div.wrap.head {
                div {
                    h1 { (t(text!("Can it be bent from copper strip?", "Dapatkah dibuat dari pita tembaga?"), voice)) }
                    p.say { (sized(&used.stamp, voice)) }
                }
                div.row.desk-acts data-part="acts" { (acts(studio, &design.id, voice)) }
            }
            div.wrap { (others_on(workspace, &design.id, PAGE.path, voice)) (stamps(design, used, voice)) }
            (told(voice))
            div.wrap data-part="seen" { (job(&piece("faults"), Some(&drawing::plain(used, voice)), text!("The stamp maker looks at every line…", "Pembuat cap memeriksa tiap garis…"), voice)) }
            section.wrap.after data-part="size" { div.mori {
                (sentence(t(text!("This stamp", "Cap ini"), voice), &fields(used, voice), voice))
                (redraw(voice))
            } }
            section.wrap.after #proposal data-part="proposal" { (job(&piece("proposal"), None, text!("A version that copper can follow is being drawn…", "Versi yang dapat diikuti tembaga sedang digambar…"), voice)) }
            section.wrap.after data-part="slip" { (job(&piece("slip"), None, text!("The repeat is being laid…", "Ulangan sedang disusun…"), voice)) }
            @if in_set {
                section.wrap.after data-part="register" { (job(&piece("register"), None, text!("The two stamps are being laid over each other…", "Kedua cap sedang ditumpuk…"), voice)) }
            }
            section.wrap.after data-part="copper" { (job(&piece("copper"), None, text!("The strips are being counted…", "Bilah sedang dihitung…"), voice)) }
        }
    };
    let here = here(text!("Stamp", "Cap"));
    frame::page(studio, reader, &here.of(design), body)
}

/// A place for a piece that takes a while; what stands there meanwhile.
fn job(href: &str, meanwhile: Option<&Markup>, said: &'static words::Text, voice: Voice) -> Markup {
    html! {
        div.job data-job=(href) aria-busy="true" {
            @if let Some(meanwhile) = meanwhile { (meanwhile) }
            div.mori.waits role="status" {
                p { (t(said, voice)) }
                progress max="1" aria-label=(t(said, voice)) {}
                p.told hidden { (t(text!("This could not be worked out.", "Ini tidak dapat dihitung."), voice)) }
                noscript { p { (t(text!("This needs a script; without one, use the command: lorod stamp --help", "Ini perlu skrip; tanpa skrip, pakai perintah: lorod stamp --help"), voice)) } }
            }
        }
    }
}

/// The size of a repeat, and how much of it is wax.
pub fn sized(stamp: &Stamp, voice: Voice) -> String {
    let [width, height] = stamp.repeat_mm();
    say!(
        "One repeat is {w} by {h}; wax covers {share} % of it.",
        "Satu ulangan {w} kali {h}; malam menutup {share} %-nya.",
        w = Arg::Name(length(width, voice)),
        h = Arg::Name(length(height, voice)),
        share = Arg::Number(100.0 * stamp.share_of_repeat(), 0)
    )
    .say(voice)
}

fn acts(studio: &Studio, id: &str, voice: Voice) -> Markup {
    let [undo, redo] = studio.depth(id);
    html! {
        button.btn type="button" data-go="undo" disabled[undo == 0] { (t(text!("Undo", "Urungkan"), voice)) }
        button.btn type="button" data-go="redo" disabled[redo == 0] { (t(text!("Do again", "Ulangi"), voice)) }
        a.btn href="#full-size" { (t(text!("Print at full size", "Cetak ukuran penuh"), voice)) }
        a.btn href="/shelf" { (t(text!("Copies on the shelf", "Salinan di rak"), voice)) }
    }
}

/// The stamps of the design, if there are several.
fn stamps(design: &Design, used: &StampUse, voice: Voice) -> Markup {
    html! {
        @if design.stamps.len() > 1 {
            nav.seg aria-label=(t(text!("Stamps of this cloth", "Cap kain ini"), voice)) {
                @for one in &design.stamps {
                    a href=(format!("/stamp?design={}&stamp={}", escape(&design.id), escape(&one.id))) aria-current=[(one.id == used.id).then_some("true")] { (one.id) }
                }
            }
        }
    }
}

/// Its size and how it is laid, as a sentence.
fn fields(used: &StampUse, voice: Voice) -> Vec<Field> {
    let change = |key: &str| json!({ "do": "stamp", "stamp": used.id, "key": key }).to_string();
    let [width, _] = used.stamp.repeat_mm();
    let layouts = LAYOUTS.iter();
    let mut all = vec![
        Field {
            id: "s-width".to_string(),
            label: t(
                text!("prints a repeat as wide as", "mencetak ulangan selebar"),
                voice,
            )
            .to_string(),
            control: Control::Typed {
                text: voice.quantity(Quantity::new(width / 1e3, Measure::Length)),
                also: None,
            },
            help: html! { (t(text!(
                "The width of one repeat on the cloth; the height follows the drawing. A stamp of 150 to 250 mm is comfortable in one hand (common practice, no source). Allowed: 20 to 600 mm.",
                "Lebar satu ulangan di kain; tingginya mengikuti gambar. Cap 150 sampai 250 mm nyaman di satu tangan (praktik umum, tanpa sumber). Boleh: 20 sampai 600 mm."
            ), voice)) },
            change: change("width"),
        },
        Field {
            id: "s-layout".to_string(),
            label: t(text!("and is laid", "dan disusun"), voice).to_string(),
            control: Control::Chosen {
                of: layouts
                    .clone()
                    .map(|(term, _)| (term.key.to_string(), t(&term.text, voice).to_string()))
                    .collect(),
                now: layouts
                    .clone()
                    .find(|(_, layout)| *layout == used.layout)
                    .map_or_else(String::new, |(term, _)| term.key.to_string()),
            },
            help: html! { @for (term, _) in layouts { b { (t(&term.text, voice)) } ": " (t(&term.gloss, voice)) " " } },
            change: change("layout"),
        },
    ];
    // A border runs along the edges, and has no layout.
    all.truncate(if used.border.is_some() { 1 } else { all.len() });
    all
}

/// A place to drop another drawing.
fn redraw(voice: Voice) -> Markup {
    html! {
        form.redraw data-redraw="" {
            label.btn for="redraw" { (t(text!("Bring another drawing", "Bawa gambar lain"), voice)) }
            input #redraw type="file" accept=".svg,image/svg+xml";
            span.small { (t(text!(
                "or drop an SVG here. The drawing that is there stays in the folder; undo brings it back.",
                "atau letakkan SVG di sini. Gambar yang sekarang tetap di folder; urungkan mengembalikannya."
            ), voice)) }
        }
    }
}

/// A piece of the page, or a file about the stamp.
pub async fn piece(State(studio): State<Arc<Studio>>, Path(piece): Path<String>, reader: Reader) -> Response {
    let workspace = studio.look().await;
    let Some(held) = Held::of(&workspace, &reader) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let held = Arc::new(held);
    let asked = Asked {
        studio: &studio,
        held,
        reader: &reader,
    };
    match piece.as_str() {
        "faults" => asked.faults().await,
        "proposal" => asked.proposal().await,
        "slip" => asked.slip().await,
        "register" if together::in_set(&asked.held.design, &asked.held.used) => asked.register().await,
        "copper" => asked.copper().await,
        file => out::serve(&asked, file).await,
    }
}

/// What a piece rests on, or the status to answer with.
type Work<T> = Result<Arc<T>, StatusCode>;

struct Asked<'a> {
    studio: &'a Arc<Studio>,
    held: Arc<Held>,
    reader: &'a Reader,
}

impl Asked<'_> {
    /// The check of the drawing.
    async fn report(&self) -> Work<Report> {
        let held = self.held.clone();
        let work = move |_: &dyn Fn(f64) -> bool| held.used.stamp.report(&held.limits, held.cloth_mm());
        self.studio.bench().ask(&self.held.name("report"), work).await
    }

    async fn repeat(&self) -> Work<Repeat> {
        let held = self.held.clone();
        let work = move |_: &dyn Fn(f64) -> bool| Repeat::of(&held.design, &held.used, &held.shop);
        // What the hand does stands in the workshop's file.
        let hand = route::hand_error(&self.held.shop);
        self.studio
            .bench()
            .ask(&self.held.name(&format!("repeat {hand:?}")), work)
            .await
    }

    /// Its copper. The price is of the workshop's file, and quick.
    async fn plan(&self) -> Work<StripPlan> {
        let held = self.held.clone();
        let work = move |_: &dyn Fn(f64) -> bool| held.used.stamp.strips(&held.limits);
        self.studio.bench().ask(&self.held.name("strips"), work).await
    }

    async fn faults(&self) -> Response {
        answer(self.report().await, |report| faults::piece(&self.held, report))
    }

    async fn proposal(&self) -> Response {
        let held = self.held.clone();
        let name = proposal_name(&held.used.key, &held.limits, held.cloth_mm());
        let work = move |go_on: &dyn Fn(f64) -> bool| {
            Proposal::told(&held.used.stamp, &held.limits, held.cloth_mm(), go_on)
        };
        let whole: Work<Proposal> = self.studio.bench().ask(&name, work).await;
        let refused: Vec<usize> = self
            .reader
            .get("refuse")
            .unwrap_or("")
            .split(',')
            .filter_map(|id| id.parse().ok())
            .collect();
        let (Ok(all), false) = (&whole, refused.is_empty()) else {
            return answer(whole, |all| proposal::piece(self.studio, &self.held, all));
        };
        let all = all.clone();
        let work = move |_: &dyn Fn(f64) -> bool| all.refusing(&refused);
        let name = format!("{name} without {}", self.reader.get("refuse").unwrap_or(""));
        answer(self.studio.bench().ask(&name, work).await, |kept| {
            proposal::piece(self.studio, &self.held, kept)
        })
    }

    async fn slip(&self) -> Response {
        let repeat = self.repeat().await;
        let repeat = match repeat {
            Ok(repeat) => repeat,
            Err(status) => return status.into_response(),
        };
        let (held, reader) = (self.held.clone(), self.reader.clone());
        let job =
            tokio::task::spawn_blocking(move || match Bordered::of(&held.design, &held.used, &held.shop) {
                Some(found) => together::border(&held, &found),
                None => slip::piece(&held, &repeat, &reader),
            });
        job.await.map_or_else(
            |_| StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            IntoResponse::into_response,
        )
    }

    async fn register(&self) -> Response {
        let held = self.held.clone();
        let work = move |_: &dyn Fn(f64) -> bool| InRegister::of(&held.design, &held.used, &held.shop);
        let hand = route::hand_error(&self.held.shop);
        let fellows = self.held.design.stamps.iter();
        let keys: Vec<_> = fellows.map(|one| (one.key, one.register.as_deref())).collect();
        let name = self.held.name(&format!("register {hand:?} {keys:?}"));
        answer(self.studio.bench().ask(&name, work).await, |set| {
            html! { @if let Some(set) = set { (together::register(&self.held, set)) } }
        })
    }

    async fn copper(&self) -> Response {
        let repeat = self.repeat().await;
        let repeat = match repeat {
            Ok(repeat) => repeat,
            Err(status) => return status.into_response(),
        };
        answer(self.plan().await, |plan| copper::piece(&self.held, plan, &repeat))
    }
}

/// A piece that is done.
fn answer<T>(work: Work<T>, piece: impl FnOnce(&T) -> Markup) -> Response {
    match work {
        Ok(done) => piece(&done).into_response(),
        Err(status) => status.into_response(),
    }
}
