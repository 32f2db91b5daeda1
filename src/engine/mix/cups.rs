//! Tubs by one's own hand: how fast it lays, how a total is split for it, and
//! what to do when a pour into the tub went over.
//!
//! A split is only as good as its rate, and a shop's own differs from any
//! table's. So the rate is learned from batches that were logged, with its
//! spread, and the split goes by the slow end of it.

use super::scale::{PartTarget, ScaleStep};
use super::{BatchSplit, GramsPerMinute, MixError, not_negative, positive, split_batches};
use crate::engine::quantity::{Grams, Minutes, Percent, Span};
use crate::engine::takeoff::{Quantity, Sum, Worked};
use std::fmt;

/// Why tubs can't be worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CupError {
    /// A value has no sense.
    Mix(MixError),
    /// Too few batches for a rate with a spread.
    TooFew {
        /// How many it takes.
        least: u32,
    },
    /// The scale went down while parts went in.
    ReadingFell,
    /// More pours than there are parts.
    TooManyPours,
}

impl fmt::Display for CupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mix(error) => error.fmt(f),
            Self::TooFew { least } => write!(
                f,
                "Your own rate is known from {least} batches on. Log mass and time of a few more."
            ),
            Self::ReadingFell => f.write_str(
                "The scale reads less than before. Check the readings, and the weight of the \
                 empty tub.",
            ),
            Self::TooManyPours => {
                f.write_str("There are more pours than parts. Take out what was entered twice.")
            }
        }
    }
}

impl std::error::Error for CupError {}

impl From<MixError> for CupError {
    fn from(error: MixError) -> Self {
        Self::Mix(error)
    }
}

/// A logged batch: what was used up, and how long that took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Used {
    /// What was laid or poured.
    pub mass: Grams,
    /// From the first brush until the tub was empty.
    pub time: Minutes,
}

/// The rate of a shop's own hand: the mean of its batches' rates, with one
/// sample standard deviation to either side. The slow end is no slower than the
/// slowest batch seen: the spread of a few very different ones would otherwise
/// reach down to nothing.
///
/// `least` is how many batches it takes, and never fewer than two.
///
/// # Errors
/// [`CupError::TooFew`], or [`CupError::Mix`] when a mass or time is not above 0.
pub fn learned_rate(
    batches: &[Used],
    least: u32,
) -> Result<Worked<Span<GramsPerMinute>>, CupError> {
    let least = least.max(2);
    if batches.len() < least as usize {
        return Err(CupError::TooFew { least });
    }
    let count = batches.len() as f64;
    let mut total = Grams(0.0);
    let (mut mean, mut squares, mut slowest) = (0.0, 0.0, f64::INFINITY);
    for (index, batch) in batches.iter().enumerate() {
        let rate = positive("the mass of a batch", batch.mass.value())?
            / positive("the time of a batch", batch.time.value())?;
        // Welford's recurrence: no digits are lost to large squares.
        let step = rate - mean;
        mean += step / (index as f64 + 1.0);
        squares += step * (rate - mean);
        slowest = rate.min(slowest);
        total = total + batch.mass;
    }
    let spread = (squares / (count - 1.0)).sqrt();
    // The mean of equal rates may be a rounding below them.
    let low = slowest.max(mean - spread).min(mean);
    let rate = Span { low, likely: mean, high: mean + spread }.map(GramsPerMinute);
    let sum = Sum::default()
        .with("Batches logged", Quantity::Count(batches.len() as u32))
        .with("Used up in them", Quantity::Mass(total))
        .with("A minute, on the mean", Quantity::Mass(Grams(mean)))
        .with("Spread from batch to batch", Quantity::Mass(Grams(spread)))
        .with("A minute, the slow end", Quantity::Mass(Grams(low)));
    Ok(Worked { result: rate, sum })
}

/// Tubs for a total.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tubs {
    /// How many, and what is in each.
    pub split: BatchSplit,
    /// How long one lasts at the likely rate.
    pub lasts: Minutes,
}

/// Splits a total into tubs that even the slow end of one's own rate uses up
/// within `share` of the pot life (K-SPLIT, see [`split_batches`]).
///
/// # Errors
/// [`MixError`] as for [`split_batches`].
pub fn tubs_at_rate(
    total: Grams,
    pot: Minutes,
    rate: Span<GramsPerMinute>,
    share: Percent,
    largest: Option<Grams>,
) -> Result<Worked<Tubs>, MixError> {
    let split = split_batches(total, pot, rate.low, share, largest)?;
    let likely = positive("the rate of use", rate.likely.value())?;
    let lasts = Minutes(split.each.value() / likely);
    let most = Grams(rate.low.value() * pot.value() * share.value() / 100.0);
    let mut sum = Sum::default()
        .with("In all", Quantity::Mass(total))
        .with("Used a minute, the slow end", Quantity::Mass(Grams(rate.low.value())))
        .with("Minutes of pot life", Quantity::Count(pot.value().floor() as u32))
        .with("Share of it for a tub", Quantity::Percent(share))
        .with("Used up in that time", Quantity::Mass(most));
    if let Some(largest) = largest {
        sum = sum.with("A tub, never above", Quantity::Mass(largest));
    }
    let sum = sum
        .with("Tubs, rounded up", Quantity::Count(split.count))
        .with("In each", Quantity::Mass(split.each));
    Ok(Worked { result: Tubs { split, lasts }, sum })
}

