//! `lorod compare`: a photograph of real cloth beside what was approved.

use super::end::{design, open, shop};
use super::lettering::contact_sheet;
use super::progress::Progress;
use super::table::Table;
use super::{End, out, tell, wire};
use crate::facts::photo::{self, ALLOWANCE, Piece};
use ::cloth::photo::{Compared, Measure};
use ::cloth::{Picture, Region, png};
use clap::Args;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use words::{Place, Text, Voice, say, text};
use workspace::{Photograph, Source, photograph};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod compare my-cloth sea-fan bolt-7.toml -o bolt-7.png
  lorod compare my-cloth sea-fan bolt-7.toml --approved strike-1.toml strike-2.toml strike-3.toml

Each .toml file describes one photograph: cloth under a white card with a window of known size, a grey card or a colour
target beside the window.

  picture = \"bolt-7.jpg\"
  window = [\"240 mm\", \"240 mm\"]          # across, along the cloth
  corners = [[260, 190], [1330, 240], [1290, 1270], [300, 1210]]   # pixels: left top, then clockwise
  card = \"18 mm\"                         # white card around the window: evens lens and lamp
  [grey]                                 # or [target] with corners, columns, rows, values = \"chart.csv\"
  corners = [[400, 1400], [520, 1404], [518, 1500], [398, 1496]]
  reflectance = \"18 %\"

Without --approved the model's own cloth of this design is the measure.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Description of the photograph
    pub photo: PathBuf,
    /// Descriptions of photographs of approved cloth, three or more
    #[arg(long, value_name = "FILE", num_args = 1..)]
    pub approved: Vec<PathBuf>,
    /// Picture to write (PNG): the cloth straight, the drawing on it, an approved piece
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Is everything within the approved range?
    within: bool,
    /// Were motif and ground told apart?
    drawing_found: bool,
    /// Share of the colours' scatter that wax against bare cloth explains.
    told: Option<f64>,
    /// Darkest over lightest light in the window before it was evened.
    fading: Option<f64>,
    /// Share of squares in which the camera's range ended.
    clipped: f64,
    /// dE00 that is added to palette ranges for the photograph itself.
    allowance: f64,
    numbers: Vec<NumberOut>,
}

/// One number beside its range.
#[derive(Serialize)]
struct NumberOut {
    measure: &'static str,
    region: Option<&'static str>,
    found: f64,
    least: f64,
    most: f64,
    within: bool,
}

/// Runs it.
///
/// # Errors
/// If there is no such design, or a photograph does not tell its colours.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let read = |path: &Path| -> Result<(Piece, Photograph), End> {
        let (described, source) = described(path)?;
        let place = Place::File {
            path: source.path.clone(),
            span: 0..0,
        };
        let folder = path.parent().unwrap_or(Path::new(""));
        let piece = photo::piece(&described, &place, folder, &design, shop)
            .map_err(|findings| End::in_source(findings, source))?;
        Ok((piece, described))
    };
    let (piece, described) = read(&ask.photo)?;
    let approved: Vec<Piece> = if ask.approved.is_empty() {
        let progress = Progress::new(&design.name);
        let made = photo::promised(&design, shop, described.window_mm, &|share| progress.at(share));
        progress.done();
        made.map_err(|f| End::refused(vec![f]))?
    } else {
        ask.approved
            .iter()
            .map(|path| Ok(read(path)?.0))
            .collect::<Result<_, End>>()?
    };
    let compared = photo::compare(&piece, &approved, &Place::Request).map_err(|f| End::refused(vec![f]))?;
    if let Some(path) = &ask.output {
        out::write(path, &sheet(&piece, &approved, voice)?)?;
    }
    if ask.json {
        wire::print(&Out {
            within: compared.iter().all(Compared::within),
            drawing_found: piece.laid.is_some(),
            told: piece.laid.as_ref().map(|laid| laid.told),
            fading: piece.fading,
            clipped: piece.sheet.clipped,
            allowance: ALLOWANCE,
            numbers: compared.iter().map(number_out).collect(),
        });
    } else {
        tell(&as_text(&piece, &compared, voice));
    }
    Ok(())
}

