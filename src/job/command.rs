//! What a person asks for, and whether it is allowed.
//!
//! A command looks at the state and gives the events to append, or a refusal
//! that says what is missing and what to do. Nothing is written here.

use crate::engine::kinetics::{CatalystRange, CatalystVerdict};
use crate::engine::quantity::{Celsius, Grams, Instant, Metres, Percent};
use crate::engine::table::Table;
use crate::trade::model::{Check, Measure, Method, Rules, Stage};
use std::fmt;

use super::card::{self, TinCard};
use super::event::{Body, Ending, Id, Material, Place};
use super::live::LiveCure;
use super::stage::{self, Standing, WaitsFor};
use super::state::{Job, State};

/// Why something is not allowed.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The job is not there.
    NoSuchJob,
    /// The stage or check is not in the method.
    NoSuchStage,
    /// A name is needed.
    NameMissing,
    /// A name is too long to read at arm's length.
    NameTooLong,
    /// A reason is needed.
    ReasonMissing,
    /// The method is not in this build.
    NoSuchMethod(String),
    /// A check asks for a value that was not given.
    ValueMissing {
        /// What to measure.
        title: String,
    },
    /// A value is outside what can be.
    ValueOutside {
        /// What was measured.
        title: String,
    },
    /// Must-checks are open.
    MustChecksOpen {
        /// Their lines.
        lines: Vec<String>,
    },
    /// The stage waits.
    StageWaits(Vec<WaitsFor>),
    /// Catalyst outside what the family allows.
    Catalyst(CatalystVerdict),
    /// A temperature no workshop has.
    TemperatureOutside(Celsius),
    /// Humidity outside 1 to 100 %.
    HumidityOutside(Percent),
    /// A reading without any value.
    ReadingEmpty,
    /// An instant that has not come yet.
    InFuture,
    /// A mass that can't be weighed here.
    MassOutside(Grams),
    /// A data-sheet time that can't be.
    SheetTimeOutside,
    /// A forecast for a time that is past or too far off.
    OutlookTime,
    /// A room that cools in no time or never.
    CoolingTime,
    /// A height where nobody casts.
    AltitudeOutside,
    /// A step that no bench scale has.
    ScaleStepOutside,
    /// A tin of which nothing was learned.
    NothingLearned,
    /// The batch is not there.
    NoSuchBatch,
    /// More is left of a batch than was mixed.
    LeftOutside,
    /// The tin is not there.
    NoSuchTin,
    /// The clock is not running.
    NoSuchCure,
    /// The mould is not there.
    NoSuchMould,
    /// The mould was given up.
    MouldRetired,
    /// The job leaves no mould that is cast from again.
    LeavesNoMould,
    /// There is nothing to undo.
    NothingToUndo,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchJob => f.write_str("This job is not on this phone."),
            Self::NoSuchStage => {
                f.write_str("This stage is not part of the method. Update the app.")
            }
            Self::NameMissing => f.write_str("Give it a name first: two or three words."),
            Self::NameTooLong => f.write_str("That name is too long. Keep it under 40 letters."),
            Self::ReasonMissing => {
                f.write_str("Say why first, in a few words. It goes on the record.")
            }
            Self::NoSuchMethod(id) => {
                write!(f, "The method {id} is not known here. Update the app.")
            }
            Self::ValueMissing { title } => write!(f, "Enter this first: {title}."),
            Self::ValueOutside { title } => {
                write!(f, "{title}: that can't be right. Look at the number and its unit again.")
            }
            Self::MustChecksOpen { lines } => {
                write!(f, "Tick these, or waive each with a reason: {}", lines.join("; "))
            }
            Self::StageWaits(_) => f.write_str("This stage still waits for something."),
            Self::Catalyst(verdict) => write!(f, "{verdict}"),
            Self::TemperatureOutside(_) => {
                f.write_str("No workshop is at that temperature. Enter between -20 and 60 °C.")
            }
            Self::HumidityOutside(_) => {
                f.write_str("Humidity lies between 1 and 100 %. Read the dial again.")
            }
            Self::ReadingEmpty => f.write_str("Enter at least one temperature."),
            Self::InFuture => f.write_str("That time has not come yet. Enter when it really was."),
            Self::MassOutside(_) => f.write_str("Enter a mass above nothing and below a tonne."),
            Self::SheetTimeOutside => {
                f.write_str("Enter a time between half a minute and 60 days.")
            }
            Self::OutlookTime => f.write_str(
                "Enter a time from now on and within 14 days; a heater may have been switched up \
                 to a day ago.",
            ),
            Self::CoolingTime => {
                f.write_str("Enter how long the room takes to cool: from a minute to 14 days.")
            }
            Self::AltitudeOutside => f.write_str("Enter a height up to 5000 m over the sea."),
            Self::ScaleStepOutside => f.write_str("Enter the scale's step: from 0.001 to 100 g."),
            Self::NothingLearned => {
                f.write_str("Nothing was learned yet: note when the next batches gel or are ready.")
            }
            Self::NoSuchBatch => f.write_str("This batch is not on this phone."),
            Self::LeftOutside => {
                f.write_str("More can't be left than was mixed. Enter what was in the tub.")
            }
            Self::NoSuchTin => f.write_str("This tin is not on this phone."),
            Self::NoSuchCure => f.write_str("This clock is not running any more."),
            Self::NoSuchMould => f.write_str("This mould is not on this phone."),
            Self::MouldRetired => {
                f.write_str("This mould was given up. Take that back first, or cast from another.")
            }
            Self::LeavesNoMould => f.write_str("This method leaves no mould to cast from again."),
            Self::NothingToUndo => f.write_str("There is nothing left to undo."),
        }
    }
}

