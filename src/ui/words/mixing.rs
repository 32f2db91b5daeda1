//! Words of the batch card.

use super::{duration, mass, number, percent, two_digits};
use crate::engine::quantity::{Grams, Percent};
use crate::job::batch::{Outcome, Plan, Tubs, Weighing, off as offs};
use crate::job::event::Part;
use crate::job::settings::Settings;

/// Whose rate of use a split goes by.
pub fn whose_rate(own: Option<u32>) -> String {
    match own {
        Some(batches) => format!("By your own rate, from {batches} batches."),
        None => "By common practice. Tap \"Tub empty\" when one is, and your own rate takes \
                 over."
            .into(),
    }
}

/// How a total is split.
pub fn tubs(settings: &Settings, tubs: &Tubs) -> String {
    if tubs.split.count == 1 {
        return format!("One tub can be used up in its pot life, about {}.", duration(tubs.pot));
    }
    format!(
        "Too much for one tub: {} tubs of {} can each be used up in about {} of pot life. Mix the \
         next when the last is empty.",
        tubs.split.count,
        mass(settings, tubs.split.each),
        duration(tubs.pot)
    )
}

/// A deviation in per cent, beside what: "+2.1 %", "−0.3 % against the base".
fn deviation(of: Percent, beside: Option<&str>) -> String {
    match (of.value(), beside) {
        (value, None) if value.abs() < 0.05 => "as planned".into(),
        (value, Some(_)) if value.abs() < 0.05 => "in its ratio".into(),
        (value, beside) => {
            let sign = if value > 0.0 { "+" } else { "−" };
            let by = percent(Percent(two_digits(value.abs())));
            let beside = beside.map(|first| format!(" against the {first}")).unwrap_or_default();
            format!("{sign}{by}{beside}")
        }
    }
}

/// What a scale's step does to the ratio, and whether that is inside the tolerance.
pub fn off(settings: &Settings, plan: &Plan, weighing: &Weighing, whose: &str) -> Option<String> {
    let (inside, tolerance) = (weighing.inside?, percent(plan.tolerance?));
    let what = match weighing.off.value() {
        off if off.abs() < 0.05 => "Weighed so, the ratio is as it should be".to_owned(),
        off => {
            let way = if off > 0.0 { "over" } else { "under" };
            let by = percent(Percent(two_digits(off.abs())));
            let part = plan.parts.iter().rfind(|part| !part.extra).map(|part| &part.name);
            format!("Weighed so, the {} is {by} {way}", part.map_or("rest", |name| name))
        }
    };
    let verdict = match (inside, plan.safe_from) {
        (true, _) => "inside".to_owned(),
        (false, Some(least)) => format!(
            "outside: use a finer scale, or mix at least {}. It goes past",
            mass(settings, Grams(least.value().ceil()))
        ),
        (false, None) => "outside".to_owned(),
    };
    Some(format!("{what}: {verdict} the tolerance of {tolerance} ({whose})."))
}

/// What the scale makes of the catalyst level; none where it is as wanted.
pub fn catalyst_off(wanted: Percent, weighing: &Weighing) -> Option<String> {
    let level = weighing.level?;
    let differs = (level.value() - wanted.value()).abs() >= 0.005;
    differs.then(|| format!("Weighed so, the catalyst is {} %.", number(level.value())))
}

/// How a tub that did not go as planned is mended; none where nothing is to be said.
pub fn mended(outcome: &Outcome) -> Option<String> {
    let percent = |of: &Percent| percent(Percent(two_digits(of.value())));
    Some(match outcome {
        Outcome::AsPlanned => return None,
        Outcome::Follows => "Worked out anew from what was poured.".into(),
        Outcome::Within { short, tolerance } => format!(
            "Over, but only {} short of the other part, inside the tolerance of {}: it may be \
             left as it is.",
            percent(short),
            percent(tolerance)
        ),
        Outcome::TopUp { .. } => "Too much went in, and nothing can be taken out. Add what is \
                                  said below: then the ratio is right again. The pot life runs \
                                  from when the parts met."
            .into(),
        Outcome::Level(level) => format!(
            "The catalyst is {} now, inside its range. Nothing to add: the clocks go by it.",
            percent(level)
        ),
        Outcome::TooMuch { level, most } => format!(
            "The catalyst is {}, and {} is the most. This can't be mended: it can't be taken out, \
             and enough resin to thin it makes a tub that gels before it is used up. Throw it \
             away: outdoors, on hard bare ground, no lid. Start with a clean tub.",
            percent(level),
            percent(most)
        ),
    })
}

/// Parts of a batch as it was noted: "base 1060 g of 1000 g: +6 %".
pub fn batch(settings: &Settings, parts: &[Part]) -> Vec<String> {
    let off = offs(parts);
    let first = parts.first().map(|part| part.name.as_str());
    let line = |(index, part): (usize, &Part)| {
        let target = mass(settings, part.target);
        match (part.actual, off.get(index)) {
            (Some(actual), Some(by)) => format!(
                "{} {} of {target}: {}",
                part.name,
                mass(settings, actual),
                deviation(*by, first.filter(|_| index > 0))
            ),
            _ => format!("{} {target}, planned", part.name),
        }
    };
    parts.iter().enumerate().map(line).collect()
}
