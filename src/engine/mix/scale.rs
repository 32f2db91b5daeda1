//! What the scale should read: rounding to its step, and running totals.

use super::{CatalystAmount, MixError, TwoPart, not_negative, positive, ratio};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Percent};

/// The nearest mass that a scale with this step can read. Without a step above
/// 0 nothing is rounded.
pub fn round_to_step(mass: Grams, step: Grams) -> Grams {
    if step.value() > 0.0 && step.is_finite() { step * (mass / step).round() } else { mass }
}

/// Rounds a mix to what two scales can read, and says by how much part B is
/// then off, in per cent of itself: the figure that a tin's tolerance is for.
///
/// A is rounded first and B then follows from the rounded A, so that only B's
/// own rounding is left as an error.
///
/// # Errors
/// [`MixError`] when a side of the ratio or a step is not above 0, part A
/// is below 0, or either rounds to nothing.
pub fn round_two_part(
    parts: TwoPart,
    a: f64,
    b: f64,
    step_a: Grams,
    step_b: Grams,
) -> Result<(TwoPart, Percent), MixError> {
    let (ratio_a, ratio_b) = ratio(a, b)?;
    not_negative("part A", parts.a.value())?;
    positive("the scale's step", step_a.value().min(step_b.value()))?;
    let rounded_a = round_to_step(parts.a, step_a);
    if rounded_a.value() <= 0.0 {
        return Err(MixError::TooSmall { what: "part A" });
    }
    let wanted = rounded_a * (ratio_b / ratio_a);
    let rounded_b = round_to_step(wanted, step_b);
    if rounded_b.value() <= 0.0 {
        return Err(MixError::TooSmall { what: "part B" });
    }
    let error = Percent((rounded_b / wanted - 1.0) * 100.0);
    Ok((TwoPart { a: rounded_a, b: rounded_b }, error))
}

/// Rounds an amount of catalyst to what its scale can read, and says by how
/// much it is then off, in per cent of itself.
///
/// # Errors
/// [`MixError`] when the amount is not above 0, the step or density is not
/// above 0, or it rounds to nothing.
pub fn round_catalyst(
    amount: CatalystAmount,
    density: GramsPerMillilitre,
    step: Grams,
) -> Result<(CatalystAmount, Percent), MixError> {
    positive("the catalyst", amount.mass.value())?;
    positive("the catalyst's density", density.value())?;
    positive("the scale's step", step.value())?;
    let mass = round_to_step(amount.mass, step);
    if mass.value() <= 0.0 {
        return Err(MixError::TooSmall { what: "the catalyst" });
    }
    let error = Percent((mass / amount.mass - 1.0) * 100.0);
    Ok((CatalystAmount { mass, volume: mass / density }, error))
}

/// A part to be weighed into the tub.
#[derive(Clone, Debug, PartialEq)]
pub struct PartTarget {
    /// What it is, e.g. "base".
    pub name: String,
    /// How much of it.
    pub mass: Grams,
}

/// One pour onto a scale that nobody tares in between.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleStep {
    /// What is poured, e.g. "base".
    pub name: String,
    /// How much is added.
    pub add: Grams,
    /// What the scale reads when it is in.
    pub reading: Grams,
}

/// The readings of a scale as the parts go into one tub, starting from `tare`:
/// the empty tub on the scale, or 0 when that was tared away.
pub fn scale_steps(tare: Grams, parts: &[PartTarget]) -> Vec<ScaleStep> {
    let mut reading = tare;
    parts
        .iter()
        .map(|part| {
            reading = reading + part.mass;
            ScaleStep { name: part.name.clone(), add: part.mass, reading }
        })
        .collect()
}
