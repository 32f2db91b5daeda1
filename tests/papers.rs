//! Tables against the letter of RFC 4180, read by a reader written from its
//! grammar alone; the report against the journal that it tells of.

use benchtide::engine::quantity::{Celsius, Grams, Instant, Percent};
use benchtide::job::csv;
use benchtide::job::event::{About, Body, Event, Finding, Id, Material, Part, Place};
use benchtide::job::report::{self, Say, Section};
use benchtide::job::state::State;
use benchtide::trade::model::Dimension;
use benchtide::trade::rules;
use proptest::prelude::*;

fn id(n: u8) -> Id {
    Id::new(Instant(i64::from(n) * 1000), [n; 10])
}

fn fold(bodies: Vec<Body>) -> State {
    let numbered = bodies.into_iter().zip(1_u8..);
    let events: Vec<Event> = numbered
        .map(|(body, n)| Event { id: id(n), seq: n.into(), at: Instant(n.into()), body })
        .collect();
    State::fold(&events)
}

/// RFC 4180, section 2: `file = record *(CRLF record) [CRLF]`, `escaped = DQUOTE
/// *(TEXTDATA / COMMA / CR / LF / 2DQUOTE) DQUOTE`; TEXTDATA holds no quote.
fn read(text: &str) -> Vec<Vec<String>> {
    let letters: Vec<char> = text.chars().collect();
    let (mut rows, mut row, mut at) = (Vec::new(), Vec::new(), 0);
    while at < letters.len() {
        let mut cell = String::new();
        if letters[at] == '"' {
            at += 1;
            loop {
                match (letters[at], letters.get(at + 1)) {
                    ('"', Some('"')) => (at, cell) = (at + 2, cell + "\""),
                    ('"', _) => break,
                    (letter, _) => {
                        cell.push(letter);
                        at += 1;
                    }
                }
            }
            at += 1;
        } else {
            while !matches!(letters[at], ',' | '\r') {
                assert!(!matches!(letters[at], '"' | '\n'), "text data: {text:?}");
                cell.push(letters[at]);
                at += 1;
            }
        }
        row.push(cell);
        if letters[at] == ',' {
            at += 1;
        } else {
            assert_eq!((letters[at], letters[at + 1]), ('\r', '\n'));
            rows.push(std::mem::take(&mut row));
            at += 2;
        }
    }
    rows
}

fn table(state: &State, which: &str) -> Vec<Vec<String>> {
    read(&csv::write(rules(), state, which, &|at| format!("at {}", at.millis())))
}

fn open(name: &str) -> Body {
    Body::JobOpened {
        name: name.into(),
        method: "M9a".into(),
        switches: Default::default(),
        materials: Default::default(),
        place: Place::Bench,
        invented: false,
    }
}

fn batch(title: &str, parts: Vec<Part>) -> Body {
    Body::BatchMixed {
        job: Some(id(1)),
        stage: None,
        title: title.into(),
        material: Material::Family("GY-B".into()),
        parts,
        catalyst: None,
    }
}

fn part(name: &str, target: f64, actual: Option<f64>) -> Part {
    Part { name: name.into(), target: Grams(target), actual: actual.map(Grams) }
}

fn reading(air: f64, humidity: Option<f64>) -> Body {
    Body::ReadingTaken {
        place: Place::Bench,
        job: None,
        air: Some(Celsius(air)),
        humidity: humidity.map(Percent),
        surface: None,
        water: None,
        taken: Instant(3),
    }
}

proptest! {
    #[test]
    fn whatever_was_typed_comes_back_from_a_table_and_is_no_formula(
        name in "[ -~äß\n\r\t\"',=+@-]{0,12}", title in any::<String>(), target in any::<f64>(),
    ) {
        let target = if target.is_finite() { target } else { 1.0 };
        let state = fold(vec![open(&name), batch(&title, vec![part("water", target, None)])]);
        let rows = table(&state, "batches");
        prop_assert_eq!(rows.len(), 2);
        prop_assert!(rows.iter().all(|row| row.len() == rows[0].len()));
        for (cell, typed) in [(&rows[1][2], &name), (&rows[1][4], &title)] {
            // Characters that begin a formula in spreadsheets (common practice).
            let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
            prop_assert!(!formula || cell.parse::<f64>().is_ok(), "{cell:?}");
            prop_assert_eq!(cell.strip_prefix('\'').filter(|rest| rest == typed).unwrap_or(cell), typed);
        }
        prop_assert_eq!(rows[1][9].parse::<f64>(), Ok(target));
    }
}

#[test]
fn numbers_stay_numbers_and_what_is_not_known_is_empty() {
    let state = fold(vec![open("A"), reading(-3.5, None), reading(18.0, Some(61.5))]);
    let rows = table(&state, "readings");
    assert_eq!(rows[0][4..6], ["air C", "humidity %"]);
    assert_eq!(rows[1][4..6], ["-3.5", ""]);
    assert_eq!(rows[2][4..6], ["18", "61.5"]);
    assert_eq!(rows[1][1], "at 3");
}

