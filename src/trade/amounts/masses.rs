//! The rules whose amount is a mass.

use super::inputs::{Given, Inputs};
use super::{Amount, AmountError, mixed, with_share};
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millilitres, Millimetres, PartsPerHundred,
    SquareMetres,
};
use crate::engine::takeoff::{
    self, BrushFactors, GelFactors, GlassZone, Quantity, ResinFactors, RubberFactors, Sum, Worked,
};
use crate::trade::model::Mixing;

/// Flanges of one joint: one on each of its two pieces.
const FACES_OF_A_JOINT: u32 = 2;

/// K-CLAY, with what to have at hand once waste is allowed for.
pub(super) fn clay(inputs: &Inputs) -> Result<Amount, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let thickness = Millimetres(inputs.need("thickness")?);
    let worked = takeoff::clay_blanket(area, thickness, inputs.density()?)?;
    let waste = inputs.waste(Some("waste"), "clay-waste")?;
    let at_hand = worked.result * (inputs.used.share * (1.0 + waste.value() / 100.0));
    let mut amount = mixed(inputs, worked)?;
    let more = Sum::default()
        .with("Waste, used again", Quantity::Percent(waste))
        .with("Have at hand", Quantity::Mass(at_hand));
    amount.sum.extend(more.lines);
    Ok(amount)
}

fn by_area(inputs: &Inputs) -> Result<Worked<Millilitres>, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let thickness = Millimetres(inputs.need("thickness")?);
    Ok(takeoff::volume_from_area(area, thickness)?)
}

/// The volume of the blanket by the best way that has been measured: the
/// clay's weight, else area and thickness; a stated volume before both.
fn blanket(inputs: &Inputs) -> Result<Worked<Millilitres>, AmountError> {
    let has = |name: &str| matches!(inputs.given(name), Given::Value(_));
    let area_known = has("area") && has("thickness");
    if has("volume") {
        let volume = Millilitres(inputs.need("volume")?);
        let sum = Sum::default().with("Volume", Quantity::Volume(volume));
        return Ok(Worked { result: volume, sum });
    }
    if has("clay-mass") {
        let clay = Grams(inputs.need("clay-mass")?);
        let density = GramsPerMillilitre(inputs.need("clay-density")?);
        let by_weight = takeoff::volume_from_clay(clay, density)?;
        if !area_known {
            return Ok(by_weight);
        }
        let allowed = inputs.percent("blanket-difference")?;
        let compared =
            takeoff::compare_volumes(by_weight.result, by_area(inputs)?.result, allowed)?;
        return Ok(Worked { result: by_weight.result, sum: by_weight.sum.then(compared.sum) });
    }
    if area_known {
        return by_area(inputs);
    }
    // Nothing is known yet: ask for the best way that the method names.
    inputs.entered(&["volume"])?;
    inputs.entered(&["clay-mass", "clay-density"])?;
    inputs.entered(&["area", "thickness"])?;
    by_area(inputs)
}

fn rubber_factors(inputs: &Inputs) -> Result<RubberFactors, AmountError> {
    Ok(RubberFactors {
        density: inputs.density()?,
        per_tub: inputs.mass("tub-loss")?,
        waste: inputs.waste(Some("waste"), "silicone-waste")?,
    })
}

/// A volume poured full, with what spouts, vents and tubs take.
fn poured(inputs: &Inputs, volume: Worked<Millilitres>) -> Result<Amount, AmountError> {
    let spouts = Millilitres(inputs.optional("spout-volume")?.unwrap_or(0.0));
    let tubs = inputs.count_or("tubs", 1)?;
    let rubber = takeoff::poured_rubber(volume.result, spouts, tubs, &rubber_factors(inputs)?)?;
    mixed(inputs, Worked { result: rubber.result, sum: volume.sum.then(rubber.sum) })
}

/// K-SI.
pub(super) fn silicone(inputs: &Inputs) -> Result<Amount, AmountError> {
    let volume = blanket(inputs)?;
    poured(inputs, volume)
}

/// K-BOX.
pub(super) fn boxed(inputs: &Inputs) -> Result<Amount, AmountError> {
    let volume = takeoff::volume_in_box(
        Millimetres(inputs.need("length")?),
        Millimetres(inputs.need("width")?),
        Millimetres(inputs.need("fill")?),
        Millilitres(inputs.optional("object-volume")?.unwrap_or(0.0)),
    )?;
    poured(inputs, volume)
}

/// K-CAST: a volume of casting resin, nothing left in spout or tub but waste.
pub(super) fn cast(inputs: &Inputs) -> Result<Amount, AmountError> {
    let volume = Millilitres(inputs.need("volume")?);
    let factors = RubberFactors {
        density: inputs.density()?,
        per_tub: Grams(0.0),
        waste: inputs.waste(Some("waste"), "fast-cast-waste")?,
    };
    let worked = takeoff::poured_rubber(volume, Millilitres(0.0), 0, &factors)?;
    let sum = Sum::default().with("Volume", Quantity::Volume(volume)).then(worked.sum);
    mixed(inputs, Worked { result: worked.result, sum })
}

