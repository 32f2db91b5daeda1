//! The condition gate: may a film be laid or a rubber poured in this air?
//!
//! A gate never gives permission. It says what common practice would stop for
//! or think about, by limits that the trade data states, and what to do.

use super::{RelativeHumidity, dew_point};
use crate::engine::decimals::Fixed;
use crate::engine::quantity::{Celsius, Kelvins, Minutes, Percent};
use crate::engine::sorting::sort_by_key;
use std::fmt;

/// Where a gate warns and stops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GateLimits {
    /// Air or surface under this: stop.
    pub stop_below: Celsius,
    /// Air or surface under this: warn.
    pub warn_below: Celsius,
    /// Air or surface over this: warn.
    pub warn_above: Celsius,
    /// Air or surface over this: stop.
    pub stop_above: Celsius,
    /// Surface less than this over the dew point: stop.
    pub dew_stop: Kelvins,
    /// Surface less than this over the dew point: warn.
    pub dew_warn: Kelvins,
    /// Relative humidity at or over this: warn.
    pub rh_warn: Percent,
    /// Relative humidity over this: stop. At 100 % humidity never stops the work.
    pub rh_stop: Percent,
}

/// What was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// The air.
    Air,
    /// The surface of the form.
    Surface,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Air => "The air",
            Self::Surface => "The surface",
        })
    }
}

/// Something that speaks against starting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GateReason {
    /// Nothing was measured lately.
    NoFreshReading,
    /// No surface temperature: the margin over the dew point is unknown.
    SurfaceNotMeasured,
    /// No humidity: the dew point is unknown.
    HumidityNotMeasured,
    /// Too cold: stop.
    TooCold {
        /// Which reading.
        spot: Spot,
        /// What it is.
        now: Celsius,
        /// The least.
        least: Celsius,
    },
    /// Cool: mind.
    Cool {
        /// Which reading.
        spot: Spot,
        /// What it is.
        now: Celsius,
        /// The lower end of the good range.
        good: Celsius,
    },
    /// Warm: mind.
    Warm {
        /// Which reading.
        spot: Spot,
        /// What it is.
        now: Celsius,
        /// The upper end of the good range.
        good: Celsius,
    },
    /// Too hot: stop.
    TooHot {
        /// Which reading.
        spot: Spot,
        /// What it is.
        now: Celsius,
        /// The most.
        most: Celsius,
    },
    /// The surface lies so near the dew point that moisture can settle: stop.
    Dew {
        /// Surface over dew point.
        margin: Kelvins,
        /// The dew point.
        dew_point: Celsius,
        /// The least margin.
        least: Kelvins,
    },
    /// The surface lies rather near the dew point: mind.
    NearDew {
        /// Surface over dew point.
        margin: Kelvins,
        /// The dew point.
        dew_point: Celsius,
        /// The good margin.
        good: Kelvins,
    },
    /// The air is damp: mind.
    Damp {
        /// Relative humidity.
        now: Percent,
        /// The good humidity lies under this.
        good: Percent,
    },
    /// The air is too damp: stop.
    TooDamp {
        /// Relative humidity.
        now: Percent,
        /// The most.
        most: Percent,
    },
    /// By the outlook it grows too cold while still wet: mind.
    ColdAhead {
        /// What it will be.
        coming: Celsius,
        /// The least.
        least: Celsius,
    },
    /// By the outlook the night does not harden it, or only just: mind.
    ShortNight {
        /// What hardens by morning, in minutes at reference.
        hardened: Minutes,
        /// What it takes.
        needed: Minutes,
    },
    /// The material doesn't go with what it is to lie on: stop.
    Unsuited {
        /// Why not, as the table has it.
        note: &'static str,
    },
    /// The test patch stayed tacky: stop.
    PatchTacky,
    /// No test patch on a surface that asks for one: mind.
    Untested,
}

impl GateReason {
    /// Whether it stops the work; otherwise it only warns.
    pub const fn stops(&self) -> bool {
        matches!(
            self,
            Self::TooCold { .. }
                | Self::TooHot { .. }
                | Self::Dew { .. }
                | Self::TooDamp { .. }
                | Self::Unsuited { .. }
                | Self::PatchTacky
        )
    }
}

