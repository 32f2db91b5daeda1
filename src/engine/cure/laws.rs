//! Laws that hold for every cure, tried on random ones.

use super::*;
use crate::engine::quantity::{Kelvins, KilojoulesPerMole};
use proptest::prelude::*;

const START: Instant = Instant(1_700_000_000_000);

fn a_law() -> impl Strategy<Value = TemperatureLaw> {
    prop_oneof![
        (20.0..90.0_f64).prop_map(|energy| TemperatureLaw::ActivationEnergy {
            energy: KilojoulesPerMole(energy),
            reference: Celsius(20.0)
        }),
        (1.1..3.0_f64)
            .prop_map(|factor| TemperatureLaw::PerTen { factor, reference: Celsius(20.0) }),
    ]
}

/// Readings at minutes since the start, sometimes close together.
fn some_points() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((-200.0..1500.0_f64, 2.0..38.0_f64), 1..12)
}

fn through(points: &[(f64, f64)]) -> TemperatureHistory {
    let points = points.iter().map(|(at, t)| (START + Minutes(*at), Celsius(*t)));
    TemperatureHistory::new(points).unwrap()
}

fn warmer(points: &[(f64, f64)], by: f64) -> TemperatureHistory {
    through(&points.iter().map(|(at, t)| (*at, t + by)).collect::<Vec<_>>())
}

/// Cold end, likely and warm end around the same readings.
fn around(points: &[(f64, f64)], width: f64) -> Span<TemperatureHistory> {
    Span { low: warmer(points, -width), likely: through(points), high: warmer(points, width) }
}

fn some_milestones() -> impl Strategy<Value = Vec<MilestoneSpec>> {
    let one = (2.0..900.0_f64, 0.3..1.0_f64, 1.0..2.0_f64, any::<(bool, bool)>(), 0..4_u8);
    let spec = one.prop_map(|(likely, low, high, (wet, finish), firm)| MilestoneSpec {
        time: Span { low: likely * low, likely, high: likely * high }.map(Minutes),
        phase: if wet { Phase::Wet } else { Phase::Harden },
        effect: if finish { Effect::FinishBy } else { Effect::NotBefore },
        firm: firm == 0,
    });
    prop::collection::vec(spec, 1..6)
}

fn some_limits() -> impl Strategy<Value = Limits> {
    (5.0..18.0_f64, 0.0..8.0_f64, 26.0..36.0_f64).prop_map(|(wet_min, less, max)| Limits {
        wet_min: Celsius(wet_min),
        harden_min: Celsius(wet_min - less),
        max: Celsius(max),
    })
}

/// Progress by thousands of small steps and nothing clever, for comparison.
/// Age is gained by `speed_at(age, firm, minute)`; gives the minute of an age.
fn stepwise(age: f64, firm_age: f64, speed_at: impl Fn(bool, f64) -> f64) -> Option<f64> {
    const STEP: f64 = 0.05;
    let mut gained = 0.0;
    for step in 0..60_000 {
        let minute = f64::from(step) * STEP;
        let gain = STEP * speed_at(gained >= firm_age, minute + 0.5 * STEP);
        if gained + gain >= age {
            return Some(minute + STEP * (age - gained) / gain);
        }
        gained += gain;
    }
    None
}

