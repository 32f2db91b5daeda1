//! The browser behind thin modules, one capability a module.
//!
//! Each module says whether the browser can do the thing, does it, and turns
//! what goes wrong into a sentence. No rule of the trade lives here.

pub mod address;
pub mod bell;
pub mod clock;
mod database;
pub mod files;
pub mod look;
pub mod notice;
pub mod offline;
pub mod paper;
pub mod photos;
pub mod picture;
pub mod random;
pub mod rescue;
pub mod scan;
pub mod storage;
pub mod tabs;
pub mod wake;

use wasm_bindgen::JsValue;

/// The text of a JavaScript error.
fn words_of(error: &JsValue) -> String {
    error
        .dyn_ref::<js_sys::Error>()
        .map(|error| String::from(error.message()))
        .or_else(|| error.as_string())
        .unwrap_or_else(|| "unknown".into())
}

use wasm_bindgen::JsCast;

/// The window. There is one: the app only runs in a page.
fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// Listens to an event of a target for as long as the page lives.
fn listen(target: &web_sys::EventTarget, event: &str, act: impl FnMut(web_sys::Event) + 'static) {
    let closure = wasm_bindgen::closure::Closure::<dyn FnMut(web_sys::Event)>::new(act);
    // A target that refuses a listener leaves the capability unused; nothing is lost.
    let _ = target.add_event_listener_with_callback(event, closure.as_ref().unchecked_ref());
    closure.forget();
}

/// Calls `act` on every event of this name on the window.
pub fn on_window(event: &str, mut act: impl FnMut() + 'static) {
    if let Some(window) = window() {
        listen(&window, event, move |_| act());
    }
}
