//! A cure on its way: its windows, how far it is, and the temperature beneath.

use super::frame::{
    LINE, Panel, Point, RIGHT, Scale, between, degree_ticks, even_ticks, is_drawable_degree,
    push_drawable, upright, value_at,
};
use super::nothing;
use super::svg::{Anchor, Spot, Svg, UNSURE, add, whole};
use super::wall::{self, Axis, Wall};
use crate::engine::quantity::{Celsius, Instant, Minutes, Span};
use crate::engine::units::{self, TemperatureUnit};

/// Left edge of the panels: room for "100".
const LEFT: i32 = 420;
/// Height of a window's row: its name and its bar.
const ROW: i32 = 420;
/// Height of the panel of progress.
const RISE: i32 = 1500;
/// Height of the panel of temperature.
const HEAT: i32 = 900;
/// Room above a panel for its heading.
const HEAD: i32 = 340;
/// Most intervals of the axis of time: what the width of labels allows.
const INTERVALS: f64 = 5.0;
/// Spans that are drawn: up to ten years.
const LONGEST: Minutes = Minutes(10.0 * 366.0 * 1440.0);

/// A window of a cure.
#[derive(Clone, Copy, Debug)]
pub struct Band<'a> {
    /// Its name.
    pub label: &'a str,
    /// When it opens; open from the start without.
    pub opens: Option<Span<Instant>>,
    /// When it closes; open without end without.
    pub closes: Option<Span<Instant>>,
}

/// What [`progress`] draws.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// Identifier, unlike that of every other chart of the page.
    pub id: &'a str,
    /// Whose cure it is.
    pub title: &'a str,
    /// What the share leads to, after "way to": "gel".
    pub toward: &'a str,
    /// Begin of the axis.
    pub started: Instant,
    /// Now; neither line nor share where it lies outside of the axis.
    pub now: Instant,
    /// End of the axis.
    pub until: Instant,
    /// What the wall clock is ahead of UTC, one value for the whole axis, within
    /// a day.
    pub offset: Minutes,
    /// Share of the way from 0 to 1, at rising instants: slowest, likely, fastest.
    /// After the last of them it is taken to stand still.
    pub share: &'a [(Instant, Span<f64>)],
    /// Windows, from the top down.
    pub windows: &'a [Band<'a>],
    /// What was seen, with the word for it: "gelled".
    pub marks: &'a [(Instant, &'a str)],
    /// The temperature that drives the cure, at rising instants.
    pub temperature: &'a [(Instant, Celsius)],
    /// Up to here the temperature was measured; what follows is a forecast.
    pub measured_to: Instant,
    /// Which temperature it is, as a heading: "Air".
    pub driver: &'a str,
    /// The temperature under which it must not lie, with its words: two or three.
    pub limit: Option<(Celsius, &'a str)>,
    /// The user's scale.
    pub unit: TemperatureUnit,
}

/// Everything in minutes since the start, per cent and the user's degrees.
struct Lines {
    end: f64,
    now: f64,
    /// Slowest, likely, fastest.
    share: [Vec<Point>; 3],
    degrees: Vec<Point>,
}

impl Lines {
    fn shows(&self, minutes: f64) -> bool {
        minutes >= 0.0 && minutes <= self.end
    }

    /// Midnights and now.
    fn uprights(&self, svg: &mut Svg, panel: &Panel, axis: &Axis) {
        for day in &axis.days.marks {
            panel.upright(svg, "chart-day", day.at);
        }
        if self.shows(self.now) {
            panel.upright(svg, "chart-now", self.now);
        }
    }
}

