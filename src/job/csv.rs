//! Tables for other programs: comma-separated values (RFC 4180, UTF-8) of
//! batches, readings and casts.
//!
//! Numbers stand in one unit for ever, named in the head of their column, so
//! that tables of two days can be put together. What a person typed never
//! becomes a formula in the program that opens the table.

use super::card;
use super::event::{Id, Place};
use super::sheet::CAST;
use super::state::State;
use crate::engine::decimals;
use crate::engine::quantity::Instant;
use crate::trade::model::Rules;

/// The tables: name of the file, name for a person.
pub const TABLES: [(&str, &str); 3] =
    [("batches", "Batches"), ("readings", "Readings"), ("casts", "Casts")];

/// What turns an instant into its date and time.
pub type When<'a> = &'a dyn Fn(Instant) -> String;

/// A table on the way.
struct Table(String);

impl Table {
    /// A cell in front of which a comma stands, unless it is the first.
    fn put(&mut self, text: &str) {
        if !(self.0.is_empty() || self.0.ends_with('\n')) {
            self.0.push(',');
        }
        let quoted = text.bytes().any(|byte| matches!(byte, b'"' | b',' | b'\n' | b'\r'));
        let edge = if quoted { "\"" } else { "" };
        self.0.push_str(edge);
        for letter in text.chars() {
            if letter == '"' {
                self.0.push('"');
            }
            self.0.push(letter);
        }
        self.0.push_str(edge);
    }

    /// A number, or nothing.
    fn number(&mut self, number: Option<f64>) {
        self.put(&number.map(decimals::write).unwrap_or_default());
    }

    /// What a person typed: an apostrophe keeps it from being worked out.
    fn words(&mut self, text: &str) {
        let risky = matches!(text.bytes().next(), Some(b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r'));
        if risky && decimals::read(text).is_none() {
            self.put(&["'", text].concat());
        } else {
            self.put(text);
        }
    }

    fn end(&mut self) {
        self.0.push_str("\r\n");
    }

    fn head(&mut self, names: &[&str]) {
        for name in names {
            self.put(name);
        }
    }
}

/// The table of a name; empty for one that is not there.
pub fn write(rules: &'static Rules, state: &State, which: &str, when: When<'_>) -> String {
    let mut table = Table(String::new());
    match which {
        "batches" => batches(&mut table, rules, state, when),
        "readings" => readings(&mut table, state, when),
        "casts" => casts(&mut table, state, when),
        _ => {}
    }
    table.0
}

/// The name of a job, empty without one.
fn job(state: &State, id: Option<Id>) -> &str {
    id.and_then(|id| state.jobs.get(&id)).map_or("", |job| job.name.as_str())
}

/// A line for each part of a batch.
fn batches(table: &mut Table, rules: &'static Rules, state: &State, when: When<'_>) {
    table.head(&[
        "batch",
        "mixed",
        "job",
        "stage",
        "for",
        "family",
        "tin",
        "tin batch",
        "part",
        "target g",
        "actual g",
        "catalyst %",
        "used up",
        "left g",
    ]);
    table.end();
    for batch in state.batches.values() {
        let (family, tin) = card::resolve(rules, state, &batch.material)
            .map_or_else(|_| (String::new(), None), |(family, tin)| (family.id.clone(), tin));
        for part in &batch.parts {
            table.put(&batch.id.to_string());
            table.put(&when(batch.at));
            table.words(job(state, batch.job));
            table.put(batch.stage.as_deref().unwrap_or_default());
            table.words(&batch.title);
            table.put(&family);
            table.words(tin.as_ref().map_or("", |tin| tin.name.as_str()));
            table.words(tin.as_ref().and_then(|tin| tin.batch.as_deref()).unwrap_or_default());
            table.words(&part.name);
            table.number(Some(part.target.value()));
            table.number(part.actual.map(|mass| mass.value()));
            table.number(batch.catalyst.map(|level| level.value()));
            table.put(&batch.used.map(|(used, _)| when(used)).unwrap_or_default());
            table.number(batch.used.and_then(|(_, left)| left).map(|mass| mass.value()));
            table.end();
        }
    }
}

fn readings(table: &mut Table, state: &State, when: When<'_>) {
    table.head(&[
        "reading",
        "taken",
        "place",
        "job",
        "air C",
        "humidity %",
        "surface C",
        "water C",
    ]);
    table.end();
    for reading in &state.readings {
        table.put(&reading.id.to_string());
        table.put(&when(reading.taken));
        table.put(match reading.place {
            Place::Bench => "bench",
            Place::Cabinet => "cabinet",
            Place::Outside => "outside",
            Place::Demo => "demo",
        });
        table.words(job(state, reading.job));
        table.number(reading.air.map(|t| t.value()));
        table.number(reading.humidity.map(|h| h.value()));
        table.number(reading.surface.map(|t| t.value()));
        table.number(reading.water.map(|t| t.value()));
        table.end();
    }
}

/// A line for each cast, with a column for each field that any cast's card has.
fn casts(table: &mut Table, state: &State, when: When<'_>) {
    let entries = |id: Id| state.sheets.get(&(Some(id), CAST.to_owned()));
    let casts = || state.record.casts.iter();
    let mut fields: Vec<&str> = Vec::new();
    for field in casts().filter_map(|(id, _)| entries(*id)).flat_map(|entries| entries.keys()) {
        if !fields.contains(&field.as_str()) {
            fields.push(field);
        }
    }
    table.head(&["cast", "made", "mould", "number", "job"]);
    for field in &fields {
        table.words(field);
    }
    table.end();
    for (id, cast) in casts() {
        table.put(&id.to_string());
        table.put(&when(cast.made));
        let mould = state.record.moulds.get(&cast.mould);
        table.words(mould.map_or("", |mould| mould.name.as_str()));
        table.number(Some(cast.number.into()));
        table.words(job(state, cast.job));
        for field in &fields {
            let entry = entries(*id).and_then(|entries| entries.get(*field));
            table.words(entry.map_or("", String::as_str));
        }
        table.end();
    }
}
