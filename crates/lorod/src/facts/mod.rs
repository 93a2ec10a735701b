//! What takes more than one crate to know: the plan of all orders, and the papers with their pictures.
//!
//! The command line and the studio read the same facts. A plan is kept until a file of the workspace changes.

pub mod approved;
pub mod building;
pub mod copies;
pub mod cover;
pub mod dyes;
pub mod followed;
pub mod late;
pub mod learn;
pub mod led;
pub mod left;
pub mod lot;
pub mod measured;
pub mod mixtures;
pub mod neutral;
pub mod outside;
pub mod pack;
pub mod palettes;
pub mod papers;
pub mod patches;
pub mod photo;
pub mod pictures;
pub mod plan;
pub mod problem;
pub mod raster;
pub mod recipes;
pub mod replan;
pub mod season;
pub mod seen;
pub mod shades;
pub mod shelf;
pub mod stamp;
pub mod sure;
pub mod tank;
pub mod today;
pub mod together;
pub mod told;
pub mod tub;
pub mod views;
pub mod window;

use crate::studio::{Facts, Packed, Paper};
use ::plan::Problem;
use papers::Printed;
use plan::Planned;
use sky::Date;
use std::cell::Cell;
use std::sync::{Arc, Mutex, PoisonError};
use words::{Finding, Voice};
use workspace::Workspace;

/// The facts of one workspace, from one day on.
pub struct HouseFacts {
    asked: problem::Asked,
    held: Mutex<Option<(Vec<[u8; 32]>, Outcome)>>,
}

type Outcome = Result<Arc<Planned>, Vec<Finding>>;

impl HouseFacts {
    /// Facts for a plan as asked.
    pub const fn new(asked: problem::Asked) -> Self {
        Self {
            asked,
            held: Mutex::new(None),
        }
    }

    /// The plan, made if a file has changed since it was made; `go_on` hears about how far it is.
    ///
    /// # Errors
    /// What keeps the orders from being planned; nothing if it was told to stop.
    fn made(&self, workspace: &Workspace, go_on: &dyn Fn(f64) -> bool) -> Outcome {
        // Held while the plan is made: two readers want one plan, not two.
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let mut files: Vec<[u8; 32]> = workspace.sources.iter().map(|source| source.hash).collect();
        files.push(followed::mark(&workspace.dir));
        if let Some((of, outcome)) = held.as_ref()
            && *of == files
        {
            return outcome.clone();
        }
        let (asked, stopped) = (Cell::new(0u64), Cell::new(false));
        let keep_going = || {
            asked.set(asked.get() + 1);
            let share = asked.get() as f64 / self.asked.tries.max(1) as f64;
            stopped.set(stopped.get() || !go_on(share.min(MOST_TOLD)));
            !stopped.get()
        };
        let outcome = match followed::followed(workspace, self.asked.tries, &keep_going) {
            Some(Ok(planned)) => Ok(planned),
            Some(Err(why)) => plan::plan(workspace, &self.asked, &keep_going).map(|mut planned| {
                planned.findings.push(why);
                planned
            }),
            None => plan::plan(workspace, &self.asked, &keep_going),
        };
        let outcome = outcome.map(Arc::new);
        if stopped.get() {
            return Err(Vec::new());
        }
        *held = Some((files, outcome.clone()));
        outcome
    }
}

/// Share done that is told before the plan is there: what follows the search takes a while as well.
const MOST_TOLD: f64 = 0.95;

impl Facts for HouseFacts {
    fn plan(&self, workspace: &Workspace, go_on: &dyn Fn(f64) -> bool) -> Outcome {
        self.made(workspace, go_on)
    }

    fn asked(&self) -> Option<&problem::Asked> {
        Some(&self.asked)
    }

    fn first_day(&self) -> Option<Date> {
        Some(self.asked.first_day)
    }

    fn papers(&self, workspace: &Workspace) -> Vec<Paper> {
        papers::list(workspace)
    }

    fn print(&self, workspace: &Workspace, key: &str, voice: Voice) -> Result<Vec<u8>, Vec<Finding>> {
        // Without a plan papers carry no times; that is no reason to print none.
        let planned = self.made(workspace, &|_| true).ok();
        let asked = Printed {
            sheet: ::papers::Sheet::A4,
            voice,
            planned: planned.as_deref(),
        };
        papers::print(workspace, key, &asked)
    }

    fn pack(
        &self,
        workspace: &Workspace,
        designs: &[String],
        voice: Voice,
        go_on: &dyn Fn(f64) -> bool,
    ) -> Result<Packed, Vec<Finding>> {
        let planned = self.made(workspace, &|_| true).ok();
        let asked = Printed {
            sheet: ::papers::Sheet::A4,
            voice,
            planned: planned.as_deref(),
        };
        let ids: Vec<&str> = designs.iter().map(String::as_str).collect();
        let made = pack::Made::of(workspace, &ids, go_on)?;
        Ok(Packed {
            workshop: made.workshop(workspace, &asked)?,
            buyers: made.buyers(workspace, asked.sheet, voice)?,
        })
    }
}

/// The workshop's own day and clock time of a minute of a plan.
pub fn moment(problem: &Problem, minute: ::plan::Minute) -> Option<::papers::Moment> {
    let day = problem
        .first_day
        .plus(i32::try_from(minute.div_euclid(1440)).ok()?);
    let of_day = minute.rem_euclid(1440);
    ::papers::Moment::new(day_on_paper(day)?, (of_day / 60) as u8, (of_day % 60) as u8)
}

/// A day as papers know it.
pub fn day_on_paper(date: Date) -> Option<::papers::Day> {
    let (year, month, day) = date.civil();
    ::papers::Day::new(year, month as u8, day as u8)
}
