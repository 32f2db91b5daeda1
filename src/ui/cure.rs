//! One running cure: its windows with their clock times, the touch test, and
//! the answers to it.

use crate::device::clock;
use crate::engine::quantity::Instant;
use crate::job::batch;
use crate::job::command::Refusal;
use crate::job::event::{Body, Ending, Finding, Id, Material};
use crate::job::live::{self, LiveCure, LiveWindow, WindowState};
use crate::trade::model::StateWord;
use crate::ui::app::go;
use crate::ui::bench::{BigTime, row_key};
use crate::ui::course::{CourseCard, WhereItIs, not_before_morning};
use crate::ui::parts::{redraw, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::shapes::Tub;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Records what somebody found, with the real instant.
pub fn observe(store: Store, cure: Id, window: String, finding: Finding) {
    let done = match finding {
        Finding::Gelled => "Gelled: noted",
        Finding::Ready => "Ready: noted",
        Finding::NotYet { .. } => "Not yet: asks again in 5 minutes",
        Finding::Gone => "Gone: noted",
        Finding::Done => "Done: noted",
    };
    let seen = clock::now();
    let emptied = store.state.with_untracked(|state| {
        let batch = batch::emptied(store.rules(), state, cure, &window)?;
        (finding == Finding::Done).then_some(Body::BatchUsedUp { batch, used: seen, left: None })
    });
    let mut bodies = vec![Body::Observed { cure, window, finding, seen }];
    bodies.extend(emptied);
    store.append(bodies, done.into(), || {});
}

/// The answers to a window's test as big buttons, the likeliest first.
#[component]
pub fn Answers(cure: Id, window: String, answers: Vec<(String, Finding)>) -> Node {
    let store = use_store();
    answers
        .into_iter()
        .enumerate()
        .map(|(index, (label, finding))| {
            let window = window.clone();
            view! {
                <button
                    class="big"
                    class:main=index == 0
                    on:click=tap(move |_| observe(store, cure, window.clone(), finding))
                >
                    {label}
                </button>
            }
        })
        .collect_view()
}

/// Everything that the screen of a cure shows and that can change.
fn screen_key(cure: &LiveCure) -> String {
    let millis = |at: Option<Instant>| at.map_or(0, Instant::millis);
    let windows = cure.windows.iter().map(|w| {
        let opens = w.opens.map(|span| span.low);
        format!("{} {} {};", w.state.slug(), millis(opens), millis(w.close_by))
    });
    let tenths = (cure.temperature.value() * 10.0) as i64;
    format!("{}{tenths} {}{}", row_key(cure), cure.origin, windows.collect::<String>())
}

/// The screen of one cure.
#[component]
pub fn CureScreen(id: Id) -> Node {
    let store = use_store();
    let cure = move || store.live.with(|live| live.iter().find(|c| c.id == id).cloned());
    let key = move || cure().map(|cure| screen_key(&cure)).unwrap_or_default();
    redraw(key, move || match cure() {
        Some(cure) => view! { <Running cure=cure /> },
        None => view! { <NotRunning id=id /> },
    })
}

/// A cure that was put away, was undone, or has no card on this phone.
#[component]
fn NotRunning(id: Id) -> Node {
    let store = use_store();
    let why = move || {
        let now = store.now.get_untracked();
        store.state.with(|state| match state.cures.get(&id) {
            Some(record) => live::solve(store.rules(), state, record, now)
                .err()
                .map_or_else(|| "This clock was put away.".to_owned(), |why| why.to_string()),
            None => Refusal::NoSuchCure.to_string(),
        })
    };
    view! {
        <h1>"Clock"</h1>
        <p class="card">{why}</p>
        <a class="big" href=Route::Bench.to_string()>"To the Bench"</a>
    }
}

fn state_word(word: StateWord) -> &'static str {
    match word {
        StateWord::Wet => "wet",
        StateWord::Gelled => "gelled",
        StateWord::Tacky => "tacky",
        StateWord::Green => "green",
        StateWord::Hard => "hard",
        StateWord::Cured => "cured",
    }
}

