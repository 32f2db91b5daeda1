//! What the findings of a tin teach about it.
//!
//! Every "gelled" and "ready" at the bench is evidence of how this tin differs
//! from its card. [`study`] gathers it and lets the engine learn; nothing takes
//! effect before the person says so ([`accept`]). What then takes effect is
//! recorded in numbers and stays the same whatever is found later.

use crate::engine::history::TemperatureHistory;
use crate::engine::learning::{self, Belief, Learnt, Observation, Outlier, Prior};
use crate::engine::quantity::{Celsius, Instant, Minutes, Span};
use crate::trade::model::{Family, Figure, Profile, Rules, StateWord};
use std::fmt;

use super::card::{Card, TinCard};
use super::command::Refusal;
use super::event::{Body, Finding, Id, Material, Place};
use super::state::{CureRecord, Observation as Seen, State, Tin};
use super::temperature::Climate;

/// What was learned of a tin, as it is recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct Learning {
    /// What is believed of the tin.
    pub belief: Belief,
    /// How many findings it was learned from.
    pub findings: u32,
}

crate::stored_record!(Learning { belief, findings });

/// A finding as evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// The event that noted it.
    pub finding: Id,
    /// The cure, by job and stage.
    pub name: String,
    /// The milestone that was seen.
    pub milestone: &'static str,
    /// When it was mixed.
    pub started: Instant,
    /// When the milestone was seen.
    pub seen: Instant,
    /// Whether it counts, and if not, why.
    pub standing: Standing,
    /// What was to be expected, with 80 %; none for one that does not count.
    pub predicted: Option<Span<Minutes>>,
    /// What is odd about it.
    pub outlier: Option<Outlier>,
}

impl Evidence {
    /// How long it took.
    pub fn took(&self) -> Minutes {
        self.seen.since(self.started)
    }
}

/// Whether a finding counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It counts.
    Counts,
    /// The person left it out.
    LeftOut,
    /// It was ready at the first look: nobody knows for how long.
    FirstLook,
    /// It stood too cold for a time: what that did to it nobody can tell.
    TooCold,
    /// Its times make no sense.
    Unusable(learning::Unusable),
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Counts => f.write_str("counts"),
            Self::LeftOut => f.write_str("left out by you"),
            Self::FirstLook => f.write_str(
                "it was so at the first look, perhaps for long: it counts only if you say that it \
                 had just come",
            ),
            Self::TooCold => f.write_str("it stood too cold for a while: it teaches nothing"),
            Self::Unusable(why) => write!(f, "{why}"),
        }
    }
}

/// What the findings of a tin teach.
#[derive(Clone, Debug)]
pub struct Study {
    /// Each finding, in order of time.
    pub evidence: Vec<Evidence>,
    /// The engine's result.
    pub learnt: Learnt,
    /// How many findings count.
    pub counted: u32,
    /// "gel coat".
    short: &'static str,
}

impl Study {
    /// What was learned, in words.
    pub fn words(&self) -> String {
        told(self.short, &self.learnt.belief(), self.counted)
    }

    /// Whether it differs from what takes effect already.
    pub fn is_news(&self, tin: &Tin) -> bool {
        let known = tin.learning.as_ref().map(|learning| &learning.belief);
        self.counted > 0 && known != Some(&self.learnt.belief())
    }
}

/// A belief about a tin in words: "This gel coat runs 1.27 times slower than its
/// card here; 1.15 to 1.40 times, four times out of five."
pub fn told(short: &str, belief: &Belief, findings: u32) -> String {
    let span = belief.slowness();
    let few = match findings {
        0 => return format!("Nothing was learned of this {short} yet."),
        1 => "One finding".to_owned(),
        n => format!("{n} findings"),
    };
    let (likely, from, to, word) = if span.likely >= 1.0 {
        (span.likely, span.low, span.high, "slower")
    } else {
        (1.0 / span.likely, 1.0 / span.high, 1.0 / span.low, "faster")
    };
    let as_card = (likely * 100.0).round() == 100.0;
    let likely = match as_card {
        true => format!("This {short} runs as its card says here"),
        false => format!("This {short} runs {likely:.2} times {word} than its card here"),
    };
    format!("{likely} (four times out of five within {from:.2} to {to:.2}). {few}.")
}

