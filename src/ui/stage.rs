//! One stage at a time: what it waits for, its cautions, its lines, its
//! amounts, the clocks that it starts, and the way on.

use crate::job::command;
use crate::job::event::{About, Body, Id};
use crate::job::stage::{self, Standing, WaitsFor};
use crate::trade::model::Stage;
use crate::ui::amounts::Amounts;
use crate::ui::app::go;
use crate::ui::cautions::Cautions;
use crate::ui::checks::{Checks, with_stage};
use crate::ui::mix::Batches;
use crate::ui::overlay::{REASON, Why, use_overlays};
use crate::ui::parts::{live, tap};
use crate::ui::photos::record_of;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stage_gate::GateCard;
use crate::ui::stage_start::Starts;
use crate::ui::store::use_store;
use crate::ui::words;

/// One stage of a job.
#[component]
pub fn StageScreen(id: Id, stage: String) -> Node {
    let store = use_store();
    let found = with_stage(store, id, &stage, |at| (at.stage, at.job.name.clone()));
    match found {
        Ok((stage, job)) => view! { <OneStage id=id stage=stage job=job /> },
        Err(refusal) => view! {
            <h1>"Stage"</h1>
            <p class="card">{refusal.to_string()}</p>
            <a class="big" href=Route::Jobs.to_string()>"To the jobs"</a>
        },
    }
}

#[component]
fn OneStage(id: Id, stage: &'static Stage, job: String) -> Node {
    view! {
        <p class="crumb">
            <a href=Route::Job(id).to_string()>{job}</a>
        </p>
        <h1>{stage.title.clone()}</h1>
        <StandingCard id=id stage=stage />
        {stage.gate.map(|_| view! { <GateCard job=id stage=stage /> })}
        <Cautions
            hazards=stage.hazards.clone()
            ppe=stage.ppe.clone()
            questions=stage.cautions.clone()
        />
        {(!stage.how.is_empty())
            .then(|| {
                view! {
                    <details class="card" open=true>
                        <summary>"How"</summary>
                        <ul class="how">
                            {stage.how.iter().map(|line| view! { <li>{line.clone()}</li> }).collect_view()}
                        </ul>
                    </details>
                }
            })}
        <Amounts job=id stage=stage.id.clone() />
        <Batches of=Some((id, stage.id.clone())) />
        <Starts job=id stage=stage />
        <section class="card">
            <h2>"Check"</h2>
            <Checks job=id stage=stage.id.clone() />
        </section>
        {record_of(About { job: Some(id), stage: Some(stage.id.clone()), ..About::default() })}
        {(!stage.tools.is_empty())
            .then(|| {
                view! {
                    <details class="card">
                        <summary>"Tools"</summary>
                        <p>{stage.tools.join(", ")}</p>
                    </details>
                }
            })}
        <Faults stage=stage />
        <Finish id=id stage=stage />
    }
}

/// What it waits for, with the way round: a recorded reason.
#[component]
fn StandingCard(id: Id, stage: &'static Stage) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let standing = move || {
        store.live.with(|live| {
            store.state.with(|state| {
                command::at(store.rules(), state, id, &stage.id)
                    .map(|at| stage::standing(at.method, state, at.job, at.stage, live))
            })
        })
    };
    let override_it = move |_| {
        overlays.why.set(Some(Why {
            title: "Start all the same?".into(),
            text: "What it waits for is there for a reason. Yours goes on the record.".into(),
            offers: vec![
                "Tested by hand and ready".into(),
                "Done earlier, not ticked".into(),
                "Not needed on this piece".into(),
            ],
            words: REASON,
            done: Callback::new(move |reason: String| {
                let outcome =
                    with_stage(store, id, &stage.id, |at| command::override_wait(at, &reason));
                store.act(outcome.and_then(|body| body), "Overruled, with the reason");
            }),
        }));
    };
    view! {
        {live(move || match standing() {
            Ok(Standing::Waiting(waits)) => {
                view! {
                    <section class="card warn" role="status">
                        <h2>"This waits for"</h2>
                        <ul>
                            {waits
                                .into_iter()
                                .map(|wait| view! { <WaitLine id=id wait=wait /> })
                                .collect_view()}
                        </ul>
                        <button class="big quiet" on:click=tap(override_it)>"Start all the same"</button>
                    </section>
                }
            }
            Ok(Standing::Done) => {
                view! { <p class="card done-note">"Done. It can be looked at and taken back below."</p> }
            }
            Ok(Standing::Ready) | Err(_) => Node::Nothing,
        })}
    }
}

