//! What may be said to the floor.

use super::clock::{clock, down, millimetres, rounded, up};
use super::doubt::{Cure, Doubt};
use super::hill::{Hill, Judge, Limits, Target};
use super::response::Response;
use super::spreads::Spreads;
use super::widen::{Widening, widenings};
use crate::Bolt;
use route::Workshop;
use units::{Length, Measure, Quantity, Span};
use words::{Arg, Finding, Origin, Term, Voice, say, text};

/// Bolts that are drawn.
const DRAWS: u32 = 10_000;
/// A clock on a wall: advice is given in these steps, s.
const CLOCK: f64 = 10.0;
/// Colours that differ less over all durations are not a matter of time, dE00.
const INDIFFERENT: f64 = 0.5;

/// What may be said.
#[derive(Clone, Debug, PartialEq)]
pub enum Advice {
    /// Stop between these; best there. Never wider than computed: rounded inwards to 10 s.
    Pull {
        /// Not before; `None` if even the shortest will do.
        earliest: Option<Span>,
        /// When most bolts pass.
        best: Span,
        /// Not after; `None` if even the longest will do.
        latest: Option<Span>,
        /// Share of bolts that pass at the best.
        chance: f64,
    },
    /// No duration lets enough bolts pass.
    Closed {
        /// The least bad.
        best: Span,
        /// Share of bolts that pass there.
        chance: f64,
    },
    /// The rates are assumed: a test gives the answer, not a number of ours.
    DoThisStrip {
        /// The test.
        cure: Cure,
        /// What it is for.
        of: Vec<String>,
    },
    /// How long the step runs does not show on the finished cloth, as far as the model knows.
    Indifferent,
}

/// The window of a timed step.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Permanent id of the step.
    pub id: String,
    /// What the step is.
    pub term: &'static Term,
    /// Its time in the design.
    pub designed: Span,
    /// What may be said.
    pub advice: Advice,
    /// Pass probability by duration, with ground error and motif loss: the trade-off curve, time as parameter.
    pub hill: Hill,
    /// What would widen it, most first.
    pub widen: Vec<Widening>,
    /// Where the weakest constant of its rate comes from, and the creep; `None` where nothing of the kind counts.
    pub origins: [Option<Origin>; 2],
    /// Assumed constants that it rests on.
    pub doubts: Vec<Doubt>,
    /// Target of the colours.
    pub target: Target,
    /// When a bolt passes.
    pub limits: Limits,
    /// How far bolts stray.
    pub spreads: Spreads,
    /// The thinnest line that is watched.
    pub line: Option<Length>,
    /// Bias: the bath works on for so long after the cloth is lifted. All durations here are of the bath alone and
    /// count on this lag.
    pub lag: Option<Span>,
    /// Bolts drawn.
    pub draws: u32,
    /// Farthest that the response surface was from full runs, dE00.
    pub error: f64,
}

/// The window of a step for a bolt that is ready to its last step. A bleach of waxed cloth is judged by how well it
/// parts ground and motif, every other step by the design's own outcome.
///
/// # Errors
/// As [`Response::new`].
#[allow(clippy::result_large_err)]
pub fn window(
    bolt: &Bolt,
    shop: &Workshop,
    step: usize,
    spreads: &Spreads,
    limits: &Limits,
) -> Result<Window, Finding> {
    let response = Response::new(bolt, shop, step, spreads)?;
    Ok(response.window(&response.usual_target(), limits))
}

impl Response {
    /// What the step is for, where nothing else is said.
    pub fn usual_target(&self) -> Target {
        if self.lines.is_some() && self.term.key == "bleach" {
            Target::Apart
        } else {
            Target::AsDesigned
        }
    }

    /// The window for a target and limits. Cheap: nothing is run again.
    pub fn window(&self, target: &Target, limits: &Limits) -> Window {
        self.window_of(target, limits, DRAWS)
    }

    /// The hill alone, over so many bolts that are done as hands do them: what the window costs without its remedies,
    /// each of which asks for a hill of its own.
    pub fn hill(&self, target: &Target, limits: &Limits, draws: u32) -> Hill {
        Judge::new(self, target, limits).hill(&self.spreads, draws, self.seed, 1.0)
    }

    /// As [`Response::window`], with so many draws.
    pub fn window_of(&self, target: &Target, limits: &Limits, draws: u32) -> Window {
        let judge = Judge::new(self, target, limits);
        let hill = judge.hill(&self.spreads, draws, self.seed, 1.0);
        let advice = self.advice(&hill);
        Window {
            id: self.id.clone(),
            term: self.term,
            designed: self.designed,
            widen: match advice {
                // Gains in minutes would rest on what is only assumed.
                Advice::Indifferent | Advice::DoThisStrip { .. } => Vec::new(),
                _ => widenings(self, &judge, &hill, draws),
            },
            advice,
            line: judge.line(),
            hill,
            doubts: self.doubts.clone(),
            origins: self.origins.clone(),
            target: *target,
            limits: *limits,
            spreads: self.spreads,
            lag: self.lines.map(|l| l.lag).filter(|lag| lag.0 > 0.0),
            draws,
            error: self.error,
        }
    }

