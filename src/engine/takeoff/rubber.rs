//! Clay and the rubber that takes its place.

use super::{Quantity, Sum, TakeoffError, Worked, not_negative, positive, with_waste};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millilitres, Millimetres, Percent, SquareMetres,
};

/// Clay for a blanket of even thickness (K-CLAY): area x thickness x density.
///
/// # Errors
/// [`TakeoffError`] when the area, thickness or density is not above 0.
pub fn clay_blanket(
    area: SquareMetres,
    thickness: Millimetres,
    density: GramsPerMillilitre,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The density of the clay", density.value())?;
    let volume = volume_from_area(area, thickness)?;
    let clay = density * volume.result;
    let sum = volume
        .sum
        .with("Density of the clay", Quantity::Density(density))
        .with("Clay: volume x density", Quantity::Mass(clay));
    Ok(Worked { result: clay, sum })
}

/// The volume of an even layer: area x thickness. Exact on a flat face; on a
/// rounded form it leaves out that the outside is larger.
///
/// # Errors
/// [`TakeoffError`] when the area or thickness is not above 0.
pub fn volume_from_area(
    area: SquareMetres,
    thickness: Millimetres,
) -> Result<Worked<Millilitres>, TakeoffError> {
    positive("The area", area.value())?;
    positive("The thickness", thickness.value())?;
    let volume = area * thickness;
    let sum = Sum::default()
        .with("Area", Quantity::Area(area))
        .with("Thickness", Quantity::Length(thickness))
        .with("Volume: area x thickness", Quantity::Volume(volume));
    Ok(Worked { result: volume, sum })
}

/// The volume of the clay lifted out of a mould: its mass over its density.
///
/// # Errors
/// [`TakeoffError`] when the mass or density is not above 0.
pub fn volume_from_clay(
    clay: Grams,
    density: GramsPerMillilitre,
) -> Result<Worked<Millilitres>, TakeoffError> {
    positive("The weight of the clay", clay.value())?;
    positive("The density of the clay", density.value())?;
    let volume = clay / density;
    let sum = Sum::default()
        .with("Clay lifted out", Quantity::Mass(clay))
        .with("Density of the clay", Quantity::Density(density))
        .with("Volume: clay / density", Quantity::Volume(volume));
    Ok(Worked { result: volume, sum })
}

/// Two ways to one volume, compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// How far the second is above the first (below, when negative), in per
    /// cent of the first.
    pub difference: Percent,
    /// Whether that is more than is allowed: find out why before mixing.
    pub ask_why: bool,
}

/// Compares the volume by area with the volume by weight, which is the better
/// one and so the measure of the difference.
///
/// # Errors
/// [`TakeoffError`] when either volume is not above 0 or `allowed` is below 0.
pub fn compare_volumes(
    by_weight: Millilitres,
    by_area: Millilitres,
    allowed: Percent,
) -> Result<Worked<Comparison>, TakeoffError> {
    positive("The volume by weight", by_weight.value())?;
    positive("The volume by area", by_area.value())?;
    not_negative("The difference allowed", allowed.value())?;
    let difference = Percent((by_area / by_weight - 1.0) * 100.0);
    // The hair's breadth keeps a difference of just what is allowed, allowed.
    let ask_why = difference.value().abs() > allowed.value() + 1e-9;
    let sum = Sum::default()
        .with("By area it would be", Quantity::Volume(by_area))
        .with("That differs from the weight by", Quantity::Percent(difference));
    let sum = if ask_why {
        sum.with("Ask why before you mix: allowed is", Quantity::Percent(allowed))
    } else {
        sum
    };
    Ok(Worked { result: Comparison { difference, ask_why }, sum })
}

/// The volume of a round spout or vent: pi/4 x bore² x height.
///
/// # Errors
/// [`TakeoffError`] when the bore or height is below 0.
pub fn spout_volume(bore: Millimetres, height: Millimetres) -> Result<Millilitres, TakeoffError> {
    not_negative("The bore", bore.value())?;
    not_negative("The height", height.value())?;
    let cubic_millimetres =
        std::f64::consts::FRAC_PI_4 * bore.value() * bore.value() * height.value();
    Ok(Millilitres(cubic_millimetres / 1000.0))
}

