//! What a view is made of: one type, whatever it shows.
//!
//! The markup of `view!` becomes a template (a constant text) and its parts.
//! The page is built by walking the template, once; a part that follows
//! signals is an effect of its own, which changes no more of the page than
//! differs ([`patch`](self)). Because every view has the same type, the code
//! that builds and changes pages is compiled once, and not for every element.

mod build;
mod page;
mod patch;

use crate::ui::reactive::{StoredValue, Take, TakeMut, root, untrack};
use std::borrow::Cow;
use std::rc::Rc;

/// What an event does.
pub type Act = Box<dyn TakeMut<web_sys::Event>>;

/// A view or a part of one: what stands in an element, the value of an
/// attribute, or what an event does.
pub enum Node {
    /// Nothing; an attribute that is absent.
    Nothing,
    /// Text, as it is to be read.
    Text(Cow<'static, str>),
    /// A template with its parts, in the order of the template.
    View(&'static str, Box<[Node]>),
    /// Several, one after the other.
    Many(Vec<Node>),
    /// A part that follows the signals that it reads.
    Live(Box<dyn Draw>),
    /// What an event does.
    Act(Act),
}

/// What `view!` gives: a template with its parts.
pub fn view<const PARTS: usize>(template: &'static str, parts: [Node; PARTS]) -> Node {
    Node::View(template, Box::new(parts))
}

/// Runs the body of a component: signals that it reads are not followed by the
/// part in which the component stands.
pub fn untracked(body: impl FnOnce() -> Node) -> Node {
    untrack(body)
}

/// What can be filled into a view.
pub trait IntoNode {
    /// The part that it becomes.
    fn into_node(self) -> Node;
}

impl IntoNode for Node {
    fn into_node(self) -> Node {
        self
    }
}

impl IntoNode for &'static str {
    fn into_node(self) -> Node {
        Node::Text(Cow::Borrowed(self))
    }
}

impl IntoNode for String {
    fn into_node(self) -> Node {
        Node::Text(Cow::Owned(self))
    }
}

/// An attribute without a value that is there or not.
impl IntoNode for bool {
    fn into_node(self) -> Node {
        if self { Node::Text(Cow::Borrowed("")) } else { Node::Nothing }
    }
}

impl<T: IntoNode> IntoNode for Option<T> {
    fn into_node(self) -> Node {
        self.map_or(Node::Nothing, T::into_node)
    }
}

impl IntoNode for Vec<Node> {
    fn into_node(self) -> Node {
        Node::Many(self)
    }
}

/// A part that follows the signals that the closure reads.
impl<T: IntoNode, F: FnMut() -> T + 'static> IntoNode for F {
    fn into_node(self) -> Node {
        Node::Live(Box::new(self))
    }
}

/// Draws a part anew each time.
pub trait Draw {
    /// The part as it is now.
    fn draw(&mut self) -> Node;
}

impl<T: IntoNode, F: FnMut() -> T> Draw for F {
    fn draw(&mut self) -> Node {
        self().into_node()
    }
}

/// Many views from an iterator.
pub trait CollectView {
    /// All of them, one after the other.
    fn collect_view(self) -> Node;
}

impl<T: IntoNode, I: Iterator<Item = T>> CollectView for I {
    fn collect_view(self) -> Node {
        Node::Many(self.map(T::into_node).collect())
    }
}

/// Something to call later, as cheap to copy as a signal.
pub struct Callback<In: 'static, Out: 'static = ()>(StoredValue<Rc<dyn Take<In, Out>>>);

impl<In, Out> Clone for Callback<In, Out> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<In, Out> Copy for Callback<In, Out> {}

impl<In: 'static, Out: 'static> Callback<In, Out> {
    /// Keeps the closure for as long as the part that makes it is shown.
    pub fn new(act: impl Fn(In) -> Out + 'static) -> Self {
        fn boxed<In: 'static, Out: 'static>(act: Rc<dyn Take<In, Out>>) -> Callback<In, Out> {
            Callback(StoredValue::new(act))
        }
        boxed(Rc::new(act))
    }

    /// Calls it.
    pub fn run(self, with: In) -> Out {
        self.0.get_value().take(with)
    }
}

/// Puts a view at the end of the page's body, for as long as the page lives.
pub fn mount(app: fn() -> Node) {
    std::mem::forget(root(|| build::build(app(), &page::body())));
}
