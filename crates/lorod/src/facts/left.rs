//! What is left to do before a design can be handed over, read off the workspace itself: its drawing, its route, the
//! colours asked of it, its first window, its orders, and whether somebody has signed.
//!
//! Nothing here remembers which pages were looked at. The studio shows it along every page about a design; the cover of
//! a pack says what of it is still open.

use super::shades::route::spots;
use super::window::{Asked, find, steps};
use cloth::aim::{self, Seen};
use cloth::window::{Advice, Window};
use route::{Design, LotShape};
use stamp::BuildRule;
use std::sync::Arc;
use units::{Measure, Quantity};
use words::{Arg, Finding, Line, Place, Weight, say};
use workspace::Workspace;

/// A part of the work on a design, in the order in which it is done: a new cloth is looked at first and then its drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Can the route be walked?
    Route,
    /// Can copper follow the drawing?
    Drawing,
    /// Has the cloth the colours that were asked?
    Colours,
    /// How long may the first timed step last?
    Window,
    /// Has anybody ordered it?
    Orders,
    /// The pack, and who signs it.
    Pack,
}

impl Part {
    /// All of them, in that order.
    pub const ALL: [Self; 6] = [
        Self::Route,
        Self::Drawing,
        Self::Colours,
        Self::Window,
        Self::Orders,
        Self::Pack,
    ];
}

/// What is wrong with the size of a stamp, however it is drawn.
const SIZES: [BuildRule; 3] = [BuildRule::WiderThanCloth, BuildRule::Unhandy, BuildRule::Heavy];

/// How a part stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stand {
    /// Nothing is left.
    Good,
    /// It has not been answered yet, or nothing was asked.
    Open,
    /// Somebody should look at it; it does not keep the pack from being made.
    Look,
    /// The cloth cannot be made as it stands.
    Stop,
}

/// A part and how it stands.
#[derive(Clone, Debug)]
pub struct Left {
    /// Which.
    pub part: Part,
    /// How it stands.
    pub stand: Stand,
    /// In a few words.
    pub said: Line,
    /// What to do about it; nothing where nothing is left.
    pub act: Option<Line>,
    /// The step that it is about, if one is.
    pub step: Option<String>,
}

/// What takes seconds to know; nothing where it is not known.
#[derive(Clone, Copy, Default)]
pub struct Known<'a> {
    /// The window of the first of [`steps`].
    pub window: Option<&'a Window>,
    /// The regions with colours asked of them, as the cloth has them.
    pub regions: Option<&'a [Seen]>,
    /// Whether the pack of it as it stands was made.
    pub packed: bool,
}

/// The same, worked out: some seconds.
pub fn worked_out(workspace: &Workspace, design: &Arc<Design>) -> (Option<Window>, Option<Vec<Seen>>) {
    let Some(shop) = &workspace.workshop else {
        return (None, None);
    };
    let window = find(design, shop, &Asked::default(), &|_| true).ok();
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let seen = spots(workspace, design, &[]).ok();
    let seen = seen.and_then(|spots| aim::look(design, &lot, shop, &spots).ok());
    (window.map(|found| found.window), seen)
}

/// All parts of a design, in the order in which they are done.
pub fn left(workspace: &Workspace, design: &Design, known: Known) -> Vec<Left> {
    let stands = |part: &Part| match part {
        Part::Route => route(workspace, design),
        Part::Drawing => drawing(workspace, design),
        Part::Colours => colours(workspace, design, known.regions),
        Part::Window => window(design, known.window),
        Part::Orders => orders(workspace, design),
        Part::Pack => pack(workspace, known.packed),
    };
    Part::ALL.iter().map(stands).collect()
}

fn part(part: Part, stand: Stand, said: Line) -> Left {
    Left {
        part,
        stand,
        said,
        act: None,
        step: None,
    }
}

impl Left {
    fn act(mut self, act: Line) -> Self {
        self.act = Some(act);
        self
    }
}

fn count(n: usize) -> Arg {
    Arg::Number(n as f64, 0)
}

/// The heaviest of some findings, and how many kinds of that weight there are.
fn heaviest(findings: &[Finding]) -> (Stand, usize) {
    let kinds = |weight: Weight| {
        let mut codes: Vec<&str> = findings
            .iter()
            .filter(|f| f.weight == weight)
            .map(|f| f.code)
            .collect();
        codes.sort_unstable();
        codes.dedup();
        codes.len()
    };
    match (kinds(Weight::Wrong), kinds(Weight::Doubtful)) {
        (0, 0) => (Stand::Good, 0),
        (0, look) => (Stand::Look, look),
        (stop, _) => (Stand::Stop, stop),
    }
}

