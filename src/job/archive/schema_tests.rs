//! The published schema and the code are held together, by an independent
//! validator of JSON Schema 2020-12 (`boon`); files merge whichever way round.

use super::*;
use crate::engine::learning::Belief;
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Metres, Minutes, Money, Percent,
};
use crate::job::card::{PartDensities, Ratio, SheetTime, Stock, TinCard};
use crate::job::event::{About, Body, Ending, Finding, KINDS, Material, Part, Place};
use crate::job::outlook::Stated;
use crate::job::settings::Settings;
use crate::job::state::State;
use boon::{Compiler, SchemaIndex, Schemas};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

const SCHEMA: &str = include_str!("../../../docs/journal.schema.json");

fn schema() -> Value {
    serde_json::from_str(SCHEMA).unwrap()
}

/// The validator with the schema in it.
fn validator() -> (Schemas, SchemaIndex) {
    let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
    compiler.set_default_draft(boon::Draft::V2020_12);
    compiler.add_resource("journal.json", schema()).unwrap();
    let index = compiler.compile("journal.json", &mut schemas).unwrap();
    (schemas, index)
}

fn value(of: impl Stored) -> Value {
    let mut text = String::new();
    of.write(&mut text);
    serde_json::from_str(&text).unwrap()
}

fn id(n: u8) -> Id {
    Id::new(Instant(i64::from(n) * 1000), [n; 10])
}

/// A belief as the journal has it; its fields are its own.
fn belief() -> Value {
    let vector = json!([0.1, 5200.0, -0.7]);
    let covariance = json!([vector, vector, vector]);
    let belief = json!({"reference": 20.0, "mean": vector, "covariance": covariance,
        "scatter": 0.12, "dof": 9.0, "card": vector});
    // Goes through the code, so that a field too few or too many is noticed.
    let text = belief.to_string();
    value(Belief::read(&Json::read(&text).unwrap()).unwrap())
}

fn tin() -> TinCard {
    let time = SheetTime {
        profile: "film".into(),
        milestone: "gel".into(),
        time: Minutes(12.5),
        temperature: Celsius(20.0),
        catalyst: Some(Percent(2.0)),
    };
    TinCard {
        name: "White, \"by the door\"".into(),
        family: "UP-GEL".into(),
        batch: Some("B 7".into()),
        follows: Some(id(9)),
        times: vec![time],
        ratio: Some(Ratio { a: 100.0, b: 5.0 }),
        tolerance: Some(Percent(1.0)),
        densities: Some(PartDensities { a: GramsPerMillilitre(1.1), b: GramsPerMillilitre(1.0) }),
    }
}

fn about() -> About {
    About { job: Some(id(1)), stage: Some("M1.12".into()), mould: Some(id(2)), cast: Some(id(3)) }
}

fn stated() -> Stated {
    Stated { at: Instant(-5), temperature: Celsius(9.0), constant: Some(Minutes(90.0)) }
}

fn stock() -> Stock {
    Stock { full: Some(Grams(1000.0)), left: Some(Grams(1.5)), price: Some(Money(3.2)) }
}

