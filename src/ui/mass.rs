//! How much at once: pot life, and peak where it is known, against the mass of
//! a tub.

use crate::engine::quantity::{Celsius, Grams, Instant, Millimetres, Percent};
use crate::job::batch::{rate, tub_limit};
use crate::job::card::{self, Card};
use crate::job::event::{Id, Material, Place};
use crate::job::heat::{By, HOT, MassEffect, Pot, Use, Vessel, layer, mass_effect};
use crate::job::temperature;
use crate::trade::model::{Dimension, Driver};
use crate::ui::chart::{self, PotLife, PotPoint};
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
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
    let vessel = RwSignal::new(Vessel::Tub);
    let thick = RwSignal::new(None::<Millimetres>);
    let material = StoredValue::new(material);
    let has_pot = store.state.with_untracked(|state| {
        let found = card::resolve(store.rules(), state, &material.get_value()).ok();
        found.is_some_and(|(family, _)| family.profile("pot").is_some_and(|p| p.mass.is_some()))
    });
    if !has_pot {
        return Node::Nothing;
    }
    let result = move || {
        let of = Asked {
            job,
            level: level.get(),
            mass: total.get(),
            vessel: vessel.get(),
            thick: thick.get(),
        };
        effect(store, &material.get_value(), of)
    };
    view! {
        {live(move || if asked.get() {
            result().map(|found| view! { <Shown found=found vessel=vessel thick=thick /> })
        } else {
            Some(view! {
                <button class="big quiet" on:click=tap(move |_| asked.set(true))>
                    "How much at once?"
                </button>
            })
        })}
    }
}

/// What is asked.
struct Asked {
    job: Option<Id>,
    level: Option<Percent>,
    mass: Option<Grams>,
    vessel: Vessel,
    thick: Option<Millimetres>,
}

/// What is answered.
struct Found {
    title: String,
    effect: MassEffect,
    /// Peak in the middle of a layer, where one was asked for and is known.
    layer: Option<(Millimetres, Celsius)>,
}

fn effect(store: Store, material: &Material, asked: Asked) -> Option<Found> {
    let Asked { job, level, mass, vessel, thick } = asked;
    store.state.with(|state| {
        let card = Card::in_force(store.rules(), state, material, "pot").ok()?;
        let place = job.and_then(|job| state.jobs.get(&job)).map_or(Place::Bench, |job| job.place);
        let now: Instant = store.now.get_untracked();
        let reference = card.law.reference();
        let of = (place, job);
        let driving = temperature::driving(store.rules(), state, of, Driver::Room, reference, now);
        let rate = rate(store.rules(), state, card.family).map(|rate| rate.span.low);
        let most = tub_limit(store.rules(), card.family);
        let of = Use { at: driving.at(now), level, mass, rate, vessel, most };
        let peak = |mm| Some((mm, layer(store.rules(), &card, of, mm)?.0));
        Some(Found {
            title: words::material(state, material),
            effect: mass_effect(store.rules(), &card, of)?,
            layer: thick.and_then(peak),
        })
    })
}

const VESSELS: [(Vessel, &str); 3] =
    [(Vessel::Tub, "Plastic tub"), (Vessel::Tin, "Metal tin"), (Vessel::Tray, "Flat tray")];

#[component]
fn Shown(found: Found, vessel: RwSignal<Vessel>, thick: RwSignal<Option<Millimetres>>) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let settings = store.settings();
    let Found { title, effect, layer } = found;
    let ask = {
        let settings = settings.clone();
        move |_| {
            let settings = settings.clone();
            overlays.pad.set(Some(Pad {
                title: "Poured how thick?".into(),
                hint: "From 10 to 30 mm. A thinner one is cooled by its form; a thicker one wants several pours.".into(),
                start: String::new(),
                units: words::units(&settings, Dimension::Length),
                done: Callback::new(move |entry: String| {
                    let mm = words::read_length(&settings, &entry)?;
                    if mm < Millimetres(10.0) || mm > Millimetres(30.0) {
                        return Err("Enter between 10 and 30 mm: for others nothing sure can be said.".into());
                    }
                    thick.set(Some(mm));
                    Ok(())
                }),
            }));
        }
    };
    let in_layer = layer.map(|(mm, peak)| {
        format!(
            "In a layer of {} on a form that takes up no heat, its hottest place gets to about {} \
             at worst.",
            words::length(&settings, mm),
            words::temperature(&settings, Celsius(words::two_digits(peak.value())))
        )
    });
    let by_heat = effect.by == By::HeatBalance;
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
    let too_much =
        matches!((effect.chosen, effect.largest), (Some(pot), Some(most)) if pot.mass > most);
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
            {too_much.then(|| view! {
                <p class="trouble">"This tub is more than that: mix less at a time."</p>
            })}
            {hot.map(|line| view! { <p class="trouble">{line}</p> })}
            {by_heat.then(|| view! {
                <div class="row units" role="group" aria-label="Mixed in">
                    {VESSELS
                        .into_iter()
                        .map(|(of, name)| view! {
                            <button
                                type="button"
                                class="chip"
                                aria-pressed=(vessel.get_untracked() == of).to_string()
                                on:click=tap(move |_| vessel.set(of))
                            >
                                {name}
                            </button>
                        })
                        .collect_view()}
                </div>
            })}
            <div class="chart-place" inner_html=picture></div>
            {in_layer.map(|line| view! { <p class="trouble">{line}</p> })}
            {by_heat.then(|| view! {
                <div class="stack">
                    <button type="button" class="big quiet" on:click=tap(ask)>
                        "Poured as a thick layer?"
                    </button>
                </div>
            })}
            <p class="hint">{effect.by.to_string()}</p>
        </section>
    }
}
