//! The heat balance solved: a row of cells that react and conduct.
//!
//! One solver for a cup (one cell) and a slab (many), since the shipped module
//! counts its bytes. Conduction through thin cells is stiff and a runaway is
//! sudden: a stabilised explicit method takes both, with neither matrices nor
//! derivatives of the rate law.
//!
//! Source: second order Runge-Kutta-Chebyshev method with its error estimate,
//! Sommeijer, Shampine and Verwer, J. Comput. Appl. Math. 88:315-326 (1998),
//! from memory; held against other solvers in `tests/exotherm.rs`.

use super::{Conditions, Exotherm, Moment, NoExotherm, Reaction};
use crate::engine::kinetics::GAS_CONSTANT;
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Minutes};

/// Cells of a slab at most; odd, so that one is in the middle.
pub(super) const MOST_CELLS: usize = 21;
/// A run is given up after this long, in seconds.
const HORIZON: f64 = 48.0 * 3600.0;
/// Steps at most, rejected ones included.
const MOST_STEPS: usize = 20_000;
/// Stages of one step at most: beyond that a shorter step is as cheap.
const MOST_STAGES: f64 = 60.0;
/// Points of a course at most.
const MOST_POINTS: usize = 60;
/// Error allowed in one step: kelvins, and conversion (absolute, relative).
const KELVINS: f64 = 0.0003;
const CONVERSION: (f64, f64) = (3e-8, 6e-7);

/// Temperature in kelvins and conversion of each cell, in turn.
type State = [f64; 2 * MOST_CELLS];

/// A reaction made ready for many evaluations; rates per second.
pub(super) struct Rates {
    inverse_reference: f64,
    k: [f64; 2],
    slope: [f64; 2],
    m: f64,
    n: f64,
    gel: f64,
}

impl Rates {
    /// A reaction so many times faster than given.
    pub fn new(reaction: &Reaction, speed: f64) -> Self {
        Self {
            inverse_reference: 1.0 / reaction.reference.kelvin(),
            k: [reaction.k1, reaction.k2].map(|k| k.value() * speed / 60.0),
            slope: [reaction.energy1, reaction.energy2].map(|e| e.value() * 1000.0 / GAS_CONSTANT),
            m: reaction.m,
            n: reaction.n,
            gel: reaction.gel_conversion,
        }
    }

    /// Share converted per second. A trial step may hand over anything: what
    /// is below nothing or above all counts as nothing or all.
    fn at(&self, kelvins: f64, conversion: f64) -> f64 {
        if conversion >= 1.0 {
            return 0.0;
        }
        let done = conversion.max(0.0);
        let away = self.inverse_reference - 1.0 / kelvins.max(1.0);
        let [k1, k2] = [0, 1].map(|i| self.k[i] * (self.slope[i] * away).exponential());
        (k1 + k2 * done.to_power(self.m)) * (1.0 - done).to_power(self.n)
    }
}

/// A row of equal cells; all its rates per second.
#[derive(Clone, Copy)]
pub(super) struct Body {
    /// How many, 1 to [`MOST_CELLS`].
    pub cells: usize,
    /// Exchange between neighbours.
    pub link: f64,
    /// Exchange of the first cell with what is around.
    pub first: f64,
    /// Exchange of the last cell with what is around.
    pub last: f64,
    /// Kelvins that full conversion warms a cell by.
    pub rise: f64,
}

/// A run under way.
struct Run<'a> {
    body: &'a Body,
    rates: &'a Rates,
    air: f64,
    time: f64,
    state: State,
    /// Change per second of the state.
    slope: State,
}

