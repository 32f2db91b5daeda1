//! What the shop tells the clocks besides readings: outlooks, places, height, and
//! what was learned of a tin. Rules of the trade reference, sections 3.1 and
//! 5.4 (an invented day: internal consistency); air pressure by ISO 2533.

use benchtide::engine::quantity::{Celsius, Instant, Kilopascals, Metres, Minutes, Percent};
use benchtide::job::card::TinCard;
use benchtide::job::course::course;
use benchtide::job::event::{Body, Finding, Id, Material, Place};
use benchtide::job::learning::{self, Standing};
use benchtide::job::live::{self, NoTime, Urgency, WindowState};
use benchtide::job::outlook::{Stated, shown_constant, state_outlook};
use benchtide::job::settings::Settings;
use benchtide::job::temperature::Basis;
use benchtide::job::{changes, command};
use benchtide::trade::rules;

mod day;

use day::{Day, at};

fn opens(day: &Day, cure: Id, window: &str, clock: &str) -> Option<Instant> {
    let cure = day.cure(cure, clock);
    cure.windows.iter().find(|w| w.window.id == window)?.open_from
}

fn gel_tin(day: &mut Day) -> Id {
    let card = TinCard {
        name: "White gel".into(),
        family: "UP-GEL".into(),
        batch: Some("0412".into()),
        follows: None,
        times: vec![],
        ratio: None,
        tolerance: None,
        densities: None,
    };
    day.add(at("07:00"), Body::TinAdded { tin: card })
}

#[test]
fn a_stated_cold_night_moves_what_runs_at_once_and_says_so() {
    let mut day = Day::new();
    day.reading("16:00", Some(17.0), Some(17.0));
    let laminate = day.start("16:00", "UP-LAM", "laminate", Some(2.0), None);
    let before = day.bench("16:30");
    let held = opens(&day, laminate, "part", "16:30").unwrap();
    let body = state_outlook(
        &day.state(),
        Place::Bench,
        vec![Stated { at: at("30:00"), temperature: Celsius(9.0), constant: None }],
        at("16:30"),
    );
    day.add(at("16:30"), body.unwrap());
    let cold = opens(&day, laminate, "part", "16:30");
    assert!(cold.is_none_or(|cold| cold.since(held) > Minutes(120.0)), "{cold:?} against {held:?}");
    let moved = changes::changes(&before, &day.bench("16:30"), "outlook");
    // The trim comes before the night has done much: the first that moved is named.
    let [moved] = &moved[..] else { panic!("{moved:?}") };
    assert_eq!(moved.why, "outlook");
    assert_ne!(moved.window, "Trim");
    let back = state_outlook(&day.state(), Place::Bench, vec![], at("16:40")).unwrap();
    day.add(at("16:40"), back);
    assert_eq!(opens(&day, laminate, "part", "16:40"), Some(held));
}

#[test]
fn hardening_that_a_cold_night_stops_will_not_get_there() {
    let mut day = Day::new();
    day.reading("16:00", Some(17.0), Some(17.0));
    let laminate = day.start("16:00", "UP-LAM", "laminate", Some(2.0), None);
    // Under 10 degrees C nothing counts once firm (T_min_harden, trade reference 3.1).
    let night = Stated { at: at("20:00"), temperature: Celsius(6.0), constant: None };
    day.add(
        at("16:30"),
        state_outlook(&day.state(), Place::Bench, vec![night], at("16:30")).unwrap(),
    );
    let cure = day.cure(laminate, "21:00");
    let demould = cure.windows.iter().find(|w| w.window.id == "part").unwrap();
    assert_eq!(demould.no_time, Some(NoTime::Never));
    assert_eq!(demould.state, WindowState::NoTime);
    // The next layer may go on all the longer: nothing closes that window now.
    let day_ahead = day.cure(laminate, "23:00");
    let next = day_ahead.windows.iter().find(|w| w.window.id == "overcoat").unwrap();
    assert_eq!((next.state, next.no_time), (WindowState::Best, None));
    // Before all that, the trim stays what matters, and nothing is called urgent.
    let early = day.cure(laminate, "16:05");
    assert_eq!(
        early.window().map(|w| (w.window.id.as_str(), w.state)),
        Some(("trim", WindowState::Wait))
    );
    assert_eq!(early.urgency, Urgency::Information);
    // With the heater on again at eight it gets there.
    let morning =
        Stated { at: at("32:00"), temperature: Celsius(18.0), constant: Some(Minutes(60.0)) };
    day.add(
        at("21:00"),
        state_outlook(&day.state(), Place::Bench, vec![night, morning], at("19:59")).unwrap(),
    );
    assert!(opens(&day, laminate, "part", "21:00").is_some());
}