fn drawing(workspace: &Workspace, design: &Design) -> Left {
    if design.stamps.is_empty() {
        return part(
            Part::Drawing,
            Stand::Good,
            say!("made without a stamp", "dibuat tanpa cap"),
        );
    }
    let findings = workspace.examine_stamps(&design.id);
    let (stand, _) = heaviest(&findings);
    let of_size = |finding: &&Finding| SIZES.iter().any(|rule| rule.code() == finding.code);
    let (size, drawing): (Vec<&Finding>, Vec<&Finding>) = findings.iter().partition(of_size);
    let follows = drawing.iter().all(|finding| finding.weight == Weight::Note);
    match stand {
        // Nothing that the stamp page proposes makes it smaller.
        Stand::Look | Stand::Stop if follows && !size.is_empty() => part(
            Part::Drawing,
            stand,
            say!("too large for the hand", "terlalu besar untuk tangan"),
        )
        .act(say!(
            "give it a narrower repeat, or part the drawing into two stamps",
            "persempit ulangannya, atau bagi gambar menjadi dua cap"
        )),
        Stand::Good | Stand::Open => part(
            Part::Drawing,
            Stand::Good,
            say!("copper can follow it", "tembaga dapat mengikutinya"),
        ),
        Stand::Look | Stand::Stop => part(
            Part::Drawing,
            stand,
            say!(
                "copper cannot follow all of it",
                "tembaga belum dapat mengikuti semuanya"
            ),
        )
        .act(say!(
            "see where copper cannot follow the drawing, and take the changes that are proposed",
            "lihat di mana tembaga tidak dapat mengikuti gambar, lalu terima perubahan yang diusulkan"
        )),
    }
}

fn route(workspace: &Workspace, design: &Design) -> Left {
    let mut findings = workspace.examine_route(&design.id);
    if let Some(file) = workspace.design_file(&design.id) {
        findings.extend(file.findings.iter().cloned());
    }
    let (stand, kinds) = heaviest(&findings);
    let weight = if stand == Stand::Stop {
        Weight::Wrong
    } else {
        Weight::Doubtful
    };
    let places = findings.iter().filter(|f| f.weight == weight);
    let step = places
        .filter_map(|f| match &f.place {
            Place::Step { id, .. } => Some(id.clone()),
            _ => None,
        })
        .next();
    let mut told = match stand {
        Stand::Good | Stand::Open => part(
            Part::Route,
            Stand::Good,
            say!("can be made as it stands", "dapat dibuat apa adanya"),
        ),
        Stand::Look => part(
            Part::Route,
            stand,
            say!(
                "to look at along the route: {n}",
                "perlu diperiksa di alur: {n}",
                n = count(kinds)
            ),
        )
        .act(say!(
            "look at what is doubtful along the route",
            "periksa yang meragukan di sepanjang alur"
        )),
        Stand::Stop => part(
            Part::Route,
            stand,
            say!(
                "in the way of making it: {n}",
                "yang menghalangi pembuatan: {n}",
                n = count(kinds)
            ),
        )
        .act(say!(
            "decide what keeps the cloth from being made",
            "putuskan yang menghalangi pembuatan kain"
        )),
    };
    told.step = step.filter(|_| stand > Stand::Open);
    told
}

fn colours(workspace: &Workspace, design: &Design, seen: Option<&[Seen]>) -> Left {
    let asked = workspace
        .design_file(&design.id)
        .map_or(0, |file| file.targets.len());
    if asked == 0 {
        return part(
            Part::Colours,
            Stand::Open,
            say!("no colour is asked of it", "belum ada warna yang diminta"),
        )
        .act(say!(
            "name the colours that it shall carry, or leave it as it comes out",
            "sebut warna yang diinginkan, atau biarkan sejadinya"
        ));
    }
    let Some(seen) = seen else {
        return part(
            Part::Colours,
            Stand::Open,
            say!(
                "{n} colours asked, not compared yet",
                "{n} warna diminta, belum dibandingkan",
                n = count(asked)
            ),
        )
        .act(say!(
            "compare the cloth with the colours that are asked of it",
            "bandingkan kain dengan warna yang diminta"
        ));
    };
    let there = |one: &&Seen| one.difference.is_some_and(|off| off <= one.tolerance);
    let reached = seen.iter().filter(there).count();
    if reached == seen.len() {
        return part(
            Part::Colours,
            Stand::Good,
            say!(
                "all {n} colours are there",
                "semua {n} warna sesuai",
                n = count(reached)
            ),
        );
    }
    part(
        Part::Colours,
        Stand::Look,
        say!(
            "{n} of {all} colours are there",
            "{n} dari {all} warna sesuai",
            n = count(reached),
            all = count(seen.len())
        ),
    )
    .act(say!(
        "seek recipes that bring the cloth to its colours",
        "cari resep yang membawa kain ke warnanya"
    ))
}

