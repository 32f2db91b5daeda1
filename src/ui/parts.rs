//! The moving parts of views: parts that follow what they read, parts that come
//! and go, parts drawn anew, taps.

use crate::device::{clock, look};
use crate::engine::quantity::Instant;
use crate::ui::node::Draw;
use crate::ui::prelude::*;
use crate::ui::reactive::Ask;
use std::cell::Cell;
use std::rc::Rc;

/// How long a key for what can't be undone is held, in milliseconds; the filling of
/// the key in the style sheet takes as long.
const HELD: i64 = 1000;

/// A key for what can't be undone: it acts when it is let go after it was held.
pub fn held(words: &'static str, act: impl Fn() + 'static) -> Node {
    fn boxed(words: &'static str, act: Box<dyn Ask<()>>) -> Node {
        let short = RwSignal::new(false);
        // Not a signal: a key that acted is taken away, and hears of that too.
        let since = Cell::new(None::<Instant>);
        let hear = Rc::new(move |event: web_sys::Event| {
            let pressed = since.take();
            let kind = event.type_();
            if kind.ends_with("down") {
                // A key of the keyboard that is held down is pressed again and again.
                since.set(if look::is_press(&event) { Some(clock::now()) } else { pressed });
            } else if let (true, Some(pressed)) = (kind.ends_with("up"), pressed) {
                let long = clock::now().millis() - pressed.millis() >= HELD;
                short.set(!long);
                if long {
                    act.ask();
                }
            }
        });
        let hear = || {
            let hear = hear.clone();
            tap(move |event| hear(event))
        };
        view! {
            <button
                class="big quiet held"
                on:pointerdown=hear()
                on:keydown=hear()
                on:pointerup=hear()
                on:keyup=hear()
                on:pointerleave=hear()
                on:blur=hear()
            >
                {words}
                <span class="hint">
                    {live(move || if short.get() { "Longer: for a second" } else { "Hold it down" })}
                </span>
            </button>
        }
    }
    boxed(words, Box::new(act))
}

/// A part of a view that follows what it reads.
pub fn live<V: IntoNode>(part: impl FnMut() -> V + 'static) -> Node {
    part.into_node()
}

/// A part that is there only while a condition holds.
pub fn shown(when: impl Fn() -> bool + 'static, part: impl Fn() -> Node + 'static) -> Node {
    either(when, part, || Node::Nothing)
}

/// One part while a condition holds, another while it does not.
pub fn either(
    when: impl Fn() -> bool + 'static,
    part: impl Fn() -> Node + 'static,
    other: impl Fn() -> Node + 'static,
) -> Node {
    fn boxed(when: Box<dyn Ask<bool>>, mut part: Box<dyn Draw>, mut other: Box<dyn Draw>) -> Node {
        let when = Memo::new(move |_| when.ask());
        live(move || {
            let drawn = if when.get() { &mut part } else { &mut other };
            untrack(|| drawn.draw())
        })
    }
    boxed(Box::new(when), Box::new(part), Box::new(other))
}

/// A part that is drawn anew only when its key changes. Drawing reads the store
/// untracked, so whatever it shows belongs into the key.
pub fn redraw(key: impl Fn() -> String + 'static, draw: impl Fn() -> Node + 'static) -> Node {
    fn boxed(key: Box<dyn Ask<String>>, mut draw: Box<dyn Draw>) -> Node {
        let key = Memo::new(move |_| key.ask());
        live(move || {
            // Looking at a memo also makes it follow its own sources; tracking would not.
            key.with(|_| ());
            untrack(|| draw.draw())
        })
    }
    boxed(Box::new(key), Box::new(draw))
}

/// What a tap or another event does.
pub fn tap(act: impl FnMut(web_sys::Event) + 'static) -> Node {
    Node::Act(Box::new(act))
}

/// What stands in the entry that an event comes from.
pub fn typed(event: &web_sys::Event) -> String {
    use wasm_bindgen::JsCast;
    let entry = event.target().map(JsCast::unchecked_into::<web_sys::HtmlInputElement>);
    entry.map(|entry| entry.value()).unwrap_or_default()
}
