//! The amount rules: from a stage's material and the job's measures to what to
//! weigh, cut or count, with the sum line by line.
//!
//! A rule is named in the method's data with its inputs: measures of the job,
//! or fixed numbers in the stored unit (mm, m², g, ml, g/ml). Factors come from
//! the material's card first and from the table of constants otherwise.
//!
//! | rule | inputs; those in brackets may be left out |
//! | --- | --- |
//! | K-CLAY | area, thickness |
//! | K-SI | clay-mass and clay-density, or area and thickness, or volume; (spout-volume, tubs) |
//! | K-BOX | length, width, fill, (object-volume, tubs) |
//! | K-BRUSH | area, (coats = 1, first = 1: the detail coat is among them) |
//! | K-CAST | volume |
//! | K-GEL | area, (flange-length, flange-width, flange-faces = 2) |
//! | K-GLASS | area, plies, (areal-mass, flange-length, flange-width, flange-faces = 2, flange-plies) |
//! | K-TISSUE | area |
//! | K-RESIN | as K-GLASS, (tissue = 1: layers of tissue) |
//! | K-PLAS, K-ALG | volume, or area and thickness; (shell = 0) |
//! | K-SHIM | length, strip-length |
//! | K-BOLT | loop or run, (spacing, extra) |
//! | K-REL | area, (coats = 1) |
//! | K-LAYER | depth, limit |
//! | K-UPLIFT | head, area, (object-volume, object-mass) |
//! | K-BAND | area, plies |
//! | K-FILM | area |
//!
//! For catalysed resins the main amount is the resin, without its catalyst.
//! `flange-plies` are all the layers of a flange; when left out they are the
//! plies and the extra layers of the constant.

mod counts;
mod inputs;
mod masses;

use super::model::{Family, MaterialUse, Mixing, Rules};
use crate::engine::mix::{self, MixError};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Percent};
use crate::engine::takeoff::{Quantity, Sum, SumLine, TakeoffError, Worked};
use inputs::Inputs;
use std::cell::RefCell;
use std::fmt;

/// The names of the amount rules.
pub const RULES: &[&str] = &[
    "K-CLAY", "K-SI", "K-BOX", "K-BRUSH", "K-CAST", "K-GEL", "K-GLASS", "K-TISSUE", "K-RESIN",
    "K-PLAS", "K-ALG", "K-SHIM", "K-BOLT", "K-REL", "K-LAYER", "K-UPLIFT", "K-BAND", "K-FILM",
];

/// How much of a material a stage needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    /// The amount: of catalysed resin without its catalyst, of all other
    /// mixes the whole.
    pub main: Quantity,
    /// What it is made up of, in the order of the bench ("base", "catalyst").
    /// Empty when it is used as it comes, or when the ratio has to come off
    /// the tin.
    pub parts: Vec<(String, Quantity)>,
    /// The sum, line by line.
    pub sum: Vec<SumLine>,
    /// Constants that went into it: any can be the shop's own.
    pub factors: Vec<String>,
}

/// Why there is no amount.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AmountError {
    /// The rule isn't one of [`RULES`], or none is named.
    UnknownRule(String),
    /// Measures of the job must be entered first.
    Missing {
        /// Their ids.
        measures: Vec<String>,
    },
    /// The method's data gives the rule no such input.
    NoInput {
        /// The rule.
        rule: String,
        /// The input.
        input: String,
    },
    /// No material is chosen, and the rule needs its card.
    NoMaterial,
    /// A figure is absent from the card and the constants, or has a unit that
    /// doesn't fit.
    NoFigure {
        /// The id of the figure.
        figure: String,
        /// The title of the material, when it is the card's.
        material: Option<String>,
    },
    /// A number of things is not a whole number.
    NotWhole {
        /// The input.
        input: String,
    },
    /// A value is out of range.
    OutOfRange(TakeoffError),
}

