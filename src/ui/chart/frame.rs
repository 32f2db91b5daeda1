//! The frame that all charts share: scales, panels, ticks and gridlines.

use super::svg::{Anchor, Spot, Svg, add, whole};
use crate::engine::maths::Maths;

/// Height of a line of text, and the least room between labels of an upright axis.
pub(super) const LINE: i32 = 220;
/// Right edge of every panel.
pub(super) const RIGHT: i32 = 3480;
/// Temperatures beyond these are not drawn; far outside of any bench.
const DEGREES: std::ops::RangeInclusive<f64> = -100.0..=1000.0;

/// A place on the axis across and a value.
pub(super) type Point = (f64, f64);

/// A value turned into a coordinate in tenths. Values outside stay at the edge.
pub(super) struct Scale {
    /// Value at `first`.
    pub from: f64,
    /// Value at `last`.
    pub to: f64,
    /// Left or bottom edge.
    pub first: i32,
    /// Right or top edge.
    pub last: i32,
}

impl Scale {
    /// Coordinate of a value.
    pub fn at(&self, value: f64) -> i32 {
        let part = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.first + (part * f64::from(self.last - self.first)) as i32
    }
}

/// A line across a panel.
#[derive(Clone, Copy)]
pub(super) struct Tick {
    /// The value.
    pub at: f64,
    /// What its label says; one without is a finer line.
    pub number: Option<i64>,
}

/// Ticks with how their numbers are said. Labels are made where they are drawn:
/// numbers need no clearing away, and phones load less.
pub(super) struct Ticks {
    /// The ticks.
    pub marks: Vec<Tick>,
    /// The words for a number.
    pub label: fn(i64) -> String,
}

/// A plot between four edges.
pub(super) struct Panel {
    /// From left to right.
    pub x: Scale,
    /// From bottom to top.
    pub y: Scale,
}

impl Panel {
    /// The spot of a point.
    pub fn spot(&self, point: Point) -> Spot {
        (self.x.at(point.0), self.y.at(point.1))
    }

    /// Gridlines across with labels at the left.
    fn rows(&self, svg: &mut Svg, ticks: &Ticks) {
        for tick in &ticks.marks {
            let y = self.y.at(tick.at);
            svg.line(grid(tick), (self.x.first, y), (self.x.last, y));
            if let Some(number) = tick.number {
                let label = (ticks.label)(number);
                svg.text("chart-tick", (self.x.first - 60, y + 50), Anchor::End, &[&label]);
            }
        }
    }

    /// Gridlines upright.
    pub fn columns(&self, svg: &mut Svg, ticks: &Ticks) {
        for tick in &ticks.marks {
            self.upright(svg, grid(tick), tick.at);
        }
    }

    /// The labels beneath.
    pub fn foot(&self, svg: &mut Svg, ticks: &Ticks, bottom: i32) {
        for tick in &ticks.marks {
            if let Some(number) = tick.number {
                let at = (self.x.at(tick.at), bottom + 190);
                svg.text("chart-tick", at, Anchor::Middle, &[&(ticks.label)(number)]);
            }
        }
    }

    /// Gridlines, the two edges that carry the labels, and the heading above, in
    /// parts.
    pub fn card(&self, svg: &mut Svg, heading: &[&str], rows: &Ticks, columns: &Ticks) {
        self.rows(svg, rows);
        self.columns(svg, columns);
        svg.begin("chart-edge");
        svg.spot((self.x.first, self.y.last));
        svg.spot((self.x.first, self.y.first));
        svg.spot((self.x.last, self.y.first));
        svg.end(false);
        svg.text("chart-head", (self.x.first, self.y.last - 80), Anchor::Start, heading);
    }

    /// A line through points, two or more.
    pub fn curve(&self, svg: &mut Svg, class: &str, points: &[Point]) {
        svg.begin(class);
        for point in points {
            svg.spot(self.spot(*point));
        }
        svg.end(false);
    }

    /// The area between a lower and an upper line.
    pub fn band(&self, svg: &mut Svg, low: &[Point], high: &[Point]) {
        svg.begin("chart-band");
        for point in low {
            svg.spot(self.spot(*point));
        }
        for point in high.iter().rev() {
            svg.spot(self.spot(*point));
        }
        svg.end(true);
    }

    /// An upright line at a value.
    pub fn upright(&self, svg: &mut Svg, class: &str, at: f64) {
        let x = self.x.at(at);
        svg.line(class, (x, self.y.first), (x, self.y.last));
    }
}

fn grid(tick: &Tick) -> &'static str {
    if tick.number.is_none() { "chart-fine" } else { "chart-grid" }
}

/// Adds a point if it can be drawn: finite, and not going back.
pub(super) fn push_drawable(points: &mut Vec<Point>, point: Point) {
    let goes_on = points.last().is_none_or(|last| point.0 >= last.0);
    if goes_on && point.0.is_finite() && point.1.is_finite() {
        points.push(point);
    }
}

/// The value of joined points at a place; it stands still beyond the ends.
/// None without a point.
pub(super) fn value_at(points: &[Point], x: f64) -> Option<f64> {
    let mut before = *points.first()?;
    for after in points {
        if after.0 > x {
            let part = (x - before.0) / (after.0 - before.0);
            // Before the first point both are the same.
            let part = if part.is_finite() { part } else { 0.0 };
            return Some(before.1 + (after.1 - before.1) * part);
        }
        before = *after;
    }
    Some(before.1)
}

