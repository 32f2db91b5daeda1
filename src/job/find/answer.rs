//! Seven questions that a record must answer (trade reference, 7.3), each out of
//! what the filter leaves in. An answer is a few lines; the rows stand below.

use crate::engine::quantity::{Instant, Minutes};
use crate::engine::sorting::{sort_by, sort_by_key};
use crate::engine::units::{show_mass, show_minutes, show_percent, show_temperature};
use crate::job::event::{Id, Material};
use crate::job::state::{CureRecord, Job, State};
use crate::job::{amount, command, cost, stage, used};
use crate::trade::model::{Kind as Stuff, Rules};
use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::took::{Took, middle, took};
use super::{Filter, Kind, Looker, Thing, within};

/// How many jobs are looked through where each takes real work.
const MOST_JOBS: usize = 20;

/// A question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// How long does it take at some temperature?
    Took,
    /// How much was needed against the estimate?
    Used,
    /// How many casts, and what stopped it?
    Casts,
    /// Which bag is slow?
    Slow,
    /// Where was I at some time?
    Where,
    /// What did we put on the original?
    Put,
    /// What did a cast cost?
    Cost,
}

impl Question {
    /// All, with what stands on their keys.
    pub const ALL: [(Question, &'static str); 7] = [
        (Question::Took, "How long at a temperature?"),
        (Question::Used, "How much was really needed?"),
        (Question::Casts, "How many casts, what stopped it?"),
        (Question::Slow, "Which bag is slow?"),
        (Question::Where, "Where was I?"),
        (Question::Put, "What is on the original?"),
        (Question::Cost, "What did a cast cost?"),
    ];

    /// The kind of rows that belong to it.
    pub fn kind(self) -> Option<Kind> {
        match self {
            Self::Took | Self::Slow => Some(Kind::Cure),
            Self::Used => Some(Kind::Batch),
            Self::Casts => Some(Kind::Cast),
            Self::Where => None,
            Self::Put | Self::Cost => Some(Kind::Job),
        }
    }
}

/// A line of an answer, with its instant where it has one.
pub type Line = (Option<Instant>, String);

/// Answers a question from what the filter leaves in.
pub fn answer(
    question: Question,
    rules: &'static Rules,
    state: &State,
    filter: &Filter,
) -> Vec<Line> {
    let look = Looker { rules, state };
    let mut lines = match question {
        Question::Took => times(&look, filter),
        Question::Used => needed(&look, filter),
        Question::Casts => casts(&look, filter),
        Question::Slow => slow(&look, filter),
        Question::Where => whereabouts(&look, filter),
        Question::Put => put_on(&look, filter),
        Question::Cost => costs(&look, filter),
    };
    if lines.is_empty() {
        let nothing = match question {
            Question::Took => {
                "No time is on record for that. Note “gelled” or “ready” at the clock."
            }
            Question::Used => "No batch is held against its plan yet: finish its stage.",
            Question::Casts => "No cast is on record for that.",
            Question::Slow => "No finding of a tin is on record for that.",
            Question::Where => "Nothing was ticked before that.",
            Question::Put => "No sealer or release is on record for that job.",
            Question::Cost => {
                "No price is noted yet. Note it at the tin, and casts on the buying list."
            }
        };
        lines.push((None, nothing.to_owned()));
    }
    lines
}

fn said(text: String) -> Line {
    (None, text)
}

/// Real cures that fit, with what was seen of them.
fn seen<'s>(look: &Looker<'s>, filter: &Filter) -> Vec<(&'s CureRecord, Took)> {
    let filter = Filter { near: None, kind: Some(Kind::Cure), ..filter.clone() };
    let things = look.things(&filter).into_iter();
    let cures = things.filter_map(|thing| match thing {
        Thing::Cure(cure) => Some(cure),
        _ => None,
    });
    let all = cures.flat_map(|cure| took(look, cure).into_iter().map(move |took| (cure, took)));
    all.filter(|(_, took)| took.counts).collect()
}

/// Numbers by name, in the order in which the names come up.
fn gather<K: PartialEq>(groups: &mut Vec<(K, Vec<f64>)>, key: K, number: f64) {
    match groups.iter_mut().find(|(other, _)| *other == key) {
        Some((_, numbers)) => numbers.push(number),
        None => groups.push((key, vec![number])),
    }
}

