//! Pot life against the mass of a batch, with the peak temperature beneath
//! where a model gives one: why two small tubs may be better than one big one.

use super::frame::{
    LINE, Panel, Point, RIGHT, Scale, decade_ticks, degree_ticks, even_ticks, is_drawable_degree,
    push_drawable, span_label, upright, value_at,
};
use super::progress::DIAMOND;
use super::svg::{Anchor, Svg, add};
use super::{nothing, wall};
use crate::engine::maths::Maths;
use crate::engine::quantity::{Celsius, Grams, Minutes, Span};
use crate::engine::units::{self, MassUnit, TemperatureUnit};

/// Left edge of the panels: room for "30 min".
const LEFT: i32 = 640;
/// Top of the panel of pot life.
const TOP: i32 = 560;
/// Height of the panel of pot life.
const POT: i32 = 1600;
/// Height of the panel of peak temperature.
const PEAK: i32 = 1100;
/// Room above the lower panel for its heading.
const HEAD: i32 = 340;
/// Pot lives up to this are drawn.
const LONGEST: Minutes = Minutes(144_000.0);
/// Masses that are drawn, as numbers in the user's unit.
const MASSES: std::ops::RangeInclusive<f64> = 0.001..=500_000.0;

/// A batch worked through.
#[derive(Clone, Copy, Debug)]
pub struct PotPoint {
    /// Its mass.
    pub mass: Grams,
    /// Its pot life.
    pub pot: Span<Minutes>,
    /// The hottest that it gets in the tub; none by the simple rule.
    pub peak: Option<Celsius>,
}

/// What [`pot_life`] draws.
#[derive(Clone, Copy, Debug)]
pub struct PotLife<'a> {
    /// Identifier, unlike that of every other chart of the page.
    pub id: &'a str,
    /// Which material it is.
    pub title: &'a str,
    /// Batches of rising mass.
    pub points: &'a [PotPoint],
    /// The batch that is to be mixed.
    pub chosen: Option<Grams>,
    /// The largest batch that is advised, with its words.
    pub advised: Option<(Grams, &'a str)>,
    /// The user's unit of mass.
    pub mass: MassUnit,
    /// The user's scale of temperature.
    pub temperature: TemperatureUnit,
}

/// Everything against the logarithm of the mass in the user's unit.
struct Lines {
    /// Short end, likely and long end of the pot life in minutes.
    pot: [Vec<Point>; 3],
    /// In the user's degrees.
    peak: Vec<Point>,
}

impl PotLife<'_> {
    fn place(&self, mass: Grams) -> f64 {
        let number = self.mass.number(mass);
        if MASSES.contains(&number) { number.logarithm() } else { f64::NAN }
    }

    fn lines(&self) -> Lines {
        let mut lines = Lines { pot: [Vec::new(), Vec::new(), Vec::new()], peak: Vec::new() };
        for point in self.points {
            let place = self.place(point.mass);
            let pots = [point.pot.low, point.pot.likely, point.pot.high];
            for (points, pot) in lines.pot.iter_mut().zip(pots) {
                if pot.value() >= 0.0 && pot <= LONGEST {
                    push_drawable(points, (place, pot.value()));
                }
            }
            let peak = point.peak.map_or(f64::NAN, |peak| self.temperature.number(peak));
            if is_drawable_degree(peak) {
                push_drawable(&mut lines.peak, (place, peak));
            }
        }
        lines
    }

    fn sentences(&self, lines: &Lines) -> String {
        let pot = |number: f64| units::show_minutes(Minutes(number.round()));
        let mass = |mass: Grams| units::show_mass(mass, self.mass);
        let of = |place: f64| mass(self.mass.quantity(place.exponential()));
        let mut said = String::from("Pot life goes from ");
        if let [first, .., last] = lines.pot[1].as_slice() {
            add(&mut said, &[&pot(first.1), " at ", &of(first.0), " to "]);
            add(&mut said, &[&pot(last.1), " at ", &of(last.0)]);
        }
        if let Some(chosen) = self.chosen {
            add(&mut said, &[". This batch of ", &mass(chosen)]);
            match self.inside(lines, chosen) {
                Some(place) => {
                    let time = pot(value_at(&lines.pot[1], place).unwrap_or(0.0));
                    add(&mut said, &[": ", &time]);
                    if let Some(peak) = value_at(&lines.peak, place) {
                        let peak = self.temperature.quantity(peak.round());
                        let peak = units::show_temperature(peak, self.temperature);
                        add(&mut said, &[", peak ", &peak]);
                    }
                }
                None => add(&mut said, &[" lies outside of the chart"]),
            }
        }
        if let Some((most, words)) = self.advised {
            add(&mut said, &["; ", words, " ", &mass(most)]);
        }
        add(&mut said, &[". Worked out, not measured: the tin's data sheet goes before it."]);
        said
    }

    /// Where a mass stands, if it does on the axis.
    fn inside(&self, lines: &Lines, mass: Grams) -> Option<f64> {
        let place = self.place(mass);
        let (first, last) = (lines.pot[1].first()?.0, lines.pot[1].last()?.0);
        (place >= first && place <= last).then_some(place)
    }

    /// The chosen and the advised batch on a panel.
    fn batches(&self, svg: &mut Svg, panel: &Panel, lines: &Lines, curve: &[Point]) {
        if let Some((most, _)) = self.advised
            && let Some(place) = self.inside(lines, most)
        {
            panel.upright(svg, "chart-limit", place);
        }
        let Some(place) = self.chosen.and_then(|chosen| self.inside(lines, chosen)) else { return };
        if let Some(value) = value_at(curve, place) {
            panel.upright(svg, "chart-pole", place);
            svg.shape("chart-mark", panel.spot((place, value)), &DIAMOND);
        }
    }
}

