//! Our reader and writer of JSON against a general crate, `serde_json`, and against the
//! letter of RFC 8259.

use benchtide::engine::json::{Json, write_number, write_text};
use benchtide::job::event::Event;
use proptest::prelude::*;
use serde_json::Value;

/// The same value, as the other crate holds it.
fn theirs(json: &Json<'_>) -> Value {
    match json {
        Json::Null => Value::Null,
        Json::Bool(value) => Value::Bool(*value),
        Json::Number(text) => serde_json::from_str(text).unwrap(),
        Json::Text(text) => Value::String(text.clone()),
        Json::List(items) => items.iter().map(theirs).collect(),
        Json::Object(fields) => {
            fields.iter().map(|(name, value)| (name.clone(), theirs(value))).collect()
        }
    }
}

fn any_value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::Bool),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any::<String>().prop_map(Value::String),
    ];
    leaf.prop_recursive(5, 64, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::Array),
            prop::collection::btree_map(any::<String>(), inner, 0..6)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

/// Text that is nearly JSON: a true one with a few letters changed.
fn nearly() -> impl Strategy<Value = String> {
    let letters = prop::sample::select(
        "{}[]\",:\\/u0159+-.eEtruefalsn \n\té\u{1}".chars().collect::<Vec<_>>(),
    );
    let changes = prop::collection::vec((any::<prop::sample::Index>(), letters, 0..3_u8), 0..4);
    (any_value(), changes).prop_map(|(value, changes)| {
        let mut text: Vec<char> = value.to_string().chars().collect();
        for (at, letter, how) in changes {
            let at = at.index(text.len() + 1);
            match how {
                0 => text.insert(at, letter),
                1 if at < text.len() => text[at] = letter,
                _ if at < text.len() => drop(text.remove(at)),
                _ => {}
            }
        }
        text.into_iter().collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(4000) })]

    #[test]
    fn reads_what_the_other_writes(value in any_value()) {
        for text in [value.to_string(), serde_json::to_string_pretty(&value).unwrap()] {
            let ours = Json::read(&text);
            prop_assert!(ours.is_ok(), "{text}: {ours:?}");
            // Through text once more: floats of the other crate are not always the last bit's.
            let again: Value = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(theirs(&ours.unwrap()), again);
        }
    }

    #[test]
    fn what_it_writes_the_other_reads(value in any_value()) {
        let text = value.to_string();
        let mut written = String::new();
        Json::read(&text).unwrap().write(&mut written);
        prop_assert_eq!(
            serde_json::from_str::<Value>(&written).unwrap(),
            serde_json::from_str::<Value>(&text).unwrap()
        );
    }

    #[test]
    fn takes_and_refuses_what_the_other_does(text in nearly()) {
        // The one known difference: a number too great for a double is refused there.
        let other = serde_json::from_str::<Value>(&text);
        if other.as_ref().is_err_and(|error| error.to_string().contains("out of range")) {
            return Ok(());
        }
        prop_assert_eq!(Json::read(&text).is_ok(), other.is_ok(), "{}: {:?}", text, other);
    }

    #[test]
    fn a_number_comes_back_to_the_last_bit(number in any::<f64>()) {
        let mut text = String::new();
        write_number(number, &mut text);
        if number.is_finite() {
            prop_assert_eq!(text.parse::<f64>().unwrap().to_bits(), number.to_bits());
            prop_assert_eq!(Json::read(&text), Ok(Json::Number(&text)));
            // Python's, JavaScript's and this crate's readers agree on the text.
            prop_assert!(serde_json::from_str::<Value>(&text).unwrap().is_number());
        } else {
            prop_assert_eq!(text, "null");
        }
    }

    #[test]
    fn a_text_comes_back(text in any::<String>()) {
        let mut written = String::new();
        write_text(&text, &mut written);
        prop_assert_eq!(serde_json::from_str::<String>(&written).unwrap(), text.clone());
        prop_assert_eq!(Json::read(&written), Ok(Json::Text(text)));
    }
}

/// RFC 8259, section 13: its two examples, word for word.
#[test]
fn the_examples_of_the_standard_are_read() {
    let image = r#"{ "Image": { "Width": 800, "Height": 600,
        "Title": "View from 15th Floor",
        "Thumbnail": { "Url": "http://www.example.com/image/481989943", "Height": 125, "Width": 100 },
        "Animated" : false, "IDs": [116, 943, 234, 38793] } }"#;
    let image = Json::read(image).unwrap();
    assert_eq!(image.get("Image").get("Height").number(), Ok(600.0));
    assert_eq!(image.get("Image").get("IDs").list().unwrap()[3].number(), Ok(38793.0));
    assert_eq!(image.get("Image").get("Animated"), &Json::Bool(false));
    let place =
        r#"[{ "precision": "zip", "Latitude": 37.7668, "Longitude": -122.3959, "Address": "" }]"#;
    let place = Json::read(place).unwrap();
    assert_eq!(place.list().unwrap()[0].get("Longitude").number(), Ok(-122.3959));
}

/// RFC 8259, section 7: the letter G clef as two halves; and halves that stand alone.
#[test]
fn letters_in_two_halves_are_put_together_and_single_halves_refused() {
    assert_eq!(Json::read(r#""\uD834\uDD1E""#), Ok(Json::Text("\u{1d11e}".into())));
    for bad in [r#""\uD834""#, r#""\uDD1E""#, r#""\uD834A""#, r#""\uD834\u0041""#, r#""\u12G4""#] {
        assert!(Json::read(bad).is_err(), "{bad}");
        assert!(serde_json::from_str::<Value>(bad).is_err(), "{bad}");
    }
}

#[test]
fn a_number_too_great_is_not_taken() {
    assert!(Json::read("1e999").unwrap().number().is_err());
    assert_eq!(Json::read("1e308").unwrap().number(), Ok(1e308));
}

#[test]
fn a_very_deep_text_is_refused_and_not_followed() {
    let deep = |levels: usize| format!("{}{}", "[".repeat(levels), "]".repeat(levels));
    assert!(Json::read(&deep(127)).is_ok());
    assert!(Json::read(&deep(200_000)).is_err());
}

/// Records in the very words that earlier builds have left on phones.
#[test]
fn records_of_earlier_builds_are_read() {
    let lines = include_str!("data/journal_lines.txt");
    let mut kinds = std::collections::BTreeSet::new();
    for line in lines.lines() {
        let event = Event::from_json(line).unwrap_or_else(|error| panic!("{line}: {error}"));
        let before: Value = serde_json::from_str(line).unwrap();
        let after: Value = serde_json::from_str(&event.to_json()).unwrap();
        assert!(same(&before, &after), "{before}\n{after}");
        kinds.insert(before["what"].to_string());
    }
    assert_eq!(kinds.len(), 37, "{kinds:?}");
}

/// The same value, where 5 and 5.0 are the same number.
fn same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => one.as_f64() == other.as_f64(),
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one
                    .iter()
                    .all(|(name, value)| other.get(name).is_some_and(|other| same(value, other)))
        }
        _ => one == other,
    }
}
