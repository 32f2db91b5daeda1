//! The shop's settings: units, sound, look, hours, scales.

use crate::engine::air;
use crate::engine::quantity::{Grams, Kilopascals, Metres};
use crate::engine::units::{MassUnit, Units};

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scheme {
    /// As the phone is set.
    #[default]
    Phone,
    /// Always light.
    Light,
    /// Always dark.
    Dark,
}

crate::stored_words!(Scheme { Phone = "phone", Light = "light", Dark = "dark" });

/// Everything that the Shop screen sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Units for showing and, unless a unit is typed, for reading entries.
    pub units: Units,
    /// Light or dark.
    pub scheme: Scheme,
    /// Larger targets, further apart.
    pub gloves: bool,
    /// Whether alarms sound.
    pub sound: bool,
    /// Whether alarms vibrate.
    pub vibrate: bool,
    /// Whether alarms flash the screen.
    pub flash: bool,
    /// The base scale's smallest step.
    pub scale_step: Grams,
    /// The small scale's smallest step, for catalyst.
    pub fine_scale_step: Grams,
    /// Height of the shop above the sea: thin air lets a damp surface grow colder.
    pub altitude: Metres,
}

crate::stored_record!(Settings or default {
    units,
    scheme,
    gloves,
    sound,
    vibrate,
    flash,
    scale_step,
    fine_scale_step,
    altitude,
});

impl Settings {
    /// The smallest step of the base scale, or of the fine one. Until it is set,
    /// a scale that reads ounces is taken to step in twentieths or hundredths of
    /// one (common practice).
    pub fn step(&self, fine: bool) -> Grams {
        let start = Self::default();
        let (step, start, ounces) = match fine {
            true => (self.fine_scale_step, start.fine_scale_step, 0.01),
            false => (self.scale_step, start.scale_step, 0.05),
        };
        match self.units.mass {
            MassUnit::Ounce | MassUnit::Pound if step == start => MassUnit::Ounce.quantity(ounces),
            _ => step,
        }
    }

    /// The air pressure at the shop's height.
    pub fn pressure(&self) -> Kilopascals {
        air::pressure_at(self.altitude)
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            units: Units::default(),
            scheme: Scheme::Phone,
            gloves: false,
            sound: true,
            vibrate: true,
            flash: true,
            scale_step: Grams(1.0),
            fine_scale_step: Grams(0.1),
            altitude: Metres(0.0),
        }
    }
}
