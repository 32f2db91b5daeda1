//! One photograph: looked at, compared with the one that it repeats, drawn on,
//! taken again over a pale picture of itself, removed.

use crate::device::photos::{self, Camera};
use crate::job::event::{Body, Id};
use crate::job::record::{self, Photo};
use crate::job::sketch;
use crate::ui::app::go;
use crate::ui::notes;
use crate::ui::parts::{either, held, live, redraw, shown, tap};
use crate::ui::photos::{drawing, keep, line, look, picture, take_key};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

/// The page's element that shows what the camera sees.
const CAMERA: &str = "camera";
/// How a pair is looked at: as it is marked in the page, and in words.
const WAYS: [(&str, &str); 3] = [("then", "Earlier"), ("half", "Both"), ("now", "This one")];

/// What is being done.
#[derive(Clone, Copy, PartialEq)]
enum Doing {
    Look,
    Draw,
    Again,
}

/// What the screen is made of.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    id: Id,
    doing: RwSignal<Doing>,
}

impl At {
    /// Writes down strokes and caption.
    fn mark(self, change: impl FnOnce(&mut Photo), done: &'static str, then: Box<dyn FnOnce()>) {
        let Some(mut photo) = untrack(|| look(self.store, self.id)) else { return };
        change(&mut photo);
        let Photo { strokes, caption, .. } = photo;
        let body = Body::PhotoMarked { photo: self.id, strokes, caption };
        self.store.act_then(Ok(body), done, then);
    }
}

/// One photograph.
#[component]
pub fn PhotoScreen(id: Id) -> Node {
    let store = use_store();
    let at = At { store, id, doing: RwSignal::new(Doing::Look) };
    let there = move || look(store, id).is_some();
    either(
        there,
        move || one(at),
        || {
            view! {
                <h1>"Photograph"</h1>
                <p class="card">"This photograph is not on this phone, or was removed."</p>
                <a class="big" href=Route::Jobs.to_string()>"To the jobs"</a>
            }
        },
    )
}

fn one(at: At) -> Node {
    let At { store, id, doing } = at;
    let Some(photo) = look(store, id) else { return Node::Nothing };
    let (href, title) = notes::place(store, &photo.about);
    let said = line(store, &photo);
    // What is looked at follows the record; what is drawn on does so stroke by stroke.
    let key = move || match (doing.get(), look(store, id)) {
        (Doing::Look, Some(photo)) => photo.strokes + &photo.caption,
        (Doing::Draw, _) => "draw".into(),
        _ => "again".into(),
    };
    view! {
        <p class="crumb"><a href=href>{title}</a></p>
        <h1>
            {live(move || look(store, id).map(|photo| photo.caption).filter(|c| !c.is_empty())
                .unwrap_or_else(|| "Photograph".into()))}
        </h1>
        <p class="hint">{said}</p>
        {redraw(key, move || match doing.get() {
            Doing::Look => looked_at(at),
            Doing::Draw => drawn_on(at),
            Doing::Again => again(at),
        })}
    }
}

fn looked_at(at: At) -> Node {
    let At { store, id, doing } = at;
    let Some(photo) = look(store, id) else { return Node::Nothing };
    let way = RwSignal::new("now");
    let earlier = photo.pair.filter(|pair| look(store, *pair).is_some());
    let later = store.state.with(|state| record::repeats(state, id));
    let about = photo.about.clone();
    let back = notes::place(store, &about).0;
    let caption = move |_| {
        notes::ask(store, &about, ["Words under it", "Write it there"], move |text| {
            let text = text.trim().to_owned();
            at.mark(|photo| photo.caption = text, "Written", Box::new(|| {}));
        });
    };
    let remove = move || {
        let back = back.clone();
        store.append(vec![Body::PhotoRemoved { photo: id }], String::new(), move || {
            crate::device::address::go(&back);
        });
    };
    view! {
        <div class="photo" data-way=move || way.get()>
            {earlier.map(|earlier| picture(store, earlier, "The earlier one".into()))}
            {picture(store, id, photo.caption.clone())}
            {drawing(&photo, String::new)}
        </div>
        {earlier.map(|earlier| view! {
            <div class="row pick" role="group" aria-label="Compare">
                {WAYS.into_iter().map(|(code, words)| view! {
                    <button
                        class="chip"
                        aria-pressed=move || (way.get() == code).to_string()
                        on:click=tap(move |_| way.set(code))
                    >
                        {words}
                    </button>
                }).collect_view()}
            </div>
            <a class="big quiet" href=Route::Photo(earlier).to_string()>"To the earlier one"</a>
        })}
        <div class="stack">
            {later.into_iter().map(|later| view! {
                <a class="big quiet" href=Route::Photo(later).to_string()>"Taken again: compare"</a>
            }).collect_view()}
            <button class="big main" on:click=tap(move |_| doing.set(Doing::Draw))>"Draw on it"</button>
            <button class="big" on:click=tap(caption)>"Words under it"</button>
            <button class="big" on:click=tap(move |_| doing.set(Doing::Again))>"Take it again from here"</button>
            {held("Remove it for good", remove)}
        </div>
    }
}

