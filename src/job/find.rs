//! Looking things up in the record: rows of plain data out of the whole state.
//!
//! What a row says is only put into words once it is known to be shown. Until
//! then thousands of them are looked through by what is there already.

use crate::engine::quantity::{Celsius, Instant, Kelvins, Minutes};
use crate::engine::sorting::sort_by_key;
use crate::trade::model::{Driver, Family, Rules};
use std::cmp::Reverse;

use super::card;
use super::event::{Id, Material, Place};
use super::record::{Cast, Note};
use super::state::{Batch, CureRecord, Job, Marked, Reading, State};
pub mod answer;
mod row;
pub mod took;

/// How far from the wanted temperature something still counts as "at" it.
pub const BAND: Kelvins = Kelvins(2.0);

/// What kind of thing a row is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A batch that was mixed.
    Batch,
    /// A clock.
    Cure,
    /// A cast.
    Cast,
    /// A note.
    Note,
    /// A job that was opened, or a stage of it that was finished.
    Job,
    /// A reading.
    Reading,
}

impl Kind {
    /// All, with the names of their keys.
    pub const ALL: [(Kind, &'static str); 6] = [
        (Kind::Batch, "Batches"),
        (Kind::Cure, "Cures"),
        (Kind::Cast, "Casts"),
        (Kind::Note, "Notes"),
        (Kind::Job, "Jobs"),
        (Kind::Reading, "Readings"),
    ];
}

/// What is looked for. Everything that is left open fits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    /// Words that must all stand in a row or in the name of its job.
    pub text: String,
    /// The kind of row.
    pub kind: Option<Kind>,
    /// The material: a tin, or a family with all its tins.
    pub material: Option<Material>,
    /// About this temperature ([`BAND`]).
    pub near: Option<Celsius>,
    /// Not before.
    pub from: Option<Instant>,
    /// Not after.
    pub until: Option<Instant>,
}

/// Where a row leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum To {
    /// A job.
    Job(Id),
    /// A stage of a job.
    Stage(Id, String),
    /// A clock.
    Cure(Id),
    /// A cast.
    Cast(Id),
    /// The readings.
    Readings,
    /// Nowhere: it belongs to nothing that has a page.
    Nowhere,
}

/// One line of what was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// When.
    pub at: Instant,
    /// What kind of thing.
    pub kind: Kind,
    /// What it is.
    pub text: String,
    /// What is known of it, in a line.
    pub facts: String,
    /// Name of its job, if any.
    pub job: String,
    /// Where it leads.
    pub to: To,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The newest of it.
    pub rows: Vec<Row>,
    /// How many there are in all.
    pub all: usize,
}

