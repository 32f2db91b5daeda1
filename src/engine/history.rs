//! The temperature that a piece saw and, as far as stated, will see.
//!
//! Readings come when somebody looks at a thermometer: seldom and at odd times.
//! Between two of them the temperature is taken to move linearly, before the
//! first and after the last it is taken to stand still. Readings after "now"
//! are forecasts and are used as given.

use super::quantity::{Celsius, Instant};
use crate::engine::sorting::sort_by_key;
use std::fmt;

/// A temperature over time: sorted points joined by straight lines.
#[derive(Clone, Debug, PartialEq)]
pub struct TemperatureHistory {
    /// At least one point; strictly rising instants; temperatures in range.
    points: Vec<(Instant, Celsius)>,
}

/// Why points make no history.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HistoryError {
    /// There is no point at all.
    Empty,
    /// A temperature that no workshop has.
    Outside(Celsius),
}

impl fmt::Display for HistoryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("There is no temperature yet. Take a reading."),
            Self::Outside(t) => write!(
                f,
                "{} °C is no temperature of a workshop ({} to {} °C). Read the thermometer again.",
                t.value(),
                TemperatureHistory::LEAST.value(),
                TemperatureHistory::MOST.value()
            ),
        }
    }
}

impl std::error::Error for HistoryError {}

impl TemperatureHistory {
    /// The lowest temperature that is believed.
    pub const LEAST: Celsius = Celsius(-40.0);
    /// The highest temperature that is believed.
    pub const MOST: Celsius = Celsius(80.0);

    /// A history from points in any order. Of two at one instant the later in
    /// the list wins: it corrects the earlier one.
    ///
    /// # Errors
    /// [`HistoryError::Empty`] without a point; [`HistoryError::Outside`] for a
    /// temperature that is not finite or not within [`Self::LEAST`] to
    /// [`Self::MOST`].
    pub fn new(points: impl IntoIterator<Item = (Instant, Celsius)>) -> Result<Self, HistoryError> {
        let mut points: Vec<_> = points.into_iter().collect();
        if let Some((_, t)) = points.iter().find(|(_, t)| !(*t >= Self::LEAST && *t <= Self::MOST))
        {
            return Err(HistoryError::Outside(*t));
        }
        if points.is_empty() {
            return Err(HistoryError::Empty);
        }
        // A stable sort of the reversed list puts the later of two first, and
        // `dedup` keeps the first.
        points.reverse();
        sort_by_key(&mut points, |(instant, _)| *instant);
        points.dedup_by_key(|(instant, _)| *instant);
        Ok(Self { points })
    }

    /// A temperature that never changes. One outside [`Self::LEAST`] to
    /// [`Self::MOST`] is brought to the nearer end; not-a-number becomes the
    /// lowest, so that nothing is ever promised on it.
    pub fn constant(t: Celsius) -> Self {
        Self { points: vec![(Instant(0), t.max(Self::LEAST).min(Self::MOST))] }
    }

    /// The temperature at an instant.
    pub fn at(&self, instant: Instant) -> Celsius {
        let next = self.points.partition_point(|(taken, _)| *taken < instant);
        value(&self.points, next, instant)
    }

    /// The points, by rising instant; never empty.
    pub fn points(&self) -> &[(Instant, Celsius)] {
        &self.points
    }

    /// The last point: what is held from there on.
    pub fn last(&self) -> (Instant, Celsius) {
        // Never empty, by every constructor; the fallback is never taken.
        self.points.last().copied().unwrap_or((Instant(0), Self::LEAST))
    }
}

/// The value at an instant, where `next` is the first point not before it.
fn value(points: &[(Instant, Celsius)], next: usize, instant: Instant) -> Celsius {
    let before = next.checked_sub(1).and_then(|index| points.get(index));
    match (before, points.get(next)) {
        (Some(&(earlier, from)), Some(&(later, to))) => {
            let share = instant.since(earlier) / later.since(earlier);
            from + to.above(from) * share
        }
        (None, Some(&(_, t))) | (Some(&(_, t)), None) => t,
        (None, None) => TemperatureHistory::LEAST,
    }
}

/// A stretch of time over which two temperatures move linearly: the one that
/// drives the reaction, and the one that says whether the time counts.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stretch {
    /// Start and end, in minutes since the first stretch began.
    pub from: f64,
    pub to: f64,
    /// Driving temperature at start and end.
    pub drive: [Celsius; 2],
    /// Gating temperature at start and end.
    pub gate: [Celsius; 2],
}

impl Stretch {
    /// Both temperatures at a time within the stretch: drive, gate.
    pub fn at(&self, time: f64) -> (Celsius, Celsius) {
        let share = (time - self.from) / (self.to - self.from);
        let between = |[from, to]: [Celsius; 2]| from + to.above(from) * share;
        (between(self.drive), between(self.gate))
    }

    /// The time within the stretch at which one of its temperatures passes a
    /// limit; none when it stays on one side.
    pub fn crosses(&self, [from, to]: [Celsius; 2], limit: Celsius) -> Option<f64> {
        ((from < limit) != (to < limit)).then(|| {
            let share = limit.above(from) / to.above(from);
            self.from + (self.to - self.from) * share
        })
    }

    /// The two parts before and after a time within the stretch.
    pub fn cut(&self, time: f64) -> (Self, Self) {
        let (drive, gate) = self.at(time);
        let (first, gated) = (self.drive[0], self.gate[0]);
        (
            Self { to: time, drive: [first, drive], gate: [gated, gate], ..*self },
            Self { from: time, drive: [drive, self.drive[1]], gate: [gate, self.gate[1]], ..*self },
        )
    }
}

