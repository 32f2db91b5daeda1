//! The running cures, solved: their windows ([`super::window`]), the trade's
//! word for their state, and what to look at first.

use crate::engine::cure::{Cure, Forecast, MilestoneSpec};
use crate::engine::quantity::{Celsius, Instant, Minutes};
use crate::engine::sorting::sort_by_key;
use crate::trade::model::{Rules, StateWord, Window};

use super::card::{Card, NoCard, Origin, Seen};
use super::event::{Finding, Id, Place};
use super::state::{CureRecord, State};
use super::temperature::{Basis, Climate, Driving};
use super::window::{current, live_window, next, span, urgency};

pub use super::changes::{Change, changes, merge_changes};
pub use super::window::{LiveWindow, Next, NoTime, Shares, Urgency, WindowState, answers};

/// A running cure, solved.
#[derive(Clone, Debug, PartialEq)]
pub struct LiveCure {
    /// Its id.
    pub id: Id,
    /// Name of its job, if any.
    pub job: Option<String>,
    /// Id of its job, if any.
    pub job_id: Option<Id>,
    /// Whether it belongs to the invented demo.
    pub invented: bool,
    /// Two or three words.
    pub title: String,
    /// When it was started.
    pub started: Instant,
    /// The trade's word for its state.
    pub word: StateWord,
    /// Its windows.
    pub windows: Vec<LiveWindow>,
    /// Which window matters now.
    pub current: Option<usize>,
    /// How urgent it is.
    pub urgency: Urgency,
    /// What happens next.
    pub next: Option<Next>,
    /// Where its times come from.
    pub origin: Origin,
    /// The driving temperature now.
    pub temperature: Celsius,
    /// What that stands on.
    pub basis: Basis,
    /// It lay below its least temperature while wet, for this long.
    pub cold_while_wet: Minutes,
}

impl LiveCure {
    /// The window that matters now.
    pub fn window(&self) -> Option<&LiveWindow> {
        self.current.and_then(|index| self.windows.get(index))
    }

    /// Job and stage in a few words: "Finial · gel coat 1".
    pub fn name(&self) -> String {
        match &self.job {
            Some(job) => format!("{job} · {}", self.title),
            None => self.title.clone(),
        }
    }
}

/// Solves one cure at an instant.
///
/// # Errors
/// [`NoCard`] when its material is not known on this phone.
pub fn solve(
    rules: &'static Rules,
    state: &State,
    record: &CureRecord,
    now: Instant,
) -> Result<LiveCure, NoCard> {
    solve_in(rules, state, &Climate::for_cure(rules, state, record), record, now)
}

/// A cure ready to be solved: its card, its temperature, its times.
pub struct Laid {
    /// The card in force.
    pub card: Card,
    /// What drives it.
    pub driving: Driving,
    /// How much faster than reference it runs for its catalyst and mass.
    pub speed: f64,
    /// The times of its milestones, in the order of the profile.
    pub milestones: Vec<MilestoneSpec>,
    /// When it was mixed.
    started: Instant,
}

impl Laid {
    /// Lays out a cure.
    ///
    /// # Errors
    /// [`NoCard`] when its material is not known on this phone.
    pub fn of(
        rules: &'static Rules,
        state: &State,
        climate: &Climate,
        record: &CureRecord,
        now: Instant,
    ) -> Result<Self, NoCard> {
        let card = Card::in_force(rules, state, &record.material, &record.profile)?;
        let driving = climate.of_cure(record, card.profile.driver, card.law.reference());
        let speed = card.speed(rules, record.catalyst, record.mass);
        let place = record.moves.last().map_or(record.place, |(_, place)| *place);
        let seen = Seen {
            temperature: driving.at(now.max(record.started)),
            level_ratio: card.level_ratio(record.catalyst),
            started: record.started,
            read: driving.read,
            stated: state.outlooks.get(&place).is_some_and(|ahead| !ahead.is_empty()),
        };
        let milestones = card.milestones(speed, &seen);
        Ok(Self { card, driving, speed, milestones, started: record.started })
    }

    /// The engine's form.
    pub fn cure(&self) -> Cure<'_> {
        Cure {
            start: self.started,
            law: self.card.law,
            speed: self.speed,
            limits: self.card.limits,
            milestones: &self.milestones,
        }
    }
}

