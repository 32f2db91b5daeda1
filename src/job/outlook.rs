//! What a person states about the temperature to come, as it is recorded.
//!
//! One shape serves for a low with its hour and for a heater switched off or
//! on, so that the stored form stays small; [`crate::engine::outlook`] makes a
//! course of it.

use crate::engine::outlook::{self, Fit, LEAST_CONSTANT, MOST_CONSTANT, Outlook};
use crate::engine::quantity::{Celsius, Instant, Minutes};

use super::command::Refusal;
use super::event::{Body, Place};
use super::state::State;
use super::temperature::newest;

/// A temperature to come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// When it is reached, or when the heater is switched.
    pub at: Instant,
    /// What it will be, or what the room then goes towards.
    pub temperature: Celsius,
    /// None: the temperature is reached at that instant along a straight line.
    /// Otherwise the heater is switched then, and the difference falls to 37 %
    /// in this time.
    pub constant: Option<Minutes>,
}

crate::stored_record!(Stated { at, temperature, constant });

impl Stated {
    fn for_engine(self) -> Outlook {
        let Self { at, temperature, constant } = self;
        match constant {
            None => Outlook::Reaches { at, temperature },
            Some(constant) => Outlook::HeaterOff { at, outside: temperature, constant },
        }
    }
}

/// What was stated, for the engine.
pub fn for_engine(stated: &[Stated]) -> Vec<Outlook> {
    stated.iter().map(|stated| stated.for_engine()).collect()
}

/// How long ago a switched heater may be told of.
const LATEST: Minutes = Minutes(24.0 * 60.0);
/// How far ahead a temperature may be stated.
const FURTHEST: Minutes = Minutes(14.0 * 24.0 * 60.0);

/// States what a place will see from now on; nothing stated: it holds. Until now
/// it held its last reading, so a line begins here and not at an old reading.
///
/// # Errors
/// [`Refusal`] for temperatures, times or a way of cooling that can't be.
pub fn state_outlook(
    state: &State,
    place: Place,
    mut ahead: Vec<Stated>,
    now: Instant,
) -> Result<Body, Refusal> {
    for stated in &ahead {
        if !(-20.0..=60.0).contains(&stated.temperature.value()) {
            return Err(Refusal::TemperatureOutside(stated.temperature));
        }
        let ahead = stated.at.since(now);
        let earliest = if stated.constant.is_some() { LATEST } else { Minutes(0.0) };
        if ahead > FURTHEST || ahead < earliest * -1.0 {
            return Err(Refusal::OutlookTime);
        }
        if let Some(constant) = stated.constant
            && !(LEAST_CONSTANT..=MOST_CONSTANT).contains(&constant)
        {
            return Err(Refusal::CoolingTime);
        }
    }
    if ahead.first().is_some_and(|first| first.constant.is_none() && first.at > now)
        && let Some((taken, held)) = newest(state, place, |reading| reading.air)
        && taken < now
    {
        ahead.insert(0, Stated { at: now, temperature: held, constant: None });
    }
    Ok(Body::OutlookStated { place, ahead })
}

/// The time constant that a place showed after its heater was last said to be
/// switched: fitted to the readings since. None without such, or where they
/// tell nothing.
pub fn shown_constant(state: &State, place: Place) -> Option<Fit> {
    let stated = state.outlooks.get(&place)?.iter().rev().find(|s| s.constant.is_some())?;
    let points: Vec<(Instant, Celsius)> = state
        .readings
        .iter()
        .filter(|r| r.place == place && !r.ahead && r.taken >= stated.at)
        .filter_map(|r| Some((r.taken, r.air?)))
        .collect();
    outlook::fit_constant(&points, stated.temperature).ok()
}
