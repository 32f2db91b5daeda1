//! Short notes: written with ready phrases or a few words of one's own, and the
//! list of those that wait to be written up.

use crate::job::command;
use crate::job::event::{About, Body, Id};
use crate::job::record;
use crate::job::state::State;
use crate::trade;
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
        {list(store, record::waiting, true)}
        {live(move || store.state.with(record::waiting).is_empty().then(|| view! {
            <p class="card empty">"Nothing waits. At a stage or a job, \"Write it up later\" puts a line here."</p>
        }))}
    }
}

/// Where something belongs: its address, and what that is called.
pub fn place(store: Store, about: &About) -> (String, String) {
    store.state.with_untracked(|state| {
        if let Some(cast) = about.cast {
            let number = state.record.casts.get(&cast).map_or(0, |cast| cast.number);
            return (format!("#/cast/{cast}"), format!("Cast {number}"));
        }
        if let Some(mould) = about.mould {
            let name = state.record.moulds.get(&mould).map(|mould| mould.name.clone());
            return (format!("#/mould/{mould}"), name.unwrap_or_else(|| "Mould".into()));
        }
        let Some(job) = about.job.and_then(|job| state.jobs.get(&job)) else {
            return (Route::Jobs.to_string(), "Jobs".into());
        };
        let stage = about.stage.as_ref().and_then(|id| {
            let at = command::at(store.rules(), state, job.id, id).ok()?;
            Some((Route::Stage(job.id, id.clone()), format!("{}: {}", job.name, at.stage.title)))
        });
        let (route, title) = stage.unwrap_or_else(|| (Route::Job(job.id), job.name.clone()));
        (route.to_string(), title)
    })
}

/// Asks for a few words, with the faults of the place and ready phrases on offer.
pub fn ask(store: Store, about: &About, words: [&'static str; 2], done: impl Fn(String) + 'static) {
    let faults: Vec<String> = store.state.with_untracked(|state| {
        let stage = about.job.zip(about.stage.as_ref());
        let at = stage.and_then(|(job, id)| command::at(store.rules(), state, job, id).ok());
        let of_stage = at.map_or(&[][..], |at| &at.stage.faults);
        let faults = store.rules().faults.iter().filter(|fault| of_stage.contains(&fault.id));
        faults.map(|fault| fault.title.clone()).collect()
    });
    let phrases = trade::phrases().map(str::to_owned);
    use_overlays().why.set(Some(Why {
        title: words[0].into(),
        text: String::new(),
        offers: faults.into_iter().chain(phrases).collect(),
        words: ["Or in your words", words[1]],
        done: Callback::new(done),
    }));
}

/// The keys that write a note about something.
pub fn keys(store: Store, about: &StoredValue<About>) -> Node {
    let about = *about;
    let key = move |words: [&'static str; 2], open: bool| {
        let write = move |_| {
            ask(store, &about.get_value(), words, move |text| {
                let body = Body::NoteWritten {
                    about: about.get_value(),
                    text: text.trim().to_owned(),
                    open,
                };
                store.act(Ok(body), "Noted");
            });
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

/// Notes, as they stand: what they say, when, and what waits.
pub fn list(
    store: Store,
    notes: impl Fn(&State) -> Vec<Id> + Clone + 'static,
    with_place: bool,
) -> Node {
    let key = {
        let notes = notes.clone();
        move || {
            store.state.with(|state| {
                let open = |id: &Id| state.record.notes.get(id).is_some_and(|note| note.open);
                notes(state).iter().map(|id| format!("{id}{}", open(id))).collect::<String>()
            })
        }
    };
    redraw(key, move || {
        let ids = store.state.with(|state| notes(state));
        Node::Many(ids.into_iter().map(|id| note(store, id, with_place)).collect())
    })
}

fn note(store: Store, id: Id, with_place: bool) -> Node {
    let found = store.state.with(|state| state.record.notes.get(&id).cloned());
    let Some(note) = found else { return Node::Nothing };
    let (href, title) = place(store, &note.about);
    let settle = move |_| store.act(Ok(Body::NoteSettled { note: id }), "Written up");
    view! {
        <div class="note">
            <p>
                <b>{note.text}</b>
                " "
                <span class="hint">{words::clock(note.written, store.now.get_untracked())}</span>
            </p>
            {with_place.then(|| view! { <a class="big quiet" href=href>{title}</a> })}
            {note.open.then(|| view! {
                <button class="big" on:click=tap(settle)>"Written up"</button>
            })}
        </div>
    }
}