fn window(design: &Design, known: Option<&Window>) -> Left {
    let all = steps(design);
    let Some(first) = all.first() else {
        return part(
            Part::Window,
            Stand::Good,
            say!(
                "no step goes by the clock",
                "tidak ada langkah yang memakai waktu"
            ),
        );
    };
    let of = |stand, said: Line| Left {
        step: Some(first.id.clone()),
        ..part(Part::Window, stand, said)
    };
    let term = || Arg::Term(first.term);
    let Some(window) = known else {
        return of(
            Stand::Open,
            say!(
                "{step}: not worked out yet",
                "{step}: belum dihitung",
                step = term()
            ),
        )
        .act(say!(
            "see how long the bath may hold the cloth",
            "lihat berapa lama bak boleh memegang kain"
        ));
    };
    match &window.advice {
        Advice::DoThisStrip { .. } => of(
            Stand::Look,
            say!("{step}: a test comes first", "{step}: uji dulu", step = term()),
        )
        .act(say!(
            "hand the test over with the pack: no time is safe to give before it is done",
            "serahkan ujinya bersama paket: belum ada waktu yang aman sebelum dilakukan"
        )),
        Advice::Closed { .. } => of(
            Stand::Look,
            say!(
                "{step}: no time is safe",
                "{step}: tidak ada waktu yang aman",
                step = term()
            ),
        )
        .act(say!(
            "see what would widen the window",
            "lihat apa yang memperlebar batas waktunya"
        )),
        Advice::Pull { earliest, latest, .. } => {
            let early = earliest.is_some_and(|least| first.designed.0 < least.0);
            let late = latest.is_some_and(|most| first.designed.0 > most.0);
            if early || late {
                of(
                    Stand::Look,
                    say!(
                        "{step}: the design's time is outside",
                        "{step}: waktu desain di luar batas",
                        step = term()
                    ),
                )
                .act(say!(
                    "set the time inside its window",
                    "setel waktunya di dalam batas"
                ))
            } else {
                let time = Arg::Quantity(Quantity::new(first.designed.0, Measure::Span));
                of(
                    Stand::Good,
                    say!(
                        "{step}: {time} is inside",
                        "{step}: {time} di dalam batas",
                        step = term(),
                        time = time
                    ),
                )
            }
        }
        Advice::Indifferent => of(
            Stand::Good,
            say!(
                "{step}: time hardly shows",
                "{step}: waktu hampir tidak tampak",
                step = term()
            ),
        ),
    }
}

fn orders(workspace: &Workspace, design: &Design) -> Left {
    let own: Vec<_> = workspace
        .orders
        .iter()
        .filter(|order| order.design == design.id)
        .collect();
    let bolts: u32 = own.iter().map(|order| order.bolts).sum();
    if own.is_empty() {
        return part(
            Part::Orders,
            Stand::Open,
            say!("nobody has ordered it", "belum ada yang memesan"),
        )
        .act(say!(
            "promise some, or hand it over with cards for one bolt on trial",
            "janjikan, atau serahkan dengan kartu untuk satu gulung percobaan"
        ));
    }
    part(
        Part::Orders,
        Stand::Good,
        if bolts == 1 {
            say!("1 bolt is ordered", "1 gulung dipesan")
        } else {
            say!(
                "{n} bolts are ordered",
                "{n} gulung dipesan",
                n = count(bolts as usize)
            )
        },
    )
}

fn pack(workspace: &Workspace, packed: bool) -> Left {
    if workspace.collection.is_signed() {
        if packed {
            return part(
                Part::Pack,
                Stand::Good,
                say!("the pack is made", "paket sudah dibuat"),
            );
        }
        return part(
            Part::Pack,
            Stand::Open,
            say!("signed, to be made", "sudah bernama, tinggal dibuat"),
        )
        .act(say!("make the pack for the workshop", "buat paket untuk bengkel"));
    }
    part(Part::Pack, Stand::Open, say!("not signed yet", "belum bernama")).act(say!(
        "write your name under it, and make the pack",
        "tulis nama Anda, lalu buat paketnya"
    ))
}