impl Body {
    /// The whole run.
    pub fn run(&self, rates: &Rates, conditions: &Conditions) -> Result<Exotherm, NoExotherm> {
        let mut run = Run::start(self, rates, conditions);
        let mut course = vec![run.middle()];
        let mut gel = None;
        let start = conditions.start.kelvin();
        let (mut peak, mut peak_at) = (start, 0.0);
        let mut step = run.first_step();
        for _ in 0..MOST_STEPS {
            let before = (run.time, run.state, run.slope);
            if !run.advance(&mut step) {
                continue;
            }
            for cell in 0..self.cells {
                let (t, at) = run.hottest_since(&before, 2 * cell);
                if t > peak {
                    (peak, peak_at) = (t, at);
                }
            }
            if gel.is_none() {
                gel = run.gel_since(&before);
            }
            course.push(run.middle());
            if run.time >= HORIZON || run.is_over(peak) {
                let peak = Celsius(peak - Celsius::ZERO_IN_KELVIN);
                let peak_at = Minutes(peak_at / 60.0);
                return Ok(Exotherm { gel, peak, peak_at, course: thinned(&course) });
            }
        }
        Err(NoExotherm::Unsolved)
    }

    /// The gel alone, for searches that ask for nothing else.
    pub fn gel(
        &self,
        rates: &Rates,
        conditions: &Conditions,
    ) -> Result<Option<Minutes>, NoExotherm> {
        let mut run = Run::start(self, rates, conditions);
        let mut step = run.first_step();
        for _ in 0..MOST_STEPS {
            let before = (run.time, run.state, run.slope);
            if !run.advance(&mut step) {
                continue;
            }
            let gel = run.gel_since(&before);
            if gel.is_some() || run.time >= HORIZON {
                return Ok(gel.map(|moment| moment.at));
            }
        }
        Err(NoExotherm::Unsolved)
    }
}

impl<'a> Run<'a> {
    fn start(body: &'a Body, rates: &'a Rates, conditions: &Conditions) -> Self {
        let mut state = [0.0; 2 * MOST_CELLS];
        for cell in 0..body.cells {
            state[2 * cell] = conditions.start.kelvin();
        }
        let air = conditions.air.kelvin();
        let mut run = Self { body, rates, air, time: 0.0, state, slope: state };
        run.slope = run.slope_of(&run.state);
        run
    }

    /// How fast everything changes in a state.
    fn slope_of(&self, state: &State) -> State {
        let body = self.body;
        let mut slope = [0.0; 2 * MOST_CELLS];
        let last = 2 * (body.cells - 1);
        for i in (0..=last).step_by(2) {
            let here = state[i];
            let rate = self.rates.at(here, state[i + 1]);
            let mut gain = body.rise * rate;
            gain += if i == 0 {
                body.first * (self.air - here)
            } else {
                body.link * (state[i - 2] - here)
            };
            gain += if i == last {
                body.last * (self.air - here)
            } else {
                body.link * (state[i + 2] - here)
            };
            (slope[i], slope[i + 1]) = (gain, rate);
        }
        slope
    }

    /// Bound on how fast anything dies away: conduction by Gershgorin's circles,
    /// and what is left of the reaction, `n rate / (1 - a)`.
    fn stiffness(&self) -> f64 {
        let body = self.body;
        let conduction = (body.first + body.last + 2.0 * body.link).max(4.0 * body.link);
        let mut reaction: f64 = 0.0;
        for i in (0..2 * body.cells).step_by(2) {
            reaction = reaction.max(self.slope[i + 1] / (1.0 - self.state[i + 1]).max(1e-9));
        }
        conduction + self.rates.n * reaction
    }

    /// A first step that is surely short enough; the error soon lengthens it.
    fn first_step(&self) -> f64 {
        let fastest = self.slope.iter().fold(self.stiffness(), |most, x| most.max(x.abs()));
        (1e-3 / fastest.max(1e-9)).min(60.0)
    }

