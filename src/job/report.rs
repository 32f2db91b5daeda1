//! The report of a job: what its journal says, in the order in which a client
//! reads it. Plain sections of rows, so that one component shows and prints
//! them all. It tells what was done and seen; it judges nothing.

use super::buying::What;
use super::card;
use super::event::{Ending, Finding, Id, Material};
use super::stage;
use super::state::{Job, Reading, State};
use super::used;
use crate::engine::quantity::{Grams, Instant};
use crate::trade::model::{Dimension, Rules};

/// A part of the report.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its heading.
    pub title: String,
    /// Its rows: what or when, and what is to be said of it.
    pub rows: Vec<(String, String)>,
}

/// How the report says an instant, and a number in its stored unit.
pub struct Say<'a> {
    /// Date and time.
    pub when: &'a dyn Fn(Instant) -> String,
    /// A value of a dimension.
    pub value: &'a dyn Fn(Dimension, f64) -> String,
}

/// A number of a reading in its stored unit.
type Pick = fn(&Reading) -> Option<f64>;

/// A report on the way.
struct Report<'a> {
    rules: &'static Rules,
    state: &'a State,
    job: &'a Job,
    say: &'a Say<'a>,
    sections: Vec<Section>,
}

/// The report of a job; empty when it is not there.
pub fn of(rules: &'static Rules, state: &State, job: Id, say: &Say<'_>) -> Vec<Section> {
    let Some(job) = state.jobs.get(&job) else { return Vec::new() };
    let mut report = Report { rules, state, job, say, sections: Vec::new() };
    report.head();
    report.stages();
    report.batches();
    report.cures();
    report.readings();
    report.used();
    report.record();
    report.sections.retain(|section| !section.rows.is_empty());
    report.sections
}

