//! Turned bodies: rings of measured radius up a height, straight in between.
//!
//! A blanket on one is again a turned body, and where its outside runs can be
//! said exactly at every height. So hollows, steps and walls that lean out over
//! the board are no special cases; only the last sum over the heights is taken
//! in numbers.

use super::error::ShapeError;
use crate::engine::maths::Maths;
use std::f64::consts::{FRAC_PI_2, PI};

/// The most rings of a profile: the time that a blanket takes grows with their
/// square.
pub(super) const MOST_RINGS: usize = 200;
/// Steps of Simpson's rule between two heights where the outside may bend.
/// With 64 a blanket is within 3 millionths, also where it fills a hollow.
const STEPS: u32 = 64;

/// A ring: height above the lowest, and radius, both in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ring {
    pub height: f64,
    pub radius: f64,
}

/// Refuses a profile that is no outline of a turned body. Numbers are finite
/// and radii not below 0 already.
pub(super) fn check(rings: &[Ring]) -> Result<(), ShapeError> {
    let (Some(first), Some(last)) = (rings.first(), rings.last()) else {
        return Err(ShapeError::TooFewRings);
    };
    match rings.len() {
        1 => return Err(ShapeError::TooFewRings),
        2..=MOST_RINGS => {}
        _ => return Err(ShapeError::TooManyRings),
    }
    for (index, pair) in rings.windows(2).enumerate() {
        let before = index.checked_sub(1).map(|before| rings[before].height);
        if pair[1].height < pair[0].height || before == Some(pair[1].height) {
            return Err(ShapeError::RingOutOfOrder { ring: index + 2 });
        }
        if index > 0 && pair[0].radius <= 0.0 {
            return Err(ShapeError::RingPinched { ring: index + 1 });
        }
    }
    if last.height <= first.height {
        return Err(ShapeError::ProfileFlat);
    }
    if rings.iter().all(|ring| ring.radius <= 0.0) {
        return Err(ShapeError::ProfileThin);
    }
    Ok(())
}

/// What is summed over the strips between rings.
pub(super) struct Strips {
    /// Area of the turned faces, without the flat ends, in mm².
    pub area: f64,
    /// In mm³.
    pub volume: f64,
    /// Area of the outline seen from the side, in mm².
    pub section: f64,
    /// Length of one side of that outline, without the flat ends, in mm.
    pub slant: f64,
}

/// Frustum by frustum (closed form, any handbook of mensuration).
pub(super) fn strips(rings: &[Ring]) -> Strips {
    let mut sums = Strips { area: 0.0, volume: 0.0, section: 0.0, slant: 0.0 };
    for pair in rings.windows(2) {
        let (low, high) = (pair[0].radius, pair[1].radius);
        let rise = pair[1].height - pair[0].height;
        let slant = (high - low).hypot(rise);
        sums.area += PI * (low + high) * slant;
        sums.volume += PI * rise * (low * low + low * high + high * high) / 3.0;
        sums.section += (low + high) * rise;
        sums.slant += slant;
    }
    sums
}

/// How far out a blanket of this thickness reaches at a height: the farthest
/// point within `thickness` of the body; 0 where there is none. A ball of that
/// radius, rolled round the body, reaches at each height as far as the farthest
/// of r(z') + sqrt(t² - (z - z')²).
fn reach(rings: &[Ring], thickness: f64, height: f64) -> f64 {
    let mut farthest = 0.0_f64;
    for pair in rings.windows(2) {
        if pair[0].height > height + thickness || pair[1].height < height - thickness {
            continue;
        }
        let rise = pair[1].height - pair[0].height;
        let run = pair[1].radius - pair[0].radius;
        // On a slope the ball touches square to it; beyond its ends, at an end.
        let touch = height + thickness * run / run.hypot(rise).max(f64::MIN_POSITIVE);
        let touch = touch.clamp(pair[0].height, pair[1].height);
        let radius = if rise > 0.0 {
            pair[0].radius + run * (touch - pair[0].height) / rise
        } else {
            pair[0].radius.max(pair[1].radius)
        };
        let beside = touch - height;
        let across = thickness * thickness - beside * beside;
        if across >= 0.0 {
            farthest = farthest.max(radius + across.sqrt());
        }
    }
    farthest
}

/// Volume of a blanket, in mm³: above the board that the body stands on, or all
/// round when `below` is set. It is summed as rings outside the body, not as the
/// difference of two large volumes: a thin blanket keeps its digits.
///
/// Simpson's rule over the heights, cut where the outside may bend. Heights run
/// as a sine between cuts, which takes the edge off the square roots there.
pub(super) fn blanket(rings: &[Ring], thickness: f64, below: bool) -> f64 {
    let top = rings.last().map_or(0.0, |ring| ring.height) + thickness;
    let bottom = if below { -thickness } else { 0.0 };
    let mut cuts = vec![bottom, top];
    for pair in rings.windows(2) {
        let run = pair[1].radius - pair[0].radius;
        let slant = run.hypot(pair[1].height - pair[0].height);
        let square = if slant > 0.0 { -thickness * run / slant } else { 0.0 };
        for ring in pair {
            let at = ring.height;
            cuts.extend([at - thickness, at, at + thickness, at + square]);
        }
    }
    cuts.retain(|cut| (bottom..=top).contains(cut));
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let mut volume = 0.0;
    for pair in cuts.windows(2) {
        let (middle, half) = ((pair[0] + pair[1]) / 2.0, (pair[1] - pair[0]) / 2.0);
        let step = PI / f64::from(STEPS);
        let mut sum = 0.0;
        // At the ends the cosine is 0: there is nothing to add.
        for index in 1..STEPS {
            let angle = f64::from(index) * step - FRAC_PI_2;
            let weight = if index % 2 == 1 { 4.0 } else { 2.0 };
            let height = middle + half * angle.sine_cosine().0;
            let outside = reach(rings, thickness, height);
            // Nothing reached out from is the body itself.
            let inside = reach(rings, 0.0, height);
            sum += weight * (outside - inside) * (outside + inside) * angle.sine_cosine().1;
        }
        volume += PI * sum * half * step / 3.0;
    }
    volume
}
