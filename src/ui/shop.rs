//! The Shop: readings, units, sound, look, backup, the app itself.

use crate::device::offline::{self, Offline};
use crate::device::{bell, clock, files};
use crate::engine::units::{AreaUnit, LengthUnit, MassUnit, TemperatureUnit, Units, VolumeUnit};
use crate::job::event::Body;
use crate::job::settings::{Scheme, Settings};
use crate::ui::keyed::{live, shown, tap};
use crate::ui::readings::{ReadingEntry, ReadingList};
use crate::ui::ringing::{Strip, use_readiness};
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// The Shop.
#[component]
pub fn ShopScreen() -> impl IntoView {
    view! {
        <h1>"Shop"</h1>
        <section class="card">
            <h2>"Readings"</h2>
            <p class="hint">"Air for pots, surface for films. Every running clock follows at once."</p>
            <ReadingEntry job=None />
            <details>
                <summary>"The last readings"</summary>
                <ReadingList />
            </details>
        </section>
        <AlarmSettings />
        <UnitSettings />
        <LookSettings />
        <Backup />
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

/// A switch: what it is, and whether it is on.
#[component]
fn Toggle(title: &'static str, on: Signal<bool>, flip: impl Fn(bool) + 'static) -> impl IntoView {
    view! {
        <button
            class="choice"
            role="switch"
            aria-checked=move || on.get().to_string()
            on:click=tap(move |_| flip(!on.get_untracked()))
        >
            <span class="choice-mark" aria-hidden="true">{live(move || if on.get() { "■" } else { "□" })}</span>
            <span class="choice-text">
                <b>{title}</b>
                <span class="hint">{live(move || if on.get() { "on" } else { "off" })}</span>
            </span>
        </button>
    }
}

#[component]
fn AlarmSettings() -> impl IntoView {
    let store = use_store();
    let readiness = use_readiness();
    let setting = move |pick: fn(&Settings) -> bool| {
        Signal::derive(move || store.state.with(|state| pick(&state.settings)))
    };
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
            <Toggle title="Sound" on=setting(|s| s.sound) flip=move |on| change(store, |s| s.sound = on) />
            <Toggle title="Buzz" on=setting(|s| s.vibrate) flip=move |on| change(store, |s| s.vibrate = on) />
            <Toggle
                title="Slow flash of the screen"
                on=setting(|s| s.flash)
                flip=move |on| change(store, |s| s.flash = on)
            />
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

/// A few values of which one is in force.
#[component]
fn Pick<T: Copy + PartialEq + Send + Sync + 'static>(
    title: &'static str,
    offers: Vec<(T, &'static str)>,
    now: Signal<T>,
    pick: impl Fn(T) + Copy + 'static,
) -> impl IntoView {
    view! {
        <fieldset class="pick">
            <legend>{title}</legend>
            <div class="row">
                {offers
                    .into_iter()
                    .map(|(value, name)| {
                        view! {
                            <button
                                class="chip"
                                aria-pressed=move || (now.get() == value).to_string()
                                on:click=tap(move |_| pick(value))
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

#[component]
fn UnitSettings() -> impl IntoView {
    let store = use_store();
    fn unit<T: Send + Sync + 'static>(store: Store, pick: fn(&Units) -> T) -> Signal<T>
    where
        T: Clone,
    {
        Signal::derive(move || store.state.with(|state| pick(&state.settings.units)))
    }
    view! {
        <section class="card">
            <h2>"Units"</h2>
            <p class="hint">"What is typed with a unit always counts as that: 1/2 in, 6 mm, 63 F."</p>
            <Pick
                title="Length"
                offers=vec![(LengthUnit::Millimetre, "mm"), (LengthUnit::Inch, "in")]
                now=unit(store, |u| u.length)
                pick=move |value| change(store, |s| s.units.length = value)
            />
            <Pick
                title="Mass"
                offers=vec![
                    (MassUnit::Gram, "g"),
                    (MassUnit::Kilogram, "kg"),
                    (MassUnit::Ounce, "oz"),
                    (MassUnit::Pound, "lb"),
                ]
                now=unit(store, |u| u.mass)
                pick=move |value| change(store, |s| s.units.mass = value)
            />
            <Pick
                title="Volume"
                offers=vec![
                    (VolumeUnit::Millilitre, "ml"),
                    (VolumeUnit::Litre, "l"),
                    (VolumeUnit::FluidOunceUs, "US fl oz"),
                    (VolumeUnit::FluidOunceImperial, "imp fl oz"),
                ]
                now=unit(store, |u| u.volume)
                pick=move |value| change(store, |s| s.units.volume = value)
            />
            <Pick
                title="Area"
                offers=vec![(AreaUnit::SquareMetre, "m²"), (AreaUnit::SquareFoot, "ft²")]
                now=unit(store, |u| u.area)
                pick=move |value| change(store, |s| s.units.area = value)
            />
            <Pick
                title="Temperature"
                offers=vec![(TemperatureUnit::Celsius, "°C"), (TemperatureUnit::Fahrenheit, "°F")]
                now=unit(store, |u| u.temperature)
                pick=move |value| change(store, |s| s.units.temperature = value)
            />
        </section>
    }
}

#[component]
fn LookSettings() -> impl IntoView {
    let store = use_store();
    let gloves = Signal::derive(move || store.state.with(|state| state.settings.gloves));
    let scheme = Signal::derive(move || store.state.with(|state| state.settings.scheme));
    view! {
        <section class="card">
            <h2>"Look"</h2>
            <Toggle
                title="Gloves: larger keys, further apart"
                on=gloves
                flip=move |on| change(store, |s| s.gloves = on)
            />
            <Pick
                title="Light or dark"
                offers=vec![
                    (Scheme::Phone, "as the phone"),
                    (Scheme::Light, "light"),
                    (Scheme::Dark, "dark"),
                ]
                now=scheme
                pick=move |value| change(store, |s| s.scheme = value)
            />
        </section>
    }
}

#[component]
fn Backup() -> impl IntoView {
    let store = use_store();
    let outcome = RwSignal::new(None::<String>);
    let save = move |_| {
        let name = format!("benchtide-{}.json", clock::stamp(clock::now()));
        let said = match files::save(&name, "application/json", &store.backup()) {
            Ok(()) => format!("Saved as {name}. Keep a copy off this phone."),
            Err(sentence) => sentence,
        };
        outcome.set(Some(said));
    };
    let take = move |event: web_sys::Event| {
        let Some(file) = files::picked(&event) else { return };
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
                <label class="big file">
                    "Read a backup file"
                    <input type="file" accept="application/json,.json" on:change=tap(take) />
                </label>
            </div>
            <p class="hint">"Reading a backup adds what is missing. It never changes what is here."</p>
            <p role="status">{live(move || outcome.get())}</p>
        </section>
    }
}

#[component]
fn AppState() -> impl IntoView {
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
            <p data-offline=move || format!("{:?}", readiness.offline.get())>{words}</p>
            {shown(move || readiness.offline.get() == Offline::UpdateWaits, move || view! {
                <button class="big" on:click=tap(|_| offline::use_update())>"Use the newer version now"</button>
            }.into_any())}
            <p>{kept}</p>
            <p class="hint">{concat!("Version ", env!("CARGO_PKG_VERSION"))}</p>
        </section>
    }
}
