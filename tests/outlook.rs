//! Stated temperatures against values from outside the project.
//!
//! Sources, named again beside each check: equivalent age over a true
//! exponential by `scipy.integrate.quad` (`tests/data/outlook_reference.csv`)
//! and time constants by `numpy.polyfit`, `scipy.stats.t` and
//! `scipy.optimize.curve_fit` (`tests/data/outlook_fit.csv`), both made by
//! `tests/data/outlook_reference.py`; Newton's law of cooling in closed form;
//! Simpson's rule (Abramowitz and Stegun 25.4.6) on it. What a statement means
//! (order, overtaken statements) is our own definition.

use benchtide::engine::cure::equivalent_age;
use benchtide::engine::history::TemperatureHistory;
use benchtide::engine::kinetics::{GAS_CONSTANT, TemperatureLaw};
use benchtide::engine::outlook::{
    FitError, LEAST_CONSTANT, MOST_CONSTANT, Outlook, OutlookError, extended, fit_constant,
    reaches_below,
};
use benchtide::engine::quantity::{Celsius, Instant, Kelvins, KilojoulesPerMole, Minutes};
use proptest::prelude::*;

/// An ordinary evening, so that instants are as large as real ones.
const START: Instant = Instant(1_700_000_000_000);

fn after(minutes: f64) -> Instant {
    START + Minutes(minutes)
}

fn read(points: &[(f64, f64)]) -> TemperatureHistory {
    let points = points.iter().map(|(minutes, t)| (after(*minutes), Celsius(*t)));
    TemperatureHistory::new(points).unwrap()
}

fn off(minutes: f64, outside: f64, constant: f64) -> Outlook {
    let (outside, constant) = (Celsius(outside), Minutes(constant));
    Outlook::HeaterOff { at: after(minutes), outside, constant }
}

fn on(minutes: f64, temperature: f64, constant: f64) -> Outlook {
    let (temperature, constant) = (Celsius(temperature), Minutes(constant));
    Outlook::HeaterOn { at: after(minutes), temperature, constant }
}

fn reaches(minutes: f64, temperature: f64) -> Outlook {
    Outlook::Reaches { at: after(minutes), temperature: Celsius(temperature) }
}

fn law(kind: &str, parameter: f64) -> TemperatureLaw {
    let reference = Celsius(20.0);
    match kind {
        "arrhenius" => {
            TemperatureLaw::ActivationEnergy { energy: KilojoulesPerMole(parameter), reference }
        }
        "per-ten" => TemperatureLaw::PerTen { factor: parameter, reference },
        other => panic!("{other}"),
    }
}

#[test]
fn every_row_of_the_reference_is_met_to_a_millionth() {
    let mut worst: (f64, &str) = (0.0, "");
    let mut checked = 0;
    for row in include_str!("data/outlook_reference.csv").lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().unwrap();
        let instant = |index: usize| Instant(START.0 + cells[index].parse::<i64>().unwrap());
        let law = law(cells[0], number(1));
        let mut stated = vec![off(0.0, number(3), number(4))];
        if !cells[5].is_empty() {
            let (temperature, constant) = (Celsius(number(6)), Minutes(number(7)));
            stated.push(Outlook::HeaterOn { at: instant(5), temperature, constant });
        }
        let room = extended(&read(&[(-30.0, 25.0), (0.0, number(2))]), &stated).unwrap();
        let found = equivalent_age(&law, &room, START, instant(8)).value();
        let error = (found / number(9) - 1.0).abs();
        if error > worst.0 {
            worst = (error, row);
        }
        checked += 1;
    }
    assert_eq!(checked, 900);
    assert!(worst.0 < 1e-6, "{worst:?}");
}

