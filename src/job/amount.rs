//! The amount of a material that a stage of a job needs, with the job's
//! measures and this shop's own factors, and the masses of a batch that can be
//! held against it.
//!
//! The stage, the batch card, the buying list and the comparison with the log
//! all go by these, so that one material has one amount.

use crate::engine::quantity::Grams;
use crate::engine::takeoff::Quantity;
use crate::trade::amounts::{self, Amount, AmountError};
use crate::trade::model::{Family, MaterialUse, Mixing, Rules, Unit};

use super::card;
use super::command::{self, At};
use super::event::{Id, Material};
use super::sheet::{factor, is_waste};
use super::stage;
use super::state::{Batch, State};

/// The amount of one material of a stage as its job stands.
///
/// # Errors
/// [`AmountError`] when something must be entered or chosen first, or a value
/// is out of range.
pub fn of_stage(
    rules: &'static Rules,
    state: &State,
    job: Id,
    stage: &str,
    used: &MaterialUse,
) -> Result<Amount, AmountError> {
    match command::at(rules, state, job, stage) {
        Ok(at) => work(rules, state, &at, used, true),
        Err(_) => Err(AmountError::UnknownRule(stage.to_owned())),
    }
}

/// As [`of_stage`], for a stage at hand; without `loss`, nothing is added for
/// what is lost on the way.
///
/// # Errors
/// As [`of_stage`].
pub fn work(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    used: &MaterialUse,
    loss: bool,
) -> Result<Amount, AmountError> {
    let family = material(at, used)
        .and_then(|material| card::resolve(rules, state, &material).ok())
        .map(|(family, tin)| card::with_tin_ratio(family, tin.as_ref()));
    let look_up = |id: &str| {
        if !loss && is_waste(id) {
            let as_factor = rules.constant(id).is_some_and(|c| c.figure.unit == Unit::Factor);
            return Some(if as_factor { 1.0 } else { 0.0 });
        }
        let own = || factor(state, Some(at.job.id), id);
        let start = || command::measure(at.method, id).and_then(|measure| measure.start);
        at.job.measures.get(id).copied().or_else(start).or_else(own)
    };
    amounts::amount(rules, used, family.as_ref(), &look_up)
}

/// The material of a use, as the job has chosen it.
pub fn material(at: &At<'_>, used: &MaterialUse) -> Option<Material> {
    stage::material(at.method, at.job, used.role.as_deref(), used.family.as_deref())
}

/// What of an amount has to be bought as the material itself: mixing water and
/// peroxide are not in its tin.
pub fn of_material(family: Option<&Family>, amount: &Amount) -> Quantity {
    match family.map(|family| &family.mixing) {
        Some(Mixing::Water { .. }) => {
            let powder = amount.parts.iter().find(|(name, _)| name == "powder");
            powder.map_or(amount.main, |(_, powder)| *powder)
        }
        // Clay is worked out as it lies; to have at hand is a little more.
        _ if amount.factors.iter().any(|id| id == "clay-waste") => {
            amount.sum.last().map_or(amount.main, |line| line.value)
        }
        _ => amount.main,
    }
}

/// What of a batch came out of the material's own tin.
pub fn out_of_tin(family: &Family, batch: &Batch) -> Grams {
    match family.mixing {
        Mixing::Water { .. } => masses(batch, |at, name| at < 2 && name == "powder"),
        _ => as_planned(family, batch),
    }
}

/// What of a batch counts against its planned amount: resin without its
/// catalyst, of all others the mix; neither with what was stirred in besides.
pub fn as_planned(family: &Family, batch: &Batch) -> Grams {
    let last = match family.mixing {
        Mixing::Catalysed => 1,
        Mixing::AsSupplied => usize::MAX,
        Mixing::TwoPart { .. } | Mixing::Water { .. } | Mixing::BySheet { .. } => 2,
    };
    masses(batch, |at, _| at < last)
}

fn masses(batch: &Batch, counts: impl Fn(usize, &str) -> bool) -> Grams {
    let parts = batch.parts.iter().enumerate().filter(|(at, part)| counts(*at, &part.name));
    let masses = parts.map(|(_, part)| part.actual.unwrap_or(part.target));
    masses.fold(Grams(0.0), |sum, mass| sum + mass)
}
