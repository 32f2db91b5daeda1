use super::*;
use proptest::prelude::*;

/// Polyester laminating resin: trade reference 3.3.
const RANGE: CatalystRange = CatalystRange {
    low: Percent(1.0),
    high: Percent(2.5),
    warn_above: Percent(2.5),
    block_above: Percent(3.0),
    block_below: Percent(1.0),
};
const PEROXIDE: CatalystLaw = CatalystLaw { reference: Percent(2.0), exponent: 1.0 };
const DOUBLING: TemperatureLaw = TemperatureLaw::PerTen { factor: 2.0, reference: Celsius(20.0) };

#[test]
fn the_speed_at_the_reference_is_one() {
    let arrhenius = TemperatureLaw::ActivationEnergy {
        energy: KilojoulesPerMole(51.2),
        reference: Celsius(23.0),
    };
    assert_eq!(arrhenius.rate(arrhenius.reference()), 1.0);
    assert_eq!(DOUBLING.rate(DOUBLING.reference()), 1.0);
}

#[test]
fn levels_are_judged_by_the_edges_of_the_range() {
    let gel = CatalystRange { low: Percent(1.5), ..RANGE };
    let warn =
        |level, usual| CatalystVerdict::Warn { level: Percent(level), usual: Percent(usual) };
    assert_eq!(gel.judge(Percent(2.0)), CatalystVerdict::Fine);
    assert_eq!(gel.judge(Percent(1.5)), CatalystVerdict::Fine);
    assert_eq!(gel.judge(Percent(1.4)), warn(1.4, 1.5));
    assert_eq!(gel.judge(Percent(2.6)), warn(2.6, 2.5));
    assert_eq!(gel.judge(Percent(3.0)), warn(3.0, 2.5));
    assert!(gel.judge(Percent(3.1)).is_refused());
    assert!(gel.judge(Percent(0.9)).is_refused());
    assert!(gel.judge(Percent(f64::NAN)).is_refused());
    assert!(!gel.judge(Percent(1.0)).is_refused());
}

#[test]
fn verdicts_say_what_is_wrong_and_what_to_do() {
    let said = |level| RANGE.judge(Percent(level)).to_string();
    assert!(said(2.8).starts_with("2.8 % catalyst is above the usual 2.5 %"));
    assert!(said(4.0).starts_with("4.0 % catalyst is too much: over 3.0 %"));
    assert!(said(0.5).starts_with("0.5 % catalyst is too little: under 1.0 %"));
    for level in [2.8, 4.0, 0.5] {
        assert!(said(level).contains("data sheet"), "{level}");
    }
}

#[test]
fn a_clamped_level_says_to_warm_it_and_how_far() {
    // The demo day of the trade brief (5.4), 09:15; our own worked example.
    let advice = match_speed(&DOUBLING, &PEROXIDE, &RANGE, Celsius(20.0), Celsius(15.5));
    assert!(advice.clamped);
    assert_eq!(advice.level, Percent(2.5));
    let warm_to = advice.warm_to.unwrap();
    assert_eq!(
        advice.to_string(),
        "2.7 % would keep the speed, but 2.5 % is the most: warm it to 16.8 °C instead."
    );
    let there = match_speed(&DOUBLING, &PEROXIDE, &RANGE, Celsius(20.0), warm_to);
    assert!((there.wanted.value() - 2.5).abs() < 1e-12);
    assert!(!there.clamped);
}

#[test]
fn a_hot_film_is_given_the_least_and_no_advice_to_warm() {
    let advice = match_speed(&DOUBLING, &PEROXIDE, &RANGE, Celsius(20.0), Celsius(35.0));
    assert_eq!((advice.level, advice.clamped, advice.warm_to), (Percent(1.0), true, None));
    assert!(advice.to_string().contains("is the least"));
}

#[test]
fn rounding_over_the_end_of_the_range_is_not_called_clamped() {
    let advice = match_speed(&DOUBLING, &PEROXIDE, &RANGE, Celsius(20.0), Celsius(16.6));
    assert!(advice.wanted > RANGE.high);
    assert_eq!((advice.level, advice.clamped), (Percent(2.5), false));
}

#[test]
fn a_catalyst_without_effect_asks_for_nothing_where_nothing_is_to_be_made_up_for() {
    let inert = CatalystLaw { exponent: 0.0, ..PEROXIDE };
    let same = match_speed(&DOUBLING, &inert, &RANGE, Celsius(20.0), Celsius(20.0));
    assert_eq!((same.level, same.clamped), (Percent(2.0), false));
    let cold = match_speed(&DOUBLING, &inert, &RANGE, Celsius(20.0), Celsius(15.0));
    assert_eq!((cold.level, cold.clamped), (Percent(2.5), true));
}

