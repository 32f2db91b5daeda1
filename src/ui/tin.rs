//! A tin of the shop: two numbers off its data sheet make a card that counts
//! before the family's.

use crate::engine::quantity::{Celsius, Minutes, Percent};
use crate::job::card::{SheetTime, TinCard};
use crate::job::command;
use crate::trade::model::{Family, Mixing};
use crate::ui::app::go;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap, typed};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;
use crate::ui::tin_mix::{MixEntry, MixOfSheet};
use crate::ui::words;

/// A new tin of a family.
#[component]
pub fn NewTinScreen(family: String) -> Node {
    match use_store().rules().family(&family) {
        Some(family) => view! { <Form family=family /> },
        None => view! {
            <h1>"Shelf"</h1>
            <p class="card">"This material is not known here. Update the app."</p>
        },
    }
}

/// A time that a sheet may state: profile and milestone with their titles.
#[derive(Clone, PartialEq)]
struct Slot {
    profile: &'static str,
    milestone: &'static str,
    title: String,
}

fn slots(family: &'static Family) -> Vec<Slot> {
    family
        .profiles
        .iter()
        .flat_map(|profile| {
            profile.milestones.iter().map(|milestone| Slot {
                profile: &profile.id,
                milestone: &milestone.id,
                title: format!("{}: {}", profile.title, milestone.title),
            })
        })
        .collect()
}

#[component]
fn Form(family: &'static Family) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let name = RwSignal::new(String::new());
    let batch = RwSignal::new(String::new());
    let times = RwSignal::new(Vec::<(usize, Minutes)>::new());
    let reference = family.reference.as_ref().map_or(20.0, |r| r.temperature.likely);
    let at = RwSignal::new(Celsius(reference));
    let level = RwSignal::new(family.catalyst.as_ref().map(|c| Percent(c.level.likely)));
    let mix = MixOfSheet::new();
    let slots = StoredValue::new(slots(family));
    let ask_time = move |index: usize| {
        let title = slots.with_value(|s| s.get(index).map(|s| s.title.clone()));
        overlays.pad.set(Some(Pad {
            title: title.unwrap_or_default(),
            hint: "As the sheet states it.".into(),
            start: String::new(),
            units: vec!["min", "h", "d"],
            done: Callback::new(move |entry: String| {
                let time = words::read_minutes(&entry)?;
                times.update(|times| {
                    times.retain(|(other, _)| *other != index);
                    times.push((index, time));
                });
                Ok(())
            }),
        }));
    };
    let ask_temperature = move |_| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        overlays.pad.set(Some(Pad {
            title: "The sheet's temperature".into(),
            hint: "The one that its times are given at.".into(),
            start: String::new(),
            units: words::temperature_units(&settings),
            done: Callback::new(move |entry: String| {
                at.set(words::read_temperature(&settings, &entry)?);
                Ok(())
            }),
        }));
    };
    let ask_level = move |_| {
        overlays.pad.set(Some(Pad {
            title: "The sheet's catalyst level".into(),
            hint: "By weight.".into(),
            start: String::new(),
            units: vec!["%"],
            done: Callback::new(move |entry: String| {
                level.set(Some(words::read_percent(&entry)?));
                Ok(())
            }),
        }));
    };
    let save = move || {
        let (ratio, densities) = match mix.read() {
            Ok(read) => read,
            Err(sentence) => return store.refuse(sentence),
        };
        let card = TinCard {
            name: name.get_untracked(),
            family: family.id.clone(),
            follows: None,
            batch: Some(batch.get_untracked().trim().to_owned()).filter(|text| !text.is_empty()),
            times: times
                .get_untracked()
                .into_iter()
                .filter_map(|(index, time)| {
                    let slot = slots.with_value(|s| s.get(index).cloned())?;
                    Some(SheetTime {
                        profile: slot.profile.to_owned(),
                        milestone: slot.milestone.to_owned(),
                        time,
                        temperature: at.get_untracked(),
                        catalyst: level.get_untracked(),
                    })
                })
                .collect(),
            ratio,
            densities,
            tolerance: mix.tolerance.get_untracked(),
        };
        store.act_then(command::add_tin(card), "Tin on the Shelf", move || {
            go(&Route::Family(family.id.clone()));
        });
    };
    let two_part = matches!(family.mixing, Mixing::TwoPart { .. } | Mixing::BySheet { .. });
    view! {
        <p class="crumb">
            <a href=Route::Family(family.id.clone()).to_string()>{family.title.clone()}</a>
        </p>
        <h1>"My tin"</h1>
        <p>"One time and its temperature off the data sheet are enough. More make it better."</p>
        <form on:submit=tap(move |event: web_sys::Event| {
            event.prevent_default();
            save();
        })>
            <label class="field">
                "What do you call it?"
                <input
                    type="text"
                    autocomplete="off"
                    maxlength="60"
                    prop:value=move || name.get()
                    on:input=tap(move |event: web_sys::Event| name.set(typed(&event)))
                />
            </label>
            <label class="field">
                "Batch number on the tin"
                <input
                    type="text"
                    autocomplete="off"
                    maxlength="60"
                    prop:value=move || batch.get()
                    on:input=tap(move |event: web_sys::Event| batch.set(typed(&event)))
                />
            </label>
            <button type="button" class="reading wide" on:click=tap(ask_temperature)>
                <span class="reading-name">"Sheet temperature"</span>
                <span class="reading-value">
                    {live(move || words::temperature(&store.settings(), at.get()))}
                </span>
            </button>
            {family
                .catalyst
                .is_some()
                .then(|| {
                    view! {
                        <button type="button" class="reading wide" on:click=tap(ask_level)>
                            <span class="reading-name">"Sheet catalyst level"</span>
                            <span class="reading-value">{live(move || level.get().map(words::percent))}</span>
                        </button>
                    }
                })}
            {two_part.then(|| view! { <MixEntry mix=mix /> })}
            <h2>"Times off the sheet"</h2>
            <div class="tiles">
                {slots
                    .get_value()
                    .into_iter()
                    .enumerate()
                    .map(|(index, slot)| {
                        let shown = move || {
                            times.with(|times| {
                                times
                                    .iter()
                                    .find(|(other, _)| *other == index)
                                    .map_or_else(|| "not stated".to_owned(), |(_, t)| words::duration(*t))
                            })
                        };
                        view! {
                            <button type="button" class="reading wide" on:click=tap(move |_| ask_time(index))>
                                <span class="reading-name">{slot.title}</span>
                                <span class="reading-value">{shown}</span>
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
            <button type="submit" class="big main">"Put it on the Shelf"</button>
        </form>
    }
}
