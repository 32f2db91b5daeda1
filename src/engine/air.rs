//! The air over the work: dew point, wet bulb, and whether a film may be laid.
//!
//! Moisture that settles on a form before the gel coat spoils the piece without
//! being seen, and damp clay is colder than the air around it. Both follow from
//! two readings, air temperature and relative humidity.
//!
//! Sources: dew point by the Magnus form with 17.62 and 243.12 °C (trade
//! reference 3.10; WMO-No. 8, from memory), within 0.035 K of the ASHRAE equations
//! above freezing; saturation pressure over water by Hyland and Wexler and the
//! wet-bulb relation as in the ASHRAE Handbook of Fundamentals, chapter 1
//! (checked against psychrolib). The limits of a gate are the trade's and come
//! in as arguments. The 3 K margin over the dew point is common practice, not a
//! requirement of a standard.
//!
//! Below 0 °C every figure is over supercooled water, not ice: no wet work is
//! done at the frozen bench.

use super::quantity::{Celsius, Kelvins, Kilopascals, Metres, Percent, Span};
use crate::engine::maths::Maths;
use std::fmt;

mod gate;

#[cfg(test)]
mod tests;

pub use gate::{GateLimits, GateReason, GateVerdict, Spot, pour_gate, resin_film_gate};

/// Pressure of the standard atmosphere at sea level (ISO 2533): exactly 101.325 kPa.
pub const STANDARD_PRESSURE: Kilopascals = Kilopascals(101.325);

/// Pressure of the standard atmosphere at a height above the sea (ISO 2533, the
/// layer with 6.5 K less per kilometre): `101.325 (1 - 0.0065 h / 288.15)^5.255876`.
///
/// Heights are brought within -500 to 5000 m, where people work.
pub fn pressure_at(height: Metres) -> Kilopascals {
    const LAPSE: f64 = 0.0065 / 288.15;
    const POWER: f64 = 5.255_876;
    let height = height.max(Metres(-500.0)).min(Metres(5000.0)).value();
    STANDARD_PRESSURE * (1.0 - LAPSE * height).to_power(POWER)
}

/// A relative humidity over 0 and up to 100 %.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct RelativeHumidity(Percent);

/// Why a number is no relative humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HumidityError {
    /// The number.
    pub found: Percent,
}

impl fmt::Display for HumidityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} % is no relative humidity: it lies over 0 and up to 100 %. Read the hygrometer \
             again.",
            self.found.value()
        )
    }
}

impl std::error::Error for HumidityError {}

impl RelativeHumidity {
    /// A relative humidity from a number in per cent.
    ///
    /// # Errors
    /// [`HumidityError`] unless `0 < percent <= 100`.
    pub fn new(percent: f64) -> Result<Self, HumidityError> {
        if percent > 0.0 && percent <= 100.0 {
            Ok(Self(Percent(percent)))
        } else {
            Err(HumidityError { found: Percent(percent) })
        }
    }

    /// The humidity in per cent.
    pub const fn percent(self) -> Percent {
        self.0
    }

    /// The humidity as a share of 1.
    fn share(self) -> f64 {
        self.0.value() / 100.0
    }
}

/// The temperature at which the air's moisture begins to settle:
/// `g = ln(RH/100) + 17.62 T / (243.12 + T)`, `Td = 243.12 g / (17.62 - g)`.
///
/// For air of -45 to 60 °C. Never over the air's own temperature.
pub fn dew_point(air: Celsius, rh: RelativeHumidity) -> Celsius {
    const SLOPE: f64 = 17.62;
    const OFFSET: f64 = 243.12;
    let t = air.value();
    let g = rh.share().logarithm() + SLOPE * t / (OFFSET + t);
    Celsius(OFFSET * g / (SLOPE - g)).min(air)
}

/// Pressure of water vapour over liquid water in balance (Hyland and Wexler,
/// as printed in the ASHRAE Handbook of Fundamentals). For 0 to 200 °C; below
/// it goes on over supercooled water.
pub fn saturation_pressure(t: Celsius) -> Kilopascals {
    Kilopascals(ln_saturation(t).0.exponential() / 1000.0)
}

/// Natural logarithm of the saturation pressure in pascals, and its slope per kelvin.
fn ln_saturation(t: Celsius) -> (f64, f64) {
    const INVERSE: f64 = -5.800_220_6e3;
    const CONSTANT: f64 = 1.391_499_3;
    const LINEAR: f64 = -4.864_023_9e-2;
    const SQUARE: f64 = 4.176_476_8e-5;
    const CUBE: f64 = -1.445_209_3e-8;
    const LOGARITHM: f64 = 6.545_967_3;
    let k = t.kelvin();
    let value =
        INVERSE / k + CONSTANT + k * (LINEAR + k * (SQUARE + k * CUBE)) + LOGARITHM * k.logarithm();
    let slope = -INVERSE / (k * k) + LINEAR + k * (2.0 * SQUARE + k * 3.0 * CUBE) + LOGARITHM / k;
    (value, slope)
}

/// Mass of water vapour per mass of dry air, from the vapour's pressure and
/// the air's in pascals. 0.621945 is the ratio of molar masses (ASHRAE).
fn humidity_ratio(vapour: f64, pressure: f64) -> f64 {
    0.621_945 * vapour / (pressure - vapour)
}

/// The temperature that a wet surface takes in moving air: where the heat from
/// the air balances the evaporation.
///
/// Newton's method on the psychrometric relation of the ASHRAE Handbook of
/// Fundamentals, from the air temperature down; the relation is convex and
/// rising there, so that each step stays on the warm side of the answer. For
/// air of 0 to 60 °C and pressures of 60 to 110 kPa. Never over the air's own
/// temperature.
pub fn wet_bulb(air: Celsius, rh: RelativeHumidity, pressure: Kilopascals) -> Celsius {
    let t = air.value();
    let pascals = pressure.value() * 1000.0;
    let vapour = rh.share() * ln_saturation(air).0.exponential();
    let held = humidity_ratio(vapour, pascals);
    let mut wet = t;
    for _ in 0..25 {
        let (ln_pressure, slope) = ln_saturation(Celsius(wet));
        let vapour = ln_pressure.exponential();
        let full = humidity_ratio(vapour, pascals);
        let full_slope = full * slope * pascals / (pascals - vapour);
        // Heat of evaporation 2501 kJ/kg at 0 °C; heat capacities in kJ/(kg K):
        // 1.006 dry air, 1.86 vapour, 4.186 water, 2.326 their difference.
        let miss = (2501.0 - 2.326 * wet) * full
            - 1.006 * (t - wet)
            - held * (2501.0 + 1.86 * t - 4.186 * wet);
        let miss_slope = (2501.0 - 2.326 * wet) * full_slope - 2.326 * full + 1.006 + 4.186 * held;
        let step = miss / miss_slope;
        if !step.is_finite() {
            break;
        }
        wet -= step;
        if step.abs() < 1e-7 {
            break;
        }
    }
    Celsius(wet).min(air)
}

/// Where the surface of damp clay or plaster lies when nobody measured it:
/// between the wet bulb (wet, in a draught) and the air (dry), likely half way.
/// The bounds are physics, the half is a working rule; a measured surface wins.
pub fn surface_estimate(
    air: Celsius,
    rh: RelativeHumidity,
    pressure: Kilopascals,
) -> Span<Celsius> {
    let low = wet_bulb(air, rh, pressure);
    let likely = low + Kelvins(air.above(low).value() / 2.0);
    Span { low, likely: likely.min(air), high: air }
}
