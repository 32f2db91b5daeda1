use super::*;

const START: Instant = Instant(1_700_000_000_000);

/// Polyester: limits of trade reference 3.1 (wet 15 °C, harden 10 °C, 30 °C).
const LIMITS: Limits =
    Limits { wet_min: Celsius(15.0), harden_min: Celsius(10.0), max: Celsius(30.0) };
const DOUBLING: TemperatureLaw = TemperatureLaw::PerTen { factor: 2.0, reference: Celsius(20.0) };

fn minute(minutes: f64) -> Instant {
    START + Minutes(minutes)
}

fn spec(times: [f64; 3], phase: Phase, effect: Effect) -> MilestoneSpec {
    let [low, likely, high] = times.map(Minutes);
    MilestoneSpec { time: Span { low, likely, high }, phase, effect, firm: false }
}

/// Laminating resin after trade reference 3.3: trim closes, firm, demould.
fn laminate() -> [MilestoneSpec; 3] {
    [
        spec([25.0, 40.0, 60.0], Phase::Wet, Effect::FinishBy),
        MilestoneSpec { firm: true, ..spec([30.0, 50.0, 90.0], Phase::Wet, Effect::NotBefore) },
        spec([720.0, 960.0, 1440.0], Phase::Harden, Effect::NotBefore),
    ]
}

fn cure(milestones: &[MilestoneSpec]) -> Cure<'_> {
    Cure { start: START, law: DOUBLING, speed: 1.0, limits: LIMITS, milestones }
}

/// A history through points of minutes since the start.
fn through(points: &[(f64, f64)]) -> TemperatureHistory {
    TemperatureHistory::new(points.iter().map(|(at, t)| (minute(*at), Celsius(*t)))).unwrap()
}

/// The same temperature for all three tracks.
fn sure(history: TemperatureHistory) -> Span<TemperatureHistory> {
    Span { low: history.clone(), likely: history.clone(), high: history }
}

/// The instants of a forecast in minutes since the start.
fn at(forecast: Forecast) -> [f64; 3] {
    let Forecast::At(span) = forecast else { panic!("no time: {forecast:?}") };
    [span.low, span.likely, span.high].map(|instant| instant.since(START).value())
}

#[track_caller]
fn close(found: [f64; 3], wanted: [f64; 3]) {
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-3, "{found} is not {wanted}");
    }
}

#[test]
fn at_the_reference_temperature_the_sheet_holds() {
    let milestones = laminate();
    let solution = cure(&milestones).solve(&sure(through(&[(0.0, 20.0)])), START);
    close(at(solution.forecasts[0]), [25.0, 40.0, 60.0]);
    close(at(solution.forecasts[2]), [720.0, 960.0, 1440.0]);
    assert_eq!(solution.cold_while_wet, Minutes(0.0));
    assert_eq!(solution.hot_while_wet, Minutes(0.0));
}

#[test]
fn twice_the_speed_halves_every_time() {
    let milestones = laminate();
    let fast = Cure { speed: 2.0, ..cure(&milestones) };
    let solution = fast.solve(&sure(through(&[(0.0, 20.0)])), START);
    close(at(solution.forecasts[2]), [360.0, 480.0, 720.0]);
}

#[test]
fn a_timer_lengthens_as_the_shop_cools_and_shortens_as_it_warms() {
    let milestones = [spec([40.0; 3], Phase::Wet, Effect::FinishBy)];
    let limits = Limits { wet_min: Celsius(5.0), ..LIMITS };
    let law = TemperatureLaw::PerTen { factor: 2.0, reference: Celsius(24.0) };
    let cure = Cure { law, limits, ..cure(&milestones) };
    let likely = |points: &[(f64, f64)], now| {
        at(cure.solve(&sure(through(points)), minute(now)).forecasts[0])[1]
    };
    let steady = likely(&[(0.0, 24.0)], 0.0);
    let cooled = likely(&[(0.0, 24.0), (20.0, 14.0)], 20.0);
    let warmed = likely(&[(0.0, 24.0), (20.0, 14.0), (30.0, 24.0)], 30.0);
    assert!((steady - 40.0).abs() < 1e-3);
    // By hand: a ramp over one halving counts 1/(2 ln 2) of its time, so that
    // 20 min down count 14.427 and the rest runs at half speed.
    assert!((cooled - (20.0 + 2.0 * (40.0 - 14.426_950))).abs() < 1e-3, "{cooled}");
    assert!((warmed - (30.0 + 40.0 - 14.426_950 - 7.213_475)).abs() < 1e-3, "{warmed}");
}

