//! What somebody saw, made sense of and turned into evidence.

use super::regression::Row;
use super::{Carried, EXPECTED_NOISE, Observation, Unusable, energy, is_level, matrix::dot};
use crate::engine::cure::{HORIZON, equivalent_age};
use crate::engine::history::TemperatureHistory;
use crate::engine::kinetics::TemperatureLaw;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Instant, Minutes};

/// Beyond this `b1` (250 kJ/mol) the mean rate is not followed: no sighting at a
/// bench is worth a number that overflows.
const STEEPEST: f64 = 30_000.0;

/// Step of `b1` in kelvins with which its slope is taken.
const SLOPE_STEP: f64 = 100.0;

/// A sighting that makes sense.
pub struct Sighting<'a> {
    started: Instant,
    /// How long it took.
    pub took: Minutes,
    /// Doubt for not having looked in time, as a variance of the logarithm.
    doubt: f64,
    reference: Minutes,
    temperature: &'a TemperatureHistory,
    ln_level: f64,
}

impl<'a> Sighting<'a> {
    /// # Errors
    /// [`Unusable`] for what makes no sense.
    pub fn of(observation: &Observation<'a>) -> Result<Self, Unusable> {
        let Observation { started, reference, temperature, .. } = *observation;
        let since = |instant: Instant| {
            let millis = instant.0.checked_sub(started.0).unwrap_or(i64::MAX);
            Instant(millis).since(Instant(0))
        };
        let last = since(observation.seen);
        if last <= Minutes(0.0) {
            return Err(Unusable::NotAfterStart);
        }
        if last > HORIZON {
            return Err(Unusable::TooLong);
        }
        if !(reference > Minutes(0.0) && reference.is_finite()) {
            return Err(Unusable::Reference);
        }
        let level = observation.level_ratio.unwrap_or(1.0);
        if !is_level(level) {
            return Err(Unusable::Level);
        }
        // Somewhere between two looks: the middle of their logarithms, with the
        // variance of a uniform distribution, a twelfth of the square of its width.
        let first = observation.not_yet.map_or(last, since);
        if !(first > Minutes(0.0) && first <= last) {
            return Err(Unusable::NoEarlierLook);
        }
        let width = (last / first).logarithm();
        Ok(Self {
            started,
            took: last * (-0.5 * width).exponential(),
            doubt: width * width / 12.0,
            reference,
            temperature,
            ln_level: level.logarithm(),
        })
    }

    /// The sighting as evidence, linear about a steepness (`b1` in kelvins).
    pub fn row(&self, reference: Celsius, start: &Carried, about: f64) -> Row {
        let near = about.clamp(-STEEPEST, STEEPEST);
        let ln_time = |steepness: f64| {
            let law = TemperatureLaw::ActivationEnergy { energy: energy(steepness), reference };
            let to = self.started + self.took;
            let age = equivalent_age(&law, self.temperature, self.started, to);
            // Over the whole milliseconds that the age was counted for.
            -(age / to.since(self.started)).logarithm()
        };
        let slope = (ln_time(near + SLOPE_STEP) - ln_time(near - SLOPE_STEP)) / (2.0 * SLOPE_STEP);
        let of = [1.0, slope, -self.ln_level];
        let expected = dot(of, start.mean) + ln_time(near) - slope * near;
        let missed = (self.took / self.reference).logarithm() - expected;
        let noise = (EXPECTED_NOISE * EXPECTED_NOISE + self.doubt).sqrt();
        Row { of: start.scaled(of).map(|part| part / noise), missed: missed / noise, noise }
    }
}
