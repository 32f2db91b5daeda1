//! What is learnt of a tin against values from outside the project.
//!
//! Sources, named again beside each check: the same regression solved by
//! statsmodels and SciPy (`tests/data/learning_reference.csv`, made by the script
//! beside it); quantiles of Student's t by SciPy; published activation energies
//! and the gel times that follow from them. No published table of polyester gel
//! times over temperature and peroxide level could be read (the two papers known
//! to hold one are named in `published_gel_times...`), so that is not checked.

use benchtide::engine::history::TemperatureHistory;
use benchtide::engine::learning::{
    Conditions, Learnt, Observation, Outlier, Prior, Unusable, energies, learn,
};
use benchtide::engine::quantity::{Celsius, Instant, KilojoulesPerMole, Minutes, Span};

const START: Instant = Instant(1_700_000_000_000);

#[track_caller]
fn close(found: f64, wanted: f64, relative: f64, what: &str) {
    let error = (found - wanted).abs();
    assert!(error <= relative * wanted.abs().max(0.1), "{what}: {found} is not {wanted}");
}

/// Relative to the high end: a low end may lie next to nought.
#[track_caller]
fn close_span(found: Span<f64>, wanted: &[f64], relative: f64, what: &str) {
    let within = relative * wanted[2];
    for (found, wanted) in [found.low, found.likely, found.high].into_iter().zip(wanted) {
        assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted}");
    }
}

fn span<T>(values: &[f64], unit: impl Fn(f64) -> T) -> Span<T> {
    Span { low: unit(values[0]), likely: unit(values[1]), high: unit(values[2]) }
}

/// A sighting as the reference file has it, with a history of its own.
struct Seen {
    history: TemperatureHistory,
    took: f64,
    not_yet: Option<f64>,
    reference: f64,
    level: Option<f64>,
}

impl Seen {
    fn at(took: f64, reference: f64, level: Option<f64>, t: f64) -> Self {
        let history = TemperatureHistory::constant(Celsius(t));
        Self { history, took, not_yet: None, reference, level }
    }

    fn observation(&self) -> Observation<'_> {
        let after = |minutes: f64| START + Minutes(minutes);
        Observation {
            started: START,
            seen: after(self.took),
            not_yet: self.not_yet.map(after),
            reference: Minutes(self.reference),
            temperature: &self.history,
            level_ratio: self.level,
        }
    }
}

fn learnt(prior: &Prior, seen: &[Seen]) -> Learnt {
    learn(prior, &seen.iter().map(Seen::observation).collect::<Vec<_>>())
}

/// A case of the reference file.
#[derive(Default)]
struct Case {
    name: String,
    rows: Vec<(String, Vec<String>)>,
}

impl Case {
    fn all(&self, kind: &str) -> Vec<&[String]> {
        self.rows.iter().filter(|(row, _)| row == kind).map(|(_, cells)| &cells[..]).collect()
    }

    fn numbers(&self, kind: &str) -> Vec<f64> {
        self.all(kind)[0].iter().filter_map(|cell| cell.parse().ok()).collect()
    }
}

fn cases() -> Vec<Case> {
    let text = include_str!("data/learning_reference.csv");
    let mut cases: Vec<Case> = Vec::new();
    for line in text.lines().skip(1) {
        let cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if cases.last().is_none_or(|case| case.name != cells[0]) {
            cases.push(Case { name: cells[0].clone(), rows: Vec::new() });
        }
        let case = cases.last_mut().unwrap();
        case.rows.push((cells[1].clone(), cells[2..].to_vec()));
    }
    cases
}

fn seen(cells: &[String]) -> Seen {
    let point = |cell: &String| {
        let (minute, t) = cell.split_once('@').unwrap();
        (START + Minutes(minute.parse().unwrap()), Celsius(t.parse().unwrap()))
    };
    Seen {
        history: TemperatureHistory::new(cells[4..].iter().map(point)).unwrap(),
        took: cells[0].parse().unwrap(),
        reference: cells[1].parse().unwrap(),
        level: cells[2].parse().ok(),
        not_yet: cells[3].parse().ok(),
    }
}

fn check(case: &Case, prefix: &str, learnt: &Learnt, asked: Conditions, within: f64) {
    let what = |row: &str| (format!("{}: {prefix}{row}", case.name), format!("{prefix}{row}"));
    let found = [
        ("slowness", learnt.belief().slowness()),
        ("energy", learnt.belief().energy().map(KilojoulesPerMole::value)),
        ("exponent", learnt.belief().exponent()),
        ("factor", learnt.belief().time_factor(asked)),
    ];
    for (row, found) in found {
        let (what, row) = what(row);
        close_span(found, &case.numbers(&row), within, &what);
    }
}