#[test]
fn a_heater_that_goes_off_cools_the_room_by_the_time_constant_that_it_showed() {
    let mut day = Day::new();
    day.reading("17:00", Some(18.0), None);
    let off = Stated { at: at("17:30"), temperature: Celsius(2.0), constant: Some(Minutes(300.0)) };
    day.add(
        at("17:00"),
        state_outlook(&day.state(), Place::Bench, vec![off], at("17:00")).unwrap(),
    );
    // The room really has 240 minutes: T = 2 + 16 exp(-t/240).
    for (clock, minutes) in [("18:30", 60.0), ("20:30", 180.0), ("22:30", 300.0)] {
        day.reading(clock, Some(2.0 + 16.0 * (-minutes / 240.0_f64).exp()), None);
    }
    let fit = shown_constant(&day.state(), Place::Bench).unwrap();
    assert!((fit.constant.value() - 240.0).abs() < 1.0, "{fit:?}");
}

#[test]
fn a_reading_in_the_morning_does_not_undo_the_night_before_it() {
    let mut day = Day::new();
    day.reading("15:00", Some(20.0), Some(20.0));
    let laminate = day.start("15:00", "UP-LAM", "laminate", Some(2.0), None);
    let off = Stated { at: at("17:30"), temperature: Celsius(2.0), constant: Some(Minutes(90.0)) };
    let on = Stated { at: at("32:00"), temperature: Celsius(20.0), constant: Some(Minutes(30.0)) };
    let body = state_outlook(&day.state(), Place::Bench, vec![off, on], at("15:00")).unwrap();
    day.add(at("15:00"), body);
    let before = opens(&day, laminate, "part", "34:00").unwrap();
    day.reading("34:00", Some(20.0), Some(20.0));
    let after = opens(&day, laminate, "part", "34:00").unwrap();
    assert!(after.since(before).value().abs() < 15.0, "{after:?} against {before:?}");
    // Had the night been like the day, it would have been over long ago.
    assert!(after > at("34:00"));
}

#[test]
fn outlooks_that_cant_be_are_refused_in_words() {
    let now = at("12:00");
    let stated = |at, temperature, constant| {
        vec![Stated { at, temperature: Celsius(temperature), constant }]
    };
    for (ahead, word) in [
        (stated(at("18:00"), 400.0, None), "workshop"),
        (stated(at("11:00"), 12.0, None), "from now on"),
        (stated(now + Minutes(60.0 * 24.0 * 15.0), 12.0, None), "14 days"),
        (stated(at("18:00"), 4.0, Some(Minutes(0.0))), "cool"),
        (stated(at("18:00"), 4.0, Some(Minutes(f64::NAN))), "cool"),
        (stated(at("18:00"), f64::NAN, None), "workshop"),
    ] {
        let refusal = state_outlook(&Default::default(), Place::Bench, ahead, now).unwrap_err();
        assert!(refusal.to_string().contains(word), "{refusal}");
    }
}

