//! The one store of the app: the journal in memory, its fold, and what follows.
//!
//! Nothing changes here before its event is durable.

use crate::device::storage::Store as Disk;
use crate::device::{clock, random, tabs};
use crate::job::archive::{self, NotABackup};
use crate::job::command::Refusal;
use crate::job::demo::Draft;
use crate::job::event::{Body, Event, Id};
use crate::job::live::{self, Change, LiveCure};
use crate::job::settings::Settings;
use crate::job::state::State;
use crate::trade::model::Rules;
use crate::trade::rules;
use crate::ui::outlook;
use crate::ui::photos::follow;
use crate::ui::prelude::*;
use crate::{
    device::storage::StoreError,
    engine::quantity::{Instant, Minutes},
};
use std::ops::Deref;
use std::pin::Pin;
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;
use web_sys::Blob;

/// When the shop opens in the morning, in minutes after midnight: what is left
/// overnight should be hard by then.
pub const MORNING: Minutes = Minutes(8.0 * 60.0);

/// A line at the foot of the screen.
#[derive(Clone, Debug, PartialEq)]
pub enum Notice {
    /// Something was done; it can be undone.
    Done {
        /// What was done.
        text: String,
        /// Its events, newest last.
        undo: Vec<Id>,
        /// When, so that it can leave after a while.
        at: Instant,
    },
    /// Something was refused or failed.
    Trouble(String),
}

/// The store, cheap to copy, found in context. There is one, for as long as the
/// page lives.
#[derive(Clone, Copy)]
pub struct Store(&'static Parts);

/// What the store is made of.
pub struct Parts {
    disk: StoredValue<Option<Rc<Disk>>>,
    events: StoredValue<Vec<Event>>,
    unread: RwSignal<Vec<(String, String)>>,
    sequence: StoredValue<u64>,
    /// The fold.
    pub state: RwSignal<State>,
    /// The instant now, once a second.
    pub now: RwSignal<Instant>,
    /// Every running cure, solved, most urgent first.
    pub live: Memo<Vec<LiveCure>>,
    /// Appends under way.
    pub saving: RwSignal<usize>,
    /// The line at the foot.
    pub notice: RwSignal<Option<Notice>>,
    /// What moved since somebody looked, and why.
    pub changes: RwSignal<Vec<Change>>,
    /// Why records can't be kept, if they can't.
    pub broken: RwSignal<Option<String>>,
    /// Somebody works on a living person just now: nothing rings over that.
    pub with_person: RwSignal<bool>,
    /// The phone's clock went back: by how much, in words.
    pub clock_jump: RwSignal<Option<String>>,
    /// A photograph that could not be stored. It is kept here, so that it need not
    /// be taken again.
    pub unkept: RwSignal<Option<(Draft, Blob)>>,
    /// Instant at which the app was opened.
    pub opened: Instant,
}

impl Deref for Store {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        self.0
    }
}

/// The store from context.
pub fn use_store() -> Store {
    expect_context()
}

impl Store {
    /// An empty store; [`Store::open`] fills it.
    pub fn new() -> Self {
        let now = RwSignal::new(clock::now());
        let state = RwSignal::new(State::default());
        let live = Memo::new(move |_| state.with(|state| live::all(rules(), state, now.get()).0));
        Self(Box::leak(Box::new(Parts {
            disk: StoredValue::new(None),
            events: StoredValue::new(Vec::new()),
            unread: RwSignal::new(Vec::new()),
            sequence: StoredValue::new(0),
            state,
            now,
            live,
            saving: RwSignal::new(0),
            notice: RwSignal::new(None),
            changes: RwSignal::new(Vec::new()),
            broken: RwSignal::new(None),
            with_person: RwSignal::new(false),
            clock_jump: RwSignal::new(None),
            unkept: RwSignal::new(None),
            opened: now.get_untracked(),
        })))
    }

    /// Starts the one clock of the app.
    pub fn start_clock(self) {
        clock::every_second(move |now| {
            let before = self.now.get_untracked();
            if clock::went_back(before, now).is_some() {
                self.clock_jump.set(Some(
                    "The phone's clock was set back. Times below follow the clock as it is now."
                        .into(),
                ));
            }
            self.now.set(now);
            let gone = self.notice.with_untracked(|notice| match notice {
                Some(Notice::Done { at, .. }) => now.since(*at).value() > 0.5,
                _ => false,
            });
            if gone {
                self.notice.set(None);
            }
        });
    }

