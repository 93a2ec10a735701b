//! What a stamp takes to build: its strips, hours by the norm, price in the workshop's currency; and its drawing.

use super::papers::refused;
use papers::{Sheet, StampLine, StampNumber, StampSheet, StampSide};
use route::{Design, Money, StampUse, Workshop, exchange, hand_error, minor_digits, rounded};
use stamp::{
    Census, HandError, Hours, Limits, MARK_MM, Norm, Seams, Slips, StripPlan, Tolerance, Use, Visible,
    register_marks,
};
use words::{Arg, Finding, Line, Place, Voice, Weight, say};

/// Key of the person who builds stamps, in the workshop's file.
const MAKER: &str = "stamp-maker";
/// Corners of a drawn pin, and of a ring.
const PIN: u32 = 24;
/// Radius of the ring around a register mark, mm.
const RING_MM: f64 = 0.6 * MARK_MM;

/// What a stamp takes to build.
#[derive(Clone, Debug)]
pub struct Building {
    /// Its copper, piece by piece.
    pub plan: StripPlan,
    /// Working hours of one stamp maker.
    pub hours: Hours,
    /// Strips and pins, kg.
    pub copper_kg: f64,
    /// With frame and handle, kg.
    pub weight_kg: f64,
    /// What it costs, or what the workshop must say for it to be known.
    pub price: Result<Price, Vec<Finding>>,
}

/// What one stamp costs, in the currency of the workshop's books.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// Strips and pins.
    pub copper: Money,
    /// The stamp maker's hours.
    pub labour: Money,
    /// The workshop's overhead on them.
    pub overhead: Money,
    /// All of it, by the norm.
    pub total: Money,
    /// All of it if the hours are at their least and at their most.
    pub range: [Money; 2],
}

impl Building {
    /// What a stamp takes to build in a workshop.
    pub fn of(used: &StampUse, shop: &Workshop, limits: &Limits, norm: &Norm) -> Self {
        Self::from(used.stamp.strips(limits), shop, limits, norm)
    }

    /// What a plan of strips takes to build in a workshop.
    pub fn from(plan: StripPlan, shop: &Workshop, limits: &Limits, norm: &Norm) -> Self {
        let copper = limits.copper();
        let copper_kg = plan.copper_kg(&copper);
        let hours = norm.hours(&plan);
        Self {
            price: price(shop, copper_kg, hours),
            weight_kg: copper_kg + copper.frame.value,
            plan,
            hours,
            copper_kg,
        }
    }
}

fn price(shop: &Workshop, copper_kg: f64, hours: Hours) -> Result<Price, Vec<Finding>> {
    let copper = shop
        .prices
        .iter()
        .find(|(key, _)| key == "copper")
        .map(|(_, m)| m);
    let wage = shop.people.iter().find(|p| p.key == MAKER).map(|p| &p.wage);
    let (Some(copper), Some(wage)) = (copper, wage) else {
        let lacks = [
            (copper.is_none(), "copper = \"190000 IDR/kg\"", "[prices]"),
            (wage.is_none(), "key = \"stamp-maker\"", "[[people]]"),
        ];
        let lacks = lacks.into_iter().filter(|(lacks, ..)| *lacks);
        return Err(lacks.map(|(_, what, section)| unpriced(what, section)).collect());
    };
    let books = |money: &Money, amount: f64| -> Result<f64, Vec<Finding>> {
        let (rate, _) = exchange(shop, &money.currency, &shop.books).map_err(|f| vec![f])?;
        Ok(money.minor as f64 * amount * rate)
    };
    let money = |minor: f64| {
        let minor = rounded(minor).ok_or_else(|| vec![too_dear()])?;
        Ok::<_, Vec<Finding>>(Money {
            minor,
            currency: shop.books.clone(),
        })
    };
    let copper = books(copper, copper_kg)?;
    let labour = |h: f64| books(wage, h);
    let all = |h: f64| Ok::<_, Vec<Finding>>(copper + labour(h)? * (1.0 + shop.overhead));
    let likely = labour(hours.likely)?;
    Ok(Price {
        copper: money(copper)?,
        labour: money(likely)?,
        overhead: money(likely * shop.overhead)?,
        total: money(all(hours.likely)?)?,
        range: [money(all(hours.least)?)?, money(all(hours.most)?)?],
    })
}

