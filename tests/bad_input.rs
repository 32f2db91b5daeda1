//! Bad input at the bench: what can't be is refused in words, and what came
//! into the journal all the same moves no time to where it can't be.
//!
//! Expected times are those of the worked day of the trade reference (5.4, an
//! invented scenario: internal consistency), or those of the same journal
//! without the bad entry: a definition of our own, that bad input must not count.

use benchtide::engine::air::{GateReason, GateVerdict};
use benchtide::engine::quantity::{Celsius, Instant, Minutes, Percent, Span};
use benchtide::engine::table::Table;
use benchtide::job::command::{self, NewReading, Refusal, Start};
use benchtide::job::event::{Body, Event, Id, Material, Place};
use benchtide::job::live::{self, LiveCure, NoTime, WindowState};
use benchtide::job::state::State;
use benchtide::job::{alarm, gate};
use benchtide::trade::model::Gate;
use benchtide::trade::rules;

const NOW: Instant = Instant(1_700_000_000_000);

fn ago(minutes: f64) -> Instant {
    NOW - Minutes(minutes)
}

/// The journal of a shop.
#[derive(Clone, Default)]
struct Shop {
    events: Vec<Event>,
}

impl Shop {
    /// Writes a line as if it had come from a backup, past all commands.
    fn add(&mut self, at: Instant, body: Body) -> Id {
        let number = self.events.len() as u64 + 1;
        let mut random = [0; 10];
        random[..8].copy_from_slice(&number.to_be_bytes());
        let id = Id::new(at, random);
        self.events.push(Event { id, seq: number, at, body });
        id
    }

    fn air(&mut self, taken: Instant, air: f64) -> Id {
        let body = Body::ReadingTaken {
            place: Place::Bench,
            job: None,
            air: Some(Celsius(air)),
            humidity: Some(Percent(58.0)),
            surface: None,
            water: None,
            taken,
        };
        self.add(taken, body)
    }

    fn start(&mut self, started: Instant, family: &str, profile: &str) -> Id {
        let start = start(started, family, profile);
        let body = command::start(rules(), &self.state(), start, started).unwrap();
        self.add(started, body)
    }

    fn state(&self) -> State {
        State::fold(&self.events)
    }

    fn cure(&self, id: Id, now: Instant) -> LiveCure {
        let (cures, without) = live::all(rules(), &self.state(), now);
        assert!(without.is_empty(), "{without:?}");
        cures.into_iter().find(|cure| cure.id == id).unwrap()
    }
}

fn start(started: Instant, family: &str, profile: &str) -> Start {
    Start {
        of: None,
        title: family.into(),
        material: Material::Family(family.into()),
        profile: profile.into(),
        catalyst: None,
        mass: None,
        batch: None,
        started,
        place: Place::Bench,
        reason: None,
    }
}

/// What a cure's windows say, without what only tells where it comes from.
type Told = (Option<Span<Instant>>, Option<Span<Instant>>, WindowState, Option<NoTime>);

fn told(cure: &LiveCure) -> Vec<Told> {
    cure.windows.iter().map(|w| (w.opens, w.closes, w.state, w.no_time)).collect()
}

fn opens(cure: &LiveCure) -> Span<Instant> {
    cure.windows[0].opens.unwrap_or_else(|| panic!("{cure:?}"))
}

fn refused(new: NewReading, taken: Instant) -> Refusal {
    command::reading(new, taken, NOW).unwrap_err()
}

/// A job of a finial.
fn finial(shop: &mut Shop) -> Id {
    let state = State::default();
    let body = command::open_job(rules(), &state, "Finial", "M1", Table::new(), Table::new());
    shop.add(ago(2000.0), body.unwrap())
}

#[test]
fn a_reading_from_the_future_is_refused() {
    let new = NewReading { air: Some(Celsius(17.0)), ..NewReading::default() };
    assert_eq!(refused(new, NOW + Minutes(1.0)), Refusal::InFuture);
    assert_eq!(refused(new, Instant(i64::MAX)), Refusal::InFuture);
    assert_eq!(
        Refusal::InFuture.to_string(),
        "That time has not come yet. Enter when it really was."
    );
    assert!(command::reading(new, NOW, NOW).is_ok());
}

