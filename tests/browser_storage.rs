//! The journal's store in a real browser: what it acknowledges is there when it
//! is opened again, all or nothing, and a damaged record harms no other.

#![cfg(target_arch = "wasm32")]

use benchtide::device::storage::{Store, StoreError};
use benchtide::engine::quantity::Instant;
use benchtide::engine::table::Table;
use benchtide::job::event::{Body, Event, Id, Place};
use rexie::{Rexie, TransactionMode};
use wasm_bindgen::JsValue;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

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

    let raw = Rexie::builder("test-damaged").version(1).build().await.expect("raw access");
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