/// Something in the state that can be a row.
#[derive(Clone, Copy)]
enum Thing<'s> {
    Batch(&'s Batch),
    Cure(&'s CureRecord),
    Cast(Id, &'s Cast),
    Note(&'s Note),
    Job(&'s Job),
    Stage(&'s Job, &'s str, &'s Marked),
    Reading(&'s Reading),
}

impl<'s> Thing<'s> {
    fn at(self) -> Instant {
        match self {
            Self::Batch(batch) => batch.at,
            Self::Cure(cure) => cure.started,
            Self::Cast(_, cast) => cast.made,
            Self::Note(note) => note.written,
            Self::Job(job) => job.opened,
            Self::Stage(_, _, done) => done.at,
            Self::Reading(reading) => reading.taken,
        }
    }

    fn kind(self) -> Kind {
        match self {
            Self::Batch(_) => Kind::Batch,
            Self::Cure(_) => Kind::Cure,
            Self::Cast(..) => Kind::Cast,
            Self::Note(_) => Kind::Note,
            Self::Job(_) | Self::Stage(..) => Kind::Job,
            Self::Reading(_) => Kind::Reading,
        }
    }

    fn job(self) -> Option<Id> {
        match self {
            Self::Batch(batch) => batch.job,
            Self::Cure(cure) => cure.job,
            Self::Cast(_, cast) => cast.job,
            Self::Note(note) => note.about.job,
            Self::Job(job) | Self::Stage(job, ..) => Some(job.id),
            Self::Reading(reading) => reading.job,
        }
    }

    fn stage(self) -> Option<&'s str> {
        match self {
            Self::Batch(batch) => batch.stage.as_deref(),
            Self::Note(note) => note.about.stage.as_deref(),
            Self::Stage(_, stage, _) => Some(stage),
            _ => None,
        }
    }

    fn material(self) -> Option<&'s Material> {
        match self {
            Self::Batch(batch) => Some(&batch.material),
            Self::Cure(cure) => Some(&cure.material),
            _ => None,
        }
    }
}

/// Where it is looked.
pub(super) struct Looker<'s> {
    pub rules: &'static Rules,
    pub state: &'s State,
}

/// Looks through the record; gives the newest rows, at most so many.
pub fn find(rules: &'static Rules, state: &State, filter: &Filter, most: usize) -> Found {
    let look = Looker { rules, state };
    let mut things = look.things(filter);
    sort_by_key(&mut things, |thing| Reverse(thing.at()));
    let rows = things.iter().take(most).map(|thing| look.row(*thing)).collect();
    Found { rows, all: things.len() }
}

impl<'s> Looker<'s> {
    /// Everything that fits.
    fn things(&self, filter: &Filter) -> Vec<Thing<'s>> {
        let state = self.state;
        let words = words(&filter.text);
        let (mut found, mut said) = (Vec::new(), String::new());
        let mut look = |thing: Thing<'s>| {
            if self.fits(thing, filter) && self.says(thing, &words, &mut said) {
                found.push(thing);
            }
        };
        state.batches.values().for_each(|batch| look(Thing::Batch(batch)));
        state.cures.values().for_each(|cure| look(Thing::Cure(cure)));
        state.record.casts.iter().for_each(|(id, cast)| look(Thing::Cast(*id, cast)));
        state.record.notes.values().for_each(|note| look(Thing::Note(note)));
        for job in state.jobs.values() {
            look(Thing::Job(job));
            job.finished.iter().for_each(|(stage, done)| look(Thing::Stage(job, stage, done)));
        }
        state.readings.iter().for_each(|reading| look(Thing::Reading(reading)));
        found
    }

    fn fits(&self, thing: Thing<'s>, filter: &Filter) -> bool {
        let at = thing.at();
        let job = thing.job().and_then(|job| self.state.jobs.get(&job));
        filter.kind.is_none_or(|kind| kind == thing.kind())
            && filter.from.is_none_or(|from| at >= from)
            && filter.until.is_none_or(|until| at <= until)
            && !job.is_some_and(|job| job.discarded)
            && filter.material.as_ref().is_none_or(|wanted| {
                thing.material().is_some_and(|material| self.is(material, wanted))
            })
            && filter
                .near
                .is_none_or(|near| self.temperature(thing).is_some_and(|t| within(t, near)))
    }

    /// Whether a material is the wanted tin, or of the wanted family.
    pub fn is(&self, material: &Material, wanted: &Material) -> bool {
        let family = |material| self.family(material).map(|family| &family.id);
        match wanted {
            Material::Tin(_) => material == wanted,
            Material::Family(id) => family(material) == Some(id),
        }
    }

    /// The family of a material.
    pub fn family(&self, material: &Material) -> Option<&'static Family> {
        self.rules.family(match material {
            Material::Family(id) => id,
            Material::Tin(id) => &self.state.tins.get(id)?.card.family,
        })
    }

    /// Whether all words stand in what a thing says of itself.
    fn says(&self, thing: Thing<'s>, words: &[String], said: &mut String) -> bool {
        if words.is_empty() {
            return true;
        }
        said.clear();
        let mut say = |text: &str| {
            said.push('\n');
            said.push_str(text);
        };
        say(self.job_name(thing));
        match thing {
            Thing::Batch(batch) => say(&batch.title),
            Thing::Cure(cure) => say(&cure.title),
            Thing::Cast(id, cast) => {
                say(self.mould_name(cast));
                self.sheet(id).for_each(|(field, entry)| say(self.entry(field, entry)));
            }
            Thing::Note(note) => say(&note.text),
            Thing::Job(_) | Thing::Reading(_) => {}
            Thing::Stage(job, stage, _) => say(&self.stage_title(job, stage)),
        }
        if let Some(material) = thing.material() {
            if let Material::Tin(tin) = material {
                say(self.state.tins.get(tin).map_or("", |tin| &tin.card.name));
            }
            say(self.family(material).map_or("", |family| &family.title));
        }
        said.make_ascii_lowercase();
        words.iter().all(|word| said.contains(word.as_str()))
    }

    fn job_name(&self, thing: Thing<'s>) -> &'s str {
        let job = thing.job().and_then(|job| self.state.jobs.get(&job));
        job.map_or("", |job| &job.name)
    }

    fn mould_name(&self, cast: &Cast) -> &'s str {
        self.state.record.moulds.get(&cast.mould).map_or("", |mould| &mould.name)
    }

    /// What the sheet of a cast says, field by field.
    pub fn sheet(&self, cast: Id) -> impl Iterator<Item = (&'s String, &'s String)> + use<'s> {
        self.state.sheets.get(&(Some(cast), "cast".to_owned())).into_iter().flatten()
    }

    /// An entry of a cast's sheet at the bench: a fault by its title.
    pub fn entry(&self, field: &str, entry: &'s str) -> &'s str {
        let number = entry.parse::<u8>().ok().filter(|_| field == "fault");
        let fault = number.and_then(|id| self.rules.faults.iter().find(|fault| fault.id == id));
        fault.map_or(entry, |fault| &fault.title)
    }

    /// Title of a job's stage.
    pub fn stage_title(&self, job: &Job, stage: &str) -> String {
        let method = self.state.method(self.rules, &job.method);
        let found = method.and_then(|method| method.stages.iter().find(|one| one.id == stage));
        found.map_or_else(|| stage.to_owned(), |stage| stage.title.clone())
    }

    /// Name of a material: the tin's, else the family's.
    pub fn name(&self, material: &Material) -> String {
        match card::resolve(self.rules, self.state, material) {
            Ok((_, Some(tin))) => tin.name,
            Ok((family, None)) => family.title.clone(),
            Err(why) => why.to_string(),
        }
    }

    /// The temperature that a thing belongs to.
    fn temperature(&self, thing: Thing<'s>) -> Option<Celsius> {
        match thing {
            Thing::Reading(reading) => reading.surface.or(reading.air),
            Thing::Batch(batch) => self.mean(Place::Bench, None, false, batch.at, batch.at),
            Thing::Cure(cure) => {
                let until = cure.seen.first().map_or(cure.started, |seen| seen.seen);
                let profile = self.family(&cure.material)?.profile(&cure.profile)?;
                self.of_cure(cure, profile.driver, until)
            }
            _ => None,
        }
    }

    /// Mean temperature of a cure until an instant.
    pub fn of_cure(&self, cure: &CureRecord, driver: Driver, until: Instant) -> Option<Celsius> {
        self.mean(cure.place, cure.job, driver == Driver::Surface, cure.started, until)
    }

    /// Mean of the readings of a place over a span, joined by straight lines; the
    /// last one holds. None where nobody read anything for two days before.
    fn mean(
        &self,
        place: Place,
        job: Option<Id>,
        surface: bool,
        from: Instant,
        until: Instant,
    ) -> Option<Celsius> {
        let readings = &self.state.readings;
        let value = |reading: &Reading| {
            let here = reading.place == place && !reading.ahead;
            let of_job = surface && (reading.job.is_none() || reading.job == job);
            let value = reading.surface.filter(|_| of_job).or(reading.air).filter(|_| here)?;
            Some((reading.taken, value.value()))
        };
        let after = readings.partition_point(|reading| reading.taken <= from);
        let before = readings.iter().take(after).rev();
        let mut last = before
            .take_while(|reading| from.since(reading.taken) < Minutes(48.0 * 60.0))
            .find_map(value)?;
        let (mut area, mut covered) = (0.0, from);
        for next in readings.iter().skip(after).filter_map(value) {
            if covered >= until {
                break;
            }
            let end = next.0.min(until);
            let slope = (next.1 - last.1) / next.0.since(last.0).value().max(1e-9);
            let at = |instant: Instant| last.1 + slope * instant.since(last.0).value();
            area += (at(covered) + at(end)) / 2.0 * end.since(covered).value();
            (covered, last) = (end, if next.0 > until { (end, at(end)) } else { next });
        }
        if covered < until {
            area += last.1 * until.since(covered).value();
        }
        let span = until.since(from).value();
        Some(Celsius(if span > 0.0 { area / span } else { last.1 }))
    }
}