/// A value of a type, one of several by `pick`, in its stored form.
fn of_type(name: &str, pick: u8, text: &str, number: f64) -> Value {
    if let Some(inner) = name.strip_prefix("Option<").and_then(|rest| rest.strip_suffix('>')) {
        return if pick.is_multiple_of(3) {
            Value::Null
        } else {
            of_type(inner, pick, text, number)
        };
    }
    let id = || value(id(pick));
    match name {
        "String" => text.into(),
        "bool" => (pick.is_multiple_of(2)).into(),
        "f64" | "Grams" | "Percent" | "Celsius" | "Minutes" => number.into(),
        "u32" => u32::from(pick).into(),
        "Id" => id(),
        "Instant" => (number as i64).into(),
        "Place" => value(
            [Place::Bench, Place::Cabinet, Place::Outside, Place::Demo][usize::from(pick % 4)],
        ),
        "Material" => value(match pick % 2 {
            0 => Material::Family(text.into()),
            _ => Material::Tin(super::schema_tests::id(pick)),
        }),
        "Finding" => value(
            [
                Finding::Gelled,
                Finding::Ready,
                Finding::Gone,
                Finding::Done,
                Finding::NotYet { again: Minutes(number) },
            ][usize::from(pick % 5)],
        ),
        "Ending" => value([Ending::Finished, Ending::ThrownAway][usize::from(pick % 2)]),
        "About" => {
            if pick.is_multiple_of(2) {
                value(about())
            } else {
                json!({})
            }
        }
        "TinCard" => value(tin()),
        "Stock" => value(stock()),
        "Learning" => json!({"belief": belief(), "findings": pick}),
        "Settings" => value(Settings { altitude: Metres(number), ..Settings::default() }),
        "Vec<Part>" => {
            let part = |actual| Part { name: text.into(), target: Grams(number), actual };
            value(vec![part(None), part(Some(Grams(number)))])
        }
        "Vec<Stated>" => value(vec![stated()]),
        "Table<String, String>" => json!({ text: text }),
        "Table<String, f64>" => json!({ text: number }),
        "Table<String, Material>" => json!({ text: {"tin": id()} }),
        "[u32; 2]" => json!([pick, 7]),
        other => panic!("no sample of {other}: add one, and its schema"),
    }
}

prop_compose! {
    fn any_event()(
        kind in 0..KINDS.len(),
        picks in proptest::collection::vec(any::<u8>(), 16),
        text in "\\PC{0,12}",
        number in -1e6..1e6,
        n in any::<u8>(),
        seq in 0_u64..40,
    ) -> Event {
        let (what, fields) = KINDS[kind];
        let with: BTreeMap<&str, Value> = fields.iter().zip(&picks)
            .map(|((name, of), pick)| (*name, of_type(of, *pick, &text, number)))
            .collect();
        let record = json!({"v": 1, "id": id(n).to_string(), "seq": seq, "at": i64::from(n), "what": what, "with": with});
        Event::from_json(&record.to_string()).unwrap()
    }
}

fn events() -> impl Strategy<Value = Vec<Event>> {
    // One id never has two meanings: lines are never changed.
    proptest::collection::vec(any_event(), 0..30).prop_map(|events| {
        events
            .into_iter()
            .map(|event| (event.id, event))
            .collect::<BTreeMap<_, _>>()
            .into_values()
            .collect()
    })
}

