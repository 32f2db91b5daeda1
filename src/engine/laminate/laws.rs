//! Laws of a lay-up: what holds for any zones and factors.

use super::*;
use crate::engine::mix::GramsPerMinute;
use crate::engine::quantity::{Grams, GramsPerMillilitre, Minutes, SquareMetres};
use crate::engine::takeoff::{self, GlassZone, ResinFactors};
use proptest::prelude::*;

fn liquid(catalyst: f64, waste: f64) -> Liquid {
    Liquid {
        catalyst: Percent(catalyst),
        waste: Percent(waste),
        pot: Minutes(18.0),
        rate: GramsPerMinute(60.0),
        share: Percent(65.0),
        largest: Some(Grams(750.0)),
    }
}

fn factors() -> LayFactors {
    LayFactors {
        gel: liquid(2.0, 15.0),
        gel_density: GramsPerMillilitre(1.25),
        resin: liquid(2.0, 10.0),
        catalyst_density: GramsPerMillilitre(1.10),
        per_glass: 2.5,
        first_wetting: GramsPerSquareMetre(200.0),
        per_tissue: GramsPerSquareMetre(300.0),
        glass_waste: Percent(20.0),
        tissue_waste: Percent(15.0),
    }
}

fn zone(name: &str, area: f64, mats: &[f64], edge: &[f64], strands: f64) -> Zone {
    let plies = |list: &[f64]| list.iter().map(|&mat| GramsPerSquareMetre(mat)).collect();
    Zone {
        name: name.into(),
        area: SquareMetres(area),
        gel: Millimetres(0.5),
        strands: Grams(strands),
        mats: plies(mats),
        edge: plies(edge),
        tissue: GramsPerSquareMetre(30.0),
    }
}

#[test]
fn layers_come_in_working_order_and_name_their_zones() {
    let zones = [
        zone("Body", 0.25, &[450.0, 450.0], &[], 30.0),
        zone("Flange", 0.07, &[300.0, 450.0], &[450.0], 0.0),
    ];
    let laminate = lay_up(&zones, &factors()).unwrap().result;
    let list: Vec<(String, &str, f64)> = laminate
        .layers
        .iter()
        .map(|layer| (layer.kind.name(), layer.on.as_str(), layer.mat.value()))
        .collect();
    let expected = [
        ("Gel coat", "Body, Flange", 0.0),
        ("First wet coat", "Body, Flange", 0.0),
        ("Loose strands", "Body", 0.0),
        ("Mat 1", "Body", 450.0),
        ("Mat 1", "Flange", 300.0),
        ("Mat 2", "Body, Flange", 450.0),
        ("Edge mat 1", "Flange", 450.0),
        ("Tissue", "Body, Flange", 30.0),
    ];
    assert_eq!(list.len(), expected.len());
    for ((name, on, mat), (want, zones, areal)) in list.iter().zip(expected) {
        assert_eq!((name.as_str(), *on, *mat), (want, zones, areal));
    }
    assert!(laminate.layers.is_sorted_by_key(|layer| layer.kind));
    // The edge is the thicker one.
    assert!(laminate.zones[1].glass > laminate.zones[0].glass);
}

#[test]
fn what_has_no_sense_is_refused_in_words() {
    let refused = |zones: &[Zone], factors: &LayFactors| lay_up(zones, factors).unwrap_err();
    let good = zone("Body", 0.25, &[450.0], &[], 0.0);
    let none = zone("Body", 0.25, &[], &[], 0.0);
    assert_eq!(
        refused(&[none], &factors()),
        TakeoffError::NotPositive { what: "The glass of each zone" }
    );
    assert!(lay_up(&[], &factors()).is_err());
    for area in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        refused(&[zone("Body", area, &[450.0], &[], 0.0)], &factors());
    }
    let strong = LayFactors { resin: liquid(101.0, 10.0), ..factors() };
    refused(std::slice::from_ref(&good), &strong);
    let wasteful = LayFactors { glass_waste: Percent(-1.0), ..factors() };
    assert_eq!(
        refused(&[good], &wasteful).to_string(),
        "The waste of mat can't be below 0. Correct it."
    );
    assert!(thickness(GramsPerSquareMetre(900.0), Percent(100.1)).is_err());
    assert!(thickness(GramsPerSquareMetre(900.0), Percent(0.0)).is_err());
}