fn unpriced(what: &str, section: &str) -> Finding {
    Finding::new(
        "stamp-unpriced",
        Weight::Note,
        Place::Request,
        say!(
            "the workshop's file has no {what} under {section}: the price of a stamp is not known",
            "berkas bengkel belum punya {what} di {section}: harga cap tidak diketahui",
            what = Arg::Name(what.to_string()),
            section = Arg::Name(section.to_string())
        ),
    )
    .remedy(say!("write it into workshop.toml", "tulis di workshop.toml"))
}

fn too_dear() -> Finding {
    Finding::new(
        "stamp-price",
        Weight::Wrong,
        Place::Request,
        say!(
            "the price of the stamp is beyond what can be counted",
            "harga cap melebihi yang dapat dihitung"
        ),
    )
}

/// How a stamp repeats on the design's cloth.
#[derive(Clone, Debug)]
pub struct Repeat {
    /// What crosses its borders.
    pub seams: Seams,
    /// Breaks that the proposal ([`stamp::Lattice::close`]) leaves.
    pub closed_breaks: usize,
    /// Surface that the proposal changes, mm2.
    pub changed_mm2: f64,
    /// How exactly the workshop sets an impression.
    pub hand: HandError,
    /// Impressions set so, and how many of them show a break.
    pub slips: Slips,
    /// Impressions on one bolt.
    pub census: Census,
    /// Width and length of the bolt, mm.
    pub cloth_mm: [f64; 2],
}

/// Impressions tried to see what slips do: their share is then known to 1 % or better.
const TRIED: u32 = 4000;

impl Repeat {
    /// How a stamp repeats.
    pub fn of(design: &Design, used: &StampUse, shop: &Workshop) -> Self {
        let (lattice, area, tolerance) = (used.repeat(), used.stamp.area(), Tolerance::default());
        let seams = lattice.seams(area, &tolerance);
        let closed = lattice.close(area, &tolerance);
        let hand = hand_error(shop);
        let unit = |i: i32, j: i32, n: u32| field::unit(field::hash2(i, j, n.wrapping_mul(0x9E37_79B1)));
        let cloth_mm = [design.cloth.width, design.cloth.length].map(|length| length.to_mm());
        Self {
            slips: lattice.slips(&seams, &hand, &Visible::default(), TRIED, unit),
            closed_breaks: closed.seams.breaks.len(),
            changed_mm2: closed.changed_mm2,
            census: lattice.census(cloth_mm[0], cloth_mm[1]),
            seams,
            hand,
            cloth_mm,
        }
    }
}

/// The drawing of a stamp's face as PDF, over as many sheets as it needs.
///
/// # Errors
/// What cannot be printed.
pub fn paper(
    design: &Design,
    used: &StampUse,
    shop: &Workshop,
    limits: &Limits,
    sheet: Sheet,
    voice: Voice,
) -> Result<Vec<u8>, Vec<Finding>> {
    let face = drawing(design, used, shop, limits, StampSide::Face);
    papers::stamp_sheet(&face, sheet, voice).map_err(refused)
}

