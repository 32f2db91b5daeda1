//! Which temperature a cure saw and will see, from the readings of its place.
//!
//! A pot follows the air. A thin film follows the surface that it lies on: a
//! measured surface wins, and afterwards follows the air's changes while its
//! own offset fades. Without a measured surface, damp clay lies between the
//! wet-bulb and dry-bulb temperature of the air. What is mixed with water
//! follows the room and, for a part, its water. Without any reading the card's
//! reference temperature is assumed, and said to be.
//!
//! After the last reading of the air a stated outlook continues it, else it
//! holds. Everything is laid once per place ([`Climate`]) and shared by all its
//! cures, so that thousands of readings are read once and not for every cure.

use crate::engine::air::{self, RelativeHumidity};
use crate::engine::history::TemperatureHistory;
use crate::engine::maths::Maths;
use crate::engine::outlook::{self, Outlook};
use crate::engine::quantity::{Celsius, Instant, Kelvins, Kilopascals, Minutes, Percent, Span};
use crate::trade::model::{Driver, Rules};
use std::fmt;

use super::event::{Id, Place};
use super::outlook::for_engine;
use super::state::{CureRecord, Reading, State};

/// Time in which a surface loses half of its difference from the air. A working
/// rule for head-sized clay.
const HALF_LIFE: Minutes = Minutes(120.0);

/// How long before a cure readings still tell something about it.
const BEFORE: Minutes = Minutes(48.0 * 60.0);

/// What a driving temperature stands on.
#[derive(Clone, Debug, PartialEq)]
pub enum Basis {
    /// Readings of the driving temperature itself.
    Measured,
    /// No surface reading: between the air's wet-bulb and dry-bulb temperature.
    SurfaceFromAir,
    /// No surface reading and no humidity: the air itself.
    AirForSurface,
    /// No reading at all: the card's reference temperature.
    Assumed(Celsius),
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Measured => "from your readings",
            Self::SurfaceFromAir => {
                "no surface reading: a damp surface is taken to lie between wet-bulb and air \
                 temperature"
            }
            Self::AirForSurface => {
                "no surface reading: the air is taken, but damp clay is colder. Measure the surface"
            }
            Self::Assumed(_) => "no reading yet: the card's own temperature is taken",
        })
    }
}

/// A driving temperature over time, with its interval and what it stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Driving {
    /// Cold end, likely, warm end.
    pub history: Span<TemperatureHistory>,
    /// What it stands on.
    pub basis: Basis,
    /// The last reading in it: what comes later is an outlook. None without one.
    pub read: Option<Instant>,
}

impl Driving {
    fn exact(history: TemperatureHistory, basis: Basis, read: Option<Instant>) -> Self {
        let history = Span { low: history.clone(), likely: history.clone(), high: history };
        Self { history, basis, read }
    }

    fn assumed(reference: Celsius) -> Self {
        Self::exact(TemperatureHistory::constant(reference), Basis::Assumed(reference), None)
    }

    /// The likely temperature at an instant.
    pub fn at(&self, instant: Instant) -> Celsius {
        self.history.likely.at(instant)
    }
}

/// The newest value of one kind of reading at a place.
pub fn newest<T>(
    state: &State,
    place: Place,
    pick: impl Fn(&Reading) -> Option<T>,
) -> Option<(Instant, T)> {
    state
        .readings
        .iter()
        .rev()
        .filter(|reading| reading.place == place && !reading.ahead)
        .find_map(|reading| pick(reading).map(|value| (reading.taken, value)))
}

/// The newest surface reading that holds for a job (its own, else the place's).
pub fn newest_surface(state: &State, place: Place, job: Option<Id>) -> Option<(Instant, Celsius)> {
    let own = newest(state, place, |r| r.surface.filter(|_| r.job.is_some() && r.job == job));
    own.or_else(|| newest(state, place, |r| r.surface.filter(|_| r.job.is_none())))
}

type Points = Vec<(Instant, Celsius)>;

/// The temperatures of every place from some instant on.
pub struct Climate {
    places: Vec<(Place, Local)>,
}

/// The temperatures of one place.
struct Local {
    /// The air's readings, carried on by the outlook.
    air: Option<TemperatureHistory>,
    /// The last reading of the air.
    read: Option<Instant>,
    /// What is mixed with water here.
    mix: Option<TemperatureHistory>,
    /// A damp surface: cold end, likely, warm end.
    damp: Option<Span<TemperatureHistory>>,
    /// Measured surfaces with the job that they belong to, in order.
    surfaces: Vec<(Option<Id>, Instant, Celsius)>,
}

