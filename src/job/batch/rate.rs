//! How fast tubs are used up here, and how a total is split into them.
//!
//! The shop's own rate comes from batches whose empty tub was noted; before
//! there are enough of them, common practice stands in.

use crate::engine::mix::{BatchSplit, GramsPerMinute, Used, learned_rate, tubs_at_rate};
use crate::engine::quantity::{Grams, Instant, Minutes, Percent, Span};
use crate::engine::sorting::sort_by_key;
use crate::engine::takeoff::{Quantity, Sum};
use crate::trade::model::{Family, Kind, Rules};

use super::super::card::{self, Card};
use super::super::command::Refusal;
use super::super::event::{Body, Id};
use super::super::state::{Batch, State};

/// The newest batches that a rate goes by: hands change.
const NEWEST: usize = 12;

/// For how long after mixing an empty tub may be noted (working rule): what is
/// tapped later is cleaning up.
const WITHIN: Minutes = Minutes(6.0 * 60.0);

/// How fast a family is used up.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// The rate; without a spread where it is common practice.
    pub span: Span<GramsPerMinute>,
    /// How many of the shop's own batches it comes from; none for common practice.
    pub own: Option<u32>,
    /// How it comes about.
    pub sum: Sum,
}

/// When a batch's tub began to run: when its clock was started, else when it
/// was noted.
fn began(state: &State, batch: &Batch) -> Instant {
    let clocks = state.cures.values().filter(|cure| cure.batch == Some(batch.id));
    clocks.map(|cure| cure.started).min().unwrap_or(batch.at)
}

/// What of a batch was used, and how long that took; none where it teaches
/// nothing about the rate.
fn used(state: &State, batch: &Batch) -> Option<Used> {
    let (empty, left) = batch.used?;
    let time = empty.since(began(state, batch));
    let mass = batch.weighed() - left.unwrap_or(Grams(0.0));
    (mass.value() > 0.0 && time.value() > 0.0).then_some(Used { mass, time })
}

/// How fast a family is used up: the shop's own rate from enough batches of the
/// same family, else common practice. None where neither is known.
pub fn rate(rules: &'static Rules, state: &State, family: &Family) -> Option<Rate> {
    let invented =
        |batch: &Batch| batch.job.and_then(|job| state.jobs.get(&job)).is_some_and(|j| j.invented);
    let same = |batch: &Batch| {
        card::resolve(rules, state, &batch.material).is_ok_and(|(found, _)| found.id == family.id)
    };
    let mut batches: Vec<&Batch> =
        state.batches.values().filter(|batch| !invented(batch) && same(batch)).collect();
    sort_by_key(&mut batches, |batch| std::cmp::Reverse((batch.at, batch.id)));
    let log: Vec<Used> =
        batches.into_iter().filter_map(|batch| used(state, batch)).take(NEWEST).collect();
    let least = rules.constant("use-batches-least").map_or(3.0, |c| c.figure.likely) as u32;
    if let Ok(worked) = learned_rate(&log, least) {
        return Some(Rate { span: worked.result, own: Some(log.len() as u32), sum: worked.sum });
    }
    let practice = practice(rules, family)?;
    let sum = Sum::default()
        .with("A minute, common practice", Quantity::Mass(Grams(practice.value())))
        .with("Your own batches so far", Quantity::Count(log.len() as u32))
        .with("Your own rate counts from", Quantity::Count(least));
    Some(Rate { span: Span::exact(practice), own: None, sum })
}

/// How fast a family is commonly used up; none where no rate is stated.
fn practice(rules: &Rules, family: &Family) -> Option<GramsPerMinute> {
    let rate = match family.kind {
        Kind::Polyester if family.id == "UP-GEL" => "use-rate-gel",
        Kind::Polyester | Kind::Epoxy => "use-rate-laminate",
        Kind::Silicone => "use-rate-silicone-pour",
        Kind::Gypsum => "use-rate-plaster",
        _ => return None,
    };
    Some(GramsPerMinute(rules.constant(rate)?.figure.likely * 1000.0))
}

/// How a total is best split into tubs.
#[derive(Clone, Debug, PartialEq)]
pub struct Tubs {
    /// How many, and what is in each.
    pub split: BatchSplit,
    /// Usable pot life that the split goes by: the short end at the present temperature.
    pub pot: Minutes,
    /// How many of the shop's own batches the rate comes from; none for common practice.
    pub own: Option<u32>,
    /// How it comes about.
    pub sum: Sum,
}

/// Splits a total into tubs that can be used up within their pot life (rule
/// K-SPLIT of the trade reference). A caution, never a permission. `speed` is
/// how much faster than at reference the pot runs. None for materials without a
/// pot or without a rate.
pub fn tubs(
    rules: &'static Rules,
    state: &State,
    card: &Card,
    speed: f64,
    total: Grams,
) -> Option<Tubs> {
    let rate = rate(rules, state, card.family)?;
    let share = Percent(rules.constant("split-share")?.figure.likely * 100.0);
    let largest = tub_limit(rules, card.family);
    let pot = card.times.first()?.spec.time.low / speed.max(0.01);
    let worked = tubs_at_rate(total, pot, rate.span, share, largest).ok()?;
    let sum = rate.sum.then(worked.sum);
    Some(Tubs { split: worked.result.split, pot, own: rate.own, sum })
}

/// The largest tub that common practice mixes of a family; none where it states none.
pub fn tub_limit(rules: &Rules, family: &Family) -> Option<Grams> {
    let id = match family.kind {
        Kind::Polyester => "tub-max-polyester",
        Kind::Epoxy => "tub-max-epoxy",
        _ => return None,
    };
    Some(Grams(rules.constant(id)?.figure.likely * 1000.0))
}

/// What is still to be said of a batch's tub.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Asks {
    /// When it was empty.
    Empty,
    /// What was left in it when it was: at this instant.
    Left(Instant),
}

/// What is still to be said of a batch's tub; none when it is known, or long past.
pub fn asks(state: &State, batch: &Batch, now: Instant) -> Option<Asks> {
    if now.since(began(state, batch)) > WITHIN {
        return None;
    }
    match batch.used {
        None => Some(Asks::Empty),
        Some((at, None)) => Some(Asks::Left(at)),
        Some((_, Some(_))) => None,
    }
}

/// The batch whose tub is empty when a window of a cure is done: that of a pot,
/// if it was not noted before.
pub fn emptied(rules: &'static Rules, state: &State, cure: Id, window: &str) -> Option<Id> {
    let record = state.cures.get(&cure)?;
    let (family, _) = card::resolve(rules, state, &record.material).ok()?;
    let pot = family.profile(&record.profile)?.window(window)?.opens.is_none();
    let batch = state.batches.get(&record.batch?)?;
    (pot && batch.used.is_none()).then_some(batch.id)
}

/// Notes that a batch's tub is empty, and what was left in it where that is known.
///
/// # Errors
/// [`Refusal`] for a batch that is not here, or more left than was mixed.
pub fn used_up(
    state: &State,
    batch: Id,
    used: Instant,
    left: Option<Grams>,
) -> Result<Body, Refusal> {
    let found = state.batches.get(&batch).ok_or(Refusal::NoSuchBatch)?;
    if left.is_some_and(|left| left < Grams(0.0) || left > found.weighed()) {
        return Err(Refusal::LeftOutside);
    }
    Ok(Body::BatchUsedUp { batch, used, left })
}
