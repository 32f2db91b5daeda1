//! What is believed of a tin: the outcome of learning, in plain numbers.

use super::matrix::{Matrix, Vector, cholesky, dot, times, transposed_times};
use super::regression::Fit;
use super::{EXPECTED_NOISE, LEAST_BAND, energy, is_level, quantile};
use crate::engine::history::TemperatureHistory;
use crate::engine::kinetics::TemperatureLaw;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, KilojoulesPerMole, Span};

/// Share of the card's own doubt that a new batch brings back. Working rule.
const BATCH_DOUBT: f64 = 0.25;

/// What is believed of a tin. May be kept: it says the same for ever, whatever is
/// seen later, and comes back from JSON the same to the last bit.
///
/// Coefficients are in the order and units of [`super`]: logarithm of slowness,
/// energy over the gas constant in kelvins, exponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    /// Temperature of the reference times.
    reference: Celsius,
    /// Likely coefficients.
    mean: Vector,
    /// Their covariance, as the scale of a Student's t.
    covariance: Matrix,
    /// Standard deviation of one cure to the next, in the logarithm of a time.
    scatter: f64,
    /// Degrees of freedom.
    dof: f64,
    /// Standard deviations of the card alone.
    card: Vector,
}

crate::stored_record!(Belief { reference, mean, covariance, scatter, dof, card });

/// What one batch of a tin leaves to the next: its result, with a quarter of the
/// card's own doubt (variance) put back. Not wider than the card where nothing
/// was learnt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// Likely coefficients.
    pub(super) mean: Vector,
    /// Cholesky factor of their covariance.
    pub(super) factor: Matrix,
}

impl Carried {
    /// A combination of the coefficients in units of this.
    pub(super) fn scaled(&self, of: Vector) -> Vector {
        transposed_times(self.factor, of)
    }
}

/// What a cure is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Effective temperature; brought within what a history holds.
    pub temperature: Celsius,
    /// Catalyst level over the reference level; none, or one that no tin takes
    /// (outside 0.02 to 50), counts as the reference level.
    pub level_ratio: Option<f64>,
}

impl Belief {
    /// The outcome of a regression, in plain units.
    pub(super) fn after(reference: Celsius, card: Vector, start: &Carried, fit: &Fit) -> Self {
        let mut mean = start.mean;
        for (mean, factor) in mean.iter_mut().zip(start.factor) {
            *mean = kept(*mean + dot(factor, fit.mean));
        }
        let covariance = start.factor.map(|factor| {
            let known = times(fit.covariance, factor);
            start.factor.map(|other| kept(fit.scale * dot(other, known)))
        });
        let scatter = kept(EXPECTED_NOISE * fit.scale.sqrt());
        Self { reference, mean, covariance, scatter, dof: fit.dof, card: card.map(kept) }
    }

    /// How many times slower than its card the tin runs at reference, with 80 %:
    /// 1.27 runs 1.27 times slower.
    pub fn slowness(&self) -> Span<f64> {
        self.interval([1.0, 0.0, 0.0]).map(Maths::exponential)
    }

    /// Its activation energy, with 80 %.
    pub fn energy(&self) -> Span<KilojoulesPerMole> {
        self.interval([0.0, 1.0, 0.0]).map(energy)
    }

    /// Its catalyst exponent, with 80 %; no unit.
    pub fn exponent(&self) -> Span<f64> {
        self.interval([0.0, 0.0, 1.0])
    }

    /// Its law of temperature: the likely energy, never under nought.
    pub fn law(&self) -> TemperatureLaw {
        let energy = self.energy().likely.max(KilojoulesPerMole(0.0));
        TemperatureLaw::ActivationEnergy { energy, reference: self.reference }
    }

    /// How many times its reference time the next cure takes under these
    /// conditions, with 80 % for that one cure, its own scatter included.
    /// Never narrower than [`LEAST_BAND`].
    pub fn time_factor(&self, over: Conditions) -> Span<f64> {
        let of = self.combination(over);
        self.around(dot(of, self.mean), of)
    }

    /// The same width about [`Self::slowness`]: what a card's time is multiplied
    /// by for a cure that is solved with [`Self::law`] and the likely
    /// [`Self::exponent`] and runs under about these conditions.
    pub fn reference_factor(&self, over: Conditions) -> Span<f64> {
        self.around(self.mean[0], self.combination(over))
    }

    /// What a new batch of the same material may start from.
    pub fn carried(&self) -> Carried {
        let mut covariance = self.covariance.map(|row| row.map(|cell| (1.0 - BATCH_DOUBT) * cell));
        for (i, card) in self.card.into_iter().enumerate() {
            covariance[i][i] += BATCH_DOUBT * card * card;
        }
        Carried { mean: self.mean, factor: cholesky(covariance) }
    }

    fn variance(&self, of: Vector) -> f64 {
        dot(of, times(self.covariance, of)).max(0.0)
    }

    fn interval(&self, of: Vector) -> Span<f64> {
        let likely = dot(of, self.mean);
        let half = quantile(self.dof) * self.variance(of).sqrt();
        Span { low: likely - half, likely, high: likely + half }
    }

    /// The combination of the coefficients that makes up a cure's time.
    fn combination(&self, over: Conditions) -> Vector {
        let t = over.temperature.max(TemperatureHistory::LEAST).min(TemperatureHistory::MOST);
        let inverse = 1.0 / t.kelvin() - 1.0 / self.reference.kelvin();
        let level = over.level_ratio.filter(|ratio| is_level(*ratio)).unwrap_or(1.0);
        [1.0, inverse, -level.logarithm()]
    }

    /// Times about a likely logarithm, as wide as one cure of a combination is
    /// uncertain.
    fn around(&self, likely: f64, of: Vector) -> Span<f64> {
        let scale = (self.variance(of) + self.scatter * self.scatter).sqrt();
        let half = (quantile(self.dof) * scale).max(LEAST_BAND.inverse_tanh());
        Span { low: likely - half, likely, high: likely + half }.map(Maths::exponential)
    }
}

/// A number cut to so few decimals that fewer than sixteen digits are left: a
/// reader of JSON that is not careful about the last bit gives those back exactly.
fn kept(value: f64) -> f64 {
    let scale = if value.abs() < 1e3 { 1e12 } else { 1e6 };
    (value * scale).round() / scale
}
