//! Moulds, their casts, and the way to them from a job.

use crate::device::clock;
use crate::job::command::Refusal;
use crate::job::demo::Draft;
use crate::job::event::{About, Body, Id};
use crate::job::mould::{self, Judged};
use crate::job::sheet;
use crate::job::state::State;
use crate::trade::model::Makes;
use crate::ui::app::go;
use crate::ui::overlay::{Overlays, REASON, Why, use_overlays};
use crate::ui::parts::{either, held, live, shown, tap};
use crate::ui::photos::record_of;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::sheet::{lines, lines_of};
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Casts that are in sight at once.
const IN_SIGHT: usize = 10;

/// The events that a command gives, or why not.
type Begun = Result<Vec<Body>, Refusal>;

/// Appends events under an id of their own first, and goes where they lead.
fn begin(store: Store, bodies: &dyn Fn(&State, Id) -> Begun, done: &str, to: fn(Id) -> Route) {
    let at = clock::now();
    let id = store.new_id(at);
    match store.state.with_untracked(|state| bodies(state, id)) {
        Ok(bodies) => {
            let drafts = bodies.into_iter().enumerate().map(|(place, body)| Draft {
                id: if place == 0 { id } else { store.new_id(at) },
                at,
                body,
            });
            store.append_drafts(drafts.collect(), done.to_owned(), move || go(&to(id)));
        }
        Err(refusal) => store.refuse(refusal.to_string()),
    }
}

/// A cast came out of a mould.
fn cast_out(store: Store, mould: Id, job: Option<Id>) {
    begin(
        store,
        &|state, id| mould::cast(store.rules(), state, mould, job, id),
        "Cast noted",
        Route::Cast,
    );
}

/// A line of the list of moulds: how it stands, and its casts.
fn mould_line(store: Store, state: &State, id: Id) -> Option<(String, String)> {
    let word = mould::word(store.rules(), state, id, store.now.get_untracked())?;
    let face = mould::face(store.rules(), state, id);
    let count = mould::casts(state, id).len();
    let casts = if count == 1 { "cast" } else { "casts" };
    let face = face.map(|family| format!("{}, ", family.short)).unwrap_or_default();
    Some((format!("{face}{count} {casts}"), word.words().to_owned()))
}

/// The list of moulds.
#[component]
pub fn MouldsScreen() -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let list = move || {
        store.state.with(|state| {
            mould::all(state)
                .into_iter()
                .map(|(id, mould)| {
                    let (casts, word) = mould_line(store, state, id).unwrap_or_default();
                    view! {
                        <a class="card job-line" href=Route::Mould(id).to_string()>
                            <span class="live-name">{mould.name.clone()}</span>
                            <span class="by-trade">{casts}</span>
                            <span>{word}</span>
                        </a>
                    }
                })
                .collect::<Vec<_>>()
        })
    };
    let add = move |_| {
        let done = Callback::new(move |name: String| {
            begin(store, &|_, _| Ok(vec![mould::keep(&name)?]), "Mould on record", Route::Mould);
        });
        overlays.why.set(Some(Why {
            title: "A mould that is here already".into(),
            text: "What does the shop call it?".into(),
            offers: Vec::new(),
            words: ["Two or three words", "Put it on record"],
            done,
        }));
    };
    view! {
        <p class="crumb"><a href=Route::Jobs.to_string()>"Jobs"</a></p>
        <h1>"Moulds"</h1>
        <button class="big" on:click=tap(add)>"A mould that is here already"</button>
        {shown(move || store.state.with(|state| state.record.moulds.is_empty()), || view! {
            <p class="card empty">"No moulds yet. When a job is nearly done, its page makes one of it."</p>
        })}
        <div class="rows">{live(list)}</div>
    }
}

fn missing(what: &'static str) -> Node {
    view! {
        <h1>{what}</h1>
        <p class="card">"It is not on this phone, or was undone."</p>
        <a class="big" href=Route::Moulds.to_string()>"To the moulds"</a>
    }
}

/// What a mould's standing says, as lines of its card; drawn anew once a minute.
fn standing(store: Store, id: Id) -> Node {
    let Some(card) = sheet::find(sheet::MOULD) else { return Node::Nothing };
    let minute = Memo::new(move |_| (store.now.get().millis() / 60_000) as u32);
    let items = move || {
        minute.with(|_| ());
        let now = store.now.get_untracked();
        store.state.with(|state| mould::standing(store.rules(), state, id, now))
    };
    lines(Some(id), card, Box::new(items))
}

