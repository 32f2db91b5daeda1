//! How much at once: pot life, and peak where it is known, against the mass of
//! a tub.

use crate::engine::quantity::{Celsius, Grams, Instant, Percent};
use crate::job::batch::{tub_limit, use_rate};
use crate::job::card::{self, Card};
use crate::job::event::{Id, Material, Place};
use crate::job::heat::{HOT, MassEffect, Pot, Use, mass_effect};
use crate::job::temperature;
use crate::trade::model::Driver;
use crate::ui::chart::{self, PotLife, PotPoint};
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// The effect of mass, worked out when it is asked for.
#[component]
pub fn MassCard(
    material: Material,
    job: Option<Id>,
    level: RwSignal<Option<Percent>>,
    total: RwSignal<Option<Grams>>,
) -> Node {
    let store = use_store();
    let asked = RwSignal::new(false);
    let material = StoredValue::new(material);
    let has_pot = store.state.with_untracked(|state| {
        let found = card::resolve(store.rules(), state, &material.get_value()).ok();
        found.is_some_and(|(family, _)| family.profile("pot").is_some_and(|p| p.mass.is_some()))
    });
    if !has_pot {
        return Node::Nothing;
    }
    let result = move || effect(store, &material.get_value(), job, level.get(), total.get());
    view! {
        {live(move || if asked.get() {
            result().map(|(title, effect)| view! { <Shown title=title effect=effect /> })
        } else {
            Some(view! {
                <button class="big quiet" on:click=tap(move |_| asked.set(true))>
                    "How much at once?"
                </button>
            })
        })}
    }
}

fn effect(
    store: Store,
    material: &Material,
    job: Option<Id>,
    level: Option<Percent>,
    mass: Option<Grams>,
) -> Option<(String, MassEffect)> {
    store.state.with(|state| {
        let card = Card::in_force(store.rules(), state, material, "pot").ok()?;
        let place = job.and_then(|job| state.jobs.get(&job)).map_or(Place::Bench, |job| job.place);
        let now: Instant = store.now.get_untracked();
        let reference = card.law.reference();
        let of = (place, job);
        let driving = temperature::driving(store.rules(), state, of, Driver::Room, reference, now);
        let rate = use_rate(store.rules(), card.family);
        let most = tub_limit(store.rules(), card.family);
        let of = Use { at: driving.at(now), level, mass, rate, most };
        Some((words::material(state, material), mass_effect(store.rules(), &card, of)?))
    })
}

#[component]
fn Shown(title: String, effect: MassEffect) -> Node {
    let store = use_store();
    let settings = store.settings();
    let points: Vec<PotPoint> = effect
        .pots
        .iter()
        .map(|pot| PotPoint { mass: pot.mass, pot: pot.life, peak: pot.peak })
        .collect();
    let picture = chart::pot_life(&PotLife {
        id: "pot-life",
        title: &title,
        points: &points,
        chosen: effect.chosen.map(|pot| pot.mass),
        advised: effect.largest.map(|mass| (mass, "largest")),
        mass: settings.units.mass,
        temperature: settings.units.temperature,
    });
    let chosen = effect.chosen.map(|pot| {
        format!(
            "{}: pot life {}.",
            words::mass(&settings, pot.mass),
            words::span_of_time(&pot.life)
        )
    });
    let largest = effect.largest.map(|mass| {
        let mass = Grams(words::two_digits(mass.value()));
        format!("Largest tub that is used up in time: about {}.", words::mass(&settings, mass))
    });
    // Without a mass, of the largest tub that the picture still advises.
    let fits = |pot: &&Pot| effect.largest.is_none_or(|largest| pot.mass <= largest);
    let of = effect.chosen.or(effect.pots.iter().rev().find(fits).copied());
    let hot = of.and_then(|pot| pot.peak).map(|peak| {
        let peak_words = words::temperature(&settings, Celsius(words::two_digits(peak.value())));
        if peak > HOT {
            format!(
                "Left in the tub it gets to about {peak_words}: it smokes, cracks and can set \
                 things alight. Spread it out in time; a hot tub goes outdoors, never a lid on it."
            )
        } else {
            format!("Left in the tub it gets to about {peak_words}.")
        }
    });
    view! {
        <section class="card" data-mass="">
            <h2>"How much at once"</h2>
            {chosen.map(|line| view! { <p><b>{line}</b></p> })}
            {largest.map(|line| view! { <p>{line}</p> })}
            {hot.map(|line| view! { <p class="trouble">{line}</p> })}
            <div class="chart-place" inner_html=picture></div>
            <p class="hint">{effect.by.to_string()}</p>
        </section>
    }
}
