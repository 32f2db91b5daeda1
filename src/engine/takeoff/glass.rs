//! Glass mat, tissue and the resin that wets them.

use super::{Quantity, Sum, TakeoffError, Worked, not_negative, positive, with_waste};
use crate::engine::quantity::{Grams, GramsPerSquareMetre, Percent, SquareMetres};

/// A part of the jacket with the same layers all over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlassZone {
    /// Its name in a sum, e.g. "Body".
    pub name: &'static str,
    /// Its area.
    pub area: SquareMetres,
    /// Layers of mat on it.
    pub plies: u32,
    /// Mass of the mat.
    pub areal_mass: GramsPerSquareMetre,
}

/// Dry glass mat (K-GLASS): area x layers x areal mass over all zones, and
/// waste for offcuts.
///
/// # Errors
/// [`TakeoffError`] when there is no glass in it, an areal mass is not above
/// 0, or an area or the waste is below 0.
pub fn glass(zones: &[GlassZone], waste: Percent) -> Result<Worked<Grams>, TakeoffError> {
    let factor = with_waste(waste)?;
    let mut sum = Sum::default();
    let mut net = Grams(0.0);
    for zone in zones {
        not_negative("The area", zone.area.value())?;
        positive("The mass of the mat", zone.areal_mass.value())?;
        if zone.area.value() > 0.0 && zone.plies > 0 {
            net = net + zone.areal_mass * zone.area * f64::from(zone.plies);
            sum = sum
                .with(format!("{}, area", zone.name), Quantity::Area(zone.area))
                .with(format!("{}, layers", zone.name), Quantity::Count(zone.plies))
                .with(format!("{}, mat", zone.name), Quantity::AreaMass(zone.areal_mass));
        }
    }
    positive("The area of the glass", net.value())?;
    let mat = net * factor;
    let sum = sum
        .with("Mat: area x layers x its mass", Quantity::Mass(net))
        .with("Waste: offcuts", Quantity::Percent(waste))
        .with("Glass mat in all", Quantity::Mass(mat));
    Ok(Worked { result: mat, sum })
}

/// Surfacing tissue (K-TISSUE): the area, and waste for overlaps.
///
/// # Errors
/// [`TakeoffError`] when the area is not above 0 or the waste is below 0.
pub fn tissue(area: SquareMetres, waste: Percent) -> Result<Worked<SquareMetres>, TakeoffError> {
    positive("The area", area.value())?;
    let all = area * with_waste(waste)?;
    let sum = Sum::default()
        .with("Area", Quantity::Area(area))
        .with("Waste: overlaps", Quantity::Percent(waste))
        .with("Tissue in all", Quantity::Area(all));
    Ok(Worked { result: all, sum })
}

/// The factors of laminating resin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResinFactors {
    /// Resin to one of mat, by mass.
    pub per_glass: f64,
    /// Resin of the first wet coat under the mat.
    pub first_wetting: GramsPerSquareMetre,
    /// Resin that tissue takes up.
    pub per_tissue: GramsPerSquareMetre,
    /// Waste: tubs and brushes.
    pub waste: Percent,
}

/// Laminating resin (K-RESIN): for the mat, the first wet coat over `area`
/// and the tissue, and waste on all of it.
///
/// # Errors
/// [`TakeoffError`] when the ratio to the mat is not above 0, or another
/// value is below 0.
pub fn resin(
    mat: Grams,
    area: SquareMetres,
    tissue: SquareMetres,
    factors: &ResinFactors,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The weight of the mat", mat.value())?;
    not_negative("The area", area.value())?;
    not_negative("The area of tissue", tissue.value())?;
    positive("The resin to the mat", factors.per_glass)?;
    not_negative("The first wet coat", factors.first_wetting.value())?;
    not_negative("The resin to the tissue", factors.per_tissue.value())?;
    let factor = with_waste(factors.waste)?;
    let for_mat = mat * factors.per_glass;
    let wetting = factors.first_wetting * area;
    let for_tissue = factors.per_tissue * tissue;
    let all = (for_mat + wetting + for_tissue) * factor;
    let sum = Sum::default()
        .with("Glass mat", Quantity::Mass(mat))
        .with("Resin to one of mat", Quantity::Factor(factors.per_glass))
        .with("Resin for the mat", Quantity::Mass(for_mat))
        .with("First wet coat", Quantity::Mass(wetting))
        .with("Resin for the tissue", Quantity::Mass(for_tissue))
        .with("Waste: tubs and brushes", Quantity::Percent(factors.waste))
        .with("Resin in all", Quantity::Mass(all));
    Ok(Worked { result: all, sum })
}