/// Every material that anything was mixed or cured of, with its name: families
/// first, then tins.
pub fn materials(rules: &'static Rules, state: &State) -> Vec<(Material, String)> {
    let look = Looker { rules, state };
    let batches = state.batches.values().map(|batch| &batch.material);
    let all = batches.chain(state.cures.values().map(|cure| &cure.material));
    let mut found: Vec<(Material, String)> = Vec::new();
    for material in all {
        let family = look.family(material).map(|family| Material::Family(family.id.clone()));
        for material in family.into_iter().chain([material.clone()]) {
            if !found.iter().any(|(known, _)| *known == material) {
                let name = look.name(&material);
                found.push((material, name));
            }
        }
    }
    sort_by_key(&mut found, |(material, _)| matches!(material, Material::Tin(_)));
    found
}

/// Reads a time of day as it is typed: "10.20", "10:20", "7".
pub fn time_of_day(entry: &str) -> Option<Minutes> {
    let entry = entry.trim();
    let (hours, minutes) = entry.split_once([':', '.']).unwrap_or((entry, "0"));
    let (hours, minutes) = (hours.parse::<u8>().ok()?, minutes.parse::<u8>().ok()?);
    let day = hours < 24 && minutes < 60;
    day.then(|| Minutes(f64::from(hours) * 60.0 + f64::from(minutes)))
}

/// The words of a text, in small letters.
fn words(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_ascii_lowercase).collect()
}

/// Whether a temperature is about another.
pub(super) fn within(t: Celsius, near: Celsius) -> bool {
    t.above(near).value().abs() <= BAND.value()
}
