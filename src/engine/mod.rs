//! Pure computation: quantities in, quantities out.
//!
//! Nothing in this room knows a material, a clock or a browser. Functions
//! return plain data in the mould maker's own terms; errors say what was wrong
//! and what to do.

pub mod air;
pub mod code;
pub mod cure;
pub mod decimals;
pub mod exotherm;
pub mod history;
pub mod json;
pub mod kinetics;
pub mod laminate;
pub mod learning;
pub mod maths;
pub mod mesh;
pub mod mix;
pub mod outlook;
pub mod pour;
pub mod quantity;
pub mod shape;
pub mod sorting;
pub mod stored;
pub mod table;
pub mod takeoff;
pub mod trend;
pub mod units;