impl Climate {
    /// The temperatures for cures that started at `since` or later.
    pub fn of(rules: &Rules, state: &State, since: Instant) -> Self {
        let pressure = state.settings.pressure();
        let share = rules.constant("mix-water-share").map_or(0.38, |c| c.figure.likely / 100.0);
        let places = [Place::Bench, Place::Cabinet, Place::Demo];
        let places = places.map(|place| (place, Local::of(state, place, since, pressure, share)));
        Self { places: places.into() }
    }

    /// The temperatures for one cure.
    pub fn for_cure(rules: &Rules, state: &State, record: &CureRecord) -> Self {
        Self::of(rules, state, record.started)
    }

    /// The driving temperature of a clock at a place.
    pub fn driving(
        &self,
        place: Place,
        job: Option<Id>,
        driver: Driver,
        reference: Celsius,
    ) -> Driving {
        let local = self.places.iter().find(|(at, _)| *at == place).map(|(_, local)| local);
        local
            .and_then(|local| local.driving(job, driver))
            .unwrap_or_else(|| Driving::assumed(reference))
    }

    /// The driving temperature of a cure, from place to place.
    pub fn of_cure(&self, record: &CureRecord, driver: Driver, reference: Celsius) -> Driving {
        let first = self.driving(record.place, record.job, driver, reference);
        record.moves.iter().fold(first, |before, (moved, place)| {
            join(before, *moved, self.driving(*place, record.job, driver, reference))
        })
    }
}

/// One driving temperature up to an instant, and another from there on.
fn join(before: Driving, moved: Instant, after: Driving) -> Driving {
    let joined = |before: &TemperatureHistory, after: &TemperatureHistory| {
        let just_before = Instant(moved.millis() - 1);
        let old = before.points().iter().copied().filter(|(at, _)| *at < just_before);
        let new = after.points().iter().copied().filter(|(at, _)| *at > moved);
        let edge = [(just_before, before.at(just_before)), (moved, after.at(moved))];
        TemperatureHistory::new(old.chain(edge).chain(new)).unwrap_or_else(|_| after.clone())
    };
    let history = Span {
        low: joined(&before.history.low, &after.history.low),
        likely: joined(&before.history.likely, &after.history.likely),
        high: joined(&before.history.high, &after.history.high),
    };
    Driving { history, basis: after.basis, read: after.read }
}

/// The driving temperature of a clock that starts now.
pub fn driving(
    rules: &Rules,
    state: &State,
    (place, job): (Place, Option<Id>),
    driver: Driver,
    reference: Celsius,
    now: Instant,
) -> Driving {
    Climate::of(rules, state, now).driving(place, job, driver, reference)
}

impl Local {
    fn of(
        state: &State,
        place: Place,
        since: Instant,
        pressure: Kilopascals,
        water_share: f64,
    ) -> Self {
        let old = state.readings.partition_point(|r| r.taken < since - BEFORE);
        // The last one before still holds.
        let (before, recent) = state.readings.split_at(old);
        let here = |r: &Reading| r.place == place && !r.ahead;
        let last = before
            .iter()
            .rposition(|r| here(r) && r.air.is_some())
            .or_else(|| before.iter().rposition(here));
        let carried = last.and_then(|index| before.get(index..)).unwrap_or(&[]);
        let here: Vec<&Reading> = carried.iter().chain(recent).filter(|r| here(r)).collect();
        let measured: Points = here.iter().filter_map(|r| Some((r.taken, r.air?))).collect();
        let stated = state.outlooks.get(&place).map_or_else(Vec::new, |ahead| for_engine(ahead));
        let read = measured.last().map(|(taken, _)| *taken);
        let air = TemperatureHistory::new(shaped(measured, &stated))
            .ok()
            .map(|air| outlook::extended(&air, &stated).unwrap_or(air));
        let waters: Points = here.iter().filter_map(|r| Some((r.taken, r.water?))).collect();
        let mix = match (&air, waters.is_empty()) {
            (Some(air), false) => {
                let mixed = waters.iter().map(|&(taken, water)| {
                    let room = air.at(taken);
                    (taken, room + Kelvins(water.above(room).value() * water_share))
                });
                TemperatureHistory::new(follow(mixed.collect(), Some(air))).ok()
            }
            (Some(air), true) => Some(air.clone()),
            (None, _) => TemperatureHistory::new(waters).ok(),
        };
        let surfaces = here.iter().filter_map(|r| Some((r.job, r.taken, r.surface?))).collect();
        let damp = air.as_ref().and_then(|air| damp(&here, air, read, pressure));
        Self { air, read, mix, damp, surfaces }
    }

    fn driving(&self, job: Option<Id>, driver: Driver) -> Option<Driving> {
        let read = self.read;
        match driver {
            Driver::Room => Some(Driving::exact(self.air.clone()?, Basis::Measured, read)),
            Driver::Mix => Some(Driving::exact(self.mix.clone()?, Basis::Measured, read)),
            Driver::Surface => self.surface(job),
        }
    }

