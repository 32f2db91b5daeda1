//! The record of a job, a stage, a mould or a cast: its photographs and notes.
//! Also photographs as one file, out and back in.

use crate::device::{clock, files, photos};
use crate::job::demo::Draft;
use crate::job::event::{About, Body, Id};
use crate::job::record::{self, MOMENTS, Photo};
use crate::job::{album, person, sketch};
use crate::ui::app::go;
use crate::ui::notes;
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use wasm_bindgen_futures::spawn_local;
use web_sys::File;
use web_sys::wasm_bindgen::JsValue;

/// Photographs and notes about something.
pub fn record_of(about: About) -> Node {
    let store = use_store();
    let moment = RwSignal::new(match (&about.stage, about.job) {
        (Some(_), _) => 1,
        (None, Some(_)) => 0,
        (None, None) => 2,
    });
    let of_person = store.state.with_untracked(|state| {
        let method =
            state.jobs.get(&about.job?).and_then(|job| state.method(store.rules(), &job.method));
        method.map(person::on_person)
    });
    let about = StoredValue::new(about);
    let photos = move || about.with_value(|about| store.state.with(|s| record::photos(s, about)));
    let key = move || {
        let mut key = String::new();
        for id in photos() {
            let photo = look(store, id).map(|photo| photo.caption + &photo.strokes);
            key = format!("{key} {id} {}", photo.unwrap_or_default());
        }
        key
    };
    let saved = RwSignal::new(None::<String>);
    view! {
        <details class="card">
            <summary>
                {live(move || format!(
                    "Photographs and notes: {}",
                    photos().len() + about.with_value(|a| store.state.with(|s| record::notes(s, a))).len()
                ))}
            </summary>
            <div class="stack record">
            {redraw(key, move || view! {
                <div class="tiles photos">
                    {photos().into_iter().map(|id| thumb(store, id)).collect_view()}
                </div>
            })}
            {notes::list(store, Some(about))}
            {of_person.unwrap_or_default().then(|| view! {
                <p class="hint">"Moulds and casts only, and what the person agreed to. Remove what they ask you to."</p>
            })}
            {chips("When it is taken", &MOMENTS.map(|(_, words)| words), moment)}
            {take_key("Take a photograph", Taking::new(store, about, moment, None))}
            {notes::keys(store, about)}
            {shown(move || !photos().is_empty(), move || view! {
                <button
                    class="big quiet"
                    on:click=tap(move |_| carry(store, about.get_value(), None, saved))
                >
                    "Save these photographs"
                </button>
            })}
            <p role="status">{live(move || saved.get())}</p>
            </div>
        </details>
    }
}

/// A row of keys of which one is pressed, by its place.
pub fn chips(label: &'static str, words: &[&'static str], picked: RwSignal<usize>) -> Node {
    let keys = words.iter().enumerate().map(|(index, words)| {
        view! {
            <button
                class="chip"
                aria-pressed=move || (picked.get() == index).to_string()
                on:click=tap(move |_| picked.set(index))
            >
                {*words}
            </button>
        }
    });
    view! { <div class="row pick" role="group" aria-label=label>{keys.collect_view()}</div> }
}

/// A photograph as it is on record, tracked.
pub fn look(store: Store, id: Id) -> Option<Photo> {
    store.state.with(|state| state.record.photos.get(&id).cloned())
}

/// What stands under a photograph.
pub fn line(store: Store, photo: &Photo) -> String {
    let moment = record::moment(&photo.moment);
    format!("{moment}, {}", words::clock(photo.taken, store.now.get_untracked()))
}

/// A photograph with what was drawn on it.
pub fn as_drawn_on(store: Store, id: Id, photo: &Photo) -> Node {
    view! {
        <div class="photo">
            {picture(store, id)}
            {drawing(photo, RwSignal::new(String::new()))}
        </div>
    }
}

fn thumb(store: Store, id: Id) -> Node {
    let Some(photo) = look(store, id) else { return Node::Nothing };
    let said = line(store, &photo);
    view! {
        <a href=Route::Photo(id).to_string()>
            {as_drawn_on(store, id, &photo)}
            <span>{photo.caption}</span>
            <span class="hint">{said}</span>
        </a>
    }
}

/// The picture of a photograph.
pub fn picture(store: Store, id: Id) -> Node {
    // Its address; an empty one when the picture is not here.
    let found = RwSignal::new(None::<String>);
    spawn_local(async move {
        let pictures = store.pictures(Some(id)).await.unwrap_or_default();
        let address = pictures.first().and_then(|(_, picture)| photos::address(picture));
        found.set(Some(address.unwrap_or_default()));
    });
    let address = move || found.get().filter(|address| !address.is_empty());
    view! {
        <img alt="Photograph" src=address on:load=tap(|event| photos::loaded(&event)) />
        {shown(move || found.get().is_some_and(|address| address.is_empty()), || view! {
            <p class="hint">"Not on this phone. Read its file of photographs, in Shop."</p>
        })}
    }
}

