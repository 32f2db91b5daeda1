//! Entries read in the user's units; what is wrong is said in a sentence.

use super::{DENSITY, height_unit};
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Metres, Millilitres, Millimetres, Minutes, Money, Percent,
    SquareMetres,
};
use crate::engine::units;
use crate::job::settings::Settings;
use crate::trade::model::{Dimension, Measure};

fn said(error: impl std::fmt::Display) -> String {
    error.to_string()
}

/// Reads an entry for a measure into its stored unit.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_measure(settings: &Settings, of: &Measure, text: &str) -> Result<f64, String> {
    read_number(settings, of.dimension, text)
}

/// Reads an entry of a dimension into its stored unit.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_number(settings: &Settings, of: Dimension, text: &str) -> Result<f64, String> {
    let units = &settings.units;
    match of {
        Dimension::Mass => units::read_mass(text, units.mass).map(Grams::value).map_err(said),
        Dimension::Length => {
            units::read_length(text, units.length).map(Millimetres::value).map_err(said)
        }
        Dimension::Area => {
            units::read_area(text, units.area).map(SquareMetres::value).map_err(said)
        }
        Dimension::Volume => {
            units::read_volume(text, units.volume).map(Millilitres::value).map_err(said)
        }
        Dimension::Temperature => read_temperature(settings, text).map(Celsius::value),
        Dimension::Density => {
            units::read_density(text, DENSITY).map(GramsPerMillilitre::value).map_err(said)
        }
        Dimension::Percent => read_percent(text).map(Percent::value),
        Dimension::Time => read_minutes(text).map(Minutes::value),
        Dimension::Count => units::read_count(text).map(f64::from).map_err(said),
    }
}

/// Reads a temperature of a workshop.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_temperature(settings: &Settings, text: &str) -> Result<Celsius, String> {
    units::read_air_temperature(text, settings.units.temperature).map_err(said)
}

/// Reads a length.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_length(settings: &Settings, text: &str) -> Result<Millimetres, String> {
    units::read_length(text, settings.units.length).map_err(said)
}

/// Reads a mass.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_mass(settings: &Settings, text: &str) -> Result<Grams, String> {
    units::read_mass(text, settings.units.mass).map_err(said)
}

/// Reads a density.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_density(text: &str) -> Result<GramsPerMillilitre, String> {
    units::read_density(text, DENSITY).map_err(said)
}

/// Reads per cent.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_percent(text: &str) -> Result<Percent, String> {
    units::read_percent(text).map_err(said)
}

/// Reads a span of time.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_minutes(text: &str) -> Result<Minutes, String> {
    units::read_minutes(text).map_err(said)
}

/// Reads parts of a ratio.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_parts(text: &str) -> Result<f64, String> {
    let parts = units::decimal(&text.trim().replace(',', "."))
        .ok_or_else(|| "Enter the parts as a number.".to_owned())?;
    if parts > 0.0 && parts < 10_000.0 {
        Ok(parts)
    } else {
        Err("Enter parts above nothing.".into())
    }
}

/// Reads an amount of money, in whatever the shop counts in.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_money(text: &str) -> Result<Money, String> {
    let money = units::decimal(&text.trim().replace(',', "."));
    money.map(Money).ok_or_else(|| "Enter the amount as a number, without a sign.".into())
}

/// Reads a height above the sea.
///
/// # Errors
/// A sentence that says what was wrong.
pub fn read_height(settings: &Settings, text: &str) -> Result<Metres, String> {
    let height = units::read_length(text, height_unit(settings)).map_err(said)?;
    Ok(Metres(height.value() / 1000.0))
}