/// Gathers and weighs the findings of a tin; none for a tin that is not here or
/// whose family has no times.
pub fn study(rules: &'static Rules, state: &State, id: Id) -> Option<Study> {
    let tin = state.tins.get(&id)?;
    let family = rules.family(&tin.card.family)?;
    let reset = tin.reset.unwrap_or(Instant(i64::MIN));
    let material = Material::Tin(id);
    let cures: Vec<&CureRecord> = state
        .cures
        .values()
        .filter(|cure| cure.material == material && cure.place != Place::Demo)
        .collect();
    let since = cures.iter().map(|cure| cure.started).min().unwrap_or(Instant(0));
    let climate = Climate::of(rules, state, since);
    let mut evidence = Vec::new();
    let mut sightings = Vec::new();
    for record in cures {
        let Ok(card) = Card::build(rules, family, Some(tin.card.clone()), &record.profile) else {
            continue;
        };
        if card.profile.per_ten.is_some() {
            continue;
        }
        let reference = card.law.reference();
        let temperature = climate.of_cure(record, card.profile.driver, reference).history.likely;
        let by_mass = card.speed(rules, None, record.mass);
        let least = card.limits.harden_min;
        for seen in record.seen.iter().filter(|seen| seen.seen > reset) {
            let Some(milestone) = milestone_of(card.profile, seen) else { continue };
            let Some(time) = card.times.get(milestone) else { continue };
            let not_yet = earlier_look(record, seen);
            let standing = match standing_of(seen, not_yet) {
                Standing::Counts if coldest(&temperature, record.started, seen.seen) < least => {
                    Standing::TooCold
                }
                standing => standing,
            };
            let name = record.job.and_then(|job| state.jobs.get(&job)).map(|job| job.name.as_str());
            evidence.push(Evidence {
                finding: seen.event,
                name: match name {
                    Some(job) => format!("{job} · {}", record.title),
                    None => record.title.clone(),
                },
                milestone: &card.profile.milestones.get(milestone)?.title,
                started: record.started,
                seen: seen.seen,
                standing,
                predicted: None,
                outlier: None,
            });
            sightings.push(Sighting {
                started: record.started,
                seen: seen.seen,
                not_yet,
                reference: time.spec.time.likely / by_mass,
                temperature: temperature.clone(),
                level_ratio: card.level_ratio(record.catalyst),
            });
        }
    }
    let prior = prior(rules, state, tin, family)?;
    let used: Vec<usize> =
        (0..evidence.len()).filter(|i| evidence[*i].standing == Standing::Counts).collect();
    let observations: Vec<Observation<'_>> =
        used.iter().filter_map(|index| sightings.get(*index)).map(Sighting::for_engine).collect();
    let learnt = learning::learn(&prior, &observations);
    let mut counted = 0;
    for point in learnt.points() {
        if let Some(of) = used.get(point.observation).and_then(|index| evidence.get_mut(*index)) {
            (of.predicted, of.outlier) = (Some(point.predicted), point.outlier);
            counted += 1;
        }
    }
    for (index, why) in learnt.unusable() {
        if let Some(of) = used.get(*index).and_then(|index| evidence.get_mut(*index)) {
            of.standing = Standing::Unusable(*why);
        }
    }
    Some(Study { evidence, learnt, counted, short: &family.short })
}

struct Sighting {
    started: Instant,
    seen: Instant,
    not_yet: Option<Instant>,
    reference: Minutes,
    temperature: TemperatureHistory,
    level_ratio: Option<f64>,
}

impl Sighting {
    fn for_engine(&self) -> Observation<'_> {
        Observation {
            started: self.started,
            seen: self.seen,
            not_yet: self.not_yet,
            reference: self.reference,
            temperature: &self.temperature,
            level_ratio: self.level_ratio,
        }
    }
}

/// The lowest temperature between two instants.
fn coldest(history: &TemperatureHistory, from: Instant, to: Instant) -> Celsius {
    let within = history.points().iter().filter(|(at, _)| *at > from && *at < to);
    within.map(|(_, t)| *t).fold(history.at(from).min(history.at(to)), Celsius::min)
}

