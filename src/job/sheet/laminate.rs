//! A lay-up by zones: layers in working order, tubs for each, thickness and mass.

use super::{Ask, Page};
use crate::engine::decimals;
use crate::engine::laminate::{LayFactors, Liquid, Zone, lay_up};
use crate::engine::mix::GramsPerMinute;
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Percent, SquareMetres,
};
use crate::engine::takeoff::{Quantity, Sum};
use crate::trade::model::Dimension;

/// Most zones on the screen.
const ZONES: u32 = 8;
/// Most plies of a kind in a zone.
const PLIES: u32 = 12;

/// Mats in common weights, g/m².
const MATS: [(&str, &str); 5] = [
    ("450", "450 g/m²"),
    ("225", "225 g/m²"),
    ("300", "300 g/m²"),
    ("600", "600 g/m²"),
    ("150", "150 g/m²"),
];
/// Tissue in common weights, g/m².
const TISSUES: [(&str, &str); 3] = [("30", "30 g/m²"), ("50", "50 g/m²"), ("0", "None")];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let zones = page.count("zones", "Zones: body, flange, ribs", 2, (1, ZONES));
    let mut found = Vec::new();
    for number in 1..=zones {
        found.push(zone(page, number));
    }
    page.heading("How it is mixed");
    let gel = liquid(page, "gel", "UP-GEL", "use-rate-gel", "gel-waste", "Gel coat");
    let resin = liquid(page, "resin", "UP-LAM", "use-rate-laminate", "resin-waste", "Resin");
    let density = |family: &str| Some(page.rules.family(family)?.property("density")?.likely);
    let factors = LayFactors {
        gel: gel?,
        gel_density: GramsPerMillilitre(density("UP-GEL").unwrap_or(1.25)),
        resin: resin?,
        catalyst_density: GramsPerMillilitre(
            page.rules
                .family("UP-LAM")
                .and_then(|f| f.catalyst.as_ref())
                .map_or(1.1, |c| c.density.likely),
        ),
        per_glass: page.constant("resin-per-glass"),
        first_wetting: GramsPerSquareMetre(page.constant("first-wetting") * 1000.0),
        per_tissue: GramsPerSquareMetre(page.constant("resin-per-tissue") * 1000.0),
        glass_waste: page.waste("glass-waste"),
        tissue_waste: page.waste("tissue-waste"),
    };
    let zones: Vec<Zone> = found.into_iter().collect::<Option<_>>()?;
    let (laid, sum) = page.worked(lay_up(&zones, &factors))?;
    page.heading("Layers, in working order");
    for layer in &laid.layers {
        let lines = [
            ("Mat to cut", Quantity::Mass(layer.glass), layer.glass.value() > 0.0),
            ("Area", Quantity::Area(layer.area), true),
            ("Tubs", Quantity::Count(layer.tubs.count), layer.tubs.count > 0),
            ("In each tub", Quantity::Mass(layer.tubs.each), layer.tubs.count > 0),
            ("Catalyst to each", Quantity::Mass(layer.catalyst_each.mass), layer.tubs.count > 0),
            (
                "The same by dispenser",
                Quantity::Volume(layer.catalyst_each.volume),
                layer.tubs.count > 0,
            ),
        ];
        let lines = lines.into_iter().filter(|(_, _, shown)| *shown);
        let sum = lines.fold(Sum::default(), |sum, (text, value, _)| sum.with(text, value));
        let (what, value) = if layer.liquid.value() > 0.0 {
            ("resin or gel coat", Quantity::Mass(layer.liquid))
        } else {
            ("glass", Quantity::Mass(layer.glass))
        };
        let tubs = if layer.tubs.count > 1 {
            format!(" in {} tubs", layer.tubs.count)
        } else {
            String::new()
        };
        page.result(format!("{}: {} ({what}{tubs})", layer.kind.name(), layer.on), value, &sum);
    }
    page.heading("In all");
    for (text, value) in [
        ("Gel coat", Quantity::Mass(laid.gel)),
        ("Mat and strands", Quantity::Mass(laid.glass)),
        ("Tissue", Quantity::Area(laid.tissue)),
        ("Laminating resin", Quantity::Mass(laid.resin)),
        ("Catalyst", Quantity::Mass(laid.catalyst.mass)),
        ("The finished laminate weighs", Quantity::Mass(laid.mass)),
    ] {
        page.result(text, value, &sum);
    }
    page.heading("What stands there, without waste");
    for zone in &laid.zones {
        let built = Sum::default()
            .with("Dry glass", Quantity::AreaMass(zone.glass))
            .with("Resin", Quantity::AreaMass(zone.resin))
            .with("Share of glass", Quantity::Percent(zone.content))
            .with("Thickness, at least", Quantity::Length(zone.thickness.low))
            .with("Thickness, at most", Quantity::Length(zone.thickness.high))
            .with("Mass of all, gel coat too", Quantity::AreaMass(zone.mass));
        page.result(
            format!("{}, thickness behind the gel coat", zone.name),
            Quantity::Length(zone.thickness.likely),
            &built,
        );
    }
    page.note("Surplus resin in a tub heats: under-make and mix again. Cool layers before the next when they are thick.");
    Some(())
}

