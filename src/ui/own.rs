//! Methods, built in and own: copy one, change it, share it as a file.

use crate::device::files;
use crate::job::event::{Body, Id};
use crate::job::own::{self, Change, text};
use crate::trade::model::Method;
use crate::trade::own::{Problem, Wrong};
use crate::ui::app::go;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stock::value_key;
use crate::ui::store::{Store, use_store};
use wasm_bindgen_futures::spawn_local;

pub mod stage;

/// The list of methods.
#[component]
pub fn MethodsScreen() -> Node {
    let store = use_store();
    let take = move |event: web_sys::Event| {
        let Some(file) = files::picked(&event) else { return };
        spawn_local(async move {
            match files::read(file).await {
                Ok(text) => keep(store, own::take(store.rules(), &text), "Method taken"),
                Err(sentence) => store.refuse(sentence),
            }
        });
    };
    let rows = move || {
        let own = store.state.with(|state| {
            let own = state.record.own_methods();
            own.map(|(_, own)| {
                (own.first.to_string(), own::method(store.rules(), state, own.first))
            })
            .collect::<Vec<_>>()
        });
        let built_in = store.rules().methods.iter().map(|method| (method.id.clone(), Ok(method)));
        own.into_iter()
            .chain(built_in)
            .map(|(code, method)| {
                let (title, note) = match method {
                    Ok(method) => (method.title.clone(), method.suits.clone()),
                    Err(problem) => ("Can't be used".into(), problem.to_string()),
                };
                view! {
                    <a class="card job-line" href=Route::Method(code).to_string()>
                        <span class="live-name">{title}</span>
                        <span class="by-trade">{note}</span>
                    </a>
                }
            })
            .collect_view()
    };
    view! {
        <p class="crumb"><a href=Route::Jobs.to_string()>"Jobs"</a></p>
        <h1>"Methods"</h1>
        <p>"Copy one and change it to how this shop works. New jobs can use it."</p>
        <div class="rows">{live(rows)}</div>
        <label class="big file">
            "Open a method file"
            <input type="file" accept="application/json,.json" on:change=tap(take) />
        </label>
    }
}

/// Keeps a new method and goes to it.
fn keep(store: Store, body: Result<Body, Problem>, done: &str) {
    match body {
        Ok(body) => {
            let at = crate::device::clock::now();
            let id = store.new_id(at);
            let draft = crate::job::demo::Draft { id, at, body };
            store.append_drafts(vec![draft], done.to_owned(), move || {
                go(&Route::Method(id.to_string()));
            });
        }
        Err(problem) => store.refuse(problem.to_string()),
    }
}

/// Changes an own method. A line that guards is asked a reason for.
fn change(store: Store, first: Id, change: Change, done: &'static str) {
    let made = store.state.with_untracked(|s| own::change(store.rules(), s, first, change));
    match made {
        Ok(body) => store.append(vec![body], done.to_owned(), || {}),
        Err(problem) => store.refuse(problem.to_string()),
    }
}

/// Sets a field of the file.
fn set(store: Store, first: Id, way: &[&str], value: String) {
    let way = way.iter().map(|key| (*key).to_owned()).collect();
    change(store, first, Change::Set(way, value), "Changed");
}

/// What was taken out below a place, each as a key that puts it back.
fn taken_out(store: Store, first: Id, way: &[&str]) -> Vec<Node> {
    let out = store.state.with(|state| {
        let (_, text) = own::in_force(state, first).ok()?;
        Some(own::taken_out(text, way))
    });
    let mut keys = Vec::new();
    for (id, reason) in out.unwrap_or_default() {
        let mut way: Vec<String> = way.iter().map(|key| (*key).to_owned()).collect();
        way.extend([id.clone(), "out".to_owned()]);
        let back = move |_| {
            change(store, first, Change::Set(way.clone(), String::new()), "Back in");
        };
        keys.push(value_key(
            "taken out".into(),
            reason,
            Some(["Put back ", &id].concat()),
            tap(back),
        ));
    }
    keys
}

/// One method.
#[component]
pub fn MethodScreen(code: String) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let first = Id::parse(&code);
    let found = move |code: &str| match first {
        Some(first) => store.state.with(|state| own::method(store.rules(), state, first)),
        None => store.rules().method(code).ok_or(Problem::of(Wrong::Gone)),
    };
    view! {
        <p class="crumb"><a href=Route::Methods.to_string()>"Methods"</a></p>
        {live(move || match found(&code) {
            Ok(method) => one(store, overlays, first, &code, method),
            Err(problem) => view! {
                <h1>"Method"</h1>
                <p class="card">{problem.to_string()}</p>
                {first.map(|first| own_keys(store, overlays, first, ""))}
            },
        })}
    }
}

fn one(
    store: Store,
    overlays: Overlays,
    first: Option<Id>,
    code: &str,
    method: &'static Method,
) -> Node {
    let code = code.to_owned();
    let copy = move |_| {
        let code = code.clone();
        let named = move |name: String| {
            let copied = store.state.with_untracked(|s| own::copy(store.rules(), s, &code, &name));
            keep(store, copied, "Copied");
        };
        overlays.write("What is the copy called?", &method.title, Box::new(named));
    };
    let rungs = method.stages.iter().map(|stage| {
        let inside = view! {
            <span class="rung-mark" aria-hidden="true">"○"</span>
            <span class="rung-title">{stage.title.clone()}</span>
        };
        match first {
            Some(first) => {
                let to = Route::MethodStage(first, stage.id.clone()).to_string();
                view! { <li><a href=to>{inside}</a></li> }
            }
            None => view! { <li><a>{inside}</a></li> },
        }
    });
    view! {
        <h1>{method.title.clone()}</h1>
        <p class="hint">{method.suits.clone()}</p>
        {first.is_some().then(|| view! {
            <p class="hint">"Tap a stage to change it. A running job keeps the form that it was opened with."</p>
        })}
        <button class="big main" on:click=tap(copy)>"Copy it"</button>
        <ol class="ladder">{rungs.collect::<Vec<_>>().into_iter().collect_view()}</ol>
        {first.map(|first| taken_out(store, first, &["stages"]).into_iter().collect_view())}
        {first.map(|first| own_keys(store, overlays, first, &method.title))}
    }
}

/// What can be done with an own method as a whole.
fn own_keys(store: Store, overlays: Overlays, first: Id, title: &str) -> Node {
    let name = title.to_owned();
    let rename = move |_| {
        let named = move |name: String| set(store, first, &["name"], text(&name));
        overlays.write("What is it called?", &name, Box::new(named));
    };
    let save = move |_| {
        let file = store.state.with_untracked(|state| own::file(state, first));
        let saved = file.map_err(|problem| problem.to_string());
        let name = "method.json";
        match saved.and_then(|text| files::save(name, "application/json", &text)) {
            Ok(()) => {}
            Err(sentence) => store.refuse(sentence),
        }
    };
    let drop = move |_| {
        let body = Body::MethodDropped { method: first };
        store.append(vec![body], "Not offered any more".into(), || go(&Route::Methods));
    };
    view! {
        <div class="stack">
            <button class="big" on:click=tap(rename)>"Rename it"</button>
            <button class="big" on:click=tap(save)>"Save it as a file"</button>
            <button class="big quiet" on:click=tap(drop)>"Offer it no more"</button>
        </div>
    }
}
