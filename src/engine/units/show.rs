//! Writing quantities for people: about three figures, never an exponent,
//! never "-0". What is written here can be typed back in.

use super::{
    AreaUnit, DensityUnit, GRAMS_PER_OUNCE, GRAMS_PER_POUND, LengthUnit, MassUnit,
    SQUARE_METRES_PER_SQUARE_FOOT, TemperatureUnit, VolumeUnit,
};
use crate::engine::decimals;
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, GramsPerSquareMetre, Kilopascals, Millilitres, Millimetres,
    Minutes, Percent, SquareMetres,
};
use crate::engine::takeoff::KilogramsForce;

/// What is written for a value that is infinite or not a number.
const UNKNOWN: &str = "unknown";
/// The most decimals that a tiny value is given so as not to read as nothing.
const MOST_DECIMALS: usize = 6;
/// Above this many minutes a time is written in days and hours.
const DAYS_FROM: f64 = 48.0 * 60.0;
/// Below this many minutes a time is written with its seconds.
const SECONDS_BELOW: f64 = 10.0;

/// `value` with `decimals` places, without trailing zeros and without "-0".
fn fixed(value: f64, decimals: usize) -> String {
    let mut text = decimals::fixed(value, decimals);
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".into() } else { text }
}

/// A number with `fine` decimals below ten, one fewer below a hundred and two
/// fewer above, but never fewer than `least`: three figures or what a scale resolves.
fn figures(value: f64, fine: usize, least: usize) -> String {
    if !value.is_finite() {
        return UNKNOWN.into();
    }
    let fewer = match value.abs() {
        size if size < 10.0 => 0,
        size if size < 100.0 => 1,
        _ => 2,
    };
    let mut decimals = fine.saturating_sub(fewer).max(least);
    let mut text = fixed(value, decimals);
    // Something is not nothing: a trace gets the decimals that it takes to see it.
    while text == "0" && value != 0.0 && decimals < MOST_DECIMALS {
        decimals += 1;
        text = fixed(value, decimals);
    }
    text
}

/// A length in a unit, e.g. "12.5 mm" or "0.5 in".
pub fn show_length(value: Millimetres, unit: LengthUnit) -> String {
    let fine = match unit {
        LengthUnit::Millimetre | LengthUnit::Centimetre => 2,
        LengthUnit::Metre | LengthUnit::Inch | LengthUnit::Foot => 3,
    };
    format!("{} {}", figures(unit.number(value), fine, 0), unit.symbol())
}

/// A mass in a unit, e.g. "17.9 g" or "4.05 kg". Kilograms and pounds keep
/// their third decimal, because a scale reads grams.
pub fn show_mass(value: Grams, unit: MassUnit) -> String {
    let (fine, least) = match unit {
        MassUnit::Gram => (2, 0),
        MassUnit::Kilogram | MassUnit::Pound => (3, 3),
        MassUnit::Ounce => (3, 1),
    };
    format!("{} {}", figures(unit.number(value), fine, least), unit.symbol())
}

/// A volume in a unit, e.g. "16.2 ml".
pub fn show_volume(value: Millilitres, unit: VolumeUnit) -> String {
    let (fine, least) = match unit {
        VolumeUnit::Millilitre => (2, 0),
        VolumeUnit::Litre => (3, 3),
        VolumeUnit::FluidOunceUs | VolumeUnit::FluidOunceImperial => (3, 1),
    };
    format!("{} {}", figures(unit.number(value), fine, least), unit.symbol())
}

/// An area in a unit, e.g. "0.25 m²".
pub fn show_area(value: SquareMetres, unit: AreaUnit) -> String {
    let fine = match unit {
        AreaUnit::SquareMetre => 4,
        AreaUnit::SquareFoot => 3,
        AreaUnit::SquareCentimetre | AreaUnit::SquareInch => 2,
    };
    format!("{} {}", figures(unit.number(value), fine, 0), unit.symbol())
}

/// A temperature in a scale, to a tenth of a degree, e.g. "17.5 °C".
pub fn show_temperature(value: Celsius, unit: TemperatureUnit) -> String {
    let number = unit.number(value);
    if number.is_finite() {
        format!("{} {}", fixed(number, 1), unit.symbol())
    } else {
        UNKNOWN.into()
    }
}

/// A density in a unit, e.g. "1.8 g/ml".
pub fn show_density(value: GramsPerMillilitre, unit: DensityUnit) -> String {
    format!("{} {}", figures(unit.number(value), 3, 0), unit.symbol())
}

/// A mass per area, in g/m² beside metric areas and oz/ft² beside feet and inches.
pub fn show_area_mass(value: GramsPerSquareMetre, beside: AreaUnit) -> String {
    match beside {
        AreaUnit::SquareMetre | AreaUnit::SquareCentimetre => {
            format!("{} {}", figures(value.value(), 2, 0), GramsPerSquareMetre::SYMBOL)
        }
        AreaUnit::SquareFoot | AreaUnit::SquareInch => {
            let ounces = value.value() * SQUARE_METRES_PER_SQUARE_FOOT / GRAMS_PER_OUNCE;
            format!("{} oz/ft²", figures(ounces, 3, 0))
        }
    }
}

/// A share, e.g. "2.4 %".
pub fn show_percent(value: Percent) -> String {
    format!("{} {}", figures(value.value(), 2, 0), Percent::SYMBOL)
}

/// A pressure in kilopascals, e.g. "5.3 kPa".
pub fn show_pressure(value: Kilopascals) -> String {
    format!("{} {}", figures(value.value(), 2, 0), Kilopascals::SYMBOL)
}

/// A force as the weight that balances it, in kgf beside metric masses and in
/// lbf beside ounces and pounds.
pub fn show_force(value: KilogramsForce, beside: MassUnit) -> String {
    let (number, symbol) = match beside {
        MassUnit::Gram | MassUnit::Kilogram => (value.value(), KilogramsForce::SYMBOL),
        MassUnit::Ounce | MassUnit::Pound => (value.value() * 1000.0 / GRAMS_PER_POUND, "lbf"),
    };
    format!("{} {symbol}", figures(number, 2, 0))
}

/// A number of things.
pub fn show_count(value: u32) -> String {
    value.to_string()
}

/// A span of time, e.g. "2 min 30 s", "1 h 25 min", "3 d 4 h". A negative span
/// has a minus sign before it.
pub fn show_minutes(value: Minutes) -> String {
    let total = value.value();
    if !total.is_finite() {
        return UNKNOWN.into();
    }
    let size = total.abs();
    // Round once, to the smaller unit shown, so that nothing reads "60 min".
    let (count, per, large, small) = match size {
        size if size < SECONDS_BELOW => ((size * 60.0).round(), 60.0, "min", "s"),
        size if size < DAYS_FROM => (size.round(), 60.0, "h", "min"),
        size => ((size / 60.0).round(), 24.0, "d", "h"),
    };
    // Whole numbers by now, and the greatest of them stay whole.
    let (whole, rest) = ((count / per) as u64, (count % per) as u64);
    let text = match (whole > 0, rest > 0) {
        (true, true) => format!("{whole} {large} {rest} {small}"),
        (true, false) => format!("{whole} {large}"),
        (false, true) => format!("{rest} {small}"),
        (false, false) => return "0 min".into(),
    };
    if total < 0.0 { format!("-{text}") } else { text }
}
