//! The Bench: what is live now, the most urgent first, at a glance from a metre.

use crate::engine::quantity::Instant;
use crate::job::command;
use crate::job::demo;
use crate::job::live::{LiveCure, Next, WindowState};
use crate::ui::course::not_before_morning;
use crate::ui::cure::Answers;
use crate::ui::evening::EveningCard;
use crate::ui::learned::LearnedCards;
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::ringing::Strip;
use crate::ui::route::Route;
use crate::ui::shapes::Tub;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Most rows on one screen; the rest is a tap away.
const ROWS: usize = 4;

/// The Bench.
#[component]
pub fn BenchScreen() -> Node {
    let store = use_store();
    let count = move || store.live.with(|live| live.iter().filter(|c| !c.is_spent()).count());
    let all = RwSignal::new(false);
    let rows = move || {
        let limit = if all.get() { usize::MAX } else { ROWS };
        store.live.with(|live| {
            live.iter().filter(|c| !c.is_spent()).take(limit).cloned().collect::<Vec<_>>()
        })
    };
    let key = move || rows().iter().map(row_key).collect();
    let more = move || count().saturating_sub(ROWS);
    view! {
        <h1 class="visually-hidden">"Bench"</h1>
        <ChangesCard />
        <LearnedCards />
        <NoCards />
        {shown(move || count() == 0, move || view! {
            <EmptyBench />
        })}
        <div class="rows">
            {redraw(
                key,
                move || rows().into_iter().map(|cure| view! { <Row cure=cure /> }).collect_view(),
            )}
        </div>
        {shown(move || { more() > 0 && !all.get() }, move || view! {
            <button class="big quiet" on:click=tap(move |_| all.set(true))>
                {live(move || format!("{} more, less urgent", more()))}
            </button>
        })}
        <EveningCard />
        <div class="stack">
            <a class="big" href=Route::StartClock.to_string()>"Start a clock"</a>
        </div>
        <DemoCard />
        <Strip />
    }
}

/// Everything that a row shows and that can change.
pub fn row_key(cure: &LiveCure) -> String {
    let window = cure.window();
    let next = cure.next.as_ref().map_or(0, |next| next.at.millis());
    let close = window.and_then(|w| w.close_by).map_or(0, Instant::millis);
    let open = window.and_then(|w| w.open_from).map_or(0, Instant::millis);
    let state = window.map_or("", |w| w.state.word());
    let title = window.map_or("", |w| w.window.title.as_str());
    format!("{} {} {state} {title} {next} {open} {close};", cure.id, cure.name())
}

/// One cure in one glance.
#[component]
fn Row(cure: LiveCure) -> Node {
    let store = use_store();
    let id = cure.id;
    let now = store.now.get_untracked();
    let window = cure.window().cloned();
    let state = window.as_ref().map_or(WindowState::Wait, |w| w.state);
    let times = window.as_ref().map(|w| words::window_times(w, now)).unwrap_or_default();
    let test = window.as_ref().map(|w| w.window.test.clone());
    let no_time = window.as_ref().and_then(|w| w.no_time);
    let late = not_before_morning(&cure, now);
    let main = window.as_ref().and_then(|w| crate::job::live::answers(w).into_iter().next());
    // In a wait there is nothing to do; the row itself leads to the cure.
    let main = main.filter(|_| state != WindowState::Wait);
    let window_id = window.as_ref().map(|w| w.window.id.clone()).unwrap_or_default();
    let title = window.as_ref().map(|w| w.window.title.clone());
    view! {
        <article class="card live" data-state=state.slug() data-cure=id.to_string()>
            <a class="row-link" href=Route::Cure(id).to_string()>
                <span class="live-name">{cure.name()}</span>
                {cure.invented.then(|| view! { <span class="invented">"invented"</span> })}
                <span class="live-head">
                    <Tub state=state />
                    <span class="state">{state.word()}</span>
                    <span class="by-trade">{title}</span>
                </span>
                <BigTime next=cure.next.clone() since=cure.started />
                <span class="times">{times}</span>
                {no_time.map(|why| view! { <span class="trouble">{why.to_string()}</span> })}
                {late.map(|line| view! { <span class="trouble">{line}</span> })}
                {test.map(|test| view! { <span class="test">{test}</span> })}
            </a>
            {main
                .map(|main| {
                    view! { <Answers cure=id window=window_id answers=vec![main] /> }
                })}
        </article>
    }
}

