//! One job: where it stands, its ladder of stages, its variants and materials.

use crate::device::clock;
use crate::engine::table::Table;
use crate::job::command;
use crate::job::demo::Draft;
use crate::job::event::{About, Body, Id, Material};
use crate::job::mould;
use crate::job::stage::{self, Standing};
use crate::job::state::Job;
use crate::trade::model::{Makes, Method};
use crate::ui::app::go;
use crate::ui::mould::MouldOfJob;
use crate::ui::new_job::RoleChoice;
use crate::ui::papers::JobPapers;
use crate::ui::parts::{either, live, tap};
use crate::ui::person::PersonKey;
use crate::ui::photos::record_of;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// A rung of the ladder.
#[derive(Clone, PartialEq)]
struct Rung {
    id: String,
    title: String,
    standing: Standing,
    current: bool,
}

/// One job.
#[component]
pub fn JobScreen(id: Id) -> Node {
    let store = use_store();
    let of_job = move |pick: fn(&Job) -> String| {
        store.state.with(|state| {
            state.jobs.get(&id).filter(|job| !job.discarded).map(pick).unwrap_or_default()
        })
    };
    let name = move || of_job(|job| job.name.clone());
    let found = move || {
        view! {
            <h1>{name}</h1>
            {live(move || {
                let invented = of_job(|job| job.invented.to_string()) == "true";
                invented
                    .then(|| view! { <p class="invented">"Invented demo"</p> })
            })}
            <PersonKey job=id />
            <Ladder id=id />
            <MouldOfJob id=id />
            <a class="big" href=Route::Sheets(Some(id)).to_string()>"Take-off: sizes, amounts, lay-up, bolts"</a>
            <a class="big" href=Route::Buying(Some(id)).to_string()>"Buying list"</a>
            <SameAgain id=id />
            <JobPapers id=id />
            <Materials id=id />
            <Discard id=id />
        }
    };
    let missing = || {
        view! {
            <h1>"Job"</h1>
            <p class="card">"This job is not on this phone, or was removed."</p>
            <a class="big" href=Route::Jobs.to_string()>"To the jobs"</a>
        }
    };
    either(move || !name().is_empty(), found, missing)
}

#[component]
fn Ladder(id: Id) -> Node {
    let store = use_store();
    let rungs = move || {
        store.state.with(|state| {
            store.live.with(|live| {
                let Some(job) = state.jobs.get(&id) else { return Vec::new() };
                let Some(method) = state.method(store.rules(), &job.method) else {
                    return Vec::new();
                };
                let current = stage::current(method, state, job, live).map(|s| s.id.clone());
                stage::stages(method, job)
                    .into_iter()
                    .map(|one| Rung {
                        id: one.id.clone(),
                        title: one.title.clone(),
                        standing: stage::standing(method, state, job, one, live),
                        current: current.as_ref() == Some(&one.id),
                    })
                    .collect()
            })
        })
    };
    let progress = move || {
        store.state.with(|state| {
            let job = state.jobs.get(&id)?;
            Some(stage::progress(state.method(store.rules(), &job.method)?, job))
        })
    };
    let left = move || {
        store.state.with(|state| {
            let job = state.jobs.get(&id)?;
            let method = state.method(store.rules(), &job.method)?;
            Some(words::duration(stage::minutes_left(method, job)))
        })
    };
    view! {
        <p class="hint">
            {live(move || {
                let (done, all) = progress().unwrap_or_default();
                format!(
                    "{done} of {all} stages done. About {} of hands-on work left, waits not counted.",
                    left().unwrap_or_default(),
                )
            })}
        </p>
        {live(move || {
            rungs()
                .into_iter()
                .find(|rung| rung.current)
                .map(|rung| {
                    view! {
                        <a class="big main" href=Route::Stage(id, rung.id).to_string()>
                            {format!("Next: {}", rung.title)}
                        </a>
                    }
                })
        })}
        {record_of(About { job: Some(id), ..About::default() })}
        <ol class="ladder">
            {live(move || {
                rungs()
                    .into_iter()
                    .map(|rung| {
                        view! {
                <li data-standing=standing_word(&rung.standing) aria-current=rung.current.then_some("step")>
                    <a href=Route::Stage(id, rung.id.clone()).to_string()>
                        <span class="rung-mark" aria-hidden="true">{mark(&rung)}</span>
                        <span class="rung-title">{rung.title.clone()}</span>
                        <span class="rung-word">{standing_word(&rung.standing)}</span>
                    </a>
                </li>
                        }
                    })
                    .collect_view()
            })}
        </ol>
    }
}