proptest! {
    #[test]
    fn a_forecast_is_ordered_and_not_before_the_start(
        law in a_law(), points in some_points(), width in 0.0..4.0_f64,
        milestones in some_milestones(), limits in some_limits(),
        speed in 0.3..3.0_f64, now in -50.0..1600.0_f64,
    ) {
        let cure = Cure { start: START, law, speed, limits, milestones: &milestones };
        let solution = cure.solve(&around(&points, width), START + Minutes(now));
        prop_assert_eq!(solution.forecasts.len(), milestones.len());
        for forecast in solution.forecasts {
            if let Forecast::At(span) = forecast {
                prop_assert!(span.is_ordered(), "{:?}", span);
                prop_assert!(span.low >= START && span.high <= START + HORIZON);
            }
        }
        let spent = solution.cold_while_wet + solution.hot_while_wet;
        // Instants are whole milliseconds.
        prop_assert!(spent >= Minutes(0.0) && spent <= Minutes(now.max(0.0) + 1e-4));
    }

    #[test]
    fn added_warmth_never_delays(
        law in a_law(), points in some_points(), extra in prop::collection::vec(0.0..6.0_f64, 12),
        milestones in some_milestones(), limits in some_limits(), width in 0.0..3.0_f64,
    ) {
        // Seen from the end of all readings, so that no past milestone hides
        // behind a missing time.
        let now = START + Minutes(100_000.0);
        let cure = Cure { start: START, law, speed: 1.0, limits, milestones: &milestones };
        let warm: Vec<_> =
            points.iter().zip(&extra).map(|((at, t), extra)| (*at, t + extra)).collect();
        let before = cure.solve(&around(&points, width), now);
        let after = cure.solve(&around(&warm, width), now);
        for (before, after) in before.forecasts.iter().zip(&after.forecasts) {
            if let (Forecast::At(before), Forecast::At(after)) = (before, after) {
                prop_assert!(after.low.0 <= before.low.0 + 1);
                prop_assert!(after.likely.0 <= before.likely.0 + 1);
                prop_assert!(after.high.0 <= before.high.0 + 1);
            }
        }
    }

    #[test]
    fn more_speed_never_delays(
        law in a_law(), points in some_points(), milestones in some_milestones(),
        limits in some_limits(), speed in 0.3..3.0_f64, more in 1.0..2.0_f64,
    ) {
        let now = START + Minutes(100_000.0);
        let solve = |speed| {
            let cure = Cure { start: START, law, speed, limits, milestones: &milestones };
            cure.solve(&around(&points, 0.0), now)
        };
        for (slow, fast) in solve(speed).forecasts.iter().zip(&solve(speed * more).forecasts) {
            if let (Forecast::At(slow), Forecast::At(fast)) = (slow, fast) {
                prop_assert!(fast.likely.0 <= slow.likely.0 + 1);
                prop_assert!(fast.high.0 <= slow.high.0 + 1);
            }
        }
    }

    #[test]
    fn a_reading_on_the_line_changes_nothing(
        law in a_law(), points in some_points(), milestones in some_milestones(),
        limits in some_limits(), share in 0.0..1.0_f64,
    ) {
        let history = through(&points);
        let (first, (last, _)) = (history.points()[0].0, history.last());
        let between = first + last.since(first) * share;
        let mut more = history.points().to_vec();
        more.push((between, history.at(between)));
        let more = TemperatureHistory::new(more).unwrap();
        let cure = Cure { start: START, law, speed: 1.0, limits, milestones: &milestones };
        let sure = |h: &TemperatureHistory| Span { low: h.clone(), likely: h.clone(), high: h.clone() };
        let now = START + Minutes(100_000.0);
        let (plain, finer) = (cure.solve(&sure(&history), now), cure.solve(&sure(&more), now));
        for (plain, finer) in plain.forecasts.iter().zip(&finer.forecasts) {
            if let (Forecast::At(plain), Forecast::At(finer)) = (plain, finer) {
                // A millisecond in every week or so.
                prop_assert!((plain.likely.0 - finer.likely.0).abs() <= 2);
            }
        }
    }

    #[test]
    fn splitting_a_history_anywhere_leaves_the_age_unchanged(
        law in a_law(), points in some_points(), cut in -300.0..2000.0_f64,
        from in -300.0..1000.0_f64, lasting in 0.0..1500.0_f64,
    ) {
        let history = through(&points);
        let [from, to, cut] = [from, from + lasting, cut].map(|at| START + Minutes(at));
        let whole = equivalent_age(&law, &history, from, to);
        let parts =
            equivalent_age(&law, &history, from, cut) + equivalent_age(&law, &history, cut, to);
        prop_assert!((whole - parts).value().abs() <= 1e-6 * whole.value().abs() + 1e-3 * 1e-3);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_three_tracks_agree_with_small_steps(
        law in a_law(), points in some_points(), width in 0.0..3.0_f64,
        limits in some_limits(), likely in 20.0..400.0_f64, firm in 5.0..300.0_f64,
    ) {
        let milestones = [
            MilestoneSpec {
                time: Span { low: 0.7 * likely, likely, high: 1.3 * likely }.map(Minutes),
                phase: Phase::Harden,
                effect: Effect::NotBefore,
                firm: false,
            },
            MilestoneSpec {
                time: Span { low: 0.8 * firm, likely: firm, high: 1.2 * firm }.map(Minutes),
                phase: Phase::Wet,
                effect: Effect::NotBefore,
                firm: true,
            },
        ];
        let cure = Cure { start: START, law, speed: 1.0, limits, milestones: &milestones };
        let temperature = around(&points, width);
        let solution = cure.solve(&temperature, START + Minutes(100_000.0));
        let Forecast::At(found) = solution.forecasts[0] else { return Ok(()) };

        let middle = |minute: f64| temperature.likely.at(START + Minutes(minute));
        let own = |firm: bool, minute: f64| {
            let t = middle(minute);
            if firm && t < limits.harden_min { 0.0 } else { law.rate(t) }
        };
        let fast = |firm: bool, minute: f64| {
            let t = middle(minute) + Kelvins(width);
            law.rate(if firm { t } else { t.max(limits.wet_min) })
        };
        let firm_at = stepwise(firm, f64::INFINITY, |_, minute| own(false, minute));
        let slow = |_: bool, minute: f64| {
            let hard = firm_at.is_some_and(|firm_at| minute >= firm_at);
            let least = if hard { limits.harden_min } else { limits.wet_min };
            let cold = middle(minute) - Kelvins(width);
            if middle(minute) < least { 0.0 } else { law.rate(cold.min(limits.max)) }
        };
        let ends = [
            (found.low, stepwise(0.7 * likely, 0.8 * firm, fast)),
            (found.likely, stepwise(likely, firm, own)),
            (found.high, stepwise(1.3 * likely, f64::INFINITY, slow)),
        ];
        for (found, stepped) in ends {
            let Some(stepped) = stepped else { continue };
            let found = found.since(START).value();
            prop_assert!((found - stepped).abs() < 0.5, "{found} is not {stepped}");
        }
    }
}
