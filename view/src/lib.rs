//! The macros that views are written with. They run in the compiler; nothing of
//! this crate is shipped.
//!
//! `view!` turns markup into one constant text (the template: tags, fixed
//! attributes, fixed words) and the list of what is filled in. The app walks the
//! template when it builds the view (`src/ui/node`), so that an element costs a
//! few bytes of text and no code.

#![warn(missing_docs)]
#![forbid(unsafe_code)]

mod component;
mod template;

use proc_macro::TokenStream;

/// Markup as a `crate::ui::node::Node`.
///
/// `<tag name="fixed" name=expression on:event=act class:name=condition
/// prop:value=text inner_html=markup>"words" {expression} <Component field=value
/// /></tag>`. Whatever is filled in has to be `IntoNode`.
#[proc_macro]
pub fn view(markup: TokenStream) -> TokenStream {
    template::view(markup.into()).unwrap_or_else(|error| error.to_compile_error()).into()
}

/// Makes a function usable as `<Name field=value />`: its arguments become a
/// struct of the same name, and its body reads signals without following them.
#[proc_macro_attribute]
pub fn component(_: TokenStream, function: TokenStream) -> TokenStream {
    component::component(function.into()).unwrap_or_else(|error| error.to_compile_error()).into()
}