/// The drawing that a stamp maker of these limits builds from: wax tinted, strips at their thickness, numbers, repeat dashed.
pub fn drawing(
    design: &Design,
    used: &StampUse,
    shop: &Workshop,
    limits: &Limits,
    side: StampSide,
) -> StampSheet {
    let building = Building::of(used, shop, limits, &Norm::default());
    let [width, height] = used.stamp.repeat_mm();
    let around = used.stamp.area().bounds();
    // Shapes may cross the frame of the repeat; the sheet is as large as both.
    let in_set = fellow(design, used);
    let beyond = if in_set.is_some() { MARK_MM } else { 0.0 };
    let low = around.map_or([-beyond; 2], |b| b.low.map(|v| v.min(-beyond)));
    let end = [width + beyond, height + beyond];
    let high = around.map_or(end, |b| [b.high[0].max(end[0]), b.high[1].max(end[1])]);
    let at = |p: [f64; 2]| {
        let x = match side {
            StampSide::Print => p[0] - low[0],
            StampSide::Face => high[0] - p[0],
        };
        (x, p[1] - low[1])
    };
    let strip_mm = limits.copper().strip.value * 1e3;
    let lines = building
        .plan
        .strips
        .iter()
        .map(|strip| match (strip.kind, strip.points.first()) {
            (Use::Dot, Some(middle)) => StampLine {
                points: (0..PIN)
                    .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(PIN))
                    .map(|t| {
                        let r = strip.prints_mm / 2.0;
                        at([middle[0] + r * t.cos(), middle[1] + r * t.sin()])
                    })
                    .collect(),
                closed: true,
                width_mm: 0.2,
                dashed: false,
            },
            (kind, _) => StampLine {
                points: strip.points.iter().map(|p| at(*p)).collect(),
                closed: strip.closed,
                // The outer face of an outline stands on the line, so that it is drawn thin; a line's strip is drawn
                // as thick as it is.
                width_mm: if kind == Use::Outline { 0.25 } else { strip_mm },
                dashed: false,
            },
        });
    let marks = register_marks([width, height])
        .into_iter()
        .filter(|_| in_set.is_some());
    let crosses = marks.flat_map(|[x, y]| {
        let bar = |dx: f64, dy: f64| StampLine {
            points: [-1.0, 1.0]
                .map(|s| at([x + s * dx * MARK_MM, y + s * dy * MARK_MM]))
                .to_vec(),
            closed: false,
            width_mm: 0.2,
            dashed: false,
        };
        // In a ring, so that nobody takes it for a corner of a sheet.
        let ring = StampLine {
            points: (0..PIN)
                .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(PIN))
                .map(|t| at([x + RING_MM * t.cos(), y + RING_MM * t.sin()]))
                .collect(),
            closed: true,
            width_mm: 0.2,
            dashed: false,
        };
        [bar(1.0, 0.0), bar(0.0, 1.0), ring]
    });
    let corners = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
    let frame = StampLine {
        points: corners.map(at).to_vec(),
        closed: true,
        width_mm: 0.1,
        dashed: true,
    };
    let numbers = building.plan.labels.iter().map(|label| StampNumber {
        text: label.number.to_string(),
        at: at(label.at),
    });
    StampSheet {
        workshop: shop.name.clone(),
        name: format!("{} · {}", design.name, used.id),
        width_mm: high[0] - low[0],
        height_mm: high[1] - low[1],
        side,
        wax: used
            .stamp
            .area()
            .rings()
            .map(|ring| ring.iter().map(|p| at(*p)).collect())
            .collect(),
        lines: lines.chain([frame]).chain(crosses).collect(),
        numbers: numbers.collect(),
        facts: facts(&building, [width, height], limits, in_set),
        cautions: vec![say!(
            "Solder fumes and acid flux: open air, goggles. Sharp strip: gloves.",
            "Asap solder dan fluks asam: tempat terbuka, kacamata. Bilah tajam: sarung tangan."
        )],
    }
}

fn number(n: f64, places: usize) -> Arg {
    Arg::Number(n, places)
}

/// Money to three digits: more of them would promise what a norm cannot keep.
fn about(money: &Money) -> Arg {
    let amount = money.minor as f64 / 10f64.powi(minor_digits(&money.currency) as i32);
    let digits = if amount > 0.0 {
        amount.log10().floor() as i32
    } else {
        0
    };
    let step = 10f64.powi(digits - 2);
    number((amount / step).round() * step, (2 - digits).max(0) as usize)
}

/// Id of the stamp that a stamp is in register with.
fn fellow<'d>(design: &'d Design, used: &'d StampUse) -> Option<&'d str> {
    let fills = |other: &&StampUse| other.register.as_ref() == Some(&used.id);
    let fill = || design.stamps.iter().find(fills).map(|other| other.id.as_str());
    used.register.as_deref().or_else(fill)
}