/// Age in minutes over the true exponential: Simpson's rule on Newton's law of
/// cooling, in steps that grow with the time.
fn true_age(speed: &dyn Fn(f64) -> f64, room: [f64; 3], from: f64, to: f64) -> f64 {
    let [start, outside, constant] = room;
    let rate = |minutes: f64| speed(outside + (start - outside) * (-minutes / constant).exp());
    let mut age = 0.0;
    let mut at = from;
    while at < to {
        let next = (at + constant / 60.0).min(to);
        let middle = 0.5 * (at + next);
        age += (next - at) / 6.0 * (rate(at) + 4.0 * rate(middle) + rate(next));
        at = next;
    }
    age
}

fn arrhenius(energy: f64) -> impl Fn(f64) -> f64 {
    move |t| (energy * 1000.0 / GAS_CONSTANT * (1.0 / 293.15 - 1.0 / (t + 273.15))).exp()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn the_age_is_right_at_any_instant(
        energy in 0.0..=80.0_f64, start in -10.0..40.0_f64, drop in -25.0..=25.0_f64,
        constant in 30.0..=1440.0_f64, magnitude in -4.0..1.7_f64,
    ) {
        let outside = (start - drop).max(-20.0);
        let room = extended(&read(&[(0.0, start)]), &[off(0.0, outside, constant)]).unwrap();
        let at = after(constant * 10_f64.powf(magnitude));
        let to = at.since(START).value();
        let wanted = true_age(&arrhenius(energy), [start, outside, constant], 0.0, to);
        let found = equivalent_age(&law("arrhenius", energy), &room, START, at).value();
        prop_assert!((found / wanted - 1.0).abs() < 1e-6, "{found} {wanted}");
    }

    #[test]
    fn a_cure_that_starts_on_the_curve_is_off_by_two_millionths_of_the_curves_age(
        energy in 20.0..=80.0_f64, drop in 1.0..=25.0_f64, constant in 30.0..=1440.0_f64,
        begin in 0.001..3.0_f64, span in 0.001..3.0_f64,
    ) {
        let outside = 18.0 - drop;
        let room = extended(&read(&[(0.0, 18.0)]), &[off(0.0, outside, constant)]).unwrap();
        let (from, to) = (after(begin * constant), after((begin + span) * constant));
        let [mine, begins] = [to, from].map(|instant| instant.since(START).value());
        let age = |from, to| true_age(&arrhenius(energy), [18.0, outside, constant], from, to);
        let found = equivalent_age(&law("arrhenius", energy), &room, from, to).value();
        prop_assert!((found - age(begins, mine)).abs() < 2e-6 * age(0.0, mine));
    }

    #[test]
    fn the_curve_is_that_of_newton_within_hundredths_of_a_kelvin(
        start in -10.0..40.0_f64, drop in -25.0..=25.0_f64, turns in 0.0..20.0_f64,
    ) {
        let outside = start - drop;
        let room = extended(&read(&[(0.0, start)]), &[off(0.0, outside, 300.0)]).unwrap();
        let wanted = outside + drop * (-turns).exp();
        let found = room.at(after(300.0 * turns)).value();
        prop_assert!((found - wanted).abs() < 0.02, "{found} {wanted}");
    }
}

#[test]
fn a_curve_takes_few_points() {
    for (start, outside, most) in
        [(20.0, -5.0, 120), (10.0, 35.0, 120), (20.0, 12.0, 75), (20.0, 19.5, 35), (20.0, 20.0, 2)]
    {
        let room = extended(&read(&[(0.0, start)]), &[off(0.0, outside, 600.0)]).unwrap();
        let count = room.points().len();
        assert!(count <= most, "{start} {outside}: {count}");
        assert_eq!(room.last().1, Celsius(outside));
    }
}

#[test]
fn a_reading_without_a_statement_is_held() {
    let measured = read(&[(0.0, 17.0), (60.0, 16.0)]);
    assert_eq!(extended(&measured, &[]).unwrap(), measured);
}

#[test]
fn stated_temperatures_are_reached_in_their_order_and_held() {
    let measured = read(&[(0.0, 17.0)]);
    let stated = [reaches(720.0, 9.0), reaches(840.0, 12.0)];
    let room = extended(&measured, &stated).unwrap();
    assert_eq!(room, read(&[(0.0, 17.0), (720.0, 9.0), (840.0, 12.0)]));
    assert_eq!(room.at(after(360.0)), Celsius(13.0));
    assert_eq!(room.at(after(5000.0)), Celsius(12.0));
    assert_eq!(extended(&measured, &[stated[1], stated[0]]).unwrap(), room);
}

