//! The batch card: what a tub is made of, as its scales can show it.
//!
//! What follows when something else went in than was planned is in
//! [`Weighing`]; how a total is split into tubs, and how fast this shop uses
//! them up, in [`Rate`] and [`Tubs`]; measuring cups are in [`in_cups`].

mod cups;
mod extras;
mod rate;
mod weighing;

#[cfg(test)]
mod tests;

pub use cups::{Cups, densities, enter_density, in_cups};
pub use extras::{Extra, into, limit, offers, plain};
pub use rate::{Asks, Rate, Tubs, asks, emptied, rate, tub_limit, tubs, used_up};
pub use weighing::{Line, Outcome, Weighing, mixed, off, weigh};

use crate::engine::kinetics::CatalystRange;
use crate::engine::mix::{
    MixError, TwoPart, WATER_DENSITY, round_to_step, round_two_part, round_within, split_two_part,
};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Percent};
use crate::engine::takeoff::Sum;
use crate::trade::model::{Family, Mixing};
use std::fmt;

use super::card;
use super::command;
use super::settings::Settings;

/// Why there is no batch card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoBatch {
    /// The ratio must come from the tin's own sheet.
    RatioMissing,
    /// The material is used as it comes.
    NothingToMix,
    /// The catalyst level is refused.
    Catalyst(String),
    /// The mass can't be weighed here.
    Mass(String),
}

impl fmt::Display for NoBatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RatioMissing => f.write_str(
                "No ratio is known for this material, and none is guessed. Add your tin with the \
                 ratio off its sheet.",
            ),
            Self::NothingToMix => f.write_str("This material is used as it comes."),
            Self::Catalyst(sentence) | Self::Mass(sentence) => f.write_str(sentence),
        }
    }
}

impl From<MixError> for NoBatch {
    fn from(error: MixError) -> Self {
        Self::Mass(error.to_string())
    }
}

/// The two parts of a mix with their ratio by weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair<'f> {
    /// Names of the parts, the first to be poured first.
    pub names: [&'f str; 2],
    /// Parts of each.
    pub ratio: [f64; 2],
}

/// The two parts of a family's mix, at a level of catalyst where it has one.
///
/// # Errors
/// [`NoBatch`] when nothing can or may be mixed.
pub fn pair(family: &Family, level: Option<Percent>) -> Result<Pair<'_>, NoBatch> {
    let pair = |one, a, other, b| Pair { names: [one, other], ratio: [a, b] };
    match &family.mixing {
        Mixing::Catalysed => {
            let range = card::catalyst_range(family).ok_or(NoBatch::RatioMissing)?;
            let level = level.ok_or(NoBatch::RatioMissing)?;
            command::catalyst(&range, level)
                .map_err(|refusal| NoBatch::Catalyst(refusal.to_string()))?;
            Ok(pair(&family.short, 100.0, "catalyst", level.value()))
        }
        Mixing::TwoPart { part_a, part_b, a, b, .. } => {
            Ok(pair(part_a, a.likely, part_b, b.likely))
        }
        Mixing::Water { water, .. } => Ok(pair("water", water.likely, "powder", 100.0)),
        Mixing::BySheet { .. } => Err(NoBatch::RatioMissing),
        Mixing::AsSupplied => Err(NoBatch::NothingToMix),
    }
}

/// How far part B may be off, in per cent of itself, and who says so; none
/// where no figure is known.
pub fn tolerance(family: &Family) -> Option<(Percent, String)> {
    let Mixing::TwoPart { tolerance, .. } = &family.mixing else { return None };
    let whose = match tolerance.source.as_deref() {
        Some(card::SHEET) => card::SHEET.to_owned(),
        _ => format!("a family figure, {}", tolerance.status.words()),
    };
    Some((Percent(tolerance.likely), whose))
}

/// A part of a tub, to be weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// What it is, e.g. "base".
    pub name: String,
    /// How much of it, exactly.
    pub exact: Grams,
    /// How much of it, as its scale can show it.
    pub target: Grams,
    /// The step of its scale.
    pub step: Grams,
    /// Whether it is stirred in besides, with no say in the ratio.
    pub extra: bool,
    /// Its density, where benches measure it by volume as well: peroxide, water.
    pub density: Option<GramsPerMillilitre>,
}

/// What a tub is to be made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Its parts in the order of the bench.
    pub parts: Vec<Planned>,
    /// Tolerance of the second part, where one is known.
    pub tolerance: Option<Percent>,
    /// Level and bounds of the catalyst, for families cured by peroxide.
    pub catalyst: Option<(Percent, CatalystRange)>,
    /// From which total on the scales keep the tolerance for sure; given where
    /// this plan is outside it.
    pub safe_from: Option<Grams>,
    /// How the rounding comes about; empty without a tolerance.
    pub sum: Sum,
}

/// Plans a tub. For catalysed resins `total` is the resin, since that is what
/// the percentage goes by; for all others it is both parts. Extras come on top.
///
/// The base scale weighs the first part and whatever weighs at least half as
/// much; the fine scale the rest (working rule).
///
/// # Errors
/// [`NoBatch`] when nothing can or may be mixed.
pub fn plan(
    family: &Family,
    settings: &Settings,
    total: Grams,
    level: Option<Percent>,
    extras: &[Extra],
) -> Result<Plan, NoBatch> {
    let Pair { names, ratio: [a, b] } = pair(family, level)?;
    command::mass_possible(total).map_err(|refusal| NoBatch::Mass(refusal.to_string()))?;
    let exact = match family.mixing {
        Mixing::Catalysed => TwoPart { a: total, b: total * (b / a) },
        _ => split_two_part(total, a, b)?,
    };
    let step = |mass: Grams| settings.step(mass.value() < exact.a.value() / 2.0);
    let (step_a, step_b) = (settings.step(false), step(exact.b));
    let tolerance = tolerance(family).map(|(tolerance, _)| tolerance);
    let mut plan = Plan {
        parts: Vec::new(),
        tolerance,
        catalyst: level.zip(card::catalyst_range(family)),
        safe_from: None,
        sum: Sum::default(),
    };
    let rounded = match tolerance {
        Some(tolerance) => {
            let worked = round_within(exact, a, b, step_a, step_b, tolerance)?;
            plan.sum = worked.sum;
            plan.safe_from = worked.result.safe_from.filter(|_| !worked.result.inside);
            worked.result.parts
        }
        None => round_two_part(exact, a, b, step_a, step_b)?.0,
    };
    // The second part follows what the scale shows of the first.
    let exact = TwoPart { a: rounded.a, b: rounded.a * (b / a) };
    let density = match family.mixing {
        Mixing::Water { .. } => [Some(WATER_DENSITY), None],
        _ => [None, family.catalyst.as_ref().map(|c| GramsPerMillilitre(c.density.likely))],
    };
    for (name, exact, target, step, density) in [
        (names[0], exact.a, rounded.a, step_a, density[0]),
        (names[1], exact.b, rounded.b, step_b, density[1]),
    ] {
        let name = name.to_owned();
        plan.parts.push(Planned { name, exact, target, step, extra: false, density });
    }
    let at = if extras::last(family) { 2 } else { 1 };
    for (name, mass) in extras::masses(family, exact, extras)?.into_iter().rev() {
        let step = step(mass);
        let target = round_to_step(mass, step);
        let part = Planned { name, exact: mass, target, step, extra: true, density: None };
        plan.parts.insert(at, part);
    }
    Ok(plan)
}
