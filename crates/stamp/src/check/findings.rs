//! What a check found, in words: one finding a fault, the worst of each rule first.

use super::{BuildRule, Fault, Report};
use crate::limits::Limit;
use crate::stamp::mm;
use units::{Measure, Quantity};
use words::{Arg, Finding, Line, Place, Text, Weight, say, text};

/// Places told for one rule; the rest is counted.
const SHOWN: usize = 8;

impl BuildRule {
    /// Its name on pictures and in lists.
    pub const fn text(self) -> &'static Text {
        match self {
            Self::ThinLine => text!("Line too thin for copper", "Garis terlalu tipis untuk tembaga"),
            Self::LostLine => text!("Line lost in the bleach", "Garis hilang saat dicabut"),
            Self::LongPoint => text!("Point thin for too long", "Ujung tipis terlalu panjang"),
            Self::NarrowGap => text!("Gap that wax fills", "Celah yang tertutup malam"),
            Self::LongNotch => text!("Notch narrow for too long", "Takik sempit terlalu panjang"),
            Self::Speck => text!("Smaller than a pin", "Lebih kecil dari paku"),
            Self::TightBend => text!("Bend too tight", "Lengkung terlalu tajam"),
            Self::ShortPiece => text!("Strip too short", "Bilah terlalu pendek"),
            Self::LonePiece => text!("Piece without neighbour", "Bagian tanpa tetangga"),
            Self::CrowdedJoints => text!("Joints too close", "Sambungan terlalu rapat"),
            Self::BetweenStrips => text!("Between one strip and two", "Antara satu dan dua bilah"),
            Self::WideFill => text!("Solid part", "Bagian penuh"),
            Self::WiderThanCloth => text!("Wider than the cloth", "Lebih lebar dari kain"),
            Self::Unhandy => text!("Large", "Besar"),
            Self::Heavy => text!("Heavy", "Berat"),
            Self::SmallForHandle => text!("Smaller than its handle", "Lebih kecil dari gagangnya"),
            Self::OffBalance => text!("Off balance", "Tidak seimbang"),
        }
    }

    /// Stable code of its findings.
    pub const fn code(self) -> &'static str {
        match self {
            Self::ThinLine => "stamp-thin-line",
            Self::LostLine => "stamp-lost-line",
            Self::LongPoint => "stamp-long-point",
            Self::NarrowGap => "stamp-narrow-gap",
            Self::LongNotch => "stamp-long-notch",
            Self::Speck => "stamp-specks",
            Self::TightBend => "stamp-tight-bend",
            Self::ShortPiece => "stamp-short-piece",
            Self::LonePiece => "stamp-lone-piece",
            Self::CrowdedJoints => "stamp-crowded-joints",
            Self::BetweenStrips => "stamp-between-strips",
            Self::WideFill => "stamp-fill",
            Self::WiderThanCloth => "stamp-wider-than-cloth",
            Self::Unhandy => "stamp-unhandy",
            Self::Heavy => "stamp-heavy",
            Self::SmallForHandle => "stamp-small-for-handle",
            Self::OffBalance => "stamp-off-balance",
        }
    }

    /// What to do about it.
    pub fn remedy(self) -> Line {
        match self {
            Self::ThinLine | Self::LostLine => {
                say!(
                    "Make the line thicker, or leave it out.",
                    "Tebalkan garisnya, atau hilangkan."
                )
            }
            Self::LongPoint => {
                say!(
                    "End it sooner, or thicken it towards its end.",
                    "Akhiri lebih awal, atau tebalkan ujungnya."
                )
            }
            Self::NarrowGap => say!("Open the gap, or close it.", "Lebarkan celahnya, atau tutup."),
            Self::LongNotch => say!(
                "Open the notch, or end it sooner.",
                "Lebarkan takiknya, atau perpendek."
            ),
            Self::Speck => say!("Delete it or make it larger.", "Hapus atau perbesar."),
            Self::TightBend => {
                say!(
                    "Round it, or draw a sharp corner: that is cut and soldered.",
                    "Bulatkan, atau gambar sudut tajam: itu dipotong dan dipatri."
                )
            }
            Self::ShortPiece => say!("Make it longer, or a dot.", "Panjangkan, atau jadikan titik."),
            Self::LonePiece => {
                say!(
                    "Join it to a neighbour, or put one beside it.",
                    "Sambungkan ke tetangga, atau beri teman di dekatnya."
                )
            }
            Self::CrowdedJoints => say!(
                "Move the lines apart where they meet.",
                "Pisahkan garis di tempat bertemu."
            ),
            Self::BetweenStrips => {
                say!(
                    "Draw it thinner for one strip, or wider for two.",
                    "Tipiskan untuk satu bilah, atau lebarkan untuk dua."
                )
            }
            Self::WideFill => {
                say!(
                    "Hatch it inside, or let light lines into it.",
                    "Beri isian bilah, atau sisipkan garis terang."
                )
            }
            Self::WiderThanCloth => say!("Make the stamp smaller.", "Kecilkan cap."),
            Self::Unhandy | Self::Heavy => {
                say!(
                    "Split it into two stamps, or make it smaller.",
                    "Bagi menjadi dua cap, atau kecilkan."
                )
            }
            Self::SmallForHandle => {
                say!(
                    "Put two motifs on one stamp, or let the handle stand out.",
                    "Gabung dua motif dalam satu cap, atau biarkan gagang menonjol."
                )
            }
            Self::OffBalance => {
                say!(
                    "Set the handle over the copper, not over the middle.",
                    "Pasang gagang di atas titik berat, bukan di tengah."
                )
            }
        }
    }
}