/// What is in the tub: the scale's reading less the empty tub.
///
/// # Errors
/// [`CupError`] when a weight is below 0 or the tub weighs more than is read.
pub fn net(reading: Grams, tare: Grams) -> Result<Grams, CupError> {
    not_negative("the empty tub", tare.value())?;
    not_negative("the reading", reading.value())?;
    if reading < tare { Err(CupError::ReadingFell) } else { Ok(reading - tare) }
}

/// What each pour added, from the readings of a scale that nobody tared in
/// between; `tare` is the empty tub on it, or 0 when that was tared away.
///
/// # Errors
/// [`CupError`] when a weight is below 0 or a reading below the one before.
pub fn from_readings(tare: Grams, readings: &[Grams]) -> Result<Vec<Grams>, CupError> {
    let mut before = tare;
    readings
        .iter()
        .map(|&reading| {
            let added = net(reading, before)?;
            before = reading;
            Ok(added)
        })
        .collect()
}

/// How a mix goes on after some of its parts were poured.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// The size of the mix as a factor of what was planned.
    pub factor: f64,
    /// What is in the tub at the end.
    pub total: Grams,
    /// What to pour now, earlier parts that need topping up first. Empty when
    /// all is in.
    pub steps: Vec<ScaleStep>,
    /// How much the furthest of the poured parts is short of the new size.
    pub short: Percent,
    /// Whether that is inside the tin's tolerance, so that topping up may be
    /// left and the tolerance is used up by as much.
    pub inside: bool,
}

/// Goes on from any step of a mix: nothing can be taken out of a tub, so the
/// part that is the furthest over sets the size, and all others follow it.
/// Topping up restores the ratio, not the time: a pot life runs from when the
/// catalyst or part B went in.
///
/// `poured` is what went in of the first parts, in the order of `parts`;
/// `tare` as for [`from_readings`]; `tolerance` is the tin's, of each part.
///
/// # Errors
/// [`CupError`] when nothing was poured yet or a part has no mass.
pub fn recover(
    parts: &[PartTarget],
    poured: &[Grams],
    tare: Grams,
    tolerance: Percent,
) -> Result<Worked<Recovery>, CupError> {
    if poured.len() > parts.len() {
        return Err(CupError::TooManyPours);
    }
    not_negative("the empty tub", tare.value())?;
    not_negative("the tolerance", tolerance.value())?;
    let mut factor = 0.0_f64;
    for part in parts {
        positive("each part", part.mass.value())?;
    }
    let mut reading = tare;
    for (part, &added) in parts.iter().zip(poured) {
        not_negative("what is poured", added.value())?;
        factor = factor.max(added / part.mass);
        reading = reading + added;
    }
    positive("what is poured", factor)?;
    let mut sum =
        Sum::default().with("Size of the mix, of what was planned", Quantity::Factor(factor));
    let (mut steps, mut total, mut short) = (Vec::new(), Grams(0.0), 0.0_f64);
    for (index, part) in parts.iter().enumerate() {
        let wanted = part.mass * factor;
        let already = poured.get(index).copied();
        let add = wanted - already.unwrap_or(Grams(0.0));
        total = total + wanted;
        sum = sum.with(format!("{}, in all", part.name), Quantity::Mass(wanted));
        if let Some(already) = already {
            sum = sum.with(format!("{}, poured", part.name), Quantity::Mass(already));
            short = short.max(1.0 - already / wanted);
        }
        // What is left of a subtraction of equals is no pour.
        if add.value() > 1e-9 * wanted.value() {
            reading = reading + add;
            steps.push(ScaleStep { name: part.name.clone(), add, reading });
        }
    }
    let short = Percent(short * 100.0);
    let sum = sum
        .with("Furthest short of what is poured", Quantity::Percent(short))
        .with("Tolerance of the tin", Quantity::Percent(tolerance))
        .with("In the tub at the end", Quantity::Mass(total));
    let inside = short.value() <= tolerance.value() + 1e-9;
    Ok(Worked { result: Recovery { factor, total, steps, short, inside }, sum })
}
