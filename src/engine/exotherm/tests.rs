use super::*;
use proptest::prelude::*;

const RESIN: Reaction = Reaction {
    reference: Celsius(20.0),
    k1: PerMinute(0.0003),
    k2: PerMinute(0.03),
    energy1: KilojoulesPerMole(50.0),
    energy2: KilojoulesPerMole(50.0),
    m: 0.5,
    n: 1.5,
    heat: JoulesPerGram(310.0),
    gel_conversion: 0.15,
};
const NEAT: Contents = Contents {
    density: GramsPerMillilitre(1.12),
    specific_heat: JoulesPerGramKelvin(1.9),
    conductivity: WattsPerMetreKelvin(0.18),
    reacting: 1.0,
};
const TUB: Cup = Cup { mass: Grams(500.0), contents: NEAT, vessel: Vessel::Tub };
const LAYER: Slab =
    Slab { thickness: Millimetres(10.0), contents: NEAT, open: OPEN_SURFACE, form: ON_A_FORM };
const AT_20: Conditions = Conditions { start: Celsius(20.0), air: Celsius(20.0), speed: 1.0 };

fn gel(run: &Exotherm) -> f64 {
    run.gel.unwrap().at.value()
}

#[test]
fn a_tub_cools_as_its_surface_says() {
    // By hand: 500 g at 1.12 g/ml are 446.4 ml, as deep as wide 82.84 mm; top and
    // base of 53.9 cm2 at 10 and 4, wall of 215.6 cm2 at 9 W/(m2 K): 0.2695 W/K;
    // over 950 J/K.
    assert!((TUB.loss() - 0.2695 / 950.0).abs() < 1e-7, "{}", TUB.loss());
}

#[test]
fn a_tray_keeps_cool_for_longer_than_a_tin_of_the_same() {
    let run = |vessel| cup(&RESIN, &Cup { vessel, ..TUB }, &AT_20).unwrap();
    let (tray, tub, tin) = (run(Vessel::Tray), run(Vessel::Tub), run(Vessel::Tin));
    assert!(gel(&tray) > gel(&tub) && gel(&tub) > gel(&tin));
    assert!(tray.peak < tub.peak && tub.peak < tin.peak);
}

#[test]
fn glass_and_filler_take_up_heat() {
    let filled = Contents { reacting: 0.5, ..NEAT };
    let run = cup(&RESIN, &Cup { contents: filled, ..TUB }, &AT_20).unwrap();
    assert!(run.peak < cup(&RESIN, &TUB, &AT_20).unwrap().peak);
}

#[test]
fn a_thin_film_hardly_warms_and_a_thick_pour_does() {
    let peak = |mm| {
        slab(&RESIN, &Slab { thickness: Millimetres(mm), ..LAYER }, &AT_20).unwrap().peak.value()
    };
    assert!(peak(0.5) < 30.0, "{}", peak(0.5));
    assert!(peak(20.0) > 100.0, "{}", peak(20.0));
}

#[test]
fn without_a_start_there_is_no_gel() {
    let still = Reaction { k1: PerMinute(0.0), ..RESIN };
    let run = cup(&still, &TUB, &AT_20).unwrap();
    assert_eq!(run.gel, None);
    assert!((run.peak.value() - 20.0).abs() < 1e-6);
    let stopped = cup(&RESIN, &TUB, &Conditions { speed: 0.0, ..AT_20 }).unwrap();
    assert_eq!(stopped.gel, None);
}

#[test]
fn what_is_cold_warms_to_the_air() {
    let inert = Reaction { heat: JoulesPerGram(0.0), ..RESIN };
    let run = cup(&inert, &TUB, &Conditions { start: Celsius(5.0), ..AT_20 }).unwrap();
    assert!(run.peak <= Celsius(20.0 + 1e-6), "{:?}", run.peak);
}