impl Report {
    /// The findings: the worst places of each rule, then what there is to know.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut told = (None, 0);
        for fault in &self.faults {
            told = if told.0 == Some(fault.rule) {
                (told.0, told.1 + 1)
            } else {
                (Some(fault.rule), 1)
            };
            // Solid parts are told once: they are no faults.
            let most = if fault.rule == BuildRule::WideFill {
                1
            } else {
                SHOWN
            };
            if told.1 <= most {
                findings.push(self.finding(fault));
            }
        }
        if self.pieces > 1 {
            findings.push(loose_pieces(self.pieces));
        }
        findings
    }

    /// One fault in words.
    pub fn finding(&self, fault: &Fault) -> Finding {
        let (found, allowed) = (self.found(fault), self.allowed(fault));
        let place = if fault.rule > BuildRule::WideFill {
            Place::Request
        } else {
            spot(fault.at)
        };
        Finding::new(fault.rule.code(), fault.rule.weight(), place, found)
            .allow(allowed)
            .remedy(fault.rule.remedy())
    }

    fn found(&self, fault: &Fault) -> Line {
        let v = mm(fault.measured);
        let n = Arg::Number(self.count(fault.rule) as f64, 0);
        match fault.rule {
            BuildRule::ThinLine => say!(
                "A line is {v} wide ({n} in all).",
                "Garis selebar {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::LostLine => say!(
                "A line is {v} wide, and bleach creeps {x} in from each side ({n} in all).",
                "Garis selebar {v}, pemutih merambat {x} dari tiap sisi ({n} tempat seperti ini).",
                v = v,
                x = mm(self.limits.creep_mm()),
                n = n
            ),
            BuildRule::LongPoint => say!(
                "A point is too thin for {v} ({n} in all).",
                "Ujung terlalu tipis sepanjang {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::NarrowGap => say!(
                "A gap is {v} wide ({n} in all).",
                "Celah selebar {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::LongNotch => say!(
                "A notch is too narrow for {v} ({n} in all).",
                "Takik terlalu sempit sepanjang {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::Speck => say!(
                "A piece is as small as a dot of {v} ({n} in all).",
                "Bagian sekecil titik {v} ({n} bagian seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::TightBend => say!(
                "A strip bends with a radius of {v} ({n} in all).",
                "Bilah melengkung dengan jari-jari {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::ShortPiece => say!(
                "A strip is {v} long ({n} in all).",
                "Bilah sepanjang {v} ({n} bagian seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::LonePiece => say!(
                "A piece stands {v} or more from any other ({n} in all).",
                "Satu bagian berjarak {v} atau lebih dari yang lain ({n} bagian seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::CrowdedJoints => say!(
                "Two joints are {v} apart ({n} in all).",
                "Dua sambungan berjarak {v} ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::BetweenStrips => say!(
                "A line leaves {v} between its two strips ({n} in all).",
                "Garis menyisakan {v} di antara dua bilahnya ({n} tempat seperti ini).",
                v = v,
                n = n
            ),
            BuildRule::WideFill => say!(
                "Solid parts need inner strips ({n} in all): about {m} m of strip.",
                "{n} bagian penuh memerlukan bilah dalam: sekitar {m} m.",
                n = n,
                m = Arg::Number(self.build.fill_m, 1)
            ),
            BuildRule::WiderThanCloth => say!("The stamp is {v} wide.", "Cap selebar {v}.", v = v),
            BuildRule::Unhandy => say!(
                "The stamp is {v} long: heavy to set all day, and hard to keep level.",
                "Cap sepanjang {v}: berat dipakai seharian dan sulit dijaga rata.",
                v = v
            ),
            BuildRule::Heavy => say!(
                "The stamp would weigh about {w}.",
                "Berat cap sekitar {w}.",
                w = kg(fault.measured)
            ),
            BuildRule::SmallForHandle => say!(
                "The stamp is {v} across: its handle stands out.",
                "Cap selebar {v}: gagangnya menonjol.",
                v = v
            ),
            BuildRule::OffBalance => say!(
                "The copper's middle lies {p} of the smaller side off the stamp's.",
                "Titik berat tembaga bergeser {p} dari sisi terkecil.",
                p = percent(fault.measured)
            ),
        }
    }

    fn allowed(&self, fault: &Fault) -> Line {
        let v = mm(fault.limit);
        match fault.rule {
            BuildRule::ThinLine => say!(
                "At least {v}: a strip of copper prints no thinner line.",
                "Paling sedikit {v}: bilah tembaga tidak mencetak garis lebih tipis.",
                v = v
            ),
            BuildRule::LostLine => say!(
                "At least {v}: {s} should be left after {t} of bleach.",
                "Paling sedikit {v}: {s} harus tersisa sesudah dicabut {t}.",
                v = v,
                s = mm(self.limit(Limit::Survives)),
                t = Arg::Quantity(Quantity::new(self.limits.get(Limit::Bleach).value, Measure::Span))
            ),
            BuildRule::LongPoint | BuildRule::LongNotch => say!("At most {v}.", "Paling panjang {v}.", v = v),
            BuildRule::NarrowGap => say!(
                "At least {v}: wax fills a narrower gap.",
                "Paling sedikit {v}: malam mengisi celah yang lebih sempit.",
                v = v
            ),
            BuildRule::Speck => say!("A pin of {v} or more.", "Paku {v} atau lebih.", v = v),
            BuildRule::TightBend
            | BuildRule::ShortPiece
            | BuildRule::BetweenStrips
            | BuildRule::SmallForHandle => {
                say!("At least {v}.", "Paling sedikit {v}.", v = v)
            }
            BuildRule::CrowdedJoints => say!(
                "At least {v}: solder of one joint opens the next.",
                "Paling sedikit {v}: patri satu sambungan melepas yang lain.",
                v = v
            ),
            BuildRule::LonePiece => say!(
                "At most {v}: it needs a bar of the base grid for itself.",
                "Paling jauh {v}: bagian itu perlu palang sendiri.",
                v = v
            ),
            BuildRule::WideFill => say!(
                "Up to {v} the outline alone holds the wax.",
                "Sampai {v} garis luar saja menahan malam.",
                v = v
            ),
            BuildRule::WiderThanCloth => say!("The cloth is {v} wide.", "Lebar kain {v}.", v = v),
            BuildRule::Unhandy => say!("Up to {v} is handy.", "Sampai {v} masih nyaman.", v = v),
            BuildRule::Heavy => say!("At most {w}.", "Paling berat {w}.", w = kg(fault.limit)),
            BuildRule::OffBalance => say!("At most {p}.", "Paling jauh {p}.", p = percent(fault.limit)),
        }
    }
}

fn kg(value: f64) -> Arg {
    Arg::Quantity(Quantity::new((value * 10.0).round() / 10.0, Measure::Mass))
}

fn percent(share: f64) -> Arg {
    Arg::Spelled(format!("{:.0} %", share * 100.0))
}

fn spot(at: [f64; 2]) -> Place {
    Place::Drawing {
        x_um: (at[0] * 1e3).round() as i64,
        y_um: (at[1] * 1e3).round() as i64,
    }
}

fn loose_pieces(pieces: usize) -> Finding {
    Finding::new(
        "stamp-pieces",
        Weight::Note,
        Place::Request,
        say!(
            "The wax falls into {n} separate pieces: each is soldered to the grid by itself.",
            "Malam terbagi menjadi {n} bagian terpisah: tiap bagian dipatri sendiri ke rangka.",
            n = Arg::Number(pieces as f64, 0),
        ),
    )
}
