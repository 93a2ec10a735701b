//! What is handed over: to the workshop a specification with its stamps, cards and sheets, to buyers a line sheet.

use super::building::drawing;
use super::cover::cover;
use super::papers::{Lotted, Printed, cautions, lots_of, refused, set, term};
use super::pictures::Roll;
use crate::studio::names::{hash, name};
use crate::studio::winding::wind;
use cloth::{Region, Shot, Tiling};
use papers::{
    Colour, Colours, LineSheet, Offer, Pack, Papers, Picture, Sheet, SpecSheet, SpecStep, StampSide,
};
use route::{Design, LotShape, Setting, Shape, Step, Value, Workshop, card};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use units::{Length, Measure, Quantity};
use words::{Arg, Finding, Line, Place, Text, Voice, Weight, say};
use workspace::Workspace;

/// The large piece: mm across, and pixels.
const LARGE_MM: f64 = 720.0;
const LARGE: (u32, u32) = (1400, 760);
/// The piece at full size: mm, at so many pixels an inch.
const CLOSE_MM: [f64; 2] = [185.0, 62.0];
const CLOSE_DPI: f64 = 170.0;
/// The piece after each step, pixels.
const AFTER: (u32, u32) = (260, 160);

/// Designs with all their pictures.
pub struct Made<'w> {
    designs: Vec<Pictured<'w>>,
    shop: &'w Workshop,
}

struct Pictured<'w> {
    design: &'w Arc<Design>,
    cloth: Picture,
    close: Picture,
    after: Vec<Picture>,
    colours: Vec<Colours>,
}

impl<'w> Made<'w> {
    /// Makes the pictures; no id means all designs. `go_on` hears the share done.
    ///
    /// # Errors
    /// If a design is not there or cannot be made, or if it was told to stop.
    pub fn of(
        workspace: &'w Workspace,
        ids: &[&str],
        go_on: &dyn Fn(f64) -> bool,
    ) -> Result<Self, Vec<Finding>> {
        let shop = workspace
            .workshop
            .as_ref()
            .ok_or_else(|| workspace.findings.clone())?;
        let designs: Vec<&Arc<Design>> = if ids.is_empty() {
            workspace
                .designs
                .iter()
                .filter_map(|file| file.design.as_ref())
                .collect()
        } else {
            let found = ids
                .iter()
                .map(|id| workspace.design(id).ok_or_else(|| vec![no_design(workspace, id)]));
            found.collect::<Result<_, _>>()?
        };
        if designs.is_empty() {
            return Err(vec![no_design(workspace, "")]);
        }
        let all = designs.len() as f64;
        let mut made = Vec::new();
        for (n, design) in designs.into_iter().enumerate() {
            let part = |share: f64| go_on((n as f64 + share) / all);
            made.push(pictured(design, shop, &part)?);
        }
        Ok(Self { designs: made, shop })
    }

    /// The handover pack.
    ///
    /// # Errors
    /// What cannot be printed.
    pub fn workshop(&self, workspace: &Workspace, asked: &Printed) -> Result<Vec<u8>, Vec<Finding>> {
        let designs: Vec<&Arc<Design>> = self.designs.iter().map(|one| one.design).collect();
        let mut papers = Vec::new();
        let mut pack = Pack {
            title: self
                .designs
                .iter()
                .map(|one| one.design.name.as_str())
                .collect::<Vec<_>>()
                .join(", "),
            ..Pack::default()
        };
        for one in &self.designs {
            let lots = lots_of(workspace, one.design);
            pack.specs.push(self.spec(workspace, one, &lots));
            let stamps = one.design.stamps.iter();
            let limits = workspace.stamp_limits();
            pack.stamps
                .extend(stamps.map(|used| drawing(one.design, used, self.shop, &limits, StampSide::Face)));
            let (cards, sheets) = set(workspace, &lots, asked)?;
            papers.push(Papers {
                stamps: one.design.stamps.len(),
                cards: cards.len(),
                sheets: sheets.len(),
            });
            pack.cards.extend(cards);
            pack.sheets.extend(sheets);
        }
        pack.cover = Some((cover(workspace, &designs, asked.planned), papers));
        papers::pack(&pack, asked.sheet, asked.voice).map_err(refused)
    }

