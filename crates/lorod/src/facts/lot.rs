//! First, middle and last bolt of a lot beside each other: how far they came apart, in palettes; whether the motif reads
//! from two metres; what became of the size.

use cloth::lot::{Led, Wander, apart, look};
use cloth::{Bolt, Picture, Reads, Refused, Shot, StandsOut, Tiling, read_halves, stands_out};
use route::{Design, LotShape, Sizes, Workshop, sizes};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use units::{Length, Measure, Quantity};
use words::{Arg, Line, Text, Voice, say, text};

/// Bolt to bolt of hand work is judged like this on the ground, mean dE (common practice, no source).
pub const USUAL: f64 = 3.0;

/// What is asked.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Name of the lot.
    pub lot: String,
    /// Bolts in it.
    pub bolts: u32,
    /// How settings stray.
    pub wander: Wander,
    /// How baths are led.
    pub led: Led,
}

/// Distances by region, dE00: (place of the waxing in the route, `None` for ground; distance).
pub type Apart = Vec<(Option<usize>, f64)>;

/// One bolt of the lot.
pub struct OneBolt {
    /// Number, from 1.
    pub number: u32,
    /// The bolt, ready to be drawn.
    pub bolt: Bolt,
    /// From the first bolt of the lot.
    pub from_first: Apart,
    /// From the design as it is written, on the same cloth.
    pub from_design: Apart,
    /// Motifs against ground, at hand and from two metres.
    pub stands_out: Vec<StandsOut>,
}

/// The lot.
pub struct Lot {
    /// Whose.
    pub design: Arc<Design>,
    /// First, middle, last; fewer in a small lot.
    pub bolts: Vec<OneBolt>,
    /// What two readings of one bolt lie apart because not all of it was looked at: less than this is no difference.
    pub reading: Apart,
    /// What becomes of the size.
    pub sizes: Sizes,
}

/// Makes the bolts. `keep_going` hears the share done.
///
/// # Errors
/// [`Refused::Stopped`] if it was told to stop.
pub fn lot(
    design: &Arc<Design>,
    shop: &Workshop,
    asked: &Asked,
    keep_going: &dyn Fn(f64) -> bool,
) -> Result<Lot, Refused> {
    let mut numbers = vec![1, asked.bolts.div_ceil(2).max(1), asked.bolts.max(1)];
    numbers.dedup();
    let mut bolts: Vec<OneBolt> = Vec::new();
    let mut first = None;
    let mut reading = Vec::new();
    for (at, number) in numbers.iter().enumerate() {
        if !keep_going(at as f64 / numbers.len() as f64) {
            return Err(Refused::Stopped);
        }
        let shape = LotShape::new(&asked.lot, asked.bolts, number - 1, design.cloth);
        let seen = look(design, &shape, shop, &asked.wander, asked.led);
        let plain = look(design, &shape, shop, &Wander::NONE, Led::BySheet);
        let steps = design.steps.len();
        if at == 0 {
            let [one, other] = read_halves(&seen.bolt, steps);
            reading = apart(&one, &other);
        }
        let from_first = first
            .as_ref()
            .map_or_else(Vec::new, |first: &Vec<cloth::Reading>| {
                apart(first, &seen.regions)
            });
        bolts.push(OneBolt {
            number: *number,
            from_first,
            from_design: apart(&plain.regions, &seen.regions),
            stands_out: stands_out(&seen.bolt, steps),
            bolt: seen.bolt,
        });
        first.get_or_insert(seen.regions);
    }
    let whole = LotShape::new(&asked.lot, asked.bolts, 0, design.cloth);
    Ok(Lot {
        design: design.clone(),
        bolts,
        reading,
        sizes: sizes(design, &whole, shop),
    })
}

impl Lot {
    /// Name of a region.
    pub fn region(&self, waxing: Option<usize>) -> Line {
        match waxing {
            None => say!("ground", "latar"),
            Some(at) => say!(
                "motif ({id})",
                "motif ({id})",
                id = Arg::Name(
                    self.design
                        .steps
                        .get(at)
                        .map_or_else(String::new, |s| s.id.clone())
                )
            ),
        }
    }
}

