//! Where a rule's numbers come from: the job's measures, the method's fixed
//! numbers, the material's card, the table of constants.

use super::AmountError;
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, GramsPerSquareMetre, Millimetres, Percent,
};
use crate::engine::takeoff::TakeoffError;
use crate::trade::model::{Family, Figure, MaterialUse, Rules, Unit};
use std::cell::RefCell;

/// The most of anything counted; beyond it an entry is mistaken.
const MOST: f64 = 10_000.0;

/// What there is for an input.
pub(super) enum Given<'a> {
    /// A value in its stored unit.
    Value(f64),
    /// A measure that hasn't been entered.
    NotEntered(&'a str),
    /// The method doesn't name this input.
    Absent,
}

/// All that a rule can draw on.
pub(super) struct Inputs<'a> {
    /// The rule table.
    pub rules: &'a Rules,
    /// The material's place in the method.
    pub used: &'a MaterialUse,
    /// The material's card.
    pub family: Option<&'a Family>,
    /// The job's measures.
    pub look_up: &'a dyn Fn(&str) -> Option<f64>,
    /// The rule's name.
    pub rule: &'a str,
    /// Constants that were drawn on, in their order.
    pub factors: &'a RefCell<Vec<String>>,
}

impl<'a> Inputs<'a> {
    /// What there is for an input: its measure, or else its fixed number.
    pub fn given(&self, name: &str) -> Given<'a> {
        let measure = self.used.inputs.get(name);
        if let Some(value) = measure.and_then(|id| (self.look_up)(id)) {
            return Given::Value(value);
        }
        match (self.used.fixed.get(name), measure) {
            (Some(value), _) => Given::Value(*value),
            (None, Some(id)) => Given::NotEntered(id),
            (None, None) => Given::Absent,
        }
    }

    /// Refuses while any input named by the method has no value, naming all of them.
    pub fn all_entered(&self) -> Result<(), AmountError> {
        let names: Vec<&str> = self.used.inputs.keys().map(String::as_str).collect();
        self.entered(&names)
    }

    /// Refuses while one of these inputs waits for its measure, naming all that do.
    pub fn entered(&self, names: &[&str]) -> Result<(), AmountError> {
        let measures: Vec<String> = names
            .iter()
            .filter_map(|name| match self.given(name) {
                Given::NotEntered(id) => Some(id.to_owned()),
                Given::Value(_) | Given::Absent => None,
            })
            .collect();
        if measures.is_empty() { Ok(()) } else { Err(AmountError::Missing { measures }) }
    }

    /// An input that may be left out by the method, but not by the job.
    pub fn optional(&self, name: &str) -> Result<Option<f64>, AmountError> {
        match self.given(name) {
            Given::Value(value) => Ok(Some(value)),
            Given::NotEntered(id) => Err(AmountError::Missing { measures: vec![id.to_owned()] }),
            Given::Absent => Ok(None),
        }
    }

    /// An input that the rule can't do without.
    pub fn need(&self, name: &str) -> Result<f64, AmountError> {
        self.optional(name)?
            .ok_or_else(|| AmountError::NoInput { rule: self.rule.into(), input: name.into() })
    }

    /// A number of things, `otherwise` when the method doesn't name it.
    pub fn count_or(&self, name: &str, otherwise: u32) -> Result<u32, AmountError> {
        match self.optional(name)? {
            Some(value) => whole(name, value),
            None => Ok(otherwise),
        }
    }

    /// A number of things that the rule can't do without.
    pub fn count(&self, name: &str) -> Result<u32, AmountError> {
        whole(name, self.need(name)?)
    }

    /// The card of the material.
    pub fn card(&self) -> Result<&'a Family, AmountError> {
        self.family.ok_or(AmountError::NoMaterial)
    }

    /// The density on the card: of the liquid or, for what is mixed with water, of
    /// the mix.
    pub fn density(&self) -> Result<GramsPerMillilitre, AmountError> {
        let family = self.card()?;
        match family.property("density").or_else(|| family.property("slurry-density")) {
            Some(Figure { unit: Unit::GramPerMillilitre, likely, .. }) => {
                Ok(GramsPerMillilitre(*likely))
            }
            _ => Err(AmountError::NoFigure {
                figure: "density".into(),
                material: Some(family.title.clone()),
            }),
        }
    }

    /// The shop's own value of the constant, else the card's property in a unit
    /// that `read` takes, else the constant.
    fn figure<T>(
        &self,
        property: Option<&str>,
        constant: &str,
        read: impl Fn(&Figure) -> Option<T>,
    ) -> Result<T, AmountError> {
        let table = self.rules.constant(constant).map(|constant| &constant.figure);
        let of_card = || self.family?.property(property?);
        let of_shop = || {
            let likely = (self.look_up)(constant)?;
            Some(Figure { likely, low: None, high: None, ..table?.clone() })
        };
        let mut factors = self.factors.borrow_mut();
        if table.is_some() && !factors.iter().any(|known| known == constant) {
            factors.push(constant.to_owned());
        }
        of_shop()
            .as_ref()
            .and_then(&read)
            .or_else(|| of_card().and_then(&read))
            .or_else(|| table.and_then(&read))
            .ok_or_else(|| AmountError::NoFigure { figure: constant.into(), material: None })
    }

    /// A waste, whether written as "15 %" or as the factor 1.15.
    pub fn waste(&self, property: Option<&str>, constant: &str) -> Result<Percent, AmountError> {
        self.figure(property, constant, |figure| match figure.unit {
            Unit::Percent => Some(Percent(figure.likely)),
            Unit::Factor => Some(Percent((figure.likely - 1.0) * 100.0)),
            _ => None,
        })
    }

    /// A share in per cent.
    pub fn percent(&self, constant: &str) -> Result<Percent, AmountError> {
        self.figure(None, constant, |figure| {
            (figure.unit == Unit::Percent).then_some(Percent(figure.likely))
        })
    }

    /// A bare factor.
    pub fn factor(&self, property: Option<&str>, constant: &str) -> Result<f64, AmountError> {
        self.figure(property, constant, |figure| {
            (figure.unit == Unit::Factor).then_some(figure.likely)
        })
    }

    /// A number of things from the table of constants.
    pub fn constant_count(&self, constant: &str) -> Result<u32, AmountError> {
        let value = self.figure(None, constant, |figure| {
            (figure.unit == Unit::Count).then_some(figure.likely)
        })?;
        whole(constant, value)
    }

    /// A length.
    pub fn length(
        &self,
        property: Option<&str>,
        constant: &str,
    ) -> Result<Millimetres, AmountError> {
        self.figure(property, constant, |figure| match figure.unit {
            Unit::Millimetre => Some(Millimetres(figure.likely)),
            Unit::Metre => Some(Millimetres(figure.likely * 1000.0)),
            _ => None,
        })
    }

    /// A mass.
    pub fn mass(&self, constant: &str) -> Result<Grams, AmountError> {
        self.figure(None, constant, |figure| match figure.unit {
            Unit::Gram => Some(Grams(figure.likely)),
            Unit::Kilogram => Some(Grams(figure.likely * 1000.0)),
            _ => None,
        })
    }

    /// A use per area.
    pub fn per_area(
        &self,
        property: Option<&str>,
        constant: &str,
    ) -> Result<GramsPerSquareMetre, AmountError> {
        self.figure(property, constant, per_area)
    }

    /// The mass of the mat: the method's number, else the one on the card.
    pub fn areal_mass(&self) -> Result<GramsPerSquareMetre, AmountError> {
        if let Some(value) = self.optional("areal-mass")? {
            return Ok(GramsPerSquareMetre(value));
        }
        let of_card = self.family.and_then(|family| family.property("areal-mass"));
        of_card.and_then(per_area).ok_or_else(|| AmountError::NoInput {
            rule: self.rule.into(),
            input: "areal-mass".into(),
        })
    }
}

fn per_area(figure: &Figure) -> Option<GramsPerSquareMetre> {
    match figure.unit {
        Unit::GramPerSquareMetre => Some(GramsPerSquareMetre(figure.likely)),
        Unit::KilogramPerSquareMetre => Some(GramsPerSquareMetre(figure.likely * 1000.0)),
        _ => None,
    }
}

/// A number of things.
fn whole(name: &str, value: f64) -> Result<u32, AmountError> {
    if value.fract() != 0.0 || !value.is_finite() {
        Err(AmountError::NotWhole { input: name.into() })
    } else if value < 0.0 {
        Err(TakeoffError::Negative { what: "A number of things" }.into())
    } else if value > MOST {
        Err(TakeoffError::TooMany { what: "of them" }.into())
    } else {
        Ok(value as u32)
    }
}
