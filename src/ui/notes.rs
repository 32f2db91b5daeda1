//! Short notes: written with ready phrases or a few words of one's own, and the
//! list of those that wait to be written up.

use crate::job::command;
use crate::job::event::{About, Body, Id};
use crate::job::record;
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
        {list(store, None)}
        {live(move || store.state.with(record::waiting).is_empty().then(|| view! {
            <p class="card empty">"Nothing waits. At a stage or a job, \"Write it up later\" puts a line here."</p>
        }))}
    }
}

/// Where something belongs: its address, and what that is called.
pub fn place(store: Store, about: &About) -> (String, String) {
    store.state.with_untracked(|state| {
        if let Some(cast) = about.cast {
            return (format!("#/cast/{cast}"), "Cast".into());
        }
        if let Some(mould) = about.mould {
            let name = state.record.moulds.get(&mould).map(|mould| mould.name.clone());
            return (format!("#/mould/{mould}"), name.unwrap_or_default());
        }
        let Some(job) = about.job.and_then(|job| state.jobs.get(&job)) else {
            return (Route::Jobs.to_string(), "Jobs".into());
        };
        let (mut route, mut title) = (Route::Job(job.id), job.name.clone());
        if let Some(id) = &about.stage {
            route = Route::Stage(job.id, id.clone());
            if let Ok(at) = command::at(store.rules(), state, job.id, id) {
                title = format!("{title}: {}", at.stage.title);
            }
        }
        (route.to_string(), title)
    })
}

/// Asks for a few words, with the faults of the place and ready phrases on offer.
pub fn ask(store: Store, about: &About, words: [&'static str; 2], done: Callback<String>) {
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
    let open = move |id: &Id| store.state.with(|s| s.record.notes.get(id).map(|note| note.open));
    let key = move || notes().iter().map(|id| format!("{id}{:?}", open(id))).collect();
    redraw(key, move || {
        notes().into_iter().map(|id| note(store, id, about.is_none())).collect_view()
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
