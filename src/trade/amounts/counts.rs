//! The rules whose amount is a number of pieces, an area or a force.

use super::inputs::Inputs;
use super::{Amount, AmountError, with_share};
use crate::engine::quantity::{Grams, Millilitres, Millimetres, SquareMetres};
use crate::engine::takeoff::{self, Float, Quantity, Run, Worked};
use crate::trade::model::{Figure, Unit};

/// Pieces for this stage's share, rounded up.
fn pieces(inputs: &Inputs, worked: Worked<u32>) -> (u32, Amount) {
    let share = inputs.used.share;
    let count = (f64::from(worked.result) * share - 1e-9).ceil().max(0.0) as u32;
    let main = Quantity::Count(count);
    let sum = with_share(worked.sum, share, main);
    (count, Amount { main, parts: Vec::new(), sum: sum.lines, factors: Vec::new() })
}

/// K-TISSUE.
pub(super) fn tissue(inputs: &Inputs) -> Result<Amount, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let worked = takeoff::tissue(area, inputs.waste(None, "tissue-waste")?)?;
    let main = Quantity::Area(worked.result * inputs.used.share);
    let sum = with_share(worked.sum, inputs.used.share, main);
    Ok(Amount { main, parts: Vec::new(), sum: sum.lines, factors: Vec::new() })
}

/// K-FILM: what covers and keeps damp, with its laps.
pub(super) fn film(inputs: &Inputs) -> Result<Amount, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let worked = takeoff::tissue(area, inputs.waste(None, "film-waste")?)?;
    let main = Quantity::Area(worked.result * inputs.used.share);
    let sum = with_share(worked.sum, inputs.used.share, main);
    Ok(Amount { main, parts: Vec::new(), sum: sum.lines, factors: Vec::new() })
}

/// K-BAND: rolls for an area in plies.
pub(super) fn bandage(inputs: &Inputs) -> Result<Amount, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let plies = inputs.count("plies")?;
    let roll = match inputs.card()?.property("coverage") {
        Some(Figure { unit: Unit::SquareMetre, likely, .. }) => SquareMetres(*likely),
        _ => {
            return Err(AmountError::NoFigure {
                figure: "coverage".into(),
                material: inputs.family.map(|family| family.title.clone()),
            });
        }
    };
    let waste = inputs.waste(None, "bandage-waste")?;
    Ok(pieces(inputs, takeoff::rolls(area, plies, roll, waste)?).1)
}

/// K-SHIM.
pub(super) fn shim(inputs: &Inputs) -> Result<Amount, AmountError> {
    let line = Millimetres(inputs.need("length")?);
    let strip = Millimetres(inputs.need("strip-length")?);
    let worked = takeoff::shim_strips(line, strip, inputs.waste(None, "shim-waste")?)?;
    Ok(pieces(inputs, worked).1)
}

/// K-BOLT: each bolt with two washers and a wing nut.
pub(super) fn bolts(inputs: &Inputs) -> Result<Amount, AmountError> {
    let spacing = match inputs.optional("spacing")? {
        Some(spacing) => Millimetres(spacing),
        None => inputs.length(None, "bolt-spacing")?,
    };
    let extra = inputs.count_or("extra", 0)?;
    let worked = match inputs.optional("run")? {
        Some(run) => takeoff::bolts(Millimetres(run), spacing, Run::Open, extra)?,
        None => {
            let around = Millimetres(inputs.need("loop")?);
            takeoff::bolts(around, spacing, Run::ClosedLoop, extra)?
        }
    };
    let (count, mut amount) = pieces(inputs, worked);
    amount.parts = vec![
        ("bolts".into(), Quantity::Count(count)),
        ("washers".into(), Quantity::Count(count * 2)),
        ("wing nuts".into(), Quantity::Count(count)),
    ];
    Ok(amount)
}

/// K-LAYER.
pub(super) fn layers(inputs: &Inputs) -> Result<Amount, AmountError> {
    let depth = Millimetres(inputs.need("depth")?);
    let limit = Millimetres(inputs.need("limit")?);
    Ok(pieces(inputs, takeoff::layers(depth, limit)?).1)
}

/// K-UPLIFT. A share of a pour lifts no less, so the share plays no part.
pub(super) fn uplift(inputs: &Inputs) -> Result<Amount, AmountError> {
    let head = Millimetres(inputs.need("head")?);
    let area = SquareMetres(inputs.need("area")?);
    let float = match (inputs.optional("object-volume")?, inputs.optional("object-mass")?) {
        (Some(volume), Some(mass)) => {
            Some(Float { volume: Millilitres(volume), mass: Grams(mass) })
        }
        _ => None,
    };
    let safety = inputs.factor(None, "uplift-safety")?;
    let worked = takeoff::uplift(head, inputs.density()?, area, float, safety)?;
    let lift = worked.result;
    let mut parts = vec![
        ("pressure at the bottom".into(), Quantity::Pressure(lift.pressure)),
        ("lift, at most".into(), Quantity::Force(lift.force)),
    ];
    if float.is_some() {
        parts.push(("the object floats with".into(), Quantity::Force(lift.float)));
    }
    Ok(Amount {
        main: Quantity::Force(lift.hold_down),
        parts,
        sum: worked.sum.lines,
        factors: Vec::new(),
    })
}