#[test]
fn temperatures_that_no_workshop_has_are_refused() {
    for t in [400.0, 60.1, -20.1, -300.0, f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
        let t = Some(Celsius(t));
        for new in [
            NewReading { air: t, ..NewReading::default() },
            NewReading { surface: t, ..NewReading::default() },
            NewReading { water: t, ..NewReading::default() },
            NewReading { air: Some(Celsius(17.0)), surface: t, ..NewReading::default() },
        ] {
            assert!(matches!(refused(new, NOW), Refusal::TemperatureOutside(_)), "{new:?}");
        }
    }
    assert_eq!(
        Refusal::TemperatureOutside(Celsius(400.0)).to_string(),
        "No workshop is at that temperature. Enter between -20 and 60 °C."
    );
}

#[test]
fn humidities_that_no_air_has_are_refused() {
    for humidity in [0.0, 0.9, 100.1, 130.0, -5.0, f64::INFINITY, f64::NAN] {
        let new = NewReading {
            air: Some(Celsius(17.0)),
            humidity: Some(Percent(humidity)),
            ..NewReading::default()
        };
        assert!(matches!(refused(new, NOW), Refusal::HumidityOutside(_)), "{humidity}");
    }
    assert_eq!(
        Refusal::HumidityOutside(Percent(130.0)).to_string(),
        "Humidity lies between 1 and 100 %. Read the dial again."
    );
}

#[test]
fn a_tick_takes_no_conditions_that_can_not_be() {
    let mut shop = Shop::default();
    let job = finial(&mut shop);
    let state = shop.state();
    let (stage, check) = conditions();
    let at = command::at(rules(), &state, job, stage).unwrap();
    let tick = |air: f64, humidity: f64| {
        let values = [("surface-temp", 16.0), ("room-temp", air), ("humidity", humidity)];
        let values = values.map(|(id, value)| (id.to_owned(), value));
        command::tick(&at, check, Table::from(values))
    };
    assert!(tick(17.0, 58.0).is_ok());
    for (air, humidity) in
        [(400.0, 58.0), (f64::NAN, 58.0), (17.0, 130.0), (17.0, -1.0), (17.0, f64::NAN)]
    {
        let refusal = tick(air, humidity).unwrap_err();
        assert!(matches!(refusal, Refusal::ValueOutside { .. }), "{air} {humidity}");
        assert!(refusal.to_string().contains("can't be right"), "{refusal}");
    }
}

/// A stage and its check that asks for surface, room and humidity.
fn conditions() -> (&'static str, &'static str) {
    let stages = &rules().method("M1").unwrap().stages;
    let mut checks = stages.iter().flat_map(|s| s.checks.iter().map(move |check| (s, check)));
    let (stage, check) =
        checks.find(|(_, check)| check.ask.iter().any(|id| id == "humidity")).unwrap();
    (&stage.id, &check.id)
}

#[test]
fn a_clock_can_not_be_started_before_its_time_has_come() {
    let later = start(NOW + Minutes(1.0), "SI-TIN", "coat");
    let found = command::start(rules(), &State::default(), later, NOW);
    assert_eq!(found, Err(Refusal::InFuture));
}

#[test]
fn a_reading_entered_late_counts_from_when_it_was_taken() {
    let (mut inorder, mut late) = (Shop::default(), Shop::default());
    inorder.air(ago(120.0), 24.0);
    inorder.air(ago(60.0), 14.0);
    late.air(ago(60.0), 14.0);
    let body = command::reading(
        NewReading {
            air: Some(Celsius(24.0)),
            humidity: Some(Percent(58.0)),
            ..NewReading::default()
        },
        ago(120.0),
        NOW,
    );
    late.add(NOW, body.unwrap());
    let [inorder, late] = [inorder, late].map(|mut shop| {
        let cure = shop.start(ago(100.0), "SI-TIN", "coat");
        told(&shop.cure(cure, NOW))
    });
    assert_eq!(inorder, late);
}

#[test]
fn of_two_readings_at_one_instant_the_later_entry_corrects_the_earlier() {
    let (mut corrected, mut right) = (Shop::default(), Shop::default());
    corrected.air(ago(90.0), 27.0);
    corrected.air(ago(90.0), 17.0);
    right.air(ago(90.0), 17.0);
    let [corrected, right] = [corrected, right].map(|mut shop| {
        let cure = shop.start(ago(85.0), "SI-TIN", "coat");
        shop.cure(cure, NOW)
    });
    assert_eq!(told(&corrected), told(&right));
    assert_eq!(corrected.temperature, Celsius(17.0));
    // The worked day: 85 minutes at 17 °C.
    let likely = opens(&right).likely.since(ago(85.0)).value();
    assert!((likely - 85.0).abs() < 1.0, "{likely}");
}

