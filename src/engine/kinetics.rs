//! How fast a material reacts: by temperature, by catalyst, by mass.
//!
//! One place for the rate laws, so that a milestone, a data sheet's time at
//! another temperature and the catalyst helper can't disagree. Every law gives
//! a speed relative to its own reference; which numbers go in is the trade's
//! business, not the engine's.
//!
//! Sources: rate factor `exp(-E/R (1/T - 1/Tref))` in kelvins (Arrhenius), the
//! ten-degree rule (van 't Hoff 1884), the gas constant (CODATA, exact since
//! 2019). The powers of catalyst and mass are working rules; their exponents
//! come from the trade data with their own status.

use super::quantity::{Celsius, Grams, KilojoulesPerMole, Percent};
use crate::engine::maths::Maths;
use std::fmt;

pub mod solver;

/// Molar gas constant in J/(mol K): exact, the product of the Boltzmann and
/// Avogadro constants (CODATA, since the SI of 2019).
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// How the speed of a reaction follows temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TemperatureLaw {
    /// Arrhenius, with an apparent activation energy.
    ActivationEnergy {
        /// Apparent activation energy; more than zero for whatever warmth speeds up.
        energy: KilojoulesPerMole,
        /// Temperature at which the speed is 1.
        reference: Celsius,
    },
    /// The ten-degree rule: so many times faster for each ten degrees.
    PerTen {
        /// Times faster per ten degrees; more than zero, and more than 1 for
        /// whatever warmth speeds up.
        factor: f64,
        /// Temperature at which the speed is 1.
        reference: Celsius,
    },
}

impl TemperatureLaw {
    /// Speed at a temperature relative to the reference; more than 1 is faster.
    pub fn rate(&self, t: Celsius) -> f64 {
        self.curve().rate(t)
    }

    /// The temperature at which the speed is 1.
    pub fn reference(&self) -> Celsius {
        match self {
            Self::ActivationEnergy { reference, .. } | Self::PerTen { reference, .. } => *reference,
        }
    }

    /// The temperature at which the speed is `rate`: the inverse of [`Self::rate`].
    ///
    /// None where no temperature gives it: a rate that is not above zero, a law
    /// that does not change with temperature, or an Arrhenius speed beyond any
    /// temperature.
    pub fn temperature_for(&self, rate: f64) -> Option<Celsius> {
        let ln_rate = rate.logarithm();
        let found = match *self {
            Self::ActivationEnergy { energy, reference } => {
                let inverse =
                    1.0 / reference.kelvin() - GAS_CONSTANT * ln_rate / (energy.value() * 1000.0);
                if inverse <= 0.0 {
                    return None;
                }
                Celsius(1.0 / inverse - Celsius::ZERO_IN_KELVIN)
            }
            Self::PerTen { factor, reference } => {
                Celsius(reference.value() + 10.0 * ln_rate / factor.logarithm())
            }
        };
        found.is_finite().then_some(found)
    }

    /// The law made ready for many evaluations.
    pub(crate) fn curve(&self) -> Curve {
        match *self {
            Self::ActivationEnergy { energy, reference } => Curve::Inverse {
                slope: energy.value() * 1000.0 / GAS_CONSTANT,
                reference: 1.0 / reference.kelvin(),
            },
            Self::PerTen { factor, reference } => {
                Curve::Linear { slope: factor.logarithm() / 10.0, reference }
            }
        }
    }
}

/// The logarithm of the speed against temperature, with everything that does
/// not change worked out beforehand: a solved cure asks thousands of times.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Curve {
    /// `slope (reference - 1/T)`, in kelvins.
    Inverse { slope: f64, reference: f64 },
    /// `slope (T - reference)`.
    Linear { slope: f64, reference: Celsius },
}

impl Curve {
    /// Speed at a temperature relative to the law's reference.
    pub fn rate(&self, t: Celsius) -> f64 {
        self.ln_rate(t).exponential()
    }

    fn ln_rate(&self, t: Celsius) -> f64 {
        match *self {
            Self::Inverse { slope, reference } => slope * (reference - 1.0 / t.kelvin()),
            Self::Linear { slope, reference } => slope * t.above(reference).value(),
        }
    }

