//! A tub on the scale: what is in, what has to go in yet, and what can't be
//! mended. Nothing can be taken out of a tub, so all else follows what is over.

use super::{Plan, Planned};
use crate::engine::mix::{CupError, PartTarget, is_inside, recover, round_to_step};
use crate::engine::quantity::{Grams, Millilitres, Percent};

use super::super::event::Part;

/// A line of the weighing list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Number of the part in the plan.
    pub part: usize,
    /// What it is.
    pub name: String,
    /// How much of it: what is in, or what to add.
    pub mass: Grams,
    /// The same by volume, where benches measure it so.
    pub volume: Option<Millilitres>,
    /// What the scale reads when it is in, nothing tared away but the tub where
    /// that was left out of `tare`.
    pub reading: Grams,
    /// Whether it is in the tub.
    pub is_in: bool,
    /// Whether some of it is in and this is the rest.
    pub more: bool,
}

/// How a tub stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Nothing was entered, or all as planned.
    AsPlanned,
    /// What is left to add follows what was poured.
    Follows,
    /// A part is over, but inside the tolerance: it may be left.
    Within {
        /// By how much the other part is short.
        short: Percent,
        /// The tolerance.
        tolerance: Percent,
    },
    /// A part is over: earlier ones want more.
    TopUp {
        /// By how much the furthest is short.
        short: Percent,
    },
    /// The catalyst is not as planned, but inside its range: the clocks go by it.
    Level(Percent),
    /// Too much catalyst: it can't be mended.
    TooMuch {
        /// The level.
        level: Percent,
        /// The most that the family takes.
        most: Percent,
    },
}

/// A tub on the scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// What is in, then what to add.
    pub lines: Vec<Line>,
    /// Mass of each part at the end, in the order of the plan.
    pub ends: Vec<Grams>,
    /// How it stands.
    pub outcome: Outcome,
    /// How far the second part is off in the end, in per cent of itself.
    pub off: Percent,
    /// Whether that is inside the tolerance; none where no tolerance is known.
    pub inside: Option<bool>,
    /// Catalyst in the end, for families cured by peroxide.
    pub level: Option<Percent>,
}

