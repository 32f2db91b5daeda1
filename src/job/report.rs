//! The report of a job: what its journal says, in the order in which a client
//! reads it. Plain sections of rows, so that one component shows and prints
//! them all. It tells what was done and seen; it judges nothing.

use super::buying::What;
use super::card;
use super::event::{Ending, Finding, Id, Material};
use super::stage;
use super::state::{Job, Reading, State};
use super::used;
use crate::engine::quantity::{Grams, Instant, Minutes};
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

/// Readings this long before and after a job belong to it.
const AROUND: Minutes = Minutes(24.0 * 60.0);

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

    // A row grows piece by piece, so that hardly any text is made only to be copied.

    /// Begins a row; what is said of it follows.
    #[inline(never)]
    fn row(&mut self, what: &str) {
        if let Some(section) = self.sections.last_mut() {
            section.rows.push((what.to_owned(), String::new()));
        }
    }

    /// A row that is named by a thing and its moment.
    fn row_at(&mut self, what: &str, at: Instant) {
        self.row(&[what, ", ", &(self.say.when)(at)].concat());
    }

    /// Says something of the row, behind what was said before.
    #[inline(never)]
    fn add(&mut self, text: &str) {
        let row = self.sections.last_mut().and_then(|section| section.rows.last_mut());
        if let Some((_, said)) = row {
            said.push_str(text);
        }
    }

    /// Says something new of the row.
    #[inline(never)]
    fn part(&mut self, text: &str) {
        let row = self.sections.last().and_then(|section| section.rows.last());
        if row.is_some_and(|(_, said)| !said.is_empty()) && !text.is_empty() {
            self.add("; ");
        }
        self.add(text);
    }

    #[inline(never)]
    fn when(&mut self, words: &str, at: Instant) {
        let when = (self.say.when)(at);
        self.part(words);
        match words {
            "" => self.part(&when),
            _ => self.add(&when),
        }
    }

    #[inline(never)]
    fn value(&mut self, words: &str, dimension: Dimension, value: f64) {
        let value = (self.say.value)(dimension, value);
        self.add(words);
        self.add(&value);
    }

    fn mass(&mut self, words: &str, mass: Grams) {
        self.value(words, Dimension::Mass, mass.value());
    }

    /// A material, with the number on its tin.
    #[inline(never)]
    fn material(&mut self, material: &Material) {
        let name = What::Material(material.clone()).name(self.rules, self.state);
        self.part(&name);
        if let Ok((family, Some(tin))) = card::resolve(self.rules, self.state, material) {
            for text in [" (", &family.title, ")"] {
                self.add(text);
            }
            if let Some(batch) = tin.batch {
                self.add(", batch ");
                self.add(&batch);
            }
        }
    }

    fn stage_title(&self, stage: Option<&String>) -> &'static str {
        let method = self.state.method(self.rules, &self.job.method);
        let found = method.zip(stage).and_then(|(m, id)| m.stages.iter().find(|s| &s.id == id));
        found.map_or("", |stage| stage.title.as_str())
    }

    fn head(&mut self) {
        let job = self.job;
        let method = self.state.method(self.rules, &job.method);
        self.section("The job");
        if job.invented {
            self.row("Mind");
            self.add("Invented, for the demo");
        }
        self.row("Method");
        self.add(method.map_or(&job.method, |method| &method.title));
        self.row("Opened");
        self.when("", job.opened);
        self.row("Last entry");
        self.when("", job.touched);
        let Some(method) = method else { return };
        for switch in &method.switches {
            let chosen = job.switches.get(&switch.id).unwrap_or(&switch.default);
            let option = switch.options.iter().find(|option| &option.id == chosen);
            self.row(&switch.title);
            self.add(option.map_or(chosen, |option| &option.title));
        }
        self.section("Materials");
        for role in &method.roles {
            if let Some(material) = stage::material(method, job, Some(&role.id), None) {
                self.row(&role.title);
                self.material(&material);
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
                self.row("Begun before its time");
                self.part(over.reason.as_deref().unwrap_or_default());
                self.when("", over.at);
            }
            for check in stage::checks(method, job, one) {
                let Some(answer) = job.answers.get(&(one.id.clone(), check.id.clone())) else {
                    continue;
                };
                self.row(&check.text);
                match &answer.waived {
                    Some(reason) => {
                        self.add("Not done: ");
                        self.add(reason);
                    }
                    None => self.add("done"),
                }
                for id in check.ask.iter().filter(|_| answer.waived.is_none()) {
                    let measure = method.measures.iter().find(|measure| &measure.id == id);
                    if let Some((measure, value)) = measure.zip(job.measures.get(id)) {
                        self.part(&measure.title);
                        self.value(" ", measure.dimension, *value);
                    }
                }
                self.when("", answer.at);
            }
            if let Some(done) = job.finished.get(&one.id) {
                self.row("Finished");
                self.when("", done.at);
            }
        }
    }

    fn batches(&mut self) {
        self.section("Batches");
        let state = self.state;
        for batch in state.batches.values().filter(|batch| batch.job == Some(self.job.id)) {
            let stage = self.stage_title(batch.stage.as_ref());
            let title = if batch.title.is_empty() { stage } else { &batch.title };
            self.row_at(title, batch.at);
            self.material(&batch.material);
            for (number, part) in batch.parts.iter().enumerate() {
                match number {
                    0 => self.part(&part.name),
                    _ => {
                        self.add(", ");
                        self.add(&part.name);
                    }
                }
                match part.actual {
                    Some(actual) => self.mass(" ", actual),
                    None => self.add(" not noted"),
                }
                self.mass(" (aimed at ", part.target);
                self.add(")");
            }
            if let Some(level) = batch.catalyst {
                self.part("catalyst ");
                self.value("", Dimension::Percent, level.value());
            }
            if let Some((_, Some(left))) = batch.used {
                self.part("left over ");
                self.mass("", left);
            }
        }
    }

    fn cures(&mut self) {
        self.section("Cures and what was found");
        let state = self.state;
        for cure in state.cures.values().filter(|cure| cure.job == Some(self.job.id)) {
            self.row_at(&cure.title, cure.started);
            self.material(&cure.material);
            for seen in &cure.seen {
                self.part(&seen.window);
                self.add(match seen.finding {
                    Finding::Gelled => " gelled ",
                    Finding::Ready => " ready ",
                    Finding::NotYet { .. } => " not yet ",
                    Finding::Gone => " too late ",
                    Finding::Done => " done ",
                });
                self.add(&(self.say.when)(seen.seen));
            }
            if let Some((Ending::ThrownAway, at)) = cure.ended {
                self.when("thrown away ", at);
            }
            if let Some(reason) = &cure.reason {
                self.part("in spite of a stop: ");
                self.add(reason);
            }
        }
    }

    /// Least and greatest of what was read where the job is, while it went on: the
    /// room is often read before the job is opened, and after its last entry.
    fn readings(&mut self) {
        self.section("The shop meanwhile");
        let kinds: [(&str, Dimension, Pick); 4] = [
            ("Air", Dimension::Temperature, |r| r.air.map(|t| t.value())),
            ("Humidity", Dimension::Percent, |r| r.humidity.map(|h| h.value())),
            ("Surface", Dimension::Temperature, |r| r.surface.map(|t| t.value())),
            ("Mixing water", Dimension::Temperature, |r| r.water.map(|t| t.value())),
        ];
        let (state, job) = (self.state, self.job);
        for (name, dimension, pick) in kinds {
            let (mut least, mut most, mut count) = (f64::MAX, f64::MIN, 0_u32);
            for reading in &state.readings {
                let here = reading.place == job.place
                    && reading.taken >= job.opened - AROUND
                    && reading.taken <= job.touched + AROUND
                    && (reading.job.is_none() || reading.job == Some(job.id));
                if let Some(value) = pick(reading).filter(|_| here) {
                    (least, most) = (least.min(value), most.max(value));
                    count += 1;
                }
            }
            if count > 0 {
                self.row(name);
                self.value("", dimension, least);
                self.value(" to ", dimension, most);
                self.part(&count.to_string());
                self.add(" read");
            }
        }
    }

    fn used(&mut self) {
        self.section("Planned and used");
        for one in used::of_job(self.rules, self.state, self.job.id) {
            let name = What::Material(one.material.clone()).name(self.rules, self.state);
            self.row(&name);
            self.mass("planned ", one.planned);
            self.mass("; used ", one.used());
            if let Some(loss) = one.real_loss() {
                self.value("; loss ", Dimension::Percent, loss.value());
            }
        }
    }

    /// What stays besides: moulds and casts, notes, photographs.
    fn record(&mut self) {
        let (record, job) = (&self.state.record, Some(self.job.id));
        self.section("Moulds and casts");
        for mould in record.moulds.values().filter(|mould| mould.job == job) {
            self.row(&mould.name);
            self.when("mould, ", mould.made);
        }
        for cast in record.casts.values().filter(|cast| cast.job == job) {
            self.row(&["Cast ", &cast.number.to_string()].concat());
            self.part(record.moulds.get(&cast.mould).map_or("", |mould| &mould.name));
            self.when("", cast.made);
        }
        self.section("Notes");
        for note in record.notes.values().filter(|note| note.about.job == job) {
            self.row("Note");
            self.add(&note.text);
            self.when("", note.written);
        }
        self.section("Photographs");
        for photo in record.photos.values().filter(|photo| photo.about.job == job) {
            self.row(self.stage_title(photo.about.stage.as_ref()));
            self.when("", photo.taken);
            self.part(&photo.moment);
            self.part(&photo.caption);
        }
    }
}