    /// Opens the records and folds them.
    pub async fn open(self) {
        let opened = async {
            let disk = Disk::open(crate::device::storage::DATABASE).await?;
            let contents = disk.read().await?;
            Ok::<_, StoreError>((disk, contents))
        };
        match opened.await {
            Ok((disk, contents)) => {
                self.disk.set_value(Some(Rc::new(disk)));
                self.unread.set(contents.unread);
                self.replace(contents.events);
                tabs::listen(move |texts| self.heard(&texts));
            }
            Err(error) => self.broken.set(Some(error.to_string())),
        }
    }

    fn replace(self, events: Vec<Event>) {
        let last = events.iter().map(|event| event.seq).max().unwrap_or(0);
        self.sequence.set_value(last);
        self.state.set(State::fold(&events));
        self.events.set_value(events);
    }

    /// Events that another tab appended.
    fn heard(self, texts: &[String]) {
        let mut events = self.events.get_value();
        let known = events.len();
        for event in texts.iter().filter_map(|text| Event::from_json(text).ok()) {
            if !events.iter().any(|other| other.id == event.id) {
                events.push(event);
            }
        }
        if events.len() > known {
            self.replace(events);
        }
    }

    /// The rule table.
    pub fn rules(self) -> &'static Rules {
        rules()
    }

    /// The settings, tracked.
    pub fn settings(self) -> Settings {
        self.state.with(|state| state.settings.clone())
    }

    /// Appends what a command gave, and says so at the foot with an undo.
    pub fn act(self, outcome: Result<Body, Refusal>, done: impl Into<String>) {
        self.act_then(outcome, done, || {});
    }

    /// As [`Store::act`], and calls `then` when it is durable.
    pub fn act_then(
        self,
        outcome: Result<Body, Refusal>,
        done: impl Into<String>,
        then: impl FnOnce() + 'static,
    ) {
        self.settle(outcome, done.into(), Box::new(then));
    }

    // These take boxes, so that they are compiled once whatever comes then.

    fn settle(self, outcome: Result<Body, Refusal>, done: String, then: Box<dyn FnOnce()>) {
        match outcome {
            Ok(body) => self.write(self.drafts(vec![body]), None, done, then),
            Err(refusal) => self.refuse(refusal.to_string()),
        }
    }

    fn drafts(self, bodies: Vec<Body>) -> Vec<Draft> {
        let at = clock::now();
        bodies.into_iter().map(|body| Draft { id: self.new_id(at), at, body }).collect()
    }

    /// Says why something was not done.
    pub fn refuse(self, sentence: String) {
        self.notice.set(Some(Notice::Trouble(sentence)));
    }

    /// Appends events; `then` is called when they are durable.
    pub fn append(self, bodies: Vec<Body>, done: String, then: impl FnOnce() + 'static) {
        self.write(self.drafts(bodies), None, done, Box::new(then));
    }

    /// A new id.
    pub fn new_id(self, at: Instant) -> Id {
        Id::new(at, random::ten_bytes())
    }

    /// Appends events whose ids are known already; `then` is called when they are durable.
    pub fn append_drafts(self, drafts: Vec<Draft>, done: String, then: impl FnOnce() + 'static) {
        self.write(drafts, None, done, Box::new(then));
    }

    /// Stores a photograph with its picture. There is no undo: removing it is a key
    /// of its own, and takes the picture away.
    pub fn append_photo(self, photo: Draft, picture: Blob) {
        let kept = photo.clone();
        let then = move || {
            self.unkept.set(None);
            follow(&kept);
        };
        self.write(vec![photo], Some(picture), String::new(), Box::new(then));
    }

    fn write(
        self,
        drafts: Vec<Draft>,
        picture: Option<Blob>,
        done: String,
        then: Box<dyn FnOnce()>,
    ) {
        if drafts.is_empty() {
            return;
        }
        let events: Vec<Event> = drafts
            .into_iter()
            .map(|draft| {
                self.sequence.update_value(|last| *last += 1);
                let seq = self.sequence.get_value();
                Event { id: draft.id, seq, at: draft.at, body: draft.body }
            })
            .collect();
        let Some(disk) = self.disk.get_value() else {
            let why = self.broken.get_untracked();
            self.refuse(why.unwrap_or_else(|| "Still opening. Tap again in a moment.".into()));
            return;
        };
        self.saving.update(|count| *count += 1);
        spawn_local(async move {
            let pictures: Vec<(Id, Blob)> =
                events.iter().zip(picture).map(|(event, picture)| (event.id, picture)).collect();
            let outcome = disk.keep(&events, &[], &pictures).await;
            self.saving.update(|count| *count = count.saturating_sub(1));
            match outcome {
                Ok(()) => {
                    self.accept(events, done);
                    then();
                }
                Err(error) => {
                    self.refuse(error.to_string());
                    for (Event { id, at, body, .. }, (_, picture)) in
                        events.into_iter().zip(pictures)
                    {
                        self.unkept.set(Some((Draft { id, at, body }, picture)));
                    }
                }
            }
        });
    }

    /// The picture of a photograph, or all pictures.
    ///
    /// # Errors
    /// A sentence when they can't be read.
    pub async fn pictures(self, of: Option<Id>) -> Result<Vec<(Id, Blob)>, String> {
        // Boxed, so that it is compiled once.
        let read: Pin<Box<dyn Future<Output = _>>> = Box::pin(async move {
            let disk = self.disk.get_value().ok_or("Still opening. Try again in a moment.")?;
            disk.pictures(of).await.map_err(|error| error.to_string())
        });
        read.await
    }

    /// Stores pictures whose photographs are on record already, all or none.
    ///
    /// # Errors
    /// A sentence when nothing was stored.
    pub async fn bring_back(self, pictures: &[(Id, Blob)]) -> Result<(), String> {
        let disk = self.disk.get_value().ok_or("Still opening. Try again in a moment.")?;
        disk.keep(&[], &[], pictures).await.map_err(|error| error.to_string())
    }

    /// Takes durable events into memory.
    fn accept(self, new: Vec<Event>, done: String) {
        let texts: Vec<String> = new.iter().map(Event::to_json).collect();
        tabs::tell(&texts);
        let undo: Vec<Id> = new.iter().map(|event| event.id).collect();
        let undoes = new.iter().any(|event| matches!(event.body, Body::Undone { .. }));
        self.events.update_value(|events| events.extend(new.iter().cloned()));
        if undoes {
            let state = self.events.with_value(|events| State::fold(events));
            self.state.set(state);
            // What it said of a reading that is taken back is no longer so.
            self.changes.set(Vec::new());
        } else {
            self.state.update(|state| new.iter().for_each(|event| state.apply(event)));
        }
        if !done.is_empty() {
            let at = clock::now();
            self.now.set(at);
            self.notice.set(Some(Notice::Done { text: done, undo, at }));
        }
    }

    /// Undoes events, newest first.
    pub fn undo(self, events: &[Id], done: &str) {
        let bodies = events.iter().rev().map(|event| Body::Undone { event: *event }).collect();
        self.append(bodies, done.to_owned(), || {});
    }

    /// Appends events that may move running clocks, and shows what moved and why.
    pub fn append_moving(self, bodies: Vec<Body>, done: &str) {
        let before = self.live.get_untracked();
        let why = self.state.with_untracked(|state| {
            bodies.iter().map(|body| outlook::moves(state, body)).collect::<Vec<_>>().join("; ")
        });
        self.append(bodies, done.to_owned(), move || {
            let new = self.live.with_untracked(|after| live::changes(&before, after, &why));
            self.changes.update(|unseen| live::merge_changes(unseen, new));
        });
    }

    /// The whole journal, or that of one job, as the text of a file.
    pub fn backup(self, job: Option<Id>) -> String {
        if let Some(job) = job {
            let events = self.events.with_value(|events| archive::of_job(events, job));
            return archive::write(&events, &[], clock::now());
        }
        let unread: Vec<String> =
            self.unread.with_untracked(|list| list.iter().map(|(text, _)| text.clone()).collect());
        self.events.with_value(|events| archive::write(events, &unread, clock::now()))
    }

    /// Reads a backup: adds what is missing. The sentence says what came of it.
    ///
    /// # Errors
    /// A sentence when nothing was taken.
    pub async fn read_backup(self, text: &str) -> Result<String, String> {
        let incoming = self
            .events
            .with_value(|events| archive::read(text, events))
            .map_err(|error: NotABackup| error.to_string())?;
        let disk = self.disk.get_value().ok_or("Still opening. Try again in a moment.")?;
        let known: Vec<String> =
            self.unread.with_untracked(|list| list.iter().map(|(text, _)| text.clone()).collect());
        let unread: Vec<String> =
            incoming.unread.into_iter().filter(|text| !known.contains(text)).collect();
        if !incoming.new.is_empty() || !unread.is_empty() {
            disk.append(&incoming.new, &unread).await.map_err(|error| error.to_string())?;
        }
        let count = incoming.new.len();
        let mut events = self.events.get_value();
        events.extend(incoming.new);
        self.replace(events);
        let note = "It came unreadable from a backup.";
        self.unread.update(|list| {
            list.extend(unread.into_iter().map(|text| (text, note.to_owned())));
        });
        Ok(format!("{count} records added, {} were here already.", incoming.known))
    }

    /// Records that could not be read, with what was wrong, tracked.
    pub fn unread(self) -> Vec<(String, String)> {
        self.unread.get()
    }
}
