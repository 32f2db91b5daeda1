//! Which temperature a cure saw and will see, from the readings of its place.
//!
//! A pot follows the air. A thin film follows the surface that it lies on: a
//! measured surface wins, and afterwards follows the air's changes while its
//! own offset fades. Without a measured surface, damp clay lies between the
//! wet-bulb and dry-bulb temperature of the air. Without any reading the
//! card's reference temperature is assumed, and said to be.

use crate::engine::air::{self, RelativeHumidity};
use crate::engine::history::TemperatureHistory;
use crate::engine::quantity::{Celsius, Instant, Kelvins, Minutes, Percent, Span};
use crate::trade::model::Driver;
use std::fmt;

use super::event::{Id, Place};
use super::state::{Reading, State};

/// Time in which a surface loses half of its difference from the air. A working
/// rule for head-sized clay; issue of a fitted value belongs to learning.
const HALF_LIFE: Minutes = Minutes(120.0);

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
}

impl Driving {
    fn exact(history: TemperatureHistory, basis: Basis) -> Self {
        let history = Span { low: history.clone(), likely: history.clone(), high: history };
        Self { history, basis }
    }

    fn assumed(reference: Celsius) -> Self {
        Self::exact(TemperatureHistory::constant(reference), Basis::Assumed(reference))
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
        .filter(|reading| reading.place == place)
        .find_map(|reading| pick(reading).map(|value| (reading.taken, value)))
}

/// The newest surface reading that holds for a job (its own, else the place's).
pub fn newest_surface(state: &State, place: Place, job: Option<Id>) -> Option<(Instant, Celsius)> {
    let own = newest(state, place, |r| r.surface.filter(|_| r.job.is_some() && r.job == job));
    own.or_else(|| newest(state, place, |r| r.surface.filter(|_| r.job.is_none())))
}

/// The driving temperature of a clock.
pub fn driving(
    state: &State,
    place: Place,
    job: Option<Id>,
    driver: Driver,
    reference: Celsius,
) -> Driving {
    let here: Vec<&Reading> = state.readings.iter().filter(|r| r.place == place).collect();
    let air: Vec<(Instant, Celsius)> =
        here.iter().filter_map(|r| r.air.map(|air| (r.taken, air))).collect();
    match driver {
        Driver::Room => series(air, Basis::Measured),
        Driver::Mix => {
            let water: Vec<(Instant, Celsius)> = here
                .iter()
                .filter_map(|r| r.water.or(r.air).map(|value| (r.taken, value)))
                .collect();
            series(water, Basis::Measured)
        }
        Driver::Surface => surface(&here, &air, job),
    }
    .unwrap_or_else(|| Driving::assumed(reference))
}

fn series(points: Vec<(Instant, Celsius)>, basis: Basis) -> Option<Driving> {
    TemperatureHistory::new(points).ok().map(|history| Driving::exact(history, basis))
}

fn surface(here: &[&Reading], air: &[(Instant, Celsius)], job: Option<Id>) -> Option<Driving> {
    let own = here.iter().any(|r| r.surface.is_some() && r.job.is_some() && r.job == job);
    let measured: Vec<(Instant, Celsius)> = here
        .iter()
        .filter(|r| if own { r.job == job } else { r.job.is_none() })
        .filter_map(|r| r.surface.map(|surface| (r.taken, surface)))
        .collect();
    if measured.is_empty() {
        return estimated(here, air);
    }
    series(follow(&measured, air), Basis::Measured)
}

/// Measured surfaces, carried on by the air: at each air reading after a
/// surface reading the surface is the air plus its faded offset.
fn follow(measured: &[(Instant, Celsius)], air: &[(Instant, Celsius)]) -> Vec<(Instant, Celsius)> {
    let mut points = measured.to_vec();
    let Ok(room) = TemperatureHistory::new(air.iter().copied()) else {
        return points;
    };
    for &(instant, warm) in air {
        let before = measured.iter().rev().find(|(taken, _)| *taken < instant);
        let taken_now = measured.iter().any(|(taken, _)| *taken == instant);
        if let Some(&(taken, surface)) = before
            && !taken_now
        {
            let offset = surface.above(room.at(taken)).value();
            let faded = offset * 0.5_f64.powf(instant.since(taken) / HALF_LIFE);
            points.push((instant, warm + Kelvins(faded)));
        }
    }
    points
}

/// Between wet-bulb and dry-bulb, where the humidity is known.
fn estimated(here: &[&Reading], air: &[(Instant, Celsius)]) -> Option<Driving> {
    let mut humidity: Option<Percent> = None;
    let mut low = Vec::new();
    let mut likely = Vec::new();
    let mut high = Vec::new();
    for reading in here {
        humidity = reading.humidity.or(humidity);
        let (Some(air), Some(humidity)) = (reading.air, humidity) else { continue };
        let Ok(humidity) = RelativeHumidity::new(humidity.value()) else { continue };
        let span = air::surface_estimate(air, humidity, air::STANDARD_PRESSURE);
        low.push((reading.taken, span.low));
        likely.push((reading.taken, span.likely));
        high.push((reading.taken, span.high));
    }
    let history = |points| TemperatureHistory::new(points).ok();
    match (history(low), history(likely), history(high)) {
        (Some(low), Some(likely), Some(high)) => {
            Some(Driving { history: Span { low, likely, high }, basis: Basis::SurfaceFromAir })
        }
        _ => series(air.to_vec(), Basis::AirForSurface),
    }
}