#[test]
fn a_heater_that_goes_off_later_holds_the_reading_until_then() {
    let room = extended(&read(&[(0.0, 20.0)]), &[off(120.0, 5.0, 300.0)]).unwrap();
    assert_eq!(room.at(after(60.0)), Celsius(20.0));
    assert_eq!(room.at(after(120.0)), Celsius(20.0));
    // Newton's law of cooling after one time constant: 5 + 15/e.
    assert!((room.at(after(420.0)).value() - 10.518_191_6).abs() < 0.01);
}

#[test]
fn a_stated_low_is_a_line_from_the_hour_at_which_the_heater_went_off() {
    let stated = [off(120.0, 5.0, 300.0), reaches(720.0, 8.0)];
    let room = extended(&read(&[(0.0, 20.0)]), &stated).unwrap();
    assert_eq!(room, read(&[(0.0, 20.0), (120.0, 20.0), (720.0, 8.0)]));
}

#[test]
fn a_temperature_stated_for_the_hour_of_the_heater_is_what_it_starts_from() {
    for stated in
        [[reaches(60.0, 24.0), off(60.0, 4.0, 300.0)], [off(60.0, 4.0, 300.0), reaches(60.0, 24.0)]]
    {
        let room = extended(&read(&[(0.0, 20.0)]), &stated).unwrap();
        assert_eq!(room.at(after(30.0)), Celsius(22.0));
        // 4 + 20/e.
        assert!((room.at(after(360.0)).value() - 11.357_588_8).abs() < 0.01);
    }
}

#[test]
fn what_a_reading_has_overtaken_is_gone() {
    let measured = read(&[(0.0, 17.0), (720.0, 11.0)]);
    for overtaken in [reaches(400.0, 9.0), reaches(720.0, 9.0)] {
        assert_eq!(extended(&measured, &[overtaken]).unwrap(), measured);
    }
}

#[test]
fn a_heater_that_went_off_before_the_last_reading_still_governs() {
    let room = extended(&read(&[(0.0, 20.0), (90.0, 16.0)]), &[off(30.0, 6.0, 240.0)]).unwrap();
    assert_eq!(room.at(after(90.0)), Celsius(16.0));
    // 6 + 10/e.
    assert!((room.at(after(330.0)).value() - 9.678_794_4).abs() < 0.01);
}

#[test]
fn a_reading_that_only_confirms_the_forecast_changes_nothing() {
    let night = [off(0.0, 2.0, 400.0), on(700.0, 20.0, 60.0)];
    let line = [off(-60.0, 2.0, 400.0), reaches(600.0, 8.0)];
    for (stated, looks) in [(night, [250.0, 760.0]), (line, [300.0, 700.0])] {
        let first = read(&[(0.0, 18.0)]);
        let before = extended(&first, &stated).unwrap();
        for look in looks {
            let seen = (after(look), before.at(after(look)));
            let measured = before.points().iter().copied().filter(|(at, _)| *at < seen.0);
            let measured = TemperatureHistory::new(measured.chain([seen])).unwrap();
            let again = extended(&measured, &stated).unwrap();
            for later in [0.0, 5.0, 60.0, 300.0, 400.0, 2000.0] {
                let at = after(look + later);
                let moved = again.at(at).above(before.at(at)).value().abs();
                assert!(moved < 0.02, "{look} {later}: {moved}");
            }
        }
    }
}

