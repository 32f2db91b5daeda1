//! Screens and widgets.
//!
//! Data flows one way: a tap becomes a command, the command's event is
//! appended and durable, the fold changes, signals change, views follow. A view
//! makes no browser call and no sum.

pub mod chart;
pub mod reactive;
pub mod route;

#[cfg(target_arch = "wasm32")]
mod amounts;
#[cfg(target_arch = "wasm32")]
mod app;
#[cfg(target_arch = "wasm32")]
mod bench;
#[cfg(target_arch = "wasm32")]
mod buying;
#[cfg(target_arch = "wasm32")]
mod catalyst;
#[cfg(target_arch = "wasm32")]
mod cautions;
#[cfg(target_arch = "wasm32")]
mod checks;
#[cfg(target_arch = "wasm32")]
mod course;
#[cfg(target_arch = "wasm32")]
mod cure;
#[cfg(target_arch = "wasm32")]
mod emergency;
#[cfg(target_arch = "wasm32")]
mod evening;
#[cfg(target_arch = "wasm32")]
mod family;
#[cfg(target_arch = "wasm32")]
mod find;
#[cfg(target_arch = "wasm32")]
mod help;
#[cfg(target_arch = "wasm32")]
mod job;
#[cfg(target_arch = "wasm32")]
mod jobs;
#[cfg(target_arch = "wasm32")]
mod learned;
#[cfg(target_arch = "wasm32")]
mod mass;
#[cfg(target_arch = "wasm32")]
mod mix;
#[cfg(target_arch = "wasm32")]
mod mould;
#[cfg(target_arch = "wasm32")]
mod mould_paper;
#[cfg(target_arch = "wasm32")]
mod new_job;
#[cfg(target_arch = "wasm32")]
mod node;
#[cfg(target_arch = "wasm32")]
mod notes;
#[cfg(target_arch = "wasm32")]
mod outlook;
#[cfg(target_arch = "wasm32")]
mod overlay;
#[cfg(target_arch = "wasm32")]
mod own;
#[cfg(target_arch = "wasm32")]
mod pad;
#[cfg(target_arch = "wasm32")]
mod papers;
#[cfg(target_arch = "wasm32")]
mod parts;
#[cfg(target_arch = "wasm32")]
mod person;
#[cfg(target_arch = "wasm32")]
mod photo;
#[cfg(target_arch = "wasm32")]
mod photos;
#[cfg(target_arch = "wasm32")]
mod picker;
#[cfg(target_arch = "wasm32")]
mod prelude;
#[cfg(target_arch = "wasm32")]
mod readings;
#[cfg(target_arch = "wasm32")]
mod ringing;
#[cfg(target_arch = "wasm32")]
mod scan;
#[cfg(target_arch = "wasm32")]
mod shapes;
#[cfg(target_arch = "wasm32")]
mod sheet;
#[cfg(target_arch = "wasm32")]
mod shelf;
#[cfg(target_arch = "wasm32")]
mod shop;
#[cfg(target_arch = "wasm32")]
mod stage;
#[cfg(target_arch = "wasm32")]
mod stage_gate;
#[cfg(target_arch = "wasm32")]
mod stage_start;
#[cfg(target_arch = "wasm32")]
mod start_clock;
#[cfg(target_arch = "wasm32")]
mod stock;
#[cfg(target_arch = "wasm32")]
mod store;
#[cfg(target_arch = "wasm32")]
mod tin;
#[cfg(target_arch = "wasm32")]
mod tin_mix;
#[cfg(target_arch = "wasm32")]
mod words;

#[cfg(target_arch = "wasm32")]
pub use app::mount;