impl Progress<'_> {
    fn minutes(&self, at: Instant) -> f64 {
        // By way of floating point: a difference of far instants must not overflow.
        (at.millis() as f64 - self.started.millis() as f64) / 60_000.0
    }

    fn wall(&self, at: Instant) -> Wall {
        Wall::at(at, self.offset)
    }

    fn time(&self, at: Instant) -> String {
        self.wall(at).beside(self.wall(self.now))
    }

    /// None when there is nothing to draw.
    fn lines(&self) -> Option<Lines> {
        let end = self.minutes(self.until);
        if !(end >= 1.0 && end <= LONGEST.value()) {
            return None;
        }
        let mut lines = Lines {
            end,
            now: self.minutes(self.now),
            share: [Vec::new(), Vec::new(), Vec::new()],
            degrees: Vec::new(),
        };
        for (at, share) in self.share {
            let at = self.minutes(*at);
            let shares = [share.low, share.likely, share.high];
            for (points, share) in lines.share.iter_mut().zip(shares) {
                push_drawable(points, (at, share * 100.0));
            }
        }
        for points in &mut lines.share {
            let from = points.first()?.0.max(0.0);
            let to = points.last()?.0.min(end);
            if from >= to {
                return None;
            }
            *points = between(points, from, to);
        }
        for (at, temperature) in self.temperature {
            let number = self.unit.number(*temperature);
            if is_drawable_degree(number) {
                push_drawable(&mut lines.degrees, (self.minutes(*at), number));
            }
        }
        Some(lines)
    }

    /// One end of a window in words.
    fn end(&self, said: &mut String, verb: &str, end: Option<Span<Instant>>) {
        if let Some(end) = end {
            add(said, &[verb, &self.time(end.low), " and ", &self.time(end.high)]);
        }
    }

    /// The chart in a sentence for each thing that it shows.
    fn sentences(&self, lines: &Lines) -> String {
        let mut said = String::new();
        for window in self.windows {
            add(&mut said, &[window.label]);
            self.end(&mut said, " opens between ", window.opens);
            let closes =
                if window.opens.is_some() { ", closes between " } else { " closes between " };
            self.end(&mut said, closes, window.closes);
            add(&mut said, &[". "]);
        }
        add(&mut said, &["Now ", &self.time(self.now)]);
        if let Some(share) = value_at(&lines.share[1], lines.now).filter(|_| lines.shows(lines.now))
        {
            let share = whole(share.clamp(0.0, 100.0).round() as i64);
            add(&mut said, &[", ", &share, " % of the way to ", self.toward]);
        }
        for (at, word) in self.marks {
            add(&mut said, &[", ", word, " ", &self.time(*at)]);
        }
        let degrees = |t| units::show_temperature(t, self.unit);
        if let Some(number) = value_at(&lines.degrees, lines.now) {
            let known = if self.now <= self.measured_to { "" } else { " by forecast" };
            let now = degrees(self.unit.quantity(number));
            add(&mut said, &[". ", self.driver, " ", &now, known]);
            if let Some((limit, words)) = self.limit {
                add(&mut said, &[", ", words, " below ", &degrees(limit)]);
            }
        }
        add(&mut said, &["."]);
        said
    }

    /// A window's row: hatched where it is not sure, solid where it is.
    fn window(&self, svg: &mut Svg, x: &Scale, top: i32, window: &Band) {
        let place = |at: Instant| x.at(self.minutes(at));
        let (from, sure_from) =
            window.opens.map_or((x.first, x.first), |s| (place(s.low), place(s.high)));
        let (sure_to, to) =
            window.closes.map_or((x.last, x.last), |s| (place(s.low), place(s.high)));
        let (upper, lower) = (top + 210, top + 360);
        if from >= to {
            // All of it lies beyond an end of the axis, or its ends are crossed.
            svg.line("chart-fine", (x.first, lower), (x.last, lower));
        } else if sure_from < sure_to {
            svg.area(UNSURE, (from, upper), (sure_from, lower));
            svg.area("chart-open", (sure_from, upper), (sure_to, lower));
            svg.area(UNSURE, (sure_to, upper), (to, lower));
        } else {
            svg.area(UNSURE, (from, upper), (to, lower));
        }
        svg.text("chart-word", (x.first, top + 150), Anchor::Start, &[window.label]);
    }

    /// What was seen: a flag on a pole, and a diamond where the line was then.
    fn marks(&self, svg: &mut Svg, panel: &Panel, lines: &Lines) {
        let middle = (panel.x.first + panel.x.last) / 2;
        let mut row = 0;
        for (at, word) in self.marks {
            let minutes = self.minutes(*at);
            let Some(share) = value_at(&lines.share[1], minutes) else { continue };
            if !lines.shows(minutes) {
                continue;
            }
            let spot = panel.spot((minutes, share));
            panel.upright(svg, "chart-pole", minutes);
            svg.shape("chart-mark", spot, &DIAMOND);
            let (anchor, aside) =
                if spot.0 < middle { (Anchor::Start, 70) } else { (Anchor::End, -70) };
            svg.text("chart-word", (spot.0 + aside, panel.y.last + 200 + row), anchor, &[word]);
            row = (row + LINE) % (4 * LINE);
        }
    }

    /// The panel of temperature.
    fn heat(&self, svg: &mut Svg, x: Scale, top: i32, axis: &Axis, lines: &Lines) {
        let mut numbers = Vec::new();
        for point in &lines.degrees {
            numbers.push(point.1);
        }
        let limit = self.limit.map_or(f64::NAN, |(at, _)| self.unit.number(at));
        if is_drawable_degree(limit) {
            numbers.push(limit);
        }
        let ticks = degree_ticks(&numbers);
        let panel = Panel { x, y: upright(&ticks, top + HEAT, top) };
        let heading = [self.driver, ", ", self.unit.symbol()];
        panel.card(svg, &heading, &ticks, &axis.times);
        lines.uprights(svg, &panel, axis);
        let turn = self.minutes(self.measured_to).max(0.0).min(lines.end);
        panel.curve(svg, "chart-line", &between(&lines.degrees, 0.0, turn));
        panel.curve(svg, "chart-line chart-ahead", &between(&lines.degrees, turn, lines.end));
        if let Some((_, words)) = self.limit.filter(|_| is_drawable_degree(limit)) {
            let y = panel.y.at(limit);
            svg.line("chart-limit", (panel.x.first, y), (panel.x.last, y));
            // Beside the heading its words cover no part of the line.
            svg.text("chart-head", (panel.x.last, top - 80), Anchor::End, &["– – ", words]);
        }
    }
}