/// Longest name that fits a Bench row.
const NAME_LETTERS: usize = 40;

pub(super) fn name(text: &str) -> Result<String, Refusal> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match text.chars().count() {
        0 => Err(Refusal::NameMissing),
        n if n > NAME_LETTERS => Err(Refusal::NameTooLong),
        _ => Ok(text),
    }
}

pub(super) fn reason(text: &str) -> Result<String, Refusal> {
    let text = text.trim();
    if text.is_empty() { Err(Refusal::ReasonMissing) } else { Ok(text.to_owned()) }
}

/// The name of the next of a row: "Rosettes" is followed by "Rosettes 2", that
/// by "Rosettes 3".
pub fn next_name(name: &str) -> String {
    let counted = name.rsplit_once(' ').and_then(|(stem, n)| Some((stem, n.parse::<u32>().ok()?)));
    match counted {
        Some((stem, n)) => format!("{stem} {}", n.saturating_add(1)),
        None => format!("{name} 2"),
    }
}

/// A job with its method and one stage of it.
#[derive(Clone, Copy, Debug)]
pub struct At<'s> {
    /// The job.
    pub job: &'s Job,
    /// Its method.
    pub method: &'static Method,
    /// The stage.
    pub stage: &'static Stage,
}

/// Finds a job's stage.
///
/// # Errors
/// [`Refusal`] when job, method or stage are not known.
pub fn at<'s>(
    rules: &'static Rules,
    state: &'s State,
    job: Id,
    stage: &str,
) -> Result<At<'s>, Refusal> {
    let job = state.jobs.get(&job).filter(|job| !job.discarded).ok_or(Refusal::NoSuchJob)?;
    let method = state
        .method(rules, &job.method)
        .ok_or_else(|| Refusal::NoSuchMethod(job.method.clone()))?;
    let stage = method.stages.iter().find(|s| s.id == stage).ok_or(Refusal::NoSuchStage)?;
    Ok(At { job, method, stage })
}

