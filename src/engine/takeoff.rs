//! Take-off: how much of everything a piece needs, with the sum in sight.
//!
//! A mould maker trusts a sum that can be followed, so every function returns
//! its result with its lines in bench words. Lines hold quantities and no
//! printed numbers: the screen writes them in whatever units the shop uses.
//! Factors (film, waste, spacing) come in as arguments from the trade's data.

mod counted;
mod glass;
mod rubber;
mod surface;
mod uplift;

pub use counted::{Run, bolts, layers, rolls, shim_strips};
pub use glass::{GlassZone, ResinFactors, glass, resin, tissue};
pub use rubber::{
    BrushFactors, Comparison, RubberFactors, brushed_rubber, clay_blanket, compare_volumes,
    poured_rubber, spout_volume, volume_from_area, volume_from_clay, volume_in_box,
};
pub use surface::{GelFactors, flange_area, gel_coat, release, water_mix};
pub use uplift::{Float, Uplift, uplift};

use super::mix::MixError;
use super::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Kilopascals, Millilitres, Millimetres, Minutes,
    Money, Percent, SquareMetres,
};
use std::fmt;

/// A force in kilograms-force: what a helper or a weight on the lid must hold.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct KilogramsForce(pub f64);

impl KilogramsForce {
    /// The unit's symbol as printed after a number.
    pub const SYMBOL: &'static str = "kgf";

    /// The bare number of kilograms-force.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The larger of two.
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }
}

/// A value of a sum, whatever its kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// A mass.
    Mass(Grams),
    /// A volume.
    Volume(Millilitres),
    /// A length.
    Length(Millimetres),
    /// An area.
    Area(SquareMetres),
    /// A density.
    Density(GramsPerMillilitre),
    /// A mass per area.
    AreaMass(GramsPerSquareMetre),
    /// A pressure.
    Pressure(Kilopascals),
    /// A force.
    Force(KilogramsForce),
    /// A share.
    Percent(Percent),
    /// A bare factor.
    Factor(f64),
    /// A number of things.
    Count(u32),
    /// A span of time.
    Time(Minutes),
    /// An amount of money.
    Money(Money),
}

/// A line of a sum.
#[derive(Clone, Debug, PartialEq)]
pub struct SumLine {
    /// What it is, in bench words.
    pub text: String,
    /// Its value.
    pub value: Quantity,
}

/// A sum, line by line, the result last.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sum {
    /// Its lines from the top.
    pub lines: Vec<SumLine>,
}

impl Sum {
    /// The sum with one more line.
    #[must_use]
    pub fn with(mut self, text: impl Into<String>, value: Quantity) -> Self {
        self.lines.push(SumLine { text: text.into(), value });
        self
    }

    /// The sum with another one's lines below.
    #[must_use]
    pub fn then(mut self, other: Sum) -> Self {
        self.lines.extend(other.lines);
        self
    }
}

/// A result with its sum.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked<T> {
    /// What came out.
    pub result: T,
    /// How.
    pub sum: Sum,
}

/// Why a take-off can't be worked out. `what` names the value, as in "the area".
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TakeoffError {
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
    /// More pieces than anybody would make: an entry is mistaken.
    TooMany {
        /// The pieces.
        what: &'static str,
    },
    /// The mixing part of it can't be worked out.
    Mix(MixError),
}

impl fmt::Display for TakeoffError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => {
                write!(f, "There is no usable number for {what}. Enter it again.")
            }
            Self::NotPositive { what } => write!(f, "{what} must be above 0. Correct it."),
            Self::Negative { what } => write!(f, "{what} can't be below 0. Correct it."),
            Self::TooMany { what } => {
                write!(f, "That makes too many {what}. Check the lengths and their units.")
            }
            Self::Mix(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for TakeoffError {}

impl From<MixError> for TakeoffError {
    fn from(error: MixError) -> Self {
        Self::Mix(error)
    }
}

/// Refuses what is not finite or not above 0.
pub(super) fn positive(what: &'static str, value: f64) -> Result<(), TakeoffError> {
    match value {
        value if !value.is_finite() => Err(TakeoffError::NotFinite { what }),
        value if value <= 0.0 => Err(TakeoffError::NotPositive { what }),
        _ => Ok(()),
    }
}

/// Refuses what is not finite or below 0.
pub(super) fn not_negative(what: &'static str, value: f64) -> Result<(), TakeoffError> {
    match value {
        value if !value.is_finite() => Err(TakeoffError::NotFinite { what }),
        value if value < 0.0 => Err(TakeoffError::Negative { what }),
        _ => Ok(()),
    }
}

/// The factor that a waste adds: 1.08 for 8 %.
fn with_waste(waste: Percent) -> Result<f64, TakeoffError> {
    not_negative("The waste", waste.value())?;
    Ok(1.0 + waste.value() / 100.0)
}
