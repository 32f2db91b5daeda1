//! One photograph: looked at, compared with the one that it repeats, drawn on,
//! taken again over a pale picture of itself, removed.

use crate::device::address;
use crate::device::photos::{self, Camera};
use crate::job::event::{Body, Id};
use crate::job::record::Photo;
use crate::job::sketch;
use crate::ui::notes;
use crate::ui::parts::{either, held, live, redraw, tap};
use crate::ui::photos::{Taking, chips, drawing, line, look, picture, take_key};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

/// The page's element that shows what the camera sees.
const CAMERA: &str = "camera";
/// How a pair is looked at.
const WAYS: [&str; 3] = ["Earlier", "Both", "This one"];

// What is being done, and how far a camera is.
const LOOK: usize = 0;
const DRAW: usize = 1;
const AGAIN: usize = 2;
const ASKED: usize = 0;
const ON: usize = 1;
const NONE: usize = 2;

/// What the screen is made of.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    id: Id,
    doing: RwSignal<usize>,
}

impl At {
    /// The photograph, tracked.
    fn photo(self) -> Option<Photo> {
        look(self.store, self.id)
    }

    /// Writes down strokes and caption.
    fn mark(self, change: &dyn Fn(&mut Photo), done: &'static str, then: impl FnOnce() + 'static) {
        let Some(mut photo) = untrack(|| self.photo()) else { return };
        change(&mut photo);
        let Photo { strokes, caption, .. } = photo;
        let body = Body::PhotoMarked { photo: self.id, strokes, caption };
        self.store.act_then(Ok(body), done, then);
    }

    /// A key that turns to something else.
    fn key(self, class: &'static str, words: &'static str, doing: usize) -> Node {
        let turn = tap(move |_| self.doing.set(doing));
        view! { <button class=class on:click=turn>{words}</button> }
    }
}

/// One photograph.
#[component]
pub fn PhotoScreen(id: Id) -> Node {
    let at = At { store: use_store(), id, doing: RwSignal::new(LOOK) };
    let there = move || at.photo().is_some();
    either(
        there,
        move || at.photo().map_or(Node::Nothing, |photo| one(at, photo)),
        || {
            view! {
                <h1>"Photograph"</h1>
                <p class="card">"It is not on this phone, or was removed."</p>
            }
        },
    )
}

fn one(at: At, photo: Photo) -> Node {
    let (href, title) = notes::place(at.store, &photo.about);
    let said = line(at.store, &photo);
    let words = move || at.photo().map(|photo| photo.caption).unwrap_or_default();
    // What is looked at follows the record; what is drawn on does so stroke by stroke.
    let key = move || match (at.doing.get(), at.photo()) {
        (LOOK, Some(photo)) => photo.strokes,
        (doing, _) => doing.to_string(),
    };
    view! {
        <p class="crumb"><a href=href>{title}</a></p>
        <h1>{live(move || Some(words()).filter(|w| !w.is_empty()).unwrap_or_else(|| "Photograph".into()))}</h1>
        <p class="hint">{said}</p>
        {redraw(key, move || {
            let Some(photo) = at.photo() else { return Node::Nothing };
            match at.doing.get() {
                DRAW => drawn_on(at),
                AGAIN => again(at, photo),
                _ => looked_at(at, photo),
            }
        })}
    }
}