proptest! {
    /// The rule of mixtures: glass over its density and resin over its.
    #[test]
    fn thickness_is_the_rule_of_mixtures(glass in 50.0..5000.0_f64, share in 5.0..95.0_f64) {
        let found = thickness(GramsPerSquareMetre(glass), Percent(share)).unwrap().result;
        let resin = glass * (100.0 / share - 1.0);
        let mixed = (glass / 2.56 + resin / 1.20) / 1000.0;
        prop_assert!((found.likely.value() - mixed).abs() < 1e-9 * mixed);
        prop_assert!(found.is_ordered());
    }

    /// The layers of a lay-up add up to what take-off buys by its own rules.
    #[test]
    fn layers_add_up_to_the_take_off(
        body in 0.01..5.0_f64, flange in 0.01..1.0_f64, plies in 1_usize..5,
        mat in prop::sample::select(vec![225.0, 300.0, 450.0, 600.0])
    ) {
        let mats = vec![mat; plies];
        let zones = [
            zone("Body", body, &mats, &[], 0.0),
            zone("Flange", flange, &mats, &[mat], 0.0),
        ];
        let factors = factors();
        let laminate = lay_up(&zones, &factors).unwrap().result;
        let bought = |name: &'static str, area: f64, plies: usize| GlassZone {
            name,
            area: SquareMetres(area),
            plies: plies as u32,
            areal_mass: GramsPerSquareMetre(mat),
        };
        let glass = takeoff::glass(
            &[bought("Body", body, plies), bought("Flange", flange, plies + 1)],
            factors.glass_waste,
        ).unwrap().result;
        let area = SquareMetres(body + flange);
        let tissue = takeoff::tissue(area, factors.tissue_waste).unwrap().result;
        let resin = takeoff::resin(glass, area, tissue, &ResinFactors {
            per_glass: factors.per_glass,
            first_wetting: factors.first_wetting,
            per_tissue: factors.per_tissue,
            waste: factors.resin.waste,
        }).unwrap().result;
        let same = |a: f64, b: f64| (a - b).abs() < 1e-9 * b;
        prop_assert!(same(laminate.glass.value(), glass.value()));
        prop_assert!(same(laminate.tissue.value(), tissue.value()));
        prop_assert!(same(laminate.resin.value(), resin.value()));
        // The tubs hold all of it, and the catalyst goes with them.
        let tubs: f64 = laminate
            .layers
            .iter()
            .map(|layer| layer.tubs.each.value() * f64::from(layer.tubs.count))
            .sum();
        prop_assert!(same(tubs, (laminate.resin + laminate.gel).value()));
        prop_assert!(same(laminate.catalyst.mass.value(), 0.02 * tubs));
        prop_assert!(laminate.layers.iter().all(|layer| layer.tubs.each.value() <= 702.0 + 1e-6));
    }

    /// More glass is never thinner or lighter.
    #[test]
    fn a_ply_more_adds_to_all(area in 0.01..5.0_f64, plies in 1_usize..6) {
        let build = |plies: usize| {
            let zone = zone("Body", area, &vec![450.0; plies], &[], 0.0);
            lay_up(&[zone], &factors()).unwrap().result
        };
        let (less, more) = (build(plies), build(plies + 1));
        prop_assert!(more.zones[0].thickness.low > less.zones[0].thickness.low);
        prop_assert!(more.mass > less.mass && more.resin > less.resin);
        prop_assert!(more.zones[0].content > less.zones[0].content);
    }
}