#[test]
fn wet_and_cold_now_there_is_no_time_for_what_is_still_ahead() {
    let milestones = laminate();
    let cold = sure(through(&[(0.0, 20.0), (45.0, 20.0), (45.1, 13.0)]));
    let solution = cure(&milestones).solve(&cold, minute(46.0));
    let no_time = Forecast::TooCold { now: Celsius(13.0), least: Celsius(15.0) };
    assert_eq!(at(solution.forecasts[0])[1], 40.0);
    assert_eq!(solution.forecasts[1..], [no_time, no_time]);
    // 2 of the 7 degrees of fall lie under the minimum.
    let cold_for = solution.cold_while_wet.value();
    assert!((cold_for - (0.9 + 0.1 * 2.0 / 7.0)).abs() < 1e-6, "{cold_for}");
}

#[test]
fn wet_and_hot_now_there_is_no_time_either() {
    let milestones = laminate();
    let solution = cure(&milestones).solve(&sure(through(&[(0.0, 33.0)])), minute(2.0));
    let no_time = Forecast::TooHot { now: Celsius(33.0), most: Celsius(30.0) };
    assert_eq!(solution.forecasts, [no_time; 3]);
    assert_eq!(solution.hot_while_wet, Minutes(2.0));
}

#[test]
fn exactly_at_a_limit_is_within_it() {
    let milestones = laminate();
    for t in [15.0, 30.0] {
        let solution = cure(&milestones).solve(&sure(through(&[(0.0, t)])), minute(1.0));
        assert!(matches!(solution.forecasts[0], Forecast::At(_)), "{t}");
    }
}

#[test]
fn a_stated_cold_takes_the_time_only_from_what_comes_after_it() {
    let milestones = laminate();
    // 20 °C until minute 45, then stated to fall to 9 °C.
    let stated = sure(through(&[(0.0, 20.0), (45.0, 20.0), (46.0, 9.0)]));
    let solution = cure(&milestones).solve(&stated, minute(5.0));
    assert_eq!(at(solution.forecasts[0])[1], 40.0);
    let no_time = Forecast::TooCold { now: Celsius(9.0), least: Celsius(15.0) };
    assert_eq!(solution.forecasts[1..], [no_time; 2]);
    assert_eq!(solution.cold_while_wet, Minutes(0.0));
}

#[test]
fn once_firm_the_night_may_be_colder_than_wet_work_allows() {
    let milestones = laminate();
    let night = sure(through(&[(0.0, 20.0), (60.0, 20.0), (61.0, 12.0)]));
    let solution = cure(&milestones).solve(&night, minute(62.0));
    assert!(matches!(solution.forecasts[2], Forecast::At(_)));
}

#[test]
fn a_past_cold_spell_counts_for_each_end_to_its_careful_side() {
    let milestones = [spec([100.0; 3], Phase::Wet, Effect::FinishBy)];
    let points = [(0.0, 20.0), (19.999, 20.0), (20.0, 10.0), (50.0, 10.0), (50.001, 20.0)];
    let solution = cure(&milestones).solve(&sure(through(&points)), minute(60.0));
    // 30 min at 10 °C: as at 15 °C, at its own half speed, and as nothing.
    let short = 130.0 - 30.0 * 0.5_f64.sqrt();
    let found = at(solution.forecasts[0]);
    for (found, wanted) in found.iter().zip([short, 115.0, 130.0]) {
        assert!((found - wanted).abs() < 0.01, "{found} is not {wanted}");
    }
    let cold_for = solution.cold_while_wet.value();
    assert!((cold_for - 30.0).abs() < 0.01, "{cold_for}");
}

#[test]
fn a_past_hot_spell_shortens_the_short_end_in_full_and_the_long_end_no_further_than_max() {
    let milestones = [spec([100.0; 3], Phase::Wet, Effect::FinishBy)];
    let points = [(0.0, 20.0), (9.999, 20.0), (10.0, 40.0), (20.0, 40.0), (20.001, 20.0)];
    let solution = cure(&milestones).solve(&sure(through(&points)), minute(30.0));
    // 10 min at 40 °C: four times as fast, or as at 30 °C twice.
    let found = at(solution.forecasts[0]);
    for (found, wanted) in found.iter().zip([70.0, 70.0, 90.0]) {
        assert!((found - wanted).abs() < 0.01, "{found} is not {wanted}");
    }
    assert!((solution.hot_while_wet.value() - 10.0).abs() < 0.01);
}

#[test]
fn a_night_in_an_unheated_shop_counts_as_the_trade_brief_works_it_out() {
    // Trade brief 3.1, our own worked example: 1.5 h at 17 °C and 14 h at 12 °C
    // count as 9.3 h of 16, another 8.3 h at 17 °C are needed.
    let milestones = [spec([960.0; 3], Phase::Harden, Effect::NotBefore)];
    let points = [(0.0, 17.0), (90.0, 17.0), (90.01, 12.0), (930.0, 12.0), (930.01, 17.0)];
    let history = through(&points);
    let counted = equivalent_age(&DOUBLING, &history, START, minute(930.0)).value() / 60.0;
    assert!((counted - 9.3).abs() < 0.05, "{counted}");
    let solution = cure(&milestones).solve(&sure(history), minute(930.0));
    let left = (at(solution.forecasts[0])[1] - 930.0) / 60.0;
    assert!((left - 8.3).abs() < 0.05, "{left}");
}

