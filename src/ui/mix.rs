//! The batch card: what to weigh, in which order, and what the scale should
//! read when nothing is tared away.

use crate::device::clock;
use crate::engine::mix::{PartTarget, catalyst_amount, scale_steps};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Instant, Percent};
use crate::engine::takeoff::Quantity;
use crate::job::amount::of_stage as amount_of;
use crate::job::batch::{self, Tubs};
use crate::job::card::{self, Card};
use crate::job::command::{self, Start};
use crate::job::event::{Body, Id, Material, Part, Place};
use crate::job::stage;
use crate::job::temperature;
use crate::trade::model::{Driver, Family, Mixing, Profile};
use crate::ui::app::go;
use crate::ui::catalyst::CatalystStep;
use crate::ui::cautions::Cautions;
use crate::ui::mass::MassCard;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::picker::MaterialTiles;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

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

/// The clock that mixing starts: the pot, or for water-mixed powders the mix.
fn first_clock(family: &'static Family) -> Option<&'static Profile> {
    family.profile("pot").or_else(|| family.profile("mix")).or_else(|| family.profiles.first())
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
    let material = StoredValue::new(material);
    let title = StoredValue::new(title);
    let of = StoredValue::new(of);
    let total = RwSignal::new(total);
    let tare = RwSignal::new(Grams(0.0));
    let poured = RwSignal::new(None::<Grams>);
    let level = RwSignal::new(card::catalyst_law(family).map(|law| law.reference));
    let job = of.with_value(|of| of.as_ref().map(|(job, _, _)| *job));
    let parts = move || {
        let total = total.get()?;
        let parts = mixing.with_value(|family| batch::parts(family, total, level.get()));
        Some(parts.map(|mut parts| {
            if let Some(actual) = poured.get() {
                batch::poured(&mut parts, actual);
            }
            parts
        }))
    };
    let tubs = move || tubs(store, material.get_value(), job, level.get(), total.get()?);
    let note = move |start: bool| {
        let Some(Ok(parts)) = untrack(parts) else { return };
        let made = Made {
            material: material.get_value(),
            title: title.get_value(),
            of: of.get_value(),
            parts,
            level: level.get_untracked(),
        };
        record(store, family, made, start);
    };
    let starts = first_clock(family).map(|profile| profile.starts.clone()).unwrap_or_default();
    let in_stage = job.is_some();
    view! {
        <Cautions hazards=Vec::new() ppe=family.ppe.clone() questions=mixing.with_value(questions) />
        <MassKey
            label=if family.catalyst.is_some() { "Resin to mix" } else { "Mass of the tub" }
            value=Signal::derive(move || total.get())
            set=Callback::new(move |mass| {
                poured.set(None);
                total.set(Some(mass));
            })
        />
        {family
            .catalyst
            .is_some()
            .then(|| view! { <CatalystStep material=material.get_value() level=level job=job /> })}
        {live(move || {
            tubs()
                .filter(|tubs| tubs.count > 1)
                .map(|tubs| {
                    view! {
                        <section class="card warn">
                            <p>{words::tubs(&store.settings(), &tubs)}</p>
                            <button class="big quiet" on:click=tap(move |_| total.set(Some(tubs.each)))>
                                "Card for one tub"
                            </button>
                        </section>
                    }
                })
        })}
        {live(move || match parts() {
            None => view! { <p class="card empty">"Enter the mass first."</p> },
            Some(Err(why)) => view! { <p class="card stop" role="alert">{why.to_string()}</p> },
            Some(Ok(parts)) => {
                view! {
                    <Weighing family=family parts=parts tare=tare poured=poured />
                }
            }
        })}
        <MassCard material=material.get_value() job=job level=level total=total />
        <div class="stack">
            {if in_stage {
                view! {
                    <button class="big main" on:click=tap(move |_| note(false))>
                        "Weighed. Back to the stage"
                    </button>
                    <p class="hint">
                        {format!("The clocks start there, at the moment of: {starts}.")}
                    </p>
                }
            } else {
                view! { <button class="big main" on:click=tap(move |_| note(true))>{starts}</button> }
            }}
        </div>
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

/// A mass as one big key with the pad behind it.
#[component]
fn MassKey(label: &'static str, value: Signal<Option<Grams>>, set: Callback<Grams>) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let open = move |_| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        overlays.pad.set(Some(Pad {
            title: label.into(),
            hint: String::new(),
            start: value
                .get_untracked()
                .map(|mass| words::leading_number(&words::mass(&settings, mass)))
                .unwrap_or_default(),
            units: words::mass_units(&settings),
            done: Callback::new(move |entry: String| {
                let mass = words::read_mass(&settings, &entry)?;
                command::mass_possible(mass).map_err(|refusal| refusal.to_string())?;
                set.run(mass);
                Ok(())
            }),
        }));
    };
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

