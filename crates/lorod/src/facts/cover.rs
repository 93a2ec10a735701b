//! The cover of a pack: what to read first, and what is not certain yet, each computed for the designs that lie in it.

use super::left::{Known, Left, Part, Stand, left, worked_out};
use super::plan::Planned;
use papers::{Cover, Doubts, First};
use route::{Constant, Design, Kind, LotShape, Workshop};
use std::sync::Arc;
use words::{Arg, Line, Origin, say};
use workspace::Workspace;

/// Makes it. The first window of each design is worked out for it: a second or two each.
pub fn cover(workspace: &Workspace, designs: &[&Arc<Design>], planned: Option<&Planned>) -> Cover {
    let about = &workspace.collection;
    let mut tests = Vec::new();
    let mut doubts = Vec::new();
    if !about.is_signed() {
        doubts.push(Doubts {
            about: String::new(),
            said: vec![say!(
                "nobody has signed the collection: ask who hands it over before work begins",
                "koleksi belum bernama: tanyakan siapa yang menyerahkan sebelum mulai"
            )],
        });
    }
    for design in designs {
        let (window, regions) = worked_out(workspace, design);
        if let Some(test) = window.as_ref().and_then(cloth::window::Window::test_first) {
            tests.push((design.name.clone(), test));
        }
        let known = Known {
            window: window.as_ref(),
            regions: regions.as_deref(),
            // This is the pack.
            packed: true,
        };
        let open = left(workspace, design, known).into_iter().filter_map(doubted);
        let mut said: Vec<Line> = open.collect();
        if let Some(shop) = &workspace.workshop {
            said.extend(assumed(design, shop));
        }
        if !said.is_empty() {
            doubts.push(Doubts {
                about: design.name.clone(),
                said,
            });
        }
    }
    let said = planned.map_or_else(Vec::new, |planned| promised(designs, planned));
    if !said.is_empty() {
        doubts.push(Doubts {
            about: String::new(),
            said,
        });
    }
    Cover {
        workshop: workspace
            .workshop
            .as_ref()
            .map_or_else(String::new, |shop| shop.name.clone()),
        collection: about.name.clone(),
        by: about.by(),
        note: about.note.clone(),
        first: first(workspace, designs, tests),
        doubts,
    }
}

/// What is read before anything is touched.
fn first(workspace: &Workspace, designs: &[&Arc<Design>], tests: Vec<(String, Line)>) -> Vec<First> {
    let mut first = Vec::new();
    let mut add = |danger, said| {
        first.push(First {
            about: String::new(),
            said,
            danger,
        });
    };
    let kinds =
        |design: &Design| -> Vec<&'static Kind> { design.steps.iter().map(|s| s.operation.kind()).collect() };
    if designs
        .iter()
        .any(|design| kinds(design).iter().any(|kind| !kind.cautions.is_empty()))
    {
        add(
            true,
            say!(
                "Cautions stand on the first page of every card and sheet. Local rules and the maker's safety sheets come first.",
                "Peringatan ada di halaman pertama tiap kartu dan lembar. Utamakan aturan setempat dan lembar keselamatan dari pembuat bahan."
            ),
        );
    }
    if let Some(shop) = &workspace.workshop {
        let dumped = |design: &&Arc<Design>| {
            let lot = LotShape::new(&design.id, 1, 0, design.cloth);
            !route::dumps(design, &lot, shop).is_empty()
        };
        if designs.iter().any(dumped) {
            add(
                true,
                say!(
                    "Antichlor for the cloth and antichlor for emptying a tank are two doses on two cards: never take one for the other.",
                    "Penetral klorin untuk kain dan untuk membuang isi bak adalah dua takaran di dua kartu: jangan tertukar."
                ),
            );
        }
    }
    if designs.iter().any(|design| !design.stamps.is_empty()) {
        add(
            false,
            say!(
                "Stamps are drawn at full size: print those pages at 100 %, and measure the bar before copper is bent.",
                "Cap digambar dalam ukuran penuh: cetak halamannya 100 persen, dan ukur garisnya sebelum tembaga dibengkokkan."
            ),
        );
    }
    add(
        false,
        say!(
            "Pictures are computed. Dye one piece, have it approved, and judge the lots by that piece.",
            "Gambar dihitung. Warnai satu potong, mintakan persetujuan, dan nilai partai menurut potongan itu."
        ),
    );
    first.extend(tests.into_iter().map(|(about, said)| First {
        about,
        said,
        danger: false,
    }));
    first
}

/// What is not certain about a part of the work.
fn doubted(left: Left) -> Option<Line> {
    match (left.part, left.stand) {
        (Part::Pack, _) | (_, Stand::Good) => None,
        (Part::Orders, _) => Some(say!(
            "nobody has ordered it yet: its cards are for one bolt on trial",
            "belum ada yang memesan: kartunya untuk satu gulung percobaan"
        )),
        _ => Some(left.said),
    }
}

/// How many of the constants that a route rests on are only assumed, and which is the widest; and the dyes whose colours
/// are.
fn assumed(design: &Design, shop: &Workshop) -> Vec<Line> {
    let mut all: Vec<&'static Constant> = Vec::new();
    for constant in design
        .steps
        .iter()
        .flat_map(|step| step.operation.kind().constants)
    {
        if !all.iter().any(|known| known.key == constant.key) {
            all.push(constant);
        }
    }
    let guessed: Vec<(&Constant, f64)> = all
        .iter()
        .filter_map(|constant| match shop.constants.known(constant).origin {
            Origin::Assumed { factor, .. } if factor > 1.0 => Some((*constant, factor)),
            _ => None,
        })
        .collect();
    let mut said = Vec::new();
    if let Some((widest, factor)) = guessed.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
        said.push(say!(
            "{n} of the {all} constants behind its route are assumed; least sure, within a factor of {factor}: {what}",
            "{n} dari {all} tetapan di balik alurnya baru perkiraan; paling kurang pasti, dalam faktor {factor}: {what}",
            n = Arg::Number(guessed.len() as f64, 0),
            all = Arg::Number(all.len() as f64, 0),
            what = Arg::Text(&widest.text),
            factor = Arg::Number(*factor, 1)
        ));
    }
    let dyes = design
        .dyes
        .iter()
        .filter(|card| matches!(card.spectrum, Origin::Assumed { .. }));
    let dyes: Vec<&str> = dyes.map(|card| card.name.as_str()).collect();
    if !dyes.is_empty() {
        said.push(say!(
            "the colours of these dyes are assumed, not measured: {dyes}",
            "warna pewarna ini perkiraan, belum diukur: {dyes}",
            dyes = Arg::Name(dyes.join(", "))
        ));
    }
    said
}

/// Orders of the designs that the plan finishes after their promise.
fn promised(designs: &[&Arc<Design>], planned: &Planned) -> Vec<Line> {
    let runs = planned
        .mapped
        .lots
        .iter()
        .zip(&planned.mapped.problem.lots)
        .enumerate();
    let late = runs.filter_map(|(at, (run, lot))| {
        let minutes = planned.late(at).filter(|minutes| *minutes > 0)?;
        designs.iter().any(|design| design.id == run.design).then(|| {
            say!(
                "lot {lot} is planned to be done {days} days after its promise",
                "partai {lot} direncanakan selesai {days} hari sesudah janji",
                lot = Arg::Name(lot.name.clone()),
                days = Arg::Number(minutes as f64 / 1440.0, 1)
            )
        })
    });
    late.collect()
}
