//! The shop's settings: units, sound, look, hours, scales.

use crate::engine::air;
use crate::engine::quantity::{Grams, Kilopascals, Metres};
use crate::engine::units::Units;
use serde::{Deserialize, Serialize};

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheme {
    /// As the phone is set.
    #[default]
    Phone,
    /// Always light.
    Light,
    /// Always dark.
    Dark,
}

/// Everything that the Shop screen sets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
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

impl Settings {
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
