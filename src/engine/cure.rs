//! When a curing material reaches its milestones, as the temperature really goes.
//!
//! A sheet gives a time at one temperature; a workshop has another one every
//! hour. Progress is therefore counted as *equivalent age*: the minutes that
//! the same progress would have taken at the reference temperature and speed 1,
//! `A(t) = speed * integral of rate(T) dt`. A milestone of reference time `m`
//! is reached when `A = m`, whatever the temperature did meanwhile. (The form
//! is that of ASTM C1074 and EN 1992-1-1 Annex B for concrete; the two minimums
//! are the house rule of the trade reference, section 3.1.)
//!
//! # Three tracks
//! Each milestone gets a short, a likely and a long end, from three tracks that
//! lean to different sides:
//!
//! | | short | likely | long |
//! |---|---|---|---|
//! | reference time | low | likely | high |
//! | temperature | warm end | likely | cold end |
//! | wet, under `wet_min` | counts as at `wet_min` | own rate | counts nothing |
//! | hard, under `harden_min` | own rate | counts nothing | counts nothing |
//! | over `max` | own rate | own rate | as at `max` |
//!
//! So what must be finished in time (short end) is never told too late, and
//! what must not begin too soon (long end) never too early. Whether the long
//! track lies under a minimum is judged by the *likely* temperature, and its
//! wet phase ends with the likely track's: else an estimated surface, whose
//! cold end lies under the minimum in most workshops, would never cure at all.
//! The short track counts the cold at its own rate in the hard phase too: a
//! window that closes must not be held open by a rule of thumb, and no track
//! may overtake the one on its short side.
//!
//! # Phases
//! The wet phase ends when the earliest `firm` milestone is reached; without
//! one, with the last milestone of [`Phase::Wet`]; without any, there is none.
//! A milestone's own phase matters for nothing else: one marked wet that comes
//! after firm runs by the rules of the hard phase.
//!
//! # When no time is given
//! While the piece is wet, and the driving temperature lies outside
//! `wet_min..=max` now, or is stated to go there before the milestone, every
//! milestone still ahead is [`Forecast::TooCold`] or [`Forecast::TooHot`]: an
//! extrapolated time would be an invention. Milestones passed before `now` (by
//! the likely track) keep their instants.

use super::history::{Stretch, Stretches, TemperatureHistory};
use super::kinetics::TemperatureLaw;
use super::quantity::{Celsius, Instant, Minutes, Span};
use course::Course;
use track::{Rule, Track, WetEnd};

mod course;
mod track;

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;

/// How far a forecast looks, counted from the start: 400 days.
pub const HORIZON: Minutes = Minutes(400.0 * 24.0 * 60.0);

/// Which minimum temperature holds for a milestone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// From mixing until the piece is firm.
    Wet,
    /// From firm on.
    Harden,
}

/// Which way to be wrong about a milestone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Something must be finished by then: the short end counts.
    FinishBy,
    /// Something must not begin before: the long end counts.
    NotBefore,
}

/// Temperatures between which a material is known to cure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Least while wet.
    pub wet_min: Celsius,
    /// Least that counts once firm; not over `wet_min` in any family.
    pub harden_min: Celsius,
    /// Most.
    pub max: Celsius,
}

/// A milestone of a cure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MilestoneSpec {
    /// Its time at the reference temperature and speed 1.
    pub time: Span<Minutes>,
    /// Its phase.
    pub phase: Phase,
    /// Which way to be wrong about it.
    pub effect: Effect,
    /// Whether reaching it ends the wet phase.
    pub firm: bool,
}

/// A cure to be solved.
#[derive(Clone, Copy, Debug)]
pub struct Cure<'a> {
    /// When it was mixed.
    pub start: Instant,
    /// Its law of temperature.
    pub law: TemperatureLaw,
    /// How much faster than reference it runs for its catalyst and mass; more
    /// than 1 is faster. Not above zero or not finite: nothing is ever reached.
    pub speed: f64,
    /// Its limits.
    pub limits: Limits,
    /// Its milestones, in any order.
    pub milestones: &'a [MilestoneSpec],
}

