//! Amounts of a stage with their sums, and the values that they need.

use crate::engine::takeoff::{Quantity, Sum, SumLine};
use crate::job::card;
use crate::job::command;
use crate::job::event::Id;
use crate::job::settings::Settings;
use crate::job::stage;
use crate::job::state::State;
use crate::trade::amounts::{self, AmountError};
use crate::trade::model::{MaterialUse, Measure, Rules};
use crate::ui::checks::ask;
use crate::ui::overlay::use_overlays;
use crate::ui::parts::{redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;
use crate::ui::words;
use std::collections::BTreeMap;

/// A sum to look into, line by line; nothing where it is empty.
#[component]
pub fn TheSum(sum: Sum) -> Node {
    if sum.lines.is_empty() {
        return Node::Nothing;
    }
    let settings = use_store().settings();
    let lines = sum.lines.into_iter().map(|SumLine { text, value }| {
        let value = words::quantity(&settings, &value);
        view! {
            <dt>{text}</dt>
            <dd>{value}</dd>
        }
    });
    view! {
        <details>
            <summary>"The sum"</summary>
            <dl class="sum">{lines.collect_view()}</dl>
        </details>
    }
}

/// What the amounts list shows of one material.
#[derive(Clone, PartialEq)]
struct Line {
    number: usize,
    title: String,
    material: String,
    main: Option<String>,
    parts: Vec<String>,
    sum: Sum,
    missing: Vec<&'static Measure>,
    trouble: Option<String>,
    batch: bool,
}

impl Line {
    /// Everything that it shows and that can change.
    fn key(&self, settings: &Settings) -> String {
        let sum = self.sum.lines.iter().map(|line| words::quantity(settings, &line.value));
        let main = self.main.as_deref().or(self.trouble.as_deref()).unwrap_or_default();
        format!("{} {main} {} ", self.material, sum.collect::<String>())
    }
}

/// The amount of one material of a stage as its job stands.
pub fn amount_of(
    rules: &'static Rules,
    state: &State,
    job: Id,
    stage: &str,
    used: &MaterialUse,
) -> Result<amounts::Amount, AmountError> {
    let Ok(at) = command::at(rules, state, job, stage) else {
        return Err(AmountError::UnknownRule(stage.to_owned()));
    };
    let material = stage::material(at.method, at.job, used.role.as_deref(), used.family.as_deref());
    let family = material
        .and_then(|material| card::resolve(rules, state, &material).ok())
        .map(|(family, tin)| card::with_tin_ratio(family, tin.as_ref()));
    let look_up = |id: &str| {
        let start = || command::measure(at.method, id).and_then(|measure| measure.start);
        at.job.measures.get(id).copied().or_else(start)
    };
    amounts::amount(rules, used, family.as_ref(), &look_up)
}

/// The amounts of a stage.
#[component]
pub fn Amounts(job: Id, stage: String) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let stage_id = StoredValue::new(stage);
    let lines = move || {
        let id = stage_id.get_value();
        store.state.with(|state| lines(store.rules(), state, job, &id))
    };
    let key = move || {
        let settings = store.settings();
        lines().iter().map(|line| line.key(&settings)).collect::<String>()
    };
    let enter = move |missing: Vec<&'static Measure>| {
        let then = Callback::new(move |values: BTreeMap<String, f64>| {
            let id = stage_id.get_value();
            let bodies = crate::ui::checks::with_stage(store, job, &id, |at| {
                values
                    .iter()
                    .map(|(measure, value)| command::enter(at, measure, *value))
                    .collect::<Result<Vec<_>, _>>()
            });
            match bodies.and_then(|bodies| bodies) {
                Ok(bodies) => store.append(bodies, "Entered".into(), || {}),
                Err(refusal) => store.refuse(refusal.to_string()),
            }
        });
        ask(store, overlays, job, missing, BTreeMap::new(), then);
    };
    view! {
        {shown(move || !lines().is_empty(), move || view! {
            <section class="card">
                <h2>"Materials and amounts"</h2>
                <ul class="amounts">
                    {redraw(key, move || {
                        lines()
                            .into_iter()
                            .map(|line| {
                                let missing = line.missing.clone();
                                let href = Route::Mix(Some((job, stage_id.get_value(), line.number)))
                                    .to_string();
                                view! {
                                    <li>
                                        <p>
                                            <b>{line.title}</b>
                                            <span class="hint">" " {line.material}</span>
                                        </p>
                                        {line.main.map(|main| view! { <p class="amount">{main}</p> })}
                                        {line.parts.into_iter().map(|p| view! { <p>{p}</p> }).collect_view()}
                                        {line.trouble.map(|t| view! { <p class="hint">{t}</p> })}
                                        {(!missing.is_empty())
                                            .then(|| {
                                                view! {
                                                    <button class="big quiet" on:click=tap(move |_| enter(missing.clone()))>
                                                        "Enter what is missing"
                                                    </button>
                                                }
                                            })}
                                        <TheSum sum=line.sum />
                                        {line.batch.then(|| view! { <a class="big" href=href>"Batch card"</a> })}
                                    </li>
                                }
                            })
                            .collect_view()
                    })}
                </ul>
            </section>
        })}
    }
}

fn lines(rules: &'static Rules, state: &State, job: Id, stage: &str) -> Vec<Line> {
    let Ok(at) = command::at(rules, state, job, stage) else { return Vec::new() };
    let settings = &state.settings;
    let show = |quantity: &Quantity| words::quantity(settings, quantity);
    at.stage
        .materials
        .iter()
        .enumerate()
        .filter(|(_, used)| stage::holds(&used.when, &at.job.switches, at.method))
        .map(|(number, used)| {
            let material =
                stage::material(at.method, at.job, used.role.as_deref(), used.family.as_deref());
            let mut line = Line {
                number,
                title: used.title.clone(),
                material: material.map(|m| words::material(state, &m)).unwrap_or_default(),
                main: None,
                parts: Vec::new(),
                sum: Sum::default(),
                missing: Vec::new(),
                trouble: None,
                batch: used.batch,
            };
            if used.rule.is_none() {
                return line;
            }
            match amount_of(rules, state, job, stage, used) {
                Ok(amount) => {
                    line.main = Some(show(&amount.main));
                    line.parts = amount
                        .parts
                        .iter()
                        .map(|(name, quantity)| format!("{name}: {}", show(quantity)))
                        .collect();
                    line.sum = Sum { lines: amount.sum };
                }
                Err(error) => {
                    if let AmountError::Missing { measures } = &error {
                        line.missing = measures
                            .iter()
                            .filter_map(|id| command::measure(at.method, id))
                            .collect();
                    }
                    line.trouble = Some(error.to_string());
                }
            }
            line
        })
        .collect()
}
