//! Backup: the journal as one file of our own, documented, versioned form.
//!
//! ```json
//! { "benchtide": "journal", "version": 1, "written": 1700000000000,
//!   "events": [ {"v":1,"id":"…","seq":1,"at":…,"what":"job-opened","with":{…}} ],
//!   "unread": [ "text of a record that this build could not read" ] }
//! ```
//!
//! `docs/journal.schema.json` is its schema: every kind of line with every field.
//! One job's file ([`of_job`]) has the same form and is read the same way.
//!
//! Reading a backup adds what is missing and changes nothing that is there:
//! merging is a set union by id, the same whichever way round it is done.

mod one_job;

#[cfg(test)]
mod schema_tests;

pub use one_job::of_job;

use crate::engine::json::Json;
use crate::engine::quantity::Instant;
use crate::engine::sorting::sort_by_key;
use crate::engine::stored::{Stored, put};
use crate::engine::table::Table;
use std::fmt;

use super::event::{Event, Id, Unreadable};

/// Version of the file's form.
const VERSION: u32 = 1;

/// What a backup brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Incoming {
    /// Events that are not here yet.
    pub new: Vec<Event>,
    /// How many were here already.
    pub known: usize,
    /// Records that could not be read, as text, to be kept as they are.
    pub unread: Vec<String>,
}

/// Why a file is no backup. Nothing was taken from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotABackup {
    /// Not JSON, or cut short.
    Damaged,
    /// JSON of something else.
    SomethingElse,
    /// Written by a newer version of the app.
    Newer(u32),
}

impl fmt::Display for NotABackup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Damaged => f.write_str(
                "This file is damaged or cut short. Nothing was taken from it. Try another copy.",
            ),
            Self::SomethingElse => {
                f.write_str("This file is not a backup of this app. Nothing was taken from it.")
            }
            Self::Newer(version) => write!(
                f,
                "This backup was written by a newer version (form {version}). Update the app \
                 first. Nothing was taken from it."
            ),
        }
    }
}

/// The whole journal as the text of a backup file.
pub fn write(events: &[Event], unread: &[String], now: Instant) -> String {
    let mut ordered: Vec<&Event> = events.iter().collect();
    sort_by_key(&mut ordered, |event| event.order());
    let events: Vec<String> = ordered.into_iter().map(Event::to_json).collect();
    let mut text = String::from("{");
    put("benchtide", &|out| out.push_str("\"journal\""), &mut text);
    put("version", &|out| VERSION.write(out), &mut text);
    put("written", &|out| now.write(out), &mut text);
    put("events", &|out| out.push_str(&format!("[{}]", events.join(",\n"))), &mut text);
    put("unread", &|out| unread.to_vec().write(out), &mut text);
    text.push('}');
    text
}

/// Reads a backup against what is here.
///
/// # Errors
/// [`NotABackup`] when the file as a whole can't be used.
pub fn read(text: &str, here: &[Event]) -> Result<Incoming, NotABackup> {
    let file = Json::read(text).map_err(|_| NotABackup::Damaged)?;
    match (file.get("benchtide").text(), u32::read(file.get("version"))) {
        (Ok("journal"), Ok(version)) if version > VERSION => {
            return Err(NotABackup::Newer(version));
        }
        (Ok("journal"), Ok(_)) => {}
        _ => return Err(NotABackup::SomethingElse),
    }
    let list = |name: &str| file.get(name).list().unwrap_or_default();
    let mut seen: Table<Id, ()> = here.iter().map(|event| (event.id, ())).collect();
    let mut incoming = Incoming::default();
    let unread = list("unread").iter().filter_map(|record| record.text().ok());
    incoming.unread.extend(unread.map(str::to_owned));
    for record in list("events") {
        match Event::read(record) {
            Ok(event) if seen.contains_key(&event.id) => incoming.known += 1,
            Ok(event) => {
                seen.insert(event.id, ());
                incoming.new.push(event);
            }
            Err(Unreadable::Newer { .. } | Unreadable::Damaged { .. }) => {
                let mut text = String::new();
                record.write(&mut text);
                incoming.unread.push(text);
            }
        }
    }
    Ok(incoming)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::event::Body;
    use crate::job::state::State;

    fn event(n: u8) -> Event {
        Event {
            id: Id::new(Instant(i64::from(n)), [n; 10]),
            seq: u64::from(n),
            at: Instant(i64::from(n)),
            body: Body::JobOpened {
                name: format!("job {n}"),
                method: "M1".into(),
                switches: Default::default(),
                materials: Default::default(),
                place: Default::default(),
                invented: false,
            },
        }
    }

    #[test]
    fn a_backup_brings_back_every_event() {
        let events = [event(1), event(2), event(3)];
        let text = write(&events, &["{broken".into()], Instant(9));
        let incoming = read(&text, &[]).unwrap();
        assert_eq!(incoming.new, events);
        assert_eq!(incoming.unread, ["{broken"]);
    }

    #[test]
    fn two_diverged_phones_merge_to_the_same_state_either_way_round() {
        let (mine, theirs) = ([event(1), event(2)], [event(2), event(3)]);
        let merge = |here: &[Event], other: &[Event]| {
            let incoming = read(&write(other, &[], Instant(9)), here).unwrap();
            let mut all = here.to_vec();
            all.extend(incoming.new);
            State::fold(&all)
        };
        assert_eq!(merge(&mine, &theirs), merge(&theirs, &mine));
        assert_eq!(merge(&mine, &theirs).jobs.len(), 3);
    }

    #[test]
    fn foreign_cut_and_newer_files_are_refused_in_words() {
        assert_eq!(read("", &[]), Err(NotABackup::Damaged));
        assert_eq!(read("[1,2]", &[]), Err(NotABackup::SomethingElse));
        assert_eq!(read(r#"{"benchtide":"journal"}"#, &[]), Err(NotABackup::SomethingElse));
        assert_eq!(read(r#"{"benchtide":"journal","version":7}"#, &[]), Err(NotABackup::Newer(7)));
        let text = write(&[event(1)], &[], Instant(9));
        for cut in 1..text.len() - 1 {
            if text.is_char_boundary(cut) {
                assert!(read(&text[..cut], &[]).is_err(), "cut at {cut}");
            }
        }
    }
}