    /// Tries one step and says whether it was good enough to take; sets the
    /// length of the next one either way.
    fn advance(&mut self, step: &mut f64) -> bool {
        let stiffness = self.stiffness();
        let longest = (MOST_STAGES * MOST_STAGES - 2.0 * MOST_STAGES) / (1.54 * stiffness + 1e-12);
        let h = step.min(longest).min(HORIZON - self.time).max(1e-9);
        let stages = (1.0 + (1.0 + 1.54 * h * stiffness).sqrt()).floor().max(2.0) as usize;
        let (mut next, used) = (self.chebyshev(h, stages), 2 * self.body.cells);
        for i in (1..used).step_by(2) {
            // Nothing reacts backwards, whatever the rounding of a step.
            next[i] = next[i].min(1.0).max(self.state[i]);
        }
        let slope = self.slope_of(&next);
        let mut error: f64 = 0.0;
        for (i, &after) in next.iter().enumerate().take(used) {
            let miss = 0.8 * (self.state[i] - after) + 0.4 * h * (self.slope[i] + slope[i]);
            let allowed = if i % 2 == 0 { KELVINS } else { CONVERSION.0 + CONVERSION.1 * after };
            // Not `max`: a miss that is not a number must not pass for none.
            let share = (miss / allowed).abs();
            error = if share <= error { error } else { share };
        }
        let good = error <= 1.0;
        let factor = if error.is_finite() { 0.8 / error.max(1e-6).cube_root() } else { 0.1 };
        *step = h * factor.clamp(0.1, 4.0);
        if good {
            (self.time, self.state, self.slope) = (self.time + h, next, slope);
        }
        good
    }

    /// One step of the Runge-Kutta-Chebyshev method. Names as in the paper.
    fn chebyshev(&self, h: f64, stages: usize) -> State {
        let s = stages as f64;
        let w0 = 1.0 + 2.0 / 13.0 / (s * s);
        // Chebyshev polynomial with its first and second derivative at w0:
        // of this degree and of the one before.
        let next = |now: [f64; 3], old: [f64; 3]| {
            [
                2.0 * w0 * now[0] - old[0],
                2.0 * (now[0] + w0 * now[1]) - old[1],
                2.0 * (2.0 * now[1] + w0 * now[2]) - old[2],
            ]
        };
        let (zeroth, first) = ([1.0, 0.0, 0.0], [w0, 1.0, 0.0]);
        let (mut old, mut now) = (zeroth, first);
        for _ in 1..stages {
            (old, now) = (now, next(now, old));
        }
        let w1 = now[1] / now[2];
        (old, now) = (first, next(first, zeroth));
        let mut b = now[2] / (now[1] * now[1]);
        let mut b_old = b;
        let mut b_now = b;
        let mut a_now = 1.0 - b * w0;
        let used = 2 * self.body.cells;
        let mut y_old = self.state;
        let mut y_now = self.state;
        for (y, slope) in y_now.iter_mut().zip(&self.slope).take(used) {
            *y += b * w1 * h * slope;
        }
        for stage in 2..=stages {
            if stage > 2 {
                (old, now) = (now, next(now, old));
                b = now[2] / (now[1] * now[1]);
            }
            let (mu, nu, mu_slope) = (2.0 * b * w0 / b_now, -b / b_old, 2.0 * b * w1 / b_now);
            let slope = self.slope_of(&y_now);
            for i in 0..used {
                let y = (1.0 - mu - nu) * self.state[i]
                    + mu * y_now[i]
                    + nu * y_old[i]
                    + mu_slope * h * (slope[i] - a_now * self.slope[i]);
                (y_old[i], y_now[i]) = (y_now[i], y);
            }
            (b_old, b_now, a_now) = (b_now, b, 1.0 - b * now[0]);
        }
        y_now
    }

    /// The cell in the middle, now.
    fn middle(&self) -> Moment {
        let i = self.body.cells / 2 * 2;
        moment(self.time, self.state[i], self.state[i + 1])
    }

