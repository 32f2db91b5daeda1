//! The number pad: full width, keys for a knuckle, the unit in sight.
//!
//! It takes what people write on tape: "1/2", "0.5 in", "12,5". What the entry
//! means is read by the engine; the pad only collects keys.

use crate::ui::overlay::use_overlays;
use crate::ui::parts::{live, shown, tap, typed};
use crate::ui::prelude::*;

/// What the pad asks for.
#[derive(Clone)]
pub struct Pad {
    /// What is asked.
    pub title: String,
    /// A line below it: a range, a hint, the last value.
    pub hint: String,
    /// What stands there at first.
    pub start: String,
    /// Units that can be chosen by a key; the first is in force. May be empty.
    pub units: Vec<&'static str>,
    /// Called with the entry and its unit. The error stays on the pad.
    pub done: Callback<String, Result<(), String>>,
}

const KEYS: [&str; 12] = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "/"];

/// The open pad.
#[component]
pub fn PadView(pad: Pad) -> Node {
    let overlays = use_overlays();
    let text = RwSignal::new(pad.start.clone());
    let fresh = RwSignal::new(true);
    let unit = RwSignal::new(0_usize);
    let trouble = RwSignal::new(None::<String>);
    let units = StoredValue::new(pad.units.clone());
    let unit_now =
        move || units.with_value(|units| units.get(unit.get()).copied().unwrap_or_default());
    let press = move |key: &'static str| {
        trouble.set(None);
        text.update(|text| {
            // The first key replaces the value that was offered.
            if fresh.get_untracked() {
                text.clear();
            }
            text.push_str(key);
        });
        fresh.set(false);
    };
    let rub = move |_| {
        trouble.set(None);
        fresh.set(false);
        text.update(|text| {
            text.pop();
        });
    };
    let done = pad.done;
    let close = move || overlays.pad.set(None);
    let enter = move || {
        let entry = text.get_untracked();
        let has_unit = entry.chars().any(|c| c.is_ascii_alphabetic() || matches!(c, '"' | '%'));
        let entry = if has_unit { entry } else { format!("{entry} {}", unit_now()) };
        match done.run(entry) {
            Ok(()) => close(),
            Err(sentence) => trouble.set(Some(sentence)),
        }
    };
    view! {
        <div class="sheet" role="dialog" aria-modal="true" aria-label=pad.title.clone()>
            <form class="sheet-card pad" on:submit=tap(move |event: web_sys::Event| {
                event.prevent_default();
                enter();
            })>
                <h2>{pad.title.clone()}</h2>
                <p class="hint">{pad.hint.clone()}</p>
                <div class="pad-line">
                    <input
                        class="pad-text"
                        type="text"
                        inputmode="none"
                        autocomplete="off"
                        aria-label=pad.title.clone()
                        prop:value=move || text.get()
                        on:input=tap(move |event: web_sys::Event| {
                            fresh.set(false);
                            trouble.set(None);
                            text.set(typed(&event));
                        })
                    />
                    <span class="pad-unit">{unit_now}</span>
                </div>
                {shown(move || trouble.get().is_some(), move || view! {
                    <p class="trouble" role="alert">{live(move || trouble.get())}</p>
                })}
                {shown(move || { units.with_value(|units| units.len() > 1) }, move || view! {
                    <div class="row units" role="group" aria-label="Unit">
                        {units
                            .get_value()
                            .into_iter()
                            .enumerate()
                            .map(|(index, name)| {
                                view! {
                                    <button
                                        type="button"
                                        class="chip"
                                        aria-pressed=move || (unit.get() == index).to_string()
                                        on:click=tap(move |_| unit.set(index))
                                    >
                                        {name}
                                    </button>
                                }
                            })
                            .collect_view()}
                    </div>
                })}
                <div class="keys">
                    {KEYS
                        .into_iter()
                        .map(|key| {
                            view! {
                                <button type="button" class="key" on:click=tap(move |_| press(key))>{key}</button>
                            }
                        })
                        .collect_view()}
                </div>
                <div class="row">
                    <button type="button" class="big quiet" on:click=tap(move |_| close())>"Back"</button>
                    <button type="button" class="big quiet" on:click=tap(rub)>"Rub out"</button>
                    <button type="submit" class="big main">"Enter"</button>
                </div>
            </form>
        </div>
    }
}
