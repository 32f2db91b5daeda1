//! Notifications, for when the page is hidden and the browser still runs it.

use wasm_bindgen::JsCast;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    Notification, NotificationOptions, NotificationPermission, ServiceWorkerRegistration,
};

/// Whether notifications may be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notices {
    /// They may.
    Allowed,
    /// Nobody was asked yet.
    NotAsked,
    /// They were refused.
    Refused,
    /// This browser can't.
    Unsupported,
}

/// Whether notifications may be shown.
pub fn notices() -> Notices {
    let known = super::window()
        .is_some_and(|w| js_sys::Reflect::has(&w, &"Notification".into()).unwrap_or(false));
    if !known {
        return Notices::Unsupported;
    }
    match Notification::permission() {
        NotificationPermission::Granted => Notices::Allowed,
        NotificationPermission::Denied => Notices::Refused,
        _ => Notices::NotAsked,
    }
}

/// Asks for permission. Call it from a tap; `done` is called with the outcome.
pub fn ask(done: impl FnOnce(Notices) + 'static) {
    if notices() == Notices::Unsupported {
        done(Notices::Unsupported);
        return;
    }
    spawn_local(async move {
        if let Ok(promise) = Notification::request_permission() {
            // A refusal shows in the permission itself.
            let _ = JsFuture::from(promise).await;
        }
        done(notices());
    });
}

/// Shows a notification through the service worker. The same `tag` replaces an
/// earlier one, so that several tabs don't show an alarm twice.
pub fn show(title: &str, text: &str, tag: &str) {
    if notices() != Notices::Allowed {
        return;
    }
    let Some(window) = super::window() else { return };
    let options = NotificationOptions::new();
    options.set_body(text);
    options.set_tag(tag);
    options.set_require_interaction(true);
    let title = title.to_owned();
    spawn_local(async move {
        let Ok(ready) = window.navigator().service_worker().ready() else { return };
        if let Ok(registration) = JsFuture::from(ready).await {
            let registration: ServiceWorkerRegistration = registration.unchecked_into();
            // Without the right to show it, the alarm still stands on the Bench.
            let _ = registration.show_notification_with_options(&title, &options);
        }
    });
}

/// Whether the page is hidden.
pub fn hidden() -> bool {
    super::window().and_then(|w| w.document()).is_some_and(|document| document.hidden())
}
