//! The screen for work on a living person: how long, what next, stop. Nothing
//! else is on it, and no other alarm rings over it.

use crate::device::bell;
use crate::engine::quantity::Minutes;
use crate::job::command;
use crate::job::event::{About, Body, Ending, Id};
use crate::job::live;
use crate::job::person::{self, Step};
use crate::trade::model::Check;
use crate::ui::app::go;
use crate::ui::checks::{ask_then_tick, with_stage};
use crate::ui::cure::Answers;
use crate::ui::overlay::use_overlays;
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stage_start;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// The way into the screen, on the pages of a job that works on a person.
#[component]
pub fn PersonKey(job: Id) -> Node {
    let store = use_store();
    let with_person = store.state.with_untracked(|state| {
        let method = state.jobs.get(&job).and_then(|job| state.method(store.rules(), &job.method));
        method.is_some_and(person::on_person)
    });
    if !with_person {
        return Node::Nothing;
    }
    view! { <a class="big main" href=Route::Person(job).to_string()>"With the person: only what matters"</a> }
}

/// The screen.
#[component]
pub fn PersonScreen(job: Id) -> Node {
    let store = use_store();
    let started =
        move || store.state.with(|state| person::clock(state, job).map(|c| (c.id, c.started)));
    // How often they were asked and answered, since this screen was opened.
    let heard = RwSignal::new(None::<u32>);
    let stopped = RwSignal::new(false);
    let due = Memo::new(move |_| {
        let now = store.now.get();
        started().map_or(0, |(_, since)| person::prompts(store.rules(), since, now))
    });
    let asks = move || due.get() > heard.get().unwrap_or(0);
    Effect::new(move |_| {
        if due.get() > 0 {
            bell::vibrate(&[250, 200, 250]);
            bell::ring(bell::READY, 0.3);
        }
    });
    let elapsed = move || {
        let now = store.now.get();
        started().map(|(_, since)| now.since(since))
    };
    let over = move || elapsed().is_some_and(|time| time >= person::aim(store.rules()));
    let off = move |_| end(store, job, stopped.get_untracked());
    view! {
        <section class="person" class:late=over>
            <p class="person-time clock-value" role="timer">
                {live(move || elapsed().map_or_else(|| "not begun".into(), minutes_and_seconds))}
            </p>
            <p class="hint">
                {live(move || match (elapsed().is_some(), over()) {
                    (false, _) => "The clock begins at the first touch.".to_owned(),
                    (true, false) => format!(
                        "On the person. Off before {}.",
                        words::duration(person::aim(store.rules()))
                    ),
                    (true, true) => "Longer than meant. Take it off now.".to_owned(),
                })}
            </p>
            {shown(asks, move || view! {
                <div class="person-talk" role="alert">
                    <p>"Talk to them: all right? Breathing? Too warm? Thumb up?"</p>
                    <button class="big main" on:click=tap(move |_| heard.set(Some(due.get_untracked())))>
                        "They answered"
                    </button>
                </div>
            })}
            {live(move || if stopped.get() {
                view! {
                    <div class="person-step" role="alert">
                        <h1>"Take it off now"</h1>
                        <p>"Nose and mouth first. Air in at the edges. Cut it if it holds. Everything else can be made again."</p>
                        <button class="big main" on:click=tap(off)>"They are free"</button>
                    </div>
                }
            } else {
                view! { <Next job=job /> }
            })}
            <div class="person-foot">
                {shown(move || !stopped.get(), move || view! {
                    <button class="person-stop" on:click=tap(move |_| stopped.set(true))>"Stop"</button>
                })}
                {shown(move || started().is_some() && !stopped.get(), move || view! {
                    <button class="big quiet" on:click=tap(off)>"Off the person"</button>
                })}
                <a class="big quiet" href=Route::Job(job).to_string()>"Leave this screen"</a>
            </div>
        </section>
    }
}