impl Report<'_> {
    fn section(&mut self, title: &str) {
        self.sections.push(Section { title: title.to_owned(), rows: Vec::new() });
    }

    fn row(&mut self, what: &str, said: &[&str]) {
        if let Some(section) = self.sections.last_mut() {
            let said: Vec<&str> = said.iter().copied().filter(|part| !part.is_empty()).collect();
            section.rows.push((what.to_owned(), said.join("; ")));
        }
    }

    fn when(&self, at: Instant) -> String {
        (self.say.when)(at)
    }

    fn mass(&self, mass: Grams) -> String {
        (self.say.value)(Dimension::Mass, mass.value())
    }

    /// A material, with the number on its tin.
    fn material(&self, material: &Material) -> String {
        let name = What::Material(material.clone()).name(self.rules, self.state);
        let Ok((family, Some(tin))) = card::resolve(self.rules, self.state, material) else {
            return name;
        };
        let batch = tin.batch.map(|batch| [", batch ", &batch].concat()).unwrap_or_default();
        [&name, " (", &family.title, ")", &batch].concat()
    }

    fn stage_title(&self, stage: Option<&String>) -> String {
        let method = self.state.method(self.rules, &self.job.method);
        let found = method.zip(stage).and_then(|(m, id)| m.stages.iter().find(|s| &s.id == id));
        found.map(|stage| stage.title.clone()).unwrap_or_default()
    }

    fn head(&mut self) {
        let job = self.job;
        let method = self.state.method(self.rules, &job.method);
        self.section("The job");
        if job.invented {
            self.row("Mind", &["Invented, for the demo"]);
        }
        self.row("Method", &[method.map_or(&job.method, |method| &method.title)]);
        self.row("Opened", &[&self.when(job.opened)]);
        self.row("Last entry", &[&self.when(job.touched)]);
        let Some(method) = method else { return };
        for switch in &method.switches {
            let chosen = job.switches.get(&switch.id).unwrap_or(&switch.default);
            let option = switch.options.iter().find(|option| &option.id == chosen);
            self.row(&switch.title, &[option.map_or(chosen, |option| &option.title)]);
        }
        self.section("Materials");
        for role in &method.roles {
            if let Some(material) = stage::material(method, job, Some(&role.id), None) {
                self.row(&role.title, &[&self.material(&material)]);
            }
        }
    }

    /// Each stage that was begun, with its checks.
    fn stages(&mut self) {
        let job = self.job;
        let Some(method) = self.state.method(self.rules, &job.method) else { return };
        for one in stage::stages(method, job) {
            self.section(&one.title);
            if let Some(over) = job.overridden.get(&one.id) {
                let reason = over.reason.as_deref().unwrap_or_default();
                self.row("Begun before its time", &[reason, &self.when(over.at)]);
            }
            for check in stage::checks(method, job, one) {
                let Some(answer) = job.answers.get(&(one.id.clone(), check.id.clone())) else {
                    continue;
                };
                let mut said = match &answer.waived {
                    Some(reason) => ["Not done: ", reason].concat(),
                    None => "done".to_owned(),
                };
                for id in check.ask.iter().filter(|_| answer.waived.is_none()) {
                    let measure = method.measures.iter().find(|measure| &measure.id == id);
                    if let Some((measure, value)) = measure.zip(job.measures.get(id)) {
                        let value = (self.say.value)(measure.dimension, *value);
                        said.push_str(&["; ", &measure.title, " ", &value].concat());
                    }
                }
                self.row(&check.text, &[&said, &self.when(answer.at)]);
            }
            if let Some(done) = job.finished.get(&one.id) {
                self.row("Finished", &[&self.when(done.at)]);
            }
        }
    }

    fn batches(&mut self) {
        self.section("Batches");
        for batch in self.state.batches.values().filter(|batch| batch.job == Some(self.job.id)) {
            let mut parts = String::new();
            for part in &batch.parts {
                let actual = match part.actual {
                    Some(actual) => self.mass(actual),
                    None => "not noted".to_owned(),
                };
                let gap = if parts.is_empty() { "" } else { ", " };
                let target = self.mass(part.target);
                parts.push_str(
                    &[gap, &part.name, " ", &actual, " (aimed at ", &target, ")"].concat(),
                );
            }
            let catalyst = batch.catalyst.map(|level| {
                ["catalyst ", &(self.say.value)(Dimension::Percent, level.value())].concat()
            });
            let left = batch.used.and_then(|(_, left)| left);
            let left = left.map(|left| ["left over ", &self.mass(left)].concat());
            let stage = self.stage_title(batch.stage.as_ref());
            let of = [&batch.title, &stage].into_iter().find(|text| !text.is_empty());
            self.row(
                &[of.map_or("", |text| text.as_str()), ", ", &self.when(batch.at)].concat(),
                &[
                    &self.material(&batch.material),
                    &parts,
                    &catalyst.unwrap_or_default(),
                    &left.unwrap_or_default(),
                ],
            );
        }
    }

    fn cures(&mut self) {
        self.section("Cures and what was found");
        for cure in self.state.cures.values().filter(|cure| cure.job == Some(self.job.id)) {
            let mut said = self.material(&cure.material);
            for seen in &cure.seen {
                let found = match seen.finding {
                    Finding::Gelled => "gelled",
                    Finding::Ready => "ready",
                    Finding::NotYet { .. } => "not yet",
                    Finding::Gone => "too late",
                    Finding::Done => "done",
                };
                said.push_str(
                    &["; ", &seen.window, " ", found, " ", &self.when(seen.seen)].concat(),
                );
            }
            if let Some((Ending::ThrownAway, at)) = cure.ended {
                said.push_str(&["; thrown away ", &self.when(at)].concat());
            }
            let reason =
                cure.reason.as_ref().map(|reason| ["in spite of a stop: ", reason].concat());
            self.row(
                &[&cure.title, ", ", &self.when(cure.started)].concat(),
                &[&said, &reason.unwrap_or_default()],
            );
        }
    }

    /// Least and greatest of what was read where the job is, while it went on.
    fn readings(&mut self) {
        self.section("The shop meanwhile");
        let span = self.job.opened..=self.job.touched;
        let place = self.job.place;
        let all: Vec<&Reading> = self
            .state
            .readings
            .iter()
            .filter(|r| r.place == place && span.contains(&r.taken))
            .filter(|r| r.job.is_none_or(|job| job == self.job.id))
            .collect();
        let kinds: [(&str, Dimension, Pick); 4] = [
            ("Air", Dimension::Temperature, |r| r.air.map(|t| t.value())),
            ("Humidity", Dimension::Percent, |r| r.humidity.map(|h| h.value())),
            ("Surface", Dimension::Temperature, |r| r.surface.map(|t| t.value())),
            ("Mixing water", Dimension::Temperature, |r| r.water.map(|t| t.value())),
        ];
        for (name, dimension, pick) in kinds {
            let values: Vec<f64> = all.iter().filter_map(|reading| pick(reading)).collect();
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            if !values.is_empty() {
                let say = |value| (self.say.value)(dimension, value);
                let (least, most) = (say(least), say(most));
                let count = values.len().to_string();
                self.row(name, &[&[&least, " to ", &most].concat(), &[&count, " read"].concat()]);
            }
        }
    }

    fn used(&mut self) {
        self.section("Planned and used");
        for one in used::of_job(self.rules, self.state, self.job.id) {
            let planned = ["planned ", &self.mass(one.planned)].concat();
            let used = ["used ", &self.mass(one.used())].concat();
            let loss = one.real_loss().map(|loss| {
                ["loss ", &(self.say.value)(Dimension::Percent, loss.value())].concat()
            });
            let name = self.material(&one.material);
            self.row(&name, &[&planned, &used, &loss.unwrap_or_default()]);
        }
    }

    /// What stays besides: moulds and casts, notes, photographs.
    fn record(&mut self) {
        let (record, job) = (&self.state.record, Some(self.job.id));
        self.section("Moulds and casts");
        for mould in record.moulds.values().filter(|mould| mould.job == job) {
            self.row(&mould.name, &["mould", &self.when(mould.made)]);
        }
        for cast in record.casts.values().filter(|cast| cast.job == job) {
            let mould = record.moulds.get(&cast.mould).map_or("", |mould| &mould.name);
            let name = ["Cast ", &cast.number.to_string()].concat();
            self.row(&name, &[mould, &self.when(cast.made)]);
        }
        self.section("Notes");
        for note in record.notes.values().filter(|note| note.about.job == job) {
            self.row(&self.when(note.written), &[&note.text]);
        }
        self.section("Photographs");
        for photo in record.photos.values().filter(|photo| photo.about.job == job) {
            let stage = self.stage_title(photo.about.stage.as_ref());
            self.row(&self.when(photo.taken), &[&photo.moment, &photo.caption, &stage]);
        }
    }
}