/// The parts in order, with the running total of the scale.
#[component]
fn Weighing(
    family: &'static Family,
    parts: Vec<Part>,
    tare: RwSignal<Grams>,
    poured: RwSignal<Option<Grams>>,
) -> Node {
    let store = use_store();
    let settings = store.settings();
    let targets: Vec<PartTarget> = parts
        .iter()
        .map(|part| PartTarget {
            name: part.name.clone(),
            mass: part.actual.unwrap_or(part.target),
        })
        .collect();
    let catalyst = family.catalyst.as_ref().and_then(|catalyst| {
        let mass = parts.get(1)?.target;
        let resin = parts.first()?;
        let resin = resin.actual.unwrap_or(resin.target);
        let level = Percent(mass / resin * 100.0);
        let density = GramsPerMillilitre(catalyst.density.likely);
        catalyst_amount(resin, level, density).ok().map(|amount| amount.volume)
    });
    let first = parts.first().map(|part| part.name.clone()).unwrap_or_default();
    let recalculated = parts.first().is_some_and(|part| part.actual.is_some());
    let show = settings.clone();
    let lines = move || {
        let settings = &show;
        scale_steps(tare.get(), &targets)
            .into_iter()
            .enumerate()
            .map(|(index, step)| {
                let fine = index > 0;
                let ml = (index == 1)
                    .then_some(catalyst)
                    .flatten()
                    .map(|ml| format!(" or {}", words::volume(settings, ml)));
                view! {
                    <li>
                        <span class="weigh-name">{step.name}</span>
                        <span class="weigh-add">{words::weighed(settings, step.add, fine)}{ml}</span>
                        <span class="hint">
                            "scale reads " {words::weighed(settings, step.reading, fine)}
                        </span>
                    </li>
                }
            })
            .collect_view()
    };
    view! {
        <section class="card">
            <h2>"Weigh in this order"</h2>
            <ol class="weighing">{lines}</ol>
            {recalculated
                .then(|| view! { <p class="hint">"Worked out anew from what was poured."</p> })}
            <div class="keys-row">
                <MassKey
                    label="Tub on the scale"
                    value=Signal::derive(move || Some(tare.get()).filter(|t| t.value() > 0.0))
                    set=Callback::new(move |mass| tare.set(mass))
                />
                <OverPour name=first poured=poured />
            </div>
        </section>
    }
}

#[component]
fn OverPour(name: String, poured: RwSignal<Option<Grams>>) -> Node {
    let label = StoredValue::new(format!("Really poured: {name}"));
    view! {
        <MassKey
            label="Really poured, first part"
            value=Signal::derive(move || poured.get())
            set=Callback::new(move |mass| poured.set(Some(mass)))
        />
        <span class="visually-hidden">{label.get_value()}</span>
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
        batch::tubs(store.rules(), &card, rate, total)
    })
}

/// A batch as it was weighed.
struct Made {
    material: Material,
    title: String,
    of: Of,
    parts: Vec<Part>,
    level: Option<Percent>,
}

/// Notes the batch, and starts its first clock.
fn record(store: Store, family: &'static Family, made: Made, start: bool) {
    let now = clock::now();
    let (job, stage) = match &made.of {
        Some((job, stage, _)) => (Some(*job), Some(stage.clone())),
        None => (None, None),
    };
    let id = store.new_id(now);
    let mass =
        made.parts.iter().fold(Grams(0.0), |sum, part| sum + part.actual.unwrap_or(part.target));
    let place = store
        .state
        .with_untracked(|s| job.and_then(|job| s.jobs.get(&job)).map(|job| job.place))
        .unwrap_or(Place::Bench);
    let batch = Body::BatchMixed {
        job,
        stage: stage.clone(),
        title: made.title.clone(),
        material: made.material.clone(),
        parts: made.parts,
        catalyst: made.level,
    };
    let mut drafts = vec![crate::job::demo::Draft { id, at: now, body: batch }];
    if start && let Some(profile) = first_clock(family) {
        let begin = Start {
            of: job.zip(stage.clone()).map(|(job, stage)| (job, stage, None)),
            title: family.clock_title(profile),
            material: made.material,
            profile: profile.id.clone(),
            catalyst: made.level.filter(|_| profile.catalysed),
            mass: Some(mass),
            batch: Some(id),
            started: now,
            place,
            reason: None,
        };
        let body =
            store.state.with_untracked(|state| command::start(store.rules(), state, begin, now));
        match body {
            Ok(body) => {
                drafts.push(crate::job::demo::Draft { id: store.new_id(now), at: now, body });
            }
            Err(refusal) => {
                store.refuse(refusal.to_string());
                return;
            }
        }
    }
    let back = match (job, stage) {
        (Some(job), Some(stage)) => Route::Stage(job, stage),
        _ => Route::Bench,
    };
    store.append_drafts(drafts, "Batch noted".into(), move || go(&back));
}
