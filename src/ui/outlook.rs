//! Readings of a place, and what it will see after the last of them: a low with
//! its hour, or the heater off or on.

use crate::device::clock;
use crate::engine::quantity::{Celsius, Instant, Minutes};
use crate::job::event::{Body, Place};
use crate::job::outlook::{Stated, shown_constant, state_outlook};
use crate::job::temperature::newest;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::readings::ReadingEntry;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

const PLACES: [(Place, &str); 3] =
    [(Place::Bench, "Bench"), (Place::Cabinet, "Warm cabinet"), (Place::Outside, "Outside")];

/// Readings and outlook, place by place.
#[component]
pub fn Places() -> Node {
    let place = RwSignal::new(Place::Bench);
    view! {
        <div class="row units" role="group" aria-label="Place">
            {PLACES
                .into_iter()
                .map(|(of, name)| {
                    view! {
                        <button
                            type="button"
                            class="chip"
                            aria-pressed=move || (place.get() == of).to_string()
                            on:click=tap(move |_| place.set(of))
                        >
                            {name}
                        </button>
                    }
                })
                .collect_view()}
        </div>
        {redraw(
            move || words::place(place.get()).to_owned(),
            move || {
                let place = place.get_untracked();
                let cures = place != Place::Outside;
                view! {
                    <ReadingEntry job=None place=place />
                    {cures.then(|| view! { <OutlookPart place=place /> })}
                }
            },
        )}
    }
}

/// What is being stated.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Low,
    Off,
    On,
}

impl Kind {
    /// Its title, the word for its hour and the word for its temperature.
    fn words(self) -> [&'static str; 3] {
        match self {
            Self::Low => ["A low to come", "reached by", "Down to"],
            Self::Off => ["Heater goes off", "off at", "Outside then"],
            Self::On => ["Heater goes on", "on at", "It keeps"],
        }
    }
}

/// The stated outlook of a place, and the keys that state one.
#[component]
fn OutlookPart(place: Place) -> Node {
    let store = use_store();
    let form = RwSignal::new(None::<Kind>);
    let lines = move || {
        let now = store.now.get_untracked();
        store.state.with(|state| match state.outlooks.get(&place) {
            Some(ahead) if !ahead.is_empty() => {
                let over = |s: &&Stated| s.at > now || s.constant.is_some();
                ahead
                    .iter()
                    .filter(over)
                    .map(|s| words::stated(&state.settings, s, now))
                    .collect::<Vec<_>>()
            }
            _ => vec!["Taken to hold the last reading.".to_owned()],
        })
    };
    let any = move || store.state.with(|s| s.outlooks.get(&place).is_some_and(|a| !a.is_empty()));
    view! {
        <h3>"What comes after"</h3>
        <ul class="changes" data-outlook="">
            {live(move || lines().into_iter().map(|line| view! { <li>{line}</li> }).collect_view())}
        </ul>
        {live(move || match form.get() {
            Some(kind) => view! { <Form place=place kind=kind form=form /> },
            None => view! {
                <div class="row">
                    {[Kind::Low, Kind::Off, Kind::On]
                        .into_iter()
                        .map(|kind| {
                            view! {
                                <button class="big quiet" on:click=tap(move |_| form.set(Some(kind)))>
                                    {kind.words()[0]}
                                </button>
                            }
                        })
                        .collect_view()}
                </div>
                {shown(any, move || view! {
                    <button class="big quiet" on:click=tap(move |_| {
                        say(store, place, Vec::new());
                    })>
                        "Forget it: it holds"
                    </button>
                })}
            },
        })}
    }
}

/// Records an outlook, and shows what it moved.
fn say(store: Store, place: Place, ahead: Vec<Stated>) -> bool {
    let now = clock::now();
    let body = store.state.with_untracked(|state| state_outlook(state, place, ahead, now));
    match body {
        Ok(body) => {
            store.append_moving(vec![body], "Outlook noted");
            true
        }
        Err(refusal) => {
            store.refuse(refusal.to_string());
            false
        }
    }
}