impl fmt::Display for GateReason {
    /// What is wrong, and what to do.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoFreshReading => f.write_str(
                "There is no fresh reading: measure air, humidity and surface before you start.",
            ),
            Self::SurfaceNotMeasured => f.write_str(
                "The surface was not measured: damp clay is colder than the air. Measure it.",
            ),
            Self::HumidityNotMeasured => f.write_str(
                "The humidity was not measured: nobody can tell whether moisture settles. \
                 Measure it.",
            ),
            Self::TooCold { spot, now, least } => write!(
                f,
                "{spot} is {} °C, under {} °C: it may not cure properly. Warm the room and \
                 the form, then measure again.",
                Fixed(now.value(), 1),
                Fixed(least.value(), 0)
            ),
            Self::Cool { spot, now, good } => write!(
                f,
                "{spot} is {} °C, under {} °C: it will go slower. Warm it or give it time.",
                Fixed(now.value(), 1),
                Fixed(good.value(), 0)
            ),
            Self::Warm { spot, now, good } => write!(
                f,
                "{spot} is {} °C, over {} °C: it will go faster. Mix less at a time.",
                Fixed(now.value(), 1),
                Fixed(good.value(), 0)
            ),
            Self::TooHot { spot, now, most } => write!(
                f,
                "{spot} is {} °C, over {} °C: it may overheat. Let it cool, then measure \
                 again.",
                Fixed(now.value(), 1),
                Fixed(most.value(), 0)
            ),
            Self::Dew { margin, dew_point, least } => write!(
                f,
                "The surface is {}: moisture can settle under the film. Warm the form or dry the \
                 air until it is {} K over.",
                over_dew_point(*margin, *dew_point),
                Fixed(least.value(), 0)
            ),
            Self::NearDew { margin, dew_point, good } => write!(
                f,
                "The surface is {}: {} K is better. Keep cold and damp air out, and measure \
                 again before you start.",
                over_dew_point(*margin, *dew_point),
                Fixed(good.value(), 0)
            ),
            Self::Damp { now, good } => write!(
                f,
                "The humidity is {} %, not under {} %. Dry or warm the air, or expect a \
                 poorer surface.",
                Fixed(now.value(), 0),
                Fixed(good.value(), 0)
            ),
            Self::ColdAhead { coming, least } => write!(
                f,
                "By the outlook it falls to {} °C while still wet, under {} °C: it may not \
                 cure properly. Keep the heat on, or begin in the morning.",
                Fixed(coming.value(), 1),
                Fixed(least.value(), 0)
            ),
            Self::ShortNight { hardened, needed } => write!(
                f,
                "By the outlook {} of {} hours of hardening are done by morning. Keep the \
                 heat on, begin earlier, or leave it longer.",
                Fixed(hardened.value() / 60.0, 1),
                Fixed(needed.value() / 60.0, 1)
            ),
            Self::Unsuited { note } => {
                write!(
                    f,
                    "It doesn't go with its surface. {note} Choose another, or seal and test."
                )
            }
            Self::PatchTacky => f.write_str(
                "The test patch stayed tacky: it would be tacky on the original too. Seal \
                 differently, or take another rubber, and test again.",
            ),
            Self::Untested => f.write_str(
                "No test patch has cured clean on this surface. Make one on a hidden spot first.",
            ),
            Self::TooDamp { now, most } => write!(
                f,
                "The humidity is {} %, over {} %: moisture gets into the work. Dry or warm \
                 the air, then measure again.",
                Fixed(now.value(), 0),
                Fixed(most.value(), 0)
            ),
        }
    }
}

fn over_dew_point(margin: Kelvins, dew_point: Celsius) -> String {
    let side = if margin.value() < 0.0 { "under" } else { "over" };
    format!(
        "{} K {side} the dew point of {} °C",
        Fixed(margin.value().abs(), 1),
        Fixed(dew_point.value(), 1)
    )
}

