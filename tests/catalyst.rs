//! The catalyst solver both ways.
//!
//! Sources: gel times scaled by temperature from 15 min at 25 °C, by the
//! definition of the Arrhenius factor, computed elsewhere (to 0.1 min); the
//! published range of peroxide levels, 1.0-2.5 % (P22 of the trade data's
//! sources), as the polyester laminating resin carries it; steady-state radical
//! theory, exponent 0.5, and practice up to 1 (from memory): doubling the
//! peroxide never more than halves the time. The level that keeps the speed
//! (2.0 % at 20 °C is 2.4 % at 17.5 °C) is our own trade brief's worked example
//! and shows that the parts agree with each other.

use benchtide::engine::kinetics::solver::{
    LevelAdvice, LevelError, Miss, Setting, level_for, time_at,
};
use benchtide::engine::kinetics::{CatalystLaw, CatalystRange, CatalystVerdict, TemperatureLaw};
use benchtide::engine::quantity::{Celsius, KilojoulesPerMole, Minutes, Percent, Span};
use benchtide::job::card;
use benchtide::trade::rules;
use proptest::prelude::*;

const RANGE: CatalystRange = CatalystRange {
    low: Percent(1.0),
    high: Percent(2.5),
    warn_above: Percent(2.5),
    block_above: Percent(3.0),
    block_below: Percent(1.0),
};
const PEROXIDE: CatalystLaw = CatalystLaw { reference: Percent(2.0), exponent: 1.0 };
const INERT: CatalystLaw = CatalystLaw { exponent: 0.0, ..PEROXIDE };
const DOUBLING: TemperatureLaw = TemperatureLaw::PerTen { factor: 2.0, reference: Celsius(20.0) };
/// Film gel of a laminating resin, trade reference 3.3 (from memory).
const GEL: Span<Minutes> = Span { low: Minutes(20.0), likely: Minutes(30.0), high: Minutes(50.0) };

fn setting<'a>(law: &'a TemperatureLaw, catalyst: &'a CatalystLaw) -> Setting<'a> {
    Setting { law, catalyst, range: &RANGE, time: GEL }
}

fn advice(wanted: f64, film: f64) -> LevelAdvice {
    level_for(&setting(&DOUBLING, &PEROXIDE), Minutes(wanted), Celsius(film)).unwrap()
}

#[test]
fn gel_times_scale_with_temperature_as_computed_elsewhere() {
    for (energy, times) in [
        (50.0, [30.2, 24.4, 21.2, 10.8]),
        (45.0, [28.2, 23.2, 20.4, 11.1]),
        (60.0, [34.7, 26.8, 22.7, 10.1]),
    ] {
        let law = TemperatureLaw::ActivationEnergy {
            energy: KilojoulesPerMole(energy),
            reference: Celsius(25.0),
        };
        let setting = Setting { time: Span::exact(Minutes(15.0)), ..setting(&law, &PEROXIDE) };
        for (film, wanted) in [15.0, 18.0, 20.0, 30.0].into_iter().zip(times) {
            let found = time_at(&setting, PEROXIDE.reference, Celsius(film)).likely.value();
            assert!((found - wanted).abs() <= 0.1, "{energy} {film}: {found} is not {wanted}");
        }
    }
}

#[test]
fn the_speed_of_the_reference_room_is_kept_by_the_worked_level() {
    // Trade brief 3.2, our own worked example.
    let found = advice(30.0, 17.5);
    assert_eq!(found.level, Percent(2.4));
    assert_eq!(found.miss, None);
    // 2.0 times 2^0.25, by hand.
    assert!((found.wanted_level.value() - 2.378_414_23).abs() < 1e-8);
    assert_eq!(found.to_string(), "2.4 % catalyst: likely 30 min, between 20 and 50.");
}

#[test]
fn a_time_out_of_reach_says_by_how_much_and_which_film_would_do() {
    // By hand: at 15.5 °C the speed is 2^-0.45; 2.5 % makes 1.25 of it.
    let found = advice(30.0, 15.5);
    assert_eq!(found.level, Percent(2.5));
    let Some(Miss::Late { by, warm_to: Some(warm_to) }) = found.miss else { panic!("{found:?}") };
    assert!((by.value() - (24.0 * 2_f64.powf(0.45) - 30.0)).abs() < 1e-9, "{by:?}");
    assert!((warm_to.value() - (20.0 - 10.0 * 1.25_f64.log2())).abs() < 1e-9, "{warm_to:?}");
    assert_eq!(
        found.to_string(),
        "2.5 % catalyst: likely 33 min, between 22 and 55, 2.8 min later than wanted. More \
         catalyst can make the cure worse, not only faster: warm the film instead. 16.8 °C would \
         do, if the tin's data sheet allows it."
    );
    let there = advice(30.0, warm_to.value());
    assert_eq!((there.level, there.miss), (Percent(2.5), None));
}

