//! `lorod` without a command: the demonstration workspace, and the whole job done on it.

use super::end::{REFUSED, open, shop};
use super::lettering::contact_sheet;
use super::table::Table;
use super::{End, baths, cloth as cut, cost, out, plan, stop, studio, tell};
use crate::facts::building;
use crate::facts::papers::{self, Printed};
use crate::facts::pictures::Roll;
use crate::facts::plan::Planned;
use crate::facts::problem::Asked;
use crate::studio::Reading;
use ::cloth::Shot;
use route::{Design, LotShape, Workshop};
use rust_embed::Embed;
use std::borrow::Cow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;
use units::Length;
use words::{Arg, Line, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// Where the demonstration is made.
const DIR: &str = "reef-and-rain";
/// What is made lies there, below [`DIR`].
const OUT: &str = "out";
/// The demonstration's first day of work; its orders are dated.
const FIRST_DAY: &str = "2026-11-26";
/// Bolts of the lot whose baths and cost are shown.
const BOLTS: u32 = 6;
/// Pixels of a picture of the film strip, and how many stand in a row.
const FRAME: u32 = 230;
const FRAMES: u32 = 7;

#[derive(Embed)]
#[folder = "demo/"]
struct Embedded;

/// The files of the demonstration.
pub struct Demo;

impl Demo {
    /// Path from the workspace's folder, and bytes.
    pub fn files() -> Vec<(Cow<'static, str>, Cow<'static, [u8]>)> {
        Embedded::iter()
            .filter_map(|path| Embedded::get(&path).map(|file| (path, file.data)))
            .collect()
    }
}

/// Makes everything; then opens the studio, if it is wanted.
///
/// # Errors
/// If something of the workspace is wrong, or cannot be written.
pub fn run(serve: bool, port: u16, voice: Voice, floor: Voice) -> Result<(), End> {
    let since = Instant::now();
    stop::flag();
    let dir = PathBuf::from(DIR);
    make(&dir, voice)?;
    let workspace = open(&dir)?;
    let mut all = Work {
        shop: shop(&workspace)?,
        workspace: &workspace,
        out: dir.join(OUT),
        voice,
        floor,
        wrong: false,
    };
    all.check();
    let designs: Vec<Arc<Design>> = workspace
        .designs
        .iter()
        .filter_map(|file| file.design.clone())
        .collect();
    for design in &designs {
        all.design(design)?;
    }
    let planned = all.plan()?;
    all.papers(&planned)?;
    let wrong = all.wrong;
    let done = say!(
        "Everything in {dir} took {s} s.",
        "Semua di {dir} makan waktu {s} detik.",
        dir = Arg::Name(dir.join(OUT).display().to_string()),
        s = Arg::Number(since.elapsed().as_secs_f64(), 0)
    );
    tell(&format!("{}\n", done.say(voice)));
    if serve {
        let first_day = plan::first_day(Some(FIRST_DAY), &workspace)?;
        studio::open(Reading::again(&workspace)?, port, first_day, voice)?;
    }
    if wrong { Err(End::said(REFUSED)) } else { Ok(()) }
}

/// The workspace, if there is none: whole or not at all.
fn make(dir: &Path, voice: Voice) -> Result<(), End> {
    let name = || Arg::Name(dir.display().to_string());
    let line = if dir.join(workspace::COLLECTION).exists() {
        say!(
            "{dir} is there already and is used as it is.",
            "{dir} sudah ada dan dipakai apa adanya.",
            dir = name()
        )
    } else {
        let files = Demo::files();
        let list: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (n.as_ref(), b.as_ref())).collect();
        workspace::create(dir, &list)?;
        say!(
            "{dir} is made: an invented collection of an invented workshop.",
            "{dir} sudah dibuat: koleksi rekaan dari bengkel rekaan.",
            dir = name()
        )
    };
    tell(&format!("{}\n", line.say(voice)));
    Ok(())
}

struct Work<'w> {
    workspace: &'w Workspace,
    shop: &'w Workshop,
    out: PathBuf,
    voice: Voice,
    floor: Voice,
    wrong: bool,
}

