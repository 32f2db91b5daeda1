//! The fold of the journal: what is true now.
//!
//! State is never stored. It is made anew from the events when the app opens
//! and kept up to date as events are appended. An undo folds again from the
//! start: with ten thousand events that is a matter of milliseconds, and it is
//! right by construction.

use crate::engine::quantity::{Celsius, Grams, Instant, Percent};
use crate::engine::sorting::sort_by_key;
use crate::engine::table::Table;
use crate::trade::model::{Method, Rules};

use super::card::{Stock, TinCard};
use super::command::{humidity_possible, temperature_possible};
use super::event::{Body, Ending, Event, Finding, Id, Material, Part, Place};
use super::learning::Learning;
use super::outlook::Stated;
use super::record::Record;
use super::settings::Settings;

/// A check of a job that was answered.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The event that answered it; undo takes this one back.
    pub event: Id,
    /// When.
    pub at: Instant,
    /// The reason, when it was waived and not ticked.
    pub waived: Option<String>,
}

/// A stage that was finished or overridden.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// The event; undo takes this one back.
    pub event: Id,
    /// When.
    pub at: Instant,
    /// The reason of an override.
    pub reason: Option<String>,
}

/// A job as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Id of the job.
    pub id: Id,
    /// Its name.
    pub name: String,
    /// Code of its method.
    pub method: String,
    /// Chosen option of each switch.
    pub switches: Table<String, String>,
    /// Chosen material of each role.
    pub materials: Table<String, Material>,
    /// Where it is done.
    pub place: Place,
    /// Whether it belongs to the invented demo.
    pub invented: bool,
    /// When it was opened.
    pub opened: Instant,
    /// When it was last touched.
    pub touched: Instant,
    /// Answered checks by stage and check.
    pub answers: Table<(String, String), Answer>,
    /// Finished stages.
    pub finished: Table<String, Marked>,
    /// Overridden stages.
    pub overridden: Table<String, Marked>,
    /// Measures in their stored unit.
    pub measures: Table<String, f64>,
    /// Put out of sight.
    pub discarded: bool,
}

/// What was found on testing a cure.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// The event; undo takes this one back.
    pub event: Id,
    /// The window tested.
    pub window: String,
    /// What was found.
    pub finding: Finding,
    /// The real instant.
    pub seen: Instant,
    /// What a person decided about it: whether it teaches anything about its tin.
    pub counts: Option<bool>,
}

/// A cure as it was started, with what was seen of it.
#[derive(Clone, Debug, PartialEq)]
pub struct CureRecord {
    /// Id of the cure.
    pub id: Id,
    /// The job, if any.
    pub job: Option<Id>,
    /// The stage, if any.
    pub stage: Option<String>,
    /// The method's cure slot, if any.
    pub slot: Option<String>,
    /// Two or three words for the Bench.
    pub title: String,
    /// What cures.
    pub material: Material,
    /// Which clock of the family.
    pub profile: String,
    /// Catalyst level.
    pub catalyst: Option<Percent>,
    /// Mass in the pot.
    pub mass: Option<Grams>,
    /// The batch that it came from.
    pub batch: Option<Id>,
    /// The instant of the act that started it.
    pub started: Instant,
    /// Where it was started.
    pub place: Place,
    /// Where it was carried, and when, in order.
    pub moves: Vec<(Instant, Place)>,
    /// Reason given for starting against a stop.
    pub reason: Option<String>,
    /// Observations in order.
    pub seen: Vec<Observation>,
    /// Why and when it was put away.
    pub ended: Option<(Ending, Instant)>,
    /// Alarms answered, with the instant of the answer.
    pub answered: Table<String, Instant>,
}

/// A batch that was mixed.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// Id of the batch.
    pub id: Id,
    /// The job, if any.
    pub job: Option<Id>,
    /// The stage, if any.
    pub stage: Option<String>,
    /// What it is for.
    pub title: String,
    /// What it is made of.
    pub material: Material,
    /// Its parts.
    pub parts: Vec<Part>,
    /// Catalyst level.
    pub catalyst: Option<Percent>,
    /// When.
    pub at: Instant,
    /// When its tub was empty, and what was thrown away.
    pub used: Option<(Instant, Option<Grams>)>,
}

