//! Laws that hold for every record, and the small parts.

use super::matrix::{cholesky, inverse, times};
use super::*;
use crate::engine::json::Json;
use crate::engine::stored::Stored;
use proptest::prelude::*;

const START: Instant = Instant(1_700_000_000_000);

/// Polyester: trade reference 3.3, with the published 40 to 60 kJ/mol.
const PRIOR: Prior = Prior {
    slowness_band: 0.30,
    energy: Span {
        low: KilojoulesPerMole(40.0),
        likely: KilojoulesPerMole(50.0),
        high: KilojoulesPerMole(60.0),
    },
    exponent: Span { low: 0.8, likely: 1.0, high: 1.2 },
    reference: Celsius(20.0),
    carried: None,
};
const AT_REFERENCE: Conditions = Conditions { temperature: Celsius(20.0), level_ratio: None };

/// A sighting at a constant temperature.
#[derive(Clone, Debug)]
struct Seen {
    took: f64,
    reference: f64,
    level: f64,
    history: TemperatureHistory,
}

impl Seen {
    fn new(took: f64, reference: f64, level: f64, t: f64) -> Self {
        Self { took, reference, level, history: TemperatureHistory::constant(Celsius(t)) }
    }

    /// As a tin with these coefficients would have it, without noise.
    fn exact(slowness: f64, kelvins: f64, exponent: f64, level: f64, t: f64) -> Self {
        let inverse = 1.0 / (t + 273.15) - 1.0 / 293.15;
        // A long time, so that whole milliseconds take nothing from it.
        let took = 900.0 * slowness * (kelvins * inverse).exp() * level.powf(-exponent);
        Self::new(took, 900.0, level, t)
    }

    fn observation(&self) -> Observation<'_> {
        Observation {
            started: START,
            seen: START + Minutes(self.took),
            not_yet: None,
            reference: Minutes(self.reference),
            temperature: &self.history,
            level_ratio: Some(self.level),
        }
    }
}

fn learnt(seen: &[Seen]) -> Learnt {
    learn(&PRIOR, &seen.iter().map(Seen::observation).collect::<Vec<_>>())
}

fn width(span: Span<f64>) -> f64 {
    (span.high / span.low).ln()
}

#[track_caller]
fn close(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
}

fn some_seen() -> impl Strategy<Value = Seen> {
    let walk = prop::collection::vec((-60.0..400.0_f64, 8.0..32.0_f64), 1..5);
    (5.0..300.0_f64, 5.0..300.0_f64, 0.5..1.5_f64, walk).prop_map(
        |(took, reference, level, walk)| {
            let points = walk.into_iter().map(|(at, t)| (START + Minutes(at), Celsius(t)));
            Seen { took, reference, level, history: TemperatureHistory::new(points).unwrap() }
        },
    )
}

/// Source: `scipy.stats.t.ppf(0.9, dof)`, SciPy 1.17.1; infinity: normal tables.
#[test]
fn the_quantile_is_students() {
    let table = [
        (4.0, 1.533_206_274_058_943),
        (5.0, 1.475_884_048_824_481),
        (6.0, 1.439_755_747_265_147),
        (10.0, 1.372_183_641_110_337),
        (30.0, 1.310_415_025_283_956),
        (f64::INFINITY, 1.281_551_565_544_6),
    ];
    for (dof, wanted) in table {
        close(quantile(dof), wanted, 1e-6);
    }
}

/// Source: multiplication undoes inversion, and a factor times its transpose is
/// the matrix (definitions).
#[test]
fn matrices_are_inverted_and_factored() {
    let m = [[4.0, 1.0, -0.5], [1.0, 3.0, 0.7], [-0.5, 0.7, 2.0]];
    let (inverse, lower) = (inverse(m), cholesky(m));
    for i in 0..3 {
        let unit = times(inverse, m[i]);
        for j in 0..3 {
            close(unit[j], if i == j { 1.0 } else { 0.0 }, 1e-14);
            close(dot(lower[i], lower[j]), m[i][j], 1e-14);
        }
    }
    let flat = [[4.0, 0.0, 1.0], [0.0, 0.0, 0.0], [1.0, 0.0, 2.0]];
    assert_eq!(cholesky(flat)[1], [0.0; 3]);
}

