//! How fast a room cools, from readings taken while the heater was off: nobody
//! knows the time constant of a shop, and two looks at a thermometer give it.

use crate::engine::history::TemperatureHistory;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Instant, Kelvins, Minutes, Span};
use crate::engine::sorting::sort_by_key;
use std::fmt;

use super::{LEAST_CONSTANT, MOST_CONSTANT};

/// Least approach to the outside temperature that says something: twice what a
/// thermometer may be wrong by (common practice).
const LEAST_FALL: Kelvins = Kelvins(1.0);

/// A fitted time constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Time in which the difference from outside falls to 37 % (1/e).
    pub constant: Minutes,
    /// The same with its 80 % interval, from three readings on: two always lie
    /// on a curve and say nothing of their own error.
    pub spread: Option<Span<Minutes>>,
}

/// Why readings give no time constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FitError {
    /// A temperature that no workshop has.
    Outside(Celsius),
    /// Fewer than two readings, at different times, on one side of the outside
    /// temperature.
    TooFew,
    /// They don't come near enough to the outside temperature.
    TooFlat {
        /// How much nearer the last one is than the first; negative when it is
        /// further away.
        fall: Kelvins,
    },
    /// They follow no time constant within [`LEAST_CONSTANT`] to [`MOST_CONSTANT`].
    NoConstant,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outside(t) => write!(
                f,
                "{} °C is no temperature of a workshop. Read the thermometer again.",
                t.value()
            ),
            Self::TooFew => f.write_str(
                "Take at least two readings at different times while the heater is off and the \
                 room is not yet as it is outside.",
            ),
            Self::TooFlat { .. } => write!(
                f,
                "The readings come less than {} K nearer to the temperature outside. Wait, and \
                 take another.",
                LEAST_FALL.value()
            ),
            Self::NoConstant => f.write_str(
                "The readings do not fit a room that cools by itself. Look whether the heater was \
                 off, and how cold it was outside.",
            ),
        }
    }
}

impl std::error::Error for FitError {}

/// The time constant of a room from readings taken while the heater was off,
/// in any order, and the temperature outside meanwhile.
///
/// A straight line through `ln |T - outside|` against time by least squares,
/// weighted by the square of the difference: an error of the thermometer weighs
/// the more in the logarithm the nearer the reading lies to the outside.
/// Readings on the outside temperature or beyond it have no logarithm and are
/// left out. A room that warms towards a warmer outside is fitted all the same.
///
/// # Errors
/// [`FitError`] for temperatures that can't be, without two readings that come
/// at least 1 K nearer to the outside, or without a constant to be believed.
pub fn fit_constant(points: &[(Instant, Celsius)], outside: Celsius) -> Result<Fit, FitError> {
    let believed = TemperatureHistory::LEAST..=TemperatureHistory::MOST;
    let mut temperatures = points.iter().map(|(_, t)| *t).chain([outside]);
    if let Some(t) = temperatures.find(|t| !believed.contains(t)) {
        return Err(FitError::Outside(t));
    }
    let mut points = points.to_vec();
    sort_by_key(&mut points, |(instant, _)| *instant);
    let Some(&(start, first)) = points.first() else { return Err(FitError::TooFew) };
    let side = first.above(outside).value().signum();
    // Minutes since the first, and kelvins from the outside.
    let used: Vec<(f64, f64)> = points
        .into_iter()
        .map(|(instant, t)| (instant.since(start).value(), side * t.above(outside).value()))
        .filter(|(_, difference)| *difference > 0.0)
        .collect();
    let (Some(&(begin, from)), Some(&(end, to))) = (used.first(), used.last()) else {
        return Err(FitError::TooFew);
    };
    if end <= begin {
        return Err(FitError::TooFew);
    }
    let fall = Kelvins(from - to);
    if fall < LEAST_FALL {
        return Err(FitError::TooFlat { fall });
    }
    let Line { slope, error } = line(&used);
    let constant = |rate: f64| {
        if rate > 0.0 { Minutes(1.0 / rate).min(MOST_CONSTANT) } else { MOST_CONSTANT }
    };
    let likely = Minutes(-1.0 / slope);
    if !(likely >= LEAST_CONSTANT && likely <= MOST_CONSTANT) {
        return Err(FitError::NoConstant);
    }
    let spread = error.map(|error| Span {
        low: constant(error - slope).max(LEAST_CONSTANT),
        likely,
        high: constant(-slope - error),
    });
    Ok(Fit { constant: likely, spread })
}

/// A fitted line.
struct Line {
    slope: f64,
    /// Half the 80 % interval of the slope, from three points on.
    error: Option<f64>,
}

/// The line through the logarithms, weighted by the square of the value.
fn line(points: &[(f64, f64)]) -> Line {
    let sum = |term: &dyn Fn(f64, f64) -> f64| {
        points.iter().map(|(x, value)| value * value * term(*x, value.logarithm())).sum::<f64>()
    };
    let weight = sum(&|_, _| 1.0);
    let (middle, height) = (sum(&|x, _| x) / weight, sum(&|_, y| y) / weight);
    let width = sum(&|x, _| (x - middle) * (x - middle));
    let slope = sum(&|x, y| (x - middle) * (y - height)) / width;
    let free = points.len().saturating_sub(2);
    let error = (free > 0).then(|| {
        let miss = |x: f64, y: f64| y - height - slope * (x - middle);
        let scatter = sum(&|x, y| miss(x, y) * miss(x, y)) / free as f64;
        student(free) * (scatter / width).sqrt()
    });
    Line { slope, error }
}

/// Student's t for a two-sided 80 % interval by degrees of freedom (tables of
/// the distribution, 0.90 quantile). Beyond ten, where it falls slowly to
/// 1.282, that of ten is kept: a little too wide.
fn student(free: usize) -> f64 {
    const QUANTILES: [f64; 10] =
        [3.0777, 1.8856, 1.6377, 1.5332, 1.4759, 1.4398, 1.4149, 1.3968, 1.3830, 1.3722];
    QUANTILES.get(free.saturating_sub(1)).copied().unwrap_or(1.3722)
}
