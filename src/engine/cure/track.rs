//! One course of a cure over a temperature: equivalent age against time, laid
//! once and then asked for as many milestones as there are.

use super::course::{Course, Leg};
use crate::engine::history::Stretch;
use crate::engine::kinetics::Curve;
use crate::engine::quantity::Celsius;
use crate::engine::sorting::sort_by;

/// How time counts in one phase.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule {
    /// Counts nothing while the gating temperature lies under this.
    pub gate_min: Celsius,
    /// A driving temperature under this counts as this.
    pub floor: Celsius,
    /// A driving temperature over this counts as this.
    pub cap: Celsius,
}

impl Rule {
    /// Everything counts at its own rate.
    pub const OWN: Self = Self {
        gate_min: Celsius(f64::NEG_INFINITY),
        floor: Celsius(f64::NEG_INFINITY),
        cap: Celsius(f64::INFINITY),
    };
}

/// What ends the wet phase.
#[derive(Clone, Copy, Debug)]
pub(super) enum WetEnd {
    /// Reaching this age.
    Age(f64),
    /// This time since the start.
    Time(f64),
}

/// A piece of time over which the effective temperature is linear.
#[derive(Clone, Copy, Debug)]
struct Piece {
    /// Start in minutes since the start of the cure.
    from: f64,
    /// End.
    to: f64,
    /// Effective temperature at start and end.
    effective: [Celsius; 2],
    /// Age at the start.
    before: f64,
    /// Age at the end; the same as at the start where time counts nothing.
    after: f64,
}

/// Equivalent age against time, with the ages that somebody waits for.
pub(super) struct Track {
    curve: Curve,
    /// Ages still to be reached with their places, the next one last.
    waiting: Vec<(f64, usize)>,
    /// When each age is reached, in minutes since the start; none if never.
    pub reached: Vec<Option<f64>>,
    /// When the wet phase ended, in minutes since the start.
    pub firm_at: Option<f64>,
    /// How far the track is laid, and the age there.
    to: f64,
    age: f64,
}

impl Track {
    /// Lays a track over a course, by one rule until the wet phase ends and by
    /// another from there on, until every one of `ages` is reached. Ages that
    /// are not finite never are.
    pub fn lay(
        course: &mut Course<'_>,
        wet: Rule,
        hard: Rule,
        wet_end: WetEnd,
        ages: impl Iterator<Item = f64>,
    ) -> Self {
        let at_once = match wet_end {
            WetEnd::Age(end) | WetEnd::Time(end) => end <= 0.0,
        };
        let ages: Vec<f64> = ages.collect();
        let reached = ages.iter().map(|age| (*age <= 0.0).then_some(0.0)).collect();
        let mut waiting: Vec<_> = ages.into_iter().zip(0..).collect();
        waiting.retain(|(age, _)| age.is_finite() && *age > 0.0);
        sort_by(&mut waiting, |(one, _), (other, _)| other.total_cmp(one));
        let firm_at = at_once.then_some(0.0);
        let mut track = Self { curve: course.curve, waiting, reached, firm_at, to: 0.0, age: 0.0 };
        let mut index = 0;
        while !track.waiting.is_empty()
            && let Some(leg) = course.leg(index)
        {
            index += 1;
            if track.extend_whole(&leg, wet, hard, wet_end) {
                continue;
            }
            let mut rest = Some(leg.stretch);
            while let Some(stretch) = rest.take() {
                rest = if track.firm_at.is_some() {
                    track.extend(&stretch, hard, f64::INFINITY)
                } else {
                    track.extend_wet(&stretch, wet, wet_end)
                };
            }
        }
        track
    }

    /// The ordinary case, without a second thought: a leg that lies within one
    /// phase, within its rule and short of its end. False for any other.
    fn extend_whole(&mut self, leg: &Leg, wet: Rule, hard: Rule, wet_end: WetEnd) -> bool {
        let Stretch { from, to, drive: [first, last], gate } = leg.stretch;
        let rule = if self.firm_at.is_some() { hard } else { wet };
        let after = self.age + (to - from) * leg.mean;
        let within_phase = self.firm_at.is_some()
            || match wet_end {
                WetEnd::Age(end) => after < end,
                WetEnd::Time(end) => to < end,
            };
        let within_rule = gate.iter().all(|t| *t >= rule.gate_min)
            && first.min(last) >= rule.floor
            && first.max(last) <= rule.cap;
        if within_phase && within_rule {
            self.pass(&Piece { from, to, effective: [first, last], before: self.age, after });
        }
        within_phase && within_rule
    }

