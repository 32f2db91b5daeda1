//! A clock on its own, in three taps: start, material, act.

use crate::device::clock;
use crate::engine::quantity::Percent;
use crate::job::card::{self, Card};
use crate::job::command::{self, Start};
use crate::job::event::{Material, Place};
use crate::trade::model::{Family, Profile};
use crate::ui::app::go;
use crate::ui::catalyst::CatalystStep;
use crate::ui::cautions::Cautions;
use crate::ui::parts::{live, tap};
use crate::ui::picker::MaterialTiles;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;

/// Picks a material, then the act that starts its clock.
#[component]
pub fn StartClockScreen() -> Node {
    let picked = RwSignal::new(None::<Material>);
    let has_clock = |family: &Family| !family.profiles.is_empty();
    let pick = Callback::new(move |(material, _)| picked.set(Some(material)));
    view! {
        <h1>"Start a clock"</h1>
        {live(move || match picked.get() {
            None => {
                view! {
                    <p>"What is it?"</p>
                    <MaterialTiles fits=has_clock pick=pick />
                }
            }
            Some(material) => {
                view! {
                    <Acts material=material />
                    <button class="big quiet" on:click=tap(move |_| picked.set(None))>"Another material"</button>
                }
            }
        })}
    }
}

#[component]
fn Acts(material: Material) -> Node {
    let store = use_store();
    let resolved =
        store.state.with_untracked(|state| card::resolve(store.rules(), state, &material));
    let (family, tin) = match resolved {
        Ok(found) => found,
        Err(why) => return view! { <p class="card">{why.to_string()}</p> },
    };
    let name = tin.map_or_else(|| family.title.clone(), |tin| tin.name);
    let level = RwSignal::new(card::catalyst_law(family).map(|law| law.reference));
    let catalysed = family.profiles.iter().any(|p| p.catalysed);
    view! {
        <h2>{name}</h2>
        <Cautions hazards=Vec::new() ppe=family.ppe.clone() questions=Vec::new() />
        {catalysed.then(|| view! { <CatalystStep material=material.clone() level=level job=None /> })}
        <div class="stack">
            {family
                .profiles
                .iter()
                .map(|profile| {
                    view! { <ActKey material=material.clone() family=family profile=profile level=level /> }
                })
                .collect_view()}
        </div>
        <Cautions hazards=family.hazards.clone() ppe=Vec::new() questions=Vec::new() />
    }
}

#[component]
fn ActKey(
    material: Material,
    family: &'static Family,
    profile: &'static Profile,
    level: RwSignal<Option<Percent>>,
) -> Node {
    let store = use_store();
    let begin = move |_| {
        let now = clock::now();
        let outcome = store.state.with_untracked(|state| {
            let start = Start {
                of: None,
                title: family.clock_title(profile),
                material: material.clone(),
                profile: profile.id.clone(),
                catalyst: level.get_untracked().filter(|_| profile.catalysed),
                mass: None,
                batch: None,
                started: now,
                place: Place::Bench,
                reason: None,
            };
            Card::in_force(store.rules(), state, &material, &profile.id)
                .map_err(|why| why.to_string())?;
            command::start(store.rules(), state, start, now).map_err(|why| why.to_string())
        });
        match outcome {
            Ok(body) => {
                store.append(vec![body], format!("{}: clock started", profile.starts), || {
                    go(&Route::Bench);
                });
            }
            Err(sentence) => store.refuse(sentence),
        }
    };
    view! {
        <button class="big main" on:click=tap(begin)>
            {profile.starts.clone()}
            <span class="hint">{profile.title.clone()}</span>
        </button>
    }
}