/// Solves one cure at an instant, in a climate that reaches back to its start.
fn solve_in(
    rules: &'static Rules,
    state: &State,
    climate: &Climate,
    record: &CureRecord,
    now: Instant,
) -> Result<LiveCure, NoCard> {
    let laid = Laid::of(rules, state, climate, record, now)?;
    let solution = laid.cure().solve(&laid.driving.history, now);
    let Laid { card, driving, .. } = laid;
    let job = record.job.and_then(|job| state.jobs.get(&job));
    let windows: Vec<LiveWindow> = card
        .profile
        .windows
        .iter()
        .map(|window| {
            let forecast = |id: &Option<String>| {
                let id = id.as_deref()?;
                let index = card.profile.milestones.iter().position(|m| m.id == id)?;
                solution.forecasts.get(index).cloned()
            };
            let done = stage_done(rules, state, record, window);
            live_window(window, &forecast, record, done, Shares::of(rules), now)
        })
        .collect();
    let current = current(&windows, now);
    let word = word(&card, &solution.forecasts, record, now);
    let (urgency, next) = match current.and_then(|index| windows.get(index)) {
        Some(window) => (urgency(window, now), next(window, now)),
        None => (Urgency::Information, None),
    };
    Ok(LiveCure {
        id: record.id,
        job: job.map(|job| job.name.clone()),
        job_id: record.job,
        invented: record.place == Place::Demo,
        title: record.title.clone(),
        started: record.started,
        word,
        windows,
        current,
        urgency,
        next,
        origin: card.origin(),
        temperature: driving.at(now),
        basis: driving.basis,
        cold_while_wet: solution.cold_while_wet,
    })
}

/// Every running cure, most urgent first, used-up ones included. Cures without
/// a card come apart.
pub fn all(
    rules: &'static Rules,
    state: &State,
    now: Instant,
) -> (Vec<LiveCure>, Vec<(Id, NoCard)>) {
    let mut live = Vec::new();
    let mut without = Vec::new();
    let running = || state.cures.values().filter(|cure| state.is_running(cure));
    let since = running().map(|cure| cure.started).min().unwrap_or(now);
    let climate = Climate::of(rules, state, since);
    for record in running() {
        match solve_in(rules, state, &climate, record, now) {
            Ok(cure) => live.push(cure),
            Err(why) => without.push((record.id, why)),
        }
    }
    sort_by_key(&mut live, order);
    (live, without)
}

/// Order of the Bench: urgency, then what happens first, then id.
fn order(cure: &LiveCure) -> (Urgency, Instant, Id) {
    let far = Instant(i64::MAX);
    let at = match cure.urgency {
        Urgency::Information => cure.next.as_ref().map_or(far, |next| next.at),
        _ => cure.window().and_then(|w| w.close_by).unwrap_or(far),
    };
    (cure.urgency, at, cure.id)
}

impl LiveCure {
    /// A cure leaves the Bench by itself when every window was done or is gone.
    pub fn is_spent(&self) -> bool {
        !self.windows.is_empty()
            && self.windows.iter().all(|w| w.state == WindowState::Done || w.gone)
    }
}

/// Whether a stage that waited for this window was finished: then it was used.
fn stage_done(rules: &Rules, state: &State, record: &CureRecord, window: &Window) -> bool {
    let Some(job) = record.job.and_then(|job| state.jobs.get(&job)) else { return false };
    let Some(method) = state.method(rules, &job.method) else { return false };
    let Some(slot) = record.slot.as_deref() else { return false };
    method.stages.iter().any(|stage| {
        let waits = stage.waits.iter().any(|wait| wait.cure == slot && wait.window == window.id);
        waits && job.finished.get(&stage.id).is_some_and(|marked| marked.at >= record.started)
    })
}

/// The trade's word for the state of the cure, by likely times and what was seen.
fn word(card: &Card, forecasts: &[Forecast], record: &CureRecord, now: Instant) -> StateWord {
    let by_time = card
        .profile
        .milestones
        .iter()
        .zip(forecasts)
        .filter_map(|(milestone, forecast)| {
            let at = span(forecast)?.likely;
            milestone.word.filter(|_| now >= at)
        })
        .max()
        .unwrap_or(StateWord::Wet);
    let gelled = record.seen.iter().any(|o| matches!(o.finding, Finding::Gelled));
    if gelled { by_time.max(StateWord::Gelled) } else { by_time }
}
