//! What a tin's own record teaches about it.
//!
//! A card says how long a material takes; the tin on the shelf is a little
//! slower or quicker, minds the cold more or less, and answers to its catalyst
//! in its own way. Every milestone that somebody saw tells of all three at once,
//! and none of it for certain. So the card is taken as what is believed to begin
//! with and each sighting as evidence (Bayesian linear regression):
//!
//! ```text
//! ln took = ln reference + b0 + b1 x1 - b2 ln(level ratio) + noise
//! ```
//!
//! where `b0` is the logarithm of how many times slower than its card the tin
//! runs, `b1` its activation energy over the gas constant (kelvins), `b2` its
//! catalyst exponent, and `x1` the inverse temperature over the reference's that
//! was effective: `exp(-b1 x1)` is the mean of `exp(-b1 (1/T - 1/Tref))` over
//! the time that it took. This is equivalent age in logarithms
//! ([`super::cure`]), so a temperature that changed counts as it should. `x1`
//! depends a little on `b1`; the regression is repeated about the last result
//! until that stands still (Gauss-Newton). At a constant temperature one pass is
//! exact. Time counts at its rate throughout: no minimum of a card is applied.
//!
//! # What is believed before
//! The card's band is taken as an interval of 80 % and made as wide upwards as
//! downwards in logarithms without changing its width: `±atanh(band)`, which for
//! 30 % is 0.73 to 1.36 times. The ends of energy and exponent are intervals of
//! 80 % too. The noise is unknown, and believed to be about
//! [`EXPECTED_NOISE`] as firmly as [`NOISE_WEIGHT`] sightings would teach.
//!
//! # How it is solved
//! The conjugate normal-inverse-gamma prior gives a closed form (Gelman et al.,
//! *Bayesian Data Analysis*, 3rd ed., sections 14.2 and 14.8; from memory). It is
//! written in units of the prior: `b = mean + L u`, with `L` the Cholesky factor
//! of the prior's covariance, so that `u` starts at nought with unit variance.
//! What comes out is distributed as Student's t.

use super::history::TemperatureHistory;
use super::kinetics::{GAS_CONSTANT, activation_energy_of};
use super::quantity::{Celsius, Instant, Kelvins, KilojoulesPerMole, Minutes, Span};
use crate::engine::maths::Maths;
use matrix::{Matrix, Vector, dot};
use regression::{Row, Sums, judge};
use sighting::Sighting;

pub use belief::{Belief, Carried, Conditions};
pub use point::{Outlier, Point, Unusable};

mod belief;
mod matrix;
mod point;
mod regression;
mod sighting;

#[cfg(test)]
mod tests;

/// Scatter of one sighting to the next that is expected before any was made, as
/// a standard deviation of the logarithm of a time: batches differ, and one eye
/// looks every few minutes. Working rule.
pub const EXPECTED_NOISE: f64 = 0.08;

/// How many sightings the belief in [`EXPECTED_NOISE`] is worth. Working rule:
/// so few that a shop which scatters otherwise is soon believed.
pub const NOISE_WEIGHT: f64 = 4.0;

/// The narrowest interval that is given for a time, as a share to either side:
/// trade rule H, "not less than ±10 %".
pub const LEAST_BAND: f64 = 0.10;

/// Passes of Gauss-Newton at most; three or four are usual.
const PASSES: usize = 12;

/// What is believed of a tin before it was seen curing: its card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Half width of the card's times as a share (0.30 for ±30 %), taken as an
    /// interval of 80 %. Within 0.01 to 0.9; what lies outside is brought in.
    pub slowness_band: f64,
    /// Activation energy: finite, likely value with the ends of 80 %. Without
    /// width it is not learnt.
    pub energy: Span<KilojoulesPerMole>,
    /// Catalyst exponent: likely value with the ends of 80 %, no unit. Without
    /// width it is not learnt.
    pub exponent: Span<f64>,
    /// Temperature of the reference times.
    pub reference: Celsius,
    /// What a former batch left ([`Belief::carried`]), at the same reference.
    pub carried: Option<Carried>,
}

/// A milestone that somebody saw.
#[derive(Clone, Copy, Debug)]
pub struct Observation<'a> {
    /// When it was mixed.
    pub started: Instant,
    /// When the milestone was seen.
    pub seen: Instant,
    /// The last look at which it had not come yet, where it was already past
    /// when seen: it came somewhere between the two. None when seen as it came.
    pub not_yet: Option<Instant>,
    /// The card's likely time of the milestone at the reference temperature and
    /// level, with the factor of the mass in it.
    pub reference: Minutes,
    /// The temperature that drove it.
    pub temperature: &'a TemperatureHistory,
    /// Catalyst level over the reference level; none where there is none.
    pub level_ratio: Option<f64>,
}

