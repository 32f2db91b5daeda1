//! Signals: values that the parts of a page follow.
//!
//! The model is the usual one of signals, memos and effects. It is here and not
//! taken from a crate because the app is one thread on one page: without
//! locks, wakers and storages it is a tenth of what is shipped otherwise.
//!
//! * A *signal* holds a value; who reads it while it runs follows it.
//! * A *memo* holds what a function of signals gave, and is worked out anew when
//!   it is looked at after one of them has changed. Who follows it is told only
//!   of a value that differs.
//! * An *effect* runs again after a change, once for all changes of one act:
//!   effects wait for the act's end (a microtask), then run, outer ones first.
//! * Whatever is made while an effect or a memo runs is *owned* by that run, and
//!   goes before the next one.

mod calls;
mod cells;
mod context;
mod graph;
#[cfg(test)]
mod tests;

pub use calls::{Ask, Take, TakeMut};
pub use cells::{Memo, RwSignal, Signal, StoredValue};
pub use context::{expect_context, provide_context};
pub use graph::{Effect, RenderEffect, root, run_waiting, untrack};
