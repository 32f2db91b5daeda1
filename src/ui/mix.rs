//! The batch card: what to weigh, in which order, and what the scale should
//! read when nothing is tared away.

mod batches;
mod cups;
mod extras;
mod key;
mod note;
mod weighing;

pub use batches::Batches;
pub use key::MassKey;

use crate::engine::quantity::{Grams, Instant, Percent};
use crate::engine::takeoff::Quantity;
use crate::job::amount::of_stage as amount_of;
use crate::job::batch::{self, Extra, Outcome, Plan, Tubs, Weighing};
use crate::job::card::{self, Card};
use crate::job::command;
use crate::job::event::{Id, Material};
use crate::job::stage;
use crate::job::temperature;
use crate::trade::model::{Driver, Family, Mixing};
use crate::ui::catalyst::CatalystStep;
use crate::ui::cautions::Cautions;
use crate::ui::mass::MassCard;
use crate::ui::parts::{either, live, tap};
use crate::ui::picker::MaterialTiles;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use cups::CupsCard;
use extras::Extras;
use key::TheSum;
use note::{Made, Then, first_clock, record};
use weighing::{Poured, WeighingList};

/// Where a batch belongs: job, stage, number of the material in the stage.
type Of = Option<(Id, String, usize)>;

/// The batch card, for a stage's material or on its own.
#[component]
pub fn MixScreen(of: Of) -> Node {
    match of {
        Some(of) => view! { <OfStage of=of /> },
        None => view! { <Free /> },
    }
}

#[component]
fn OfStage(of: (Id, String, usize)) -> Node {
    let store = use_store();
    let (job, stage_id, number) = of.clone();
    let found = store.state.with_untracked(|state| {
        let at = command::at(store.rules(), state, job, &stage_id).ok()?;
        let used = at.stage.materials.get(number)?;
        let material =
            stage::material(at.method, at.job, used.role.as_deref(), used.family.as_deref())?;
        let total = match amount_of(store.rules(), state, job, &stage_id, used).ok()?.main {
            Quantity::Mass(mass) => Some(mass),
            _ => None,
        };
        Some((material, total, used.title.clone(), at.job.name.clone()))
    });
    match found {
        Some((material, total, title, name)) => view! {
            <p class="crumb">
                <a href=Route::Stage(job, stage_id).to_string()>{name}</a>
            </p>
            <h1>{title.clone()}</h1>
            <BatchCard material=material total=total title=title of=Some(of) />
        },
        None => view! {
            <h1>"Batch card"</h1>
            <p class="card">"Its amount can't be worked out yet. Enter the measures at the stage first."</p>
            <a class="big" href=Route::Stage(job, stage_id).to_string()>"To the stage"</a>
        },
    }
}

/// A batch card on its own: pick a material that is mixed.
#[component]
fn Free() -> Node {
    let picked = RwSignal::new(None::<(Material, String)>);
    let mixed = |family: &Family| !matches!(family.mixing, Mixing::AsSupplied);
    let pick = Callback::new(move |material| picked.set(Some(material)));
    view! {
        <h1>"Mix"</h1>
        {live(move || match picked.get() {
            None => {
                view! {
                    <p>"What is mixed?"</p>
                    <MaterialTiles fits=mixed pick=pick />
                    <Batches of=None />
                }
            }
            Some((material, title)) => {
                view! {
                    <h2>{title.clone()}</h2>
                    <BatchCard material=material total=None title=title of=None />
                    <button class="big quiet" on:click=tap(move |_| picked.set(None))>"Another material"</button>
                }
            }
        })}
    }
}