fn times(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let mut groups = Vec::new();
    for (_, took) in seen(look, filter) {
        let fits = |near| took.temperature.is_some_and(|t| within(t, near));
        if filter.near.is_none_or(fits) {
            gather(&mut groups, format!("{}, {}", took.clock, took.milestone), took.time.value());
        }
    }
    let unit = look.state.settings.units.temperature;
    let near = filter.near.map(|near| format!(" at about {}", show_temperature(near, unit)));
    let near = near.unwrap_or_default();
    let line = |(name, mut times): (String, Vec<f64>)| {
        sort_by(&mut times, f64::total_cmp);
        let show = |time: f64| show_minutes(Minutes(time));
        let ends = (times.first().copied().unwrap_or(0.0), times.last().copied().unwrap_or(0.0));
        said(match times.len() {
            1 => format!("{name}{near}: once, {}.", show(ends.0)),
            n => format!(
                "{name}{near}: {n} times. Shortest {}, middle {}, longest {}.",
                show(ends.0),
                show(middle(&times)),
                show(ends.1)
            ),
        })
    };
    groups.into_iter().map(line).collect()
}

fn slow(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let mut groups: Vec<(Id, Vec<f64>)> = Vec::new();
    for (cure, took) in seen(look, filter) {
        let plaster = look.family(&cure.material).is_some_and(|f| f.kind == Stuff::Gypsum);
        if let (Material::Tin(tin), Some(slowness)) = (&cure.material, took.slowness)
            && (filter.material.is_some() || plaster)
        {
            gather(&mut groups, *tin, slowness);
        }
    }
    let mut all: Vec<(f64, String)> = Vec::new();
    for (tin, mut numbers) in groups {
        sort_by(&mut numbers, f64::total_cmp);
        let slowness = middle(&numbers);
        let card = look.state.tins.get(&tin).map(|tin| &tin.card);
        let batch =
            card.and_then(|card| card.batch.as_ref()).map(|batch| format!(", batch {batch}"));
        let name = card.map_or("", |card| &card.name);
        let (times, word) =
            if slowness >= 1.0 { (slowness, "slower") } else { (1.0 / slowness, "faster") };
        let findings = numbers.len();
        let text = format!(
            "{name}{}: {times:.2} times {word} than its card (middle of {findings}).",
            batch.unwrap_or_default()
        );
        all.push((slowness, text));
    }
    sort_by(&mut all, |a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, text)| said(text)).collect()
}

/// Jobs whose names have all words, last touched first.
fn jobs<'s>(look: &Looker<'s>, filter: &Filter) -> Vec<&'s Job> {
    let words: Vec<String> = filter.text.split_whitespace().map(str::to_ascii_lowercase).collect();
    let mut jobs = look.state.open_jobs();
    jobs.retain(|job| {
        let name = job.name.to_ascii_lowercase();
        words.iter().all(|word| name.contains(word.as_str()))
    });
    jobs
}

fn needed(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let mass = |mass| show_mass(mass, look.state.settings.units.mass);
    let wanted = |material: &Material| match &filter.material {
        Some(wanted) => look.is(material, wanted),
        None => look.family(material).is_some_and(|family| family.kind == Stuff::Silicone),
    };
    let batches = look.state.batches.values().filter(|batch| wanted(&batch.material));
    let with_any: BTreeSet<Id> = batches.filter_map(|batch| batch.job).collect();
    let jobs = jobs(look, filter).into_iter().filter(|job| with_any.contains(&job.id));
    for job in jobs.take(MOST_JOBS) {
        let mut lines = Vec::new();
        for used in used::of_job(look.rules, look.state, job.id) {
            if !wanted(&used.material) {
                continue;
            }
            let loss = |loss: Option<_>| loss.map_or("unknown".to_owned(), show_percent);
            lines.push(said(format!(
                "{}, {}: {} planned, {} really used. Loss {} planned, {} real.",
                job.name,
                look.name(&used.material),
                mass(used.planned),
                mass(used.used()),
                loss(used.planned_loss()),
                loss(used.real_loss()),
            )));
        }
        if !lines.is_empty() {
            return lines;
        }
    }
    Vec::new()
}

