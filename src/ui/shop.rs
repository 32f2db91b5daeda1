//! The Shop: readings, units, sound, look, backup, the app itself.

use crate::device::offline::{self, Offline};
use crate::device::{bell, files};
use crate::engine::quantity::Grams;
use crate::engine::units::{AreaUnit, LengthUnit, MassUnit, TemperatureUnit, VolumeUnit};
use crate::job::command;
use crate::job::event::{About, Body};
use crate::job::settings::{Scheme, Settings};
use crate::ui::emergency::EmergencySettings;
use crate::ui::mix::MassKey;
use crate::ui::outlook::Places;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::papers;
use crate::ui::parts::{live, shown, tap};
use crate::ui::photos;
use crate::ui::prelude::*;
use crate::ui::readings::ReadingList;
use crate::ui::ringing::{Strip, use_readiness};
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use wasm_bindgen_futures::spawn_local;

/// The Shop.
#[component]
pub fn ShopScreen() -> Node {
    view! {
        <h1>"Shop"</h1>
        <section class="card">
            <h2>"Readings"</h2>
            <p class="hint">"Air for pots, surface for films. Every running clock follows at once."</p>
            <Places />
            <details>
                <summary>"The last readings"</summary>
                <ReadingList />
            </details>
        </section>
        <AlarmSettings />
        <UnitSettings />
        <Scales />
        <Altitude />
        <EmergencySettings />
        <LookSettings />
        <Backup />
        <papers::Tables />
        <AppState />
        <a class="big quiet" href=Route::Help.to_string()>"Help"</a>
    }
}

/// Changes one thing of the settings.
fn change(store: Store, edit: impl FnOnce(&mut Settings)) {
    let mut settings = store.state.with_untracked(|state| state.settings.clone());
    edit(&mut settings);
    store.act(Ok(Body::SettingsChanged { settings }), "Set");
}

/// A switch: what it is, whether it is on, and what sets it.
#[component]
fn Toggle(title: &'static str, on: fn(&Settings) -> bool, set: fn(&mut Settings, bool)) -> Node {
    let store = use_store();
    let on = move || store.state.with(|state| on(&state.settings));
    let flip = move |_| {
        let turned = !untrack(on);
        change(store, |settings| set(settings, turned));
    };
    view! {
        <button
            class="choice"
            role="switch"
            aria-checked=move || on().to_string()
            on:click=tap(flip)
        >
            <span class="choice-mark" aria-hidden="true">
                {live(move || if on() { "■" } else { "□" })}
            </span>
            <span class="choice-text">
                <b>{title}</b>
                <span class="hint">{live(move || if on() { "on" } else { "off" })}</span>
            </span>
        </button>
    }
}

/// The shop's height: thin air lets a damp surface grow colder.
#[component]
fn Altitude() -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let open = move |_| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        let start = words::height(&settings, settings.altitude);
        overlays.pad.set(Some(Pad {
            title: "Height above the sea".into(),
            hint: "A map tells it. To the nearest hundred is enough.".into(),
            start: words::leading_number(&start),
            units: words::height_units(&settings),
            done: Callback::new(move |entry: String| {
                let height = words::read_height(&settings, &entry)?;
                let height = command::altitude(height).map_err(|why| why.to_string())?;
                change(store, |settings| settings.altitude = height);
                Ok(())
            }),
        }));
    };
    view! {
        <section class="card">
            <h2>"Where the shop is"</h2>
            <button class="reading wide" on:click=tap(open)>
                <span class="reading-name">"Height above the sea"</span>
                <span class="reading-value">
                    {live(move || words::height(&store.settings(), store.settings().altitude))}
                </span>
            </button>
            <p class="hint">"Air is thinner higher up: a damp surface that nobody measured is taken to be colder there."</p>
        </section>
    }
}

