//! A lay-up, ply by ply in working order: what each layer takes and in which
//! tubs it is mixed, and what stands on each zone when all is on.
//!
//! Amounts to weigh out carry their waste and agree with take-off (K-GEL,
//! K-GLASS, K-RESIN). What stands on the form is counted without waste.

use super::{not_negative, positive, thickness};
use crate::engine::mix::{
    BatchSplit, CatalystAmount, GramsPerMinute, catalyst_amount, split_batches,
};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millilitres, Millimetres, Minutes, Percent,
    Span, SquareMetres,
};
use crate::engine::takeoff::{GelFactors, Quantity, Sum, TakeoffError, Worked, gel_coat};

/// A part of the form with the same layers all over. Zones don't overlap: a
/// flange is a zone of its own, with its additional plies as `edge`.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Its name in lists, e.g. "Body".
    pub name: String,
    /// Its area.
    pub area: SquareMetres,
    /// Wet film of gel coat, 0 for none.
    pub gel: Millimetres,
    /// Dry loose strands worked into its corners, 0 for none.
    pub strands: Grams,
    /// Plies of mat in the order of laying.
    pub mats: Vec<GramsPerSquareMetre>,
    /// Plies for edges and flanges, laid when all mats are on.
    pub edge: Vec<GramsPerSquareMetre>,
    /// The tissue that closes it, 0 for none.
    pub tissue: GramsPerSquareMetre,
}

/// How a liquid is catalysed, wasted and split into tubs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Liquid {
    /// Catalyst by weight. Which levels are allowed is for the tin to say.
    pub catalyst: Percent,
    /// Waste: film, tubs, brushes.
    pub waste: Percent,
    /// Pot life.
    pub pot: Minutes,
    /// How fast it is used up.
    pub rate: GramsPerMinute,
    /// Share of the pot life that a tub may take.
    pub share: Percent,
    /// The largest tub, where there is a limit.
    pub largest: Option<Grams>,
}

/// The factors of a lay-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayFactors {
    /// The gel coat.
    pub gel: Liquid,
    /// Density of the gel coat.
    pub gel_density: GramsPerMillilitre,
    /// The laminating resin.
    pub resin: Liquid,
    /// Density of the catalyst.
    pub catalyst_density: GramsPerMillilitre,
    /// Resin to one of mat and strands, by mass.
    pub per_glass: f64,
    /// Resin of the first wet coat.
    pub first_wetting: GramsPerSquareMetre,
    /// Resin that tissue takes up.
    pub per_tissue: GramsPerSquareMetre,
    /// Waste of mat and strands: offcuts.
    pub glass_waste: Percent,
    /// Waste of tissue: overlaps.
    pub tissue_waste: Percent,
}

/// What a layer is, in working order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayerKind {
    /// The gel coat, which must be ready to be covered before the rest.
    Gel,
    /// The thin coat of resin that the first glass is laid into.
    Wetting,
    /// Loose strands in corners, key edges and along the shim.
    Strands,
    /// A ply of mat, counted from 1.
    Mat(u32),
    /// A ply for edges and flanges, counted from 1.
    Edge(u32),
    /// The tissue.
    Tissue,
}

impl LayerKind {
    /// The layer's name at the bench.
    pub fn name(self) -> String {
        match self {
            Self::Gel => "Gel coat".into(),
            Self::Wetting => "First wet coat".into(),
            Self::Strands => "Loose strands".into(),
            Self::Mat(ply) => format!("Mat {ply}"),
            Self::Edge(ply) => format!("Edge mat {ply}"),
            Self::Tissue => "Tissue".into(),
        }
    }
}

/// A layer with what to weigh out for it, waste included.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// The zones that it goes on.
    pub on: String,
    /// Their area.
    pub area: SquareMetres,
    /// Mass of the mat or tissue to cut; 0 where the layer is none.
    pub mat: GramsPerSquareMetre,
    /// Dry glass.
    pub glass: Grams,
    /// Gel coat or resin.
    pub liquid: Grams,
    /// The tubs that it is mixed in.
    pub tubs: BatchSplit,
    /// Catalyst of each tub.
    pub catalyst_each: CatalystAmount,
}

/// What stands on a zone when all is on, without waste.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneBuild {
    /// The zone.
    pub name: String,
    /// Dry glass.
    pub glass: GramsPerSquareMetre,
    /// Laminating resin, gel coat left out.
    pub resin: GramsPerSquareMetre,
    /// Share of glass in the laminate.
    pub content: Percent,
    /// Thickness of the laminate behind the gel coat.
    pub thickness: Span<Millimetres>,
    /// Mass of all, gel coat included.
    pub mass: GramsPerSquareMetre,
}

