//! A list whose lines stay in the page while their key stays the same, so that
//! the keyboard's focus and a running number are not torn away. One type for
//! all lists: each further type of line would cost kilobytes of code.

use leptos::prelude::*;
use std::sync::Arc;

/// A line of a keyed list.
#[derive(Clone)]
pub struct Line {
    /// Everything that it shows and that can change: a new key draws it anew.
    pub key: String,
    /// Draws it.
    pub draw: Arc<dyn Fn() -> AnyView + Send + Sync>,
}

impl Line {
    /// A line.
    pub fn new(key: String, draw: impl Fn() -> AnyView + Send + Sync + 'static) -> Self {
        Self { key, draw: Arc::new(draw) }
    }
}

/// The list.
#[component]
pub fn Keyed(
    /// Its lines, tracked.
    #[prop(into)]
    lines: Signal<Vec<Line>>,
) -> impl IntoView {
    view! {
        <For each=move || lines.get() key=|line| line.key.clone() let:line>
            {(line.draw)()}
        </For>
    }
}

/// A part that is drawn anew only when its key changes. Drawing reads the store
/// untracked, so whatever it shows belongs into the key. One type of memo serves
/// all such parts: each further one would cost kilobytes of code.
pub fn redraw(
    key: impl Fn() -> String + Send + Sync + 'static,
    draw: impl Fn() -> AnyView + Send + 'static,
) -> impl IntoView {
    let key = Memo::new(move |_| key());
    move || {
        key.track();
        untrack(&draw)
    }
}