/// What the scales can show: targets are rounded to it.
#[component]
fn Scales() -> Node {
    let store = use_store();
    let set = move |fine: bool| {
        Callback::new(move |step: Grams| {
            let step = command::scale_step(step).map_err(|refusal| refusal.to_string())?;
            change(store, |settings| match fine {
                true => settings.fine_scale_step = step,
                false => settings.scale_step = step,
            });
            Ok(())
        })
    };
    let shown = move |fine| Signal::derive(move || Some(store.settings().step(fine)));
    view! {
        <section class="card">
            <h2>"Scales"</h2>
            <p class="hint">"The smallest step that each can show. Batch cards round to it, and say what that does to the ratio."</p>
            <MassKey label="Step of the base scale" value=shown(false) set=set(false) />
            <MassKey label="Step of the fine scale" value=shown(true) set=set(true) />
        </section>
    }
}

#[component]
fn AlarmSettings() -> Node {
    let readiness = use_readiness();
    let try_it = move |_| {
        bell::arm();
        bell::ring(bell::URGENT, 0.6);
        bell::vibrate(&[200, 100, 200]);
        readiness.refresh_now();
    };
    view! {
        <section class="card">
            <h2>"Alarms"</h2>
            <Strip />
            <Toggle title="Sound" on=|s| s.sound set=|s, on| s.sound = on />
            <Toggle title="Buzz" on=|s| s.vibrate set=|s, on| s.vibrate = on />
            <Toggle title="Slow flash of the screen" on=|s| s.flash set=|s, on| s.flash = on />
            <div class="stack">
                <button class="big" on:click=tap(try_it)>"Try the alarm"</button>
                <button class="big" on:click=tap(move |_| readiness.ask())>
                    "Allow notices, and keep my records"
                </button>
            </div>
            <p class="hint">
                "A browser may stop a hidden page. Keep this open on the bench, plugged in, and the volume up. No clock here is lost when it is closed: what was missed is shown on return."
            </p>
        </section>
    }
}

/// One of a few values of which one is in force.
struct Offer {
    name: &'static str,
    holds: fn(&Settings) -> bool,
    pick: fn(&mut Settings),
}

