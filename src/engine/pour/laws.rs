//! Laws of a pour: what holds for any level, joint and bolt.

use super::*;
use crate::engine::mix::GramsPerMinute;
use crate::engine::quantity::{Minutes, Percent};
use crate::engine::takeoff::Run;
use proptest::prelude::*;

const M6: Bolt = Bolt { thread: Thread::M6, grade: Grade::Class88 };

fn pour() -> Pour {
    Pour {
        tub: Grams(3000.0),
        tubs: 2,
        rate: GramsPerMinute(600.0),
        mixing: Minutes(6.0),
        gap: Minutes(6.0),
        work_life: Minutes(40.0),
        gap_share: Percent(50.0),
    }
}

#[test]
fn a_pour_is_timed_from_the_catalyst() {
    let found = pour_time(&pour()).unwrap();
    let time = found.result;
    assert_eq!((time.each, time.all, time.left), (Minutes(5.0), Minutes(22.0), Minutes(29.0)));
    assert_eq!(time.seam, Some(Seam::Joins { left: Minutes(14.0) }));
    let counted =
        |text: &str| found.sum.lines.iter().find(|line| line.text == text).map(|line| line.value);
    assert_eq!(counted("Minutes in all"), Some(Quantity::Count(22)));
    // A single tub has nothing to join.
    let one = pour_time(&Pour { tubs: 1, ..pour() }).unwrap().result;
    assert_eq!((one.seam, one.all), (None, Minutes(11.0)));
}

#[test]
fn a_tub_that_stiffens_before_it_is_empty_shows_less_than_nothing_left() {
    let fast = Pour { work_life: Minutes(10.0), ..pour() };
    let found = pour_time(&fast).unwrap().result;
    assert_eq!(found.left, Minutes(-1.0));
    let seam = found.seam.unwrap();
    assert_eq!(seam, Seam::Cold { over: Minutes(1.0) });
    assert!(seam.warning().is_some_and(|words| words.starts_with("Cold joint")));
}

#[test]
fn what_has_no_sense_is_refused() {
    let bad = f64::NAN;
    let density = GramsPerMillilitre(1.2);
    let panel = Outline::Rectangle { width: Millimetres(400.0), height: Millimetres(300.0) };
    assert_eq!(
        opening_force(panel, Millimetres(100.0), density),
        Err(TakeoffError::Negative { what: "The depth of the top edge" })
    );
    assert!(opening_force(panel, Millimetres(bad), density).is_err());
    let flat = Outline::Ellipse { width: Millimetres(400.0), height: Millimetres(0.0) };
    assert!(opening_force(flat, Millimetres(100.0), density).is_err());
    assert!(head_pressure(Millimetres(-1.0), density).is_err());
    assert!(bolt_load(KilogramsForce(10.0), 1.0, 0, M6, 3.0).is_err());
    assert!(bolt_load(KilogramsForce(10.0), 0.5, 4, M6, 3.0).is_err());
    assert!(bolt_load(KilogramsForce(10.0), 1.0, 4, M6, 0.0).is_err());
    assert!(pour_time(&Pour { rate: GramsPerMinute(0.0), ..pour() }).is_err());
    assert!(pour_time(&Pour { tubs: 0, ..pour() }).is_err());
    assert!(seam(Minutes(-1.0), Minutes(40.0), Percent(50.0)).is_err());
    let endless = Joint {
        force: KilogramsForce(1e12),
        peak: 1.0,
        length: Millimetres(1000.0),
        run: Run::Open,
        spacing: Millimetres(100.0),
        extra: 0,
    };
    assert_eq!(bolting(&endless, M6, 3.0), Err(TakeoffError::TooMany { what: "bolts" }));
}

#[test]
fn names_and_strengths_of_all_bolts_differ_and_grow() {
    for pair in Thread::ALL.windows(2) {
        assert_ne!(pair[0].name(), pair[1].name());
    }
    for thread in Thread::ALL {
        let metric = &Grade::ALL[..6];
        let proofs: Vec<f64> =
            metric.iter().map(|&grade| Bolt { thread, grade }.proof().value()).collect();
        assert!(proofs.is_sorted_by(|a, b| a < b));
        for grade in Grade::ALL {
            let bolt = Bolt { thread, grade };
            assert!(bolt.proof() < bolt.ultimate(), "{} {}", thread.name(), grade.name());
        }
    }
}