/// One mould.
#[component]
pub fn MouldScreen(id: Id) -> Node {
    let store = use_store();
    let known = move || store.state.with(|state| state.record.moulds.contains_key(&id));
    either(known, move || one(store, id), || missing("Mould"))
}

/// Asks for a few words.
fn ask(overlays: Overlays, [title, text]: [&str; 2], offers: &[&str], done: Callback<String>) {
    overlays.why.set(Some(Why {
        title: title.into(),
        text: text.into(),
        offers: offers.iter().map(|offer| (*offer).to_owned()).collect(),
        words: REASON,
        done,
    }));
}

fn one(store: Store, id: Id) -> Node {
    let overlays = use_overlays();
    let name = move || {
        store.state.with(|s| s.record.moulds.get(&id).map(|m| m.name.clone()).unwrap_or_default())
    };
    let in_use =
        move || store.state.with(|s| s.record.moulds.get(&id).is_some_and(|m| m.retired.is_none()));
    let serviced = Callback::new(move |note: String| {
        let body = store.state.with_untracked(|state| mould::service(state, id, &note));
        store.act(body, "Service noted");
    });
    let retired = Callback::new(move |why: String| {
        let body = store.state.with_untracked(|state| mould::retire(state, id, &why));
        store.act(body, "Given up");
    });
    let service = move |_| {
        let offers = ["Washed, dried, powdered", "Tears mended", "Bolts and keys seen to"];
        ask(
            overlays,
            ["Serviced", "What was done? Casts count anew from here."],
            &offers,
            serviced,
        );
    };
    let retire = move || {
        let offers = ["Torn", "Stiff or swollen", "Detail lost", "Not wanted any more"];
        ask(overlays, ["Give it up", "Why? It stays on record with its casts."], &offers, retired);
    };
    let keys = move || {
        view! {
            <button class="big" on:click=tap(service)>"Serviced"</button>
            {held("Give it up", retire)}
        }
    };
    view! {
        <p class="crumb"><a href=Route::Moulds.to_string()>"Moulds"</a></p>
        <h1>{live(name)}</h1>
        <div class="stack">
            {shown(in_use, move || view! {
                <button class="big main" on:click=tap(move |_| cast_out(store, id, None))>"Cast made"</button>
            })}
        </div>
        {standing(store, id)}
        <div class="stack">
            <a class="big" href=Route::Sheet(Some(id), sheet::MOULD.into()).to_string()>"Its card"</a>
            <a class="big" href=Route::MouldPaper(id).to_string()>"Print card or casting log"</a>
            {shown(in_use, keys)}
        </div>
        {record_of(About { mould: Some(id), ..About::default() })}
        {live(move || casts_of(store, id))}
        {live(move || services(store, id))}
    }
}

/// The casts, newest first; those before the last ten are folded.
fn casts_of(store: Store, id: Id) -> Option<Node> {
    let mut rows = store.state.with(|state| {
        let casts = mould::casts(state, id).into_iter().rev();
        casts
            .map(|(id, cast)| {
                let weight = mould::weight(state, id);
                let weight = weight.map(|w| format!(", {}", words::mass(&state.settings, w)));
                let hint = format!(" {}{}", words::day(cast.made), weight.unwrap_or_default());
                let judged = Judged::of(state, id);
                let mark = match judged {
                    Judged::Open => "○",
                    Judged::Passed | Judged::Repaired => "✓",
                    Judged::Scrapped => "✕",
                };
                view! {
                    <li>
                        <a href=Route::Cast(id).to_string()>
                            <span class="rung-mark" aria-hidden="true">{mark}</span>
                            <span class="rung-title">{format!("Cast {}", cast.number)} <span class="hint">{hint}</span></span>
                            <span class="rung-word">{judged.words()}</span>
                        </a>
                    </li>
                }
            })
            .collect::<Vec<_>>()
    });
    if rows.is_empty() {
        return None;
    }
    let earlier = rows.split_off(rows.len().min(IN_SIGHT));
    Some(view! {
        <h2>"Casts"</h2>
        <ul class="ladder">{rows}</ul>
        {(!earlier.is_empty()).then(|| view! {
            <details class="card">
                <summary>"Earlier casts"</summary>
                <ul class="ladder">{earlier}</ul>
            </details>
        })}
    })
}