impl At<'_> {
    fn check(&self, id: &str) -> Result<&'static Check, Refusal> {
        self.stage.checks.iter().find(|check| check.id == id).ok_or(Refusal::NoSuchStage)
    }
}

/// The measure of a method by its id.
pub fn measure(method: &'static Method, id: &str) -> Option<&'static Measure> {
    method.measures.iter().find(|measure| measure.id == id)
}

/// Opens a job.
///
/// # Errors
/// [`Refusal`] without a name or with an unknown method.
pub fn open_job(
    rules: &Rules,
    state: &State,
    title: &str,
    method: &str,
    switches: Table<String, String>,
    materials: Table<String, Material>,
) -> Result<Body, Refusal> {
    if state.method(rules, method).is_none() {
        return Err(Refusal::NoSuchMethod(method.to_owned()));
    }
    Ok(Body::JobOpened {
        name: name(title)?,
        method: method.to_owned(),
        switches,
        materials,
        place: Place::Bench,
        invented: false,
    })
}

/// Ticks a check, with the values that it asks for in their stored units.
///
/// # Errors
/// [`Refusal`] when a value is missing or can't be.
pub fn tick(at: &At<'_>, check: &str, values: Table<String, f64>) -> Result<Body, Refusal> {
    let check = at.check(check)?;
    for id in &check.ask {
        let Some(measure) = measure(at.method, id) else { continue };
        let value =
            values.get(id).ok_or_else(|| Refusal::ValueMissing { title: measure.title.clone() })?;
        within(measure, *value)?;
    }
    Ok(Body::CheckTicked {
        job: at.job.id,
        stage: at.stage.id.clone(),
        check: check.id.clone(),
        values,
    })
}

/// A reading hidden in the values of a tick: conditions that a check asks for
/// move the clocks as any other reading does.
pub fn reading_in(at: &At<'_>, values: &Table<String, f64>, now: Instant) -> Option<Body> {
    let value = |id: &str| values.get(id).copied();
    let new = NewReading {
        place: at.job.place,
        job: value("surface-temp").map(|_| at.job.id),
        air: value("room-temp").map(Celsius),
        humidity: value("humidity").map(Percent),
        surface: value("surface-temp").map(Celsius),
        water: value("water-temp").map(Celsius),
    };
    reading(new, now, now).ok()
}

/// Refuses a value outside the measure's sensible range.
///
/// # Errors
/// [`Refusal::ValueOutside`].
pub fn within(measure: &Measure, value: f64) -> Result<(), Refusal> {
    if (measure.least..=measure.most).contains(&value) {
        Ok(())
    } else {
        Err(Refusal::ValueOutside { title: measure.title.clone() })
    }
}

/// Waives a check with a reason.
///
/// # Errors
/// [`Refusal::ReasonMissing`].
pub fn waive(at: &At<'_>, check: &str, why: &str) -> Result<Body, Refusal> {
    let check = at.check(check)?;
    Ok(Body::CheckWaived {
        job: at.job.id,
        stage: at.stage.id.clone(),
        check: check.id.clone(),
        reason: reason(why)?,
    })
}

/// Enters a measure outside a check.
///
/// # Errors
/// [`Refusal`] when the value can't be.
pub fn enter(at: &At<'_>, id: &str, value: f64) -> Result<Body, Refusal> {
    let measure = measure(at.method, id).ok_or(Refusal::NoSuchStage)?;
    within(measure, value)?;
    Ok(Body::MeasureEntered { job: at.job.id, measure: id.to_owned(), value })
}

/// Lets a stage start although it waits.
///
/// # Errors
/// [`Refusal::ReasonMissing`].
pub fn override_wait(at: &At<'_>, why: &str) -> Result<Body, Refusal> {
    Ok(Body::StageOverridden { job: at.job.id, stage: at.stage.id.clone(), reason: reason(why)? })
}

/// Finishes a stage.
///
/// # Errors
/// [`Refusal`] when the stage waits or must-checks are open.
pub fn finish(at: &At<'_>, state: &State, live: &[LiveCure]) -> Result<Body, Refusal> {
    ready(at, state, live)?;
    let open = stage::open_musts(at.method, at.job, at.stage);
    if !open.is_empty() {
        let lines = open.iter().map(|check| check.text.clone()).collect();
        return Err(Refusal::MustChecksOpen { lines });
    }
    Ok(Body::StageFinished { job: at.job.id, stage: at.stage.id.clone() })
}

/// Refuses when a stage still waits.
///
/// # Errors
/// [`Refusal::StageWaits`].
pub fn ready(at: &At<'_>, state: &State, live: &[LiveCure]) -> Result<(), Refusal> {
    match stage::standing(at.method, state, at.job, at.stage, live) {
        Standing::Waiting(waits) => Err(Refusal::StageWaits(waits)),
        Standing::Ready | Standing::Done => Ok(()),
    }
}

/// A clock to be started.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    /// Job, stage and cure slot, if it belongs to a job.
    pub of: Option<(Id, String, Option<String>)>,
    /// Two or three words.
    pub title: String,
    /// What cures.
    pub material: Material,
    /// Which clock.
    pub profile: String,
    /// Catalyst level.
    pub catalyst: Option<Percent>,
    /// Mass in the pot.
    pub mass: Option<Grams>,
    /// Batch that it came from.
    pub batch: Option<Id>,
    /// The instant of the act.
    pub started: Instant,
    /// Where.
    pub place: Place,
    /// Reason given for starting against a stop.
    pub reason: Option<String>,
}