    /// Goes over a piece, and notes the ages that are reached in it.
    fn pass(&mut self, piece: &Piece) {
        while let Some(&(age, place)) = self.waiting.last()
            && age <= piece.after
        {
            if let Some(reached) = self.reached.get_mut(place) {
                *reached = Some(piece.reaches(&self.curve, age));
            }
            self.waiting.pop();
        }
        (self.to, self.age) = (piece.to, piece.after);
    }

    /// Lays a stretch of the wet phase; gives back what is left of it once the
    /// phase has ended.
    fn extend_wet(&mut self, stretch: &Stretch, wet: Rule, wet_end: WetEnd) -> Option<Stretch> {
        match wet_end {
            WetEnd::Age(age) => {
                let rest = self.extend(stretch, wet, age);
                if self.age >= age {
                    self.firm_at = Some(self.to);
                }
                rest
            }
            WetEnd::Time(end) if stretch.to < end => self.extend(stretch, wet, f64::INFINITY),
            WetEnd::Time(end) => {
                self.firm_at = Some(end);
                if end <= stretch.from {
                    return Some(*stretch);
                }
                let (wet_part, rest) = stretch.cut(end);
                self.extend(&wet_part, wet, f64::INFINITY);
                (rest.from < rest.to).then_some(rest)
            }
        }
    }

    /// Lays a stretch by one rule up to an age; gives back what is left beyond it.
    fn extend(&mut self, stretch: &Stretch, rule: Rule, until: f64) -> Option<Stretch> {
        let [a, b, c] = [
            stretch.crosses(stretch.gate, rule.gate_min),
            stretch.crosses(stretch.drive, rule.floor),
            stretch.crosses(stretch.drive, rule.cap),
        ]
        .map(|cut| cut.unwrap_or(stretch.to));
        let (low, high) = (a.min(b), a.max(b));
        let mut rest = *stretch;
        for cut in [low.min(c), low.max(high.min(c)), high.max(c)] {
            if cut > rest.from && cut < rest.to {
                let (part, after) = rest.cut(cut);
                rest = after;
                if let Some(end) = self.push(&part, rule, until) {
                    return Some(stretch.cut(end).1);
                }
            }
        }
        let end = self.push(&rest, rule, until)?;
        (end < stretch.to).then(|| stretch.cut(end).1)
    }

    /// Lays a part in which no threshold is crossed; gives its end when an age
    /// was reached in it.
    fn push(&mut self, part: &Stretch, rule: Rule, until: f64) -> Option<f64> {
        let effective = part.drive.map(|t| t.max(rule.floor).min(rule.cap));
        let before = self.age;
        // The middle decides: at an end that lies on the threshold itself,
        // rounding may fall to either side.
        let (_, gate) = part.at(0.5 * (part.from + part.to));
        let counts = gate >= rule.gate_min;
        let rate = if counts { self.curve.mean_rate(effective[0], effective[1]) } else { 0.0 };
        let after = before + (part.to - part.from) * rate;
        let mut piece = Piece { from: part.from, to: part.to, effective, before, after };
        let reached = after >= until;
        if reached {
            let end = piece.reaches(&self.curve, until);
            piece.effective[1] = piece.at(end);
            (piece.to, piece.after) = (end, until);
        }
        self.pass(&piece);
        reached.then_some(piece.to)
    }
}

impl Piece {
    /// Effective temperature at a time within the piece.
    fn at(&self, time: f64) -> Celsius {
        let [first, last] = self.effective;
        first + last.above(first) * ((time - self.from) / (self.to - self.from))
    }

    /// The time at which an age within the piece is reached. Newton's method
    /// kept between two sides: the age rises steadily, so it always arrives.
    fn reaches(&self, curve: &Curve, age: f64) -> f64 {
        let gain = age - self.before;
        let (mut low, mut high) = (self.from, self.to);
        let mut time = low + (high - low) * (gain / (self.after - self.before)).clamp(0.0, 1.0);
        if self.effective[0] == self.effective[1] {
            return time;
        }
        for _ in 0..60 {
            let here = self.at(time);
            let miss = (time - self.from) * curve.mean_rate(self.effective[0], here) - gain;
            if miss > 0.0 {
                high = time;
            } else {
                low = time;
            }
            let step = miss / curve.rate(here);
            let next = time - step;
            time = if next >= low && next <= high { next } else { 0.5 * (low + high) };
            // A hundred-thousandth of a second.
            if step.abs() < 1e-7 {
                break;
            }
        }
        time
    }
}