impl Lot {
    /// The farthest that any region of any bolt lies from the design, dE00.
    pub fn worst(&self) -> f64 {
        let all = self.bolts.iter().flat_map(|one| &one.from_design);
        all.map(|(_, distance)| *distance).fold(0.0, f64::max)
    }

    /// Whether the bolts belong together.
    pub fn verdict(&self) -> Line {
        let (worst, usual) = (Arg::Number(self.worst(), 1), Arg::Number(USUAL, 0));
        if self.worst() <= USUAL {
            say!(
                "The lot holds together: baths, wax and hands move no region by more than {worst} from the design ({usual} is usual for hand work, common practice).",
                "Partai ini rata: bak, malam, dan tangan menggeser warna paling jauh {worst} dari desain ({usual} biasa untuk kerja tangan, praktik umum).",
                worst = worst,
                usual = usual
            )
        } else {
            say!(
                "A buyer will see it: baths, wax and hands move a region by {worst} from the design, more than the {usual} that is usual for hand work (common practice).",
                "Pembeli akan melihatnya: bak, malam, dan tangan menggeser warna {worst} dari desain, lebih dari {usual} yang biasa untuk kerja tangan (praktik umum).",
                worst = worst,
                usual = usual
            )
        }
    }

    /// How well the distances are known.
    pub fn readings(&self, voice: Voice) -> Line {
        say!(
            "Distances of palettes, dE00. Two readings of one bolt lie {apart} apart: less is no difference. How far settings stray is assumed.",
            "Jarak palet, dE00. Dua bacaan dari satu gulung berjarak {apart}: di bawah itu bukan beda. Simpangan setelan masih perkiraan.",
            apart = Arg::Name(list(&self.reading, voice))
        )
    }

    /// What must be cut of white cloth.
    pub fn issue(&self) -> Line {
        let length = |l: Length| Arg::Quantity(Quantity::new(l.0, Measure::Length));
        say!(
            "Issue {issue} of white cloth for {length} finished, {width} wide.",
            "Keluarkan {issue} mori untuk {length} kain jadi, lebar {width}.",
            issue = length(self.sizes.issue),
            length = length(self.sizes.length),
            width = length(self.sizes.width)
        )
    }
}

/// Distances in one line.
pub fn list(apart: &Apart, voice: Voice) -> String {
    let parts: Vec<String> = apart
        .iter()
        .map(|(waxing, distance)| {
            let name = match waxing {
                None => text!("ground", "latar"),
                Some(_) => text!("motif", "motif"),
            };
            format!("{} {}", name.raw(voice.language), voice.number(*distance, 1))
        })
        .collect();
    parts.join(", ")
}

/// How a motif reads from two metres.
pub fn reads(stands: &StandsOut) -> &'static Text {
    match stands.reads() {
        Reads::Clearly => text!("from two metres: reads clearly", "dari dua meter: terbaca jelas"),
        Reads::Softly => text!("from two metres: reads softly", "dari dua meter: samar"),
        Reads::Drowned => text!("from two metres: drowned", "dari dua meter: tenggelam"),
    }
}

impl OneBolt {
    /// Two pictures of this bolt, finished: a piece as it lies in the hand, and the whole width.
    ///
    /// # Errors
    /// If it is stopped.
    pub fn pictures(&self, side: u32, stop: &AtomicBool) -> Result<[Picture; 2], Refused> {
        let cloth = self.bolt.lot.cloth;
        let piece = |across: Length| {
            let across = if across.0 < cloth.width.0 {
                across
            } else {
                cloth.width
            };
            let inside = |whole: Length| Length(((whole.0 - across.0) / 2.0).max(0.0));
            let shot = Shot {
                x: inside(cloth.width),
                y: inside(cloth.length),
                width: across,
                height: across,
                dpi: f64::from(side) / (across.to_mm() / 25.4),
                steps: self.bolt.design.steps.len(),
            };
            shot.take(&self.bolt, &Tiling::default(), &|_| {}, stop)
        };
        Ok([piece(Length::mm(290.0))?, piece(cloth.width)?])
    }
}