#[test]
fn a_calibrated_reaction_keeps_the_stated_pot_life() {
    for (mass, t, minutes) in [(500.0, 20.0, 18.0), (250.0, 23.0, 4.0), (150.0, 20.0, 300.0)] {
        let stated = Cup { mass: Grams(mass), ..TUB };
        let found = calibrated(&RESIN, &stated, Celsius(t), Minutes(minutes)).unwrap();
        let at = Conditions { start: Celsius(t), air: Celsius(t), speed: 1.0 };
        let back = gel(&cup(&found, &stated, &at).unwrap());
        assert!((back / minutes - 1.0).abs() < 1e-5, "{back}");
        let ratio = |reaction: &Reaction| reaction.k2.value() / reaction.k1.value();
        assert!((ratio(&found) / ratio(&RESIN) - 1.0).abs() < 1e-9);
    }
}

#[test]
fn no_reaction_is_found_for_a_pot_life_that_is_none() {
    let found = |minutes| calibrated(&RESIN, &TUB, Celsius(20.0), Minutes(minutes));
    for minutes in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e9] {
        assert_eq!(found(minutes), Err(NoExotherm::PotLife), "{minutes}");
    }
    let inert = Reaction { k1: PerMinute(0.0), ..RESIN };
    let none = calibrated(&inert, &TUB, Celsius(20.0), Minutes(18.0));
    assert_eq!(none, Err(NoExotherm::PotLife));
}

#[test]
fn the_largest_batch_fits_and_a_larger_one_does_not() {
    let epoxy = Reaction {
        k1: PerMinute(0.0007),
        k2: PerMinute(0.014),
        m: 1.0,
        n: 2.0,
        heat: JoulesPerGram(400.0),
        gel_conversion: 0.3,
        ..RESIN
    };
    let fits = |mass: Grams, needed, hottest| {
        let run = cup(&epoxy, &Cup { mass, ..TUB }, &AT_20).unwrap();
        run.gel.unwrap().at >= needed && run.peak <= hottest
    };
    for (needed, hottest) in [(75.0, 300.0), (1.0, 210.0)] {
        let (needed, hottest) = (Minutes(needed), Celsius(hottest));
        let most = largest_cup(&epoxy, &TUB, &AT_20, needed, hottest).unwrap().unwrap();
        assert!(fits(most, needed, hottest), "{most:?}");
        assert!(!fits(most * 1.01, needed, hottest), "{most:?}");
    }
    let most = |needed, hottest| {
        largest_cup(&epoxy, &TUB, &AT_20, Minutes(needed), Celsius(hottest)).unwrap()
    };
    assert_eq!(most(1e4, 300.0), None);
    assert_eq!(most(1.0, 25.0), None);
    assert_eq!(most(1.0, 500.0), Some(Grams(20_000.0)));
    // No number to compare with: nothing fits it.
    assert_eq!(most(f64::NAN, 300.0), None);
    assert_eq!(most(1.0, f64::NAN), None);
}

#[test]
fn a_chart_of_masses_runs_from_end_to_end() {
    let ends = (Grams(50.0), Grams(5000.0));
    let found = pot_life_against_mass(&RESIN, &TUB, &AT_20, ends, 9).unwrap();
    assert_eq!(found.len(), 9);
    assert_eq!(found[0].mass, ends.0);
    assert!((found[8].mass / ends.1 - 1.0).abs() < 1e-12);
    assert!(found.windows(2).all(|pair| pair[1].pot_life < pair[0].pot_life));
    assert!(found.windows(2).all(|pair| pair[1].peak > pair[0].peak));
    let backwards = (Grams(-1.0), Grams(f64::NAN));
    let none = pot_life_against_mass(&RESIN, &TUB, &AT_20, backwards, 9);
    assert_eq!(none, Err(NoExotherm::Size));
}

