//! The part of the page's address behind `#`.

/// The present one, e.g. "#/jobs".
pub fn hash() -> String {
    super::window().and_then(|window| window.location().hash().ok()).unwrap_or_default()
}

/// Goes to an address; the way back stays open.
pub fn go(hash: &str) {
    if let Some(window) = super::window() {
        // A refused address leaves the screen where it is.
        let _ = window.location().set_hash(hash);
    }
}

/// Calls `act` whenever the address changes.
pub fn on_change(mut act: impl FnMut(String) + 'static) {
    if let Some(window) = super::window() {
        super::listen(&window, "hashchange", move |_| {
            act(hash());
        });
    }
}

/// Brings the top of the page into view.
pub fn to_top() {
    if let Some(window) = super::window() {
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}