/// Which milestone of a clock a finding is about.
pub(super) fn milestone_of(profile: &Profile, seen: &Seen) -> Option<usize> {
    let window = profile.windows.iter().find(|window| window.id == seen.window)?;
    let by_id = |id: &Option<String>| {
        let id = id.as_deref()?;
        profile.milestones.iter().position(|milestone| milestone.id == id)
    };
    match seen.finding {
        Finding::Ready => by_id(&window.opens),
        // In a pot gelling is the end of its window.
        Finding::Gelled if window.opens.is_none() => by_id(&window.closes),
        Finding::Gelled => {
            profile.milestones.iter().position(|m| m.word == Some(StateWord::Gelled))
        }
        Finding::NotYet { .. } | Finding::Gone | Finding::Done => None,
    }
}

/// The last look at the same window at which it was not yet so.
pub(super) fn earlier_look(record: &CureRecord, seen: &Seen) -> Option<Instant> {
    let looks = record.seen.iter().filter(|look| look.window == seen.window);
    looks
        .filter(|look| matches!(look.finding, Finding::NotYet { .. }) && look.seen < seen.seen)
        .map(|look| look.seen)
        .max()
}

pub(super) fn standing_of(seen: &Seen, not_yet: Option<Instant>) -> Standing {
    match (seen.counts, seen.finding, not_yet) {
        (Some(false), ..) => Standing::LeftOut,
        // "It has gelled" is tapped when it does.
        (Some(true), ..) | (None, Finding::Gelled, _) | (None, _, Some(_)) => Standing::Counts,
        (None, _, None) => Standing::FirstLook,
    }
}

/// What is believed of a tin before it was seen curing.
fn prior(rules: &'static Rules, state: &State, tin: &Tin, family: &Family) -> Option<Prior> {
    let profile = family.profiles.iter().find(|profile| profile.per_ten.is_none())?;
    let family = rules.family(&family.id)?;
    let card = Card::build(rules, family, Some(tin.card.clone()), &profile.id).ok()?;
    let reference = Celsius(family.reference.as_ref()?.temperature.likely);
    let former = tin.card.follows.and_then(|id| state.tins.get(&id));
    let carried = former.and_then(|tin| tin.learning.as_ref()).map(|l| l.belief.carried());
    Some(Prior {
        slowness_band: card.band(rules),
        energy: learning::energies(ends(family.per_ten.as_ref()?), reference),
        exponent: family.catalyst.as_ref().map_or(Span::exact(0.0), |c| ends(&c.exponent)),
        reference,
        carried,
    })
}

fn ends(figure: &Figure) -> Span<f64> {
    let likely = figure.likely;
    Span { low: figure.low.unwrap_or(likely), likely, high: figure.high.unwrap_or(likely) }
}

/// Lets what was learned of a tin take effect.
///
/// # Errors
/// [`Refusal::NothingLearned`] without a finding that counts.
pub fn accept(rules: &'static Rules, state: &State, tin: Id) -> Result<Body, Refusal> {
    let study = study(rules, state, tin).filter(|study| study.counted > 0);
    let study = study.ok_or(Refusal::NothingLearned)?;
    let learning = Learning { belief: study.learnt.belief(), findings: study.counted };
    Ok(Body::LearningAccepted { tin, learning })
}

/// A new batch of a tin: the same sheet with another number on it, and what it
/// starts from. What takes effect for the old batch does for the new one, with
/// some of the doubt put back.
///
/// # Errors
/// [`Refusal`] as for a new tin.
pub fn new_batch(
    rules: &'static Rules,
    state: &State,
    id: Id,
    number: &str,
) -> Result<(Body, Option<Learning>), Refusal> {
    let old = state.tins.get(&id).ok_or(Refusal::NoSuchTin)?;
    let number = number.trim();
    let card = TinCard {
        batch: (!number.is_empty()).then(|| number.to_owned()),
        follows: Some(id),
        ..old.card.clone()
    };
    let inherited = old.learning.as_ref().and_then(|learning| {
        let family = rules.family(&card.family)?;
        let new = Tin { card: card.clone(), learning: None, ..old.clone() };
        let prior = prior(rules, state, &new, family)?;
        let belief = learning::learn(&prior, &[]).belief();
        Some(Learning { belief, findings: learning.findings })
    });
    Ok((super::command::add_tin(card)?, inherited))
}
