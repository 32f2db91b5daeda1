//! The moving parts of views: parts that follow what they read, parts that come
//! and go, parts drawn anew, taps.

use crate::ui::node::Draw;
use crate::ui::prelude::*;
use crate::ui::reactive::Ask;

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

/// How long a press has to be held, in ms.
const HELD: f64 = 600.0;

/// What only a held press does: what to set on pointer down, pointer up and
/// click. A click without a pointer comes from keys or a screen reader, which
/// nobody bumps with an elbow.
pub fn held(short: impl Fn() + 'static, act: impl Fn() + 'static) -> [Node; 3] {
    fn boxed(short: Box<dyn Fn()>, act: Box<dyn Fn()>) -> [Node; 3] {
        let down = StoredValue::new(None::<f64>);
        let act = StoredValue::new(std::rc::Rc::new(act));
        let up = move |event: web_sys::Event| match down.get_value() {
            Some(since) if event.time_stamp() - since >= HELD => act.get_value()(),
            _ => short(),
        };
        let click = move |_| {
            if down.get_value().is_none() {
                act.get_value()();
            }
            down.set_value(None);
        };
        [tap(move |event| down.set_value(Some(event.time_stamp()))), tap(up), tap(click)]
    }
    boxed(Box::new(short), Box::new(act))
}

/// What stands in the entry that an event comes from.
pub fn typed(event: &web_sys::Event) -> String {
    use wasm_bindgen::JsCast;
    let entry = event.target().map(JsCast::unchecked_into::<web_sys::HtmlInputElement>);
    entry.map(|entry| entry.value()).unwrap_or_default()
}