fn casts(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut moulds: Vec<(Id, Vec<Id>)> = Vec::new();
    for thing in look.things(&Filter { kind: Some(Kind::Cast), ..filter.clone() }) {
        let Thing::Cast(id, cast) = thing else { continue };
        match moulds.iter_mut().find(|(mould, _)| *mould == cast.mould) {
            Some((_, casts)) => casts.push(id),
            None => moulds.push((cast.mould, vec![id])),
        }
    }
    for (id, casts) in moulds {
        let Some(mould) = look.state.record.moulds.get(&id) else { continue };
        // How often each verdict and each fault was given.
        let mut counts: Vec<(String, Vec<f64>)> = Vec::new();
        for (field, entry) in casts.iter().flat_map(|cast| look.sheet(*cast)) {
            if matches!(field.as_str(), "verdict" | "fault") {
                gather(&mut counts, format!("{field} {entry}"), 1.0);
            }
        }
        let counts: Vec<String> =
            counts.into_iter().map(|(what, all)| format!("{what}: {}", all.len())).collect();
        let text = format!("{}: {} casts. {}", mould.name, casts.len(), counts.join(", "));
        lines.push(said(text.trim_end().to_owned()));
        lines.push(match &mould.retired {
            Some((at, reason)) => (Some(*at), format!("Given up: {reason}")),
            None => said("Still in use.".to_owned()),
        });
    }
    lines
}

/// What was done last before the end of the filter's time, and what ran then.
fn whereabouts(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let until = filter.until.unwrap_or(Instant(i64::MAX));
    let mut last: Option<(Instant, &Job, &str)> = None;
    for job in jobs(look, filter) {
        let ticks = job.answers.iter().map(|((stage, _), answer)| (answer.at, stage.as_str()));
        let done = job.finished.iter().map(|(stage, done)| (done.at, stage.as_str()));
        for (at, stage) in ticks.chain(done) {
            if at <= until && last.is_none_or(|(other, ..)| other < at) {
                last = Some((at, job, stage));
            }
        }
    }
    let mut lines: Vec<Line> = Vec::new();
    lines.extend(last.map(|(at, job, stage)| {
        (Some(at), format!("{}: {}", job.name, look.stage_title(job, stage)))
    }));
    for cure in look.state.cures.values() {
        let over = cure.ended.is_some_and(|(_, at)| at <= until);
        let day = until.since(cure.started) < Minutes(24.0 * 60.0);
        let hidden =
            cure.job.and_then(|job| look.state.jobs.get(&job)).is_some_and(|j| j.discarded);
        if filter.until.is_some() && cure.started <= until && !over && day && !hidden {
            lines.push((Some(cure.started), format!("Running: {}", cure.title)));
        }
    }
    lines
}

fn put_on(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let (rules, state) = (look.rules, look.state);
    for job in jobs(look, filter) {
        let Some(method) = state.method(rules, &job.method) else { continue };
        let mut lines: Vec<Line> = Vec::new();
        for (id, done) in &job.finished {
            let Ok(at) = command::at(rules, state, job.id, id) else { continue };
            for used in stage::materials(method, job, at.stage) {
                let Some(material) = amount::material(&at, used) else { continue };
                let family = look.family(&material);
                if family.is_some_and(|f| matches!(f.kind, Stuff::Sealer | Stuff::Release)) {
                    let text =
                        format!("{}: {}, at “{}”", job.name, look.name(&material), at.stage.title);
                    lines.push((Some(done.at), text));
                }
            }
        }
        if !lines.is_empty() {
            sort_by_key(&mut lines, |(at, _)| Reverse(*at));
            return lines;
        }
    }
    Vec::new()
}

fn costs(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let jobs: Vec<Id> = jobs(look, filter).into_iter().take(MOST_JOBS).map(|job| job.id).collect();
    let jobs =
        if filter.text.trim().is_empty() { jobs.into_iter().take(1).collect() } else { jobs };
    let of = jobs.iter().find(|job| cost::casts(look.state, Some(**job)).value.is_some());
    let costs = cost::costs(look.rules, look.state, of.copied(), &jobs);
    let mut lines: Vec<Line> = Vec::new();
    for cost in &costs.costs {
        lines.push(said(format!("{}: {:.2}.", cost.text, cost.money.value())));
    }
    if !lines.is_empty() && !costs.unpriced.is_empty() {
        lines.push(said(format!("No price is noted of: {}.", costs.unpriced.join(", "))));
    }
    if !lines.is_empty() && costs.incomplete {
        lines.push(said("Not everything is measured: see the buying list.".to_owned()));
    }
    lines
}
