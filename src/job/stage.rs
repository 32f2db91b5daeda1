//! Where a job stands: which stages its switches leave in, which are done,
//! ready or waiting, and for what.

use crate::engine::quantity::{Instant, Minutes};
use crate::engine::table::Table;
use crate::trade::model::{Check, CureSlot, MaterialUse, Method, Stage};

use super::event::{Id, Material};
use super::live::{LiveCure, WindowState};
use super::state::{Job, State};

/// What a stage still waits for.
#[derive(Clone, Debug, PartialEq)]
pub enum WaitsFor {
    /// An earlier stage.
    Stage {
        /// Its code.
        id: String,
        /// Its title.
        title: String,
    },
    /// A cure that was not started.
    NotStarted {
        /// The cure slot's title.
        title: String,
    },
    /// A window that is not open.
    Window {
        /// The cure.
        cure: Id,
        /// Title of the cure.
        title: String,
        /// Title of the window.
        window: String,
        /// When it opens, if that can be told.
        opens: Option<Instant>,
    },
}

/// Where a stage stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    /// Finished.
    Done,
    /// Everything that it needs is there.
    Ready,
    /// It waits.
    Waiting(Vec<WaitsFor>),
}

/// Whether conditions "switch=option" all hold.
pub fn holds(when: &[String], switches: &Table<String, String>, method: &Method) -> bool {
    when.iter().all(|condition| {
        let Some((switch, option)) = condition.split_once('=') else { return true };
        let chosen = switches.get(switch).map(String::as_str).or_else(|| {
            method.switches.iter().find(|s| s.id == switch).map(|s| s.default.as_str())
        });
        chosen == Some(option)
    })
}

/// The stages of a job that its switches leave in, in working order.
pub fn stages<'m>(method: &'m Method, job: &Job) -> Vec<&'m Stage> {
    method.stages.iter().filter(|stage| holds(&stage.when, &job.switches, method)).collect()
}

/// The checks of a stage that the switches leave in.
pub fn checks<'m>(method: &Method, job: &Job, stage: &'m Stage) -> Vec<&'m Check> {
    stage.checks.iter().filter(|check| holds(&check.when, &job.switches, method)).collect()
}

/// The cure slots of a stage that the switches leave in.
pub fn slots<'m>(method: &Method, job: &Job, stage: &'m Stage) -> Vec<&'m CureSlot> {
    stage.cures.iter().filter(|slot| holds(&slot.when, &job.switches, method)).collect()
}

/// The materials of a stage that the switches leave in.
pub fn materials<'m>(method: &Method, job: &Job, stage: &'m Stage) -> Vec<&'m MaterialUse> {
    stage.materials.iter().filter(|used| holds(&used.when, &job.switches, method)).collect()
}

/// The material that plays a role, or the family named.
pub fn material(
    method: &Method,
    job: &Job,
    role: Option<&str>,
    family: Option<&str>,
) -> Option<Material> {
    if let Some(role) = role {
        return job.materials.get(role).cloned().or_else(|| {
            let role = method.roles.iter().find(|r| r.id == role)?;
            Some(Material::Family(role.default.clone()))
        });
    }
    family.map(|id| Material::Family(id.to_owned()))
}

/// Must-checks of a stage that were neither ticked nor waived.
pub fn open_musts<'m>(method: &Method, job: &Job, stage: &'m Stage) -> Vec<&'m Check> {
    checks(method, job, stage)
        .into_iter()
        .filter(|check| check.must)
        .filter(|check| !job.answers.contains_key(&(stage.id.clone(), check.id.clone())))
        .collect()
}

/// Where a stage stands. `live` are the solved cures of the job, spent ones included.
pub fn standing(
    method: &Method,
    state: &State,
    job: &Job,
    stage: &Stage,
    live: &[LiveCure],
) -> Standing {
    if job.finished.contains_key(&stage.id) {
        return Standing::Done;
    }
    if job.overridden.contains_key(&stage.id) {
        return Standing::Ready;
    }
    let mut waits = Vec::new();
    for id in &stage.needs {
        let needed = method.stages.iter().find(|s| &s.id == id);
        if let Some(needed) = needed
            && holds(&needed.when, &job.switches, method)
            && !job.finished.contains_key(id)
        {
            waits.push(WaitsFor::Stage { id: id.clone(), title: needed.title.clone() });
        }
    }
    for wait in &stage.waits {
        let slot = method.stages.iter().flat_map(|s| &s.cures).find(|s| s.id == wait.cure);
        let in_play = method
            .stages
            .iter()
            .filter(|s| holds(&s.when, &job.switches, method))
            .flat_map(|s| &s.cures)
            .any(|s| s.id == wait.cure && holds(&s.when, &job.switches, method));
        if !in_play {
            continue;
        }
        let title = slot.map_or_else(|| wait.cure.clone(), |slot| slot.title.clone());
        let Some(record) = state.cure_of_slot(job.id, &wait.cure) else {
            waits.push(WaitsFor::NotStarted { title });
            continue;
        };
        let window = live
            .iter()
            .find(|cure| cure.id == record.id)
            .and_then(|cure| cure.windows.iter().find(|w| w.window.id == wait.window));
        // A cure without a card or without such a window can't hold up the work.
        let Some(window) = window else { continue };
        if matches!(window.state, WindowState::Wait | WindowState::Look | WindowState::NoTime) {
            waits.push(WaitsFor::Window {
                cure: record.id,
                title,
                window: window.window.title.clone(),
                opens: window.open_from,
            });
        }
    }
    if waits.is_empty() { Standing::Ready } else { Standing::Waiting(waits) }
}

/// The stage to show first: the first that is ready, else the first not done.
pub fn current<'m>(
    method: &'m Method,
    state: &State,
    job: &Job,
    live: &[LiveCure],
) -> Option<&'m Stage> {
    let stages = stages(method, job);
    let ready =
        stages.iter().find(|stage| standing(method, state, job, stage, live) == Standing::Ready);
    ready.or_else(|| stages.iter().find(|stage| !job.finished.contains_key(&stage.id))).copied()
}

/// Finished and all stages, for "12 of 34".
pub fn progress(method: &Method, job: &Job) -> (usize, usize) {
    let stages = stages(method, job);
    let done = stages.iter().filter(|stage| job.finished.contains_key(&stage.id)).count();
    (done, stages.len())
}

/// Hands-on minutes left by the table's typical figures.
pub fn minutes_left(method: &Method, job: &Job) -> Minutes {
    let left = stages(method, job)
        .into_iter()
        .filter(|stage| !job.finished.contains_key(&stage.id))
        .map(|stage| super::card::minutes(&stage.minutes));
    left.fold(Minutes(0.0), |sum, minutes| sum + minutes)
}
