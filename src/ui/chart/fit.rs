//! What was predicted against what was seen: whether the clock of a tin can be
//! believed, and what learning did for it.

use super::frame::{Panel, RIGHT, Scale, span_ticks};
use super::nothing;
use super::progress::DIAMOND;
use super::svg::{Anchor, Spot, Svg, add, whole};
use crate::engine::maths::Maths;
use crate::engine::quantity::{Minutes, Span};

/// Left edge of the panel: room for "30 min".
const LEFT: i32 = 640;
const TOP: i32 = 340;
/// The plot is a square, so that the line of equal times runs at 45 degrees.
const BOTTOM: i32 = TOP + RIGHT - LEFT;
/// Times that can be drawn.
const RANGE: std::ops::RangeInclusive<f64> = 1.0..=144_000.0;
/// The least that the ends of the axes differ by, as a factor: it takes two labels.
const LEAST_FACTOR: f64 = 12.0;

/// Whether a prediction was made before anything was learned of the tin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Learning {
    /// From the sheet or the family.
    Before,
    /// From earlier gels of the tin.
    After,
}

/// How an observation counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It counts.
    Kept,
    /// It counts, but lies far off.
    Odd,
    /// The user left it out.
    LeftOut,
}

/// One gel: how long it should have taken and how long it took.
#[derive(Clone, Copy, Debug)]
pub struct Gel {
    /// Predicted, with its 80 % interval.
    pub predicted: Span<Minutes>,
    /// Observed.
    pub observed: Minutes,
    /// What the prediction stood on.
    pub learning: Learning,
    /// How it counts.
    pub standing: Standing,
}

impl Gel {
    fn can_be_drawn(&self) -> bool {
        let Span { low, likely, high } = self.predicted;
        [low, likely, high, self.observed].iter().all(|t| RANGE.contains(&t.value()))
            && self.predicted.is_ordered()
    }

    fn is_within(&self) -> bool {
        self.predicted.low <= self.observed && self.observed <= self.predicted.high
    }
}

/// What [`fit`] draws.
#[derive(Clone, Copy, Debug)]
pub struct Fit<'a> {
    /// Identifier, unlike that of every other chart of the page.
    pub id: &'a str,
    /// Which tin it is.
    pub title: &'a str,
    /// Its gels; one that is drawn before and after learning comes twice.
    pub gels: &'a [Gel],
}

/// Corners of the mark of a prediction before learning.
const SQUARE: [Spot; 4] = [(-65, -65), (65, -65), (65, 65), (-65, 65)];
/// Corners of an open cross.
const CROSS: [Spot; 12] = [
    (-80, -50),
    (-50, -80),
    (0, -30),
    (50, -80),
    (80, -50),
    (30, 0),
    (80, 50),
    (50, 80),
    (0, 30),
    (-50, 80),
    (-80, 50),
    (-30, 0),
];
/// Corners of the ring about one that is odd: it has eight.
const RING: [Spot; 8] = [
    (-60, -145),
    (60, -145),
    (145, -60),
    (145, 60),
    (60, 145),
    (-60, 145),
    (-145, 60),
    (-145, -60),
];

fn mark(svg: &mut Svg, at: Spot, learning: Learning, standing: Standing) {
    match (standing, learning) {
        (Standing::LeftOut, _) => svg.shape("chart-hollow", at, &CROSS),
        (_, Learning::Before) => svg.shape("chart-hollow", at, &SQUARE),
        (_, Learning::After) => svg.shape("chart-mark", at, &DIAMOND),
    }
    if standing == Standing::Odd {
        svg.shape("chart-ring", at, &RING);
    }
}