#[test]
fn casts_have_a_column_for_every_field_of_any_cast() {
    let fill = |cast: u8, field: &str, entry: &str| Body::SheetFilled {
        job: Some(id(cast)),
        sheet: "cast".into(),
        field: field.into(),
        entry: Some(entry.into()),
    };
    let cast = |number| Body::CastMade { mould: id(1), job: None, number };
    let state = fold(vec![
        Body::MouldMade { job: None, name: "Rosette, large".into() },
        cast(1),
        cast(2),
        fill(2, "weight", "812.5"),
        fill(3, "to", "+49 client"),
    ]);
    let rows = table(&state, "casts");
    assert_eq!(rows[0][2..], ["mould", "number", "job", "weight", "to"]);
    assert_eq!(rows[1][2..], ["Rosette, large", "1", "", "812.5", ""]);
    assert_eq!(rows[2][2..], ["Rosette, large", "2", "", "", "'+49 client"]);
    assert_eq!(table(&State::default(), "casts").len(), 1);
    assert_eq!(table(&state, "unheard-of"), Vec::<Vec<String>>::new());
}

fn report(state: &State) -> Vec<Section> {
    let value = |dimension: Dimension, value: f64| format!("{value} {dimension:?}");
    report::of(
        rules(),
        state,
        id(1),
        &Say { when: &|at| format!("t{}", at.millis()), value: &value },
    )
}

/// What the report says of something in a section.
fn said<'a>(sections: &'a [Section], title: &str, what: &str) -> Option<&'a str> {
    let section = sections.iter().find(|section| section.title == title)?;
    section.rows.iter().find(|(name, _)| name == what).map(|(_, said)| said.as_str())
}

#[test]
fn the_report_tells_what_was_done_waived_weighed_found_and_noted() {
    let method = rules().method("M9a").unwrap();
    let stage = &method.stages[0];
    let check = &stage.checks[0];
    let cure = Body::CureStarted {
        job: Some(id(1)),
        stage: None,
        slot: None,
        title: "Pour".into(),
        material: Material::Family("GY-B".into()),
        profile: "cast".into(),
        catalyst: None,
        mass: None,
        batch: None,
        started: Instant(7),
        place: Place::Bench,
        reason: None,
    };
    let waived = Body::CheckWaived {
        job: id(1),
        stage: stage.id.clone(),
        check: check.id.clone(),
        reason: "client's wish".into(),
    };
    let note = Body::NoteWritten {
        about: About { job: Some(id(1)), ..About::default() },
        text: "Air at the seam.".into(),
        open: true,
    };
    let other = Body::NoteWritten { about: About::default(), text: "Not his".into(), open: true };
    let state = fold(vec![
        open("Rosettes"),
        waived,
        reading(12.0, None),
        reading(19.5, None),
        batch("pour", vec![part("water", 70.0, Some(71.0)), part("powder", 100.0, None)]),
        Body::StageOverridden { job: id(1), stage: stage.id.clone(), reason: "hurry".into() },
        cure,
        Body::Observed {
            cure: id(7),
            window: "demould".into(),
            finding: Finding::Ready,
            seen: Instant(60),
        },
        Body::BatchUsedUp { batch: id(5), used: Instant(9), left: Some(Grams(4.0)) },
        Body::StageFinished { job: id(1), stage: stage.id.clone() },
        note,
        other,
    ]);
    let report = report(&state);
    assert_eq!(said(&report, "The job", "Method"), Some(method.title.as_str()));
    assert_eq!(said(&report, &stage.title, &check.text), Some("Not done: client's wish; t2"));
    assert_eq!(said(&report, &stage.title, "Begun before its time"), Some("hurry; t6"));
    assert_eq!(said(&report, &stage.title, "Finished"), Some("t10"));
    let batch = said(&report, "Batches", "pour, t5").unwrap();
    assert!(
        batch.contains("water 71 Mass (aimed at 70 Mass), powder not noted (aimed at 100 Mass)"),
        "{batch}"
    );
    assert!(batch.ends_with("left over 4 Mass"), "{batch}");
    let cure = said(&report, "Cures and what was found", "Pour, t7").unwrap();
    assert!(cure.ends_with("demould ready t60"), "{cure}");
    assert_eq!(
        said(&report, "The shop meanwhile", "Air"),
        Some("12 Temperature to 19.5 Temperature; 2 read")
    );
    assert_eq!(said(&report, "Notes", "Note"), Some("Air at the seam.; t11"));
    assert!(report.iter().all(|section| !section.rows.is_empty()));
    assert!(!format!("{report:?}").contains("Not his"));
}

#[test]
fn a_job_that_is_not_there_has_no_report_and_an_empty_one_is_short() {
    assert_eq!(report(&State::default()), Vec::new());
    let short = report(&fold(vec![open("Rosettes")]));
    let titles: Vec<&str> = short.iter().map(|section| section.title.as_str()).collect();
    assert_eq!(titles, ["The job", "Materials"]);
}
