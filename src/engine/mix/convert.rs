//! From a ratio by volume to one by weight and back.
//!
//! A sheet that says "1 : 1 by volume" and a bench that owns a scale meet here.
//! The two ratios are types of their own, since mixing them up is the mistake
//! that this module is there to prevent.

use super::{MixError, TwoPart, positive};
use crate::engine::quantity::{GramsPerMillilitre, Millilitres};
use crate::engine::takeoff::{Quantity, Sum, Worked};

/// A ratio by weight, `a : b`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByWeight {
    /// Parts of A.
    pub a: f64,
    /// Parts of B.
    pub b: f64,
}

/// A ratio by volume, `a : b`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByVolume {
    /// Parts of A.
    pub a: f64,
    /// Parts of B.
    pub b: f64,
}

/// The densities of the two parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Densities {
    /// Of part A.
    pub a: GramsPerMillilitre,
    /// Of part B.
    pub b: GramsPerMillilitre,
}

impl Densities {
    /// How much heavier B is than A.
    fn heavier(self) -> Result<f64, MixError> {
        let a = positive("the density of part A", self.a.value())?;
        Ok(positive("the density of part B", self.b.value())? / a)
    }

    fn lines(self) -> Sum {
        Sum::default()
            .with("Density of part A", Quantity::Density(self.a))
            .with("Density of part B", Quantity::Density(self.b))
    }
}

/// The ratio by weight of a ratio by volume, to 100 of A: each part times its
/// density.
///
/// # Errors
/// [`MixError`] when a side of the ratio or a density is not above 0.
pub fn by_weight(ratio: ByVolume, densities: Densities) -> Result<Worked<ByWeight>, MixError> {
    let (a, b) = super::ratio(ratio.a, ratio.b)?;
    let found = b / a * densities.heavier()? * 100.0;
    let sum = densities
        .lines()
        .with("B to one of A by volume", Quantity::Factor(b / a))
        .with("B to 100 of A by weight", Quantity::Factor(found));
    Ok(Worked { result: ByWeight { a: 100.0, b: found }, sum })
}

/// The ratio by volume of a ratio by weight, to 100 of A: each part over its
/// density.
///
/// # Errors
/// [`MixError`] when a side of the ratio or a density is not above 0.
pub fn by_volume(ratio: ByWeight, densities: Densities) -> Result<Worked<ByVolume>, MixError> {
    let (a, b) = super::ratio(ratio.a, ratio.b)?;
    let found = b / a / densities.heavier()? * 100.0;
    let sum = densities
        .lines()
        .with("B to one of A by weight", Quantity::Factor(b / a))
        .with("B to 100 of A by volume", Quantity::Factor(found));
    Ok(Worked { result: ByVolume { a: 100.0, b: found }, sum })
}

/// A mix in measuring cups.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Volume of part A.
    pub a: Millilitres,
    /// Volume of part B.
    pub b: Millilitres,
    /// Density of the two together, as if neither swells nor shrinks in the
    /// other and no air is stirred in.
    pub mixed: GramsPerMillilitre,
}

/// The volumes of two weighed parts, and what their mix weighs by the litre.
///
/// # Errors
/// [`MixError`] when a part or density is not above 0.
pub fn measured(parts: TwoPart, densities: Densities) -> Result<Worked<Measured>, MixError> {
    densities.heavier()?;
    positive("part A", parts.a.value())?;
    positive("part B", parts.b.value())?;
    let (a, b) = (parts.a / densities.a, parts.b / densities.b);
    let mixed = GramsPerMillilitre(parts.total().value() / (a + b).value());
    let sum = densities
        .lines()
        .with("Part A, weighed", Quantity::Mass(parts.a))
        .with("Part B, weighed", Quantity::Mass(parts.b))
        .with("Part A, measured", Quantity::Volume(a))
        .with("Part B, measured", Quantity::Volume(b))
        .with("Density of the mix", Quantity::Density(mixed));
    Ok(Worked { result: Measured { a, b, mixed }, sum })
}