#[component]
fn WaitLine(id: Id, wait: WaitsFor) -> Node {
    let now = use_store().now.get_untracked();
    match wait {
        WaitsFor::Stage { id: stage, title } => {
            let href = Route::Stage(id, stage).to_string();
            view! { <li><a href=href>{title}</a></li> }
        }
        WaitsFor::NotStarted { title } => {
            view! { <li>{format!("{title}: its clock was not started")}</li> }
        }
        WaitsFor::Window { cure, title, window, opens } => {
            let when = match opens {
                Some(opens) => {
                    format!("{title}, {window}: surely open {}", words::clock(opens, now))
                }
                None => format!("{title}, {window}: no time can be given"),
            };
            let href = Route::Cure(cure).to_string();
            view! { <li><a href=href>{when}</a></li> }
        }
    }
}

/// What this stage guards against.
#[component]
fn Faults(stage: &'static Stage) -> Node {
    let rules = use_store().rules();
    let faults: Vec<_> =
        stage.faults.iter().filter_map(|id| rules.faults.iter().find(|f| f.id == *id)).collect();
    if faults.is_empty() {
        return Node::Nothing;
    }
    view! {
        <details class="card">
            <summary>"What goes wrong here"</summary>
            {faults
                .into_iter()
                .map(|fault| {
                    view! {
                        <p>
                            <b>{fault.title.clone()}</b>
                            ". Sign: "
                            {fault.sign.clone()}
                            ". Instead: "
                            {fault.prevent.clone()}
                            "."
                        </p>
                    }
                })
                .collect_view()}
        </details>
    }
}

/// Finishing the stage, or taking that back; then the next one.
#[component]
fn Finish(id: Id, stage: &'static Stage) -> Node {
    let store = use_store();
    let finished = move || {
        store.state.with(|state| {
            state.jobs.get(&id).and_then(|job| job.finished.get(&stage.id)).map(|m| m.event)
        })
    };
    let next = move || {
        store.live.with(|live| {
            store.state.with(|state| {
                let at = command::at(store.rules(), state, id, &stage.id).ok()?;
                let next = stage::current(at.method, state, at.job, live)?;
                (next.id != stage.id).then(|| (next.id.clone(), next.title.clone()))
            })
        })
    };
    let finish = move |_| {
        let live = store.live.get_untracked();
        let outcome: Result<Body, _> = store.state.with_untracked(|state| {
            let at = command::at(store.rules(), state, id, &stage.id)?;
            command::finish(&at, state, &live)
        });
        store.act_then(outcome, format!("{}: done", stage.title), move || match untrack(next) {
            Some((next, _)) => go(&Route::Stage(id, next)),
            None => go(&Route::Job(id)),
        });
    };
    view! {
        <div class="stack finish">
            {live(move || match finished() {
                None => view! { <button class="big main" on:click=tap(finish)>"Stage done"</button> },
                Some(event) => {
                    view! {
                        <button
                            class="big quiet"
                            on:click=tap(move |_| store.undo(&[event], "Stage open again"))
                        >
                            "Open this stage again"
                        </button>
                    }
                }
            })}
            {live(move || {
                next()
                    .filter(|_| finished().is_some())
                    .map(|(next, title)| {
                        view! {
                            <a class="big main" href=Route::Stage(id, next).to_string()>
                                {format!("Next: {title}")}
                            </a>
                        }
                    })
            })}
            <a class="big quiet" href=Route::Job(id).to_string()>"To the ladder"</a>
        </div>
    }
}
