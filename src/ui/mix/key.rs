//! What the batch card and its neighbours share: a mass as one big key with the
//! pad behind it, and a sum to look into.

use crate::engine::quantity::Grams;
use crate::engine::takeoff::Sum;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::sheet::sum_lines;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// A sum to look into, line by line; nothing where it is empty.
#[component]
pub fn TheSum(sum: Sum) -> Node {
    if sum.lines.is_empty() {
        return Node::Nothing;
    }
    view! {
        <details>
            <summary>"The sum"</summary>
            {sum_lines(use_store(), sum.lines)}
        </details>
    }
}

/// Asks for a mass of 0 or more on the pad.
pub fn ask_mass(
    store: Store,
    title: String,
    hint: &str,
    start: Option<Grams>,
    set: Callback<Grams, Result<(), String>>,
) {
    let settings = store.state.with_untracked(|state| state.settings.clone());
    let start = start.map(|mass| words::leading_number(&words::mass(&settings, mass)));
    use_overlays().pad.set(Some(Pad {
        title,
        hint: hint.into(),
        start: start.unwrap_or_default(),
        units: words::mass_units(&settings),
        done: Callback::new(move |entry: String| set.run(words::read_mass(&settings, &entry)?)),
    }));
}

/// A mass as one big key with the pad behind it.
#[component]
pub fn MassKey(
    label: &'static str,
    value: Signal<Option<Grams>>,
    /// Takes the mass, or says why not.
    set: Callback<Grams, Result<(), String>>,
) -> Node {
    let store = use_store();
    let open = move |_| ask_mass(store, label.into(), "", value.get_untracked(), set);
    view! {
        <button class="reading wide" on:click=tap(open)>
            <span class="reading-name">{label}</span>
            <span class="reading-value">
                {live(move || {
                    value.get().map_or_else(|| "enter".to_owned(), |mass| words::mass(&store.settings(), mass))
                })}
            </span>
        </button>
    }
}