fn minutes_and_seconds(time: Minutes) -> String {
    let seconds = (time.value() * 60.0).max(0.0) as u32;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// The person is free: their clock ends; a stop goes on the record.
fn end(store: Store, job: Id, stopped: bool) {
    let clock = store.state.with_untracked(|state| person::clock(state, job).map(|cure| cure.id));
    let mut bodies: Vec<Body> =
        clock.map(|cure| Body::CureEnded { cure, how: Ending::Finished }).into_iter().collect();
    if stopped {
        let about = About { job: Some(job), ..About::default() };
        let text = "Stopped: taken off before the end.".to_owned();
        bodies.push(Body::NoteWritten { about, text, open: true });
    }
    if bodies.is_empty() {
        go(&Route::Job(job));
        return;
    }
    store.append(bodies, "Off the person".into(), move || {
        if stopped {
            go(&Route::Job(job));
        }
    });
}

/// The one thing to do next, as one key.
#[component]
fn Next(job: Id) -> Node {
    let store = use_store();
    let step = move || {
        store.live.with(|live| store.state.with(|s| person::next(store.rules(), s, live, job)))
    };
    let key = move || match step() {
        Step::Test { cure, window } => format!("test {cure} {window}"),
        Step::Elsewhere => "elsewhere".into(),
        Step::Start { slot, .. } => format!("start {slot}"),
        Step::Tick { stage, check } => format!("tick {} {}", stage.id, check.id),
        Step::Finish { stage } => format!("finish {}", stage.id),
        Step::Over => "over".into(),
    };
    view! { <div class="person-step">{redraw(key, move || one(store, job, step()))}</div> }
}

fn one(store: Store, job: Id, step: Step) -> Node {
    let overlays = use_overlays();
    match step {
        Step::Test { cure, window } => {
            let found = store.live.with_untracked(|live| {
                let cure = live.iter().find(|one| one.id == cure)?;
                cure.windows.iter().find(|one| one.window.title == window).cloned()
            });
            let Some(found) = found else { return Node::Nothing };
            let answers = live::answers(&found);
            view! {
                <h1>{found.window.test.clone()}</h1>
                <div class="stack"><Answers cure=cure window=found.window.id.clone() answers=answers /></div>
            }
        }
        Step::Elsewhere => view! {
            <h1>"Something before this is open."</h1>
            <a class="big main" href=Route::Job(job).to_string()>"To the job"</a>
        },
        Step::Start { stage, slot } => {
            let act =
                stage_start::acts(store, job, &stage.id).into_iter().find(|act| act.has(&slot));
            let Some(act) = act else { return Node::Nothing };
            let title = act.title().to_owned();
            let begin = move |_| stage_start::begin_now(store, job, stage, &act);
            view! {
                <p class="hint">{stage.title.clone()}</p>
                <button class="person-do" on:click=tap(begin)>{title}</button>
            }
        }
        Step::Tick { stage, check } => {
            let pending = RwSignal::new(false);
            let check: &'static Check = check;
            let tick = move |_| {
                ask_then_tick(store, overlays, job, stage.id.clone(), check, pending);
            };
            view! {
                <p class="hint">{stage.title.clone()}</p>
                <button class="person-do" on:click=tap(tick)>
                    {check.text.clone()} {check.must.then(|| view! { <b class="must">" Must"</b> })}
                </button>
            }
        }
        Step::Finish { stage } => {
            let finish = move |_| {
                let live = store.live.get_untracked();
                let outcome = with_stage(store, job, &stage.id, |at| {
                    store.state.with_untracked(|state| command::finish(at, state, &live))
                });
                store.act(outcome.and_then(|body| body), format!("{}: done", stage.title));
            };
            view! {
                <p class="hint">{stage.title.clone()}</p>
                <button class="person-do" on:click=tap(finish)>"That is done. What next?"</button>
            }
        }
        Step::Over => view! {
            <h1>"Nothing is left to do."</h1>
            <a class="big main" href=Route::Job(job).to_string()>"To the job"</a>
        },
    }
}

/// Whether the clock's own alarms are quiet now: this screen asks instead.
pub fn is_open(route: &Route) -> bool {
    matches!(route, Route::Person(_))
}
