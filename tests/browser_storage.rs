//! The journal's store in a real browser: what it acknowledges is there when it
//! is opened again, all or nothing, and a damaged record harms no other. Pictures
//! come and go with the events of their photographs.

#![cfg(target_arch = "wasm32")]

use benchtide::device::storage::{Store, StoreError};
use benchtide::engine::quantity::Instant;
use benchtide::engine::table::Table;
use benchtide::job::event::{About, Body, Event, Id, Place};
use rexie::{ObjectStore, Rexie, TransactionMode};
use wasm_bindgen::JsValue;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::Blob;

wasm_bindgen_test_configure!(run_in_browser);

fn event(n: u64) -> Event {
    let mut random = [0; 10];
    random[..8].copy_from_slice(&n.to_be_bytes());
    Event {
        id: Id::new(Instant(n as i64), random),
        seq: n,
        at: Instant(n as i64),
        body: Body::JobOpened {
            name: format!("job {n}"),
            method: "M1".into(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Bench,
            invented: false,
        },
    }
}

async fn fresh(name: &str) -> Store {
    Rexie::delete(name).await.expect("an old test store goes");
    Store::open(name).await.expect("a store opens")
}

#[wasm_bindgen_test]
async fn what_was_acknowledged_is_there_when_opened_again() {
    let store = fresh("test-reopen").await;
    let events: Vec<Event> = (1..=50).map(event).collect();
    for one in &events {
        store.append(std::slice::from_ref(one), &[]).await.expect("it is written");
    }
    store.close();
    let store = Store::open("test-reopen").await.expect("it opens again");
    let mut read = store.read().await.expect("it is read").events;
    read.sort_by_key(|event| event.seq);
    assert_eq!(read, events);
    store.close();
}

#[wasm_bindgen_test]
async fn an_append_of_many_is_all_or_nothing() {
    let store = fresh("test-atomic").await;
    store.append(&[event(2)], &[]).await.expect("the first is written");
    // The middle one is there already, so the whole append must fail.
    let refused = store.append(&[event(1), event(2), event(3)], &[]).await;
    assert!(matches!(refused, Err(StoreError::NotWritten(_))), "{refused:?}");
    let read = store.read().await.expect("it is read").events;
    assert_eq!(read, [event(2)]);
    store.close();
}

#[wasm_bindgen_test]
async fn appends_side_by_side_are_all_kept() {
    let store = fresh("test-side-by-side").await;
    let batches: Vec<Vec<Event>> =
        (0..20_u64).map(|n| vec![event(n * 2 + 1), event(n * 2 + 2)]).collect();
    let appends: Vec<_> = batches.iter().map(|batch| store.append(batch, &[])).collect();
    // Started one after the other without waiting, as quick taps do.
    for append in appends {
        append.await.expect("each is written");
    }
    assert_eq!(store.read().await.expect("it is read").events.len(), 40);
    store.close();
}

#[wasm_bindgen_test]
async fn a_damaged_record_is_reported_and_harms_no_other() {
    let store = fresh("test-damaged").await;
    store.append(&[event(1), event(2)], &[]).await.expect("they are written");
    store.close();

    let raw = Rexie::builder("test-damaged").version(2).build().await.expect("raw access");
    let transaction =
        raw.transaction(&["events"], TransactionMode::ReadWrite).expect("a transaction");
    let records = transaction.store("events").expect("the store");
    let damaged = js_sys::Object::new();
    js_sys::Reflect::set(&damaged, &"id".into(), &"zzz".into()).expect("a property");
    js_sys::Reflect::set(&damaged, &"text".into(), &"{\"v\":1,\"id\":".into()).expect("a property");
    records.put(&damaged.into(), None).await.expect("it is put");
    let newer = js_sys::Object::new();
    js_sys::Reflect::set(&newer, &"id".into(), &"zzzz".into()).expect("a property");
    js_sys::Reflect::set(&newer, &"text".into(), &"{\"v\":99}".into()).expect("a property");
    records.put(&newer.into(), None).await.expect("it is put");
    transaction.done().await.expect("it is done");
    raw.close();

    let store = Store::open("test-damaged").await.expect("it opens all the same");
    let contents = store.read().await.expect("it is read");
    assert_eq!(contents.events, [event(1), event(2)]);
    assert_eq!(contents.unread.len(), 2);
    assert!(contents.unread.iter().any(|(text, _)| text == "{\"v\":1,\"id\":"));
    assert!(contents.unread.iter().any(|(_, why)| why.contains("newer version")));
    store.close();
}

#[wasm_bindgen_test]
async fn unreadable_texts_of_a_backup_are_kept_word_for_word() {
    let store = fresh("test-unread").await;
    store.append(&[], &["{half".to_owned()]).await.expect("it is written");
    let contents = store.read().await.expect("it is read");
    assert_eq!(contents.unread[0].0, "{half");
    assert_eq!(JsValue::from_str(&contents.unread[0].0).as_string().as_deref(), Some("{half"));
    store.close();
}

fn photo(n: u64) -> Event {
    let body = Body::PhotoTaken {
        about: About::default(),
        caption: "left side".into(),
        moment: "before".into(),
        pair: None,
        size: [2, 1],
    };
    Event { body, ..event(n) }
}

fn removal(n: u64, photo: &Event) -> Event {
    Event { body: Body::PhotoRemoved { photo: photo.id }, ..event(n) }
}

fn blob(text: &str) -> Blob {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    Blob::new_with_str_sequence(&parts).expect("a blob")
}

/// What is in the pictures of a store, as text by photograph.
async fn pictures(store: &Store, of: Option<Id>) -> Vec<(Id, String)> {
    let mut found = Vec::new();
    for (id, blob) in store.pictures(of).await.expect("they are read") {
        let text = wasm_bindgen_futures::JsFuture::from(blob.text()).await.expect("its bytes");
        found.push((id, text.as_string().expect("a text")));
    }
    found
}

#[wasm_bindgen_test]
async fn a_picture_is_stored_with_its_photograph_and_goes_with_its_removal() {
    let store = fresh("test-pictures").await;
    let (one, two) = (photo(1), photo(2));
    for (photo, text) in [(&one, "first"), (&two, "second")] {
        let picture = [(photo.id, blob(text))];
        store.keep(std::slice::from_ref(photo), &[], &picture).await.expect("both are stored");
    }
    store.close();
    let store = Store::open("test-pictures").await.expect("it opens again");
    let all = [(one.id, "first".to_owned()), (two.id, "second".to_owned())];
    assert_eq!(pictures(&store, None).await, all);
    assert_eq!(pictures(&store, Some(two.id)).await, all[1..]);
    assert_eq!(pictures(&store, Some(event(9).id)).await, []);
    store.append(&[removal(3, &one)], &[]).await.expect("it is removed");
    assert_eq!(pictures(&store, None).await, all[1..]);
    assert_eq!(store.read().await.expect("it is read").events.len(), 3);
    store.close();
}

#[wasm_bindgen_test]
async fn photograph_and_picture_are_both_there_or_neither() {
    let store = fresh("test-both").await;
    let (one, two) = (photo(1), photo(2));
    let picture = |of: &Event, text: &str| [(of.id, blob(text))];
    store
        .keep(std::slice::from_ref(&one), &[], &picture(&one, "first"))
        .await
        .expect("both are stored");
    // The event is there already: the picture must not come.
    let refused = store.keep(std::slice::from_ref(&one), &[], &picture(&two, "second")).await;
    assert!(matches!(refused, Err(StoreError::NotWritten(_))), "{refused:?}");
    // The picture is there already: the event must not come.
    let refused = store.keep(std::slice::from_ref(&two), &[], &picture(&one, "other")).await;
    assert!(matches!(refused, Err(StoreError::NotWritten(_))), "{refused:?}");
    // The removal comes with an event that is there already: the picture must stay.
    let refused = store.append(&[removal(3, &one), one.clone()], &[]).await;
    assert!(matches!(refused, Err(StoreError::NotWritten(_))), "{refused:?}");
    assert_eq!(store.read().await.expect("it is read").events, [one.clone()]);
    assert_eq!(pictures(&store, None).await, [(one.id, "first".to_owned())]);
    store.close();
}

/// A store as the first version of the app made it.
async fn first_version(name: &str) -> Rexie {
    Rexie::delete(name).await.expect("an old test store goes");
    let builder = Rexie::builder(name).version(1);
    let builder = builder.add_object_store(ObjectStore::new("events").key_path("id"));
    let unread = ObjectStore::new("unread").auto_increment(true);
    builder.add_object_store(unread).build().await.expect("an old store")
}

#[wasm_bindgen_test]
async fn records_of_the_first_version_are_all_there_and_pictures_can_come() {
    let old = first_version("test-upgrade").await;
    let work =
        old.transaction(&["events", "unread"], TransactionMode::ReadWrite).expect("a transaction");
    let records = work.store("events").expect("the store");
    for one in [event(1), event(2)] {
        let record = js_sys::Object::new();
        let set = |name: &str, text: String| {
            js_sys::Reflect::set(&record, &name.into(), &text.into()).expect("a property");
        };
        set("id", one.id.to_string());
        set("text", one.to_json());
        records.put(&record.into(), None).await.expect("it is put");
    }
    let unread = work.store("unread").expect("the store");
    unread.put(&"{half".into(), None).await.expect("it is put");
    work.done().await.expect("it is done");
    old.close();

    let store = Store::open("test-upgrade").await.expect("the new version opens it");
    let contents = store.read().await.expect("it is read");
    assert_eq!(contents.events, [event(1), event(2)]);
    assert_eq!(contents.unread.len(), 1);
    let new = photo(3);
    store.keep(std::slice::from_ref(&new), &[], &[(new.id, blob("third"))]).await.expect("stored");
    assert_eq!(pictures(&store, None).await, [(new.id, "third".to_owned())]);
    store.close();
}

#[wasm_bindgen_test]
async fn an_older_version_that_is_still_open_is_named_and_a_newer_one_is_let_in() {
    let old = first_version("test-blocked").await;
    let refused = Store::open("test-blocked").await.err();
    let said = refused.expect("it can't be opened").to_string();
    assert!(said.contains("close its other windows"), "{said}");
    old.close();
    let store = fresh("test-let-in").await;
    let newer = Rexie::builder("test-let-in").version(3).build().await;
    newer.expect("the store made way").close();
    assert!(store.append(&[event(1)], &[]).await.is_err(), "a store that made way is closed");
}
