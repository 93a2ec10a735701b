//! What the workshop tried and measured, from `trials.toml`:
//!
//! ```toml
//! # An unwaxed strip of a dyeing in bleach: when a share of its own K/S was left. A printed tint will do.
//! [[strips]]
//! date = "2026-06-02"
//! dye = "coral-vs"
//! chlorine = "3 g/L"
//! temperature = "29 C"
//! ph = "10.2"
//! time = "8 min"
//! left = "10 %"
//!
//! # A wedge of wax lines on a strike-off: the widest line that was just lost.
//! [[wedges]]
//! date = "2026-06-02"
//! lost = "1.0 mm"
//! time = "15 min"        # in the bath, with the lag to antichlor
//! wax = "95 C"           # in the pan
//!
//! # A bolt weighed before and after stamping.
//! [[waxings]]
//! date = "2026-06-02"
//! design = "sea-fan"
//! step = "s12"
//! before = "1.92 kg"
//! after = "2.61 kg"
//!
//! # How long a step took on each bolt, or each load where bolts go together. Twenty make its minutes measured.
//! [[timings]]
//! date = "2026-06-02"
//! design = "sea-fan"
//! step = "s12"
//! times = ["152 min", "171 min", "148 min"]
//!
//! # What came of a forecast; it has a strip's or a wedge's keys, or says the forecast itself.
//! [[outcomes]]
//! date = "2026-07-01"
//! what = "sea-fan, load 3"
//! forecast = "15 min"
//! factor = 1.3           # 90 of 100 within
//! actual = "16 min 10 s"
//! ```

use crate::Source;
use crate::read::{Sheet, Table, parse};
use sky::Date;
use units::{Celsius, Length, Mass, Measure, Span};
use words::{Finding, Weight, say};

/// Everything that was tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trials {
    /// Strips in bleach.
    pub strips: Vec<StripTrial>,
    /// Wedges of lines.
    pub wedges: Vec<WedgeTrial>,
    /// Bolts weighed.
    pub waxings: Vec<WaxTrial>,
    /// Steps timed.
    pub timings: Vec<TimingTrial>,
    /// What came of forecasts.
    pub outcomes: Vec<OutcomeTrial>,
}

/// A strip in bleach.
#[derive(Clone, Debug, PartialEq)]
pub struct StripTrial {
    /// When.
    pub date: Date,
    /// Id of the dye.
    pub dye: String,
    /// Available chlorine, g/L.
    pub chlorine: f64,
    /// Temperature of the bath.
    pub temperature: Celsius,
    /// pH of the bath.
    pub ph: f64,
    /// Time in it.
    pub time: Span,
    /// Share of its K/S that was left.
    pub left: f64,
}

/// A wedge of lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WedgeTrial {
    /// When.
    pub date: Date,
    /// The widest line that was just lost.
    pub lost: Length,
    /// Time in the bath with its lag.
    pub time: Span,
    /// Temperature of the wax in the pan.
    pub wax: Celsius,
}

/// A bolt weighed before and after stamping.
#[derive(Clone, Debug, PartialEq)]
pub struct WaxTrial {
    /// When.
    pub date: Date,
    /// Id of the design.
    pub design: String,
    /// Id of the waxing.
    pub step: String,
    /// What the wax weighed.
    pub wax: Mass,
}

/// How long a step took, by the clock.
#[derive(Clone, Debug, PartialEq)]
pub struct TimingTrial {
    /// When.
    pub date: Date,
    /// Id of the design.
    pub design: String,
    /// Id of the step.
    pub step: String,
    /// Of each bolt, or of each load where bolts go together.
    pub times: Vec<Span>,
}

/// What came of a forecast.
#[derive(Clone, Debug, PartialEq)]
pub struct OutcomeTrial {
    /// When.
    pub date: Date,
    /// What about; may be empty.
    pub what: String,
    /// What was forecast and what came.
    pub of: Came,
}

/// What was forecast, and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Came {
    /// A strip's time to its tint: forecast from the dye's card.
    Strip(StripTrial),
    /// A wedge's lost width: forecast from the creep.
    Wedge(WedgeTrial),
    /// A time that was forecast then.
    Stated {
        /// As likely too long as too short.
        forecast: Span,
        /// 90 of 100 within this factor.
        factor: f64,
        /// What it took.
        actual: Span,
    },
}

const STRIP: [&str; 7] = ["date", "dye", "chlorine", "temperature", "ph", "time", "left"];
const WEDGE: [&str; 4] = ["date", "lost", "time", "wax"];
const WAXING: [&str; 5] = ["date", "design", "step", "before", "after"];
const TIMING: [&str; 4] = ["date", "design", "step", "times"];
const OUTCOME: [&str; 13] = [
    "date",
    "what",
    "dye",
    "chlorine",
    "temperature",
    "ph",
    "time",
    "left",
    "lost",
    "wax",
    "forecast",
    "factor",
    "actual",
];

