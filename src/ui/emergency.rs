//! The emergency card: one screen over everything, with the shop's own details.
//!
//! It says no more than rinse, help, sheet: what to do is for trained people and
//! the safety data sheet.

use crate::job::event::Body;
use crate::job::sheet;
use crate::ui::overlay::{Why, use_overlays};
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;

/// The sheet of the shop's own details in the journal.
const SHEET: &str = "emergency";

/// What the shop fills in: field in the journal, what is asked, an example.
const DETAILS: [(&str, &str, &str); 4] = [
    ("number", "Number to call", "The emergency number here"),
    ("address", "This address", "Street, door, gate"),
    ("eyewash", "Eyewash and water", "Where they are"),
    ("extinguisher", "Extinguisher and way out", "Where they are"),
];

/// What happened, and the least that is always right.
const CASES: [(&str, &str); 5] = [
    (
        "Eye",
        "Rinse at once, 15 minutes or more, lids held open. Call for help. Take the sheet along.",
    ),
    (
        "Skin",
        "Off with what is soaked. Rinse long with water, never solvent. Burns: call for help. Sheet.",
    ),
    ("Breathing", "Out to fresh air, sit up, stay with them. Call for help. Sheet."),
    ("Fire", "Everybody out, warn, call. The extinguisher only with the way out behind you."),
    ("Spill", "People away, no flame, air in. What soaks it up stands in the sheet."),
];

/// Opens the card from any screen.
#[component]
pub fn EmergencyKey(open: RwSignal<bool>) -> Node {
    view! {
        <button class="emergency-key" on:click=tap(move |_| open.set(true))>"Emergency"</button>
    }
}

/// The card, while it is open.
#[component]
pub fn EmergencyCard(open: RwSignal<bool>) -> Node {
    shown(move || open.get(), move || card(open))
}

fn card(open: RwSignal<bool>) -> Node {
    let store = use_store();
    let detail = move |field: &'static str| {
        store.state.with(|state| sheet::entry(state, None, SHEET, field).map(str::to_owned))
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
                        .map(|(field, what, _)| view! {
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

/// The shop's details, to be filled in.
#[component]
pub fn EmergencySettings() -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let detail = move |field: &'static str| {
        store.state.with(|state| sheet::entry(state, None, SHEET, field).map(str::to_owned))
    };
    let ask = move |(field, what, example): (&'static str, &'static str, &'static str)| {
        overlays.why.set(Some(Why {
            title: what.into(),
            text: example.into(),
            offers: Vec::new(),
            words: ["In your words", "Write it down"],
            done: Callback::new(move |entry: String| {
                let (sheet, field) = (SHEET.to_owned(), field.to_owned());
                let body = Body::SheetFilled { job: None, sheet, field, entry: Some(entry) };
                store.append(vec![body], "Written down".into(), || {});
            }),
        }));
    };
    view! {
        <section class="card">
            <h2>"Emergency card"</h2>
            <p class="hint">"One tap away on every screen. It replaces neither the safety data sheets nor trained people."</p>
            {DETAILS
                .into_iter()
                .map(|of| view! {
                    <button class="reading wide" on:click=tap(move |_| ask(of))>
                        <span class="reading-name">{of.1}</span>
                        <span class="reading-value small">
                            {live(move || detail(of.0).unwrap_or_else(|| "fill in".into()))}
                        </span>
                    </button>
                })
                .collect_view()}
        </section>
    }
}
