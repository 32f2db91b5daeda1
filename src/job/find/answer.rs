//! Seven questions that a record must answer (trade reference, 7.3), each out of
//! what the filter leaves in. An answer is a few lines; the rows stand below.

use crate::engine::quantity::{Instant, Minutes};
use crate::engine::sorting::sort_by;
use crate::engine::units::{show_mass, show_minutes, show_percent};
use crate::job::event::{Id, Material};
use crate::job::state::{CureRecord, Job, State};
use crate::job::{amount, command, cost, stage, used};
use crate::trade::model::{Kind as Stuff, Rules};

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

/// Numbers by name.
type Groups = Vec<(String, Vec<f64>)>;

/// What a time counts as, and under which name; none leaves it out.
type Counts<'c> = &'c dyn Fn(&CureRecord, Took) -> Option<(String, f64)>;

/// Puts a number to those of its name.
fn gather(groups: &mut Groups, name: String, number: f64) {
    match groups.iter_mut().find(|(other, _)| *other == name) {
        Some((_, numbers)) => numbers.push(number),
        None => groups.push((name, vec![number])),
    }
}

/// Gathers numbers of all that was seen of the cures that fit: in order within
/// their groups, and the groups by their middle, the greatest first.
fn groups(look: &Looker<'_>, filter: &Filter, counts: Counts<'_>) -> Groups {
    let filter = Filter { near: None, kind: Some(Kind::Cure), ..filter.clone() };
    let mut groups = Groups::new();
    for thing in look.things(&filter) {
        let Thing::Cure(cure) = thing else { continue };
        for took in took(look, cure) {
            if took.counts
                && let Some((name, number)) = counts(cure, took)
            {
                gather(&mut groups, name, number);
            }
        }
    }
    for (_, numbers) in &mut groups {
        sort_by(numbers, f64::total_cmp);
    }
    sort_by(&mut groups, |a, b| middle(&b.1).total_cmp(&middle(&a.1)));
    groups
}

fn times(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let fits = |took: &Took| match filter.near {
        Some(near) => took.temperature.is_some_and(|t| within(t, near)),
        None => true,
    };
    let all = groups(look, filter, &|_, took| {
        let name = || [&took.clock, ", ", took.milestone].concat();
        fits(&took).then(|| (name(), took.time.value()))
    });
    let mut lines = Vec::new();
    for (name, times) in all {
        let last = times.last().copied().unwrap_or_default();
        let [short, middle, long] =
            [times.first().copied().unwrap_or_default(), middle(&times), last]
                .map(|time| show_minutes(Minutes(time)));
        let count = times.len();
        let times = if count == 1 { "once" } else { "times" };
        lines.push(said(format!(
            "{name}: {count} {times}. Shortest {short}, middle {middle}, longest {long}."
        )));
    }
    lines
}

fn slow(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let all = groups(look, filter, &|cure, took| {
        let Material::Tin(tin) = &cure.material else { return None };
        let plaster = look.family(&cure.material)?.kind == Stuff::Gypsum;
        let card = &look.state.tins.get(tin)?.card;
        let mut name = card.name.clone();
        if let Some(batch) = &card.batch {
            name.push_str(", batch ");
            name.push_str(batch);
        }
        let asked = filter.material.is_some() || plaster;
        asked.then_some((name, took.slowness?))
    });
    let mut lines = Vec::new();
    for (name, numbers) in all {
        let slowness = middle(&numbers);
        let (times, word) =
            if slowness >= 1.0 { (slowness, "slower") } else { (1.0 / slowness, "faster") };
        let count = numbers.len();
        lines.push(said(format!(
            "{name}: {times:.2} times {word} than its card (middle of {count})."
        )));
    }
    lines
}

/// Jobs whose names have all words, last touched first.
fn jobs<'s>(look: &Looker<'s>, filter: &Filter) -> Vec<&'s Job> {
    let words = super::words(&filter.text);
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
    let mut lines = Vec::new();
    let with_any = |job: &Job| {
        let mut batches = look.state.batches.values();
        batches.any(|batch| batch.job == Some(job.id) && wanted(&batch.material))
    };
    for job in jobs(look, filter).into_iter().filter(|job| with_any(job)).take(MOST_JOBS) {
        for used in used::of_job(look.rules, look.state, job.id) {
            if wanted(&used.material) {
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
        }
        if !lines.is_empty() {
            break;
        }
    }
    lines
}

fn casts(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let casts = look.things(&Filter { kind: Some(Kind::Cast), ..filter.clone() });
    let mut lines = Vec::new();
    for (id, mould) in &look.state.record.moulds {
        // How often each verdict and each fault was given.
        let (mut counts, mut all) = (Groups::new(), 0);
        for thing in &casts {
            let Thing::Cast(cast, of) = thing else { continue };
            if of.mould != *id {
                continue;
            }
            all += 1;
            for (field, entry) in look.sheet(*cast) {
                if matches!(field.as_str(), "verdict" | "fault") {
                    gather(&mut counts, [field, " ", look.entry(field, entry)].concat(), 1.0);
                }
            }
        }
        if all == 0 {
            continue;
        }
        let mut text = format!("{}: {all} casts.", mould.name);
        for (what, times) in counts {
            text.push_str(&format!(" {what}: {}.", times.len()));
        }
        lines.push(said(text));
        lines.push(match &mould.retired {
            Some((at, reason)) => (Some(*at), ["Given up: ", reason].concat()),
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
        let mut did = |at: Instant, stage| {
            if at <= until && last.is_none_or(|(other, ..)| other < at) {
                last = Some((at, job, stage));
            }
        };
        job.answers.iter().for_each(|((stage, _), answer)| did(answer.at, stage));
        job.finished.iter().for_each(|(stage, done)| did(done.at, stage));
    }
    let mut lines: Vec<Line> = Vec::new();
    if let Some((at, job, stage)) = last {
        lines.push((Some(at), [&job.name, ": ", &look.stage_title(job, stage)].concat()));
    }
    let cures = Filter { kind: Some(Kind::Cure), until: Some(until), ..Filter::default() };
    for thing in look.things(&cures) {
        let Thing::Cure(cure) = thing else { continue };
        let over = cure.ended.is_some_and(|(_, at)| at <= until);
        if !over && until.since(cure.started) < Minutes(24.0 * 60.0) {
            lines.push((Some(cure.started), ["Running: ", &cure.title].concat()));
        }
    }
    lines
}

fn put_on(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    let (rules, state) = (look.rules, look.state);
    let mut lines: Vec<Line> = Vec::new();
    for job in jobs(look, filter) {
        for (id, done) in &job.finished {
            let Ok(at) = command::at(rules, state, job.id, id) else { continue };
            for used in stage::materials(at.method, job, at.stage) {
                let Some(material) = amount::material(&at, used) else { continue };
                let family = look.family(&material);
                if family.is_some_and(|f| matches!(f.kind, Stuff::Sealer | Stuff::Release)) {
                    let (name, title) = (look.name(&material), &at.stage.title);
                    let text = [&job.name, ": ", &name, ", at “", title, "”"].concat();
                    lines.push((Some(done.at), text));
                }
            }
        }
        if !lines.is_empty() {
            break;
        }
    }
    lines
}

fn costs(look: &Looker<'_>, filter: &Filter) -> Vec<Line> {
    // Without a word for it, it is the last job.
    let most = if filter.text.trim().is_empty() { 1 } else { MOST_JOBS };
    let jobs: Vec<Id> = jobs(look, filter).into_iter().take(most).map(|job| job.id).collect();
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