fn standing_word(standing: &Standing) -> &'static str {
    match standing {
        Standing::Done => "done",
        Standing::Ready => "ready",
        Standing::Waiting(_) => "waits",
    }
}

fn mark(rung: &Rung) -> &'static str {
    match (&rung.standing, rung.current) {
        (Standing::Done, _) => "✓",
        (_, true) => "▶",
        (Standing::Ready, false) => "○",
        (Standing::Waiting(_), false) => "·",
    }
}

fn method(store: Store, job: &Job) -> Option<&'static Method> {
    store.state.with_untracked(|state| state.method(store.rules(), &job.method))
}

/// The next pour of a casting job: the same method, variants and materials.
#[component]
fn SameAgain(id: Id) -> Node {
    let store = use_store();
    let of_job = store.state.with_untracked(|state| state.jobs.get(&id).cloned());
    let Some(job) = of_job else { return Node::Nothing };
    let makes = method(store, &job).map(|method| method.makes);
    if makes != Some(Makes::Casts) || job.invented {
        return Node::Nothing;
    }
    let again = move |_| {
        let (switches, materials) = (job.switches.clone(), job.materials.clone());
        let name = command::next_name(&job.name);
        let opened = store.state.with_untracked(|state| {
            command::open_job(store.rules(), state, &name, &job.method, switches, materials)
        });
        match opened {
            Ok(body) => {
                let at = clock::now();
                let id = store.new_id(at);
                let mut drafts = vec![Draft { id, at, body }];
                let same = store.state.with_untracked(|state| mould::chosen(state, job.id));
                drafts.extend(same.map(|same| {
                    let body = mould::choose(id, Some(same));
                    Draft { id: store.new_id(at), at, body }
                }));
                store.append_drafts(drafts, "Next pour opened".into(), move || {
                    go(&Route::Job(id));
                });
            }
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    };
    view! { <button class="big" on:click=tap(again)>"Another pour, the same again"</button> }
}

/// Which material plays which role; can be changed until it is used.
#[component]
fn Materials(id: Id) -> Node {
    let store = use_store();
    let of_job = move || store.state.with_untracked(|state| state.jobs.get(&id).cloned());
    let materials = RwSignal::new(of_job().map(|job| job.materials).unwrap_or_default());
    let first = StoredValue::new(materials.get_untracked());
    let method = of_job().and_then(|job| method(store, &job));
    // A pick is written as soon as it differs from what the journal has.
    Effect::new(move |_| {
        let picked: Table<String, Material> = materials.get();
        if picked == first.get_value() {
            return;
        }
        first.set_value(picked.clone());
        let body =
            Body::JobChanged { job: id, name: None, switches: Table::new(), materials: picked };
        store.act(Ok(body), "Material changed");
    });
    view! {
        <details class="card">
            <summary>"Materials of this job"</summary>
            <p class="hint">"Clocks that run keep the card they were started with."</p>
            {method
                .map(|method| {
                    method
                        .roles
                        .iter()
                        .map(|role| view! { <RoleChoice role=role materials=materials /> })
                        .collect_view()
                })}
        </details>
    }
}

/// Putting a job out of sight. It can be undone, and stays in every backup.
#[component]
fn Discard(id: Id) -> Node {
    let store = use_store();
    let opened = move || {
        store
            .state
            .with(|state| state.jobs.get(&id).map(|job| words::clock(job.opened, clock::now())))
    };
    let discard = move |_| {
        store.act_then(Ok(Body::JobDiscarded { job: id }), "Job removed", || go(&Route::Jobs));
    };
    view! {
        <details class="card">
            <summary>"Remove this job"</summary>
            <p>{live(move || format!("Opened {}.", opened().unwrap_or_default()))}</p>
            <p>"It leaves the lists with its clocks. Undo brings it back, and it stays in every backup."</p>
            <button class="big quiet" on:click=tap(discard)>"Remove this job"</button>
        </details>
    }
}