fn looked_at(at: At, photo: Photo) -> Node {
    let At { store, id, .. } = at;
    let way = RwSignal::new(2);
    let earlier = photo.pair.filter(|pair| look(store, *pair).is_some());
    let drawing = drawing(&photo, RwSignal::new(String::new()));
    let about = photo.about;
    let back = notes::place(store, &about).0;
    let caption = move |_| {
        let write = move |text: String| {
            at.mark(&|photo| photo.caption = text.trim().to_owned(), "Written", || {});
        };
        notes::ask(store, &about, ["Words under it", "Write it there"], Callback::new(write));
    };
    let remove = move || {
        let back = back.clone();
        let gone = Body::PhotoRemoved { photo: id };
        store.append(vec![gone], String::new(), move || address::go(&back));
    };
    view! {
        <div class="photo" data-way=move || way.get().to_string()>
            {earlier.map(|earlier| picture(store, earlier))}
            {picture(store, id)}
            {drawing}
        </div>
        {earlier.map(|_| chips("Compare", &WAYS, way))}
        <div class="stack">
            {at.key("big main", "Draw on it", DRAW)}
            <button class="big" on:click=tap(caption)>"Words under it"</button>
            {at.key("big", "Take it again from here", AGAIN)}
            {earlier.map(|earlier| view! {
                <a class="big quiet" href=Route::Photo(earlier).to_string()>"To the earlier one"</a>
            })}
            {held("Remove it for good", remove)}
        </div>
    }
}

fn drawn_on(at: At) -> Node {
    let arrow = RwSignal::new(0);
    let stroke = RwSignal::new(String::new());
    let down = StoredValue::new(false);
    let strokes = move || at.photo().map(|photo| photo.strokes).unwrap_or_default();
    let hear = Callback::new(move |event: Event| {
        let (Some(place), Some(photo)) = (photos::touched(&event), untrack(|| at.photo())) else {
            return;
        };
        let kind = event.type_();
        if kind == "pointerdown" {
            stroke.set(sketch::begin(arrow.get_untracked() == 1));
            down.set_value(true);
        }
        if !down.get_value() {
            return;
        }
        stroke.update(|stroke| sketch::go_on(stroke, place, photo.size));
        if kind == "pointerup" {
            down.set_value(false);
            let new = stroke.get_untracked();
            let add = |photo: &mut Photo| photo.strokes = sketch::with(&photo.strokes, &new);
            at.mark(&add, "Drawn", move || stroke.set(String::new()));
        }
    });
    let hear = move || tap(move |event| hear.run(event));
    let back = move |_| {
        if untrack(strokes).is_empty() {
            return;
        }
        at.mark(&|p| p.strokes = sketch::without_last(&p.strokes), "Stroke taken away", || {});
    };
    view! {
        <div
            class="photo drawn"
            on:pointerdown=hear()
            on:pointermove=hear()
            on:pointerup=hear()
        >
            {picture(at.store, at.id)}
            {redraw(strokes, move || at.photo().map_or(Node::Nothing, |p| drawing(&p, stroke)))}
        </div>
        {chips("What a finger draws", &["Line", "Arrow"], arrow)}
        <p class="hint">"A tap makes a cross. Each stroke is stored as you lift the finger."</p>
        <div class="row">
            <button class="big" on:click=tap(back)>"Last stroke away"</button>
            {at.key("big main", "Done", LOOK)}
        </div>
    }
}

fn again(at: At, photo: Photo) -> Node {
    let camera = RwSignal::new(ASKED);
    let kept = StoredValue::new(None::<Camera>);
    spawn_local(async move {
        let started = Camera::start(CAMERA).await;
        camera.set(if started.is_some() { ON } else { NONE });
        kept.set_value(started);
    });
    // The moment is "after".
    let taking =
        Taking::new(at.store, StoredValue::new(photo.about), RwSignal::new(2), Some(at.id));
    let take = move |_| {
        if let Some(seen) = photos::element(CAMERA) {
            taking.keep(seen);
        }
    };
    view! {
        <div class="photo" data-way="1">
            <video id=CAMERA autoplay=true playsinline=true muted=true hidden=move || camera.get() != ON></video>
            {picture(at.store, at.id)}
        </div>
        <div class="stack">
            {live(move || match camera.get() {
                ON => view! {
                    <p>"Line it up with the pale one."</p>
                    <button class="big main" on:click=tap(take)>"Take"</button>
                },
                NONE => view! {
                    <p>"No live picture here. Take it from the same place; then both are laid over each other."</p>
                },
                _ => Node::Nothing,
            })}
            {take_key("With the phone's camera", taking)}
            {at.key("big quiet", "Back", LOOK)}
        </div>
    }
}
