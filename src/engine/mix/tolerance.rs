//! What a scale's step does to a ratio, and what may be stirred into a mix.
//!
//! A coarse scale spoils a small tub without anybody's mistake, so the error
//! is shown beside the tin's tolerance, with the smallest tub that this scale
//! can mix. Which tolerance and limits hold is for the tin's sheet to say.

use super::{MixError, TwoPart, not_negative, positive, round_two_part};
use crate::engine::quantity::{Grams, Percent};
use crate::engine::takeoff::{Quantity, Sum, Worked};

/// A mix as a scale can read it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rounded {
    /// The parts to weigh.
    pub parts: TwoPart,
    /// How far part B is off, in per cent of itself.
    pub error: Percent,
    /// Whether that is inside the tolerance.
    pub inside: bool,
    /// From this total on, rounding B stays inside the tolerance whatever the
    /// mix. None with no tolerance at all, which no scale can keep for sure.
    pub safe_from: Option<Grams>,
}

/// Rounds a two-part mix to what its scales can read ([`round_two_part`]) and
/// judges the error against the tolerance of the tin for part B.
///
/// # Errors
/// [`MixError`] as for [`round_two_part`], or when the tolerance is below 0.
pub fn round_within(
    parts: TwoPart,
    a: f64,
    b: f64,
    step_a: Grams,
    step_b: Grams,
    tolerance: Percent,
) -> Result<Worked<Rounded>, MixError> {
    let allowed = not_negative("the tolerance", tolerance.value())?;
    let (rounded, error) = round_two_part(parts, a, b, step_a, step_b)?;
    let inside = is_inside(error, tolerance);
    // Half a step is the most that rounding is off, of A as of B.
    let least_a = step_b * (0.5 / (allowed / 100.0) * (a / b)) + step_a * 0.5;
    let safe_from = (allowed > 0.0).then(|| least_a * (1.0 + b / a));
    let mut sum = Sum::default()
        .with("Part A, as planned", Quantity::Mass(parts.a))
        .with("Part B, as planned", Quantity::Mass(parts.b))
        .with("Part A on the scale", Quantity::Mass(rounded.a))
        .with("Part B on the scale", Quantity::Mass(rounded.b))
        .with("Part B is off by", Quantity::Percent(error))
        .with("Tolerance of the tin", Quantity::Percent(tolerance));
    if let Some(least) = safe_from.filter(|_| !inside) {
        sum = sum.with("Use a finer scale, or mix at least", Quantity::Mass(least));
    }
    Ok(Worked { result: Rounded { parts: rounded, error, inside, safe_from }, sum })
}

/// Whether an error, over or under, is inside a tolerance. Just as large is
/// inside.
pub fn is_inside(error: Percent, tolerance: Percent) -> bool {
    error.value().abs() <= tolerance.value() + 1e-9
}

/// Something stirred into a mix: pigment, thixotrope, filler, thinner.
#[derive(Clone, Debug, PartialEq)]
pub struct Addition {
    /// What it is.
    pub name: String,
    /// How much, in per cent by mass of what it goes into.
    pub share: Percent,
    /// The least that its sheet gives, 0 where there is none.
    pub least: Percent,
    /// The most that its sheet allows; it may be above 100 % for a filler.
    pub most: Percent,
}

/// How an addition stands to its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Below the least that does anything.
    Below,
    /// Between its limits.
    Between,
    /// Above what the sheet allows.
    Above,
}

/// An addition weighed out.
#[derive(Clone, Debug, PartialEq)]
pub struct Added {
    /// What it is.
    pub name: String,
    /// How much of it.
    pub mass: Grams,
    /// How it stands to its limits.
    pub limit: Limit,
}

/// Additions in all.
#[derive(Clone, Debug, PartialEq)]
pub struct Additions {
    /// Each.
    pub each: Vec<Added>,
    /// The base with all of them.
    pub total: Grams,
}

/// Weighs out additions for a `base`: the mass of what they go into, before
/// the catalyst or part B. Both of those go by the base alone.
///
/// Nothing is refused for being over its limit: the sum says so, and the
/// sheet decides.
///
/// # Errors
/// [`MixError`] when the base is not above 0 or a share or limit is below 0.
pub fn additions(base: Grams, additions: &[Addition]) -> Result<Worked<Additions>, MixError> {
    positive("the base", base.value())?;
    let mut sum = Sum::default().with("Goes into", Quantity::Mass(base));
    let (mut each, mut total) = (Vec::new(), base);
    for addition in additions {
        let share = not_negative("the addition", addition.share.value())?;
        let least = not_negative("the least of an addition", addition.least.value())?;
        let most = not_negative("the most of an addition", addition.most.value())?;
        let mass = base * (share / 100.0);
        let limit = match share {
            // Nothing of it is no mistake.
            share if share > most + 1e-9 => Limit::Above,
            share if share > 0.0 && share < least - 1e-9 => Limit::Below,
            _ => Limit::Between,
        };
        total = total + mass;
        let name = &addition.name;
        sum = sum
            .with(format!("{name}, by weight"), Quantity::Percent(addition.share))
            .with(name.clone(), Quantity::Mass(mass));
        sum = match limit {
            Limit::Below => sum.with(
                format!("{name}: too little, its sheet starts at"),
                Quantity::Percent(addition.least),
            ),
            Limit::Between => sum,
            Limit::Above => sum.with(
                format!("{name}: too much, its sheet allows"),
                Quantity::Percent(addition.most),
            ),
        };
        each.push(Added { name: name.clone(), mass, limit });
    }
    let sum = sum.with("With all of it", Quantity::Mass(total));
    Ok(Worked { result: Additions { each, total }, sum })
}