#[test]
fn a_clock_set_back_behind_a_start_waits_and_rings_for_nothing() {
    let mut shop = Shop::default();
    shop.air(ago(10.0), 17.0);
    let cure = shop.start(ago(5.0), "SI-TIN", "coat");
    let then = shop.cure(cure, NOW);
    for back in [6.0, 60.0, 60.0 * 24.0, 60.0 * 24.0 * 400.0] {
        let now = ago(back);
        let found = shop.cure(cure, now);
        assert_eq!(found.windows[0].state, WindowState::Wait, "{back}");
        assert_eq!(found.windows[0].opens, then.windows[0].opens, "{back}");
        assert_eq!(alarm::ringing(rules(), &shop.state(), &[found], now), [], "{back}");
    }
}

/// Air readings of 35 days, one a minute, with all the ups and downs of a room.
fn five_weeks() -> Shop {
    let mut shop = Shop::default();
    for minute in 0..50_000 {
        let air = 17.0 + f64::from(minute * 37 % 101 - 50) / 25.0;
        shop.air(ago(50_000.0 - f64::from(minute)), air);
    }
    shop
}

#[test]
fn fifty_thousand_readings_give_the_times_of_the_last_of_them() {
    let mut all = five_weeks();
    // Those of the last two hours, the clocks being younger.
    let mut few = Shop { events: all.events.split_off(50_000 - 120) };
    all.events.extend(few.events.iter().cloned());
    for shop in [&mut all, &mut few] {
        for cure in 0..30 {
            let profile = ["coat", "cast", "pot"][cure % 3];
            shop.start(ago(3.0 * cure as f64 + 1.0), "SI-TIN", profile);
        }
    }
    let [all, few] = [all, few].map(|shop| live::all(rules(), &shop.state(), NOW).0);
    assert_eq!((all.len(), few.len()), (30, 30));
    let sorted = |cures: &[LiveCure]| {
        let mut told: Vec<_> = cures.iter().map(|cure| (cure.started, told(cure))).collect();
        told.sort_by_key(|(started, _)| *started);
        told
    };
    assert_eq!(sorted(&all), sorted(&few));
}

#[test]
fn readings_at_the_ends_of_all_time_change_nothing() {
    let mut right = Shop::default();
    right.air(ago(90.0), 17.0);
    for far in [i64::MIN, i64::MIN + 1, -62_000_000_000_000] {
        let mut shop = Shop::default();
        shop.air(Instant(far), 29.0);
        shop.events.extend(right.events.iter().cloned());
        let [found, wanted] = [shop, right.clone()].map(|mut shop| {
            let cure = shop.start(ago(85.0), "SI-TIN", "coat");
            told(&shop.cure(cure, NOW))
        });
        assert_eq!(found, wanted, "{far}");
    }
}

// ---- A clock that ran ahead, and was set back ----

/// The verdict before a resin film on a finial, in a room at 17 °C with 58 %,
/// after readings of its surface: 15.5 °C is let through with care, 12 °C is
/// stopped (trade reference 3.10 and 5.4).
fn gated(readings: &[(Instant, f64)]) -> GateVerdict {
    let mut shop = Shop::default();
    let job = finial(&mut shop);
    for &(taken, surface) in readings {
        let body = Body::ReadingTaken {
            place: Place::Bench,
            job: None,
            air: Some(Celsius(17.0)),
            humidity: Some(Percent(58.0)),
            surface: Some(Celsius(surface)),
            water: None,
            taken,
        };
        shop.add(taken, body);
    }
    let method = rules().method("M1").unwrap();
    let stage = method.stages.iter().find(|s| s.gate == Some(Gate::ResinFilm)).unwrap();
    let state = shop.state();
    let at = command::at(rules(), &state, job, &stage.id).unwrap();
    gate::judge(rules(), &state, &at, NOW, NOW + Minutes(900.0)).unwrap()
}