/// Reads the trials; a wrong one is left out and said.
pub(crate) fn read(source: &Source) -> (Trials, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let mut trials = Trials::default();
    if let Some(document) = parse(source, &sheet) {
        let lists = ["strips", "wedges", "waxings", "timings", "outcomes"];
        let table = Table::document(&sheet, &document, &lists);
        let all = |key, known: &[&'static str]| table.tables(key, known);
        trials.strips = all("strips", &STRIP).iter().filter_map(strip).collect();
        trials.wedges = all("wedges", &WEDGE).iter().filter_map(wedge).collect();
        trials.waxings = all("waxings", &WAXING).iter().filter_map(waxing).collect();
        trials.timings = all("timings", &TIMING).iter().filter_map(timing).collect();
        trials.outcomes = all("outcomes", &OUTCOME).iter().filter_map(outcome).collect();
    }
    (trials, sheet.into_findings())
}

fn strip(entry: &Table) -> Option<StripTrial> {
    let (date, dye) = (entry.date("date"), entry.text("dye"));
    let chlorine = entry.within("chlorine", Measure::PerVolume, 0.05, 50.0);
    let temperature = entry.within("temperature", Measure::Temperature, 0.0, 60.0);
    let ph = entry.within("ph", Measure::Acidity, 5.0, 14.0);
    let time = entry.within("time", Measure::Span, 1.0, 86_400.0);
    let left = entry.within("left", Measure::Share, 0.001, 0.999);
    Some(StripTrial {
        date: date?,
        dye: dye?,
        chlorine: chlorine?,
        temperature: Celsius(temperature?),
        ph: ph?,
        time: Span(time?),
        left: left?,
    })
}

fn wedge(entry: &Table) -> Option<WedgeTrial> {
    let date = entry.date("date");
    let lost = entry.within("lost", Measure::Length, 1e-5, 0.05);
    let time = entry.within("time", Measure::Span, 1.0, 86_400.0);
    let wax = match entry.maybe("wax") {
        Some(_) => entry.within("wax", Measure::Temperature, 50.0, 130.0),
        None => Some(95.0),
    };
    Some(WedgeTrial {
        date: date?,
        lost: Length(lost?),
        time: Span(time?),
        wax: Celsius(wax?),
    })
}

fn waxing(entry: &Table) -> Option<WaxTrial> {
    let (date, design, step) = (entry.date("date"), entry.text("design"), entry.text("step"));
    let before = entry.within("before", Measure::Mass, 1e-3, 1000.0);
    let after = entry.within("after", Measure::Mass, 1e-3, 1000.0);
    let (before, after) = (before?, after?);
    if after <= before {
        let found = say!(
            "the bolt is no heavier with its wax than without",
            "gulung dengan malam tidak lebih berat daripada tanpa malam"
        );
        let finding = Finding::new("waxing-no-wax", Weight::Wrong, entry.place_of("after"), found);
        entry.sheet().add(finding);
        return None;
    }
    Some(WaxTrial {
        date: date?,
        design: design?,
        step: step?,
        wax: Mass(after - before),
    })
}

fn timing(entry: &Table) -> Option<TimingTrial> {
    let (date, design, step) = (entry.date("date"), entry.text("design"), entry.text("step"));
    let list = entry.item("times").and_then(|item| item.list())?;
    let times: Vec<Span> = list
        .iter()
        .filter_map(|item| item.within(Measure::Span, 1.0, 1e6).map(Span))
        .collect();
    Some(TimingTrial {
        date: date?,
        design: design?,
        step: step?,
        times,
    })
}

fn outcome(entry: &Table) -> Option<OutcomeTrial> {
    let has = |key: &str| entry.maybe(key).is_some();
    let of = match (has("dye"), has("lost"), has("forecast")) {
        (true, false, false) => Came::Strip(strip(entry)?),
        (false, true, false) => Came::Wedge(wedge(entry)?),
        (false, false, true) => {
            let forecast = entry.within("forecast", Measure::Span, 1.0, 1e7);
            let factor = entry.number_within("factor", 1.001, 100.0, 1);
            let actual = entry.within("actual", Measure::Span, 1.0, 1e7);
            Came::Stated {
                forecast: Span(forecast?),
                factor: factor?,
                actual: Span(actual?),
            }
        }
        _ => {
            let found = say!(
                "it is not clear what was forecast",
                "tidak jelas apa yang diramalkan"
            );
            let finding = Finding::new("outcome-not-clear", Weight::Wrong, entry.place(), found).allow(say!(
                "the keys of a strip, or of a wedge, or {keys}",
                "kunci sebuah potong uji, atau baji garis, atau {keys}",
                keys = words::Arg::Name("forecast, factor, actual".into())
            ));
            entry.sheet().add(finding);
            return None;
        }
    };
    Some(OutcomeTrial {
        date: entry.date("date")?,
        what: entry.text_or_empty("what")?,
        of,
    })
}