/// A lay-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Laminate {
    /// Its layers in working order.
    pub layers: Vec<Layer>,
    /// What stands on each zone.
    pub zones: Vec<ZoneBuild>,
    /// Gel coat in all.
    pub gel: Grams,
    /// Mat and loose strands in all.
    pub glass: Grams,
    /// Area of tissue in all.
    pub tissue: SquareMetres,
    /// Laminating resin in all.
    pub resin: Grams,
    /// Catalyst for the gel coat and the resin.
    pub catalyst: CatalystAmount,
    /// What the laminate weighs when it is done, without waste.
    pub mass: Grams,
}

/// Lays up zones: the layers in working order with their tubs, and thickness
/// and mass of each zone ([`thickness`]).
///
/// # Errors
/// [`TakeoffError`] when a zone has no area or no glass, a factor has no
/// sense, or a layer would take too many tubs.
pub fn lay_up(zones: &[Zone], factors: &LayFactors) -> Result<Worked<Laminate>, TakeoffError> {
    check(zones, factors)?;
    let mut laminate = Laminate {
        layers: Vec::new(),
        zones: Vec::new(),
        gel: Grams(0.0),
        glass: Grams(0.0),
        tissue: SquareMetres(0.0),
        resin: Grams(0.0),
        catalyst: CatalystAmount { mass: Grams(0.0), volume: Millilitres(0.0) },
        mass: Grams(0.0),
    };
    let mut sum = Sum::default();
    for kind in order(zones) {
        for layer in layers_of(kind, zones, factors)? {
            let dose = &mut laminate.catalyst;
            let tubs = f64::from(layer.tubs.count);
            dose.mass = dose.mass + layer.catalyst_each.mass * tubs;
            dose.volume = dose.volume + layer.catalyst_each.volume * tubs;
            sum = sum.with(
                format!("{} ({}): liquid", kind.name(), layer.on),
                Quantity::Mass(layer.liquid),
            );
            match kind {
                LayerKind::Gel => laminate.gel = laminate.gel + layer.liquid,
                _ => laminate.resin = laminate.resin + layer.liquid,
            }
            match kind {
                LayerKind::Tissue => {
                    laminate.tissue = laminate.tissue + layer.area * more(factors.tissue_waste);
                }
                _ => laminate.glass = laminate.glass + layer.glass,
            }
            laminate.layers.push(layer);
        }
    }
    for zone in zones {
        let built = stand(zone, factors)?;
        laminate.mass = laminate.mass + built.result.mass * zone.area;
        laminate.zones.push(built.result);
        sum = sum.with(format!("{}, area", zone.name), Quantity::Area(zone.area)).then(built.sum);
    }
    let sum = sum
        .with("Gel coat in all", Quantity::Mass(laminate.gel))
        .with("Glass mat and strands in all", Quantity::Mass(laminate.glass))
        .with("Tissue in all", Quantity::Area(laminate.tissue))
        .with("Resin in all", Quantity::Mass(laminate.resin))
        .with("Catalyst in all", Quantity::Mass(laminate.catalyst.mass))
        .with("The laminate weighs, without waste", Quantity::Mass(laminate.mass));
    Ok(Worked { result: laminate, sum })
}

/// The factor that a waste adds: 1.1 for 10 %.
fn more(waste: Percent) -> f64 {
    1.0 + waste.value() / 100.0
}

fn check(zones: &[Zone], factors: &LayFactors) -> Result<(), TakeoffError> {
    for zone in zones {
        positive("The area", zone.area.value())?;
        not_negative("The wet film", zone.gel.value())?;
        not_negative("The weight of loose strands", zone.strands.value())?;
        not_negative("The mass of the tissue", zone.tissue.value())?;
        for mat in zone.mats.iter().chain(&zone.edge) {
            positive("The mass of the mat", mat.value())?;
        }
    }
    positive("The number of zones", zones.len() as f64)?;
    positive("The density of the gel coat", factors.gel_density.value())?;
    positive("The resin to the mat", factors.per_glass)?;
    not_negative("The first wet coat", factors.first_wetting.value())?;
    not_negative("The resin to the tissue", factors.per_tissue.value())?;
    not_negative("The waste of mat", factors.glass_waste.value())?;
    not_negative("The waste of tissue", factors.tissue_waste.value())?;
    not_negative("The waste of resin", factors.resin.waste.value())?;
    not_negative("The waste of gel coat", factors.gel.waste.value())
}

/// The kinds of layers that some zone has, in working order.
fn order(zones: &[Zone]) -> Vec<LayerKind> {
    let most = |plies: fn(&Zone) -> usize| zones.iter().map(plies).max().unwrap_or(0) as u32;
    let mut kinds = vec![LayerKind::Gel, LayerKind::Wetting, LayerKind::Strands];
    kinds.extend((1..=most(|zone| zone.mats.len())).map(LayerKind::Mat));
    kinds.extend((1..=most(|zone| zone.edge.len())).map(LayerKind::Edge));
    kinds.push(LayerKind::Tissue);
    kinds
}

