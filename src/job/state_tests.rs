//! Laws of the fold.

use super::*;
use crate::engine::quantity::Minutes;
use proptest::prelude::*;

fn id(n: u64) -> Id {
    let mut bytes = [0; 10];
    bytes[..8].copy_from_slice(&n.to_be_bytes());
    Id::new(Instant(n as i64), bytes)
}

fn event(n: u64, body: Body) -> Event {
    Event { id: id(n), seq: n, at: Instant(n as i64), body }
}

fn job(n: u64) -> Event {
    event(
        n,
        Body::JobOpened {
            name: format!("job {n}"),
            method: "M1".into(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Bench,
            invented: false,
        },
    )
}

fn tick(n: u64, job: u64, check: &str, value: f64) -> Event {
    event(
        n,
        Body::CheckTicked {
            job: id(job),
            stage: "M1.22".into(),
            check: check.into(),
            values: Table::from([("clay-mass".to_owned(), value)]),
        },
    )
}

fn undo(n: u64, target: u64) -> Event {
    event(n, Body::Undone { event: id(target) })
}

#[test]
fn an_undo_brings_back_the_value_before() {
    let events = [job(1), tick(2, 1, "weighed", 5000.0), tick(3, 1, "weighed", 5400.0)];
    let clay = |events: &[Event]| State::fold(events).jobs[&id(1)].measures["clay-mass"];
    assert_eq!(clay(&events), 5400.0);
    let mut undone = events.to_vec();
    undone.push(undo(4, 3));
    assert_eq!(clay(&undone), 5000.0);
}

#[test]
fn undoing_an_undo_brings_the_act_back() {
    let events = [job(1), tick(2, 1, "weighed", 5000.0), undo(3, 2), undo(4, 3)];
    let state = State::fold(&events);
    assert!(state.jobs[&id(1)].answers.contains_key(&("M1.22".into(), "weighed".into())));
}

#[test]
fn events_about_unknown_things_change_nothing() {
    let state = State::fold(&[tick(2, 1, "weighed", 5000.0), undo(3, 99)]);
    assert_eq!(state, State::default());
}

#[test]
fn ten_thousand_events_fold_to_five_hundred_jobs() {
    let mut events: Vec<Event> = (1..=500).map(job).collect();
    events.extend((501..=10_000).map(|n| tick(n, n % 500 + 1, &format!("c{}", n % 40), n as f64)));
    let state = State::fold(&events);
    assert_eq!(state.jobs.len(), 500);
}

#[test]
fn readings_stay_in_order_of_their_instant() {
    let reading = |n: u64, taken: i64| {
        event(
            n,
            Body::ReadingTaken {
                place: Place::Bench,
                job: None,
                air: Some(Celsius(17.0)),
                humidity: None,
                surface: None,
                water: None,
                taken: Instant(taken),
            },
        )
    };
    let state = State::fold(&[reading(1, 300), reading(2, 100), reading(3, 200)]);
    let taken: Vec<i64> = state.readings.iter().map(|r| r.taken.millis()).collect();
    assert_eq!(taken, [100, 200, 300]);
}

#[test]
fn a_discarded_job_takes_its_clocks_off_the_bench() {
    let cure = event(
        2,
        Body::CureStarted {
            job: Some(id(1)),
            stage: None,
            slot: None,
            title: "gel coat".into(),
            material: Material::Family("UP-GEL".into()),
            profile: "film".into(),
            catalyst: None,
            mass: None,
            batch: None,
            started: Instant(2),
            place: Place::Bench,
            reason: None,
        },
    );
    let discard = event(3, Body::JobDiscarded { job: id(1) });
    let state = State::fold(&[job(1), cure.clone()]);
    assert!(state.is_running(&state.cures[&id(2)]));
    let state = State::fold(&[job(1), cure, discard]);
    assert!(!state.is_running(&state.cures[&id(2)]));
}

fn any_event() -> impl Strategy<Value = Event> {
    (1_u64..40, 0_u8..6, 1_u64..40, 0.0..9000.0_f64).prop_map(
        |(n, kind, other, value)| match kind {
            0 => job(n),
            1 => tick(n, other, "weighed", value),
            2 => undo(n, other),
            3 => event(n, Body::JobDiscarded { job: id(other) }),
            4 => event(
                n,
                Body::Observed {
                    cure: id(other),
                    window: "trim".into(),
                    finding: Finding::NotYet { again: Minutes(5.0) },
                    seen: Instant(value as i64),
                },
            ),
            _ => event(n, Body::StageFinished { job: id(other), stage: "M1.01".into() }),
        },
    )
}

proptest! {
    /// One event has one id: keep the first of each.
    #[test]
    fn the_fold_does_not_depend_on_order_or_repetition(
        events in proptest::collection::vec(any_event(), 0..30),
        turn in 0_usize..30,
    ) {
        let mut unique: Vec<Event> = Vec::new();
        for event in events {
            if !unique.iter().any(|other| other.id == event.id) {
                unique.push(event);
            }
        }
        let straight = State::fold(&unique);
        let mut mixed = unique.clone();
        if !mixed.is_empty() {
            let by = turn % mixed.len();
            mixed.rotate_left(by);
            mixed.reverse();
        }
        mixed.extend(unique.iter().take(turn).cloned());
        prop_assert_eq!(State::fold(&mixed), straight);
    }

    #[test]
    fn appending_without_undo_equals_folding_anew(
        events in proptest::collection::vec(any_event(), 0..30),
    ) {
        let mut unique: Vec<Event> = Vec::new();
        for event in events {
            let is_undo = matches!(event.body, Body::Undone { .. });
            if !is_undo && !unique.iter().any(|other| other.id == event.id) {
                unique.push(event);
            }
        }
        unique.sort_by_key(Event::order);
        let mut state = State::default();
        unique.iter().for_each(|event| state.apply(event));
        prop_assert_eq!(state, State::fold(&unique));
    }

    #[test]
    fn reading_a_stored_record_never_panics(text in ".{0,200}") {
        let _ = Event::from_json(&text);
    }
}
