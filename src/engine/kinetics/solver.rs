//! The catalyst both ways: what a level gives, and what level a wanted time takes.
//!
//! The first is a division. The second meets the tin's range: a level beyond
//! its ends is never advised, and then a mould maker needs to know by how much
//! the time is missed and which film temperature would make up for it. Nothing
//! here is permission: the tin's data sheet rules, and a caller who knows the
//! material's temperature limits holds the advised temperature against them.

use super::{CatalystLaw, CatalystRange, TemperatureLaw};
use crate::engine::decimals::{Fixed, fixed};
use crate::engine::history::TemperatureHistory;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Minutes, Percent, Span};
use std::fmt;

/// What a time depends on.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// How the speed follows temperature.
    pub law: &'a TemperatureLaw,
    /// How it follows the catalyst level.
    pub catalyst: &'a CatalystLaw,
    /// The levels that the tin allows.
    pub range: &'a CatalystRange,
    /// Time of the milestone, mostly gel, at the reference temperature and level.
    pub time: Span<Minutes>,
}

impl Setting<'_> {
    /// The level whose speed on a film brings the likely time to `wanted`, and
    /// where there is none, because the catalyst makes no difference, its reference.
    fn wanted_level(&self, wanted: Minutes, film: Celsius) -> Percent {
        let CatalystLaw { reference, exponent } = *self.catalyst;
        if exponent == 0.0 {
            return reference;
        }
        let speed = self.time.likely / wanted / self.law.rate(film);
        reference * speed.to_power(1.0 / exponent)
    }
}

/// The time that a catalyst level gives on a film held at a temperature.
///
/// Infinite for a level of zero or less: nothing cures. Levels outside the
/// range are worked out all the same; [`CatalystRange::judge`] says what to
/// think of them.
pub fn time_at(setting: &Setting<'_>, level: Percent, film: Celsius) -> Span<Minutes> {
    let speed = setting.law.rate(film) * setting.catalyst.rate(level);
    setting.time.map(|time| time / speed)
}

/// Why no level can be advised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LevelError {
    /// A wanted time that is not above zero, or has no end.
    Wanted(Minutes),
    /// A film temperature that no workshop has.
    Film(Celsius),
    /// The card's time is not above zero or not finite, or its law gives no speed.
    NoTime,
}

impl fmt::Display for LevelError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Wanted(_) => f.write_str("Enter how many minutes you want, more than none."),
            Self::Film(film) => write!(
                f,
                "{} °C is no temperature of a film. Measure the surface again.",
                Fixed(film.value(), 1)
            ),
            Self::NoTime => f.write_str(
                "This card gives no time to go by. Enter one from the tin's data sheet.",
            ),
        }
    }
}

impl std::error::Error for LevelError {}

/// By how much an end of the range misses a wanted time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Miss {
    /// Even the highest level is too slow.
    Late {
        /// How much later than wanted, by likely times.
        by: Minutes,
        /// Film temperature at which the advised level would do, if any.
        warm_to: Option<Celsius>,
    },
    /// Even the lowest level is too fast.
    Early {
        /// How much sooner than wanted, by likely times.
        by: Minutes,
        /// Film temperature at which the advised level would do, if any.
        cool_to: Option<Celsius>,
    },
}

/// The catalyst level for a wanted time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelAdvice {
    /// The level to take: rounded to 0.1 % and within the range's low and high.
    pub level: Percent,
    /// The level that the time asks for, neither rounded nor clamped; the
    /// reference level where the catalyst makes no difference.
    pub wanted_level: Percent,
    /// The time that `level` gives.
    pub gives: Span<Minutes>,
    /// By how much it misses; none where rounding alone keeps it from the
    /// wanted time, or the miss is under a hundredth of it.
    pub miss: Option<Miss>,
}

/// Share of a wanted time under which nobody calls it missed (common practice:
/// no cup is measured so well).
const NO_MISS: f64 = 0.01;