/// When a milestone is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Forecast {
    /// Then. `high` at the cure's start plus [`HORIZON`] means that the long
    /// end never comes at the temperature held at last.
    At(Span<Instant>),
    /// Wet and too cold: no time, and it may not cure properly.
    TooCold {
        /// The driving temperature that is too low: the present one, or the
        /// stated one that comes before the milestone.
        now: Celsius,
        /// The least that is needed.
        least: Celsius,
    },
    /// Wet and too hot: no time, and it may overheat.
    TooHot {
        /// The driving temperature that is too high: the present one, or the
        /// stated one that comes before the milestone.
        now: Celsius,
        /// The most that is allowed.
        most: Celsius,
    },
    /// Not within [`HORIZON`], or held at a temperature that counts nothing.
    Never,
}

/// A solved cure.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// One for each milestone, in the same order.
    pub forecasts: Vec<Forecast>,
    /// Time before `now` spent under `wet_min` while wet, by the likely
    /// temperature: it may not cure properly.
    pub cold_while_wet: Minutes,
    /// Time before `now` spent over `max` while wet, by the likely temperature.
    pub hot_while_wet: Minutes,
}

impl Cure<'_> {
    /// Solves every milestone over a driving temperature (low is its cold end),
    /// as seen at `now`. A `now` before the start is the start.
    pub fn solve(&self, temperature: &Span<TemperatureHistory>, now: Instant) -> Solution {
        let Span { low: cold, likely, high: warm } = temperature;
        let Limits { wet_min, harden_min, max } = self.limits;
        let (curve, end) = (self.law.curve(), self.start + HORIZON);
        let course = |drive| Course::new(curve, drive, likely, self.start, end);
        let wet = self.wet_age();
        let ages = |pick: fn(&Span<Minutes>) -> Minutes| {
            self.milestones.iter().map(move |milestone| self.age(pick(&milestone.time)))
        };

        let mut middle = course(likely);
        let hard = Rule { gate_min: harden_min, ..Rule::OWN };
        let ends = WetEnd::Age(self.age(wet.likely));
        let own = Track::lay(&mut middle, Rule::OWN, hard, ends, ages(|t| t.likely));
        let wet_until = own.firm_at.unwrap_or(f64::INFINITY);

        // Measured temperatures have no width: then all tracks share one course.
        let (mut warmer, mut colder);
        let warm = if warm == likely {
            &mut middle
        } else {
            warmer = course(warm);
            &mut warmer
        };
        let floor = Rule { floor: wet_min, ..Rule::OWN };
        let ends = WetEnd::Age(self.age(wet.low));
        let fast = Track::lay(warm, floor, Rule::OWN, ends, ages(|t| t.low));

        let cold = if cold == likely {
            &mut middle
        } else {
            colder = course(cold);
            &mut colder
        };
        let cap = |gate_min| Rule { gate_min, cap: max, ..Rule::OWN };
        let ends = WetEnd::Time(wet_until);
        let slow = Track::lay(cold, cap(wet_min), cap(harden_min), ends, ages(|t| t.high));

        let now = now.since(self.start).value().max(0.0);
        let outside = self.first_outside(&mut middle, now, wet_until);
        let forecast = |(milestone, ends): (&MilestoneSpec, [Option<f64>; 3])| {
            let [low, likely, high] = ends;
            let passed = likely.is_some_and(|likely| likely <= now);
            if let (false, Some((since, forecast))) = (passed, outside)
                && likely.is_none_or(|likely| likely > since)
            {
                return forecast;
            }
            let Some(likely) = likely else { return Forecast::Never };
            let low = low.map_or(likely, |low| low.min(likely));
            let high = match high {
                Some(high) => high.max(likely),
                None if !passed && milestone.effect == Effect::NotBefore => return Forecast::Never,
                None => HORIZON.value(),
            };
            Forecast::At(Span { low, likely, high }.map(|at| self.start + Minutes(at)))
        };
        let spent_until = now.min(wet_until);
        let (mut cold_while_wet, mut hot_while_wet) = (0.0, 0.0);
        for stretch in middle.until(spent_until) {
            let above = |limit: Celsius| move |t: Celsius| t.above(limit).value();
            cold_while_wet += time_below_zero(&stretch, spent_until, above(wet_min));
            hot_while_wet += time_below_zero(&stretch, spent_until, |t| -above(max)(t));
        }
        let ends = fast.reached.iter().zip(&own.reached).zip(&slow.reached);
        let ends = ends.map(|((low, likely), high)| [*low, *likely, *high]);
        Solution {
            forecasts: self.milestones.iter().zip(ends).map(forecast).collect(),
            cold_while_wet: Minutes(cold_while_wet),
            hot_while_wet: Minutes(hot_while_wet),
        }
    }

    /// A reference time as an age in minutes at the reference temperature;
    /// infinite when the speed lets nothing happen.
    fn age(&self, time: Minutes) -> f64 {
        if self.speed > 0.0 && self.speed.is_finite() {
            time.value() / self.speed
        } else {
            f64::INFINITY
        }
    }

    /// Reference time at which the wet phase ends; see the notes on phases.
    fn wet_age(&self) -> Span<Minutes> {
        let ends = |wanted: fn(&MilestoneSpec) -> bool, pick: fn(Minutes, Minutes) -> Minutes| {
            let times = self.milestones.iter().filter(|spec| wanted(spec)).map(|spec| spec.time);
            times.reduce(|a, b| Span {
                low: pick(a.low, b.low),
                likely: pick(a.likely, b.likely),
                high: pick(a.high, b.high),
            })
        };
        ends(|spec| spec.firm, Minutes::min)
            .or_else(|| ends(|spec| spec.phase == Phase::Wet, Minutes::max))
            .unwrap_or(Span::exact(Minutes(0.0)))
    }

    /// The first time from `now` on, while wet, at which the temperature lies
    /// outside the limits, with what is then to be said.
    fn first_outside(
        &self,
        course: &mut Course<'_>,
        now: f64,
        wet_until: f64,
    ) -> Option<(f64, Forecast)> {
        let Limits { wet_min, max, .. } = self.limits;
        let verdict = |t: Celsius| {
            if t < wet_min {
                Some(Forecast::TooCold { now: t, least: wet_min })
            } else if t > max {
                Some(Forecast::TooHot { now: t, most: max })
            } else {
                None
            }
        };
        for stretch in course.until(wet_until).skip_while(|stretch| stretch.to <= now) {
            let from = stretch.from.max(now);
            let (start, _) = stretch.at(from);
            if from < wet_until
                && let Some(forecast) = verdict(start)
            {
                return Some((from, forecast));
            }
            if let Some(forecast) = verdict(stretch.drive[1]) {
                let limit = if stretch.drive[1] < wet_min { wet_min } else { max };
                let since = stretch.crosses(stretch.drive, limit).unwrap_or(stretch.to);
                return (since < wet_until).then_some((since, forecast));
            }
        }
        None
    }
}

