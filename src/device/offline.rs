//! The service worker: whether the app is complete on this phone, and updates.
//!
//! A new version waits until no window is open or the user says so; it never
//! swaps the app under somebody's hands.

use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{ServiceWorkerContainer, ServiceWorkerRegistration};

/// How far the app is on this phone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offline {
    /// Being copied.
    Copying,
    /// Complete: it opens without a network.
    Complete,
    /// A newer version is complete and waits.
    UpdateWaits,
    /// This browser or address can't (HTTPS or loopback is needed).
    Unsupported,
}

fn container() -> Option<ServiceWorkerContainer> {
    let navigator = super::window()?.navigator();
    let worker = js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?;
    worker.is_object().then(|| worker.unchecked_into())
}

/// Registers the service worker; `changed` is called with every new state.
pub fn register(changed: impl Fn(Offline) + Clone + 'static) {
    let Some(container) = container() else {
        changed(Offline::Unsupported);
        return;
    };
    changed(Offline::Copying);
    spawn_local(async move {
        let options = web_sys::RegistrationOptions::new();
        options.set_update_via_cache(web_sys::ServiceWorkerUpdateViaCache::None);
        let promise = container.register_with_options("./sw.js", &options);
        let Ok(registration) = JsFuture::from(promise).await else {
            changed(Offline::Unsupported);
            return;
        };
        let registration: ServiceWorkerRegistration = registration.unchecked_into();
        watch(&registration, changed.clone());
        if let Ok(ready) = container.ready()
            && JsFuture::from(ready).await.is_ok()
        {
            changed(state(&registration));
        }
    });
}

fn state(registration: &ServiceWorkerRegistration) -> Offline {
    if registration.waiting().is_some() {
        Offline::UpdateWaits
    } else if registration.active().is_some() {
        Offline::Complete
    } else {
        Offline::Copying
    }
}

fn watch(registration: &ServiceWorkerRegistration, changed: impl Fn(Offline) + Clone + 'static) {
    let seen = registration.clone();
    super::listen(registration, "updatefound", move |_| {
        let Some(worker) = seen.installing() else { return };
        let (registration, changed) = (seen.clone(), changed.clone());
        super::listen(&worker, "statechange", move |_| changed(state(&registration)));
    });
}

/// Switches to the version that waits, and opens it.
pub fn use_update() {
    let Some(container) = container() else { return };
    super::listen(&container, "controllerchange", |_| {
        if let Some(window) = super::window() {
            // Reloading can't be refused in a page's own window.
            let _ = window.location().reload();
        }
    });
    spawn_local(async move {
        let Ok(ready) = container.ready() else { return };
        if let Ok(registration) = JsFuture::from(ready).await {
            let registration: ServiceWorkerRegistration = registration.unchecked_into();
            if let Some(waiting) = registration.waiting() {
                let message = js_sys::Object::new();
                // A plain object takes a property, and a live worker a message.
                let _ = js_sys::Reflect::set(&message, &"kind".into(), &"use-update".into());
                let _ = waiting.post_message(&JsValue::from(message));
            }
        }
    });
}
