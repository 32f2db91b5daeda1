//! Short notes: written with ready phrases or a few words of one's own, and the
//! list of those that wait to be written up.

use crate::job::event::{About, Body, Id};
use crate::job::record::{self, Note};
use crate::job::state::State;
use crate::trade;
use crate::ui::checks::with_stage;
use crate::ui::overlay::{Why, use_overlays};
use crate::ui::parts::{live, redraw, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// What waits to be written up.
#[component]
pub fn NotesScreen() -> Node {
    let store = use_store();
    view! {
        <p class="crumb"><a href=Route::Jobs.to_string()>"Jobs"</a></p>
        <h1>"Waiting to be written up"</h1>
        {list(store, None)}
        {live(move || store.state.with(record::waiting).is_empty().then(|| view! {
            <p class="card empty">"Nothing waits. \"Write it up later\", at a stage or a job, puts a line here."</p>
        }))}
    }
}

/// Where something belongs: its address, and what that is called.
pub fn place(store: Store, about: &About) -> (String, String) {
    if let Some(cast) = about.cast {
        return (format!("#/cast/{cast}"), "The cast".into());
    }
    if let Some(mould) = about.mould {
        return (format!("#/mould/{mould}"), "The mould".into());
    }
    let Some(job) = about.job else { return (Route::Jobs.to_string(), "Jobs".into()) };
    let stage = about.stage.clone().unwrap_or_default();
    match with_stage(store, job, &stage, |at| format!("{}: {}", at.job.name, at.stage.title)) {
        Ok(title) => (Route::Stage(job, stage).to_string(), title),
        Err(_) => {
            let name = |state: &State| state.jobs.get(&job).map(|job| job.name.clone());
            let name = store.state.with_untracked(name);
            (Route::Job(job).to_string(), name.unwrap_or_default())
        }
    }
}

/// Asks for a few words, with the faults of the place and ready phrases on offer.
pub fn ask(store: Store, about: &About, words: [&'static str; 2], done: Callback<String>) {
    let mut offers = Vec::new();
    if let (Some(job), Some(stage)) = (about.job, &about.stage)
        && let Ok(faults) = with_stage(store, job, stage, |at| &at.stage.faults)
    {
        for fault in &store.rules().faults {
            if faults.contains(&fault.id) {
                offers.push(fault.title.clone());
            }
        }
    }
    for phrase in trade::phrases() {
        offers.push(phrase.to_owned());
    }
    use_overlays().why.set(Some(Why {
        title: words[0].into(),
        text: String::new(),
        offers,
        words: ["Or in your words", words[1]],
        done,
    }));
}

/// The keys that write a note about something.
pub fn keys(store: Store, about: StoredValue<About>) -> Node {
    let key = move |words: [&'static str; 2], open: bool| {
        let write = move |_| {
            ask(
                store,
                &about.get_value(),
                words,
                Callback::new(move |text: String| {
                    let body = Body::NoteWritten {
                        about: about.get_value(),
                        text: text.trim().to_owned(),
                        open,
                    };
                    store.act(Ok(body), "Noted");
                }),
            );
        };
        view! { <button class="big quiet" on:click=tap(write)>{words[0]}</button> }
    };
    view! {
        <div class="row">
            {key(["Write a note", "Note it"], false)}
            {key(["Write it up later", "Put it on the list"], true)}
        </div>
    }
}

/// The notes about something, as they stand; or those that wait to be written up,
/// with the place of each.
pub fn list(store: Store, about: Option<StoredValue<About>>) -> Node {
    let notes = move || {
        store.state.with(|state| match about {
            Some(about) => about.with_value(|about| record::notes(state, about)),
            None => record::waiting(state),
        })
    };
    let found = move |id| store.state.with(|state| state.record.notes.get(&id).cloned());
    let key = move || {
        let mut key = String::new();
        for id in notes() {
            key = format!("{key}{id}{}", found(id).is_some_and(|note| note.open));
        }
        key
    };
    redraw(key, move || {
        let mut lines = Vec::new();
        for id in notes() {
            lines.extend(found(id).map(|found| note(store, id, found, about.is_none())));
        }
        view! { <ul class="findings">{lines}</ul> }
    })
}

fn note(store: Store, id: Id, note: Note, with_place: bool) -> Node {
    let (href, title) = place(store, &note.about);
    let settle = move |_| store.act(Ok(Body::NoteSettled { note: id }), "Written up");
    view! {
        <li class="stack">
            <p>
                <b>{note.text}</b>
                " "
                <span class="hint">{words::clock(note.written, store.now.get_untracked())}</span>
            </p>
            {with_place.then(|| view! { <a class="big quiet" href=href>{title}</a> })}
            {note.open.then(|| view! {
                <button class="big" on:click=tap(settle)>"Written up"</button>
            })}
        </li>
    }
}
