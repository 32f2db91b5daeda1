//! The moving parts of views, each of one type: lists, parts that come and go,
//! parts that change, taps.
//!
//! The framework makes code anew for every closure that it is given. Handed over
//! in a box, all closures share it: that halves the module that is shipped.

use leptos::prelude::*;
use leptos::tachys::reactive_graph::SharedReactiveFunction;
use std::sync::{Arc, Mutex};

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

/// A part of a view that follows what it reads.
pub fn live<V: IntoView + 'static>(mut part: impl FnMut() -> V + Send + 'static) -> AnyView {
    fn boxed(part: SharedReactiveFunction<AnyView>) -> AnyView {
        part.into_any()
    }
    boxed(Arc::new(Mutex::new(move || part().into_any())))
}

/// A part that is there only while a condition holds.
pub fn shown(
    when: impl Fn() -> bool + Send + Sync + 'static,
    part: impl Fn() -> AnyView + Send + 'static,
) -> AnyView {
    fn boxed(
        when: Box<dyn Fn() -> bool + Send + Sync>,
        part: Box<dyn Fn() -> AnyView + Send>,
    ) -> AnyView {
        let when = Memo::new(move |_| when());
        live(move || if when.get() { untrack(&part) } else { ().into_any() })
    }
    boxed(Box::new(when), Box::new(part))
}

/// A part that is drawn anew only when its key changes. Drawing reads the store
/// untracked, so whatever it shows belongs into the key.
pub fn redraw(
    key: impl Fn() -> String + Send + Sync + 'static,
    draw: impl Fn() -> AnyView + Send + 'static,
) -> AnyView {
    fn boxed(
        key: Box<dyn Fn() -> String + Send + Sync>,
        draw: Box<dyn Fn() -> AnyView + Send>,
    ) -> AnyView {
        let key = Memo::new(move |_| key());
        live(move || {
            key.track();
            untrack(&draw)
        })
    }
    boxed(Box::new(key), Box::new(draw))
}

/// What a tap or another event does.
pub fn tap<E: 'static>(act: impl FnMut(E) + 'static) -> Box<dyn FnMut(E)> {
    Box::new(act)
}
