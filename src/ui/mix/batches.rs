//! Batches that were mixed: what went in against what was planned, and when
//! their tubs were empty.

use crate::device::clock;
use crate::engine::quantity::{Grams, Instant};
use crate::engine::sorting::sort_by_key;
use crate::job::batch::{empty_possible, used_up};
use crate::job::event::Id;
use crate::job::state::{Batch, State};
use crate::ui::mix::key::ask_mass;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// Most batches on one screen.
const NEWEST: usize = 6;

/// A batch as it is listed.
#[derive(Clone, PartialEq)]
struct Listed {
    id: Id,
    title: String,
    lines: Vec<String>,
    used: Option<String>,
}

fn listed(state: &State, batch: &Batch, now: Instant) -> Listed {
    let settings = &state.settings;
    let mut used = batch
        .used
        .map(|(at, _)| format!("tub empty after {}", words::duration(at.since(batch.at))));
    if let (Some(line), Some((_, Some(left)))) = (&mut used, batch.used)
        && left > Grams(0.0)
    {
        line.push_str(&format!(", {} left", words::mass(settings, left)));
    }
    Listed {
        id: batch.id,
        title: format!("{}, {}", batch.title, words::clock(batch.at, now)),
        lines: words::batch(settings, &batch.parts),
        used,
    }
}

/// The newest batches: of a stage, or of the whole bench.
#[component]
pub fn Batches(of: Option<(Id, String)>) -> Node {
    let store = use_store();
    let all = Memo::new(move |_| {
        let now = store.now.get_untracked();
        store.state.with(|state| {
            let here = |batch: &&Batch| match &of {
                Some((job, stage)) => {
                    batch.job == Some(*job) && batch.stage.as_ref() == Some(stage)
                }
                None => true,
            };
            let mut batches: Vec<&Batch> = state.batches.values().filter(here).collect();
            sort_by_key(&mut batches, |batch| std::cmp::Reverse((batch.at, batch.id)));
            batches.truncate(NEWEST);
            batches.into_iter().map(|batch| listed(state, batch, now)).collect::<Vec<_>>()
        })
    });
    let line = |batch: Listed| {
        let Listed { id, title, lines, used } = batch;
        view! {
            <li data-batch="">
                <p><b>{title}</b></p>
                {lines.into_iter().map(|line| view! { <p>{line}</p> }).collect_view()}
                {used.map(|line| view! { <p class="hint">{line}</p> })}
                <TubEmpty batch=id />
            </li>
        }
    };
    view! {
        {shown(move || all.with(|all| !all.is_empty()), move || view! {
            <section class="card">
                <h2>"Batches mixed"</h2>
                <ul class="amounts">{live(move || all.get().into_iter().map(line).collect_view())}</ul>
            </section>
        })}
    }
}

/// Notes that a batch's tub is empty, as long as that says something: the
/// instant is that of the first tap, what was left comes after it.
#[component]
pub fn TubEmpty(batch: Id) -> Node {
    let store = use_store();
    let at = RwSignal::new(None::<Instant>);
    let open = move || {
        let now = store.now.get();
        store.state.with(|state| {
            state.batches.get(&batch).is_some_and(|batch| empty_possible(state, batch, now))
        })
    };
    let note = move |left: Option<Grams>| -> Result<(), String> {
        let Some(used) = at.get_untracked() else { return Ok(()) };
        let body = store.state.with_untracked(|state| used_up(state, batch, used, left));
        store.act(Ok(body.map_err(|refusal| refusal.to_string())?), "Tub empty: noted");
        at.set(None);
        Ok(())
    };
    let done = move |left| {
        if let Err(sentence) = note(left) {
            store.refuse(sentence);
        }
    };
    let some = move |_| {
        let set = Callback::new(move |left| note(Some(left)));
        ask_mass(store, "Left in the tub".into(), "", None, set);
    };
    view! {
        {shown(open, move || view! {
            {live(move || match at.get() {
                None => view! {
                    <button class="big" on:click=tap(move |_| at.set(Some(clock::now())))>
                        "Tub empty"
                    </button>
                },
                Some(_) => view! {
                    <p>"What was left in it?"</p>
                    <div class="row">
                        <button class="big" on:click=tap(move |_| done(Some(Grams(0.0))))>"Nothing"</button>
                        <button class="big" on:click=tap(some)>"Some"</button>
                        <button class="big quiet" on:click=tap(move |_| done(None))>"Not known"</button>
                    </div>
                },
            })}
        })}
    }
}
