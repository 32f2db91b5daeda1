//! What happened at the bench, and what follows from it.
//!
//! Ground state is the journal: an append-only list of [`event::Event`]s. All
//! else is derived: [`state::State`] is its fold, [`live`] solves the running
//! cures from it, [`command`] says which new events are allowed. Nothing here
//! reads a clock or a database; "now" is always an argument.

pub mod alarm;
pub mod album;
pub mod amount;
pub mod archive;
pub mod batch;
pub mod buying;
pub mod card;
pub mod card_text;
pub mod catalyst;
pub mod changes;
pub mod command;
pub mod cost;
pub mod course;
pub mod csv;
pub mod demo;
pub mod evening;
pub mod event;
pub mod find;
pub mod gate;
pub mod heat;
pub mod learning;
pub mod live;
pub mod mould;
pub mod mould_card;
pub mod outlook;
pub mod own;
pub mod person;
pub mod record;
pub mod report;
pub mod scan;
pub mod settings;
pub mod sheet;
pub mod sketch;
pub mod stage;
pub mod state;
pub mod stock;
pub mod temperature;
pub mod used;
pub mod window;