/// Source: what the prior is said to be.
#[test]
fn nothing_seen_is_the_card_again() {
    let learnt = learnt(&[]);
    close(width(learnt.belief().slowness()), (1.3_f64 / 0.7).ln(), 1e-9);
    assert_eq!(learnt.belief().slowness().likely, 1.0);
    close(learnt.belief().energy().low.value(), 40.0, 1e-8);
    close(learnt.belief().energy().high.value(), 60.0, 1e-8);
    close(learnt.belief().exponent().low, 0.8, 1e-9);
    assert!(learnt.points().is_empty() && learnt.unusable().is_empty());
    let next = learn(&Prior { carried: Some(learnt.belief().carried()), ..PRIOR }, &[]);
    close(width(next.belief().slowness()), width(learnt.belief().slowness()), 1e-9);
    close(next.belief().energy().high.value(), 60.0, 1e-8);
}

/// Source: activation energies of the ten-degree rule, E = R ln Q / (1/T1 - 1/T2),
/// 15 to 25 °C: 49.5 kJ/mol for 2.0 (trade reference 3.1, near 20 °C).
#[test]
fn a_factor_per_ten_degrees_is_taken_around_the_reference() {
    let found = energies(Span { low: 1.0, likely: 2.0, high: 2.3 }, Celsius(20.0));
    assert_eq!(found.low, KilojoulesPerMole(0.0));
    close(found.likely.value(), 49.5, 0.1);
    assert!(found.is_ordered());
}

#[test]
fn a_prior_without_width_is_not_learnt_and_no_law_runs_backwards() {
    let fixed =
        Prior { energy: Span::exact(KilojoulesPerMole(0.0)), exponent: Span::exact(1.0), ..PRIOR };
    let cold = Seen::new(80.0, 25.0, 1.2, 8.0);
    let learnt = learn(&fixed, &[cold.observation()]);
    assert_eq!(learnt.belief().energy(), Span::exact(KilojoulesPerMole(0.0)));
    assert_eq!(learnt.belief().exponent(), Span::exact(1.0));
    assert_eq!(learnt.belief().law().rate(Celsius(5.0)), 1.0);

    // Six sightings, the quicker the colder.
    let odd: Vec<Seen> = (0..6)
        .map(|k| Seen::new(20.0 + 4.0 * f64::from(k), 30.0, 1.0, 8.0 + 4.0 * f64::from(k)))
        .collect();
    let weak = Prior {
        energy: Span { low: -5.0, likely: 5.0, high: 15.0 }.map(KilojoulesPerMole),
        ..PRIOR
    };
    let learnt = learn(&weak, &odd.iter().map(Seen::observation).collect::<Vec<_>>());
    assert!(learnt.belief().energy().likely < KilojoulesPerMole(0.0));
    assert_eq!(learnt.belief().law().rate(Celsius(5.0)), 1.0);
}

#[test]
fn a_new_batch_starts_between_the_old_one_and_the_card() {
    let seen: Vec<Seen> =
        (0..6).map(|k| Seen::exact(1.3, 6000.0, 1.0, 1.0, 15.0 + f64::from(k))).collect();
    let old = learnt(&seen);
    let new = learn(&Prior { carried: Some(old.belief().carried()), ..PRIOR }, &[]);
    close(new.belief().slowness().likely, old.belief().slowness().likely, 1e-9);
    assert!(width(old.belief().slowness()) < 0.6 * width(new.belief().slowness()));
    assert!(width(new.belief().slowness()) < 0.6 * width(learnt(&[]).belief().slowness()));
}

#[test]
fn a_late_look_teaches_less_and_lies_between_the_looks() {
    let seen = Seen::new(40.0, 30.0, 1.0, 20.0);
    let at = |not_yet: f64| {
        let not_yet = Some(START + Minutes(not_yet));
        learn(&PRIOR, &[Observation { not_yet, ..seen.observation() }])
    };
    let (close_by, late) = (at(39.9), at(25.0));
    assert!(width(close_by.belief().slowness()) < width(late.belief().slowness()));
    assert!(late.belief().slowness().likely < close_by.belief().slowness().likely);
    close(late.points()[0].observed.value(), (25.0_f64 * 40.0).sqrt(), 1e-9);
}

