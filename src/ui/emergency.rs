//! The emergency card: one screen over everything, with the shop's own details.
//!
//! It says no more than rinse, help, sheet. What else to do is for trained people and
//! the safety data sheet.

use crate::job::sheet::{self, DETAILS, EMERGENCY};
use crate::ui::overlay::use_overlays;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;

/// What happened, and the least that is always right.
const CASES: [(&str, &str); 5] = [
    ("Eye", "Rinse with water at once, 15 minutes or more. Call for help. Take the sheet along."),
    ("Skin", "Rinse with plenty of water. Call for help. Take the sheet along."),
    ("Breathing", "Out to fresh air. Call for help. Take the sheet along."),
    ("Fire", "Everybody out. Call for help."),
    ("Spill", "People away. The sheet says how to take it up."),
];

/// Opens the card from any screen.
#[component]
pub fn EmergencyKey() -> Node {
    let open = use_overlays().emergency;
    view! {
        <button class="emergency-key" on:click=tap(move |_| open.set(true))>"Emergency"</button>
    }
}

/// The card, while it is open.
#[component]
pub fn EmergencyCard() -> Node {
    let open = use_overlays().emergency;
    shown(move || open.get(), move || card(open))
}

fn card(open: RwSignal<bool>) -> Node {
    let store = use_store();
    let detail = move |field: &'static str| {
        store.state.with(|state| sheet::entry(state, None, EMERGENCY, field).map(str::to_owned))
    };
    view! {
        <div class="sheet emergency" role="dialog" aria-modal="true" aria-label="Emergency">
            <div class="sheet-card">
                <dl class="emergency-cases">
                    {CASES
                        .iter()
                        .map(|(what, line)| view! { <dt>{*what}</dt> <dd>{*line}</dd> })
                        .collect_view()}
                </dl>
                <dl class="emergency-shop">
                    {DETAILS
                        .iter()
                        .map(|(field, what)| view! {
                            <dt>{*what}</dt>
                            <dd>{live(move || detail(field).unwrap_or_else(|| "see Shop".into()))}</dd>
                        })
                        .collect_view()}
                </dl>
                <button class="big" on:click=tap(move |_| open.set(false))>"Back"</button>
            </div>
        </div>
    }
}

/// The way to the shop's details, to be filled in.
#[component]
pub fn EmergencySettings() -> Node {
    let href = Route::Sheet(None, EMERGENCY.into()).to_string();
    view! { <a class="big" href=href>"Fill in the emergency card"</a> }
}
