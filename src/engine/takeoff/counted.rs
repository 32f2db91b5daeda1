//! What is counted: strips of shim, bolts, layers.

use super::{Quantity, Sum, TakeoffError, Worked, not_negative, positive, with_waste};
use crate::engine::quantity::{Millimetres, Percent, SquareMetres};

/// The most pieces that a take-off gives; beyond it an entry is mistaken.
const MOST_PIECES: f64 = 10_000.0;

/// Rounds a number of pieces up. The hair's breadth keeps 16.0000000001 bolts
/// from becoming seventeen.
fn up(what: &'static str, number: f64) -> Result<u32, TakeoffError> {
    let number = (number - 1e-9).ceil().max(1.0);
    if number.is_finite() && number <= MOST_PIECES {
        Ok(number as u32)
    } else {
        Err(TakeoffError::TooMany { what })
    }
}

/// Strips for a shim wall (K-SHIM): the line with its waste for laps, over the
/// length of a strip, rounded up.
///
/// # Errors
/// [`TakeoffError`] when the line or strip is not above 0, the waste is below
/// 0, or there would be too many.
pub fn shim_strips(
    line: Millimetres,
    strip: Millimetres,
    waste: Percent,
) -> Result<Worked<u32>, TakeoffError> {
    positive("The length of the line", line.value())?;
    positive("The length of a strip", strip.value())?;
    let with_laps = line * with_waste(waste)?;
    let strips = up("strips", with_laps / strip)?;
    let sum = Sum::default()
        .with("Length of the line", Quantity::Length(line))
        .with("Waste: laps", Quantity::Percent(waste))
        .with("Line with its laps", Quantity::Length(with_laps))
        .with("Length of a strip", Quantity::Length(strip))
        .with("Strips, rounded up", Quantity::Count(strips));
    Ok(Worked { result: strips, sum })
}

/// Rolls of bandage for an area in plies (K-BAND): area x plies with its waste
/// for laps and trimmings, over what a single ply of a roll covers, rounded up.
///
/// # Errors
/// [`TakeoffError`] when the area, the plies or the cover of a roll is not above
/// 0, the waste is below 0, or there would be too many.
pub fn rolls(
    area: SquareMetres,
    plies: u32,
    roll: SquareMetres,
    waste: Percent,
) -> Result<Worked<u32>, TakeoffError> {
    positive("The area", area.value())?;
    positive("The number of plies", f64::from(plies))?;
    positive("What a roll covers", roll.value())?;
    let all = area * (f64::from(plies) * with_waste(waste)?);
    let rolls = up("rolls", all.value() / roll.value())?;
    let sum = Sum::default()
        .with("Area", Quantity::Area(area))
        .with("Plies", Quantity::Count(plies))
        .with("Waste: laps and trimmings", Quantity::Percent(waste))
        .with("Single ply in all", Quantity::Area(all))
        .with("A roll covers, single", Quantity::Area(roll))
        .with("Rolls, rounded up", Quantity::Count(rolls));
    Ok(Worked { result: rolls, sum })
}

/// How a bolted flange runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// All the way round: the last bolt is next to the first.
    ClosedLoop,
    /// From one end to another, with a bolt at each.
    Open,
}

/// Bolts along a flange (K-BOLT), evenly spaced no wider than `spacing`, and
/// `extra` ones near corners, ends and spouts.
///
/// # Errors
/// [`TakeoffError`] when the length or spacing is not above 0, or there would
/// be too many.
pub fn bolts(
    length: Millimetres,
    spacing: Millimetres,
    run: Run,
    extra: u32,
) -> Result<Worked<u32>, TakeoffError> {
    positive("The length of the flange", length.value())?;
    positive("The spacing of the bolts", spacing.value())?;
    let gaps = up("bolts", length / spacing)?;
    let even = match run {
        Run::ClosedLoop => gaps,
        Run::Open => gaps + 1,
    };
    let all = up("bolts", f64::from(even) + f64::from(extra))?;
    let sum = Sum::default()
        .with("Length of the flange", Quantity::Length(length))
        .with("Spacing, at most", Quantity::Length(spacing))
        .with("Bolts at even spacing", Quantity::Count(even))
        .with("More at corners, ends and spout", Quantity::Count(extra))
        .with("Bolts in all", Quantity::Count(all));
    Ok(Worked { result: all, sum })
}

/// Layers of a casting (K-LAYER): the depth over the most that one layer may be.
///
/// # Errors
/// [`TakeoffError`] when the depth is below 0, the limit is not above 0, or
/// there would be too many.
pub fn layers(depth: Millimetres, limit: Millimetres) -> Result<Worked<u32>, TakeoffError> {
    not_negative("The depth", depth.value())?;
    positive("The limit of a layer", limit.value())?;
    let layers = if depth.value() > 0.0 { up("layers", depth / limit)? } else { 0 };
    let sum = Sum::default()
        .with("Depth", Quantity::Length(depth))
        .with("One layer, at most", Quantity::Length(limit))
        .with("Layers, rounded up", Quantity::Count(layers));
    Ok(Worked { result: layers, sum })
}