#[test]
fn a_film_too_hot_for_the_least_level_says_so_too() {
    // By hand: at 30 °C the speed is 2, with 1.0 % again 1: 30 min. 40 min wanted.
    let found = advice(40.0, 30.0);
    assert_eq!((found.level, found.gives.likely), (Percent(1.0), Minutes(30.0)));
    let Some(Miss::Early { by, cool_to: Some(cool_to) }) = found.miss else { panic!("{found:?}") };
    assert_eq!(by, Minutes(10.0));
    assert!((cool_to.value() - (30.0 - 10.0 * (4.0_f64 / 3.0).log2())).abs() < 1e-9);
    assert_eq!(
        found.to_string(),
        "1.0 % catalyst: likely 30 min, between 20 and 50, 10 min sooner than wanted. Less \
         catalyst may leave it soft: mix less at a time. A film at 25.8 °C would do, if the tin's \
         data sheet allows it."
    );
}

#[test]
fn a_level_that_only_rounding_brings_into_the_range_is_no_miss() {
    // 2.52 % rounds to 2.5 %, 0.98 % to 1.0 %.
    for wanted in [30.0 * 2.0 / 2.52, 30.0 * 2.0 / 0.98] {
        let found = advice(wanted, 20.0);
        assert_eq!(found.miss, None, "{found:?}");
        assert!(found.wanted_level > RANGE.high || found.wanted_level < RANGE.low);
    }
}

#[test]
fn a_catalyst_without_effect_stays_at_its_reference() {
    let setting = setting(&DOUBLING, &INERT);
    let found = |wanted, film| level_for(&setting, Minutes(wanted), Celsius(film)).unwrap();
    assert_eq!((found(30.0, 20.0).level, found(30.0, 20.0).miss), (Percent(2.0), None));
    let cold = found(30.0, 10.0);
    assert_eq!((cold.level, cold.wanted_level), (Percent(2.0), Percent(2.0)));
    let Some(Miss::Late { by, warm_to: Some(film) }) = cold.miss else { panic!("{cold:?}") };
    assert_eq!(by, Minutes(30.0));
    assert!((film.value() - 20.0).abs() < 1e-9);
    assert!(matches!(found(30.0, 30.0).miss, Some(Miss::Early { .. })));
}

#[test]
fn a_law_that_no_warmth_changes_is_given_no_temperature() {
    let still = TemperatureLaw::PerTen { factor: 1.0, reference: Celsius(20.0) };
    let found = level_for(&setting(&still, &PEROXIDE), Minutes(10.0), Celsius(20.0)).unwrap();
    assert!(matches!(found.miss, Some(Miss::Late { warm_to: None, .. })), "{found:?}");
    assert!(found.to_string().ends_with("as far as the tin's data sheet allows."));
}

#[test]
fn a_wanted_time_far_out_of_reach_names_no_temperature_that_no_workshop_has() {
    for (wanted, film) in [(1e-3, 20.0), (1e-300, 20.0), (1e9, 20.0), (1e300, 20.0)] {
        let found = advice(wanted, film);
        assert!(found.level == RANGE.low || found.level == RANGE.high);
        match found.miss {
            Some(Miss::Late { warm_to: None, .. } | Miss::Early { cool_to: None, .. }) => {}
            _ => panic!("{found:?}"),
        }
    }
}

#[test]
fn nonsense_is_refused_in_words() {
    let setting = setting(&DOUBLING, &PEROXIDE);
    let found = |wanted, film| level_for(&setting, Minutes(wanted), Celsius(film));
    for wanted in [0.0, -5.0, f64::INFINITY, f64::NAN] {
        assert!(matches!(found(wanted, 20.0), Err(LevelError::Wanted(_))), "{wanted}");
    }
    for film in [-40.1, 400.0, f64::NAN] {
        assert!(matches!(found(30.0, film), Err(LevelError::Film(_))), "{film}");
    }
    for time in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let setting = Setting { time: Span::exact(Minutes(time)), ..setting };
        let found = level_for(&setting, Minutes(30.0), Celsius(20.0));
        assert_eq!(found, Err(LevelError::NoTime), "{time}");
    }
    let no_law = TemperatureLaw::PerTen { factor: 0.0, reference: Celsius(20.0) };
    let setting = Setting { law: &no_law, ..setting };
    assert_eq!(level_for(&setting, Minutes(30.0), Celsius(25.0)), Err(LevelError::NoTime));
    for error in
        [LevelError::Wanted(Minutes(0.0)), LevelError::Film(Celsius(400.0)), LevelError::NoTime]
    {
        assert!(error.to_string().ends_with('.'), "{error}");
    }
}

#[test]
fn no_catalyst_never_cures() {
    let setting = setting(&DOUBLING, &PEROXIDE);
    for level in [0.0, -1.0] {
        let found = time_at(&setting, Percent(level), Celsius(20.0)).likely;
        assert_eq!(found, Minutes(f64::INFINITY));
    }
}

