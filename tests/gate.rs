//! The condition gates on the real methods. Limits: trade reference 3.10
//! (common practice and from memory): polyester stops under 15 degrees C and under 3 K
//! above the dew point, tin silicone warns under 18 degrees C and stops under 10.

use benchtide::engine::air::{GateReason, GateVerdict};
use benchtide::engine::quantity::{Celsius, Instant, Minutes, Percent};
use benchtide::engine::table::Table;
use benchtide::job::command;
use benchtide::job::event::{Body, Event, Id, Place};
use benchtide::job::gate;
use benchtide::job::outlook::Stated;
use benchtide::job::state::State;
use benchtide::trade::model::{Gate, Stage};
use benchtide::trade::rules;

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
        switches: Table::new(),
        materials: Table::new(),
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

/// The reasons before the laminate of a finial for a stated night, in a room
/// and on a form at 20 degrees C.
fn before_a_night(ahead: Vec<Stated>, morning: Instant) -> Vec<GateReason> {
    let job = Id::new(NOW, [1; 10]);
    let opened = Body::JobOpened {
        name: "Finial".into(),
        method: "M1".into(),
        switches: Table::new(),
        materials: Table::new(),
        place: Place::Bench,
        invented: false,
    };
    let reading = Body::ReadingTaken {
        place: Place::Bench,
        job: None,
        air: Some(Celsius(20.0)),
        humidity: Some(Percent(50.0)),
        surface: Some(Celsius(20.0)),
        water: None,
        taken: NOW,
    };
    let events = [opened, reading, Body::OutlookStated { place: Place::Bench, ahead }];
    let events = events.into_iter().zip(1u64..).map(|(body, seq)| {
        let id = if seq == 1 { job } else { Id::new(NOW, [seq as u8; 10]) };
        Event { id, seq, at: NOW, body }
    });
    let state = State::fold(&events.collect::<Vec<_>>());
    let method = rules().method("M1").unwrap();
    let laminates = |stage: &&Stage| {
        stage.gate == Some(Gate::ResinFilm) && stage.cures.iter().any(|c| c.profile == "laminate")
    };
    let stage = method.stages.iter().find(laminates).unwrap();
    let at = command::at(rules(), &state, job, &stage.id).unwrap();
    match gate::judge(rules(), &state, &at, NOW, morning).unwrap() {
        GateVerdict::Pass => Vec::new(),
        GateVerdict::Warn(reasons) => reasons,
        GateVerdict::Stop(reasons) => panic!("{reasons:?}"),
    }
}

#[test]
fn a_night_that_hardens_enough_passes_and_a_short_one_is_said_with_its_hours() {
    let hours = |h: f64| NOW + Minutes(60.0 * h);
    let stated =
        |at, temperature| vec![Stated { at, temperature: Celsius(temperature), constant: None }];
    // A part jacket takes 16 h at 20 degrees C; 20 h at that are enough, and a fifth over.
    assert_eq!(before_a_night(stated(hours(1.0), 20.0), hours(20.0)), []);
    let reasons = before_a_night(stated(hours(4.0), 14.0), hours(14.0));
    let [GateReason::ShortNight { hardened, needed }] = reasons[..] else { panic!("{reasons:?}") };
    assert_eq!(needed, Minutes(16.0 * 60.0));
    // Falling for 4 h from 20 to 14 (q10 2.0: mean speed 0.818), then 10 h at 0.660.
    let worked =
        60.0 * (4.0 * (1.0 - 0.5_f64.powf(0.6)) / (0.6 * 2.0_f64.ln()) + 10.0 * 0.5_f64.powf(0.6));
    assert!((hardened.value() - worked).abs() < 1.0, "{hardened:?} against {worked}");
    assert!(reasons[0].to_string().contains("of 16.0 hours"));
}

#[test]
fn a_fall_under_the_least_temperature_while_wet_is_said_before_the_start() {
    let soon = NOW + Minutes(30.0);
    let cold = vec![Stated { at: soon, temperature: Celsius(8.0), constant: None }];
    let reasons = before_a_night(cold, MORNING);
    assert!(
        matches!(reasons[..], [GateReason::ColdAhead { coming, least }] if coming == Celsius(8.0) && least == Celsius(15.0)),
        "{reasons:?}"
    );
    // After it has gelled and stands by itself the cold costs time only.
    let later =
        vec![Stated { at: NOW + Minutes(600.0), temperature: Celsius(8.0), constant: None }];
    let reasons = before_a_night(later, MORNING);
    assert!(matches!(reasons[..], [GateReason::ShortNight { .. }]), "{reasons:?}");
}
