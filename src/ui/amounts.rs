//! Amounts of a stage with their sums, and the values that they need.

use crate::engine::table::Table;
use crate::engine::takeoff::{Quantity, SumLine};
use crate::job::amount::of_stage as amount_of;
use crate::job::command;
use crate::job::event::Id;
use crate::job::sheet::{self, Field};
use crate::job::stage;
use crate::job::state::State;
use crate::job::used;
use crate::trade::amounts::AmountError;
use crate::trade::model::{Measure, Rules};
use crate::ui::checks::{ask, with_stage};
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::parts::{redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::sheet::{enter as enter_field, shown_value, sum_lines};
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// What the amounts list shows of one material.
#[derive(Clone, PartialEq)]
struct Line {
    number: usize,
    title: String,
    material: String,
    main: Option<String>,
    parts: Vec<String>,
    sum: Vec<SumLine>,
    /// The values of the sum in words.
    values: String,
    /// Measures that went in: each can be corrected where the sum is.
    measures: Vec<&'static Measure>,
    /// Factors that went in, as fields.
    factors: Vec<Field>,
    missing: Vec<&'static Measure>,
    trouble: Option<String>,
    batch: bool,
}

impl Line {
    /// Everything that it shows and that can change.
    fn key(&self) -> String {
        let main = self.main.as_deref().or(self.trouble.as_deref()).unwrap_or_default();
        format!("{} {main} {} ", self.material, self.values)
    }
}

/// Asks for measures of a job, and enters them at one of its stages.
pub fn enter_measures(
    store: Store,
    overlays: Overlays,
    job: Id,
    stage: String,
    measures: Vec<&'static Measure>,
) {
    let then = Callback::new(move |values: Table<String, f64>| {
        let bodies = with_stage(store, job, &stage, |at| {
            let entered = values.iter().map(|(id, value)| command::enter(at, id, *value));
            entered.collect::<Result<Vec<_>, _>>()
        });
        match bodies.and_then(|bodies| bodies) {
            Ok(bodies) => store.append(bodies, "Entered".into(), || {}),
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    });
    ask(store, overlays, job, measures, Table::new(), then);
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
    let key = move || lines().iter().map(Line::key).collect::<String>();
    let enter = move |missing: Vec<&'static Measure>| {
        enter_measures(store, overlays, job, stage_id.get_value(), missing);
    };
    // What went into a sum, as keys: to correct it where it is read.
    let corrections = move |measures: Vec<&'static Measure>, factors: Vec<Field>| {
        let settings = store.settings();
        let entered = store.state.with_untracked(|state| {
            state.jobs.get(&job).map(|job| job.measures.clone()).unwrap_or_default()
        });
        let measured = measures.into_iter().map(|measure| {
            let value = entered.get(&measure.id).copied().or(measure.start);
            let value = value.map(|value| words::measure(&settings, measure, value));
            view! {
                <button class="chip" on:click=tap(move |_| enter(vec![measure]))>
                    {measure.title.clone()} " " <b>{value}</b>
                </button>
            }
        });
        let factors = factors.into_iter().map(|field| {
            let value = shown_value(&settings, &field);
            let text = field.text.clone();
            let change = move |_| enter_field(store, overlays, Some(job), field.clone());
            view! { <button class="chip" on:click=tap(change)>{text} " " <b>{value}</b></button> }
        });
        let keys: Vec<Node> = measured.chain(factors).collect();
        view! {
            <p class="hint">"Correct what went into it:"</p>
            <div class="row units">{keys.into_iter().collect_view()}</div>
        }
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
                                        {(!line.sum.is_empty())
                                            .then(|| {
                                                view! {
                                                    <details>
                                                        <summary>"The sum"</summary>
                                                        {sum_lines(store, line.sum)}
                                                        {corrections(line.measures, line.factors)}
                                                    </details>
                                                }
                                            })}
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
                sum: Vec::new(),
                values: String::new(),
                measures: used
                    .inputs
                    .values()
                    .filter_map(|id| command::measure(at.method, id))
                    .collect(),
                factors: Vec::new(),
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
                    line.values = amount.sum.iter().map(|line| show(&line.value)).collect();
                    if let Some(used) = used::of_stage(rules, state, &at, used) {
                        let words = words::used(settings, &used);
                        line.values.push_str(&words);
                        line.parts.push(words);
                    }
                    line.sum = amount.sum;
                    let field = |id: &String| sheet::factor_field(rules, state, Some(job), id);
                    line.factors = amount.factors.iter().filter_map(field).collect();
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