/// Source: statsmodels OLS on augmented rows (constant temperature), SciPy's
/// least_squares with quad (changing temperature), SciPy's Student t: see the
/// script. Allowed: 3e-6 of the value, which is what the expansion of the
/// quantile (1e-6 at four degrees of freedom) and our integration (3e-8) leave;
/// 2e-5 where the temperature changes, where the slope is a difference. Judging
/// by the others is a subtraction here and a new fit there: 2e-3 where those are
/// not linear.
#[test]
fn the_regression_agrees_with_independent_solutions() {
    let cases = cases();
    assert!(cases.len() >= 12);
    for case in &cases {
        let numbers = case.numbers("prior");
        let changing = case.all("prior")[0][0] == "changing";
        let (within, judged_within) = if changing { (2e-5, 2e-3) } else { (3e-6, 5e-6) };
        let prior = Prior {
            slowness_band: numbers[0],
            energy: span(&numbers[1..4], KilojoulesPerMole),
            exponent: span(&numbers[4..7], f64::from),
            reference: Celsius(numbers[7]),
            carried: None,
        };
        let asked = case.numbers("asked");
        let asked =
            Conditions { temperature: Celsius(asked[0]), level_ratio: asked.get(1).copied() };
        let sightings: Vec<Seen> = case.all("seen").into_iter().map(seen).collect();
        let learnt = learnt(&prior, &sightings);
        check(case, "", &learnt, asked, within);
        assert!(learnt.unusable().is_empty());

        let judged = case.all("judged");
        assert_eq!(learnt.points().len(), judged.len());
        for (point, judged) in learnt.points().iter().zip(judged) {
            let wanted: Vec<f64> = judged.iter().map(|cell| cell.parse().unwrap()).collect();
            assert_eq!(point.outlier, None, "{}", case.name);
            let off = (point.residual - wanted[0]).abs();
            assert!(off <= judged_within, "{}: {off} standard units", case.name);
            close(point.predicted.low.value(), wanted[1], judged_within, &case.name);
            close(point.predicted.high.value(), wanted[2], judged_within, &case.name);
        }

        // A new batch, one sighting later.
        let next = Prior { carried: Some(learnt.belief().carried()), ..prior };
        let later = Seen::at(44.0, 25.0, None, 15.0);
        let next = learn(&next, &[later.observation()]);
        check(case, "next ", &next, asked, within);
    }
}

/// Polyester as the trade reference has it, 3.3: factor per ten degrees 2.0
/// (1.75 to 2.3), exponent 1.0 (0.8 to 1.2), at 20 °C.
fn polyester(band: f64, reference: f64) -> Prior {
    Prior {
        slowness_band: band,
        energy: energies(Span { low: 1.75, likely: 2.0, high: 2.3 }, Celsius(reference)),
        exponent: Span { low: 0.8, likely: 1.0, high: 1.2 },
        reference: Celsius(reference),
        carried: None,
    }
}

/// Source: J. Appl. Polym. Sci. 102:1870-1876 (2006), abstract: 40 to 60 kJ/mol
/// for the redox-initiated cure at room temperature.
#[test]
fn the_published_range_of_energies_is_what_the_card_believes() {
    let Span { low, likely, high } = learn(&polyester(0.3, 20.0), &[]).belief().energy();
    close(low.value(), 40.0, 0.02, "low end");
    close(high.value(), 60.0, 0.02, "high end");
    assert!(low < likely && likely < high);
}

/// Sources: gel times that follow from 15 min at 25 °C for 45, 50 and 60 kJ/mol,
/// computed from the definition outside the project (check values, topic 2,
/// rounded to 0.1 min); those energies lie in the published range (see above).
/// Tables of measured gel times stand in Indian J. Eng. Mater. Sci. 18:31-39
/// (2011) and Iran. Polym. J. 14:990-999 (2005), which could not be read.
#[test]
fn published_gel_times_lie_in_the_interval_before_and_after_learning() {
    let prior = polyester(0.2, 25.0);
    let gel = [
        (45.0, [(15.0, 28.2), (18.0, 23.2), (20.0, 20.4), (30.0, 11.1)]),
        (50.0, [(15.0, 30.2), (18.0, 24.4), (20.0, 21.2), (30.0, 10.8)]),
        (60.0, [(15.0, 34.7), (18.0, 26.8), (20.0, 22.7), (30.0, 10.1)]),
    ];
    let told = |learnt: &Learnt, t: f64| {
        let asked = Conditions { temperature: Celsius(t), level_ratio: Some(1.0) };
        learnt.belief().time_factor(asked).map(|factor| 15.0 * factor)
    };
    for (energy, times) in gel {
        let seen: Vec<Seen> = [(25.0, 15.0)]
            .iter()
            .chain(&times)
            .map(|(t, minutes)| Seen::at(*minutes, 15.0, Some(1.0), *t))
            .collect();
        for count in [0, 1, 3, 5] {
            let learnt = learnt(&prior, &seen[..count]);
            for (t, minutes) in times {
                let told = told(&learnt, t);
                assert!(
                    told.low < minutes && minutes < told.high,
                    "{energy} kJ/mol, {count} seen, {t} °C: {minutes} not in {told:?}"
                );
            }
        }
        // With all five seen, the energy moves towards the one that made them.
        let off = |count: usize| {
            (learnt(&prior, &seen[..count]).belief().energy().likely.value() - energy).abs()
        };
        assert!(off(5) <= off(0), "{energy}");
    }
}