/// How a tub goes on from what was poured of each part. A part before the last
/// one poured that was not entered is taken to be as planned.
///
/// # Errors
/// [`CupError`] when what was poured has no sense.
pub fn weigh(plan: &Plan, poured: &[Option<Grams>], tare: Grams) -> Result<Weighing, CupError> {
    let of = |index: usize| poured.get(index).copied().flatten();
    let ratio: Vec<(usize, &Planned)> =
        plan.parts.iter().enumerate().filter(|(_, part)| !part.extra).collect();
    let reached = ratio.iter().rposition(|(index, _)| of(*index).is_some()).map_or(0, |n| n + 1);
    let in_tub: Vec<Grams> =
        ratio[..reached].iter().map(|(index, part)| of(*index).unwrap_or(part.target)).collect();
    let targets: Vec<PartTarget> = ratio
        .iter()
        .map(|(_, part)| PartTarget { name: part.name.clone(), mass: part.exact })
        .collect();
    let tolerance = plan.tolerance.unwrap_or(Percent(0.0));
    let (mut factor, mut outcome) = (1.0, Outcome::AsPlanned);
    if reached > 0 {
        let found = recover(&targets, &in_tub, Grams(0.0), tolerance)?.result;
        factor = found.factor;
        // A part that is short by less than its scale can show is not short.
        let short = ratio
            .iter()
            .zip(&in_tub)
            .any(|((_, part), got)| part.exact * factor - *got > part.step * 0.5);
        outcome = match (&plan.catalyst, &in_tub[..]) {
            (Some((planned, range)), [resin, catalyst]) => {
                let level = Percent(*catalyst / *resin * 100.0);
                if level > range.block_above {
                    Outcome::TooMuch { level, most: range.block_above }
                } else if level > *planned && short {
                    factor = *resin / ratio[0].1.exact;
                    Outcome::Level(level)
                } else {
                    Outcome::Follows
                }
            }
            (None, [_, second])
                if short && *second > ratio[1].1.exact * (in_tub[0] / ratio[0].1.exact) =>
            {
                if found.inside && plan.tolerance.is_some() {
                    factor = in_tub[0] / ratio[0].1.exact;
                    Outcome::Within { short: found.short, tolerance }
                } else {
                    Outcome::TopUp { short: found.short }
                }
            }
            _ if (factor - 1.0).abs() > 1e-9 => Outcome::Follows,
            _ => Outcome::AsPlanned,
        };
    }
    let done = matches!(outcome, Outcome::TooMuch { .. });
    let mut reading = tare;
    let (mut lines, mut rest) = (Vec::new(), Vec::new());
    let mut ends = Vec::new();
    for (index, part) in plan.parts.iter().enumerate() {
        let step_reached = ratio.iter().take(reached).any(|(other, _)| *other == index);
        let got = of(index).or((step_reached).then_some(part.target));
        let line = |mass, is_in, more| Line {
            part: index,
            name: part.name.clone(),
            mass,
            volume: part.density.map(|density| mass / density),
            reading: Grams(0.0),
            is_in,
            more,
        };
        if let Some(got) = got {
            reading = reading + got;
            lines.push(Line { reading, ..line(got, true, false) });
        }
        let already = got.unwrap_or(Grams(0.0));
        let wanted = match got {
            // Untouched, the plan's own rounding stands.
            None if factor == 1.0 => part.target,
            _ => part.exact * factor,
        };
        let add = round_to_step(wanted - already, part.step);
        let add = if done { Grams(0.0) } else { add.max(Grams(0.0)) };
        if add.value() > 0.0 {
            rest.push(line(add, false, got.is_some()));
        }
        ends.push(already + add);
    }
    for line in &mut rest {
        reading = reading + line.mass;
        line.reading = reading;
    }
    lines.extend(rest);
    let end = |n: usize| ratio.get(n).map_or(Grams(0.0), |(index, _)| ends[*index]);
    let wanted = end(0) * ratio.get(1).map_or(0.0, |(_, b)| b.exact / ratio[0].1.exact);
    let off = Percent((end(1) / wanted - 1.0) * 100.0);
    Ok(Weighing {
        lines,
        outcome,
        off,
        inside: plan.tolerance.map(|tolerance| is_inside(off, tolerance)),
        level: plan.catalyst.as_ref().map(|_| Percent(end(1) / end(0) * 100.0)),
        ends,
    })
}

/// The parts as they go on record, the two of the ratio before what was stirred
/// in besides: what was planned, and what was weighed where that was entered or
/// had to follow.
pub fn mixed(plan: &Plan, weighing: &Weighing, poured: &[Option<Grams>]) -> Vec<Part> {
    let of = |index: usize, part: &Planned, end: Grams| {
        let entered = poured.get(index).copied().flatten();
        let followed = (end - part.target).value().abs() > 1e-9;
        Part {
            name: part.name.clone(),
            target: part.target,
            actual: entered.or(followed.then_some(end)),
        }
    };
    let all = || plan.parts.iter().zip(&weighing.ends).enumerate();
    let of_kind = |extra: bool| all().filter(move |(_, (part, _))| part.extra == extra);
    of_kind(false).chain(of_kind(true)).map(|(index, (part, end))| of(index, part, *end)).collect()
}

/// How far each part is off in per cent of itself, beside the first: that is by
/// how much the ratio is off. The first stands for the size of the tub. Empty
/// for a batch of which nothing was entered.
pub fn off(parts: &[Part]) -> Vec<Percent> {
    let factor = |part: &Part| part.actual.unwrap_or(part.target) / part.target;
    let Some(first) = parts.first().filter(|_| parts.iter().any(|p| p.actual.is_some())) else {
        return Vec::new();
    };
    let size = factor(first);
    let others = parts.iter().skip(1).map(|part| factor(part) / size);
    std::iter::once(size).chain(others).map(|f| Percent((f - 1.0) * 100.0)).collect()
}