/// Minutes of a stretch before `until` in which a depth that is linear in the
/// driving temperature lies under zero.
fn time_below_zero(stretch: &Stretch, until: f64, depth: impl Fn(Celsius) -> f64) -> f64 {
    if stretch.from >= until {
        return 0.0;
    }
    let to = stretch.to.min(until);
    let (start, end) = (depth(stretch.drive[0]), depth(stretch.at(to).0));
    let share = match (start < 0.0, end < 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        _ => start.min(end).abs() / (start - end).abs(),
    };
    share * (to - stretch.from)
}

/// Equivalent age gained between two instants: the minutes at the reference
/// temperature that would have brought as much progress. Negative when `to` is
/// earlier than `from`. Relative error under 1e-6.
pub fn equivalent_age(
    law: &TemperatureLaw,
    history: &TemperatureHistory,
    from: Instant,
    to: Instant,
) -> Minutes {
    let (first, last, sign) = if to < from { (to, from, -1.0) } else { (from, to, 1.0) };
    let curve = law.curve();
    let gained = Stretches::new(history, history, first, last)
        .map(|stretch| {
            (stretch.to - stretch.from) * curve.mean_rate(stretch.drive[0], stretch.drive[1])
        })
        .sum::<f64>();
    Minutes(sign * gained)
}
