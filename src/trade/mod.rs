//! What the trade knows, as data.
//!
//! Material families, methods, hazards and the constants of the amount rules
//! are written in `trade/**/*.toml`; this room reads, validates and answers
//! questions about them. No number about a material lives in code.

pub mod amounts;
pub mod model;
pub mod own;
pub mod rules;
pub mod validate;

pub use rules::rules;

/// Ready phrases for notes and captions, so that gloves can write.
pub fn phrases() -> impl Iterator<Item = &'static str> {
    include_str!("../../trade/phrases.txt").lines()
}
