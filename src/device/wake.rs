//! Keeping the screen awake.
//!
//! The lock is lost whenever the page is hidden; it is asked for again when the
//! page comes back. What counts is whether it is *held*, not whether it was
//! asked for.

use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{EventTarget, VisibilityState, Window};

thread_local! {
    // By name and not through a binding: the bindings of the wake lock are not stable yet.
    static HELD: RefCell<Option<EventTarget>> = const { RefCell::new(None) };
    static WANTED: Cell<bool> = const { Cell::new(false) };
}

/// Whether this browser can keep the screen awake.
pub fn supported() -> bool {
    super::window().is_some_and(|window| {
        Reflect::has(&window.navigator(), &"wakeLock".into()).unwrap_or(false)
    })
}

/// Whether the screen is being kept awake right now.
pub fn held() -> bool {
    HELD.with_borrow(|lock| {
        let released = |lock: &EventTarget| Reflect::get(lock, &"released".into()).ok();
        lock.as_ref().and_then(released).is_some_and(|released| released.is_falsy())
    })
}

/// Keeps the screen awake from now on, again after every return to the page.
/// `changed` is called when the lock was got or lost.
pub fn keep(changed: impl Fn() + Clone + 'static) {
    if WANTED.replace(true) || !supported() {
        return;
    }
    acquire(changed.clone());
    if let Some(document) = super::window().and_then(|window| window.document()) {
        super::listen(&document, "visibilitychange", move |_| {
            acquire(changed.clone());
            changed();
        });
    }
}

/// Asks for the lock if it is not held and the page is in view.
pub fn acquire(changed: impl Fn() + Clone + 'static) {
    let Some(window) = super::window() else { return };
    let visible = window
        .document()
        .is_some_and(|document| document.visibility_state() == VisibilityState::Visible);
    if !supported() || held() || !visible {
        return;
    }
    spawn_local(async move {
        if let Some(request) = request(&window)
            && let Ok(lock) = JsFuture::from(request).await
        {
            let lock: EventTarget = lock.unchecked_into();
            let on_release = changed.clone();
            super::listen(&lock, "release", move |_| on_release());
            HELD.with_borrow_mut(|held| *held = Some(lock));
        }
        changed();
    });
}

/// Asks the browser for a lock of the screen.
fn request(window: &Window) -> Option<Promise> {
    let locks = Reflect::get(&window.navigator(), &"wakeLock".into()).ok()?;
    let request: Function = Reflect::get(&locks, &"request".into()).ok()?.dyn_into().ok()?;
    request.call1(&locks, &JsValue::from_str("screen")).ok()?.dyn_into().ok()
}
