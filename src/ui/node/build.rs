//! Building: from a view to what stands in the page.

use super::page::{self, Dom, Place};
use super::{Act, Draw, Node};
use crate::ui::node::patch;
use crate::ui::reactive::RenderEffect;
use std::borrow::Cow;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::closure::Closure;

/// Begins a step of a template; one letter behind it says which.
const MARK: char = '\u{1}';

/// A part of a view as it stands in the page.
pub enum Built {
    /// Taken out, or never there.
    Gone,
    /// Words.
    Text(Dom, Cow<'static, str>),
    /// A template with its roots in the page and its parts.
    View(&'static str, Vec<Root>, Vec<Built>),
    /// Several, and the empty text that ends them.
    Many(Vec<Built>, Dom),
    /// A part that follows signals: as it is now, and the effect that changes it.
    Live(Rc<RefCell<Built>>, #[expect(dead_code, reason = "dropped to end it")] RenderEffect),
    /// An attribute, a class or a property of an element.
    Attribute(Attribute),
    /// A listener, whose act can be exchanged.
    Listener(Rc<Cell<Option<Act>>>, #[expect(dead_code, reason = "kept alive")] Listening),
}

type Listening = Closure<dyn FnMut(web_sys::Event)>;

/// One of the outermost things of a view.
pub enum Root {
    /// An element or a text.
    Dom(Dom),
    /// A part of the view, by its number.
    Part(usize),
}

/// An attribute, a class or a property that a part decides on.
pub struct Attribute {
    element: Dom,
    kind: &'static str,
    name: &'static str,
    value: Option<Cow<'static, str>>,
}

/// Builds a view at a place.
pub fn build(node: Node, place: &Place) -> Built {
    match node {
        Node::Text(text) => Built::Text(place.insert_text(&text), text),
        Node::View(template, parts) => view(template, parts, place),
        Node::Many(nodes) => {
            let built = nodes.into_iter().map(|node| build(node, place)).collect();
            Built::Many(built, place.insert_text(""))
        }
        Node::Live(part) => live(part, build(Node::Nothing, place)),
        Node::Nothing | Node::Act(_) => build(Node::Text(Cow::Borrowed("")), place),
    }
}

/// A part that follows signals, in the place of what was there.
pub fn live(mut part: Box<dyn Draw>, was: Built) -> Built {
    let state = Rc::new(RefCell::new(was));
    let changed = state.clone();
    let effect = RenderEffect::new(Box::new(move |()| {
        let node = part.draw();
        patch::patch(&mut changed.borrow_mut(), node);
    }));
    Built::Live(state, effect)
}

/// Walks a template.
fn view(template: &'static str, parts: Box<[Node]>, place: &Place) -> Built {
    let mut parts = parts.into_iter();
    let (mut roots, mut built) = (Vec::new(), Vec::new());
    let (mut here, mut outer) = (place.clone(), Vec::new());
    for step in template.split(MARK).skip(1) {
        let (kind, name) = step.split_at(1);
        let mut next = || parts.next().unwrap_or(Node::Nothing);
        match kind {
            // An element of text or of a drawing begins, and ends.
            "<" => outer.push(std::mem::replace(&mut here, Place::inside(page::element(name)))),
            "*" => outer.push(std::mem::replace(&mut here, Place::inside(page::drawn(name)))),
            ">" => {
                let Some(around) = outer.pop() else { continue };
                let element = std::mem::replace(&mut here, around).into_parent();
                here.insert(&element);
                if outer.is_empty() {
                    roots.push(Root::Dom(element));
                }
            }
            // A fixed attribute.
            " " => {
                if let Some((name, value)) = name.split_once('=') {
                    here.parent().set_attribute(name, value);
                }
            }
            // Fixed words.
            "\"" => {
                let text = here.insert_text(name);
                if outer.is_empty() {
                    roots.push(Root::Dom(text));
                }
            }
            // A part stands here.
            "{" => {
                if outer.is_empty() {
                    roots.push(Root::Part(built.len()));
                }
                built.push(build(next(), &here));
            }
            // A part listens.
            "!" => built.push(listener(here.parent(), name, next())),
            // A part decides on an attribute (@), a class (?) or a property (.).
            _ => {
                let element = here.parent().clone();
                let attribute = Attribute { element, kind, name, value: None };
                let mut attribute = Built::Attribute(attribute);
                patch::patch(&mut attribute, next());
                built.push(attribute);
            }
        }
    }
    Built::View(template, roots, built)
}

/// Listens to an event of an element.
fn listener(element: &Dom, event: &str, node: Node) -> Built {
    let Node::Act(act) = node else { return Built::Gone };
    let act = Rc::new(Cell::new(Some(act)));
    let called = act.clone();
    let closure = Listening::new(move |event| {
        // Out of its cell while it runs, since the act may lead to its own exchange.
        if let Some(mut act) = called.take() {
            act.take_mut(event);
            let newer = called.take();
            called.set(newer.or(Some(act)));
        }
    });
    element.listen(event, closure.as_ref());
    Built::Listener(act, closure)
}

impl Attribute {
    /// Brings the element to what a part gives.
    pub fn set(&mut self, node: Node) {
        let value = if let Node::Text(text) = node { Some(text) } else { None };
        let (element, name) = (&self.element, self.name);
        let same = value == self.value;
        match (self.kind, &value) {
            ("?", _) => element.toggle_class(name, value.is_some()),
            // What somebody typed since is not known here.
            (".", Some(text)) if name == "value" || !same => element.set_property(name, text),
            ("@", Some(text)) if !same => element.set_attribute(name, text),
            ("@", None) if !same => element.remove_attribute(name),
            _ => {}
        }
        self.value = value;
    }
}

impl Built {
    /// The last thing of it in the page.
    pub fn last(&self) -> Option<Dom> {
        match self {
            Self::Text(dom, _) | Self::Many(_, dom) => Some(dom.clone()),
            Self::View(_, roots, parts) => match roots.last()? {
                Root::Dom(dom) => Some(dom.clone()),
                Root::Part(number) => parts.get(*number)?.last(),
            },
            Self::Live(state, _) => state.borrow().last(),
            Self::Gone | Self::Attribute(_) | Self::Listener(..) => None,
        }
    }

    /// Takes it out of the page.
    pub fn remove(&self) {
        match self {
            Self::Text(dom, _) => dom.remove(),
            Self::Many(built, end) => {
                built.iter().for_each(Self::remove);
                end.remove();
            }
            Self::View(_, roots, parts) => {
                for root in roots {
                    match root {
                        Root::Dom(dom) => dom.remove(),
                        Root::Part(number) => parts.get(*number).into_iter().for_each(Self::remove),
                    }
                }
            }
            Self::Live(state, _) => state.borrow().remove(),
            Self::Gone | Self::Attribute(_) | Self::Listener(..) => {}
        }
    }
}
