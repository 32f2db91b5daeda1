//! The journal in IndexedDB.
//!
//! One append is one transaction with all its records issued together and
//! nothing else awaited inside: a transaction closes by itself as soon as it
//! has no request pending. An append has happened when the transaction is
//! complete, and not before.
//!
//! Pictures lie beside the journal, under the id of their photograph's event, and
//! come and go in the transaction of that event. So there is no photograph
//! without its picture, and one that was removed is really gone.

use super::database::Database;
use crate::job::event::{Body, Event, Id};
use js_sys::{Object, Reflect};
use std::fmt;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Blob;

/// Name of the database; `public/recover.js` knows it too.
pub const DATABASE: &str = "benchtide";
const EVENTS: &str = "events";
const UNREAD: &str = "unread";
const PICTURES: &str = "pictures";
/// Version 2 brought the pictures.
const VERSION: u32 = 2;

/// What went wrong with the store, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreError {
    /// The browser keeps no data here (private window, storage switched off).
    Unavailable(String),
    /// The phone is full.
    Full,
    /// The write was not completed.
    NotWritten(String),
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unavailable(why) => write!(
                f,
                "This browser keeps no records here ({why}). Open the app in an ordinary window, \
                 not a private one."
            ),
            Self::Full => f.write_str(
                "The phone is full, so this was not saved. Save the photographs to a file (in \
                 Shop), remove some here, then tap again. Nothing saved before is lost.",
            ),
            Self::NotWritten(why) => {
                write!(f, "This was not saved ({why}). Tap again. Nothing saved before is lost.")
            }
        }
    }
}

/// Everything the store holds.
#[derive(Debug, Default)]
pub struct Contents {
    /// Events that could be read.
    pub events: Vec<Event>,
    /// Records that could not, with what was wrong; kept untouched.
    pub unread: Vec<(String, String)>,
}

/// The open store.
pub struct Store {
    database: Database,
}

impl Store {
    /// Opens the store, making it on first use.
    ///
    /// # Errors
    /// [`StoreError`] when the browser refuses.
    pub async fn open(name: &str) -> Result<Self, StoreError> {
        let tables = vec![
            (EVENTS, "keyPath", JsValue::from_str("id")),
            (UNREAD, "autoIncrement", JsValue::TRUE),
            (PICTURES, "keyPath", JsValue::from_str("id")),
        ];
        let database =
            Database::open(name, VERSION, tables).await.map_err(StoreError::Unavailable)?;
        Ok(Self { database })
    }

    /// Reads everything. A record that can't be read harms no other.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] when the store as a whole can't be read.
    pub async fn read(&self) -> Result<Contents, StoreError> {
        let tables = [(EVENTS, JsValue::UNDEFINED), (UNREAD, JsValue::UNDEFINED)];
        let tables = self.database.read(&tables).await.map_err(StoreError::Unavailable)?;
        let mut tables = tables.into_iter();
        let (records, kept) =
            (tables.next().unwrap_or_default(), tables.next().unwrap_or_default());
        let mut contents = Contents::default();
        for record in records {
            let text = property(&record, "text").as_string().unwrap_or_else(|| json_of(&record));
            match Event::from_json(&text) {
                Ok(event) => contents.events.push(event),
                Err(why) => contents.unread.push((text, why.to_string())),
            }
        }
        for text in kept.iter().filter_map(JsValue::as_string) {
            contents.unread.push((text, "It came unreadable from a backup.".into()));
        }
        Ok(contents)
    }

    /// Appends events, all or none. When this returns `Ok` they are durable.
    ///
    /// # Errors
    /// [`StoreError`] when nothing was written.
    pub async fn append(&self, events: &[Event], unread: &[String]) -> Result<(), StoreError> {
        self.keep(events, unread, &[]).await
    }

    /// As [`Store::append`], with the pictures of photographs. The picture of one
    /// that an event removes goes.
    ///
    /// # Errors
    /// [`StoreError`] when nothing was written.
    pub async fn keep(
        &self,
        events: &[Event],
        unread: &[String],
        pictures: &[(Id, Blob)],
    ) -> Result<(), StoreError> {
        let mut changes = [EVENTS, UNREAD, PICTURES].map(|table| (table, Vec::new(), Vec::new()));
        let [(_, lines, _), (_, kept, _), (_, new, gone)] = &mut changes;
        for event in events {
            lines.push(record(event.id, "text", &event.to_json().into()));
            if let Body::PhotoRemoved { photo } = event.body {
                gone.push(photo.to_string().into());
            }
        }
        for text in unread {
            kept.push(text.into());
        }
        for (id, blob) in pictures {
            new.push(record(*id, "blob", blob));
        }
        self.database.change(&changes).await.map_err(classify)
    }

    /// The picture of a photograph, or all pictures.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] when they can't be read.
    pub async fn pictures(&self, of: Option<Id>) -> Result<Vec<(Id, Blob)>, StoreError> {
        let key = of.map_or(JsValue::UNDEFINED, |id| JsValue::from_str(&id.to_string()));
        let tables = self.database.read(&[(PICTURES, key)]).await;
        let records = tables.map_err(StoreError::Unavailable)?.pop().unwrap_or_default();
        let mut pictures = Vec::new();
        for record in records {
            let id = property(&record, "id").as_string().unwrap_or_default();
            if let (Some(id), Ok(blob)) = (Id::parse(&id), property(&record, "blob").dyn_into()) {
                pictures.push((id, blob));
            }
        }
        Ok(pictures)
    }

    /// Closes the store.
    pub fn close(self) {
        self.database.close();
    }
}

fn classify(why: String) -> StoreError {
    if why.contains("Quota") { StoreError::Full } else { StoreError::NotWritten(why) }
}

fn record(id: Id, name: &str, value: &JsValue) -> JsValue {
    let record = Object::new();
    // Setting a property of a fresh plain object can't fail.
    let _ = Reflect::set(&record, &"id".into(), &id.to_string().into());
    let _ = Reflect::set(&record, &name.into(), value);
    record.into()
}

fn property(record: &JsValue, name: &str) -> JsValue {
    Reflect::get(record, &name.into()).unwrap_or_default()
}

fn json_of(value: &JsValue) -> String {
    js_sys::JSON::stringify(value).ok().map(String::from).unwrap_or_default()
}

/// Asks the browser never to clear the records by itself; tells whether it agreed.
pub async fn ask_to_keep() -> bool {
    let Some(storage) = manager() else { return false };
    let Ok(promise) = storage.persist() else { return false };
    JsFuture::from(promise).await.is_ok_and(|kept| kept.is_truthy())
}

/// Whether the browser has agreed never to clear the records by itself.
pub async fn is_kept() -> bool {
    let Some(storage) = manager() else { return false };
    let Ok(promise) = storage.persisted() else { return false };
    JsFuture::from(promise).await.is_ok_and(|kept| kept.is_truthy())
}

fn manager() -> Option<web_sys::StorageManager> {
    let navigator = super::window()?.navigator();
    let storage = Reflect::get(&navigator, &"storage".into()).ok()?;
    storage.is_object().then(|| storage.unchecked_into())
}