/// The joined points between two places, both ends included.
pub(super) fn between(points: &[Point], from: f64, to: f64) -> Vec<Point> {
    let mut part = Vec::new();
    if let (Some(first), Some(last)) = (value_at(points, from), value_at(points, to)) {
        part.push((from, first));
        for point in points {
            if point.0 > from && point.0 < to {
                part.push(*point);
            }
        }
        part.push((to, last));
    }
    part
}

/// Whether a temperature can be drawn.
pub(super) fn is_drawable_degree(number: f64) -> bool {
    DEGREES.contains(&number)
}

/// The smallest of 1, 2, 5, 10, 20, 50, ... that parts a span into `most`
/// intervals or fewer (common practice for axes).
pub(super) fn round_step(span: f64, most: f64) -> i64 {
    let (mut step, mut digit) = (1, 1);
    while span > step as f64 * most && step < 1_000_000 {
        (step, digit) = match digit {
            1 => (step * 2, 2),
            2 => (step / 2 * 5, 5),
            _ => (step * 2, 1),
        };
    }
    step
}

/// Ticks at whole multiples of a step, from the last at or below `low` to the
/// first at or above `high`.
pub(super) fn even_ticks(low: f64, high: f64, step: i64, label: fn(i64) -> String) -> Ticks {
    let step = step.max(1);
    let first = (low / step as f64).floor() as i64;
    let last = ((high / step as f64).ceil() as i64).min(first + 20).max(first + 1);
    let mut marks = Vec::new();
    for n in first..=last {
        marks.push(Tick { at: (n * step) as f64, number: Some(n * step) });
    }
    Ticks { marks, label }
}

/// An upright scale for whole numbers with its ticks; it reaches from tick to tick.
pub(super) fn upright(ticks: &Ticks, bottom: i32, top: i32) -> Scale {
    let end = |tick: Option<&Tick>| tick.map_or(0.0, |tick| tick.at);
    let marks = &ticks.marks;
    Scale { from: end(marks.first()), to: end(marks.last()), first: bottom, last: top }
}

/// Ticks for temperatures in a scale's numbers.
pub(super) fn degree_ticks(numbers: &[f64]) -> Ticks {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for number in numbers {
        low = low.min(*number);
        high = high.max(*number);
    }
    even_ticks(low, high, round_step((high - low).max(4.0), 3.0), whole)
}

/// Spans that label an axis of times, in minutes; the roundest first, for they
/// get their label first.
const SPANS: [i64; 19] = [
    1, 10, 60, 1440, 14_400, 30, 360, 5, 2880, 120, 720, 20, 2, 180, 7200, 28_800, 72_000, 4320,
    144_000,
];

/// A span of whole minutes as an axis says it: "45 min", "3 h", "2 d".
pub(super) fn span_label(minutes: i64) -> String {
    let (number, unit) = match minutes {
        0 => (0, ""),
        m if m % 1440 == 0 => (m / 1440, " d"),
        m if m % 60 == 0 => (m / 60, " h"),
        m => (m, " min"),
    };
    let mut label = whole(number);
    label.push_str(unit);
    label
}

/// A number of thousandths as an axis says it: "0.02", "5".
pub(super) fn decade_label(thousandths: i64) -> String {
    if thousandths >= 1000 {
        return whole(thousandths / 1000);
    }
    // The leading 1 keeps the noughts: 1020 is 0.02.
    let digits = whole(1000 + thousandths);
    let mut label = String::new();
    add(&mut label, &["0.", digits.get(1..).unwrap_or_default().trim_end_matches('0')]);
    label
}

/// The ticks of an axis of the logarithm of minutes.
pub(super) fn span_ticks(scale: &Scale, least: i32) -> Ticks {
    let mut ticks = Ticks { marks: Vec::new(), label: span_label };
    for span in SPANS {
        push_log(&mut ticks.marks, scale, (span as f64).logarithm(), span, least);
    }
    ticks
}

/// The ticks of an axis of the logarithm of a number, from a thousandth to half a
/// million: 1, 10, 100 go before 2, 20, 200 and those before 5, 50, 500.
pub(super) fn decade_ticks(scale: &Scale, least: i32) -> Ticks {
    let mut ticks = Ticks { marks: Vec::new(), label: decade_label };
    for mut number in [1, 2, 5] {
        for _ in 0..9 {
            push_log(&mut ticks.marks, scale, (number as f64 / 1000.0).logarithm(), number, least);
            number *= 10;
        }
    }
    ticks
}

/// Adds a tick that lies on the scale. Where it would come closer than `least`
/// tenths to an earlier one with a label, it gets none.
fn push_log(ticks: &mut Vec<Tick>, scale: &Scale, at: f64, number: i64, least: i32) {
    if at < scale.from || at > scale.to {
        return;
    }
    let mut number = Some(number);
    for tick in ticks.iter() {
        if tick.number.is_some() && (scale.at(tick.at) - scale.at(at)).abs() < least {
            number = None;
        }
    }
    ticks.push(Tick { at, number });
}
