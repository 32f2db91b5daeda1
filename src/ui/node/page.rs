//! The few things that views ask of the page, each as one call.
//!
//! Declared here rather than taken from web-sys: names and places come from
//! templates of our own, so none of these calls can fail, and the checks for it
//! would be shipped.

use wasm_bindgen::JsValue;
use wasm_bindgen::prelude::wasm_bindgen;

/// What the tags of drawings belong to (SVG 2, W3C).
const DRAWING: &str = "http://www.w3.org/2000/svg";

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(thread_local_v2, js_name = document)]
    static DOCUMENT: Document;

    type Document;
    #[wasm_bindgen(method, js_name = createElement)]
    fn element(this: &Document, tag: &str) -> Dom;
    #[wasm_bindgen(method, js_name = createElementNS)]
    fn element_of(this: &Document, space: &str, tag: &str) -> Dom;
    #[wasm_bindgen(method, js_name = createTextNode)]
    fn text(this: &Document, text: &str) -> Dom;
    #[wasm_bindgen(method, getter)]
    fn body(this: &Document) -> Dom;

    /// An element or a text of the page.
    #[derive(Clone)]
    pub type Dom;
    #[wasm_bindgen(method, getter, js_name = parentNode)]
    fn parent(this: &Dom) -> Option<Dom>;
    #[wasm_bindgen(method, getter, js_name = nextSibling)]
    fn next(this: &Dom) -> JsValue;
    #[wasm_bindgen(method, js_name = insertBefore)]
    fn insert(this: &Dom, child: &Dom, before: &JsValue);
    /// Takes it out of the page.
    #[wasm_bindgen(method)]
    pub fn remove(this: &Dom);
    /// Sets the words of a text.
    #[wasm_bindgen(method, setter, js_name = data)]
    pub fn set_data(this: &Dom, text: &str);
    /// Sets an attribute.
    #[wasm_bindgen(method, js_name = setAttribute)]
    pub fn set_attribute(this: &Dom, name: &str, value: &str);
    /// Takes an attribute away.
    #[wasm_bindgen(method, js_name = removeAttribute)]
    pub fn remove_attribute(this: &Dom, name: &str);
    #[wasm_bindgen(method, getter, js_name = classList)]
    fn classes(this: &Dom) -> Classes;
    #[wasm_bindgen(method, setter, js_name = value)]
    fn set_value(this: &Dom, value: &str);
    #[wasm_bindgen(method, setter, js_name = innerHTML)]
    fn set_inner_html(this: &Dom, markup: &str);
    /// Calls `act` on every event of this name.
    #[wasm_bindgen(method, js_name = addEventListener)]
    pub fn listen(this: &Dom, event: &str, act: &JsValue);

    type Classes;
    #[wasm_bindgen(method)]
    fn toggle(this: &Classes, name: &str, holds: bool);
}

/// A place in the page: where to put the next thing.
#[derive(Clone)]
pub struct Place {
    parent: Dom,
    /// What follows; null at the end.
    before: JsValue,
}

impl Place {
    /// Behind all that stands in an element.
    pub fn inside(parent: Dom) -> Self {
        Self { parent, before: JsValue::NULL }
    }

    /// Behind something, if that is in the page.
    pub fn behind(dom: &Dom) -> Option<Self> {
        Some(Self { parent: dom.parent()?, before: dom.next() })
    }

    /// Before something, if that is in the page.
    pub fn before(dom: &Dom) -> Option<Self> {
        Some(Self { parent: dom.parent()?, before: dom.clone().into() })
    }

    /// The element that it is in.
    pub fn parent(&self) -> &Dom {
        &self.parent
    }

    /// The element that it was in, when all is inside.
    pub fn into_parent(self) -> Dom {
        self.parent
    }

    /// Puts something there.
    pub fn insert(&self, dom: &Dom) {
        self.parent.insert(dom, &self.before);
    }

    /// Puts a text there.
    pub fn insert_text(&self, text: &str) -> Dom {
        let text = DOCUMENT.with(|page| page.text(text));
        self.insert(&text);
        text
    }
}

/// The end of the page's body.
pub fn body() -> Place {
    Place::inside(DOCUMENT.with(Document::body))
}

/// A new element, not in the page yet.
pub fn element(tag: &str) -> Dom {
    DOCUMENT.with(|page| page.element(tag))
}

/// A new element of a drawing, not in the page yet.
pub fn drawn(tag: &str) -> Dom {
    DOCUMENT.with(|page| page.element_of(DRAWING, tag))
}

impl Dom {
    /// Gives the element a class, or takes it away.
    pub fn toggle_class(&self, name: &str, holds: bool) {
        self.classes().toggle(name, holds);
    }

    /// Sets what an entry holds (`value`), or the markup inside (`innerHTML`).
    pub fn set_property(&self, name: &str, text: &str) {
        if name == "value" { self.set_value(text) } else { self.set_inner_html(text) }
    }
}
