//! The moving parts of views, each of one type: parts that follow what they read,
//! parts that come and go, parts drawn anew, taps.
//!
//! The framework makes code anew for every closure that it is given. Handed over
//! in a box, all closures share it: that halves the module that is shipped.

use leptos::prelude::*;
use leptos::tachys::reactive_graph::SharedReactiveFunction;
use std::sync::{Arc, Mutex};

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
            // Looking at a memo also makes it follow its own sources; tracking would not.
            key.with(|_| ());
            untrack(&draw)
        })
    }
    boxed(Box::new(key), Box::new(draw))
}

/// What a tap or another event does.
pub fn tap<E: 'static>(act: impl FnMut(E) + 'static) -> Box<dyn FnMut(E)> {
    Box::new(act)
}