/// When it was looked after, and what was done.
fn services(store: Store, id: Id) -> Option<Node> {
    let rows = store.state.with(|state| {
        let mould = state.record.moulds.get(&id)?;
        let rows = mould.serviced.iter().rev();
        let rows =
            rows.map(|(at, note)| view! { <dt>{words::day(*at)}</dt> <dd>{note.clone()}</dd> });
        Some(rows.collect::<Vec<_>>()).filter(|rows| !rows.is_empty())
    })?;
    Some(view! { <h2>"Serviced"</h2> <dl class="facts">{rows}</dl> })
}

/// One cast.
#[component]
pub fn CastScreen(id: Id) -> Node {
    let store = use_store();
    let known = move || store.state.with(|state| state.record.casts.contains_key(&id));
    either(
        known,
        move || {
            let of = store.state.with_untracked(|state| {
                let cast = state.record.casts.get(&id)?;
                let name = state.record.moulds.get(&cast.mould).map(|mould| mould.name.clone());
                Some((cast.mould, name.unwrap_or_default(), cast.number, cast.made))
            });
            let (Some((of, name, number, made)), Some(found)) = (of, sheet::find(sheet::CAST))
            else {
                return Node::Nothing;
            };
            view! {
                <p class="crumb"><a href=Route::Mould(of).to_string()>{name}</a></p>
                <h1>{format!("Cast {number}")}</h1>
                <p class="hint">{words::day(made)} ". " {found.about}</p>
                {lines_of(Some(id), found)}
                {record_of(About { cast: Some(id), ..About::default() })}
                <div class="stack"><a class="big main" href=Route::Mould(of).to_string()>"To its mould"</a></div>
            }
        },
        || missing("Cast"),
    )
}

/// On a job's page: the mould that it leaves, or the one that it casts from.
#[component]
pub fn MouldOfJob(id: Id) -> Node {
    let store = use_store();
    live(move || {
        store.state.with(|state| {
            let job = state.jobs.get(&id)?;
            let method = store.rules().method(&job.method)?;
            if method.makes == Makes::Casts {
                return casts_from(store, state, id);
            }
            if let Some(mould) = mould::of_job(state, id) {
                let name = state.record.moulds.get(&mould).map(|mould| mould.name.clone());
                return Some(view! {
                    <a class="big" href=Route::Mould(mould).to_string()>{format!("Its mould: {}", name?)}</a>
                });
            }
            let make = move |_| {
                begin(
                    store,
                    &|state, mould| mould::from_job(store.rules(), state, id, mould),
                    "Mould on record",
                    Route::Mould,
                );
            };
            mould::is_near(method, job).then(|| view! {
                <button class="big" on:click=tap(make)>"It is a mould now"</button>
            })
        })
    })
}

/// The mould of a casting job, what speaks against casting in it, and its key.
fn casts_from(store: Store, state: &State, job: Id) -> Option<Node> {
    let choose = move |mould: Option<Id>| {
        tap(move |_| store.append(vec![mould::choose(job, mould)], "Mould chosen".into(), || {}))
    };
    let Some(chosen) = mould::chosen(state, job) else {
        let moulds = mould::all(state).into_iter().filter(|(_, mould)| mould.retired.is_none());
        let keys = moulds.map(|(id, mould)| {
            view! { <button class="big" on:click=choose(Some(id))>{mould.name.clone()}</button> }
        });
        let keys = keys.collect::<Vec<_>>();
        return (!keys.is_empty()).then(|| {
            view! {
                <details class="card">
                    <summary>"Cast from which mould?"</summary>
                    <div class="stack">{keys}</div>
                </details>
            }
        });
    };
    let mould = state.record.moulds.get(&chosen)?;
    let (casts, word) = mould_line(store, state, chosen)?;
    Some(view! {
        <section class="card">
            <a class="job-line" href=Route::Mould(chosen).to_string()>
                <span class="live-name">{mould.name.clone()}</span>
                <span class="by-trade">{casts}</span>
                <span>{word}</span>
            </a>
            <div class="stack">
                <button class="big" on:click=tap(move |_| cast_out(store, chosen, Some(job)))>"Cast out"</button>
                <button class="big quiet" on:click=choose(None)>"Another mould"</button>
            </div>
        </section>
    })
}
