//! Laws of tubs, tolerances and conversions: what holds for any numbers.

use super::*;
use crate::engine::quantity::Span;
use proptest::prelude::*;

fn part(name: &str, mass: f64) -> PartTarget {
    PartTarget { name: name.into(), mass: Grams(mass) }
}

#[test]
fn values_without_sense_are_refused_in_words() {
    let used = |mass: f64, time: f64| Used { mass: Grams(mass), time: Minutes(time) };
    assert_eq!(
        learned_rate(&[used(500.0, 10.0)], 1),
        Err(CupError::TooFew { least: 2 }),
        "one batch has no spread"
    );
    assert!(learned_rate(&[used(500.0, 10.0), used(500.0, 0.0)], 2).is_err());
    assert!(learned_rate(&[used(500.0, 10.0), used(f64::NAN, 9.0)], 2).is_err());
    let parts = [part("base", 500.0), part("catalyst", 50.0)];
    let recovered = |poured: &[Grams]| recover(&parts, poured, Grams(0.0), Percent(5.0));
    assert!(recovered(&[]).is_err());
    assert!(recovered(&[Grams(-1.0)]).is_err());
    assert_eq!(recovered(&[Grams(1.0); 3]), Err(CupError::TooManyPours));
    assert_eq!(net(Grams(80.0), Grams(85.0)), Err(CupError::ReadingFell));
    assert_eq!(net(Grams(585.0), Grams(85.0)), Ok(Grams(500.0)));
    let densities = Densities { a: GramsPerMillilitre(0.0), b: GramsPerMillilitre(1.0) };
    assert!(by_weight(ByVolume { a: 1.0, b: 1.0 }, densities).is_err());
    let sand = Addition {
        name: "Filler".into(),
        share: Percent(-1.0),
        least: Percent(0.0),
        most: Percent(200.0),
    };
    assert!(additions(Grams(100.0), &[sand]).is_err());
    assert_eq!(
        CupError::TooFew { least: 3 }.to_string(),
        "Your own rate is known from 3 batches on. Log mass and time of a few more."
    );
}

