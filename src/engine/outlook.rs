//! What the temperature will do after the last reading, as somebody states it.
//!
//! A workshop cools overnight, and a clock that holds the evening's reading
//! until morning is wrong by hours. What is known beforehand is little: a low
//! with its hour, or when the heater goes off. This turns either into ordinary
//! points of a [`TemperatureHistory`], so that everything that solves a cure
//! over readings solves it over a forecast without knowing the difference.
//!
//! A room without heat goes to the temperature outside by
//! `T = outside + (start - outside) exp(-t/constant)` (Newton's law of cooling;
//! one constant for a room is common practice, not exact).
//!
//! # How the curve is cut
//! Equivalent age counted from where a curve begins, or from before, stays
//! within 1e-6 of the true exponential's at every instant: for both laws, up to
//! 80 kJ/mol or fourfold per ten degrees, differences up to 25 K and
//! temperatures over -20 °C. A cure that starts on the curve is off by at most
//! two millionths of the age since the curve began. Joining points of the curve
//! would run warm in every piece when it cools, so the chords are shifted: each
//! has the curve's own mean. What is left is the error within a piece, a cube of
//! its length against the age so far, and so pieces grow as the age does: about
//! a hundred points at 25 K, fewer for less.

use super::history::{HistoryError, TemperatureHistory};
use super::quantity::{Celsius, Instant, Kelvins, Minutes};
use super::sorting::sort_by_key;
use crate::engine::maths::Maths;
use std::fmt;

mod fit;

pub use fit::{Fit, FitError, fit_constant};

/// Least time constant that is believed: a small box.
pub const LEAST_CONSTANT: Minutes = Minutes(1.0);
/// Greatest time constant that is believed, 14 days: thicker walls are none of a workshop.
pub const MOST_CONSTANT: Minutes = Minutes(14.0 * 24.0 * 60.0);

/// Something stated about the temperature to come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlook {
    /// Reached at that instant, along a straight line from the reading, the
    /// stated temperature or the switching of the heater before it; then held.
    Reaches {
        /// When.
        at: Instant,
        /// What it will be.
        temperature: Celsius,
    },
    /// The heater goes off: towards the temperature outside.
    HeaterOff {
        /// When.
        at: Instant,
        /// Temperature outside.
        outside: Celsius,
        /// Time in which the difference falls to 37 % (1/e).
        constant: Minutes,
    },
    /// The heater goes on: towards the temperature that it keeps.
    HeaterOn {
        /// When.
        at: Instant,
        /// What it keeps.
        temperature: Celsius,
        /// Time in which the difference falls to 37 % (1/e).
        constant: Minutes,
    },
}

/// Why something stated is no forecast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutlookError {
    /// A temperature that no workshop has.
    Temperature(HistoryError),
    /// A time constant that is not within [`LEAST_CONSTANT`] to [`MOST_CONSTANT`].
    Constant(Minutes),
}

impl fmt::Display for OutlookError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Temperature(HistoryError::Outside(t)) => write!(
                f,
                "{} °C is no temperature of a workshop ({} to {} °C). Enter the forecast again.",
                t.value(),
                TemperatureHistory::LEAST.value(),
                TemperatureHistory::MOST.value()
            ),
            Self::Temperature(error) => error.fmt(f),
            Self::Constant(constant) => write!(
                f,
                "No room takes {} minutes to cool or warm. Enter between {} minute and {} days.",
                constant.value(),
                LEAST_CONSTANT.value(),
                MOST_CONSTANT.value() / (24.0 * 60.0)
            ),
        }
    }
}

impl std::error::Error for OutlookError {}

impl Outlook {
    /// Whether a heater is switched: then it governs the room until something
    /// else is stated.
    pub const fn is_switch(&self) -> bool {
        matches!(self, Self::HeaterOff { .. } | Self::HeaterOn { .. })
    }

