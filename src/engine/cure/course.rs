//! The stretches of a cure's temperature with their mean speeds, worked out
//! once, only as far as somebody asks, and shared by all tracks that see the
//! same temperature.

use crate::engine::history::{Stretch, Stretches, TemperatureHistory};
use crate::engine::kinetics::Curve;
use crate::engine::quantity::Instant;

/// A stretch with its mean speed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub stretch: Stretch,
    /// Mean speed over the stretch at its driving temperature.
    pub mean: f64,
}

/// Legs, laid as they are asked for.
pub(super) struct Course<'a> {
    pub curve: Curve,
    ahead: Stretches<'a>,
    legs: Vec<Leg>,
}

impl<'a> Course<'a> {
    /// The course of a driving and a gating temperature between two instants.
    pub fn new(
        curve: Curve,
        drive: &'a TemperatureHistory,
        gate: &'a TemperatureHistory,
        from: Instant,
        to: Instant,
    ) -> Self {
        Self { curve, ahead: Stretches::new(drive, gate, from, to), legs: Vec::new() }
    }

    /// A leg by its number from the start; none beyond the end.
    pub fn leg(&mut self, index: usize) -> Option<Leg> {
        while self.legs.len() <= index {
            let stretch = self.ahead.next()?;
            let mean = self.curve.mean_rate(stretch.drive[0], stretch.drive[1]);
            self.legs.push(Leg { stretch, mean });
        }
        self.legs.get(index).copied()
    }

    /// The stretches that begin before a time in minutes since the start.
    pub fn until(&mut self, time: f64) -> impl Iterator<Item = Stretch> {
        let mut index = 0;
        std::iter::from_fn(move || {
            let leg = self.leg(index)?;
            index += 1;
            Some(leg.stretch)
        })
        .take_while(move |stretch| stretch.from < time)
    }
}
