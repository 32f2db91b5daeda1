//! What the code on a printed mould card says, read back.
//!
//! The form is a line for each fact, `word: value`, the first being
//! `mould: <id>`; `docs/mould-code.md` has it in full. Anything else that a code
//! may say is shown as it is and never kept.

use crate::engine::decimals;

use super::event::{Body, Id};
use super::sheet::MOULD;
use super::state::State;

/// The field that says which card a mould was kept from.
const FROM: &str = "card";
/// Units that stand behind a number, which a card's entry is without.
const UNITS: [&str; 4] = ["ml", "g", "d", "casts"];
/// Longest name and longest value that are kept, in letters.
const LETTERS: usize = 60;

/// What a card says of a mould.
#[derive(Clone, Debug, PartialEq)]
pub struct CardText {
    /// Its id on the phone that printed the card.
    pub id: Id,
    /// Its name.
    pub name: String,
    /// Words and values.
    facts: Vec<(String, String)>,
}

/// Understands a text; none when it is not in the form of a mould's card.
pub fn understand(text: &str) -> Option<CardText> {
    let mut lines = text.lines().filter_map(|line| line.split_once(':'));
    let id = lines.next().filter(|(word, _)| *word == MOULD)?.1;
    let mut card = CardText { id: Id::parse(id.trim())?, name: String::new(), facts: Vec::new() };
    for (word, value) in lines {
        let value: String = value.trim().chars().take(LETTERS).collect();
        match word {
            "name" => card.name = value,
            // It is a count of what that phone knows of, and no field.
            "casts" => {}
            _ => card.facts.push((word.to_owned(), value)),
        }
    }
    Some(card).filter(|card| !card.name.is_empty())
}

/// The mould on this phone that a card belongs to.
pub fn known(state: &State, card: &CardText) -> Option<Id> {
    let from = card.id.to_string();
    let kept = |id: &Id| {
        let entries = state.sheets.get(&(Some(*id), MOULD.to_owned()));
        entries.and_then(|entries| entries.get(FROM)) == Some(&from)
    };
    let moulds = &state.record.moulds;
    if moulds.contains_key(&card.id) {
        return Some(card.id);
    }
    moulds.keys().copied().find(kept)
}

/// The journal's lines that keep the mould of a card. It gets an id of its own,
/// `new`, which has to be that of the first line: the card's id is that of a
/// line on another phone, and two lines of one id could never be told apart.
pub fn keep(card: &CardText, new: Id) -> Vec<Body> {
    let fill = |field: &str, entry: String| Body::SheetFilled {
        job: Some(new),
        sheet: MOULD.to_owned(),
        field: field.to_owned(),
        entry: Some(entry),
    };
    let mut lines = vec![
        Body::MouldMade { job: None, name: card.name.clone() },
        fill(FROM, card.id.to_string()),
    ];
    for (word, value) in &card.facts {
        let number = value
            .split_once(' ')
            .filter(|(number, unit)| UNITS.contains(unit) && decimals::read(number).is_some());
        lines.push(fill(word, number.map_or(value.as_str(), |(number, _)| number).to_owned()));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Instant;
    use crate::job::event::Event;

    const CARD: &str = "mould: 0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60\nname: Finial\ncasts: 7\n\
        pieces: 3\nopen: cap: first, front\ncast-volume: 2000.5 ml\nrest: 2 days\nretire-at: 60 casts";

    fn state(bodies: Vec<Body>) -> State {
        let events: Vec<Event> = bodies
            .into_iter()
            .zip(1_u8..)
            .map(|(body, n)| Event { id: id(n), seq: n.into(), at: Instant(n.into()), body })
            .collect();
        State::fold(&events)
    }

    fn id(n: u8) -> Id {
        Id::new(Instant(n.into()), [n; 10])
    }

    #[test]
    fn a_card_is_kept_once_and_found_again() {
        let card = understand(CARD).unwrap();
        assert_eq!(known(&State::default(), &card), None);
        let state = state(keep(&card, id(1)));
        assert_eq!(known(&state, &card), Some(id(1)));
        assert_eq!(state.record.moulds[&id(1)].name, "Finial");
        let entry = |field: &str| state.sheets[&(Some(id(1)), "mould".into())].get(field).cloned();
        assert_eq!(entry("cast-volume").as_deref(), Some("2000.5"));
        assert_eq!(entry("retire-at").as_deref(), Some("60"));
        assert_eq!(entry("pieces").as_deref(), Some("3"));
        assert_eq!(entry("open").as_deref(), Some("cap: first, front"));
        assert_eq!(entry("rest").as_deref(), Some("2 days"));
        assert_eq!(entry("casts"), None);
    }

    #[test]
    fn a_mould_that_is_here_is_found_by_its_own_id() {
        let here = state(vec![Body::MouldMade { job: None, name: "Finial".into() }]);
        let text = format!("mould: {}\nname: Finial", id(1));
        assert_eq!(known(&here, &understand(&text).unwrap()), Some(id(1)));
    }

    #[test]
    fn other_texts_are_not_taken_for_a_card() {
        for text in [
            "",
            "Hello",
            "mould: 7\nname: x",
            "name: Finial",
            "https://example.org/?a: b",
            "mould: 0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60",
            "mould: \nname: ",
        ] {
            assert_eq!(understand(text), None, "{text}");
        }
    }
}
