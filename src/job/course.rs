//! The course of one cure, for people who would rather look than read: how far
//! it has come and will come against its window, over the temperature that
//! drives it.

use crate::engine::cure::equivalent_age;
use crate::engine::quantity::{Celsius, Instant, Minutes, Span};
use crate::trade::model::{Driver, Rules};

use super::card::NoCard;
use super::live::{Laid, LiveCure, WindowState, solve};
use super::state::{CureRecord, State};
use super::temperature::Climate;

/// How far a picture reaches at most.
const FURTHEST: Minutes = Minutes(14.0 * 24.0 * 60.0);
/// Steps along the time.
const STEPS: i64 = 48;

/// The course of a cure.
#[derive(Clone, Debug)]
pub struct Course {
    /// The cure, solved.
    pub cure: LiveCure,
    /// What it is on the way to: the title of a milestone.
    pub toward: &'static str,
    /// End of the picture.
    pub until: Instant,
    /// Share of the way, 0 to 1: slowest, likely, fastest. Without the rules
    /// for cold: it is the way that warmth alone would make.
    pub share: Vec<(Instant, Span<f64>)>,
    /// The driving temperature.
    pub temperature: Vec<(Instant, Celsius)>,
    /// Up to here it was measured.
    pub measured_to: Instant,
    /// What drives it.
    pub driver: Driver,
    /// The least temperature while wet.
    pub least: Celsius,
}

/// The course of a cure as seen at `now`.
///
/// # Errors
/// [`NoCard`] when its material is not known on this phone.
pub fn course(
    rules: &'static Rules,
    state: &State,
    record: &CureRecord,
    now: Instant,
) -> Result<Course, NoCard> {
    let cure = solve(rules, state, record, now)?;
    let laid = Laid::of(rules, state, &Climate::for_cure(rules, state, record), record, now)?;
    let started = record.started;
    let profile = laid.card.profile;
    // On the way to the next opening, and where there is none, to what ends.
    let ahead = cure
        .windows
        .iter()
        .find(|w| w.opens.is_some() && matches!(w.state, WindowState::Wait | WindowState::Look));
    let window = ahead.or(cure.window()).or(cure.windows.last());
    let opened =
        window.is_none_or(|w| w.window.opens.is_none() || w.open_from.is_some_and(|at| at <= now));
    let target = window
        .and_then(|w| if opened { w.window.closes.as_ref() } else { w.window.opens.as_ref() })
        .and_then(|id| profile.milestones.iter().position(|milestone| milestone.id == *id))
        .unwrap_or(profile.milestones.len().saturating_sub(1));
    // As far as the next thing and a little more: what closes a day later would
    // press all else into a corner.
    let end = window.and_then(|w| match opened {
        true => w.closes.map(|span| span.likely).or(w.open_from),
        false => w.opens.map(|span| span.high),
    });
    let past = now.since(started) * 1.2;
    let reach = end.map_or(past, |end| past.max(end.since(started) * 1.3));
    let reach = reach.max(Minutes(10.0)).min(FURTHEST.max(past));
    let until = started + reach;
    let time = laid.milestones.get(target).map_or(Span::exact(Minutes(1.0)), |spec| spec.time);
    let age =
        |history, at| equivalent_age(&laid.card.law, history, started, at).value() * laid.speed;
    let share_at = |at: Instant| {
        let temperature = &laid.driving.history;
        let share = |age: f64, of: Minutes| (age / of.value()).min(1.0);
        Span {
            low: share(age(&temperature.low, at), time.high),
            likely: share(age(&temperature.likely, at), time.likely),
            high: share(age(&temperature.high, at), time.low),
        }
    };
    let instants = (0..=STEPS).map(|step| started + reach * (step as f64 / STEPS as f64));
    let share = instants.map(|at| (at, share_at(at))).collect();
    let likely = &laid.driving.history.likely;
    let within = likely.points().iter().copied().filter(|(at, _)| *at > started && *at < until);
    let temperature = std::iter::once((started, likely.at(started)))
        .chain(within)
        .chain([(until, likely.at(until))])
        .collect();
    Ok(Course {
        toward: profile.milestones.get(target).map_or("", |milestone| &milestone.title),
        cure,
        until,
        share,
        temperature,
        measured_to: laid.driving.read.unwrap_or(started).max(started),
        driver: profile.driver,
        least: laid.card.limits.wet_min,
    })
}
