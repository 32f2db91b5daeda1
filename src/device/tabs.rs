//! Keeping several tabs of the app in step.

use std::cell::RefCell;
use wasm_bindgen::JsCast;
use web_sys::{BroadcastChannel, MessageEvent};

thread_local! {
    static CHANNEL: RefCell<Option<BroadcastChannel>> = const { RefCell::new(None) };
}

/// Listens to the other tabs: `heard` gets the events' stored form that another tab appended.
pub fn listen(mut heard: impl FnMut(Vec<String>) + 'static) {
    let Ok(channel) = BroadcastChannel::new("benchtide") else { return };
    super::listen(&channel, "message", move |event| {
        let Ok(event) = event.dyn_into::<MessageEvent>() else { return };
        if let Ok(list) = event.data().dyn_into::<js_sys::Array>() {
            heard(list.iter().filter_map(|text| text.as_string()).collect());
        }
    });
    CHANNEL.with_borrow_mut(|kept| *kept = Some(channel));
}

/// Tells the other tabs what was appended here.
pub fn tell(events: &[String]) {
    CHANNEL.with_borrow(|channel| {
        if let Some(channel) = channel {
            let list: js_sys::Array =
                events.iter().map(|text| wasm_bindgen::JsValue::from_str(text)).collect();
            // A tab that can't be told reads the store when it opens again.
            let _ = channel.post_message(&list);
        }
    });
}