/// Pot life against the logarithm of the mass, as a likely line in its band, and
/// the peak temperature beneath. A diamond is the batch that is to be mixed, a
/// dashed upright line the largest that is advised.
///
/// Gives a sentence instead where less than two batches of rising mass have a
/// pot life; points without a number are left out, and without peaks, as by the
/// simple rule of mass, so is their panel.
pub fn pot_life(data: &PotLife) -> String {
    let lines = data.lines();
    let [low, likely, high] = &lines.pot;
    let [first, .., last] = likely.as_slice() else { return nothing() };
    if first.0 >= last.0 {
        return nothing();
    }
    let across = || Scale { from: first.0, to: last.0, first: LEFT, last: RIGHT };
    let mut top = 1.0_f64;
    for points in [likely, high] {
        for point in points {
            top = top.max(point.1);
        }
    }
    let ticks = even_ticks(0.0, top, wall::step(top, 5.0), span_label);
    let panel = Panel { x: across(), y: upright(&ticks, TOP + POT, TOP) };
    // Numbers of five figures, from about exp 9.2 on, need the more room.
    let masses = decade_ticks(&panel.x, if last.0 > 7.5 { 560 } else { 420 });
    let has_peak = lines.peak.len() > 1;
    let bottom = TOP + POT + if has_peak { HEAD + PEAK } else { 0 };
    let mut svg = Svg::new(data.id, bottom + 440, data.title, &data.sentences(&lines));

    panel.card(&mut svg, &["Pot life"], &ticks, &masses);
    panel.foot(&mut svg, &masses, bottom);
    panel.band(&mut svg, low, high);
    panel.curve(&mut svg, "chart-likely", likely);
    data.batches(&mut svg, &panel, &lines, likely);
    if has_peak {
        let mut numbers = Vec::new();
        for point in &lines.peak {
            numbers.push(point.1);
        }
        let ticks = degree_ticks(&numbers);
        let panel = Panel { x: across(), y: upright(&ticks, bottom, bottom - PEAK) };
        let heading = ["Peak in the tub, ", data.temperature.symbol()];
        panel.card(&mut svg, &heading, &ticks, &masses);
        panel.curve(&mut svg, "chart-line", &lines.peak);
        data.batches(&mut svg, &panel, &lines, &lines.peak);
    }
    if let Some((most, words)) = data.advised
        && let Some(place) = data.inside(&lines, most)
    {
        let x = panel.x.at(place);
        svg.line("chart-limit", (x, LINE), (x, TOP));
        svg.text("chart-word", (x, LINE - 60), Anchor::Middle, &[words]);
    }
    // Left of its pole and under the line, which falls: there it is empty.
    if let Some(place) = data.chosen.and_then(|chosen| data.inside(&lines, chosen)) {
        let x = panel.x.at(place);
        let (x, anchor) =
            if x > LEFT + 1000 { (x - 70, Anchor::End) } else { (x + 70, Anchor::Start) };
        svg.text("chart-word", (x, TOP + POT - 80), anchor, &["this batch"]);
    }
    let unit = ["Batch, ", data.mass.symbol()];
    svg.text("chart-head", (RIGHT, bottom + 380), Anchor::End, &unit);
    svg.finish()
}
