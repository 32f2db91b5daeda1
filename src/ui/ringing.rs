//! Ringing: what the phone can do about an alarm right now, and doing it.
//!
//! With the page in view and armed by a first tap it sounds, vibrates and fills
//! the screen, again and louder until somebody answers. Hidden, it posts a
//! notification if the browser still runs it. A strip on the Bench always says
//! which of these holds.

use crate::device::bell::{self, Sound};
use crate::device::notice::{self, Notices};
use crate::device::offline::Offline;
use crate::device::{storage, wake};
use crate::engine::quantity::{Instant, Minutes};
use crate::job::alarm::{self, Alarm, Class};
use crate::job::event::Body;
use crate::job::live;
use crate::ui::app::{first_tap, go};
use crate::ui::cure::Answers;
use crate::ui::emergency::EmergencyKey;
use crate::ui::parts::{live, redraw, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::shapes::Tub;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;

/// Seconds between two calls of one alarm.
const REPEAT: f64 = 8.0;

/// What holds right now, each as a signal.
#[derive(Clone, Copy)]
pub struct Readiness {
    /// Sound.
    pub sound: RwSignal<Sound>,
    /// Notifications.
    pub notices: RwSignal<Notices>,
    /// Whether the screen is kept awake.
    pub awake: RwSignal<bool>,
    /// Whether the app is complete on this phone.
    pub offline: RwSignal<Offline>,
    /// Whether the browser promised to keep the records.
    pub kept: RwSignal<bool>,
}

/// Readiness from context.
pub fn use_readiness() -> Readiness {
    expect_context()
}

impl Readiness {
    /// As the browser says before a first tap.
    pub fn new() -> Self {
        Self {
            sound: RwSignal::new(bell::sound()),
            notices: RwSignal::new(notice::notices()),
            awake: RwSignal::new(wake::held()),
            offline: RwSignal::new(Offline::Copying),
            kept: RwSignal::new(false),
        }
    }

    /// Asks the browser again for what can be told at once.
    pub fn refresh_now(self) {
        set_changed(self.sound, bell::sound());
        set_changed(self.notices, notice::notices());
        set_changed(self.awake, wake::held());
    }

    /// Asks the browser again for everything.
    pub async fn refresh(self) {
        self.refresh_now();
        set_changed(self.kept, storage::is_kept().await);
    }

    /// Asks for notifications and for the records to be kept. Call it from a tap.
    pub fn ask(self) {
        notice::ask(move |outcome| self.notices.set(outcome));
        spawn_local(async move { self.kept.set(storage::ask_to_keep().await) });
    }
}

fn set_changed<T: PartialEq + Copy + 'static>(signal: RwSignal<T>, value: T) {
    if signal.get_untracked() != value {
        signal.set(value);
    }
}

/// Arms sound and wake lock with the first tap or key anywhere.
pub fn arm_on_first_tap(readiness: Readiness) {
    for event in ["pointerdown", "keydown"] {
        crate::device::on_window(event, move || first_tap(readiness));
    }
}

/// The alarms that ring, most urgent first.
pub fn ringing(store: Store) -> Vec<Alarm> {
    if store.with_person.get() {
        return Vec::new();
    }
    let now = store.now.get();
    store
        .live
        .with(|live| store.state.with(|state| alarm::ringing(store.rules(), state, live, now)))
}

/// Follows the clock: sounds, vibrates, notifies.
pub fn follow(store: Store, readiness: Readiness) {
    let called = StoredValue::new((String::new(), Instant(0), 0_u32));
    Effect::new(move |_| {
        let now = store.now.get();
        readiness.refresh_now();
        let Some(alarm) = ringing(store).into_iter().next() else {
            called.set_value((String::new(), Instant(0), 0));
            return;
        };
        let key = format!("{}:{}", alarm.cure, alarm.key);
        let (last, at, times) = called.get_value();
        let is_new = last != key;
        if !is_new && now.since(at) < Minutes(REPEAT / 60.0) {
            return;
        }
        let times = if is_new { 1 } else { times + 1 };
        called.set_value((key.clone(), now, times));
        let settings = store.state.with_untracked(|state| state.settings.clone());
        let (notes, pattern): (_, &[u32]) = match alarm.class {
            Class::Minutes => (bell::URGENT, &[300, 120, 300, 120, 500]),
            Class::Ready => (bell::READY, &[250, 200, 250]),
        };
        if settings.sound {
            bell::ring(notes, 0.25 + 0.15 * times as f32);
        }
        if settings.vibrate {
            bell::vibrate(pattern);
        }
        if is_new && notice::hidden() {
            notice::show(&alarm.name, &alarm.act, &key);
        }
    });
}