impl Batch {
    /// What was really weighed, or aimed at where that was not entered.
    pub fn weighed(&self) -> Grams {
        let weighed = self.parts.iter().map(|part| part.actual.unwrap_or(part.target));
        weighed.fold(Grams(0.0), |sum, part| sum + part)
    }
}

/// A reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Id of the reading.
    pub id: Id,
    /// Where.
    pub place: Place,
    /// The job whose surface was read.
    pub job: Option<Id>,
    /// Air temperature.
    pub air: Option<Celsius>,
    /// Relative humidity.
    pub humidity: Option<Percent>,
    /// Surface temperature.
    pub surface: Option<Celsius>,
    /// Temperature of the mixing water.
    pub water: Option<Celsius>,
    /// When it was read.
    pub taken: Instant,
    /// Another was entered after it at an earlier hour: the clock ran ahead when
    /// this one was taken, and nobody knows when that really was. It stays on
    /// the record and moves nothing.
    pub ahead: bool,
}

/// A tin on the Shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Tin {
    /// Id of the tin.
    pub id: Id,
    /// Its card.
    pub card: TinCard,
    /// Taken off the Shelf.
    pub retired: bool,
    /// What was learned of it and takes effect.
    pub learning: Option<Learning>,
    /// Nothing seen before this teaches anything about it.
    pub reset: Option<Instant>,
    /// What there is of it, and when that was noted.
    pub stock: Option<(Instant, Stock)>,
}

/// Everything that is true now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// Jobs.
    pub jobs: Table<Id, Job>,
    /// Cures.
    pub cures: Table<Id, CureRecord>,
    /// Batches.
    pub batches: Table<Id, Batch>,
    /// Readings in order of their instant.
    pub readings: Vec<Reading>,
    /// Tins.
    pub tins: Table<Id, Tin>,
    /// What each place will see after its last reading.
    pub outlooks: Table<Place, Vec<Stated>>,
    /// Settings.
    pub settings: Settings,
    /// Moulds, casts, notes and photographs.
    pub record: Record,
    /// Entries of sheets, by job and sheet, then by field.
    pub sheets: Table<(Option<Id>, String), Table<String, String>>,
}

impl State {
    /// The fold of events in any order; the same set gives the same state.
    pub fn fold(events: &[Event]) -> Self {
        let mut ordered: Vec<&Event> = events.iter().collect();
        sort_by_key(&mut ordered, |event| event.order());
        ordered.dedup_by_key(|event| event.id);
        let undone = undone(&ordered);
        let mut state = Self::default();
        for event in ordered {
            if !undone.contains_key(&event.id) {
                state.apply(event);
            }
        }
        state
    }

