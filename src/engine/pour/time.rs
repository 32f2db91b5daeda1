//! Time to pour: does a tub outlive its pour, and is the rubber before still
//! wet when the next tub comes.
//!
//! Lines of a sum hold whole minutes as counts, rounded to the side that
//! hurries.

use super::{not_negative, positive};
use crate::engine::mix::GramsPerMinute;
use crate::engine::quantity::{Grams, Minutes, Percent};
use crate::engine::takeoff::{Quantity, Sum, TakeoffError, Worked};

/// A pour out of several tubs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pour {
    /// What is in each tub.
    pub tub: Grams,
    /// How many tubs.
    pub tubs: u32,
    /// How fast it is poured.
    pub rate: GramsPerMinute,
    /// From the catalyst going in until pouring begins: mixing, second tub,
    /// degassing.
    pub mixing: Minutes,
    /// From one tub poured until the next begins to pour: as long as `mixing`
    /// for one person, less when somebody else mixes meanwhile.
    pub gap: Minutes,
    /// Work life at the present temperature, its short end.
    pub work_life: Minutes,
    /// Share of the work life that may pass between two tubs.
    pub gap_share: Percent,
}

/// How a pour goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PourTime {
    /// To pour one tub.
    pub each: Minutes,
    /// From the first tub's catalyst until the last is poured.
    pub all: Minutes,
    /// Work life left when a tub is empty; below 0 it stiffens in the tub.
    pub left: Minutes,
    /// How the next tub joins; None for a single one.
    pub seam: Option<Seam>,
}

/// How two tubs join.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seam {
    /// They join if the next one flows within this time.
    Joins {
        /// Time left.
        left: Minutes,
    },
    /// A line may stay where they meet: the gap is too long.
    Cold {
        /// By how much.
        over: Minutes,
    },
}

impl Seam {
    /// The warning in words; None while they join.
    pub fn warning(self) -> Option<&'static str> {
        match self {
            Self::Joins { .. } => None,
            Self::Cold { .. } => Some(
                "Cold joint: what is poured has stood too long for the next tub to join it without \
                 a line. Mix the next tub earlier, have a second person mix, or pour one larger tub \
                 within its work life.",
            ),
        }
    }
}

/// Whether a tub still joins what was poured `since` ago: it does within a
/// share of the work life (common practice: under half).
///
/// # Errors
/// [`TakeoffError`] when the time is below 0, or the work life or its share
/// not above 0.
pub fn seam(since: Minutes, work_life: Minutes, share: Percent) -> Result<Seam, TakeoffError> {
    not_negative("The time since the last tub", since.value())?;
    positive("The work life", work_life.value())?;
    positive("The share of the work life", share.value())?;
    let left = work_life * (share.value() / 100.0) - since;
    // The gap must be shorter than that share: just as long is too long.
    Ok(if left.value() > 0.0 {
        Seam::Joins { left }
    } else {
        Seam::Cold { over: Minutes(-left.value()) }
    })
}

/// Time to pour, against the work life of each tub and the gap between tubs.
///
/// # Errors
/// [`TakeoffError`] when there are no tubs, a time is below 0, or another
/// value is not above 0.
pub fn pour_time(pour: &Pour) -> Result<Worked<PourTime>, TakeoffError> {
    positive("What is in a tub", pour.tub.value())?;
    positive("The number of tubs", f64::from(pour.tubs))?;
    positive("The rate of pouring", pour.rate.value())?;
    not_negative("The time to mix", pour.mixing.value())?;
    let seam = seam(pour.gap, pour.work_life, pour.gap_share)?;
    let each = Minutes(pour.tub.value() / pour.rate.value());
    let tubs = f64::from(pour.tubs);
    let all = pour.mixing + each * tubs + pour.gap * (tubs - 1.0);
    let left = pour.work_life - pour.mixing - each;
    let sum = Sum::default()
        .with("Tub", Quantity::Mass(pour.tub))
        .with("Tubs", Quantity::Count(pour.tubs))
        .with("Minutes to mix a tub", later(pour.mixing))
        .with("Minutes to pour a tub", later(each))
        .with("Minutes of work life", Quantity::Count(pour.work_life.value().floor() as u32))
        .with("Used of it when a tub is empty", share(pour.mixing + each, pour.work_life));
    let sum = if pour.tubs > 1 {
        sum.with("Minutes from tub to tub", later(pour.gap))
            .with("That is of the work life", share(pour.gap, pour.work_life))
            .with("It may be less than", Quantity::Percent(pour.gap_share))
    } else {
        sum
    };
    let sum = sum.with("Minutes in all", later(all));
    let seam = (pour.tubs > 1).then_some(seam);
    Ok(Worked { result: PourTime { each, all, left, seam }, sum })
}

/// Whole minutes, rounded up.
fn later(time: Minutes) -> Quantity {
    Quantity::Count(time.value().ceil() as u32)
}

fn share(part: Minutes, whole: Minutes) -> Quantity {
    Quantity::Percent(Percent(part / whole * 100.0))
}
