//! A dye store's first plot: what clears in the bleach against what binds in the rest. The class that clears well binds
//! slowly, and the other way round; a dye whose rate no strip test has measured is drawn hollow.

use super::names::Names;
use super::paper::{EDGE, HAIR, Hold, INK, PAPER, Paper, Style, hex};
use crate::dye::DyeCard;
use crate::kubelka_munk::{dyed_reflectance, ks_spectrum};
use crate::spectrum::white_cotton;
use units::{Celsius, Measure, Quantity, Span};
use words::{Arg, Line, Origin, Voice, say};

/// The workshop's rest and bath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// How long the cloth rests wet and alkaline.
    pub rest: Span,
    /// How warm it is then.
    pub cloth: Celsius,
    /// How warm the bleach bath is.
    pub bath: Celsius,
    /// Its pH.
    pub ph: f64,
    /// Its available chlorine, g/L.
    pub chlorine: f64,
}

/// Where one dye stands.
#[derive(Clone, Debug, PartialEq)]
pub struct StorePoint {
    /// Id of the dye.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Share of the dye on the cloth that is bound after the rest.
    pub bound: f64,
    /// Minutes in this bath until 2 % of what chlorine can clear is left; nothing if the card does not hold at this pH
    /// or the dye does not clear.
    pub clears_min: Option<f64>,
    /// The factor, up and down, within which that is known: 1 if the dye has a strip test.
    pub factor: f64,
}

/// g of available chlorine (as Cl2) per mol.
const CHLORINE: f64 = 70.906;

/// The numbers behind [`store_svg`].
pub fn store_points(dyes: &[&DyeCard], store: Store) -> Vec<StorePoint> {
    dyes.iter()
        .map(|card| {
            let dose_rate = store.chlorine / CHLORINE;
            let minutes = card
                .bleach_rate(store.bath, store.ph)
                .ok()
                .map(|rate| 50_f64.ln() / (rate * dose_rate) / 60.0)
                .filter(|m| m.is_finite() && *m > 0.0);
            StorePoint {
                id: card.id.clone(),
                name: card.name.clone(),
                bound: card.bound_share(store.rest, store.cloth),
                clears_min: minutes,
                factor: match &card.bleaching.rate.origin {
                    Origin::Assumed { factor, .. } => *factor,
                    Origin::Yours | Origin::Measured { .. } => 1.0,
                },
            }
        })
        .collect()
}

const WIDTH: f64 = 980.0;
const LEFT: f64 = 92.0;
const RIGHT: f64 = 800.0;
const TOP: f64 = 152.0;
const BOTTOM: f64 = 560.0;

/// The plot of a store. An SVG document.
pub fn store_svg(dyes: &[&DyeCard], store: Store, voice: Voice) -> String {
    let points = store_points(dyes, store);
    let title = say!(
        "Which dyes clear, and which bind in your rest?",
        "Pewarna mana yang tercabut, dan mana yang mengikat selama didiamkan?"
    );
    let unplaced: Vec<&str> = points
        .iter()
        .filter(|p| p.clears_min.is_none())
        .map(|p| p.name.as_str())
        .collect();
    let height = if unplaced.is_empty() { 694.0 } else { 730.0 };
    let mut paper = Paper::new(WIDTH, height, &title, voice);
    paper.say((32.0, 52.0), Hold::Start, Style::Title, &title);
    let answer = answer(&points).say(voice);
    paper.paragraph((32.0, 82.0), WIDTH - 64.0, Style::Answer, 24.0, &answer);
    let scale = Scale::of(&points);
    axes(&mut paper, &scale, store);
    marks(&mut paper, &scale, &points, dyes);
    let mut y = 640.0;
    if !unplaced.is_empty() {
        let line = say!(
            "Not placed, since their cards say nothing for this pH: {names}.",
            "Tidak ditempatkan, karena kartunya tidak berlaku untuk pH ini: {names}.",
            names = Arg::Name(unplaced.join(", "))
        );
        y = paper.paragraph((32.0, y), WIDTH - 64.0, Style::Small, 17.0, &line.say(voice)) + 18.0;
    }
    let rests = rests(store).say(voice);
    paper.paragraph((32.0, y), WIDTH - 64.0, Style::Small, 17.0, &rests);
    paper.finish()
}

