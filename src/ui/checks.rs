//! The lines of a stage: big, tickable, undoable; some ask for a value.

use crate::device::{clock, look};
use crate::engine::table::Table;
use crate::job::command::{self, At};
use crate::job::event::Id;
use crate::job::stage;
use crate::trade::model::{Check, Measure};
use crate::ui::overlay::{Overlays, REASON, Why, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

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

/// The checks of a stage. The lines stay in the page; what they say follows the records.
#[component]
pub fn Checks(job: Id, stage: String) -> Node {
    let store = use_store();
    let checks = with_stage(store, job, &stage, |at| stage::checks(at.method, at.job, at.stage));
    view! {
        <ul class="checks">
            {checks
                .unwrap_or_default()
                .into_iter()
                .map(|check| view! { <CheckLine job=job stage=stage.clone() check=check /> })
                .collect_view()}
        </ul>
    }
}

/// What a line says just now.
#[derive(Default)]
struct Said {
    event: Option<Id>,
    waived: Option<String>,
    values: Vec<String>,
}

fn said(store: Store, job: Id, stage: &str, check: &Check) -> Said {
    store.state.with(|state| {
        let Ok(at) = command::at(store.rules(), state, job, stage) else { return Said::default() };
        let answer = at.job.answers.get(&(stage.to_owned(), check.id.clone()));
        let value = |id: &String| {
            let measure = command::measure(at.method, id)?;
            let value = words::measure(&state.settings, measure, *at.job.measures.get(id)?);
            Some(format!("{}: {value}", measure.title))
        };
        Said {
            event: answer.map(|answer| answer.event),
            waived: answer.and_then(|answer| answer.waived.clone()),
            values: check.ask.iter().filter_map(value).collect(),
        }
    })
}

#[component]
fn CheckLine(job: Id, stage: String, check: &'static Check) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let stage_id = StoredValue::new(stage);
    let said = move || stage_id.with_value(|stage| said(store, job, stage, check));
    let word = move || match said() {
        Said { waived: Some(_), .. } => "waived",
        Said { event: Some(_), .. } => "done",
        _ if check.must => "must",
        _ => "open",
    };
    let mark = move || match word() {
        "waived" => "/",
        "done" => "✓",
        _ => "",
    };
    // Shown between tap and durable record; the tick itself comes with the record.
    let pending = RwSignal::new(false);
    let press = move |_| match untrack(said).event {
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
            words: REASON,
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
                aria-checked=move || said().event.is_some().to_string()
                class:pending=move || { pending.get() && store.saving.get() > 0 }
                on:click=tap(press)
            >
                <span class="check-box" aria-hidden="true">{live(mark)}</span>
                <span class="check-text">
                    {check.text.clone()}
                    {live(move || (word() == "must").then(|| view! { <b class="must">" Must"</b> }))}
                    {live(move || {
                        let said = said();
                        let reason = said.waived.map(|reason| format!(" Waived: {reason}"));
                        reason
                            .into_iter()
                            .chain(said.values)
                            .map(|line| view! { <span class="value">{line}</span> })
                            .collect_view()
                    })}
                </span>
            </button>
            {shown(
                move || word() == "must",
                move || {
                    view! { <button class="waive" on:click=tap(waive)>"Waive"</button> }
                },
            )}
        </li>
    }
}

/// Asks for each value of a check in turn, then ticks it.
pub fn ask_then_tick(
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
            let tick = Callback::new(move |values: Table<String, f64>| {
                pending.set(true);
                let outcome = with_stage(store, job, &stage, |at| {
                    let reading = command::reading_in(at, &values, clock::now());
                    command::tick(at, &check.id, values).map(|tick| (tick, reading))
                });
                match outcome.and_then(|bodies| bodies) {
                    Ok((tick, reading)) => {
                        let bodies = [Some(tick), reading].into_iter().flatten().collect();
                        store.append_moving(bodies, "Ticked");
                    }
                    Err(refusal) => store.refuse(refusal.to_string()),
                }
            });
            if !measures.is_empty() {
                pending.set(false);
            }
            ask(store, overlays, job, measures, Table::new(), tick);
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
    values: Table<String, f64>,
    then: Callback<Table<String, f64>>,
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
            look::next_frame(move || ask(store, overlays, job, rest, values, then));
            Ok(())
        }),
    }));
}
