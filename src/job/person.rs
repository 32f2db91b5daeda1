//! Work on a living person: how long, when to talk to them, what comes next.
//! The screen of it shows nothing else.

use crate::engine::quantity::{Instant, Minutes};
use crate::trade::model::{Check, Method, Rules, Stage};

use super::event::Id;
use super::live::LiveCure;
use super::stage::{self, Standing, WaitsFor};
use super::state::{CureRecord, State};

/// The clock of the time on a person, by its name on the families' cards.
pub const PERSON: &str = "person";

/// Whether a method works on a living person.
pub fn on_person(method: &Method) -> bool {
    let mut slots = method.stages.iter().flat_map(|stage| &stage.cures);
    slots.any(|slot| slot.profile == PERSON)
}

/// The running clock of a job's time on the person.
pub fn clock(state: &State, job: Id) -> Option<&CureRecord> {
    let of_job = |cure: &&CureRecord| cure.job == Some(job) && cure.profile == PERSON;
    state
        .cures
        .values()
        .filter(of_job)
        .filter(|cure| state.is_running(cure))
        .max_by_key(|c| c.started)
}

/// How often it was time to talk to them: once every so many minutes (trade
/// reference M8, common practice).
pub fn prompts(rules: &Rules, started: Instant, now: Instant) -> u32 {
    let every = rules.constant("person-prompt").map_or(5.0, |constant| constant.figure.likely);
    (now.since(started).value() / every).floor().max(0.0) as u32
}

/// How long it should take at most.
pub fn aim(rules: &Rules) -> Minutes {
    Minutes(rules.constant("person-time-aim").map_or(20.0, |constant| constant.figure.likely))
}

/// What comes next.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A cure must be tested first.
    Test {
        /// The cure.
        cure: Id,
        /// Its window.
        window: String,
    },
    /// Something else must be done first, elsewhere in the job.
    Elsewhere,
    /// A clock of the stage hasn't been started.
    Start {
        /// The stage.
        stage: &'static Stage,
        /// Its slot.
        slot: String,
    },
    /// A line to tick.
    Tick {
        /// The stage.
        stage: &'static Stage,
        /// The line.
        check: &'static Check,
    },
    /// The stage is done but for saying so.
    Finish {
        /// The stage.
        stage: &'static Stage,
    },
    /// The job is done.
    Over,
}

/// The one thing that comes next in a job, as it stands.
pub fn next(rules: &'static Rules, state: &State, live: &[LiveCure], job: Id) -> Step {
    let Some(record) = state.jobs.get(&job) else { return Step::Over };
    let Some(method) = state.method(rules, &record.method) else { return Step::Over };
    let Some(stage) = stage::current(method, state, record, live) else { return Step::Over };
    if let Standing::Waiting(waits) = stage::standing(method, state, record, stage, live) {
        let window = waits.iter().find_map(|wait| match wait {
            WaitsFor::Window { cure, window, .. } => Some((*cure, window.clone())),
            _ => None,
        });
        return match window {
            Some((cure, window)) => Step::Test { cure, window },
            None => Step::Elsewhere,
        };
    }
    let slots = stage::slots(method, record, stage);
    let open = slots.into_iter().find(|slot| state.cure_of_slot(job, &slot.id).is_none());
    if let Some(slot) = open {
        return Step::Start { stage, slot: slot.id.clone() };
    }
    let unanswered = |check: &&'static Check| {
        !record.answers.contains_key(&(stage.id.clone(), check.id.clone()))
    };
    match stage::checks(method, record, stage).into_iter().find(unanswered) {
        Some(check) => Step::Tick { stage, check },
        None => Step::Finish { stage },
    }
}