fn answer(points: &[StorePoint]) -> Line {
    let placed = || points.iter().filter(|p| p.clears_min.is_some());
    let minutes = |p: &StorePoint| p.clears_min.unwrap_or(f64::INFINITY);
    let tested = points.iter().filter(|p| p.factor <= 1.0).count();
    let fastest = placed()
        .filter(|p| p.factor <= 1.0)
        .min_by(|a, b| minutes(a).total_cmp(&minutes(b)));
    let binder = placed().max_by(|a, b| a.bound.total_cmp(&b.bound));
    let count = |n: usize| Arg::Number(n as f64, 0);
    let (Some(fastest), Some(binder)) = (fastest, binder) else {
        return say!(
            "No dye of {all} has a strip test: what clears is not known yet. Do the strips.",
            "Belum ada uji cabut dari {all} pewarna: yang tercabut belum diketahui. Lakukan uji cabut.",
            all = count(points.len())
        );
    };
    if fastest.id == binder.id {
        return say!(
            "Of {all} dyes {tested} have a strip test. {fast} clears quickest of these, in {minutes} min, and binds best, \
             {bound} %.",
            "Dari {all} pewarna, {tested} punya uji cabut. {fast} tercabut tercepat, {minutes} menit, dan paling terikat, \
             {bound} %.",
            all = count(points.len()),
            tested = count(tested),
            fast = Arg::Name(fastest.name.clone()),
            minutes = Arg::Number(minutes(fastest), 0),
            bound = Arg::Number(100.0 * fastest.bound, 0)
        );
    }
    say!(
        "Of {all} dyes {tested} have a strip test. {fast} clears quickest, in {minutes} min, and is {fast_bound} % bound; \
         {slow} binds best, {slow_bound} %.",
        "Dari {all} pewarna, {tested} punya uji cabut. {fast} tercabut tercepat, {minutes} menit, dan terikat {fast_bound} \
         %; {slow} paling terikat, {slow_bound} %.",
        all = count(points.len()),
        tested = count(tested),
        fast = Arg::Name(fastest.name.clone()),
        minutes = Arg::Number(minutes(fastest), 0),
        fast_bound = Arg::Number(100.0 * fastest.bound, 0),
        slow = Arg::Name(binder.name.clone()),
        slow_bound = Arg::Number(100.0 * binder.bound, 0)
    )
}

fn rests(store: Store) -> Line {
    let quantity = |si: f64, measure: Measure| Arg::Quantity(Quantity::new(si, measure));
    say!(
        "Rest of {rest} at {cloth}. Bath of {chlorine} g/L available chlorine, {bath}, pH {ph}. Clear: 2 % of what chlorine \
         can take is left. Filled: strip test. Hollow: rate assumed, anywhere on its thread. Bleach gives off gas with \
         acid: never mix; follow local rules.",
        "Didiamkan {rest} pada {cloth}. Bak {chlorine} g/L klorin tersedia, {bath}, pH {ph}. Tercabut: tersisa 2 % dari yang \
         bisa dicabut klorin. Penuh: ada uji cabut. Kosong: laju perkiraan, di mana pun sepanjang garisnya. Pemutih dan \
         asam melepaskan gas beracun: jangan dicampur; ikuti aturan setempat.",
        rest = quantity(store.rest.0, Measure::Span),
        cloth = quantity(store.cloth.0, Measure::Temperature),
        chlorine = Arg::Number(store.chlorine, 1),
        bath = quantity(store.bath.0, Measure::Temperature),
        ph = Arg::Number(store.ph, 1)
    )
}

/// Minutes on a logarithmic axis, quick at the top; shares on a straight one.
struct Scale {
    least: f64,
    most: f64,
    bound: (f64, f64),
}

impl Scale {
    fn of(points: &[StorePoint]) -> Self {
        let ends = points
            .iter()
            .filter_map(|p| p.clears_min.map(|m| (m / p.factor, m * p.factor)));
        let (least, most) = ends.fold((f64::INFINITY, 0.0_f64), |(l, h), (a, b)| (l.min(a), h.max(b)));
        // Tens of per cent around the dyes, and not so few that small differences look large.
        let bounds = || {
            points
                .iter()
                .filter(|p| p.clears_min.is_some())
                .map(|p| p.bound.clamp(0.0, 1.0))
        };
        let low = ((bounds().fold(1.0, f64::min) - 0.05) * 10.0).floor() / 10.0;
        let high = ((bounds().fold(0.0, f64::max) + 0.05) * 10.0).ceil() / 10.0;
        let bound = if high - low < 0.4 {
            (0.0, 1.0)
        } else {
            (low.max(0.0), high.min(1.0))
        };
        if least > most {
            return Self {
                bound: (0.0, 1.0),
                least: 1.0,
                most: 100.0,
            };
        }
        Self {
            bound,
            least: least / 1.25,
            most: (most * 1.25).max(least * 4.0),
        }
    }

