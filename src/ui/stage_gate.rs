//! The condition gate before a stage: room, surface and dew point, in words.

use crate::device::clock;
use crate::engine::air::GateVerdict;
use crate::job::event::{Id, Place};
use crate::job::{command, gate};
use crate::trade::model::{Gate, Stage};
use crate::ui::parts::live;
use crate::ui::prelude::*;
use crate::ui::readings::ReadingEntry;
use crate::ui::route::Route;
use crate::ui::store::{MORNING, use_store};
use crate::ui::words;

/// The gate of a stage with the reading that it wants.
#[component]
pub fn GateCard(job: Id, stage: &'static Stage) -> Node {
    let store = use_store();
    let verdict = move || {
        let now = store.now.get();
        store.state.with(|state| {
            let at = command::at(store.rules(), state, job, &stage.id).ok()?;
            gate::judge(store.rules(), state, &at, now, clock::next_at(MORNING, now))
        })
    };
    let film = stage.gate == Some(Gate::ResinFilm);
    let meets = move || {
        store.state.with(|state| {
            let at = command::at(store.rules(), state, job, &stage.id).ok().filter(|_| film)?;
            Some(words::meets(&state.settings, &gate::meets(state, &at)?))
        })
    };
    let (word, class) = (
        move || match verdict() {
            Some(GateVerdict::Pass) | None => "Conditions: go",
            Some(GateVerdict::Warn(_)) => "Conditions: mind",
            Some(GateVerdict::Stop(_)) => "Conditions: stop",
        },
        move || match verdict() {
            Some(GateVerdict::Pass) | None => "card pass",
            Some(GateVerdict::Warn(_)) => "card warn",
            Some(GateVerdict::Stop(_)) => "card stop",
        },
    );
    view! {
        <section class=class role="status" data-gate=move || word().rsplit(' ').next().unwrap_or("")>
            <h2>{word}</h2>
            {live(move || match verdict() {
                Some(GateVerdict::Pass) | None => {
                    view! { <p>"Room and surface are within what the card asks for."</p> }
                }
                Some(GateVerdict::Warn(reasons) | GateVerdict::Stop(reasons)) => {
                    view! {
                        <ul>
                            {reasons
                                .into_iter()
                                .map(|reason| view! { <li>{reason.to_string()}</li> })
                                .collect_view()}
                        </ul>
                    }
                }
            })}
            {live(move || meets().map(|line| view! { <p class="hint">{line}</p> }))}
            {(!film).then(|| view! {
                <a class="big quiet" href=Route::Sheet(Some(job), "fit".into()).to_string()>
                    "Will rubber and surface get on?"
                </a>
            })}
            <ReadingEntry job=Some(job) place=Place::Bench />
        </section>
    }
}