    /// Applies one event to the state. Events about things that are not known
    /// (a merge that lacks their beginning) change nothing.
    pub fn apply(&mut self, event: &Event) {
        let Event { id, at, body, .. } = event.clone();
        match body {
            Body::JobOpened { name, method, switches, materials, place, invented } => {
                let job = Job {
                    id,
                    name,
                    method,
                    switches,
                    materials,
                    place,
                    invented,
                    opened: at,
                    touched: at,
                    answers: Table::new(),
                    finished: Table::new(),
                    overridden: Table::new(),
                    measures: Table::new(),
                    discarded: false,
                };
                self.jobs.insert(id, job);
            }
            Body::CureStarted {
                job,
                stage,
                slot,
                title,
                material,
                profile,
                catalyst,
                mass,
                batch,
                started,
                place,
                reason,
            } => {
                if let Some(job) = job {
                    self.touch(job, at);
                }
                let cure = CureRecord {
                    id,
                    job,
                    stage,
                    slot,
                    title,
                    material,
                    profile,
                    catalyst,
                    mass,
                    batch,
                    started,
                    place,
                    moves: Vec::new(),
                    reason,
                    seen: Vec::new(),
                    ended: None,
                    answered: Table::new(),
                };
                self.cures.insert(id, cure);
            }
            Body::BatchMixed { job, stage, title, material, parts, catalyst } => {
                let batch =
                    Batch { id, job, stage, title, material, parts, catalyst, at, used: None };
                self.batches.insert(id, batch);
            }
            Body::ReadingTaken { place, job, air, humidity, surface, water, taken } => {
                // What can't be is as if it had not been read, however it came
                // into the journal.
                let believed = |t: Option<Celsius>| t.filter(|t| temperature_possible(*t));
                let reading = Reading {
                    id,
                    place,
                    job,
                    air: believed(air),
                    humidity: humidity.filter(|humidity| humidity_possible(*humidity)),
                    surface: believed(surface),
                    water: believed(water),
                    taken,
                    ahead: false,
                };
                let later = self.readings.iter_mut().rev().take_while(|r| r.taken > at);
                later.filter(|r| r.place == place).for_each(|r| r.ahead = true);
                let after = self.readings.partition_point(|r| r.taken <= taken);
                self.readings.insert(after, reading);
            }
            Body::TinAdded { tin } => {
                let tin =
                    Tin { id, card: tin, retired: false, learning: None, reset: None, stock: None };
                self.tins.insert(id, tin);
            }
            Body::SheetFilled { job, sheet, field, entry } => {
                if let Some(job) = job {
                    self.touch(job, at);
                }
                let entries = self.sheets.or_default((job, sheet));
                match entry {
                    Some(entry) => entries.insert(field, entry),
                    None => entries.remove(&field),
                };
            }
            Body::MouldMade { .. }
            | Body::MouldServiced { .. }
            | Body::MouldRetired { .. }
            | Body::CastMade { .. }
            | Body::PhotoTaken { .. }
            | Body::PhotoMarked { .. }
            | Body::PhotoRemoved { .. }
            | Body::NoteWritten { .. }
            | Body::NoteSettled { .. }
            | Body::MethodKept { .. }
            | Body::MethodDropped { .. } => self.record.apply(id, at, body),
            Body::BatchUsedUp { batch, used, left } => {
                if let Some(batch) = self.batches.get_mut(&batch) {
                    batch.used = Some((used, left));
                }
            }
            Body::TinStocked { tin, stock } => {
                if let Some(tin) = self.tins.get_mut(&tin) {
                    tin.stock = Some((at, stock));
                }
            }
            Body::OutlookStated { place, ahead } => {
                self.outlooks.insert(place, ahead);
            }
            Body::LearningAccepted { tin, learning } => {
                if let Some(tin) = self.tins.get_mut(&tin) {
                    tin.learning = Some(learning);
                }
            }
            Body::LearningReset { tin } => {
                if let Some(tin) = self.tins.get_mut(&tin) {
                    (tin.learning, tin.reset) = (None, Some(at));
                }
            }
            Body::FindingJudged { finding, counts } => {
                let seen = self.cures.values_mut().flat_map(|cure| &mut cure.seen);
                for observation in seen.filter(|observation| observation.event == finding) {
                    observation.counts = Some(counts);
                }
            }
            Body::TinRetired { tin } => {
                if let Some(tin) = self.tins.get_mut(&tin) {
                    tin.retired = true;
                }
            }
            Body::SettingsChanged { settings } => self.settings = settings,
            Body::Undone { .. } => {}
            Body::Observed { cure, .. }
            | Body::CureMoved { cure, .. }
            | Body::CureEnded { cure, .. }
            | Body::AlarmAnswered { cure, .. } => {
                if let Some(cure) = self.cures.get_mut(&cure) {
                    apply_to_cure(cure, id, at, body);
                }
            }
            Body::JobChanged { job, .. }
            | Body::JobDiscarded { job }
            | Body::CheckTicked { job, .. }
            | Body::CheckWaived { job, .. }
            | Body::MeasureEntered { job, .. }
            | Body::StageOverridden { job, .. }
            | Body::StageFinished { job, .. } => {
                self.touch(job, at);
                if let Some(job) = self.jobs.get_mut(&job) {
                    apply_to_job(job, id, at, body);
                }
            }
        }
    }

