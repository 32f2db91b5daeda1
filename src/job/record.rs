//! The record that outlives a job: moulds with their casts, notes, photographs,
//! and the shop's own methods.

use super::event::{About, Body, Id};
use super::state::State;
use crate::engine::quantity::Instant;
use crate::engine::table::Table;
use crate::trade::model::Method;
use crate::trade::{own, rules};

/// When in the work a photograph is taken: as it is stored, and in words.
pub const MOMENTS: [(&str, &str); 4] =
    [("before", "Before"), ("stage", "At work"), ("after", "After"), ("fault", "A fault")];
/// Longest side of a picture that is kept, in its own points: a hair crack shows,
/// and a hundred of them fit on any phone (common practice).
const LONGEST_SIDE: u32 = 1600;

/// The moment of a photograph in words.
pub fn moment(stored: &str) -> &'static str {
    MOMENTS.iter().find(|(code, _)| *code == stored).map_or(MOMENTS[1].1, |(_, words)| words)
}

/// Width and height to keep of a picture, in the same proportion.
pub fn kept_size(size: [u32; 2]) -> [u32; 2] {
    let longer = size[0].max(size[1]).max(1);
    if longer <= LONGEST_SIDE {
        return size;
    }
    size.map(|side| {
        let side = u64::from(side) * u64::from(LONGEST_SIDE) + u64::from(longer / 2);
        u32::try_from(side / u64::from(longer)).unwrap_or(LONGEST_SIDE).max(1)
    })
}

/// Notes that wait to be written up, oldest first. What was put out of sight waits
/// for nothing.
pub fn waiting(state: &State) -> Vec<Id> {
    let in_sight = |about: &About| {
        about.job.is_none_or(|job| state.jobs.get(&job).is_some_and(|job| !job.discarded))
    };
    notes_that(state, &|note| note.open && in_sight(&note.about))
}

/// The notes about something, oldest first.
pub fn notes(state: &State, about: &About) -> Vec<Id> {
    notes_that(state, &|note| about.covers(&note.about))
}

fn notes_that(state: &State, wanted: &dyn Fn(&Note) -> bool) -> Vec<Id> {
    let mut found = Vec::new();
    for (id, note) in &state.record.notes {
        if wanted(note) {
            found.push(*id);
        }
    }
    found
}

/// The photographs about something, oldest first.
pub fn photos(state: &State, about: &About) -> Vec<Id> {
    let mut found = Vec::new();
    for (id, photo) in &state.record.photos {
        if about.covers(&photo.about) {
            found.push(*id);
        }
    }
    found
}

/// A mould on the shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Mould {
    /// The job that made it.
    pub job: Option<Id>,
    /// What the shop calls it.
    pub name: String,
    /// When it came on record.
    pub made: Instant,
    /// When it was looked after, and what was done, in order.
    pub serviced: Vec<(Instant, String)>,
    /// When it was given up, and why.
    pub retired: Option<(Instant, String)>,
}

/// A cast out of a mould.
#[derive(Clone, Debug, PartialEq)]
pub struct Cast {
    /// Its mould.
    pub mould: Id,
    /// The casting job.
    pub job: Option<Id>,
    /// Its number in that mould.
    pub number: u32,
    /// When it came out.
    pub made: Instant,
}

/// A photograph; its picture is kept beside the journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// What it shows.
    pub about: About,
    /// A few words under it.
    pub caption: String,
    /// When in the work it was taken.
    pub moment: String,
    /// The earlier photograph that it repeats.
    pub pair: Option<Id>,
    /// Width and height.
    pub size: [u32; 2],
    /// What was drawn on it.
    pub strokes: String,
    /// When it was taken.
    pub taken: Instant,
}

/// A short note.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What it is about.
    pub about: About,
    /// The note.
    pub text: String,
    /// Whether it waits to be written up.
    pub open: bool,
    /// When it was written.
    pub written: Instant,
}

/// An own method, as it was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnMethod {
    /// The first event of this method: what it is known by while it changes.
    pub first: Id,
    /// Its documented form, as JSON text.
    pub method: String,
    /// Whether it is still offered: the newest form of a method that was not dropped.
    pub offered: bool,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// Moulds.
    pub moulds: Table<Id, Mould>,
    /// Casts.
    pub casts: Table<Id, Cast>,
    /// Photographs.
    pub photos: Table<Id, Photo>,
    /// Notes.
    pub notes: Table<Id, Note>,
    /// Own methods.
    pub methods: Table<Id, OwnMethod>,
}

impl Record {
    /// Applies one event; those about things that are not known change nothing.
    pub(super) fn apply(&mut self, id: Id, at: Instant, body: Body) {
        match body {
            Body::MouldMade { job, name } => {
                let mould = Mould { job, name, made: at, serviced: Vec::new(), retired: None };
                self.moulds.insert(id, mould);
            }
            Body::MouldServiced { mould, note } => {
                if let Some(mould) = self.moulds.get_mut(&mould) {
                    mould.serviced.push((at, note));
                }
            }
            Body::MouldRetired { mould, reason } => {
                if let Some(mould) = self.moulds.get_mut(&mould) {
                    mould.retired = Some((at, reason));
                }
            }
            Body::CastMade { mould, job, number } => {
                let cast = Cast { mould, job, number, made: at };
                self.casts.insert(id, cast);
            }
            Body::PhotoTaken { about, caption, moment, pair, size } => {
                let photo =
                    Photo { about, caption, moment, pair, size, strokes: String::new(), taken: at };
                self.photos.insert(id, photo);
            }
            Body::PhotoMarked { photo, strokes, caption } => {
                if let Some(photo) = self.photos.get_mut(&photo) {
                    photo.strokes = strokes;
                    photo.caption = caption;
                }
            }
            Body::PhotoRemoved { photo } => {
                self.photos.remove(&photo);
            }
            Body::NoteWritten { about, text, open } => {
                let note = Note { about, text, open, written: at };
                self.notes.insert(id, note);
            }
            Body::NoteSettled { note } => {
                if let Some(note) = self.notes.get_mut(&note) {
                    note.open = false;
                }
            }
            Body::MethodKept { method, replaces } => {
                let old = replaces.and_then(|old| self.methods.get(&old));
                let first = old.map_or(id, |old| old.first);
                self.drop_method(first);
                let method = OwnMethod { first, method, offered: true };
                self.methods.insert(id, method);
            }
            Body::MethodDropped { method } => self.drop_method(method),
            _ => {}
        }
    }

    fn drop_method(&mut self, first: Id) {
        for method in self.methods.values_mut().filter(|method| method.first == first) {
            method.offered = false;
        }
    }

    /// The own methods that are offered, with the codes that new jobs know them by.
    pub fn own_methods(&self) -> impl Iterator<Item = (Id, &OwnMethod)> {
        self.methods.iter().filter(|(_, own)| own.offered).map(|(id, own)| (*id, own))
    }

    /// The own method with this code, in the form that the code stands for.
    pub fn own_method(&self, code: &str) -> Option<&'static Method> {
        let kept = self.methods.get(&Id::parse(code)?)?;
        own::made(rules(), code, &kept.method).ok()
    }
}

#[cfg(test)]
#[path = "record_tests.rs"]
mod tests;