    fn advice(&self, hill: &Hill) -> Advice {
        let shades = |at: usize| hill.points.get(at).map(|p| p.shades);
        let (first, last) = (shades(0), shades(hill.points.len() - 1));
        let moved = first
            .into_iter()
            .zip(last)
            .flat_map(|(a, b)| a.into_iter().zip(b));
        let moved = moved
            .filter_map(|(a, b)| Some(a?.distance(b?)))
            .fold(0.0, f64::max);
        if moved < INDIFFERENT {
            return Advice::Indifferent;
        }
        if let Some(worst) = self.doubts.iter().find(|d| d.cure != Cure::Wedge) {
            let of = self.doubts.iter().filter(|d| d.cure == worst.cure);
            return Advice::DoThisStrip {
                cure: worst.cure,
                of: of.map(|d| d.of.clone()).collect(),
            };
        }
        let closed = Advice::Closed {
            best: rounded(hill.best, CLOCK),
            chance: hill.chance,
        };
        hill.open.map_or(closed.clone(), |open| {
            let earliest = open.earliest.map(|t| up(t, CLOCK));
            let latest = open.latest.map(|t| down(t, CLOCK));
            let (least, most) = (
                earliest.map_or(0.0, |t| t.0),
                latest.map_or(f64::INFINITY, |t| t.0),
            );
            if least > most {
                return closed;
            }
            Advice::Pull {
                earliest,
                latest,
                best: Span(rounded(hill.best, CLOCK).0.clamp(least, most)),
                chance: hill.chance,
            }
        })
    }
}

impl Window {
    /// The test that has to come first, where one has.
    pub fn test_first(&self) -> Option<words::Line> {
        match &self.advice {
            Advice::DoThisStrip { cure, of } => Some(strip_line(*cure, of)),
            _ => None,
        }
    }

    /// The answer, in one or two sentences.
    pub fn answer(&self, voice: Voice) -> String {
        let at = |span: Span| Arg::Name(clock(span, voice));
        // Never more than there are: 99.6 of 100 are not all.
        let of_hundred = |share: f64| Arg::Number((100.0 * share + 1e-9).floor(), 0);
        let line = match &self.advice {
            Advice::Pull { best, chance, .. } if ["bleach", "dip"].contains(&self.term.key) => say!(
                "Lift at {best}.{limits} {n} of 100 bolts pass.",
                "Angkat pada {best}.{limits} Dari 100 gulung, {n} lulus.",
                best = at(*best),
                limits = Arg::Name(self.limits_said(voice)),
                n = of_hundred(*chance)
            ),
            Advice::Pull { best, chance, .. } => say!(
                "Stop at {best}.{limits} {n} of 100 bolts pass.",
                "Hentikan pada {best}.{limits} Dari 100 gulung, {n} lulus.",
                best = at(*best),
                limits = Arg::Name(self.limits_said(voice)),
                n = of_hundred(*chance)
            ),
            Advice::Closed { best, chance } => match self.hill.sides(self.limits.pass) {
                (Some(there), Some(lost)) if there.0 > lost.0 => say!(
                    "No time is safe: the ground wants {there} or more, motif and lines stand {lost}. Least bad is {best}; {n} of 100 bolts pass.",
                    "Tidak ada waktu yang aman: latar perlu {there} atau lebih, motif dan garis bertahan {lost}. Paling mendingan {best}; dari 100 gulung {n} lulus.",
                    there = at(up(there, CLOCK)),
                    lost = at(down(lost, CLOCK)),
                    best = at(*best),
                    n = of_hundred(*chance)
                ),
                _ => say!(
                    "No time is safe: at best, at {best}, {n} of 100 bolts pass, {wanted} are wanted.",
                    "Tidak ada waktu yang aman: paling baik pada {best}, dari 100 gulung {n} lulus, padahal perlu {wanted}.",
                    best = at(*best),
                    n = of_hundred(*chance),
                    wanted = of_hundred(self.limits.pass)
                ),
            },
            Advice::DoThisStrip { cure, of } => strip_line(*cure, of),
            Advice::Indifferent => say!(
                "Time hardly shows on the finished cloth here, as far as this model knows. Go by the done-when of the card.",
                "Di sini lama waktu hampir tidak tampak di kain jadi, sejauh yang diketahui model ini. Ikuti tanda selesai di kartu."
            ),
        };
        line.say(voice)
    }

    fn limits_said(&self, voice: Voice) -> String {
        let Advice::Pull { earliest, latest, .. } = &self.advice else {
            return String::new();
        };
        let at = |span: &Span| Arg::Name(clock(*span, voice));
        let line = match (earliest, latest) {
            (Some(earliest), Some(latest)) => say!(
                " Not before {earliest}, not after {latest}.",
                " Jangan sebelum {earliest}, jangan lewat {latest}.",
                earliest = at(earliest),
                latest = at(latest)
            ),
            (Some(earliest), None) => say!(
                " Not before {earliest}; longer does no harm.",
                " Jangan sebelum {earliest}; lebih lama tidak apa-apa.",
                earliest = at(earliest)
            ),
            (None, Some(latest)) => say!(
                " Not after {latest}.",
                " Jangan lewat {latest}.",
                latest = at(latest)
            ),
            (None, None) => return String::new(),
        };
        line.say(voice)
    }

