//! What the heat balance says of a batch: a reaction to go by, how much to mix.
//!
//! No complete set of figures for a room temperature cure is published for each
//! family, so the shape of the reaction is taken from what is known of it and
//! its speed from the one figure that every tin states, its pot life.

use super::{Conditions, Cup, NoExotherm, Rates, Reaction, cup};
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Grams, Minutes, PerMinute};

/// Smallest and largest batch that advice is given for, in grams.
const SMALLEST: f64 = 20.0;
const LARGEST: f64 = 20_000.0;

/// Pot life and peak of one mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassPoint {
    /// The mass.
    pub mass: Grams,
    /// When it gels. None when not within 48 hours.
    pub pot_life: Option<Minutes>,
    /// The highest temperature that it gets to.
    pub peak: Celsius,
}

/// A reaction of a given shape made so fast that `stated` (the family's own
/// mass in its vessel) gels at `pot_life`, mixed at `at` in air of `at`.
///
/// Both rates are scaled alike: only their ratio in `shape` matters.
///
/// # Errors
/// [`NoExotherm::PotLife`] for a pot life that is not between a tenth of a
/// minute and a day; otherwise as [`cup`].
pub fn calibrated(
    shape: &Reaction,
    stated: &Cup,
    at: Celsius,
    pot_life: Minutes,
) -> Result<Reaction, NoExotherm> {
    shape.check()?;
    let conditions = Conditions { start: at, air: at, speed: 1.0 };
    conditions.check()?;
    if !(0.1..=1440.0).contains(&pot_life.value()) {
        return Err(NoExotherm::PotLife);
    }
    let body = stated.body(shape)?;
    let faster_is = |ln_speed: f64| {
        let rates = Rates::new(shape, ln_speed.exponential());
        let gel = body.gel(&rates, &conditions)?;
        Ok(gel.is_some_and(|gel| gel <= pot_life))
    };
    // Halving on the logarithm of the speed: 2 to the minus 30 of the range.
    let (mut slow, mut fast) = (-12.0, 12.0);
    if faster_is(slow)? || !faster_is(fast)? {
        return Err(NoExotherm::PotLife);
    }
    for _ in 0..30 {
        let middle = 0.5 * (slow + fast);
        if faster_is(middle)? { fast = middle } else { slow = middle }
    }
    let scaled = |k: PerMinute| PerMinute(k.value() * fast.exponential());
    Ok(Reaction { k1: scaled(shape.k1), k2: scaled(shape.k2), ..*shape })
}

/// The largest batch, 20 g to 20 kg, that stays usable for as long as `needed`
/// and stays under `hottest`; `like` says what and in which vessel, its mass
/// is not asked. None when even 20 g don't, and 20 kg when any would: in a tray
/// mass makes little difference, its depth does.
///
/// A caution and not a permission: the data sheet may allow less.
///
/// # Errors
/// As [`cup`].
pub fn largest_cup(
    reaction: &Reaction,
    like: &Cup,
    conditions: &Conditions,
    needed: Minutes,
    hottest: Celsius,
) -> Result<Option<Grams>, NoExotherm> {
    let fits = |ln_mass: f64| {
        let run = cup(reaction, &Cup { mass: Grams(ln_mass.exponential()), ..*like }, conditions)?;
        let lasts = run.gel.is_none_or(|gel| gel.at >= needed);
        Ok(lasts && run.peak <= hottest)
    };
    let (mut good, mut bad) = (SMALLEST.logarithm(), LARGEST.logarithm());
    if !fits(good)? {
        return Ok(None);
    }
    if fits(bad)? {
        return Ok(Some(Grams(LARGEST)));
    }
    // To one part in a thousand; the smaller end, which was seen to fit.
    while bad - good > 1e-3 {
        let middle = 0.5 * (good + bad);
        if fits(middle)? { good = middle } else { bad = middle }
    }
    Ok(Some(Grams(good.exponential())))
}

/// Pot life and peak against mass, for a chart: `points` masses (2 to 200) in
/// equal ratios from one to the other; `like` as in [`largest_cup`].
///
/// # Errors
/// As [`cup`].
pub fn pot_life_against_mass(
    reaction: &Reaction,
    like: &Cup,
    conditions: &Conditions,
    (from, to): (Grams, Grams),
    points: usize,
) -> Result<Vec<MassPoint>, NoExotherm> {
    let points = points.clamp(2, 200);
    (0..points)
        .map(|i| {
            let share = i as f64 / (points - 1) as f64;
            let mass = from * (to / from).to_power(share);
            let run = cup(reaction, &Cup { mass, ..*like }, conditions)?;
            Ok(MassPoint { mass, pot_life: run.gel.map(|gel| gel.at), peak: run.peak })
        })
        .collect()
}