#[test]
fn hard_and_held_under_the_minimum_it_never_arrives() {
    let milestones = laminate();
    let frost = sure(through(&[(0.0, 20.0), (100.0, 20.0), (101.0, 8.0)]));
    let solution = cure(&milestones).solve(&frost, minute(120.0));
    assert!(matches!(solution.forecasts[1], Forecast::At(_)));
    assert_eq!(solution.forecasts[2], Forecast::Never);
}

#[test]
fn what_likely_passed_keeps_its_instant_though_the_long_end_never_comes() {
    let milestones = [spec([60.0, 100.0, 140.0], Phase::Harden, Effect::NotBefore)];
    let frost = sure(through(&[(0.0, 20.0), (120.0, 20.0), (120.1, 8.0)]));
    let solution = cure(&milestones).solve(&frost, minute(130.0));
    close(at(solution.forecasts[0]), [60.0, 100.0, HORIZON.value()]);
    let ahead = [spec([60.0, 110.0, 140.0], Phase::Harden, Effect::NotBefore)];
    let solution = cure(&ahead).solve(&frost, minute(100.0));
    assert_eq!(solution.forecasts, [Forecast::Never]);
}

#[test]
fn an_estimated_surface_whose_cold_end_is_under_the_minimum_still_has_a_long_end() {
    let milestones = laminate();
    let [low, likely, high] = [13.0, 16.0, 19.0].map(|t| through(&[(0.0, t)]));
    let solution = cure(&milestones).solve(&Span { low, likely, high }, START);
    let speed = |t: f64| 2.0_f64.powf((t - 20.0) / 10.0);
    close(at(solution.forecasts[1]), [30.0 / speed(19.0), 50.0 / speed(16.0), 90.0 / speed(13.0)]);
}

#[test]
fn without_a_firm_milestone_the_last_wet_one_ends_the_wet_phase() {
    let milestones = [
        spec([30.0; 3], Phase::Wet, Effect::FinishBy),
        spec([60.0; 3], Phase::Wet, Effect::FinishBy),
        spec([200.0; 3], Phase::Harden, Effect::NotBefore),
    ];
    let night = sure(through(&[(0.0, 20.0), (61.0, 20.0), (61.01, 12.0)]));
    let solution = cure(&milestones).solve(&night, minute(70.0));
    assert!(matches!(solution.forecasts[2], Forecast::At(_)));
    let earlier = sure(through(&[(0.0, 20.0), (55.0, 20.0), (55.01, 12.0)]));
    let solution = cure(&milestones).solve(&earlier, minute(58.0));
    assert!(matches!(solution.forecasts[2], Forecast::TooCold { .. }));
}

#[test]
fn a_cure_without_wet_milestones_hardens_from_the_start() {
    let milestones = [spec([60.0; 3], Phase::Harden, Effect::NotBefore)];
    let solution = cure(&milestones).solve(&sure(through(&[(0.0, 10.0)])), minute(10.0));
    close(at(solution.forecasts[0]), [120.0; 3]);
    assert_eq!(solution.cold_while_wet, Minutes(0.0));
}

#[test]
fn a_speed_of_nothing_never_arrives() {
    let milestones = laminate();
    for speed in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let still = Cure { speed, ..cure(&milestones) };
        let solution = still.solve(&sure(through(&[(0.0, 20.0)])), minute(5.0));
        assert_eq!(solution.forecasts, [Forecast::Never; 3], "{speed}");
    }
}

#[test]
fn beyond_the_horizon_is_never() {
    let milestones = [spec([600_000.0; 3], Phase::Harden, Effect::NotBefore)];
    let solution = cure(&milestones).solve(&sure(through(&[(0.0, 20.0)])), START);
    assert_eq!(solution.forecasts, [Forecast::Never]);
}

#[test]
fn a_planned_cure_is_judged_at_its_start() {
    let milestones = laminate();
    // Cold now, stated to be warm by the start.
    let planned = sure(through(&[(-120.0, 12.0), (-10.0, 20.0)]));
    let solution = cure(&milestones).solve(&planned, minute(-120.0));
    close(at(solution.forecasts[0]), [25.0, 40.0, 60.0]);
}

#[test]
fn equivalent_age_backwards_is_negative() {
    let history = through(&[(0.0, 10.0), (60.0, 30.0)]);
    let forwards = equivalent_age(&DOUBLING, &history, START, minute(60.0));
    let backwards = equivalent_age(&DOUBLING, &history, minute(60.0), START);
    assert_eq!(backwards.value(), -forwards.value());
    assert_eq!(equivalent_age(&DOUBLING, &history, START, START), Minutes(0.0));
}