#[test]
fn no_time_is_told_narrower_than_ten_percent() {
    let seen: Vec<Seen> = (0..200).map(|_| Seen::exact(1.1, 6000.0, 1.0, 1.0, 20.0)).collect();
    let learnt = learnt(&seen);
    assert!(width(learnt.belief().slowness()) < 0.02);
    // ±10 % as a ratio: 1.1 to 0.9.
    close(width(learnt.belief().time_factor(AT_REFERENCE)), (1.1_f64 / 0.9).ln(), 1e-9);
}

#[test]
fn odd_conditions_give_a_number_all_the_same() {
    let seen = [Seen::new(30.0, 25.0, 1.0, 20.0)];
    for (t, level) in [(1e9, 1.0), (-300.0, 1.0), (f64::NAN, 1.0), (20.0, 0.0), (20.0, f64::NAN)] {
        let over = Conditions { temperature: Celsius(t), level_ratio: Some(level) };
        let told = learnt(&seen).belief().time_factor(over);
        assert!(told.is_ordered() && told.low > 0.0 && told.high.is_finite(), "{told:?}");
    }
    for slowness_band in [f64::NAN, 0.0, -1.0, 7.0] {
        let told = learn(&Prior { slowness_band, ..PRIOR }, &[]).belief().slowness();
        assert!(told.is_ordered() && told.high.is_finite(), "{slowness_band}: {told:?}");
    }
}

#[test]
fn an_outlier_is_told_with_reasons_and_left_to_the_user() {
    let slow = Outlier::MuchSlower { times: 3.46 }.to_string();
    let fast = Outlier::MuchFaster { times: 2.0 }.to_string();
    assert!(slow.starts_with("This one ran 3.5 times slower than expected."), "{slow}");
    assert!(fast.starts_with("This one ran 2.0 times faster than expected."), "{fast}");
    for (said, words) in [
        (slow, ["too little catalyst", "cold spot", "wet surface"]),
        (fast, ["twice", "hot spot", "keep it"]),
    ] {
        for word in words {
            assert!(said.contains(word), "{said}");
        }
        assert!(said.ends_with("you decide."));
    }
}

