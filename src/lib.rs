//! Benchtide: an offline phone app for the bench of a mould-making workshop.
//!
//! This page is the map of the house. Rooms are listed from the ground up; a
//! door opens only downwards, so a room may use those above it in this list
//! and never those below. `tests/doors.rs` checks every `use` against it.
//!
//! * [`engine`]: pure computation. Quantities with units, kinetics, cures, air,
//!   mixing and take-off. *Invariant:* no clock, no storage, no browser, no
//!   knowledge of any material: everything comes in as an argument.
//! * [`trade`]: what the trade knows, as data: material families, methods,
//!   hazards; and the code that reads and validates it. *Invariant:* no number
//!   about a material lives in code; each has its status and source beside it.
//! * [`job`]: the append-only journal of what happened at the bench, its fold
//!   into state, and the commands that refuse what is not allowed.
//!   *Invariant:* the journal is ground state, all else is derived from it;
//!   the instant "now" is an argument.
//! * `device`: the browser behind thin modules, one capability a module.
//!   *Invariant:* no rule of the trade in here. Only in WASM builds.
//! * `ui`: screens and widgets. *Invariant:* no browser call inside a view (only
//!   `ui::node`, which builds the page from views, turns to the browser) and no
//!   arithmetic on physical quantities. All but its addresses ([`ui::route`]),
//!   charts ([`ui::chart`]) and signals ([`ui::reactive`]) only in WASM builds.

#![warn(missing_docs)]
#![forbid(unsafe_code)]

pub mod engine;
pub mod job;
pub mod trade;
pub mod ui;

#[cfg(target_arch = "wasm32")]
pub mod device;
