//! What a liquid does to the mould that holds it: pressure, lift, float.

use super::{KilogramsForce, Quantity, Sum, TakeoffError, Worked, not_negative, positive};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, Kilopascals, Millilitres, Millimetres, SquareMetres,
};

/// Standard gravity in m/s² (CGPM 1901, exact), which also defines the kgf.
const GRAVITY: f64 = 9.80665;

/// An object that liquid may get under.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Float {
    /// Volume of the object below the level.
    pub volume: Millilitres,
    /// Mass of the object.
    pub mass: Grams,
}

/// What must be held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uplift {
    /// Pressure at the bottom.
    pub pressure: Kilopascals,
    /// The most that the liquid can lift the mould with.
    pub force: KilogramsForce,
    /// How much the object wants to float, 0 when it doesn't.
    pub float: KilogramsForce,
    /// What to hold down with: the larger of the two with its safety factor.
    pub hold_down: KilogramsForce,
}

/// Pressure and lift of a liquid (K-UPLIFT): density x gravity x head, and
/// that pressure on the projected area, which no shape can exceed.
///
/// `safety` is the factor by which to hold down more than the lift. The result
/// is a caution for planning: it says nothing about whether the mould, its
/// bolts or its board can bear it.
///
/// # Errors
/// [`TakeoffError`] when the density or factor is not above 0, or another
/// value is below 0.
pub fn uplift(
    head: Millimetres,
    density: GramsPerMillilitre,
    area: SquareMetres,
    float: Option<Float>,
    safety: f64,
) -> Result<Worked<Uplift>, TakeoffError> {
    not_negative("The head", head.value())?;
    positive("The density", density.value())?;
    not_negative("The projected area", area.value())?;
    positive("The factor for holding down", safety)?;
    // g/ml is t/m³: with the head in metres the product is kPa, and without
    // gravity it is tonnes-force on a square metre.
    let tonnes_per_square_metre = density.value() * head.value() / 1000.0;
    let pressure = Kilopascals(tonnes_per_square_metre * GRAVITY);
    let force = KilogramsForce(tonnes_per_square_metre * 1000.0 * area.value());
    let mut sum = Sum::default()
        .with("Head above the bottom", Quantity::Length(head))
        .with("Density of the liquid", Quantity::Density(density))
        .with("Pressure at the bottom", Quantity::Pressure(pressure))
        .with("Area seen from above", Quantity::Area(area))
        .with("Lift, at most", Quantity::Force(force));
    let mut floats = KilogramsForce(0.0);
    if let Some(object) = float {
        not_negative("The volume of the object", object.volume.value())?;
        not_negative("The mass of the object", object.mass.value())?;
        let lift = density * object.volume - object.mass;
        floats = KilogramsForce((lift.value() / 1000.0).max(0.0));
        sum = sum.with("The object floats with", Quantity::Force(floats));
    }
    let hold_down = KilogramsForce(force.max(floats).value() * safety);
    let sum = sum
        .with("Held down with this times the larger", Quantity::Factor(safety))
        .with("Hold down with", Quantity::Force(hold_down));
    Ok(Worked { result: Uplift { pressure, force, float: floats, hold_down }, sum })
}
