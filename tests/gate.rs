//! The condition gates on the real methods. Limits: trade reference 3.10
//! (common practice and from memory): polyester stops under 15 degrees C and under 3 K
//! above the dew point, tin silicone warns under 18 degrees C and stops under 10.

use benchtide::engine::air::GateVerdict;
use benchtide::engine::quantity::{Celsius, Instant, Minutes, Percent};
use benchtide::job::command;
use benchtide::job::event::{Body, Event, Id, Place};
use benchtide::job::gate;
use benchtide::job::state::State;
use benchtide::trade::model::Gate;
use benchtide::trade::rules;
use std::collections::BTreeMap;

const NOW: Instant = Instant(1_700_000_000_000);
const MORNING: Instant = Instant(1_700_000_000_000 + 10 * 3_600_000);

/// The verdict before the first stage with this gate, for readings this old.
fn verdict(
    kind: Gate,
    air: f64,
    humidity: f64,
    surface: Option<f64>,
    age: f64,
) -> Option<GateVerdict> {
    let taken = NOW - Minutes(age);
    let job = Id::new(taken, [1; 10]);
    let opened = Body::JobOpened {
        name: "Finial".into(),
        method: "M1".into(),
        switches: BTreeMap::new(),
        materials: BTreeMap::new(),
        place: Place::Bench,
        invented: false,
    };
    let reading = Body::ReadingTaken {
        place: Place::Bench,
        job: None,
        air: Some(Celsius(air)),
        humidity: Some(Percent(humidity)),
        surface: surface.map(Celsius),
        water: None,
        taken,
    };
    let state = State::fold(&[
        Event { id: job, seq: 1, at: taken, body: opened },
        Event { id: Id::new(taken, [2; 10]), seq: 2, at: taken, body: reading },
    ]);
    let method = rules().method("M1").unwrap();
    let stage = method.stages.iter().find(|stage| stage.gate == Some(kind)).unwrap();
    let at = command::at(rules(), &state, job, &stage.id).unwrap();
    gate::judge(rules(), &state, &at, NOW, MORNING)
}

#[test]
fn a_rubber_pour_in_a_fit_room_passes_without_a_surface_reading() {
    assert_eq!(verdict(Gate::Rubber, 22.0, 50.0, None, 5.0), Some(GateVerdict::Pass));
}

#[test]
fn a_rubber_pour_is_warned_in_a_cool_room_and_stopped_in_a_cold_one() {
    let cool = verdict(Gate::Rubber, 14.0, 50.0, None, 5.0);
    assert!(matches!(cool, Some(GateVerdict::Warn(_))), "{cool:?}");
    let cold = verdict(Gate::Rubber, 8.0, 50.0, None, 5.0);
    assert!(matches!(cold, Some(GateVerdict::Stop(_))), "{cold:?}");
}

#[test]
fn resin_on_cold_clay_is_stopped_as_on_the_worked_morning() {
    // Trade reference 5.4: room 17, 58 %, clay 13.5: stop for gel coat.
    let cold = verdict(Gate::ResinFilm, 17.0, 58.0, Some(13.5), 5.0);
    assert!(matches!(cold, Some(GateVerdict::Stop(_))), "{cold:?}");
    // 15.5: amber, go.
    let warmed = verdict(Gate::ResinFilm, 17.0, 58.0, Some(15.5), 5.0);
    assert!(matches!(warmed, Some(GateVerdict::Warn(_))), "{warmed:?}");
}

#[test]
fn a_surface_near_the_dew_point_is_stopped() {
    // 20 degrees C and 85 %: dew point 17.4 (psychrolib), so 20 is under 3 K above it.
    let damp = verdict(Gate::ResinFilm, 20.0, 85.0, Some(20.0), 5.0);
    assert!(matches!(damp, Some(GateVerdict::Stop(_))), "{damp:?}");
}

#[test]
fn a_reading_older_than_half_an_hour_says_nothing() {
    for kind in [Gate::ResinFilm, Gate::Rubber] {
        let stale = verdict(kind, 20.0, 50.0, Some(20.0), 31.0);
        assert!(matches!(stale, Some(GateVerdict::Warn(_))), "{stale:?}");
    }
}