proptest! {
    /// A force summed over thin strips of the outline, and its moment.
    #[test]
    fn a_thrust_is_the_sum_of_its_strips(
        width in 10.0..2000.0_f64, height in 10.0..2000.0_f64, cover in 0.0..2000.0_f64,
        round in any::<bool>()
    ) {
        let middle = cover + height / 2.0;
        let (wide, high) = (Millimetres(width), Millimetres(height));
        let outline = if round {
            Outline::Ellipse { width: wide, height: high }
        } else {
            Outline::Rectangle { width: wide, height: high }
        };
        let found =
            opening_force(outline, Millimetres(middle), GramsPerMillilitre(1.6)).unwrap().result;
        let strips = 4000;
        let (mut force, mut moment) = (0.0, 0.0);
        for strip in 0..strips {
            let down = (f64::from(strip) + 0.5) / f64::from(strips);
            let chord = if round { 2.0 * (down * (1.0 - down)).sqrt() } else { 1.0 };
            let depth = (cover + down * height) / 1000.0;
            let area = width * chord * height / f64::from(strips) / 1e6;
            let push = 1600.0 * depth * area;
            force += push;
            moment += push * depth;
        }
        prop_assert!((found.force.value() / force - 1.0).abs() < 1e-4);
        prop_assert!((found.depth.value() / 1000.0 / (moment / force) - 1.0).abs() < 1e-4);
        prop_assert!((1.0..=2.0 + 1e-9).contains(&found.peak));
    }

    /// A scanned area with the size of an ellipse is pushed as that ellipse.
    #[test]
    fn a_seen_area_is_pushed_as_an_ellipse(width in 10.0..2000.0_f64, height in 10.0..2000.0_f64) {
        let area = SquareMetres(std::f64::consts::FRAC_PI_4 * width * height / 1e6);
        let (wide, high) = (Millimetres(width), Millimetres(height));
        let push = |outline| {
            opening_force(outline, high, GramsPerMillilitre(1.2)).unwrap().result
        };
        let (seen, round) = (
            push(Outline::Seen { area, height: high }),
            push(Outline::Ellipse { width: wide, height: high }),
        );
        prop_assert!((seen.force.value() / round.force.value() - 1.0).abs() < 1e-12);
        prop_assert_eq!(seen.depth, round.depth);
    }

    /// More riser lifts more, what is enclosed takes off, and nothing is negative.
    #[test]
    fn lift_grows_with_the_level(
        level in 10.0..2000.0_f64, more in 1.0..500.0_f64, area in 0.001..1.0_f64,
        full in 0.0..1.5_f64, weight in 0.0..50_000.0_f64
    ) {
        let at = |level: f64| {
            let held = Millilitres(area * full * 10.0 * 1000.0);
            let jacket = Jacket {
                level: Millimetres(level),
                area: SquareMetres(area),
                held,
                weight: Grams(weight),
                core: None,
            };
            hold(&jacket, GramsPerMillilitre(1.74), 1.5).unwrap().result
        };
        let (low, high) = (at(level), at(level + more));
        prop_assert!(high.lift >= low.lift);
        prop_assert!(low.net.value() >= 0.0 && low.net <= low.lift);
        // What is laid on, with the jacket, outweighs the lift by its factor.
        let down = low.jacket.value() + weight;
        prop_assert!(down >= 1500.0 * low.lift.value() - 1e-6);
        prop_assert!(low.jacket == Grams(0.0) || down <= 1500.0 * low.lift.value() + 1e-6);
        prop_assert_eq!(low.core, Grams(0.0));
    }

    /// No bolt is asked for more than its allowable, nor set wider than wanted.
    #[test]
    fn bolts_bear_their_share(
        force in 0.0..50_000.0_f64, peak in 1.0..2.0_f64, length in 100.0..5000.0_f64,
        open in any::<bool>(), thread in prop::sample::select(Thread::ALL.to_vec())
    ) {
        let joint = Joint {
            force: KilogramsForce(force),
            peak,
            length: Millimetres(length),
            run: if open { Run::Open } else { Run::ClosedLoop },
            spacing: Millimetres(100.0),
            extra: 3,
        };
        let bolt = Bolt { thread, grade: Grade::Class46 };
        let found = bolting(&joint, bolt, 3.0).unwrap().result;
        prop_assert!(!found.load.over);
        prop_assert!(found.load.each.value() <= found.load.allowable.value() * (1.0 + 1e-6));
        prop_assert!(found.spacing.value() <= 100.0 * (1.0 + 1e-6));
        let even = found.count - 3;
        let one_less = f64::from(even - 1).max(1.0);
        if found.by_load {
            prop_assert!(force * peak / one_less > found.load.allowable.value() * (1.0 - 1e-6));
        }
        let gaps = f64::from(if open { even - 1 } else { even });
        prop_assert!((found.spacing.value() * gaps - length).abs() < 1e-6);
    }

    /// The seam turns cold at its share of the work life and not before.
    #[test]
    fn a_seam_is_cold_from_its_share_on(since in 0.0..100.0_f64, life in 1.0..120.0_f64) {
        let cold = matches!(
            seam(Minutes(since), Minutes(life), Percent(50.0)).unwrap(),
            Seam::Cold { .. }
        );
        prop_assert_eq!(cold, since >= life * 0.5);
    }
}