#[test]
fn of_two_conditions_at_one_instant_a_gate_goes_by_the_later_entry() {
    let cold_then_fit = gated(&[(ago(5.0), 12.0), (ago(5.0), 15.5)]);
    assert!(matches!(cold_then_fit, GateVerdict::Warn(_)), "{cold_then_fit:?}");
    let fit_then_cold = gated(&[(ago(5.0), 15.5), (ago(5.0), 12.0)]);
    assert!(matches!(fit_then_cold, GateVerdict::Stop(_)), "{fit_then_cold:?}");
}

#[test]
fn a_gate_takes_no_reading_that_lies_ahead_for_a_fresh_one() {
    // Taken before the clock was set back: nobody knows how long ago.
    for ahead in [5.0, 60.0, 60.0 * 24.0] {
        let found = gated(&[(NOW + Minutes(ahead), 15.5)]);
        assert_eq!(found, GateVerdict::Warn(vec![GateReason::NoFreshReading]), "{ahead}");
    }
}

#[test]
fn a_gate_goes_by_the_newest_reading_that_does_not_lie_ahead() {
    let cold_now = [(NOW + Minutes(60.0), 15.5), (ago(5.0), 12.0)];
    let found = gated(&cold_now);
    assert!(matches!(found, GateVerdict::Stop(_)), "{found:?}");
    let fit_now = [(NOW + Minutes(60.0), 12.0), (ago(5.0), 15.5)];
    let found = gated(&fit_now);
    assert!(matches!(found, GateVerdict::Warn(_)), "{found:?}");
}

#[test]
fn a_reading_after_the_clock_was_set_back_overrules_those_that_lie_ahead() {
    let (mut set_back, mut right) = (Shop::default(), Shop::default());
    set_back.air(NOW + Minutes(60.0), 29.0);
    for shop in [&mut set_back, &mut right] {
        shop.air(ago(10.0), 17.0);
    }
    let [set_back, right] = [set_back, right].map(|mut shop| {
        let cure = shop.start(ago(5.0), "SI-TIN", "coat");
        told(&shop.cure(cure, NOW))
    });
    assert_eq!(set_back, right);
}

// ---- What a backup of another hand may bring, past all commands ----

#[test]
fn a_temperature_that_can_not_be_leaves_the_other_readings_standing() {
    for bad in [400.0, -300.0, 81.0] {
        let (mut spoilt, mut right) = (Shop::default(), Shop::default());
        for shop in [&mut spoilt, &mut right] {
            shop.air(ago(90.0), 14.0);
        }
        spoilt.air(ago(60.0), bad);
        let [spoilt, right] = [spoilt, right].map(|mut shop| {
            let cure = shop.start(ago(85.0), "SI-TIN", "coat");
            let cure = shop.cure(cure, NOW);
            (told(&cure), cure.temperature, cure.basis)
        });
        assert_eq!(spoilt, right, "{bad}");
    }
}

#[test]
fn a_humidity_that_can_not_be_is_as_if_it_had_not_been_read() {
    for bad in [0.0, 130.0, -5.0] {
        let (mut spoilt, mut right) = (Shop::default(), Shop::default());
        for (shop, humidity) in [(&mut spoilt, Some(Percent(bad))), (&mut right, None)] {
            shop.air(ago(90.0), 22.0);
            let body = Body::ReadingTaken {
                place: Place::Bench,
                job: None,
                air: Some(Celsius(18.0)),
                humidity,
                surface: None,
                water: None,
                taken: ago(60.0),
            };
            shop.add(ago(60.0), body);
        }
        let [spoilt, right] = [spoilt, right].map(|mut shop| {
            let cure = shop.start(ago(85.0), "UP-GEL", "film");
            let cure = shop.cure(cure, NOW);
            (told(&cure), cure.temperature, cure.basis)
        });
        assert_eq!(spoilt, right, "{bad}");
    }
}

#[test]
fn a_clock_started_at_the_ends_of_all_time_does_not_bring_the_app_down() {
    for far in [i64::MIN, i64::MAX] {
        let mut shop = Shop::default();
        shop.air(ago(10.0), 17.0);
        let cure = shop.start(ago(5.0), "SI-TIN", "coat");
        if let Some(Event { body: Body::CureStarted { started, .. }, .. }) = shop.events.last_mut()
        {
            *started = Instant(far);
        }
        shop.cure(cure, NOW);
    }
}