#[test]
fn every_kind_and_field_of_the_code_is_in_the_schema_and_back() {
    let schema = schema();
    let defs = &schema["$defs"];
    let listed: Vec<&str> = defs["event"]["properties"]["what"]["enum"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let coded: Vec<&str> = KINDS.iter().map(|(tag, _)| *tag).collect();
    assert_eq!(listed, coded);
    let described = defs.as_object().unwrap().keys().filter_map(|key| key.strip_prefix("what-"));
    assert_eq!(described.collect::<BTreeSet<_>>(), coded.iter().copied().collect());
    for (tag, fields) in KINDS {
        let line = &defs[format!("what-{tag}")];
        let branch = json!({"if": {"properties": {"what": {"const": tag}}},
            "then": {"properties": {"with": {"$ref": format!("#/$defs/what-{tag}")}}}});
        assert!(defs["event"]["allOf"].as_array().unwrap().contains(&branch), "{tag}");
        let properties = line["properties"].as_object().unwrap();
        let names: BTreeSet<&str> = properties.keys().map(String::as_str).collect();
        assert_eq!(names, fields.iter().map(|(name, _)| *name).collect(), "{tag}");
        let required: BTreeSet<&str> =
            line["required"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        let must = fields.iter().filter(|(_, of)| !of.starts_with("Option<"));
        assert_eq!(required, must.map(|(name, _)| *name).collect(), "{tag}");
        assert_eq!(line["additionalProperties"], false, "{tag}");
    }
}

#[test]
fn what_stands_inside_fields_is_in_the_schema_and_back() {
    let schema = schema();
    let defs = &schema["$defs"];
    let part = Part { name: "base".into(), target: Grams(1.0), actual: Some(Grams(1.0)) };
    let settings = value(Settings::default());
    for (shape, sample) in [
        (&defs["about"], value(about())),
        (&defs["stated"], value(stated())),
        (&defs["tin-card"], value(tin())),
        (&defs["sheet-time"], value(tin().times.remove(0))),
        (&defs["stock"], value(stock())),
        (&defs["part"], value(part)),
        (&defs["learning"]["properties"]["belief"], belief()),
        (&defs["settings"]["properties"]["units"], settings["units"].clone()),
        (&defs["settings"], settings),
    ] {
        let names = |of: &Value| of.as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
        assert_eq!(names(&shape["properties"]), names(&sample));
    }
}

#[test]
fn what_is_not_of_the_form_is_told_from_it() {
    let (schemas, index) = validator();
    let file = |event: Value| json!({"benchtide": "journal", "version": 1, "events": [event]});
    let good = json!({"v": 1, "id": id(1).to_string(), "seq": 1, "at": 5, "what": "undone", "with": {"event": id(2).to_string()}});
    schemas.validate(&file(good.clone()), index).unwrap();
    for (name, spoilt) in [
        ("what", json!("unheard-of")),
        ("with", json!({})),
        ("with", json!({"event": "no id"})),
        ("with", json!({"event": id(2).to_string(), "more": 1})),
        ("v", json!(2)),
        ("seq", json!(-1)),
        ("at", json!("now")),
    ] {
        let mut event = good.clone();
        event[name] = spoilt;
        assert!(schemas.validate(&file(event.clone()), index).is_err(), "{event}");
    }
}

/// A phone with these lines, after it has read a file of others.
fn merged(here: &[Event], other: &[Event]) -> Vec<Event> {
    let incoming = read(&write(other, &[], Instant(9)), here).unwrap();
    assert_eq!(incoming.unread, Vec::<String>::new());
    let mut all = here.to_vec();
    all.extend(incoming.new);
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_file_is_of_the_published_form(events in events(), unread in "\\PC{0,9}") {
        let (schemas, index) = validator();
        let file: Value = serde_json::from_str(&write(&events, &[unread], Instant(7))).unwrap();
        if let Err(error) = schemas.validate(&file, index) {
            prop_assert!(false, "{}", error);
        }
    }

    #[test]
    fn a_wiped_phone_that_reads_its_file_is_as_it_was(events in events()) {
        let text = write(&events, &[], Instant(7));
        let back = merged(&[], &events);
        prop_assert_eq!(write(&back, &[], Instant(7)), text);
        prop_assert_eq!(State::fold(&back), State::fold(&events));
        // Reading it again adds nothing.
        prop_assert_eq!(merged(&back, &events).len(), back.len());
    }

    #[test]
    fn two_that_went_apart_come_to_the_same_whichever_reads_first(all in events(), parts in proptest::collection::vec(0_u8..3, 30)) {
        let part = |without: u8| -> Vec<Event> {
            all.iter().zip(&parts).filter(|(_, part)| **part != without).map(|(event, _)| event.clone()).collect()
        };
        let (mine, theirs) = (part(1), part(2));
        let (one, other) = (merged(&mine, &theirs), merged(&theirs, &mine));
        prop_assert_eq!(write(&one, &[], Instant(7)), write(&other, &[], Instant(7)));
        prop_assert_eq!(State::fold(&one), State::fold(&other));
    }

    #[test]
    fn one_jobs_lines_are_some_of_all_and_its_own_whole(events in events(), which in any::<prop::sample::Index>()) {
        prop_assume!(!events.is_empty());
        let job = which.get(&events).id;
        let part = of_job(&events, job);
        prop_assert!(part.iter().all(|event| events.contains(event)));
        prop_assert!(part.iter().any(|event| event.id == job));
        // Taken out of its own file, it is the same again.
        prop_assert_eq!(of_job(&part, job), part);
    }
}

/// Lines in the order given, one after the other.
fn journal(bodies: Vec<Body>) -> Vec<Event> {
    let numbered = bodies.into_iter().zip(1_u8..);
    numbered
        .map(|(body, n)| Event { id: id(n), seq: n.into(), at: Instant(i64::from(n)), body })
        .collect()
}

#[test]
fn one_jobs_file_has_all_that_it_leans_on_and_nothing_of_others() {
    let open = |material: Option<Id>| Body::JobOpened {
        name: "Finial".into(),
        method: "M1".into(),
        switches: Default::default(),
        materials: material.into_iter().map(|id| ("gel".to_owned(), Material::Tin(id))).collect(),
        place: Place::Bench,
        invented: false,
    };
    let batch = |job: Id| Body::BatchMixed {
        job: Some(job),
        stage: None,
        title: "gel".into(),
        material: Material::Tin(id(2)),
        parts: Vec::new(),
        catalyst: None,
    };
    let reading = |place: Place| Body::ReadingTaken {
        place,
        job: None,
        air: Some(Celsius(18.0)),
        humidity: None,
        surface: None,
        water: None,
        taken: Instant(9),
    };
    let tin = |follows: Option<Id>| Body::TinAdded { tin: TinCard { follows, ..tin() } };
    let note = |job: Id| Body::NoteWritten {
        about: About { job: Some(job), ..About::default() },
        text: "crack".into(),
        open: true,
    };
    let sheet = |job: Option<Id>| Body::SheetFilled {
        job,
        sheet: "mould".into(),
        field: "bolts".into(),
        entry: Some("9".into()),
    };
    let all = journal(vec![
        tin(None),                                                        // 1: followed by 2
        tin(Some(id(1))),                                                 // 2: the job's tin
        tin(None),                                                        // 3: not its tin
        Body::MouldMade { job: None, name: "Old".into() },                // 4: cast from
        Body::MouldMade { job: None, name: "Other".into() },              // 5
        open(Some(id(2))),                                                // 6: the job
        open(Some(id(2))),                                                // 7: another job
        batch(id(6)),                                                     // 8
        batch(id(7)),                                                     // 9
        Body::BatchUsedUp { batch: id(8), used: Instant(8), left: None }, // 10
        Body::TinStocked { tin: id(2), stock: stock() },                  // 11
        Body::TinStocked { tin: id(3), stock: stock() },                  // 12
        reading(Place::Bench),                                            // 13
        reading(Place::Cabinet),                                          // 14
        Body::CastMade { mould: id(4), job: Some(id(6)), number: 1 },     // 15
        Body::CastMade { mould: id(4), job: Some(id(7)), number: 2 },     // 16
        note(id(6)),                                                      // 17
        note(id(7)),                                                      // 18
        Body::NoteSettled { note: id(17) },                               // 19
        sheet(Some(id(15))),                                              // 20: its cast
        sheet(Some(id(4))),                                               // 21: its mould
        sheet(Some(id(5))),                                               // 22
        sheet(None),                                                      // 23: the shop's
        Body::Undone { event: id(8) },                                    // 24
        Body::Undone { event: id(9) },                                    // 25
        Body::SettingsChanged { settings: Settings::default() },          // 26
    ]);
    let kept: Vec<u64> = of_job(&all, id(6)).iter().map(|event| event.seq).collect();
    assert_eq!(kept, [1, 2, 4, 6, 8, 10, 11, 13, 15, 17, 19, 20, 21, 24]);
    assert_eq!(of_job(&all, id(99)), Vec::new());
}