/// The stretches of two histories together from one instant to a later one;
/// none when `to` is not later.
pub(crate) struct Stretches<'a> {
    drive: Cursor<'a>,
    gate: Cursor<'a>,
    from: Instant,
    to: Instant,
    /// How far it has come, and both temperatures there.
    at: Instant,
    values: [Celsius; 2],
}

impl<'a> Stretches<'a> {
    pub fn new(
        drive: &'a TemperatureHistory,
        gate: &'a TemperatureHistory,
        from: Instant,
        to: Instant,
    ) -> Self {
        let mut drive = Cursor::new(&drive.points, from);
        let mut gate = Cursor::new(&gate.points, from);
        let values = [drive.at(from), gate.at(from)];
        Self { drive, gate, from, to, at: from, values }
    }
}

impl Iterator for Stretches<'_> {
    type Item = Stretch;

    fn next(&mut self) -> Option<Stretch> {
        if self.at >= self.to {
            return None;
        }
        let next = self.drive.after(self.at).min(self.gate.after(self.at)).min(self.to);
        let [drive, gate] = [self.drive.at(next), self.gate.at(next)];
        let stretch = Stretch {
            from: self.at.since(self.from).value(),
            to: next.since(self.from).value(),
            drive: [self.values[0], drive],
            gate: [self.values[1], gate],
        };
        (self.at, self.values) = (next, [drive, gate]);
        Some(stretch)
    }
}

/// Walks a history forwards without searching it anew for each instant.
struct Cursor<'a> {
    points: &'a [(Instant, Celsius)],
    next: usize,
}

impl<'a> Cursor<'a> {
    fn new(points: &'a [(Instant, Celsius)], from: Instant) -> Self {
        Self { points, next: points.partition_point(|(taken, _)| *taken < from) }
    }

    /// The instant of the first point after `instant`, or the end of time.
    fn after(&self, instant: Instant) -> Instant {
        let ahead = self.points.iter().skip(self.next).map(|(taken, _)| *taken);
        ahead.take(2).find(|taken| *taken > instant).unwrap_or(Instant(i64::MAX))
    }

    /// The value at an instant not before the one asked last.
    fn at(&mut self, instant: Instant) -> Celsius {
        while self.points.get(self.next).is_some_and(|(taken, _)| *taken < instant) {
            self.next += 1;
        }
        value(self.points, self.next, instant)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minute(minute: i64) -> Instant {
        Instant(minute * 60_000)
    }

    fn history(points: &[(i64, f64)]) -> TemperatureHistory {
        TemperatureHistory::new(points.iter().map(|(m, t)| (minute(*m), Celsius(*t)))).unwrap()
    }

    #[test]
    fn points_are_sorted_and_joined_by_lines_and_held_at_the_ends() {
        let history = history(&[(60, 14.0), (0, 20.0)]);
        assert_eq!(history.at(minute(-5)), Celsius(20.0));
        assert_eq!(history.at(minute(0)), Celsius(20.0));
        assert_eq!(history.at(minute(20)), Celsius(18.0));
        assert_eq!(history.at(minute(60)), Celsius(14.0));
        assert_eq!(history.at(minute(600)), Celsius(14.0));
        assert_eq!(history.last(), (minute(60), Celsius(14.0)));
    }

    #[test]
    fn of_two_at_one_instant_the_later_in_the_list_wins() {
        let history = history(&[(10, 30.0), (0, 20.0), (10, 18.0)]);
        assert_eq!(history.points(), [(minute(0), Celsius(20.0)), (minute(10), Celsius(18.0))]);
    }

    #[test]
    fn impossible_points_are_refused_with_the_offender() {
        assert_eq!(TemperatureHistory::new([]), Err(HistoryError::Empty));
        for t in [-40.1, 80.1, f64::INFINITY] {
            let found = TemperatureHistory::new([(minute(0), Celsius(t))]);
            assert_eq!(found, Err(HistoryError::Outside(Celsius(t))));
        }
        assert!(TemperatureHistory::new([(minute(0), Celsius(f64::NAN))]).is_err());
        assert!(TemperatureHistory::new([(minute(0), Celsius(-40.0))]).is_ok());
        assert_eq!(
            HistoryError::Outside(Celsius(200.0)).to_string(),
            "200 °C is no temperature of a workshop (-40 to 80 °C). Read the thermometer again."
        );
    }

    #[test]
    fn a_constant_that_no_workshop_has_is_brought_into_range() {
        assert_eq!(TemperatureHistory::constant(Celsius(17.0)).at(minute(7)), Celsius(17.0));
        assert_eq!(TemperatureHistory::constant(Celsius(900.0)).at(minute(7)), Celsius(80.0));
        assert_eq!(TemperatureHistory::constant(Celsius(f64::NAN)).at(minute(7)), Celsius(-40.0));
    }

    #[test]
    fn stretches_of_two_histories_break_at_the_points_of_both() {
        let (drive, gate) = (history(&[(0, 10.0), (30, 40.0)]), history(&[(10, 5.0), (20, 6.0)]));
        let found: Vec<_> = Stretches::new(&drive, &gate, minute(-5), minute(45)).collect();
        let breaks: Vec<f64> = found.iter().map(|s| s.from).collect();
        assert_eq!(breaks, [0.0, 5.0, 15.0, 25.0, 35.0]);
        for stretch in &found {
            for (time, end) in [(stretch.from, 0), (stretch.to, 1)] {
                let instant = minute(-5 + time as i64);
                assert_eq!(stretch.drive[end], drive.at(instant));
                assert_eq!(stretch.gate[end], gate.at(instant));
            }
        }
        assert!(Stretches::new(&drive, &gate, minute(5), minute(5)).next().is_none());
    }
}