#[component]
fn Pick(title: &'static str, offers: Vec<Offer>) -> Node {
    let store = use_store();
    view! {
        <fieldset class="pick">
            <legend>{title}</legend>
            <div class="row">
                {offers
                    .into_iter()
                    .map(|Offer { name, holds, pick }| {
                        let pressed =
                            move || store.state.with(|state| holds(&state.settings)).to_string();
                        view! {
                            <button
                                class="chip"
                                aria-pressed=pressed
                                on:click=tap(move |_| change(store, pick))
                            >
                                {name}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
        </fieldset>
    }
}

/// An offer that sets one field of the settings to one value.
macro_rules! offer {
    ($name:literal, $($field:ident).+ = $value:expr) => {
        Offer {
            name: $name,
            holds: |s| s.$($field).+ == $value,
            pick: |s| s.$($field).+ = $value,
        }
    };
}

#[component]
fn UnitSettings() -> Node {
    let length = vec![
        offer!("mm", units.length = LengthUnit::Millimetre),
        offer!("in", units.length = LengthUnit::Inch),
    ];
    let mass = vec![
        offer!("g", units.mass = MassUnit::Gram),
        offer!("kg", units.mass = MassUnit::Kilogram),
        offer!("oz", units.mass = MassUnit::Ounce),
        offer!("lb", units.mass = MassUnit::Pound),
    ];
    let volume = vec![
        offer!("ml", units.volume = VolumeUnit::Millilitre),
        offer!("l", units.volume = VolumeUnit::Litre),
        offer!("US fl oz", units.volume = VolumeUnit::FluidOunceUs),
        offer!("imp fl oz", units.volume = VolumeUnit::FluidOunceImperial),
    ];
    let area = vec![
        offer!("m²", units.area = AreaUnit::SquareMetre),
        offer!("ft²", units.area = AreaUnit::SquareFoot),
    ];
    let temperature = vec![
        offer!("°C", units.temperature = TemperatureUnit::Celsius),
        offer!("°F", units.temperature = TemperatureUnit::Fahrenheit),
    ];
    view! {
        <section class="card">
            <h2>"Units"</h2>
            <p class="hint">"What is typed with a unit always counts as that: 1/2 in, 6 mm, 63 F."</p>
            <Pick title="Length" offers=length />
            <Pick title="Mass" offers=mass />
            <Pick title="Volume" offers=volume />
            <Pick title="Area" offers=area />
            <Pick title="Temperature" offers=temperature />
        </section>
    }
}

#[component]
fn LookSettings() -> Node {
    let scheme = vec![
        offer!("as the phone", scheme = Scheme::Phone),
        offer!("light", scheme = Scheme::Light),
        offer!("dark", scheme = Scheme::Dark),
    ];
    view! {
        <section class="card">
            <h2>"Look"</h2>
            <Toggle
                title="Gloves: larger keys, further apart"
                on=|s| s.gloves
                set=|s, on| s.gloves = on
            />
            <Pick title="Light or dark" offers=scheme />
        </section>
    }
}

#[component]
fn Backup() -> Node {
    let store = use_store();
    let outcome = RwSignal::new(None::<String>);
    let photos = move || store.state.with(|state| state.record.photos.len());
    let save = move |_| {
        papers::save(outcome, ".json", "application/json", &store.backup(None));
        let left = untrack(photos);
        if left > 0 {
            outcome.update(|said| {
                let more = format!(" {left} photographs are not in it: save them as well.");
                said.get_or_insert_default().push_str(&more);
            });
        }
    };
    let take = move |event: web_sys::Event| {
        let Some(file) = files::picked(&event) else { return };
        if file.name().ends_with(".zip") {
            photos::carry(store, About::default(), Some(file), outcome);
            return;
        }
        spawn_local(async move {
            let said = match files::read(file).await {
                Ok(text) => store.read_backup(&text).await.unwrap_or_else(|sentence| sentence),
                Err(sentence) => sentence,
            };
            outcome.set(Some(said));
        });
    };
    view! {
        <section class="card">
            <h2>"Backup"</h2>
            <p>"Your records are on this phone and nowhere else."</p>
            <div class="stack">
                <button class="big" on:click=tap(save)>"Save all records to a file"</button>
                {shown(move || photos() > 0, move || view! {
                    <button
                        class="big"
                        on:click=tap(move |_| photos::carry(store, About::default(), None, outcome))
                    >
                        "Save the photographs to a file"
                    </button>
                })}
                <label class="big file">
                    "Read a backup file"
                    <input type="file" accept="application/json,.json,application/zip,.zip" on:change=tap(take) />
                </label>
            </div>
            <p class="hint">"Reading a file, of all or of one job, adds what is missing. It never changes what is here. Records first, then photographs."</p>
            <p role="status">{live(move || outcome.get())}</p>
        </section>
    }
}

#[component]
fn AppState() -> Node {
    let readiness = use_readiness();
    let words = move || match readiness.offline.get() {
        Offline::Copying => "Being copied to this phone. Stay online for a moment.",
        Offline::Complete => "Complete on this phone. It needs no network any more.",
        Offline::UpdateWaits => "A newer version is complete and waits.",
        Offline::Unsupported => {
            "This browser or address can't keep it for offline use. Open it over HTTPS in an ordinary window."
        }
    };
    let kept = move || {
        if readiness.kept.get() {
            "The browser has promised to keep the records."
        } else {
            "The browser has not promised to keep the records. Add the app to the home screen, and save backups."
        }
    };
    view! {
        <section class="card">
            <h2>"This app"</h2>
            <p data-offline=move || (readiness.offline.get() == Offline::Complete).to_string()>{words}</p>
            {shown(move || readiness.offline.get() == Offline::UpdateWaits, move || view! {
                <button class="big" on:click=tap(|_| offline::use_update())>"Use the newer version now"</button>
            })}
            <p>{kept}</p>
            <p class="hint">{concat!("Version ", env!("CARGO_PKG_VERSION"))}</p>
        </section>
    }
}