/// What a record teaches, and how each part of it fits the rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Learnt {
    belief: Belief,
    points: Vec<Point>,
    unusable: Vec<(usize, Unusable)>,
}

/// The activation energies that a factor per ten degrees stands for, taken over
/// the ten degrees around a reference temperature.
///
/// Not finite for a factor that is not above zero.
pub fn energies(per_ten: Span<f64>, reference: Celsius) -> Span<KilojoulesPerMole> {
    let (from, to) = (reference - Kelvins(5.0), reference + Kelvins(5.0));
    per_ten.map(|factor| activation_energy_of(factor, from, to))
}

/// Learns from what was seen, in any order. What can't be used is listed in
/// [`Learnt::unusable`]; what looks wrong is used all the same and marked in
/// [`Learnt::points`]: whoever leaves it out does so by not passing it.
pub fn learn(prior: &Prior, observations: &[Observation<'_>]) -> Learnt {
    let card = prior.spread();
    let start = prior.carried.unwrap_or(Carried { mean: prior.mean(), factor: diagonal(card) });
    let mut sightings = Vec::new();
    let mut unusable = Vec::new();
    for (index, observation) in observations.iter().enumerate() {
        match Sighting::of(observation) {
            Ok(sighting) => sightings.push((index, sighting)),
            Err(why) => unusable.push((index, why)),
        }
    }
    let mut steepness = start.mean[1];
    let mut rows: Vec<Row> = Vec::new();
    let mut fit = Sums::default().fit();
    for _ in 0..PASSES {
        rows = sightings.iter().map(|(_, s)| s.row(prior.reference, &start, steepness)).collect();
        fit = Sums::of(&rows).fit();
        let found = start.mean[1] + dot(start.factor[1], fit.mean);
        let moved = (found - steepness).abs();
        steepness = found;
        // A thousandth of a kelvin is a billionth of any time.
        if moved < 1e-3 {
            break;
        }
    }
    let judged = sightings.iter().zip(judge(&rows));
    let points = judged.map(|((index, s), verdict)| Point::new(*index, s.took, &verdict)).collect();
    let belief = Belief::after(prior.reference, card, &start, &fit);
    Learnt { belief, points, unusable }
}

impl Prior {
    fn mean(&self) -> Vector {
        [0.0, kelvins(self.energy.likely), self.exponent.likely]
    }

    /// One standard unit of each of the three: the half width of an interval of
    /// 80 % over the quantile, so that the prior gives the card's band again.
    fn spread(&self) -> Vector {
        let band = if self.slowness_band < 0.9 { self.slowness_band.max(0.01) } else { 0.9 };
        let energy = kelvins(self.energy.high) - kelvins(self.energy.low);
        let exponent = self.exponent.high - self.exponent.low;
        [band.inverse_tanh(), energy.max(0.0) / 2.0, exponent.max(0.0) / 2.0]
            .map(|half| half / quantile(NOISE_WEIGHT))
    }
}

impl Learnt {
    /// What is believed of the tin now: all that a cure needs, and all that is
    /// to be kept.
    pub fn belief(&self) -> Belief {
        self.belief
    }

    /// Each usable sighting beside what was to be expected of it, in the order
    /// passed.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// What could not be used, by its place in the list passed, and why.
    pub fn unusable(&self) -> &[(usize, Unusable)] {
        &self.unusable
    }
}

fn diagonal([a, b, c]: Vector) -> Matrix {
    [[a, 0.0, 0.0], [0.0, b, 0.0], [0.0, 0.0, c]]
}

/// Whether a level over its reference is one that a tin may have had.
fn is_level(ratio: f64) -> bool {
    (0.02..=50.0).contains(&ratio)
}

/// An activation energy over the gas constant, in kelvins.
fn kelvins(energy: KilojoulesPerMole) -> f64 {
    energy.value() * 1000.0 / GAS_CONSTANT
}

fn energy(kelvins: f64) -> KilojoulesPerMole {
    KilojoulesPerMole(kelvins * GAS_CONSTANT / 1000.0)
}

/// Half width of an interval of 80 % of Student's t, in its scale: the expansion
/// of Abramowitz and Stegun 26.7.5 about the normal quantile of 0.9, with a fifth
/// term fitted to tables. Off by less than 1e-6 from four degrees of freedom on.
fn quantile(dof: f64) -> f64 {
    let terms = [0.077_1, 0.054_395_836, 0.258_517_108, 0.570_890_63, 0.846_584_767, 1.281_551_566];
    terms.iter().fold(0.0, |sum, term| sum / dof + term)
}