#[test]
fn nonsense_is_refused_in_words() {
    let measured = read(&[(0.0, 20.0)]);
    let said = |stated| extended(&measured, &[stated]).unwrap_err().to_string();
    let hot = "400 °C is no temperature of a workshop (-40 to 80 °C). Enter the forecast again.";
    assert_eq!(said(reaches(60.0, 400.0)), hot);
    assert_eq!(said(off(60.0, 400.0, 300.0)), hot);
    assert_eq!(said(on(60.0, 400.0, 300.0)), hot);
    assert!(extended(&measured, &[reaches(60.0, f64::NAN)]).is_err());
    assert!(extended(&measured, &[off(60.0, f64::NAN, 300.0)]).is_err());
    for constant in [0.0, -5.0, 0.99, 20_161.0, f64::INFINITY, f64::NAN] {
        let found = extended(&measured, &[off(60.0, 5.0, constant)]);
        assert!(matches!(found, Err(OutlookError::Constant(_))), "{constant}");
    }
    assert_eq!(
        said(off(60.0, 5.0, 0.0)),
        "No room takes 0 minutes to cool or warm. Enter between 1 minute and 14 days."
    );
    // One that was overtaken is refused as well: it may not hide until it matters.
    assert!(extended(&measured, &[off(-60.0, 5.0, 0.0)]).is_err());
}

#[test]
fn the_ends_of_what_is_believed_are_laid_without_a_fault() {
    for constant in [LEAST_CONSTANT, MOST_CONSTANT] {
        for (start, outside) in [(80.0, -40.0), (-40.0, 80.0)] {
            let stated = [off(0.0, outside, constant.value())];
            let room = extended(&read(&[(0.0, start)]), &stated).unwrap();
            assert_eq!(room.last().1, Celsius(outside));
        }
    }
    // A heater at the end of all instants is waited for, and nothing more.
    let stated = Outlook::HeaterOff {
        at: Instant(i64::MAX),
        outside: Celsius(5.0),
        constant: Minutes(300.0),
    };
    let room = extended(&read(&[(0.0, 20.0)]), &[stated]).unwrap();
    assert_eq!(room.at(after(1e6)), Celsius(20.0));
}

/// Readings of a row: "minutes:temperature" with spaces between.
fn readings(cell: &str) -> Vec<(Instant, Celsius)> {
    let pair = |reading: &str| {
        let (minutes, t) = reading.split_once(':').unwrap();
        (after(minutes.parse().unwrap()), Celsius(t.parse().unwrap()))
    };
    cell.split(' ').map(pair).collect()
}

#[test]
fn fitted_constants_are_those_of_the_reference() {
    let mut checked = 0;
    for row in include_str!("data/outlook_fit.csv").lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().unwrap();
        let outside = Celsius(number(0));
        let mut points = readings(cells[1]);
        let fit = fit_constant(&points, outside).unwrap();
        let same = |found: Minutes, index: usize, relative: f64| {
            let wanted = number(index);
            assert!((found.value() / wanted - 1.0).abs() < relative, "{row}: {found:?}");
        };
        // numpy.polyfit; its interval by scipy.stats.t, here from a table of
        // four decimals.
        same(fit.constant, 2, 1e-6);
        assert_eq!(fit.spread.is_some(), points.len() > 2, "{row}");
        if let Some(spread) = fit.spread {
            same(spread.low, 3, 1e-5);
            same(spread.likely, 2, 1e-6);
            same(spread.high, 4, 1e-5);
            // scipy.optimize.curve_fit on the exponential itself.
            assert!((spread.low.value()..=spread.high.value()).contains(&number(5)), "{row}");
        }
        same(fit.constant, 5, 0.01);
        points.reverse();
        assert_eq!(fit_constant(&points, outside).unwrap(), fit);
        checked += 1;
    }
    assert_eq!(checked, 6);
}

#[test]
fn a_reading_on_the_outside_temperature_is_left_out() {
    let points = [(0.0, 20.0), (300.0, 11.0), (2000.0, 5.0), (2100.0, 4.9)];
    let points = points.map(|(minutes, t)| (after(minutes), Celsius(t)));
    // Closed form for two points: 300 / ln(15/6).
    let fit = fit_constant(&points, Celsius(5.0)).unwrap();
    assert!((fit.constant.value() - 327.407_000_7).abs() < 1e-6, "{fit:?}");
    assert_eq!(fit.spread, None);
}

