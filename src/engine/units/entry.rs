//! Reading what people type: "12.5", "12,5", "½ in", "2 lb 3 oz", "63 F", "1h30".
//!
//! An entry is refused rather than guessed at. A wrongly read unit ends up in
//! a tub of resin.

pub mod decimal;
mod number;

use super::{
    AreaUnit, DensityUnit, LengthUnit, MassUnit, TemperatureUnit, VolumeUnit, show_temperature,
};
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Millilitres, Millimetres, Minutes, Percent, SquareMetres,
};
use number::{Piece, pieces, single};
use std::fmt;

/// The coldest air that an entry may state.
const AIR_LEAST: Celsius = Celsius(-40.0);
/// The hottest air that an entry may state.
const AIR_MOST: Celsius = Celsius(80.0);
/// The units that each kind of entry takes, for its error sentence.
const LENGTHS: &str = "mm, cm, m, in or ft";
const MASSES: &str = "g, kg, oz or lb";
const VOLUMES: &str = "ml, l, us fl oz or imp fl oz";
const AREAS: &str = "m², cm², ft² or in²";
const TEMPERATURES: &str = "°C or °F";
const DENSITIES: &str = "g/ml, kg/l or lb/ft³";
const PERCENTS: &str = "%";
const TIMES: &str = "d, h, min or s";
const NONE: &str = "a number alone";

/// Why an entry can't be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryError {
    /// Nothing was typed.
    Empty,
    /// It doesn't read as a number.
    NotANumber {
        /// What was typed.
        text: String,
    },
    /// A comma before three digits: a thousand to some, a decimal to others.
    TwoReadings {
        /// The number as typed.
        text: String,
    },
    /// The unit belongs to another kind of quantity, or is unknown.
    WrongUnit {
        /// The unit as typed.
        unit: String,
        /// The units that can be used.
        allowed: &'static str,
    },
    /// "fl oz" where nothing says whether US or imperial.
    WhichOunce,
    /// One of several numbers has no unit.
    MissingUnit,
    /// The number is too large to work with.
    NotFinite,
    /// A whole number was needed.
    NotWhole {
        /// What was typed.
        text: String,
    },
    /// The value can't be true of a workshop.
    OutOfRange {
        /// The least value allowed, with its unit.
        least: String,
        /// The greatest value allowed, with its unit, if there is one.
        most: Option<String>,
    },
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "Nothing is entered. Type a number."),
            Self::NotANumber { text } => {
                write!(f, "“{text}” is not a number. Type one like 12.5 or 1 1/2.")
            }
            Self::TwoReadings { text } => write!(
                f,
                "“{text}” can be read two ways. Type it without the comma, or with a point for decimals."
            ),
            Self::WrongUnit { unit, allowed } => {
                write!(f, "“{unit}” can't be used here. Use {allowed}.")
            }
            Self::WhichOunce => {
                write!(f, "US and imperial fluid ounces differ. Type us fl oz or imp fl oz.")
            }
            Self::MissingUnit => {
                write!(f, "A number has no unit. Type one after each, like 1 ft 6 in.")
            }
            Self::NotFinite => write!(f, "That number is too large. Check it and its unit."),
            Self::NotWhole { text } => {
                write!(f, "“{text}” is not a whole number. Type one like 3.")
            }
            Self::OutOfRange { least, most: Some(most) } => {
                write!(f, "It must lie between {least} and {most}. Check the number and its unit.")
            }
            Self::OutOfRange { least, most: None } => {
                write!(f, "It can't be below {least}. Check the number.")
            }
        }
    }
}

impl std::error::Error for EntryError {}

fn below_zero() -> EntryError {
    EntryError::OutOfRange { least: "0".into(), most: None }
}

/// Refuses infinity and what is below zero; takes the sign off a zero.
fn sound(value: f64) -> Result<f64, EntryError> {
    if !value.is_finite() {
        Err(EntryError::NotFinite)
    } else if value < 0.0 {
        Err(below_zero())
    } else {
        Ok(value + 0.0)
    }
}

/// One number, or several with falling units ("2 lb 3 oz"), summed. `named`
/// gives what one of a unit is; an absent unit stands for `default`.
fn sum_of(
    pieces: &[Piece],
    default: f64,
    named: impl Fn(&str) -> Result<f64, EntryError>,
) -> Result<f64, EntryError> {
    let mut total = 0.0;
    let mut last = f64::INFINITY;
    for piece in pieces {
        let factor = match piece.unit.as_str() {
            "" if pieces.len() > 1 => return Err(EntryError::MissingUnit),
            "" => default,
            unit => named(unit)?,
        };
        // "12 in 6 in" is a slip of the finger, not a sum.
        if factor >= last {
            return Err(EntryError::NotANumber { text: piece.typed.clone() });
        }
        last = factor;
        total += piece.number * factor;
    }
    sound(total)
}