#[test]
fn no_advice_leaves_the_published_range_of_the_laminating_resin() {
    // P22: recommended 1.0-2.5 %; over it the cure gets worse.
    let family = rules().family("UP-LAM").unwrap();
    let (catalyst, range) =
        (card::catalyst_law(family).unwrap(), card::catalyst_range(family).unwrap());
    assert_eq!((range.low, range.high), (Percent(1.0), Percent(2.5)));
    let setting = Setting { law: &DOUBLING, catalyst: &catalyst, range: &range, time: GEL };
    let mut missed = 0;
    for film in 10..=35 {
        for wanted in [5.0, 12.0, 20.0, 30.0, 45.0, 70.0, 120.0] {
            let found = level_for(&setting, Minutes(wanted), Celsius(f64::from(film))).unwrap();
            assert!((1.0..=2.5).contains(&found.level.value()), "{found:?}");
            assert_eq!(range.judge(found.level), CatalystVerdict::Fine, "{found:?}");
            if let Some(Miss::Late { .. }) = found.miss {
                assert!(found.to_string().contains("can make the cure worse"), "{found}");
                missed += 1;
            }
        }
    }
    assert!(missed > 0);
}

fn a_law() -> impl Strategy<Value = TemperatureLaw> {
    let reference = 15.0..30.0_f64;
    prop_oneof![
        (20.0..90.0_f64, reference.clone()).prop_map(|(energy, reference)| {
            TemperatureLaw::ActivationEnergy {
                energy: KilojoulesPerMole(energy),
                reference: Celsius(reference),
            }
        }),
        (1.2..4.0_f64, reference).prop_map(|(factor, reference)| TemperatureLaw::PerTen {
            factor,
            reference: Celsius(reference)
        }),
    ]
}

proptest! {
    #[test]
    fn warmer_or_more_catalyst_is_sooner(
        law in a_law(), exponent in 0.1..1.2_f64, film in -10.0..50.0_f64, warmer in 0.01..20.0_f64,
        level in 0.3..4.0_f64, more in 0.01..3.0_f64,
    ) {
        let catalyst = CatalystLaw { exponent, ..PEROXIDE };
        let setting = setting(&law, &catalyst);
        let time = |level, film| time_at(&setting, Percent(level), Celsius(film)).likely;
        prop_assert!(time(level, film + warmer) < time(level, film));
        prop_assert!(time(level + more, film) < time(level, film));
    }

    #[test]
    fn doubling_the_catalyst_never_more_than_halves_the_time(
        law in a_law(), exponent in 0.0..=1.0_f64, film in 0.0..40.0_f64, level in 0.2..4.0_f64,
    ) {
        let catalyst = CatalystLaw { exponent, ..PEROXIDE };
        let setting = setting(&law, &catalyst);
        let [single, double] = [level, 2.0 * level]
            .map(|level| time_at(&setting, Percent(level), Celsius(film)).likely.value());
        prop_assert!(double >= 0.5 * single * (1.0 - 1e-12));
        prop_assert!(double <= single);
    }

    #[test]
    fn the_wanted_level_gives_the_wanted_time_and_the_advised_one_nearly(
        law in a_law(), exponent in 0.5..1.2_f64, film in 10.0..30.0_f64, wanted in 5.0..120.0_f64,
    ) {
        let catalyst = CatalystLaw { exponent, ..PEROXIDE };
        let setting = setting(&law, &catalyst);
        let found = level_for(&setting, Minutes(wanted), Celsius(film)).unwrap();
        let exact = time_at(&setting, found.wanted_level, Celsius(film)).likely.value();
        prop_assert!((exact / wanted - 1.0).abs() < 1e-9);
        prop_assert_eq!(found.gives, time_at(&setting, found.level, Celsius(film)));
        prop_assert!(found.level >= RANGE.low && found.level <= RANGE.high);
        match found.miss {
            None => {
                // Half a tenth of a per cent of 1.0 %, at an exponent up to 1.2.
                prop_assert!((found.gives.likely.value() / wanted - 1.0).abs() < 0.063);
            }
            Some(Miss::Late { by, warm_to }) => {
                prop_assert_eq!(found.level, RANGE.high);
                prop_assert!((found.gives.likely.value() - wanted - by.value()).abs() < 1e-9);
                if let Some(there) = warm_to {
                    prop_assert!(there.value() > film);
                    let time = time_at(&setting, found.level, there).likely.value();
                    prop_assert!((time / wanted - 1.0).abs() < 1e-9);
                }
            }
            Some(Miss::Early { by, cool_to }) => {
                prop_assert_eq!(found.level, RANGE.low);
                prop_assert!((wanted - found.gives.likely.value() - by.value()).abs() < 1e-9);
                if let Some(there) = cool_to {
                    prop_assert!(there.value() < film);
                    let time = time_at(&setting, found.level, there).likely.value();
                    prop_assert!((time / wanted - 1.0).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_colder_film_or_an_earlier_gel_never_takes_less_catalyst(
        law in a_law(), film in 10.0..30.0_f64, colder in 0.1..10.0_f64,
        wanted in 5.0..120.0_f64, sooner in 0.1..0.9_f64,
    ) {
        let setting = setting(&law, &PEROXIDE);
        let level = |wanted: f64, film: f64| {
            level_for(&setting, Minutes(wanted), Celsius(film)).unwrap().level
        };
        prop_assert!(level(wanted, film - colder) >= level(wanted, film));
        prop_assert!(level(wanted * sooner, film) >= level(wanted, film));
    }
}
