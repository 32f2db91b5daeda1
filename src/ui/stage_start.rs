//! The clocks of a stage: one big key for the act that starts them. Acts that
//! start several clocks at once (catalyst in: pot and film) are one tap.

use crate::device::clock;
use crate::engine::air::GateVerdict;
use crate::engine::quantity::{Grams, Percent};
use crate::job::card::{self, Card};
use crate::job::command::{self, Refusal, Start};
use crate::job::event::{Body, Id, Material};
use crate::job::gate;
use crate::job::stage;
use crate::trade::model::{CureSlot, Stage};
use crate::ui::catalyst::CatalystStep;
use crate::ui::overlay::{REASON, Why, use_overlays};
use crate::ui::parts::{live, redraw, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{MORNING, Store, use_store};
use crate::ui::words;

/// The clocks that one act starts.
#[derive(Clone, PartialEq)]
pub struct Act {
    /// The act, e.g. "Catalyst in".
    starts: String,
    /// What it is done with.
    material: Material,
    /// The slots.
    slots: Vec<&'static CureSlot>,
}

impl Act {
    /// The act in words.
    pub fn title(&self) -> &str {
        &self.starts
    }

    /// Whether it starts this slot.
    pub fn has(&self, slot: &str) -> bool {
        self.slots.iter().any(|one| one.id == slot)
    }
}

/// Starts the clocks of an act at once, by what its family has.
pub fn begin_now(store: Store, job: Id, stage: &'static Stage, act: &Act) {
    match bodies(store, job, stage, act, None, None) {
        Ok(bodies) => store.append(bodies, format!("{}: clock started", act.starts), || {}),
        Err(refusal) => store.refuse(refusal.to_string()),
    }
}

/// The acts of a stage that start clocks.
pub fn acts(store: Store, job: Id, stage: &str) -> Vec<Act> {
    store.state.with(|state| {
        let Ok(at) = command::at(store.rules(), state, job, stage) else { return Vec::new() };
        let mut acts: Vec<Act> = Vec::new();
        for slot in stage::slots(at.method, at.job, at.stage) {
            let material =
                stage::material(at.method, at.job, slot.role.as_deref(), slot.family.as_deref());
            let Some(material) = material else { continue };
            let Ok(card) = Card::in_force(store.rules(), state, &material, &slot.profile) else {
                continue;
            };
            let starts = card.profile.starts.clone();
            match acts.iter_mut().find(|a| a.starts == starts && a.material == material) {
                Some(act) => act.slots.push(slot),
                None => acts.push(Act { starts, material, slots: vec![slot] }),
            }
        }
        acts
    })
}

/// The clocks of a stage.
#[component]
pub fn Starts(job: Id, stage: &'static Stage) -> Node {
    let store = use_store();
    view! {
        {redraw(
            move || {
                let line = |act: Act| {
                    let material = store.state.with(|s| words::material(s, &act.material));
                    format!("{} {material} {}", act.starts, act.slots.len())
                };
                acts(store, job, &stage.id).into_iter().map(line).collect()
            },
            move || {
                acts(store, job, &stage.id)
                    .into_iter()
                    .map(|act| view! { <ActCard job=job stage=stage act=act /> })
                    .collect_view()
            },
        )}
    }
}

/// The newest batch of this stage's material: its catalyst and mass go with the clock.
fn newest_batch(
    store: Store,
    job: Id,
    stage: &str,
    material: &Material,
) -> Option<(Id, Option<Percent>, Grams)> {
    store.state.with_untracked(|state| {
        let batch = state
            .batches
            .values()
            .filter(|b| {
                b.job == Some(job) && b.stage.as_deref() == Some(stage) && &b.material == material
            })
            .max_by_key(|b| (b.at, b.id))?;
        let mass = batch
            .parts
            .iter()
            .fold(Grams(0.0), |sum, part| sum + part.actual.unwrap_or(part.target));
        Some((batch.id, batch.catalyst, mass))
    })
}

#[component]
fn ActCard(job: Id, stage: &'static Stage, act: Act) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let family = store
        .state
        .with_untracked(|state| card::resolve(store.rules(), state, &act.material).ok())
        .map(|(family, _)| family);
    let batch = newest_batch(store, job, &stage.id, &act.material);
    let catalysed = family.filter(|f| {
        act.slots.iter().any(|slot| f.profile(&slot.profile).is_some_and(|p| p.catalysed))
    });
    let level = RwSignal::new(
        batch
            .and_then(|(_, level, _)| level)
            .or(catalysed.and_then(card::catalyst_law).map(|law| law.reference)),
    );
    let slots = StoredValue::new(act.slots.clone());
    let step_of = StoredValue::new(act.material.clone());
    let running = move || {
        store.state.with(|state| {
            slots
                .get_value()
                .iter()
                .filter_map(|slot| {
                    let record = state.cure_of_slot(job, &slot.id)?;
                    let used_up = store.live.with(|live| {
                        live.iter().any(|cure| cure.id == record.id && cure.is_spent())
                    });
                    let runs = state.is_running(record) && !used_up;
                    runs.then(|| (record.id, slot.title.clone()))
                })
                .collect::<Vec<_>>()
        })
    };
    let titles = act.slots.iter().map(|slot| slot.title.clone()).collect::<Vec<_>>().join(", ");
    let kept = StoredValue::new(act.clone());
    let begin = move |reason: Option<String>| {
        let act = kept.get_value();
        let bodies = bodies(store, job, stage, &act, level.get_untracked(), reason);
        match bodies {
            Ok(bodies) => {
                store.append(bodies, format!("{}: clock started", act.starts), || {});
            }
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    };
    let press = move |_| {
        let live = store.live.get_untracked();
        let now = clock::now();
        let blocked: Result<Option<Vec<String>>, Refusal> = store.state.with_untracked(|state| {
            let at = command::at(store.rules(), state, job, &stage.id)?;
            command::ready(&at, state, &live)?;
            let morning = clock::next_at(MORNING, now);
            Ok(match gate::judge(store.rules(), state, &at, now, morning) {
                Some(GateVerdict::Stop(reasons)) => {
                    Some(reasons.iter().map(ToString::to_string).collect())
                }
                _ => None,
            })
        });
        match blocked {
            Ok(None) => begin(None),
            Ok(Some(reasons)) => overlays.why.set(Some(Why {
                title: "Conditions say stop. Start all the same?".into(),
                text: reasons.join(" "),
                offers: vec!["Warmed since, not measured".into(), "A trial, not the piece".into()],
                words: REASON,
                done: Callback::new(move |reason: String| begin(Some(reason))),
            })),
            Err(Refusal::StageWaits(_)) => store.refuse(
                "This stage still waits. See the top: finish that first, or overrule it with a \
                 reason."
                    .into(),
            ),
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    };
    view! {
        <section class="card start">
            <h2>"Clock: " {titles}</h2>
            {catalysed.map(|_| view! { <CatalystStep material=step_of.get_value() level=level job=Some(job) /> })}
            {live(move || {
                running()
                    .into_iter()
                    .map(|(id, title)| {
                        view! {
                            <a class="big quiet" href=Route::Cure(id).to_string()>
                                {format!("Running: {title}")}
                            </a>
                        }
                    })
                    .collect_view()
            })}
            <button class="big main" on:click=tap(press)>
                {live(move || {
                    let act = kept.get_value();
                    let again = act.slots.iter().any(|slot| slot.repeats);
                    match (running().is_empty(), again) {
                        (true, _) => act.starts,
                        (false, true) => format!("{}: next tub", act.starts),
                        (false, false) => format!("{}: start again", act.starts),
                    }
                })}
            </button>
            <p class="hint">"Tap at the moment of the act. The clock counts from there."</p>
        </section>
    }
}

fn bodies(
    store: Store,
    job: Id,
    stage: &Stage,
    act: &Act,
    level: Option<Percent>,
    reason: Option<String>,
) -> Result<Vec<Body>, Refusal> {
    let now = clock::now();
    let batch = newest_batch(store, job, &stage.id, &act.material);
    store.state.with_untracked(|state| {
        let place = state.jobs.get(&job).map(|job| job.place).unwrap_or_default();
        act.slots
            .iter()
            .map(|slot| {
                let count = state
                    .cures
                    .values()
                    .filter(|c| c.job == Some(job) && c.slot.as_deref() == Some(&slot.id))
                    .count();
                let title = if slot.repeats {
                    format!("{} {}", slot.title, count + 1)
                } else {
                    slot.title.clone()
                };
                let start = Start {
                    of: Some((job, stage.id.clone(), Some(slot.id.clone()))),
                    title,
                    material: act.material.clone(),
                    profile: slot.profile.clone(),
                    catalyst: level,
                    mass: batch.map(|(_, _, mass)| mass),
                    batch: batch.map(|(id, _, _)| id),
                    started: now,
                    place,
                    reason: reason.clone(),
                };
                command::start(store.rules(), state, start, now)
            })
            .collect()
    })
}