fn wrong(unit: &str, allowed: &'static str) -> EntryError {
    EntryError::WrongUnit { unit: unit.into(), allowed }
}

/// A length, e.g. "6mm", "½ in", "1 ft 6 in"; without a unit in `default`.
///
/// # Errors
/// [`EntryError`] when it can't be read as a length of 0 or more.
pub fn read_length(text: &str, default: LengthUnit) -> Result<Millimetres, EntryError> {
    let named = |unit: &str| {
        let unit = match unit {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                LengthUnit::Millimetre
            }
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                LengthUnit::Centimetre
            }
            "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::Metre,
            "in" | "inch" | "inches" | "\"" | "″" | "”" => LengthUnit::Inch,
            "ft" | "foot" | "feet" | "'" | "′" | "’" => LengthUnit::Foot,
            _ => return Err(wrong(unit, LENGTHS)),
        };
        Ok(unit.one().value())
    };
    sum_of(&pieces(text)?, default.one().value(), named).map(Millimetres)
}

/// A mass, e.g. "250", "1.2 kg", "2 lb 3 oz"; without a unit in `default`.
///
/// # Errors
/// [`EntryError`] when it can't be read as a mass of 0 or more.
pub fn read_mass(text: &str, default: MassUnit) -> Result<Grams, EntryError> {
    let named = |unit: &str| {
        let unit = match unit {
            "g" | "gram" | "grams" => MassUnit::Gram,
            "kg" | "kilo" | "kilos" | "kilogram" | "kilograms" => MassUnit::Kilogram,
            "oz" | "ounce" | "ounces" => MassUnit::Ounce,
            "lb" | "lbs" | "pound" | "pounds" => MassUnit::Pound,
            _ => return Err(wrong(unit, MASSES)),
        };
        Ok(unit.one().value())
    };
    sum_of(&pieces(text)?, default.one().value(), named).map(Grams)
}

/// A volume, e.g. "16 ml", "2 l", "8 us fl oz"; without a unit in `default`.
/// A bare "fl oz" is taken only when `default` says which. "oz" is a mass.
///
/// # Errors
/// [`EntryError`] when it can't be read as a volume of 0 or more.
pub fn read_volume(text: &str, default: VolumeUnit) -> Result<Millilitres, EntryError> {
    let named = |unit: &str| {
        let unit = match unit {
            "ml" | "cc" | "cm3" | "cm³" | "millilitre" | "millilitres" | "milliliter"
            | "milliliters" => VolumeUnit::Millilitre,
            "l" | "litre" | "litres" | "liter" | "liters" => VolumeUnit::Litre,
            "us fl oz" | "fl oz us" => VolumeUnit::FluidOunceUs,
            "imp fl oz" | "uk fl oz" | "imperial fl oz" | "fl oz imp" => {
                VolumeUnit::FluidOunceImperial
            }
            "fl oz" | "floz" => match default {
                VolumeUnit::FluidOunceUs | VolumeUnit::FluidOunceImperial => default,
                VolumeUnit::Millilitre | VolumeUnit::Litre => return Err(EntryError::WhichOunce),
            },
            _ => return Err(wrong(unit, VOLUMES)),
        };
        Ok(unit.one().value())
    };
    // "cm3" has a digit in its unit; so a volume is one number and the rest.
    sum_of(&[single(text)?], default.one().value(), named).map(Millilitres)
}

/// An area, e.g. "0.25", "400 cm2", "2 sq ft"; without a unit in `default`.
///
/// # Errors
/// [`EntryError`] when it can't be read as an area of 0 or more.
pub fn read_area(text: &str, default: AreaUnit) -> Result<SquareMetres, EntryError> {
    let named = |unit: &str| {
        let unit = match unit {
            "m²" | "m2" | "m^2" | "sq m" | "sqm" => AreaUnit::SquareMetre,
            "cm²" | "cm2" | "cm^2" | "sq cm" | "sqcm" => AreaUnit::SquareCentimetre,
            "ft²" | "ft2" | "ft^2" | "sq ft" | "sqft" => AreaUnit::SquareFoot,
            "in²" | "in2" | "in^2" | "sq in" | "sqin" => AreaUnit::SquareInch,
            _ => return Err(wrong(unit, AREAS)),
        };
        Ok(unit.one().value())
    };
    sum_of(&[single(text)?], default.one().value(), named).map(SquareMetres)
}

/// A density, e.g. "1.8", "112 lb/ft3"; without a unit in `default`.
///
/// # Errors
/// [`EntryError`] when it can't be read as a density of 0 or more.
pub fn read_density(text: &str, default: DensityUnit) -> Result<GramsPerMillilitre, EntryError> {
    let named = |unit: &str| {
        let unit = match unit {
            "g/ml" | "g/cc" | "g/cm3" | "g/cm³" | "kg/l" => DensityUnit::GramPerMillilitre,
            "lb/ft3" | "lb/ft³" | "lb/cu ft" => DensityUnit::PoundPerCubicFoot,
            _ => return Err(wrong(unit, DENSITIES)),
        };
        Ok(unit.one().value())
    };
    sum_of(&[single(text)?], default.one().value(), named).map(GramsPerMillilitre)
}