impl Work<'_> {
    fn tell(&self, line: &Line) {
        tell(&format!("{}\n", line.say(self.voice)));
    }
    fn raw(&self, text: &Text) -> String {
        text.raw(self.voice.language).to_string()
    }

    /// Findings of the files; those of a design stand with it.
    fn check(&mut self) {
        for finding in &self.workspace.findings {
            self.wrong |= finding.weight == Weight::Wrong;
            tell(&self.workspace.show(finding, self.voice));
        }
    }

    /// Everything about one design.
    fn design(&mut self, design: &Arc<Design>) -> Result<(), End> {
        let since = Instant::now();
        let findings = self.workspace.examine(&design.id);
        let count = |weight: Weight| findings.iter().filter(|f| f.weight == weight).count();
        self.wrong |= count(Weight::Wrong) > 0;
        let folder = self.out.join(&design.id);
        let mut made = Vec::new();
        let shown: String = findings
            .iter()
            .map(|f| self.workspace.show(f, self.voice))
            .collect();
        made.push((
            self.raw(text!("findings", "temuan")),
            self.write(&folder, "check.txt", shown.as_bytes())?,
        ));

        let roll = Roll::of(design, self.shop);
        let cloth = design.cloth;
        let yard = Length(0.9144);
        let steps = design.steps.len();
        let [x, y, width, height] = cut::repeat(design);
        let shot = |x, y, width, height, dpi| Shot {
            x,
            y,
            width,
            height,
            dpi,
            steps,
        };
        let whole = Length(0.0);
        for (what, file, shot) in [
            (
                text!("one repeat, 150 dpi", "satu ulangan, 150 dpi"),
                "repeat.png",
                shot(x, y, width, height, 150.0),
            ),
            (
                text!("one yard, 50 dpi", "satu yard, 50 dpi"),
                "yard.png",
                shot(
                    whole,
                    yard,
                    cloth.width,
                    if cloth.length.0 >= 2.0 * yard.0 {
                        yard
                    } else {
                        cloth.length
                    },
                    50.0,
                ),
            ),
            (
                text!("the whole bolt, 10 dpi", "seluruh gulung, 10 dpi"),
                "bolt.png",
                shot(whole, whole, cloth.width, cloth.length, 10.0),
            ),
        ] {
            let path = folder.join(file);
            out::picture(&path, &shot, roll.bolt(), &|_| {})?;
            made.push((self.raw(what), path));
        }
        let film = self.film(design, &roll)?;
        made.push((
            self.raw(text!("after every step", "sesudah tiap langkah")),
            self.write(&folder, "film.png", &film)?,
        ));

        let lot = LotShape::new(&design.id, BOLTS, 0, cloth);
        let sheets = route::baths(design, &lot, self.shop);
        let dumps = route::dumps(design, &lot, self.shop);
        let totals = route::totals(design, &lot, self.shop);
        let text = baths::as_text(&sheets, &dumps, &totals, self.voice);
        made.push((
            self.raw(text!("baths of six bolts", "bak untuk enam gulung")),
            self.write(&folder, "baths.txt", text.as_bytes())?,
        ));
        let cost = route::cost(design, &lot, self.shop);
        self.wrong |= !cost.findings.is_empty();
        let text = cost::as_text(&cost, &self.shop.books, true, self.voice);
        made.push((
            self.raw(text!("cost of six bolts", "biaya enam gulung")),
            self.write(&folder, "cost.txt", text.as_bytes())?,
        ));
        let limits = self.workspace.stamp_limits();
        for used in &design.stamps {
            let printed = self.printed(None);
            let pdf = building::paper(design, used, self.shop, &limits, printed.sheet, printed.voice)
                .map_err(End::refused)?;
            let file = format!("stamp-{}.pdf", used.id);
            made.push((
                self.raw(text!("stamp at full size", "pola cap, ukuran penuh")),
                self.write(&folder, &file, &pdf)?,
            ));
        }

        let n = |n: usize| Arg::Number(n as f64, 0);
        self.tell(&say!(
            "{design}: {wrong} wrong, {doubtful} doubtful, {notes} notes; {s} s",
            "{design}: {wrong} salah, {doubtful} meragukan, {notes} catatan; {s} detik",
            design = Arg::Name(design.name.clone()),
            wrong = n(count(Weight::Wrong)),
            doubtful = n(count(Weight::Doubtful)),
            notes = n(count(Weight::Note)),
            s = Arg::Number(since.elapsed().as_secs_f64(), 1)
        ));
        list(&made);
        if let Some((quote, _)) = &cost.quote {
            self.tell(&say!(
                "  a finished yard costs {price}",
                "  satu yard jadi berbiaya {price}",
                price = Arg::Name(cost::amount(&quote.yard, self.voice))
            ));
        }
        Ok(())
    }

    /// A picture after every step, side by side.
    fn film(&self, design: &Design, roll: &Roll) -> Result<Vec<u8>, End> {
        let mut cells = Vec::new();
        for at in 0..=design.steps.len() {
            let picture = roll
                .piece(at, (FRAME, FRAME), stop::flag())
                .map_err(out::not_made)?;
            let name = match at.checked_sub(1).and_then(|at| design.steps.get(at)) {
                Some(step) => self.raw(&step.operation.kind().term.text),
                None => self.raw(text!("white cloth", "mori")),
            };
            cells.push((picture, format!("{at}  {name}")));
        }
        let sheet = contact_sheet(&cells, FRAMES).ok_or_else(|| out::not_made(::cloth::Refused::Empty))?;
        let path = self.out.join("film.png");
        ::cloth::png(&sheet, 100.0).map_err(|error| End::disk(&path, &error.into()))
    }

    fn plan(&mut self) -> Result<Planned, End> {
        let since = Instant::now();
        let asked = Asked {
            first_day: plan::first_day(Some(FIRST_DAY), self.workspace)?,
            strike_offs: Vec::new(),
            courier_days: None,
            tries: plan::TRIES,
        };
        let planned = plan::work(self.workspace, &asked, plan::LONGEST)?;
        self.wrong |= !planned.faults.is_empty();
        let mut text = plan::as_text(&planned, self.workspace, self.voice);
        for finding in &planned.findings {
            text += &self.workspace.show(finding, self.voice);
        }
        self.tell(&say!(
            "All orders, work from {day} on; {s} s",
            "Semua pesanan, dikerjakan mulai {day}; {s} detik",
            day = Arg::Name(FIRST_DAY.into()),
            s = Arg::Number(since.elapsed().as_secs_f64(), 1)
        ));
        tell(&text);
        let path = self.write(&self.out, "plan.txt", text.as_bytes())?;
        list(&[(
            self.raw(text!("plan of all orders", "rencana semua pesanan")),
            path,
        )]);
        Ok(planned)
    }

    fn papers(&self, planned: &Planned) -> Result<(), End> {
        let since = Instant::now();
        let ids: Vec<&str> = self
            .workspace
            .orders
            .iter()
            .map(|order| order.id.as_str())
            .collect();
        let pdf = papers::orders(self.workspace, &ids, &self.printed(Some(planned)))
            .map_err(|findings| End::in_files(findings, self.workspace))?;
        let path = self.write(&self.out, "cards.pdf", &pdf)?;
        self.tell(&say!(
            "Papers; {s} s",
            "Lembar cetak; {s} detik",
            s = Arg::Number(since.elapsed().as_secs_f64(), 1)
        ));
        list(&[(
            self.raw(text!(
                "job cards and batch sheets",
                "kartu kerja dan lembar takaran"
            )),
            path,
        )]);
        Ok(())
    }

    const fn printed<'p>(&self, planned: Option<&'p Planned>) -> Printed<'p> {
        Printed {
            sheet: ::papers::Sheet::A4,
            voice: self.floor,
            planned,
        }
    }

    fn write(&self, folder: &Path, file: &str, bytes: &[u8]) -> Result<PathBuf, End> {
        // Every file is a place to stop at.
        if stop::raised() {
            return Err(End::stopped());
        }
        let path = folder.join(file);
        out::write(&path, bytes)?;
        Ok(path)
    }
}

/// What was made, where, and how large it is.
fn list(made: &[(String, PathBuf)]) {
    let mut table = Table::new(&[false, false, true]);
    for (what, path) in made {
        let kb = (out::size(path) as f64 / 1000.0).ceil();
        table.row([what.clone(), path.display().to_string(), format!("{kb} kB")]);
    }
    tell(&table.text());
}
