//! Stamps that belong together: a fill in register with its outlines, a border with its corner.

use route::{Design, StampUse, Workshop, hand_error};
use stamp::{
    Area, Band, BandSeam, ClosedBand, HandError, Laid, Misfits, Register, Slip, Slips, Tight, Tolerance,
    Visible, room_for,
};
use words::{Text, Voice, text};

/// Pairs tried to see what slips do: their share is then known to 1 % or better.
const TRIED: u32 = 4000;

fn unit(i: i32, j: i32, n: u32) -> f32 {
    field::unit(field::hash2(i, j, n.wrapping_mul(0x9E37_79B1)))
}

/// The edges of a bolt, by the quarters of a turn of the runs along them.
pub const EDGES: [&Text; 4] = [
    text!("first end", "ujung awal"),
    text!("right selvedge", "tepi kanan"),
    text!("last end", "ujung akhir"),
    text!("left selvedge", "tepi kiri"),
];

/// How a fill stands to its outlines.
#[derive(Clone, Debug)]
pub struct InRegister {
    /// Id of the stamp with the outlines.
    pub outline: String,
    /// Id of the stamp that fills them.
    pub fill: String,
    /// The two, edge by edge.
    pub set: Register,
    /// Room that is asked for, see [`room_for`], mm.
    pub least_mm: f64,
    /// Room that the drawing leaves, mm; none if no outline is near the fill.
    pub room_mm: Option<f64>,
    /// Where it leaves less.
    pub tight: Vec<Tight>,
    /// How exactly the workshop sets an impression.
    pub hand: HandError,
    /// Pairs set so, and how many of them show a misfit.
    pub misfits: Misfits,
}

impl InRegister {
    /// The set that a stamp belongs to, as outline or as fill; none if it stands for itself.
    pub fn of(design: &Design, used: &StampUse, shop: &Workshop) -> Option<Self> {
        let fill = match &used.register {
            Some(_) => used,
            None => design
                .stamps
                .iter()
                .find(|other| other.register.as_ref() == Some(&used.id))?,
        };
        let outline = fill.register.as_ref()?;
        let outline = design.stamps.iter().find(|other| other.id == *outline)?;
        let (set, visible) = (
            Register::of(&outline.stamp, &fill.stamp, fill.layout),
            Visible::default(),
        );
        let hand = hand_error(shop);
        let least_mm = room_for(&hand);
        Some(Self {
            outline: outline.id.clone(),
            fill: fill.id.clone(),
            least_mm,
            room_mm: set.room_mm(&visible),
            tight: set.tight(least_mm, &visible),
            misfits: set.misfits(&hand, &visible, TRIED, unit),
            set,
            hand,
        })
    }

    /// As drawn, and with the fill slipped.
    pub fn picture(&self, slip: &Slip, voice: Voice) -> String {
        self.set.picture(slip, self.least_mm, &Visible::default(), voice)
    }
}

/// A border on a design's cloth.
#[derive(Clone, Debug)]
pub struct Bordered {
    /// Where it runs.
    pub band: Band,
    /// Its impressions.
    pub laid: Laid,
    /// Whether it joins itself and its corner.
    pub seams: Vec<BandSeam>,
    /// The same with what breaks closed.
    pub closed: ClosedBand,
    /// How exactly the workshop sets an impression.
    pub hand: HandError,
    /// Impressions of the border set so, and how many of them show a break.
    pub slips: Slips,
    /// Width and length of the bolt, mm.
    pub cloth_mm: [f64; 2],
    areas: (Area, Option<Area>),
}

impl Bordered {
    /// The border that a stamp prints; none if it prints all over the cloth.
    pub fn of(design: &Design, used: &StampUse, shop: &Workshop) -> Option<Self> {
        let (band, border) = (used.band()?, used.border.as_ref()?);
        let cloth_mm = [design.cloth.width, design.cloth.length].map(|length| length.to_mm());
        let corner = border.corner.as_ref().map(|(_, stamp, _)| stamp.area().clone());
        let area = used.stamp.area().clone();
        let hand = hand_error(shop);
        Some(Self {
            slips: band.slips(&area, &hand, &Visible::default(), TRIED, unit),
            hand,
            seams: band.seams(&area, corner.as_ref(), &Tolerance::default()),
            closed: band.close(&area, corner.as_ref(), &Tolerance::default()),
            laid: band.on(cloth_mm),
            band,
            cloth_mm,
            areas: (area, corner),
        })
    }

    /// The corner with every break numbered.
    pub fn picture_of_joins(&self, voice: Voice) -> String {
        let (border, corner) = (&self.areas.0, self.areas.1.as_ref());
        self.band.picture_of_joins(border, corner, &self.seams, voice)
    }

    /// The same as proposed.
    pub fn picture_of_closed(&self, voice: Voice) -> String {
        let closed = &self.closed;
        self.band
            .picture_of_joins(&closed.border, closed.corner.as_ref(), &closed.seams, voice)
    }

    /// The piece with every impression.
    pub fn picture_of_piece(&self, voice: Voice) -> String {
        let (border, corner) = (&self.areas.0, self.areas.1.as_ref());
        self.band
            .picture_of_piece(border, corner, &self.laid, self.cloth_mm, voice)
    }
}