/// Corners of the mark of something seen.
pub(super) const DIAMOND: [Spot; 4] = [(0, -80), (80, 0), (0, 80), (-80, 0)];

/// A cure against its windows over the wall clock, and beneath it the
/// temperature that drives it. Uncertain ends are hatched, the likely course
/// lies in a band from the slowest to the fastest, and the forecast is dashed.
///
/// Gives a sentence instead where the axis is no span up to ten years or the
/// share has less than two points. Points without a number, or going back in
/// time, are left out; without a temperature its panel is.
pub fn progress(data: &Progress) -> String {
    let Some(lines) = data.lines() else { return nothing() };
    let across = || Scale { from: 0.0, to: lines.end, first: LEFT, last: RIGHT };
    let rows_to = LINE + ROW * data.windows.len().min(100) as i32;
    let rise = rows_to + HEAD;
    let heat = rise + RISE + HEAD;
    let bottom = if lines.degrees.is_empty() { rise + RISE } else { heat + HEAT };
    let axis = wall::axis(data.wall(data.started), lines.end, INTERVALS);
    let legend = bottom + if axis.days.marks.is_empty() { 240 } else { 440 };
    let mut svg = Svg::new(data.id, legend + 190, data.title, &data.sentences(&lines));

    // Windows hang from the same lines of time as the panels beneath.
    let all = Panel { x: across(), y: Scale { from: 0.0, to: 1.0, first: rows_to, last: LINE } };
    all.columns(&mut svg, &axis.times);
    lines.uprights(&mut svg, &all, &axis);
    for (index, window) in data.windows.iter().take(100).enumerate() {
        data.window(&mut svg, &all.x, LINE + ROW * index as i32, window);
    }
    if lines.shows(lines.now) {
        // Half the words' width from either edge, so that none is cut off.
        let at = (all.x.at(lines.now).clamp(480, 3120), 160);
        svg.text("chart-head", at, Anchor::Middle, &["now ", &data.time(data.now)]);
    }

    let ticks = even_ticks(0.0, 100.0, 50, whole);
    let panel = Panel { x: across(), y: upright(&ticks, rise + RISE, rise) };
    panel.card(&mut svg, &["Way to ", data.toward, ", %"], &ticks, &axis.times);
    lines.uprights(&mut svg, &panel, &axis);
    let [low, likely, high] = &lines.share;
    panel.band(&mut svg, low, high);
    panel.curve(&mut svg, "chart-likely", likely);
    data.marks(&mut svg, &panel, &lines);

    if !lines.degrees.is_empty() {
        data.heat(&mut svg, across(), heat, &axis, &lines);
    }

    all.foot(&mut svg, &axis.times, bottom);
    all.foot(&mut svg, &axis.days, bottom + 200);

    svg.area(UNSURE, (100, legend + 40), (340, legend + 160));
    svg.text("chart-tick", (400, legend + 150), Anchor::Start, &["unsure"]);
    svg.area("chart-band", (1080, legend + 40), (1320, legend + 160));
    svg.text("chart-tick", (1380, legend + 150), Anchor::Start, &["slow to fast"]);
    svg.line("chart-line chart-ahead", (2440, legend + 100), (2680, legend + 100));
    svg.text("chart-tick", (2740, legend + 150), Anchor::Start, &["forecast"]);
    svg.finish()
}
