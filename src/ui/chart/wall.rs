//! The clock on the wall: an axis of instants, labelled as people say them.

use super::frame::{Tick, Ticks};
use super::svg::{add, whole};
use crate::engine::quantity::{Instant, Minutes};

/// Minutes of a day.
const DAY: i64 = 1440;
/// Steps between labels, in minutes. Beyond the last they double.
const STEPS: [i64; 12] = [5, 10, 15, 30, 60, 120, 180, 360, 720, DAY, 2 * DAY, 7 * DAY];
const WEEK: &str = "SunMonTueWedThuFriSat";
const MONTHS: &str = "JanFebMarAprMayJunJulAugSepOctNovDec";

/// Minutes by the clock on the wall since 1970 began there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wall(pub f64);

impl Wall {
    /// What the wall shows at an instant, `offset` east of Greenwich (at most a
    /// day; a missing number counts as none).
    pub fn at(instant: Instant, offset: Minutes) -> Self {
        let east = offset.value().clamp(-1440.0, 1440.0) as i32;
        Self(instant.since(Instant(0)).value() + f64::from(east))
    }

    fn minute(self) -> i64 {
        (self.0 + 1e-6).floor() as i64
    }

    /// The time: "08:05"; with the day before it where that differs from
    /// another's: "Tue 08:05", from a week on "14 Mar 08:05".
    pub fn beside(self, other: Self) -> String {
        let minute = self.minute();
        let apart = minute.div_euclid(DAY) - other.minute().div_euclid(DAY);
        let mut said = match apart.abs() {
            0 => return time(minute),
            1..7 => weekday(minute),
            _ => date(minute),
        };
        add(&mut said, &[" ", &time(minute)]);
        said
    }
}

/// The name of three letters at a place of a list.
fn name(list: &str, place: i64) -> String {
    let from = place as usize * 3;
    list.get(from..from + 3).unwrap_or_default().to_owned()
}

fn time(minute: i64) -> String {
    let of_day = minute.rem_euclid(DAY);
    // The leading 1 keeps the noughts: 10805 is 08:05.
    let digits = whole(10_000 + of_day / 60 * 100 + of_day % 60);
    let part = |range: std::ops::Range<usize>| digits.get(range).unwrap_or_default();
    let mut said = String::new();
    add(&mut said, &[part(1..3), ":", part(3..5)]);
    said
}

/// Day of the week at a minute since 1970-01-01, a Thursday.
fn weekday(minute: i64) -> String {
    name(WEEK, (minute.div_euclid(DAY) + 4).rem_euclid(7))
}

/// Day and month at a minute since 1970-01-01 in the Gregorian calendar of ISO
/// 8601: years are taken to begin in March, so that the leap day is their last.
fn date(minute: i64) -> String {
    // 719468 days lie between 1 March of the year 0 and 1970.
    let of_era = (minute.div_euclid(DAY) + 719_468).rem_euclid(146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let mut said = whole(of_year - (153 * month + 2) / 5 + 1);
    add(&mut said, &[" ", &name(MONTHS, (month + 2) % 12)]);
    said
}

/// The step that gives at most `most` intervals over a span of minutes.
pub(super) fn step(span: f64, most: f64) -> i64 {
    let mut last = DAY;
    for step in STEPS {
        if span <= step as f64 * most {
            return step;
        }
        last = step;
    }
    while span > last as f64 * most && last < 100_000 * DAY {
        last *= 2;
    }
    last
}

/// What an axis of the wall is labelled with.
pub(super) struct Axis {
    /// Times, or dates where labels are a day apart or more.
    pub times: Ticks,
    /// Days at their midnights, where the times need them.
    pub days: Ticks,
}

/// The axis from an instant over a span of minutes. Ticks are at minutes since
/// that instant.
pub(super) fn axis(from: Wall, span: f64, most: f64) -> Axis {
    let step = step(span, most);
    // Midnights each get a line while labels are less than a day apart.
    let days = if step < DAY { multiples(from, span, DAY) } else { Vec::new() };
    Axis {
        times: Ticks {
            marks: multiples(from, span, step),
            label: if step < DAY { time } else { date },
        },
        days: Ticks { marks: days, label: weekday },
    }
}

/// The minutes on the wall that are multiples of a step.
fn multiples(from: Wall, span: f64, step: i64) -> Vec<Tick> {
    let mut marks = Vec::new();
    let mut minute = (from.0 / step as f64).ceil() as i64 * step;
    while minute as f64 <= from.0 + span {
        marks.push(Tick { at: minute as f64 - from.0, number: Some(minute) });
        minute += step;
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days known from the calendar: the Unix epoch was a Thursday (POSIX, 4.16);
    /// 2000-01-01 a Saturday, 2024-02-29 a Thursday; the days between are those
    /// that Python's `datetime.date` counts.
    #[test]
    fn days_have_their_names_and_dates() {
        for (days, name, dated) in [
            (0, "Thu", "1 Jan"),
            (-1, "Wed", "31 Dec"),
            (10_957, "Sat", "1 Jan"),
            (19_782, "Thu", "29 Feb"),
            (19_783, "Fri", "1 Mar"),
            (20_819, "Fri", "1 Jan"),
        ] {
            let minute = days * DAY + 600;
            assert_eq!((weekday(minute), date(minute)), (name.into(), dated.into()), "{days}");
        }
    }

    #[test]
    fn the_offset_moves_the_clock_and_the_day() {
        // 2024-02-29 23:30 UTC is 00:30 of the next day an hour east.
        let late = Instant((19_782 * DAY + 1410) * 60_000);
        let here = Wall::at(late, Minutes(60.0));
        assert_eq!(here.beside(here), "00:30");
        assert_eq!(Wall::at(late, Minutes(0.0)).beside(here), "Thu 23:30");
        assert_eq!(Wall::at(Instant(0), Minutes(-300.0)).beside(here), "31 Dec 19:00");
        assert_eq!(Wall::at(late, Minutes(f64::NAN)), Wall::at(late, Minutes(0.0)));
    }

    /// Steps as on clocks and calendars (common practice).
    #[test]
    fn steps_are_those_of_a_clock() {
        for (span, expected) in [
            (1.0, 5),
            (20.0, 5),
            (21.0, 10),
            (60.0, 15),
            (100.0, 30),
            (240.0, 60),
            (480.0, 120),
            (600.0, 180),
            (1440.0, 360),
            (2880.0, 720),
            (5760.0, DAY),
            (10_000.0, 2 * DAY),
            (40_000.0, 7 * DAY),
            (80_000.0, 14 * DAY),
            (100_000.0, 28 * DAY),
        ] {
            assert_eq!(step(span, 4.0), expected, "{span}");
        }
    }

    #[test]
    fn labels_stand_on_round_times_and_midnight_gets_its_day() {
        // 2024-02-29 21:10, over six hours.
        let from = Wall((19_782 * DAY + 1270) as f64);
        let axis = axis(from, 360.0, 4.0);
        let read = |ticks: &Ticks| -> Vec<(i64, String)> {
            let label = |tick: &Tick| (ticks.label)(tick.number.unwrap());
            ticks.marks.iter().map(|tick| (tick.at as i64, label(tick))).collect()
        };
        let said = |at: i64, words: &str| (at, words.to_owned());
        assert_eq!(read(&axis.times), [said(50, "22:00"), said(170, "00:00"), said(290, "02:00")]);
        assert_eq!(read(&axis.days), [said(170, "Fri")]);
    }
}