fn sentences(gels: &[Gel]) -> String {
    let mut said = String::from("Predicted against observed times to gel.");
    let (mut odd, mut left_out) = (0, 0);
    for (learning, words) in [(Learning::Before, " Before"), (Learning::After, " After")] {
        let (mut all, mut within) = (0, 0);
        for gel in gels {
            if !gel.can_be_drawn() || gel.learning != learning {
                continue;
            }
            odd += i64::from(gel.standing == Standing::Odd);
            if gel.standing == Standing::LeftOut {
                left_out += 1;
            } else {
                all += 1;
                within += i64::from(gel.is_within());
            }
        }
        if all > 0 {
            let end = " lie within their 80 % interval.";
            add(&mut said, &[words, " learning ", &whole(within), " of ", &whole(all), end]);
        }
    }
    for (count, words) in [(odd, " marked odd."), (left_out, " left out.")] {
        if count > 0 {
            add(&mut said, &[" ", &whole(count), words]);
        }
    }
    said
}

/// Predicted times across, observed upwards, both by their logarithm, with the
/// line on which both agree. Bars are the 80 % interval of the prediction.
///
/// Gives a sentence instead where no gel has times between a minute and a
/// hundred days; those that have not are left out.
pub fn fit(data: &Fit) -> String {
    let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
    for gel in data.gels {
        if gel.can_be_drawn() {
            low = low.min(gel.predicted.low.value()).min(gel.observed.value());
            high = high.max(gel.predicted.high.value()).max(gel.observed.value());
        }
    }
    if low > high {
        return nothing();
    }
    // Room about the outermost, and as much more as two labels need.
    let widen = (LEAST_FACTOR * low / high).max(1.5).sqrt();
    let (from, to) = ((low / widen).logarithm(), (high * widen).logarithm());
    let panel = Panel {
        x: Scale { from, to, first: LEFT, last: RIGHT },
        y: Scale { from, to, first: BOTTOM, last: TOP },
    };
    let legend = BOTTOM + 480;
    let mut svg = Svg::new(data.id, legend + 600, data.title, &sentences(data.gels));

    let rows = span_ticks(&panel.y, 260);
    let columns = span_ticks(&panel.x, 620);
    panel.card(&mut svg, &["Observed"], &rows, &columns);
    panel.foot(&mut svg, &columns, BOTTOM);
    svg.line("chart-equal", (LEFT, BOTTOM), (RIGHT, TOP));
    svg.text("chart-tick", (LEFT + 80, TOP + 180), Anchor::Start, &["later than said"]);
    svg.text("chart-tick", (RIGHT - 40, BOTTOM - 80), Anchor::End, &["sooner than said"]);
    for gel in data.gels {
        if !gel.can_be_drawn() {
            continue;
        }
        let spot =
            |t: Minutes| panel.spot((t.value().logarithm(), gel.observed.value().logarithm()));
        let at = spot(gel.predicted.likely);
        if gel.standing != Standing::LeftOut {
            let (left, right) = (spot(gel.predicted.low), spot(gel.predicted.high));
            svg.line("chart-bar", left, right);
            for end in [left, right] {
                svg.line("chart-bar", (end.0, end.1 - 40), (end.0, end.1 + 40));
            }
        }
        mark(&mut svg, at, gel.learning, gel.standing);
        if gel.standing == Standing::Odd {
            svg.text("chart-word", (at.0 + 180, at.1 - 100), Anchor::Start, &["odd"]);
        }
    }
    svg.text("chart-head", (RIGHT, BOTTOM + 390), Anchor::End, &["Predicted, with 80 % bar"]);

    let keys = [
        (Learning::Before, Standing::Kept, "before learning"),
        (Learning::After, Standing::Kept, "after learning"),
        (Learning::Before, Standing::LeftOut, "left out"),
        (Learning::After, Standing::Odd, "odd one"),
    ];
    for (index, (learning, standing, words)) in keys.into_iter().enumerate() {
        let (column, row) = (index as i32 % 2, index as i32 / 2);
        let at = (LEFT + column * 1700 - 400, legend + 100 + row * 300);
        mark(&mut svg, at, learning, standing);
        svg.text("chart-tick", (at.0 + 200, at.1 + 50), Anchor::Start, &[words]);
    }
    svg.finish()
}
