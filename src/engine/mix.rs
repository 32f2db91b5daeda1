//! Mixing arithmetic: catalyst, two parts, water and powder, tubs, scales.
//!
//! It is done here once so that nobody does it on a resin-smeared card. All
//! ratios and levels are by mass. What a material's ratio or density is comes
//! in as an argument.

mod convert;
mod cups;
#[cfg(test)]
mod laws;
mod scale;
mod tolerance;

pub use convert::{ByVolume, ByWeight, Densities, Measured, by_volume, by_weight, measured};
pub use cups::{
    CupError, Recovery, Tubs, Used, from_readings, learned_rate, net, recover, tubs_at_rate,
};
pub use scale::{
    PartTarget, ScaleStep, round_catalyst, round_to_step, round_two_part, scale_steps,
};
pub use tolerance::{
    Added, Addition, Additions, Limit, Rounded, additions, is_inside, round_within,
};

use super::quantity::{Grams, GramsPerMillilitre, Millilitres, Minutes, PartsPerHundred, Percent};
use std::fmt;

/// The convention in force for catalyst, to be shown beside its amount.
pub const CATALYST_CONVENTION: &str = "Catalyst is counted by weight: 2 % is 20 g to 1 kg of \
    resin. A dose in millilitres weighs more or less, as its density says.";

/// Density of water at 20 °C in g/ml (IAPWS-95 gives 0.998 21).
pub const WATER_DENSITY: GramsPerMillilitre = GramsPerMillilitre(0.9982);

/// Water that calcium sulphate hemihydrate binds when it sets, as a share of
/// its own mass: CaSO4·½H2O + 1½ H2O -> CaSO4·2H2O, from the abridged IUPAC
/// atomic weights H 1.008, O 15.999, S 32.06, Ca 40.078.
const WATER_BOUND: f64 = {
    let water = 2.0 * 1.008 + 15.999;
    let anhydrous = 40.078 + 32.06 + 4.0 * 15.999;
    1.5 * water / (anhydrous + 0.5 * water)
};

/// The most tubs that a split may give; beyond it an entry is mistaken.
const MOST_TUBS: f64 = 1000.0;

/// A laying or pouring rate in grams per minute.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct GramsPerMinute(pub f64);

impl GramsPerMinute {
    /// The unit's symbol as printed after a number.
    pub const SYMBOL: &'static str = "g/min";

    /// The bare number of grams per minute.
    pub const fn value(self) -> f64 {
        self.0
    }
}

/// Why a mix can't be worked out. `what` names the value, as in "the total".
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MixError {
    /// A value is missing, infinite or not a number.
    NotFinite {
        /// The value.
        what: &'static str,
    },
    /// A value that must be above 0 is not.
    NotPositive {
        /// The value.
        what: &'static str,
    },
    /// A value that can't be below 0 is.
    Negative {
        /// The value.
        what: &'static str,
    },
    /// A share is above 100 %.
    OverHundred {
        /// The value.
        what: &'static str,
    },
    /// An amount rounds to nothing on this scale.
    TooSmall {
        /// The amount.
        what: &'static str,
    },
    /// The split gives more tubs than anybody would mix.
    TooManyTubs,
}

impl fmt::Display for MixError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "Enter {what}: there is no usable number."),
            Self::NotPositive { what } => write!(f, "Enter {what}: it must be above 0."),
            Self::Negative { what } => write!(f, "Correct {what}: it can't be below 0."),
            Self::OverHundred { what } => {
                write!(f, "Correct {what}: it can't be above 100 %.")
            }
            Self::TooSmall { what } => write!(
                f,
                "There is too little of {what} for this scale. Use a finer scale or mix more."
            ),
            Self::TooManyTubs => write!(
                f,
                "That makes more than {} tubs. Check the total, the rate and the pot life.",
                MOST_TUBS as u32
            ),
        }
    }
}

impl std::error::Error for MixError {}

/// Refuses what is not finite or not above 0.
fn positive(what: &'static str, value: f64) -> Result<f64, MixError> {
    match value {
        value if !value.is_finite() => Err(MixError::NotFinite { what }),
        value if value <= 0.0 => Err(MixError::NotPositive { what }),
        value => Ok(value),
    }
}

/// Refuses what is not finite or below 0.
fn not_negative(what: &'static str, value: f64) -> Result<f64, MixError> {
    match value {
        value if !value.is_finite() => Err(MixError::NotFinite { what }),
        value if value < 0.0 => Err(MixError::Negative { what }),
        value => Ok(value),
    }
}

/// An amount of catalyst, the same amount given twice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalystAmount {
    /// By the scale.
    pub mass: Grams,
    /// By the dispenser.
    pub volume: Millilitres,
}

/// The catalyst for `resin` at `level` by weight; `density` is the catalyst's.
///
/// Which levels a resin may have is for its card to say: 0 % gives 0 g here,
/// 100 % as much as there is resin.
///
/// # Errors
/// [`MixError`] when the resin is below 0, the level outside 0 to 100 %, or
/// the density not above 0.
pub fn catalyst_amount(
    resin: Grams,
    level: Percent,
    density: GramsPerMillilitre,
) -> Result<CatalystAmount, MixError> {
    let resin = not_negative("the resin", resin.value())?;
    let level = not_negative("the catalyst", level.value())?;
    if level > 100.0 {
        return Err(MixError::OverHundred { what: "the catalyst" });
    }
    positive("the catalyst's density", density.value())?;
    let mass = Grams(resin * level / 100.0);
    Ok(CatalystAmount { mass, volume: mass / density })
}