/// What a gate says.
#[derive(Clone, Debug, PartialEq)]
pub enum GateVerdict {
    /// Nothing speaks against it.
    Pass,
    /// Start with care, for these reasons.
    Warn(Vec<GateReason>),
    /// Don't start, for these reasons; those that stop come first.
    Stop(Vec<GateReason>),
}

impl GateVerdict {
    /// The same with one reason more.
    pub fn and(self, reason: GateReason) -> Self {
        let mut reasons = match self {
            Self::Pass => Vec::new(),
            Self::Warn(reasons) | Self::Stop(reasons) => reasons,
        };
        reasons.push(reason);
        Self::of(reasons)
    }

    fn of(mut reasons: Vec<GateReason>) -> Self {
        sort_by_key(&mut reasons, |reason| !reason.stops());
        match reasons.first() {
            None => Self::Pass,
            Some(reason) if reason.stops() => Self::Stop(reasons),
            Some(_) => Self::Warn(reasons),
        }
    }
}

/// The gate before a resin film (gel coat, laminate, paint): air and surface
/// temperature, humidity, and the surface's margin over the dew point. A
/// reading that is missing is a reason to warn: unknown is not good.
pub fn resin_film_gate(
    air: Celsius,
    rh: Option<RelativeHumidity>,
    surface: Option<Celsius>,
    limits: &GateLimits,
) -> GateVerdict {
    let mut reasons = Vec::new();
    reasons.extend(temperature(Spot::Air, air, limits));
    match surface {
        Some(surface) => reasons.extend(temperature(Spot::Surface, surface, limits)),
        None => reasons.push(GateReason::SurfaceNotMeasured),
    }
    match rh {
        Some(rh) => {
            reasons.extend(humidity(rh, limits));
            reasons.extend(surface.and_then(|surface| dew(air, rh, surface, limits)));
        }
        None => reasons.push(GateReason::HumidityNotMeasured),
    }
    GateVerdict::of(reasons)
}

/// The gate before a pour of rubber or casting resin, which has no film to
/// settle under: air temperature and, where the limits name one, humidity.
pub fn pour_gate(air: Celsius, rh: Option<RelativeHumidity>, limits: &GateLimits) -> GateVerdict {
    let minds_humidity = limits.rh_stop < Percent(100.0);
    let damp = match rh {
        Some(rh) if minds_humidity => humidity(rh, limits),
        None if minds_humidity => Some(GateReason::HumidityNotMeasured),
        _ => None,
    };
    GateVerdict::of(temperature(Spot::Air, air, limits).into_iter().chain(damp).collect())
}

fn temperature(spot: Spot, now: Celsius, limits: &GateLimits) -> Option<GateReason> {
    if now < limits.stop_below {
        Some(GateReason::TooCold { spot, now, least: limits.stop_below })
    } else if now > limits.stop_above {
        Some(GateReason::TooHot { spot, now, most: limits.stop_above })
    } else if now < limits.warn_below {
        Some(GateReason::Cool { spot, now, good: limits.warn_below })
    } else if now > limits.warn_above {
        Some(GateReason::Warm { spot, now, good: limits.warn_above })
    } else {
        None
    }
}

fn humidity(rh: RelativeHumidity, limits: &GateLimits) -> Option<GateReason> {
    let now = rh.percent();
    if now > limits.rh_stop {
        Some(GateReason::TooDamp { now, most: limits.rh_stop })
    } else if now >= limits.rh_warn {
        Some(GateReason::Damp { now, good: limits.rh_warn })
    } else {
        None
    }
}

fn dew(
    air: Celsius,
    rh: RelativeHumidity,
    surface: Celsius,
    limits: &GateLimits,
) -> Option<GateReason> {
    let dew_point = dew_point(air, rh);
    let margin = surface.above(dew_point);
    if margin < limits.dew_stop {
        Some(GateReason::Dew { margin, dew_point, least: limits.dew_stop })
    } else if margin < limits.dew_warn {
        Some(GateReason::NearDew { margin, dew_point, good: limits.dew_warn })
    } else {
        None
    }
}
