//! The Bench's clocks against the worked day of the trade reference
//! (section 5.4, an invented scenario: internal consistency) and the rules of
//! its sections 3.1, 5.1 and 8.

use benchtide::engine::quantity::{Celsius, Instant, Minutes};
use benchtide::job::alarm;
use benchtide::job::event::{Body, Finding, Id, Place};
use benchtide::job::live::{self, Urgency, WindowState};
use benchtide::trade::rules;

mod day;

use day::{Day, at};

fn minute(instant: Instant) -> i64 {
    instant.since(at("00:00")).value().round() as i64
}

fn clock_of(instant: Instant) -> String {
    format!("{:02}:{:02}", minute(instant) / 60, minute(instant) % 60)
}

#[test]
fn the_ammonites_second_coat_opens_as_in_the_worked_day() {
    let mut day = Day::new();
    day.reading("08:20", Some(17.0), None);
    let coat = day.start("08:55", "SI-TIN", "coat", None, None);
    let cure = day.cure(coat, "09:00");
    let recoat = cure.windows.iter().find(|w| w.window.id == "recoat").unwrap();
    assert_eq!(clock_of(recoat.opens.unwrap().likely), "10:20");
    assert_eq!(clock_of(recoat.closes.unwrap().likely), "14:36");
    assert_eq!(recoat.ideal.map(clock_of).as_deref(), Some("11:03"));
}

#[test]
fn the_finials_gel_coat_opens_as_in_the_worked_day() {
    let mut day = Day::new();
    day.reading("09:15", Some(17.0), Some(15.5));
    let gel = day.start("09:20", "UP-GEL", "film", Some(2.4), None);
    let cure = day.cure(gel, "09:30");
    let overcoat = cure.windows.iter().find(|w| w.window.id == "overcoat").unwrap();
    // 75 min x 2^(4.5/10) x 2.0/2.4 = 85.4 min; its cautious end is 30 % longer.
    assert_eq!(clock_of(overcoat.opens.unwrap().likely), "10:45");
    assert_eq!(clock_of(overcoat.open_from.unwrap()), "11:11");
}

#[test]
fn a_cooling_shop_lengthens_a_clock_by_itself_and_a_warming_one_shortens_it() {
    let mut day = Day::new();
    day.reading("08:00", Some(24.0), None);
    let pot = day.start("08:00", "SI-TIN", "pot", None, None);
    let close = |day: &Day| day.cure(pot, "08:10").windows[0].closes.unwrap().likely;
    let warm = close(&day);
    day.reading("08:10", Some(14.0), None);
    let cold = close(&day);
    assert!(cold.since(warm) > Minutes(5.0), "the reading of 14 °C moved it by too little");
    day.reading("08:10", Some(24.0), None);
    assert!(close(&day) < cold);
}

#[test]
fn a_new_reading_says_what_moved() {
    let mut day = Day::new();
    day.reading("09:15", Some(17.0), Some(17.0));
    day.start("09:20", "UP-GEL", "film", Some(2.0), None);
    let before = day.bench("09:40");
    day.reading("09:40", Some(17.0), Some(15.2));
    let changes = live::changes(&before, &day.bench("09:40"), "air 14.0 °C");
    assert_eq!(changes.len(), 1);
    assert_eq!(changes[0].label, "opens");
    assert!(changes[0].now.unwrap() > changes[0].was.unwrap());
}

#[test]
fn no_time_is_given_below_the_least_temperature() {
    let mut day = Day::new();
    day.reading("08:20", Some(17.0), Some(13.5));
    let gel = day.start("08:30", "UP-GEL", "film", Some(2.0), None);
    let cure = day.cure(gel, "08:31");
    assert_eq!(cure.window().unwrap().state, WindowState::NoTime);
    assert_eq!(cure.window().unwrap().opens, None);
}

#[test]
fn a_window_goes_through_its_states_in_order() {
    let mut day = Day::new();
    day.reading("11:50", Some(20.0), Some(20.0));
    let lam = day.start("12:00", "UP-LAM", "laminate", Some(2.0), None);
    let state = |clock: &str| {
        let cure = day.cure(lam, clock);
        cure.windows.iter().find(|w| w.window.id == "trim").unwrap().state
    };
    assert_eq!(state("12:05"), WindowState::Wait);
    // First look about 10 min after the tissue is down: common practice.
    assert_eq!(state("12:10"), WindowState::Look);
    assert_eq!(state("12:18"), WindowState::Best);
    assert_eq!(state("12:26"), WindowState::LastCall);
    assert_eq!(state("12:29"), WindowState::Missed);
}

#[test]
fn what_was_seen_beats_what_was_computed() {
    let mut day = Day::new();
    day.reading("09:15", Some(20.0), Some(20.0));
    let gel = day.start("09:20", "UP-GEL", "film", Some(2.0), None);
    day.observe("10:36", gel, "overcoat", Finding::NotYet { again: Minutes(5.0) });
    assert_eq!(day.cure(gel, "10:37").window().unwrap().state, WindowState::Look);
    day.observe("10:41", gel, "overcoat", Finding::Ready);
    let cure = day.cure(gel, "10:42");
    assert_eq!(cure.window().unwrap().state, WindowState::Best);
    assert_eq!(cure.window().unwrap().open_from, Some(at("10:41")));
}