#[component]
fn Running(cure: LiveCure) -> Node {
    let store = use_store();
    let id = cure.id;
    let now = store.now.get_untracked();
    let current = cure.window().cloned();
    let state = current.as_ref().map_or(WindowState::Wait, |w| w.state);
    let next = cure.next.clone();
    let test = current.as_ref().map(|w| w.window.test.clone());
    let no_time = current.as_ref().and_then(|w| w.no_time);
    let late = not_before_morning(&cure, now);
    let answers = current.as_ref().map(live::answers).unwrap_or_default();
    let window_id = current.as_ref().map(|w| w.window.id.clone()).unwrap_or_default();
    let cold = cure.cold_while_wet.value() >= 1.0;
    let stage = store.state.with_untracked(|state| {
        state.cures.get(&id).and_then(|record| Some((record.job?, record.stage.clone()?)))
    });
    let material = store.state.with_untracked(|state| {
        state.cures.get(&id).map(|record| words::material(state, &record.material))
    });
    let tin_hint = store.state.with_untracked(|state| match &state.cures.get(&id)?.material {
        Material::Family(family) => Some((
            Route::NewTin(family.clone()).to_string(),
            "Two numbers off your tin make its own card",
        )),
        Material::Tin(tin) => Some((Route::Tin(*tin).to_string(), "What this tin taught so far")),
    });
    let others = cure.windows.clone();
    let ended = move |how: Ending| {
        let body = Body::CureEnded { cure: id, how };
        store.act_then(Ok(body), "Clock put away", move || go(&Route::Bench));
    };
    view! {
        <h1>{cure.name()}</h1>
        {cure.invented.then(|| view! { <p class="invented">"Invented demo"</p> })}
        <section class="card live" data-state=state.slug()>
            <div class="live-head">
                <Tub state=state />
                <p class="state">{state.word()}</p>
                <p class="by-trade">{state_word(cure.word)}</p>
            </div>
            <BigTime next=next since=cure.started />
            {no_time.map(|why| view! { <p class="trouble" role="status">{why.to_string()}</p> })}
            {late.map(|line| view! { <p class="trouble" role="status">{line}</p> })}
            {cold
                .then(|| {
                    view! {
                        <p class="trouble" role="status">
                            {format!(
                                "It lay too cold for {} while wet. It may not cure properly: test it well.",
                                words::duration(cure.cold_while_wet),
                            )}
                        </p>
                    }
                })}
            {test.map(|test| view! { <p class="test"><b>"Test: "</b>{test}</p> })}
            <div class="stack">
                <Answers cure=id window=window_id answers=answers />
            </div>
        </section>
        <CourseCard id=id />
        <section class="card">
            <h2>"Its windows"</h2>
            <ol class="windows">
                {others.into_iter().map(|window| view! { <WindowLine window=window /> }).collect_view()}
            </ol>
        </section>
        <section class="card">
            <h2>"What this stands on"</h2>
            <dl class="facts">
                <dt>"Material"</dt>
                <dd>{material}</dd>
                <dt>"Times"</dt>
                <dd>{cure.origin.to_string()}</dd>
                <dt>"Temperature"</dt>
                <dd>
                    {words::temperature(&store.settings(), cure.temperature)}
                    ", "
                    {cure.basis.to_string()}
                </dd>
                <dt>"Started"</dt>
                <dd>{words::clock(cure.started, now)}</dd>
            </dl>
            {tin_hint
                .map(|(href, words)| view! { <a class="big quiet" href=href>{words}</a> })}
        </section>
        <div class="stack">
            {stage
                .map(|(job, stage)| {
                    view! {
                        <a class="big" href=Route::Stage(job, stage).to_string()>"To its stage"</a>
                    }
                })}
            <WhereItIs id=id />
            <button class="big quiet" on:click=tap(move |_| ended(Ending::Finished))>
                "Put this clock away"
            </button>
            <button class="big quiet" on:click=tap(move |_| ended(Ending::ThrownAway))>
                "Thrown away"
            </button>
        </div>
        <p class="hint">"The clock says when to look. The test says when it is ready."</p>
    }
}

#[component]
fn WindowLine(window: LiveWindow) -> Node {
    let store = use_store();
    let now = store.now.get_untracked();
    let clock = move |instant| words::clock(instant, now);
    let times = [
        window
            .look
            .filter(|_| window.window.opens.is_some())
            .map(|t| format!("look from {}", clock(t))),
        window.opens.map(|s| format!("opens {}, surely by {}", clock(s.likely), clock(s.high))),
        window
            .found_ready
            .then(|| window.open_from.map(|t| format!("found ready {}", clock(t))))
            .flatten(),
        window.ideal.map(|t| format!("best {}", clock(t))),
        window
            .closes
            .map(|s| format!("be done by {}, likely closes {}", clock(s.low), clock(s.likely))),
    ];
    let times: Vec<String> = times.into_iter().flatten().collect();
    let no_time = window.no_time.filter(|_| times.is_empty()).map(|why| why.to_string());
    let missed = (!window.window.missed.is_empty()).then(|| window.window.missed.clone());
    view! {
        <li data-state=window.state.slug()>
            <Tub state=window.state />
            <div>
                <p class="window-name">{window.window.title.clone()} " · " {window.state.word()}</p>
                {times.into_iter().map(|line| view! { <p>{line}</p> }).collect_view()}
                {no_time.map(|why| view! { <p>{why}</p> })}
                {missed.map(|text| view! { <p class="hint">"If late: " {text}</p> })}
            </div>
        </li>
    }
}
