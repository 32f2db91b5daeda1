//! Volumes and areas by the scale: what an odd shape displaces, holds or weighs.
//!
//! A scale doesn't mind how a piece is shaped, so these are the second way to
//! set beside callipers. Densities come in as measured in this shop: see
//! [`density_in_pot`].

use super::error::{ShapeError, positive, size};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millilitres, Millimetres, SquareMetres,
};
use crate::engine::takeoff::{Quantity, Sum, Worked};

/// What was weighed for a volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ByWeight {
    /// The water that ran over when the piece, in its bag, went into a full
    /// bucket. The density is the water's.
    Overflow,
    /// A solid cast of the same piece. The density is the cast's.
    OldCast,
}

/// A volume from one weighing: mass / density.
///
/// # Errors
/// [`ShapeError`] when the mass or the density is not above 0.
pub fn volume_by_weight(
    by: ByWeight,
    mass: Grams,
    density: GramsPerMillilitre,
) -> Result<Worked<Millilitres>, ShapeError> {
    let (weighed, dense, end) = match by {
        ByWeight::Overflow => {
            ("Water that ran over", "Density of the water", "Volume: water / its density")
        }
        ByWeight::OldCast => {
            ("Old cast, solid", "Density of the cast", "Volume: cast / its density")
        }
    };
    positive(weighed, mass.value())?;
    positive(dense, density.value())?;
    let volume = Millilitres(positive("The volume", (mass / density).value())?);
    let sum = Sum::default()
        .with(weighed, Quantity::Mass(mass))
        .with(dense, Quantity::Density(density))
        .with(end, Quantity::Volume(volume));
    Ok(Worked { result: volume, sum })
}

/// The inside of a mould or box filled level with water or dry grain:
/// (full - empty) / density. Grain counts with its poured density, the spaces
/// between its grains included. Plaster soaks water up: never fill it with any.
///
/// # Errors
/// [`ShapeError`] when a mass or the density is not above 0, or the full one
/// is not the heavier.
pub fn volume_by_fill(
    empty: Grams,
    full: Grams,
    density: GramsPerMillilitre,
) -> Result<Worked<Millilitres>, ShapeError> {
    positive("The empty mould", empty.value())?;
    positive("The full mould", full.value())?;
    positive("The density of the fill", density.value())?;
    let fill = full - empty;
    if fill.value() <= 0.0 {
        return Err(ShapeError::FullNotHeavier);
    }
    let volume = Millilitres(positive("The volume", (fill / density).value())?);
    let sum = Sum::default()
        .with("Mould, full", Quantity::Mass(full))
        .with("Mould, empty", Quantity::Mass(empty))
        .with("Fill: full - empty", Quantity::Mass(fill))
        .with("Density of the fill", Quantity::Density(density))
        .with("Volume: fill / its density", Quantity::Volume(volume));
    Ok(Worked { result: volume, sum })
}

/// A density by a pot filled twice (K-RHO): with water, then packed with the
/// clay or grain. Masses are without the pot.
///
/// # Errors
/// [`ShapeError`] when a mass or the density of the water is not above 0.
pub fn density_in_pot(
    water: Grams,
    packed: Grams,
    water_density: GramsPerMillilitre,
) -> Result<Worked<GramsPerMillilitre>, ShapeError> {
    let pot = volume_of_pot(water, water_density)?;
    positive("The packed pot", packed.value())?;
    let density = GramsPerMillilitre(positive("The density", packed.value() / pot.value())?);
    let sum = Sum::default()
        .with("Pot of water", Quantity::Mass(water))
        .with("Density of the water", Quantity::Density(water_density))
        .with("Pot: water / its density", Quantity::Volume(pot))
        .with("Packed into the pot", Quantity::Mass(packed))
        .with("Density: packed / pot", Quantity::Density(density));
    Ok(Worked { result: density, sum })
}

/// What the water in a pot says of its size.
fn volume_of_pot(water: Grams, density: GramsPerMillilitre) -> Result<Millilitres, ShapeError> {
    positive("The pot of water", water.value())?;
    positive("The density of the water", density.value())?;
    Ok(Millilitres(positive("The volume of the pot", (water / density).value())?))
}

/// An area by a paper pattern: its mass over the paper's mass per area, from a
/// reference sheet of known sides out of the same paper.
///
/// # Errors
/// [`ShapeError`] when a mass is not above 0, or a side is not one of a sheet.
pub fn area_by_paper(
    pattern: Grams,
    sheet: Grams,
    length: Millimetres,
    width: Millimetres,
) -> Result<Worked<SquareMetres>, ShapeError> {
    positive("The pattern", pattern.value())?;
    positive("The reference sheet", sheet.value())?;
    let (l, w) = (size("The sheet's length", length)?, size("The sheet's width", width)?);
    let paper = GramsPerSquareMetre(sheet.value() / (l * w) * 1e6);
    let area = SquareMetres(positive("The area", pattern.value() / paper.value())?);
    let sum = Sum::default()
        .with("Reference sheet", Quantity::Mass(sheet))
        .with("Sheet, length", Quantity::Length(length))
        .with("Sheet, width", Quantity::Length(width))
        .with("Paper: sheet / its area", Quantity::AreaMass(paper))
        .with("Pattern", Quantity::Mass(pattern))
        .with("Area: pattern / paper", Quantity::Area(area));
    Ok(Worked { result: area, sum })
}