/// Starts a clock.
///
/// # Errors
/// [`Refusal`] for catalyst or mass that can't be, or a start in the future.
pub fn start(
    rules: &'static Rules,
    state: &State,
    start: Start,
    now: Instant,
) -> Result<Body, Refusal> {
    if start.started > now {
        return Err(Refusal::InFuture);
    }
    if let Ok((family, _)) = card::resolve(rules, state, &start.material)
        && let (Some(range), Some(level)) = (card::catalyst_range(family), start.catalyst)
    {
        catalyst(&range, level)?;
    }
    if let Some(mass) = start.mass {
        mass_possible(mass)?;
    }
    let (job, stage, slot) = match start.of {
        Some((job, stage, slot)) => (Some(job), Some(stage), slot),
        None => (None, None, None),
    };
    Ok(Body::CureStarted {
        job,
        stage,
        slot,
        title: start.title,
        material: start.material,
        profile: start.profile,
        catalyst: start.catalyst,
        mass: start.mass,
        batch: start.batch,
        started: start.started,
        place: start.place,
        reason: start.reason,
    })
}

/// Refuses a catalyst level that the family's range blocks; a warning passes.
///
/// # Errors
/// [`Refusal::Catalyst`].
pub fn catalyst(range: &CatalystRange, level: Percent) -> Result<CatalystVerdict, Refusal> {
    let verdict = range.judge(level);
    if verdict.is_refused() { Err(Refusal::Catalyst(verdict)) } else { Ok(verdict) }
}

/// Refuses a mass that no bench weighs.
///
/// # Errors
/// [`Refusal::MassOutside`].
pub fn mass_possible(mass: Grams) -> Result<(), Refusal> {
    if mass.value() > 0.0 && mass.value() < 1_000_000.0 {
        Ok(())
    } else {
        Err(Refusal::MassOutside(mass))
    }
}

/// Carries the piece of a running cure to another place.
///
/// # Errors
/// [`Refusal::NoSuchCure`] for one that is put away, or for a place where nothing cures.
pub fn carry(state: &State, cure: Id, place: Place, now: Instant) -> Result<Body, Refusal> {
    let running = state.cures.get(&cure).filter(|record| state.is_running(record));
    match running {
        Some(record) if record.place != Place::Demo && place != Place::Outside => {
            Ok(Body::CureMoved { cure, place, moved: now.max(record.started) })
        }
        _ => Err(Refusal::NoSuchCure),
    }
}

