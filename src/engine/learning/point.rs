//! What is said of each sighting.

use super::regression::Verdict;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Minutes, Span};
use std::fmt;

/// A sighting beside what was to be expected of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Its place in the list passed.
    pub observation: usize,
    /// What the card and the other sightings, but for outliers among them, let
    /// expect at the temperature and level of this one, with 80 %.
    pub predicted: Span<Minutes>,
    /// How long it took; between two looks, their middle.
    pub observed: Minutes,
    /// How far off it is, in standard units: positive where it took longer.
    pub residual: f64,
    /// Set where it is too far off to be of the same kind.
    pub outlier: Option<Outlier>,
}

impl Point {
    pub(super) fn new(observation: usize, observed: Minutes, verdict: &Verdict) -> Self {
        let off = |more: f64| observed * (more - verdict.ln_missed).exponential();
        let times = verdict.ln_missed.exponential();
        let outlier = verdict.outlier.then_some(if times > 1.0 {
            Outlier::MuchSlower { times }
        } else {
            Outlier::MuchFaster { times: 1.0 / times }
        });
        Self {
            observation,
            predicted: Span { low: off(-verdict.half), likely: off(0.0), high: off(verdict.half) },
            observed,
            residual: verdict.residual,
            outlier,
        }
    }
}

/// A sighting that does not fit the card and the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlier {
    /// It took much longer.
    MuchSlower {
        /// Times as long as expected; more than 1.
        times: f64,
    },
    /// It was much quicker.
    MuchFaster {
        /// Times as quick as expected; more than 1.
        times: f64,
    },
}

impl fmt::Display for Outlier {
    /// What is odd, what may be behind it (common practice), and who decides.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (times, than, why) = match self {
            Self::MuchSlower { times } => (
                times,
                "slower",
                "too little catalyst or a wrong ratio, a cold spot, a wet surface",
            ),
            Self::MuchFaster { times } => (times, "faster", "catalyst put in twice, a hot spot"),
        };
        write!(
            f,
            "This one ran {times:.1} times {than} than expected. Often the reason is: {why}. Leave \
             it out if you know what went wrong, keep it if the tin is like that: you decide."
        )
    }
}

/// Why a sighting can't be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// Seen at or before the start.
    NotAfterStart,
    /// Seen more than 400 days after the start.
    TooLong,
    /// The card's time is not above zero.
    Reference,
    /// The catalyst level is none that a tin takes.
    Level,
    /// The look at which it had not come is not between start and sighting.
    NoEarlierLook,
}

impl fmt::Display for Unusable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotAfterStart => {
                "It was seen before it was mixed. Check both times and the phone's clock."
            }
            Self::TooLong => "It was seen over 400 days after it was mixed. Check both times.",
            Self::Reference => "The card gives no time to compare with. Check the tin's card.",
            Self::Level => "No tin takes that much or that little catalyst. Check what was logged.",
            Self::NoEarlierLook => {
                "It was past already, and nobody had looked before. Look more often next time."
            }
        })
    }
}