#[test]
fn a_piece_in_the_warm_cabinet_goes_by_the_cabinet_from_then_on() {
    let mut day = Day::new();
    day.reading("08:00", Some(17.0), Some(17.0));
    let cabinet = Body::ReadingTaken {
        place: Place::Cabinet,
        job: None,
        air: Some(Celsius(37.0)),
        humidity: None,
        surface: Some(Celsius(30.0)),
        water: None,
        taken: at("08:00"),
    };
    day.add(at("08:00"), cabinet);
    let laminate = day.start("08:00", "UP-LAM", "laminate", Some(2.0), None);
    let on_the_bench = opens(&day, laminate, "part", "10:00").unwrap();
    let state = day.state();
    let body = command::carry(&state, laminate, Place::Cabinet, at("10:00")).unwrap();
    day.add(at("10:00"), body);
    let in_the_cabinet = opens(&day, laminate, "part", "10:00").unwrap();
    // Two hours at 17 degrees C (q10 2.0) count 1.62 of 16; the rest runs twice as
    // fast at 30 degrees C as at the card's 20.
    let left = 16.0 - 2.0 * 2.0_f64.powf(-0.3);
    let expected = at("10:00") + Minutes(60.0 * left / 2.0);
    let cure = day.cure(laminate, "10:00");
    let part = cure.windows.iter().find(|w| w.window.id == "part").unwrap();
    assert!(part.opens.unwrap().likely.since(expected).value().abs() < 0.1);
    assert!(on_the_bench.since(in_the_cabinet) > Minutes(8.0 * 60.0));
    assert!(command::carry(&state, laminate, Place::Outside, at("10:00")).is_err());
}

#[test]
fn what_is_mixed_with_water_follows_room_and_water_as_published() {
    // P7 and P8 (as cited in the trade reference 3.8): everything 8 degrees warmer
    // sets 1.73^0.8 times faster; the water alone acts as q10 1.23.
    let set = |air: f64, water: f64| {
        let mut day = Day::new();
        let reading = Body::ReadingTaken {
            place: Place::Bench,
            job: None,
            air: Some(Celsius(air)),
            humidity: None,
            surface: None,
            water: Some(Celsius(water)),
            taken: at("09:00"),
        };
        day.add(at("09:00"), reading);
        let cure = day.start("09:00", "ALG-R", "mix", None, None);
        let cure = day.cure(cure, "09:00");
        let window = cure.windows.iter().find(|w| w.window.id == "set").unwrap();
        window.opens.unwrap().likely.since(at("09:00")).value()
    };
    let cold = set(23.0, 23.0);
    assert!((cold * 60.0 - 149.6).abs() < 1.0, "{cold}");
    assert!((cold / set(27.0, 27.0) - 1.73_f64.powf(0.4)).abs() < 0.01);
    assert!((cold / set(23.0, 18.0) - 1.23_f64.powf(-0.5)).abs() < 0.02);
}

#[test]
fn thin_air_lets_an_unmeasured_surface_grow_colder() {
    // ISO 2533: 1000 m 89.876 kPa, 2000 m 79.501 kPa (from memory).
    let pressure = |height| Settings { altitude: Metres(height), ..Settings::default() }.pressure();
    assert!((pressure(1000.0) - Kilopascals(89.876)).value().abs() < 0.01);
    assert!((pressure(2000.0) - Kilopascals(79.501)).value().abs() < 0.01);
    let surface = |height| {
        let mut day = Day::new();
        let settings = Settings { altitude: Metres(height), ..Settings::default() };
        day.add(at("08:00"), Body::SettingsChanged { settings });
        day.reading("08:30", Some(20.0), None);
        let gel = day.start("09:00", "UP-GEL", "film", Some(2.0), None);
        let cure = day.cure(gel, "09:00");
        assert_eq!(cure.basis, Basis::SurfaceFromAir);
        cure.temperature
    };
    assert!(surface(2000.0) < surface(0.0));
    assert!(command::altitude(Metres(9000.0)).is_err());
}

