//! How long cures took, at which temperature, and against their card.

use crate::engine::quantity::{Celsius, Minutes};

use super::Looker;
use crate::job::card::{self, Card};
use crate::job::learning::{Standing, earlier_look, milestone_of, standing_of};
use crate::job::state::CureRecord;

/// One milestone of a cure that somebody saw.
#[derive(Clone, Debug, PartialEq)]
pub struct Took {
    /// Which clock it was.
    pub clock: String,
    /// Which milestone.
    pub milestone: &'static str,
    /// How long after the start.
    pub time: Minutes,
    /// Mean temperature until then, where anything was read.
    pub temperature: Option<Celsius>,
    /// How many times slower than its card says for that temperature.
    pub slowness: Option<f64>,
    /// Whether the time is a real one: not found so at the first look.
    pub counts: bool,
}

/// Every milestone that was seen of a cure.
pub(in crate::job) fn took(look: &Looker<'_>, cure: &CureRecord) -> Vec<Took> {
    let seen_any = cure.seen.iter().filter(|seen| seen.seen >= cure.started);
    let mut all = Vec::new();
    let mut card = None;
    for seen in seen_any {
        if card.is_none() {
            let resolved = card::resolve(look.rules, look.state, &cure.material);
            card = resolved
                .ok()
                .and_then(|(family, tin)| Card::build(look.rules, family, tin, &cure.profile).ok());
        }
        let Some(card) = &card else { break };
        let Some(at) = milestone_of(card.profile, seen) else { continue };
        let Some(milestone) = card.profile.milestones.get(at) else { continue };
        let time = seen.seen.since(cure.started);
        let temperature = look.of_cure(cure, card.profile.driver, seen.seen);
        let speed = card.speed(look.rules, cure.catalyst, cure.mass);
        let expected = temperature
            .and_then(|t| Some(card.times.get(at)?.spec.time.likely / (speed * card.law.rate(t))));
        all.push(Took {
            clock: card.family.clock_title(card.profile),
            milestone: &milestone.title,
            time,
            temperature,
            slowness: expected.filter(|time| *time > Minutes(0.0)).map(|expected| time / expected),
            counts: standing_of(seen, earlier_look(cure, seen)) == Standing::Counts,
        });
    }
    all
}

/// The middle of some numbers, in order: of an even count the mean of the two.
pub fn middle(numbers: &[f64]) -> f64 {
    let at = |place: usize| numbers.get(place).copied().unwrap_or_default();
    let half = numbers.len() / 2;
    if numbers.len() % 2 == 1 { at(half) } else { (at(half.saturating_sub(1)) + at(half)) / 2.0 }
}