/// K-BRUSH.
pub(super) fn brushed(inputs: &Inputs) -> Result<Amount, AmountError> {
    let factors = BrushFactors {
        first: inputs.per_area(Some("coverage"), "brush-first-coat")?,
        next: inputs.per_area(Some("coverage-build"), "brush-next-coat")?,
        waste: inputs.waste(Some("waste-brushed"), "silicone-brush-waste")?,
    };
    let area = SquareMetres(inputs.need("area")?);
    let coats = inputs.count_or("coats", 1)?;
    let first = inputs.count_or("first", 1)? > 0;
    mixed(inputs, takeoff::brushed_rubber(area, coats, first, &factors)?)
}

/// The area of the flanges, when the method has a length for them.
fn flanges(inputs: &Inputs) -> Result<SquareMetres, AmountError> {
    let Some(length) = inputs.optional("flange-length")? else {
        return Ok(SquareMetres(0.0));
    };
    let width = match inputs.optional("flange-width")? {
        Some(width) => Millimetres(width),
        None => inputs.length(None, "flange-width")?,
    };
    let faces = inputs.count_or("flange-faces", FACES_OF_A_JOINT)?;
    Ok(takeoff::flange_area(Millimetres(length), width, faces)?)
}

/// K-GEL.
pub(super) fn gel(inputs: &Inputs) -> Result<Amount, AmountError> {
    let factors = GelFactors {
        film: inputs.length(Some("film-thickness"), "gel-thickness")?,
        density: inputs.density()?,
        waste: inputs.waste(Some("waste"), "gel-waste")?,
    };
    let area = SquareMetres(inputs.need("area")?);
    mixed(inputs, takeoff::gel_coat(area, flanges(inputs)?, &factors)?)
}

/// The dry mat, whichever material the stage is about.
fn mat(inputs: &Inputs) -> Result<Worked<Grams>, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let plies = inputs.count("plies")?;
    let areal_mass: GramsPerSquareMetre = inputs.areal_mass()?;
    let extra = inputs.constant_count("flange-extra-layers")?;
    let zones = [
        GlassZone { name: "Body", area, plies, areal_mass },
        GlassZone {
            name: "Flanges",
            area: flanges(inputs)?,
            plies: inputs.count_or("flange-plies", plies + extra)?,
            areal_mass,
        },
    ];
    // The mat's own waste is wanted even when the card is that of the resin.
    Ok(takeoff::glass(&zones, inputs.waste(None, "glass-waste")?)?)
}

/// K-GLASS.
pub(super) fn glass(inputs: &Inputs) -> Result<Amount, AmountError> {
    mixed(inputs, mat(inputs)?)
}

/// K-RESIN.
pub(super) fn resin(inputs: &Inputs) -> Result<Amount, AmountError> {
    let mat = mat(inputs)?;
    let body = SquareMetres(inputs.need("area")?);
    let layers = inputs.count_or("tissue", 1)?;
    let tissue = if layers > 0 {
        let one = takeoff::tissue(body, inputs.waste(None, "tissue-waste")?)?.result;
        one * f64::from(layers)
    } else {
        SquareMetres(0.0)
    };
    let factors = ResinFactors {
        per_glass: inputs.factor(Some("coverage"), "resin-per-glass")?,
        first_wetting: inputs.per_area(None, "first-wetting")?,
        per_tissue: inputs.per_area(None, "resin-per-tissue")?,
        waste: inputs.waste(Some("waste"), "resin-waste")?,
    };
    let all = body + flanges(inputs)?;
    let resin = takeoff::resin(mat.result, all, tissue, &factors)?;
    mixed(inputs, Worked { result: resin.result, sum: mat.sum.then(resin.sum) })
}

/// K-REL.
pub(super) fn release(inputs: &Inputs) -> Result<Amount, AmountError> {
    let area = SquareMetres(inputs.need("area")?);
    let coats = inputs.count_or("coats", 1)?;
    let per_coat = inputs.per_area(Some("coverage"), "release-use")?;
    mixed(inputs, takeoff::release(area, coats, per_coat)?)
}

/// K-PLAS and K-ALG.
pub(super) fn water_mix(inputs: &Inputs) -> Result<Amount, AmountError> {
    let family = inputs.card()?;
    let Mixing::Water { water, powder_density } = &family.mixing else {
        return Err(AmountError::NoFigure {
            figure: "ratio of water to powder".into(),
            material: Some(family.title.clone()),
        });
    };
    let (property, constant) = match (inputs.rule, inputs.count_or("shell", 0)?) {
        ("K-ALG", _) => ("waste", "alginate-waste"),
        (_, 0) => ("waste", "plaster-waste"),
        _ => ("waste-shell", "plaster-waste-shell"),
    };
    let volume = match inputs.optional("volume")? {
        Some(volume) => Worked { result: Millilitres(volume), sum: Sum::default() },
        None => by_area(inputs)?,
    };
    let worked = takeoff::water_mix(
        volume.result,
        PartsPerHundred(water.likely),
        GramsPerMillilitre(powder_density.likely),
        inputs.waste(Some(property), constant)?,
    )?;
    let share = inputs.used.share;
    let (water, powder) = (worked.result.water * share, worked.result.powder * share);
    let main = Quantity::Mass(water + powder);
    let sum = with_share(volume.sum.then(worked.sum), share, main);
    let parts =
        vec![("water".into(), Quantity::Mass(water)), ("powder".into(), Quantity::Mass(powder))];
    Ok(Amount { main, parts, sum: sum.lines, factors: Vec::new() })
}