#[test]
fn as_an_unmeasured_surface_cools_with_the_room_it_comes_nearer_to_the_air() {
    let mut day = Day::new();
    day.reading("16:00", Some(20.0), None);
    let gel = day.start("16:00", "UP-GEL", "film", Some(2.0), None);
    let night = Stated { at: at("19:00"), temperature: Celsius(12.0), constant: None };
    day.add(
        at("16:00"),
        state_outlook(&day.state(), Place::Bench, vec![night], at("16:00")).unwrap(),
    );
    let width = |clock: &str| {
        let cure = day.cure(gel, clock);
        // 58 % at 20 degrees C is 95 % at 12: wet and dry bulb nearly meet.
        cure.temperature.value()
    };
    assert!((11.5..12.0).contains(&width("19:00")), "{}", width("19:00"));
    assert!((16.5..18.5).contains(&width("16:00")), "{}", width("16:00"));
}

/// The worked day's gel coat, three times over: each 1.27 times slower than its card.
fn three_slow_gels(day: &mut Day, tin: Id) -> Vec<Id> {
    let mut findings = Vec::new();
    for hour in [8, 11, 14] {
        let start = format!("{hour}:00");
        day.reading(&start, Some(20.0), Some(20.0));
        let cure = day.start_of(&start, Material::Tin(tin), "film", Some(2.0), None);
        // 75 min x 1.27 = 95 min: not yet at 93, ready at 97.
        let minute = |m: i64| format!("{}:{:02}", hour + m / 60, m % 60);
        day.observe(&minute(93), cure, "overcoat", Finding::NotYet { again: Minutes(4.0) });
        day.observe(&minute(97), cure, "overcoat", Finding::Ready);
        findings.push(day.events.last().unwrap().id);
    }
    findings
}

#[test]
fn three_findings_teach_that_a_tin_is_slow_and_take_effect_only_when_accepted() {
    let mut day = Day::new();
    let tin = gel_tin(&mut day);
    three_slow_gels(&mut day, tin);
    let study = learning::study(rules(), &day.state(), tin).unwrap();
    assert_eq!(study.counted, 3);
    let slowness = study.learnt.belief().slowness();
    assert!((1.18..1.27).contains(&slowness.likely), "{slowness:?}");
    assert!(slowness.low < 1.27 && slowness.high > 1.27, "{slowness:?}");
    assert!(study.words().contains("slower than its card"), "{}", study.words());

    day.reading("18:00", Some(20.0), Some(20.0));
    let next = day.start_of("18:00", Material::Tin(tin), "film", Some(2.0), None);
    let likely = |day: &Day| {
        let cure = day.cure(next, "18:01");
        let window = cure.windows.iter().find(|w| w.window.id == "overcoat").unwrap().clone();
        let span = window.opens.unwrap();
        (span.likely.since(at("18:00")).value(), span.high.since(span.low).value())
    };
    let (card, wide) = likely(&day);
    assert!((card - 75.0).abs() < 0.1);
    let accepted = learning::accept(rules(), &day.state(), tin).unwrap();
    day.add(at("18:01"), accepted);
    let (learned, narrow) = likely(&day);
    assert!((learned - 75.0 * slowness.likely).abs() < 1.0, "{learned}");
    assert!(narrow < 0.8 * wide, "{narrow} of {wide} min");
    assert!(day.cure(next, "18:01").origin.to_string().contains("learned from 3 findings"));
    assert!(!study.is_news(&day.state().tins[&tin]));

    day.add(at("18:02"), Body::LearningReset { tin });
    assert!((likely(&day).0 - 75.0).abs() < 0.1);
    assert_eq!(learning::study(rules(), &day.state(), tin).unwrap().evidence.len(), 0);
    assert!(learning::accept(rules(), &day.state(), tin).is_err());
}