/// The description in a file.
pub(super) fn described(path: &Path) -> Result<(Photograph, Source), End> {
    let bytes = out::read(path, 100_000)?;
    let source = Source {
        path: path.display().to_string(),
        text: String::from_utf8_lossy(&bytes).into_owned(),
        hash: Sha256::digest(&bytes).into(),
    };
    match photograph(&source) {
        (Some(photograph), _) => Ok((photograph, source)),
        (None, findings) => Err(End::in_source(findings, source)),
    }
}

fn as_text(piece: &Piece, compared: &[Compared], voice: Voice) -> String {
    let mut out = String::new();
    let mut line = |line: words::Line| out.push_str(&format!("{}\n", line.say(voice)));
    if piece.laid.is_none() {
        line(say!(
            "The drawing was not found on this piece: it is compared as a whole, motif and ground together.",
            "Gambar cap tidak ditemukan pada potongan ini: dibandingkan seluruhnya, motif dan latar bersama."
        ));
    }
    line(photo::light(piece));
    let mut table = Table::new(&[false, false, true, true, false]);
    let say = |text: &Text| text.raw(voice.language).to_string();
    for c in compared {
        let digits = |v: f64| voice.number(v, if c.measure == Measure::Cover { 2 } else { 1 });
        table.row([
            c.region
                .map_or_else(|| say(text!("whole", "seluruhnya")), |r| say(photo::region(r))),
            say(photo::measure(c.measure)),
            digits(c.found),
            format!("{} - {}", digits(c.least), digits(c.most)),
            say(if c.within() {
                text!("as approved", "sesuai acc")
            } else {
                text!("OUTSIDE", "DI LUAR")
            }),
        ]);
    }
    out.push_str(&table.text());
    out.push_str(&format!("{}\n", photo::verdict(compared).say(voice)));
    out
}

/// The piece, the drawing on it, and an approved piece, at one scale.
fn sheet(piece: &Piece, approved: &[Piece], voice: Voice) -> Result<Vec<u8>, End> {
    let caption = |text: &Text| text.raw(voice.language).to_string();
    let mut cells = vec![
        (
            twice(&piece.picture()),
            caption(text!(
                "this cloth, straight and even",
                "kain ini, diluruskan dan diratakan"
            )),
        ),
        (
            twice(&piece.outlined()),
            caption(text!("where the stamp stood", "letak cap")),
        ),
    ];
    if let Some(other) = approved.first() {
        cells.push((twice(&other.picture()), caption(text!("approved", "di-acc"))));
    }
    let picture = contact_sheet(&cells, 3).unwrap_or_else(|| piece.picture());
    png(&picture, 144.0).map_err(|e| End::disk(Path::new("png"), &e.into()))
}

/// Every square as four pixels.
fn twice(picture: &Picture) -> Picture {
    let row = picture.width as usize * 3;
    let rgb = picture
        .rgb
        .chunks_exact(row)
        .flat_map(|row| {
            let wide: Vec<u8> = row.chunks_exact(3).flat_map(|p| [p, p].concat()).collect();
            wide.repeat(2)
        })
        .collect();
    Picture {
        width: picture.width * 2,
        height: picture.height * 2,
        rgb,
    }
}

fn number_out(c: &Compared) -> NumberOut {
    NumberOut {
        measure: match c.measure {
            Measure::Palette => "palette_distance_de00",
            Measure::MottleScale => "mottle_scale_mm",
            Measure::Contrast => "mottle_contrast_l",
            Measure::Cover => "motif_seen_over_drawn",
        },
        region: c.region.map(|r| match r {
            Region::Motif => "motif",
            Region::Ground => "ground",
        }),
        found: c.found,
        least: c.least,
        most: c.most,
        within: c.within(),
    }
}