#[test]
fn figures_out_of_range_are_refused_in_words() {
    let hot = Conditions { start: Celsius(400.0), ..AT_20 };
    assert_eq!(cup(&RESIN, &TUB, &hot), Err(NoExotherm::Conditions));
    let empty = Cup { mass: Grams(0.0), ..TUB };
    assert_eq!(cup(&RESIN, &empty, &AT_20), Err(NoExotherm::Size));
    let void = Contents { density: GramsPerMillilitre(0.0), ..NEAT };
    assert_eq!(cup(&RESIN, &Cup { contents: void, ..TUB }, &AT_20), Err(NoExotherm::Contents));
    let odd = Reaction { gel_conversion: 1.0, ..RESIN };
    assert_eq!(cup(&odd, &TUB, &AT_20), Err(NoExotherm::Reaction));
    let side = Slab { open: WattsPerSquareMetreKelvin(-1.0), ..LAYER };
    assert_eq!(slab(&RESIN, &side, &AT_20), Err(NoExotherm::Size));
    assert!(NoExotherm::Conditions.to_string().contains("-20 to 150 °C"));
    for none in [NoExotherm::Reaction, NoExotherm::PotLife, NoExotherm::Unsolved] {
        assert!(none.to_string().contains("data sheet"), "{none}");
    }
}

/// Far wider than any resin of the trade, short of what explodes: there the
/// answer may be [`NoExotherm::Unsolved`].
fn reactions() -> impl Strategy<Value = Reaction> {
    let rates = (-9.0..1.0, -7.0..1.0, 20.0..65.0, 20.0..65.0);
    (rates, 0.2..2.0, 1.0..2.5, 0.0..450.0, 0.02..0.8).prop_map(
        |((ln_k1, ln_k2, e1, e2), m, n, heat, gel_conversion): (
            (f64, f64, f64, f64),
            f64,
            f64,
            f64,
            f64,
        )| Reaction {
            reference: Celsius(20.0),
            k1: PerMinute(ln_k1.exp()),
            k2: PerMinute(ln_k2.exp()),
            energy1: KilojoulesPerMole(e1),
            energy2: KilojoulesPerMole(e2),
            m,
            n,
            heat: JoulesPerGram(heat),
            gel_conversion,
        },
    )
}

/// Gels of two runs in order; one that does not gel is later than any.
fn later(a: &Exotherm, b: &Exotherm) -> (f64, f64) {
    let at = |run: &Exotherm| run.gel.map_or(f64::INFINITY, |gel| gel.at.value());
    (at(a), at(b))
}