#[test]
fn a_new_batch_starts_from_what_was_learned_with_a_wider_margin() {
    let mut day = Day::new();
    let tin = gel_tin(&mut day);
    three_slow_gels(&mut day, tin);
    day.add(at("18:00"), learning::accept(rules(), &day.state(), tin).unwrap());
    let (body, inherited) = learning::new_batch(rules(), &day.state(), tin, "0519").unwrap();
    let old = day.state().tins[&tin].learning.clone().unwrap().belief.slowness();
    let new = inherited.unwrap().belief.slowness();
    assert!((new.likely - old.likely).abs() < 1e-9);
    assert!(new.high / new.low > old.high / old.low);
    let Body::TinAdded { tin: card } = body else { panic!("{body:?}") };
    assert_eq!((card.batch.as_deref(), card.follows), (Some("0519"), Some(tin)));
}

#[test]
fn a_forgotten_catalyst_is_offered_for_exclusion_and_never_left_out_silently() {
    let mut day = Day::new();
    let tin = gel_tin(&mut day);
    three_slow_gels(&mut day, tin);
    day.reading("17:00", Some(20.0), Some(20.0));
    let odd = day.start_of("17:00", Material::Tin(tin), "film", Some(2.0), None);
    day.observe("21:00", odd, "overcoat", Finding::NotYet { again: Minutes(10.0) });
    day.observe("21:20", odd, "overcoat", Finding::Ready);
    let finding = day.events.last().unwrap().id;
    let before = learning::study(rules(), &day.state(), tin).unwrap();
    let evidence = before.evidence.iter().find(|e| e.finding == finding).unwrap();
    assert_eq!(evidence.standing, Standing::Counts);
    let why = evidence.outlier.as_ref().unwrap().to_string();
    assert!(why.contains("catalyst") && why.contains("you decide"), "{why}");
    day.add(at("21:30"), Body::FindingJudged { finding, counts: false });
    let after = learning::study(rules(), &day.state(), tin).unwrap();
    assert_eq!(after.counted, 3);
    let without = after.learnt.belief().slowness().likely;
    assert!(without < before.learnt.belief().slowness().likely);
    let left_out = after.evidence.iter().find(|e| e.finding == finding).unwrap();
    assert_eq!(left_out.standing, Standing::LeftOut);
}

#[test]
fn ready_at_the_first_look_counts_only_when_somebody_says_that_it_had_just_come() {
    let mut day = Day::new();
    let tin = gel_tin(&mut day);
    day.reading("08:00", Some(20.0), Some(20.0));
    let cure = day.start_of("08:00", Material::Tin(tin), "film", Some(2.0), None);
    day.observe("10:30", cure, "overcoat", Finding::Ready);
    let finding = day.events.last().unwrap().id;
    let study = learning::study(rules(), &day.state(), tin).unwrap();
    assert_eq!((study.evidence[0].standing, study.counted), (Standing::FirstLook, 0));
    day.add(at("10:31"), Body::FindingJudged { finding, counts: true });
    assert_eq!(learning::study(rules(), &day.state(), tin).unwrap().counted, 1);
}

#[test]
fn the_course_of_a_cure_rises_to_its_window() {
    let mut day = Day::new();
    day.reading("09:15", Some(17.0), Some(15.5));
    let gel = day.start("09:20", "UP-GEL", "film", Some(2.4), None);
    let state = day.state();
    let course = course(rules(), &state, &state.cures[&gel], at("09:40")).unwrap();
    let opens = course.cure.windows[0].opens.unwrap();
    assert!(course.until > opens.high);
    assert!(course.share.windows(2).all(|two| two[0].1.likely <= two[1].1.likely));
    let before = course.share.iter().rev().find(|(at, _)| *at <= opens.likely).unwrap();
    let after = course.share.iter().find(|(at, _)| *at >= opens.likely).unwrap();
    assert!(before.1.likely <= 1.0 && after.1.likely == 1.0, "{before:?} {after:?}");
    assert!(course.share.iter().all(|(_, s)| s.low <= s.likely && s.likely <= s.high));
    assert_eq!(live::solve(rules(), &state, &state.cures[&gel], at("09:40")).unwrap(), course.cure);
    assert_eq!(course.least, Celsius(15.0));
    assert_eq!(Percent(2.4), state.cures[&gel].catalyst.unwrap());
}