/// What is drawn on a photograph, with a stroke that is being drawn.
pub fn drawing(photo: &Photo, stroke: RwSignal<String>) -> Node {
    let (strokes, size) = (photo.strokes.clone(), photo.size);
    let markup = move || sketch::markup(&sketch::with(&strokes, &stroke.get()), size);
    view! {
        <svg viewBox=format!("0 0 {} {}", size[0], size[1]) aria-hidden="true" inner_html=markup></svg>
    }
}

/// What goes on record with a photograph that is being taken.
#[derive(Clone, Copy)]
pub struct Taking {
    store: Store,
    about: StoredValue<About>,
    moment: RwSignal<usize>,
    pair: Option<Id>,
    /// Whether a picture is being made small.
    pub busy: RwSignal<bool>,
}

impl Taking {
    /// A photograph about something, at a moment of [`MOMENTS`].
    pub fn new(
        store: Store,
        about: StoredValue<About>,
        moment: RwSignal<usize>,
        pair: Option<Id>,
    ) -> Self {
        Self { store, about, moment, pair, busy: RwSignal::new(false) }
    }

    /// Makes a picture small and stores it with its photograph. One that repeats
    /// another is then shown with it.
    pub fn keep(self, source: JsValue) {
        let Self { store, about, moment, pair, busy } = self;
        let about = about.get_value();
        let moment = MOMENTS[moment.get_untracked()].0.to_owned();
        busy.set(true);
        spawn_local(async move {
            match photos::make_small(source).await {
                Ok((picture, size)) => {
                    let caption = String::new();
                    let body = Body::PhotoTaken { about, caption, moment, pair, size };
                    let at = clock::now();
                    let id = store.new_id(at);
                    store.append_photo(Draft { id, at, body }, picture);
                }
                Err(sentence) => store.refuse(sentence),
            }
            busy.set(false);
        });
    }
}

/// A key that takes a photograph.
pub fn take_key(words: &'static str, taking: Taking) -> Node {
    let store = taking.store;
    let pick = move |event: web_sys::Event| {
        if let Some(file) = files::picked(&event) {
            taking.keep(file.into());
        }
    };
    let again = move |_| {
        if let Some((draft, picture)) = store.unkept.get_untracked() {
            store.append_photo(draft, picture);
        }
    };
    view! {
        {shown(move || store.unkept.with(Option::is_some), move || view! {
            <div class="card stop" role="alert">
                <p>"A photograph is not stored yet. It is lost when the app closes."</p>
                <button class="big main" on:click=tap(again)>"Try again"</button>
            </div>
        })}
        <label class="big main file">
            {live(move || if taking.busy.get() { "One moment…" } else { words })}
            <input type="file" accept="image/*" capture="environment" on:change=tap(pick) />
        </label>
    }
}

/// Follows a photograph that was stored just now, if it repeats another.
pub fn follow(photo: &Draft) {
    if let Body::PhotoTaken { pair: Some(_), .. } = photo.body {
        go(&Route::Photo(photo.id));
    }
}

/// Saves the photographs about something as one file; or brings back from such a
/// file those whose photographs are on record and whose pictures are not here.
pub fn carry(store: Store, about: About, from: Option<File>, said: RwSignal<Option<String>>) {
    let work = async move {
        let mut pictures = store.pictures(None).await?;
        let known = store.state.with_untracked(|state| record::photos(state, &about));
        let known = |id: Id| known.contains(&id);
        if let Some(file) = from {
            let wanted = |id: Id| known(id) && pictures.iter().all(|(here, _)| *here != id);
            let (found, all) = photos::pictures_in(&file, &wanted).await?;
            store.bring_back(&found).await?;
            return Ok(format!(
                "{} of {all} photographs added. The others are here, or want the file of records \
                 first.",
                found.len()
            ));
        }
        pictures.retain(|(id, _)| known(*id));
        let name = |id: Id| {
            store.state.with_untracked(|state| {
                let taken = state.record.photos.get(&id).map(|photo| clock::stamp(photo.taken));
                album::name(state, id, &taken.unwrap_or_default())
            })
        };
        let file = photos::album(&pictures, &name).await?;
        let name = format!("benchtide-photographs-{}.zip", clock::stamp(clock::now()));
        files::save_blob(&name, Ok(file))?;
        Ok(format!("{} photographs saved as {name}. Keep a copy off this phone.", pictures.len()))
    };
    spawn_local(async move {
        let sentence = work.await.unwrap_or_else(|sentence: String| sentence);
        said.set(Some(sentence));
    });
}
