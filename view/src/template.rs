//! `view!`: markup into a template and what is filled in.
//!
//! A template is a row of steps, each begun by [`MARK`] and one letter that says
//! what it is; `src/ui/node/build.rs` walks it and lists the letters.

use proc_macro2::TokenStream;
use quote::quote;
use rstml::node::{KeyedAttribute, Node, NodeAttribute, NodeBlock, NodeElement, NodeName};
use syn::{Error, Expr, Lit, Result, Stmt};

/// Begins a step. No text has it.
const MARK: char = '\u{1}';

/// Tags that have to be made as drawings rather than as text.
const DRAWN: [&str; 19] = [
    "svg",
    "g",
    "path",
    "line",
    "polyline",
    "polygon",
    "rect",
    "circle",
    "ellipse",
    "text",
    "tspan",
    "defs",
    "use",
    "marker",
    "clipPath",
    "linearGradient",
    "stop",
    "pattern",
    "desc",
];

/// The template so far, and the expressions that fill it.
#[derive(Default)]
struct Template {
    steps: String,
    parts: Vec<TokenStream>,
}

/// The expression of a piece of markup.
pub fn view(markup: TokenStream) -> Result<TokenStream> {
    let nodes = rstml::parse2(markup)?;
    let mut template = Template::default();
    for node in &nodes {
        template.node(node)?;
    }
    let Template { steps, parts } = template;
    // Nothing but one expression needs no template around it.
    if let ([part], [Node::Block(_) | Node::Element(_)]) = (&parts[..], &nodes[..])
        && steps == format!("{MARK}{{")
    {
        return Ok(part.clone());
    }
    Ok(quote!(crate::ui::node::view(#steps, [#(#parts),*])))
}

impl Template {
    fn step(&mut self, letter: char, rest: &str) {
        self.steps.extend([MARK, letter]);
        self.steps.push_str(rest);
    }

    fn filled(&mut self, letter: char, name: &str, part: &TokenStream) {
        self.step(letter, name);
        self.parts.push(quote!(crate::ui::node::IntoNode::into_node(#part)));
    }

    fn node(&mut self, node: &Node) -> Result<()> {
        match node {
            Node::Text(text) => self.step('"', &text.value_string()),
            Node::Block(block) => self.filled('{', "", &bare(block)?),
            Node::Element(element) => {
                let name = element.name();
                if is_component(name) {
                    let component = component(element)?;
                    self.filled('{', "", &component);
                } else {
                    self.element(element)?;
                }
            }
            other => {
                return Err(Error::new_spanned(other, "views have elements, text and {…} only"));
            }
        }
        Ok(())
    }

    fn element(&mut self, element: &NodeElement<rstml::Infallible>) -> Result<()> {
        let tag = element.name().to_string();
        self.step(if DRAWN.contains(&tag.as_str()) { '*' } else { '<' }, &tag);
        for attribute in element.attributes() {
            self.attribute(keyed(attribute)?)?;
        }
        for child in element.children() {
            self.node(child)?;
        }
        self.step('>', "");
        Ok(())
    }

    fn attribute(&mut self, attribute: &KeyedAttribute) -> Result<()> {
        let name = attribute.key.to_string();
        let value = value(attribute)?;
        let part = quote!(#value);
        match (name.split_once(':'), value) {
            (Some(("on", event)), _) => self.filled('!', event, &part),
            (Some(("class", class)), _) => self.filled('?', class, &part),
            (Some(("prop", property)), _) => self.filled('.', property, &part),
            (Some(_), _) => {
                return Err(Error::new_spanned(
                    &attribute.key,
                    "only on:, class: and prop: are known",
                ));
            }
            (None, _) if name == "inner_html" => self.filled('.', "innerHTML", &part),
            (None, Expr::Lit(literal)) => match &literal.lit {
                Lit::Str(text) => self.step(' ', &format!("{name}={}", text.value())),
                Lit::Bool(holds) if holds.value => self.step(' ', &format!("{name}=")),
                _ => self.filled('@', &name, &part),
            },
            (None, _) => self.filled('@', &name, &part),
        }
        Ok(())
    }
}

/// `<Name field=value />` as a call.
fn component(element: &NodeElement<rstml::Infallible>) -> Result<TokenStream> {
    if let Some(child) = element.children().first() {
        return Err(Error::new_spanned(child, "components here have no children"));
    }
    let name = element.name();
    if element.attributes().is_empty() {
        return Ok(quote!(#name()));
    }
    let mut fields = Vec::new();
    for attribute in element.attributes() {
        let attribute = keyed(attribute)?;
        let (field, value) = (&attribute.key, value(attribute)?);
        fields.push(quote!(#field: #value));
    }
    Ok(quote!(#name(#name { #(#fields),* })))
}

fn is_component(name: &NodeName) -> bool {
    let NodeName::Path(path) = name else { return false };
    let last = path.path.segments.last().map(|segment| segment.ident.to_string());
    last.is_some_and(|last| last.starts_with(char::is_uppercase))
}

fn keyed(attribute: &NodeAttribute) -> Result<&KeyedAttribute> {
    match attribute {
        NodeAttribute::Attribute(attribute) => Ok(attribute),
        NodeAttribute::Block(block) => Err(Error::new_spanned(block, "an attribute has a name")),
    }
}

fn value(attribute: &KeyedAttribute) -> Result<&Expr> {
    attribute.value().ok_or_else(|| Error::new_spanned(&attribute.key, "say its value: name=value"))
}

/// What stands in a block, without its braces where it is one expression.
fn bare(block: &NodeBlock) -> Result<TokenStream> {
    let Some(block) = block.try_block() else {
        return Err(Error::new_spanned(block, "this is not a Rust expression"));
    };
    Ok(match &block.stmts[..] {
        [Stmt::Expr(expression, None)] => quote!(#expression),
        _ => quote!(#block),
    })
}
