//! What there is of a material on the Shelf, and how many full tins are wanted.

use crate::engine::quantity::{Grams, Instant, Money};
use crate::engine::takeoff::{Quantity, Sum, Worked};
use crate::trade::model::Rules;

use super::amount;
use super::card::Stock;
use super::command::{self, Refusal};
use super::event::{Body, Id, Material};
use super::state::{State, Tin};

/// A shop has no more full tins than this of anything.
const MOST_TINS: f64 = 100_000.0;

/// What is left of a tin: what was noted, less what was weighed from it since.
/// None where nothing was noted. It can't be below nothing.
pub fn left(rules: &Rules, state: &State, tin: &Tin) -> Option<Worked<Grams>> {
    let (noted, stock) = tin.stock?;
    let before = stock.left?;
    let since = weighed(rules, state, tin, noted);
    let left = Grams((before - since).value().max(0.0));
    let sum = Sum::default()
        .with(format!("{}, as noted", tin.card.name), Quantity::Mass(before))
        .with("Weighed from it since", Quantity::Mass(since))
        .with("Left of it", Quantity::Mass(left));
    Some(Worked { result: left, sum })
}

fn weighed(rules: &Rules, state: &State, tin: &Tin, since: Instant) -> Grams {
    let Some(family) = rules.family(&tin.card.family) else { return Grams(0.0) };
    let batches = state
        .batches
        .values()
        .filter(|batch| batch.material == Material::Tin(tin.id) && batch.at > since);
    batches.fold(Grams(0.0), |sum, batch| sum + amount::out_of_tin(family, batch))
}

/// The tins on the Shelf that hold a material: all of a family, or the tin and
/// those that replaced it.
pub fn tins<'s>(state: &'s State, material: &Material) -> Vec<&'s Tin> {
    let of = |tin: &&Tin| match material {
        Material::Family(id) => &tin.card.family == id,
        Material::Tin(id) => follows(state, tin, *id),
    };
    state.tins.values().filter(|tin| !tin.retired).filter(of).collect()
}

/// Whether a tin is another, or replaced it in one step or several.
fn follows(state: &State, tin: &Tin, of: Id) -> bool {
    let mut at = Some(tin);
    // A chain longer than there are tins would run in a ring.
    for _ in 0..=state.tins.len() {
        match at {
            Some(tin) if tin.id == of => return true,
            Some(tin) => at = tin.card.follows.and_then(|id| state.tins.get(&id)),
            None => return false,
        }
    }
    false
}

/// Full tins that cover what is short, and what stays in them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole {
    /// How many.
    pub count: u32,
    /// What they hold together.
    pub mass: Grams,
}

/// The fewest full tins that hold what is short. None for a tin that holds
/// nothing, and for more than any shop has room for.
pub fn whole_tins(short: Grams, full: Grams) -> Option<Whole> {
    let (short, full) = (short.value(), full.value());
    if !(full > 0.0 && short.is_finite()) {
        return None;
    }
    let mut count = (short / full).ceil().max(0.0);
    // Division rounds; what they hold is what counts.
    if count * full < short {
        count += 1.0;
    } else if count >= 1.0 && (count - 1.0) * full >= short {
        count -= 1.0;
    }
    (count <= MOST_TINS).then_some(Whole { count: count as u32, mass: Grams(count * full) })
}

/// One thing that is noted of a tin's stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Note {
    /// What a full tin holds.
    Full(Grams),
    /// What is left now, all tins together.
    Left(Grams),
    /// What a full tin costs.
    Price(Money),
}

/// Notes one thing of a tin's stock. What was left is brought up to date with
/// it, so that batches weighed since the last note stay counted.
///
/// # Errors
/// [`Refusal`] when the tin is not there or the value can't be.
pub fn note(rules: &Rules, state: &State, tin: Id, note: Note) -> Result<Body, Refusal> {
    let found = state.tins.get(&tin).ok_or(Refusal::NoSuchTin)?;
    let known = found.stock.map(|(_, stock)| stock).unwrap_or_default();
    let left = left(rules, state, found).map(|left| left.result);
    let mut stock = Stock { left, ..known };
    match note {
        Note::Full(mass) => {
            command::mass_possible(mass)?;
            stock.full = Some(mass);
        }
        Note::Left(mass) if mass == Grams(0.0) => stock.left = Some(mass),
        Note::Left(mass) => {
            command::mass_possible(mass)?;
            stock.left = Some(mass);
        }
        Note::Price(price) if (0.0..1e9).contains(&price.value()) => stock.price = Some(price),
        Note::Price(_) => return Err(Refusal::ValueOutside { title: "Price".into() }),
    }
    Ok(Body::TinStocked { tin, stock })
}
