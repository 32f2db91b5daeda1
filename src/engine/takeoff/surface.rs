//! What covers a face or fills a space by volume: gel coat, release, plaster.

use super::{Quantity, Sum, TakeoffError, Worked, not_negative, positive, with_waste};
use crate::engine::mix::{self, WaterAndPowder};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millilitres, Millimetres, PartsPerHundred,
    Percent, SquareMetres,
};

/// The area of the flanges along a joint; `faces` is 2 when the flanges of
/// both pieces are covered.
///
/// # Errors
/// [`TakeoffError`] when the length or width is below 0.
pub fn flange_area(
    length: Millimetres,
    width: Millimetres,
    faces: u32,
) -> Result<SquareMetres, TakeoffError> {
    not_negative("The length of the flange", length.value())?;
    not_negative("The width of the flange", width.value())?;
    Ok(SquareMetres(length.value() * width.value() / 1_000_000.0 * f64::from(faces)))
}

/// The factors of a gel coat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GelFactors {
    /// The wet film.
    pub film: Millimetres,
    /// Density of the liquid.
    pub density: GramsPerMillilitre,
    /// Waste: uneven film, brush.
    pub waste: Percent,
}

/// Gel coat (K-GEL): area x film x density, and waste. `flanges` are covered too.
///
/// # Errors
/// [`TakeoffError`] when the area, film or density is not above 0, or the
/// flanges or waste are below 0.
pub fn gel_coat(
    area: SquareMetres,
    flanges: SquareMetres,
    factors: &GelFactors,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The area", area.value())?;
    not_negative("The area of the flanges", flanges.value())?;
    positive("The wet film", factors.film.value())?;
    positive("The density", factors.density.value())?;
    let factor = with_waste(factors.waste)?;
    let all = area + flanges;
    let film = factors.density * (all * factors.film);
    let gel = film * factor;
    let mut sum = Sum::default().with("Area", Quantity::Area(area));
    if flanges.value() > 0.0 {
        sum = sum.with("Flanges", Quantity::Area(flanges));
    }
    let sum = sum
        .with("Wet film", Quantity::Length(factors.film))
        .with("Density of the gel coat", Quantity::Density(factors.density))
        .with("Film: area x film x density", Quantity::Mass(film))
        .with("Waste: uneven film and brush", Quantity::Percent(factors.waste))
        .with("Gel coat in all", Quantity::Mass(gel));
    Ok(Worked { result: gel, sum })
}

/// Release agent, or anything used by the coat (K-REL): area x coats x use.
///
/// # Errors
/// [`TakeoffError`] when the area or the use of a coat is not above 0, or
/// there are no coats.
pub fn release(
    area: SquareMetres,
    coats: u32,
    per_coat: GramsPerSquareMetre,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The area", area.value())?;
    positive("The number of coats", f64::from(coats))?;
    positive("The use of a coat", per_coat.value())?;
    let release = per_coat * area * f64::from(coats);
    let sum = Sum::default()
        .with("Area", Quantity::Area(area))
        .with("Coats", Quantity::Count(coats))
        .with("Use of each coat", Quantity::AreaMass(per_coat))
        .with("In all", Quantity::Mass(release));
    Ok(Worked { result: release, sum })
}

/// Plaster, stone or alginate for a volume (K-PLAS, K-ALG), water first: see
/// [`mix::water_and_powder`].
///
/// # Errors
/// [`TakeoffError`] when the volume, ratio or density is not above 0, or the
/// waste is below 0.
pub fn water_mix(
    volume: Millilitres,
    water: PartsPerHundred,
    powder_density: GramsPerMillilitre,
    waste: Percent,
) -> Result<Worked<WaterAndPowder>, TakeoffError> {
    positive("The volume", volume.value())?;
    let parts = mix::water_and_powder(volume, water, powder_density, waste)?;
    let sum = Sum::default()
        .with("Volume", Quantity::Volume(volume))
        .with("Water, of the powder's weight", Quantity::Percent(Percent(water.value())))
        .with("Density of the powder's grains", Quantity::Density(powder_density))
        .with("Waste: bowl", Quantity::Percent(waste))
        .with("Water, first", Quantity::Mass(parts.water))
        .with("Powder, into the water", Quantity::Mass(parts.powder));
    Ok(Worked { result: parts, sum })
}