#[test]
fn no_catalyst_cures_nothing() {
    assert_eq!(PEROXIDE.rate(Percent(0.0)), 0.0);
    assert_eq!(PEROXIDE.rate(Percent(-1.0)), 0.0);
}

#[test]
fn the_mass_factor_is_held_between_its_ends() {
    // Exponent and ends: trade reference 3.1, working rule.
    let law = MassLaw { reference: Grams(500.0), exponent: -0.2, least: 0.5, most: 1.4 };
    assert_eq!(law.time_factor(Grams(500.0)), 1.0);
    assert_eq!(law.time_factor(Grams(0.0)), 1.4);
    assert_eq!(law.time_factor(Grams(-3.0)), 1.4);
    assert_eq!(law.time_factor(Grams(1e6)), 0.5);
    // 2^-0.2, by hand.
    assert!((law.time_factor(Grams(1000.0)) - 0.870_550_563).abs() < 1e-9);
}

fn a_law() -> impl Strategy<Value = TemperatureLaw> {
    let reference = 15.0..30.0_f64;
    prop_oneof![
        (20.0..100.0_f64, reference.clone()).prop_map(|(energy, reference)| {
            TemperatureLaw::ActivationEnergy {
                energy: KilojoulesPerMole(energy),
                reference: Celsius(reference),
            }
        }),
        (1.05..4.0_f64, reference).prop_map(|(factor, reference)| TemperatureLaw::PerTen {
            factor,
            reference: Celsius(reference)
        }),
    ]
}

proptest! {
    #[test]
    fn warmer_is_faster(law in a_law(), t in -10.0..50.0_f64, more in 0.01..20.0_f64) {
        prop_assert!(law.rate(Celsius(t + more)) > law.rate(Celsius(t)));
    }

    #[test]
    fn a_temperature_is_found_again_from_its_speed(law in a_law(), t in -20.0..60.0_f64) {
        let found = law.temperature_for(law.rate(Celsius(t))).unwrap();
        prop_assert!((found.value() - t).abs() < 1e-9);
    }

    #[test]
    fn the_mean_speed_lies_between_the_ends(law in a_law(), a in -10.0..50.0_f64, b in -10.0..50.0_f64) {
        let mean = law.curve().mean_rate(Celsius(a), Celsius(b));
        let (one, other) = (law.rate(Celsius(a)), law.rate(Celsius(b)));
        prop_assert!(mean >= one.min(other) * (1.0 - 1e-7) && mean <= one.max(other) * (1.0 + 1e-7));
    }

    #[test]
    fn the_mean_speed_of_the_ten_degree_rule_is_the_logarithmic_mean(
        factor in 1.05..4.0_f64, a in -40.0..80.0_f64, b in -40.0..80.0_f64,
    ) {
        // Closed form of the integral of an exponential.
        prop_assume!((a - b).abs() > 0.01);
        let law = TemperatureLaw::PerTen { factor, reference: Celsius(20.0) };
        let slope = factor.ln() / 10.0;
        let low = law.rate(Celsius(a));
        let exact = low * (slope * (b - a)).exp_m1() / (slope * (b - a));
        let found = law.curve().mean_rate(Celsius(a), Celsius(b));
        prop_assert!((found / exact - 1.0).abs() < 1e-7, "{found} {exact}");
    }

    #[test]
    fn more_catalyst_is_faster_and_doubling_never_more_than_halves_the_time(
        exponent in 0.05..=1.0_f64, level in 0.2..4.0_f64,
    ) {
        let law = CatalystLaw { reference: Percent(2.0), exponent };
        let (single, double) = (law.rate(Percent(level)), law.rate(Percent(2.0 * level)));
        prop_assert!(double > single);
        prop_assert!(double <= 2.0 * single * (1.0 + 1e-12));
    }

    #[test]
    fn the_advised_level_is_in_range_and_meets_the_speed_unless_clamped(
        law in a_law(), exponent in 0.5..1.2_f64, at in 15.0..25.0_f64, film in 10.0..30.0_f64,
    ) {
        let catalyst = CatalystLaw { exponent, ..PEROXIDE };
        let advice = match_speed(&law, &catalyst, &RANGE, Celsius(at), Celsius(film));
        prop_assert!(advice.level >= RANGE.low && advice.level <= RANGE.high);
        let speed = law.rate(Celsius(film)) * catalyst.rate(advice.wanted);
        prop_assert!((speed / law.rate(Celsius(at)) - 1.0).abs() < 1e-9);
        if !advice.clamped {
            prop_assert!((advice.level - advice.wanted).value().abs() <= 0.05 + 1e-9);
        }
        if let Some(warm_to) = advice.warm_to {
            prop_assert!(warm_to.value() > film);
        }
    }
}
