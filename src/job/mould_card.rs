//! The short text that goes into the square code of a printed mould card.
//!
//! Lines of "word: value", so that whatever reads the square shows something
//! that a person understands. It is a copy: the printed words are complete
//! without it.

use super::event::Id;
use super::mould;
use super::sheet::{self, MOULD};
use super::state::State;

/// A code of more bytes is too fine for a small print.
const MOST_BYTES: usize = 400;
/// Letters of a value: a long one must not push out all others.
const MOST_LETTERS: usize = 40;

/// Fields of the card that go in, in this order while there is room, with the
/// unit that their stored number is in.
const FIELDS: [(&str, &str); 14] = [
    ("number", ""),
    ("face", ""),
    ("batch", ""),
    ("pieces", ""),
    ("open", ""),
    ("bolts", ""),
    ("bolt-size", ""),
    ("cast-volume", " ml"),
    ("target", " g"),
    ("rest", " d"),
    ("service-every", " casts"),
    ("retire-at", " casts"),
    ("licence", " casts"),
    ("never", ""),
];

/// The text for the code: id, name and key facts, at most 400 bytes. Empty for
/// a mould that is not there.
pub fn facts(state: &State, id: Id) -> String {
    let Some(mould) = state.record.moulds.get(&id) else { return String::new() };
    let mut text = format!("mould: {id}\nname: {}", mould.name);
    text.push_str(&format!("\ncasts: {}", mould::last_number(state, id)));
    for (field, unit) in FIELDS {
        let Some(value) = sheet::entry(state, Some(id), MOULD, field) else { continue };
        let value: String = value.chars().take(MOST_LETTERS).collect();
        let line = format!("\n{field}: {value}{unit}");
        if text.len() + line.len() <= MOST_BYTES {
            text.push_str(&line);
        }
    }
    text
}