/// The level by weight of a dose stated as a volume ("20 ml per kilo").
///
/// # Errors
/// [`MixError`] when the dose is below 0, or the resin or density not above 0.
pub fn level_by_weight(
    dose: Millilitres,
    resin: Grams,
    density: GramsPerMillilitre,
) -> Result<Percent, MixError> {
    not_negative("the catalyst", dose.value())?;
    positive("the resin", resin.value())?;
    positive("the catalyst's density", density.value())?;
    Ok(Percent((density * dose) / resin * 100.0))
}

/// The two parts of a mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPart {
    /// Part A, the base.
    pub a: Grams,
    /// Part B, the catalyst or hardener.
    pub b: Grams,
}

impl TwoPart {
    /// Both together.
    pub fn total(self) -> Grams {
        self.a + self.b
    }
}

fn ratio(a: f64, b: f64) -> Result<(f64, f64), MixError> {
    Ok((positive("part A in the ratio", a)?, positive("part B in the ratio", b)?))
}

/// Splits a total in the ratio `a : b` by mass.
///
/// # Errors
/// [`MixError`] when the total is below 0 or a side of the ratio not above 0.
pub fn split_two_part(total: Grams, a: f64, b: f64) -> Result<TwoPart, MixError> {
    let (a, b) = ratio(a, b)?;
    let total = Grams(not_negative("the total", total.value())?);
    // Shares and not products, so that no large ratio overflows.
    let share = b / a;
    Ok(TwoPart { a: total / (1.0 + share), b: total * (share / (1.0 + share)) })
}

/// The parts when `poured_a` is in the tub already: what B it now needs.
///
/// # Errors
/// [`MixError`] when what was poured is below 0 or a side of the ratio not above 0.
pub fn after_overpour(poured_a: Grams, a: f64, b: f64) -> Result<TwoPart, MixError> {
    let (a, b) = ratio(a, b)?;
    not_negative("what is poured", poured_a.value())?;
    Ok(TwoPart { a: poured_a, b: poured_a * (b / a) })
}

/// Water and powder for a mix, in the order of the bench: water first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterAndPowder {
    /// The water.
    pub water: Grams,
    /// The powder, strewn into it.
    pub powder: Grams,
}

/// Water and powder for a mixed `volume` plus `waste`. `powder_density` is the
/// true density of the dry powder's grains, not its bulk density.
///
/// From the balance of volumes: volume = powder / its density + water / the
/// density of water at 20 °C. Air stirred in is left out.
///
/// # Errors
/// [`MixError`] when the volume or waste is below 0, or the ratio or density
/// not above 0.
pub fn water_and_powder(
    volume: Millilitres,
    water: PartsPerHundred,
    powder_density: GramsPerMillilitre,
    waste: Percent,
) -> Result<WaterAndPowder, MixError> {
    let volume = not_negative("the volume", volume.value())?;
    let ratio = positive("the water in the ratio", water.value())? / 100.0;
    let density = positive("the powder's density", powder_density.value())?;
    let waste = 1.0 + not_negative("the waste", waste.value())? / 100.0;
    let powder = volume / (1.0 / density + ratio / WATER_DENSITY.value()) * waste;
    Ok(WaterAndPowder { water: Grams(powder * ratio), powder: Grams(powder) })
}

/// What a cast of pure plaster weighs when it has dried: its powder and the
/// water bound in setting. While it weighs more, it is still wet.
///
/// # Errors
/// [`MixError`] when the powder is below 0.
pub fn dry_cast(powder: Grams) -> Result<Grams, MixError> {
    not_negative("the powder", powder.value())?;
    Ok(powder * (1.0 + WATER_BOUND))
}

/// A total split into equal tubs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatchSplit {
    /// How many tubs.
    pub count: u32,
    /// What is mixed in each.
    pub each: Grams,
}

/// Splits a total into tubs (K-SPLIT): none larger than can be used within
/// `share` of the pot life at `use_rate`, nor than `largest` where the
/// material sets a limit.
///
/// # Errors
/// [`MixError`] when any value is not above 0, the share is above 100 %, or
/// there would be more than a thousand tubs.
pub fn split_batches(
    total: Grams,
    pot: Minutes,
    use_rate: GramsPerMinute,
    share: Percent,
    largest: Option<Grams>,
) -> Result<BatchSplit, MixError> {
    let total = positive("the total", total.value())?;
    let pot = positive("the pot life", pot.value())?;
    let rate = positive("the rate of use", use_rate.value())?;
    let share = positive("the share of pot life", share.value())?;
    if share > 100.0 {
        return Err(MixError::OverHundred { what: "the pot life" });
    }
    let mut most = rate * pot * share / 100.0;
    if let Some(largest) = largest {
        most = most.min(positive("the largest tub", largest.value())?);
    }
    // The hair's breadth keeps 3.0000000001 tubs from becoming four.
    let count = (total / most - 1e-9).ceil().max(1.0);
    if !count.is_finite() || count > MOST_TUBS {
        return Err(MixError::TooManyTubs);
    }
    Ok(BatchSplit { count: count as u32, each: Grams(total / count) })
}