    /// When it happens.
    pub const fn at(&self) -> Instant {
        match self {
            Self::Reaches { at, .. } | Self::HeaterOff { at, .. } | Self::HeaterOn { at, .. } => {
                *at
            }
        }
    }

    /// The temperature that it names.
    const fn target(&self) -> Celsius {
        match *self {
            Self::Reaches { temperature, .. } | Self::HeaterOn { temperature, .. } => temperature,
            Self::HeaterOff { outside, .. } => outside,
        }
    }

    /// Where the temperature heads from then on; none where it is held.
    const fn heading(&self) -> Option<Heading> {
        match *self {
            Self::Reaches { .. } => None,
            Self::HeaterOff { outside: target, constant, .. }
            | Self::HeaterOn { temperature: target, constant, .. } => {
                Some(Heading { target, constant })
            }
        }
    }

    fn check(&self) -> Result<(), OutlookError> {
        let t = self.target();
        if !(t >= TemperatureHistory::LEAST && t <= TemperatureHistory::MOST) {
            return Err(OutlookError::Temperature(HistoryError::Outside(t)));
        }
        match self.heading() {
            Some(Heading { constant, .. })
                if !(constant >= LEAST_CONSTANT && constant <= MOST_CONSTANT) =>
            {
                Err(OutlookError::Constant(constant))
            }
            _ => Ok(()),
        }
    }
}

/// The readings of a place, carried on by what is stated, in any order.
///
/// What lies at or before the last reading has been overtaken: the reading
/// stands. But a heater that was switched before it governs what comes after
/// it, from the reading's value, unless a stated temperature came in between.
/// So a reading that only confirms the forecast changes nothing.
///
/// A line to a stated temperature begins where something was known last. Where
/// the last reading is much older than the statement, state the held
/// temperature at that instant too.
///
/// # Errors
/// [`OutlookError`] for a temperature outside [`TemperatureHistory::LEAST`] to
/// [`TemperatureHistory::MOST`], or a time constant outside [`LEAST_CONSTANT`]
/// to [`MOST_CONSTANT`].
pub fn extended(
    measured: &TemperatureHistory,
    stated: &[Outlook],
) -> Result<TemperatureHistory, OutlookError> {
    for outlook in stated {
        outlook.check()?;
    }
    let mut stated = stated.to_vec();
    // At one instant the temperature comes first and the heater changes it.
    sort_by_key(&mut stated, |outlook| (outlook.at(), outlook.heading().is_some()));
    let (read, t) = measured.last();
    let mut forecast = Forecast { points: measured.points().to_vec(), at: read, t, heading: None };
    for outlook in stated {
        let at = outlook.at();
        if at > read {
            match outlook.heading() {
                None => forecast.reach(at, outlook.target()),
                Some(_) => forecast.run(Some(at)),
            }
        }
        forecast.heading = outlook.heading();
    }
    forecast.run(None);
    TemperatureHistory::new(forecast.points).map_err(OutlookError::Temperature)
}

/// A temperature that something is heading for.
#[derive(Clone, Copy)]
struct Heading {
    target: Celsius,
    constant: Minutes,
}

/// A forecast as far as it is laid.
struct Forecast {
    points: Vec<(Instant, Celsius)>,
    /// Since when the temperature holds or heads somewhere.
    at: Instant,
    /// The true value there, which a shifted chord need not end at.
    t: Celsius,
    heading: Option<Heading>,
}

impl Forecast {
    fn reach(&mut self, at: Instant, t: Celsius) {
        self.points.push((at, t));
        (self.at, self.t) = (at, t);
    }

    /// Lets the temperature go on until an instant, or for ever.
    fn run(&mut self, until: Option<Instant>) {
        if let Some(heading) = self.heading {
            let curve = Curve { from: self.at, start: self.t, heading };
            // A curve that was cut ends on a shifted chord: the next one begins
            // with its own value, as soon after as instants can tell.
            if until.is_none_or(|until| until > self.at)
                && self.points.last().is_some_and(|(_, t)| *t != self.t)
            {
                let next = Instant(self.at.millis().saturating_add(1));
                self.points.push((next, curve.at(next)));
            }
            curve.lay(&mut self.points, until);
            if let Some(until) = until {
                (self.at, self.t) = (until, curve.at(until));
            }
        } else if let Some(until) = until {
            self.reach(until, self.t);
        }
    }
}

