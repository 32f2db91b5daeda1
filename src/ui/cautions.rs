//! Cautions where the step is: never hidden behind a tap, never a permission.

use crate::ui::prelude::*;
use crate::ui::store::use_store;

/// Hazards, what to wear, and the questions of the moment.
#[component]
pub fn Cautions(
    /// Codes of hazards.
    hazards: Vec<String>,
    /// Letters of PPE sets.
    ppe: Vec<String>,
    /// Questions of the moment ("Goggles on?").
    questions: Vec<String>,
) -> Node {
    let rules = use_store().rules();
    let hazards: Vec<_> = hazards.iter().filter_map(|id| rules.hazard(id)).collect();
    // In the order of the table: a later set builds on an earlier one.
    let sets: Vec<_> = rules.ppe.iter().filter(|set| ppe.contains(&set.id)).collect();
    if hazards.is_empty() && sets.is_empty() && questions.is_empty() {
        return Node::Nothing;
    }
    view! {
        <section class="card caution" aria-label="Cautions">
            {questions
                .into_iter()
                .map(|question| view! { <p class="question">{question}</p> })
                .collect_view()}
            {sets
                .into_iter()
                .map(|set| view! { <p><b>"Wear: "</b>{set.wear.clone()}</p> })
                .collect_view()}
            {hazards
                .into_iter()
                .map(|hazard| {
                    view! {
                        <p>
                            <b>{hazard.title.clone()} ": "</b>
                            {hazard.dangers.clone()}
                            " "
                            {hazard.controls.join(" ")}
                        </p>
                    }
                })
                .collect_view()}
            <p class="hint">
                "A reminder only. The tin's safety data sheet, local rules and trained people come first."
            </p>
        </section>
    }
}