#[component]
fn BatchCard(material: Material, total: Option<Grams>, title: String, of: Of) -> Node {
    let store = use_store();
    let resolved =
        store.state.with_untracked(|state| card::resolve(store.rules(), state, &material));
    let (family, tin) = match resolved {
        Ok(found) => found,
        Err(why) => return view! { <p class="card">{why.to_string()}</p> },
    };
    let mixing = StoredValue::new(card::with_tin_ratio(family, tin.as_ref()));
    let job = of.as_ref().map(|(job, _, _)| *job);
    let kept = StoredValue::new((material.clone(), title, of));
    let total = RwSignal::new(total);
    let poured = Poured { masses: RwSignal::new(Vec::new()), tare: RwSignal::new(Grams(0.0)) };
    let extras = RwSignal::new(Vec::<Extra>::new());
    let level = RwSignal::new(card::catalyst_law(family).map(|law| law.reference));
    let tub = Memo::new(move |_| {
        let total = total.get()?;
        let (settings, extras) = (store.settings(), extras.get());
        Some(mixing.with_value(|family| {
            let plan = batch::plan(family, &settings, total, level.get(), &extras)
                .map_err(|why| why.to_string())?;
            let weighing = batch::weigh(&plan, &poured.of(&plan), poured.tare.get())
                .map_err(|why| why.to_string())?;
            Ok::<(Plan, Weighing), String>((plan, weighing))
        }))
    });
    let start_anew = move || poured.masses.set(Vec::new());
    let note = move |then: Then| {
        let Some(Ok((plan, weighing))) = untrack(|| tub.get()) else { return };
        let (material, title, of) = kept.get_value();
        let entered = untrack(|| poured.of(&plan));
        // Rounding by the scale is no other level; what was poured is.
        let planned = plan.catalyst.as_ref().map(|(level, _)| *level);
        let catalyst = plan.parts.iter().rposition(|part| !part.extra).unwrap_or_default();
        let really = weighing.level.filter(|_| entered.get(catalyst).is_some_and(Option::is_some));
        let made = Made {
            material,
            title,
            of,
            parts: batch::mixed(&plan, &weighing, &entered),
            level: really.or(planned),
        };
        record(store, family, made, then, start_anew);
    };
    let starts = first_clock(family).map(|profile| profile.starts.clone()).unwrap_or_default();
    let mass_set = Callback::new(move |mass| {
        command::mass_possible(mass).map_err(|refusal| refusal.to_string())?;
        start_anew();
        total.set(Some(mass));
        Ok(())
    });
    let spoiled = move || match tub.get() {
        Some(Ok((_, weighing))) => matches!(weighing.outcome, Outcome::TooMuch { .. }),
        _ => false,
    };
    let in_stage = job.is_some();
    let go_on = move || {
        let starts = starts.clone();
        if in_stage {
            view! {
                <button class="big main" on:click=tap(move |_| note(Then::Stage))>
                    "Weighed. Back to the stage"
                </button>
                <p class="hint">
                    {format!("The clocks start there, at the moment of: {starts}.")}
                </p>
            }
        } else {
            view! { <button class="big main" on:click=tap(move |_| note(Then::Clock))>{starts}</button> }
        }
    };
    let throw_away = move || {
        view! {
            <button class="big main" on:click=tap(move |_| note(Then::ThrownAway))>
                "Thrown away. A clean tub"
            </button>
        }
    };
    let (of_tubs, of_mass, of_cups) = (material.clone(), material.clone(), material.clone());
    view! {
        <Cautions hazards=Vec::new() ppe=family.ppe.clone() questions=mixing.with_value(questions) />
        <MassKey
            label=if family.catalyst.is_some() { "Resin to mix" } else { "Mass of the tub" }
            value=Signal::derive(move || total.get())
            set=mass_set
        />
        {family
            .catalyst
            .is_some()
            .then(|| view! { <CatalystStep material=material.clone() level=level job=job /> })}
        {live(move || {
            let tubs = tubs(store, of_tubs.clone(), job, level.get(), total.get()?)?;
            let each = tubs.split.each;
            let many = tubs.split.count > 1;
            let one = move |_| {
                start_anew();
                total.set(Some(each));
            };
            Some(view! {
                <section class=if many { "card warn" } else { "card" } data-tubs="">
                    <p>{words::tubs(&store.settings(), &tubs)}</p>
                    <p class="hint">{words::whose_rate(tubs.own)}</p>
                    <TheSum sum=tubs.sum />
                    {many.then(|| view! {
                        <button class="big quiet" on:click=tap(one)>"Card for one tub"</button>
                    })}
                </section>
            })
        })}
        {live(move || match tub.get() {
            None => view! { <p class="card empty">"Enter the mass first."</p> },
            Some(Err(why)) => view! { <p class="card stop" role="alert">{why}</p> },
            Some(Ok((plan, weighing))) => {
                let family = mixing.get_value();
                view! { <WeighingList family=family plan=plan weighing=weighing poured=poured /> }
            }
        })}
        <Extras family=family extras=extras />
        <CupsCard
            material=of_cups
            family=mixing
            tin=tin
            tub=Signal::derive(move || tub.get().and_then(Result::ok))
        />
        <MassCard material=of_mass job=job level=level total=total />
        <div class="stack">{either(spoiled, throw_away, go_on)}</div>
        <Cautions hazards=family.hazards.clone() ppe=Vec::new() questions=Vec::new() />
        <p class="hint">
            "Mix well, scrape the walls, and pour into a second clean tub to mix again. The ratio is never changed to change the speed, except peroxide within its range."
        </p>
    }
}

fn questions(family: &Family) -> Vec<String> {
    match family.mixing {
        Mixing::Catalysed => vec!["Goggles on?".into(), "Extraction on?".into()],
        Mixing::Water { .. } => vec!["Nothing living in it?".into()],
        _ => vec!["Gloves on?".into()],
    }
}

fn tubs(
    store: Store,
    material: Material,
    job: Option<Id>,
    level: Option<Percent>,
    total: Grams,
) -> Option<Tubs> {
    store.state.with(|state| {
        let (family, _) = card::resolve(store.rules(), state, &material).ok()?;
        let profile = first_clock(family)?;
        let card = Card::in_force(store.rules(), state, &material, &profile.id).ok()?;
        let place = job.and_then(|job| state.jobs.get(&job)).map(|j| j.place).unwrap_or_default();
        let reference = card.law.reference();
        let now: Instant = store.now.get_untracked();
        let of = (place, job);
        let driving = temperature::driving(store.rules(), state, of, Driver::Room, reference, now);
        let rate = card.law.rate(driving.at(now)) * card.speed(store.rules(), level, None);
        batch::tubs(store.rules(), state, &card, rate, total)
    })
}