/// One zone; the second starts as the flange.
fn zone(page: &mut Page<'_>, number: u32) -> Option<Zone> {
    let name = |field: &str| format!("{number}.{field}");
    let kinds = [
        ("body", "Body"),
        ("flange", "Flange"),
        ("ribs", "Ribs"),
        ("edge", "Edges"),
        ("base", "Base"),
    ];
    let mut turned = kinds;
    turned.rotate_left((number as usize - 1) % kinds.len());
    page.heading(format!("Zone {number}"));
    let kind = turned[page.choice(&name("kind"), "What it is", &turned)];
    let area = if number == 1 {
        page.ask_or(&name("area"), "Area", Dimension::Area, &[("scan", "area")]).map(SquareMetres)
    } else {
        page.area(&name("area"), "Area")
    };
    let film = page.constant("gel-thickness");
    let gel = page.length_or(&name("gel"), "Wet film of gel coat", film);
    let strands = page.mass_or(&name("strands"), "Loose strands, dry", 0.0);
    let plies = page.count(&name("plies"), "Plies of mat", 2, (0, PLIES));
    let laid = mats(page, &name("mat"), "Mat", plies);
    let edges = page.count(
        &name("edges"),
        "More plies for edges",
        u32::from(kind.0 == "flange"),
        (0, PLIES),
    );
    let edge = mats(page, &name("edge"), "Edge mat", edges);
    let tissue = TISSUES[page.choice(&name("tissue"), "Tissue to close it", &TISSUES)].0;
    Some(Zone {
        name: format!("{} {number}", kind.1),
        area: area?,
        gel,
        strands,
        mats: laid,
        edge,
        tissue: GramsPerSquareMetre(decimals::read(tissue).unwrap_or(0.0)),
    })
}

/// The plies of a kind: each is a common weight of mat.
fn mats(page: &mut Page<'_>, id: &str, text: &str, plies: u32) -> Vec<GramsPerSquareMetre> {
    let one = |ply: u32, page: &mut Page<'_>| {
        let chosen = page.choice(&format!("{id}{ply}"), &format!("{text} {ply}"), &MATS);
        GramsPerSquareMetre(decimals::read(MATS[chosen].0).unwrap_or(450.0))
    };
    (1..=plies).map(|ply| one(ply, page)).collect()
}

/// How a liquid is catalysed and used up.
fn liquid(
    page: &mut Page<'_>,
    id: &str,
    family: &str,
    rate: &str,
    waste: &str,
    text: &str,
) -> Option<Liquid> {
    let card = page.rules.family(family);
    let level = card.and_then(|card| card.catalyst.as_ref()).map_or(2.0, |c| c.level.likely);
    let range = card
        .and_then(|card| card.catalyst.as_ref())
        .map_or((0.5, 5.0), |c| (c.level.low.unwrap_or(level), c.level.high.unwrap_or(level)));
    let catalyst = page.ask(
        &format!("{id}.catalyst"),
        &format!("{text}: catalyst by weight"),
        Ask::Of(Dimension::Percent),
        Some(level),
        range,
    );
    let pot = card
        .and_then(|card| card.profile("pot")?.milestones.first())
        .map(|first| first.time.low.unwrap_or(first.time.likely));
    let pot =
        page.minutes(&format!("{id}.pot"), &format!("{text}: pot life now, the short end"), pot);
    let start = page.use_rate(family, rate);
    let rate = page.ask(
        &format!("{id}.rate"),
        &format!("{text}: laid a minute"),
        Ask::Of(Dimension::Mass),
        Some(start),
        (1.0, 1e5),
    );
    Some(Liquid {
        catalyst: Percent(catalyst?),
        waste: page.waste(waste),
        pot: pot?,
        rate: GramsPerMinute(rate?),
        share: Percent(page.constant("split-share") * 100.0),
        largest: Some(Grams(page.constant("tub-max-polyester") * 1000.0)),
    })
}