    /// The line sheet.
    ///
    /// # Errors
    /// What cannot be printed.
    pub fn buyers(&self, workspace: &Workspace, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Vec<Finding>> {
        let about = &workspace.collection;
        let line = LineSheet {
            collection: about.name.clone(),
            by: about.by(),
            note: about.note.clone(),
            offers: self.designs.iter().map(offer).collect(),
        };
        papers::line_sheet(&line, sheet, voice).map_err(refused)
    }

    fn spec(&self, workspace: &Workspace, one: &Pictured, lots: &[Lotted]) -> SpecSheet {
        let design = one.design;
        let shape = LotShape::new(&design.id, 1, 0, design.cloth);
        let steps = card(design, &shape, self.shop);
        let revision = workspace.design_file(&design.id).and_then(|file| file.revision);
        SpecSheet {
            workshop: self.shop.name.clone(),
            collection: workspace.collection.name.clone(),
            design: design.name.clone(),
            colourway: design.colourway.clone(),
            note: design.note.clone(),
            revision: revision.map(|hash| hash.iter().take(4).map(|byte| format!("{byte:02x}")).collect()),
            cloth: one.cloth.clone(),
            close: (one.close.clone(), CLOSE_MM),
            colours: one.colours.clone(),
            facts: facts(design, lots),
            steps: design
                .steps
                .iter()
                .zip(&one.after)
                .enumerate()
                .map(|(at, (step, after))| spec_step(design, at, step, after))
                .collect(),
            cautions: cautions(&steps),
        }
    }
}

fn pictured<'w>(
    design: &'w Arc<Design>,
    shop: &Workshop,
    go_on: &dyn Fn(f64) -> bool,
) -> Result<Pictured<'w>, Vec<Finding>> {
    let roll = Roll::of(design, shop);
    let (bolt, steps) = (roll.bolt(), design.steps.len());
    let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
    let stop = AtomicBool::new(false);
    let told = |share: f64| {
        if !go_on(share) {
            stop.store(true, Ordering::Relaxed);
        }
    };
    let piece = |w: f64, h: f64, dpi: f64| {
        let (w, h) = (w.min(width), h.min(length));
        let shot = Shot {
            x: Length::mm((width - w) / 2.0),
            y: Length::mm(((length - h) / 2.0).min(400.0)),
            width: Length::mm(w),
            height: Length::mm(h),
            dpi,
            steps,
        };
        shot.take(bolt, &Tiling::default(), &|_| {}, &stop).map(on_paper)
    };
    let failed = |why: cloth::Refused| vec![no_picture(design, why)];
    let mut after = Vec::new();
    for done in 1..=steps {
        told(0.8 * done as f64 / steps as f64);
        after.push(on_paper(roll.piece(done, AFTER, &stop).map_err(failed)?));
    }
    let large = LARGE_MM.min(width);
    let cloth = piece(
        large,
        large * f64::from(LARGE.1) / f64::from(LARGE.0),
        f64::from(LARGE.0) / (large / 25.4),
    )
    .map_err(failed)?;
    told(0.9);
    let close = piece(CLOSE_MM[0], CLOSE_MM[1], CLOSE_DPI).map_err(failed)?;
    told(0.95);
    Ok(Pictured {
        design,
        cloth,
        close,
        after,
        colours: colours(bolt, steps),
    })
}

fn on_paper(picture: cloth::Picture) -> Picture {
    Picture {
        width: picture.width,
        height: picture.height,
        rgb: picture.rgb,
    }
}

fn colours(bolt: &cloth::Bolt, steps: usize) -> Vec<Colours> {
    let region = |wound: crate::studio::winding::Wound| Colours {
        motif: wound.region == Region::Motif,
        share: wound.share,
        colours: wound
            .yarns
            .iter()
            .map(|yarn| Colour {
                name: called(yarn.lab),
                code: format!(
                    "{}  L {:.0} a {:.0} b {:.0}",
                    hash(yarn.bytes),
                    yarn.lab.l,
                    yarn.lab.a + 0.0,
                    yarn.lab.b + 0.0
                ),
                share: yarn.share,
                rgb: yarn.bytes,
            })
            .collect(),
    };
    let wound = wind(bolt, steps, &|| true).unwrap_or_default();
    wound.into_iter().map(region).collect()
}

/// A colour in words; an Indonesian adjective follows its noun.
fn called(lab: colour::Lab) -> Line {
    match name(lab) {
        [Some(light), Some(hue)] => say!(
            "{light} {hue}",
            "{hue} {light}",
            light = Arg::Text(light),
            hue = Arg::Text(hue)
        ),
        [one, other] => {
            let plain: &'static Text = one.or(other).unwrap_or(words::text!("grey", "abu-abu"));
            Line::plain(plain)
        }
    }
}

fn quantity(si: f64, measure: Measure) -> Line {
    say!("{q}", "{q}", q = Arg::Quantity(Quantity::new(si, measure)))
}