/// Relative error of the age that pieces are cut for: the promised 1e-6 with
/// something left for rounding.
const ERROR: f64 = 0.9e-6;

/// The steepest law that pieces are cut for, as change of the logarithm of the
/// speed per kelvin: 80 kJ/mol at -20 °C; fourfold per ten degrees is 0.139.
const STEEPEST: f64 = 0.15;

/// Greatest partial sum within a piece of a parabola whose mean was taken off,
/// for a second derivative and a length of 1: `1/(36 sqrt 3)` over 2.
const WITHIN_PIECE: f64 = 0.008_02;

/// An exponential approach.
struct Curve {
    from: Instant,
    start: Celsius,
    heading: Heading,
}

impl Curve {
    /// Time constants since the curve began.
    fn turns(&self, instant: Instant) -> f64 {
        instant.since(self.from) / self.heading.constant
    }

    fn difference(&self) -> Kelvins {
        self.start.above(self.heading.target)
    }

    fn at(&self, instant: Instant) -> Celsius {
        self.heading.target + self.difference() * (-self.turns(instant)).exponential()
    }

    /// Adds points after the last one, up to and including `until` where the
    /// curve goes on so far.
    fn lay(&self, points: &mut Vec<(Instant, Celsius)>, until: Option<Instant>) {
        let Heading { target, constant } = self.heading;
        let difference = self.difference();
        // Change of the logarithm of the speed over the whole curve.
        let whole = STEEPEST * difference.value().abs();
        // Age so far in time constants at the present speed, by the law for
        // which it is least: the steepest where it warms, none where it cools.
        let mut age = 0.0;
        while let Some(&(last, t)) = points.last()
            && whole > 0.0
            && until.is_none_or(|until| last < until)
        {
            let left = (-self.turns(last)).exponential();
            // The first piece starts on the curve, so that only its length counts.
            let first = (24.0 * ERROR / (whole * left)).sqrt();
            let length = (ERROR * age / (whole * left * WITHIN_PIECE)).cube_root().max(first);
            // From here one chord down to the target covers as much as all the
            // rest of the curve.
            let rest = difference * left;
            let to_target = last + constant * (2.0 * rest.value() / t.above(target).value());
            if length >= 2.0 && until.is_none_or(|until| to_target <= until) {
                points.push((to_target, target));
                return;
            }
            let next = last + constant * length.min(2.0);
            let next = until.map_or(next, |until| next.min(until));
            if next <= last {
                return; // The end of all instants.
            }
            let turns = self.turns(next) - self.turns(last);
            let fallen = left - (-self.turns(next)).exponential();
            let mean = target + difference * (fallen / turns);
            points.push((next, mean + mean.above(t)));
            let slower =
                if difference.value() < 0.0 { (-whole * fallen).exponential() } else { 1.0 };
            age = (age + 0.5 * turns) * slower + 0.5 * turns;
        }
    }
}

/// The first instant from `from` on at which a temperature lies under a limit;
/// none where it never does.
pub fn reaches_below(
    history: &TemperatureHistory,
    from: Instant,
    limit: Celsius,
) -> Option<Instant> {
    if history.at(from) < limit {
        return Some(from);
    }
    let (mut earlier, mut before) = (from, history.at(from));
    for &(later, t) in history.points().iter().filter(|(instant, _)| *instant > from) {
        if t < limit {
            let share = before.above(limit).value() / before.above(t).value();
            let crossing = earlier + later.since(earlier) * share;
            // The crossing itself is not under the limit, the next millisecond is.
            return Some(Instant(crossing.millis().saturating_add(1)).min(later));
        }
        (earlier, before) = (later, t);
    }
    None
}