impl fmt::Display for AmountError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plain = |id: &str| id.replace('-', " ");
        match self {
            Self::UnknownRule(rule) => {
                write!(f, "There is no amount rule “{rule}” here. Update the app.")
            }
            Self::Missing { measures } => {
                let names: Vec<String> = measures.iter().map(|id| plain(id)).collect();
                write!(f, "Enter the {} first.", names.join(" and the "))
            }
            Self::NoInput { rule, input } => write!(
                f,
                "The method gives {rule} no {}. Work it out by hand, and update the app.",
                plain(input)
            ),
            Self::NoMaterial => write!(f, "No material is chosen. Choose one for this stage."),
            Self::NoFigure { figure, material: Some(material) } => write!(
                f,
                "The card of {material} gives no {}. Take it off the data sheet.",
                plain(figure)
            ),
            Self::NoFigure { figure, material: None } => {
                write!(f, "The table has no figure for {}. Update the app.", plain(figure))
            }
            Self::NotWhole { input } => {
                write!(f, "The {} must be a whole number. Correct it.", plain(input))
            }
            Self::OutOfRange(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for AmountError {}

impl From<TakeoffError> for AmountError {
    fn from(error: TakeoffError) -> Self {
        Self::OutOfRange(error)
    }
}

impl From<MixError> for AmountError {
    fn from(error: MixError) -> Self {
        Self::OutOfRange(error.into())
    }
}

/// The amount of a material that a stage needs.
///
/// `family` is the material's card, with the tin's own ratio in place of the
/// family's where there is one. `look_up` gives a measure of the job in its
/// stored unit, or nothing while it hasn't been entered; asked for a constant,
/// it gives the shop's own value, which wins over card and table.
///
/// # Errors
/// [`AmountError`] when something must be entered or chosen first, or a value
/// is out of range.
pub fn amount(
    rules: &Rules,
    used: &MaterialUse,
    family: Option<&Family>,
    look_up: &dyn Fn(&str) -> Option<f64>,
) -> Result<Amount, AmountError> {
    let rule = used.rule.as_deref().unwrap_or_default();
    if !used.share.is_finite() || used.share <= 0.0 {
        return Err(TakeoffError::NotPositive { what: "The share of this stage" }.into());
    }
    let factors = RefCell::default();
    let inputs = Inputs { rules, used, family, look_up, rule, factors: &factors };
    // K-SI has several ways to one volume and asks only for the best of them.
    if rule != "K-SI" {
        inputs.all_entered()?;
    }
    let mut found = match rule {
        "K-CLAY" => masses::clay(&inputs),
        "K-SI" => masses::silicone(&inputs),
        "K-BOX" => masses::boxed(&inputs),
        "K-BRUSH" => masses::brushed(&inputs),
        "K-CAST" => masses::cast(&inputs),
        "K-GEL" => masses::gel(&inputs),
        "K-GLASS" => masses::glass(&inputs),
        "K-RESIN" => masses::resin(&inputs),
        "K-REL" => masses::release(&inputs),
        "K-PLAS" | "K-ALG" => masses::water_mix(&inputs),
        "K-TISSUE" => counts::tissue(&inputs),
        "K-SHIM" => counts::shim(&inputs),
        "K-BOLT" => counts::bolts(&inputs),
        "K-LAYER" => counts::layers(&inputs),
        "K-UPLIFT" => counts::uplift(&inputs),
        "K-BAND" => counts::bandage(&inputs),
        "K-FILM" => counts::film(&inputs),
        _ => Err(AmountError::UnknownRule(rule.into())),
    }?;
    found.factors = factors.take();
    // Inputs that are each finite can still multiply to infinity.
    let finite = match found.main {
        Quantity::Mass(mass) => mass.is_finite(),
        Quantity::Area(area) => area.is_finite(),
        Quantity::Force(force) => force.value().is_finite(),
        _ => true,
    };
    if finite { Ok(found) } else { Err(TakeoffError::NotFinite { what: "the amount" }.into()) }
}

/// The sum with the stage's share of the whole, when it isn't all of it.
fn with_share(sum: Sum, share: f64, part: Quantity) -> Sum {
    if share == 1.0 {
        return sum;
    }
    sum.with("This stage's share", Quantity::Percent(Percent(share * 100.0)))
        .with("For this stage", part)
}

/// The amount of a mass: its share, and its parts as the material is mixed.
fn mixed(inputs: &Inputs, worked: Worked<Grams>) -> Result<Amount, AmountError> {
    let mass = worked.result * inputs.used.share;
    let mut sum = with_share(worked.sum, inputs.used.share, Quantity::Mass(mass));
    let mut parts = Vec::new();
    let family = inputs.family;
    match family.map(|family| &family.mixing) {
        Some(Mixing::TwoPart { part_a, part_b, a, b, .. }) => {
            let split = mix::split_two_part(mass, a.likely, b.likely)?;
            sum = sum.with(
                format!("{part_a} to one of {part_b}"),
                Quantity::Factor(a.likely / b.likely),
            );
            parts.push((part_a.clone(), Quantity::Mass(split.a)));
            parts.push((part_b.clone(), Quantity::Mass(split.b)));
        }
        Some(Mixing::Catalysed) => {
            if let Some((family, card)) =
                family.and_then(|family| Some((family, family.catalyst.as_ref()?)))
            {
                let level = Percent(card.level.likely);
                let density = GramsPerMillilitre(card.density.likely);
                let catalyst = mix::catalyst_amount(mass, level, density)?;
                sum = sum.with("Catalyst by weight, at the card's level", Quantity::Percent(level));
                parts.push((family.short.clone(), Quantity::Mass(mass)));
                parts.push(("catalyst".into(), Quantity::Mass(catalyst.mass)));
                parts.push(("the same by dispenser".into(), Quantity::Volume(catalyst.volume)));
            }
        }
        // The ratio of a water mix is in its rule; one by the sheet isn't guessed.
        Some(Mixing::Water { .. } | Mixing::BySheet { .. } | Mixing::AsSupplied) | None => {}
    }
    Ok(Amount { main: Quantity::Mass(mass), parts, sum: sum.lines, factors: Vec::new() })
}