/// A temperature, e.g. "17.5", "63 F", "-4 °C"; without a unit in `default`.
///
/// # Errors
/// [`EntryError`] when it can't be read, or lies below absolute zero.
pub fn read_temperature(text: &str, default: TemperatureUnit) -> Result<Celsius, EntryError> {
    let piece = single(text)?;
    let unit = match piece.unit.as_str() {
        "" => default,
        "c" | "°c" | "° c" | "degc" | "deg c" | "celsius" => TemperatureUnit::Celsius,
        "f" | "°f" | "° f" | "degf" | "deg f" | "fahrenheit" => TemperatureUnit::Fahrenheit,
        "°" => default,
        unit => return Err(wrong(unit, TEMPERATURES)),
    };
    let temperature = unit.quantity(piece.number);
    if !temperature.is_finite() {
        return Err(EntryError::NotFinite);
    }
    if temperature.kelvin() < 0.0 {
        let least = show_temperature(Celsius(-Celsius::ZERO_IN_KELVIN), unit);
        return Err(EntryError::OutOfRange { least, most: None });
    }
    Ok(Celsius(temperature.value() + 0.0))
}

/// The temperature of a room, a surface or mixing water: as
/// [`read_temperature`], from -40 to 80 °C. Beyond that a unit was mistaken.
///
/// # Errors
/// [`EntryError`] when it can't be read or lies outside.
pub fn read_air_temperature(text: &str, default: TemperatureUnit) -> Result<Celsius, EntryError> {
    let temperature = read_temperature(text, default)?;
    if temperature < AIR_LEAST || temperature > AIR_MOST {
        return Err(EntryError::OutOfRange {
            least: show_temperature(AIR_LEAST, default),
            most: Some(show_temperature(AIR_MOST, default)),
        });
    }
    Ok(temperature)
}

/// A share from 0 to 100 %, e.g. "2", "2.4 %".
///
/// # Errors
/// [`EntryError`] when it can't be read or lies outside.
pub fn read_percent(text: &str) -> Result<Percent, EntryError> {
    let piece = single(text)?;
    match piece.unit.as_str() {
        "" | "%" | "percent" | "per cent" => {}
        unit => return Err(wrong(unit, PERCENTS)),
    }
    if !(0.0..=100.0).contains(&piece.number) {
        return Err(EntryError::OutOfRange { least: "0 %".into(), most: Some("100 %".into()) });
    }
    Ok(Percent(piece.number + 0.0))
}

/// A span of time, e.g. "90", "1h30", "1:30", "1 1/2 h", "2 min 30 s", "2 d".
/// A number alone is minutes; so is the one after hours.
///
/// # Errors
/// [`EntryError`] when it can't be read as a span of 0 or more.
pub fn read_minutes(text: &str) -> Result<Minutes, EntryError> {
    if let Some((hours, minutes)) = text.trim().split_once(':') {
        let whole = |part: &str| part.parse::<u32>().ok().filter(|_| !part.starts_with('+'));
        return match (whole(hours), whole(minutes)) {
            (Some(hours), Some(rest)) if minutes.len() == 2 && rest < 60 => {
                Ok(Minutes(f64::from(hours) * 60.0 + f64::from(rest)))
            }
            _ => Err(EntryError::NotANumber { text: text.trim().into() }),
        };
    }
    let named = |unit: &str| match unit {
        "d" | "day" | "days" => Ok(24.0 * 60.0),
        "h" | "hr" | "hrs" | "hour" | "hours" => Ok(60.0),
        "m" | "min" | "mins" | "minute" | "minutes" => Ok(1.0),
        "s" | "sec" | "secs" | "second" | "seconds" => Ok(1.0 / 60.0),
        _ => Err(wrong(unit, TIMES)),
    };
    let mut pieces = pieces(text)?;
    if let [.., hours, last] = pieces.as_mut_slice()
        && last.unit.is_empty()
        && named(&hours.unit) == Ok(60.0)
        && last.number < 60.0
    {
        last.unit = "min".into();
    }
    sum_of(&pieces, 1.0, named).map(Minutes)
}

/// A number of things, e.g. "3".
///
/// # Errors
/// [`EntryError`] when it isn't a whole number of 0 or more.
pub fn read_count(text: &str) -> Result<u32, EntryError> {
    let piece = single(text)?;
    if !piece.unit.is_empty() {
        return Err(wrong(&piece.unit, NONE));
    }
    let number = sound(piece.number)?;
    if number.fract() != 0.0 {
        return Err(EntryError::NotWhole { text: text.trim().into() });
    }
    if number > f64::from(u32::MAX) {
        return Err(EntryError::NotFinite);
    }
    Ok(number as u32)
}
