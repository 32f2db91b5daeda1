//! The record of a job, a stage, a mould or a cast: its photographs and notes.
//! Also photographs as one file, out and back in.

use crate::device::photos::{self, Address};
use crate::device::{clock, files};
use crate::job::demo::Draft;
use crate::job::event::{About, Body, Id};
use crate::job::record::{self, MOMENTS, Photo};
use crate::job::{album, person, sketch};
use crate::ui::notes;
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use wasm_bindgen_futures::spawn_local;
use web_sys::wasm_bindgen::JsValue;

/// Photographs and notes about something.
pub fn record_of(about: About) -> Node {
    let store = use_store();
    let moment = RwSignal::new(match (&about.stage, about.job) {
        (Some(_), _) => "stage",
        (None, Some(_)) => "before",
        (None, None) => "after",
    });
    let about = StoredValue::new(about);
    let photos = move || about.with_value(|about| store.state.with(|s| record::photos(s, about)));
    let key = move || {
        let one = |id: &Id| look(store, *id).map(|p| format!("{id}{}{}", p.caption, p.strokes));
        photos().iter().filter_map(one).collect::<String>()
    };
    let save = RwSignal::new(None::<String>);
    let of_person = store.state.with_untracked(|state| {
        let job = about.with_value(|about| about.job).and_then(|job| state.jobs.get(&job));
        job.and_then(|job| store.rules().method(&job.method)).is_some_and(person::on_person)
    });
    view! {
        <section class="card record">
            <h2>"Photographs and notes"</h2>
            {of_person.then(|| view! {
                <p class="hint">"Moulds and casts only, and what the person agreed to. Remove what they ask you to."</p>
            })}
            {redraw(key, move || view! {
                <div class="photos">
                    {photos().into_iter().map(|id| thumb(store, id)).collect_view()}
                </div>
            })}
            {notes::list(store, move |state| about.with_value(|a| record::notes(state, a)), false)}
            <div class="row pick" role="group" aria-label="When it is taken">
                {MOMENTS.into_iter().map(|(code, words)| view! {
                    <button
                        class="chip"
                        aria-pressed=move || (moment.get() == code).to_string()
                        on:click=tap(move |_| moment.set(code))
                    >
                        {words}
                    </button>
                }).collect_view()}
            </div>
            {take_key(store, "Take a photograph", move || Body::PhotoTaken {
                about: about.get_value(),
                caption: String::new(),
                moment: moment.get_untracked().into(),
                pair: None,
                size: [0; 2],
            }, |_| {})}
            {notes::keys(store, &about)}
            {shown(move || !photos().is_empty(), move || view! {
                <button
                    class="big quiet"
                    on:click=tap(move |_| save_all(store, about.get_value(), save))
                >
                    "Save these photographs"
                </button>
            })}
            <p role="status">{live(move || save.get())}</p>
        </section>
    }
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

fn thumb(store: Store, id: Id) -> Node {
    let Some(photo) = untrack(|| look(store, id)) else { return Node::Nothing };
    let said = line(store, &photo);
    view! {
        <a href=Route::Photo(id).to_string()>
            <div class="photo">
                {picture(store, id, photo.caption.clone())}
                {drawing(&photo, || String::new())}
            </div>
            <span>{photo.caption}</span>
            <span class="hint">{said}</span>
        </a>
    }
}

/// The picture of a photograph.
pub fn picture(store: Store, id: Id, words: String) -> Node {
    let found = RwSignal::new(None::<Option<Address>>);
    store.look_up(id, found);
    let address = move || found.with(|f| f.as_ref()?.as_ref().map(Address::text));
    let alt = if words.is_empty() { "Photograph".into() } else { words };
    view! {
        <img alt=alt src=address decoding="async" />
        {shown(move || found.with(|found| matches!(found, Some(None))), || view! {
            <p class="hint">"This picture is not on this phone. Read its file of photographs, in Shop."</p>
        })}
    }
}

/// What is drawn on a photograph, with a stroke that is being drawn.
pub fn drawing(photo: &Photo, stroke: impl Fn() -> String + 'static) -> Node {
    let (strokes, size) = (photo.strokes.clone(), photo.size);
    let markup = move || sketch::markup(&sketch::with(&strokes, &stroke()), size);
    view! {
        <svg viewBox=format!("0 0 {} {}", size[0], size[1]) aria-hidden="true" inner_html=markup></svg>
    }
}

/// A key that takes a photograph; `taken` says what goes on record with it, and
/// `then` gets its id.
pub fn take_key(
    store: Store,
    words: &'static str,
    taken: impl Fn() -> Body + 'static,
    then: fn(Id),
) -> Node {
    let busy = RwSignal::new(false);
    let pick = move |event: web_sys::Event| {
        if let Some(file) = files::picked(&event) {
            keep(store, file.into(), taken(), busy, then);
        }
    };
    let again = move |_| {
        if let Some((draft, picture)) = store.unkept.get_untracked() {
            store.append_photo(draft, picture, move || store.unkept.set(None));
        }
    };
    let aside = move |_| {
        if let Some((draft, picture)) = store.unkept.get_untracked() {
            match files::save_blob(&format!("{}.jpg", draft.id), Ok(picture)) {
                Ok(()) => store.unkept.set(None),
                Err(sentence) => store.refuse(sentence),
            }
        }
    };
    view! {
        {shown(move || store.unkept.with(Option::is_some), move || view! {
            <div class="card stop" role="alert">
                <p>"A photograph is not stored yet. It is lost when the app closes."</p>
                <div class="row">
                    <button class="big main" on:click=tap(again)>"Try again"</button>
                    <button class="big quiet" on:click=tap(aside)>"Save it as a file"</button>
                </div>
            </div>
        })}
        <label class="big main file">
            {live(move || if busy.get() { "One moment…" } else { words })}
            <input type="file" accept="image/*" capture="environment" on:change=tap(pick) />
        </label>
    }
}

/// Makes a picture small and stores it with its photograph; `then` gets its id.
pub fn keep(store: Store, source: JsValue, mut body: Body, busy: RwSignal<bool>, then: fn(Id)) {
    busy.set(true);
    spawn_local(async move {
        match photos::make_small(source).await {
            Ok((picture, real)) => {
                if let Body::PhotoTaken { size, .. } = &mut body {
                    *size = real;
                }
                let at = clock::now();
                let id = store.new_id(at);
                store.append_photo(Draft { id, at, body }, picture, move || then(id));
            }
            Err(sentence) => store.refuse(sentence),
        }
        busy.set(false);
    });
}

/// Saves the photographs about something as one file.
pub fn save_all(store: Store, about: About, said: RwSignal<Option<String>>) {
    let work = async move {
        let day = clock::stamp(clock::now());
        let mut pictures = store.pictures(None).await?;
        let wanted = store.state.with_untracked(|state| record::photos(state, &about));
        pictures.retain(|(id, _)| wanted.contains(id));
        let named = |(id, picture)| {
            let name = store.state.with_untracked(|state| {
                let taken = state.record.photos.get(&id).map(|photo| clock::stamp(photo.taken));
                album::name(state, id, &taken.unwrap_or_default())
            });
            (name, picture)
        };
        let count = pictures.len();
        let file = photos::album(pictures.into_iter().map(named).collect()).await?;
        let name = format!("benchtide-photographs-{day}.zip");
        files::save_blob(&name, Ok(file))?;
        Ok(format!("{count} photographs saved as {name}. Keep a copy off this phone."))
    };
    tell(work, said);
}

/// Brings back pictures from such a file: those whose photographs are on record and
/// that are not here.
pub fn bring_back(store: Store, file: web_sys::File, said: RwSignal<Option<String>>) {
    let work = async move {
        let here = store.pictures(None).await?;
        let wanted = |id: Id| {
            let known = store.state.with_untracked(|s| s.record.photos.contains_key(&id));
            known && here.iter().all(|(other, _)| *other != id)
        };
        let (pictures, all) = photos::pictures_in(&file, wanted).await?;
        store.bring_back(&pictures).await?;
        Ok(format!(
            "{} of {all} photographs added. The others are here already, or their records are \
             not: read the file of records first.",
            pictures.len()
        ))
    };
    tell(work, said);
}

fn tell(
    work: impl Future<Output = Result<String, String>> + 'static,
    said: RwSignal<Option<String>>,
) {
    spawn_local(async move {
        let sentence = work.await.unwrap_or_else(|sentence| sentence);
        said.set(Some(sentence));
    });
}