    /// Mean speed while the temperature moves linearly from one value to another.
    ///
    /// By the ten-degree rule this has a closed form ([`mean_exponential`]). By
    /// Arrhenius: Gauss-Legendre. The number of nodes goes by how much the logarithm of
    /// the speed changes, `x`: with n nodes the error for an exponential is
    /// `x^2n (n!)^4 / ((2n+1) ((2n)!)^3)`, so each branch below stays under
    /// 3e-8 of the result. Readings of a workshop lie close together and take
    /// two nodes.
    pub fn mean_rate(&self, from: Celsius, to: Celsius) -> f64 {
        let (first, last) = (from.value(), to.value());
        if first == last {
            return self.rate(from);
        }
        if let Self::Linear { slope, .. } = self {
            return self.rate(from) * mean_exponential(slope * to.above(from).value());
        }
        let change = (self.ln_rate(to) - self.ln_rate(from)).abs();
        let nodes: &[(f64, f64)] = match change {
            x if x <= 0.1 => &TWO_NODES,
            x if x <= 0.5 => &THREE_NODES,
            _ => &FIVE_NODES,
        };
        // A law without a finite logarithm has no finite mean: one panel says so.
        let panels = if change.is_finite() { (change / 1.5).ceil().max(1.0) } else { 1.0 };
        let width = (last - first) / panels;
        let mut sum = 0.0;
        for panel in 0..panels as u32 {
            let middle = first + (f64::from(panel) + 0.5) * width;
            for &(node, weight) in nodes {
                sum += weight * self.rate(Celsius(middle + 0.5 * width * node));
            }
        }
        sum / (2.0 * panels)
    }
}

/// Mean of `exp(x)` for x from 0 to `change`: `(exp(change) - 1) / change`, near
/// nought by its series, where the difference would lose its digits.
fn mean_exponential(change: f64) -> f64 {
    if change.abs() > 0.5 {
        return (change.exponential() - 1.0) / change;
    }
    // 1 + x/2 (1 + x/3 (1 + ...)): nine terms leave less than 1e-11.
    (2..=10).rev().fold(1.0, |sum, n| 1.0 + change / f64::from(n) * sum)
}

/// Nodes on -1 to 1 with their weights (Abramowitz and Stegun, table 25.4).
const TWO_NODES: [(f64, f64); 2] =
    [(-0.577_350_269_189_625_8, 1.0), (0.577_350_269_189_625_8, 1.0)];
const THREE_NODES: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 0.555_555_555_555_555_6),
    (0.0, 0.888_888_888_888_889),
    (0.774_596_669_241_483_4, 0.555_555_555_555_555_6),
];
const FIVE_NODES: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// The activation energy with which warming from one temperature to another
/// makes a reaction `factor` times faster: `E = R ln(factor) / (1/T1 - 1/T2)`.
///
/// Not finite when the temperatures are equal or the factor is not above zero.
pub fn activation_energy_of(factor: f64, from: Celsius, to: Celsius) -> KilojoulesPerMole {
    let span = 1.0 / from.kelvin() - 1.0 / to.kelvin();
    KilojoulesPerMole(GAS_CONSTANT * factor.logarithm() / span / 1000.0)
}

/// How the speed follows the catalyst level: a power of the level relative to
/// the reference level.
///
/// Radical theory gives an exponent of 0.5, practice 0.5 to 1 (from memory);
/// with an exponent of at most 1, doubling never more than halves a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalystLaw {
    /// Level at which the speed is 1, in per cent of the resin by mass.
    pub reference: Percent,
    /// The power; 0 to 1.2 is sensible.
    pub exponent: f64,
}

impl CatalystLaw {
    /// Speed at a catalyst level relative to the reference level; more than 1
    /// is faster. A level of zero or less gives zero: nothing cures.
    pub fn rate(&self, level: Percent) -> f64 {
        if level.value() > 0.0 { (level / self.reference).to_power(self.exponent) } else { 0.0 }
    }
}

/// The catalyst levels that a family allows.
///
/// Expected order: `block_below <= low <= high <= warn_above <= block_above`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalystRange {
    /// Least level in ordinary use.
    pub low: Percent,
    /// Highest level in ordinary use.
    pub high: Percent,
    /// Above this a level is doubtful.
    pub warn_above: Percent,
    /// Above this a level is refused.
    pub block_above: Percent,
    /// Below this a level is refused.
    pub block_below: Percent,
}

impl CatalystRange {
    /// What to think of a level. A level that is not a number is refused.
    pub fn judge(&self, level: Percent) -> CatalystVerdict {
        if level > self.block_above {
            CatalystVerdict::TooMuch { level, most: self.block_above }
        } else if level > self.warn_above {
            CatalystVerdict::Warn { level, usual: self.warn_above }
        } else if level >= self.low.max(self.block_below) {
            CatalystVerdict::Fine
        } else if level >= self.block_below {
            CatalystVerdict::Warn { level, usual: self.low }
        } else {
            CatalystVerdict::TooLittle { level, least: self.block_below }
        }
    }
}

/// What to think of a catalyst level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CatalystVerdict {
    /// In ordinary use.
    Fine,
    /// Allowed but doubtful: above or below ordinary use.
    Warn {
        /// The level.
        level: Percent,
        /// The end of ordinary use that it passed.
        usual: Percent,
    },
    /// Refused: so little leaves the resin soft for good.
    TooLittle {
        /// The level.
        level: Percent,
        /// The least allowed.
        least: Percent,
    },
    /// Refused: so much spoils the cure and heats the pot.
    TooMuch {
        /// The level.
        level: Percent,
        /// The most allowed.
        most: Percent,
    },
}

impl CatalystVerdict {
    /// Whether the level is refused.
    pub const fn is_refused(&self) -> bool {
        matches!(self, Self::TooLittle { .. } | Self::TooMuch { .. })
    }
}

