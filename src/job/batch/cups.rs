//! A tub in measuring cups, for a bench without a scale or a sheet that goes by
//! volume. Only through densities that somebody stated: one that is missing is
//! said to be missing.

use super::Pair;
use crate::engine::decimals;
use crate::engine::mix::{Densities, TwoPart, WATER_DENSITY, measured};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Millilitres};
use crate::engine::takeoff::Sum;
use crate::trade::model::{Family, Mixing};

use super::super::card::TinCard;
use super::super::command::Refusal;
use super::super::event::{Body, Material};
use super::super::state::State;

/// The shop's own sheet of densities.
const SHEET: &str = "density";

/// Field of that sheet: one for each part of a material.
fn field(material: &Material, part: usize) -> String {
    let part = part + 1;
    match material {
        Material::Family(id) => format!("{id} {part}"),
        Material::Tin(id) => format!("{id} {part}"),
    }
}

/// Densities of the two parts: what the shop entered, before the tin's sheet,
/// before the family's. A powder has none: it packs.
pub fn densities(
    state: &State,
    material: &Material,
    family: &Family,
    tin: Option<&TinCard>,
) -> [Option<GramsPerMillilitre>; 2] {
    let entries = state.sheets.get(&(None, SHEET.to_owned()));
    let entered = |part: usize| {
        let entry = entries?.get(&field(material, part))?;
        Some(GramsPerMillilitre(decimals::read(entry)?)).filter(|density| possible(*density))
    };
    let sheet = tin.and_then(|tin| tin.densities);
    let known = match &family.mixing {
        Mixing::Catalysed => {
            let catalyst = family.catalyst.as_ref().map(|c| c.density.likely);
            [family.property("density").map(|figure| figure.likely), catalyst]
                .map(|density| density.map(GramsPerMillilitre))
        }
        Mixing::Water { .. } => return [Some(WATER_DENSITY), None],
        _ => [None, None],
    };
    [entered(0).or(sheet.map(|d| d.a)).or(known[0]), entered(1).or(sheet.map(|d| d.b)).or(known[1])]
}

fn possible(density: GramsPerMillilitre) -> bool {
    (0.5..=4.0).contains(&density.value())
}

/// Enters the density of a part of a material, counted from 0.
///
/// # Errors
/// [`Refusal::ValueOutside`] for one that no pourable part has.
pub fn enter_density(
    material: &Material,
    part: usize,
    density: GramsPerMillilitre,
) -> Result<Body, Refusal> {
    if !possible(density) {
        return Err(Refusal::ValueOutside { title: "Density".into() });
    }
    Ok(Body::SheetFilled {
        job: None,
        sheet: SHEET.into(),
        field: field(material, part),
        entry: Some(density.value().to_string()),
    })
}

/// A mix in measuring cups.
#[derive(Clone, Debug, PartialEq)]
pub struct Cups {
    /// Volume of each part; none where its density is missing.
    pub volumes: [Option<Millilitres>; 2],
    /// Parts of the second to 100 of the first, by weight.
    pub by_weight: f64,
    /// The same by volume; none where a density is missing.
    pub by_volume: Option<f64>,
    /// How it comes about.
    pub sum: Sum,
}

/// A mix of two masses in measuring cups.
pub fn in_cups(pair: &Pair<'_>, masses: [Grams; 2], of: [Option<GramsPerMillilitre>; 2]) -> Cups {
    let [a, b] = masses;
    let by_weight = pair.ratio[1] / pair.ratio[0] * 100.0;
    let both = of[0].zip(of[1]).and_then(|(heavy, light)| {
        let densities = Densities { a: heavy, b: light };
        let worked = measured(TwoPart { a, b }, densities).ok()?;
        let ratio = crate::engine::mix::ByWeight { a: 100.0, b: by_weight };
        let ratio = crate::engine::mix::by_volume(ratio, densities).ok()?;
        Some((worked, ratio.result.b))
    });
    match both {
        Some((worked, by_volume)) => Cups {
            volumes: [Some(worked.result.a), Some(worked.result.b)],
            by_weight,
            by_volume: Some(by_volume),
            sum: worked.sum,
        },
        None => Cups {
            volumes: [of[0].map(|density| a / density), of[1].map(|density| b / density)],
            by_weight,
            by_volume: None,
            sum: Sum::default(),
        },
    }
}
