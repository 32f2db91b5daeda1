//! Rows in words.

use super::took::took;
use super::{Looker, Row, Thing, To};
use crate::engine::quantity::Celsius;
use crate::engine::units::{show_mass, show_minutes, show_percent, show_temperature};

impl<'s> Looker<'s> {
    /// A thing in words.
    pub(super) fn row(&self, thing: Thing<'s>) -> Row {
        let units = &self.state.settings.units;
        let degrees = |t| show_temperature(t, units.temperature);
        let (text, facts) = match thing {
            Thing::Batch(batch) => {
                let level = batch.catalyst.map(|level| [", ", &show_percent(level)].concat());
                let (mass, name) =
                    (show_mass(batch.weighed(), units.mass), self.name(&batch.material));
                (batch.title.clone(), format!("{mass} {name}{}", level.unwrap_or_default()))
            }
            Thing::Cure(cure) => {
                let mut facts = vec![self.name(&cure.material)];
                facts.extend(took(self, cure).into_iter().map(|took| {
                    let at = took.temperature.map(|t| format!(" at {}", degrees(t)));
                    let time = show_minutes(took.time);
                    format!("{} after {time}{}", took.milestone, at.unwrap_or_default())
                }));
                (cure.title.clone(), facts.join(", "))
            }
            Thing::Cast(id, cast) => {
                let facts: Vec<String> = self
                    .sheet(id)
                    .map(|(field, entry)| [field, " ", self.entry(field, entry)].concat())
                    .collect();
                (format!("{}, cast {}", self.mould_name(cast), cast.number), facts.join(", "))
            }
            Thing::Note(note) => {
                (note.text.clone(), if note.open { "to be written up" } else { "" }.to_owned())
            }
            Thing::Job(job) => {
                let method = self.state.method(self.rules, &job.method);
                ("Job opened".to_owned(), method.map_or("", |method| &method.title).to_owned())
            }
            Thing::Stage(job, stage, _) => (self.stage_title(job, stage), "stage done".to_owned()),
            Thing::Reading(reading) => {
                let of =
                    |name: &str, t: Option<Celsius>| t.map(|t| format!("{name} {}", degrees(t)));
                let parts = [
                    of("air", reading.air),
                    of("surface", reading.surface),
                    of("water", reading.water),
                    reading.humidity.map(show_percent),
                ];
                let parts: Vec<String> = parts.into_iter().flatten().collect();
                ("Reading".to_owned(), parts.join(", "))
            }
        };
        let to = match (thing, thing.job(), thing.stage()) {
            (Thing::Cure(cure), ..) => To::Cure(cure.id),
            (Thing::Cast(id, _), ..) => To::Cast(id),
            (Thing::Reading(_), ..) => To::Readings,
            (_, Some(job), Some(stage)) => To::Stage(job, stage.to_owned()),
            (_, Some(job), None) => To::Job(job),
            _ => To::Nowhere,
        };
        let job = self.job_name(thing).to_owned();
        Row { at: thing.at(), kind: thing.kind(), text, facts, job, to }
    }
}