/// The volume around an object in a box (K-BOX): length x width x depth of
/// fill, less the object.
///
/// # Errors
/// [`TakeoffError`] when a side is not above 0, the object's volume is below
/// 0, or the object fills the box.
pub fn volume_in_box(
    length: Millimetres,
    width: Millimetres,
    fill: Millimetres,
    object: Millilitres,
) -> Result<Worked<Millilitres>, TakeoffError> {
    positive("The length of the box", length.value())?;
    positive("The width of the box", width.value())?;
    positive("The depth of fill", fill.value())?;
    not_negative("The volume of the object", object.value())?;
    let inside = Millilitres(length.value() * width.value() * fill.value() / 1000.0);
    let volume = inside - object;
    positive("What the object leaves of the box", volume.value())?;
    let sum = Sum::default()
        .with("Box, length", Quantity::Length(length))
        .with("Box, width", Quantity::Length(width))
        .with("Depth of fill", Quantity::Length(fill))
        .with("Box: length x width x fill", Quantity::Volume(inside))
        .with("Less the object", Quantity::Volume(object))
        .with("Volume", Quantity::Volume(volume));
    Ok(Worked { result: volume, sum })
}

/// The factors of poured rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RubberFactors {
    /// Density of the mixed rubber.
    pub density: GramsPerMillilitre,
    /// What stays in each tub.
    pub per_tub: Grams,
    /// Waste on all of it.
    pub waste: Percent,
}

/// Poured rubber (K-SI): (volume x density + spouts + what stays in the tubs),
/// and waste on all of it. `spouts` is the volume of spouts and vents together.
///
/// # Errors
/// [`TakeoffError`] when the volume or density is not above 0, or another
/// value is below 0.
pub fn poured_rubber(
    volume: Millilitres,
    spouts: Millilitres,
    tubs: u32,
    factors: &RubberFactors,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The volume", volume.value())?;
    not_negative("The volume of spouts and vents", spouts.value())?;
    positive("The density of the mix", factors.density.value())?;
    not_negative("What stays in a tub", factors.per_tub.value())?;
    let factor = with_waste(factors.waste)?;
    let fill = factors.density * volume;
    let spouts = factors.density * spouts;
    let lost = factors.per_tub * f64::from(tubs);
    let rubber = (fill + spouts + lost) * factor;
    let mut sum = Sum::default()
        .with("Density of the mix", Quantity::Density(factors.density))
        .with("To fill: volume x density", Quantity::Mass(fill));
    if spouts.value() > 0.0 {
        sum = sum.with("Spouts and vents", Quantity::Mass(spouts));
    }
    if lost.value() > 0.0 {
        sum = sum.with("Stays in the tubs", Quantity::Mass(lost));
    }
    let sum = sum
        .with("Waste on all of it", Quantity::Percent(factors.waste))
        .with("In all", Quantity::Mass(rubber));
    Ok(Worked { result: rubber, sum })
}

/// The factors of brushed rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BrushFactors {
    /// Use of the first coat.
    pub first: GramsPerSquareMetre,
    /// Use of each further coat.
    pub next: GramsPerSquareMetre,
    /// Waste: brushes, runs, tub walls.
    pub waste: Percent,
}

/// Brushed rubber (K-BRUSH): a detail coat and build coats over an area.
/// `first` says whether the detail coat is among the `coats`.
///
/// # Errors
/// [`TakeoffError`] when the area is not above 0, there are no coats, or a
/// factor is below 0.
pub fn brushed_rubber(
    area: SquareMetres,
    coats: u32,
    first: bool,
    factors: &BrushFactors,
) -> Result<Worked<Grams>, TakeoffError> {
    positive("The area", area.value())?;
    positive("The number of coats", f64::from(coats))?;
    not_negative("The use of a coat", factors.first.value().min(factors.next.value()))?;
    let factor = with_waste(factors.waste)?;
    let detail = u32::from(first);
    let build = coats - detail;
    let rubber = (factors.first * area * f64::from(detail)
        + factors.next * area * f64::from(build))
        * factor;
    let mut sum = Sum::default().with("Area", Quantity::Area(area));
    if first {
        sum = sum.with("First coat", Quantity::AreaMass(factors.first));
    }
    if build > 0 {
        sum = sum
            .with("Build coats", Quantity::Count(build))
            .with("Each build coat", Quantity::AreaMass(factors.next));
    }
    let sum = sum
        .with("Waste: brushes and runs", Quantity::Percent(factors.waste))
        .with("Rubber in all", Quantity::Mass(rubber));
    Ok(Worked { result: rubber, sum })
}
