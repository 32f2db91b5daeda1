//! The regression itself, in units of the prior and of the expected noise.
//!
//! Unknowns start at nought with unit variance, noise at 1. Sums are all that is
//! kept of the evidence, so one piece of it is taken away again by subtraction:
//! each sighting can be judged by all the others without learning anew.

use super::matrix::{Matrix, Vector, dot, inverse, times};
use super::{NOISE_WEIGHT, quantile};

/// A sighting as evidence.
#[derive(Clone, Copy)]
pub struct Row {
    /// What it tells of each unknown.
    pub of: Vector,
    /// How much longer it took than believed before, in units of its noise.
    pub missed: f64,
    /// Its expected noise, as a standard deviation of the logarithm of a time.
    pub noise: f64,
}

/// What is believed after the evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Likely values of the unknowns.
    pub mean: Vector,
    /// Their covariance, for noise as expected.
    pub covariance: Matrix,
    /// Variance of the noise over the expected one.
    pub scale: f64,
    /// Degrees of freedom.
    pub dof: f64,
}

impl Fit {
    /// Variance of a combination of the unknowns, for noise as expected.
    pub fn variance(&self, of: Vector) -> f64 {
        dot(of, times(self.covariance, of))
    }

    /// How much longer than this fit lets expect, and the scale of that.
    fn missed(&self, row: &Row, scale: f64) -> (f64, f64) {
        let missed = row.missed - dot(row.of, self.mean);
        (missed, (scale * (1.0 + self.variance(row.of))).sqrt())
    }
}

/// The evidence summed.
#[derive(Clone, Copy, Default)]
pub struct Sums {
    /// Without the prior's unit diagonal.
    precision: Matrix,
    pushed: Vector,
    squares: f64,
    count: f64,
}

impl Sums {
    pub fn of(rows: &[Row]) -> Self {
        rows.iter().fold(Self::default(), |sums, row| sums.with(row, 1.0))
    }

    /// With a row added (sign 1) or taken away (sign -1).
    fn with(mut self, row: &Row, sign: f64) -> Self {
        for (i, part) in row.of.into_iter().enumerate() {
            for (cell, other) in self.precision[i].iter_mut().zip(row.of) {
                *cell += sign * part * other;
            }
            self.pushed[i] += sign * part * row.missed;
        }
        self.squares += sign * row.missed * row.missed;
        self.count += sign;
        self
    }

    pub fn fit(&self) -> Fit {
        let mut precision = self.precision;
        for (i, row) in precision.iter_mut().enumerate() {
            row[i] += 1.0;
        }
        let covariance = inverse(precision);
        let mean = times(covariance, self.pushed);
        let dof = NOISE_WEIGHT + self.count;
        // Never negative but for rounding.
        let left = (self.squares - dot(self.pushed, mean)).max(0.0);
        Fit { mean, covariance, scale: (NOISE_WEIGHT + left) / dof, dof }
    }
}

/// One sighting judged by the others.
pub struct Verdict {
    /// Logarithm of how many times longer it took than the others let expect.
    pub ln_missed: f64,
    /// Half width of 80 % of that.
    pub half: f64,
    /// In standard units.
    pub residual: f64,
    /// Whether it is too far off to be of the same kind.
    pub outlier: bool,
}

/// A residual beyond this is an outlier: one in a hundred or so among sightings
/// that are all right. Common practice.
const FAR: f64 = 3.0;

/// The others' noise (a variance over the expected one) is believed up to this
/// when one of them is judged, or two forgotten catalysts would excuse each other.
const MOST_SCALE: f64 = 4.0;

/// Judges each row by the others, those left out that are outliers themselves:
/// the farthest off goes first, then the rest are judged anew without it, so that
/// one bad sighting among three neither hides nor taints its neighbours.
pub fn judge(rows: &[Row]) -> Vec<Verdict> {
    let mut kept = Sums::of(rows);
    let mut outliers = vec![false; rows.len()];
    loop {
        let mut farthest = FAR;
        let mut found = None;
        for (row, outlier) in rows.iter().zip(&mut outliers) {
            if *outlier {
                continue;
            }
            let without = kept.with(row, -1.0);
            let fit = without.fit();
            let (missed, scale) = fit.missed(row, fit.scale.min(MOST_SCALE));
            let distance = (missed / scale).abs();
            if distance > farthest {
                farthest = distance;
                found = Some((outlier, without));
            }
        }
        let Some((outlier, without)) = found else { break };
        *outlier = true;
        kept = without;
    }
    let verdict = |(row, outlier): (&Row, bool)| {
        let others = if outlier { kept } else { kept.with(row, -1.0) };
        let fit = others.fit();
        let (missed, scale) = fit.missed(row, fit.scale);
        Verdict {
            ln_missed: missed * row.noise,
            half: quantile(fit.dof) * scale * row.noise,
            residual: missed / scale,
            outlier,
        }
    };
    rows.iter().zip(outliers).map(verdict).collect()
}