/// The catalyst level with which a film held at a temperature takes the wanted
/// time, by the likely time: `c = c_ref (t_ref / (t rate(T)))^(1/n)`, trade rule
/// K-CAT-T solved for a time. Rounded to 0.1 % and held within the range's low
/// and high.
///
/// # Errors
/// [`LevelError`] for a wanted time or film temperature that can't be, or a
/// card without a time.
pub fn level_for(
    setting: &Setting<'_>,
    wanted: Minutes,
    film: Celsius,
) -> Result<LevelAdvice, LevelError> {
    if !(wanted.value() > 0.0 && wanted.is_finite()) {
        return Err(LevelError::Wanted(wanted));
    }
    if !(film >= TemperatureHistory::LEAST && film <= TemperatureHistory::MOST) {
        return Err(LevelError::Film(film));
    }
    let (time, rate) = (setting.time.likely, setting.law.rate(film));
    if !(time.value() > 0.0 && time.is_finite() && rate > 0.0 && rate.is_finite()) {
        return Err(LevelError::NoTime);
    }
    let wanted_level = setting.wanted_level(wanted, film);
    let rounded = Percent((wanted_level.value() * 10.0).round() / 10.0);
    let level = rounded.min(setting.range.high).max(setting.range.low);
    let gives = time_at(setting, level, film);
    let late = gives.likely - wanted;
    let out_of_reach = rounded != level || setting.catalyst.exponent == 0.0;
    let miss = (out_of_reach && late.value().abs() > wanted.value() * NO_MISS).then(|| {
        let speed = time / wanted / setting.catalyst.rate(level);
        let film_at = setting
            .law
            .temperature_for(speed)
            .filter(|t| (TemperatureHistory::LEAST..=TemperatureHistory::MOST).contains(t));
        if late.value() > 0.0 {
            Miss::Late { by: late, warm_to: film_at.filter(|t| *t > film) }
        } else {
            Miss::Early { by: late * -1.0, cool_to: film_at.filter(|t| *t < film) }
        }
    });
    Ok(LevelAdvice { level, wanted_level, gives, miss })
}

/// Minutes for a sentence: tenths only where they matter.
fn spoken(time: Minutes) -> String {
    let minutes = time.value();
    if minutes < 9.95 { fixed(minutes, 1) } else { fixed(minutes, 0) }
}

impl fmt::Display for LevelAdvice {
    /// The level and its time; where it misses, by how much and what to do. Why
    /// there are ends: trade rule K-CAT-T (over the range the excess peroxide
    /// shortens chains) and common practice (too little leaves it soft).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Span { low, likely, high } = self.gives.map(spoken);
        let level = self.level.value();
        write!(
            f,
            "{level} % catalyst: likely {likely} min, between {low} and {high}",
            level = Fixed(level, 1)
        )?;
        match self.miss {
            None => f.write_str("."),
            Some(Miss::Late { by, warm_to }) => {
                write!(
                    f,
                    ", {} min later than wanted. More catalyst can make the cure worse, not only \
                     faster: warm the film instead",
                    spoken(by)
                )?;
                match warm_to {
                    Some(film) => write!(
                        f,
                        ". {} °C would do, if the tin's data sheet allows it.",
                        Fixed(film.value(), 1)
                    ),
                    None => f.write_str(", as far as the tin's data sheet allows."),
                }
            }
            Some(Miss::Early { by, cool_to }) => {
                write!(
                    f,
                    ", {} min sooner than wanted. Less catalyst may leave it soft: mix less at a \
                     time",
                    spoken(by)
                )?;
                match cool_to {
                    Some(film) => write!(
                        f,
                        ". A film at {} °C would do, if the tin's data sheet allows it.",
                        Fixed(film.value(), 1)
                    ),
                    None => f.write_str(", and keep to the tin's data sheet."),
                }
            }
        }
    }
}