fn facts(design: &Design, lots: &[Lotted]) -> Vec<(Line, Line)> {
    let q = |si: f64, measure| Arg::Quantity(Quantity::new(si, measure));
    let mut facts = vec![(
        say!("White cloth, one bolt", "Kain putih, satu gulung"),
        say!(
            "{w} by {l}, {m}",
            "{w} kali {l}, {m}",
            w = q(design.cloth.width.0, Measure::Length),
            l = q(design.cloth.length.0, Measure::Length),
            m = q(design.cloth.weight, Measure::PerArea)
        ),
    )];
    for used in &design.stamps {
        let [w, h] = used.stamp.repeat_mm();
        facts.push((
            say!(
                "Stamp {id}, one repeat",
                "Cap {id}, satu ulangan",
                id = Arg::Name(used.id.clone())
            ),
            say!(
                "{w} by {h}",
                "{w} kali {h}",
                w = q(w / 1e3, Measure::Length),
                h = q(h / 1e3, Measure::Length)
            ),
        ));
    }
    let dyes: Vec<&str> = design.dyes.iter().map(|dye| dye.name.as_str()).collect();
    facts.push((
        say!("Dyes", "Pewarna"),
        say!("{all}", "{all}", all = Arg::Name(dyes.join(", "))),
    ));
    for lot in lots {
        let bolts = Arg::Number(f64::from(lot.bolts), 0);
        let (id, day) = (Arg::Name(lot.id.clone()), lot.due.map(|day| Arg::Name(iso(day))));
        facts.push(match day {
            Some(day) => (
                say!("Order {id}", "Pesanan {id}", id = id),
                say!(
                    "{n} bolts, promised {day}",
                    "{n} gulung, janji {day}",
                    n = bolts,
                    day = day
                ),
            ),
            None => (
                say!("Nobody ordered it yet", "Belum ada pesanan"),
                say!("cards for one bolt on trial", "kartu untuk satu gulung percobaan"),
            ),
        });
    }
    facts
}

/// ISO 8601: reads alike in both languages.
fn iso(day: sky::Date) -> String {
    let (year, month, day) = day.civil();
    format!("{year}-{month:02}-{day:02}")
}

fn spec_step(design: &Design, at: usize, step: &Step, after: &Picture) -> SpecStep {
    let kind = step.operation.kind();
    let values = step.operation.values();
    let settings = kind.settings.iter().filter_map(|setting| {
        let value = values.get(setting.key)?;
        Some((term(&setting.term), valued(design, setting, value)))
    });
    SpecStep {
        number: at as u32 + 1,
        name: term(&kind.term),
        settings: settings.collect(),
        after: after.clone(),
    }
}

fn valued(design: &Design, setting: &'static Setting, value: &Value) -> Line {
    match (value, setting.shape) {
        (Value::Quantity(typed), _) => say!("{q}", "{q}", q = Arg::Spelled(typed.spelled.clone())),
        (Value::Choice(word), Shape::Choice(terms)) => match terms.iter().find(|term| term.key == *word) {
            Some(known) => term(known),
            None => named((*word).to_string()),
        },
        (Value::Choice(word), _) => named((*word).to_string()),
        (Value::Dyes(doses), _) => {
            let dose = |dose: &route::DyeDose| {
                let dye = design.dyes.get(dose.dye).map_or("", |card| card.name.as_str());
                format!("{dye} {}", dose.depth.spelled)
            };
            named(doses.iter().map(dose).collect::<Vec<_>>().join(" + "))
        }
        (Value::Stamp(at), _) => named(
            design
                .stamps
                .get(*at)
                .map_or_else(String::new, |used| used.id.clone()),
        ),
    }
}

fn named(text: String) -> Line {
    say!("{x}", "{x}", x = Arg::Name(text))
}

fn offer(one: &Pictured) -> Offer {
    let design = one.design;
    Offer {
        design: design.name.clone(),
        colourway: design.colourway.clone(),
        note: design.note.clone(),
        cloth: one.cloth.clone(),
        close: (one.close.clone(), CLOSE_MM),
        colours: one.colours.clone(),
        facts: vec![
            (
                say!("Width", "Lebar"),
                quantity(design.cloth.width.0, Measure::Length),
            ),
            (
                say!("One bolt", "Satu gulung"),
                quantity(design.cloth.length.0, Measure::Length),
            ),
            (
                say!("Weight", "Berat"),
                quantity(design.cloth.weight, Measure::PerArea),
            ),
            (say!("Fibre", "Serat"), say!("cotton", "katun")),
        ],
    }
}

fn no_design(workspace: &Workspace, id: &str) -> Finding {
    let why = workspace
        .design_file(id)
        .and_then(|file| file.findings.iter().find(|f| f.weight == Weight::Wrong));
    let finding = Finding::new(
        "no-such-design",
        Weight::Wrong,
        Place::Request,
        say!(
            "there is no design {id} that can be made",
            "tidak ada desain {id} yang dapat dibuat",
            id = Arg::Name(id.chars().take(60).collect())
        ),
    );
    match why {
        Some(why) => why.clone(),
        None => finding,
    }
}

fn no_picture(design: &Design, why: cloth::Refused) -> Finding {
    let code = if why == cloth::Refused::Stopped {
        "stopped"
    } else {
        "no-picture"
    };
    let found = say!(
        "a picture of {design} could not be made: {why}",
        "gambar {design} gagal dibuat: {why}",
        design = Arg::Name(design.name.clone()),
        why = Arg::Name(format!("{why:?}"))
    );
    Finding::new(code, Weight::Wrong, Place::Request, found)
}