proptest! {
    /// Whatever was poured, topping up as told restores the planned ratio.
    #[test]
    fn a_recovered_mix_has_the_planned_ratio(
        a in 10.0..5000.0_f64, b in 1.0..500.0_f64, c in 1.0..500.0_f64,
        off in prop::collection::vec(0.5..2.0_f64, 1..=3), tare in 0.0..500.0_f64
    ) {
        let parts = [part("base", a), part("catalyst", b), part("filler", c)];
        let poured: Vec<Grams> =
            off.iter().zip(&parts).map(|(factor, part)| part.mass * *factor).collect();
        let found = recover(&parts, &poured, Grams(tare), Percent(5.0)).unwrap().result;
        let mut tub = [0.0; 3];
        for (into, mass) in tub.iter_mut().zip(&poured) {
            *into += mass.value();
        }
        for step in &found.steps {
            let index = parts.iter().position(|part| part.name == step.name).unwrap();
            tub[index] += step.add.value();
            prop_assert!(step.add.value() > 0.0);
        }
        for (mass, part) in tub.iter().zip(&parts) {
            prop_assert!((mass / part.mass.value() / found.factor - 1.0).abs() < 1e-6);
        }
        let total: f64 = tub.iter().sum();
        prop_assert!((total / found.total.value() - 1.0).abs() < 1e-6);
        if let Some(last) = found.steps.last() {
            prop_assert!((last.reading.value() - tare - total).abs() < 1e-6 * (total + tare));
        }
        // No smaller mix would hold all that was poured.
        let largest = off.iter().copied().fold(0.0, f64::max);
        prop_assert!((found.factor - largest).abs() < 1e-9);
    }

    /// Readings and amounts are one and the same.
    #[test]
    fn readings_give_back_the_pours(
        tare in 0.0..500.0_f64, masses in prop::collection::vec(0.0..2000.0_f64, 0..6)
    ) {
        let parts: Vec<PartTarget> = masses.iter().map(|&mass| part("part", mass)).collect();
        let readings: Vec<Grams> =
            scale_steps(Grams(tare), &parts).iter().map(|step| step.reading).collect();
        let found = from_readings(Grams(tare), &readings).unwrap();
        prop_assert_eq!(found.len(), masses.len());
        for (added, mass) in found.iter().zip(&masses) {
            prop_assert!((added.value() - mass).abs() < 1e-9);
        }
    }

    /// Any total from the safe one on is rounded inside the tolerance.
    #[test]
    fn a_safe_total_is_safe(
        a in 1.0..20.0_f64, tolerance in 0.5..10.0_f64, more in 0.0..500.0_f64,
        fine in prop::sample::select(vec![0.1, 1.0, 5.0])
    ) {
        let rounded = |total: f64| {
            let parts = split_two_part(Grams(total), a, 1.0).unwrap();
            round_within(parts, a, 1.0, Grams(1.0), Grams(fine), Percent(tolerance))
        };
        let safe = rounded(10_000.0).unwrap().result.safe_from.unwrap();
        let found = rounded(safe.value() + more).unwrap().result;
        prop_assert!(found.inside, "off by {} %", found.error.value());
    }

    /// There and back again, by volume and by weight.
    #[test]
    fn a_ratio_converted_twice_is_itself(
        a in 0.1..100.0_f64, b in 0.1..100.0_f64, heavy in 0.7..3.0_f64, light in 0.7..3.0_f64
    ) {
        let densities = Densities { a: GramsPerMillilitre(heavy), b: GramsPerMillilitre(light) };
        let weight = by_weight(ByVolume { a, b }, densities).unwrap().result;
        let volume = by_volume(weight, densities).unwrap().result;
        prop_assert!((volume.b / volume.a / (b / a) - 1.0).abs() < 1e-9);
        // And it is what measuring cups would show.
        let parts = split_two_part(Grams(1000.0), weight.a, weight.b).unwrap();
        let cups = measured(parts, densities).unwrap().result;
        prop_assert!((cups.b / cups.a / (b / a) - 1.0).abs() < 1e-9);
        prop_assert!(cups.mixed.value() <= heavy.max(light) + 1e-9);
        prop_assert!(cups.mixed.value() >= heavy.min(light) - 1e-9);
    }

    /// A learned rate lies among its batches, and its slow end is above 0.
    #[test]
    fn a_learned_rate_lies_among_its_batches(
        rates in prop::collection::vec(1.0..1000.0_f64, 2..12), time in 1.0..60.0_f64
    ) {
        let batches: Vec<Used> = rates
            .iter()
            .map(|rate| Used { mass: Grams(rate * time), time: Minutes(time) })
            .collect();
        let found = learned_rate(&batches, 2).unwrap().result;
        let least = rates.iter().copied().fold(f64::INFINITY, f64::min);
        let most = rates.iter().copied().fold(0.0, f64::max);
        let Span { low, likely, high } = found;
        prop_assert!(low.value() >= least - 1e-6);
        prop_assert!(low.value() > 0.0 && low <= likely && likely <= high);
        prop_assert!(likely.value() >= least - 1e-6 && likely.value() <= most + 1e-6);
    }

    /// Tubs for a spread of rates are never larger than the slow hand can use.
    #[test]
    fn tubs_fit_the_slow_hand(total in 10.0..20_000.0_f64, low in 20.0..80.0_f64, pot in 5.0..60.0_f64) {
        let rate = Span { low, likely: low * 1.2, high: low * 1.4 }.map(GramsPerMinute);
        let found = tubs_at_rate(Grams(total), Minutes(pot), rate, Percent(65.0), None).unwrap().result;
        prop_assert!(found.split.each.value() <= low * pot * 0.65 * (1.0 + 1e-6));
        prop_assert!(found.lasts.value() <= pot * 0.65);
        prop_assert!((found.split.each.value() * f64::from(found.split.count) - total).abs() < 1e-6);
    }

    /// Additions add up, and only what is beyond a limit is said to be.
    #[test]
    fn additions_add_up(base in 1.0..5000.0_f64, share in 0.0..300.0_f64, most in 0.5..250.0_f64) {
        let one = Addition {
            name: "Filler".into(),
            share: Percent(share),
            least: Percent(most / 4.0),
            most: Percent(most),
        };
        let found = additions(Grams(base), &[one.clone(), one]).unwrap();
        let each = &found.result.each;
        let sum = base + each[0].mass.value() + each[1].mass.value();
        prop_assert!((found.result.total.value() - sum).abs() < 1e-9 * sum);
        prop_assert_eq!(each[0].limit == Limit::Above, share > most + 1e-9);
        prop_assert_eq!(each[0].limit == Limit::Below, share > 0.0 && share < most / 4.0 - 1e-9);
        let said = found.sum.lines.iter().any(|line| line.text.contains("too "));
        prop_assert_eq!(said, each[0].limit != Limit::Between);
    }
}