    /// The highest temperature of one cell in the last step, and when.
    fn hottest_since(&self, before: &(f64, State, State), i: usize) -> (f64, f64) {
        let h = self.time - before.0;
        if before.2[i] > 0.0 && self.slope[i] < 0.0 {
            // Where the slope of the cubic is zero, by halving.
            let ends = [before.1[i], before.2[i] * h, self.state[i], self.slope[i] * h];
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..30 {
                let mid = 0.5 * (low + high);
                if cubic(ends, mid + 1e-7) > cubic(ends, mid) { low = mid } else { high = mid }
            }
            (cubic(ends, low), before.0 + low * h)
        } else {
            (self.state[i], self.time)
        }
    }

    /// The gel if it came in the last step: when the cell that is behind gets there.
    fn gel_since(&self, before: &(f64, State, State)) -> Option<Moment> {
        let mut behind = 1;
        for i in (1..2 * self.body.cells).step_by(2) {
            if self.state[i] < self.state[behind] {
                behind = i;
            }
        }
        if self.state[behind] < self.rates.gel {
            return None;
        }
        let h = self.time - before.0;
        let between = |i: usize| [before.1[i], before.2[i] * h, self.state[i], self.slope[i] * h];
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let mid = 0.5 * (low + high);
            if cubic(between(behind), mid) < self.rates.gel { low = mid } else { high = mid }
        }
        let middle = self.body.cells / 2 * 2;
        Some(moment(
            before.0 + high * h,
            cubic(between(middle), high),
            cubic(between(middle + 1), high),
        ))
    }

    /// Whether nothing more is to be seen: nearly all has reacted everywhere, and
    /// four fifths of the warmth are gone.
    fn is_over(&self, peak: f64) -> bool {
        let warm = 0.2 + 0.2 * (peak - self.air).max(0.0);
        let done = self.rates.gel.max(0.9);
        (0..self.body.cells)
            .all(|cell| self.state[2 * cell] - self.air <= warm && self.state[2 * cell + 1] >= done)
    }
}

fn moment(seconds: f64, kelvins: f64, conversion: f64) -> Moment {
    Moment {
        at: Minutes(seconds / 60.0),
        temperature: Celsius(kelvins - Celsius::ZERO_IN_KELVIN),
        conversion: conversion.clamp(0.0, 1.0),
    }
}

/// Cubic between two ends, each a value and a slope, at a share of the way.
fn cubic([y0, d0, y1, d1]: [f64; 4], x: f64) -> f64 {
    let (bulge, skew) = (d0 - (y1 - y0), (y1 - y0) - d1);
    y0 + x * (y1 - y0) + x * (1.0 - x) * (bulge * (1.0 - x) + skew * x)
}

/// The points to draw: ends kept, and between them one for each equal part of
/// the way along the curve as it looks on a square chart.
fn thinned(course: &[Moment]) -> Vec<Moment> {
    let (Some(first), Some(last)) = (course.first(), course.last()) else { return Vec::new() };
    let (mut coldest, mut hottest) = (first.temperature, first.temperature);
    for moment in course {
        coldest = coldest.min(moment.temperature);
        hottest = hottest.max(moment.temperature);
    }
    let span = hottest.above(coldest).value().max(1e-9);
    let way = |from: &Moment, to: &Moment| {
        to.temperature.above(from.temperature).value().abs() / span
            + (to.at - from.at) / last.at.max(Minutes(1e-9))
    };
    let whole: f64 = course.windows(2).map(|pair| way(&pair[0], &pair[1])).sum();
    let part = whole / (MOST_POINTS - 2) as f64;
    let mut kept = vec![*first];
    let mut gone = 0.0;
    for pair in course.windows(2) {
        gone += way(&pair[0], &pair[1]);
        if gone >= part && kept.len() < MOST_POINTS - 1 {
            kept.push(pair[1]);
            gone = 0.0;
        }
    }
    if kept.last() != Some(last) {
        kept.push(*last);
    }
    kept
}