/// A height that the shop may lie at.
///
/// # Errors
/// [`Refusal::AltitudeOutside`].
pub fn altitude(height: Metres) -> Result<Metres, Refusal> {
    let possible = (-500.0..=5000.0).contains(&height.value());
    if possible { Ok(height) } else { Err(Refusal::AltitudeOutside) }
}

/// A step that a bench scale may have: 0.001 g to 100 g.
///
/// # Errors
/// [`Refusal::ScaleStepOutside`].
pub fn scale_step(step: Grams) -> Result<Grams, Refusal> {
    let possible = (0.001..=100.0).contains(&step.value());
    if possible { Ok(step) } else { Err(Refusal::ScaleStepOutside) }
}

/// Whether a workshop may be at a temperature: -20 to 60 °C.
pub fn temperature_possible(t: Celsius) -> bool {
    (-20.0..=60.0).contains(&t.value())
}

/// Whether air may have a relative humidity: 1 to 100 %.
pub fn humidity_possible(humidity: Percent) -> bool {
    (1.0..=100.0).contains(&humidity.value())
}

/// A reading to be taken.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct NewReading {
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
}

/// Takes a reading.
///
/// # Errors
/// [`Refusal`] for values that can't be.
pub fn reading(reading: NewReading, taken: Instant, now: Instant) -> Result<Body, Refusal> {
    let NewReading { place, job, air, humidity, surface, water } = reading;
    if air.is_none() && surface.is_none() && water.is_none() {
        return Err(Refusal::ReadingEmpty);
    }
    for temperature in [air, surface, water].into_iter().flatten() {
        if !temperature_possible(temperature) {
            return Err(Refusal::TemperatureOutside(temperature));
        }
    }
    if let Some(humidity) = humidity
        && !humidity_possible(humidity)
    {
        return Err(Refusal::HumidityOutside(humidity));
    }
    if taken > now {
        return Err(Refusal::InFuture);
    }
    Ok(Body::ReadingTaken { place, job, air, humidity, surface, water, taken })
}

/// Puts a tin on the Shelf.
///
/// # Errors
/// [`Refusal`] without a name or with numbers that can't be.
pub fn add_tin(tin: TinCard) -> Result<Body, Refusal> {
    let tin = TinCard { name: name(&tin.name)?, ..tin };
    for time in &tin.times {
        if !(0.5..=60.0 * 24.0 * 60.0).contains(&time.time.value()) {
            return Err(Refusal::SheetTimeOutside);
        }
        if !(0.0..=40.0).contains(&time.temperature.value()) {
            return Err(Refusal::TemperatureOutside(time.temperature));
        }
    }
    if let Some(ratio) = tin.ratio
        && !(ratio.a > 0.0 && ratio.b > 0.0 && ratio.a.is_finite() && ratio.b.is_finite())
    {
        return Err(Refusal::ValueOutside { title: "Mixing ratio".into() });
    }
    if tin.tolerance.is_some_and(|tolerance| !(0.0..=50.0).contains(&tolerance.value())) {
        return Err(Refusal::ValueOutside { title: "Tolerance".into() });
    }
    Ok(Body::TinAdded { tin })
}

/// Removes the demo: its jobs and clocks leave, real ones stay.
pub fn remove_demo(state: &State) -> Vec<Body> {
    let jobs = state
        .jobs
        .values()
        .filter(|job| job.invented && !job.discarded)
        .map(|job| Body::JobDiscarded { job: job.id });
    let clocks = state
        .cures
        .values()
        .filter(|cure| cure.place == Place::Demo && cure.job.is_none() && cure.ended.is_none())
        .map(|cure| Body::CureEnded { cure: cure.id, how: Ending::Finished });
    jobs.chain(clocks).collect()
}
