//! The batch card: what to weigh for one tub, and what changes when the first
//! part was over-poured.

use crate::engine::mix::{self, BatchSplit, GramsPerMinute, MixError};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Minutes, Percent};
use crate::trade::model::{Family, Kind, Mixing, Rules};
use std::fmt;

use super::card::{self, Card};
use super::command;
use super::event::Part;

/// Why there is no batch card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoBatch {
    /// The ratio must come from the tin's own sheet.
    RatioMissing,
    /// The material is used as it comes.
    NothingToMix,
    /// The catalyst level is refused.
    Catalyst(String),
    /// The mass can't be weighed here.
    Mass(String),
}

impl fmt::Display for NoBatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RatioMissing => f.write_str(
                "No ratio is known for this material, and none is guessed. Add your tin with the \
                 ratio off its sheet.",
            ),
            Self::NothingToMix => f.write_str("This material is used as it comes."),
            Self::Catalyst(sentence) | Self::Mass(sentence) => f.write_str(sentence),
        }
    }
}

/// The parts of a tub, in the order in which they are weighed. For catalysed
/// resins `total` is the resin, since that is what the percentage goes by; for
/// all others it is the whole tub.
///
/// # Errors
/// [`NoBatch`] when nothing can or may be mixed.
pub fn parts(family: &Family, total: Grams, level: Option<Percent>) -> Result<Vec<Part>, NoBatch> {
    command::mass_possible(total).map_err(|refusal| NoBatch::Mass(refusal.to_string()))?;
    let part = |name: &str, target: Grams| Part { name: name.to_owned(), target, actual: None };
    let refused = |error: MixError| NoBatch::Mass(error.to_string());
    match &family.mixing {
        Mixing::Catalysed => {
            let range = card::catalyst_range(family).ok_or(NoBatch::RatioMissing)?;
            let level = level.ok_or(NoBatch::RatioMissing)?;
            command::catalyst(&range, level)
                .map_err(|refusal| NoBatch::Catalyst(refusal.to_string()))?;
            let density = family.catalyst.as_ref().map_or(1.0, |c| c.density.likely);
            let catalyst =
                mix::catalyst_amount(total, level, GramsPerMillilitre(density)).map_err(refused)?;
            Ok(vec![part(&family.short, total), part("catalyst", catalyst.mass)])
        }
        Mixing::TwoPart { part_a, part_b, a, b, .. } => {
            let split = mix::split_two_part(total, a.likely, b.likely).map_err(refused)?;
            Ok(vec![part(part_a, split.a), part(part_b, split.b)])
        }
        Mixing::Water { water, .. } => {
            let split = mix::split_two_part(total, water.likely, 100.0).map_err(refused)?;
            Ok(vec![part("water", split.a), part("powder", split.b)])
        }
        Mixing::BySheet { .. } => Err(NoBatch::RatioMissing),
        Mixing::AsSupplied => Err(NoBatch::NothingToMix),
    }
}

/// Enters what the first part really weighed: the others follow its ratio.
pub fn poured(parts: &mut [Part], actual: Grams) {
    let Some((first, rest)) = parts.split_first_mut() else { return };
    let factor = actual / first.target;
    first.actual = Some(actual);
    for part in rest {
        part.target = part.target * factor;
    }
}

/// How a total is best split into tubs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tubs {
    /// How many.
    pub count: u32,
    /// Mass of each.
    pub each: Grams,
    /// Usable pot life that the split goes by: the short end at the present temperature.
    pub pot: Minutes,
}

/// Splits a total into tubs that can be used up within their pot life (rule
/// K-SPLIT of the trade reference). A caution, never a permission. None for
/// materials without a pot or without a stated use rate.
pub fn tubs(rules: &Rules, card: &Card, rate_factor: f64, total: Grams) -> Option<Tubs> {
    let constant = |id: &str| rules.constant(id).map(|c| c.figure.likely);
    let rate = use_rate(rules, card.family)?;
    let share = Percent(constant("split-share")? * 100.0);
    let largest = tub_limit(rules, card.family);
    let pot = card.times.first()?.spec.time.low / rate_factor.max(0.01);
    let BatchSplit { count, each } = mix::split_batches(total, pot, rate, share, largest).ok()?;
    Some(Tubs { count, each, pot })
}

/// The largest tub that common practice mixes of a family; none where it states none.
pub fn tub_limit(rules: &Rules, family: &Family) -> Option<Grams> {
    let id = match family.kind {
        Kind::Polyester => "tub-max-polyester",
        Kind::Epoxy => "tub-max-epoxy",
        _ => return None,
    };
    Some(Grams(rules.constant(id)?.figure.likely * 1000.0))
}

/// How fast a family is commonly used up; none where no rate is stated.
pub fn use_rate(rules: &Rules, family: &Family) -> Option<GramsPerMinute> {
    let rate = match family.kind {
        Kind::Polyester if family.id == "UP-GEL" => "use-rate-gel",
        Kind::Polyester | Kind::Epoxy => "use-rate-laminate",
        Kind::Silicone => "use-rate-silicone-pour",
        Kind::Gypsum => "use-rate-plaster",
        _ => return None,
    };
    Some(GramsPerMinute(rules.constant(rate)?.figure.likely * 1000.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::rules;

    fn family(id: &str) -> Family {
        rules().family(id).unwrap().clone()
    }

    #[test]
    fn a_kilo_of_resin_at_two_per_cent_takes_twenty_grams() {
        // Arithmetic of the level by weight (published check value: 1 kg at 2 % is 20 g).
        let parts = parts(&family("UP-LAM"), Grams(1000.0), Some(Percent(2.0))).unwrap();
        assert!((parts[1].target.value() - 20.0).abs() < 1e-9);
    }

    #[test]
    fn an_over_poured_base_takes_more_catalyst() {
        let mut parts = parts(&family("SI-TIN"), Grams(1100.0), None).unwrap();
        assert!((parts[0].target.value() - 1000.0).abs() < 1e-9);
        poured(&mut parts, Grams(1060.0));
        assert!((parts[1].target.value() - 106.0).abs() < 1e-9);
    }

    #[test]
    fn nought_and_a_hundred_per_cent_are_refused_in_words() {
        for level in [0.0, 100.0] {
            let refused = parts(&family("UP-LAM"), Grams(500.0), Some(Percent(level)));
            assert!(matches!(refused, Err(NoBatch::Catalyst(_))), "{level} % was let through");
        }
    }

    #[test]
    fn a_ratio_is_never_invented() {
        assert_eq!(parts(&family("EP-FAST"), Grams(100.0), None), Err(NoBatch::RatioMissing));
    }

    #[test]
    fn nonsense_masses_are_refused() {
        for mass in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e12] {
            let refused = parts(&family("SI-TIN"), Grams(mass), None);
            assert!(matches!(refused, Err(NoBatch::Mass(_))), "{mass} g was let through");
        }
    }
}