/// How many strips, and how long they are together: of centimetres as millimetres.
fn strips(plan: &StripPlan, kind: Use) -> Line {
    let (n, metres) = (plan.count(kind), plan.metres(kind));
    let count = number(n as f64, 0);
    match n {
        0 => say!("none", "tidak ada"),
        1 if metres < 0.1 => say!(
            "1 strip, {mm} mm",
            "1 bilah, {mm} milimeter",
            mm = number(metres * 1e3, 0)
        ),
        1 => say!("1 strip, {m} m", "1 bilah, {m} meter", m = number(metres, 2)),
        _ if metres < 0.1 => say!(
            "{n} strips, {mm} mm",
            "{n} bilah, {mm} milimeter",
            n = count,
            mm = number(metres * 1e3, 0)
        ),
        _ => say!(
            "{n} strips, {m} m",
            "{n} bilah, {m} meter",
            n = count,
            m = number(metres, 2)
        ),
    }
}

fn facts(
    building: &Building,
    [width, height]: [f64; 2],
    limits: &Limits,
    in_set: Option<&str>,
) -> Vec<(Line, Line)> {
    let plan = &building.plan;
    let count = |kind| number(plan.count(kind) as f64, 0);
    let copper = limits.copper();
    let mut facts = vec![
        (
            say!("Repeat (dashed)", "Ulangan (garis putus)"),
            say!(
                "{w} x {h} mm",
                "{w} x {h} milimeter",
                w = number(width, 1),
                h = number(height, 1)
            ),
        ),
        (
            say!("Strip", "Bilah"),
            say!(
                "{t} x {h} mm",
                "{t} x {h} milimeter",
                t = number(copper.strip.value * 1e3, 1),
                h = number(copper.height.value * 1e3, 0)
            ),
        ),
        (
            say!("Lines: on their middle (thick)", "Garis: di tengahnya (tebal)"),
            strips(plan, Use::Line),
        ),
        (
            say!(
                "Outlines: outer face on the line (thin)",
                "Tepi: muka luar di garis (tipis)"
            ),
            strips(plan, Use::Outline),
        ),
        (
            say!(
                "Inner strips, one number a field",
                "Bilah dalam, satu nomor satu bidang"
            ),
            strips(plan, Use::Fill),
        ),
        (say!("Pins", "Paku"), say!("{n}", "{n}", n = count(Use::Dot))),
        (
            say!("Joints", "Sambungan"),
            say!("{n}", "{n}", n = number(plan.joints.len() as f64, 0)),
        ),
        (
            say!("Frame around", "Rangka keliling"),
            say!("{m} m", "{m} meter", m = number(plan.frame_metres(), 2)),
        ),
        (
            say!("Weight with frame and handle", "Berat dengan rangka dan gagang"),
            say!(
                "about {kg} kg",
                "sekitar {kg} kilogram",
                kg = number(building.weight_kg, 1)
            ),
        ),
        (
            say!("Work (assumed norm)", "Kerja (norma perkiraan)"),
            say!(
                "about {h} h, between {low} and {high}",
                "sekitar {h} jam, antara {low} dan {high}",
                h = number(building.hours.likely, 0),
                low = number(building.hours.least, 0),
                high = number(building.hours.most, 0)
            ),
        ),
    ];
    if let Some(other) = in_set {
        facts.push((
            say!("In register with", "Dipasangkan dengan"),
            say!(
                "stamp {other}: notch both frames at the crosses in rings",
                "cap {other}: beri takik kedua rangka di tanda silang berlingkaran",
                other = Arg::Name(other.to_string())
            ),
        ));
    }
    if let Ok(price) = &building.price {
        facts.push((
            say!("Price (assumed norm)", "Harga (norma perkiraan)"),
            say!(
                "about {p} {currency}, between {low} and {high}",
                "sekitar {p} {currency}, antara {low} dan {high}",
                p = about(&price.total),
                currency = Arg::Name(price.total.currency.clone()),
                low = about(&price.range[0]),
                high = about(&price.range[1])
            ),
        ));
    }
    facts
}