/// Source: a pot of polyester at 20 °C with 2 % lasts 15 to 20 min (secondary
/// trade text, P33 of the trade reference; common practice), against a card of
/// 18 min ±30 % from the same reference.
#[test]
fn the_pot_life_of_common_practice_lies_in_the_card_s_interval() {
    let asked = Conditions { temperature: Celsius(20.0), level_ratio: Some(1.0) };
    let told = learn(&polyester(0.3, 20.0), &[]).belief().time_factor(asked);
    assert!(18.0 * told.low < 15.0 && 20.0 < 18.0 * told.high, "{told:?}");
}

/// Common practice (trade reference, catalyst forgotten or doubled; exponent 1):
/// a quarter of the catalyst takes four times as long, twice of it half.
#[test]
fn one_wrong_mix_among_three_is_found_and_no_other_blamed() {
    for (factor, slow) in [(4.0, true), (0.4, false), (30.0, true)] {
        for place in 0..3 {
            let mut seen: Vec<Seen> = [(30.0, 20.0), (45.0, 14.0), (24.0, 23.0)]
                .iter()
                .map(|(took, t)| Seen::at(*took, 27.0, Some(1.0), *t))
                .collect();
            seen[place].took *= factor;
            let learnt = learnt(&polyester(0.3, 20.0), &seen);
            for (index, point) in learnt.points().iter().enumerate() {
                assert_eq!(point.outlier.is_some(), index == place, "{factor}, {place}: {point:?}");
            }
            match learnt.points()[place].outlier {
                Some(Outlier::MuchSlower { times }) => {
                    assert!(slow && (times / factor - 1.0).abs() < 0.2, "{times}");
                }
                Some(Outlier::MuchFaster { times }) => {
                    assert!(!slow && (times * factor - 1.0).abs() < 0.2, "{times}");
                }
                None => unreachable!(),
            }
            // Used all the same: leaving it out is the user's to do.
            let rest: Vec<Seen> = seen
                .into_iter()
                .enumerate()
                .filter_map(|(index, seen)| (index != place).then_some(seen))
                .collect();
            let without = self::learnt(&polyester(0.3, 20.0), &rest);
            assert!(
                (learnt.belief().slowness().likely.ln() - without.belief().slowness().likely.ln())
                    .abs()
                    > 0.15,
                "an outlier must not be dropped in silence"
            );
        }
    }
}

#[test]
fn two_alike_wrong_mixes_among_six_do_not_excuse_each_other() {
    let seen: Vec<Seen> = [1.0, 0.95, 0.45, 1.04, 0.47, 1.02]
        .iter()
        .map(|factor| Seen::at(30.0 * factor, 27.0, Some(1.0), 20.0))
        .collect();
    let learnt = learnt(&polyester(0.3, 20.0), &seen);
    let found: Vec<bool> = learnt.points().iter().map(|point| point.outlier.is_some()).collect();
    assert_eq!(found, [false, false, true, false, true, false]);
}

#[test]
fn nonsense_is_listed_and_teaches_nothing() {
    let good = Seen::at(30.0, 25.0, Some(1.0), 20.0);
    let ok = good.observation();
    let after = |minutes: f64| START + Minutes(minutes);
    let bad = [
        (Observation { seen: START, ..ok }, Unusable::NotAfterStart),
        (Observation { seen: Instant(i64::MIN), ..ok }, Unusable::TooLong),
        (Observation { seen: after(-3.0), ..ok }, Unusable::NotAfterStart),
        (Observation { seen: after(401.0 * 1440.0), ..ok }, Unusable::TooLong),
        (Observation { reference: Minutes(0.0), ..ok }, Unusable::Reference),
        (Observation { reference: Minutes(f64::NAN), ..ok }, Unusable::Reference),
        (Observation { reference: Minutes(f64::INFINITY), ..ok }, Unusable::Reference),
        (Observation { level_ratio: Some(0.0), ..ok }, Unusable::Level),
        (Observation { level_ratio: Some(-1.0), ..ok }, Unusable::Level),
        (Observation { level_ratio: Some(f64::NAN), ..ok }, Unusable::Level),
        (Observation { not_yet: Some(START), ..ok }, Unusable::NoEarlierLook),
        (Observation { not_yet: Some(after(31.0)), ..ok }, Unusable::NoEarlierLook),
    ];
    let all: Vec<_> = bad.iter().map(|(bad, _)| *bad).chain([ok]).collect();
    let learnt = learn(&polyester(0.3, 20.0), &all);
    let wanted: Vec<_> = bad.iter().map(|(_, why)| *why).enumerate().collect();
    assert_eq!(learnt.unusable(), wanted);
    assert_eq!(learnt.points().len(), 1);
    assert_eq!(learnt.points()[0].observation, bad.len());
    let alone = learn(&polyester(0.3, 20.0), &[ok]);
    assert_eq!(learnt.belief().slowness(), alone.belief().slowness());
    for (_, why) in learnt.unusable() {
        assert!(why.to_string().ends_with('.'), "{why}");
    }
}
