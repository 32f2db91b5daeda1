//! Changing: bringing what stands in the page to what a view says now.
//!
//! What has the same template stays, with its focus, its typed text and its
//! place on the screen; only its parts are looked at.

use super::Node;
use super::build::{Built, build, live};
use super::page::Place;
use std::mem::replace;

/// Makes `built` show what `node` says.
pub fn patch(built: &mut Built, node: Node) {
    match (&mut *built, node) {
        // Taken out by a part around it in the meantime.
        (Built::Gone, _) => {}
        (Built::Live(state, _), node) => {
            // The effect goes, what it showed stays: for the new effect, or as it is.
            let was = state.replace(Built::Gone);
            *built = was;
            patch(built, node);
        }
        (_, Node::Live(part)) => *built = live(part, replace(built, Built::Gone)),
        (Built::Attribute(attribute), node) => attribute.set(node),
        (Built::Listener(act, _), Node::Act(new)) => act.set(Some(new)),
        (Built::Text(dom, was), Node::Text(text)) => {
            if *was != text {
                dom.set_data(&text);
                *was = text;
            }
        }
        (Built::Text(..), Node::Nothing) => patch(built, Node::Text("".into())),
        (Built::View(was, _, parts), Node::View(template, new)) if *was == template => {
            parts.iter_mut().zip(new).for_each(|(part, node)| patch(part, node));
        }
        (Built::Many(parts, end), Node::Many(new)) => {
            for gone in parts.drain(new.len().min(parts.len())..) {
                gone.remove();
            }
            let mut new = new.into_iter();
            parts.iter_mut().zip(new.by_ref()).for_each(|(part, node)| patch(part, node));
            if let Some(place) = Place::before(end) {
                parts.extend(new.map(|node| build(node, &place)));
            }
        }
        (_, node) => {
            let Some(place) = built.last().and_then(|last| Place::behind(&last)) else { return };
            let new = build(node, &place);
            replace(built, new).remove();
        }
    }
}
