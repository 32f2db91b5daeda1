//! A panic leads to the recovery screen, which still offers the records.
//!
//! After a panic nothing of the app runs any more. `public/recover.js` shows
//! the screen and reads the records without it.

use wasm_bindgen::{JsCast, JsValue};

/// Installs the panic hook.
pub fn install() {
    std::panic::set_hook(Box::new(|panic| {
        console_error_panic_hook::hook(panic);
        call("benchtideRecover", &JsValue::from_str(&panic.to_string()));
    }));
}

/// Tells the page that the app has started, so that its start-up watch ends.
pub fn started() {
    if let Some(window) = super::window() {
        // The window takes any property.
        let _ = js_sys::Reflect::set(&window, &"benchtideStarted".into(), &JsValue::TRUE);
    }
}

fn call(name: &str, argument: &JsValue) {
    if let Some(window) = super::window()
        && let Ok(function) = js_sys::Reflect::get(&window, &name.into())
        && let Ok(function) = function.dyn_into::<js_sys::Function>()
    {
        // Nothing is left to fall back on.
        let _ = function.call1(&JsValue::NULL, argument);
    }
}