/// The number that matters now: time to the next event, large, running.
#[component]
pub fn BigTime(
    /// The next event; none when there is nothing ahead.
    next: Option<Next>,
    /// Start of the cure, counted up when nothing is ahead.
    since: Instant,
) -> Node {
    let store = use_store();
    let label = next.as_ref().map_or("since start", |next| next.label);
    let text = move || {
        let now = store.now.get();
        match &next {
            Some(next) => words::countdown(next.at.since(now)),
            None => words::countdown(now.since(since)),
        }
    };
    view! {
        <span class="big-time" role="timer">
            <span class="digits">{text}</span>
            <span class="digits-label">{label}</span>
        </span>
    }
}

/// What moved since somebody looked, and why.
#[component]
fn ChangesCard() -> Node {
    let store = use_store();
    view! {
        {shown(move || !store.changes.with(Vec::is_empty), move || view! {
            <section class="card warn" role="status">
                <h2>"What moved, and why"</h2>
                <ul class="changes">
                    {live(move || {
                        let now = store.now.get_untracked();
                        store
                            .changes
                            .get()
                            .iter()
                            .map(|change| view! { <li>{words::change(change, now)}</li> })
                            .collect_view()
                    })}
                </ul>
                <button class="big quiet" on:click=tap(move |_| store.changes.set(Vec::new()))>
                    "Seen"
                </button>
            </section>
        })}
    }
}

/// Clocks whose material is not known on this phone: said, never dropped.
#[component]
fn NoCards() -> Node {
    let store = use_store();
    let without = move || {
        store.state.with(|state| {
            let now = store.now.get_untracked();
            crate::job::live::all(store.rules(), state, now)
                .1
                .into_iter()
                .map(|(id, why)| {
                    let title = state.cures.get(&id).map(|c| c.title.clone()).unwrap_or_default();
                    (id, format!("{title}: {why}"))
                })
                .collect::<Vec<_>>()
        })
    };
    view! {
        {live(move || {
            without()
                .into_iter()
                .map(|(id, text)| {
                    view! {
                        <a class="card warn" href=Route::Cure(id).to_string()>{text}</a>
                    }
                })
                .collect_view()
        })}
    }
}

#[component]
fn EmptyBench() -> Node {
    view! {
        <section class="card empty">
            <h2>"Nothing is curing"</h2>
            <p>"Start a clock at the moment that the catalyst goes in, or open a job and be led through it."</p>
            <a class="big" href=Route::NewJob.to_string()>"New job"</a>
        </section>
    }
}

/// Puts the invented demo on the bench.
fn start_demo(store: Store) {
    let now = store.now.get_untracked();
    let drafts = demo::drafts(store.rules(), now, &mut |at| store.new_id(at));
    store.append_drafts(drafts, "The invented demo is on the bench".into(), || {});
}

/// The demo: one tap to see it run, one tap to be rid of it.
#[component]
fn DemoCard() -> Node {
    let store = use_store();
    let has = move || store.state.with(|state| state.has_demo());
    let fresh = move || store.state.with(|state| state.open_jobs().iter().all(|job| job.invented));
    let remove = move |_| {
        let bodies = store.state.with_untracked(command::remove_demo);
        store.append(bodies, "Demo removed".into(), || {});
    };
    view! {
        {shown(has, move || view! {
            <section class="card demo">
                <p>
                    <b>"Invented demo. "</b>
                    "A garden-stone finial, an ammonite and plaster rosettes, begun at the present hour. \
                     Nothing of it is real, and it does not touch your own jobs."
                </p>
                <button class="big" on:click=tap(remove)>"Remove the demo"</button>
            </section>
        })}
        {shown(move || !has() && fresh(), move || view! {
            <section class="card demo">
                <p>"New here? See three invented cures run at once."</p>
                <button class="big" on:click=tap(move |_| start_demo(store))>"Show me the demo"</button>
            </section>
        })}
    }
}
