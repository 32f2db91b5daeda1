//! `#[component]`: arguments by name for functions that give views.

use proc_macro2::TokenStream;
use quote::quote;
use syn::{Error, FnArg, ItemFn, Pat, Result, ReturnType};

/// The struct of the arguments, and the function that takes it. Functions and
/// structs have names apart from each other, so both carry the component's.
pub fn component(function: TokenStream) -> Result<TokenStream> {
    let ItemFn { attrs, vis, sig, block, .. } = syn::parse2(function)?;
    let name = &sig.ident;
    let ReturnType::Type(_, gives) = &sig.output else {
        return Err(Error::new_spanned(&sig, "a component gives a view: say its type"));
    };
    let (mut fields, mut names) = (Vec::new(), Vec::new());
    for argument in &sig.inputs {
        let FnArg::Typed(argument) = argument else {
            return Err(Error::new_spanned(argument, "a component has no self"));
        };
        let Pat::Ident(pattern) = &*argument.pat else {
            return Err(Error::new_spanned(argument, "an argument of a component is one name"));
        };
        let (docs, ident, kind) = (&argument.attrs, &pattern.ident, &argument.ty);
        fields.push(quote!(#(#docs)* pub #ident: #kind));
        names.push(pattern);
    }
    let body = quote! {
        crate::ui::node::untracked(move || -> #gives #block)
    };
    if fields.is_empty() {
        return Ok(quote! {
            #(#attrs)*
            #[allow(non_snake_case)]
            #vis fn #name() -> #gives { #body }
        });
    }
    Ok(quote! {
        #(#attrs)*
        #[allow(missing_docs)]
        #vis struct #name { #(#fields),* }

        #(#attrs)*
        #[allow(non_snake_case)]
        #vis fn #name(given: #name) -> #gives {
            let #name { #(#names),* } = given;
            #body
        }
    })
}
