//! The lines of a stage: big, tickable, undoable; some ask for a value.

use crate::device::clock;
use crate::job::command::{self, At};
use crate::job::event::Id;
use crate::job::stage;
use crate::job::state::Answer;
use crate::trade::model::{Check, Measure};
use crate::ui::keyed::{Keyed, Line, tap};
use crate::ui::overlay::{Overlays, Why, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use leptos::prelude::*;
use std::collections::BTreeMap;

/// Offered reasons for waiving a check.
const REASONS: [&str; 3] = ["Not needed on this piece", "Done another way", "Can't be done here"];

/// Runs a command on the stage as it stands now.
pub fn with_stage<T>(
    store: Store,
    job: Id,
    stage: &str,
    act: impl FnOnce(&At<'_>) -> T,
) -> Result<T, command::Refusal> {
    store
        .state
        .with_untracked(|state| command::at(store.rules(), state, job, stage).map(|at| act(&at)))
}

/// The checks of a stage.
#[component]
pub fn Checks(job: Id, stage: String) -> impl IntoView {
    let store = use_store();
    let stage_id = StoredValue::new(stage);
    let lines = Signal::derive(move || {
        let id = stage_id.get_value();
        store.state.with(|state| {
            let Ok(at) = command::at(store.rules(), state, job, &id) else { return Vec::new() };
            stage::checks(at.method, at.job, at.stage)
                .into_iter()
                .map(|check| {
                    let answer = at.job.answers.get(&(id.clone(), check.id.clone())).cloned();
                    line(job, id.clone(), check, answer, asked(store, &at, check))
                })
                .collect::<Vec<_>>()
        })
    });
    view! {
        <ul class="checks">
            <Keyed lines=lines />
        </ul>
    }
}

/// A line, keyed by what it shows.
fn line(
    job: Id,
    stage: String,
    check: &'static Check,
    answer: Option<Answer>,
    asked: Vec<String>,
) -> Line {
    let event = answer.as_ref().map(|answer| answer.event.to_string()).unwrap_or_default();
    let key = format!("{} {event} {}", check.id, asked.join(" "));
    Line::new(key, move || {
        view! {
            <CheckLine
                job=job
                stage=stage.clone()
                check=check
                answer=answer.clone()
                asked=asked.clone()
            />
        }
        .into_any()
    })
}

/// The values that a check asked for, as they stand.
fn asked(store: Store, at: &At<'_>, check: &Check) -> Vec<String> {
    let settings = store.state.with_untracked(|state| state.settings.clone());
    check
        .ask
        .iter()
        .filter_map(|id| {
            let measure = command::measure(at.method, id)?;
            let value = at.job.measures.get(id)?;
            Some(format!("{}: {}", measure.title, words::measure(&settings, measure, *value)))
        })
        .collect()
}

#[component]
fn CheckLine(
    job: Id,
    stage: String,
    check: &'static Check,
    answer: Option<Answer>,
    asked: Vec<String>,
) -> impl IntoView {
    let store = use_store();
    let overlays = use_overlays();
    let done = answer.is_some();
    let waived = answer.as_ref().and_then(|a| a.waived.clone());
    let word = match (done, &waived) {
        (true, Some(_)) => "waived",
        (true, None) => "done",
        (false, _) if check.must => "must",
        (false, _) => "open",
    };
    let mark = match word {
        "waived" => "/",
        "done" => "✓",
        _ => "",
    };
    let event = answer.map(|a| a.event);
    let stage_id = StoredValue::new(stage);
    // Shown between tap and durable record; the tick itself comes with the record.
    let pending = RwSignal::new(false);
    let press = move |_| match event {
        Some(event) => store.undo(&[event], "Taken back"),
        None => {
            pending.set(true);
            ask_then_tick(store, overlays, job, stage_id.get_value(), check, pending);
        }
    };
    let waive = move |_| {
        overlays.why.set(Some(Why {
            title: "Waive this line?".into(),
            text: check.text.clone(),
            offers: REASONS.map(str::to_owned).to_vec(),
            done: Callback::new(move |reason: String| {
                let id = stage_id.get_value();
                let outcome =
                    with_stage(store, job, &id, |at| command::waive(at, &check.id, &reason));
                store.act(outcome.and_then(|body| body), "Waived, with the reason");
            }),
        }));
    };
    view! {
        <li class="check" data-word=word data-check=check.id.clone()>
            <button
                class="check-tick"
                role="checkbox"
                aria-checked=done.to_string()
                class:pending=move || { pending.get() && store.saving.get() > 0 }
                on:click=tap(press)
            >
                <span class="check-box" aria-hidden="true">{mark}</span>
                <span class="check-text">
                    {check.text.clone()}
                    {(word == "must").then(|| view! { <b class="must">" Must"</b> })}
                    {waived.map(|reason| view! { <span class="hint">" Waived: " {reason}</span> })}
                    {asked.into_iter().map(|line| view! { <span class="value">{line}</span> }).collect_view()}
                </span>
            </button>
            {(check.must && !done)
                .then(|| view! { <button class="waive" on:click=tap(waive)>"Waive"</button> })}
        </li>
    }
}

/// Asks for each value of a check in turn, then ticks it.
fn ask_then_tick(
    store: Store,
    overlays: Overlays,
    job: Id,
    stage: String,
    check: &'static Check,
    pending: RwSignal<bool>,
) {
    let measures = with_stage(store, job, &stage, |at| {
        let find = |id: &String| command::measure(at.method, id);
        check.ask.iter().filter_map(find).collect::<Vec<_>>()
    });
    match measures {
        Ok(measures) => {
            let tick = Callback::new(move |values: BTreeMap<String, f64>| {
                pending.set(true);
                let outcome = with_stage(store, job, &stage, |at| {
                    let reading = command::reading_in(at, &values, clock::now());
                    command::tick(at, &check.id, values).map(|tick| (tick, reading))
                });
                match outcome.and_then(|bodies| bodies) {
                    Ok((tick, reading)) => {
                        let bodies = [Some(tick), reading].into_iter().flatten().collect();
                        store.append_reading(bodies, "Ticked");
                    }
                    Err(refusal) => store.refuse(refusal.to_string()),
                }
            });
            if !measures.is_empty() {
                pending.set(false);
            }
            ask(store, overlays, job, measures, BTreeMap::new(), tick);
        }
        Err(refusal) => store.refuse(refusal.to_string()),
    }
}

/// Asks for values one after the other on the pad, then hands them on.
pub fn ask(
    store: Store,
    overlays: Overlays,
    job: Id,
    measures: Vec<&'static Measure>,
    values: BTreeMap<String, f64>,
    then: Callback<BTreeMap<String, f64>>,
) {
    let Some((measure, rest)) = measures.split_first() else {
        then.run(values);
        return;
    };
    let (measure, rest) = (*measure, rest.to_vec());
    let settings = store.state.with_untracked(|state| state.settings.clone());
    let last = store.state.with_untracked(|state| {
        state.jobs.get(&job).and_then(|job| job.measures.get(&measure.id).copied())
    });
    let start = last.or(measure.start);
    overlays.pad.set(Some(Pad {
        title: measure.title.clone(),
        hint: words::range(&settings, measure),
        start: start
            .map(|value| words::measure_number(&settings, measure, value))
            .unwrap_or_default(),
        units: words::units(&settings, measure.dimension),
        done: Callback::new(move |entry: String| {
            let value = words::read_measure(&settings, measure, &entry)?;
            command::within(measure, value).map_err(|refusal| refusal.to_string())?;
            let mut values = values.clone();
            values.insert(measure.id.clone(), value);
            let rest = rest.clone();
            // The next pad opens after this one has closed.
            request_animation_frame(move || ask(store, overlays, job, rest, values, then));
            Ok(())
        }),
    }));
}
