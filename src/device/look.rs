//! Attributes of the page that the style sheet looks at.

/// Sets or removes `data-<name>` on the page's root element.
pub fn set(name: &str, value: Option<&str>) {
    let root = super::window().and_then(|w| w.document()).and_then(|d| d.document_element());
    if let Some(root) = root {
        let attribute = format!("data-{name}");
        // An attribute that can't be set leaves the default look.
        let _ = match value {
            Some(value) => root.set_attribute(&attribute, value),
            None => root.remove_attribute(&attribute),
        };
    }
}

/// Moves the keyboard's focus to the element with this id.
pub fn focus(id: &str) {
    use wasm_bindgen::JsCast;
    let element = super::window().and_then(|w| w.document()).and_then(|d| d.get_element_by_id(id));
    if let Some(element) = element.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        // An element that can't take the focus leaves it where it was.
        let _ = element.focus();
    }
}

/// Removes the element with this id: the page's first paint, once the app stands.
pub fn remove(id: &str) {
    if let Some(element) = super::window().and_then(|w| w.document()?.get_element_by_id(id)) {
        element.remove();
    }
}

/// Calls `act` once after some time.
pub fn later(milliseconds: i32, act: impl FnOnce() + 'static) {
    use wasm_bindgen::JsCast;
    let act = wasm_bindgen::closure::Closure::once_into_js(act);
    if let Some(window) = super::window() {
        let act = act.unchecked_ref();
        // A page that keeps no time any more asks for nothing more.
        let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(act, milliseconds);
    }
}

/// Calls `act` once, before the next picture is drawn.
pub fn next_frame(act: impl FnOnce() + 'static) {
    use wasm_bindgen::JsCast;
    let act = wasm_bindgen::closure::Closure::once_into_js(act);
    if let Some(window) = super::window() {
        // A page that draws no more asks for nothing more.
        let _ = window.request_animation_frame(act.unchecked_ref());
    }
}

/// Whether an event begins a press: of a finger, or of a key that presses buttons
/// and was not held down already.
pub fn is_press(event: &web_sys::Event) -> bool {
    let of = |name: &str| js_sys::Reflect::get(event, &name.into()).unwrap_or_default();
    match of("key").as_string() {
        Some(key) => matches!(key.as_str(), " " | "Enter") && !of("repeat").is_truthy(),
        None => true,
    }
}