proptest! {
    /// A record of a faultless tin gives the tin back.
    #[test]
    fn many_exact_sightings_recover_the_tin(
        slowness in 0.7..1.5_f64, kelvins in 4500.0..7500.0_f64, exponent in 0.7..1.3_f64,
    ) {
        let seen: Vec<Seen> = (0..300)
            .map(|k| {
                let (t, level) = (f64::from(k % 20), f64::from(k * 7 % 20));
                Seen::exact(slowness, kelvins, exponent, 0.5 + 0.05 * level, 10.0 + t)
            })
            .collect();
        let learnt = learnt(&seen);
        close(learnt.belief().slowness().likely / slowness, 1.0, 0.005);
        close(learnt.belief().energy().likely.value() * 1000.0 / GAS_CONSTANT / kelvins, 1.0, 0.05);
        close(learnt.belief().exponent().likely / exponent, 1.0, 0.05);
        prop_assert!(learnt.points().iter().all(|point| point.outlier.is_none()));
    }

    #[test]
    fn the_order_of_sightings_does_not_matter(
        seen in prop::collection::vec(some_seen(), 1..7), turn in 0..7_usize,
    ) {
        let first = learnt(&seen);
        let mut turned = seen.clone();
        let turn = turn % seen.len();
        turned.rotate_left(turn);
        let second = learnt(&turned);
        close(first.belief().slowness().high / second.belief().slowness().high, 1.0, 1e-9);
        close(first.belief().energy().low.value(), second.belief().energy().low.value(), 1e-6);
        let over = Conditions { temperature: Celsius(14.0), level_ratio: Some(1.2) };
        close(first.belief().time_factor(over).low / second.belief().time_factor(over).low, 1.0, 1e-9);
        for (index, point) in second.points().iter().enumerate() {
            let same = &first.points()[(index + turn) % seen.len()];
            close(point.residual, same.residual, 1e-6 * (1.0 + same.residual.abs()));
        }
    }

    /// One more sighting that agrees narrows what is known.
    #[test]
    fn sightings_that_agree_narrow(
        t in 12.0..28.0_f64, level in 0.6..1.4_f64, slowness in 0.9..1.1_f64, count in 0..8_usize,
    ) {
        let seen = vec![Seen::exact(slowness, 6000.0, 1.0, level, t); count + 1];
        let (fewer, more) = (learnt(&seen[..count]), learnt(&seen));
        prop_assert!(width(more.belief().slowness()) < width(fewer.belief().slowness()));
        let over = Conditions { temperature: Celsius(t), level_ratio: Some(level) };
        let width = |learnt: &Learnt| width(learnt.belief().time_factor(over));
        prop_assert!(width(&more) <= width(&fewer) + 1e-9);
    }

    /// What is believed lies between the card and what was seen.
    #[test]
    fn belief_lies_between_card_and_record(slowness in 0.2..5.0_f64, count in 1..6_usize) {
        let seen = vec![Seen::exact(slowness, 6000.0, 1.0, 1.0, 20.0); count];
        let found = learnt(&seen).belief().slowness().likely;
        prop_assert!(found >= slowness.min(1.0) - 1e-9 && found <= slowness.max(1.0) + 1e-9);
    }

    /// Whatever was seen, every number told is a number and in order.
    #[test]
    fn nothing_seen_gives_a_number_that_is_none(
        seen in prop::collection::vec(some_seen(), 0..7), wild in 1e-6..1e6_f64,
    ) {
        let mut seen = seen;
        if let Some(one) = seen.first_mut() {
            one.reference = wild;
        }
        let learnt = learnt(&seen);
        let over = Conditions { temperature: Celsius(8.0), level_ratio: Some(0.5) };
        for told in [learnt.belief().slowness(), learnt.belief().time_factor(over), learnt.belief().reference_factor(over)] {
            prop_assert!(told.is_ordered() && told.low > 0.0 && told.high.is_finite(), "{told:?}");
        }
        prop_assert!(learnt.belief().exponent().is_ordered() && learnt.belief().energy().is_ordered());
        prop_assert!(learnt.belief().law().rate(Celsius(8.0)).is_finite());
        for point in learnt.points() {
            prop_assert!(point.predicted.is_ordered() && point.residual.is_finite(), "{point:?}");
        }
        let next = learn(&Prior { carried: Some(learnt.belief().carried()), ..PRIOR }, &[]);
        prop_assert!(next.belief().slowness().is_ordered() && next.belief().energy().is_ordered());
    }

    #[test]
    fn a_belief_comes_back_from_json_the_same(
        seen in prop::collection::vec(some_seen(), 0..5),
    ) {
        let belief = learnt(&seen).belief();
        let mut text = String::new();
        belief.write(&mut text);
        let read = Belief::read(&Json::read(&text).unwrap()).unwrap();
        prop_assert_eq!(read, belief);
    }

    /// A cure solved with what was learnt takes what is told of it.
    #[test]
    fn law_exponent_and_reference_factor_make_up_the_time_factor(
        seen in prop::collection::vec(some_seen(), 0..5), t in 8.0..32.0_f64, level in 0.5..1.5_f64,
    ) {
        let learnt = learnt(&seen);
        prop_assume!(learnt.belief().energy().likely > KilojoulesPerMole(0.0));
        let over = Conditions { temperature: Celsius(t), level_ratio: Some(level) };
        let speed = learnt.belief().law().rate(Celsius(t)) * level.powf(learnt.belief().exponent().likely);
        let (whole, part) = (learnt.belief().time_factor(over), learnt.belief().reference_factor(over));
        close((part.likely / speed / whole.likely).ln(), 0.0, 1e-9);
        close((part.high / speed / whole.high).ln(), 0.0, 1e-9);
    }
}