    fn touch(&mut self, job: Id, at: Instant) {
        if let Some(job) = self.jobs.get_mut(&job) {
            job.touched = job.touched.max(at);
        }
    }

    /// The method with this code: built in, or the shop's own. A job keeps the form
    /// that it was opened with: its code is the id of the event that kept that form.
    pub fn method<'r>(&self, rules: &'r Rules, code: &str) -> Option<&'r Method> {
        rules.method(code).or_else(|| self.record.own_method(code))
    }

    /// Jobs in sight, last touched first.
    pub fn open_jobs(&self) -> Vec<&Job> {
        let mut jobs: Vec<&Job> = self.jobs.values().filter(|job| !job.discarded).collect();
        sort_by_key(&mut jobs, |job| std::cmp::Reverse((job.touched, job.id)));
        jobs
    }

    /// Whether a cure still runs: not put away, and its job in sight.
    pub fn is_running(&self, cure: &CureRecord) -> bool {
        cure.ended.is_none()
            && cure.job.is_none_or(|job| self.jobs.get(&job).is_some_and(|job| !job.discarded))
    }

    /// The newest cure of a job's slot.
    pub fn cure_of_slot(&self, job: Id, slot: &str) -> Option<&CureRecord> {
        self.cures
            .values()
            .filter(|cure| cure.job == Some(job) && cure.slot.as_deref() == Some(slot))
            .max_by_key(|cure| (cure.started, cure.id))
    }

    /// Whether the invented demo is on the bench.
    pub fn has_demo(&self) -> bool {
        self.jobs.values().any(|job| job.invented && !job.discarded)
    }
}

/// Ids of the events that are undone. An undo that was itself undone counts for nothing.
fn undone(ordered: &[&Event]) -> Table<Id, ()> {
    let mut undone = Table::new();
    for event in ordered.iter().rev() {
        if let Body::Undone { event: target } = event.body
            && !undone.contains_key(&event.id)
        {
            undone.insert(target, ());
        }
    }
    undone
}

fn apply_to_job(job: &mut Job, event: Id, at: Instant, body: Body) {
    match body {
        Body::JobChanged { name, switches, materials, .. } => {
            if let Some(name) = name {
                job.name = name;
            }
            job.switches.extend(switches);
            job.materials.extend(materials);
        }
        Body::JobDiscarded { .. } => job.discarded = true,
        Body::CheckTicked { stage, check, values, .. } => {
            let answer = Answer { event, at, waived: None };
            job.answers.insert((stage, check), answer);
            job.measures.extend(values);
        }
        Body::CheckWaived { stage, check, reason, .. } => {
            let answer = Answer { event, at, waived: Some(reason) };
            job.answers.insert((stage, check), answer);
        }
        Body::MeasureEntered { measure, value, .. } => {
            job.measures.insert(measure, value);
        }
        Body::StageOverridden { stage, reason, .. } => {
            let marked = Marked { event, at, reason: Some(reason) };
            job.overridden.insert(stage, marked);
        }
        Body::StageFinished { stage, .. } => {
            job.finished.insert(stage, Marked { event, at, reason: None });
        }
        _ => {}
    }
}

fn apply_to_cure(cure: &mut CureRecord, event: Id, at: Instant, body: Body) {
    match body {
        Body::Observed { window, finding, seen, .. } => {
            cure.seen.push(Observation { event, window, finding, seen, counts: None })
        }
        Body::CureMoved { place, moved, .. } => cure.moves.push((moved, place)),
        Body::CureEnded { how, .. } => cure.ended = Some((how, at)),
        Body::AlarmAnswered { alarm, .. } => {
            cure.answered.insert(alarm, at);
        }
        _ => {}
    }
}

#[cfg(test)]
#[path = "state_tests.rs"]
mod tests;