    /// What a careful reader must know of the answer.
    pub fn small_print(&self, voice: Voice) -> Vec<String> {
        let share = |s: f64| Arg::Quantity(Quantity::new(s, Measure::Share));
        let by = Arg::Text;
        let origin = |which: usize| {
            let none = text!("it does not count here", "tidak berperan di sini");
            self.origins[which].as_ref().map_or(none, Origin::mark)
        };
        let mut lines = vec![
            say!(
                "Colours are of finished cloth, pooled over {places} places of the bolt. A bolt passes when its ground lies within {ground} dE00 and its motif within {motif} dE00 of target. {draws} bolts drawn.",
                "Warna kain jadi, dikumpulkan dari {places} tempat di gulung. Gulung lulus bila latar dalam {ground} dE00 dan motif dalam {motif} dE00 dari sasaran. {draws} gulung diundi.",
                places = Arg::Number(super::places::PLACES as f64, 0),
                ground = Arg::Number(self.limits.ground, 1),
                motif = Arg::Number(self.limits.motif, 1),
                draws = Arg::Number(f64::from(self.draws), 0)
            ),
            say!(
                "95 of 100 bolts are expected within: strength {strength} ({bath}), temperature {warm} ({warmth}), start and stop {clock} ({hands}), rate a factor of {rate} ({speed}), creep a factor of {creep} ({edges}).",
                "95 dari 100 gulung diperkirakan dalam: kekuatan {strength} ({bath}), suhu {warm} ({warmth}), mulai dan angkat {clock} ({hands}), laju faktor {rate} ({speed}), rambatan faktor {creep} ({edges}).",
                bath = by(self.spreads.said_by(0)),
                warmth = by(self.spreads.said_by(1)),
                hands = by(self.spreads.said_by(2)),
                speed = by(origin(0)),
                edges = by(origin(1)),
                strength = share(self.spreads.strength),
                warm = Arg::Quantity(Quantity::new(
                    self.spreads.temperature,
                    Measure::TemperatureDifference
                )),
                clock = Arg::Name(clock(self.spreads.handling, voice)),
                rate = Arg::Number(self.spreads.rate, 2),
                creep = Arg::Number(self.spreads.creep, 2)
            ),
        ];
        if let Some(width) = self.line {
            lines.push(say!(
                "The thinnest lines, {width} wide, must keep {keep} of their width.",
                "Garis tertipis, lebar {width}, harus tersisa {keep} lebarnya.",
                width = Arg::Name(millimetres(width, voice)),
                keep = share(self.limits.keep)
            ));
        }
        if let Some(lag) = self.lag {
            lines.push(say!(
                "The bath works on for {lag} after lifting: that is counted. Slower to the antichlor, lift that much sooner.",
                "Pemutih masih bekerja {lag} setelah diangkat: sudah dihitung. Bila ke penetral lebih lambat, angkat lebih cepat sebanyak itu.",
                lag = Arg::Name(clock(lag, voice))
            ));
        }
        if self.spreads.ends.0 > 0.0 {
            lines.push(say!(
                "Last in, first out: the ends of a bolt differ by {ends}; both must pass.",
                "Masuk terakhir, keluar dulu: kedua ujung berbeda {ends}; keduanya harus lulus.",
                ends = Arg::Name(clock(self.spreads.ends, voice))
            ));
        }
        if self.doubts.iter().any(|d| d.cure == Cure::Wedge) {
            lines.push(say!(
                "How fast the bath creeps under the wax is assumed: stamp a line wedge on every strike-off.",
                "Kecepatan rambatan di bawah malam masih perkiraan: cap baji garis pada tiap contoh."
            ));
        }
        lines.iter().map(|line| line.say(voice)).collect()
    }
}

fn strip_line(cure: Cure, of: &[String]) -> words::Line {
    let of = Arg::Name(of.join(", "));
    match cure {
        Cure::Strip => say!(
            "Do this strip: hang an unwaxed strip of this dyeing in the bath first and note when it reaches the 10 % tint; clear comes at 1.7 times that. How fast {of} clears is only assumed.",
            "Lakukan uji ini: masukkan dulu satu potong tanpa malam ke bak dan catat saat mencapai warna 10 %; bersih pada 1,7 kali waktu itu. Kecepatan cabut {of} baru perkiraan.",
            of = of
        ),
        Cure::Piece | Cure::Wedge => say!(
            "Try a piece of this cloth first and look at it finished. What decides the time ({of}) is only assumed.",
            "Coba dulu satu potong kain ini sampai jadi, lalu lihat. Yang menentukan waktunya ({of}) baru perkiraan.",
            of = of
        ),
    }
}