impl fmt::Display for CatalystVerdict {
    /// A sentence or two: what is wrong and what to do. Why there are limits:
    /// too little is used up by the inhibitor, too much shortens the chains
    /// (resin handbooks, from memory).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Fine => f.write_str("This catalyst level is within the usual range."),
            Self::Warn { level, usual } if level > usual => write!(
                f,
                "{:.1} % catalyst is above the usual {:.1} %: more can make the cure worse, not \
                 only faster. Warm the form instead, and keep to the tin's data sheet.",
                level.value(),
                usual.value()
            ),
            Self::Warn { level, usual } => write!(
                f,
                "{:.1} % catalyst is below the usual {:.1} %: it may stay soft. Take more, and \
                 keep to the tin's data sheet.",
                level.value(),
                usual.value()
            ),
            Self::TooLittle { level, least } => write!(
                f,
                "{:.1} % catalyst is too little: under {:.1} % it may never cure through. Take \
                 at least that, and keep to the tin's data sheet.",
                level.value(),
                least.value()
            ),
            Self::TooMuch { level, most } => write!(
                f,
                "{:.1} % catalyst is too much: over {:.1} % it can overheat and cure badly. Take \
                 less and warm the form, and keep to the tin's data sheet.",
                level.value(),
                most.value()
            ),
        }
    }
}

/// The catalyst level that keeps a wanted speed on a film of another temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalystAdvice {
    /// The level to take: rounded to 0.1 % and within the range's low and high.
    pub level: Percent,
    /// The level that the speed asks for, neither rounded nor clamped.
    pub wanted: Percent,
    /// Whether the range kept `level` away from `wanted`.
    pub clamped: bool,
    /// Where the range's high end is not enough: the film temperature at which
    /// it would be. None otherwise, also when even the low end is too fast.
    pub warm_to: Option<Celsius>,
}

impl fmt::Display for CatalystAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (level, wanted) = (self.level.value(), self.wanted.value());
        match (self.clamped, self.warm_to) {
            (false, _) => write!(f, "{level:.1} % keeps the speed."),
            (true, Some(warm_to)) => write!(
                f,
                "{wanted:.1} % would keep the speed, but {level:.1} % is the most: warm it to \
                 {:.1} °C instead.",
                warm_to.value()
            ),
            (true, None) if wanted > level => write!(
                f,
                "{wanted:.1} % would keep the speed, but {level:.1} % is the most: warm it instead."
            ),
            (true, None) => write!(
                f,
                "{wanted:.1} % would keep the speed, but {level:.1} % is the least: it will go \
                 faster, so mix less at a time."
            ),
        }
    }
}

/// The catalyst level with which a film at `film` runs as fast as the reference
/// level does at `speed_at` (trade rule K-CAT-T: `c = c_ref q10^(dT/10)` where
/// the exponent is 1; in general the ratio of rates to the power 1/exponent).
///
/// Rounded to 0.1 % and clamped to the range's low and high. A law whose
/// catalyst makes no difference (exponent 0) wants an unbounded or vanishing
/// level and so gets an end of the range, or the reference where nothing is to
/// be made up for.
pub fn match_speed(
    law: &TemperatureLaw,
    catalyst: &CatalystLaw,
    range: &CatalystRange,
    speed_at: Celsius,
    film: Celsius,
) -> CatalystAdvice {
    let wanted_rate = law.rate(speed_at);
    let ratio = wanted_rate / law.rate(film);
    let factor = if ratio == 1.0 { 1.0 } else { ratio.to_power(1.0 / catalyst.exponent) };
    let wanted = catalyst.reference * factor;
    let rounded = Percent((wanted.value() * 10.0).round() / 10.0);
    let level = rounded.min(range.high).max(range.low);
    // Rounding alone may pass an end of the range: that is not being clamped.
    let short = rounded > range.high && wanted > range.high;
    let fast = rounded < range.low && wanted < range.low;
    let warm_to =
        if short { law.temperature_for(wanted_rate / catalyst.rate(range.high)) } else { None };
    CatalystAdvice { level, wanted, clamped: short || fast, warm_to }
}

/// How a pot's time follows its mass: a larger mass holds its own heat and goes
/// off sooner. Pot life only, never a film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassLaw {
    /// Mass at which the factor is 1.
    pub reference: Grams,
    /// The power, negative for "more goes off sooner".
    pub exponent: f64,
    /// Least factor.
    pub least: f64,
    /// Highest factor.
    pub most: f64,
}

impl MassLaw {
    /// How many times longer than at the reference mass: `(m/m_ref)^exponent`,
    /// not under `least` nor over `most`. A mass of zero or less counts as the
    /// smallest there is.
    pub fn time_factor(&self, mass: Grams) -> f64 {
        let share = (mass.max(Grams(0.0))) / self.reference;
        share.to_power(self.exponent).min(self.most).max(self.least)
    }
}

#[cfg(test)]
mod tests;
