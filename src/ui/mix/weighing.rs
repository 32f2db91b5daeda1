//! The weighing list: what to pour, what the scale reads, what really went in.

use super::key::{MassKey, TheSum, ask_mass};
use crate::engine::quantity::Grams;
use crate::job::batch::{self, Line, Outcome, Plan, Weighing};
use crate::job::command;
use crate::trade::model::Family;
use crate::ui::parts::tap;
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// What was entered of a tub on the scale.
#[derive(Clone, Copy)]
pub struct Poured {
    /// What went in of each part, by its name.
    pub masses: RwSignal<Vec<(String, Grams)>>,
    /// The empty tub, where it was not tared away.
    pub tare: RwSignal<Grams>,
}

impl Poured {
    /// What went in, in the order of a plan; follows it.
    pub fn of(self, plan: &Plan) -> Vec<Option<Grams>> {
        self.masses.with(|masses| {
            let of = |name: &str| masses.iter().find(|(n, _)| n == name).map(|(_, mass)| *mass);
            plan.parts.iter().map(|part| of(&part.name)).collect()
        })
    }

    /// Enters what went in of a part in all; 0 takes the entry out.
    fn enter(self, name: &str, mass: Grams) {
        self.masses.update(|masses| {
            masses.retain(|(other, _)| other != name);
            if mass.value() > 0.0 {
                masses.push((name.to_owned(), mass));
            }
        });
    }
}

/// The parts in order, with the running total of the scale.
#[component]
pub fn WeighingList(
    /// The family as its tin changes it.
    family: Family,
    plan: Plan,
    weighing: Weighing,
    poured: Poured,
) -> Node {
    let store = use_store();
    let settings = store.settings();
    let said = words::mended(&weighing.outcome).map(|words| {
        let class = match weighing.outcome {
            Outcome::TooMuch { .. } | Outcome::TopUp { .. } => "trouble",
            _ => "hint",
        };
        view! { <p class=class role="status" data-mend="">{words}</p> }
    });
    let too_much = matches!(weighing.outcome, Outcome::TooMuch { .. });
    let whose = batch::tolerance(&family).map(|(_, whose)| whose).unwrap_or_default();
    let off = words::off(&settings, &plan, &weighing, &whose);
    let class = if weighing.inside == Some(false) { "trouble" } else { "hint" };
    let level = plan.catalyst.and_then(|(level, _)| words::catalyst_off(level, &weighing));
    let sum = plan.sum.clone();
    let lines = weighing.lines.into_iter().map(|line| {
        let target = plan.parts.get(line.part).map(|part| part.target);
        view! { <WeighLine line=line target=target poured=poured /> }
    });
    view! {
        <section class="card">
            <h2>"Weigh in this order"</h2>
            {said}
            <ol class="weighing">{lines.collect_view()}</ol>
            {level.filter(|_| !too_much).map(|line| view! { <p class="hint">{line}</p> })}
            {off.filter(|_| !too_much).map(|line| view! {
                <p class=class data-off="">{line}</p>
                <TheSum sum=sum />
            })}
            <MassKey
                label="Tub on the scale"
                value=Signal::derive(move || Some(poured.tare.get()).filter(|t| t.value() > 0.0))
                set=Callback::new(move |mass| {
                    poured.tare.set(mass);
                    Ok(())
                })
            />
            <p class="hint">"Tap a part to enter what really went in. The rest follows."</p>
        </section>
    }
}

#[component]
fn WeighLine(line: Line, target: Option<Grams>, poured: Poured) -> Node {
    let store = use_store();
    let settings = store.settings();
    let amount = words::mass(&settings, line.mass);
    let ml = line.volume.map(|ml| format!("or {}; ", words::volume(&settings, ml)));
    let ml = ml.unwrap_or_default();
    let reads = words::mass(&settings, line.reading);
    let below = match (line.is_in, target) {
        (true, Some(target)) => {
            format!("is in; {ml}planned {}; scale reads {reads}", words::mass(&settings, target))
        }
        _ => format!("{ml}scale reads {reads}"),
    };
    let more = if line.more { ", more" } else { "" };
    let name = format!("{}{more}", line.name);
    let open = {
        let Line { name, mass, is_in, more, .. } = line;
        move |_| {
            let name = name.clone();
            let title = format!("{name}: {}", if is_in { "in the tub in all" } else { "added" });
            let hint = if is_in { "0 takes the entry out." } else { "What really went in." };
            let set = Callback::new(move |entry: Grams| {
                let before = poured.masses.with_untracked(|masses| {
                    masses.iter().find(|(n, _)| *n == name).map(|(_, mass)| *mass)
                });
                let all = before.filter(|_| more).map_or(entry, |before| before + entry);
                if all.value() > 0.0 || !is_in {
                    command::mass_possible(all).map_err(|refusal| refusal.to_string())?;
                }
                poured.enter(&name, all);
                Ok(())
            });
            ask_mass(store, title, hint, Some(mass), set);
        }
    };
    view! {
        <li>
            <button class="reading wide" data-in=line.is_in.to_string() on:click=tap(open)>
                <span class="weigh-name">{name}</span>
                <span class="weigh-add">{amount}</span>
                <span class="hint">{below}</span>
            </button>
        </li>
    }
}