#[test]
fn a_pot_rings_at_sixty_eighty_five_and_a_hundred_per_cent_of_its_short_end() {
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), None);
    let pot = day.start("09:00", "UP-GEL", "pot", Some(2.0), Some(250.0));
    let cure = day.cure(pot, "09:01");
    let rings: Vec<f64> =
        alarm::of_cure(rules(), &cure).iter().map(|a| a.at.since(at("09:00")).value()).collect();
    // 15 min at reference; finish-by events count from the short end, 30 % shorter.
    let end = 15.0 * 0.7;
    for (rung, share) in rings.iter().zip([0.60, 0.85, 1.0]) {
        assert!((rung - end * share).abs() < 0.02, "{rings:?}");
    }
    assert_eq!(rings.len(), 3);
}

#[test]
fn an_alarm_that_came_while_the_app_was_closed_still_stands_on_return() {
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), Some(20.0));
    let lam = day.start("09:00", "UP-LAM", "laminate", Some(2.0), None);
    let pot = day.start("09:05", "UP-GEL", "pot", Some(2.0), None);
    let bench = day.bench("09:30");
    let ringing = alarm::ringing(rules(), &day.state(), &bench, at("09:30"));
    assert_eq!(ringing.len(), 2, "one a cure");
    assert!(ringing.iter().any(|a| a.cure == lam) && ringing.iter().any(|a| a.cure == pot));
}

#[test]
fn an_answer_silences_what_was_due_and_not_what_comes_later() {
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), Some(20.0));
    let gel = day.start("09:00", "UP-GEL", "film", Some(2.0), None);
    let due = |day: &Day, clock: &str| {
        alarm::ringing(rules(), &day.state(), &day.bench(clock), at(clock)).len()
    };
    assert_eq!(due(&day, "10:16"), 1);
    day.add(at("10:16"), Body::AlarmAnswered { cure: gel, alarm: "overcoat:look".into() });
    assert_eq!(due(&day, "10:17"), 0);
    // Surely open at 75 min + 30 % = 10:37:30.
    assert_eq!(due(&day, "10:38"), 1);
}

#[test]
fn the_most_urgent_stands_first() {
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), Some(20.0));
    let coat = day.start("09:00", "SI-TIN", "coat", None, None);
    let lam = day.start("10:00", "UP-LAM", "laminate", Some(2.0), None);
    let cast = day.start("10:05", "SI-TIN", "cast", None, None);
    let order: Vec<Id> = day.bench("10:20").into_iter().map(|cure| cure.id).collect();
    assert_eq!(order, [lam, coat, cast]);
    let urgencies: Vec<Urgency> = day.bench("10:20").into_iter().map(|cure| cure.urgency).collect();
    assert!(urgencies.is_sorted());
    assert_eq!(urgencies[0], Urgency::Now);
}

#[test]
fn where_the_bands_overlap_the_number_runs_to_the_nearer_end() {
    // Plaster's strike: opens 10 min, closes 15 min, each +/- 30 %: it may close
    // (10.5 min) before it is surely open (13 min).
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), None);
    let mix = day.start("09:00", "GY-B", "mix", None, None);
    day.observe("09:05", mix, "pour", Finding::Done);
    let cure = day.cure(mix, "09:10");
    assert_eq!(cure.window().unwrap().window.id, "strike");
    assert_eq!(cure.window().unwrap().state, WindowState::Look);
    assert_eq!(cure.next.as_ref().map(|next| next.label), Some("closes"));
    let next = cure.next.as_ref().unwrap().at;
    assert!(next < cure.window().unwrap().open_from.unwrap());
}

#[test]
fn a_demo_reading_never_moves_a_real_clock() {
    let mut day = Day::new();
    day.reading("09:00", Some(20.0), Some(20.0));
    let gel = day.start("09:00", "UP-GEL", "film", Some(2.0), None);
    let before = day.cure(gel, "09:10");
    day.add(
        at("09:10"),
        Body::ReadingTaken {
            place: Place::Demo,
            job: None,
            air: Some(Celsius(10.0)),
            humidity: None,
            surface: Some(Celsius(10.0)),
            water: None,
            taken: at("09:10"),
        },
    );
    assert_eq!(day.cure(gel, "09:10"), before);
}

#[test]
fn a_cold_night_does_not_count_in_full_towards_hardening() {
    // Worked day: laminate on at 11:55 at 17 °C, locked up 17:30, 12 °C over night:
    // "done 11:52 tomorrow" by a room that falls at once. The reading at 07:30
    // brings 17 °C back.
    let mut day = Day::new();
    day.reading("11:50", Some(17.0), Some(17.0));
    let lam = day.start("11:55", "UP-LAM", "laminate", Some(2.0), None);
    day.reading("17:29", Some(17.0), Some(17.0));
    day.reading("17:30", Some(12.0), Some(12.0));
    let part = |day: &Day, clock: &str| {
        let cure = day.cure(lam, clock);
        cure.windows.iter().find(|w| w.window.id == "part").unwrap().opens.unwrap().likely
    };
    let held = part(&day, "17:31");
    assert!(held > at("24:00") + Minutes(12.0 * 60.0), "{}", clock_of(held));
    let warm_all_night = at("11:55") + Minutes(16.0 * 60.0 * 2.0_f64.powf(0.3));
    assert!(held.since(warm_all_night) > Minutes(4.0 * 60.0));
}