#[test]
fn readings_that_tell_no_constant_are_refused_in_words() {
    let fit = |points: &[(f64, f64)], outside| {
        let points: Vec<_> = points.iter().map(|(m, t)| (after(*m), Celsius(*t))).collect();
        fit_constant(&points, Celsius(outside))
    };
    assert_eq!(fit(&[], 5.0), Err(FitError::TooFew));
    assert_eq!(fit(&[(0.0, 20.0)], 5.0), Err(FitError::TooFew));
    assert_eq!(fit(&[(0.0, 20.0), (0.0, 15.0)], 5.0), Err(FitError::TooFew));
    assert_eq!(fit(&[(0.0, 5.0), (60.0, 5.0)], 5.0), Err(FitError::TooFew));
    assert_eq!(
        fit(&[(0.0, 20.0), (60.0, 19.5)], 5.0),
        Err(FitError::TooFlat { fall: Kelvins(0.5) })
    );
    let warmer = fit(&[(0.0, 20.0), (60.0, 22.0)], 5.0);
    assert_eq!(warmer, Err(FitError::TooFlat { fall: Kelvins(-2.0) }));
    assert_eq!(fit(&[(0.0, 20.0), (0.001, 6.0)], 5.0), Err(FitError::NoConstant));
    assert_eq!(fit(&[(0.0, 200.0), (60.0, 19.0)], 5.0), Err(FitError::Outside(Celsius(200.0))));
    assert!(fit(&[(0.0, 20.0), (60.0, 15.0)], f64::NAN).is_err());
    assert!(fit(&[(0.0, 20.0), (60.0, f64::NAN)], 5.0).is_err());
    let errors = [
        FitError::TooFew,
        FitError::TooFlat { fall: Kelvins(0.5) },
        FitError::NoConstant,
        FitError::Outside(Celsius(200.0)),
    ];
    for error in errors {
        assert!(error.to_string().ends_with('.'), "{error}");
    }
}

#[test]
fn the_first_instant_under_a_limit_is_found() {
    let room = read(&[(0.0, 20.0), (100.0, 10.0), (200.0, 20.0), (300.0, 5.0)]);
    let under = |from, limit| {
        reaches_below(&room, after(from), Celsius(limit)).map(|at| at.since(START).value())
    };
    // By hand on straight lines; the crossing itself is not yet under.
    let just_after = |minutes: f64| Some((minutes * 60_000.0 + 1.0) / 60_000.0);
    assert_eq!(under(0.0, 15.0), just_after(50.0));
    assert_eq!(under(-500.0, 15.0), just_after(50.0));
    assert_eq!(under(60.0, 15.0), Some(60.0));
    assert_eq!(under(150.0, 12.5), just_after(250.0));
    assert_eq!(under(0.0, 5.0), None);
    assert_eq!(under(400.0, 6.0), Some(400.0));
    assert_eq!(under(0.0, f64::NAN), None);
}

proptest! {
    #[test]
    fn the_first_instant_under_a_limit_is_under_it_and_the_one_before_is_not(
        temperatures in proptest::collection::vec(0.0..30.0_f64, 1..12),
        from in -50.0..700.0_f64, limit in 0.0..30.0_f64,
    ) {
        let points: Vec<_> = temperatures.iter().zip(0..)
            .map(|(t, n)| (f64::from(n) * 60.0, *t)).collect();
        let room = read(&points);
        match reaches_below(&room, after(from), Celsius(limit)) {
            Some(at) => {
                prop_assert!(at >= after(from));
                prop_assert!(room.at(at) < Celsius(limit));
                let before = Instant(at.0 - 2);
                prop_assert!(before < after(from) || room.at(before) >= Celsius(limit));
            }
            None => {
                for minute in 0..800 {
                    let at = after(from + f64::from(minute));
                    prop_assert!(room.at(at) >= Celsius(limit));
                }
            }
        }
    }
}