    fn x(&self, bound: f64) -> f64 {
        let share = (bound - self.bound.0) / (self.bound.1 - self.bound.0);
        LEFT + (RIGHT - LEFT) * share.clamp(0.0, 1.0)
    }

    fn y(&self, minutes: f64) -> f64 {
        let share = (minutes / self.least).ln() / (self.most / self.least).ln();
        TOP + (BOTTOM - TOP) * share.clamp(0.0, 1.0)
    }
}

fn axes(paper: &mut Paper, scale: &Scale, store: Store) {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0];
    for minutes in steps
        .into_iter()
        .filter(|m| *m >= scale.least && *m <= scale.most)
    {
        let y = scale.y(minutes);
        paper.line((LEFT, y), (RIGHT, y), HAIR, 0.8, "");
        let text = format!("{} min", paper.voice.number(minutes, 0));
        paper.text((LEFT - 10.0, y + 4.0), Hold::End, Style::Small, &text);
    }
    let tens = |share: f64| (share * 10.0).round() as u32;
    for ten in tens(scale.bound.0)..=tens(scale.bound.1) {
        let share = f64::from(ten) / 10.0;
        let x = scale.x(share);
        paper.line((x, BOTTOM), (x, BOTTOM + 6.0), INK, 1.0, "");
        let text = format!("{} %", paper.voice.number(100.0 * share, 0));
        paper.text((x, BOTTOM + 22.0), Hold::Middle, Style::Small, &text);
    }
    paper.line((LEFT, BOTTOM), (RIGHT, BOTTOM), INK, 1.2, "");
    let up = say!(
        "time to clear (quick at the top)",
        "waktu tercabut (cepat di atas)"
    );
    paper.say((LEFT - 60.0, TOP - 14.0), Hold::Start, Style::Strong, &up);
    let along = say!(
        "bound after {rest} of rest",
        "terikat setelah didiamkan {rest}",
        rest = Arg::Quantity(Quantity::new(store.rest.0, Measure::Span))
    );
    paper.say((RIGHT, BOTTOM + 46.0), Hold::End, Style::Strong, &along);
}

const RADIUS: f64 = 8.0;

fn marks(paper: &mut Paper, scale: &Scale, points: &[StorePoint], dyes: &[&DyeCard]) {
    let mut placed: Vec<(f64, f64, &StorePoint, &DyeCard)> = points
        .iter()
        .zip(dyes)
        .filter_map(|(p, card)| Some((scale.x(p.bound), scale.y(p.clears_min?), p, *card)))
        .collect();
    placed.sort_by(|a, b| {
        (a.1, a.0)
            .partial_cmp(&(b.1, b.0))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    spread(&mut placed);
    for (px, _, point, _) in &placed {
        if let Some(minutes) = point.clears_min.filter(|_| point.factor > 1.0) {
            let (quick, slow) = (scale.y(minutes / point.factor), scale.y(minutes * point.factor));
            paper.line((*px, quick), (*px, slow), EDGE, 0.9, "");
        }
    }
    let centres: Vec<(f64, f64)> = placed.iter().map(|p| (p.0, p.1)).collect();
    let mut names = Names::new(centres, RADIUS, [LEFT, 0.0, WIDTH - 8.0, BOTTOM]);
    // Dyes with a strip test choose first.
    let mut order: Vec<usize> = (0..placed.len()).collect();
    order.sort_by_key(|i| placed[*i].2.factor > 1.0);
    for (px, py, point, _) in order.iter().map(|i| &placed[*i]) {
        let style = if point.factor > 1.0 {
            Style::Plain
        } else {
            Style::Strong
        };
        names.place(paper, (*px, *py), style, &point.name);
    }
    for (px, py, point, card) in &placed {
        let cloth = ks_spectrum(white_cotton());
        let shade = dyed_reflectance(&[(10.0, &card.unit_ks)], card.k_max.value, &cloth);
        let colour = hex(&shade);
        if point.factor > 1.0 {
            paper.dot((*px, *py), 6.5, PAPER, INK, 4.6);
            paper.dot((*px, *py), 6.5, "none", &colour, 2.8);
        } else {
            paper.dot((*px, *py), RADIUS, &colour, INK, 1.4);
        }
    }
    names.write(paper);
}

/// Dyes at the same place are moved sideways, so that each can be seen.
fn spread(placed: &mut [(f64, f64, &StorePoint, &DyeCard)]) {
    for i in 1..placed.len() {
        while placed[..i]
            .iter()
            .any(|p| (p.0 - placed[i].0).hypot(p.1 - placed[i].1) < 2.0 * RADIUS)
            && placed[i].0 < RIGHT + 40.0
        {
            placed[i].0 += 2.0 * RADIUS;
        }
    }
}
