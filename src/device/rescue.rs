//! Start and failure of the app, as `public/recover.js` sees them.
//!
//! In the shipped build a panic is a trap: nothing of the app runs any more, and
//! the recovery script, which watches for it, shows its screen and still offers
//! the records. What is left to do here is to say that the start is over.

use wasm_bindgen::JsValue;

/// Tells the page that the app has started, so that its start-up watch ends.
pub fn started() {
    if let Some(window) = super::window() {
        // The window takes any property.
        let _ = js_sys::Reflect::set(&window, &"benchtideStarted".into(), &JsValue::TRUE);
    }
}