/// The full-screen alarm.
#[component]
pub fn RingingScreen() -> Node {
    let store = use_store();
    let key = move || {
        let alarms = ringing(store);
        let first = alarms.first().map(|alarm| format!("{} {}", alarm.cure, alarm.key));
        format!("{} of {}", first.unwrap_or_default(), alarms.len())
    };
    redraw(key, move || {
        let alarms = ringing(store);
        let more = alarms.len().saturating_sub(1);
        match alarms.into_iter().next() {
            Some(alarm) => view! { <OneAlarm alarm=alarm more=more /> },
            None => Node::Nothing,
        }
    })
}

#[component]
fn OneAlarm(alarm: Alarm, more: usize) -> Node {
    let store = use_store();
    let flash = store.state.with_untracked(|state| state.settings.flash);
    let class = match alarm.class {
        Class::Minutes => "alarm minutes",
        Class::Ready => "alarm ready",
    };
    let away = alarm.at < store.opened;
    let when = words::clock(alarm.at, store.now.get_untracked());
    let window_id = alarm.key.split(':').next().unwrap_or_default().to_owned();
    let cure = alarm.cure;
    let window = store.live.with_untracked(|live| {
        let cure = live.iter().find(|live| live.id == cure)?;
        cure.windows.iter().find(|w| w.window.id == window_id).cloned()
    });
    let answers = window.as_ref().map(live::answers).unwrap_or_default();
    let state = window.as_ref().map(|w| w.state);
    let answer = Rc::new({
        let key = alarm.key.clone();
        move || {
            store.append(
                vec![Body::AlarmAnswered { cure, alarm: key.clone() }],
                String::new(),
                || {},
            )
        }
    });
    let quiet = answer.clone();
    let show = move |_| {
        answer();
        go(&Route::Cure(cure));
    };
    let name = alarm.name.clone();
    view! {
        <div class=class class:flash=flash role="alertdialog" aria-modal="true" aria-label=alarm.sentence()>
            <div class="alarm-card">
                <p class="alarm-when">
                    {if away { format!("While the app was closed, {when}") } else { when }}
                </p>
                <div class="alarm-head">
                    {state.map(|state| view! { <Tub state=state /> })}
                    <h2>{name}</h2>
                </div>
                <p class="alarm-act">{alarm.act.clone()}</p>
                {(more > 0).then(|| view! { <p class="hint">{format!("and {more} more after this")}</p> })}
                <div class="stack">
                    <Answers cure=cure window=window_id answers=answers />
                    <div class="row">
                        <EmergencyKey />
                        <button class="big quiet" on:click=tap(show)>"Show it"</button>
                        <button class="big quiet" on:click=tap(move |_| quiet())>"Heard"</button>
                    </div>
                </div>
            </div>
        </div>
    }
}

/// The strip: which of sound, vibration, notices and wake lock hold right now.
#[component]
pub fn Strip() -> Node {
    let store = use_store();
    let readiness = use_readiness();
    let sound = move || {
        let on = store.state.with(|state| state.settings.sound);
        match (on, readiness.sound.get()) {
            (false, _) => ("off", "Sound is off in Shop"),
            (true, Sound::Armed) => ("yes", "Rings while this is open"),
            (true, Sound::NotArmed) => ("no", "Tap once so that it can ring"),
            (true, Sound::Unsupported) => ("no", "This browser can't ring"),
        }
    };
    let buzz = move || {
        let on = store.state.with(|state| state.settings.vibrate);
        // The first tap arms both; its signal is that of the sound.
        readiness.sound.track();
        match (on, bell::can_vibrate(), bell::is_armed()) {
            (false, _, _) => ("off", "No buzzing: off in Shop"),
            (true, false, _) => ("no", "This phone can't buzz"),
            (true, true, false) => ("no", "Tap once so that it can buzz"),
            (true, true, true) => ("yes", "Buzzes"),
        }
    };
    let awake = move || {
        if readiness.awake.get() {
            ("yes", "Screen stays on")
        } else if wake::supported() {
            ("no", "Screen may go dark")
        } else {
            ("no", "Screen may go dark: set the phone to stay on")
        }
    };
    let notices = move || match readiness.notices.get() {
        Notices::Allowed => ("yes", "Notices, if the browser still runs"),
        Notices::NotAsked => ("no", "No notices yet: allow them in Shop"),
        Notices::Refused => ("no", "Notices refused"),
        Notices::Unsupported => ("no", "This browser shows no notices"),
    };
    view! {
        <ul class="strip" aria-label="What holds right now">
            <StripItem item=Signal::derive(sound) />
            <StripItem item=Signal::derive(buzz) />
            <StripItem item=Signal::derive(awake) />
            <StripItem item=Signal::derive(notices) />
        </ul>
    }
}

#[component]
fn StripItem(item: Signal<(&'static str, &'static str)>) -> Node {
    view! {
        <li data-holds=move || item.get().0>
            <span class="strip-mark" aria-hidden="true">
                {live(move || if item.get().0 == "yes" { "✓" } else { "–" })}
            </span>
            {live(move || item.get().1)}
        </li>
    }
}