/// The solver's own error, as `tests/exotherm.rs` shows it, with a margin.
const SLACK: f64 = 1e-3;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_run_is_finite_ordered_and_within_its_heat(
        reaction in reactions(),
        mass in 1.0..20_000.0,
        thickness in 0.2..100.0,
        start in -10.0..60.0,
        air in -10.0..60.0,
        speed in 0.0..10.0,
    ) {
        let conditions = Conditions { start: Celsius(start), air: Celsius(air), speed };
        let batch = Cup { mass: Grams(mass), ..TUB };
        let layer = Slab { thickness: Millimetres(thickness), ..LAYER };
        let runs =
            [cup(&reaction, &batch, &conditions), slab(&reaction, &layer, &conditions)];
        for (run, front) in runs.into_iter().zip([0.0, 0.6]) {
            let run = run.unwrap();
            prop_assert!(run.course.len() >= 2 && run.course.len() <= 60);
            for pair in run.course.windows(2) {
                prop_assert!(pair[0].at < pair[1].at);
                prop_assert!(pair[0].conversion <= pair[1].conversion + 1e-9);
            }
            // All its heat at once from the warmer of start and air; in a slab a
            // front may bring some heat along.
            let alone = reaction.heat.value() / 1.9;
            let most = start.max(air) + (1.0 + front) * alone + 0.1;
            for moment in &run.course {
                prop_assert!((0.0..=1.0).contains(&moment.conversion));
                let t = moment.temperature.value();
                prop_assert!(t >= start.min(air) - 0.1 && t <= most, "{t} {most}");
            }
            prop_assert!(run.peak.value() >= start - 1e-6 && run.peak.value() <= most);
            prop_assert!(run.peak_at.is_finite());
        }
    }

    #[test]
    fn a_sealed_slab_keeps_all_its_heat(reaction in reactions(), start in 0.0..40.0) {
        let none = WattsPerSquareMetreKelvin(0.0);
        let sealed = Slab { open: none, form: none, ..LAYER };
        let conditions = Conditions { start: Celsius(start), ..AT_20 };
        let run = slab(&reaction, &sealed, &conditions).unwrap();
        for moment in &run.course {
            let kept = start + reaction.heat.value() / 1.9 * moment.conversion;
            prop_assert!((moment.temperature.value() - kept).abs() < 0.01);
        }
    }

    #[test]
    fn twice_the_speed_halves_the_time_where_no_heat_is_lost(reaction in reactions()) {
        let none = WattsPerSquareMetreKelvin(0.0);
        let sealed = Slab { open: none, form: none, ..LAYER };
        let once = slab(&reaction, &sealed, &AT_20).unwrap();
        let twice = slab(&reaction, &sealed, &Conditions { speed: 2.0, ..AT_20 }).unwrap();
        let (once, twice) = later(&once, &twice);
        prop_assume!(once.is_finite());
        prop_assert!((once / twice / 2.0 - 1.0).abs() < SLACK, "{once} {twice}");
    }

    #[test]
    fn more_gels_no_later_and_peaks_no_cooler(
        reaction in reactions(),
        mass in 20.0..5000.0,
        more in 1.0..10.0,
        t in 5.0..40.0,
    ) {
        let conditions = Conditions { start: Celsius(t), air: Celsius(t), speed: 1.0 };
        let run = |grams| cup(&reaction, &Cup { mass: Grams(grams), ..TUB }, &conditions).unwrap();
        let (small, large) = (run(mass), run(mass * more));
        let (at_small, at_large) = later(&small, &large);
        prop_assert!(at_large <= at_small * (1.0 + SLACK), "{at_small} {at_large}");
        prop_assert!(large.peak.value() >= small.peak.value() - 0.05);
    }

    #[test]
    fn warmer_gels_sooner(
        reaction in reactions(),
        start in 5.0..40.0,
        air in 5.0..40.0,
        by in 0.0..15.0,
        speed in 1.0..3.0,
    ) {
        let at = |start, air, speed| {
            let conditions = Conditions { start: Celsius(start), air: Celsius(air), speed };
            cup(&reaction, &TUB, &conditions).unwrap()
        };
        let plain = at(start, air, 1.0);
        for other in [at(start + by, air, 1.0), at(start, air + by, 1.0), at(start, air, speed)] {
            let (later, sooner) = later(&plain, &other);
            prop_assert!(sooner <= later * (1.0 + SLACK), "{later} {sooner}");
        }
    }

    #[test]
    fn no_input_gives_what_is_not_a_number(numbers in proptest::array::uniform16(any::<f64>())) {
        let x = numbers;
        let reaction = Reaction {
            reference: Celsius(x[0]),
            k1: PerMinute(x[1]),
            k2: PerMinute(x[2]),
            energy1: KilojoulesPerMole(x[3]),
            energy2: KilojoulesPerMole(x[4]),
            m: x[5],
            n: x[6],
            heat: JoulesPerGram(x[7]),
            gel_conversion: x[8],
        };
        let contents = Contents {
            density: GramsPerMillilitre(x[9]),
            specific_heat: JoulesPerGramKelvin(x[10]),
            conductivity: WattsPerMetreKelvin(x[11]),
            reacting: x[12],
        };
        let conditions = Conditions { start: Celsius(x[13]), air: Celsius(x[14]), speed: x[15] };
        let batch = Cup { mass: Grams(x[9]), ..TUB };
        let other = Cup { contents, ..TUB };
        let layer = Slab { thickness: Millimetres(x[9]), contents, ..LAYER };
        let runs = [
            cup(&reaction, &TUB, &AT_20),
            cup(&RESIN, &batch, &AT_20),
            cup(&RESIN, &TUB, &conditions),
            cup(&RESIN, &other, &AT_20),
            slab(&RESIN, &layer, &AT_20),
        ];
        for run in runs.iter().flatten() {
            prop_assert!(run.peak.is_finite() && run.peak_at.is_finite());
        }
    }
}
