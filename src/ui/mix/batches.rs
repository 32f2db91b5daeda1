//! Batches that were mixed: what went in against what was planned, and when
//! their tubs were empty.

use crate::device::clock;
use crate::engine::quantity::{Grams, Instant};
use crate::engine::sorting::sort_by_key;
use crate::job::batch::{Asks, asks, used_up};
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

/// Notes that a batch's tub is empty, and then what was left in it, as long as
/// that says something.
#[component]
fn TubEmpty(batch: Id) -> Node {
    let store = use_store();
    let asked = Memo::new(move |_| {
        let now = store.now.get();
        store.state.with(|state| asks(state, state.batches.get(&batch)?, now))
    });
    let note = move |used: Instant, left: Option<Grams>| -> Result<(), String> {
        let body = store.state.with_untracked(|state| used_up(state, batch, used, left));
        store.act(Ok(body.map_err(|refusal| refusal.to_string())?), "Tub empty: noted");
        Ok(())
    };
    let empty = move |_| {
        if let Err(sentence) = note(clock::now(), None) {
            store.refuse(sentence);
        }
    };
    let left = move |at: Instant| {
        let set = Callback::new(move |left| note(at, Some(left)));
        ask_mass(store, "Left in the tub".into(), "0 when it was scraped out.", None, set);
    };
    view! {
        {live(move || match asked.get()? {
            Asks::Empty => {
                Some(view! { <button class="big" on:click=tap(empty)>"Tub empty"</button> })
            }
            Asks::Left(at) => Some(view! {
                <button class="big quiet" on:click=tap(move |_| left(at))>"What was left in it?"</button>
            }),
        })}
    }
}