fn drawn_on(at: At) -> Node {
    let At { store, id, doing } = at;
    let arrow = RwSignal::new(false);
    let stroke = RwSignal::new(String::new());
    let down = StoredValue::new(false);
    let strokes = move || look(store, id).map(|photo| photo.strokes).unwrap_or_default();
    let hear = Callback::new(move |event: Event| {
        let (Some(place), Some(photo)) = (photos::touched(&event), untrack(|| look(store, id)))
        else {
            return;
        };
        let kind = event.type_();
        if kind == "pointerdown" {
            stroke.set(sketch::begin(arrow.get_untracked()));
            down.set_value(true);
        }
        if !down.get_value() {
            return;
        }
        stroke.update(|stroke| sketch::go_on(stroke, place, photo.size));
        if kind == "pointerup" {
            down.set_value(false);
            let new = sketch::with(&photo.strokes, &stroke.get_untracked());
            let clear = Box::new(move || stroke.set(String::new()));
            at.mark(|photo| photo.strokes = new, "Drawn", clear);
        }
    });
    let hear = move || tap(move |event| hear.run(event));
    let back = move |_| {
        at.mark(|p| p.strokes = sketch::without_last(&p.strokes), "Gone", Box::new(|| {}));
    };
    let kind = move |words: &'static str, is: bool| {
        view! {
            <button
                class="chip"
                aria-pressed=move || (arrow.get() == is).to_string()
                on:click=tap(move |_| arrow.set(is))
            >
                {words}
            </button>
        }
    };
    view! {
        <div
            class="photo drawn"
            on:pointerdown=hear()
            on:pointermove=hear()
            on:pointerup=hear()
        >
            {picture(store, id, String::new())}
            {redraw(strokes, move || look(store, id).map_or(Node::Nothing, |photo| {
                drawing(&photo, move || stroke.get())
            }))}
        </div>
        <div class="row pick" role="group" aria-label="What a finger draws">
            {kind("Line", false)}
            {kind("Arrow", true)}
        </div>
        <p class="hint">"A tap makes a cross. Each stroke is stored as you lift the finger."</p>
        <div class="row">
            {shown(move || !strokes().is_empty(), move || view! {
                <button class="big" on:click=tap(back)>"Last stroke away"</button>
            })}
            <button class="big main" on:click=tap(move |_| doing.set(Doing::Look))>"Done"</button>
        </div>
    }
}

fn open(photo: Id) {
    go(&Route::Photo(photo));
}

fn again(at: At) -> Node {
    let At { store, id, doing } = at;
    let Some(photo) = look(store, id) else { return Node::Nothing };
    let camera = RwSignal::new(None::<Option<Camera>>);
    let on = move || camera.with(|camera| matches!(camera, Some(Some(_))));
    let busy = RwSignal::new(false);
    spawn_local(async move { camera.set(Some(Camera::start(CAMERA).await)) });
    let body = move || Body::PhotoTaken {
        about: photo.about.clone(),
        caption: photo.caption.clone(),
        moment: "after".into(),
        pair: Some(id),
        size: [0; 2],
    };
    let from_camera = body.clone();
    let take = move |_| {
        if let Some(camera) = photos::element(CAMERA) {
            keep(store, camera, from_camera(), busy, open);
        }
    };
    view! {
        <div class="photo" data-way="half">
            <video id=CAMERA autoplay=true playsinline=true muted=true hidden=move || !on()></video>
            {picture(store, id, "The earlier one".into())}
        </div>
        {shown(on, move || view! {
            <p>"Line it up with the pale one."</p>
            <button class="big main" on:click=tap(take.clone())>
                {live(move || if busy.get() { "One moment…" } else { "Take" })}
            </button>
        })}
        {shown(move || camera.with(|camera| matches!(camera, Some(None))), || view! {
            <p>"There is no live picture here: no camera, or it is not allowed. Take it from the same place; then both are laid over each other."</p>
        })}
        {take_key(store, "With the phone's camera", body, open)}
        <button class="big quiet" on:click=tap(move |_| doing.set(Doing::Look))>"Back"</button>
    }
}