/// The mat or tissue that a zone has as this layer; None where it has none.
fn sheet(kind: LayerKind, zone: &Zone) -> Option<GramsPerSquareMetre> {
    let ply = |plies: &[GramsPerSquareMetre], number: u32| plies.get(number as usize - 1).copied();
    let some = |has: bool| has.then_some(GramsPerSquareMetre(0.0));
    match kind {
        LayerKind::Gel => some(zone.gel.value() > 0.0),
        LayerKind::Wetting => some(true),
        LayerKind::Strands => some(zone.strands.value() > 0.0),
        LayerKind::Mat(number) => ply(&zone.mats, number),
        LayerKind::Edge(number) => ply(&zone.edge, number),
        LayerKind::Tissue => Some(zone.tissue).filter(|tissue| tissue.value() > 0.0),
    }
}

/// The layers of a kind: one for each mat that is cut for it.
fn layers_of(
    kind: LayerKind,
    zones: &[Zone],
    factors: &LayFactors,
) -> Result<Vec<Layer>, TakeoffError> {
    let none = BatchSplit { count: 0, each: Grams(0.0) };
    let dry = CatalystAmount { mass: Grams(0.0), volume: Millilitres(0.0) };
    let mut layers: Vec<Layer> = Vec::new();
    for zone in zones {
        let Some(mat) = sheet(kind, zone) else { continue };
        let (glass, liquid) = takes(kind, zone, mat, factors)?;
        match layers.iter_mut().find(|layer| layer.mat == mat) {
            Some(layer) => {
                layer.on = format!("{}, {}", layer.on, zone.name);
                layer.area = layer.area + zone.area;
                layer.glass = layer.glass + glass;
                layer.liquid = layer.liquid + liquid;
            }
            None => layers.push(Layer {
                kind,
                on: zone.name.clone(),
                area: zone.area,
                mat,
                glass,
                liquid,
                tubs: none,
                catalyst_each: dry,
            }),
        }
    }
    let rule = if kind == LayerKind::Gel { &factors.gel } else { &factors.resin };
    layers.retain(|layer| layer.liquid.value() > 0.0 || layer.glass.value() > 0.0);
    for layer in layers.iter_mut().filter(|layer| layer.liquid.value() > 0.0) {
        layer.tubs = split_batches(layer.liquid, rule.pot, rule.rate, rule.share, rule.largest)?;
        layer.catalyst_each =
            catalyst_amount(layer.tubs.each, rule.catalyst, factors.catalyst_density)?;
    }
    Ok(layers)
}

/// Dry glass and liquid of a layer on one zone, with their waste.
fn takes(
    kind: LayerKind,
    zone: &Zone,
    mat: GramsPerSquareMetre,
    factors: &LayFactors,
) -> Result<(Grams, Grams), TakeoffError> {
    let waste = more(factors.resin.waste);
    let wetted = |glass: Grams| (glass, glass * factors.per_glass * waste);
    Ok(match kind {
        LayerKind::Gel => {
            let gel = GelFactors {
                film: zone.gel,
                density: factors.gel_density,
                waste: factors.gel.waste,
            };
            (Grams(0.0), gel_coat(zone.area, SquareMetres(0.0), &gel)?.result)
        }
        LayerKind::Wetting => (Grams(0.0), factors.first_wetting * zone.area * waste),
        LayerKind::Strands => wetted(zone.strands * more(factors.glass_waste)),
        LayerKind::Mat(_) | LayerKind::Edge(_) => {
            wetted(mat * zone.area * more(factors.glass_waste))
        }
        LayerKind::Tissue => {
            let area = zone.area * more(factors.tissue_waste);
            (mat * area, factors.per_tissue * area * waste)
        }
    })
}

/// What stands on a zone.
fn stand(zone: &Zone, factors: &LayFactors) -> Result<Worked<ZoneBuild>, TakeoffError> {
    let area = zone.area.value();
    let plies: f64 = zone.mats.iter().chain(&zone.edge).map(|mat| mat.value()).sum();
    let soaked = plies + zone.strands.value() / area;
    positive("The glass of each zone", soaked)?;
    let has_tissue = zone.tissue.value() > 0.0;
    let for_tissue = if has_tissue { factors.per_tissue.value() } else { 0.0 };
    let glass = GramsPerSquareMetre(soaked + zone.tissue.value());
    let resin = soaked * factors.per_glass + factors.first_wetting.value() + for_tissue;
    let content = super::glass_content(resin / glass.value())?;
    let gel = factors.gel_density.value() * zone.gel.value() * 1000.0;
    let mass = GramsPerSquareMetre(glass.value() + resin + gel);
    let thick = thickness(glass, content)?;
    let resin = GramsPerSquareMetre(resin);
    let sum = Sum::default()
        .with("Resin in place", Quantity::AreaMass(resin))
        .then(thick.sum)
        .with("Mass with the gel coat", Quantity::AreaMass(mass));
    let name = zone.name.clone();
    let build = ZoneBuild { name, glass, resin, content, thickness: thick.result, mass };
    Ok(Worked { result: build, sum })
}