#[component]
fn Form(place: Place, kind: Kind, form: RwSignal<Option<Kind>>) -> Node {
    let store = use_store();
    let now = clock::now();
    let [title, hour, temperature] = kind.words();
    let first = match kind {
        Kind::Low => clock::next_at(Minutes(6.0 * 60.0), now),
        Kind::Off => clock::next_at(Minutes(17.5 * 60.0), now),
        Kind::On => clock::next_at(Minutes(8.0 * 60.0), now),
    };
    let (usual, fitted) = store.state.with_untracked(|state| {
        let outside = newest(state, Place::Outside, |r| r.air).map(|(_, air)| air);
        let here = newest(state, place, |r| r.air).map(|(_, air)| air);
        let usual = match kind {
            Kind::Low => here.map(|air| Celsius(air.value() - 5.0)),
            Kind::Off => outside.or(here.map(|air| Celsius(air.value() - 10.0))),
            Kind::On => here,
        };
        (usual.unwrap_or(Celsius(12.0)), shown_constant(state, place))
    });
    let at = RwSignal::new(first);
    let to = RwSignal::new(usual);
    let half = RwSignal::new(fitted.map_or(Minutes(180.0), |fit| half_of(fit.constant)));
    let save = move |_| {
        let constant = (kind != Kind::Low).then(|| constant_of(half.get_untracked()));
        let new = Stated { at: at.get_untracked(), temperature: to.get_untracked(), constant };
        let now = clock::now();
        let mut ahead =
            store.state.with_untracked(|s| s.outlooks.get(&place).cloned()).unwrap_or_default();
        // What is over has told what it can; what is said anew goes first.
        ahead.retain(|s| s.at > now || s.constant.is_some());
        ahead.retain(|s| s.at != new.at);
        let before = ahead.partition_point(|s| s.at < new.at);
        ahead.insert(before, new);
        if say(store, place, ahead) {
            form.set(None);
        }
    };
    view! {
        <section class="outlook-form" role="group" aria-label=title>
            <h3>{title}</h3>
            <Hour at=at word=hour />
            <TemperatureKey label=temperature value=to />
            {(kind != Kind::Low).then(|| view! { <HalfKey half=half fitted=fitted.is_some() /> })}
            <div class="row">
                <button class="big quiet" on:click=tap(move |_| form.set(None))>"Back"</button>
                <button class="big main" on:click=tap(save)>"Note it"</button>
            </div>
        </section>
    }
}

fn half_of(constant: Minutes) -> Minutes {
    constant * std::f64::consts::LN_2
}

fn constant_of(half: Minutes) -> Minutes {
    half / std::f64::consts::LN_2
}

/// An hour by big step keys, half an hour each.
#[component]
fn Hour(at: RwSignal<Instant>, word: &'static str) -> Node {
    let store = use_store();
    let step = move |by: f64| at.update(|at| *at = *at + Minutes(by));
    view! {
        <div class="stepper hours" role="group" aria-label=word>
            <button type="button" class="step" aria-label="Earlier" on:click=tap(move |_| step(-30.0))>"−"</button>
            <output class="step-value clock-value">
                {live(move || words::clock(at.get(), store.now.get_untracked()))}
                <span class="hint">{word}</span>
            </output>
            <button type="button" class="step" aria-label="Later" on:click=tap(move |_| step(30.0))>"+"</button>
        </div>
    }
}

#[component]
fn TemperatureKey(label: &'static str, value: RwSignal<Celsius>) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let open = move |_| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        let start = words::temperature(&settings, value.get_untracked());
        overlays.pad.set(Some(Pad {
            title: label.into(),
            hint: String::new(),
            start: words::leading_number(&start),
            units: words::temperature_units(&settings),
            done: Callback::new(move |entry: String| {
                value.set(words::read_temperature(&settings, &entry)?);
                Ok(())
            }),
        }));
    };
    view! {
        <button type="button" class="reading wide" on:click=tap(open)>
            <span class="reading-name">{label}</span>
            <span class="reading-value">
                {live(move || words::temperature(&store.settings(), value.get()))}
            </span>
        </button>
    }
}

#[component]
fn HalfKey(half: RwSignal<Minutes>, fitted: bool) -> Node {
    let overlays = use_overlays();
    let open = move |_| {
        overlays.pad.set(Some(Pad {
            title: "Half way there in".into(),
            hint: "How long the room takes to lose half of the difference.".into(),
            start: String::new(),
            units: vec!["h", "min"],
            done: Callback::new(move |entry: String| {
                half.set(words::read_minutes(&entry)?);
                Ok(())
            }),
        }));
    };
    let from = if fitted { "as your readings showed" } else { "a guess: say better" };
    view! {
        <button type="button" class="reading wide" on:click=tap(open)>
            <span class="reading-name">"Half way there in"</span>
            <span class="reading-value">{live(move || words::duration(half.get()))}</span>
            <span class="hint">{from}</span>
        </button>
    }
}

/// Whether a body is one that moves clocks, and what to say of it.
pub fn moves(state: &crate::job::state::State, body: &Body) -> String {
    let settings = &state.settings;
    let of = |name: &str, value: Option<Celsius>| {
        value.map(|value| format!("{name} {}", words::temperature(settings, value)))
    };
    match body {
        Body::ReadingTaken { air, surface, water, .. } => {
            let parts = [of("air", *air), of("surface", *surface), of("water", *water)];
            parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
        }
        Body::OutlookStated { ahead, .. } if ahead.is_empty() => "the outlook was dropped".into(),
        Body::OutlookStated { .. } => "a new outlook".into(),
        Body::LearningAccepted { .. } => "what was learned of its tin".into(),
        Body::LearningReset { .. } => "its tin goes by its card again".into(),
        Body::CureMoved { place, .. } => format!("now at: {}", words::place(*place)),
        _ => "a change".into(),
    }
}