    fn surface(&self, job: Option<Id>) -> Option<Driving> {
        let own = job.is_some() && self.surfaces.iter().any(|(of, ..)| *of == job);
        let of = if own { job } else { None };
        let measured: Points =
            self.surfaces.iter().filter(|s| s.0 == of).map(|s| (s.1, s.2)).collect();
        if let Some((taken, _)) = measured.last() {
            let read = self.read.map_or(*taken, |read| read.max(*taken));
            let history = TemperatureHistory::new(follow(measured, self.air.as_ref())).ok()?;
            return Some(Driving::exact(history, Basis::Measured, Some(read)));
        }
        Some(match &self.damp {
            Some(history) => {
                Driving { history: history.clone(), basis: Basis::SurfaceFromAir, read: self.read }
            }
            None => Driving::exact(self.air.clone()?, Basis::AirForSurface, self.read),
        })
    }
}

/// Gaps from here on are filled by what was stated of them.
const LONG: Minutes = Minutes(120.0);

/// Readings, with what was stated of a long gap between two of them laid into
/// it and bent to meet the later one: a reading in the morning does not undo
/// the night before it.
fn shaped(measured: Points, stated: &[Outlook]) -> Points {
    let mut points = Points::new();
    for (index, &(taken, read)) in measured.iter().enumerate() {
        let before = index.checked_sub(1).and_then(|last| measured.get(last)).copied();
        if let Some((from, last)) = before
            && taken.since(from) >= LONG
            && stated.iter().any(|of| of.at() < taken && (of.at() > from || of.is_switch()))
            && let Ok(held) = TemperatureHistory::new([(from, last)])
            && let Ok(laid) = outlook::extended(&held, stated)
        {
            let miss = read.above(laid.at(taken)).value();
            let within = laid.points().iter().filter(|(at, _)| *at > from && *at < taken);
            points
                .extend(within.map(|&(at, t)| {
                    (at, t + Kelvins(miss * (at.since(from) / taken.since(from))))
                }));
        }
        points.push((taken, read));
    }
    points
}

/// Measured values, carried on by the air: at each point of the air after one it
/// is the air plus its faded offset.
fn follow(measured: Points, air: Option<&TemperatureHistory>) -> Points {
    let Some(air) = air else { return measured };
    let mut points = Points::new();
    let mut ahead = measured.iter().copied().peekable();
    let mut last: Option<(Instant, Celsius)> = None;
    for &(instant, warm) in air.points() {
        while let Some(next) = ahead.next_if(|(taken, _)| *taken <= instant) {
            points.push(next);
            last = Some(next);
        }
        if let Some((taken, value)) = last
            && taken < instant
        {
            let offset = value.above(air.at(taken)).value();
            let faded = offset * 0.5_f64.to_power(instant.since(taken) / HALF_LIFE);
            points.push((instant, warm + Kelvins(faded)));
        }
    }
    points.extend(ahead);
    points
}

/// A damp surface between wet-bulb and dry-bulb, where the humidity is known.
/// After the last reading the air keeps its moisture, not its humidity: as it
/// cools it comes nearer to its dew point.
fn damp(
    here: &[&Reading],
    air: &TemperatureHistory,
    read: Option<Instant>,
    pressure: Kilopascals,
) -> Option<Span<TemperatureHistory>> {
    let mut ends: [Points; 3] = Default::default();
    let mut push = |taken: Instant, air: Celsius, humidity: f64| {
        let Ok(humidity) = RelativeHumidity::new(humidity) else { return };
        let span = air::surface_estimate(air, humidity, pressure);
        for (points, end) in ends.iter_mut().zip([span.low, span.likely, span.high]) {
            points.push((taken, end));
        }
    };
    let mut humidity: Option<Percent> = None;
    let mut last: Option<(Celsius, Percent)> = None;
    for reading in here {
        humidity = reading.humidity.or(humidity);
        if let (Some(air), Some(humidity)) = (reading.air, humidity) {
            push(reading.taken, air, humidity.value());
            last = Some((air, humidity));
        }
    }
    let (air_read, humidity) = last?;
    let ahead = air.points().iter().filter(|(at, _)| read.is_some_and(|read| *at > read));
    for &(at, warm) in ahead {
        let drier = air::saturation_pressure(air_read) / air::saturation_pressure(warm);
        push(at, warm, (humidity.value() * drier).min(100.0));
    }
    let [low, likely, high] = ends.map(|points| TemperatureHistory::new(points).ok());
    Some(Span { low: low?, likely: likely?, high: high? })
}
